package intake

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"tallywire/model"
)

// value is what a cell was read as. Empty: the cell says nothing. Problem: why
// it cannot be read; it then has no quantity.
type value struct {
	quantity *model.Quantity
	empty    bool
	pending  bool
	problem  string
	note     string // what had to be decided to read it
}

// quantity reads a number of a dimension; a bare number is in unit. A text that
// could mean two things is a problem, never a guess.
func (r *reader) quantity(text, dimension, unit string) value {
	v := r.readQuantity(text, dimension, unit)
	if v.problem == "" {
		return v
	}
	if m := severalMotors.FindStringSubmatch(text); m != nil && dimension == "power" {
		if each := r.readQuantity(m[2], dimension, unit); each.quantity != nil {
			each.quantity.Text = text
			return each
		}
	}
	if meant := asFigures(text); meant != text {
		if w := r.readQuantity(meant, dimension, unit); w.quantity != nil {
			v.problem += fmt.Sprintf(" (with figures for the letters in it, it would be %s)", shown(w.quantity))
		}
	}
	return v
}

// severalMotors is a motor size written for each of several: 2 x 5.5.
var severalMotors = regexp.MustCompile(`(?i)^\s*\(?([2-9])\)?\s*[x×*]\s*(\S.*)$`)

// asFigures puts the figures for which a scan reads letters: O, l and I beside
// figures, commas and strokes.
func asFigures(text string) string {
	near := func(c rune) bool { return c >= '0' && c <= '9' || strings.ContainsRune(",./OolI|", c) }
	runes := []rune(text)
	out := []rune(text)
	for i, c := range runes {
		figure := map[rune]rune{'O': '0', 'o': '0', 'l': '1', 'I': '1', '|': '1'}[c]
		if figure == 0 {
			continue
		}
		before, after := i > 0 && near(runes[i-1]), i+1 < len(runes) && near(runes[i+1])
		alone := (i == 0 || before) && (i+1 == len(runes) || after) && (before || after)
		if alone {
			out[i] = figure
		}
	}
	return string(out)
}

// readQuantity reads a number of a dimension as it stands.
func (r *reader) readQuantity(text, dimension, unit string) value {
	clean, _ := stripMarks(text)
	if isEmpty(clean) || strings.EqualFold(tidy(clean), "none") {
		return value{empty: true}
	}
	if isPending(clean) {
		return value{pending: true}
	}
	s := strings.ToLower(tidy(unwrap(clean)))
	if was, ok := dateOfFraction(s); ok {
		return value{problem: "is a date; a spreadsheet makes one of the fraction " + was}
	}
	if was, ok := serialOfFraction(s, dimension); ok {
		return value{problem: "is a date as a spreadsheet counts days; it makes one of the fraction " + was}
	}
	figures := r.scan(s)
	var wanted, bare []figure
	for _, f := range figures {
		switch {
		case f.measure == nil:
			bare = append(bare, f)
		case f.measure.Dimension == dimension:
			wanted = append(wanted, f)
		case dimension == "pressure" && waterColumn[f.measure.ID] != "": // 0.5" under E.S.P.
			f.measure = r.measure(waterColumn[f.measure.ID])
			wanted = append(wanted, f)
		}
	}
	if len(wanted) > 0 && negative(s, wanted[0].start) {
		return value{problem: "is negative"}
	}
	if a, b, ok := span(s, dimension, figures, len(wanted) == 0); ok {
		return value{problem: fmt.Sprintf("is a range (%s to %s): the duty is one figure", model.Figure(a), model.Figure(b))}
	}
	if len(wanted) == 0 {
		return noZero(r.bareNumber(s, text, dimension, unit, figures, bare), dimension)
	}
	for _, f := range bare {
		if strings.TrimSpace(s[f.end:max(f.end, wanted[0].start)]) == "" && f.end <= wanted[0].start {
			return value{problem: "holds two numbers side by side"}
		}
	}
	return noZero(choose(wanted, unit, text), dimension)
}

// waterColumn are the lengths that stand for the height of a column of water where
// a pressure is asked for.
var waterColumn = map[string]string{"in": "in.wc", "mm": "mm.wc"}

// negative reports whether a number has a minus sign of its own.
func negative(s string, at int) bool {
	before := strings.TrimRight(s[:at], " ")
	if !strings.HasSuffix(before, "-") {
		return false
	}
	before = strings.TrimRight(before[:len(before)-1], " ")
	return before == "" || strings.HasSuffix(before, "(") || strings.HasSuffix(before, "=") || strings.HasSuffix(before, ":")
}

// noZero makes a nought of what cannot be nought a value not given: programs
// export 0 for a field that nobody filled.
func noZero(v value, dimension string) value {
	if v.quantity != nil && v.quantity.Value.Hi == 0 && dimension != "pressure" {
		return value{empty: true}
	}
	return v
}

var (
	isoDate = regexp.MustCompile(`^\d{4}-(\d{2})-(\d{2})(?:[ t]00:00(?::00)?)?$`)
	dayName = regexp.MustCompile(`^(\d{1,2})[- ]([a-z]{3})[a-z]*$`)
	nameDay = regexp.MustCompile(`^([a-z]{3})[a-z]*[- ](\d{1,2})$`)
	months  = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
)

// dateOfFraction recognises what spreadsheets make of a typed fraction: 1/4
// becomes the fourth of January.
func dateOfFraction(s string) (was string, ok bool) {
	if m := isoDate.FindStringSubmatch(s); m != nil {
		return itoa(atoi(m[1])) + "/" + itoa(atoi(m[2])), true
	}
	month, day := "", ""
	if m := dayName.FindStringSubmatch(s); m != nil {
		day, month = m[1], m[2]
	} else if m := nameDay.FindStringSubmatch(s); m != nil {
		month, day = m[1], m[2]
	}
	if i := slices.Index(months, month); i >= 0 {
		return itoa(i+1) + "/" + day, true
	}
	return "", false
}

// serialOfFraction recognises the number of a day that is left of a typed
// fraction once the format of its cell is lost: 44928 is 2 January 2023, 1/2.
func serialOfFraction(s, dimension string) (was string, ok bool) {
	const first, last = 36526, 55153 // 2000-01-01 and 2050-12-31
	if len(s) != 5 || digits(s) != 5 || dimension != "power" {
		return "", false
	}
	n := atoi(s)
	if n < first || n > last {
		return "", false
	}
	day := time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n)
	return itoa(int(day.Month())) + "/" + itoa(day.Day()), true
}

// unwrap takes the value out of a type name that a program put round it:
// IFCREAL(125.0).
func unwrap(s string) string {
	upper := strings.ToUpper(s)
	if strings.HasPrefix(upper, "IFC") && strings.HasSuffix(upper, ")") {
		if i := strings.IndexByte(s, '('); i > 0 {
			return s[i+1 : len(s)-1]
		}
	}
	return s
}

// bareNumber reads a text in which no number carries a unit of the dimension.
func (r *reader) bareNumber(s, text, dimension, unit string, figures, bare []figure) value {
	if i := strings.IndexByte(s, '@'); i > 0 && len(bare) > 0 && bare[0].end <= i { // 600 @ 0.4": what stands behind is the point of the curve
		s, figures = s[:i], []figure{bare[0]}
		bare = bare[:1]
	}
	for _, f := range figures {
		if f.measure != nil && f.measure.Dimension != dimension {
			what, other := strings.CutPrefix(f.measure.ID, "none:")
			if other {
				what = "a figure of another kind (" + what + ")"
			} else {
				what = model.Figure(f.value) + " " + what
			}
			return value{problem: fmt.Sprintf("holds %s, which is no %s", what, dimension)}
		}
	}
	switch {
	case len(bare) == 0:
		return value{problem: "holds no number that can be read"}
	case len(bare) > 1:
		return value{problem: fmt.Sprintf("holds %d numbers and no unit that tells which one is meant", len(bare))}
	case !onlyFluff(s[:bare[0].start]) || !onlyFluff(s[bare[0].end:]):
		return value{problem: "holds a number among words, without a unit"}
	case unit == "":
		return value{problem: "has no unit, nor has its heading"}
	case strings.HasSuffix(strings.TrimSpace(s[:bare[0].start]), "-"):
		return value{problem: "is negative"}
	}
	return figureValue(bare[0], unit, text)
}

// onlyFluff reports whether what stands round a number says nothing: about,
// each, a remark in brackets without figures.
func onlyFluff(s string) bool {
	s = strings.Trim(s, " ~±<>=:.,*#-")
	switch s {
	case "", "approx", "about", "approximately", "each", "ea", "per fan", "max", "min", "nominal", "(each)", "(ea)", "(typ)", "typ", "(e)", "(n)", "existing", "new", "(existing)", "(max)", "(min)", "+/-", "e", "n", "circa", "ca", "ec", "ecm", "ec motor", "ecm motor", "psc", "tefc", "odp", "maximum", "minimum", "(per fan)", "total":
		return true
	}
	return false
}

// span finds two numbers that are the ends of a range: 991-1905 LPS.
// Bare numbers make one only where nothing else carries the unit.
func span(s, dimension string, figures []figure, bare bool) (a, b float64, ok bool) {
	for i := 1; i < len(figures); i++ {
		x, y := figures[i-1], figures[i]
		between := strings.TrimSpace(s[x.end:y.start])
		joined := between == "-" || between == "to" || between == "thru" || between == "through" || between == ".."
		ours := y.measure != nil && y.measure.Dimension == dimension && (x.measure == nil || x.measure == y.measure)
		if joined && (ours || bare && x.measure == nil && y.measure == nil) && x.value < y.value {
			return x.value, y.value, true
		}
	}
	return 0, 0, false
}

// choose takes the figure of several in different units that say the same,
// the one in the usual unit first.
func choose(wanted []figure, unit, text string) value {
	best := wanted[0]
	for _, f := range wanted {
		if f.measure.ID == unit {
			best = f
			break
		}
	}
	a := model.Quantity{Value: model.Exactly(best.value), Unit: best.measure.ID}
	for _, f := range wanted {
		b, ok := model.Quantity{Value: model.Exactly(f.value), Unit: f.measure.ID}.In(a.Unit)
		// Two units on one drawing are commonly rounded by up to a tenth.
		if !ok || math.Abs(b.Lo-a.Value.Lo) > 0.1*math.Max(a.Value.Lo, b.Lo) {
			return value{problem: fmt.Sprintf("holds two readings that disagree: %s %s and %s %s", model.Figure(best.value), best.measure.ID, model.Figure(f.value), f.measure.ID)}
		}
	}
	return figureValue(best, best.measure.ID, text)
}

func figureValue(f figure, unit, text string) value {
	if f.value > 1e9 || math.IsInf(f.value, 0) {
		return value{problem: "is far too large"}
	}
	return value{quantity: &model.Quantity{Value: model.Exactly(f.value), Unit: unit, Text: strings.TrimSpace(text)}}
}

// count reads a whole number of machines: 4, 4 EA, TYP OF 3, (2).
func (r *reader) count(text string) (n int, v value) {
	clean, _ := stripMarks(text)
	switch {
	case isEmpty(clean):
		return 0, value{empty: true}
	case isPending(clean):
		return 0, value{pending: true}
	}
	s := strings.ToLower(tidy(clean))
	if m := typicalOf.FindStringSubmatch(s); m != nil {
		s = m[1]
	}
	s = strings.Trim(s, "()[] .")
	for _, word := range []string{"each", "ea", "units", "unit", "fans", "fan", "no.", "no", "x", "off", "pcs", "total", "typ"} {
		s = strings.Trim(strings.TrimSuffix(s, word), " .,")
	}
	s = strings.TrimPrefix(s, "x ")
	f, size := number(s)
	if size != len(s) || f != math.Trunc(f) || f < 0 || f > 5000 || s == "" {
		return 0, value{problem: "is no whole number"}
	}
	return int(f), value{}
}

// answer reads yes or no; other words are a problem that the caller may take
// as a remark.
func answer(text string) (yes bool, v value) {
	clean, _ := stripMarks(text)
	s := strings.ToLower(strings.Trim(tidy(clean), " .()"))
	switch s {
	case "yes", "y", "x", "true", "1", "required", "req'd", "reqd", "req", "✓", "✔", "√", "●", "•", "☑", "☒", "provided", "incl", "included", "provide", "with", "on", "ja", "oui", "si":
		return true, value{}
	case "no", "n", "false", "0", "none", "not required", "not req'd", "nr", "n.r", "without", "off", "☐", "○":
		return false, value{}
	}
	switch {
	case isEmpty(clean):
		return false, value{empty: true}
	case isPending(clean):
		return false, value{pending: true}
	}
	return false, value{problem: "is neither yes nor no"}
}
