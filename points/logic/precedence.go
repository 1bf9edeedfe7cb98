package logic

import (
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// tabled reports whether enough is known of what runs a fan for a truth table:
// a device with a command logic, or the fire panel and what it obeys.
func (f *fan) tabled() bool { return f.logic != nil || f.byFirePanel() }

// ladder is the order of precedence, first wins, as the formulas have it.
func (k *checker) ladder(f *fan) []string {
	if !f.tabled() {
		return nil
	}
	out := []string{"disconnect, motor overload, protection inside the motor"}
	for _, e := range k.soft[f.name] {
		if e.hard && e.panel() && e.action == "stop" {
			out = append(out, "firefighters' panel at OFF: off")
		}
	}
	out = append(out, k.safetySteps(f, "common", false, " in every mode")...)
	for _, e := range k.soft[f.name] {
		if e.hard && e.panel() && e.action != "stop" {
			out = append(out, "firefighters' panel at ON: "+doing[e.action])
		}
	}
	out = append(out, k.wiredStops(f)...)
	for _, o := range f.overrides {
		out = append(out, "override input "+o.input+by(k.named(o.value))+": "+doing[o.action])
	}
	out = append(out, k.safetySteps(f, "common", true, ", unless the override acts")...)
	if f.inAuto != always {
		out = append(out, "selector at HAND or OFF")
		if f.inHand == never {
			out[len(out)-1] = "selector at OFF"
		}
	}
	out = append(out, k.safetySteps(f, "auto", false, " in AUTO alone")...)
	out = append(out, k.safetySteps(f, "drive", false, " on the drive, not in bypass")...)
	out = append(out, k.safetySteps(f, "bypass", false, " in bypass alone")...)
	auto := ""
	if f.inAuto != always {
		auto = "AUTO: "
	}
	for _, e := range k.soft[f.name] {
		if e.action == "full" && !e.panel() {
			out = append(out, auto+"full speed by "+lower(e.source()))
		}
	}
	switch {
	case f.byFirePanel():
		return append(out, k.panelStarts(f))
	case f.speedBy != "":
		return append(out, auto+"start inputs and speed reference")
	}
	return append(out, auto+"start inputs")
}

// panelStarts is the last rung of a fan that the fire panel runs.
func (k *checker) panelStarts(f *fan) string {
	var starts []string
	for _, e := range k.soft[f.name] {
		if e.action == "start" && !e.panel() {
			starts = append(starts, lower(e.source()))
		}
	}
	return "start by " + listed(append(starts, "the fire panel"), "or")
}

// doing are the actions as the ladder says them.
var doing = map[string]string{"off": "off", "stop": "off", "full": "full speed", "start": "run", "second-speed": "second speed", "unknown": "as set at the device, not stated"}

func by(who string) string {
	if who == "" {
		return ""
	}
	return " (" + who + ")"
}

// safetySteps are the rungs of the safeties of one leg.
func (k *checker) safetySteps(f *fan, leg string, yields bool, where string) []string {
	var out []string
	for _, s := range f.safeties {
		if s.leg == leg && (leg != "common" || s.spec.Yields == yields) && !k.onlyStated(f, s) {
			out = append(out, s.input+by(k.named(s.permit))+": off"+where)
		}
	}
	return out
}

// onlyStated reports whether all that stands on a safety's input carries out
// interlocks of the project, which have rungs of their own.
func (k *checker) onlyStated(f *fan, s safety) bool {
	wired := k.into[model.End{Device: f.dev.ID, Terminal: s.input}]
	return !slices.ContainsFunc(wired, func(c *model.Circuit) bool { return !k.stated(c) })
}

// wiredTwice reports whether an interlock of the project is what a circuit of
// the hook-up does already: the same event opens a safety input.
func (k *checker) wiredTwice(f *fan, e edge) bool {
	return e.event != nil && e.action == "stop" && slices.ContainsFunc(f.safeties, func(s safety) bool {
		return !k.onlyStated(f, s) && slices.ContainsFunc(k.eventsIn(s.permit), func(x library.Event) bool { return x.ID == e.inZone().ID })
	})
}

// eventsIn lists the events that a formula reads, fans not looked through.
func (k *checker) eventsIn(v ref) []library.Event {
	var out []library.Event
	k.names(v, func(r ref) bool {
		if k.list[r].op == opInput && k.inputs[k.list[r].a].kind == kindEvent {
			out = append(out, k.events[r])
		}
		return true
	})
	return out
}

// wiredStops are the rungs of the wired stops and permissives that interlocks
// state.
func (k *checker) wiredStops(f *fan) []string {
	var out []string
	for _, e := range k.soft[f.name] {
		if !e.hard || e.panel() || k.wiredTwice(f, e) {
			continue
		}
		where := map[string]string{"auto": " in AUTO alone", "drive": " on the drive, not in bypass", "bypass": " in bypass alone"}[e.Leg]
		switch e.action {
		case "stop":
			out = append(out, "wired stop by "+lower(e.source())+": off"+where)
		case "permit", "follow":
			out = append(out, "wired permissive, "+e.source()+": off without it"+where)
		}
	}
	return out
}

// source is what an interlock comes from, in words: the event's name, or what
// of which fan.
func (e edge) source() string {
	if e.event == nil {
		signal := strings.ReplaceAll(strings.ToLower(e.Signal), "-", " ")
		if signal == "" {
			signal = "status"
		}
		return signal + " of " + e.From
	}
	return e.inZone().Name
}

// inZone is the event of an interlock, of the zone that it names.
func (e edge) inZone() library.Event {
	if e.zone > 0 {
		return e.event.InZone(e.zone)
	}
	return *e.event
}

// named lists what a formula reads of the world: events, other fans, contacts.
func (k *checker) named(v ref) string {
	return strings.Join(k.names(v, func(ref) bool { return true }), ", ")
}

// names lists those that count.
func (k *checker) names(v ref, counts func(ref) bool) []string {
	var names []string
	add := func(name string) {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	k.visit(v, func(r ref) bool {
		x := k.list[r]
		leaf := k.statusOf[r] != nil || x.op == opInput || x.op == opWire && k.isFan[r] != nil
		switch {
		case !leaf || !counts(r):
		case k.statusOf[r] != nil:
			add("status of " + k.statusOf[r].name)
		case x.op == opWire:
			add(k.isFan[r].name)
		case k.inputs[x.a].kind == kindEvent:
			if e := k.events[r]; !strings.Contains(e.ID, "-zone-") {
				add(lower(e.Name))
			}
		case k.inputs[x.a].kind == kindOther:
			add(lower(k.inputs[x.a].column))
		}
		return !leaf
	})
	return names
}

// reason says what decides under an assignment.
func (k *checker) reason(f *fan, t *table, a int) string {
	if why := k.heldOff(f, t, a); why != "" {
		return why
	}
	for _, o := range f.overrides {
		if t.at(o.value, a) {
			return "the override decides"
		}
	}
	for _, s := range f.safeties {
		if s.leg == "common" && s.spec.Yields && !t.at(s.permit, a) {
			return k.opened(s, t, a)
		}
	}
	switch {
	case t.at(f.inHand, a):
		return "the selector decides: HAND"
	case t.at(f.inOff, a):
		return "the selector decides: OFF"
	case t.at(f.told, a):
		return k.startedBy(f, t, a)
	}
	for _, s := range f.safeties {
		if s.leg != "common" && !t.at(s.permit, a) {
			return k.opened(s, t, a)
		}
	}
	for _, e := range k.soft[f.name] {
		if e.hard && e.action == "stop" && t.at(k.signalOf(e), a) {
			return lower(e.source()) + " stops it by wire"
		}
	}
	return "nothing starts it"
}

// heldOff says what keeps the fan off above every override, or that the
// firefighters' panel decides; "" nothing.
func (k *checker) heldOff(f *fan, t *table, a int) string {
	on, off := k.panel(f)
	if t.at(off, a) {
		return "the firefighters' panel decides: OFF"
	}
	for _, s := range f.safeties {
		if !s.spec.Yields && s.leg == "common" && !t.at(s.permit, a) {
			return k.opened(s, t, a)
		}
	}
	if t.at(on, a) {
		return "the firefighters' panel decides: ON"
	}
	for _, e := range k.soft[f.name] {
		if !e.hard || e.panel() || e.Leg != "" && e.Leg != "common" {
			continue
		}
		signal := t.at(k.signalOf(e), a)
		switch {
		case e.action == "stop" && signal:
			return lower(e.source()) + " stops it by wire"
		case (e.action == "permit" || e.action == "follow") && !signal:
			return "the wired " + e.source() + " is missing"
		}
	}
	return ""
}

// opened says what opened the input of a safety.
func (k *checker) opened(s safety, t *table, a int) string {
	if acting := k.names(s.permit, func(r ref) bool {
		return k.list[r].op == opInput && k.inputs[k.list[r].a].kind == kindEvent && t.at(r, a)
	}); len(acting) > 0 {
		return listed(acting, "and") + " opens input " + s.input
	}
	if missing := k.names(s.permit, func(r ref) bool {
		return !(k.list[r].op == opInput && k.inputs[k.list[r].a].kind == kindEvent) && !t.at(r, a)
	}); len(missing) > 0 {
		return listed(missing, "and") + " missing at input " + s.input
	}
	return "input " + s.input + " is open"
}

// startedBy says what runs a fan that runs.
func (k *checker) startedBy(f *fan, t *table, a int) string {
	for _, e := range k.soft[f.name] {
		if e.hard && !e.panel() && (e.action == "full" || e.action == "start") && t.at(k.signalOf(e), a) {
			if e.action == "full" {
				return "full speed by " + lower(e.source())
			}
			return "started by " + lower(e.source())
		}
	}
	if f.hasBAS && t.at(f.command, a) {
		return "the BAS asks and nothing holds it off"
	}
	for _, c := range f.starts {
		if t.at(c.value, a) {
			return "started by " + c.words
		}
	}
	switch {
	case f.byFirePanel():
		return "started by the fire panel"
	case t.at(f.local, a):
		return "its own controls ask and nothing holds it off"
	case f.speed != never && t.at(f.speed, a):
		return "its reference runs it"
	case f.bypass != never && t.at(f.bypass, a):
		return "the bypass runs it"
	}
	return "start conditions met"
}
