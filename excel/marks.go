package excel

import (
	"hash/fnv"
	"slices"
	"strings"

	"tallywire/model"
)

// markColumn is the hidden column at the end of a table with keys. It holds
// two letters for each cell of ours in the row, by which it can be told later
// whether the cell still says what was issued, even when the plan has moved on.
var markColumn = column{id: "mark", title: "Mark", least: 8, most: 8, look: lookCode, hidden: true}

const markLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"

// mark makes the mark of a row.
func mark(columns []column, cells []value) string {
	b := make([]byte, 0, 2*len(columns))
	for i := range columns {
		if marked(columns[i]) {
			m := cellMark(plainWords(cells[i]))
			b = append(b, m[0], m[1])
		}
	}
	return string(b)
}

// marked reports whether a column's cells are ours to compare.
func marked(c column) bool { return !c.input && c.id != "mark" }

// cellMark is two letters for a text; two dots for none. Letter case and
// blanks at the ends do not count.
func cellMark(words string) [2]byte {
	words = canonical(words)
	if words == "" {
		return [2]byte{'.', '.'}
	}
	h := fnv.New32a()
	h.Write([]byte(words))
	n := h.Sum32()
	n ^= n >> 12
	return [2]byte{markLetters[n&63], markLetters[n>>6&63]}
}

// plainWords is a cell as text, the way a reader shows it.
func plainWords(v value) string {
	switch v.kind {
	case numberValue, formulaNumber:
		return general(v.number)
	}
	return fitCell(v.text)
}

// canonical is the form in which texts are compared: programs change line
// ends and trailing blanks on their own.
func canonical(s string) string {
	s = strings.TrimSpace(s)
	if strings.IndexByte(s, '\r') >= 0 {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	}
	return s
}

// keyed completes the columns of a table with keys: cells that are other
// people's are filled with what they wrote, their own columns are added.
func (is *issued) keyedColumns(sheet string) []model.OwnColumn {
	own := slices.Clone(is.kept.own[sheet])
	if sheet == pointSheetName {
		for _, title := range is.plan.Settings.Workbook.OwnColumns {
			if !slices.ContainsFunc(own, func(c model.OwnColumn) bool { return strings.EqualFold(c.Title, title) }) {
				own = append(own, model.OwnColumn{Sheet: sheet, Title: title})
			}
		}
	}
	return own
}

// keyedFields fills the input columns of a table from what people wrote and
// adds their own columns before the key.
func keyedFields[T any](is *issued, sheet string, key func(T) string, fields []field[T]) []field[T] {
	out := make([]field[T], 0, len(fields)+4)
	for _, f := range fields {
		if f.input {
			id := f.id
			f.get = func(item T) value { return is.kept.entry(sheet, key(item), id) }
		}
		if f.id == "key" {
			for _, c := range is.keyedColumns(sheet) {
				title := c.Title
				out = append(out, field[T]{column{id: ownID(title), title: title, least: 12, most: 30, look: lookInput, input: true,
					note: ownColumnNote},
					func(item T) value { return is.kept.entry(sheet, key(item), ownID(title)) }})
			}
		}
		out = append(out, f)
	}
	return out
}

// ownColumnNote stands at the heading of a column that people added.
const ownColumnNote = "A column of your own; it comes back with every issue"

// ownID is the id of a column that is not ours.
func ownID(title string) string { return "own:" + strings.ToLower(title) }

// notesOn are the notes that people put at cells of a table.
func notesOn[T any](is *issued, s *sheet, items []T, key func(T) string) []note {
	if len(is.kept.notes) == 0 {
		return nil
	}
	var out []note
	for r, item := range items {
		k := key(item)
		for c, col := range s.columns {
			if words := is.kept.notes[spot{s.name, k, col.id}]; words != "" {
				out = append(out, note{cellName(c+1, r+2), words})
			}
		}
	}
	return out
}
