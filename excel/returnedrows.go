package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// returnedTable is one keyed sheet as it came back.
type returnedTable struct {
	*returnReader
	ref    sheetRef
	e      *expectation
	heads  map[int]string // column number → heading as typed
	ids    map[int]string // column number → id of ours, or own:heading
	at     map[string]int // id → column number
	issued []string       // ids of the marked columns as issued
	rows   []returnedRow
	seen   map[string]int // key → index in rows
	widths map[int]float64
}

// returnedRow is one row below the heading.
type returnedRow struct {
	number int
	cells  map[int]rawCell
	key    string
	mark   string
}

// keyedSheet reads a sheet whose rows have keys.
func (r *returnReader) keyedSheet(ref sheetRef, e *expectation) error {
	t := &returnedTable{returnReader: r, ref: ref, e: e, seen: map[string]int{}}
	var lines []returnedRow
	grid, err := r.book.readGrid(ref, func(line rawRow) error {
		row := returnedRow{number: line.number, cells: make(map[int]rawCell, len(line.cells))}
		for _, c := range line.cells {
			row.cells[c.column] = c
		}
		if len(row.cells) > 0 {
			lines = append(lines, row)
		}
		return nil
	})
	if err != nil {
		return err
	}
	t.widths = grid.widths
	head := t.heading(lines)
	if head < 0 {
		return fmt.Errorf("sheet %q: no heading row is left; the headings of the point schedule are needed to read it", ref.name)
	}
	t.rows = lines[head+1:]
	t.identify(lines[head])
	if t.at["key"] == 0 && t.at["mark"] == 0 {
		return fmt.Errorf("sheet %q: the key column is gone, and with it what each row stands for; ask for the workbook with its keys", ref.name)
	}
	t.issued = r.columns[e.name]
	if len(t.issued) == 0 {
		for _, c := range e.columns {
			if marked(c) {
				t.issued = append(t.issued, c.id)
			}
		}
	}
	t.placeRows()
	t.renamed()
	t.missingColumns()
	t.compare()
	t.layout()
	return t.notes()
}

// heading finds the row that carries most of our headings; -1 if none does.
func (t *returnedTable) heading(lines []returnedRow) int {
	known := map[string]bool{}
	for _, c := range t.e.columns {
		known[fold(c.title)] = true
	}
	best, most := -1, 1
	for i, line := range lines[:min(len(lines), headingScan)] {
		hits := 0
		for _, c := range line.cells {
			if known[fold(c.text)] {
				hits++
			}
		}
		if hits > most {
			best, most = i, hits
		}
	}
	return best
}

// identify says which column is which: by its heading, then by its hidden name.
func (t *returnedTable) identify(head returnedRow) {
	t.heads, t.ids, t.at = map[int]string{}, map[int]string{}, map[string]int{}
	byTitle := map[string]string{}
	for _, c := range t.e.columns {
		byTitle[fold(c.title)] = c.id
	}
	for _, n := range columnsOf(head.cells) {
		title := strings.TrimSpace(head.cells[n].text)
		t.heads[n] = title
		if id := byTitle[fold(title)]; id != "" && t.at[id] == 0 {
			t.ids[n], t.at[id] = id, n
		}
	}
	for _, c := range t.e.columns {
		if t.at[c.id] != 0 || t.e.name != pointSheetName {
			continue
		}
		name := columnName_ + c.id
		if short, ok := countNames[c.id]; ok {
			name = short
		}
		if n := namedColumn(t.book.names[name], t.ref.name); n > 0 && t.ids[n] == "" && t.heads[n] != "" {
			t.rename(n, c)
		}
	}
}

// rename takes a column with a strange heading for one of ours.
func (t *returnedTable) rename(n int, c column) {
	t.ids[n], t.at[c.id] = c.id, n
	t.say("returned-column-renamed", finding.Note, c.title, fmt.Sprintf("The column %q now bears the heading %q; it is read as %q", c.title, t.heads[n], c.title),
		"", model.Where{File: t.out.File, Sheet: t.ref.name, Cell: cellName(n, 1)})
}

// namedColumn reads 'Point schedule'!$C:$C; 0 if it is another sheet's or none.
func namedColumn(refersTo, sheet string) int {
	name, cells, ok := strings.Cut(strings.TrimPrefix(refersTo, "="), "!")
	if !ok || strings.ReplaceAll(strings.Trim(name, "'"), "''", "'") != sheet {
		return 0
	}
	letter, _, _ := strings.Cut(strings.ReplaceAll(cells, "$", ""), ":")
	letter = strings.TrimRight(letter, "0123456789")
	column, _, ok := splitRef([]byte(letter + "1"))
	if !ok {
		return 0
	}
	return column
}

func columnsOf(cells map[int]rawCell) []int {
	out := make([]int, 0, len(cells))
	for n := range cells {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// placeRows gives every row its key, restoring damaged ones from their mark.
func (t *returnedTable) placeRows() {
	for i := range t.rows {
		row := &t.rows[i]
		row.key = cellWords(row.cells[t.at["key"]])
		row.mark = row.cells[t.at["mark"]].text
	}
	taken := map[string]bool{}
	for i := range t.rows {
		if _, ok := t.e.rows[t.rows[i].key]; ok {
			taken[t.rows[i].key] = true
		}
	}
	for i := range t.rows {
		row := &t.rows[i]
		if _, ok := t.e.rows[row.key]; ok || row.mark == "" {
			continue
		}
		if key := t.e.marks[row.mark]; key != "" && !taken[key] {
			taken[key] = true
			t.say("returned-key-restored", finding.Note, key, fmt.Sprintf("The key of the row reads %q; its mark says that it is %s", row.key, key), "",
				t.where(t.ref, max(t.at["key"], 1), row.number))
			row.key = key
		}
	}
}

// renamed finds columns of ours under a strange heading by what their cells say.
func (t *returnedTable) renamed() {
	for _, c := range t.e.columns {
		if t.at[c.id] != 0 || !marked(c) {
			continue
		}
		best, most := 0, 0
		for n := range t.heads {
			if t.ids[n] != "" {
				continue
			}
			hits, rows := 0, 0
			for i := range t.rows {
				words := cellWords(t.rows[i].cells[n])
				m, ok := t.issuedMark(&t.rows[i], c.id)
				if !ok || m == [2]byte{'.', '.'} {
					continue
				}
				rows++
				if cellMark(words) == m {
					hits++
				}
			}
			if rows > 0 && hits*10 >= rows*8 && (hits > most || hits == most && n < best) {
				best, most = n, hits
			}
		}
		if best > 0 {
			t.rename(best, c)
		}
	}
	t.betweenNeighbours()
	for _, n := range sortedColumns(t.heads) {
		if t.ids[n] == "" {
			t.ids[n] = ownID(t.heads[n])
		}
	}
}

// betweenNeighbours takes a strange column for one that people fill in where
// it stands between the two that ours stands between.
func (t *returnedTable) betweenNeighbours() {
	for i, c := range t.e.columns {
		if t.at[c.id] != 0 || !c.input || i == 0 || i+1 >= len(t.e.columns) {
			continue
		}
		left, right := t.at[t.e.columns[i-1].id], t.at[t.e.columns[i+1].id]
		if left != 0 && right == left+2 && t.heads[left+1] != "" && t.ids[left+1] == "" {
			t.rename(left+1, c)
		}
	}
}

func sortedColumns(m map[int]string) []int {
	out := make([]int, 0, len(m))
	for n := range m {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// missingColumns tells which of our columns did not come back; columns that
// this copy never had are not missed.
func (t *returnedTable) missingColumns() {
	for _, c := range t.e.columns {
		if t.at[c.id] == 0 && c.id != "mark" && (c.input || slices.Contains(t.issued, c.id)) && !strings.HasPrefix(c.id, "own:") {
			t.say("returned-column-gone", finding.Caution, c.title, fmt.Sprintf("Column %q of sheet %q did not come back", c.title, t.e.name),
				"Its values are taken as unchanged", model.Where{File: t.out.File, Sheet: t.ref.name})
		}
	}
}

// issuedMark is the mark of one cell as it was issued.
func (t *returnedTable) issuedMark(row *returnedRow, id string) ([2]byte, bool) {
	i := slices.Index(t.issued, id)
	if i < 0 || len(row.mark) != 2*len(t.issued) {
		return [2]byte{}, false
	}
	return [2]byte{row.mark[2*i], row.mark[2*i+1]}, true
}

// layout notes how people arranged the sheet: order of rows, widths, columns of their own.
func (t *returnedTable) layout() {
	var order []string
	for i := range t.rows {
		if at, ok := t.seen[t.rows[i].key]; ok && at == i {
			order = append(order, t.rows[i].key)
		}
	}
	if !slices.Equal(order, t.e.order) {
		t.out.Layout.Order[t.e.name] = order
	}
	widths := map[string]float64{}
	for n, w := range t.widths {
		if id := t.ids[n]; id != "" && id != "mark" {
			widths[id] = w
		}
	}
	t.out.Layout.Widths[t.e.name] = widths
	for _, n := range sortedColumns(t.heads) {
		if id := t.ids[n]; strings.HasPrefix(id, "own:") {
			t.out.Layout.Own = append(t.out.Layout.Own, model.OwnColumn{Sheet: t.e.name, Title: t.heads[n], Width: t.widths[n]})
		}
	}
}
