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
// a net that does not settle keeps what it has after as many rounds as it has wires.
func (e *engine) settleFrom(wires []bool, inputs []bool) snapshot {
	s := snapshot{make([]bool, len(e.list)), slices.Clone(wires)}
	for len(s.wire) < len(e.wires) {
		s.wire = append(s.wire, false)
	}
	for range len(e.wires) + 1 {
		e.evaluate(&s, inputs)
		changed := false
		for i := range e.wires {
			if v := s.value[e.wires[i].def]; v != s.wire[i] {
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
	m.Events = append(m.Events, "Power loss and return", "Loss of BAS communication")
	idle0 := k.engine.settleFrom(nil, k.engine.inputsAt(false))
	work0 := k.engine.settleFrom(idle0.wire, k.engine.inputsAt(true))
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
		idle[i], work[i] = k.engine.settleFrom(idle0.wire, a), k.engine.settleFrom(work0.wire, b)
	}
	for _, f := range k.fans {
		row := model.CauseEffectRow{Equipment: f.name, LifeSafety: k.lifeSafety(f)}
		for i, e := range events {
			row.Effects = append(row.Effects, k.effect(f, e, idle0, idle[i], work0, work[i]))
		}
		row.Effects = append(row.Effects, k.powerEffect(f), k.lossEffect(f))
		m.Rows = append(m.Rows, row)
	}
	return m
}

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
	full := work.value[f.full] && f.speedBy != ""
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
		return "stops"
	case from && !idle0.value[f.told]:
		if full {
			return "runs at full speed"
		}
		return "runs"
	case e.ID == "fire-alarm" && k.fireIn(f) == never:
		return k.statedFire(f)
	}
	return "-"
}

// statedFire is the cell of a fan that no circuit of the plan ties to the fire system.
func (k *checker) statedFire(f *fan) string {
	switch k.fireResponse(f) {
	case "stop":
		return "to stop (no circuit here)"
	case "run":
		if f.eq.Control == "fire-panel" {
			return "runs by the fire trade"
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
	if f.logic == nil {
		return "stops; return not stated"
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

func (k *checker) lossEffect(f *fan) string {
	if f.logic != nil && f.logic.CommLoss != "" {
		return f.logic.CommLoss
	}
	for _, role := range []string{model.RoleStart, "enable"} {
		if p := k.points[f.eq.Tag+"/"+role]; p != nil && p.FailState != "" {
			return "output goes " + p.FailState
		}
	}
	if !f.hasBAS {
		return "no effect"
	}
	return "not stated"
}

// lifeSafety reports whether the fan belongs on a life-safety page.
func (k *checker) lifeSafety(f *fan) bool {
	if f.scheme.LifeSafety || f.kind.LifeSafety || k.fireResponse(f) == "run" {
		return true
	}
	return k.safetyTags[f.eq.Tag]
}
