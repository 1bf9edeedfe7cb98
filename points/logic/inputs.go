package logic

import (
	"cmp"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// reference is the speed reference's part in running; false where it has none:
// no speed input, not wired, or a drive that runs at any reference.
func (b *builder) reference(f *fan) (ref, bool) {
	if f.logic.SpeedInput == "" || f.dev == nil {
		return always, false
	}
	wired := b.into[model.End{Device: f.dev.ID, Terminal: f.logic.SpeedInput}]
	for _, t := range f.dev.Spec.Terminals {
		if len(wired) == 0 && strings.HasPrefix(t.Function, "speed-in") {
			wired = b.into[model.End{Device: f.dev.ID, Terminal: t.ID}]
		}
	}
	if len(wired) == 0 {
		return always, false
	}
	f.speedBy = "reference"
	if at := f.runAt(); at <= 0 && f.logic.StartLogic == "gates-speed" {
		return always, false
	}
	v := never
	for _, c := range wired {
		if b.fromBAS(c) {
			f.speed = b.gates.input(input{name: f.name + "|speed", fan: f.name, kind: kindSpeed, on: "BAS reference of " + f.name + " at or above its run threshold", off: "BAS reference of " + f.name + " at its lowest", column: "BAS reference", yes: "run", no: "0 %"})
			v = b.or(v, f.speed)
		} else {
			v = b.or(v, b.gates.input(input{name: f.name + "|local-speed", fan: f.name, kind: kindOther, on: "local reference of " + f.name + " at or above its run threshold", off: "local reference of " + f.name + " at its lowest", column: "Local reference", yes: "run", no: "-0 %"}))
		}
	}
	return v, true
}

// runAt is the reference that runs the fan, in the unit of its speed input.
func (f *fan) runAt() float64 {
	if f.logic.RunAt != nil {
		return *f.logic.RunAt
	}
	if t, ok := f.dev.Spec.Terminal(f.logic.SpeedInput); ok && t.RunThreshold != nil {
		return *t.RunThreshold
	}
	return 0
}

func (b *builder) readSafeties(f *fan) {
	f.safeties = nil
	for i := range f.logic.Safeties {
		s := &f.logic.Safeties[i]
		wired := b.into[model.End{Device: f.dev.ID, Terminal: s.Terminal}]
		if len(wired) == 0 {
			continue // a jumper
		}
		permit := always
		for _, c := range wired {
			permit = b.and(permit, b.driver(c, true))
		}
		f.safeties = append(f.safeties, safety{permit, cmp.Or(s.Leg, "common"), s.Terminal, s})
	}
}

func (b *builder) legs(f *fan, leg string) ref {
	permit := always
	for _, s := range f.safeties {
		if s.leg == leg {
			permit = b.and(permit, s.permit)
		}
	}
	return permit
}

func (b *builder) readOverrides(f *fan) {
	for i := range f.logic.Overrides {
		o := &f.logic.Overrides[i]
		value := never
		for _, c := range b.into[model.End{Device: f.dev.ID, Terminal: o.Terminal}] {
			value = b.or(value, b.driver(c, false))
		}
		if value == never {
			continue
		}
		f.overrides = append(f.overrides, override{value, b.actionOf(f, o.Action), o.Terminal, o})
	}
}

// actionOf settles a selectable override by what the fire matrix asks.
func (b *builder) actionOf(f *fan, action string) string {
	if action != "selectable" {
		return cmp.Or(action, "unknown")
	}
	switch b.fireResponse(f) {
	case "stop":
		return "off"
	case "run":
		return "full"
	}
	return "unknown"
}

func (b *builder) fireResponse(f *fan) string {
	return cmp.Or(f.eq.FireResponse, b.p.Settings.Fire.DefaultResponse)
}

// readDamper finds what opens the damper of a fan.
func (b *builder) readDamper(f *fan) {
	for _, d := range b.of[f.eq.Tag] {
		if d.Role != "damper" || d.Spec == nil {
			continue
		}
		open, wired := never, false
		for _, t := range d.Spec.Terminals {
			if t.Drives || t.Nature == model.Bus {
				continue
			}
			for _, c := range b.into[model.End{Device: d.ID, Terminal: t.ID}] {
				if c.Drive.Device != "" && c.Purpose == "supply" {
					continue
				}
				open, wired = b.or(open, b.driver(c, false)), true
				f.damperBy = b.words(c)
			}
		}
		if wired {
			f.hasDamper = true
			w := b.gates.wire(f.name+" damper", "the damper of "+f.name+" is open")
			b.define(w, open)
			f.damper = w
		}
	}
}

// readStatus finds the contact that the point status reads.
func (b *builder) readStatus(f *fan) {
	for _, role := range []string{model.RoleStatus, "run", "unit-status", "exhaust-status"} {
		if (role == "exhaust-status") != (f.name != f.eq.Tag) {
			continue
		}
		for _, c := range b.carry[f.eq.Tag+"/"+role] {
			d, t := b.behind(c)
			if t == nil {
				continue
			}
			f.status = status{b.follow(f, b.follows(d, t)), b.follows(d, t), d.ID, true}
			return
		}
	}
}

// behind is the contact that a circuit repeats, relays looked through.
func (b *builder) behind(c *model.Circuit) (*model.Device, *model.Terminal) {
	for range 4 { // no sane circuit repeats a contact more often
		d := b.devices[c.Drive.Device]
		if d == nil || d.Spec == nil {
			return nil, nil
		}
		t, ok := d.Spec.Terminal(c.Drive.Terminal)
		if !ok {
			return nil, nil
		}
		up := b.coilCircuit(d)
		if up == nil || b.byDevice[d.ID] != nil {
			return d, t
		}
		c = up
	}
	return nil, nil
}

// coilCircuit is the circuit that drives a relay's coil, nil for no relay.
func (b *builder) coilCircuit(d *model.Device) *model.Circuit {
	if d.Spec.Category != "relay" {
		return nil
	}
	for _, t := range d.Spec.Terminals {
		if t.Drives {
			continue
		}
		if in := b.into[model.End{Device: d.ID, Terminal: t.ID}]; len(in) > 0 {
			return in[0]
		}
	}
	return nil
}

func (b *builder) follows(d *model.Device, t *model.Terminal) string {
	if l := d.Spec.Logic; l != nil {
		for _, c := range l.Contacts {
			if c.Terminal == t.ID {
				return c.Follows
			}
		}
	}
	return t.Follows
}

// autoRun is the run condition in AUTO: start inputs and reference as the
// device declares them.
func (b *builder) autoRun(f *fan) ref {
	start, full, wired := never, never, false
	f.starts = nil
	for _, id := range f.logic.StartInputs {
		for _, c := range b.into[model.End{Device: f.dev.ID, Terminal: id}] {
			v := b.driver(c, false)
			if v == never {
				continue // a relay that nothing drives
			}
			start, wired = b.or(start, v), true
			if !b.reads(v, f.command) {
				f.starts = append(f.starts, contact{v, b.words(c)})
			} else {
				f.hasBAS = true
			}
		}
	}
	for _, e := range b.soft[f.name] {
		if (e.action == "start" || e.action == "full") && e.hard && !e.panel() {
			v := b.signalOf(e)
			start, wired = b.or(start, v), true
			if e.action == "full" {
				full = b.or(full, v) // whatever the reference says
			}
		}
	}
	gate, has := b.reference(f)
	f.gated = f.logic.StartLogic
	if !f.hasBAS && f.scheme.Family != library.FamilyFan && f.scheme.Family != "" {
		f.local = b.own(f)
		start, wired = b.or(start, f.local), true
	}
	switch {
	case !wired && !has:
		f.local = b.own(f)
		return f.local
	case !wired && len(f.logic.StartInputs) > 0 && f.gated != "or":
		return never
	case !wired:
		return gate
	case !has:
		return b.sealed(f, start)
	case f.gated == "or":
		return b.or(start, gate)
	case f.gated == "gates-speed":
		return b.or(full, b.and(start, gate))
	}
	or := b.gates.input(input{name: f.name + "|start-logic", fan: f.name, kind: kindUndeclared, on: "start or reference alone runs " + f.name, off: "start and reference together run " + f.name, column: "Start logic (not declared)", yes: "either", no: "both"})
	return b.or(full, b.and(start, gate), b.and(or, b.or(start, gate)))
}

// sealed adds the contact by which a three-wire starter holds itself.
func (b *builder) sealed(f *fan, start ref) ref {
	if f.logic.SealsIn {
		return b.or(start, f.told)
	}
	return start
}
