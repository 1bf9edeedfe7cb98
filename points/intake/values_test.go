package intake

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func testReader(t testing.TB) *reader {
	t.Helper()
	return newReader(testLibrary(t))
}

// loadOnce loads the built-in library once for all tests; it is read only.
var loadOnce = sync.OnceValues(func() (*library.Library, error) { return library.Load(nil) })

func testLibrary(t testing.TB) *library.Library {
	t.Helper()
	lib, err := loadOnce()
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// String is a reading in the form of testdata/values.tsv.
func (v value) String() string {
	switch {
	case v.problem != "":
		return "refused: " + v.problem
	case v.empty:
		return "empty"
	case v.pending:
		return "pending"
	case v.quantity == nil:
		return "nothing"
	}
	return strings.TrimSpace(model.Figure(v.quantity.Value.Lo) + " " + v.quantity.Unit)
}

func (s serviceReading) String() string {
	var parts []string
	if s.service == nil {
		parts = append(parts, s.value.String())
	} else {
		var volts []string
		for _, v := range s.service.Volts {
			if v.Point() {
				volts = append(volts, model.Figure(v.Lo))
			} else {
				volts = append(volts, model.Figure(v.Lo)+"-"+model.Figure(v.Hi))
			}
		}
		parts = append(parts, "V="+strings.Join(volts, "|"))
		for _, one := range []struct {
			name  string
			value float64
		}{{"Ph", float64(s.service.Phases)}, {"Hz", s.service.Hertz}, {"W", float64(s.service.Wires)}} {
			if one.value != 0 {
				parts = append(parts, fmt.Sprintf("%s=%s", one.name, model.Figure(one.value)))
			}
		}
		if s.service.System != "" {
			parts = append(parts, "system="+s.service.System)
		}
	}
	if s.power != nil {
		parts = append(parts, "power="+model.Figure(s.power.Value.Lo)+" "+s.power.Unit)
	}
	return strings.Join(parts, ";")
}

//go:embed testdata/values.tsv
var valuesTable string

// valueRows returns the rows of testdata/values.tsv.
func valueRows(t testing.TB) [][]string {
	t.Helper()
	var out [][]string
	for i, line := range strings.Split(strings.TrimSuffix(valuesTable, "\n"), "\n") {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "column\t") {
			continue
		}
		c := strings.Split(line, "\t")
		if len(c) != 4 {
			t.Fatalf("line %d has %d cells", i+1, len(c))
		}
		out = append(out, c)
	}
	return out
}

// TestValues holds every literal of the table against its reading.
func TestValues(t *testing.T) {
	r := testReader(t)
	rows := valueRows(t)
	if len(rows) < 200 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, c := range rows {
		if got := readAs(t, r, c[0], c[1], c[2]); got != c[3] {
			t.Errorf("%s %q:\n got %s\nwant %s", c[0], c[2], got, c[3])
		}
	}
}

func readAs(t *testing.T, r *reader, column, unit, text string) string {
	switch column {
	case "service", "voltage", "phases", "hertz":
		return r.electrical(text, column).String()
	case "heading":
		h := r.heading([]string{text})
		if h.field == nil {
			return "unknown"
		}
		return fmt.Sprintf("%s, %s, x %s", h.field.ID, h.unit, model.Figure(h.scale))
	case "tag":
		got := readTags(text)
		s := strings.Join(got.tags, " ")
		if got.existing {
			s += " existing"
		}
		if got.serves != "" {
			s += " serves " + got.serves
		}
		return s
	case "count":
		n, v := r.count(text)
		if v.problem != "" || v.pending || v.empty {
			return v.String()
		}
		return fmt.Sprint(n)
	case "drive", "kind":
		field := map[string]string{"drive": "drive", "kind": "description"}[column]
		e := readRow(t, r.lib, map[string]string{"tag": "F-1", field: text})
		switch {
		case e.OutOfScope != "":
			return "out of scope: " + e.OutOfScope
		case column == "kind":
			return e.Kind
		}
		return e.Ratings.Drive
	case "same", "kept":
		head := text
		if column == "kept" {
			head = "NAME OF IT"
		}
		sheet := model.Sheet{File: "x.csv", Rows: []model.Row{
			{Number: 1, Cells: []model.Cell{{Column: 1, Text: "TAG"}, {Column: 2, Text: "CFM"}, {Column: 3, Text: head}}},
			{Number: 2, Cells: []model.Cell{{Column: 1, Text: "EF-1"}, {Column: 2, Text: "100"}, {Column: 3, Text: text}}}}}
		got, _, err := Read(r.lib, &model.Project{Sheets: []model.Sheet{sheet}})
		if err != nil || len(got) != 1 {
			t.Fatalf("%q: %v %v", text, got, err)
		}
		if f, ok := got[0].Fields[head]; ok {
			return f.Text
		}
		return "empty"
	default:
		return r.quantity(text, column, unit).String()
	}
}

// readRow reads a list of one row.
func readRow(t *testing.T, lib *library.Library, row library.Example) model.Equipment {
	t.Helper()
	got, _, err := Read(lib, &model.Project{Sheets: []model.Sheet{rowFor(lib, row)}})
	if err != nil || len(got) != 1 {
		t.Fatalf("%v: %v %v", row, got, err)
	}
	return got[0]
}

// readerOnce is one reader for tests that do not add headings to its memory.
var readerOnce = sync.OnceValue(func() *reader {
	lib, err := loadOnce()
	if err != nil {
		panic(err)
	}
	return newReader(lib)
})

func testReaderOnce(testing.TB) *reader { return readerOnce() }

// fresh is the reader without what it has read so far.
func (r *reader) fresh() *reader {
	out := *r
	out.read, out.tagCells = map[string]heading{}, map[string]bool{}
	return &out
}
