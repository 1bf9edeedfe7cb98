package main

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/revise"
)

// TestPreviousWorkbookStays: the issued workbook keeps what the issued plan
// keeps, wire labels and what was added to old controllers too; nothing changed
// is told as changed, and a copy without landings is refused.
func TestPreviousWorkbookStays(t *testing.T) {
	const fans = "tag,type,cfm,hp,volts,control,fire response,location\nEF-1,toilet exhaust,600,1/4,120/1/60,fan interface box,none,LEVEL 1\nEF-2,toilet exhaust,600,1/4,120/1/60,fan interface box,none,LEVEL 1\n" +
		"EF-3,toilet exhaust,600,1/4,120/1/60,fan interface box,none,LEVEL 1\nSF-1,supply,4000,5,460/3/60,VFD,none,LEVEL 6\nSF-2,supply,4000,5,460/3/60,VFD,none,LEVEL 6\nSF-3,supply,4000,5,460/3/60,VFD,none,LEVEL 6\n"
	folder(t, map[string]string{"fans.csv": fans})
	for _, step := range [][]string{{"schedule", "fans.csv", "-o", "issued.xlsx"}, {"export", "fans.csv", "-o", "issued.json"}} {
		if code, _, errs := call(t, step...); code != exitDone {
			t.Fatal(errs)
		}
	}
	book, err := readPrevious("issued.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	plan, err := readPrevious("issued.json")
	if err != nil {
		t.Fatal(err)
	}
	for i := range plan.Landings { // what the workbook does not show, and staying does not need
		plan.Landings[i].ExtraCents, plan.Landings[i].Kept = 0, false
	}
	if !slices.EqualFunc(book.Landings, plan.Landings, func(a, b model.Landing) bool { return a.Point == b.Point }) {
		slices.SortFunc(book.Landings, func(a, b model.Landing) int { return finding.CompareTags(a.Point, b.Point) })
	}
	for i, l := range plan.Landings {
		if got := book.Landings[i]; fmt.Sprint(got) != fmt.Sprint(l) {
			t.Errorf("read %+v\nissued %+v", got, l)
		}
	}
	for i, c := range plan.Controllers {
		got := book.Controllers[i]
		if got.Location != c.Location || got.ID != c.ID || got.Model != c.Model || got.Panel != c.Panel || !slices.Equal(got.Expansions, c.Expansions) || got.Existing != c.Existing || !slices.Equal(got.InUse, c.InUse) {
			t.Errorf("read %+v\nissued %+v", got, c)
		}
		for n, m := range c.Modules {
			if !slices.Equal(got.Modules[n].Terminals, m.Terminals) || got.Modules[n].ID != m.ID || got.Modules[n].Model != m.Model {
				t.Errorf("module %+v, issued %+v", got.Modules[n], m)
			}
		}
	}
	if list := revise.Compare(book, planOf(t, "fans.csv")); len(list) > 0 {
		t.Errorf("nothing changed, and %d differences are told: %+v", len(list), list[0])
	}

	head, rows, _ := strings.Cut(fans, "\n")
	more := head + "\nAF-1,toilet exhaust,300,1/6,120/1/60,fan interface box,none,LEVEL 5\n" + rows
	if err := os.WriteFile("fans.csv", []byte(more), 0o644); err != nil {
		t.Fatal(err)
	}
	byBook, byPlan := planOf(t, "fans.csv", "--previous", "issued.xlsx"), planOf(t, "fans.csv", "--previous", "issued.json")
	if !reflect.DeepEqual(byBook.Landings, byPlan.Landings) || !reflect.DeepEqual(byBook.Controllers, byPlan.Controllers) || !reflect.DeepEqual(byBook.LandingProof, byPlan.LandingProof) {
		t.Error("the workbook keeps other landings than the plan of the same issue")
	}
	kept := 0
	for _, l := range byBook.Landings {
		if l.Kept {
			kept++
		}
	}
	if kept != len(plan.Landings) || byBook.LandingProof[0].StayingCents == nil {
		t.Errorf("%d of %d landings kept; the cost of staying is %v", kept, len(plan.Landings), byBook.LandingProof[0].StayingCents)
	}
	for _, old := range plan.Points {
		if now := pointOf(t, byBook, old.Key); old.Instance != nil && *old.Instance != *now.Instance {
			t.Errorf("%s had instance %d and has %d", old.Key, *old.Instance, *now.Instance)
		}
	}
	if fresh := planOf(t, "fans.csv"); fmt.Sprint(fresh.Landings) == fmt.Sprint(byBook.Landings) {
		t.Error("planned afresh nothing moves: this case proves nothing")
	}
	if code, _, errs := call(t, "schedule", "fans.csv", "-o", "next.xlsx", "--previous", "issued.xlsx"); code != exitDone {
		t.Fatal(errs)
	}
	if code, _, errs := call(t, "export", "fans.csv", "-o", "-", "--previous", "fans.csv"); code != exitInput || !strings.Contains(errs, "issued workbook") {
		t.Errorf("exit %d: %s", code, errs)
	}
}
