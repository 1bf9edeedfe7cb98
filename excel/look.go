package excel

import "github.com/xuri/excelize/v2"

// look names a cell style of the workbook.
type look uint8

const (
	lookColumn    look = iota // the look of the column
	lookPlain                 // no border, one line: pages that are no tables
	lookText                  // a table cell: wrapped, top aligned
	lookCode                  // ids and keys: small grey
	lookCount                 // whole number
	lookNumber                // any number
	lookMoney                 // cents shown as currency
	lookHead                  // heading of a table
	lookInput                 // a cell that other people fill in
	lookInputDate             // the same for a date
	lookTitle                 // name of the project
	lookSection               // heading of a block
	lookLabel                 // label on the cover
	lookProse                 // wrapped text on a page
	lookWarning               // a caution that must be seen
	lookTotal                 // total of a block, a number
	lookTotalText
	lookLink // text that leads to another place
	lookPass
	lookCaution
	lookUnknown
	lookFault
	lookNote
	looks // how many
)

// The palette is grey on white so that a print in black and white loses
// nothing; verdicts also differ in words.
const (
	ink       = "1A1A1A"
	softInk   = "5F5F5F"
	headFill  = "D9D9D9"
	lineGrey  = "BFBFBF"
	inputFill = "F7F7EE"
	fontName  = "Arial"
	fontSize  = 9
)

// style builds the definition of a look.
func (l look) style() *excelize.Style {
	s := &excelize.Style{
		Font:      &excelize.Font{Family: fontName, Size: fontSize, Color: ink},
		Alignment: &excelize.Alignment{Vertical: "top", WrapText: true},
		Border:    box(lineGrey, 1),
	}
	switch l {
	case lookColumn, lookPlain:
		s.Border, s.Alignment.WrapText = nil, false
	case lookCode:
		s.Font.Color = softInk
	case lookCount:
		s.NumFmt, s.Alignment.Horizontal, s.Alignment.WrapText, s.Alignment.Indent = 3, "right", false, 1
	case lookNumber:
		s.Alignment.Horizontal, s.Alignment.WrapText, s.Alignment.Indent = "right", false, 1
	case lookMoney:
		s.NumFmt, s.Alignment.Horizontal, s.Alignment.WrapText, s.Alignment.Indent = 4, "right", false, 1
	case lookHead:
		s.Font.Bold = true
		s.Fill = solid(headFill)
		s.Border = box("7F7F7F", 1)
		s.Alignment.Vertical = "center"
	case lookInput:
		s.Fill = solid(inputFill)
		s.Border = box("7F7F7F", 4)
	case lookInputDate:
		iso := "yyyy\\-mm\\-dd"
		s.Fill, s.CustomNumFmt = solid(inputFill), &iso
		s.Border = box("7F7F7F", 4)
	case lookTitle:
		s.Font.Bold, s.Font.Size = true, 16
		s.Border, s.Alignment.WrapText = nil, false
	case lookSection:
		s.Font.Bold, s.Font.Size = true, 11
		s.Alignment.WrapText = false
		s.Border = []excelize.Border{{Type: "bottom", Color: ink, Style: 2}}
	case lookLabel:
		s.Border, s.Font.Color = nil, softInk
	case lookProse:
		s.Border = nil
		s.Alignment.Horizontal = "left"
	case lookWarning:
		s.Font.Bold = true
		s.Fill = solid("F2F2F2")
		s.Border = box(ink, 2)
	case lookTotal:
		s.Font.Bold, s.NumFmt, s.Alignment.Horizontal, s.Alignment.WrapText = true, 3, "right", false
		s.Border = append(box(lineGrey, 1)[:3:3], excelize.Border{Type: "top", Color: ink, Style: 2})
	case lookTotalText:
		s.Font.Bold = true
		s.Border = append(box(lineGrey, 1)[:3:3], excelize.Border{Type: "top", Color: ink, Style: 2})
	case lookLink:
		s.Font.Underline = "single"
	case lookCaution:
		s.Fill = solid("F2EFE6")
	case lookUnknown:
		s.Font.Italic = true
		s.Fill = solid("EDEDED")
	case lookFault:
		s.Font.Bold = true
		s.Fill = solid("D8CFCF")
	}
	return s
}

func solid(color string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{color}}
}

// box is a border all round; the top comes last so that it can be replaced.
func box(color string, style int) []excelize.Border {
	return []excelize.Border{{Type: "left", Color: color, Style: style}, {Type: "right", Color: color, Style: style},
		{Type: "bottom", Color: color, Style: style}, {Type: "top", Color: color, Style: style}}
}

// registerLooks creates every style once, and its twin with the mark that a
// cell's text is text whatever it begins with.
func registerLooks(f *excelize.File) (styles, quoted []int, err error) {
	for l := range looks {
		id, err := f.NewStyle(l.style())
		if err != nil {
			return nil, nil, err
		}
		styles = append(styles, id)
	}
	yes := true
	for _, id := range styles {
		twin := f.Styles.CellXfs.Xf[id]
		twin.QuotePrefix = &yes
		f.Styles.CellXfs.Xf = append(f.Styles.CellXfs.Xf, twin)
		quoted = append(quoted, len(f.Styles.CellXfs.Xf)-1)
	}
	f.Styles.CellXfs.Count = len(f.Styles.CellXfs.Xf)
	return styles, quoted, nil
}
