// Command floor writes the first shape of the benchmarks with nothing but
// string appending: what writing these cells costs at the very least.
package main

import (
	"archive/zip"
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/klauspost/compress/flate"
)

var words = []string{"binary-output", "analog-input", "hardwired", "controls contractor", "electrical", "normally-open", "PANEL-12", "software", "base"}

func main() {
	f, err := os.Create(os.Args[1])
	if err != nil {
		panic(err)
	}
	z := zip.NewWriter(f)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, 6) })
	part := func(name, text string) io.Writer {
		w, err := z.Create(name)
		if err != nil {
			panic(err)
		}
		io.WriteString(w, text)
		return w
	}
	part("[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`)
	part("_rels/.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	part("xl/workbook.xml", `<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Rows" sheetId="1" r:id="rId1"/></sheets></workbook>`)
	part("xl/_rels/workbook.xml.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`)
	w := part("xl/worksheets/sheet1.xml", `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`)
	rows(w)
	io.WriteString(w, `</sheetData></worksheet>`)
	if err := z.Close(); err != nil {
		panic(err)
	}
	f.Close()
}

func rows(w io.Writer) {
	b := make([]byte, 0, 1<<17)
	for r := 1; r <= 100_001; r++ {
		b = append(strconv.AppendInt(append(b, `<row r="`...), int64(r), 10), `">`...)
		for c := range 24 {
			b = append(b, `<c r="`...)
			b = append(b, byte('A'+c))
			b = strconv.AppendInt(b, int64(r), 10)
			switch {
			case r == 1:
				b = append(b, fmt.Sprintf(`" t="inlineStr"><is><t>Column %d</t></is></c>`, c+1)...)
			case c < 6:
				b = append(append(append(b, `" t="inlineStr"><is><t>`...), name(r-1, c)...), `</t></is></c>`...)
			case c < 15:
				b = append(append(append(b, `" t="inlineStr"><is><t>`...), words[(r-1+c)%len(words)]...), `</t></is></c>`...)
			default:
				b = strconv.AppendFloat(append(b, `"><v>`...), float64((r-1)*c%100_000)+float64(c)/8, 'g', -1, 64)
				b = append(b, `</v></c>`...)
			}
		}
		b = append(b, `</row>`...)
		if len(b) > 1<<16 {
			w.Write(b)
			b = b[:0]
		}
	}
	w.Write(b)
}

func name(row, column int) string {
	n := strconv.Itoa(row)
	return [...]string{"EF-" + n, "EF-" + n + "/override-active", "B1.EF" + n + ".OVR", "fans.xlsx, Schedule!A" + n,
		"Exhaust fan " + n + ", override", strconv.Itoa(row*7919%65536) + "-" + n}[column]
}
