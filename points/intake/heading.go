package intake

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"tallywire/model/finding"
	"tallywire/points/library"
)

// heading is what the heading of a column was read as.
type heading struct {
	field *library.Heading // nil: no word of the library
	unit  string           // the unit that stands in it, "" none
	scale float64          // values are to be multiplied by it; 0 or 1 not
	marks []string         // footnote marks
	text  string           // as typed, its lines joined
	other string           // a second unit in brackets: CFM (L/S)
	parts []string         // the fields of a heading that names several: HP / V / PH
}

// use returns what the column is good for, "" unknown.
func (h heading) use() string {
	if h.field == nil {
		return ""
	}
	return h.field.Use
}

// is reports whether the column holds a field.
func (h heading) is(field string) bool {
	return h.field != nil && h.field.Use == library.UseField && h.field.ID == field
}

var (
	camel       = regexp.MustCompile(`([a-z0-9])([A-Z])`)
	camelRun    = regexp.MustCompile(`([A-Z]+)([A-Z][a-z])`)
	initials    = regexp.MustCompile(`\b(?:[A-Za-z]\.\s?){1,5}[A-Za-z]?\b\.?`)
	brackets    = regexp.MustCompile(`[(\[{]([^()\[\]{}]*)[)\]}]`)
	scaled      = regexp.MustCompile(`(?i)^\s*([a-z0-9/³²]+)\s*(?:x|\*|×)\s*([0-9]+(?:\.[0-9]+)?)\s*$`)
	ownTag      = regexp.MustCompile(`^[A-Z]{1,4}-\d{1,3}[A-Z]?\s+`) // a heading that begins with the tag of its machine
	foreign     = regexp.MustCompile(`^[^A-Za-z]*[^\x00-\x7F]\S*\s+(.+)$`)
	leadingMark = regexp.MustCompile(`^\s*\d\s+([A-Za-z])`)
)

// fillers are words that change nothing in a heading.
var fillers = []string{"the", "of", "design", "data", "each", "rated", "nameplate", "required", "scheduled", "total", "at", "and", "or", "in", "a", "to", "selected", "specified", "y", "n", "yes", "no", "unit", "fan", "air", "duct", "info", "information", "note", "notes", "list"}

// words evens out a heading: case, dots between initials, run-together words,
// abbreviations.
func (r *reader) words(text string) []string {
	s := tidy(text)
	s = strings.NewReplacer("Φ", " phase ", "ϕ", " phase ", "∅", " phase ", "⌀", " phase ", "ø", " phase ", "Ø", " phase ", "φ", " phase ", "ɸ", " phase ", "#", " number ", "&", " and ", "%", " percent ", "+", " and ").Replace(s)
	s = initials.ReplaceAllStringFunc(s, func(m string) string {
		return " " + strings.NewReplacer(".", "", " ", "").Replace(m) + " "
	})
	s = camelRun.ReplaceAllString(camel.ReplaceAllString(s, "$1 $2"), "$1 $2")
	fields := strings.FieldsFunc(strings.ToLower(s), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
	var out []string
	for _, w := range fields {
		if full, ok := r.lib.Abbreviations[w]; ok {
			out = append(out, strings.Fields(full)...)
			continue
		}
		out = append(out, w)
	}
	return out
}

// lookup finds the heading for a list of words: as they stand, then in any
// order, then without words that change nothing.
func (r *reader) lookup(words []string) *library.Heading {
	if len(words) == 0 {
		return nil
	}
	if h := r.exact[strings.Join(words, " ")]; h != nil {
		return h
	}
	if h := r.unordered[unorderedKey(words)]; h != nil {
		return h
	}
	lean := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(fillers, w) || digits(w) == len(w) })
	if len(lean) == len(words) || len(lean) == 0 {
		return nil
	}
	if h := r.exact[strings.Join(lean, " ")]; h != nil {
		return h
	}
	return r.unordered[unorderedKey(lean)]
}

// heading reads the heading of one column from the lines that stand over it,
// the group heading first.
func (r *reader) heading(lines []string) heading {
	key := strings.Join(lines, "\x00")
	if h, known := r.read[key]; known {
		return h
	}
	h := r.readHeading(lines)
	r.read[key] = h
	return h
}

func (r *reader) readHeading(lines []string) heading {
	h := heading{text: strings.Join(lines, " ")}
	var parts []string
	bracketed := ""
	for _, line := range lines {
		text, marks := stripMarks(line)
		h.marks = append(h.marks, marks...)
		text = brackets.ReplaceAllStringFunc(text, func(m string) string {
			inner := strings.TrimSpace(m[1 : len(m)-1])
			if unit, scale, ok := r.unitOf(inner); ok {
				h.unit, h.scale, bracketed = unit, scale, inner
				if slices.Equal(r.words(inner), []string{"brake", "hp"}) { // a unit that says more than its measure
					return " " + inner + " "
				}
				return " "
			}
			return " " + inner + " "
		})
		text = ownTag.ReplaceAllString(strings.TrimRight(strings.TrimSpace(text), ":"), "")
		if unit, _, ok := r.unitOf(text); ok && len(parts) > 0 { // a line that is only a unit
			if h.unit == "" {
				h.unit = unit
			}
			parts = append(parts, text)
			continue
		}
		if text != "" {
			parts = append(parts, text)
		}
	}
	if len(parts) > 0 && isFigure(parts[len(parts)-1]) { // a table of performance, headed by its figures
		h.field = r.byID("performance")
		return h
	}
	if len(parts) == 0 {
		h.field = r.lookup(r.words(bracketed))
		if h.field == nil && strings.HasPrefix(h.unit, "none:") {
			h.field = r.byID("heat")
		}
		return h
	}
	if r.exact[strings.Join(r.words(h.text), " ")] == nil {
		h.parts = r.several(h.text)
	}
	if h.parts == nil {
		h.field = r.bestOf(parts, &h)
	}
	if h.field == nil && h.parts == nil {
		h.field = r.telling(parts)
	}
	r.secondUnit(&h, bracketed)
	r.heedUnit(&h)
	return h
}

// secondUnit sorts out a heading with two units of one dimension, CFM (L/S):
// figures stand in the first, and in the second where brackets are round them.
func (r *reader) secondUnit(h *heading, bracketed string) {
	second, _, ok := r.unitOf(bracketed)
	if bracketed == "" || !ok || h.field == nil {
		return
	}
	plain, _ := stripMarks(h.text)
	plain = strings.TrimSpace(brackets.ReplaceAllString(plain, " "))
	_, first, ok := r.cutUnit(plain)
	if !ok {
		if first, _, ok = r.unitOf(plain); !ok {
			return
		}
	}
	if first != second && r.dimensionOf(first) == r.dimensionOf(second) {
		h.unit, h.other = first, second
	}
}

// several reads a heading that names several fields with strokes between them,
// MOTOR (HP / V / PH); nil if it does not name at least two.
func (r *reader) several(text string) []string {
	if m := brackets.FindStringSubmatch(text); m != nil && strings.Contains(m[1], "/") {
		text = m[1]
	}
	names := strings.Split(text, "/")
	if len(names) < 2 || len(names) > 5 {
		return nil
	}
	var out []string
	for _, name := range names {
		h := r.lookup(r.words(name))
		if unit, _, ok := r.unitOf(name); h == nil && ok {
			h = r.byUnit(r.dimensionOf(unit))
		}
		if h == nil || h.Use != library.UseField || h.ID == "tag" || slices.Contains(out, h.ID) {
			return nil
		}
		out = append(out, h.ID)
	}
	return out
}

// heedUnit lets the unit in a heading correct its words: a speed in cfm is an
// airflow, an area served in square feet is a floor area, a capacity in tons
// is nothing to the job.
func (r *reader) heedUnit(h *heading) {
	if h.use() == library.UseField && h.field.Value == "pressure" && waterColumn[h.unit] != "" { // S.P. (IN)
		h.unit = waterColumn[h.unit]
	}
	m := r.measure(h.unit)
	if h.use() == library.UseNotNeeded && (h.field.ID == "heat" || slices.Equal(r.words(h.text[:min(len(h.text), 4)]), []string{"duty"})) && m != nil && m.Dimension == "airflow" { // CAPACITY (CFM), Duty (l/s)
		h.field = r.byID("airflow")
	}
	if h.use() != library.UseField || m == nil || m.Dimension == h.field.Value {
		return
	}
	switch {
	case h.field.ID == "service" && m.Dimension == "area":
		h.field = r.byID("floor_area")
	case h.field.Unit == "":
	case m.Dimension == "none":
		h.field = r.byID("heat")
	default:
		if other := r.byUnit(m.Dimension); other != nil {
			h.field = other
		}
	}
}

// bestOf tries the lines together, then without the group headings, then with
// a trailing unit taken off, then the unit alone.
func (r *reader) bestOf(parts []string, h *heading) *library.Heading {
	if last := len(parts) - 1; last > 0 { // the group heading to the left of NOTES ends there
		if alone := r.lookup(r.words(parts[last])); alone != nil && alone.Use == library.UseField && slices.Contains(ownGroup, alone.ID) {
			if grouped := r.exact[strings.Join(r.words(strings.Join(parts, " ")), " ")]; grouped == nil {
				return alone
			}
		}
	}
	for from := range parts {
		if found := r.lookup(r.words(strings.Join(parts[from:], " "))); found != nil {
			r.trailingUnit(parts[from:], h)
			return found
		}
	}
	for from := range parts {
		if text, unit, ok := r.cutUnit(strings.Join(parts[from:], " ")); ok {
			if found := r.lookup(r.words(text)); found != nil {
				h.unit = unit
				return found
			}
		}
		if len(parts)-from > 2 { // group, sub-heading, unit line: the outer two may be enough
			if found := r.lookup(r.words(strings.Join(parts[from:len(parts)-1], " "))); found != nil && found.Use == library.UseField {
				r.trailingUnit(parts[from:], h)
				return found
			}
		}
	}
	if m := leadingMark.FindStringIndex(parts[0]); m != nil { // a raised note number that lost its place
		if found := r.lookup(r.words(strings.Join(append([]string{strings.TrimSpace(parts[0][1:])}, parts[1:]...), " "))); found != nil {
			return found
		}
	}
	for _, part := range parts { // a foreign word with the known one in brackets
		for _, m := range foreign.FindAllStringSubmatch(part, -1) {
			if found := r.lookup(r.words(m[1])); found != nil && found.Use == library.UseField {
				return found
			}
		}
	}
	return nil
}

// ownGroup are the fields that belong to no group of columns.
var ownGroup = []string{"notes", "remarks", "tag"}

func isFigure(s string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return err == nil
}

// trailingUnit notes the unit that a heading ends in, if nothing said one.
func (r *reader) trailingUnit(parts []string, h *heading) {
	if h.unit != "" {
		return
	}
	if _, unit, ok := r.cutUnit(strings.Join(parts, " ")); ok {
		h.unit = unit
	} else if unit, _, ok := r.unitOf(parts[len(parts)-1]); ok {
		h.unit = unit
	}
}

// cutUnit takes a unit off the end of a heading.
func (r *reader) cutUnit(text string) (rest, unit string, ok bool) {
	s := strings.ToLower(strings.Trim(tidy(text), " .:-"))
	for _, sp := range r.spellings {
		if cut, found := strings.CutSuffix(s, sp.text); found && cut != "" && !letterBefore(cut+" ", len(cut)) || found && strings.HasSuffix(cut, " ") {
			if trimmed := strings.Trim(cut, " ,-/:([."); trimmed != "" && !letterRunsOn(cut) {
				return trimmed, sp.measure.ID, true
			}
		}
	}
	return text, "", false
}

func letterRunsOn(cut string) bool {
	runes := []rune(cut)
	return len(runes) > 0 && (unicode.IsLetter(runes[len(runes)-1]) || unicode.IsDigit(runes[len(runes)-1]))
}

// unitOf reads a text that is a unit and nothing else, or a scaled one: cfm x 8.5.
func (r *reader) unitOf(text string) (unit string, scale float64, ok bool) {
	s := strings.ToLower(strings.Trim(tidy(text), " .:()[]"))
	for _, sp := range r.spellings {
		if s == sp.text || s == strings.Trim(sp.text, ".") {
			return sp.measure.ID, 1, true
		}
	}
	if m := scaled.FindStringSubmatch(s); m != nil {
		if unit, _, ok := r.unitOf(m[1]); ok {
			k, err := strconv.ParseFloat(m[2], 64)
			return unit, k, err == nil && k > 0
		}
	}
	return "", 0, false
}

// telling finds a word that settles a heading as not needed or a title
// wherever it stands in it.
func (r *reader) telling(parts []string) *library.Heading {
	text := strings.Join(parts, " ")
	words := r.words(text)
	if len(words) == 0 {
		return nil
	}
	for i := range r.lib.Headings { // FAN SCHEDULE, HEATING SECTION: the last word makes a title
		if h := &r.lib.Headings[i]; h.Use == library.UseTitle && slices.Contains(h.Within, words[len(words)-1]) {
			return h
		}
	}
	joined := " " + strings.Join(words, " ") + " "
	runs := strings.Fields(strings.ToLower(tidy(text)))
	for i := range r.lib.Headings {
		h := &r.lib.Headings[i]
		for _, w := range h.Within {
			if strings.Contains(joined, " "+strings.Join(r.words(w), " ")+" ") || begins(runs, w) {
				return h
			}
		}
	}
	return nil
}

// begins reports whether a word that a program ran together with others
// begins with w: bacnetname.
func begins(runs []string, w string) bool {
	const telling = 6 // letters; shorter beginnings belong to other words too
	return len(w) >= telling && slices.ContainsFunc(runs, func(run string) bool { return strings.HasPrefix(run, w) })
}

func (r *reader) nearestHeading(text string) string {
	return finding.Nearest(strings.ToLower(strings.TrimSpace(text)), r.phrases)
}

func (r *reader) measure(id string) *library.Measure {
	for i := range r.lib.Measures {
		if r.lib.Measures[i].ID == id {
			return &r.lib.Measures[i]
		}
	}
	return nil
}

// dimensionOf is what a unit measures, "" if there is none.
func (r *reader) dimensionOf(unit string) string {
	if m := r.measure(unit); m != nil {
		return m.Dimension
	}
	return ""
}

func (r *reader) byID(id string) *library.Heading {
	for i := range r.lib.Headings {
		if r.lib.Headings[i].ID == id {
			return &r.lib.Headings[i]
		}
	}
	return nil
}

// byUnit returns the field that a unit alone stands for: rpm is the fan speed.
func (r *reader) byUnit(dimension string) *library.Heading {
	id := map[string]string{"airflow": "airflow", "power": "power", "speed": "speed", "current": "current", "pressure": "static_pressure", "voltage": "voltage", "frequency": "hertz"}[dimension]
	if id == "" {
		return nil
	}
	return r.byID(id)
}
