package logic_test

import (
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// The facts of a fan interface box, as such boxes are commonly described:
// common practice, no source.

// A reference of 2 V or more is a run command, without any start.
func TestBoxRunsOnReferenceOfTwoVolts(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-variable", "box", "interface-box", "none", "start", "speed", "status")
	r := s.prove()
	wantRows(t, r, "EF-1", map[string]string{"Selector": "AUTO", "BAS start": "off", "BAS reference": "run"}, "Fan", "by reference")
	wantRows(t, r, "EF-1", map[string]string{"Selector": "AUTO", "BAS start": "off", "BAS reference": "0 %"}, "Fan", "off")
	s.want(r, "start-logic", "EF-1", finding.Caution, "reference at 2 V or above", "it runs on")
	if fix := found(r, "start-logic", "EF-1")[0].Fix; fix != "write into the sequence: reference to 0 % on stop" {
		t.Errorf("fix %q", fix)
	}
}

// Dry and wet start: either or both may be used, and either starts.
func TestBoxStartsAreOred(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.device("EF-1", "thermostat", "thermostat")
	s.wire("EF-1", "wet-start", "start", s.at("EF-1/thermostat", "contact"), s.at("EF-1/box", "start-wet"))
	r := s.prove()
	given := map[string]string{"Selector": "AUTO", "BAS start": "off", "Contact EF-1/thermostat:contact": "closed"}
	delete(given, "Contact EF-1/thermostat:contact")
	given["Contact thermostat:contact"] = "closed"
	wantRows(t, r, "EF-1", given, "Fan", "runs")
	s.want(r, "stop-authority", "EF-1", finding.Fault, "BAS start off", "thermostat:contact closed", "it runs")
}

// The override outranks every mode, and lets go only when its voltage is removed.
func TestBoxOverrideOutranksEverything(t *testing.T) {
	for fire, want := range map[string]string{"stop": "off", "run": "full speed"} {
		s := newSite(t)
		s.fan("EF-1", "exhaust-constant", "box", "interface-box", fire, "start", "speed", "status", "override-active")
		s.fireOverride("EF-1", "EF-1/box")
		r := s.prove()
		for _, selector := range []string{"AUTO", "HAND", "OFF"} {
			wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "active", "Selector": selector}, "Fan", want)
		}
		wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "normal", "Selector": "OFF"}, "Fan", "off")
		s.clean(r, "override-first", "override-unseen")
	}
}

// The status contact closes while the box tells the motor to run.
func TestBoxStatusFollowsCommand(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	r := s.prove()
	wantRows(t, r, "EF-1", map[string]string{"Selector": "AUTO", "BAS start": "on"}, "Point status", "running")
	s.want(r, "status-is-command", "EF-1", finding.Caution, "motor or belt failed")

	s = newSite(t)
	s.fan("LEF-1", "lab-exhaust", "box", "interface-box", "continue", "start", "status")
	s.want(s.prove(), "status-is-command", "LEF-1", finding.Fault, "no air moves")
}

// The changeover contact passes power supplied by others to the damper.
func TestBoxOpensTheDamper(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "run", "start", "status", "override-active")
	s.device("EF-1", "damper", "damper-24v")
	s.wire("EF-1", "damper-power", "damper-power", s.at("EF-1/box", "damper"), s.at("EF-1/damper", "power"))
	s.fireOverride("EF-1", "EF-1/box")
	r := s.prove()
	wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "active"}, "Damper", "open")
	wantRows(t, r, "EF-1", map[string]string{"Fire alarm": "normal", "Selector": "AUTO", "BAS start": "off"}, "Damper", "shut")
	s.clean(r, "override-reach")
}

// The status may start another box.
func TestBoxStatusStartsAnotherBox(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.fan("EF-2", "exhaust-constant", "box", "interface-box", "none")
	s.wire("EF-2", "chain", "start", s.at("EF-1/box", "status"), s.at("EF-2/box", "start-dry"))
	r := s.prove()
	wantRows(t, r, "EF-2", map[string]string{"Selector": "AUTO", "EF-1 runs": "yes"}, "Fan", "runs")
	s.clean(r, "latch-loop", "deadlock-loop")
}

// A gated box runs on start and reference together only.
func TestGatedBoxNeedsBoth(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-variable", "box", "interface-box-gated", "none", "start", "speed", "status", "not-in-auto")
	r := s.prove()
	wantRows(t, r, "EF-1", map[string]string{"Selector": "AUTO", "BAS start": "off"}, "Fan", "off")
	wantRows(t, r, "EF-1", map[string]string{"Selector": "AUTO", "BAS start": "on", "BAS reference": "0 %"}, "Fan", "off")
	s.clean(r, "start-logic", "status-is-command", "hand-hidden", "stop-authority")
}

// Undeclared start logic is unknown, never taken as good.
func TestUndeclaredStartLogicIsUnknown(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-variable", "box", "interface-box", "none", "start", "speed", "status")
	spec := *s.devices[0].Spec
	l := *spec.Logic
	l.StartLogic = ""
	spec.Logic = &l
	s.devices[0].Spec = &spec
	s.want(s.prove(), "start-logic", "EF-1", finding.Caution, "is not declared")
}

// Two boxes whose status contacts start each other hold themselves on.
func TestLatchLoop(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.fan("EF-2", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.wire("EF-2", "chain", "start", s.at("EF-1/box", "status"), s.at("EF-2/box", "start-wet"))
	r := s.prove()
	s.clean(r, "latch-loop")
	s.want(r, "stop-authority", "EF-2", finding.Fault, "EF-1")

	s.wire("EF-1", "chain", "start", s.at("EF-2/box", "status"), s.at("EF-1/box", "start-wet"))
	r = s.prove()
	s.want(r, "latch-loop", "EF-1", finding.Fault, "EF-1, EF-2", "holds itself on", "Set by: BAS start of")
}

// A fan that waits for its damper while the damper waits for the fan never starts.
func TestDeadlockLoop(t *testing.T) {
	hard := true
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "none", "start", "status")
	s.device("EF-1", "damper", "damper-24v-switch")
	s.wire("EF-1", "damper-power", "damper-power", s.at("EF-1/box", "damper"), s.at("EF-1/damper", "power"))
	s.project.Interlocks = []model.Interlock{{From: "EF-1", To: "EF-1", Signal: "damper-open", Action: "permit", Hard: &hard}}
	r := s.prove()
	s.want(r, "deadlock-loop", "EF-1", finding.Fault, "needs itself")
	s.want(r, "start-authority", "EF-1", finding.Fault, "can never start it")
}
