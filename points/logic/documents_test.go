package logic_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/logic"
)

// A fan that the fire panel runs has a table: the panel's OFF, its ON, smoke at
// the intake, the alarm, in this order; its test turns one switch.
func TestFirePanelFanHasATable(t *testing.T) {
	s := newSite(t)
	stairPanel("fire-alarm", "duct-smoke", "firefighter-on", "firefighter-off")(s)
	r := s.prove()
	for _, c := range []struct {
		given map[string]string
		want  string
	}{
		{map[string]string{"Firefighters' panel OFF": "active"}, "off"},
		{map[string]string{"Firefighters' panel OFF": "normal", "Firefighters' panel ON": "active"}, "runs"},
		{map[string]string{"Firefighters' panel OFF": "normal", "Firefighters' panel ON": "normal", "Fire alarm": "active", "Duct smoke detector": "active"}, "off"},
		{map[string]string{"Firefighters' panel OFF": "normal", "Firefighters' panel ON": "normal", "Fire alarm": "active", "Duct smoke detector": "normal"}, "runs"},
	} {
		wantRows(t, r, "SPF-1", c.given, "Fan", c.want)
	}
	if !r.TruthTables[0].LifeSafety || !r.Tests[0].LifeSafety {
		t.Error("table and test of a stair fan do not carry the caution")
	}
	turns, others := 0, 0
	for _, step := range r.Tests[0].Steps {
		n := strings.Count(step.Action, "firefighters' switch")
		if n > 1 {
			t.Errorf("one switch is turned twice: %s", step.Action)
		}
		turns += n
		if step.Action != "nothing yet" {
			others += strings.Count(step.Action, ";") + 1 - n
		}
	}
	if turns+others != r.Tests[0].Switchings || turns < 2 {
		t.Errorf("%d turns of the switch and %d others, stated %d", turns, others, r.Tests[0].Switchings)
	}
	if want := "disconnect, motor overload, protection inside the motor; firefighters' panel at OFF: off; firefighters' panel at ON: run; wired stop by duct smoke detector: off; start by fire alarm or the fire panel"; strings.Join(r.TruthTables[0].Precedence, "; ") != want {
		t.Errorf("ladder %q", r.TruthTables[0].Precedence)
	}
	text := fmt.Sprint(r.Sequences[0])
	if !strings.Contains(text, "the BAS neither starts nor stops it") || strings.Contains(fmt.Sprint(r.TruthTables[0].Inputs), "BAS") {
		t.Errorf("the BAS has a say: %s", text)
	}
}

// A machine of which nobody has said what it is waits: no effect, no sequence.
func TestUnknownMachineWaits(t *testing.T) {
	s := newSite(t)
	s.equipment = append(s.equipment, model.Equipment{Tag: "PX-1", FireResponse: "stop"})
	r := s.prove()
	for i, effect := range r.CauseEffect.Rows[0].Effects {
		if effect != "waits for its kind" {
			t.Errorf("%s: %q", r.CauseEffect.Events[i], effect)
		}
	}
	if text := fmt.Sprint(r.Sequences[0]); !strings.Contains(text, "known yet") || strings.Contains(text, "stop") {
		t.Error(text)
	}
	if len(r.Restart)+len(r.TruthTables) > 0 {
		t.Error("it has a place in the restart order or a table")
	}
}

// The restart order: as the project says, then emergency power, then leaders
// before those that wait for them; the time between is the project's.
func TestRestartOrder(t *testing.T) {
	s := newSite(t)
	for _, tag := range []string{"EF-1", "EF-2", "EF-3", "EF-4"} {
		boxFan(s, tag)
	}
	s.of("EF-3").Emergency = &yes
	s.link("EF-4", "EF-1", "status", "permit", &no)
	stairPanel("fire-alarm")(s)
	order := func(r logic.Result) (out string) {
		for _, x := range r.Restart {
			after := "-"
			if x.AfterSeconds != nil {
				after = model.Figure(*x.AfterSeconds)
			}
			out += fmt.Sprintf("%d %s %s %s;", x.Number, x.Equipment, after, x.StartedBy)
		}
		return out
	}
	r := s.prove()
	if got := order(r); got != "1 EF-3 0 BAS;2 EF-4 10 BAS;3 EF-1 20 BAS;4 EF-2 30 BAS;0 SPF-1 - fire panel;" {
		t.Error(got)
	}
	if len(found(r, "restart-stagger", "")) != 1 {
		t.Error("the time between two starts is assumed and not told")
	}
	s.project.Settings.Restart = model.RestartSettings{Stagger: num(25), Order: []string{"EF-2", "EF-22"}}
	r = s.prove()
	if got := order(r); got != "1 EF-2 0 BAS;2 EF-3 25 BAS;3 EF-4 50 BAS;4 EF-1 75 BAS;0 SPF-1 - fire panel;" {
		t.Error(got)
	}
	s.want(r, "restart-stagger", "EF-22", finding.Caution, `did you mean "EF-2"?`)
	if len(found(r, "restart-stagger", "")) != 0 {
		t.Error("a stated time is told as assumed")
	}
}

// No controller is called suitable for smoke control that the user does not
// state to be listed, and what is stated is printed as stated.
func TestSmokeControlListing(t *testing.T) {
	s := newSite(t)
	s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "run", "start", "speed", "override-active")
	s.fireOverride("SEF-1", "SEF-1/drive")
	for i := range s.points {
		if s.points[i].Role == "start" {
			s.points[i].ObjectType, s.points[i].Panel, s.points[i].Controller = "binary-output", "PANEL-1", "PANEL-1/C1"
		}
	}
	r := s.prove()
	s.want(r, "smoke-control-listing", "SEF-1", finding.Caution, "by start", "taken as not suitable")
	if text := fmt.Sprint(r.Sequences[0]); !strings.Contains(text, logic.Deferral) || strings.Contains(text, "as stated") {
		t.Error(text)
	}
	s.project.Settings.Fire.Listings = []model.SmokeListing{{Item: "PANEL-1", Listing: "smoke control, file 4711", By: "the controls contractor"}}
	r = s.prove()
	for _, f := range found(r, "smoke-control-listing", "SEF-1") {
		if f.Severity != finding.Note || !strings.Contains(f.Message, "the controls contractor states for PANEL-1: smoke control, file 4711") || !strings.Contains(f.Message, "not checked") {
			t.Errorf("%s: %s", f.Severity, f.Message)
		}
	}
	if text := fmt.Sprint(r.Sequences[0]); !strings.Contains(text, "file 4711. That is printed as stated and not checked here") {
		t.Error(text)
	}
	s.project.Settings.Fire.Listings[0].Item = "PANEL-11"
	r = s.prove()
	s.want(r, "smoke-control-listing", "PANEL-11", finding.Caution, `did you mean "PANEL-1"?`)
	s.want(r, "smoke-control-listing", "SEF-1", finding.Caution, "taken as not suitable")
}

// A fire event that a controller's program answers by running a fan asks for a
// listing; a wire of the fire trade does not.
func TestSmokeControlByProgramAsksForAListing(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "run", "start", "status")
	s.link("fire-alarm", "EF-1", "", "start", &no)
	s.want(s.prove(), "smoke-control-listing", "EF-1", finding.Caution, "a controller's program answers fire alarm by running it")
	s.project.Interlocks[0].Hard = &yes
	s.clean(s.prove(), "smoke-control-listing")
}

// An interlock of the project that the hook-up wires already is one row of the
// list and one rung of the ladder.
func TestWiredInterlockIsListedOnce(t *testing.T) {
	s := newSite(t)
	fireStop(s, &yes, &yes)
	s.project.Interlocks = []model.Interlock{{From: "fire-alarm", To: "EF-1", Action: "stop", Hard: &yes, Energise: &no, Owner: "fire trade", Reason: "smoke is not to be spread"}}
	r := s.prove()
	if len(r.Interlocks) != 1 || r.Interlocks[0].Owner != "fire trade" || *r.Interlocks[0].Energise || !strings.Contains(r.Interlocks[0].Reason, "circuit EF-1/fire-interlock on interlock") {
		t.Errorf("%+v", r.Interlocks)
	}
	if ladder := strings.Join(r.TruthTables[0].Precedence, "; "); strings.Count(ladder, "fire alarm") != 1 {
		t.Error(ladder)
	}
}

// Both halves of one missing wire are one finding.
func TestGasWithoutAWireIsToldOnce(t *testing.T) {
	s := newSite(t)
	s.fan("GX-1", "garage-exhaust", "box", "interface-box-gated", "none", "start", "speed", "status", "not-in-auto")
	if all := found(s.prove(), "gas-full-flow", "GX-1"); len(all) != 1 || !strings.Contains(all[0].Message, "gas above the level or the sensor dead") {
		t.Errorf("%v", all)
	}
	s.link("gas-high", "GX-1", "", "full-speed", &yes)
	s.want(s.prove(), "gas-full-flow", "GX-1", finding.Caution, "sensor dead")
	s.link("gas-fault", "GX-1", "", "full-speed", &yes)
	s.clean(s.prove(), "gas-full-flow")
}

// The second fan of a machine is named, and is not asked for the safeties that
// stop the first.
func TestSecondFanOfAMachine(t *testing.T) {
	s := newSite(t)
	s.fan("ERU-1", "energy-recovery", "drive", "drive-460", "stop", "start", "speed", "not-in-auto")
	s.safety("ERU-1", "smoke-detector", "duct-smoke-detector", "ERU-1/drive", "interlock")
	s.points = append(s.points, model.Point{Key: "ERU-1/smoke", Equipment: "ERU-1", Role: "smoke"})
	d := s.device("ERU-1", "exhaust-drive", "drive-460")
	s.point("ERU-1", "exhaust-start", model.End{}, s.end(d, "start-dry"), "start")
	r := s.prove()
	s.clean(r, "safety-bypass")
	s.want(r, "override-reach", "ERU-1", finding.Caution, "exhaust fan: the fire matrix asks stop")
}

// What the loss of the controller does follows from fail states and wires.
func TestControllerLost(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.fan("EF-2", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.wire("EF-2", "chain", "start", s.at("EF-1/box", "status"), s.at("EF-2/box", "start-wet"))
	s.fan("EF-3", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	state := func(tag, fail string) {
		for i := range s.points {
			if s.points[i].Key == tag+"/start" {
				s.points[i].FailState = fail
			}
		}
	}
	want := func(tag, effect string) {
		t.Helper()
		if got := cell(t, s.prove(), tag, "Loss of the BAS controller"); got != effect {
			t.Errorf("%s: %q, want %q", tag, got, effect)
		}
	}
	want("EF-1", "not stated")
	state("EF-1", "On")
	state("EF-2", "Off")
	state("EF-3", "Off")
	want("EF-1", "runs on")
	want("EF-2", "runs on") // the wire from EF-1
	want("EF-3", "stops")
	state("EF-1", "Off")
	want("EF-2", "stops")
}

// A departure that the project declares and that is found stands in what is signed.
func TestAcceptedDepartureIsInTheSequence(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	s.project.Exceptions = []model.Exception{{Code: "status-is-command", Subject: "EF-1", Reason: "the owner takes the risk."}, {Code: "latch-loop", Subject: "EF-1", Reason: "nothing of the kind"}}
	text := fmt.Sprint(s.prove().Sequences[0])
	if !strings.Contains(text, "(status-is-command): the owner takes the risk.") || strings.Contains(text, "latch-loop") {
		t.Error(text)
	}
}

// A fan that follows another stops with it, and in AUTO alone where the program
// makes it follow; a wired stop acts in every mode. Table, matrix and sequence
// say the same.
func TestStopsOfAFollower(t *testing.T) {
	s := newSite(t)
	fireStop(s, &no, &no)
	boxFan(s, "EF-2")
	s.of("EF-2").FireResponse = ""
	s.link("EF-1", "EF-2", "command", "follow", &no)
	s.link("EF-1", "EF-2", "status", "permit", &yes)
	r := s.prove()
	if a, b := cell(t, r, "EF-1", "Fire alarm"), cell(t, r, "EF-2", "Fire alarm"); a != "stops" || b != "stops with EF-1" {
		t.Errorf("EF-1 %q, EF-2 %q", a, b)
	}
	for i, want := range []string{"It stops when the fire alarm is active, by wire, in every mode.", "It stops together with EF-1 when the fire alarm is active."} {
		if text := fmt.Sprint(r.Sequences[i]); !strings.Contains(text, want) {
			t.Errorf("%q lacks %q", text, want)
		}
	}
	s = newSite(t)
	boxFan(s, "EF-1")
	s.link("fire-alarm", "EF-1", "", "stop", &no)
	if text := fmt.Sprint(s.prove().Sequences[0]); !strings.Contains(text, "It stops when the fire alarm is active, by sequence, in AUTO alone.") {
		t.Error(text)
	}
}

// A starter that holds itself in says so: opening the start does not stop it,
// and a dip of the power does.
func TestThreeWireStarterIsToldAsOne(t *testing.T) {
	s := newSite(t)
	threeWire(s, false)
	r := s.prove()
	text := fmt.Sprint(r.Sequences[0])
	if !strings.Contains(text, "after a dip of the power it stays off unless its start is still made") || strings.Contains(text, "The BAS stops it by opening") {
		t.Error(text)
	}
	if got := cell(t, r, "EF-1", "Power loss and return"); got != "stops; starts again only if its start is still made" {
		t.Error(got)
	}
}

// A table splits on twelve inputs; further ones are named, not passed over.
func TestWideTableNamesWhatItHoldsAtRest(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	for i := range 14 {
		role := fmt.Sprint("thermostat-", i+1)
		s.device("EF-1", role, "thermostat")
		s.wire("EF-1", role, "start", s.at("EF-1/"+role, "contact"), s.at("EF-1/box", "start-wet"))
	}
	table := s.prove().TruthTables[0]
	if len(table.HeldAtRest) == 0 || !strings.Contains(strings.Join(table.HeldAtRest, ", "), "Contact thermostat-14:contact") {
		t.Errorf("held at rest: %q of %d", table.HeldAtRest, len(table.Inputs))
	}
}

// Interlocks that move a damper stand in the sequence.
func TestDamperInterlocksAreTold(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	boxFan(s, "EF-2")
	s.link("EF-1", "EF-2", "status", "open", &no)
	s.link("duct-smoke", "EF-2", "", "close", &yes)
	text := fmt.Sprint(s.prove().Sequences[1])
	for _, want := range []string{"The BAS opens its damper with the status of EF-1.", "Its damper shuts when the duct smoke detector is in alarm, by wire."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in %s", want, text)
		}
	}
}

// What a broken wire does follows from the input that it ends on and from the
// fire relay's coil, each for its own wire.
func TestBrokenWires(t *testing.T) {
	for _, c := range []struct {
		interlock bool // a permissive, else an override
		energise  *bool
		want      string
	}{
		{true, &yes, "wire to the fan broken: acts; wire to its relay broken: does not act"},
		{true, &no, "wire broken: acts"},
		{true, nil, "wire to the fan broken: acts; wire to its relay: not stated"},
		{false, &yes, "wire broken: does not act"},
		{false, &no, "wire to the fan broken: does not act; wire to its relay broken: acts"},
	} {
		s := newSite(t)
		if c.interlock {
			fireStop(s, c.energise, &yes)
		} else {
			withRelease("returns")(s)
			s.project.Settings.Fire.EnergiseToAct = c.energise
		}
		r := s.prove()
		if len(r.Interlocks) != 1 || r.Interlocks[0].Fail != c.want {
			t.Errorf("permissive %v: %+v, want %q", c.interlock, r.Interlocks, c.want)
		}
	}
}

// The BAS shuts the damper of a fan that a trip has stopped where a point tells
// it of the trip; without the point its output stays as the start has it.
func TestDamperShutsBehindAStoppedFan(t *testing.T) {
	for _, seen := range []bool{true, false} {
		s := newSite(t)
		fireStop(s, &no, &yes)
		damper(s, "EF-1", "damper-24v", "")
		s.point("EF-1", "damper", model.End{}, s.at("EF-1/damper", "power"), "damper-command")
		want := "shut"
		if !seen {
			want = "open"
			s.points = slices.DeleteFunc(s.points, func(q model.Point) bool { return q.Role == "fire-stop" })
		}
		r := s.prove()
		wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "active", "BAS start": "on"}, "Damper", want)
		wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "normal", "Selector": "AUTO", "BAS start": "on"}, "Damper", "open")
		if text := fmt.Sprint(r.Sequences[0]); strings.Contains(text, "EF-1/damper, which shuts it when the fire alarm is active.") != seen {
			t.Errorf("fire-stop read %v: %s", seen, text)
		}
	}
}

// What hangs on a fail state that nobody states is not stated: of the fan's own
// start, of its reference, of the fan that it follows.
func TestLossHangsOnUnknownFailStates(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-variable", "box", "interface-box-gated", "none", "start", "speed", "status")
	s.fan("EF-2", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.wire("EF-2", "chain", "start", s.at("EF-1/box", "status"), s.at("EF-2/box", "start-wet"))
	state := func(key, fail string) {
		for i := range s.points {
			if s.points[i].Key == key {
				s.points[i].FailState = fail
			}
		}
	}
	want := func(first, second string) {
		t.Helper()
		r := s.prove()
		if a, b := cell(t, r, "EF-1", "Loss of the BAS controller"), cell(t, r, "EF-2", "Loss of the BAS controller"); a != first || b != second {
			t.Errorf("%q and %q, want %q and %q", a, b, first, second)
		}
	}
	state("EF-2/start", "Off")
	want("not stated", "not stated")
	state("EF-1/start", "On")
	want("not stated", "not stated")
	state("EF-1/speed", "last value")
	want("not stated", "not stated")
	state("EF-1/speed", "100 %")
	want("runs on", "runs on")
	state("EF-1/speed", "0")
	want("stops", "stops")
}
