package intake

import (
	"regexp"
	"slices"
	"strings"

	"tallywire/model/finding"
)

var hyphened = regexp.MustCompile(`^(.*[A-Za-z][- ]?)(\d{1,3})\s*-\s*(\d{1,3})$`)

// hyphenSpan returns the machines that a tag stands for if its hyphen is read
// as "to": GF01-03 is GF01, GF02, GF03, unless it is fan 3 of level 1; nil
// where it cannot be read so. Which of the two holds, other evidence decides.
func hyphenSpan(tag string) []string {
	m := hyphened.FindStringSubmatch(tidy(tag))
	if m == nil {
		return nil
	}
	if n := atoi(m[3]) - atoi(m[2]); n < 1 || n > 50 || atoi(m[2]) == 0 {
		return nil
	}
	list, problem := tagsBetween(m[1], m[2], m[3])
	if problem != "" {
		return nil
	}
	return list
}

// What the other tags of a list say of a tag with two numbers.
const (
	openSpan  = ""
	spanRange = "range" // a neighbouring row goes on where the range ends
	spanName  = "name"  // the list numbers its machines so: EF-1-1, EF-1-2, EF-2-1
)

// hyphenHabit reads from all tags of a list how it uses tags of two numbers,
// by the letters before them and the numbers.
func hyphenHabit(tags []string) func(tag string) string {
	type span struct{ stem, from, to string }
	var spans []span
	plain := map[string]bool{}
	for _, tag := range tags {
		tag = strings.ToUpper(tidy(tag))
		if m := hyphened.FindStringSubmatch(tag); m != nil {
			spans = append(spans, span{NormalTag(m[1]), itoa(atoi(m[2])), itoa(atoi(m[3]))})
			continue
		}
		plain[NormalTag(tag)] = true
	}
	compound := false // the list numbers its machines in pairs, whatever their letters
	for i, a := range spans {
		compound = compound || atoi(a.from) >= atoi(a.to)
		for _, b := range spans[:i] {
			compound = compound || a.stem == b.stem && a.from == b.from && a.to != b.to
		}
	}
	next := func(n string, by int) string { return itoa(atoi(n) + by) }
	return func(tag string) string {
		m := hyphened.FindStringSubmatch(strings.ToUpper(tidy(tag)))
		if m == nil {
			return spanName
		}
		own := span{NormalTag(m[1]), itoa(atoi(m[2])), itoa(atoi(m[3]))}
		for n := atoi(own.from); n <= atoi(own.to); n++ {
			if plain[own.stem+"-"+itoa(n)] { // EF-2 beside EF-1-3
				return spanName
			}
		}
		if compound {
			return spanName
		}
		says := openSpan
		for _, other := range spans {
			switch {
			case other.stem != own.stem || other == own:
			case atoi(other.from) >= atoi(other.to), other.from == own.from:
				return spanName
			case other.from == next(own.to, 1), own.from == next(other.to, 1):
				says = spanRange
			}
		}
		if plain[own.stem+"-"+next(own.to, 1)] || atoi(own.from) > 1 && plain[own.stem+"-"+next(own.from, -1)] {
			says = spanRange
		}
		return says
	}
}

// settleSpan decides whether a tag of two numbers is one machine or a range,
// and asks where nothing decides.
func settleSpan(base *draft, tags *tagCell, quantity int, into *drafted) {
	if len(tags.tags) != 1 {
		return
	}
	tag := tags.tags[0]
	members := hyphenSpan(tag)
	if members == nil {
		return
	}
	first, last := members[0], members[len(members)-1]
	switch {
	case quantity == len(members):
		tags.tags = members
		into.say.add(finding.Note, "tag-or-range", first, &base.where, "give each its own row if they differ", "%s with a quantity of %d is read as the range %s to %s", tag, quantity, first, last)
	case quantity == 1 || base.span == spanName:
	case quantity > 1:
		into.say.add(finding.Caution, "tag-or-range", tag, &base.where, "write "+first+" thru "+last+" for a range, and make the quantity agree", "%s may be one tag or the range %s to %s, which is %d machines; the quantity is %d. It is taken as %d machines of one tag", tag, first, last, len(members), quantity, quantity)
	case base.span == spanRange:
		tags.tags = members
		into.say.add(finding.Note, "tag-or-range", first, &base.where, "write a quantity of 1 if it is one machine", "%s is read as the range %s to %s, %d machines, for the list goes on where it ends", tag, first, last, len(members))
	default:
		into.say.add(finding.Caution, "tag-or-range", tag, &base.where, "write "+first+" thru "+last+" for a range, or a quantity of 1 for one machine", "%s may be one machine or the range %s to %s (%d machines), and nothing on the list decides; one is taken", tag, first, last, len(members))
	}
}

// tagTexts are the cells of the table's column of tags, each part of a list.
func (t *table) tagTexts() []string {
	var out []string
	for _, i := range t.rows {
		if text := t.cellOf(t.grid.rows[i], "tag"); strings.ContainsAny(text, "0123456789") {
			out = append(out, readTags(text).tags...)
		}
	}
	return slices.Compact(out)
}
