package revise

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

func plan() *model.Plan {
	n := 7
	return &model.Plan{
		Equipment: []model.Equipment{{Tag: "EF-1", Kind: "general-exhaust-fan"}, {Tag: "EF-10", Kind: "garage-exhaust-fan"}},
		Points: []model.Point{{Key: "EF-1/start", ObjectType: model.BinaryOutput, Terminal: "RO1", Units: "", Instance: &n},
			{Key: "EF-10/status", ObjectType: model.BinaryInput, Terminal: "UI1", Units: "no-units"}},
		Alarms: []model.Alarm{{ID: "EF-1/failure", Source: "EF-1/status", DelaySeconds: 30}},
		Counts: model.Counts{ByType: model.ClassCounts{Hardwired: model.TypeCounts{"BI": 1, "BO": 1}}},
	}
}

func told(list []model.Difference) []string {
	var out []string
	for _, d := range list {
		out = append(out, d.Code+" "+d.Subject+" "+d.Field+": "+d.Ours+" > "+d.Theirs)
	}
	return out
}

func TestCompare(t *testing.T) {
	if list := Compare(plan(), plan()); len(list) > 0 {
		t.Errorf("a plan differs from itself: %q", told(list))
	}
	after := plan()
	after.Equipment[0].Kind = "toilet-exhaust-fan"
	after.Equipment[1].Tag = "EF-2"
	after.Points[0].Terminal = "RO2"
	after.Points[0].Instance = nil
	after.Points[1].Key = "EF-2/status"
	after.Alarms[0].DelaySeconds = 60
	after.Counts.ByType.Hardwired["BI"] = 3
	want := []string{"changed EF-1 kind: general-exhaust-fan > toilet-exhaust-fan", "added EF-2 machine:  > present", "removed EF-10 machine: present > ",
		"changed EF-1/start instance: 7 > ", "changed EF-1/start terminal: RO1 > RO2",
		"added EF-2/status point:  > present", "removed EF-10/status point: present > ",
		"changed EF-1/failure delay: 30 s > 60 s", "count hardwired BI count: 1 > 3"}
	if got := told(Compare(plan(), after)); !slices.Equal(got, want) {
		t.Errorf("told\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A plan read back from a workbook has no machines, no counts and not every
// column; what it lacks did not change.
func TestCompareWithPartOfAPlan(t *testing.T) {
	before := plan()
	before.Equipment, before.Counts = nil, model.Counts{}
	for i := range before.Points {
		before.Points[i].Terminal = ""
	}
	if list := Compare(before, plan()); len(list) > 0 {
		t.Errorf("what the workbook did not show counts as changed: %q", told(list))
	}
	after := plan()
	after.Points[1].Units = "percent"
	after.Points[0].Terminal = "RO9"
	if got := told(Compare(before, after)); !slices.Equal(got, []string{"changed EF-10/status units: no-units > percent"}) {
		t.Errorf("told %q", got)
	}
	before.Alarms = nil
	if list := Compare(before, plan()); len(list) > 0 {
		t.Errorf("alarms that the workbook did not have count as new: %q", told(list))
	}
}
