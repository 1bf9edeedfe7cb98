package intake

import (
	"errors"
	"math"
	"strings"
	"testing"

	"tallywire/model"
)

// FuzzReadDelimited: any bytes end in a list or in one clear line.
func FuzzReadDelimited(f *testing.F) {
	for _, s := range []string{schedule, "TAG,TYPE,CFM\nEF-1,exhaust,300\n", "sep=;\nTAG;CFM\nEF-1;3\n", "TAG\tCFM\r\nEF-1 thru 900\t\"1\n2\"\r\n", "\xff\xfeT\x00A\x00G\x00", "a\"b,\"c\"\"d,\n\"", "TAG,CFM\n①,②\nEF-1 (TYP OF 9999),1e400\n",
		"TAG:,EF-1,EF-2\nCFM,1,2\nHP,1/2,1/3\n", "TAG,CFM,TAG,CFM\nEF-1,1,EF-2,2\n", "UNIT,,\nNO.,CFM,HP\nEF-1,100,1/0\n1. NOTE ONE\nNOTES:\n2. x y\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		sheets, err := ReadDelimited("a.csv", data)
		var file *FileError
		if err != nil {
			if !errors.As(err, &file) || strings.Contains(err.Error(), "\n") {
				t.Fatalf("%v", err)
			}
			return
		}
		list, findings, err := testReaderOnce(t).fresh().project(&model.Project{Sheets: sheets})
		if err != nil {
			if !errors.As(err, &file) {
				t.Fatalf("%v", err)
			}
			return
		}
		seen := map[string]bool{}
		for _, e := range list {
			if e.Tag == "" || seen[e.Tag] {
				t.Fatalf("the tag %q is empty or stands twice", e.Tag)
			}
			seen[e.Tag] = true
		}
		for _, one := range findings {
			if one.Message == "" || one.Code == "" {
				t.Fatalf("%+v", one)
			}
		}
	})
}

func FuzzQuantity(f *testing.F) {
	for _, c := range valueRows(f) {
		f.Add(c[2], c[0], c[1])
	}
	r := testReader(f)
	f.Fuzz(func(t *testing.T, text, dimension, unit string) {
		if len(text) > 500 {
			return
		}
		v := r.quantity(text, dimension, unit)
		if q := v.quantity; q != nil && (v.problem != "" || math.IsNaN(q.Value.Lo) || math.IsInf(q.Value.Hi, 0) || q.Value.Lo < 0 || q.Text != strings.TrimSpace(text)) {
			t.Fatalf("%q is %+v, %q", text, q, v.problem)
		}
		if v.quantity == nil && v.problem == "" && !v.empty && !v.pending {
			t.Fatalf("%q is nothing at all", text)
		}
	})
}

func FuzzElectrical(f *testing.F) {
	for _, c := range valueRows(f) {
		f.Add(c[2], c[0])
	}
	r := testReader(f)
	f.Fuzz(func(t *testing.T, text, field string) {
		if len(text) > 500 {
			return
		}
		got := r.electrical(text, field)
		if got.service == nil {
			if got.problem == "" && !got.empty && !got.pending {
				t.Fatalf("%q is nothing at all", text)
			}
			return
		}
		if got.problem != "" || got.service.Phases < 0 || got.service.Phases > 3 {
			t.Fatalf("%q is %+v, %q", text, got.service, got.problem)
		}
		for _, v := range got.service.Volts {
			if v.Lo <= 0 || v.Lo > v.Hi || math.IsInf(v.Hi, 0) {
				t.Fatalf("%q has %v", text, v)
			}
		}
	})
}

func FuzzTags(f *testing.F) {
	for _, s := range []string{"EF-1 thru 4", "EF-1,2 & 3", "(E) EF-1A thru C", "RTU -2(E)", "AC-1.1 / ACCU-1.1", "(2) EF-7 (TYP OF 3)", "EF-1\nEF-2", "AHU-1 | SALES", "①②", "EF-999999999999 to 1000000000001", "0.00-0..0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 500 {
			return
		}
		got := readTags(text)
		if got.problem == "" && len(got.tags) == 0 {
			t.Fatalf("%q gave neither tag nor problem", text)
		}
		if len(got.tags) > 2*mostTags {
			t.Fatalf("%q gave %d tags", text, len(got.tags))
		}
		for _, tag := range got.tags {
			if n := NormalTag(tag); NormalTag(n) != n {
				t.Fatalf("%q: %q becomes %q and then %q", text, tag, n, NormalTag(n))
			}
		}
	})
}

func FuzzHeading(f *testing.F) {
	for i, line := range strings.Split(headingsTable, "\n") {
		if i%3 == 0 {
			f.Add(strings.SplitN(line, "\t", 2)[0], "(CFM)")
		}
	}
	r := testReader(f)
	f.Fuzz(func(t *testing.T, first, second string) {
		if len(first)+len(second) > 300 {
			return
		}
		if h := r.readHeading([]string{first, second}); h.field != nil && h.field.ID == "" {
			t.Fatal("a field without a name")
		}
	})
}

func FuzzCountAndAnswer(f *testing.F) {
	for _, s := range []string{"4", "TYP OF 3", "(2)", "PER PLANS", "1 or 2", "yes", "✓", "n/a", "99999999999999999999", "½"} {
		f.Add(s)
	}
	r := testReader(f)
	f.Fuzz(func(t *testing.T, text string) {
		if n, v := r.count(text); n < 0 || n > 5000 || n > 0 && v.problem != "" {
			t.Fatalf("%q is %d, %+v", text, n, v)
		}
		if _, v := answer(text); v.quantity != nil {
			t.Fatal("an answer has no quantity")
		}
	})
}
