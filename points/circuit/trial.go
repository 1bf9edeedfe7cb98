package circuit

import (
	"slices"

	"tallywire/model"
)

// trouble is told by key: the code, and the group it concerns or the circuit.
type troubleKey struct{ code, where string }

func (k troubleKey) group() bool { return len(k.where) > 6 && k.where[:6] == "group " }

// keyOf is the key of an answer of a circuit.
func keyOf(a *answer, circuit string) troubleKey {
	if a.group != "" {
		return troubleKey{a.Code, "group " + a.group}
	}
	return troubleKey{a.Code, circuit}
}

// outcome is what a net says of itself: the trouble of every circuit by key,
// with the verdict.
type outcome map[troubleKey]model.Verdict

// region is a part of the net and what it has to say before a change: of its
// network of commons, or of all else.
type region struct {
	Net
	commons bool
	before  outcome
	at      map[string]int // circuits by id
}

func (x *index) region(n Net, commons bool) *region {
	r := &region{Net: n, commons: commons, at: make(map[string]int, len(n.Circuits))}
	for i := range n.Circuits {
		r.at[n.Circuits[i].ID] = i
	}
	r.before = x.judge(n, commons)
	return r
}

// judge checks a part of the net and keeps what is not plain good. Its network
// of commons is asked by itself, and of a larger part: it reaches further.
func (x *index) judge(n Net, commons bool) outcome {
	x.work.spend(len(n.Circuits))
	y := newIndex(x.lib, nil, n)
	y.wiring, y.memo, y.across = x.wiring, x.memo, x.across
	out := outcome{}
	enter := func(i int, row []answer) {
		for k := range row {
			if a := &row[k]; a.Verdict != model.Pass {
				key := keyOf(a, n.Circuits[i].ID)
				out[key] = model.Worst(out[key], a.Verdict)
			}
		}
	}
	for _, ask := range y.questions(commons) {
		for i, row := range ask() {
			enter(i, row)
		}
	}
	if !commons {
		for i := range n.Circuits {
			enter(i, y.circuit(&n.Circuits[i]))
		}
	}
	return out
}

// within checks a proposal inside a region. left is the worst verdict that the
// new circuits keep, or a caution that the change brings elsewhere; ok, that it
// leaves nothing of what it was to mend and adds no fault and nothing unknown.
func (m *mending) within(r *region, p proposal) (left model.Verdict, ok bool) {
	n := Net{Points: r.Points, Alarms: r.Alarms, Equipment: r.Equipment, Cables: r.Cables}
	n.Devices = slices.Concat(r.Devices, p.devices)
	n.Circuits = make([]model.Circuit, 0, len(r.Circuits)+len(p.circuits))
	for i := range r.Circuits {
		if !slices.Contains(p.replaced, r.Circuits[i].ID) {
			n.Circuits = append(n.Circuits, r.Circuits[i])
		}
	}
	n.Circuits = append(n.Circuits, p.circuits...)
	changed := make(map[string]bool, len(p.circuits))
	for i := range p.circuits {
		changed[p.circuits[i].ID] = true
	}
	return r.before.mended(m.x.judge(n, r.commons), m.c.ID, changed, m.mend)
}

// mended reports whether the change leaves nothing of what it was to mend and
// adds no fault and nothing unknown. left is the worst verdict that the new
// circuits keep of their own, or a caution that the change brings elsewhere.
//
// A circuit that is moved along, other than the one to be mended, may keep what
// it had.
func (before outcome) mended(after outcome, target string, changed map[string]bool, mend map[troubleKey]bool) (left model.Verdict, ok bool) {
	left = model.Pass
	for k, v := range after {
		switch {
		case mend[k] && k.group():
			return model.Fault, false
		case k.where != target && before[k] != "" && v.Rank() <= before[k].Rank():
		case changed[k.where]:
			left = model.Worst(left, v)
		case v == model.Caution:
			left = model.Worst(left, v)
		default:
			return model.Fault, false
		}
	}
	return left, true
}

// work counts what a repair has done, so that a large list ends: in circuits
// judged, which is the same on every machine.
type work struct {
	candidates int // changes judged
	circuits   int // circuits judged for them
	budget     int // of the search at hand; 0 none
	most       int // of the whole repair; 0 none
	used       int // by the search at hand
}

func (w *work) spend(circuits int) {
	w.candidates++
	w.circuits += circuits
	w.used += circuits
}

// over says that the search at hand, or the whole repair, is at its limit.
func (w *work) over() bool {
	return w.budget > 0 && w.used >= w.budget || w.most > 0 && w.circuits >= w.most
}
