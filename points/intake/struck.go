package intake

import (
	"maps"
	"slices"
	"strings"

	"tallywire/model/finding"
	"tallywire/points/library"
)

// strike tells what is struck through in a row and takes it out. Where the tag
// is struck, or everything, the row is void and true is returned: a machine
// that somebody struck out is not planned.
func (t *table) strike(row *gridRow, say *says) bool {
	if len(row.struck) == 0 {
		return false
	}
	whole := func(c int) bool {
		return strings.TrimSpace(row.struck[c]) != "" && row.struck[c] == row.cells[c]
	}
	tag, all := "", true
	tagStruck := false
	for _, c := range row.sorted {
		all = all && whole(c)
	}
	for _, c := range t.columns {
		if c.heading.is("tag") {
			tag, tagStruck = tidy(row.cells[c.number]), whole(c.number)
		}
	}
	where := whereOf(t.grid, *row, row.sorted[0])
	if all || tagStruck {
		say.add(finding.Caution, "struck-through", tag, where, "delete the row, or take the line off it if the machine is meant", "the row is struck through in the workbook; the machine is not read")
		return true
	}
	cells := maps.Clone(row.cells)
	for _, c := range row.sorted {
		out, struck := row.struck[c]
		if !struck {
			continue
		}
		at := t.grid.at(row.number, c)
		if whole(c) {
			delete(cells, c)
			say.add(finding.Caution, "struck-through", tag, &at, "write the value that holds", "%q is struck through in the workbook and not read", tidy(out))
			continue
		}
		say.add(finding.Note, "struck-through", tag, &at, "check it", "%q is struck through in the workbook; %q beside it is read", tidy(out), tidy(row.cells[c]))
	}
	row.cells = cells
	if i, ok := slices.BinarySearchFunc(t.grid.rows, row.number, func(r gridRow, n int) int { return r.number - n }); ok {
		t.grid.rows[i].cells = cells // a struck mark of a footnote does not hold either
	}
	return false
}

// hiddenColumns tells columns that were read although their author hid them.
func (t *table) hiddenColumns(say *says) {
	if t.grid.turned {
		return
	}
	hidden := map[int]bool{}
	for _, c := range t.grid.sheet.HiddenColumns {
		hidden[c] = true
	}
	for _, c := range t.columns {
		if where := c.where; hidden[c.number] && c.heading.use() == library.UseField {
			say.add(finding.Note, "hidden-column", where.String(), &where, "delete the column if it is not meant", "the column %q is hidden in the workbook and was read all the same", tidy(c.heading.text))
		}
	}
}
