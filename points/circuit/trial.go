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
	r.before, _ = x.judge(n, commons, nil)
	return r
}

// judge checks a part of the net and keeps what is not plain good, and which of
// it the changed circuits show. Its network of commons is asked by itself, and
// of a larger part: it reaches further.
func (x *index) judge(n Net, commons bool, changed map[string]bool) (outcome, map[troubleKey]bool) {
	x.work.spend(len(n.Circuits))
	y := newIndex(x.lib, nil, n)
	y.wiring, y.memo, y.across = x.wiring, x.memo, x.across
	out, shown := outcome{}, map[troubleKey]bool{}
	enter := func(i int, row []answer) {
		for k := range row {
			if a := &row[k]; a.Verdict != model.Pass {
				key := keyOf(a, n.Circuits[i].ID)
				out[key] = model.Worst(out[key], a.Verdict)
				if changed[n.Circuits[i].ID] {
					shown[key] = true
				}
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
	return out, shown
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
	after, shown := m.x.judge(n, r.commons, changed)
	for k := range shown { // shared trouble that the circuit comes into is new to it
		shown[k] = k.group() && !m.had(k)
	}
	return r.before.mended(after, m.c.ID, changed, shown, m.mend)
}

// had says that the circuit shows that trouble before any change.
func (m *mending) had(k troubleKey) bool {
	return slices.ContainsFunc(m.x.rows[m.i], func(a answer) bool { return a.Verdict != model.Pass && keyOf(&a, m.c.ID) == k })
}

// mended reports whether the change leaves nothing of what it was to mend and
// adds no fault and nothing unknown. left is the worst verdict that the new
// circuits keep of their own, or a caution that the change brings elsewhere.
//
// A circuit that is moved along, other than the one to be mended, may keep what
// it had. Joins is the shared trouble that the change comes into: what was there
// before is no excuse to hang one load more on a supply that carries too much.
func (before outcome) mended(after outcome, target string, changed map[string]bool, joins, mend map[troubleKey]bool) (left model.Verdict, ok bool) {
	left = model.Pass
	for k, v := range after {
		switch {
		case mend[k] && k.group():
			return model.Fault, false
		case !joins[k] && k.where != target && before[k] != "" && v.Rank() <= before[k].Rank():
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
