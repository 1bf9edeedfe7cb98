package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

var (
	interlockLead = regexp.MustCompile(`(?i)\b(?:interlock(?:ed|s)?|runs?\s+with|running\s+with|starts?\s+with|stops?\s+with|operates?\s+with|enabled?\s+with|follows?|in\s+sequence\s+with|energi[sz]ed?\s+with|tied?\s+to|linked\s+to)\b`)
	strictLead    = regexp.MustCompile(`(?i)^interlock(?:ed|s)?\s+(?:with|w/|to)|^tied?\s+to|^linked\s+to|^(?:runs?|starts?|operates?|enabled?)\s+with`)
	otherwiseRead = regexp.MustCompile(`(?i)\b(?:lights?|lighting|fire|smoke|damper|end switch|hood|suppression|co|no2|gas|schedule|bas|bms|occupan\w*|thermostat|t'?-?stat|timer|switch|engine|generator)\b`)
	withTag       = regexp.MustCompile(`(?i)^with\s+[A-Z]{1,6}[- ]?\d`)
	sentenceEnd   = regexp.MustCompile(`[.;](?:\s|$)|\n`)
	tagsInText    = regexp.MustCompile(`[A-Z]{1,6}[- ]?\d{1,4}[A-Z]?(?:[-.]\d{1,3}[A-Z]?|-[A-Z]{1,4}\b)*\b(?:\s*(?:,|&|/|AND|THRU|THROUGH|TO|\s-\s)\s*(?:[A-Z]{1,6}[- ]?)?\d{1,4}[A-Z]?\b)*`)
	wholeName     = regexp.MustCompile(`[A-Z0-9][A-Z0-9._-]*[0-9][A-Z0-9._-]*`)
	notAnInter    = regexp.MustCompile(`(?i)\b(?:no|not|without|do not|w/o)\s+(?:be\s+)?interlock`)
)

// roster are the machines that the lists have, by the keys of their tags, and
// the machines that one tag with a quantity stands for.
type roster struct {
	tags     map[string]string
	families map[string][]string
}

func rosterOf(list []*draft) roster {
	out := roster{map[string]string{}, map[string][]string{}}
	for _, d := range list {
		out.tags[d.key] = d.tag
		if d.family != "" && (d.part == "" || len(out.families[d.family]) == 0) { // of a unit with two fans the first, that of supply, stands for it
			out.families[d.family] = append(out.families[d.family], d.tag)
		}
	}
	return out
}

// named are the machines of one name: itself, or all that it stands for.
func (r roster) named(tag string) []string {
	key := NormalTag(tag)
	if shown, ok := r.tags[key]; ok {
		return []string{shown}
	}
	return r.families[key]
}

// interlocks finds the tags that the row names as interlocked with it: in the
// interlock column every tag, elsewhere those behind such words as "interlock
// with" in the same sentence.
func (w *work) interlocks(known roster) {
	g := &gathering{work: w, known: known}
	g.take(w.text("interlock"), w.placeOfField("interlock"))
	g.noMachine()
	if text := g.text("control"); withTag.MatchString(text) {
		g.take(text, g.placeOfField("control"))
	}
	for _, field := range []string{"remarks", "control", "notes", "service", "description"} {
		g.sentences(w.text(field), w.placeOfField(field))
	}
	for _, n := range w.d.notes {
		g.sentences(n.Text, n.Where)
	}
	w.e.Interlocks = g.found
	g.tellUnlisted()
}

func (w *work) placeOfField(field string) *model.Where {
	if c, ok := w.d.fields[field]; ok {
		return placeOf(c)
	}
	return w.e.Where
}

// gathering are the names found on one row.
type gathering struct {
	*work
	known    roster
	found    []string
	unlisted []string
	at       *model.Where // of the first name that no list has
}

func (g *gathering) sentences(text string, where *model.Where) {
	for _, sentence := range sentenceEnd.Split(text, -1) {
		if at := interlockLead.FindStringIndex(sentence); at != nil && !notAnInter.MatchString(sentence) {
			before := len(g.found) + len(g.unlisted)
			g.take(sentence[at[1]:], where)
			if rest := sentence[at[0]:]; before == len(g.found)+len(g.unlisted) && strictLead.MatchString(rest) && !otherwiseRead.MatchString(rest) {
				g.say.add(finding.Caution, "unread-interlock", g.e.Tag, where, "state under interlocks in the project file what acts on what, or write the machine's tag", "%q names no machine of the list: nothing is planned for it", tidy(rest))
			}
		}
	}
}

// take takes every tag of a text: names that stand on a list first, for they
// may be of any form, then whatever looks like a tag.
func (g *gathering) take(text string, where *model.Where) {
	text = strings.ToUpper(tidy(text))
	rest := []byte(text)
	for _, at := range wholeName.FindAllStringIndex(text, -1) {
		name := strings.TrimRight(text[at[0]:at[1]], "._-")
		if plainName.MatchString(name) { // may begin or end a list or a range
			continue
		}
		switch spans := hyphenSpan(name); {
		case g.known.tags[NormalTag(name)] != "":
			g.add(name, where)
		case spans != nil && g.allKnown(spans): // EF-1-4 where the list has EF-1 to EF-4
			for _, one := range spans {
				g.add(one, where)
			}
		default:
			continue
		}
		copy(rest[at[0]:at[1]], strings.Repeat(".", at[1]-at[0]))
	}
	for _, at := range tagsInText.FindAllIndex(rest, -1) {
		if at[0] > 0 && partOfName(rest[at[0]-1]) {
			continue
		}
		tags := readTags(string(rest[at[0]:at[1]])).tags
		if members := g.wholeFamily(tags); members != nil {
			g.say.add(finding.Note, "assumed", g.e.Tag, where, "name them as the list does if others are meant", "%s is read as the %d machines that the list has as %s", strings.Trim(string(rest[at[0]:at[1]]), ". "), len(members), showTag(tags[0]))
			tags = members
		}
		for _, tag := range tags {
			g.add(tag, where)
		}
	}
}

// plainName is a number, or letters and a number.
var plainName = regexp.MustCompile(`^(?:[A-Z]{1,6}-?)?\d+[A-Z]?$`)

func partOfName(c byte) bool {
	return c == '-' || c == '_' || c == '.' || c >= '0' && c <= '9' || c >= 'A' && c <= 'Z'
}

func (g *gathering) allKnown(tags []string) bool {
	return !slices.ContainsFunc(tags, func(t string) bool { return len(g.known.named(t)) == 0 })
}

// wholeFamily recognises a range that means the machines of one row: EF-1 THRU
// EF-4 where the list has EF-1 with a quantity of four and no EF-2.
func (g *gathering) wholeFamily(tags []string) []string {
	if len(tags) < 2 {
		return nil
	}
	members := g.known.families[NormalTag(tags[0])]
	if len(members) != len(tags) || slices.ContainsFunc(tags[1:], func(t string) bool { return len(g.known.named(t)) > 0 }) {
		return nil
	}
	return members
}

// add takes one name.
func (g *gathering) add(tag string, where *model.Where) {
	shown := g.known.named(tag)
	if shown == nil {
		if notTags[Prefix(tag)] {
			return
		}
		if !slices.Contains(g.unlisted, tag) {
			g.unlisted = append(g.unlisted, tag)
		}
		if g.at == nil {
			g.at = where
		}
		shown = []string{tag}
	}
	for _, one := range shown {
		if NormalTag(one) != g.d.key && !slices.Contains(g.found, one) {
			g.found = append(g.found, one)
		}
	}
}

// noMachine tells of an interlock column that names no machine and that no rule
// understands otherwise: T-STAT, LIGHTS, CO SYSTEM.
func (g *gathering) noMachine() {
	c, ok := g.has("interlock")
	_, v := answer(c.text)
	if !ok || len(g.found) > 0 || len(g.unlisted) > 0 || v.problem == "" || strings.Trim(g.text("interlock"), "0123456789 ,.&()") == "" {
		return
	}
	for _, one := range g.e.Evidence {
		if one.Won && one.Where != nil && *one.Where == c.where {
			return
		}
	}
	g.say.add(finding.Caution, "unread-interlock", g.e.Tag, placeOf(c), "state under interlocks in the project file what acts on what, or write the machine's tag", "the interlock column says %q, which names no machine of the list: nothing is planned for it", c.text)
}

// tellUnlisted tells the names that no list has, in one finding a row.
func (g *gathering) tellUnlisted() {
	if len(g.unlisted) == 0 {
		return
	}
	near := ""
	if len(g.unlisted) == 1 {
		var names []string
		for _, tag := range g.known.tags {
			if NormalTag(tag) != g.d.key {
				names = append(names, tag)
			}
		}
		slices.SortFunc(names, finding.CompareTags)
		if n := finding.Nearest(g.unlisted[0], names); n != "" {
			near = fmt.Sprintf(" (nearest: %s)", n)
		}
	}
	g.say.add(finding.Caution, "unlisted-interlock", g.e.Tag, g.at, "add it to the list, or correct the tag; until then nothing is planned for that tie", "is said to be interlocked with %s, which no list has%s", strings.Join(g.unlisted, ", "), near)
}

// unplannedTies tells of interlocks with machines that are listed but not
// planned, for instance an air handler: somebody has to make that tie.
func unplannedTies(list []model.Equipment, say *says) {
	scope := map[string]string{}
	for _, e := range list {
		if e.OutOfScope != "" {
			scope[e.Tag] = e.OutOfScope
		}
	}
	for i := range list {
		e := &list[i]
		for _, other := range e.Interlocks {
			if what, out := scope[other]; out && e.OutOfScope == "" {
				say.add(finding.Caution, "unplanned-interlock", e.Tag, e.Where, "say who makes the tie and by what signal, or write what the machine is in a column Kind", "is said to be interlocked with %s, which is listed but not planned (%s): no circuit and no sequence is planned for the tie", other, what)
			}
		}
	}
}

// notTags are words with a figure behind them that are no machines.
var notTags = map[string]bool{"NOTE": true, "NOTES": true, "LEVEL": true, "FLOOR": true, "ROOM": true, "DIV": true, "V": true, "STAGE": true, "STEP": true, "PHASE": true, "PH": true, "NO": true, "ZONE": true, "DETAIL": true, "SECTION": true, "SHEET": true, "P": true, "M": true, "E": true, "AT": true, "OF": true, "THE": true, "PANEL": true, "CO": true, "NFPA": true, "IMC": true, "UL": true, "BASEMENT": true, "STAIR": true, "RM": true, "BLDG": true, "WING": true, "TYPE": true, "HOOD": true, "WITHIN": true, "WITH": true, "AND": true, "TO": true, "THRU": true, "FOR": true, "AFTER": true, "MIN": true, "ABOVE": true, "BELOW": true, "OVER": true, "SPEC": true, "NEC": true, "IECC": true, "ASHRAE": true, "ITEM": true}
