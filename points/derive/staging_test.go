package derive

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// fleet is n fans of one scheme, system and duty: ...
func fleet(tag, scheme, control string, duties ...string) []model.Equipment {
	var out []model.Equipment
	for i, d := range duties {
		e := fan(scheme, control, nil)
		e.Tag, e.System, e.Duty = tag+"-"+string(rune('1'+i)), "S", d
		out = append(out, e)
	}
	return out
}

// staging are the points of a plan that belong to staging, by key.
func staging(points []model.Point) []string {
	var out []string
	for _, q := range points {
		if slices.Contains([]string{"lead", "rotation", "rotation-interval", "change-lead", "stage", "standby-active", "standby-ready", "withdrawn"}, q.Role) {
			out = append(out, q.Key)
		}
	}
	return out
}

// TestStaging: what each kind of shared task carries, once for the system, by hand.
func TestStaging(t *testing.T) {
	lib := loaded(t)
	for _, c := range []struct {
		name string
		list []model.Equipment
		want string
	}{
		{"one fan", fleet("A", "exhaust-constant", "starter", ""), ""},
		{"one row speaks for both", fleet("A", "exhaust-constant", "starter", "", "standby"),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/standby-active A-1/standby-ready A-1/withdrawn A-2/withdrawn"},
		{"two fans without a duty", fleet("A", "exhaust-constant", "starter", "", ""), ""},
		{"a standby without fellows", fleet("A", "exhaust-constant", "starter", "standby"), ""},
		{"duty and standby", fleet("A", "exhaust-constant", "starter", "duty", "standby"),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/standby-active A-1/standby-ready A-1/withdrawn A-2/withdrawn"},
		{"lead and lag", fleet("A", "supply-constant", "starter", "lead", "lag"),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/stage A-1/withdrawn A-2/withdrawn"},
		{"taking turns", fleet("A", "electrical-room", "starter", "alternating", "alternating"),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/standby-active A-1/standby-ready A-1/withdrawn A-2/withdrawn"},
		{"lead and lag in turns", fleet("A", "electrical-room", "starter", "lead-lag", "lead-lag"),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/stage A-1/withdrawn A-2/withdrawn"},
		{"laboratory, three", fleet("A", "lab-exhaust", "variable-frequency-drive", "", "", ""),
			"A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/stage A-1/standby-active A-1/standby-ready A-1/withdrawn A-2/withdrawn A-3/withdrawn"},
		{"relief, two, beside a return fan", append(fleet("A", "return", "variable-frequency-drive", ""), fleet("B", "relief", "variable-frequency-drive", "", "")...),
			"B-1/lead B-1/rotation B-1/rotation-interval B-1/change-lead B-1/stage B-1/withdrawn B-2/withdrawn"},
		{"relief, one, beside a return fan", append(fleet("A", "return", "variable-frequency-drive", ""), fleet("B", "relief", "variable-frequency-drive", "")...), ""},
		{"garage, one speed", fleet("A", "garage-exhaust", "starter", "", ""), "A-1/lead A-1/rotation A-1/rotation-interval A-1/change-lead A-1/stage"},
		{"garage, all at one speed reference", fleet("A", "garage-exhaust", "variable-frequency-drive", "", ""), ""},
	} {
		got := staging(Derive(lib, &model.Project{}, c.list).Points)
		want := strings.Fields(c.want)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s:\n got %v\nwant %v", c.name, got, want)
		}
	}
}

// TestStagingStates: the lead is chosen by tag, the stages count the fans.
func TestStagingStates(t *testing.T) {
	got := Derive(loaded(t), &model.Project{}, append(fleet("A", "return", "variable-frequency-drive", ""), fleet("B", "relief", "variable-frequency-drive", "", "")...))
	for key, want := range map[string][]string{"B-1/lead": {"B-1", "B-2"}, "B-1/stage": {"None", "Dampers", "1 fan", "2 fans"}, "B-1/rotation": {"By hand", "By time", "By run hours"}} {
		i := slices.IndexFunc(got.Points, func(q model.Point) bool { return q.Key == key })
		if i < 0 || !reflect.DeepEqual(got.Points[i].States, want) {
			t.Errorf("%s: %v", key, got.Points)
		}
	}
}

// TestStandbyAlarms: a standby that runs and one that is not there are told
// once, with the tags of the fans, and the second not while the first stands.
func TestStandbyAlarms(t *testing.T) {
	got := Derive(loaded(t), &model.Project{}, fleet("A", "exhaust-constant", "starter", "duty", "standby"))
	seen := map[string]model.Alarm{}
	for _, a := range got.Alarms {
		seen[a.ID] = a
	}
	on, lost := seen["A-1/standby-on"], seen["A-1/standby-not-ready"]
	if on.Source != "A-1/standby-active" || on.Level != 3 || !strings.Contains(on.ToOffnormal, "A-1, A-2") {
		t.Errorf("standby on: %+v", on)
	}
	if lost.Source != "A-1/standby-ready" || lost.DelaySeconds != 60 || !slices.Equal(lost.InhibitedBy, []string{"A-1/standby-active"}) || lost.Parameters[0].Value != "inactive" {
		t.Errorf("standby not ready: %+v", lost)
	}
	if _, twice := seen["A-2/standby-on"]; twice {
		t.Error("the standby is told twice")
	}
}

// TestLoneDuty: a standby that stands for nobody is told.
func TestLoneDuty(t *testing.T) {
	lib := loaded(t)
	got := Derive(lib, &model.Project{}, fleet("A", "exhaust-constant", "starter", "standby"))
	if !told(got.Findings, "duty-alone", "A-1", "no fellow") {
		t.Errorf("%v", got.Findings)
	}
	got = Derive(lib, &model.Project{}, fleet("A", "exhaust-constant", "starter", "standby", "standby"))
	if !told(got.Findings, "duty-alone", "A-1", "all are standby") {
		t.Errorf("%v", got.Findings)
	}
	got = Derive(lib, &model.Project{}, fleet("A", "exhaust-constant", "starter", "duty", "standby"))
	if told(got.Findings, "duty-alone", "A-1", "") || told(got.Findings, "duty-alone", "A-2", "") {
		t.Errorf("%v", got.Findings)
	}
}

// TestNamedFellows: a row that says duty/standby and names the other fan joins
// it, without a system; a fan that only serves the same place stays alone.
func TestNamedFellows(t *testing.T) {
	list := fleet("A", "exhaust-constant", "starter", "alternating", "", "")
	for i := range list {
		list[i].System, list[i].Service = "", "Store"
	}
	list[0].Interlocks = []string{"A-2"}
	got := staging(Derive(loaded(t), &model.Project{}, list).Points)
	slices.Sort(got)
	if want := strings.Fields("A-1/change-lead A-1/lead A-1/rotation A-1/rotation-interval A-1/standby-active A-1/standby-ready A-1/withdrawn A-2/withdrawn"); !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
	list[0].Interlocks, list[0].Duty = nil, ""
	list[0].Standby, list[1].Standby = []string{"A-2"}, []string{"A-1"}
	list[1].Service = "Cold store"
	if again := staging(Derive(loaded(t), &model.Project{}, list).Points); len(again) != len(got) {
		t.Errorf("who stands in for whom: %v", again)
	}
	list[0].Service, list[1].Service = "", ""
	if again := staging(Derive(loaded(t), &model.Project{}, list).Points); len(again) != len(got) {
		t.Errorf("without a service: %v", again)
	}
}
