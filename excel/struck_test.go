package excel

import (
	"bytes"
	"testing"

	"github.com/xuri/excelize/v2"
)

// What a workbook strikes through, by the font of the cell or of a part of its
// text, and the columns that it hides, reach the reader of the list.
func TestReadStruckThroughAndHiddenColumns(t *testing.T) {
	f := excelize.NewFile()
	style, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Strike: true}})
	if err != nil {
		t.Fatal(err)
	}
	for cell, text := range map[string]any{"A1": "TAG", "B1": "CFM", "C1": "HP", "A2": "EF-1", "B2": 300, "C2": "1/4", "A3": "EF-2"} {
		if err := f.SetCellValue("Sheet1", cell, text); err != nil {
			t.Fatal(err)
		}
	}
	for _, err := range []error{
		f.SetCellStyle("Sheet1", "A2", "B2", style),
		f.SetCellRichText("Sheet1", "B3", []excelize.RichTextRun{{Text: "500 ", Font: &excelize.Font{Strike: true}}, {Text: "750"}}),
		f.SetCellRichText("Sheet1", "C3", []excelize.RichTextRun{{Text: "1/3", Font: &excelize.Font{Strike: true}}}),
		f.SetColVisible("Sheet1", "C", false),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	sheets, err := ReadSheets("a.xlsx", b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	got := map[string][2]string{}
	for _, row := range sheets[0].Rows {
		for _, c := range row.Cells {
			got[cellName(c.Column, row.Number)] = [2]string{c.Text, c.Struck}
		}
	}
	for cell, want := range map[string][2]string{"A1": {"TAG", ""}, "A2": {"EF-1", "EF-1"}, "B2": {"300", "300"}, "C2": {"1/4", ""}, "A3": {"EF-2", ""}, "B3": {"750", "500 "}, "C3": {"1/3", "1/3"}} {
		if got[cell] != want {
			t.Errorf("%s is %q, not %q", cell, got[cell], want)
		}
	}
	if h := sheets[0].HiddenColumns; len(h) != 1 || h[0] != 3 {
		t.Errorf("hidden columns %v", h)
	}
}
