package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

const twoFans = "tag,type,cfm,hp,volts,control,fire response\nEF-1,toilet exhaust,600,1/4,120/1/60,fan interface box,none\nSF-1,supply,4000,5,460/3/60,VFD,none\n"

// planOf reads what export prints.
func planOf(t *testing.T, args ...string) *model.Plan {
	t.Helper()
	code, out, errs := call(t, append([]string{"export", "-o", "-"}, args...)...)
	if code != exitDone {
		t.Fatalf("exit %d: %s", code, errs)
	}
	plan := &model.Plan{}
	if err := json.Unmarshal([]byte(out), plan); err != nil {
		t.Fatal(err)
	}
	return plan
}

func pointOf(t *testing.T, p *model.Plan, key string) model.Point {
	t.Helper()
	for _, q := range p.Points {
		if q.Key == key {
			return q
		}
	}
	t.Fatalf("no point %s", key)
	return model.Point{}
}

// setCell changes the cell of a row's column in a workbook, as a vendor would.
func setCell(t *testing.T, file, key, title, value string) {
	t.Helper()
	f, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	const sheet = "Point schedule"
	rows, err := f.GetRows(sheet)
	if err != nil {
		t.Fatal(err)
	}
	column, keyColumn := -1, -1
	for r, row := range rows {
		for c, text := range row {
			switch text {
			case title:
				column = c
			case "Key":
				keyColumn = c
			}
		}
		if column >= 0 && keyColumn >= 0 && keyColumn < len(row) && row[keyColumn] == key {
			cell, err := excelize.CoordinatesToCellName(column+1, r+1)
			if err != nil {
				t.Fatal(err)
			}
			if err := f.SetCellValue(sheet, cell, value); err != nil {
				t.Fatal(err)
			}
			if err := f.Save(); err != nil {
				t.Fatal(err)
			}
			return
		}
	}
	t.Fatalf("%s has no row %s with a column %s", file, key, title)
}

// TestMergeAccept: what a vendor wrote is shown, taken over only when accepted,
// kept in answers.yaml, and stands in the next plan; two vendors who disagree
// are a conflict and neither is taken.
func TestMergeAccept(t *testing.T) {
	folder(t, map[string]string{"fans.csv": twoFans, "project.yaml": "project: {name: A}\nlists:\n  - file: fans.csv\n"})
	for _, book := range []string{"vendor.xlsx", "other.xlsx"} {
		if code, _, errs := call(t, "schedule", ".", "-o", book); code != exitDone {
			t.Fatal(errs)
		}
	}
	setCell(t, "vendor.xlsx", "EF-1/start", "Object name", "B1_EF1_CMD")
	setCell(t, "vendor.xlsx", "SF-1/start", "Object name", "B1_SF1_CMD")
	setCell(t, "other.xlsx", "SF-1/start", "Object name", "SF1-START")

	code, out, errs := call(t, "merge", "project.yaml", "--returned", "vendor.xlsx")
	if code != exitDone || !strings.Contains(out, "B1_EF1_CMD") || exists(answersFile) {
		t.Fatalf("exit %d, answers kept %v: %s%s", code, exists(answersFile), out, errs)
	}
	code, out, errs = call(t, "merge", "project.yaml", "--returned", "vendor.xlsx", "--returned", "other.xlsx", "--accept", "object_name")
	if code != exitNo || !strings.Contains(out, "conflict SF-1/start object_name") {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	plan := planOf(t, "project.yaml")
	if name := pointOf(t, plan, "EF-1/start").ObjectName; name != "B1_EF1_CMD" {
		t.Errorf("accepted name is %q", name)
	}
	if name := pointOf(t, plan, "SF-1/start").ObjectName; name == "B1_SF1_CMD" || name == "SF1-START" {
		t.Errorf("a disputed name was taken: %q", name)
	}
	if code, _, errs := call(t, "merge", "project.yaml", "--returned", "vendor.xlsx", "--accept", "object_nme"); code != exitInput || !strings.Contains(errs, `"object_name"`) {
		t.Errorf("exit %d: %s", code, errs)
	}
}

// TestPreviousPlanStays: with the issued plan, a fan that comes in front moves
// no terminal and no instance of the others.
func TestPreviousPlanStays(t *testing.T) {
	folder(t, map[string]string{"fans.csv": twoFans})
	before := planOf(t, "fans.csv")
	if code, _, errs := call(t, "export", "fans.csv", "-o", "issued.json"); code != exitDone {
		t.Fatal(errs)
	}
	head, rows, _ := strings.Cut(twoFans, "\n")
	more := head + "\nAF-1,toilet exhaust,300,1/6,120/1/60,fan interface box,none\n" + rows
	if err := os.WriteFile("fans.csv", []byte(more), 0o644); err != nil {
		t.Fatal(err)
	}
	after := planOf(t, "fans.csv", "--previous", "issued.json")
	used := map[string]string{}
	for _, q := range after.Points {
		if q.Instance != nil {
			id := q.ObjectType + model.Figure(float64(*q.Instance))
			if used[id] != "" {
				t.Errorf("%s and %s share %s", used[id], q.Key, id)
			}
			used[id] = q.Key
		}
	}
	for _, old := range before.Points {
		now := pointOf(t, after, old.Key)
		if old.Controller != now.Controller || old.Terminal != now.Terminal {
			t.Errorf("%s moved from %s %s to %s %s", old.Key, old.Controller, old.Terminal, now.Controller, now.Terminal)
		}
		if old.Instance != nil && *old.Instance != *now.Instance {
			t.Errorf("%s had instance %d and has %d", old.Key, *old.Instance, *now.Instance)
		}
	}
}

// TestCompareTellsOnlyWhatChanged: one machine that goes takes its own points
// along and moves nothing of the others, unless both issues were planned apart.
func TestCompareTellsOnlyWhatChanged(t *testing.T) {
	head, rows, _ := strings.Cut(twoFans, "\n")
	more := head + "\nAF-1,toilet exhaust,300,1/6,120/1/60,fan interface box,none\n" + rows
	folder(t, map[string]string{"old.csv": more, "new.csv": twoFans})
	strangers := func(args ...string) (n int) {
		t.Helper()
		code, out, errs := call(t, append([]string{"compare", "--json"}, args...)...)
		if code != exitNo {
			t.Fatalf("exit %d: %s", code, errs)
		}
		var answer model.CompareAnswer
		if err := json.Unmarshal([]byte(out), &answer); err != nil {
			t.Fatal(err)
		}
		own := 0
		for _, d := range answer.Differences {
			switch {
			case strings.HasPrefix(d.Subject, "AF-1"):
				own++
			case d.Code != "count":
				n++
			}
		}
		if own == 0 {
			t.Error("nothing says that AF-1 is gone")
		}
		return n
	}
	if n := strangers("old.csv", "new.csv"); n != 0 {
		t.Errorf("%d differences of machines that nobody touched", n)
	}
	if n := strangers("old.csv", "new.csv", "--apart"); n == 0 {
		t.Error("planned apart, nothing moves: the test proves nothing")
	}
	if code, _, errs := call(t, "export", "old.csv", "-o", "issued.json"); code != exitDone {
		t.Fatal(errs)
	}
	if n := strangers("issued.json", "new.csv"); n != 0 {
		t.Errorf("%d differences of machines that nobody touched, against the issued plan", n)
	}
	if code, _, errs := call(t, "schedule", "old.csv", "-o", "issued.xlsx"); code != exitDone {
		t.Fatal(errs)
	}
	if n := strangers("issued.xlsx", "new.csv"); n != 0 {
		t.Errorf("%d differences of machines that nobody touched, against the issued workbook", n)
	}
	if code, out, errs := call(t, "compare", "issued.xlsx", "old.csv"); code != exitDone {
		t.Errorf("exit %d: %s%s", code, out, errs)
	}
	if code, out, errs := call(t, "compare", "issued.json", "old.csv"); code != exitDone {
		t.Errorf("exit %d: %s%s", code, out, errs)
	}
}

// TestOpenInAnotherProgram: somebody who has the old issue on the screen is
// told before it is saved over the new one.
func TestOpenInAnotherProgram(t *testing.T) {
	folder(t, map[string]string{"fans.csv": twoFans, ".~lock.out.xlsx#": ""})
	if code, _, errs := call(t, "schedule", "fans.csv", "-o", "out.xlsx"); code != exitDone || !strings.Contains(errs, ".~lock.out.xlsx# says that a program has out.xlsx open") {
		t.Errorf("exit %d: %s", code, errs)
	}
	if code, _, errs := call(t, "schedule", "fans.csv", "-o", "other.xlsx"); code != exitDone || strings.Contains(errs, "open") {
		t.Errorf("exit %d: %s", code, errs)
	}
}
