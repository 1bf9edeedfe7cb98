package excel

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
)

func TestWorkbookKeepsTheLoadRules(t *testing.T) {
	for _, who := range []string{"", "estimate", "field", "all"} {
		for _, fault := range lint(issue(t, 2, Options{For: who})) {
			t.Errorf("for %q: %s", who, fault)
		}
	}
}

// replant rewrites one part of a workbook.
func replant(t *testing.T, data []byte, part string, change func(string) string) []byte {
	t.Helper()
	out, err := replaced(data, part, change)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func replaced(data []byte, part string, change func(string) string) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	done := false
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		raw, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		if f.Name == part {
			changed := change(string(raw))
			if changed == string(raw) {
				return nil, fmt.Errorf("%s: nothing was planted", part)
			}
			raw, done = []byte(changed), true
		}
		w, err := out.Create(f.Name)
		if err != nil {
			return nil, err
		}
		w.Write(raw)
	}
	if !done {
		return nil, fmt.Errorf("no part %s", part)
	}
	if err := out.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Every rule is shown to bite: a fault is planted and must be told.
func TestLoadRulesFindPlantedFaults(t *testing.T) {
	good := issue(t, 1, Options{})
	swap := func(from, to string) func(string) string {
		return func(s string) string { return strings.Replace(s, from, to, 1) }
	}
	const points = "xl/worksheets/sheet2.xml"
	for _, c := range []struct {
		name, part string
		change     func(string) string
		want       string
	}{
		{"heading differs from column", "xl/tables/table1.xml", swap(`name="Role"`, `name="Roll"`), "over column"},
		{"column twice", "xl/tables/table1.xml", swap(`name="Role"`, `name="EQUIPMENT"`), `column "EQUIPMENT"`},
		{"table name like a cell", "xl/tables/table1.xml", swap(`displayName="Points"`, `displayName="P1"`), "table name"},
		{"table name taken", "xl/tables/table1.xml", swap(`displayName="Points"`, `displayName="point_type"`), "is taken"},
		{"table id twice", "xl/tables/table2.xml", swap(`id="2"`, `id="1"`), "table id"},
		{"table without rows", "xl/tables/table1.xml", func(s string) string {
			i := strings.Index(s, `ref="A1:`)
			j := strings.IndexByte(s[i+5:], '"')
			return strings.ReplaceAll(s, s[i:i+5+j], `ref="A1:B1`)
		}, "has no row"},
		{"cells out of order", points, swap(`<c r="B2"`, `<c r="A2"`), "out of order"},
		{"style out of range", points, swap(`<c r="A2" s="`, `<c r="A2" s="9`), "style"},
		{"dimension too small", points, swap(`<dimension ref="A1:`, `<dimension ref="A1:B2" x="`), "dimension"},
		{"merge in a table", points, swap(`<pageMargins`, `<mergeCells><mergeCell ref="A3:B3"/></mergeCells><pageMargins`), "overlaps"},
		{"parts of the sheet out of order", points, swap(`<sheetData>`, `<pageMargins/><sheetData>`), "out of order"},
		{"formula without value", "xl/worksheets/sheet3.xml", func(s string) string {
			i := strings.Index(s, "</f><v>")
			j := strings.Index(s[i:], "</v>")
			return s[:i+4] + s[i+j+4:]
		}, "without a cached value"},
		{"formula with an equals sign", "xl/worksheets/sheet3.xml", swap(`<f>`, `<f>=`), "formula"},
		{"name like a cell", "xl/workbook.xml", swap(`name="point_type"`, `name="AB12"`), "defined name"},
		{"sheet name twice", "xl/workbook.xml", swap(`name="Counts"`, `name="COVER"`), "twice"},
		{"sheet name too long", "xl/workbook.xml", swap(`name="Counts"`, `name="`+strings.Repeat("x", 32)+`"`), "sheet name"},
		{"missing part", "xl/_rels/workbook.xml.rels", swap(`worksheets/sheet2.xml`, `worksheets/sheet99.xml`), "not there"},
		{"content type missing", "[Content_Types].xml", swap(`/xl/worksheets/sheet2.xml`, `/xl/worksheets/other.xml`), "content type"},
		{"not well-formed", points, swap(`</sheetData>`, ``), "well-formed"},
		{"bad number", "xl/worksheets/sheet3.xml", swap(`</f><v>`, `</f><v>x`), "number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			told := lint(replant(t, good, c.part, c.change))
			if !strings.Contains(strings.Join(told, "\n"), c.want) {
				t.Errorf("told %q, want %q", told, c.want)
			}
		})
	}
}
