package intake

import (
	"slices"
	"strings"

	"tallywire/points/library"
)

// mostTurned is how many rows a sheet may have to be tried as a transposed
// schedule: one machine a column, its fields below each other.
const mostTurned = 400

// turn returns the grid with rows and columns exchanged.
func (g *grid) turn() *grid {
	out := &grid{sheet: g.sheet, turned: !g.turned}
	byColumn := map[int]gridRow{}
	var columns []int
	for _, row := range g.rows {
		for _, c := range row.sorted {
			line, known := byColumn[c]
			if !known {
				line = gridRow{number: c, cells: map[int]string{}}
				columns = append(columns, c)
			}
			line.cells[row.number] = row.cells[c]
			if out, struck := row.struck[c]; struck {
				if line.struck == nil {
					line.struck = map[int]string{}
				}
				line.struck[row.number] = out
			}
			line.sorted = append(line.sorted, row.number)
			byColumn[c] = line
		}
	}
	slices.Sort(columns)
	for _, c := range columns {
		out.rows = append(out.rows, byColumn[c])
	}
	for _, m := range g.merges {
		out.merges = append(out.merges, block{m.left, m.top, m.right, m.bottom})
	}
	return out
}

// body parts a sheet that may hold a transposed table from the lines above it
// and the footnotes below it: lines that fill one cell, or a mark and a text.
// above are indices into the rows.
func (g *grid) body() (body *grid, above []int, below []gridRow) {
	lone := func(row gridRow) bool {
		if len(row.sorted) == 2 {
			mark := strings.Trim(tidy(row.cells[row.sorted[0]]), " .):(")
			return len(mark) <= 2 && strings.Contains(tidy(row.cells[row.sorted[1]]), " ")
		}
		return len(row.sorted) == 1
	}
	first, last := 0, len(g.rows)
	for first < last && len(g.rows[first].sorted) == 1 {
		above = append(above, first)
		first++
	}
	for last > first && lone(g.rows[last-1]) {
		last--
	}
	out := *g
	out.rows = g.rows[first:last]
	return &out, above, g.rows[last:]
}

// part returns the grid with only the columns from first to last.
func (g *grid) part(first, last int) *grid {
	out := &grid{sheet: g.sheet}
	for _, row := range g.rows {
		line := gridRow{number: row.number, cells: map[int]string{}, hidden: row.hidden, joined: row.joined, struck: row.struck}
		for _, c := range row.sorted {
			if first <= c && c <= last {
				line.cells[c] = row.cells[c]
				line.sorted = append(line.sorted, c)
			}
		}
		if len(line.sorted) > 0 {
			out.rows = append(out.rows, line)
		}
	}
	for _, m := range g.merges {
		if m.right >= first && m.left <= last {
			out.merges = append(out.merges, m)
		}
	}
	return out
}

// beside splits a sheet on which tables stand side by side: where a column is
// blank from top to bottom, or where one heading holds several columns of tags
// under the same words. One part or none means that it is not split.
func (r *reader) beside(g *grid) []*grid {
	for _, cuts := range [][]int{r.repeatedTags(g), g.blankColumns()} {
		if len(cuts) == 0 {
			continue
		}
		var parts []*grid
		whole := true
		first := 1
		for _, cut := range append(cuts, 1<<30) {
			part := g.part(first, cut-1)
			first = cut
			if len(part.rows) == 0 {
				continue
			}
			if len(r.tablesOf(part)) == 0 {
				whole = false
				break
			}
			parts = append(parts, part)
		}
		if whole && len(parts) > 1 {
			return parts
		}
	}
	return nil
}

// blankColumns returns the columns at which a new block begins behind a blank one.
func (g *grid) blankColumns() []int {
	used := map[int]bool{}
	last := 0
	for _, row := range g.rows {
		for _, c := range row.sorted {
			used[c] = true
			last = max(last, c)
		}
	}
	var cuts []int
	for c := 2; c <= last; c++ {
		if used[c] && !used[c-1] && len(cuts) < 20 {
			cuts = append(cuts, c)
		}
	}
	return cuts
}

// repeatedTags returns the columns at which the same heading of tags stands
// again in the first row that has it twice.
func (r *reader) repeatedTags(g *grid) []int {
	for _, row := range g.rows[:min(len(g.rows), 60)] {
		if r.dataLike(row) {
			continue
		}
		seen := map[string]int{}
		var cuts []int
		for _, c := range row.sorted {
			h := r.heading([]string{row.cells[c]})
			if h.use() != library.UseField || h.field.ID != "tag" {
				continue
			}
			key := strings.ToLower(tidy(row.cells[c]))
			if seen[key]++; seen[key] > 1 {
				cuts = append(cuts, c)
			}
		}
		if len(cuts) > 0 {
			return cuts
		}
	}
	return nil
}
