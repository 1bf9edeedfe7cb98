package excel

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// editWorkbook changes cells of a workbook as another program would.
func editWorkbook(t testing.TB, data []byte, edit func(set func(sheet, cell, words string))) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	edit(func(sheet, cell, words string) {
		if err := f.SetCellStr(sheet, cell, words); err != nil {
			t.Fatal(err)
		}
	})
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// handBook builds a workbook from the text of its sheet and other parts.
func handBook(t testing.TB, sheet string, more map[string]string) []byte {
	t.Helper()
	const main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	const rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	parts := map[string]string{
		"[Content_Types].xml":        `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>`,
		"_rels/.rels":                `<Relationships><Relationship Id="r1" Type="` + rel + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":            `<workbook xmlns="` + main + `" xmlns:r="` + rel + `"><sheets><sheet name="Fans" sheetId="1" r:id="r1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="r1" Type="` + rel + `/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="` + rel + `/sharedStrings" Target="sharedStrings.xml"/><Relationship Id="r3" Type="` + rel + `/styles" Target="styles.xml"/></Relationships>`,
		"xl/sharedStrings.xml":       `<sst xmlns="` + main + `"><si><t>EF-1</t></si><si><r><t>Gara</t></r><r><t>ge</t></r><rPh sb="0" eb="1"><t>no</t></rPh></si></sst>`,
		"xl/styles.xml":              `<styleSheet xmlns="` + main + `"><numFmts><numFmt numFmtId="170" formatCode="0.0&quot; HP&quot;"/></numFmts><cellStyleXfs><xf numFmtId="9"/></cellStyleXfs><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="12"/><xf numFmtId="3"/></cellXfs></styleSheet>`,
		"xl/worksheets/sheet1.xml":   sheet,
	}
	for name, text := range more {
		parts[name] = text
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range sortedKeys(parts) {
		w, _ := z.Create(name)
		io.WriteString(w, parts[name])
	}
	z.Close()
	return b.Bytes()
}

func sheetOf(rows string) string {
	return `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + rows + `</sheetData></worksheet>`
}

func TestReadCells(t *testing.T) {
	data := handBook(t, `<?xml version="1.0" encoding="UTF-8"?><x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>`+
		`<x:row r="2" hidden="1"><x:c r="B2" t="s"><x:v>0</x:v></x:c><x:c t="s"><x:v>1</x:v></x:c><x:c r="F2" t="inlineStr"><x:is><x:t xml:space="preserve"> 1&amp;2 &#x2013; </x:t></x:is></x:c></x:row>`+
		`<x:row><x:c s="1"><x:v>46095</x:v></x:c><x:c s="2"><x:v>1.5</x:v></x:c><x:c s="3"><x:v>0.75</x:v></x:c><x:c s="4"><x:v>12500</x:v></x:c><x:c><x:f>A1+B1</x:f><x:v>0.30000000000000004</x:v></x:c><x:c t="b"><x:v>1</x:v></x:c><x:c t="e"><x:v>#N/A</x:v></x:c><x:c t="str"><x:f>"a"</x:f><x:v>_x0041_</x:v></x:c><x:c s="1"/></x:row>`+
		`<!-- note --><x:row r="9"/></x:sheetData><x:mergeCells><x:mergeCell ref="B2:C2"/></x:mergeCells></x:worksheet>`, nil)
	sheets, err := ReadSheets("fans.xlsx", data)
	if err != nil {
		t.Fatal(err)
	}
	var got strings.Builder
	for _, s := range sheets {
		fmt.Fprintln(&got, s.File, s.Name, s.Hidden, s.Merged)
		for _, r := range s.Rows {
			fmt.Fprintf(&got, "%d %v", r.Number, r.Hidden)
			for _, c := range r.Cells {
				fmt.Fprintf(&got, " %s=%q", columnName(c.Column), c.Text)
				if c.Number != nil {
					fmt.Fprintf(&got, "(%v %s)", *c.Number, c.Format)
				}
				if c.Formula {
					got.WriteString("f")
				}
			}
			got.WriteByte('\n')
		}
	}
	want := "fans.xlsx Fans false [B2:C2]\n" +
		"2 true B=\"EF-1\" C=\"Garage\" F=\" 1&2 – \"\n" +
		"3 false A=\"2026-03-14\"(46095 m/d/yyyy) B=\"1.5 HP\"(1.5 0.0\" HP\") C=\"3/4\"(0.75 # ?/?) D=\"12,500\"(12500 #,##0) E=\"0.3\"(0.30000000000000004 )f F=\"TRUE\" G=\"#N/A\" H=\"A\"f\n"
	if got.String() != want {
		t.Errorf("got\n%swant\n%s", got.String(), want)
	}
}

func TestNumberFormats(t *testing.T) {
	for _, c := range []struct {
		code string
		v    float64
		want string
	}{
		{"", 2400, "2400"}, {"General", 1234.5678, "1234.5678"}, {"0.00", 0.125, "0.13"}, {"0.0", 2.25, "2.3"},
		{"#,##0.0", 12345.67, "12,345.7"}, {"0%", 0.075, "8%"}, {"0.0%", 0.075, "7.5%"}, {`0" cfm"`, 2400, "2400 cfm"},
		{"#,##0_);(#,##0)", -1200, "(1,200)"}, {"0.00E+00", 12345, "1.23E+04"}, {"# ?/?", 1.5, "1 1/2"}, {"# ??/??", 0.3125, "5/16"},
		{"# ?/8", 0.25, "2/8"}, {"000", 7, "007"}, {"#,##0,", 2400000, "2,400"}, {"yyyy-mm-dd", 46095, "2026-03-14"},
		{"d-mmm-yy", 46095, "2026-03-14"}, {"m/d/yyyy h:mm", 46095.4375, "2026-03-14T10:30"}, {"h:mm", 0.5, "12:00"},
		{"[h]:mm:ss", 1.5, "36:00:00"}, {"mmm d", 59, "1900-02-28"}, {"mmm d", 60, "1900-02-29"}, {"mmm d", 61, "1900-03-01"},
		{`[$$-409]#,##0.00`, 12.5, "$12.50"}, {"@", 7, "7"}, {`"n/a"`, 3, "n/a"}, {"0;-0;\"off\"", 0, "off"},
		{"0.###", 2.5, "2.5"}, {"#", 0, ""}, {"General", 1e-7, "1E-07"}, {"General", 0.1 + 0.2, "0.3"},
	} {
		if got := parseFormat(c.code).show(c.v, false); got != c.want {
			t.Errorf("%q shows %v as %q, want %q", c.code, c.v, got, c.want)
		}
	}
	if got := parseFormat("yyyy-mm-dd").show(0, true); got != "1904-01-01" {
		t.Errorf("day 0 of the 1904 system is %q", got)
	}
}

func TestBadSheetsAreErrorsWithTheirPart(t *testing.T) {
	good := sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>EF-1</t></is></c></row><row r="2"><c r="A2"><v>1</v></c></row>`)
	for _, c := range []struct{ name, sheet, want string }{
		{"cut", good[:len(good)-40], "cut off"},
		{"cut in a tag", good[:len(good)-3], "cut off"},
		{"nothing", "", "cut off"},
		{"crossed tags", sheetOf(`<row r="1"><c r="A1"></row></c>`), "belongs"},
		{"control character", sheetOf("<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>\x01</t></is></c></row>"), "control character"},
		{"character reference to one", sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>&#1;</t></is></c></row>`), "entity"},
		{"broken UTF-8", sheetOf("<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>\xED\xA0\x80</t></is></c></row>"), "UTF-8"},
		{"document type", `<!DOCTYPE x [<!ENTITY a "b">]>` + good, "document type"},
		{"unknown entity", sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>&a;</t></is></c></row>`), "entity"},
		{"rows out of order", sheetOf(`<row r="5"/><row r="4"/>`), "out of order"},
		{"row too far", sheetOf(`<row r="99999999"/>`), "outside the sheet"},
		{"cells out of order", sheetOf(`<row r="1"><c r="B1"/><c r="A1"/></row>`), "A1"},
		{"cell of another row", sheetOf(`<row r="1"><c r="A2"/></row>`), `"A2" in row 1`},
		{"column too far", sheetOf(`<row r="1"><c r="XFE1"/></row>`), "outside the sheet"},
		{"missing shared text", sheetOf(`<row r="3"><c r="C3" t="s"><v>7</v></c></row>`), "C3"},
		{"number that is none", sheetOf(`<row r="3"><c r="C3"><v>x</v></c></row>`), "C3"},
		{"second root", good + "<a/>", "second root"},
		{"text after", good + "a", "outside the root"},
		{"other encoding", `<?xml version="1.0" encoding="UTF-16"?>` + good, "UTF-8"},
		{"unquoted attribute", sheetOf(`<row r=1/>`), "quoted"},
		{"bracket in attribute", sheetOf(`<row r="<"/>`), "inside an attribute"},
		{"token too long", sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>` + strings.Repeat(" ", tokenLimit+10) + `</t></is></c></row>`), "MiB"},
		{"nested too deep", strings.Repeat("<a>", 300), "deep"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sheets, err := ReadSheets("a.xlsx", handBook(t, c.sheet, nil))
			if err == nil {
				t.Fatalf("read without an error: %v", sheets)
			}
			if !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "xl/worksheets/sheet1.xml") {
				t.Errorf("error %q, want the part and %q", err, c.want)
			}
		})
	}
	if _, err := ReadSheets("a.xlsx", handBook(t, good, nil)); err != nil {
		t.Errorf("the good sheet that the bad ones derive from: %v", err)
	}
}

func TestDamagedBytesAreErrors(t *testing.T) {
	var rows strings.Builder
	for i := 1; i <= 500; i++ {
		fmt.Fprintf(&rows, `<row r="%d"><c r="A%d"><v>%d</v></c></row>`, i, i, i*7919)
	}
	data := handBook(t, sheetOf(rows.String()), nil)
	at := bytes.Index(data, []byte("xl/worksheets/sheet1.xml")) + len("xl/worksheets/sheet1.xml") + 600
	damaged := bytes.Clone(data)
	damaged[at] ^= 0x55
	if _, err := ReadSheets("a.xlsx", damaged); err == nil || !strings.Contains(err.Error(), "sheet1.xml") {
		t.Errorf("a changed byte: error %v, want the part named", err)
	}
	if _, err := ReadSheets("a.xlsx", data[:len(data)*2/3]); err == nil || !strings.Contains(err.Error(), "cut off or damaged") {
		t.Errorf("a cut file: error %v", err)
	}
	// The checksum alone is wrong: every byte of the sheet arrives, but not to be trusted.
	directory := bytes.LastIndex(data, []byte("PK\x01\x02"))
	wrong := bytes.Clone(data)
	wrong[directory+16] ^= 1
	if _, err := ReadSheets("a.xlsx", wrong); err == nil || !strings.Contains(err.Error(), "checksum") {
		t.Errorf("a wrong checksum: error %v", err)
	}
}

func TestBlankRowsAndBombsAreBounded(t *testing.T) {
	var rows bytes.Buffer
	for i := 1; i <= maxRows; i++ {
		fmt.Fprintf(&rows, `<row r="%d" ht="15"/>`, i)
	}
	sheets, err := ReadSheets("blank.xlsx", handBook(t, sheetOf(rows.String()), nil))
	if err != nil || len(sheets) != 1 || len(sheets[0].Rows) != 0 {
		t.Errorf("1,048,576 blank rows: %d sheets, error %v", len(sheets), err)
	}
	bomb := handBook(t, sheetOf(strings.Repeat(`<row/>`, (unpackedLimit+1)/6)), nil)
	if _, err := ReadSheets("bomb.xlsx", bomb); err == nil || !strings.Contains(err.Error(), "sheet1.xml unpacks to more than") {
		t.Errorf("a bomb of %d bytes: error %v", len(bomb), err)
	}
	// A header that lies about the size does not help.
	at := bytes.LastIndex(bomb, []byte("PK\x01\x02"))
	copy(bomb[at+24:], []byte{100, 0, 0, 0})
	if _, err := ReadSheets("bomb.xlsx", bomb); err == nil {
		t.Error("a bomb with a false size was read")
	}
}

func TestForeignFormatsAreNamed(t *testing.T) {
	zipOf := func(names ...string) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, n := range names {
			w, _ := z.Create(n)
			io.WriteString(w, "application/vnd.oasis.opendocument.spreadsheet")
		}
		z.Close()
		return b.Bytes()
	}
	ole := "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1" + strings.Repeat("\x00", 500)
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"empty", "empty", nil},
		{"encrypted", "password", []byte(ole + string(wide("EncryptedPackage")))},
		{"old binary", ".xls", []byte(ole + string(wide("Workbook")))},
		{"open document", ".ods", zipOf("mimetype", "content.xml")},
		{"binary workbook", ".xlsb", zipOf("[Content_Types].xml", "xl/workbook.bin")},
		{"plain zip", "zip archive with 2 files", zipOf("a.txt", "b.txt")},
		{"pdf", "PDF", []byte("%PDF-1.7\n")},
		{"web page", "HTML", []byte("\n<html><body><table>")},
		{"table", "HTML", []byte("<TABLE border=1>")},
		{"text", ".csv", []byte("Tag,Type,CFM\nEF-1,Exhaust,1200\n")},
		{"XML 2003", "2003", []byte(`<?xml version="1.0"?><?mso-application progid="Excel.Sheet"?><Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet">`)},
		{"letter", ".docx", zipOf("[Content_Types].xml", "word/document.xml")},
		{"noise", "not a workbook", []byte{1, 2, 3, 0, 255}},
	} {
		_, err := ReadSheets("fans.xlsx", c.data)
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v, want one line with %q", c.name, err, c.want)
		}
	}
}

func TestOwnWorkbooksAreTold(t *testing.T) {
	data := issue(t, 1, Options{})
	if !IsOurs(data) {
		t.Error("an issued workbook is not known as ours")
	}
	if _, err := ReadSheets("out.xlsx", data); !errors.Is(err, ErrIssued) {
		t.Errorf("error %v, want ErrIssued", err)
	}
	if IsOurs(handBook(t, sheetOf(""), nil)) || IsOurs([]byte("Tag\n")) {
		t.Error("a foreign file is taken for ours")
	}
}

func TestReadOpenBuildings(t *testing.T) {
	files, _ := filepath.Glob("../../shared/opendata/*.xlsx")
	if len(files) == 0 {
		t.Skip("no open data beside the project")
	}
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		sheets, err := ReadSheets(filepath.Base(path), data)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		comparePatiently(t, data, sheets)
	}
}

// comparePatiently reads the same workbook through the second library and
// compares every cell that it sees as text.
func comparePatiently(t *testing.T, data []byte, sheets []model.Sheet) {
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	cells := 0
	for _, s := range sheets {
		rows, err := f.GetRows(s.Name, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Rows {
			for _, c := range r.Cells {
				if c.Number != nil {
					continue
				}
				cells++
				other := ""
				if r.Number <= len(rows) && c.Column <= len(rows[r.Number-1]) {
					other = rows[r.Number-1][c.Column-1]
				}
				if other != c.Text && c.Text != "TRUE" && c.Text != "FALSE" {
					t.Errorf("%s!%s: %q, the other library reads %q", s.Name, cellName(c.Column, r.Number), c.Text, other)
					return
				}
			}
		}
	}
	if cells < 1000 {
		t.Errorf("only %d texts compared", cells)
	}
}

// Whatever the bytes, reading ends with sheets or with one clear line.
func FuzzReadSheets(f *testing.F) {
	f.Add(sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>EF-1</t></is></c><c r="B1"><v>12</v></c></row>`))
	f.Add(sheetOf(`<row><c t="s"><v>0</v></c><c s="3"><v>0.5</v></c></row>`))
	f.Add(`<?xml version="1.0"?><!-- x --><worksheet><sheetData><![CDATA[x]]></sheetData></worksheet>`)
	f.Fuzz(func(t *testing.T, sheet string) {
		sheets, err := ReadSheets("fuzz.xlsx", handBook(t, sheet, nil))
		switch {
		case err != nil && (strings.Contains(err.Error(), "\n") || len(sheets) > 0):
			t.Errorf("sheets %v with error %q", sheets, err)
		case err == nil && len(sheets) != 1:
			t.Errorf("%d sheets", len(sheets))
		}
	})
}
