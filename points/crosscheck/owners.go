package crosscheck

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// trades are the words by which documents name who furnishes something.
var trades = []struct {
	trade string
	words *regexp.Regexp
}{
	{"controls", regexp.MustCompile(`(?i)\b(?:23[ .]?09(?:[ .]?\d\d)?|div(?:ision|\.)?\s*25|controls?(?: contractor| sub)?|bas(?: contractor)?|bms|atc|tcc|ddc|temperature controls?)\b`)},
	{"fire alarm", regexp.MustCompile(`(?i)\b(?:div(?:ision|\.)?\s*28|28[ .]?31(?:[ .]?\d\d)?|fire alarm(?: contractor)?|fac)\b`)},
	{"electrical", regexp.MustCompile(`(?i)\b(?:div(?:ision|\.)?\s*26|26[ .]?\d\d(?:[ .]?\d\d)?|16\d{3}|e\.?c\.?|electrical(?: contractor)?)\b`)},
	{"kitchen", regexp.MustCompile(`(?i)\b(?:div(?:ision|\.)?\s*11|kitchen(?: contractor| equipment)?|kec|hood (?:supplier|manufacturer))\b`)},
	{"mechanical", regexp.MustCompile(`(?i)\b(?:div(?:ision|\.)?\s*23|m\.?c\.?|mechanical(?: contractor)?|fan (?:manufacturer|supplier|maker)|manufacturer|mfr|factory)\b`)},
	{"owner", regexp.MustCompile(`(?i)\b(?:owner|tenant)\b`)},
}

// items are the things that trades furnish twice or not at all.
var items = []struct {
	item  string
	words string
}{
	{"drive", `vfd|vsd|variable[- ]frequency drive|variable[- ]speed drive|drive`},
	{"starter", `(?:combination |magnetic |motor )?starter|hoa(?: switch)?`},
	{"disconnect", `disconnect(?: switch)?|safety switch`},
	{"damper actuator", `damper actuators?|actuators?|damper motors?|motorized dampers?|motorised dampers?|dampers?`},
	{"duct smoke detector", `duct (?:smoke )?detectors?|smoke detectors?`},
	{"interface box", `(?:fan )?interface box(?:es)?`},
	{"current switch", `current switch(?:es)?|status switch(?:es)?`},
	{"gas sensors", `(?:co|gas|co/no2)(?: and no2)? sensors?`},
}

var itemBy = func() []*regexp.Regexp {
	out := make([]*regexp.Regexp, len(items))
	for i, one := range items {
		out[i] = regexp.MustCompile(`(?i)\b(?:` + one.words + `)\b\s*(?:shall be\s+|to be\s+|is\s+|are\s+)?(?:(?:furnished|provided|supplied|f&i|furn\.?)(?: and installed| & installed)?\s+)?by\s+(.{2,28})`)
	}
	return out
}()

// claim is what one document says of who furnishes an item of a machine.
type claim struct {
	doc, trade string // doc "" is the equipment list
	own        string // the trade whose document it is
	where      *model.Where
	text       string
}

// owners compares, for each machine and item, what the documents say of who
// furnishes it: two trades each for itself is twice, each for the other is
// nobody, anything else unlike is a question.
func (c *comparison) owners() {
	type row struct {
		texts     []model.Text
		doc, role string
	}
	for _, o := range c.ours {
		rows := []row{{byTexts(o), "the equipment list", Mechanical}}
		for j := range c.views {
			if p, ok := c.views[j].of[o]; ok {
				rows = append(rows, row{byTexts(p.theirs), c.views[j].doc.Name(), c.views[j].doc.Role})
			}
		}
		for i := range items {
			var claims []claim
			for _, r := range rows {
				claims = append(claims, claimsOf(r.texts, i, r.doc, r.role)...)
			}
			c.judge(o, items[i].item, claims)
		}
	}
}

// claimsOf is what one machine's row says of who furnishes an item: the first
// text that says so.
func claimsOf(texts []model.Text, item int, doc, role string) []claim {
	for _, t := range texts {
		if by := claimIn(t.Text, item); by != "" {
			return []claim{{doc: doc, trade: by, own: tradeOf(role), where: t.Where, text: t.Text}}
		}
	}
	return nil
}

// byTexts are the texts of a row that name somebody at all, in order of field.
// A column headed by the item says only BY DIV 26.
func byTexts(e *model.Equipment) []model.Text {
	var out []model.Text
	for _, name := range sortedFields(e) {
		t := e.Fields[name]
		lower := strings.ToLower(strings.TrimSpace(t.Text))
		if !strings.Contains(lower, "by ") {
			continue
		}
		if by, ok := strings.CutPrefix(lower, "by "); ok {
			if item := map[string]string{"vfd": "vfd", "control": "starter"}[name]; item != "" {
				t.Text = item + " by " + by
			}
		}
		out = append(out, t)
	}
	for _, n := range e.Notes {
		if strings.Contains(strings.ToLower(n.Text), "by ") {
			out = append(out, n)
		}
	}
	return out
}

// claimIn finds who furnishes an item in a sentence. What stands after the
// next comma or full stop speaks of something else.
func claimIn(text string, item int) string {
	m := itemBy[item].FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	who := m[1]
	if i := strings.IndexAny(who, ",;\n("); i >= 0 {
		who = who[:i]
	}
	if i := strings.Index(who, ". "); i > 3 {
		who = who[:i]
	}
	best, at := "", len(who)+1
	for _, t := range trades {
		if loc := t.words.FindStringIndex(who); loc != nil && loc[0] < at {
			best, at = t.trade, loc[0]
		}
	}
	return best
}

func sortedFields(e *model.Equipment) []string {
	var out []string
	for name := range e.Fields {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// judge tells what the claims on one item come to.
func (c *comparison) judge(o *model.Equipment, item string, claims []claim) {
	for i := range claims {
		for j := i + 1; j < len(claims); j++ {
			a, b := claims[i], claims[j]
			if a.trade == b.trade || a.doc == b.doc {
				continue
			}
			d := model.Difference{Severity: finding.Fault, Subject: o.Tag, Field: item + " furnished by", Ours: a.trade, Theirs: b.trade, Where: a.where, Other: b.where,
				Ask: fmt.Sprintf("Who furnishes, installs and wires the %s of %s? %s says %s, %s says %s.", item, o.Tag, a.doc, a.trade, b.doc, b.trade)}
			switch {
			case a.trade == a.own && b.trade == b.own:
				d.Code = "furnished-twice"
				d.Message = fmt.Sprintf("the %s of %s is furnished twice: %s has it by %s, %s by %s", item, o.Tag, a.doc, a.trade, b.doc, b.trade)
			case a.trade == b.own && b.trade == a.own:
				d.Code = "furnished-by-nobody"
				d.Message = fmt.Sprintf("nobody furnishes the %s of %s: %s leaves it to %s, %s leaves it to %s", item, o.Tag, a.doc, a.trade, b.doc, b.trade)
			default:
				d.Code, d.Severity = "furnisher-differs", finding.Caution
				d.Message = fmt.Sprintf("the %s of %s is by %s in %s and by %s in %s", item, o.Tag, a.trade, a.doc, b.trade, b.doc)
			}
			c.tell(d)
		}
	}
}

// tradeOf is whose document a role is.
func tradeOf(role string) string {
	switch role {
	case Fire:
		return "fire alarm"
	case Submittal, COBie, Dampers, "":
		return "mechanical"
	}
	return role
}
