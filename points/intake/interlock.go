package intake

import (
	"regexp"
	"slices"
	"strings"

	"tallywire/model/finding"
)

var (
	interlockLead = regexp.MustCompile(`(?i)\b(?:interlock(?:ed|s)?|runs?\s+with|running\s+with|starts?\s+with|stops?\s+with|operates?\s+with|enabled?\s+with|follows?|in\s+sequence\s+with|energi[sz]ed?\s+with|tied?\s+to|linked\s+to)\b`)
	sentenceEnd   = regexp.MustCompile(`[.;](?:\s|$)|\n`)
	tagsInText    = regexp.MustCompile(`(?i)\b[A-Z]{1,6}[- ]?\d{1,4}[A-Z]?\b(?:\s*(?:,|&|/|and|thru|through|to)\s*(?:[A-Z]{1,6}[- ]?)?\d{1,4}[A-Z]?\b)*`)
	notAnInter    = regexp.MustCompile(`(?i)\b(?:no|not|without|do not|w/o)\s+(?:be\s+)?interlock`)
)

// interlocks finds the tags that the row names as interlocked with it: in the
// interlock column every tag, elsewhere those behind such words as "interlock
// with" in the same sentence.
func (w *work) interlocks(known map[string]string) {
	var found []string
	take := func(text, field string) {
		for _, m := range tagsInText.FindAllString(strings.ToUpper(tidy(text)), -1) {
			for _, tag := range readTags(m).tags {
				key := NormalTag(tag)
				shown, onList := known[key]
				if !onList {
					shown = tag
				}
				if key == w.d.key || slices.Contains(found, shown) || !onList && notTags[Prefix(tag)] {
					continue
				}
				found = append(found, shown)
				if !onList {
					where := w.e.Where
					if c, ok := w.d.fields[field]; ok {
						where = placeOf(c)
					}
					w.say.add(finding.Caution, "unlisted-interlock", w.e.Tag, where, "add it to the list, or correct the tag", "is said to be interlocked with %s, which no list has", tag)
				}
			}
		}
	}
	take(w.text("interlock"), "interlock")
	texts := []struct{ text, field string }{{w.text("remarks"), "remarks"}, {w.text("control"), "control"}, {w.text("notes"), "notes"}, {w.text("service"), "service"}, {w.text("description"), "description"}}
	for _, n := range w.d.notes {
		texts = append(texts, struct{ text, field string }{n.Text, ""})
	}
	for _, one := range texts {
		for _, sentence := range sentenceEnd.Split(one.text, -1) {
			if at := interlockLead.FindStringIndex(sentence); at != nil && !notAnInter.MatchString(sentence) {
				take(sentence[at[1]:], one.field)
			}
		}
	}
	w.e.Interlocks = found
}

// notTags are words with a figure behind them that are no machines.
var notTags = map[string]bool{"NOTE": true, "NOTES": true, "LEVEL": true, "FLOOR": true, "ROOM": true, "DIV": true, "V": true, "STAGE": true, "STEP": true, "PHASE": true, "PH": true, "NO": true, "ZONE": true, "DETAIL": true, "SECTION": true, "SHEET": true, "P": true, "M": true, "E": true, "AT": true, "OF": true, "THE": true, "PANEL": true, "CO": true, "NFPA": true, "IMC": true, "UL": true}
