package derive

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

func number(n int) *int { return &n }

// TestValidateFindsEachMistake breaks a good plan in one place each.
func TestValidateFindsEachMistake(t *testing.T) {
	lib := loaded(t)
	machine := fan("exhaust-constant", "fan-interface-box", damper(true))
	for _, c := range []struct {
		code, subject string
		settings      model.Settings
		spoil         func(r *Result, at map[string]*model.Point)
	}{
		{"key-repeated", "F-1/start", model.Settings{}, func(r *Result, at map[string]*model.Point) { r.Points = append(r.Points, *at["F-1/start"]) }},
		{"name-repeated", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/status"].ObjectName = strings.ToLower(at["F-1/start"].ObjectName)
		}},
		{"name-repeated", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/status"].ObjectName = at["F-1/start"].ObjectName
		}},
		{"name-empty", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].ObjectName = "" }},
		{"name-not-allowed", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].ObjectName = "F 1" }},
		{"name-not-allowed", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].ObjectName = "F1\t" }},
		{"name-too-long", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].ObjectName = strings.Repeat("x", 33) }},
		{"instance-out-of-range", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Instance = number(4194303) }},
		{"instance-out-of-range", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Instance = number(-1) }},
		{"instance-repeated", "F-1/override-active", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/override-active"].Instance = at["F-1/status"].Instance
		}},
		{"object-type", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].ObjectType = "digital-output" }},
		{"object-type", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/start"].ObjectType, at["F-1/start"].Polarity = model.BinaryValue, ""
		}},
		{"object-type", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Carried = model.Software }},
		{"object-units", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].Units = "percent" }},
		{"object-units", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/run-hours"].Units = "" }},
		{"object-units", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/run-hours"].Units = "hrs" }},
		{"object-range", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/run-hours"].Range = model.Span(5, 0) }},
		{"object-range", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].Range = model.Span(0, 1) }},
		{"cov-increment", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/run-hours"].COVIncrement = nil }},
		{"cov-increment", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { *at["F-1/run-hours"].COVIncrement = 0 }},
		{"cov-increment", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/run-hours"].Range, *at["F-1/run-hours"].COVIncrement = model.Span(0, 1), 2
		}},
		{"cov-increment", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			at["F-1/status"].COVIncrement = at["F-1/run-hours"].COVIncrement
		}},
		{"state-count", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].States = []string{"Off"} }},
		{"state-count", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].States = []string{"On", "On"} }},
		{"state-count", "F-1/mode", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/mode"].States = nil }},
		{"state-count", "F-1/run-hours", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/run-hours"].States = []string{"a", "b"} }},
		{"polarity", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].Polarity = "" }},
		{"polarity", "F-1/failure", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/failure"].Polarity = "normal" }},
		{"polarity-twice", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].Polarity = "reverse" }},
		{"polarity-twice", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].ContactSense = "normally-closed" }},
		{"polarity-twice", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) {
			q := at["F-1/status"]
			q.ContactSense, q.Polarity, q.States = "normally-closed", "reverse", []string{"Running", "Off"}
		}},
		{"commandable", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Priority = nil }},
		{"commandable", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Priority = number(17) }},
		{"commandable", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Priority = number(0) }},
		{"commandable", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Priority = number(6) }},
		{"commandable", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].RelinquishDefault = "" }},
		{"commandable", "F-1/status", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/status"].Priority = number(8) }},
		{"relinquish-default", "F-1/start", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].RelinquishDefault = "Off" }},
		{"relinquish-default", "F-1/mode", model.Settings{}, func(_ *Result, at map[string]*model.Point) { at["F-1/mode"].RelinquishDefault = "7" }},
		{"alarm-repeated", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms = append(r.Alarms, r.Alarms[0]) }},
		{"alarm-source", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Source = "F-9/failure" }},
		{"alarm-algorithm", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Algorithm = "out-of-range" }},
		{"alarm-algorithm", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Algorithm = "buffer-ready-old" }},
		{"alarm-limits", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].DelaySeconds = -1 }},
		{"alarm-limits", "F-1/failed", model.Settings{}, func(r *Result, at map[string]*model.Point) {
			r.Alarms[0].Source, r.Alarms[0].Algorithm = "F-1/run-hours", "out-of-range"
			r.Alarms[0].Parameters = []model.Parameter{{Name: "high limit", Value: "2"}, {Name: "low limit", Value: "1"}, {Name: "deadband", Value: "0"}, {Name: "limit enable", Value: "hihg"}}
		}},
		{"alarm-level", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Level = 5 }},
		{"alarm-level", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Priority = 128 }},
		{"alarm-level", "F-1/failed", model.Settings{}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Class = 4194303 }},
		{"feedback", "F-1/failed", model.Settings{Alarms: model.AlarmSettings{FanFailure: "feedback"}}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Feedback = "" }},
		{"feedback", "F-1/failed", model.Settings{Alarms: model.AlarmSettings{FanFailure: "feedback"}}, func(_ *Result, at map[string]*model.Point) { at["F-1/start"].Feedback = "F-1/run-hours" }},
		{"feedback", "F-1/failed", model.Settings{Alarms: model.AlarmSettings{FanFailure: "feedback"}}, func(r *Result, _ map[string]*model.Point) { r.Alarms[0].Parameters[0].Value = "F-1/speed" }},
		{"two-levels", "F-1/extra", model.Settings{Alarms: model.AlarmSettings{FanFailure: "feedback"}}, func(r *Result, _ map[string]*model.Point) {
			extra := r.Alarms[0]
			extra.ID, extra.Level, extra.Priority = "F-1/extra", 4, 224
			r.Alarms = append(r.Alarms, extra)
		}},
	} {
		r := Derive(lib, &model.Project{Settings: c.settings}, []model.Equipment{machine})
		if found := Validate(lib, c.settings, r.Points, r.Alarms); len(found) > 0 {
			t.Fatalf("the good plan: %v", found)
		}
		at := map[string]*model.Point{}
		for i := range r.Points {
			at[r.Points[i].Key] = &r.Points[i]
		}
		c.spoil(&r, at)
		if found := Validate(lib, c.settings, r.Points, r.Alarms); !told(found, c.code, c.subject, "") {
			t.Errorf("%s at %s is not told: %v", c.code, c.subject, found)
		}
	}
}

// TestBothTurnsAreGood: a normally closed contact with reverse polarity means
// what the role means.
func TestBothTurnsAreGood(t *testing.T) {
	lib := loaded(t)
	r := Derive(lib, &model.Project{}, []model.Equipment{fan("exhaust-constant", "starter", nil)})
	for i := range r.Points {
		if q := &r.Points[i]; q.Role == "status" {
			q.ContactSense, q.Polarity = "normally-closed", "reverse"
		}
		if q := &r.Points[i]; q.Role == "not-in-auto" {
			q.States[0], q.States[1], q.Polarity = q.States[1], q.States[0], "normal"
		}
	}
	if found := Validate(lib, model.Settings{}, r.Points, r.Alarms); len(found) > 0 {
		t.Errorf("%v", found)
	}
}

// anyProject is a seeded random list with random settings: odd tags, missing
// values, contradictions.
func anyProject(r *rand.Rand, schemes []string) (*model.Project, []model.Equipment) {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	flag := func() *bool {
		if r.IntN(3) == 0 {
			return nil
		}
		b := r.IntN(2) == 0
		return &b
	}
	p := &model.Project{Building: pick("", "B1", "Haus Ö", "long building name of the north campus")}
	s := &p.Settings
	s.Units = pick("", "ip", "si")
	s.Naming = model.NamingSettings{Pattern: pick("", "{equipment}.{role}", "{tag}-{role}", "{building}_{system}_{equipment}_{role}", "{role}", "{building}", "x{y"), Allowed: pick("", "_", "-"),
		MaxLength: r.IntN(3) * 12, Instances: pick("", "per-type", "per-equipment", "vendor"), FirstInstance: []int{0, 1, 500, 4194290}[r.IntN(4)]}
	s.Alarms = model.AlarmSettings{Edition: pick("", "2021", "2024-parallel", "2024-serial"), FanFailure: pick("", "value", "feedback")}
	s.Derive = model.DeriveSettings{Software: flag(), HandBy: pick("", "input", "flag"), OverrideBy: pick("", "input", "priority-slot")}
	if r.IntN(2) == 0 {
		s.Derive.Network = []string{"all"}
	}
	for range r.IntN(4) {
		s.Derive.Optional = append(s.Derive.Optional, pick("speed", "start", "smoke", "motor-current", "cooling-valve", "fire-command", "loop-output", "drive-temperature", "gas-alarm"))
		s.Derive.Without = append(s.Derive.Without, pick("status", "failure", "unit-status", "speed", "damper", "gas-no2", "hand", "none-such"))
	}
	var list []model.Equipment
	for i := range r.IntN(8) + 1 {
		e := model.Equipment{Tag: fmt.Sprintf("%s%s%d", pick("EF", "ef", "S F", "Ü"), pick("-", "_", " ", "/"), i%5), Scheme: pick(schemes...), System: pick("", "A", "AHU 1"), Service: pick("", "roof"),
			Control: pick("", "fan-interface-box", "variable-frequency-drive", "variable-frequency-drive-bypass", "starter", "ec-direct", "relay", "packaged", "fire-panel", "none"),
			Duty:    pick("", "", "", "duty", "standby", "lead", "lag", "alternating", "lead-lag"), FireResponse: pick("", "stop", "run", "continue", "none"), Sensors: r.IntN(4), Bid: pick("", model.Base, model.Existing)}
		e.Damper.Kind, e.Damper.EndSwitch = pick("", "motorised", "gravity", "none"), flag()
		e.Ratings.MotorType = pick("", "ec", "three-phase", "two-speed")
		if r.IntN(2) == 0 {
			e.Ratings.Airflow, e.Ratings.Power = cfm(float64(r.IntN(5000))), hp(r.Float64()*10)
		}
		list = append(list, e)
	}
	return p, list
}

// TestAnyProjectPassesOrSaysWhy: whatever the list and the settings, every
// object is right, or a finding names what is wrong with it; and what is wrong
// comes from the settings or the tags, never from the rules.
func TestAnyProjectPassesOrSaysWhy(t *testing.T) {
	lib := loaded(t)
	schemes := []string{"", "no-such"}
	for _, s := range lib.Schemes() {
		schemes = append(schemes, s.ID)
	}
	askedFor := []string{"name-repeated", "name-too-long", "name-empty", "name-not-allowed", "name-characters", "instance-out-of-range", "instance-repeated", "unknown-role", "no-points",
		"scheme-contradicts", "drive-contradicts", "monitor-only", "control-unknown", "planning-assumption", "no-failure-alarm", "override-by-flag", "state-texts", "name-pattern", "option-unused", "range-open", "duty-alone"}
	seen := map[string]int{}
	for seed := range uint64(1200) {
		p, list := anyProject(rand.New(rand.NewPCG(seed, 7)), schemes)
		got := Derive(lib, p, list)
		for _, f := range got.Findings {
			seen[f.Code]++
			if !slices.Contains(askedFor, f.Code) {
				t.Fatalf("seed %d: the rules make a bad object: %s", seed, f.Line())
			}
			if _, ok := finding.Lookup(f.Code); !ok {
				t.Fatalf("code %s is not registered", f.Code)
			}
		}
		names, keys := map[string]bool{}, map[string]bool{}
		for _, q := range got.Points {
			if keys[q.Key] {
				t.Fatalf("seed %d: key %s twice", seed, q.Key)
			}
			keys[q.Key] = true
			name := device(&q) + " " + strings.ToLower(q.ObjectName)
			if names[name] && !told(got.Findings, "name-repeated", q.Key, "") && !told(got.Findings, "name-empty", q.Key, "") {
				t.Fatalf("seed %d: %s has a name that stands twice, and nothing says so", seed, q.Key)
			}
			names[name] = true
			if q.Instance != nil && *q.Instance > 4194302 && !told(got.Findings, "instance-out-of-range", q.Key, "") {
				t.Fatalf("seed %d: %s has instance %d, and nothing says so", seed, q.Key, *q.Instance)
			}
		}
		for _, a := range got.Alarms {
			for _, by := range a.InhibitedBy {
				if !keys[by] && !slices.Contains(library.InhibitWords, by) {
					t.Fatalf("seed %d: %s is held back by %q, which is no point", seed, a.ID, by)
				}
			}
		}
		again := Derive(lib, p, list)
		if fmt.Sprint(again.Findings) != fmt.Sprint(got.Findings) || len(again.Points) != len(got.Points) {
			t.Fatalf("seed %d: the same input gives another answer", seed)
		}
	}
	for _, code := range []string{"name-repeated", "instance-out-of-range", "scheme-contradicts", "no-points", "override-by-flag", "no-failure-alarm", "duty-alone", "range-open"} {
		if seen[code] == 0 {
			t.Errorf("no project meets %s: the test looks at too little", code)
		}
	}
}

// TestLimitsLieInTheRange: a sensor of 32 to 122 F never shows 130.
func TestLimitsLieInTheRange(t *testing.T) {
	lib := loaded(t)
	for _, c := range []struct {
		high, low, dead string
		words           string
	}{
		{"104", "40", "4", ""}, {"122", "32", "4", ""}, {"130", "40", "4", "outside the range 32 to 122"}, {"104", "31", "4", "outside the range"},
		{"40", "104", "4", "no normal value"}, {"104", "40", "64", "no normal value"}, {"104", "40", "-1", "no normal value"}, {"hot", "40", "4", "lacks a high limit"},
	} {
		r := Derive(lib, &model.Project{}, []model.Equipment{fan("electrical-room", "relay", nil)})
		for i := range r.Alarms {
			if r.Alarms[i].ID == "F-1/room-hot" {
				for j, v := range []string{c.high, c.low, c.dead} {
					r.Alarms[i].Parameters[j].Value = v
				}
			}
		}
		found := Validate(lib, model.Settings{}, r.Points, r.Alarms)
		if (len(found) > 0) != (c.words != "") || c.words != "" && !told(found, "alarm-limits", "F-1/room-hot", c.words) {
			t.Errorf("high %s, low %s, deadband %s: %v", c.high, c.low, c.dead, found)
		}
	}
}
