package excel

import (
	"fmt"

	"github.com/xuri/excelize/v2"
)

// placedChart is a chart and the cell that its corner stands on.
type placedChart struct {
	cell  string
	chart *excelize.Chart
}

// greys are the fills of the series: they differ in black and white too.
var greys = []string{"404040", "8C8C8C", "BFBFBF", "6B6B6B", "D9D9D9", "A6A6A6", "262626", "737373", "E5E5E5"}

// chartSheet shows what people would rather look at than read: points by type
// and class, and by system.
func chartSheet(counts *sheet) *sheet {
	s := pageSheet("Charts", []row{{cells: []value{text("Points at a glance").as(lookTitle)}, height: 26}, {cells: []value{text(
		"Drawn from the sheet Counts; the figures stand there.").as(lookPlain)}}})
	for range 12 {
		s.columns = append(s.columns, column{least: 11, most: 11, look: lookPlain})
	}
	types := len(counts.columns) - 2
	quoted := "'" + counts.name + "'!"
	place := 4
	for i, b := range counts.blocks {
		if b.first == 0 || b.last-b.first >= 40 { // more bars than can be read
			continue
		}
		title := []string{"Points by type and class", "Hardwired points by system and type"}[i]
		alt := []string{"Stacked columns: number of points of each object type, by class", "Stacked bars: number of hardwired points of each system, by object type"}[i]
		c := stacked(i, quoted, b, types, title, alt)
		if i == 1 { // every bar has to be readable
			c.Dimension.Height = uint(max(300, 110+24*(b.last-b.first+1)))
		}
		s.charts = append(s.charts, placedChart{cellName(1, place), c})
		place += int(c.Dimension.Height)/18 + 3
	}
	s.down = 1
	s.count = max(s.count, place)
	rows := s.rows
	given := 2
	s.rows = func(yield func(row) bool) {
		for r := range rows {
			if !yield(r) {
				return
			}
		}
		for range s.count - given {
			if !yield(row{}) {
				return
			}
		}
	}
	return s
}

// stacked is one stacked chart: i 0 has a column for each type and a part for
// each class, i 1 a bar for each system and a part for each type.
func stacked(i int, sheet string, b span2, types int, title, alt string) *excelize.Chart {
	c := &excelize.Chart{Type: excelize.ColStacked, Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: title,
		Font: &excelize.Font{Family: fontName, Size: 11, Bold: true, Color: ink}}}},
		Legend: excelize.ChartLegend{Position: "bottom"}, Dimension: excelize.ChartDimension{Width: 760, Height: 300},
		Format: excelize.GraphicOptions{AltText: alt, Name: title}}
	axis := excelize.Font{Family: fontName, Size: fontSize, Color: ink}
	c.XAxis.Font, c.YAxis.Font = axis, axis
	c.Legend.Font = &axis
	vary := false
	c.VaryColors = &vary
	last := columnName(types + 1)
	if i == 0 {
		for r := b.first; r <= b.last; r++ {
			c.Series = append(c.Series, excelize.ChartSeries{Name: fmt.Sprintf("%s$A$%d", sheet, r),
				Categories: fmt.Sprintf("%s$B$%d:$%s$%d", sheet, b.head, last, b.head),
				Values:     fmt.Sprintf("%s$B$%d:$%s$%d", sheet, r, last, r), Fill: solid(greys[(r-b.first)%len(greys)])})
		}
		return c
	}
	c.Type = excelize.BarStacked
	c.XAxis.ReverseOrder = true // the first system on top
	for n := range types {
		letter := columnName(n + 2)
		c.Series = append(c.Series, excelize.ChartSeries{Name: fmt.Sprintf("%s$%s$%d", sheet, letter, b.head),
			Categories: fmt.Sprintf("%s$A$%d:$A$%d", sheet, b.first, b.last),
			Values:     fmt.Sprintf("%s$%s$%d:$%s$%d", sheet, letter, b.first, letter, b.last), Fill: solid(greys[n%len(greys)])})
	}
	return c
}

func (b *book) addCharts(s *sheet) error {
	for _, c := range s.charts {
		if err := b.f.AddChart(s.name, c.cell, c.chart); err != nil {
			return err
		}
	}
	return nil
}
