package intake

import (
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
)

// footnoteRow takes a row that is a footnote: a mark and a text, in one cell
// or in two.
func (r *reader) footnoteRow(t *table, row gridRow, inNotes bool, notes map[string]model.Text, general *[]model.Text) bool {
	if len(row.sorted) > 2 {
		return false
	}
	first := strings.TrimSpace(row.cells[row.sorted[0]])
	where := whereOf(t.grid, row, row.sorted[0])
	if len(row.sorted) == 2 {
		second := tidy(row.cells[row.sorted[1]])
		text, marks := stripMarks(first)
		mark := strings.Trim(tidy(text), " .):(")
		if mark == "" && len(marks) == 1 {
			mark = marks[0]
		}
		if len(mark) > 2 || mark == "" || !strings.Contains(second, " ") || looksLikeTag(first) && !inNotes {
			return false
		}
		notes[strings.ToUpper(mark)] = model.Text{Text: second, Where: where}
		return true
	}
	runes := []rune(first)
	if mark, ok := circled(runes[0]); ok && len(runes) > 2 {
		notes[mark] = model.Text{Text: tidy(string(runes[1:])), Where: where}
		return true
	}
	m := footnote.FindStringSubmatch(first)
	if m == nil || !strings.Contains(strings.TrimSpace(m[5]), " ") && !inNotes {
		return false
	}
	notes[strings.ToUpper(m[1]+m[2]+m[3]+m[4])] = model.Text{Text: tidy(m[5]), Where: where}
	return true
}

// decodeLetters reads footnotes such as "B = BELT DRIVE, D = DIRECT" that
// explain the letters of the column whose heading carries their mark.
func (t *table) decodeLetters(notes map[string]model.Text) {
	for i := range t.columns {
		for _, m := range t.columns[i].heading.marks {
			note, ok := notes[strings.ToUpper(m)]
			if !ok {
				continue
			}
			for _, pair := range letterPairs.FindAllStringSubmatch(note.Text, -1) {
				if t.columns[i].codes == nil {
					t.columns[i].codes = map[string]string{}
				}
				t.columns[i].codes[strings.ToUpper(pair[1])] = strings.TrimSpace(pair[2])
			}
		}
	}
}

var letterPairs = regexp.MustCompile(`\b([A-Za-z]{1,3})\s*=\s*([^,;=]+?)\s*(?:,|;|\.|$)`)

// resolveNotes gives a draft the footnotes that its cells name, and replaces
// letters that a footnote explains.
func (r *reader) resolveNotes(t *table, d *draft, notes map[string]model.Text, general []model.Text) {
	var marks []string
	for _, c := range t.columns {
		text, ok := t.rowText(d, c)
		if !ok {
			continue
		}
		clean, found := stripMarks(text)
		marks = append(marks, found...)
		if m := seeNote.FindStringSubmatch(clean); m != nil {
			marks = append(marks, markList(m[1])...)
		}
		if c.heading.is("notes") || c.heading.is("remarks") {
			if list := markList(strings.Trim(clean, "() ")); allMarks(list) {
				marks = append(marks, list...)
			}
			for _, m := range remarkNotes.FindAllStringSubmatch(clean, -1) {
				marks = append(marks, markList(m[1])...)
			}
		}
		if full, ok := c.codes[strings.ToUpper(strings.TrimSpace(clean))]; ok && c.heading.field != nil {
			if f, ok := d.fields[c.heading.field.ID]; ok {
				d.note = "the footnote explains " + strings.TrimSpace(clean) + " as " + full
				f.text = full
				d.fields[c.heading.field.ID] = f
			}
		}
	}
	seen := map[string]bool{}
	for _, m := range marks {
		m = strings.ToUpper(m)
		if n, ok := notes[m]; ok && !seen[m] {
			seen[m] = true
			d.notes = append(d.notes, n)
		}
	}
	for _, g := range general {
		if everyFan.MatchString(g.Text) {
			d.notes = append(d.notes, g)
		}
	}
	for _, m := range sortedMarks(notes) {
		if everyFan.MatchString(notes[m].Text) && !seen[m] {
			d.notes = append(d.notes, notes[m])
		}
	}
}

var (
	everyFan    = regexp.MustCompile(`(?i)^\s*(?:all|each|every)\s+(?:the\s+)?(?:(?:exhaust|supply|return)\s+)?(?:fans?|units?)\b`)
	remarkNotes = regexp.MustCompile(`(?i)\bnotes?\s*#?\s*([0-9]{1,2}(?:\s*(?:,|&|and|-)\s*[0-9]{1,2})*)`)
)

func sortedMarks(notes map[string]model.Text) []string {
	out := make([]string, 0, len(notes))
	for m := range notes {
		out = append(out, m)
	}
	slices.Sort(out)
	return out
}

func allMarks(list []string) bool {
	for _, m := range list {
		if len(m) > 2 || len(m) == 2 && !(digitAt(m, 0) && digitAt(m, 1)) {
			return false
		}
	}
	return len(list) > 0
}

// rowText returns the text of the draft's row in a column.
func (t *table) rowText(d *draft, c column) (string, bool) {
	i, ok := slices.BinarySearchFunc(t.grid.rows, d.row, func(row gridRow, n int) int { return row.number - n })
	if !ok {
		return "", false
	}
	text, ok := t.grid.rows[i].cells[c.number]
	return text, ok
}
