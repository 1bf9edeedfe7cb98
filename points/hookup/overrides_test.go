package hookup

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

func circuitOf(t *testing.T, r Result, id string) model.Circuit {
	t.Helper()
	for _, c := range r.Circuits {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("no circuit %s", id)
	return model.Circuit{}
}

// TestProjectWins: device types, limits, circuits and wire of the project go
// before the library's.
func TestProjectWins(t *testing.T) {
	lib := loaded(t)
	e := motorised(fan("EF-1", "fan-interface-box", "exhaust-variable", 120, 1), 24)
	points := hardwired(t, lib, "EF-1", "start", "status", "speed", "not-in-auto")
	length, threshold := 340.0, 3.0
	p := &model.Project{
		DeviceTypes: []model.DeviceType{{ID: "own-switch", Name: "Paddle switch", Category: "switch", Source: "data sheet",
			Terminals: []model.Terminal{{ID: "c", Function: "status", Nature: model.Contact, Drives: true}}}},
		Devices: []model.DeviceOverride{
			{ID: "EF-1/box", Type: "interface-box-gated", Terminals: []model.Terminal{{ID: "speed-in", RunThreshold: &threshold}}},
			{ID: "EF-1/paddle", Type: "own-switch"},
			{ID: "EF-1/bx", Terminals: []model.Terminal{{ID: "speed-in"}}},
			{ID: "EF-1/x", Type: "interface-boxx"},
		},
		Circuits: []model.CircuitOverride{
			{Circuit: model.Circuit{ID: "EF-1/status", Drive: model.End{Device: "EF-1/paddle", Terminal: "c"}, Accepts: []model.End{{}}}},
			{Circuit: model.Circuit{ID: "EF-1/speed", Conductor: model.Conductor{LengthFt: &length, Gauge: 22}}},
			{Circuit: model.Circuit{ID: "EF-1/damper-power"}, Remove: true},
			{Circuit: model.Circuit{ID: "EF-1/interlock-2", Purpose: "interlock", Drive: model.End{Device: "EF-1/box", Terminal: "status"}, Accepts: []model.End{{Device: "EF-1/box", Terminal: "start-dryy"}}}},
			{Circuit: model.Circuit{ID: "EF-1/statu"}, Remove: true},
		},
	}
	r := Connect(lib, p, []model.Equipment{e}, points)
	box := device(t, r, "EF-1/box")
	if box.Type != "interface-box-gated" {
		t.Errorf("box is a %s", box.Type)
	}
	if term, _ := box.Spec.Terminal("speed-in"); *term.RunThreshold != 3 || term.Impedance == nil || term.Impedance.Lo != 100000 {
		t.Errorf("speed input %+v: the stated threshold with the rest of the type's limits wanted", term)
	}
	if shared, _ := lib.Device("interface-box-gated"); *shared.Terminals[3].RunThreshold != 1 {
		t.Error("the library's own record was changed")
	}
	if c := circuitOf(t, r, "EF-1/status"); c.Drive.Device != "EF-1/paddle" || c.Point != "EF-1/status" || c.Rule != "project" {
		t.Errorf("status circuit %+v", c)
	}
	speed := circuitOf(t, r, "EF-1/speed")
	if *speed.Conductor.LengthFt != 340 || speed.Conductor.Gauge != 22 || speed.Conductor.Assumed || speed.Accepts[0].Device != "EF-1/box" {
		t.Errorf("speed circuit %+v", speed)
	}
	if c := circuitOf(t, r, "EF-1/start"); !c.Conductor.Assumed || c.Conductor.Gauge != 18 || *c.Conductor.LengthFt != 100 {
		t.Errorf("a wire nobody stated: %+v", c.Conductor)
	}
	if slices.ContainsFunc(r.Circuits, func(c model.Circuit) bool { return c.ID == "EF-1/damper-power" }) {
		t.Error("the removed circuit stands")
	}
	if c := circuitOf(t, r, "EF-1/not-in-auto"); c.Drive.Terminal != "auto" {
		t.Errorf("the gated box has an auto contact: %+v", c)
	}
	want := map[string]string{"EF-1/bx": `did you mean "EF-1/box"`, "EF-1/x": `did you mean "interface-box"`, "EF-1/interlock-2": `did you mean "start-dry"`, "EF-1/statu": `did you mean "EF-1/status"`}
	for _, f := range r.Findings {
		if w, ok := want[f.Subject]; ok && strings.Contains(f.Message+" "+f.Fix, w) {
			delete(want, f.Subject)
		}
	}
	if len(want) > 0 {
		t.Errorf("not told: %v; findings %v", want, r.Findings)
	}
}

// TestWiringSettings: lengths and gauges of the project hold for runs to the
// panel, not for wire at the machine.
func TestWiringSettings(t *testing.T) {
	lib := loaded(t)
	length := 210.0
	p := &model.Project{}
	p.Settings.Wiring = model.WiringSettings{LengthFt: &length, ControlAWG: 20}
	r := Connect(lib, p, []model.Equipment{fan("EF-1", "fan-interface-box", "exhaust-variable", 120, 1)}, hardwired(t, lib, "EF-1", "start", "speed"))
	if c := circuitOf(t, r, "EF-1/speed").Conductor; *c.LengthFt != 210 || c.Gauge != 20 || c.Assumed {
		t.Errorf("speed wire %+v", c)
	}
	if c := circuitOf(t, r, "EF-1/speed-motor").Conductor; *c.LengthFt != 10 || !c.Assumed {
		t.Errorf("wire at the machine %+v", c)
	}
}

// TestSuppliesAreShared: loads fill one transformer to four fifths before a
// second is bought, and none is larger than it must be.
func TestSuppliesAreShared(t *testing.T) {
	lib := loaded(t)
	var fans []model.Equipment
	var points []model.Point
	for _, tag := range []string{"EF-1", "EF-2", "EF-3", "EF-4", "EF-5", "EF-6", "EF-7", "EF-8", "EF-9", "EF-10", "EF-11", "EF-12"} {
		fans = append(fans, motorised(fan(tag, "fan-interface-box", "exhaust-constant", 120, 1), 24))
		points = append(points, hardwired(t, lib, tag, "start")...)
	}
	r := Connect(lib, &model.Project{}, fans, points)
	if len(r.Supplies) != 2 {
		t.Fatalf("%d supplies for 84 VA of actuators, want two: %+v", len(r.Supplies), r.Supplies)
	}
	if a, b := r.Supplies[0], r.Supplies[1]; a.RunningVA != 70 || a.RatedVA != 96 || b.RunningVA != 14 || b.RatedVA != 40 || len(a.Loads) != 10 {
		t.Errorf("supplies %+v", r.Supplies)
	}
	for _, f := range r.Findings {
		if f.Severity == finding.Fault {
			t.Errorf("fault %v", f)
		}
	}
}

// TestStatusDeviceOfTheList: what the list names proves running; a name nobody
// knows is told.
func TestStatusDeviceOfTheList(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1)
	e.StatusDevice = "sail-switch"
	r := Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "EF-1", "status"))
	if c := circuitOf(t, r, "EF-1/status"); c.Drive.Device != "EF-1/status-switch" || device(t, r, "EF-1/status-switch").Type != "sail-switch" {
		t.Errorf("%+v", c)
	}
	e.StatusDevice = "sail-swich"
	r = Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "EF-1", "status"))
	if c := circuitOf(t, r, "EF-1/status"); c.Drive.Device != "EF-1/box" {
		t.Errorf("with an unknown device the box's contact is the next best: %+v", c)
	}
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool {
		return f.Code == "unknown-device-type" && strings.Contains(f.Message+f.Fix, "sail-switch")
	}) {
		t.Errorf("findings %v", r.Findings)
	}
}
