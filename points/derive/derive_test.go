package derive

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

var off = false

func hp(v float64) *model.Quantity { return &model.Quantity{Value: model.Exactly(v), Unit: "hp"} }
func cfm(v float64) *model.Quantity {
	return &model.Quantity{Value: model.Exactly(v), Unit: "cfm"}
}
func yes() *bool { b := true; return &b }

// hand counts: one fan of each kind with what it must carry, written by hand
// from the sequences of these fans, role and object type; software off.
var hand = []struct {
	name string
	fan  model.Equipment
	want string
}{
	{"general exhaust, box", fan("exhaust-constant", "fan-interface-box", nil), "start BO, status BI, override-active BI"},
	{"general exhaust, box, no fire action", fan("exhaust-constant", "fan-interface-box", func(e *model.Equipment) { e.FireResponse = "none" }), "start BO, status BI"},
	{"general exhaust, box, damper with switch", fan("exhaust-constant", "fan-interface-box", damper(true)), "start BO, status BI, override-active BI, damper-open BI"},
	{"general exhaust, starter", fan("exhaust-constant", "starter", damper(true)), "start BO, status BI, not-in-auto BI, damper BO, damper-open BI"},
	{"general exhaust, starter, fire stop", fan("exhaust-constant", "starter", func(e *model.Equipment) { e.FireResponse = "stop" }), "start BO, status BI, not-in-auto BI, fire-stop BI"},
	{"general exhaust, relay", fan("exhaust-constant", "relay", nil), "start BO, status BI"},
	{"variable exhaust, box, small", fan("exhaust-variable", "fan-interface-box", func(e *model.Equipment) { e.Ratings.Power = hp(0.5) }), "start BO, status BI, override-active BI, speed AO"},
	{"variable exhaust, drive", fan("exhaust-variable", "variable-frequency-drive", damper(true)), "start BO, status BI, speed AO, not-in-auto BI, damper BO, damper-open BI, drive-fault BI, duct-pressure AI"},
	{"variable exhaust, EC", fan("exhaust-variable", "ec-direct", nil), "start BO, status BI, speed AO"},
	{"toilet exhaust, box", fan("toilet-exhaust", "fan-interface-box", nil), "start BO, status BI, override-active BI"},
	{"supply, drive", fan("supply-variable", "variable-frequency-drive", func(e *model.Equipment) { damper(true)(e); e.Ratings.Airflow = cfm(24000) }),
		"start BO, status BI, speed AO, not-in-auto BI, damper BO, damper-open BI, drive-fault BI, speed-feedback AI, smoke BI, freeze BI, high-static BI, duct-pressure AI"},
	{"supply, bypass", fan("supply-variable", "variable-frequency-drive-bypass", nil),
		"start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, bypass-active BI, speed-feedback AI, freeze BI, high-static BI, duct-pressure AI"},
	{"supply, starter", fan("supply-constant", "starter", func(e *model.Equipment) { damper(true)(e); e.Ratings.Airflow = cfm(3000) }),
		"start BO, status BI, not-in-auto BI, damper BO, damper-open BI, smoke BI, freeze BI"},
	{"return, drive", fan("return", "variable-frequency-drive", func(e *model.Equipment) { e.Ratings.Airflow = cfm(20000) }),
		"start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, smoke BI, high-static BI, building-pressure AI"},
	{"relief, box", fan("relief", "fan-interface-box", nil), "start BO, status BI, override-active BI, speed AO, building-pressure AI"},
	{"garage, drive, two pairs", fan("garage-exhaust", "variable-frequency-drive", func(e *model.Equipment) { e.Sensors = 2 }),
		"start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, gas-co-1 AI, gas-co-2 AI, gas-no2-1 AI, gas-no2-2 AI"},
	{"kitchen, hood panel", fan("kitchen-exhaust", "packaged", nil), "status BI, hood-on BI, suppression BI"},
	{"kitchen, box", fan("kitchen-exhaust", "fan-interface-box", nil), "start BO, status BI, override-active BI, hood-on BI, suppression BI"},
	{"make-up air unit", fan("make-up-air", "packaged", nil), "discharge-temperature AI, enable BO, unit-status BI, unit-alarm BI, discharge-setpoint AO"},
	{"laboratory, drive", fan("lab-exhaust", "variable-frequency-drive", damper(true)),
		"start BO, status BI, speed AO, not-in-auto BI, damper BO, damper-open BI, drive-fault BI, plenum-pressure-1 AI, plenum-pressure-2 AI, bypass-damper AO, stack-airflow AI"},
	{"stair", fan("stair-pressurization", "fire-panel", nil), "run BI, trouble BI"},
	{"hoistway", fan("hoistway-pressurization", "fire-panel", nil), "run BI, trouble BI"},
	{"smoke exhaust", fan("smoke-exhaust", "fire-panel", nil), "run BI, trouble BI"},
	{"smoke exhaust named with a drive", fan("smoke-exhaust", "variable-frequency-drive", nil), "run BI, trouble BI"},
	{"transfer, box", fan("transfer", "fan-interface-box", nil), "start BO, status BI, override-active BI, room-temperature AI"},
	{"destratification, box", fan("destratification", "fan-interface-box", nil), "start BO, status BI, override-active BI, ceiling-temperature AI, floor-temperature AI"},
	{"transfer, box, asked to vary", fan("transfer", "fan-interface-box", func(e *model.Equipment) {
		e.Evidence = []model.Evidence{{About: "speed", For: "variable", Words: `remarks says "0 10 v"`, Won: true}}
	}), "start BO, status BI, override-active BI, speed AO, room-temperature AI"},
	{"transfer, box, EC motor only", fan("transfer", "fan-interface-box", func(e *model.Equipment) {
		e.Evidence = []model.Evidence{{About: "speed", For: "variable", Words: `motor type says "ec"`, Won: true}}
	}), "start BO, status BI, override-active BI, room-temperature AI"},
	{"supply, drive, smoke detector and fire relay stop it", fan("supply-variable", "variable-frequency-drive", func(e *model.Equipment) { e.FireResponse = "stop"; e.Ratings.Airflow = cfm(24000) }),
		"start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, speed-feedback AI, fire-stop BI, smoke BI, freeze BI, high-static BI, duct-pressure AI"},
	{"supply, starter, small, fire stop", fan("supply-constant", "starter", func(e *model.Equipment) { e.FireResponse = "stop"; e.Ratings.Airflow = cfm(1500) }),
		"start BO, status BI, not-in-auto BI, fire-stop BI, freeze BI"},
	{"recovery, drives", fan("energy-recovery", "variable-frequency-drive", func(e *model.Equipment) { e.Ratings.Airflow = cfm(6000) }),
		"start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, smoke BI, outdoor-temperature AI, exhaust-temperature AI, bypass-damper AO, exhaust-start BO, exhaust-status BI, exhaust-speed AO, wheel BO, wheel-status BI, filter BI, exhaust-filter BI, supply-temperature AI"},
	{"exhaust, two speeds", fan("exhaust-constant", "starter", func(e *model.Equipment) { e.Ratings.MotorType = "two-speed" }), "start BO, status BI, not-in-auto BI, high-speed BO, high-speed-status BI"},
	{"destratification, EC", fan("destratification", "ec-direct", nil), "start BO, status BI, speed AO, ceiling-temperature AI, floor-temperature AI"},
	{"high volume, relay", fan("high-volume", "relay", nil), "start BO, status BI, water-flow BI"},
	{"generator room, starter", fan("generator-room", "starter", damper(true)), "start BO, status BI, not-in-auto BI, damper-open BI, room-temperature AI, engine-run BI"},
	{"electrical room, box", fan("electrical-room", "fan-interface-box", damper(true)), "start BO, status BI, override-active BI, damper-open BI, room-temperature AI"},
	{"elevator machine room, packaged", fan("elevator-machine-room", "packaged", nil), "room-temperature AI, enable BO, unit-status BI, unit-alarm BI"},
	{"natatorium, drive", fan("natatorium-exhaust", "variable-frequency-drive", nil), "start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, room-pressure AI, room-temperature AI, room-humidity AI"},
	{"chemical store, none", fan("chemical-store-exhaust", "none", nil), "status BI"},
	{"series terminal, EC", fan("series-terminal", "ec-direct", nil), "start BO, speed AO, airflow AI, room-temperature AI, primary-damper AO, heating-valve AO"},
	{"parallel terminal, relay", fan("parallel-terminal", "relay", nil), "start BO, airflow AI, room-temperature AI, primary-damper AO, heating-valve AO"},
	{"energy recovery, packaged", fan("energy-recovery", "packaged", nil), "enable BO, unit-status BI, unit-alarm BI"},
	{"isolation, drive", fan("isolation-exhaust", "variable-frequency-drive", nil), "start BO, status BI, speed AO, not-in-auto BI, drive-fault BI, room-pressure AI, door-open BI"},
	{"fan coil, packaged", fan("fan-coil", "packaged", nil), "enable BO, unit-status BI, unit-alarm BI"},
	{"exhaust run by the fire panel", fan("exhaust-constant", "fire-panel", nil), "run BI, trouble BI"},
	{"fan coil, relay", fan("fan-coil", "relay", nil), "start BO, status BI, room-temperature AI"},
}

func fan(scheme, control string, more func(*model.Equipment)) model.Equipment {
	e := model.Equipment{Tag: "F-1", Scheme: scheme, Control: control, Service: "area", Where: &model.Where{File: "fans.csv", Line: 2}}
	if more != nil {
		more(&e)
	}
	return e
}

func damper(endSwitch bool) func(*model.Equipment) {
	return func(e *model.Equipment) { e.Damper.Kind, e.Damper.EndSwitch = "motorised", &endSwitch }
}

var letters = map[string]string{model.AnalogInput: "AI", model.AnalogOutput: "AO", model.AnalogValue: "AV", model.BinaryInput: "BI",
	model.BinaryOutput: "BO", model.BinaryValue: "BV", model.MultiStateValue: "MSV"}

func roles(points []model.Point) string {
	var out []string
	for _, q := range points {
		out = append(out, q.Role+" "+letters[q.ObjectType])
	}
	return strings.Join(out, ", ")
}

func withoutSoftware() *model.Project {
	return &model.Project{Settings: model.Settings{Derive: model.DeriveSettings{Software: &off}}}
}

func TestHandCounts(t *testing.T) {
	lib := loaded(t)
	schemes := map[string]bool{}
	for _, c := range hand {
		schemes[c.fan.Scheme] = true
		got := Derive(lib, withoutSoftware(), []model.Equipment{c.fan})
		if r := roles(got.Points); r != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, r, c.want)
		}
		for _, q := range got.Points {
			if q.Where == nil || q.Where.Line != 2 || q.Rule == "" || q.Why == "" || q.ObjectName == "" || q.Instance == nil {
				t.Errorf("%s: %s lacks its place, rule, reason, name or instance: %+v", c.name, q.Key, q)
			}
			if q.FurnishedBy == "" || q.InstalledBy == "" || q.WiredBy == "" {
				t.Errorf("%s: %s: nobody furnishes, installs or wires it", c.name, q.Key)
			}
		}
	}
	for _, s := range lib.Schemes() {
		if !schemes[s.ID] {
			t.Errorf("no hand count for %s", s.ID)
		}
	}
}

// TestHardCounts holds the hard points of usual fans against the usual ranges
// (common practice: hard points by control scheme).
func TestHardCounts(t *testing.T) {
	lib := loaded(t)
	for _, c := range []struct {
		scheme, control string
		fans            int
		lo, hi          int
	}{
		{"exhaust-constant", "starter", 1, 3, 5},
		{"exhaust-variable", "variable-frequency-drive", 1, 7, 9},
		{"toilet-exhaust", "starter", 1, 3, 5},
		{"supply-variable", "variable-frequency-drive", 1, 9, 12},
		{"return", "variable-frequency-drive", 1, 6, 8},
		{"garage-exhaust", "variable-frequency-drive", 3, 15 + 4, 15 + 4},
		{"kitchen-exhaust", "packaged", 1, 3, 6},
		{"make-up-air", "packaged", 1, 5, 7},
		{"stair-pressurization", "fire-panel", 1, 1, 3},
		{"hoistway-pressurization", "fire-panel", 1, 1, 3},
		{"smoke-exhaust", "fire-panel", 1, 2, 4},
		{"transfer", "relay", 1, 2, 4},
		{"destratification", "ec-direct", 4, 3, 5},
		{"high-volume", "relay", 1, 1, 3},
		{"generator-room", "starter", 1, 6, 8},
		{"electrical-room", "relay", 1, 3, 4},
		{"elevator-machine-room", "packaged", 1, 3, 4},
		{"natatorium-exhaust", "variable-frequency-drive", 1, 6, 8},
		{"chemical-store-exhaust", "none", 1, 1, 3},
		{"series-terminal", "ec-direct", 1, 5, 7},
		{"parallel-terminal", "relay", 1, 5, 6},
		{"energy-recovery", "packaged", 1, 2, 4},
		{"isolation-exhaust", "variable-frequency-drive", 2, 4*2 + 2, 5*2 + 2},
		{"lab-exhaust", "variable-frequency-drive", 3, 6*3 + 4, 7*3 + 4},
	} {
		var list []model.Equipment
		for i := range c.fans {
			e := fan(c.scheme, c.control, nil)
			e.Tag, e.Sensors, e.Ratings.Airflow = fmt.Sprintf("F-%d", i+1), 2, cfm(10000)
			if c.control != "none" && c.scheme != "garage-exhaust" && !strings.Contains("fire-panel packaged", c.control) && !slices.Contains([]string{"transfer", "destratification", "high-volume", "isolation-exhaust", "natatorium-exhaust", "toilet-exhaust", "return"}, c.scheme) {
				damper(true)(&e)
			}
			if c.scheme == "electrical-room" {
				damper(false)(&e)
			}
			list = append(list, e)
		}
		if n := len(Derive(lib, withoutSoftware(), list).Points); n < c.lo || n > c.hi {
			t.Errorf("%s: %d hard points; usually %d to %d: %s", c.scheme, n, c.lo, c.hi, roles(Derive(lib, withoutSoftware(), list).Points))
		}
	}
}

// TestSharedPointsCountOnce: three garage fans of one system share two sensor
// pairs; two relief fans and a return fan share the building pressure; two
// garages do not share.
func TestSharedPointsCountOnce(t *testing.T) {
	lib := loaded(t)
	count := func(list []model.Equipment, role string) (n int, where []string) {
		for _, q := range Derive(lib, withoutSoftware(), list).Points {
			if Base(q.Role) == role {
				n++
				where = append(where, q.Key)
			}
		}
		return n, where
	}
	var garage []model.Equipment
	for i := range 3 {
		e := fan("garage-exhaust", "variable-frequency-drive", nil)
		e.Tag, e.System, e.Sensors = fmt.Sprintf("GX-%d", 10-i), "P1", 2
		garage = append(garage, e)
	}
	if n, where := count(garage, "gas-co"); n != 2 || where[0] != "GX-8/gas-co-1" {
		t.Errorf("three fans, two pairs: %d CO sensors at %v", n, where)
	}
	garage[2].System = "P2"
	if n, _ := count(garage, "gas-no2"); n != 4 {
		t.Errorf("two garages with two pairs each: %d NO2 sensors", n)
	}
	building := []model.Equipment{fan("relief", "variable-frequency-drive", nil), fan("relief", "variable-frequency-drive", nil), fan("return", "variable-frequency-drive", nil)}
	building[0].Tag, building[1].Tag, building[2].Tag = "RLF-2", "RLF-1", "RF-1"
	if n, where := count(building, "building-pressure"); n != 1 || where[0] != "RF-1/building-pressure" {
		t.Errorf("one building: %d pressures at %v", n, where)
	}
}

// TestGarageSensorsByArea: 48,000 ft2 at 7,500 ft2 a pair is 6.4, so seven.
func TestGarageSensorsByArea(t *testing.T) {
	e := fan("garage-exhaust", "variable-frequency-drive", func(e *model.Equipment) {
		e.Ratings.Area = &model.Quantity{Value: model.Exactly(48000), Unit: "ft2"}
	})
	got := Derive(loaded(t), withoutSoftware(), []model.Equipment{e})
	n := 0
	for _, q := range got.Points {
		if Base(q.Role) == "gas-co" {
			n++
		}
	}
	if n != 7 || !told(got.Findings, "planning-assumption", "F-1", "gas sensors") {
		t.Errorf("%d sensors, or the assumption is not told", n)
	}
}

func told(list []finding.Finding, code, subject, words string) bool {
	return slices.ContainsFunc(list, func(f finding.Finding) bool {
		return f.Code == code && (f.Subject == subject || slices.Contains(f.Subjects, subject)) && strings.Contains(f.Message, words)
	})
}

func TestFindings(t *testing.T) {
	lib := loaded(t)
	for _, c := range []struct {
		name, code, words string
		fan               model.Equipment
	}{
		{"no scheme", "no-points", "not known", fan("", "starter", nil)},
		{"misspelt scheme", "no-points", `did you mean "toilet-exhaust"?`, fan("toilet-exhuast", "starter", nil)},
		{"variable on a starter", "scheme-contradicts", "starter cannot", fan("exhaust-variable", "starter", nil)},
		{"drive on EC", "drive-contradicts", "an EC motor", fan("exhaust-variable", "variable-frequency-drive", func(e *model.Equipment) { e.Ratings.MotorType = "ec" })},
		{"smoke fan with a drive", "monitor-only", "run and trouble only", fan("smoke-exhaust", "variable-frequency-drive", nil)},
		{"nothing for the BAS", "no-points", "leaves nothing to the BAS", fan("exhaust-constant", "none", nil)},
		{"no control", "control-unknown", "not known", fan("exhaust-constant", "", nil)},
	} {
		got := Derive(lib, &model.Project{}, []model.Equipment{c.fan})
		if !told(got.Findings, c.code, "F-1", c.words) {
			t.Errorf("%s: no %s that says %q: %v", c.name, c.code, c.words, got.Findings)
		}
		if c.code == "no-points" && len(got.Points)+len(got.Alarms) > 0 {
			t.Errorf("%s: points are planned: %s", c.name, roles(got.Points))
		}
	}
	out := Derive(lib, &model.Project{}, []model.Equipment{fan("exhaust-constant", "starter", func(e *model.Equipment) { e.OutOfScope = "by the tenant" })})
	if len(out.Points)+len(out.Alarms)+len(out.Responsibility) > 0 {
		t.Errorf("out of scope: points are planned: %s", roles(out.Points))
	}
	good := Derive(lib, &model.Project{}, []model.Equipment{fan("exhaust-constant", "starter", nil)})
	for _, f := range good.Findings {
		if f.Severity != finding.Note {
			t.Errorf("a good fan has a finding: %s", f.Line())
		}
	}
}

func TestSettings(t *testing.T) {
	lib := loaded(t)
	p := withoutSoftware()
	p.Settings.Derive.Optional = []string{"F-1/speed", "smoke"}
	p.Settings.Derive.Without = []string{"status"}
	p.Settings.Derive.StateTexts = map[string][]string{"start": {"Stop", "Go"}, "override-active": {"a", "b", "c"}}
	p.Settings.Naming.Pattern, p.Settings.Naming.Abbreviations = "{building}_{system}.{equipment}.{role}", map[string]string{"start": "CMD"}
	p.Building = "B 7"
	p.Settings.Naming.Instances, p.Settings.Naming.FirstInstance = "per-equipment", 1000
	a, b := fan("exhaust-constant", "fan-interface-box", nil), fan("exhaust-constant", "fan-interface-box", nil)
	b.Tag = "F-2"
	got := Derive(lib, p, []model.Equipment{a, b})
	if r := roles(got.Points); r != "start BO, override-active BI, speed AO, smoke BI, start BO, override-active BI, smoke BI" {
		t.Errorf("points: %s", r)
	}
	if q := got.Points[0]; q.ObjectName != "B_7_F-1.CMD" || !reflect.DeepEqual(q.States, []string{"Stop", "Go"}) || *q.Instance != 1000 {
		t.Errorf("start: name %q, states %v, instance %d", q.ObjectName, q.States, *q.Instance)
	}
	if q := got.Points[6]; *q.Instance != 1101 || q.ObjectName != "B_7_F-2.SD" {
		t.Errorf("%s: name %q, instance %d", q.Key, q.ObjectName, *q.Instance)
	}
	if !told(got.Findings, "state-texts", "override-active", "3 state texts") || !told(got.Findings, "name-characters", "F-1", `" "`) {
		t.Errorf("findings: %v", got.Findings)
	}
	p.Settings.Derive = model.DeriveSettings{Software: &off, Optional: []string{"cooling-valve", "F-1/status", "smoke"}, Without: []string{"freeze", "status"}}
	got = Derive(lib, p, []model.Equipment{a})
	for subject, want := range map[string]bool{"cooling-valve": true, "F-1/status": true, "freeze": true, "smoke": false, "status": false} {
		if told(got.Findings, "option-unused", subject, "") != want {
			t.Errorf("%s: unused told %v", subject, !want)
		}
	}
	p.Settings.Naming.Instances = "vendor"
	p.Settings.Derive.Optional = []string{"sped", "F-9/speed"}
	got = Derive(lib, p, []model.Equipment{a})
	if got.Points[0].Instance != nil {
		t.Error("the vendor's instances are filled in")
	}
	if !told(got.Findings, "unknown-role", "sped", `did you mean "speed"?`) || !told(got.Findings, "unknown-role", "F-9/speed", "tag") {
		t.Errorf("findings: %v", got.Findings)
	}
}

func TestNamesAndInstances(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{Building: "BLC"}
	a, b := fan("exhaust-constant", "starter", nil), fan("exhaust-constant", "starter", nil)
	b.Tag = "F-2"
	got := Derive(lib, p, []model.Equipment{a, b})
	if got.Points[0].ObjectName != "BLC_F-1_SS" {
		t.Errorf("name %q", got.Points[0].ObjectName)
	}
	next := map[string]int{}
	for _, q := range got.Points {
		next[q.ObjectType]++
		if *q.Instance != next[q.ObjectType] {
			t.Errorf("%s: instance %d, want %d", q.Key, *q.Instance, next[q.ObjectType])
		}
	}
	p.Settings.Naming.Pattern = "{equipmnt}_{role}"
	if !told(Derive(lib, p, []model.Equipment{a}).Findings, "name-pattern", "settings.naming.pattern", "did you mean {equipment}?") {
		t.Error("a bad part of the pattern is not told")
	}
	p.Settings.Naming.Pattern = "{equipment}"
	if !told(Derive(lib, p, []model.Equipment{a}).Findings, "name-repeated", "F-1/status", "F-1/start") {
		t.Error("a repeated name is not told")
	}
	p.Settings.Naming = model.NamingSettings{MaxLength: 8}
	if !told(Derive(lib, p, []model.Equipment{a}).Findings, "name-too-long", "F-1/status", "BLC_F-1") {
		t.Error("a long name is not told")
	}
	p.Settings.Naming = model.NamingSettings{FirstInstance: 4194302}
	got = Derive(lib, p, []model.Equipment{a, b})
	if !told(got.Findings, "instance-out-of-range", "F-2/start", "4194303") || *got.Points[0].Instance != 4194302 {
		t.Error("instance 4194302 is good and 4194303 is not")
	}
}

// oracle reads a table of testdata.
func oracle(t *testing.T, name string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var head []string
	var out []map[string]string
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if head == nil {
			head = cells
			continue
		}
		row := map[string]string{}
		for i, h := range head {
			row[h] = cells[i]
		}
		out = append(out, row)
	}
	if len(out) < 2 {
		t.Fatalf("%s holds nothing", name)
	}
	return out
}

// TestHaystackMotorChildren: every child point that a motor can have there is
// a role of ours with the same object type.
func TestHaystackMotorChildren(t *testing.T) {
	lib := loaded(t)
	ours := map[string]string{
		"run cmd point": "start", "enable cmd point": "enable", "run sensor point": "status", "enable sensor point": "unit-status",
		"alarm sensor point": "drive-fault", "vfd speed cmd point": "speed", "vfd speed sensor point": "speed-feedback",
		// Reference and feedback in hertz are the same wire scaled otherwise;
		// we carry percent.
		"vfd freq cmd point": "speed", "vfd freq sensor point": "speed-feedback",
	}
	rows := oracle(t, "haystack-motor-children.tsv")
	if len(rows) != 9 {
		t.Fatalf("%d children, the source has 9", len(rows))
	}
	for _, row := range rows {
		var tags string
		for k, v := range row {
			if strings.HasPrefix(k, "child_tags") {
				tags = v
			}
		}
		role, ok := lib.Role(ours[tags])
		if !ok {
			t.Errorf("%s has no role of ours", tags)
			continue
		}
		if want := row["bacnet_type(inferred)"]; !strings.Contains(want, letters[role.Object]) {
			t.Errorf("%s: %s is %s, there %s", tags, role.ID, letters[role.Object], want)
		}
	}
}

// TestFanShapes: a fan has a start; a fan with a drive also a speed reference
// (open223, Guideline 36 extension).
func TestFanShapes(t *testing.T) {
	lib := loaded(t)
	for _, row := range oracle(t, "s223-g36-fan-shapes.tsv") {
		var want []string
		control, scheme := "starter", "exhaust-constant"
		switch row["shape"] {
		case "g36:Fan (extension)":
			want = []string{"start"}
		case "g36:FanWithVFD (extension)":
			want, control, scheme = []string{"start", "speed"}, "variable-frequency-drive", "exhaust-variable"
		default:
			continue
		}
		got := roles(Derive(lib, withoutSoftware(), []model.Equipment{fan(scheme, control, nil)}).Points)
		for _, r := range want {
			if !strings.Contains(got, r+" ") {
				t.Errorf("%s: %s lacks %s", row["shape"], got, r)
			}
		}
	}
}

// TestProvincialExhaustFanBlock: one output, one input that proves it, run
// hours and status among the virtual points. There the proof is amperes on an
// analog input; here it is a contact.
func TestProvincialExhaustFanBlock(t *testing.T) {
	got := Derive(loaded(t), &model.Project{}, []model.Equipment{fan("exhaust-constant", "relay", nil)})
	rows := oracle(t, "bc-exhaust-fan-block.tsv")
	total := rows[len(rows)-1]
	n := map[string]int{}
	for _, q := range got.Points {
		n[letters[q.ObjectType]]++
	}
	if total["DO"] != fmt.Sprint(n["BO"]) || total["AI"] != fmt.Sprint(n["BI"]+n["AI"]) {
		t.Errorf("hardware: theirs DO %s, inputs %s; ours %v", total["DO"], total["AI"], n)
	}
	if !strings.Contains(roles(got.Points), "run-hours AV") {
		t.Error("no run hours")
	}
}

func BenchmarkDerive1000(b *testing.B) {
	lib := loaded(b)
	var list []model.Equipment
	for i := range 1000 {
		e := hand[i%len(hand)].fan
		e.Tag = fmt.Sprintf("F-%d", i)
		list = append(list, e)
	}
	for b.Loop() {
		Derive(lib, &model.Project{}, list)
	}
}
