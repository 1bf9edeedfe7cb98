package logic

import (
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// fan is one controlling device and the fan that it runs: its command logic as
// formulas of the net.
type fan struct {
	name   string // the tag; tag and role for a second fan of one machine
	eq     *model.Equipment
	dev    *model.Device
	logic  *model.CommandLogic
	scheme library.Scheme
	kind   library.Kind

	told    ref // the device tells the motor to run
	full    ref // it runs at full speed whatever the reference says
	inAuto  ref
	inHand  ref
	inOff   ref
	bypass  ref
	request ref // what the BAS sequence asks for by itself
	command ref // the BAS start output
	hasBAS  bool
	twoFold bool // interlocks ask full speed of a fan whose reference is not seen
	speed   ref  // reference at or above the run threshold; never if none
	speedBy string
	gated   string // "or", "gates-speed", "" undeclared

	starts    []contact // start contacts that are not the BAS's
	overrides []override
	safeties  []safety
	damper    ref // the damper is open; always without one
	damperBy  string
	hasDamper bool
	status    status
	local     ref // a formula that its own controls ask, for fans that the BAS does not start
}

// contact is something that closes a start input.
type contact struct {
	value ref
	words string
}

// override is an enacted override input, first wins.
type override struct {
	value  ref
	action string // full, second-speed, off, unknown
	input  string
	spec   *model.OverrideInput
}

// safety is a permissive: true lets the fan run.
type safety struct {
	permit ref
	leg    string
	input  string
	spec   *model.SafetyInput
}

// status is the contact that the point status reads.
type status struct {
	value   ref
	follows string
	device  string
	bound   bool
}

// builder turns devices and circuits into fans.
type builder struct {
	*gates
	lib      *library.Library
	p        *model.Project
	fans     []*fan
	byDevice map[string]*fan
	byTag    map[string]*fan
	byName   map[string]*fan
	devices  map[string]*model.Device
	into     map[model.End][]*model.Circuit
	points   map[string]*model.Point
	events   map[ref]library.Event
	zones    map[string][]int // zones that interlocks name, by event
	edges    []edge
	soft     map[string][]edge // edges that act on a fan, by its name
	of       map[string][]*model.Device
	carry    map[string][]*model.Circuit // circuits by the point they carry
	busy     map[string]bool             // relays being looked through
	findings []finding.Finding
}

// controlling lists the roles of devices that may run a fan, first wins.
var controlling = []string{"fire-panel", "box", "drive", "starter", "unit", "fan-relay", "motor"}

func build(lib *library.Library, p *model.Project, equipment []model.Equipment, devices []model.Device, circuits []model.Circuit, points []model.Point) *builder {
	b := &builder{gates: newGates(), lib: lib, p: p, byDevice: map[string]*fan{}, byTag: map[string]*fan{}, byName: map[string]*fan{},
		devices: map[string]*model.Device{}, into: map[model.End][]*model.Circuit{}, points: map[string]*model.Point{},
		events: map[ref]library.Event{}, zones: map[string][]int{}, soft: map[string][]edge{},
		of: map[string][]*model.Device{}, carry: map[string][]*model.Circuit{}, busy: map[string]bool{}}
	for i := range devices {
		d := &devices[i]
		b.devices[d.ID] = d
		b.of[d.Equipment] = append(b.of[d.Equipment], d)
	}
	for i := range circuits {
		if c := &circuits[i]; c.Point != "" {
			b.carry[c.Point] = append(b.carry[c.Point], c)
		}
		for _, a := range circuits[i].Accepts {
			if !a.Open() {
				end := model.End{Device: a.Device, Terminal: a.Terminal}
				b.into[end] = append(b.into[end], &circuits[i])
			}
		}
	}
	for i := range points {
		b.points[points[i].Key] = &points[i]
	}
	for i := range equipment {
		if equipment[i].OutOfScope == "" {
			b.addFans(&equipment[i], b.of[equipment[i].Tag])
		}
	}
	b.readInterlocks()
	for _, f := range b.fans {
		b.declare(f)
	}
	for _, f := range b.fans {
		b.readStatus(f)
	}
	for _, f := range b.fans {
		b.readCommand(f)
		b.wire1(f)
	}
	return b
}

// addFans declares the fans of a machine: its first controlling device, and
// second fans with devices of their own.
func (b *builder) addFans(e *model.Equipment, devices []*model.Device) {
	var first *model.Device
	for _, role := range controlling {
		for _, d := range devices {
			if d.Role == role && d.Spec != nil && d.Spec.Logic != nil && first == nil {
				first = d
			}
		}
	}
	b.addFan(e, first, e.Tag)
	for _, d := range devices {
		if d != first && d.Spec != nil && d.Spec.Logic != nil && strings.HasPrefix(d.Role, "exhaust-") {
			b.addFan(e, d, e.Tag+" exhaust fan")
		}
	}
}

func (b *builder) addFan(e *model.Equipment, d *model.Device, name string) {
	f := &fan{name: name, eq: e, dev: d, damper: always, speed: never, command: never, request: never, local: never, full: never}
	f.scheme, _ = b.lib.Scheme(e.Scheme)
	f.kind, _ = b.lib.Kind(e.Kind)
	f.told = b.gates.wire(name+" runs", name+" runs")
	if d != nil {
		f.logic = d.Spec.Logic
		b.byDevice[d.ID] = f
	}
	if b.byTag[e.Tag] == nil {
		b.byTag[e.Tag] = f
	}
	b.byName[name] = f
	b.fans = append(b.fans, f)
}

// wire1 defines what one fan is told, from its circuits and its interlocks.
func (b *builder) wire1(f *fan) {
	f.inAuto, f.inHand, f.inOff, f.bypass = always, never, never, never
	if f.logic == nil {
		b.define(f.told, b.unwired(f))
		return
	}
	b.readModes(f)
	b.readDamper(f)
	b.readSafeties(f)
	run := b.or(f.inHand, b.and(f.inAuto, b.legs(f, "auto"), b.autoRun(f)))
	run = b.and(run, b.or(f.bypass, b.legs(f, "drive")), b.or(b.not(f.bypass), b.legs(f, "bypass")))
	b.readOverrides(f)
	for _, o := range slices.Backward(f.overrides) {
		act := always
		switch o.action {
		case "off":
			act = never
		case "unknown":
			act = b.gates.input(input{name: f.name + "|override-set", fan: f.name, kind: kindUndeclared, on: "the override of " + f.name + " set to run", off: "the override of " + f.name + " set to stop", column: "Override set to", yes: "run", no: "stop"})
		}
		run = b.choose(o.value, act, run)
	}
	on, off := b.panel(f)
	enacted := on
	for _, o := range f.overrides {
		enacted = b.or(enacted, o.value)
	}
	permit := always
	for _, s := range f.safeties {
		if s.leg != "common" {
			continue
		}
		if s.spec.Yields {
			permit = b.and(permit, b.or(s.permit, enacted))
		} else {
			permit = b.and(permit, s.permit)
		}
	}
	b.define(f.told, b.and(b.or(b.and(run, b.hardStops(f)), on), permit, b.not(off)))
	f.full = b.fullSpeed(f)
}

// fullSpeed is when a fan runs at full speed: a fan without a reference always
// does, another one by an override, a full-speed interlock or its bypass.
func (b *builder) fullSpeed(f *fan) ref {
	if f.speedBy == "" {
		return f.told
	}
	full, outranked := f.bypass, never
	for _, o := range f.overrides {
		if o.action == "full" {
			full = b.or(full, b.and(o.value, b.not(outranked)))
		}
		outranked = b.or(outranked, o.value)
	}
	for _, e := range b.soft[f.name] {
		switch {
		case e.action != "full":
		case e.panel():
			full = b.or(full, b.signalOf(e))
		default:
			full = b.or(full, b.and(b.signalOf(e), b.not(outranked), f.inAuto))
		}
	}
	return b.and(f.told, full)
}

// panel is what the firefighters' panel asks by wire: it outranks selector,
// overrides and wired stops, and only safeties of the device that do not yield
// stand in its way.
func (b *builder) panel(f *fan) (on, off ref) {
	on, off = never, never
	for _, e := range b.soft[f.name] {
		if !e.hard || !e.panel() {
			continue
		}
		switch e.action {
		case "start", "full":
			on = b.or(on, b.signalOf(e))
		case "stop":
			off = b.or(off, b.signalOf(e))
		}
	}
	return on, off
}

// declare makes the wires that other fans may read before they are defined.
func (b *builder) declare(f *fan) {
	f.command = b.gates.wire(f.name+" BAS start", "BAS start of "+f.name+" on")
}

// unwired is a fan of which no controlling device is known: it follows its
// interlocks and its own controls.
func (b *builder) unwired(f *fan) ref {
	f.local = b.own(f)
	f.full = f.told
	run, full := f.local, never
	if !f.byFirePanel() || b.asked(f) {
		run = b.or(run, f.command)
	}
	for _, e := range b.soft[f.name] {
		if (e.action == "start" || e.action == "full") && e.hard && !e.panel() {
			run = b.or(run, b.signalOf(e))
		}
		if e.action == "full" {
			full, f.twoFold = b.or(full, b.signalOf(e)), true
		}
	}
	if f.twoFold {
		f.full = b.and(f.told, full)
	}
	on, off := b.panel(f)
	return b.and(b.or(b.and(run, b.hardStops(f)), on), b.not(off))
}

// asked reports whether the BAS has a say in the start of a fan: a point, or an
// interlock that its program carries out.
func (b *builder) asked(f *fan) bool {
	if b.points[f.eq.Tag+"/"+model.RoleStart] != nil {
		return true
	}
	return slices.ContainsFunc(b.soft[f.name], func(e edge) bool { return !e.hard && e.action != "stop" })
}

// twoSpeeds reports whether "full speed" says more of a fan than "runs".
func (f *fan) twoSpeeds() bool { return f.speedBy != "" || f.twoFold }

// byFirePanel reports whether the fire trade's panel runs the fan: its device
// is not of this plan, what starts and stops it stands in the interlocks.
func (f *fan) byFirePanel() bool { return f.logic == nil && f.eq.Control == "fire-panel" }

// waits reports whether nobody has said yet what the machine is.
func (f *fan) waits() bool { return f.eq.Kind == "" && f.eq.Scheme == "" && f.logic == nil }

// own is the call of controls that the plan does not see.
func (b *builder) own(f *fan) ref {
	if f.byFirePanel() {
		return b.gates.input(input{name: f.name + "|own", fan: f.name, kind: kindOwn, on: "another start of " + f.name + " by the fire panel", off: "no other start of " + f.name + " by the fire panel",
			column: map[bool]string{true: "Start by the fire panel", false: "Other start by the fire panel"}[len(b.soft[f.name]) == 0], yes: "on", no: "-off"})
	}
	return b.gates.input(input{name: f.name + "|own", fan: f.name, kind: kindOwn, on: "the own controls of " + f.name + " call for it", off: "no call from the own controls of " + f.name,
		column: "Own controls", yes: "call", no: "-no call"})
}

func (b *builder) readModes(f *fan) {
	modes := f.logic.Modes
	hand, off := slices.Contains(modes, "hand"), slices.Contains(modes, "off")
	if slices.Contains(modes, "bypass") {
		f.bypass = b.gates.input(input{name: f.name + "|bypass", fan: f.name, kind: kindBypass, on: f.name + " in bypass", off: f.name + " on its drive", column: "Bypass", yes: "bypass", no: "drive"})
	}
	if !hand && !off {
		return
	}
	f.inAuto = b.gates.input(input{name: f.name + "|auto", fan: f.name, kind: kindAuto, rest: true, on: "selector of " + f.name + " in AUTO", off: "selector of " + f.name + " not in AUTO", column: "Selector", yes: "AUTO", no: "OFF"})
	switch {
	case hand && off:
		h := b.gates.input(input{name: f.name + "|hand", fan: f.name, kind: kindHand, on: "in HAND", off: "in OFF", column: "Selector", yes: "HAND", no: "OFF"})
		f.inHand, f.inOff = b.and(b.not(f.inAuto), h), b.and(b.not(f.inAuto), b.not(h))
	case hand:
		f.inHand = b.not(f.inAuto)
	default:
		f.inOff = b.not(f.inAuto)
	}
}
