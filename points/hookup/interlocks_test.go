package hookup

import (
	"slices"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// TestHardInterlocks: a box starts a make-up air unit and another box by wire;
// its one status contact gets slave relays, and the automation system reads a
// pole of the first.
func TestHardInterlocks(t *testing.T) {
	lib := loaded(t)
	hard := true
	p := &model.Project{Interlocks: []model.Interlock{
		{From: "EF-1", To: "MAU-1", Signal: "status", Action: "follow", Hard: &hard},
		{From: "EF-1", To: "EF-2", Signal: "status", Action: "start", Hard: &hard},
		{From: "SF-1", To: "RF-1", Signal: "status", Action: "permit", Hard: &hard},
		{From: "EF-2", To: "EF-1", Signal: "status", Action: "start", Hard: new(bool)},
	}}
	fans := []model.Equipment{fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1), fan("EF-2", "fan-interface-box", "exhaust-constant", 120, 1),
		fan("MAU-1", "packaged", "make-up-air", 208, 3), fan("SF-1", "variable-frequency-drive", "supply-variable", 480, 3), fan("RF-1", "variable-frequency-drive", "return", 480, 3)}
	points := hardwired(t, lib, "EF-1", "start", "status")
	for _, more := range [][]model.Point{hardwired(t, lib, "EF-2", "start", "status"), hardwired(t, lib, "MAU-1", "enable", "unit-status"), hardwired(t, lib, "SF-1", "start", "status"), hardwired(t, lib, "RF-1", "start", "status")} {
		points = append(points, more...)
	}
	r := Connect(lib, p, fans, points)
	got := lines(r)
	for _, want := range []string{
		"EF-1/interlock-coil: EF-1/box:status > EF-1/interlock-relay:coil + EF-1/interlock-relay-2:coil from PANEL-1/supply-1:secondary",
		"EF-1/status: EF-1/interlock-relay:pole-2 > (controller)",
		"EF-1/interlock-MAU-1: EF-1/interlock-relay:pole-1 > MAU-1/unit:interlock",
		"EF-1/interlock-EF-2: EF-1/interlock-relay-2:pole-1 > EF-2/box:start-wet from PANEL-1/supply-1:secondary",
		"SF-1/interlock-RF-1: SF-1/interlock-relay:pole-1 > RF-1/drive:interlock",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("missing %s", want)
		}
	}
	for _, c := range r.Circuits {
		if c.ID == "EF-2/interlock-EF-1" {
			t.Error("an interlock by sequence has no wire")
		}
	}
	if t.Failed() {
		for _, l := range got {
			t.Log(l)
		}
	}
}

// TestInterlockWithoutInput is told, with the reason.
func TestInterlockWithoutInput(t *testing.T) {
	lib := loaded(t)
	hard := true
	p := &model.Project{Interlocks: []model.Interlock{{From: "EF-1", To: "EF-2", Action: "start", Hard: &hard}}}
	r := Connect(lib, p, []model.Equipment{fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1), fan("EF-2", "none", "exhaust-constant", 120, 1)},
		append(hardwired(t, lib, "EF-1", "status"), hardwired(t, lib, "EF-2", "status")...))
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool {
		return f.Code == "interlock-without-wire" && f.Subject == "EF-1/interlock-EF-2"
	}) {
		t.Errorf("findings %v", r.Findings)
	}
	if c := circuitOf(t, r, "EF-1/status"); c.Drive.Device != "EF-1/box" {
		t.Errorf("no relay without a use: %+v", c)
	}
}

// TestInterlockIntoStarterLeg: a leg of a starter's coil takes the starter's own
// control volts, never the panel's 24 V.
func TestInterlockIntoStarterLeg(t *testing.T) {
	lib := loaded(t)
	hard := true
	p := &model.Project{Interlocks: []model.Interlock{{From: "EF-1", To: "EF-2", Action: "stop", Hard: &hard}}}
	r := Connect(lib, p, []model.Equipment{fan("EF-1", "starter", "exhaust-constant", 460, 3), fan("EF-2", "starter", "exhaust-constant", 460, 3)},
		append(hardwired(t, lib, "EF-1", "start", "status"), hardwired(t, lib, "EF-2", "start", "status")...))
	c := circuitOf(t, r, "EF-1/interlock-EF-2")
	if c.Supply == nil || c.Supply.String() != "EF-2/starter:control-supply" {
		t.Errorf("supplied from %v, %+v", c.Supply, r.Findings)
	}
}
