package functions

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

func one(key, object, carried string) model.Point {
	equipment, role, _ := model.Split(key)
	return model.Point{Key: key, Equipment: equipment, Role: role, ObjectType: object, Carried: carried}
}

// nonzero prints a row as column=count.
func nonzero(lib *library.Library, counts []int) string {
	var out []string
	for i, n := range counts {
		if n > 0 {
			out = append(out, fmt.Sprintf("%s=%d", lib.Functions.Columns[i].ID, n))
		}
	}
	return strings.Join(out, " ")
}

// TestFanOfTheMatrix is a fan by hand: start 1.1, status and fault 1.3, speed
// 1.2, run hours 3.3, command check 3.5, motor 4.2, display 8.2 once for each
// point shown. Source: our own working on ISO 16484-3:2005, annex A.
func TestFanOfTheMatrix(t *testing.T) {
	lib := load(t)
	start, status := one("EF-1/start", model.BinaryOutput, model.Hardwired), one("EF-1/status", model.BinaryInput, model.Hardwired)
	fault, speed := one("EF-1/drive-fault", model.BinaryInput, model.Hardwired), one("EF-1/speed", model.AnalogOutput, model.Hardwired)
	status.Trend = "change of value"
	fault.Alarms = []string{"EF-1/drive-fault"}
	failure := one("EF-1/failure", model.BinaryValue, model.Software)
	failure.Alarms = []string{"EF-1/failed"}
	hand := one("EF-1/hand", model.BinaryValue, model.Software)
	points := []model.Point{start, status, fault, speed, one("EF-1/run-hours", model.AnalogValue, model.Software), failure, hand,
		one("EF-1/min-speed", model.AnalogValue, model.Software), one("EF-1/enable-command", model.BinaryValue, model.Software)}
	list := List(lib, points, []model.Alarm{{ID: "EF-1/drive-fault", Algorithm: "change-of-state"}, {ID: "EF-1/failed", Algorithm: "change-of-state"}})
	want := map[string]string{
		"EF-1/start":          "1.1=1 3.5=1 3.6=1 4.2=1 7.3=1 8.2=3",
		"EF-1/status":         "1.3=1 3.3=1 7.4=1 8.2=2",
		"EF-1/drive-fault":    "1.3=1 3.6=1 7.3=1 8.2=1",
		"EF-1/speed":          "1.2=1 5.6=1 8.2=2",
		"EF-1/enable-command": "6.4=1 8.2=1",
	}
	if len(list.Rows) != len(want) {
		t.Errorf("%d rows, want %d", len(list.Rows), len(want))
	}
	for _, r := range list.Rows {
		if got := nonzero(lib, r.Counts); got != want[r.Point] {
			t.Errorf("%s: %s, want %s", r.Point, got, want[r.Point])
		}
	}
	if got := nonzero(lib, list.Totals); got != "1.1=1 1.2=1 1.3=2 3.3=1 3.5=1 3.6=2 4.2=1 5.6=1 6.4=1 7.3=2 7.4=1 8.2=9" {
		t.Errorf("totals %s", got)
	}
	if list.Edition == "" || len(list.NotClaimed) == 0 {
		t.Error("the edition and what is not claimed must stand on the list")
	}
}

func TestTerminalsByObjectType(t *testing.T) {
	lib := load(t)
	sixteen := 16
	commanded := one("EF-1/b", model.BinaryValue, model.Network)
	commanded.Priority = &sixteen
	reference := one("EF-1/c", model.AnalogValue, model.Network)
	reference.Priority = &sixteen
	for _, c := range []struct {
		q    model.Point
		want string
	}{
		{one("EF-1/a", model.AnalogInput, model.Hardwired), "1.5=1 8.2=1"}, {one("EF-1/a", model.MultiStateOutput, model.Hardwired), "1.1=1 8.2=1"},
		{one("EF-1/a", model.MultiStateInput, model.Hardwired), "1.3=1 8.2=1"}, {one("EF-1/a", "accumulator", model.Hardwired), "1.4=1 8.2=1"},
		{one("EF-1/a", model.AnalogInput, model.Network), "2.5=1 8.2=1"}, {one("EF-1/a", model.BinaryValue, model.Network), "2.3=1 8.2=1"},
		{commanded, "2.1=1 8.2=1"}, {reference, "2.2=1 8.2=1"}, {one("EF-1/a", "accumulator", model.Network), "2.4=1 8.2=1"},
		{one("EF-1/a", model.AnalogValue, model.Software), "8.2=1"}, {one("EF-1/a", "", model.Hardwired), "8.2=1"},
		{one("EF-1/gas-co-2", model.AnalogInput, model.Hardwired), "1.5=1 8.2=1"},
	} {
		list := List(lib, []model.Point{c.q}, nil)
		if got := nonzero(lib, list.Rows[0].Counts); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.q.Carried, c.q.ObjectType, got, c.want)
		}
	}
}

// TestLimitsAndSums: an analog alarm counts each limit; systems add up to all.
func TestLimitsAndSums(t *testing.T) {
	lib := load(t)
	a, b := one("EF-1/duct-pressure", model.AnalogInput, model.Hardwired), one("EF-2/duct-pressure", model.AnalogInput, model.Hardwired)
	a.System, a.Alarms = "AHU-1", []string{"x"}
	list := List(lib, []model.Point{a, b}, []model.Alarm{{ID: "x", Algorithm: "out-of-range", Parameters: []model.Parameter{{Name: "high-limit"}, {Name: "low-limit"}, {Name: "deadband"}}}})
	if got := nonzero(lib, list.Rows[0].Counts); got != "1.5=1 3.1=2 7.3=1 8.2=1" {
		t.Errorf("two limits: %s", got)
	}
	if len(list.Systems) != 2 || list.Systems[0].System != "AHU-1" || list.Systems[1].System != "" {
		t.Fatalf("systems: %+v", list.Systems)
	}
	for c := range list.Columns {
		if list.Systems[0].Counts[c]+list.Systems[1].Counts[c] != list.Totals[c] {
			t.Errorf("column %s does not add up", list.Columns[c].ID)
		}
	}
}

// TestRulesNameRoles: every role of the table exists, as does every row it
// counts in, and no host is itself hosted.
func TestRulesNameRoles(t *testing.T) {
	lib := load(t)
	rules := 0
	for _, role := range lib.Roles() {
		for _, r := range lib.Functions.Of(role.ID) {
			rules++
			for _, at := range r.At {
				if _, ok := lib.Role(at); !ok {
					t.Errorf("%s counts in the row of %s, which is no role", r.Role, at)
				}
				for _, other := range lib.Functions.Of(at) {
					if len(other.At) > 0 {
						t.Errorf("%s counts in the row of %s, which has none of its own", r.Role, at)
					}
				}
			}
		}
	}
	if rules < 20 {
		t.Errorf("only %d rules apply to roles of the library", rules)
	}
}
