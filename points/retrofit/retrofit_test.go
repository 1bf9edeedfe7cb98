package retrofit

import (
	"fmt"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func load(t *testing.T) *library.Library {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// ours makes the points of a machine from its roles as the library has them.
func ours(t *testing.T, lib *library.Library, tag string, roles ...string) []model.Point {
	t.Helper()
	var out []model.Point
	for _, role := range roles {
		r, ok := lib.Role(role)
		if !ok {
			t.Fatalf("no role %s", role)
		}
		out = append(out, model.Point{Key: tag + "/" + role, Equipment: tag, Role: role, ObjectType: r.Object, Units: r.Units, States: r.States, ObjectName: "BW_" + tag + "_" + r.Abbreviation})
	}
	return out
}

func old(objectType, name, description string) model.ExistingPoint {
	return model.ExistingPoint{ObjectType: objectType, ObjectName: name, Description: description}
}

// told prints a comparison: action point = existing (changes).
func told(list []model.RetrofitPoint) string {
	var out []string
	for _, r := range list {
		s := string(r.Action)
		if r.Point != "" {
			s += " " + r.Point
		}
		if r.Existing != nil {
			s += " = " + r.Existing.ObjectName
		}
		for _, c := range r.Changes {
			s += fmt.Sprintf(" [%s %s > %s]", c.Field, c.From, c.To)
		}
		out = append(out, s)
	}
	return strings.Join(out, "\n")
}

// TestWordsTellTheRole pairs the objects of an older controller, named as such
// objects are named in practice.
func TestWordsTellTheRole(t *testing.T) {
	lib := load(t)
	points := append(ours(t, lib, "EF-1", "start", "status", "speed", "not-in-auto", "drive-fault", "duct-pressure", "failure"), ours(t, lib, "EF-12", "start", "status")...)
	existing := []model.ExistingPoint{
		old(model.BinaryOutput, "EF1_FanCmd", "Exhaust fan EF-1 start/stop"), old(model.BinaryInput, "EF1_FanSts", "Exhaust fan EF-1 run status (current switch)"),
		old(model.AnalogOutput, "EF1_FanSpdRef", "Exhaust fan EF-1 speed reference"), old(model.BinaryInput, "EF1_FanOvr", "Exhaust fan EF-1 HOA not in AUTO"),
		old(model.BinaryInput, "EF1_DrvFlt", "Exhaust fan EF-1 drive fault"), old(model.AnalogInput, "EF1_DuctSP", "Exhaust duct static pressure"),
		old(model.BinaryValue, "EF12-SS", ""), old(model.AnalogInput, "OAT", "outdoor air temperature"),
		old("trend-log", "EF1_FanSts_TL", ""), old("notification-class", "NC20", ""), old("schedule", "EF1 start", ""),
	}
	existing[5].Units = "pascals"
	want := `keep EF-1/start = EF1_FanCmd [object_name EF1_FanCmd > BW_EF-1_SS]
keep EF-1/status = EF1_FanSts [object_name EF1_FanSts > BW_EF-1_STS]
keep EF-1/speed = EF1_FanSpdRef [object_name EF1_FanSpdRef > BW_EF-1_SPD]
keep EF-1/not-in-auto = EF1_FanOvr [object_name EF1_FanOvr > BW_EF-1_HOA]
keep EF-1/drive-fault = EF1_DrvFlt [object_name EF1_DrvFlt > BW_EF-1_FLT]
change EF-1/duct-pressure = EF1_DuctSP [units pascals > inches-of-water] [object_name EF1_DuctSP > BW_EF-1_DSP]
add EF-1/failure
change EF-12/start = EF12-SS [object_type binary-value > binary-output] [object_name EF12-SS > BW_EF-12_SS]
add EF-12/status
leave = OAT`
	if got := told(Compare(lib, points, existing)); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestNameClassAndMarkers: the three surer ways.
func TestNameClassAndMarkers(t *testing.T) {
	lib := load(t)
	points := ours(t, lib, "SF-1", "start", "status", "speed")
	existing := []model.ExistingPoint{
		{ObjectType: model.BinaryOutput, ObjectName: "bw_sf-1_ss", States: []string{"OFF", "ON"}},
		{ObjectName: "x", Equipment: "sf1", Class: "Fan_Status"},
		{ObjectName: "y", Equipment: "SF-1", Tags: []string{"cmd", "discharge", "fan", "point", "speed", "vfd"}},
		{ObjectName: "z", Equipment: "SF-1", Tags: []string{"point", "sensor"}},
		{ObjectName: "w", Equipment: "SF-2", Class: "Fan_Status"},
	}
	list := Compare(lib, points, existing)
	want := `keep SF-1/start = bw_sf-1_ss [object_name bw_sf-1_ss > BW_SF-1_SS]
keep SF-1/status = x [object_name x > BW_SF-1_STS]
keep SF-1/speed = y [object_name y > BW_SF-1_SPD]
leave = z
leave = w`
	if got := told(list); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if list[0].Why != "by object name" || list[1].Why != "by machine and class Fan_Status" || list[2].Why != "by machine and markers" {
		t.Errorf("why: %q, %q, %q", list[0].Why, list[1].Why, list[2].Why)
	}
}

func TestStatesAndTypesThatDiffer(t *testing.T) {
	lib := load(t)
	points := ours(t, lib, "EF-1", "status")
	e := old(model.BinaryInput, "EF-1 status", "")
	e.States = []string{"Stopped", "Running"}
	if got := told(Compare(lib, points, []model.ExistingPoint{e})); got != "change EF-1/status = EF-1 status [states Stopped | Running > Off | Running] [object_name EF-1 status > BW_EF-1_STS]" {
		t.Error(got)
	}
	for _, wrong := range []string{model.BinaryOutput, model.AnalogInput} { // no status is a command or a number
		if got := told(Compare(lib, points, []model.ExistingPoint{old(wrong, "EF-1 status", "")})); got != "add EF-1/status\nleave = EF-1 status" {
			t.Errorf("%s: %s", wrong, got)
		}
	}
	if Compare(lib, points, nil) != nil {
		t.Error("a new building has nothing to compare")
	}
	two := []model.ExistingPoint{old(model.BinaryInput, points[0].ObjectName, ""), old(model.BinaryInput, points[0].ObjectName, "")}
	if got := Compare(lib, points, two); got[0].Why == "by object name" {
		t.Error("a name that stands twice tells nothing")
	}
}

// TestLongestTagWins: AHU-1 and AHU-1-SF both stand in the name; it speaks of
// the fan.
func TestLongestTagWins(t *testing.T) {
	lib := load(t)
	points := append(ours(t, lib, "AHU-1", "start"), ours(t, lib, "AHU-1-SF", "start")...)
	got := told(Compare(lib, points, []model.ExistingPoint{old(model.BinaryOutput, "AHU1_SF_start", "")}))
	if got != "add AHU-1/start\nkeep AHU-1-SF/start = AHU1_SF_start [object_name AHU1_SF_start > BW_AHU-1-SF_SS]" {
		t.Error(got)
	}
}

// TestEveryPointOnce: whatever meets, each side is listed once.
func TestEveryPointOnce(t *testing.T) {
	lib := load(t)
	var points []model.Point
	var existing []model.ExistingPoint
	for n := range 40 {
		points = append(points, ours(t, lib, fmt.Sprintf("EF-%d", n), "start", "status", "speed", "failure")...)
		if n%3 > 0 {
			existing = append(existing, old(model.BinaryOutput, fmt.Sprintf("EF%d start", n), "cmd"), old(model.BinaryInput, fmt.Sprintf("EF%d_sts", n), "status alarm"), old(model.BinaryValue, fmt.Sprintf("EF%d fan alarm", n), ""), old("", fmt.Sprintf("EF%d", n), ""))
		}
	}
	seen, theirs := map[string]int{}, 0
	for _, r := range Compare(lib, points, existing) {
		if r.Point != "" {
			seen[r.Point]++
		}
		if r.Existing != nil {
			theirs++
		}
	}
	if len(seen) != len(points) || theirs != len(existing) {
		t.Errorf("%d of %d points, %d of %d existing", len(seen), len(points), theirs, len(existing))
	}
	for key, n := range seen {
		if n != 1 {
			t.Errorf("%s stands %d times", key, n)
		}
	}
}
