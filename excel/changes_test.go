package excel

import (
	"strings"
	"testing"

	"tallywire/model"
)

// An issue that follows another tells both values of what changed and marks the
// rows; the marks are no edits of the vendor's when the workbook comes back.
func TestRevisionsAreMarked(t *testing.T) {
	changes := []model.Difference{
		{Code: "changed", Subject: "EF-1/start", Field: "terminal", Ours: "RO1", Theirs: "RO7", Message: "terminal of point EF-1/start was RO1, is RO7"},
		{Code: "changed", Subject: "EF-1/start", Field: "units", Ours: "", Theirs: "percent"},
		{Code: "added", Subject: "EF-2/status", Field: "point", Theirs: "present"},
		{Code: "changed", Subject: "SF-1/failed-to-run", Field: "delay", Ours: "30 s", Theirs: "60 s"},
		{Code: "removed", Subject: "EF-99/start", Field: "point", Ours: "present"},
	}
	data := issue(t, 1, Options{Changes: changes, Since: "Bid set"})
	sheet := cells(t, data)["Changes"]
	for cell, want := range map[string]string{"C1": "Before (Bid set)", "D1": "Now", "C2": "RO1", "D2": "RO7", "A5": "SF-1/failed-to-run"} {
		if sheet[cell] != `text "`+want+`"` {
			t.Errorf("Changes!%s is %s, want %s", cell, sheet[cell], want)
		}
	}
	d := open(t, data, pointSheetName)
	for key, want := range map[string]string{"EF-1/start": "terminal, units", "EF-2/status": "new", "EF-2/start": ""} {
		if got, _ := d.f.GetCellValue(d.sheet, d.cell(key, "Revised")); got != want {
			t.Errorf("%s is marked %q, want %q", key, got, want)
		}
	}
	if ok, to, _ := d.f.GetCellHyperLink(d.sheet, d.cell("EF-2/status", "Revised")); !ok || to != "'Changes'!A4" {
		t.Errorf("the mark leads to %q", to)
	}
	alarms := open(t, data, "Alarms")
	if got, _ := alarms.f.GetCellValue("Alarms", alarms.cols["Revised"]+"5"); got != "delay" && !strings.Contains(got, "delay") {
		t.Errorf("the alarm of SF-1 is marked %q", got)
	}

	plan := samplePlan(1)
	if r := takeBack(t, data, plan); len(r.Edits)+len(r.Findings) > 0 || len(r.Layout.Own) > 0 {
		t.Errorf("untouched, it came back with %q, %q, %v", said(r), codesOf(r), r.Layout.Own)
	}
	d.set("EF-2/start", "Revised", "please mark this too")
	d.set("EF-1/start", "Vendor status", "query")
	r := takeBack(t, d.send(), plan)
	if got := strings.Join(said(r), "\n"); !strings.Contains(got, "|EF-2/start|revised|>please mark this too") || !strings.Contains(got, "answer|Point schedule|EF-1/start|vendor_status|>query") || len(r.Edits) != 2 {
		t.Errorf("came back: %s", got)
	}
	if places, err := Entries(data); err != nil || len(places) > 0 {
		t.Errorf("the marks count as entries: %v %v", places, err)
	}
	if p, err := ReadIssued("x.xlsx", data); err != nil || len(p.Points) != len(plan.Points) || p.Points[0].Terminal != plan.Points[0].Terminal {
		t.Errorf("read back: %v", err)
	}
	for _, fault := range lint(data) {
		t.Error(fault)
	}
	// The first issue has no such column.
	if first := open(t, issue(t, 1, Options{}), pointSheetName); first.cols["Revised"] != "" {
		t.Error("an issue without changes has a column for them")
	}
}

// TestLinkedTextIsNotCut: a cell that leads somewhere stands on one line; one
// with two alarms leads nowhere, since some programs would cut it.
func TestLinkedTextIsNotCut(t *testing.T) {
	plan := samplePlan(1)
	var one, two string
	for i := range plan.Points {
		q := &plan.Points[i]
		switch n := len(q.Alarms); {
		case n == 1 && one == "":
			one = q.Key
		case n == 0 && two == "":
			two = q.Key
			q.Alarms = []string{plan.Alarms[0].ID, plan.Alarms[0].ID + "-2"}
		}
	}
	d := open(t, issueOf(t, plan, Options{For: "all"}), pointSheetName)
	for key, want := range map[string]bool{one: true, two: false} {
		if ok, to, err := d.f.GetCellHyperLink(d.sheet, d.cell(key, "Alarms")); ok != want || err != nil {
			t.Errorf("%s: link %v to %q, want %v (%v)", key, ok, to, want, err)
		}
	}
}
