package excel

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// compare finds what people did, row by row.
func (t *returnedTable) compare() {
	for i := range t.rows {
		row := &t.rows[i]
		ours, known := t.e.rows[row.key]
		if t.e.name == pointSheetName && row.key != "" && len(t.e.rows) > 0 {
			t.rowsHeld++
			if known {
				t.rowsKnown++
			}
		}
		switch earlier, twice := t.seen[row.key]; {
		case row.key != "" && twice:
			t.second(row, &t.rows[earlier])
			continue
		case !known:
			t.strange(row)
			continue
		}
		t.seen[row.key] = i
		t.compareRow(row, ours)
	}
	for _, key := range t.e.order {
		if _, ok := t.seen[key]; ok {
			continue
		}
		if !t.out.Current { // the plan may have gained the row since
			continue
		}
		t.out.Edits = append(t.out.Edits, model.Edit{Kind: model.EditGone, Sheet: t.e.name, Key: key, Means: key + " is no longer wanted, or its row was lost",
			Where: &model.Where{File: t.out.File, Sheet: t.ref.name}})
		t.say("returned-row-gone", finding.Caution, key, "The row is missing", "Nothing is removed for that; state it in the project file if the row is not wanted",
			model.Where{File: t.out.File, Sheet: t.ref.name})
	}
}

func (t *returnedTable) compareRow(row *returnedRow, ours []string) {
	for _, n := range sortedColumns(t.heads) {
		id, c := t.ids[n], row.cells[n]
		if id == "key" || id == "mark" {
			continue
		}
		index := columnIndex(t.e.columns, id)
		switch {
		case index < 0:
			t.entry(model.EditOwn, row, n, id)
		case t.e.columns[index].input:
			kind := model.EditAnswer
			if strings.HasPrefix(id, "own:") {
				kind = model.EditOwn
			}
			t.entry(kind, row, n, id)
		case !sameWords(cellWords(c), ours[index]):
			t.changed(row, n, t.e.columns[index], ours[index])
		}
	}
}

// entry is a filled cell that is other people's to fill.
func (t *returnedTable) entry(kind string, row *returnedRow, n int, id string) {
	c := row.cells[n]
	words := cellWords(c)
	if words == "" {
		return
	}
	if i := columnIndex(t.e.columns, id); i >= 0 && len(t.e.columns[i].choices) > 0 {
		choices := t.e.columns[i].choices
		if low := strings.ToLower(words); slices.Contains(choices, low) {
			words = low
		} else {
			fix := "Use one of: " + strings.Join(choices, ", ")
			if near := finding.Nearest(words, choices); near != "" {
				fix += fmt.Sprintf("; nearest is %q", near)
			}
			t.say("returned-answer-unknown", finding.Caution, row.key, fmt.Sprintf("%q is none of the answers under %q", words, t.heads[n]), fix,
				t.where(t.ref, n, row.number))
		}
	}
	t.add(model.Edit{Kind: kind, Key: row.key, Field: id, New: words, Number: plainNumber(&c),
		Means: fmt.Sprintf("%s, %s: %s", row.key, t.heads[n], words)}, row, n)
}

// changed is a cell of ours that no longer says what the plan says.
func (t *returnedTable) changed(row *returnedRow, n int, c column, ours string) {
	theirs := row.cells[n]
	m, known := t.issuedMark(row, c.id)
	if known && cellMark(cellWords(theirs)) == m && cellMark(ours) != m {
		return // still as issued; it is the plan that has moved
	}
	e := model.Edit{Kind: model.EditValue, Key: row.key, Field: c.id, Old: ours, New: cellWords(theirs), Number: plainNumber(&theirs),
		Moved: known && cellMark(ours) != m, Means: fmt.Sprintf("%s of %s would change from %q to %q", c.title, row.key, ours, cellWords(theirs))}
	t.add(e, row, n)
}

func (t *returnedTable) add(e model.Edit, row *returnedRow, n int) {
	where := t.where(t.ref, n, row.number)
	e.Sheet, e.Title, e.Where = t.e.name, t.heads[n], &where
	t.out.Edits = append(t.out.Edits, e)
}

// plainNumber is the number of a cell unless it is a date.
func plainNumber(c *rawCell) *float64 {
	if c.number == nil || parseFormat(c.format).date {
		return nil
	}
	return c.number
}

// cellWords is a returned cell in the form that is compared: numbers by their
// value, however they are shown.
func cellWords(c rawCell) string {
	if n := plainNumber(&c); n != nil {
		return general(*n)
	}
	return canonical(c.text)
}

// sameWords compares a returned cell with ours; numbers may come back as text.
func sameWords(theirs, ours string) bool {
	theirs, ours = canonical(theirs), canonical(ours)
	if theirs == ours {
		return true
	}
	a, errA := strconv.ParseFloat(theirs, 64)
	b, errB := strconv.ParseFloat(ours, 64)
	return errA == nil && errB == nil && a == b
}

// second is a row whose key stood before.
func (t *returnedTable) second(row, earlier *returnedRow) {
	var differs []string
	for n, c := range row.cells {
		if t.ids[n] != "mark" && t.ids[n] != "key" && !sameWords(cellWords(c), cellWords(earlier.cells[n])) {
			differs = append(differs, cellName(n, row.number))
		}
	}
	slices.SortFunc(differs, finding.CompareTags)
	where := t.where(t.ref, max(t.at["key"], 1), row.number)
	if len(differs) == 0 {
		t.say("returned-key-twice", finding.Note, row.key, fmt.Sprintf("The key stands in row %d and again in row %d, which says the same", earlier.number, row.number), "", where)
		return
	}
	t.say("returned-key-twice", finding.Caution, row.key, fmt.Sprintf("The key stands in row %d and again in row %d, which differs in %s; row %d is taken",
		earlier.number, row.number, strings.Join(differs, ", "), earlier.number), "Remove one of the rows, or clear the key of a row that is meant as a new one", where)
	t.keepRow(row, "second row with this key")
}

// strange is a row that no row of the plan stands for: added, or of a point
// that has gone since.
func (t *returnedTable) strange(row *returnedRow) {
	if row.mark != "" && row.key != "" {
		if t.out.Current {
			t.say("returned-key-unknown", finding.Caution, row.key, fmt.Sprintf("No row of the plan has the key %q", row.key), t.nearest(row.key),
				t.where(t.ref, max(t.at["key"], 1), row.number))
		}
		t.keepRow(row, "point gone")
		return
	}
	filled := false
	for _, n := range columnsOf(row.cells) {
		if id := t.ids[n]; id == "" || id == "mark" || cellWords(row.cells[n]) == "" {
			continue
		}
		filled = true
		c := row.cells[n]
		t.add(model.Edit{Kind: model.EditAdded, Key: row.key, Field: t.ids[n], New: cellWords(c), Number: plainNumber(&c),
			Means: fmt.Sprintf("A row was added by hand in row %d; %s: %s", row.number, t.heads[n], cellWords(c))}, row, n)
	}
	if filled {
		t.keepRow(row, "added by hand")
	}
}

func (t *returnedTable) nearest(key string) string {
	if near := finding.Nearest(key, t.e.order); near != "" {
		return fmt.Sprintf("Nearest is %q; correct the key", near)
	}
	return "Correct the key, or clear it if the row is new"
}

// keepRow keeps what people wrote in a row that goes nowhere else.
func (t *returnedTable) keepRow(row *returnedRow, state string) {
	k := model.KeptRow{Sheet: t.e.name, Key: row.key, State: state}
	for _, n := range sortedColumns(t.heads) {
		if words := cellWords(row.cells[n]); words != "" && t.ids[n] != "mark" && t.ids[n] != "key" {
			k.Cells = append(k.Cells, model.KeptCell{Title: t.heads[n], Text: words})
		}
	}
	t.out.Layout.Kept = append(t.out.Layout.Kept, k)
}
