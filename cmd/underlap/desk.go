package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"runtime"
	"sort"
	"strings"
	"sync"
	"time"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/rules"
	"underlap/tui"
)

// deskLine is one case as the desk shows it.
type deskLine struct {
	Path    string `json:"path"`
	ID      string `json:"id"`
	Title   string `json:"title"`
	Urgent  string `json:"urgent,omitempty"` // why it is urgent, empty when it is not
	State   string `json:"state"`
	Waits   string `json:"waits,omitempty"` // what it still waits for
	Days    int    `json:"days_since_last_entry"`
	Error   string `json:"error,omitempty"`
	rank    int
	changed time.Time
}

// urgentRank is the highest rank of a caution that makes a case urgent.
const urgentRank = 3

// closedRank puts closed cases after all that wait.
const closedRank = 80

func listCases(e *env, p *rules.Pack) ([]deskLine, error) {
	listed, err := casefile.List(e.cases)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	out := make([]deskLine, len(listed))
	now := e.now()
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) { // a desk of many cases is many readings, each its own
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				out[i] = lineOf(now, p, listed[i])
			}
		}()
	}
	for i := range listed {
		next <- i
	}
	close(next)
	wg.Wait()
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].rank != out[j].rank {
			return out[i].rank < out[j].rank
		}
		return out[i].changed.Before(out[j].changed) // longest waiting first
	})
	return out, nil
}

func lineOf(now time.Time, p *rules.Pack, l casefile.Listed) (d deskLine) {
	defer func() {
		// One case that trips the program must not hide all the others.
		if x := recover(); x != nil {
			d.Error, d.rank = fmt.Sprintf("the program failed on it (%v); please send the case to its makers", x), 90
		}
	}()
	d = deskLine{Path: l.Path, ID: l.Head.ID, Title: l.Head.Title, changed: l.Last, rank: 50}
	if l.Err != nil {
		d.Error, d.rank = l.Err.Error(), 90
		return d
	}
	r, err := diagnose.Consult(l.Case, p)
	if err != nil {
		d.Error, d.rank = err.Error(), 90
		return d
	}
	if l.Last.IsZero() {
		d.changed = l.Head.Created
	}
	d.Days = max(0, int(now.Sub(d.changed).Hours()/24))
	for _, x := range r.Cautions {
		if x.Rank <= urgentRank && d.Urgent == "" {
			d.Urgent, d.rank = firstWords(x.Says), x.Rank
		}
	}
	var waits []string
	for _, w := range r.Pending {
		if q, ok := p.Question(w.Question); ok {
			waits = append(waits, q.Short)
		}
	}
	d.Waits = strings.Join(waits, "; ")
	if state, closed := closedState(l.Case, p); closed {
		d.State, d.Waits, d.Urgent, d.rank = state, "", "", closedRank
		return d
	}
	switch {
	case r.Answered == 0:
		d.State = "not begun"
	case r.Next.Stop:
		d.State = "ready for the reply: " + r.Why.Text
	default:
		d.State = fmt.Sprintf("%s: %s, %s", explain.Count(r.Answered, "answer"), r.Why.Text, r.Why.Hedge)
	}
	return d
}

// firstWords is the part of a caution before its colon: what the danger is.
func firstWords(s string) string {
	before, _, _ := strings.Cut(s, ":")
	before, _, _ = strings.Cut(before, ". ")
	return before
}

func runDesk(e *env, args []string) error {
	fs := flags("desk")
	asJSON := fs.Bool("json", false, "print JSON")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usagef("desk takes no case; got %q", rest)
	}
	if e.tty && !*asJSON {
		return showDesk(e, tui.DeskChoice{})
	}
	p, err := e.pack()
	if err != nil {
		return err
	}
	list, err := listCases(e, p)
	if err != nil {
		return err
	}
	if *asJSON {
		if list == nil {
			list = []deskLine{}
		}
		return printJSON(e.out, list)
	}
	printDesk(e, list)
	return nil
}

// builtIn marks the path of a built-in example on the desk.
const builtIn = "built-in:"

// showDesk shows the desk, with a case opened in front of it when start names one.
func showDesk(e *env, start tui.DeskChoice) (err error) {
	var open *casefile.Store
	shut := func() error {
		if open == nil {
			return nil
		}
		s := open
		open = nil
		return s.Close()
	}
	defer func() { err = errors.Join(err, shut()) }()
	p, notice := e.packOnScreen()
	items := func() []tui.DeskItem {
		closed := shut()
		list, err := listCases(e, p)
		if err = errors.Join(closed, err); err != nil {
			return []tui.DeskItem{{Path: e.cases, Title: e.cases, Err: err.Error()}}
		}
		return deskItems(list)
	}
	choose := func(c tui.DeskChoice) (*diagnose.Call, tui.Options, error) {
		if name, ok := strings.CutPrefix(c.Path, builtIn); ok {
			return e.exampleCall(name)
		}
		store, err := e.open(c.Path, c.Title)
		if err != nil {
			return nil, tui.Options{}, err
		}
		open = store
		call, o, err := e.callOf(store)
		if err != nil {
			err = errors.Join(err, shut()) // or the case would stay locked while the desk is open
		}
		return call, o, err
	}
	return stopped(tui.Run(items, choose, tui.Options{NoColor: e.getenv("NO_COLOR") != "", Start: start, Notice: notice}))
}

func deskItems(list []deskLine) []tui.DeskItem {
	var items []tui.DeskItem
	for _, d := range list {
		items = append(items, tui.DeskItem{Path: d.Path, Title: d.Title, State: d.State, Waits: d.Waits, Age: age(d.Days), Urgent: d.Urgent, Err: d.Error})
	}
	// The examples stand last, so that there is always something to open.
	items = append(items,
		tui.DeskItem{Path: builtIn + "example", Title: "Example: music room over a garage", State: "built in, nothing is saved", Age: ""},
		tui.DeskItem{Path: builtIn + "example-frost", Title: "Example: dairy turned office", State: "built in, nothing is saved", Age: ""},
	)
	return items
}

func age(days int) string {
	switch days {
	case 0:
		return "today"
	case 1:
		return "1 day"
	default:
		return fmt.Sprintf("%d days", days)
	}
}

func printDesk(e *env, list []deskLine) {
	if len(list) == 0 {
		fmt.Fprintf(e.out, "No cases in %s. Start one with: underlap call --new \"TITLE\"\n", e.cases)
		return
	}
	for _, d := range list {
		fmt.Fprintf(e.out, "%s  (%s, %s)\n", d.Title, d.Path, age(d.Days))
		if d.Error != "" {
			fmt.Fprintf(e.out, "    cannot be read: %s\n", d.Error)
			continue
		}
		if d.Urgent != "" {
			fmt.Fprintf(e.out, "    URGENT: %s\n", d.Urgent)
		}
		fmt.Fprintf(e.out, "    %s\n", d.State)
		if d.Waits != "" {
			fmt.Fprintf(e.out, "    waits for: %s\n", d.Waits)
		}
	}
}

func printJSON(w interface{ Write([]byte) (int, error) }, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
