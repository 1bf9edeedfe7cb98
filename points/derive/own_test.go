package derive

import (
	"os"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func own(t *testing.T, subject string) model.LibraryFile {
	t.Helper()
	text, err := os.ReadFile("testdata/own/" + subject + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return model.LibraryFile{Subject: subject, File: "own/" + subject + ".yaml", Text: text}
}

// TestOwnLibrary: a project brings a scheme, a role, a rule and an alarm of
// its own, and replaces a built-in rule.
func TestOwnLibrary(t *testing.T) {
	files := []model.LibraryFile{own(t, "schemes"), own(t, "roles"), own(t, "rules"), own(t, "alarms")}
	lib, err := library.Load(files)
	if err != nil {
		t.Fatal(err)
	}
	e := fan("tunnel-fan", "starter", nil)
	got := Derive(lib, withoutSoftware(), []model.Equipment{e, fan("exhaust-constant", "relay", func(e *model.Equipment) { e.Tag = "F-2" })})
	if r := roles(got.Points); r != "start BO, status BI, not-in-auto BI, bearing-vibration AI, start BO, status BI" {
		t.Errorf("points: %s", r)
	}
	for _, q := range got.Points {
		switch q.Key {
		case "F-1/bearing-vibration":
			if q.Rule != "tunnel-vibration" || q.Units != "percent" || !strings.HasSuffix(q.ObjectName, "_VIB") || len(q.Alarms) != 1 {
				t.Errorf("%+v", q)
			}
		case "F-2/status":
			if !strings.Contains(q.Why, "our own way") {
				t.Errorf("the replaced rule: %s", q.Why)
			}
		}
	}
	if told(got.Findings, "rule-example", "tunnel-vibration", "") {
		t.Error("a good rule is told")
	}
	files[2].Text = []byte(strings.NewReplacer("near_miss: {scheme: relief}", "near_miss: {scheme: tunnel-fan}", "schemes: [tunnel-fan]", "schemes: [tunnel-fan, reilef]").Replace(string(files[2].Text)))
	if lib, err = library.Load(files); err != nil {
		t.Fatal(err)
	}
	found := Derive(lib, withoutSoftware(), []model.Equipment{e}).Findings
	if !told(found, "rule-example", "tunnel-vibration", "matches its own near miss") || !told(found, "unknown-role", "tunnel-vibration", `did you mean "relief"?`) {
		t.Errorf("a rule against its own example: %v", found)
	}
}

func TestUnknownAlarmLevel(t *testing.T) {
	s := model.Settings{Alarms: model.AlarmSettings{Levels: map[string]int{"faild": 1, "not-in-auto": 2}}}
	got := Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{fan("exhaust-constant", "starter", nil)})
	if !told(got.Findings, "unknown-role", "faild", `did you mean "failed"?`) {
		t.Errorf("%v", got.Findings)
	}
	for _, a := range got.Alarms {
		if a.ID == "F-1/not-in-auto" && (a.Level != 2 || a.Priority != 80 || a.Class != 2) {
			t.Errorf("own level: %+v", a)
		}
	}
}

// TestBusMapMovesValues: a value that comes over the bus has no wire of its
// own any more; start, status and speed keep theirs.
func TestBusMapMovesValues(t *testing.T) {
	lib := loaded(t)
	list := []model.Equipment{fan("supply-variable", "variable-frequency-drive", nil), fan("make-up-air", "packaged", func(e *model.Equipment) { e.Tag, e.Kind = "MAU-1", "make-up-air-unit" })}
	p := withoutSoftware()
	wired := Derive(lib, p, list)
	if !told(wired.Findings, "planning-assumption", "MAU-1", "bus map") {
		t.Error("nothing says that the unit's bus map is not planned")
	}
	p.Settings.Derive.Network = []string{"F-1", "make-up-air-unit"}
	bus := Derive(lib, p, list)
	if found := Validate(lib, p.Settings, bus.Points, bus.Alarms); len(found) > 0 {
		t.Errorf("%v", found)
	}
	carried := func(points []model.Point) map[string]string {
		out := map[string]string{}
		for _, q := range points {
			out[q.Key] = q.Carried
		}
		return out
	}
	before, after := carried(wired.Points), carried(bus.Points)
	for _, key := range []string{"F-1/drive-fault", "F-1/speed-feedback", "MAU-1/discharge-temperature", "MAU-1/discharge-setpoint"} {
		if before[key] != model.Hardwired || after[key] != model.Network {
			t.Errorf("%s: %s before, %s after", key, before[key], after[key])
		}
	}
	for _, key := range []string{"F-1/start", "F-1/status", "F-1/speed", "MAU-1/enable", "MAU-1/unit-status"} {
		if after[key] != model.Hardwired {
			t.Errorf("%s is %s", key, after[key])
		}
	}
	n := 0
	for _, c := range after {
		if c == model.Network {
			n++
		}
	}
	if n != 9+10 {
		t.Errorf("%d objects are mapped: a drive has 9, the unit 10", n)
	}
	if len(after) != len(before)+n-4 {
		t.Errorf("%d points wired, %d with the bus, %d mapped", len(before), len(after), n)
	}
}

// TestHandAndOverrideByFlag: no input, a value object instead, and a word of
// warning where the device tells nothing back.
func TestHandAndOverrideByFlag(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{Settings: model.Settings{Derive: model.DeriveSettings{HandBy: "flag", OverrideBy: "priority-slot"}}}
	got := Derive(lib, p, []model.Equipment{fan("exhaust-constant", "fan-interface-box", nil)})
	for _, q := range got.Points {
		if (q.Role == "not-in-auto" || q.Role == "override-active") && (q.ObjectType != model.BinaryValue || q.Carried != model.Software || q.Polarity != "" || q.Signal != "") {
			t.Errorf("%+v", q)
		}
	}
	if r := roles(got.Points); !strings.Contains(r, "not-in-auto BV") || !strings.Contains(r, "override-active BV") {
		t.Errorf("points: %s", r)
	}
	if !told(got.Findings, "override-by-flag", "F-1", "tells nothing back") {
		t.Error("no warning")
	}
}

func TestExplain(t *testing.T) {
	lib := loaded(t)
	list := []model.Equipment{fan("garage-exhaust", "variable-frequency-drive", func(e *model.Equipment) { e.System = "P1" }), fan("garage-exhaust", "variable-frequency-drive", func(e *model.Equipment) { e.Tag, e.System = "F-2", "P1" }),
		fan("supply-variable", "variable-frequency-drive", func(e *model.Equipment) { e.Tag = "F-3" })}
	var s model.Settings
	s.Derive.Optional = []string{"speed-feedback"}
	got := Derive(lib, &model.Project{Settings: s}, list)
	text := map[string]string{}
	for _, q := range got.Points {
		text[q.Key] = Removal(lib, s, list, q)
	}
	for key, words := range map[string][]string{
		"F-1/speed":          {"family is fan, variable speed is yes", "settings.derive.without: [speed], or [F-1/speed] for this machine alone"},
		"F-1/gas-co-1":       {"any of these being otherwise: scheme is garage-exhaust", "taking all of F-1, F-2 out"},
		"F-1/run-hours":      {"settings.derive.software_points: false"},
		"F-3/speed-feedback": {"but the rule speed-feedback-optional would then make it"},
	} {
		for _, w := range words {
			if !strings.Contains(text[key], w) {
				t.Errorf("%s: %q lacks %q", key, text[key], w)
			}
		}
	}
	if Removal(lib, s, list, model.Point{Key: "F-9/x", Equipment: "F-9", Rule: "speed"}) != "" {
		t.Error("a point that is not there is explained")
	}
}
