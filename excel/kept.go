package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// keptSheet holds the rows of earlier issues that belong to no point any more
// and rows that people added: nothing typed is ever lost.
func keptSheet(is *issued) *sheet {
	type K = *model.KeptRow
	var titles []string
	for i := range is.kept.rows {
		for _, c := range is.kept.rows[i].Cells {
			if !slices.Contains(titles, c.Title) {
				titles = append(titles, c.Title)
			}
		}
	}
	fields := listColumns(
		col("state", "State", 12, 18, func(k K) string { return k.State }),
		col("sheet", "From sheet", 12, 22, func(k K) string { return k.Sheet }),
		col("gone", "Row", 14, 30, func(k K) string { return k.Key }),
	)
	for i, title := range titles {
		fields = append(fields, col(fmt.Sprint("cell-", i), title, 10, 40, func(k K) string {
			for _, c := range k.Cells {
				if c.Title == title {
					return c.Text
				}
			}
			return ""
		}))
	}
	return tableSheet(keptSheetName, "KeptRows", rowsOf(is.kept.rows), fields)
}

// foreignSheets are other people's sheets, put back as they typed them: values
// and texts, not their formulas or styles.
func (is *issued) foreignSheets(ours []*sheet) []*sheet {
	var out []*sheet
	taken := map[string]bool{strings.ToLower(aboutSheetName): true}
	for _, s := range ours {
		taken[strings.ToLower(s.name)] = true
	}
	for i := range is.kept.sheets {
		src := &is.kept.sheets[i]
		name := src.Name
		for n := 2; taken[strings.ToLower(name)]; n++ {
			mark := fmt.Sprintf(" (%d)", n)
			name = cutUnits(src.Name, maxSheetName-len(mark)) + mark
		}
		taken[strings.ToLower(name)] = true
		out = append(out, foreignSheet(name, src))
	}
	return out
}

// cutUnits cuts a text to a number of UTF-16 units.
func cutUnits(s string, most int) string {
	n := 0
	for i, r := range s {
		if n += utf16Width(r); n > most {
			return s[:i]
		}
	}
	return s
}

func foreignSheet(name string, src *model.Sheet) *sheet {
	var rows []row
	wide := 1
	for _, r := range src.Rows {
		for len(rows) < r.Number-1 && len(rows) < maxRows {
			rows = append(rows, row{})
		}
		var cells []value
		for _, c := range r.Cells {
			cells = pad(cells, c.Column-1, lookPlain)
			v := text(c.Text)
			if c.Number != nil && !parseFormat(c.Format).date {
				v = number(*c.Number)
			}
			cells = append(cells, v.as(lookPlain))
		}
		wide = max(wide, len(cells))
		rows = append(rows, row{cells: cells})
	}
	s := pageSheet(name, rows)
	s.plain = false
	for range wide {
		s.columns = append(s.columns, column{least: 9, most: 50, look: lookPlain})
	}
	return s
}

// aboutSheetName is the hidden sheet that says what was issued, for the way back.
const aboutSheetName = "About this file"

// aboutSheet names the issue, the copy and the columns of every sheet with keys.
func aboutSheet(is *issued, list []*sheet) *sheet {
	rows := []row{
		{cells: []value{text("fingerprint").as(lookPlain), text(Fingerprint(is.plan)).as(lookPlain)}},
		{cells: []value{text("copy").as(lookPlain), text(is.opts.copy()).as(lookPlain)}},
		{cells: []value{text("issue").as(lookPlain), text(issueLine(is.plan.Project)).as(lookPlain)}},
	}
	for _, s := range list {
		if s.key < 0 {
			continue
		}
		cells := []value{text("columns").as(lookPlain), text(s.name).as(lookPlain)}
		for _, c := range s.columns {
			if marked(c) {
				cells = append(cells, text(c.id).as(lookPlain))
			}
		}
		rows = append(rows, row{cells: cells})
	}
	s := pageSheet(aboutSheetName, rows)
	s.hidden = true
	wide := 2
	for _, r := range rows {
		wide = max(wide, len(r.cells))
	}
	for range wide {
		s.columns = append(s.columns, column{least: 10, most: 30, look: lookPlain})
	}
	return s
}
