package intake

import (
	"strings"
	"testing"
)

func TestNormalTag(t *testing.T) {
	for _, same := range [][]string{
		{"EF-1", "EF-01", "EF 1", "ef1", "EF - 001", "(E) EF-1", "EF-1(E)", "EF-1 ①"},
		{"EF-1A", "EF1A", "EF-01-A", "EF 1 A"},
		{"AC-1.1", "AC 1.1"},
		{"AHU-1-SF", "AHU-1 SF"},
	} {
		for _, s := range same {
			if a, b := NormalTag(same[0]), NormalTag(s); a != b {
				t.Errorf("%q is %s, %q is %s", same[0], a, s, b)
			}
		}
	}
	for _, differ := range [][2]string{{"EF-1", "EF-10"}, {"EF-1", "SF-1"}, {"EF-1A", "EF-1B"}, {"EF-1-2", "EF-12"}, {"AC-1.1", "AC-11"}} {
		if NormalTag(differ[0]) == NormalTag(differ[1]) {
			t.Errorf("%s and %s are one", differ[0], differ[1])
		}
	}
}

func TestReadTags(t *testing.T) {
	for _, c := range []struct {
		text, tags string
		typical    int
		existing   bool
	}{
		{"EF-1", "EF-1", 0, false},
		{"EF-1 thru 4", "EF-1 EF-2 EF-3 EF-4", 0, false},
		{"EF-1 THRU EF-3", "EF-1 EF-2 EF-3", 0, false},
		{"EF-1 - EF-3", "EF-1 EF-2 EF-3", 0, false},
		{"EF-08 to 11", "EF-08 EF-09 EF-10 EF-11", 0, false},
		{"EF-1,2", "EF-1 EF-2", 0, false},
		{"EF-1, 2 & 5", "EF-1 EF-2 EF-5", 0, false},
		{"EF-1 & 2", "EF-1 EF-2", 0, false},
		{"EF-1 thru 3, 7", "EF-1 EF-2 EF-3 EF-7", 0, false},
		{"EF-1, 3 thru 5", "EF-1 EF-3 EF-4 EF-5", 0, false},
		{"EF-1A, B", "EF-1A EF-1B", 0, false},
		{"EF-1A thru C", "EF-1A EF-1B EF-1C", 0, false},
		{"EF-1-4", "EF-1-4", 0, false}, // level 1 fan 4 as well as a range: left as it is
		{"EF 1", "EF-1", 0, false},
		{"EF-2 (TYP OF 3)", "EF-2", 3, false},
		{"EF-2 TYP. 3", "EF-2", 3, false},
		{"(2) EF-7", "EF-7", 2, false},
		{"EF-7 (2)", "EF-7", 2, false},
		{"(E) EF-9", "EF-9", 0, true},
		{"RTU -2(E)", "RTU-2", 0, true},
		{"RTU -1 & 2", "RTU-1 RTU-2", 0, false},
		{"AC-1.1 / ACCU-1.1", "AC-1.1 ACCU-1.1", 0, false},
		{"EF-1①", "EF-1", 0, false},
		{"FAN 5", "FAN-5", 0, false},
		{"GARAGE FAN", "GARAGE-FAN", 0, false},
	} {
		got := readTags(c.text)
		if s := strings.Join(got.tags, " "); s != c.tags || got.typical != c.typical || got.existing != c.existing || got.problem != "" {
			t.Errorf("%q: %s, typical %d, existing %v, %q; want %s, %d, %v", c.text, s, got.typical, got.existing, got.problem, c.tags, c.typical, c.existing)
		}
	}
	for _, bad := range []string{"EF-4 thru 1", "EF-1 thru 9999", "EF-1 thru SF-4", ""} {
		if got := readTags(bad); got.problem == "" {
			t.Errorf("%q was read as %v", bad, got.tags)
		}
	}
}
