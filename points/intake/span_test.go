package intake

import (
	"strings"
	"testing"

	"tallywire/model/finding"
)

// A tag of two numbers is a range only where something else says so.
func TestTagOrRange(t *testing.T) {
	for name, c := range map[string]struct{ rows, tags, severity string }{
		"the quantity agrees":              {"GF01-03|3", "GF01 GF02 GF03", "note"},
		"no quantity, nothing else":        {"GF01-03|", "GF01-03", "caution"},
		"a quantity of one":                {"GF01-03|1", "GF01-03", ""},
		"another quantity":                 {"GF01-03|2", "GF01-03-1 GF01-03-2", "caution"},
		"the next row goes on":             {"GF01-03|;GF04-06|", "GF01 GF02 GF03 GF04 GF05 GF06", "note"},
		"the next row is the next machine": {"GF-1-3|;GF-4|", "GF-1 GF-2 GF-3 GF-4", "note"},
		"one of them has its own row":      {"GF-1-3|;GF-2|", "GF-1-3 GF-2", ""},
		"fans of two levels":               {"EF-1-2|;EF-2-1|", "EF-1-2 EF-2-1", ""},
		"fans of one level":                {"EF-1-2|;EF-1-3|", "EF-1-2 EF-1-3", ""},
		"typical of three":                 {"EF-1-3 (TYP OF 3)|", "EF-1 EF-2 EF-3", "note"},
		"other letters do not tell":        {"EF-1-2|;SF-3|", "EF-1-2 SF-3", "caution"},
		"backwards is no range":            {"EF-3-1|", "EF-3-1", ""},
	} {
		text := "TAG|QTY|SERVICE|CFM\n"
		for _, row := range strings.Split(c.rows, ";") {
			text += row + "|STORE|100\n"
		}
		got := read(t, project(t, "fans.csv", text))
		if s := got.tags(); s != c.tags {
			t.Errorf("%s: %s, not %s", name, s, c.tags)
		}
		told := ""
		for _, f := range got.findings {
			if f.Code == "tag-or-range" && (told == "" || f.Severity == finding.Caution) {
				told = map[finding.Severity]string{finding.Note: "note", finding.Caution: "caution"}[f.Severity]
			}
		}
		if told != c.severity {
			t.Errorf("%s: told as %q, not %q", name, told, c.severity)
		}
	}
}

func TestRangeInALaterList(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM\nEF-1,STORE,100\nEF-2,STORE,100\n", "electrical.csv", "TAG,HP\nEF-1-2,1/2\nEF-1-3,1/2\n"))
	if s := got.tags(); s != "EF-1 EF-2 EF-1-3" || got.tag(t, "EF-2").Ratings.Power == nil || got.find("tag-or-range", "EF-1") == nil {
		t.Errorf("%s %v", s, got.findings)
	}
}
