package logic

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

func (k *checker) checkAir(f *fan) {
	k.deadHead(f)
	k.endSwitch(f)
	k.branch(f)
	k.alarmTooEarly(f)
	k.gasFullFlow(f)
	k.gasMinimum(f)
	k.burnerFlow(f)
	k.stackVelocity(f)
	k.makeUp(f)
	k.suppression(f)
	k.restart(f)
	k.failStates(f)
}

// deadHead: no state runs the fan against its shut damper.
func (k *checker) deadHead(f *fan) {
	if !f.hasDamper {
		return
	}
	q := k.and(f.told, k.not(f.damper))
	if k.fireResponse(f) == "run" { // override-reach tells that one
		for _, r := range k.ownEvents(f) {
			if isFire(k.events[r]) {
				q = k.and(q, k.not(r))
			}
		}
	}
	if s, bad := k.engine.possible(q); bad {
		k.fan(f, "damper-dead-head", finding.Caution, "it can run against its shut damper: "+k.story(s, f)+": fan on, damper shut",
			"open the damper from the fan's own contact, or wire its end switch as a permissive that acts in every mode; compare the fan's shut-off pressure with the damper's rating")
	}
}

// endSwitch: an end switch says what it proves.
func (k *checker) endSwitch(f *fan) {
	for _, d := range k.of[f.eq.Tag] {
		if d.Role != "damper" || d.Spec == nil {
			continue
		}
		for _, t := range d.Spec.Terminals {
			if t.Function != "end-switch" || !k.used(d.ID, t.ID) {
				continue
			}
			if t.MadeAt == nil {
				k.fan(f, "end-switch", finding.Note, "at which position its damper's end switch makes is not stated: set at a crack it proves nothing", "state made_at_percent of the switch: 80 % open or more for proof of open")
			} else if *t.MadeAt < 80 {
				k.fan(f, "end-switch", finding.Caution, fmt.Sprintf("its damper's end switch makes at %s %% open: it proves open at a crack", model.Figure(*t.MadeAt)), "set it to make at 80 % open or more")
			}
			if f.eq.Ratings.Power != nil {
				if hp, ok := f.eq.Ratings.Power.In("hp"); ok && hp.Hi >= bladeSwitchP {
					k.fan(f, "end-switch", finding.Caution, fmt.Sprintf("a switch inside the actuator proves the damper of a fan of %s hp or more: shaft slipped, switch still says open", model.Figure(bladeSwitchP)), "a switch on a blade of each section, in series")
				}
			}
		}
	}
}

// used reports whether a driving terminal drives any circuit.
func (k *checker) used(device, terminal string) bool {
	return k.driven[model.End{Device: device, Terminal: terminal}]
}

// branch: damper and controller of a fan on emergency power are on it too.
func (k *checker) branch(f *fan) {
	runsOnOutage := f.eq.Emergency != nil && *f.eq.Emergency || f.scheme.ID == "generator-room"
	if !runsOnOutage {
		return
	}
	if f.eq.Damper.Kind == "motorised" && !k.damperOnBranch(f) {
		switch f.eq.Damper.Fail {
		case "closed":
			k.fan(f, "damper-power-branch", finding.Fault, "its damper shuts when power fails and the fan is to run then: normal power gone, fan on the generator, nothing feeds the actuator: it pulls against shut blades",
				"spring it open, or feed the actuator from the fan's own branch and open it before the start")
		case "":
			k.fan(f, "damper-power-branch", finding.Caution, "where its damper goes when power fails is not stated, and the fan is to run on an outage", "state the damper's fail position: open")
		}
	}
	row := k.cells[f.name]
	if len(k.p.Panels) == 0 || !f.hasBAS || len(row) > 0 && strings.HasPrefix(row[len(row)-1], "runs") {
		return // without its controller it runs on
	}
	for _, pn := range k.p.Panels {
		serves := f.eq.Panel == pn.ID || f.eq.Panel == "" && (slices.Contains(pn.Serves, f.eq.Tag) || f.eq.Location != "" && slices.Contains(pn.Serves, f.eq.Location) || len(k.p.Panels) == 1)
		if serves && !pn.Emergency {
			k.fan(f, "controller-branch", finding.Caution, "it is on emergency power and its controller panel "+pn.ID+" is not: normal power gone, controller down: its relay drops and the fan stops",
				"put the panel on the same branch, or on a supply that bridges the gap")
		}
	}
}

// damperOnBranch reports whether the actuator of a fan on emergency power is
// fed by a panel that is on it too, or by a supply of the fan's own.
func (k *checker) damperOnBranch(f *fan) bool {
	fed := false
	for _, d := range k.of[f.eq.Tag] {
		if d.Role != "damper" || d.Spec == nil {
			continue
		}
		for _, t := range d.Spec.Terminals {
			for _, c := range k.into[model.End{Device: d.ID, Terminal: t.ID}] {
				from := c.Drive.Device
				if c.Supply != nil {
					from = c.Supply.Device
				}
				source := k.devices[from]
				if source == nil {
					continue
				}
				own := source.Equipment == f.eq.Tag && source.Spec != nil && slices.ContainsFunc(source.Spec.Terminals, func(t model.Terminal) bool { return t.Nature == model.SupplyOut })
				live := slices.ContainsFunc(k.p.Panels, func(pn model.Panel) bool { return pn.Emergency && pn.ID == source.Panel })
				if !own && !live {
					return false
				}
				fed = true
			}
		}
	}
	return fed
}

// alarmMargin is what an alarm waits beyond damper and ramp, s (common practice).
const alarmMargin = 10

// alarmTooEarly: failed-to-run waits for damper and ramp.
func (k *checker) alarmTooEarly(f *fan) {
	stroke, _ := strokeOf(f)
	ramp := 0.0
	if f.logic != nil && f.logic.RampSeconds != nil {
		ramp = *f.logic.RampSeconds
	}
	if stroke == 0 && ramp == 0 || k.p.Settings.Alarms.StartDelay != nil {
		return // not stated, or told where the project's own delay is read
	}
	for _, a := range k.alarms[f.eq.Tag] {
		if !strings.HasSuffix(a.ID, "/failed") || a.DelaySeconds >= stroke+ramp+alarmMargin {
			continue
		}
		k.say(f, finding.Finding{Code: "alarm-too-early", Severity: finding.Fault,
			Message: fmt.Sprintf("failed-to-run comes at every start: it waits %s s, damper %s s + ramp %s s + margin %d s = %s s", model.Figure(a.DelaySeconds), model.Figure(stroke), model.Figure(ramp), alarmMargin, model.Figure(stroke+ramp+alarmMargin)),
			Numbers: []finding.Number{{Name: "delay", Value: a.DelaySeconds, Unit: "s"}, {Name: "needed", Value: stroke + ramp + alarmMargin, Unit: "s"}},
			Fix:     "a longer delay for this motor"})
	}
}

// makeUp: make-up air starts with its exhaust, goes on only while the exhaust
// is proven, and never leads it as well.
func (k *checker) makeUp(f *fan) {
	if f.scheme.ID != "make-up-air" {
		return
	}
	var leads []*fan
	both := false
	for _, e := range k.edges {
		if e.to == f && e.from != nil && e.from != f {
			leads = append(leads, e.from)
		}
	}
	for _, e := range k.edges {
		both = both || e.from == f && slices.Contains(leads, e.to) && (e.action == "start" || e.action == "follow" || e.action == "permit")
	}
	for _, w := range k.wiresIn(k.wires[k.list[f.told].a].def) {
		if other := k.isFan[w]; other != nil && other != f && !slices.Contains(leads, other) {
			leads = append(leads, other)
		}
	}
	if both {
		k.fan(f, "make-up-both-ways", finding.Fault, "make-up air and exhaust each wait for or start the other: one of them cannot start first, or neither can be stopped", "the exhaust leads; the exhaust is alarmed, not stopped, when make-up air fails")
	}
	if len(leads) == 0 {
		k.fan(f, "make-up-follows-exhaust", finding.Caution, "nothing ties it to the exhaust that it makes up: exhaust off, unit on: the building is blown up", "state the interlock: from the exhaust, signal status, action follow")
		return
	}
	moving := never
	for _, l := range leads {
		moving = k.or(moving, k.and(l.told, k.motor(l), k.power(l)))
	}
	q := k.and(f.told, k.not(moving), f.inAuto)
	q = k.and(q, k.calm(q, kindEvent))
	s, bad := k.engine.possible(q)
	if !bad {
		return
	}
	severity := finding.Fault
	if slices.ContainsFunc(leads, func(l *fan) bool { return l.status.bound && l.status.follows == "command" }) && !slices.ContainsFunc(k.edges, func(e edge) bool { return e.to == f && e.Signal == "command" }) {
		severity = finding.Caution // tied to the status, which itself proves too little
	}
	k.fan(f, "make-up-follows-exhaust", severity, "it runs without its exhaust: "+k.story(s, f)+": make-up air on, no exhaust",
		"start by the command, continue by a status that proves current or air, after a delay")
}

// suppression: when the hood's extinguishing discharges, exhaust goes on and
// make-up air stops.
func (k *checker) suppression(f *fan) {
	i := slices.IndexFunc(k.shown, func(e library.Event) bool { return e.ID == "suppression" })
	kitchen := f.scheme.ID == "kitchen-exhaust"
	serves := f.scheme.ID == "make-up-air" && k.servesKitchen(f)
	if !kitchen && !serves {
		return
	}
	effect := "-"
	if i >= 0 {
		effect = k.cells[f.name][i]
	}
	source := "NFPA 96 (from memory); common practice"
	switch {
	case kitchen && strings.HasPrefix(effect, "stops"):
		k.say(f, finding.Finding{Code: "suppression", Severity: finding.Fault, Source: source,
			Message: "hood suppression discharged, exhaust running: the exhaust stops", Fix: "the exhaust goes on unless its listing says otherwise: change the relay over, witness the test"})
	case serves && i >= 0 && !strings.HasPrefix(effect, "stops") && !k.stopsOn(f, "suppression"):
		k.say(f, finding.Finding{Code: "suppression", Severity: finding.Fault, Source: source,
			Message: "hood suppression discharged, make-up air running: the make-up air goes on and feeds the fire", Fix: "a pole of the suppression relay into the stop input of the make-up air unit"})
	case serves && i < 0:
		k.say(f, finding.Finding{Code: "suppression", Severity: finding.Caution, Source: source,
			Message: "what hood suppression does to the make-up air is not stated: it has to stop", Fix: "state the interlock: from suppression, action stop, hard"})
	}
}

func (k *checker) stopsOn(f *fan, event string) bool {
	return slices.ContainsFunc(k.soft[f.name], func(e edge) bool { return e.event != nil && e.event.ID == event && e.action == "stop" })
}

// servesKitchen reports whether make-up air is tied to a hood exhaust.
func (k *checker) servesKitchen(f *fan) bool {
	for _, e := range k.edges {
		if e.to == f && e.from != nil && e.from.scheme.ID == "kitchen-exhaust" {
			return true
		}
	}
	for _, other := range k.fans {
		if other.scheme.ID == "kitchen-exhaust" && (other.eq.System != "" && other.eq.System == f.eq.System || other.eq.Service != "" && other.eq.Service == f.eq.Service) {
			return true
		}
	}
	return false
}

// restart: what each fan does when power returns is stated.
func (k *checker) restart(f *fan) {
	if f.logic == nil || !f.hasBAS || f.logic.PowerReturn != "" {
		return
	}
	k.fan(f, "restart-policy", finding.Caution, "what it does when power returns is not stated: it stays off after an outage, or starts with all the others",
		"state on_power_return of the device: previous-mode with the BAS starting the fans one after another")
}

// failStates: a fan that fire runs has a damper that fails open; a garage fan
// does not stop for a broken speed wire.
func (k *checker) failStates(f *fan) {
	if f.eq.Damper.Kind == "motorised" && k.fireResponse(f) == "run" {
		switch cmp.Or(f.eq.Damper.Fail, "?") {
		case "closed":
			k.fan(f, "fail-state", finding.Caution, "fire runs it and its damper fails shut: damper power lost, fire alarm: fan on, damper shut", "spring the damper open")
		case "in-place":
			k.fan(f, "fail-state", finding.Caution, "fire runs it and its damper stays where it is: damper shut, its power lost, fire alarm: fan on, damper shut", "spring the damper open, or feed it from the branch of the fan")
		case "?":
			k.fan(f, "fail-state", finding.Caution, "fire runs it and where its damper fails to is not stated", "state the damper's fail position: open")
		}
	}
	if f.logic == nil {
		return
	}
	k.alwaysRuns(f)
	k.speedLost(f)
}

// speedLost: a fan that must move air does not stand for a broken speed wire.
func (k *checker) speedLost(f *fan) {
	does := map[string]string{"garage-exhaust": "gas in the garage, wire open: it does not ventilate"}[f.scheme.ID]
	if f.scheme.Runs == "always" {
		does = "BAS start on, wire open: it moves no air, and a fan of this kind is to run always"
	}
	if does == "" || f.speedBy == "" {
		return
	}
	if t, ok := f.dev.Spec.Terminal(f.logic.SpeedInput); ok && t.FailValue != nil && *t.FailValue < 100 && (f.scheme.ID == "garage-exhaust" || *t.FailValue <= 0) {
		k.fan(f, "fail-state", finding.Caution, fmt.Sprintf("a broken speed wire takes it to %s %%: %s", model.Figure(*t.FailValue), does), "a live-zero signal with a preset on loss, or a full-speed input by the gas panel or a relay")
	}
}

// alwaysRuns: a fan that must not stand does not stop with the controller.
func (k *checker) alwaysRuns(f *fan) {
	if f.scheme.Runs != "always" && f.scheme.ID != "garage-exhaust" {
		return
	}
	row := k.cells[f.name]
	if len(row) == 0 || row[len(row)-1] != "stops" {
		return
	}
	keeps := "a fan of this kind is to run always"
	if f.scheme.ID == "garage-exhaust" {
		keeps = "the standby flow is gone"
	}
	k.fan(f, "fail-state", finding.Caution, "controller down, its start drops out, nobody at the fan: it stops, and "+keeps,
		"a start that runs the fan when the output drops out, and its alarm at another controller; or declare the exception")
}
