package rules

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// own lays texts over the built-in pack, named a.toml, b.toml and so on.
func own(texts ...string) (*Own, error) {
	var files []OwnFile
	for i, s := range texts {
		files = append(files, OwnFile{string(rune('a'+i)) + ".toml", []byte(s)})
	}
	return WithOwn(Built(), files)
}

func mustOwn(t testing.TB, texts ...string) *Own {
	t.Helper()
	o, err := own(texts...)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// changesOf are the changes as a list to compare with.
func changesOf(o *Own) string {
	var out []string
	for _, c := range o.Changes {
		out = append(out, fmt.Sprintf("%s:%d %s %s [%s] %s -> %s", c.File, c.Line, c.Kind, strings.ReplaceAll(c.ID, "\x00", "+"), c.What, c.Old, c.New))
	}
	return strings.Join(out, "\n")
}

const newCause = `[[cause]]
id = "solar-clamp"
name = "Clamp of a solar panel through the sheet"
short = "Solar clamp"
group = "penetrations"
calls_per_100 = 2
where = "Under the rails"
how = "A bolt that was never flashed lets rain down its thread"
tell = "Drips under a rail"
ruled_out_by = "No panels up there"
lag_hours = [0.2, 6]
litres = [0.1, 5]
test = "Hose on one foot after another"
first_aid = "Sealant round the foot"
repair = "Flash the foot, or move it onto a kerb"
damage = 3000
acts = [{ mechanism = "rain-gets-in", strength = "almost_always" }]
source = "our own cases of 2025"
confidence = "medium"

  [[cause.link]]
  question = "solar-panels"
  answer = ["bolted"]
  strength = "almost_always"
  says = "The feet are bolted through"
  source = "our own cases of 2025"
  confidence = "medium"
`

const newQuestion = `[[question]]
id = "solar-panels"
branch = "Covering and age"
short = "Solar panels"
say = "Are there solar panels up there, and how are they held?"
why = "A foot bolted through the sheet is a hole"
kind = "choice"
cost = 0.5
source = "our own cases of 2025"
confidence = "medium"
answer = [
  { id = "none", says = "No panels", background = 90 },
  { id = "ballast", says = "Held down by weight", background = 7 },
  { id = "bolted", says = "Bolted through", background = 3 },
]
`

// Each kind of change does what it says, is listed with file, line, old and new, and
// leaves the built-in pack as it was.
func TestOwnKnowledgeChanges(t *testing.T) {
	hash := Built().Hash
	for _, x := range []struct {
		name, text, changes string
		holds               func(p *Pack) bool
	}{
		{
			"a prior", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 9\n",
			`a.toml:3 cause puncture [calls_per_100] 4.3 -> 9`,
			func(p *Pack) bool {
				c, _ := p.Cause("puncture")
				return c.PerCalls == 9 && c.Damage == 4500 && len(c.Links) > 4
			},
		},
		{
			"wording", "# ours\n\n[[question]]\nid = \"wet-near-electrics\"\nsay = \"Any lamps wet?\"\n",
			`a.toml:5 question wet-near-electrics [say] `,
			func(p *Pack) bool {
				q, _ := p.Question("wet-near-electrics")
				return q.Say == "Any lamps wet?" && len(q.Answers) > 1
			},
		},
		{
			"a strength of a link", "[[cause]]\nid = \"puncture\"\n\n  [[cause.link]]\n  question = \"surface\"\n  answer = [\"cut\"]\n  strength = \"usually\"\n",
			`a.toml:7 cause puncture [link to surface cut: strength] "often" -> "usually"`,
			func(p *Pack) bool {
				c, _ := p.Cause("puncture")
				return c.Links[0].Strength == "usually" && c.Links[0].Says == "A nick or cut can be seen"
			},
		},
		{
			"a link more", "[[cause]]\nid = \"puncture\"\nlink = [{ question = \"litres\", answer = [\"nothing\"], strength = \"seldom\", says = \"x\", source = \"x\", confidence = \"low\" }]\n",
			`a.toml:3 cause puncture [link to litres nothing]  -> x`,
			func(p *Pack) bool { c, _ := p.Cause("puncture"); return c.Links[len(c.Links)-1].Question == "litres" },
		},
		{
			"a link less", "[[cause]]\nid = \"edge-trim-joint\"\n[[cause.link]]\nquestion = \"stain-colour\"\nanswer = [\"tea-ring\"]\ndrop = true\n",
			`a.toml:6 cause edge-trim-joint [link to stain-colour tea-ring] Rain picks up colour and leaves a ring -> `,
			func(p *Pack) bool { c, _ := p.Cause("edge-trim-joint"); return !looksAt(c.Links, "stain-colour") },
		},
		{
			"all links to a question", "[[cause]]\nid = \"edge-trim-joint\"\n[[cause.link]]\nquestion = \"stain-colour\"\ndrop = true\n",
			`a.toml:5 cause edge-trim-joint [link to stain-colour] Rain picks up colour and leaves a ring -> `,
			func(p *Pack) bool { c, _ := p.Cause("edge-trim-joint"); return !looksAt(c.Links, "stain-colour") },
		},
		{
			"a cause dropped", "[[cause]]\nid = \"worn-out-covering\"\ndrop = true\n",
			`a.toml:3 cause worn-out-covering [] `,
			func(p *Pack) bool {
				_, ok := p.Cause("worn-out-covering")
				for _, c := range p.Contexts {
					_, in := c.Times["worn-out-covering"]
					ok = ok || in
				}
				return !ok
			},
		},
		{
			"a question and a cause of one's own", newQuestion + newCause,
			"a.toml:1 question solar-panels []  -> Solar panels\na.toml:16 cause solar-clamp []  -> Clamp of a solar panel through the sheet",
			func(p *Pack) bool {
				_, ok := p.Cause("solar-clamp")
				branch := ""
				for i, q := range p.Questions {
					if q.ID == "solar-panels" {
						branch = p.Questions[i-1].Branch
					}
				}
				return ok && branch == "Covering and age"
			},
		},
		{
			"a number behind a word", "[words.strength]\noften = 0.7\n",
			`a.toml:2 words  [strength: often] 0.6 -> 0.7`,
			func(p *Pack) bool { return p.Words.Strength["often"] == 0.7 && p.Words.Strength["usually"] == 0.8 },
		},
		{
			"how far hearsay goes", "[[words.known]]\nid = \"told\"\nreliability = 0.8\n",
			`a.toml:3 words.known told [reliability] 0.85 -> 0.8`,
			func(p *Pack) bool { return p.Words.Known[0].Reliability == 0.8 && p.Words.Known[0].Key == "t" },
		},
		{
			"one price", "[[prices.price]]\nid = \"visit\"\nlow = 150\n",
			`a.toml:3 prices.price visit [low] 120 -> 150`,
			func(p *Pack) bool { x, _ := p.Prices.Price("visit"); return x.Low == 150 && x.High == 300 },
		},
		{
			"a region", "[prices]\nuse_region = \"london\"\nheat = { per_kwh = 0.08 }\n",
			"a.toml:3 prices  [heat: per_kwh] 0.065 -> 0.08\na.toml:2 prices  [use_region] \"england\" -> \"london\"",
			func(p *Pack) bool { return p.Prices.Use == "london" && p.Prices.Heat.Fuel == "gas" },
		},
		{
			"a row of backgrounds", "[[question]]\nid = \"wet-near-electrics\"\nanswer = [{ id = \"no\", says = \"Nothing near it\" }]\n",
			`a.toml:3 question wet-near-electrics [answer no: says] `,
			func(p *Pack) bool {
				q, _ := p.Question("wet-near-electrics")
				a, _ := q.Answer("no")
				return a.Says == "Nothing near it"
			},
		},
		{
			"a cure", "[[repair]]\nid = \"REPAIR\"\n[repair.fix]\nold-stain = 0.5\n",
			`a.toml:4 repair REPAIR [fix: old-stain] 0.9 -> 0.5`,
			func(p *Pack) bool { return p.Repairs[0].Fix["old-stain"] == 0.5 && len(p.Repairs[0].Fix) > 3 },
		},
		{
			"learned", "[learned]\ncases = 50\ndate = \"2026-11-01\"\nrho = 0.8\ntau = 0.7\nother = 12\n",
			"a.toml:4 learned  [rho] 0.85 -> 0.8\na.toml:5 learned  [tau] 0.9 -> 0.7\na.toml:6 learned  [other] 10 -> 12",
			func(p *Pack) bool {
				c, _ := p.Cause(OtherCause)
				return p.Words.Known[0].Reliability == 0.8 && p.Words.Temper() == 0.7 && c.PerCalls == 12 && p.Learned.Cases == 50
			},
		},
		{"said once more", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 4.30\n", "", func(p *Pack) bool { return p.Hash == hash }},
		{"nothing at all", "# later\n", "", func(p *Pack) bool { return p == Built() }},
	} {
		t.Run(x.name, func(t *testing.T) {
			first := Built().Repairs[0].ID
			o, err := own(strings.ReplaceAll(x.text, "REPAIR", first))
			if err != nil {
				t.Fatal(err)
			}
			if got := changesOf(o); !strings.HasPrefix(got, strings.ReplaceAll(x.changes, "REPAIR", first)) || x.changes == "" && got != "" {
				t.Errorf("changes\n%s\nwant\n%s", got, x.changes)
			}
			if !x.holds(o.Pack) {
				t.Error("the pack does not hold what was written")
			}
			if (o.Pack.Hash != hash) != (x.changes != "") {
				t.Errorf("hash %s, built in %s", o.Pack.Hash, hash)
			}
		})
	}
	fresh, err := Load(fstest.MapFS(builtFiles(t)))
	if err != nil {
		t.Fatal(err)
	}
	if hashOf("", fresh) != hashOf("", Built()) {
		t.Error("laying files over it changed the built-in pack")
	}
}

// Each fault is refused, with the firm's file, the line, the key and what to do.
func TestOwnKnowledgeFaults(t *testing.T) {
	puncture := "[[cause]]\nid = \"puncture\"\n"
	for _, x := range []struct{ name, text, want string }{
		{"an open quote", puncture + "where = \"Under\n", `a.toml:3: strings cannot contain newlines`},
		{"an open bracket", puncture + "acts = [", `a.toml:3: `},
		{"an unknown table", "[[causes]]\nid = \"x\"\n", `a.toml:1: key "causes" is not known`},
		{"an unknown key", puncture + "per_calls = 3\n", `a.toml:3: key "cause.per_calls" is not known`},
		{"an unknown key of a link", puncture + "\n[[cause.link]]\nquestion = \"surface\"\nanswer = [\"cut\"]\nweight = 3\n", `a.toml:7: key "cause.link.weight" is not known`},
		{"one bracket", "[cause]\nid = \"puncture\"\n", `a.toml:1: key "cause" holds a table where a list belongs; begin each entry with [[cause]]`},
		{
			"text for a number", puncture + "calls_per_100 = 4\n\n[[cause]]\nid = \"slipped-lap\"\ncalls_per_100 = \"7\"\n\n[[cause]]\nid = \"x\"\ncalls_per_100 = 4\n",
			`a.toml:7: key "cause.calls_per_100" holds a text where a number belongs`,
		},
		{
			"number for a text in a link", puncture + "[[cause.link]]\nquestion = \"surface\"\nsays = \"x\"\n[[cause.link]]\nquestion = \"seen\"\nsays = 7\n",
			`a.toml:8: key "cause.link.says" holds a number where a text belongs`,
		},
		{"no id", "[[cause]]\ncalls_per_100 = 4\n", `a.toml:1: cause "": id must be filled in`},
		{"a slip of the pen", "[[cause]]\nid = \"punctur\"\ncalls_per_100 = 4\n", `a.toml:1: cause "punctur" is new; if "puncture" is meant, write its id so`},
		{"a new cause half said", newQuestion + strings.Replace(newCause, "damage = 3000\n", "", 1), `a.toml:17: cause "solar-clamp": damage must be a number over 0`},
		{"a prior of nought", puncture + "calls_per_100 = 0\n", `a.toml:3: cause "puncture": calls_per_100 must be a number over 0`},
		{"an unknown word", puncture + "\n[[cause.link]]\nquestion = \"surface\"\nanswer = [\"cut\"]\nstrength = \"mostly\"\n", `a.toml:7: cause "puncture": link to "surface": strength "mostly" is not in words.toml`},
		{"an unknown answer", puncture + "\n[[cause.link]]\nquestion = \"surface\"\nanswer = [\"holed\"]\nstrength = \"often\"\nsays = \"x\"\nsource = \"x\"\nconfidence = \"low\"\n", `a.toml:6: cause "puncture": link to "surface": answer "holed" does not exist`},
		{"a strength of one", "# ours\n[words.strength]\noften = 1\n", `a.toml:3: words "often": strength 1 must lie between 0 and 1`},
		{"a price upside down", "[[prices.price]]\nid = \"visit\"\nlow = 1000\n", `a.toml:3: prices "visit": low must be over 0 and not over high`},
		{"backgrounds that do not sum", "[[question]]\nid = \"weather-pattern\"\nanswer = [{ id = \"any-rain\", background = 1 }]\n", `a.toml:3: question "weather-pattern": backgrounds sum to `},
		{"nothing to drop", "[[cause]]\nid = \"solar\"\ndrop = true\n", `a.toml:3: cause "solar": drop: there is nothing of that name to drop`},
		{"no link to drop", puncture + "[[cause.link]]\nquestion = \"covering\"\ndrop = true\n", `a.toml:5: cause "puncture": link to covering: drop: there is nothing of that name to drop`},
		{"a safety line that holds no more", "[[caution]]\nid = \"CAUTION\"\nwhen = [\"seen is mould\"]\n", `a.toml:3: caution "CAUTION": when: a safety line may be reworded; when it holds may not be changed`},
		{"a stop dropped", "[[travel.stop]]\nid = \"wet-electrics\"\ndrop = true\n", `a safety line may be reworded, but not dropped`},
		{"a stop that holds no more", "[[travel.stop]]\nid = \"loaded\"\nwhen = [\"seen is mould\"]\n", `when it holds may not be changed`},
		{"a safety line dropped", "[[caution]]\nid = \"CAUTION\"\ndrop = true\n", `a.toml:3: caution "CAUTION": drop: a safety line may be reworded, but not dropped`},
		{"drop in words", puncture + "drop = \"yes\"\n", `a.toml:3: cause "puncture": drop must be written: drop = true`},
		{"drop of a table", "[words]\ndrop = true\n", `a.toml:2: words "": drop: this cannot be dropped by itself`},
		{"drop of a plain row", puncture + "acts = [{ mechanism = \"rain-gets-in\", drop = true }]\n", `a.toml:3: cause "puncture": acts: drop: a row of this list cannot be dropped alone`},
		{"drop in a new cause", strings.Replace(newCause, "question = \"solar-panels\"\n", "question = \"surface\"\n  drop = true\n", 1), `cause "solar-clamp": link: drop: this is a new entry`},
		{"drop at the top", "drop = true\n", `a.toml:1: key "drop" is not known`},
		{"the last cause dropped", "[[cause]]\nid = \"something-else\"\ndrop = true\n", `a.toml:3: cause "something-else": the cause for what is not listed is missing`},
		{"a question others wait for", "[[question]]\nid = \"covering\"\ndrop = true\n", `a.toml:3: `},
		{"a question left with nobody to look at it", "[[cause]]\nid = \"snow-over-upstand\"\ndrop = true\n", `a.toml:3: question "snow-then": orphan`},
		{
			"a built-in link that looks at a dropped answer", puncture + "calls_per_100 = 4\n\n[[question]]\nid = \"wind-side\"\nanswer = [{ id = \"one-side\", drop = true }]\n",
			`a.toml:7: cause "puncture": link to "wind-side": answer "one-side" does not exist`,
		},
		{"rho of one", "[learned]\nrho = 1.0\n", `a.toml:2: learned: rho 1 must lie between 0 and 1`},
		{"tau of minus one", "[learned]\ncases = 3\ntau = -1\n", `a.toml:3: learned: tau -1 must lie between 0 and 3`},
		{"an unknown constant", "[learned]\nsigma = 1\n", `a.toml:2: key "learned.sigma" is not known`},
	} {
		t.Run(x.name, func(t *testing.T) {
			caution := strings.NewReplacer("CAUTION", Built().Cautions[0].ID)
			_, err := own(caution.Replace(x.text))
			if err == nil {
				t.Fatal("it was taken")
			}
			if !strings.Contains(err.Error(), caution.Replace(x.want)) {
				t.Errorf("error\n%v\ndoes not say\n%s", err, caution.Replace(x.want))
			}
		})
	}
}

// A fault in the second file is laid at the door of the second.
func TestFaultsNameTheRightFile(t *testing.T) {
	_, err := own("[[cause]]\nid = \"puncture\"\ncalls_per_100 = 4\n", "\n[[cause]]\nid = \"puncture\"\ncalls_per_100 = -4\n")
	if err == nil || !strings.HasPrefix(err.Error(), "b.toml:4:") {
		t.Errorf("error %v", err)
	}
	o := mustOwn(t, "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 4\n", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 3\n")
	if c, _ := o.Pack.Cause("puncture"); c.PerCalls != 3 {
		t.Errorf("the later file does not win: %v", c.PerCalls)
	}
}

// The example changes nothing as it stands, and is sound with all its lines taken in.
func TestOwnExample(t *testing.T) {
	if o := mustOwn(t, OwnExample); o.Pack != Built() {
		t.Errorf("the commented example changes\n%s", changesOf(o))
	}
	var b strings.Builder
	for s := range strings.Lines(OwnExample) {
		if strings.HasPrefix(s, "##") {
			continue
		}
		b.WriteString(strings.TrimPrefix(strings.TrimPrefix(s, "#"), " "))
	}
	o := mustOwn(t, b.String())
	if len(o.Changes) < 12 {
		t.Errorf("with its lines taken in it changes\n%s", changesOf(o))
	}
	if _, ok := o.Pack.Cause("solar-foot"); !ok {
		t.Error("the new cause is not there")
	}
}
