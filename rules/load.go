package rules

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

//go:embed pack
var embedded embed.FS

// file is what one pack file may hold; each kind of entry may stand in any file.
type file struct {
	Words     *Words          `toml:"words"`
	Group     []Group         `toml:"group"`
	Topic     []Topic         `toml:"topic"`
	Visit     []Visit         `toml:"visit"`
	Mechanism []Mechanism     `toml:"mechanism"`
	Cause     []Cause         `toml:"cause"`
	Question  []Question      `toml:"question"`
	Context   []Context       `toml:"context"`
	Together  []Together      `toml:"together"`
	Caution   []Caution       `toml:"caution"`
	Check     []Check         `toml:"check"`
	Implied   []Implied       `toml:"implied"`
	Repair    []Repair        `toml:"repair"`
	Prices    *PriceBook      `toml:"prices"`
	BuildUp   *BuildUpTables  `toml:"buildup"`
	Moisture  *MoistureTables `toml:"moisture"`
	Learned   *Learned        `toml:"learned"`
	Travel    *Travel         `toml:"travel"`
}

// Built returns the knowledge that is built into the program, loaded and linted
// once. It panics only if the built-in files are broken, which a test rules out.
var Built = sync.OnceValue(func() *Pack {
	sub, err := fs.Sub(embedded, "pack")
	if err != nil {
		panic(err)
	}
	p, err := Load(sub)
	if err != nil {
		panic(err)
	}
	return p
})

// Load reads every .toml file below fsys, in name order, and lints the result.
// Errors name file, line and key.
func Load(fsys fs.FS) (*Pack, error) {
	names, err := packFiles(fsys)
	if err != nil {
		return nil, err
	}
	files := make([]file, len(names))
	texts := make([][]byte, len(names))
	errs := make([]error, len(names))
	var wg sync.WaitGroup
	for i := range names {
		wg.Add(1)
		go func() { // decoding is most of the start-up time, and files are independent
			defer wg.Done()
			texts[i], errs[i] = fs.ReadFile(fsys, names[i])
			if errs[i] == nil {
				errs[i] = decode(names[i], texts[i], &files[i])
			}
		}()
	}
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	p := &Pack{}
	sum := sha256.New()
	for i, f := range files {
		fmt.Fprintf(sum, "%s\x00%d\x00", names[i], len(texts[i]))
		sum.Write(texts[i])
		p.add(f)
	}
	p.Hash = hex.EncodeToString(sum.Sum(nil))[:12]
	p.index()
	if err := errors.Join(Lint(p, newLocator(names, texts))...); err != nil {
		return nil, err
	}
	return p, nil
}

func packFiles(fsys fs.FS) ([]string, error) {
	var names []string
	err := fs.WalkDir(fsys, ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.HasSuffix(path, ".toml") {
			names = append(names, path)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the knowledge: %w", err)
	}
	if len(names) == 0 {
		return nil, errors.New("reading the knowledge: no .toml files there")
	}
	sort.Strings(names)
	return names, nil
}

func decode(name string, text []byte, into *file) error {
	md, err := toml.Decode(string(text), into)
	if err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			return fmt.Errorf("%s:%d: %s", name, pe.Position.Line, pe.Message)
		}
		if what, found := strings.CutPrefix(err.Error(), "toml: "); found && strings.Contains(what, "incompatible types") {
			return fmt.Errorf("%s: a value has the wrong kind, text where a number belongs or the other way round (%s)", name, what)
		}
		return fmt.Errorf("%s: %w", name, err)
	}
	for _, k := range md.Undecoded() {
		return fmt.Errorf("%s: key %q is not known; see the schema in rules/pack.go", name, k.String())
	}
	return nil
}

func (p *Pack) add(f file) {
	if f.Words != nil {
		p.Words = *f.Words
	}
	if f.Prices != nil {
		p.Prices = *f.Prices
	}
	if f.BuildUp != nil {
		p.BuildUp = *f.BuildUp
	}
	if f.Moisture != nil {
		p.Moisture = *f.Moisture
	}
	if f.Travel != nil {
		p.Travel = *f.Travel
	}
	p.Groups = append(p.Groups, f.Group...)
	p.Topics = append(p.Topics, f.Topic...)
	p.Visits = append(p.Visits, f.Visit...)
	p.Mechanisms = append(p.Mechanisms, f.Mechanism...)
	p.Causes = append(p.Causes, f.Cause...)
	p.Questions = append(p.Questions, f.Question...)
	p.Contexts = append(p.Contexts, f.Context...)
	p.Together = append(p.Together, f.Together...)
	p.Cautions = append(p.Cautions, f.Caution...)
	p.Checks = append(p.Checks, f.Check...)
	p.Implied = append(p.Implied, f.Implied...)
	p.Repairs = append(p.Repairs, f.Repair...)
}

func (p *Pack) index() {
	p.questionAt, p.causeAt = map[string]int{}, map[string]int{}
	for i, q := range p.Questions {
		p.questionAt[q.ID] = i
	}
	for i, c := range p.Causes {
		p.causeAt[c.ID] = i
	}
}

// PriceText is the built-in price book as it stands in the pack, to be copied and
// changed.
func PriceText() (string, error) {
	text, err := embedded.ReadFile("pack/prices.toml")
	return string(text), err
}

// WithPrices returns the pack with another price book, read from text. name is
// used in errors. The hash changes with it.
func WithPrices(p *Pack, name string, text []byte) (*Pack, error) {
	var f file
	if err := decode(name, text, &f); err != nil {
		return nil, err
	}
	if f.Prices == nil {
		return nil, fmt.Errorf("%s: there is no [prices] table; \"underlap rules prices\" prints one to start from", name)
	}
	out := *p
	out.Prices = *f.Prices
	sum := sha256.Sum256(append([]byte(p.Hash+"\x00"), text...))
	out.Hash = hex.EncodeToString(sum[:])[:12]
	if err := errors.Join(Lint(&out, newLocator([]string{name}, [][]byte{text}))...); err != nil {
		return nil, err
	}
	return &out, nil
}
