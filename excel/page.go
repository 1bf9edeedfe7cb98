package excel

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// paperOf is the paper's number (ECMA-376 part 1, 18.3.1.63, paperSize) and how
// many characters go across it lying down, at a size that still reads.
func paperOf(name string) (number int, room float64) {
	switch strings.ToLower(name) {
	case "a4":
		return 9, 180
	case "tabloid": // 11 by 17 inches
		return 3, 300
	case "a3":
		return 8, 290
	}
	return 1, 180 // letter
}

// page sets paper, margins, print titles, header and footer.
func (b *book) page(s *sheet, total float64) error {
	f := b.f
	paper, room := paperOf(b.head.paper)
	orientation := "landscape"
	across, down := s.across, s.down
	if across == 0 {
		// A little over is squeezed in, the more so where it spreads over several pages.
		spill := 0.15
		if total > 2*room {
			spill = 0.35
		}
		across = max(1, int(math.Ceil(total/room-spill)))
	}
	over := "overThenDown"
	if err := f.SetPageLayout(s.name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &orientation,
		FitToWidth: &across, FitToHeight: &down, PageOrder: &over}); err != nil {
		return err
	}
	fit, below, height := true, false, lineHeight+rowMargin
	if err := f.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: &fit, OutlineSummaryBelow: &below,
		DefaultRowHeight: &height, CustomHeight: &fit}); err != nil {
		return err
	}
	side, edge, band := 0.4, 0.7, 0.3
	if err := f.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &edge,
		Bottom: &edge, Header: &band, Footer: &band}); err != nil {
		return err
	}
	if s.plain {
		off := false
		if err := f.SetSheetView(s.name, 0, &excelize.ViewOptions{ShowGridLines: &off}); err != nil {
			return err
		}
	}
	for _, r := range s.breaks {
		if err := f.InsertPageBreak(s.name, cellName(1, r)); err != nil {
			return err
		}
	}
	if !s.hidden {
		if err := b.printNames(s); err != nil {
			return err
		}
	}
	return f.SetHeaderFooter(s.name, &excelize.HeaderFooterOptions{
		OddHeader: "&L&8 " + furniture(b.head.project, 90) + "&C&8 " + furniture(s.name, 40) + "&R&8 " + furniture(b.head.issue, 60),
		OddFooter: "&L&8 Planning aid; read the cautions on the cover&R&8 Page &P of &N",
	})
}

// paperFirst puts the columns that go on paper first, in the order given. What
// explains them follows and is read on the screen; a name that the sheet does
// not have is passed over.
func paperFirst[T any](fields []field[T], ids ...string) []field[T] {
	out := make([]field[T], 0, len(fields))
	for _, id := range ids {
		for _, f := range fields {
			if f.id == id {
				out = append(out, f)
			}
		}
	}
	for _, f := range fields {
		if !slices.Contains(ids, f.id) {
			out = append(out, f)
		}
	}
	return out
}

// printTo ends the paper with a column.
func (s *sheet) printTo(id string) *sheet {
	s.printed = columnIndex(s.columns, id) + 1
	return s
}

// printBeforeKey ends the paper before the key, behind what people fill in and
// the columns that they added.
func (s *sheet) printBeforeKey() *sheet {
	s.printed = max(s.key, 0)
	return s
}

// furniture makes text safe for a header: codes begin with &, and 255
// characters is all that fits.
func furniture(s string, most int) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > most {
		s = string(r[:most-1]) + "…"
	}
	return strings.ReplaceAll(s, "&", "&&")
}

// printNames sets the print area and the rows and columns that repeat on paper.
func (b *book) printNames(s *sheet) error {
	quoted := "'" + strings.ReplaceAll(s.name, "'", "''") + "'!"
	var titles []string
	if s.sideways > 0 && s.frozen > 0 {
		titles = append(titles, fmt.Sprintf("%s$A:$%s", quoted, columnName(s.sideways)))
	}
	if s.frozen > 0 {
		titles = append(titles, fmt.Sprintf("%s$1:$%d", quoted, s.frozen))
	}
	if len(titles) > 0 {
		if err := b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.name,
			RefersTo: strings.Join(titles, ",")}); err != nil {
			return err
		}
	}
	last := len(s.columns)
	if s.printed > 0 {
		last = s.printed
	}
	for last > 1 && s.columns[last-1].hidden {
		last--
	}
	return b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: s.name,
		RefersTo: fmt.Sprintf("%s$A$1:$%s$%d", quoted, columnName(max(last, 1)), max(s.count, 1))})
}

// widthSample is how many rows are looked at to fit the widths.
const widthSample = 2000

// fitWidths finds a width for every column between its least and its most: as
// wide as its widest line needs, never narrower than its longest word.
func fitWidths(s *sheet) []float64 {
	line := make([]float64, len(s.columns))
	word := make([]float64, len(s.columns))
	n := 0
	for r := range s.rows {
		for i, v := range r.cells {
			if i >= len(line) || !measured(s, i, v) {
				continue
			}
			own := v.look
			if own == lookColumn {
				own = s.columns[i].look
			}
			l, w := extent(v, own)
			if own == lookHead { // headings wrap, and leave room for the filter button
				line[i], word[i] = max(line[i], w+2.5), max(word[i], w+2.5)
				continue
			}
			line[i], word[i] = max(line[i], l), max(word[i], w)
		}
		if n++; n > widthSample {
			break
		}
	}
	widths := make([]float64, len(s.columns))
	for i, c := range s.columns {
		width := min(max(line[i]+1.5, c.least), max(c.most, c.least))
		widths[i] = math.Ceil(min(max(width, min(word[i]+1.5, 48)), 120))
	}
	return widths
}

// measured reports whether a cell bears on the width of its column; titles and
// headings of blocks run over their neighbours.
func measured(s *sheet, i int, v value) bool {
	l := v.look
	if l == lookColumn {
		l = s.columns[i].look
	}
	return l != lookTitle && l != lookSection && v.kind != empty
}
