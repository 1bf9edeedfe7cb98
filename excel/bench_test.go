package excel

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"runtime"
	"strconv"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// The shapes below are those of the yardsticks in testdata/bench: the same
// cells written by a hand-made program and by a C library. testdata/bench/run
// compares them pair by pair.

// benchRows and benchColumns are the first shape: fifteen columns of text, nine
// of them repeating, nine of numbers.
const (
	benchRows    = 100_000
	benchColumns = 24
)

// benchText is the text of a cell of the first shape.
func benchText(row, column int) string {
	n := strconv.Itoa(row)
	switch column {
	case 0:
		return "EF-" + n
	case 1:
		return "EF-" + n + "/override-active"
	case 2:
		return "B1.EF" + n + ".OVR"
	case 3:
		return "fans.xlsx, Schedule!A" + n
	case 4:
		return "Exhaust fan " + n + ", override"
	case 5:
		return strconv.Itoa(row*7919%65536) + "-" + n
	}
	return benchWords[(row+column)%len(benchWords)]
}

var benchWords = []string{"binary-output", "analog-input", "hardwired", "controls contractor", "electrical", "normally-open", "PANEL-12", "software", "base"}

func benchNumber(row, column int) float64 { return float64(row*column%100_000) + float64(column)/8 }

// benchTable is the first shape as a sheet.
func benchTable() *sheet {
	s := &sheet{name: "Rows", frozen: 1, sideways: 1, count: benchRows + 1, key: -1}
	for i := range benchColumns {
		c := column{id: fmt.Sprint(i), title: fmt.Sprintf("Column %d", i+1), least: 12, most: 30, look: lookText}
		if i >= 15 {
			c.look = lookNumber
		}
		s.columns = append(s.columns, c)
	}
	s.rows = func(yield func(row) bool) {
		if !yield(headRow(s.columns)) {
			return
		}
		cells := make([]value, benchColumns)
		for r := 1; r <= benchRows; r++ {
			for c := range benchColumns {
				if c < 15 {
					cells[c] = value{kind: textValue, text: benchText(r, c)}
				} else {
					cells[c] = value{kind: numberValue, number: benchNumber(r, c)}
				}
			}
			if !yield(row{cells: cells}) {
				return
			}
		}
	}
	return s
}

func writeBook(w io.Writer, sheets ...*sheet) error {
	b := &book{kept: keep(nil), conditional: map[look]int{}, hiddenNames: map[string]bool{}, sheets: sheets}
	return b.write(w, model.ProjectHead{Name: "bench"}, "bench")
}

// target file of a benchmark: what is measured is a file on the disk, as for
// the yardsticks.
func benchFile(b *testing.B) *os.File {
	path := os.Getenv("BENCH_OUT")
	if path == "" {
		path = b.TempDir() + "/bench.xlsx"
	}
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	return f
}

func BenchmarkRows(b *testing.B) {
	for b.Loop() {
		f := benchFile(b)
		if err := writeBook(f, benchTable()); err != nil {
			b.Fatal(err)
		}
		info, _ := f.Stat()
		f.Close()
		b.ReportMetric(float64(info.Size())/1e6, "MB")
	}
}

// The second shape: twelve sheets with tables, lists, shades, formulas and
// links, and a summary with charts.
const (
	bookSheets  = 12
	bookRows    = 2_000
	bookColumns = 12
)

func bookTable(n int) *sheet {
	type item = int
	fields := []field[item]{}
	for c := range bookColumns {
		col := column{id: fmt.Sprint(c), title: fmt.Sprintf("Field %d", c+1), least: 12, most: 24, look: lookText}
		get := func(i item) value { return text(benchText(i, c)) }
		switch {
		case c == 0:
			get = func(i item) value {
				v := text(benchText(i, 0))
				if i <= 20 {
					return v.leads(target{"Summary", n + 1})
				}
				return v
			}
		case c >= 4 && c < 7:
			col.choices = vendorAnswers
			get = func(i item) value { return text(vendorAnswers[i%len(vendorAnswers)]) }
		case c >= 7 && c < 11:
			col.look = lookNumber
			get = func(i item) value { return number(benchNumber(i, c)) }
		case c == 11:
			col.look = lookNumber
			get = func(i item) value {
				return formula(fmt.Sprintf("H%d*I%d+J%d", i+1, i+1, i+1), benchNumber(i, 7)*benchNumber(i, 8)+benchNumber(i, 9))
			}
		}
		fields = append(fields, field[item]{col, get})
	}
	items := make([]item, bookRows)
	for i := range items {
		items[i] = i + 1
	}
	return tableSheet(fmt.Sprintf("Sheet %d", n), fmt.Sprintf("List%d", n), items, fields)
}

func bookShape() []*sheet {
	rows := []row{{cells: []value{text("Sheet").as(lookHead), text("Sum").as(lookHead), text("Rows").as(lookHead)}}}
	list := []*sheet{nil}
	for n := 1; n <= bookSheets; n++ {
		sum := 0.0
		for i := 1; i <= bookRows; i++ {
			sum += benchNumber(i, 7)*benchNumber(i, 8) + benchNumber(i, 9)
		}
		rows = append(rows, row{cells: []value{text(fmt.Sprintf("Sheet %d", n)).as(lookText).leads(target{fmt.Sprintf("Sheet %d", n), 1}),
			formula(fmt.Sprintf("SUM('Sheet %d'!L2:L%d)", n, bookRows+1), sum).as(lookNumber),
			formula(fmt.Sprintf("COUNTA('Sheet %d'!A2:A%d)", n, bookRows+1), bookRows).as(lookCount)}})
		list = append(list, bookTable(n))
	}
	s := pageSheet("Summary", rows)
	s.columns = []column{{least: 20, most: 20, look: lookText}, {least: 14, most: 20, look: lookNumber}, {least: 10, most: 12, look: lookCount}}
	for i, cell := range []string{"E2", "E20"} {
		s.charts = append(s.charts, placedChart{cell, stacked(1, "'Summary'!", span2{1, 2, bookSheets + 1}, i+1, "Sums", "Sums by sheet")})
	}
	list[0] = s
	return list
}

func BenchmarkBook(b *testing.B) {
	for b.Loop() {
		f := benchFile(b)
		if err := writeBook(f, bookShape()...); err != nil {
			b.Fatal(err)
		}
		f.Close()
	}
}

// The whole product: a plan of many fans, every sheet.
func BenchmarkPlan(b *testing.B) {
	plan := samplePlan(400)
	for b.Loop() {
		var out bytes.Buffer
		if err := Write(&out, plan, Options{}); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(plan.Points)), "points")
	}
}

// Reading the first shape back: our reader, and the other library's.
func BenchmarkReadBack(b *testing.B) {
	var file bytes.Buffer
	if err := writeBook(&file, benchTable()); err != nil {
		b.Fatal(err)
	}
	b.Run("ours", func(b *testing.B) {
		runtime.GC()
		var before, now runtime.MemStats
		runtime.ReadMemStats(&before)
		peak := before.HeapInuse
		defer func() { b.ReportMetric(float64(peak-before.HeapInuse)/(1<<20), "MiB-at-most") }()
		for b.Loop() {
			p, err := openPackage(file.Bytes())
			if err != nil {
				b.Fatal(err)
			}
			book, err := p.openBook()
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			if _, err := book.readGrid(book.sheets[0], func(r rawRow) error {
				if n += len(r.cells); n%(500*benchColumns) == 0 {
					runtime.ReadMemStats(&now)
					peak = max(peak, now.HeapInuse)
				}
				return nil
			}); err != nil || n != (benchRows+1)*benchColumns {
				b.Fatal(n, err)
			}
		}
	})
	b.Run("excelize", func(b *testing.B) {
		for b.Loop() {
			f, err := excelize.OpenReader(bytes.NewReader(file.Bytes()))
			if err != nil {
				b.Fatal(err)
			}
			rows, err := f.Rows("Rows")
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			for rows.Next() {
				cells, err := rows.Columns()
				if err != nil {
					b.Fatal(err)
				}
				n += len(cells)
			}
			if n != (benchRows+1)*benchColumns {
				b.Fatal(n)
			}
			f.Close()
		}
	})
}

// Reading a returned workbook against its plan.
func BenchmarkReturned(b *testing.B) {
	plan := samplePlan(60)
	var file bytes.Buffer
	if err := Write(&file, plan, Options{}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := ReadReturned("back.xlsx", file.Bytes(), plan); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(plan.Points)), "points")
	}
}
