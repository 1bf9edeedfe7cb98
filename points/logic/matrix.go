package logic

import (
	"slices"

	"tallywire/model"
	"tallywire/points/library"
)

// snapshot is the net in one state: inputs given, wires settled.
type snapshot struct {
	value []bool // by gate
	wire  []bool // by wire
}

// settleFrom lets the wires settle from where they stand under given inputs;
// a net that does not settle keeps what it has after as many rounds as it has
// wires. Wires in held have the value given there, whatever defines them.
func (e *engine) settleFrom(wires []bool, inputs []bool, held map[int]bool) snapshot {
	s := snapshot{make([]bool, len(e.list)), slices.Clone(wires)}
	for len(s.wire) < len(e.wires) {
		s.wire = append(s.wire, false)
	}
	for range len(e.wires) + 1 {
		e.evaluate(&s, inputs)
		changed := false
		for i := range e.wires {
			v, fixed := held[i]
			if !fixed {
				v = s.value[e.wires[i].def]
			}
			if v != s.wire[i] {
				s.wire[i], changed = v, true
			}
		}
		if !changed {
			break
		}
	}
	return s
}

// evaluate computes every gate once; arguments always come before their gate.
func (e *engine) evaluate(s *snapshot, inputs []bool) {
	for r, x := range e.list {
		switch x.op {
		case opConst:
			s.value[r] = ref(r) == always
		case opInput:
			s.value[r] = inputs[x.a]
		case opWire:
			s.value[r] = s.wire[x.a]
		case opNot:
			s.value[r] = !s.value[x.a]
		case opAnd:
			s.value[r] = s.value[x.a] && s.value[x.b]
		case opOr:
			s.value[r] = s.value[x.a] || s.value[x.b]
		}
	}
}

// inputsAt are the inputs in everyday work: at rest, or with the BAS and their
// own controls asking for every fan.
func (e *engine) inputsAt(working bool) []bool {
	out := make([]bool, len(e.inputs))
	for i, in := range e.inputs {
		out[i] = in.rest || working && (in.kind == kindStart || in.kind == kindSpeed || in.kind == kindOwn)
	}
	return out
}

// matrix is the cause-and-effect matrix: what each event does to each fan,
// from running and from idle, by evaluation.
func (k *checker) matrix() model.CauseEffect {
	events := k.shown
	var m model.CauseEffect
	for _, e := range events {
		m.Events = append(m.Events, e.Name)
	}
	m.Events = append(m.Events, "Power loss and return", "Loss of the BAS controller")
	idle0 := k.engine.settleFrom(nil, k.engine.inputsAt(false), nil)
	work0 := k.engine.settleFrom(idle0.wire, k.engine.inputsAt(true), nil)
	lost := [2]snapshot{k.controllerLost(work0, false), k.controllerLost(work0, true)}
	k.working = work0
	idle := make([]snapshot, len(events))
	work := make([]snapshot, len(events))
	for i, e := range events {
		a, b := k.engine.inputsAt(false), k.engine.inputsAt(true)
		for r, ev := range k.events {
			if ev.ID == e.ID {
				a[k.list[r].a], b[k.list[r].a] = true, true
			}
		}
		idle[i], work[i] = k.engine.settleFrom(idle0.wire, a, nil), k.engine.settleFrom(work0.wire, b, nil)
	}
	for _, f := range k.fans {
		row := model.CauseEffectRow{Equipment: f.name, LifeSafety: k.lifeSafety(f)}
		for i, e := range events {
			row.Effects = append(row.Effects, k.effect(f, e, idle0, idle[i], work0, work[i]))
		}
		row.Effects = append(row.Effects, k.powerEffect(f), k.lossEffect(f, work0, lost))
		if f.waits() {
			for i := range row.Effects {
				row.Effects[i] = waiting
			}
		}
		m.Rows = append(m.Rows, row)
	}
	return m
}

// waiting is every cell of a machine of which nobody has said what it is.
const waiting = "waits for its kind"

// shownEvents are the events that act on a fan of this project, and the fire
// alarm always.
func (k *checker) shownEvents() []library.Event {
	acts := map[string]bool{"fire-alarm": true}
	for _, e := range k.events {
		acts[e.ID] = true
	}
	var out []library.Event
	for _, e := range k.lib.Events() {
		if acts[e.ID] {
			out = append(out, e)
		}
		for _, zone := range k.zones[e.ID] {
			if z := e.InZone(zone); acts[z.ID] {
				out = append(out, z)
			}
		}
	}
	return out
}

// effect is one cell, told from evaluated states.
func (k *checker) effect(f *fan, e library.Event, idle0, idle, work0, work snapshot) string {
	full := work.value[f.full] && f.twoSpeeds()
	for _, o := range f.overrides {
		if work.value[o.value] && o.action == "unknown" {
			return "not stated"
		}
	}
	was, is, from := work0.value[f.told], work.value[f.told], idle.value[f.told]
	changed := was != is || idle0.value[f.told] != from
	switch {
	case !changed && full:
		return "full speed"
	case was && !is:
		return "stops" + k.through(f, e, work0, work)
	case from && !idle0.value[f.told]:
		if full {
			return "runs at full speed"
		}
		return "runs" + k.through(f, e, idle0, idle)
	case e.ID == "fire-alarm" && k.fireIn(f) == never:
		return k.statedFire(f)
	}
	return "-"
}

// through names the fan by which an event reaches one that it does not act on
// itself: " with SF-1".
func (k *checker) through(f *fan, e library.Event, before, after snapshot) string {
	seen := map[*fan]bool{f: true}
	level := []*fan{f}
	for len(level) > 0 {
		var next []*fan
		for _, x := range level {
			if slices.ContainsFunc(k.ownEvents(x), func(r ref) bool { return k.events[r].ID == e.ID }) {
				if x == f {
					return ""
				}
				return " with " + x.name
			}
			for _, u := range k.readBy(x) {
				if !seen[u] && before.value[u.told] != after.value[u.told] {
					seen[u] = true
					next = append(next, u)
				}
			}
		}
		level = next
	}
	return ""
}

// readBy lists the fans that a fan's logic reads directly, in order.
func (k *checker) readBy(f *fan) []*fan {
	var out []*fan
	k.visit(f.told, func(r ref) bool {
		g := k.isFan[r]
		if k.list[r].op != opWire || g == nil || g == f {
			return true
		}
		if !slices.Contains(out, g) {
			out = append(out, g)
		}
		return false
	})
	return out
}

// statedFire is the cell of a fan that no circuit of the plan ties to the fire system.
func (k *checker) statedFire(f *fan) string {
	switch k.fireResponse(f) {
	case "stop":
		return "to stop (no circuit here)"
	case "run":
		if f.eq.Control == "fire-panel" {
			return "run by the fire trade"
		}
		return "to run (no circuit here)"
	case "continue":
		return "continues"
	case "none":
		return "none"
	}
	return "not stated"
}

func (k *checker) powerEffect(f *fan) string {
	if f.byFirePanel() {
		return "stops; the fire panel decides its return"
	}
	if f.logic == nil {
		return "stops; return not stated"
	}
	if f.logic.SealsIn && f.logic.PowerReturn != "off" {
		return "stops; starts again only if its start is still made"
	}
	switch f.logic.PowerReturn {
	case "previous-mode":
		return "stops; returns to its previous mode"
	case "off":
		return "stops; stays off"
	case "restart":
		return "stops; restarts"
	}
	return "stops; return not stated"
}

// failsOn reads the fail state of an output: made, dropped out, or not known;
// a speed between the two is not known to run the fan.
func failsOn(p *model.Point) (on, known bool) {
	if p == nil {
		return false, false
	}
	percent, known := p.FailPercent()
	return percent >= 100, known && (percent <= 0 || percent >= 100)
}

// startPoint is the point by which the BAS starts a fan, nil none.
func (k *checker) startPoint(f *fan) *model.Point {
	roles := []string{model.RoleStart, "enable"}
	if f.name != f.eq.Tag {
		roles = []string{"exhaust-start"}
	}
	for _, role := range roles {
		if p := k.points[f.eq.Tag+"/"+role]; p != nil {
			return p
		}
	}
	return nil
}

// controllerLost is the net at work with the controllers of the BAS dead: their
// outputs stand at their fail states, those without a known one as given;
// nothing is done by sequence, wires act on.
func (k *checker) controllerLost(work snapshot, unknown bool) snapshot {
	inputs, held := k.engine.inputsAt(true), map[int]bool{}
	stands := func(p *model.Point) bool {
		on, known := failsOn(p)
		return on || !known && unknown
	}
	for _, f := range k.fans {
		held[int(k.list[f.command].a)] = stands(k.startPoint(f))
		if f.speed != never {
			inputs[k.list[f.speed].a] = stands(k.points[f.eq.Tag+"/"+model.RoleSpeed])
		}
	}
	return k.engine.settleFrom(work.wire, inputs, held)
}

// lossEffect is what a fan at work does when the BAS controller is lost; not
// stated where that hangs on a fail state that nobody states.
func (k *checker) lossEffect(f *fan, work snapshot, lost [2]snapshot) string {
	if f.logic != nil && f.logic.CommLoss != "" {
		return f.logic.CommLoss
	}
	if f.hasBAS {
		if _, known := failsOn(k.startPoint(f)); !known {
			return "not stated"
		}
	}
	was, is := work.value[f.told], lost[0].value[f.told]
	if is != lost[1].value[f.told] {
		return "not stated"
	}
	switch {
	case was && !is:
		return "stops"
	case !was && is:
		return "runs"
	case was && f.hasBAS:
		return "runs on"
	}
	return "no effect"
}

// lifeSafety reports whether the fan belongs on a life-safety page.
func (k *checker) lifeSafety(f *fan) bool {
	if f.scheme.LifeSafety || f.kind.LifeSafety || k.fireResponse(f) == "run" {
		return true
	}
	return k.safetyTags[f.eq.Tag]
}
