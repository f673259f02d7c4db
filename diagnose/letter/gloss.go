package letter

import (
	"regexp"
	"sort"
	"strings"
)

// term is a word of the trade and what it means. at finds it; the meaning is
// put behind its first group.
type term struct {
	name  string
	at    *regexp.Regexp
	means string
}

func word(name, pattern, means string) term {
	return term{name, regexp.MustCompile(`(?i)\b(` + pattern + `)\b`), means}
}

// glossary holds the words an owner may not know, the longer before the
// shorter. No meaning uses another word of the list. Own wording.
var glossary = []term{
	word("vapour control layer", `vapour (?:control )?layers?|VCL`, "a sheet that keeps the damp air of the room out of the roof"),
	word("warm roof", `warm roofs?`, "all insulation above the boards"),
	word("cold roof", `cold roofs?`, "insulation below the boards, air above it"),
	word("inverted roof", `inverted roofs?`, "the insulation lies on top of the waterproof sheet"),
	word("cavity tray", `cavity trays?`, "waterproof step inside the wall that throws water out"),
	word("weep hole", `weep holes?`, "small gap in the brickwork that lets water out"),
	word("dew point", `dew point`, "the temperature at which damp air starts to leave water"),
	word("U-value", `U-values?|U(?: 0\.\d+)`, "how fast heat gets out: lower is better"),
	word("competent-person scheme", `competent-person scheme`, "firms allowed to certify their own work"),
	word("back-gutter", `back-gutters?`, "the channel on the uphill side of a skylight"),
	word("kerb", `kerbs?`, "frame under the skylight"),
	word("upstand", `upstands?`, "where the sheet is turned up at an edge or a wall"),
	word("trimmer", `trimmers?`, "timber that frames an opening"),
	word("firring", `firrings?`, "tapered timber that makes the slope"),
	word("deck", `decks?`, "the boards under the sheet"),
	word("joist", `joists?`, "roof timber"),
	word("flashing", `flashings?`, "the metal that covers a joint"),
	word("parapet", `parapets?`, "low wall at the edge"),
	word("coping", `copings?`, "the cap on top of a wall"),
	word("soffit", `soffits?`, "the underside of the overhang"),
	word("fascia", `fascias?`, "the board behind the gutter"),
	word("outlet", `outlets?`, "rain drain"),
	word("overlay", `overlays?`, "new sheet over the old"),
	word("core", `cores?`, "small plug cut out to see every layer"),
	// Not the verb: a joint that laps the wrong way.
	{"lap", regexp.MustCompile(`(?i)\b(laps?)(?:[,.;:]| (?:and|or|has|have)\b|$)`), "where two sheets overlap"},
	word("fRsi", `fRsi`, "how warm a surface is, from 0, as cold as outdoors, to 1, as warm as the room"),
	word("EPDM", `EPDM`, "rubber sheet"),
	word("GRP", `GRP`, "fibreglass"),
	word("PIR", `PIR`, "a stiff foam board"),
	word("XPS", `XPS`, "a foam board that takes up little water"),
	word("OSB", `OSB`, "a board of pressed wood strands"),
}

// gloss explains each word of the trade at its first use by us. Headings, what was
// told and what was seen are left as they are; what a table uses first is explained below it.
func (d *Document) gloss() {
	seen := make([]bool, len(glossary))
	for i := range d.Sections {
		var out []Block
		for _, b := range d.Sections[i].Blocks {
			switch {
			case b.Kind == Heading || b.Voice == Told || b.Voice == Seen:
			case b.Kind == Grid:
				out = append(out, b)
				if note := tableNote(b.Table, seen); note != "" {
					out = append(out, Block{Voice: b.Voice, Text: note, Tight: true})
				}
				continue
			case b.Kind == Paragraph:
				b.Text = explainFirst(b.Text, seen)
			default:
				for k := range b.Items {
					b.Items[k].explain(seen)
				}
			}
			out = append(out, b)
		}
		d.Sections[i].Blocks = out
	}
}

func (it *Item) explain(seen []bool) {
	it.Lead = explainFirst(it.Lead, seen)
	if !it.Quoted {
		it.Text = explainFirst(it.Text, seen)
	}
	for i := range it.Sub {
		it.Sub[i].explain(seen)
	}
}

// explainFirst puts the meaning behind every word that was not met before.
func explainFirst(s string, seen []bool) string {
	type put struct {
		at    int
		means string
	}
	var puts []put
	for i, t := range glossary {
		if seen[i] {
			continue
		}
		if m := t.at.FindStringSubmatchIndex(s); m != nil {
			seen[i] = true
			puts = append(puts, put{m[3], t.means})
		}
	}
	sort.SliceStable(puts, func(a, b int) bool { return puts[a].at > puts[b].at })
	for _, p := range puts {
		s = s[:p.at] + " (" + p.means + ")" + s[p.at:]
	}
	return s
}

func tableNote(t Table, seen []bool) string {
	var rows []string
	for _, r := range append([][]string{t.Head}, t.Rows...) {
		rows = append(rows, strings.Join(r, " \n "))
	}
	all := strings.Join(rows, "\n")
	var notes []string
	for i, g := range glossary {
		if !seen[i] && g.at.MatchString(all) {
			seen[i] = true
			notes = append(notes, g.name+" means "+g.means)
		}
	}
	if len(notes) == 0 {
		return ""
	}
	return "In this table, " + strings.Join(notes, "; ") + "."
}
