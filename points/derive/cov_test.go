package derive

import (
	"testing"

	"tallywire/model"
)

// TestCOVIncrements: worked by hand: the unit's usual change, at most 1 % of
// the range taken down to 1, 2 or 5; an airflow by the machine's own.
func TestCOVIncrements(t *testing.T) {
	lib := loaded(t)
	rated := func(e *model.Equipment) { e.Ratings.Airflow = cfm(24000) }
	for _, c := range []struct {
		name     string
		settings model.Settings
		fan      model.Equipment
		role     string
		want     float64 // 0: none
	}{
		{"percent", model.Settings{}, fan("exhaust-variable", "variable-frequency-drive", nil), "speed", 1},
		{"duct, 5 in.wc", model.Settings{}, fan("exhaust-variable", "variable-frequency-drive", nil), "duct-pressure", 0.05},
		{"duct, 1,250 Pa: 12.5 down to 10", model.Settings{Units: "si"}, fan("exhaust-variable", "variable-frequency-drive", nil), "duct-pressure", 10},
		{"building, 0.5 in.wc: the range is narrower than the unit's step", model.Settings{}, fan("relief", "variable-frequency-drive", nil), "building-pressure", 0.005},
		{"building, 120 Pa: 1.2 down to 1", model.Settings{Units: "si"}, fan("relief", "variable-frequency-drive", nil), "building-pressure", 1},
		{"room, 0.2 in.wc", model.Settings{}, fan("isolation-exhaust", "variable-frequency-drive", nil), "room-pressure", 0.002},
		{"CO, 250 ppm: 2.5 down to 2", model.Settings{}, fan("garage-exhaust", "starter", func(e *model.Equipment) { e.Sensors = 1 }), "gas-co-1", 2},
		{"NO2, 10 ppm: far below the unit's step", model.Settings{}, fan("garage-exhaust", "starter", func(e *model.Equipment) { e.Sensors = 1 }), "gas-no2-1", 0.1},
		{"room temperature", model.Settings{}, fan("electrical-room", "starter", nil), "room-temperature", 0.5},
		{"room temperature, SI", model.Settings{Units: "si"}, fan("electrical-room", "starter", nil), "room-temperature", 0.25},
		{"airflow of 24,000 cfm: 240 down to 200", model.Settings{Derive: model.DeriveSettings{Optional: []string{"airflow"}}}, fan("return", "variable-frequency-drive", rated), "airflow", 200},
		{"airflow not given", model.Settings{Derive: model.DeriveSettings{Optional: []string{"airflow"}}}, fan("return", "variable-frequency-drive", nil), "airflow", 50},
		{"hours", model.Settings{}, fan("exhaust-constant", "starter", nil), "run-hours", 1},
		{"a contact has none", model.Settings{}, fan("exhaust-constant", "starter", nil), "status", 0},
		{"modes have none", model.Settings{}, fan("exhaust-constant", "starter", nil), "mode", 0},
		{"by role", model.Settings{Derive: model.DeriveSettings{COVIncrements: map[string]float64{"speed": 5, "percent": 3}}}, fan("exhaust-variable", "variable-frequency-drive", nil), "speed", 5},
		{"by unit", model.Settings{Derive: model.DeriveSettings{COVIncrements: map[string]float64{"percent": 3}}}, fan("exhaust-variable", "variable-frequency-drive", nil), "speed", 3},
	} {
		got := Derive(lib, &model.Project{Settings: c.settings}, []model.Equipment{c.fan})
		found := false
		for _, q := range got.Points {
			if q.Role != c.role {
				continue
			}
			found = true
			switch {
			case c.want == 0 && q.COVIncrement != nil:
				t.Errorf("%s: %v", c.name, *q.COVIncrement)
			case c.want != 0 && (q.COVIncrement == nil || *q.COVIncrement != c.want):
				t.Errorf("%s: %s, want %v", c.name, optional(q.COVIncrement), c.want)
			}
		}
		if !found {
			t.Errorf("%s: no point %s: %s", c.name, c.role, roles(got.Points))
		}
	}
}

// TestEveryUnitOfOursHasAnIncrement: no built-in role leaves its analog object
// without one, in IP or SI.
func TestEveryUnitOfOursHasAnIncrement(t *testing.T) {
	lib := loaded(t)
	for _, r := range lib.Roles() {
		for _, name := range []string{r.Units, r.UnitsSI} {
			if u, ok := lib.Units.Named(name); name != "" && (!ok || u.COV <= 0) {
				t.Errorf("%s: no COV increment for %s", r.ID, name)
			}
		}
	}
}

// TestCOVSettingsAreChecked: a misspelt role or unit is told with the nearest,
// and the assumption goes once the project states its own.
func TestCOVSettingsAreChecked(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{}
	e := []model.Equipment{fan("exhaust-variable", "variable-frequency-drive", nil)}
	const assumption = "COV increments of analog objects are the usual ones"
	if got := Derive(lib, p, e); !told(got.Findings, "planning-assumption", "", assumption) {
		t.Error("the assumption is not told")
	}
	p.Settings.Derive.COVIncrements = map[string]float64{"sped": 1, "percent": 2}
	got := Derive(lib, p, e)
	if !told(got.Findings, "unknown-role", "sped", `did you mean "speed"?`) || told(got.Findings, "unknown-role", "percent", "") || told(got.Findings, "planning-assumption", "", assumption) {
		t.Errorf("%v", got.Findings)
	}
}

func TestRoundDown(t *testing.T) {
	for v, want := range map[float64]float64{2.5: 2, 0.05: 0.05, 0.005: 0.005, 12.5: 10, 9.99: 5, 240: 200, 0.9: 0.5, 1: 1, 10: 10, 0.1: 0.1, 0: 0, -4: 0} {
		if got := roundDown(v); got != want {
			t.Errorf("%v: %v, want %v", v, got, want)
		}
	}
}

func optional(v *float64) string {
	if v == nil {
		return "none"
	}
	return model.Figure(*v)
}
