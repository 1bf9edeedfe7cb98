package derive

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// one returns a point of a plan by its role.
func one(t *testing.T, r Result, role string) model.Point {
	t.Helper()
	i := slices.IndexFunc(r.Points, func(q model.Point) bool { return q.Role == role })
	if i < 0 {
		t.Fatalf("no %s: %s", role, roles(r.Points))
	}
	return r.Points[i]
}

// TestScale: by hand: 4,000 cfm and a quarter is 5,000; 1,888 L/s the same in
// SI is 2,360, taken up to 2,500; three stacks of 4,000 are 15,000; 10 A and a
// quarter is 12.5, taken up to 15; 5 hp are 3.73 kW and a quarter 4.66, so 5.
func TestScale(t *testing.T) {
	lib := loaded(t)
	rated := func(e *model.Equipment) {
		e.Ratings.Airflow, e.Ratings.Power = cfm(4000), hp(5)
		e.Ratings.Current = &model.Quantity{Value: model.Exactly(10), Unit: "A"}
		e.System = "S"
	}
	optional := model.Settings{Derive: model.DeriveSettings{Optional: []string{"airflow", "motor-current", "motor-power"}}}
	si := optional
	si.Units = "si"
	three := []model.Equipment{fan("lab-exhaust", "variable-frequency-drive", rated), fan("lab-exhaust", "variable-frequency-drive", rated), fan("lab-exhaust", "variable-frequency-drive", rated)}
	three[1].Tag, three[2].Tag = "F-2", "F-3"
	for _, c := range []struct {
		name     string
		settings model.Settings
		list     []model.Equipment
		role     string
		want     float64
	}{
		{"airflow", optional, []model.Equipment{fan("return", "variable-frequency-drive", rated)}, "airflow", 5000},
		{"airflow in SI", si, []model.Equipment{fan("return", "variable-frequency-drive", rated)}, "airflow", 2500},
		{"one stack for three fans", optional, three, "stack-airflow", 15000},
		{"current", optional, []model.Equipment{fan("return", "variable-frequency-drive", rated)}, "motor-current", 15},
		{"power", optional, []model.Equipment{fan("return", "variable-frequency-drive", rated)}, "motor-power", 5},
	} {
		got := Derive(lib, &model.Project{Settings: c.settings}, c.list)
		q := one(t, got, c.role)
		if q.Range == nil || q.Range.Lo != 0 || q.Range.Hi != c.want || !told(got.Findings, "planning-assumption", q.Key, "quarter of headroom") {
			t.Errorf("%s: range %v, want 0 to %v", c.name, q.Range, c.want)
		}
	}
	three[1].Ratings.Airflow = &model.Quantity{Value: model.Exactly(4000), Unit: "lb"}
	if q := one(t, Derive(lib, &model.Project{Settings: optional}, three), "stack-airflow"); q.Range != nil {
		t.Errorf("one fan of three in no unit of airflow: range %v", q.Range)
	}
	got := Derive(lib, &model.Project{Settings: optional}, []model.Equipment{fan("return", "variable-frequency-drive", nil)})
	if q := one(t, got, "airflow"); q.Range != nil || !told(got.Findings, "range-open", q.Key, "not known") {
		t.Errorf("nothing is given: %v, %v", q.Range, got.Findings)
	}
}

// TestAtLoss: what runs and what stops while nothing commands it.
func TestAtLoss(t *testing.T) {
	lib := loaded(t)
	for scheme, want := range map[string][2]string{
		"exhaust-variable": {"inactive", "0"}, "supply-variable": {"inactive", "0"}, "return": {"inactive", "0"},
		"lab-exhaust": {"active", "100"}, "isolation-exhaust": {"active", "100"}, "garage-exhaust": {"active", "100"}, "natatorium-exhaust": {"active", "100"},
	} {
		got := Derive(lib, &model.Project{}, []model.Equipment{fan(scheme, "variable-frequency-drive", nil)})
		start, speed := one(t, got, "start"), one(t, got, "speed")
		if start.RelinquishDefault != want[0] || speed.RelinquishDefault != want[1] || start.FailState != "Off" {
			t.Errorf("%s: start %s, speed %s, fail state %s", scheme, start.RelinquishDefault, speed.RelinquishDefault, start.FailState)
		}
		if strings.Contains(start.Why, "protects people") != (want[0] == "active") {
			t.Errorf("%s: %s", scheme, start.Why)
		}
	}
}

// TestSetPointsHaveAValue: every set point that an operator moves takes
// commands, has a value to begin with, and that lies in its range, in IP and SI.
func TestSetPointsHaveAValue(t *testing.T) {
	lib := loaded(t)
	for _, units := range []string{"ip", "si"} {
		seen := 0
		for _, s := range lib.Schemes() {
			for _, control := range []string{"variable-frequency-drive", "packaged"} {
				got := Derive(lib, &model.Project{Settings: model.Settings{Units: units}}, []model.Equipment{fan(s.ID, control, nil)})
				for _, q := range got.Points {
					if !strings.HasPrefix(q.Role, "setpoint-") && q.Role != "standby-speed" {
						continue
					}
					seen++
					if q.RelinquishDefault == "" || q.Priority == nil {
						t.Errorf("%s, %s: %s has no value to begin with", s.ID, units, q.Role)
					}
				}
				for _, f := range got.Findings {
					if f.Code == "relinquish-default" || f.Code == "commandable" {
						t.Errorf("%s, %s: %s", s.ID, units, f.Line())
					}
				}
			}
		}
		if seen < 20 {
			t.Errorf("only %d set points", seen)
		}
	}
}

func TestRoundUp(t *testing.T) {
	for v, want := range map[float64]float64{5000: 5000, 12.5: 15, 2360: 2500, 4.66: 5, 8.1: 10, 1: 1, 0.31: 0.4} {
		if got := roundUp(v); got != want {
			t.Errorf("%v: %v, want %v", v, got, want)
		}
	}
}
