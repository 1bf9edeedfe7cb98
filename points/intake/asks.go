package intake

import (
	"regexp"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
)

var twoMotorWords = regexp.MustCompile(`(?i)\b(?:twin(?: fans?| extract| supply| unit)?|duplex|(?:duty|run)\s*(?:/|and|&|\+)\s*stand-?\s?by|dual fans?|two fans)\b`)

// twoMotors asks where one row seems to stand for two fans: twin, duty and
// standby, 2 x 5 hp.
func (w *work) twoMotors() {
	if said := w.text("power"); severalMotors.MatchString(said) {
		w.say.add(finding.Caution, "two-motors", w.e.Tag, w.placeOfField("power"), "write a quantity, or a row for each fan", "the motor is written as %q: a motor for each of several fans; one fan is planned", strings.TrimSpace(said))
		return
	}
	if len(w.e.Standby) > 0 { // the other has a row
		return
	}
	if w.d.family != "" || unicode.IsLetter(rune(w.d.tag[len(w.d.tag)-1])) { // EF-7-1, EF-7A: the other has a row
		return
	}
	for _, field := range []string{"type", "description", "service", "remarks"} {
		if m := twoMotorWords.FindString(w.text(field)); m != "" {
			w.say.add(finding.Caution, "two-motors", w.e.Tag, w.placeOfField(field), "write a quantity of two, or a row for each fan", "the row says %q, which commonly means two fans with a motor each; one is planned", m)
			return
		}
	}
}

var inLieu = regexp.MustCompile(`(?i)\b(?:alt(?:ernate)?s?|deduct|add alt)\b.*\b(?:in lieu of|in place of|instead of)\b`)

// partAlternate tells of an alternate that changes a part of the machine: it is
// not planned, and the machine is base bid.
func (w *work) partAlternate() {
	texts := []model.Text{{Text: w.text("remarks"), Where: w.placeOfField("remarks")}, {Text: w.text("notes"), Where: w.placeOfField("notes")}}
	for _, n := range append(texts, w.d.notes...) {
		if inLieu.MatchString(n.Text) {
			w.say.add(finding.Caution, "part-alternate", w.e.Tag, n.Where, "price the alternate apart", "%q is an alternate for a part of the machine; it is not planned", n.Text)
			return
		}
	}
}

var onlyWatched = regexp.MustCompile(`(?i)\b(?:(?:bas|bms|ddc)\s+)?(?:to\s+)?monitor(?:s|ed|ing)?(?:\s+by\s+(?:bas|bms|ddc))?\s+only\b`)

// monitorOnly asks where the row says that the BAS only watches, and a command
// is planned all the same.
func (w *work) monitorOnly() {
	if w.e.Control == "fire-panel" || w.e.Control == "none" {
		return
	}
	for _, field := range []string{"control", "remarks", "notes"} {
		if m := onlyWatched.FindString(w.text(field)); m != "" {
			w.say.add(finding.Caution, "unread-words", w.e.Tag, w.placeOfField(field), "strike the start point in the returned workbook, or state what starts the fan", "the row says %q; a start point is planned all the same", m)
			return
		}
	}
}

// notStated names what the list leaves open, for the clarifications of a bid.
func (w *work) notStated() {
	g := w.e.Ratings
	var open []string
	for _, one := range []struct {
		missing bool
		name    string
	}{{g.Airflow == nil, "airflow"}, {g.Power == nil && g.Current == nil, "motor size"}, {g.Service == nil, "electrical service"}, {g.MotorType == "", "motor type"},
		{w.e.Damper.Kind == "", "damper"}, {w.e.FireResponse == "", "fire response"}, {w.e.Emergency == nil, "emergency power"}} {
		if one.missing {
			open = append(open, one.name)
		}
	}
	if len(open) > 0 {
		w.say.add(finding.Note, "not-stated", w.d.tag, w.e.Where, "ask, or write it into the list or the project file", "the list does not state: %s", strings.Join(open, ", "))
	}
}
