package exchange

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"tallywire/model"
)

// TestPointColumnsStand: what reads the file by name or by position keeps
// working; a new column goes to the end of this list.
func TestPointColumnsStand(t *testing.T) {
	want := "key,equipment,role,system,carried,object_type,instance,object_name,description,units,range_low,range_high,states,polarity," +
		"contact_sense,signal,fail_state,relinquish_default,priority,need,bid,existing,by_others,life_safety,furnished_by,installed_by,wired_by," +
		"panel,controller,terminal,alarms,trend,feedback,rule,why,where,cov_increment"
	var got []string
	for _, c := range pointColumns {
		got = append(got, c.name)
	}
	if strings.Join(got, ",") != want {
		t.Errorf("the columns are\n%s\nwant\n%s", strings.Join(got, ","), want)
	}
}

func TestCSV(t *testing.T) {
	plan := specimen()
	plan.Points[0].Description = "=HYPERLINK(\"x\"), \"quoted\"\nsecond line"
	plan.Points[1].Range = model.Span(-0.5, 0.5)
	var out bytes.Buffer
	if err := CSV(&out, plan); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 3 {
		t.Fatalf("%d rows", len(rows))
	}
	cell := func(row int, name string) string {
		for i, c := range pointColumns {
			if c.name == name {
				return rows[row][i]
			}
		}
		t.Fatalf("no column %s", name)
		return ""
	}
	for _, c := range []struct {
		row        int
		name, want string
	}{
		{1, "key", "EF-1/start"}, {1, "instance", "7"}, {1, "states", "Off | On"}, {1, "description", "'=HYPERLINK(\"x\"), \"quoted\"\nsecond line"},
		{1, "range_low", ""}, {2, "range_low", "-0.5"}, {2, "range_high", "0.5"}, {2, "instance", ""}, {2, "existing", "no"},
	} {
		if got := cell(c.row, c.name); got != c.want {
			t.Errorf("row %d, %s: %q, want %q", c.row, c.name, got, c.want)
		}
	}
}

// TestNoFormula: no cell of any column starts what a spreadsheet would run.
func TestNoFormula(t *testing.T) {
	for _, bad := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "\r\n=1", "\u00a0=1", "＝1", "\tx"} {
		if got := words(bad); !strings.HasPrefix(got, "'") {
			t.Errorf("%q is written %q", bad, got)
		}
		if got := list([]string{bad, "x"}); !strings.HasPrefix(got, "'") {
			t.Errorf("a list that starts with %q is written %q", bad, got)
		}
	}
	for _, good := range []string{"", "EF-1", "a=b", "'x", "  indented"} {
		if got := words(good); got != good {
			t.Errorf("%q is written %q", good, got)
		}
	}
}
