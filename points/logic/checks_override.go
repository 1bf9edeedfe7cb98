package logic

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// overrideFirst: what fire asks is done whatever else is set.
func (k *checker) overrideFirst(f *fan) {
	want := k.fireResponse(f)
	fire := k.fireIn(f)
	if fire == never || want != "stop" && want != "run" {
		return
	}
	obeys := f.told
	if want == "stop" {
		obeys = k.not(f.told)
	}
	q := k.and(fire, k.not(obeys))
	calm := k.calm(q, kindPower, kindMotor)
	inputs, _ := k.engine.cone(q)
	for _, i := range inputs {
		if r := k.byName2(k.inputs[i].name); k.inputs[i].kind == kindEvent && !k.events[r].LifeSafety {
			calm = k.and(calm, k.not(r))
		}
	}
	s, bad := k.engine.possible(k.and(q, calm))
	if !bad {
		return
	}
	does := map[string]string{"stop": "it runs on", "run": "it does not run"}[want]
	severity := finding.Fault
	if want == "run" && !f.scheme.LifeSafety {
		severity = finding.Caution
	}
	k.fan(f, "override-first", severity, "the fire matrix asks "+want+", and it is not obeyed in every state: "+k.story(s, f)+": "+does,
		map[string]string{"stop": "put the fire contact into the common leg, behind the selector, so that it acts in every mode", "run": "use an override input that outranks the selector, or take the selector away from this fan"}[want])
}

// fireIn is the fire alarm as the fan's own logic reads it; never if it does not.
func (k *checker) fireIn(f *fan) ref {
	fire := never
	for _, r := range k.ownEvents(f) {
		if isFire(k.events[r]) {
			fire = k.or(fire, r)
		}
	}
	return fire
}

// ownEvents lists the events that act on the fan itself, not through another fan.
func (k *checker) ownEvents(f *fan) []ref {
	var out []ref
	k.visit(f.told, func(r ref) bool {
		x := k.list[r]
		if x.op == opInput && k.inputs[x.a].kind == kindEvent {
			out = append(out, r)
		}
		return x.op != opWire || r == f.told || r == f.command || k.isFan[r] == nil
	})
	slices.Sort(out)
	return out
}

// eventsOf lists the events in a fan's cone, in order.
func (k *checker) eventsOf(f *fan) []ref {
	inputs, _ := k.engine.cone(f.told)
	var out []ref
	for _, i := range inputs {
		if k.inputs[i].kind == kindEvent {
			out = append(out, k.byName2(k.inputs[i].name))
		}
	}
	return out
}

// overrideReach: the fan has a circuit for what fire asks, and its damper
// takes the state that belongs to it.
func (k *checker) overrideReach(f *fan) {
	want := k.fireResponse(f)
	fire := k.fireIn(f)
	k.fireCarriesOn(f, want)
	if fire == never {
		if (want == "stop" || want == "run") && f.eq.Control != "fire-panel" {
			k.fan(f, "override-reach", finding.Caution, "the fire matrix asks "+want+", and no circuit of this plan carries it to the device that runs the fan",
				"give it a fire relay into its override or interlock input, or say that the fire trade switches its power")
		}
		return
	}
	if want != "run" || !f.hasDamper {
		return
	}
	s, bad := k.engine.possible(k.and(fire, f.told, k.not(f.damper)))
	if !bad {
		return
	}
	k.fan(f, "override-reach", finding.Caution, "fire runs the fan and its damper does not follow: "+k.story(s, f)+": the fan runs against a shut damper",
		"open the damper from the fan's own contact or from the fire relay, not from the BAS alone")
}

// fireCarriesOn: a fan that fire is to leave alone is not stopped by the way of
// another fan or of a wire.
func (k *checker) fireCarriesOn(f *fan, want string) {
	i := slices.IndexFunc(k.shown, func(e library.Event) bool { return e.ID == "fire-alarm" })
	if want != "continue" && want != "none" || i < 0 || i >= len(k.cells[f.name]) || !strings.HasPrefix(k.cells[f.name][i], "stops") {
		return
	}
	k.fan(f, "override-reach", finding.Caution, "the fire matrix asks "+want+", and a fire alarm stops it all the same: fire alarm active, BAS start on, selector in AUTO: it "+k.cells[f.name][i],
		"take it out of what it follows while the fire alarm acts, or let its row say stop")
}

// overrideUnseen: the BAS has a point that tells an override or a fire stop.
func (k *checker) overrideUnseen(f *fan) {
	has := func(roles ...string) bool {
		for _, r := range roles {
			if k.points[f.eq.Tag+"/"+r] != nil {
				return true
			}
		}
		return false
	}
	if len(f.overrides) > 0 && !has(model.RoleOverrideActive) {
		o := f.overrides[0]
		does := map[string]string{"off": "stops", "full": "runs at full speed", "second-speed": "runs at its second speed", "unknown": "does what is set at it"}[o.action]
		k.fan(f, "override-unseen", finding.Caution, "an override input is wired and no point tells the BAS that it acts: "+cmp.Or(k.named(o.value), "override")+" active, BAS start on: it "+does+", and the BAS takes that for a failure or for its own doing",
			"read a spare pole of the relay that energises the override as the point override-active")
	}
	if len(f.overrides) == 0 && k.fireIn(f) != never && !has(model.RoleOverrideActive, "fire-stop", "run") && !k.heldBackBy(f, "water-flow") {
		k.fan(f, "override-unseen", finding.Caution, "the fire system acts on it and no point tells the BAS", "land the monitor pole of the fire relay as the point fire-stop")
	}
}

// heldBackBy reports whether a point of that role, its own or its system's,
// holds an alarm of the fan back.
func (k *checker) heldBackBy(f *fan, role string) bool {
	return slices.ContainsFunc(k.alarms[f.eq.Tag], func(a *model.Alarm) bool {
		return slices.ContainsFunc(a.InhibitedBy, func(by string) bool { return roleOf(by) == role && k.points[by] != nil })
	})
}
