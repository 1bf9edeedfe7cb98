package intake

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// grid is a sheet with its cells by row and column.
type grid struct {
	sheet  *model.Sheet
	rows   []gridRow
	merges []block
	turned bool // rows are the sheet's columns: one machine a column
}

type gridRow struct {
	number int
	cells  map[int]string // no blank ones
	sorted []int          // the columns that hold something
	hidden bool
	struck map[int]string // what is struck through in the cells
	joined int            // the column in which two lines were joined; 0 none
}

// block is a merged range, ends included.
type block struct{ top, left, bottom, right int }

// table is a heading and the rows under it.
type table struct {
	grid    *grid
	title   string
	columns []column
	rows    []int // indices into grid.rows: data rows, notes, sections alike
	habit   func(tag string) string
	// foot are the lines under a transposed table, its footnotes, in the grid
	// as it stands.
	foot     []gridRow
	footGrid *grid
	groups   map[int]int // columns of the one or the other fan of a unit
}

// column is one column of a table.
type column struct {
	number  int
	heading heading
	where   model.Where
	second  bool              // named like a column of tags, beside the one that is
	codes   map[string]string // what letters in it stand for, from a footnote to its heading
}

func newGrid(sheet *model.Sheet) *grid {
	g := &grid{sheet: sheet}
	for _, r := range sheet.Rows {
		row := gridRow{number: r.Number, cells: map[int]string{}, hidden: r.Hidden, joined: r.Joined}
		for _, c := range r.Cells {
			if strings.TrimSpace(evenOut.Replace(c.Text)) == "" {
				continue
			}
			if _, twice := row.cells[c.Column]; !twice {
				row.sorted = append(row.sorted, c.Column)
			}
			if c.Struck != "" {
				if row.struck == nil {
					row.struck = map[int]string{}
				}
				row.struck[c.Column] = c.Struck
			}
			row.cells[c.Column] = c.Text
		}
		if len(row.sorted) > 0 {
			slices.Sort(row.sorted)
			g.rows = append(g.rows, row)
		}
	}
	for _, m := range sheet.Merged {
		if b, ok := parseRange(m); ok {
			g.merges = append(g.merges, b)
		}
	}
	return g
}

var rangeForm = regexp.MustCompile(`^\$?([A-Z]{1,3})\$?(\d{1,7}):\$?([A-Z]{1,3})\$?(\d{1,7})$`)

func parseRange(s string) (block, bool) {
	m := rangeForm.FindStringSubmatch(strings.ToUpper(s))
	if m == nil {
		return block{}, false
	}
	return block{atoi(m[2]), columnNumber(m[1]), atoi(m[4]), columnNumber(m[3])}, true
}

func columnNumber(letters string) int {
	n := 0
	for _, c := range letters {
		n = n*26 + int(c-'A') + 1
	}
	return n
}

func columnLetters(n int) string {
	var s string
	for ; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// at returns the place of a cell.
func (g *grid) at(row, column int) model.Where {
	if g.turned {
		row, column = column, row
	}
	return model.Where{File: g.sheet.File, Sheet: g.sheet.Name, Cell: columnLetters(column) + strconv.Itoa(row)}
}

// over returns the heading text that stands over a column in a row: its own,
// that of a group merged across it, or, where the file knows no merged cells
// and the row is not the last of the heading, that of the group to its left.
func (g *grid) over(row gridRow, col int, last bool) string {
	if text, ok := row.cells[col]; ok {
		return text
	}
	for _, m := range g.merges {
		if m.top <= row.number && row.number <= m.bottom && m.left <= col && col <= m.right && m.right > m.left && m.top == row.number {
			return row.cells[m.left]
		}
	}
	if last || len(g.merges) > 0 || g.sheet.Name != "" {
		return ""
	}
	for c := col - 1; c > 0; c-- {
		if text, ok := row.cells[c]; ok {
			return text
		}
	}
	return ""
}

// head reads rows i to i+n-1 as a heading and scores it; a score of 0 is none.
func (r *reader) head(g *grid, i, n int) (cols []column, score float64) {
	if i+n > len(g.rows) || g.rows[i+n-1].number-g.rows[i].number > n {
		return nil, 0
	}
	lines := g.rows[i : i+n]
	used := map[int]bool{}
	for _, line := range lines {
		if r.dataLike(line) {
			return nil, 0
		}
		for _, c := range line.sorted {
			used[c] = true
		}
	}
	numbers := make([]int, 0, len(used))
	for c := range used {
		numbers = append(numbers, c)
	}
	slices.Sort(numbers)
	for _, c := range numbers {
		var texts []string
		own, place := "", lines[n-1].number
		for k, line := range lines {
			if text := g.over(line, c, k == n-1); text != "" {
				texts = append(texts, text)
			}
			if text, ok := line.cells[c]; ok {
				own, place = text, line.number
			}
		}
		if own == "" && len(texts) == 0 {
			continue
		}
		h := r.heading(texts)
		cols = append(cols, column{number: c, heading: h, where: g.at(place, c)})
	}
	r.oneTag(cols)
	return cols, understood(cols)
}

// understood scores columns as a heading; 0 is none: a table of machines has a
// column of tags and another field, and not too much that nobody knows.
func understood(cols []column) (score float64) {
	seen := map[string]bool{}
	for _, c := range cols {
		switch c.heading.use() {
		case library.UseField:
			if !seen[c.heading.field.ID] {
				score++
			}
			seen[c.heading.field.ID] = true
		case library.UseNotNeeded:
			score += 0.4
		}
		if c.heading.unit != "" {
			score += 0.1
		}
	}
	if !seen["tag"] || len(seen) < 2 || float64(len(seen)) < 0.2*float64(len(cols)) {
		return 0
	}
	return score
}

// plainTag are words that name a column of tags beyond doubt, against Name,
// Unit, Item and the like, which do so only where nothing better stands.
var plainTag = []string{"tag", "mark", "symbol", "designation", "id"}

// oneTag leaves one column of tags: the first that is called so plainly. Names
// beside it are descriptions, other columns not needed.
func (r *reader) oneTag(cols []column) {
	best, plain := -1, false
	for i, c := range cols {
		if !c.heading.is("tag") {
			continue
		}
		p := slices.ContainsFunc(r.words(c.heading.text), func(w string) bool { return slices.Contains(plainTag, w) })
		if best < 0 || p && !plain {
			best, plain = i, p
		}
	}
	for i := range cols {
		if i == best || !cols[i].heading.is("tag") {
			continue
		}
		cols[i].heading.field, cols[i].second = r.byID("administration"), true
		if slices.Contains(r.words(cols[i].heading.text), "name") && !slices.ContainsFunc(cols, func(c column) bool { return c.heading.is("description") }) {
			cols[i].heading.field = r.byID("description")
		}
	}
}

// dataLike reports whether a row looks like values rather than headings.
func (r *reader) dataLike(line gridRow) bool {
	figures := 0
	for _, c := range line.sorted {
		text, _ := stripMarks(line.cells[c])
		s := strings.ToLower(tidy(text))
		if _, n := number(s); n > 0 && n >= len(s)-3 || aTag.MatchString(s) && r.lookup(r.words(text)) == nil && strings.ContainsAny(s, "0123456789") {
			figures++
		}
	}
	return float64(figures) > 0.25*float64(len(line.sorted))
}

// bestHead finds the heading that begins at row i: of all depths the one that
// is understood best. The rows above that name groups belong to it.
func (r *reader) bestHead(g *grid, i int) (cols []column, n int, score float64) {
	if !r.mayHead(g, i) || r.dataLike(g.rows[i]) {
		return nil, 0, 0
	}
	for depth := 1; depth <= 4; depth++ {
		c, s := r.head(g, i, depth)
		if s > score+0.01 {
			cols, n, score = c, depth, s
		}
	}
	return cols, n, score
}

// mayHead reports cheaply whether a heading could begin at row i: one of the
// next rows holds a word that heads columns of tags.
func (r *reader) mayHead(g *grid, i int) bool {
	for _, row := range g.rows[i:min(i+4, len(g.rows))] {
		for _, c := range row.sorted {
			text := row.cells[c]
			if len(text) > 60 {
				continue
			}
			may, known := r.tagCells[text]
			if !known {
				may = slices.ContainsFunc(r.words(text), func(w string) bool { return r.tagWords[w] })
				r.tagCells[text] = may
			}
			if may {
				return true
			}
		}
	}
	return false
}

// tables finds every table of a sheet, from the top down.
func (r *reader) tables(sheet *model.Sheet) []*table {
	g := newGrid(sheet)
	if parts := r.beside(g); len(parts) > 1 {
		var out []*table
		for _, part := range parts {
			out = append(out, r.tablesOf(part)...)
		}
		return out
	}
	out := r.tablesOf(g)
	if len(out) == 0 && len(g.rows) <= mostTurned {
		body, above, below := g.body()
		out = r.tablesOf(body.turn())
		for _, t := range out {
			t.foot, t.footGrid = below, g
			if t.title == "" {
				t.title = titleOf(g, above)
			}
		}
	}
	return out
}

// tablesOf finds the tables of a grid, one below the other.
func (r *reader) tablesOf(g *grid) []*table {
	var out []*table
	var current *table
	var loose []int // rows before a heading
	for i := 0; i < len(g.rows); {
		if current != nil && current.tagged(g.rows[i]) {
			current.rows = append(current.rows, i)
			i++
			continue
		}
		cols, n, _ := r.headFrom(g, i)
		if n == 0 || current != nil && !r.freshHead(current, g, i, n, cols) {
			if current != nil {
				current.rows = append(current.rows, i)
			} else {
				loose = append(loose, i)
			}
			i++
			continue
		}
		if current != nil && sameColumns(current.columns, cols) {
			i += n // the heading repeated, on a new page
			continue
		}
		current = &table{grid: g, columns: cols, title: titleOf(g, loose)}
		out = append(out, current)
		i += n
	}
	return out
}

// tagged reports cheaply whether a row carries a tag in the table's column of
// tags: it is data, and no heading begins there.
func (t *table) tagged(row gridRow) bool {
	for _, c := range t.columns {
		if c.heading.is("tag") {
			text, ok := row.cells[c.number]
			return ok && strings.ContainsAny(text, "0123456789") && aTag.MatchString(text)
		}
	}
	return false
}

// headFrom returns the heading that begins exactly at row i; one that is as
// good without its first row begins later, unless that row names groups.
func (r *reader) headFrom(g *grid, i int) ([]column, int, float64) {
	cols, n, score := r.bestHead(g, i)
	if n == 0 {
		return nil, 0, 0
	}
	if n > 1 {
		if _, _, later := r.bestHead(g, i+1); later >= score-0.01 && !r.namesGroups(g.rows[i]) {
			return nil, 0, 0
		}
	}
	return cols, n, score
}

// namesGroups reports whether a row over a heading holds group headings: known
// words that do not begin at the left edge as a title does.
func (r *reader) namesGroups(line gridRow) bool {
	known := 0
	texts := map[string]bool{}
	for _, c := range line.sorted {
		texts[line.cells[c]] = true
		words := r.words(line.cells[c])
		if r.lookup(words) != nil || r.telling([]string{line.cells[c]}) != nil {
			known++
		}
	}
	if len(texts) == 1 && line.sorted[0] == 1 {
		return false
	}
	return 2*known >= len(line.sorted)
}

// freshHead reports whether rows that could be a heading inside a table are
// one: they name at least three fields, or as many as the table's own.
func (r *reader) freshHead(current *table, g *grid, i, n int, cols []column) bool {
	if sameColumns(current.columns, cols) {
		return true
	}
	fields := 0
	for _, c := range cols {
		if c.heading.use() == library.UseField {
			fields++
		}
	}
	return fields >= 3 || fields == len(cols) && len(cols) >= 2
}

func sameColumns(a, b []column) bool {
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	same := 0
	for _, x := range a {
		for _, y := range b {
			if x.number == y.number && (x.heading.field != nil && x.heading.field == y.heading.field || x.heading.text == y.heading.text) {
				same++
			}
		}
	}
	return same >= max(2, (9*max(len(a), len(b))+9)/10)
}

// titleOf joins the texts above a table: the last two lines that stand alone.
func titleOf(g *grid, loose []int) string {
	var out []string
	for _, i := range loose[max(0, len(loose)-3):] {
		if row := g.rows[i]; len(row.sorted) == 1 {
			out = append(out, tidy(row.cells[row.sorted[0]]))
		}
	}
	return strings.Join(out, "; ")
}
