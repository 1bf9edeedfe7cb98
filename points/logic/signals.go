package logic

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// driver is what a circuit puts on its accepting ends: true closes or
// energises. With permit it is a run permissive, where a fire or safety
// contact stands closed while all is well.
func (b *builder) driver(c *model.Circuit, permit bool) ref {
	if b.fromBAS(c) {
		return b.basOutput(c)
	}
	d := b.devices[c.Drive.Device]
	if d == nil || d.Spec == nil {
		return b.world(c.Drive.Device, c.Drive.Terminal)
	}
	t, ok := d.Spec.Terminal(c.Drive.Terminal)
	if !ok {
		return b.world(c.Drive.Device, c.Drive.Terminal)
	}
	if t.Nature == model.SupplyOut {
		return always
	}
	if e, ok := b.lib.EventOf(d.Role, t.Function); ok {
		v := b.event(e, d.Equipment)
		if permit || t.Function == "safety-contact" || t.Form == "normally-closed" && t.Follows == "" {
			return b.not(v)
		}
		return v
	}
	if f := b.byDevice[d.ID]; f != nil {
		return b.follow(f, b.follows(d, t))
	}
	if coil, ok := b.coil(d, permit); ok {
		if t.Form == "normally-closed" && !permit {
			return b.not(coil)
		}
		return coil
	}
	if owner := b.ownerOf(d); owner != nil && (d.Role == "status-switch" || t.Function == "end-switch") {
		return b.follow(owner, t.Follows)
	}
	return b.world(d.ID, t.ID)
}

func (b *builder) ownerOf(d *model.Device) *fan { return b.byTag[d.Equipment] }

// coil is the state of a relay: what drives its coil.
func (b *builder) coil(d *model.Device, permit bool) (ref, bool) {
	found, value := false, never
	for _, t := range d.Spec.Terminals {
		if t.Drives || t.Nature != model.Coil && t.Nature != model.VoltageSense && t.Nature != model.ContactSense {
			continue
		}
		if d.Spec.Category != "relay" && d.Spec.Category != "converter" {
			continue
		}
		found = true
		for _, c := range b.into[model.End{Device: d.ID, Terminal: t.ID}] {
			key := d.ID + "|coil"
			if permit {
				key += "|permit"
			}
			if b.busy[key] {
				return b.gates.wire(key, d.ID+" is energised"), true // a relay that holds itself
			}
			b.busy[key] = true
			value = b.or(value, b.driver(c, permit))
			delete(b.busy, key)
			if _, fed := b.gates.byName["wire "+key]; fed {
				w := b.gates.wire(key, d.ID+" is energised")
				b.define(w, value)
				value = w
			}
		}
	}
	return value, found
}

// world is a contact that nothing in the plan moves.
func (b *builder) world(device, terminal string) ref {
	name := device + ":" + terminal
	return b.gates.input(input{name: "contact " + name, kind: kindOther, on: "contact " + name + " closed", off: "contact " + name + " open", column: "Contact " + name, yes: "closed", no: "-open"})
}

// event is an event, of any of its zones where interlocks name some.
func (b *builder) event(e library.Event, tag string) ref {
	v := b.eventInput(e, tag)
	for _, zone := range b.zones[e.ID] {
		v = b.or(v, b.eventInput(e.InZone(zone), ""))
	}
	return v
}

// eventInput is the input of an event, one for the building or one each machine.
func (b *builder) eventInput(e library.Event, tag string) ref {
	name, words := "event "+e.ID, ""
	if e.Each && tag != "" {
		name, words = name+" "+tag, " of "+tag
	}
	r := b.gates.input(input{name: name, kind: kindEvent, on: e.On + words, off: e.Off + words, column: e.Name, yes: "active", no: "-normal"})
	b.events[r] = e
	return r
}

// pointRole is the role of the point by which the BAS sees an event.
func pointRole(e library.Event) string {
	switch {
	case isFire(e):
		return "fire-stop"
	case e.ID == "duct-smoke":
		return "smoke"
	}
	return e.ID
}

// tripsSeen are the events that stop a fan in every mode by a safety input of
// its device and that a point tells the BAS: its program shuts the damper of
// the stopped fan.
func (b *builder) tripsSeen(f *fan) []ref {
	if f.logic == nil {
		return nil
	}
	var trips []ref
	for _, s := range f.logic.Safeties {
		if s.Yields || s.Leg != "" && s.Leg != "common" {
			continue // the fan may run with it open
		}
		for _, c := range b.into[model.End{Device: f.dev.ID, Terminal: s.Terminal}] {
			b.visit(b.driver(c, true), func(r ref) bool {
				if e, is := b.events[r]; is && b.points[f.eq.Tag+"/"+pointRole(e)] != nil && !slices.Contains(trips, r) {
					trips = append(trips, r)
				}
				return b.list[r].op != opWire
			})
		}
	}
	return trips
}

// isFire reports whether an event is the fire alarm or one of its zones.
func isFire(e library.Event) bool {
	return e.ID == "fire-alarm" || strings.HasPrefix(e.ID, "fire-alarm-zone-")
}

// fromBAS reports whether a controller drives the circuit.
func (b *builder) fromBAS(c *model.Circuit) bool {
	if c.Drive.Open() {
		return true
	}
	d := b.devices[c.Drive.Device]
	return d != nil && (d.Role == "controller" || d.Spec != nil && d.Spec.Category == "controller")
}

// basOutput is the output of the BAS that a circuit carries.
func (b *builder) basOutput(c *model.Circuit) ref {
	tag, role, ok := model.Split(cmp.Or(c.Point, c.ID))
	if !ok {
		tag, role = c.Equipment, c.Purpose
	}
	f := b.byTag[tag]
	if role == "exhaust-start" {
		f = b.byName[tag+" exhaust fan"]
	}
	if role == "damper" && f != nil { // the sequence opens the damper with the start and shuts it on a trip that it sees
		open := f.command
		for _, trip := range b.tripsSeen(f) {
			open = b.and(open, b.not(trip))
		}
		return open
	}
	switch role {
	case model.RoleStart, "enable", "exhaust-start", "high-speed":
		if f != nil {
			if role != "high-speed" {
				f.hasBAS = true
			}
			return f.command
		}
	}
	name := tag + " " + role
	return b.gates.input(input{name: "BAS " + name, fan: tag, kind: kindStart, on: "BAS output " + name + " on", off: "BAS output " + name + " off", column: "BAS " + role, yes: "on", no: "-off"})
}

// reads reports whether a formula reads a wire or input directly, other wires
// not looked through.
func (b *builder) reads(f, what ref) bool {
	if f == what {
		return what != never
	}
	if b.list[f].op == opWire {
		return false
	}
	for _, a := range b.args(f) {
		if b.reads(a, what) {
			return true
		}
	}
	return false
}

// follow is the state of a contact that follows something of a fan.
func (b *builder) follow(f *fan, what string) ref {
	switch what {
	case "command", "":
		return f.told
	case "motor-current", "airflow":
		return b.and(f.told, b.power(f), b.motor(f))
	case "position":
		return f.damper
	case "override":
		v := never
		for _, o := range f.overrides {
			v = b.or(v, o.value)
		}
		return v
	case "mode":
		return f.inAuto
	}
	return b.gates.input(input{name: f.name + "|" + what, fan: f.name, kind: kindOther, on: f.name + " " + what, off: f.name + " no " + what, column: what, yes: "yes", no: "-no"})
}

func (b *builder) power(f *fan) ref {
	return b.gates.input(input{name: f.name + "|power", fan: f.name, kind: kindPower, rest: true, on: "power of " + f.name + " on", off: "disconnect of " + f.name + " open", column: "Motor power", yes: "on", no: "off"})
}

func (b *builder) motor(f *fan) ref {
	return b.gates.input(input{name: f.name + "|motor", fan: f.name, kind: kindMotor, rest: true, on: "motor and belt of " + f.name + " whole", off: "motor or belt of " + f.name + " failed", column: "Motor and belt", yes: "whole", no: "failed"})
}

// words names what drives a circuit.
func (b *builder) words(c *model.Circuit) string {
	if b.fromBAS(c) {
		return "the BAS output " + cmp.Or(c.Point, c.ID)
	}
	d := b.devices[c.Drive.Device]
	if d != nil && d.Spec != nil {
		if t, ok := d.Spec.Terminal(c.Drive.Terminal); ok {
			name := strings.ReplaceAll(t.Function, "-", " ")
			switch {
			case t.Nature == model.SupplyOut:
				volts := strings.NewReplacer("vdc", " V DC", "vac", " V AC").Replace(strings.TrimPrefix(name, "supply "))
				return "the " + volts + " supply of " + d.ID
			case t.Function == "contact":
				return "the contact of " + d.ID
			}
			return "the " + name + " contact of " + d.ID
		}
	}
	return c.Drive.String()
}
