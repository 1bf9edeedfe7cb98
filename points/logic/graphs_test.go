package logic

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// randomNet makes interlocks among a few fans: each is told to run by its own
// start or by others, permitted by others, stopped by others.
func randomNet(rng *rand.Rand) (*gates, []ref) {
	g := newGates()
	fans := 2 + rng.IntN(4)
	wires := make([]ref, fans)
	starts := make([]ref, fans)
	for i := range wires {
		name := fmt.Sprint("F", i)
		wires[i] = g.wire(name, name)
		starts[i] = g.input(input{name: name + "|start", kind: kindStart, on: name + " on", off: name + " off"})
	}
	event := g.input(input{name: "event", kind: kindEvent, on: "event", off: "no event"})
	for i := range wires {
		run, permit := starts[i], always
		for j := range wires {
			switch rng.IntN(7) {
			case 0:
				run = g.or(run, wires[j])
			case 1:
				permit = g.and(permit, wires[j])
			case 2:
				permit = g.and(permit, g.not(wires[j]))
			case 3:
				run = g.or(run, g.and(wires[j], event))
			}
		}
		if rng.IntN(5) == 0 {
			permit = g.and(permit, g.not(event))
		}
		g.define(wires[i], g.and(run, permit))
	}
	return g, wires
}

// value evaluates a formula the slow way, cut wires from s, the rest looked through.
func slow(e *engine, r ref, in map[int]bool, s map[ref]bool) bool {
	x := e.list[r]
	switch x.op {
	case opConst:
		return r == always
	case opInput:
		return in[int(x.a)]
	case opWire:
		if e.loops.cut[r] {
			return s[r]
		}
		return slow(e, e.wires[x.a].def, in, s)
	case opNot:
		return !slow(e, x.a, in, s)
	case opAnd:
		return slow(e, x.a, in, s) && slow(e, x.b, in, s)
	}
	return slow(e, x.a, in, s) || slow(e, x.b, in, s)
}

// reading lists the cut wires that a formula reads, the slow way.
func reading(e *engine, r ref, into map[ref]bool) map[ref]bool {
	x := e.list[r]
	switch x.op {
	case opWire:
		if e.loops.cut[r] {
			if into[r] {
				return into
			}
			into[r] = true
		}
		return reading(e, e.wires[x.a].def, into)
	case opNot:
		return reading(e, x.a, into)
	case opAnd, opOr:
		return reading(e, x.b, reading(e, x.a, into))
	}
	return into
}

// brute follows every history of a net: one cut wire at a time.
type brute struct {
	e       *engine
	cuts    []ref
	reached map[uint]bool
}

func (b *brute) decode(a uint) map[int]bool {
	in := map[int]bool{}
	for i := range b.e.inputs {
		in[i] = a>>i&1 == 1
	}
	return in
}

func (b *brute) wires(s uint) map[ref]bool {
	out := map[ref]bool{}
	for i, c := range b.cuts {
		out[c] = s>>i&1 == 1
	}
	return out
}

func (b *brute) wants(c ref, inputs map[int]bool, wires map[ref]bool) bool {
	return slow(b.e, b.e.gates.wires[b.e.list[c].a].def, inputs, wires)
}

func newBrute(e *engine) *brute {
	b := &brute{e: e, reached: map[uint]bool{0: true}}
	for i := range e.gates.wires {
		if w := e.byName["wire "+e.gates.wires[i].name]; e.loops.cut[w] {
			b.cuts = append(b.cuts, w)
		}
	}
	todo := []uint{0}
	for len(todo) > 0 {
		s := todo[0]
		todo = todo[1:]
		for in := range uint(1) << len(e.inputs) {
			inputs, wires := b.decode(in), b.wires(s)
			for i, c := range b.cuts {
				if next := s ^ 1<<i; b.wants(c, inputs, wires) != wires[c] && !b.reached[next] {
					b.reached[next] = true
					todo = append(todo, next)
				}
			}
		}
	}
	return b
}

// possible is whether f holds where every wire it reads is stable: in a state
// that a history reaches, or merely with settable wires.
func (b *brute) possible(f ref, history bool) bool {
	read := reading(b.e, f, map[ref]bool{})
	for s := range uint(1) << len(b.cuts) {
		if history && !b.reached[s] {
			continue
		}
		wires := b.wires(s)
		for in := range uint(1) << len(b.e.inputs) {
			if b.holds(f, read, b.decode(in), wires, s, history) {
				return true
			}
		}
	}
	return false
}

func (b *brute) holds(f ref, read map[ref]bool, inputs map[int]bool, wires map[ref]bool, s uint, history bool) bool {
	if !slow(b.e, f, inputs, wires) {
		return false
	}
	for c := range read {
		if !history && wires[c] && !b.e.loops.settable[c] || b.wants(c, inputs, wires) != wires[c] {
			return false
		}
	}
	return !history || b.reached[s]
}

// shows reports whether a state that was given as an answer is one.
func (b *brute) shows(f ref, found state, history bool) bool {
	in, fixed := map[int]bool{}, uint(0)
	for i := range b.e.inputs {
		in[i] = found.inputs[i]
	}
	var free []int
	read := reading(b.e, f, map[ref]bool{})
	for i, c := range b.cuts {
		if v, said := found.wires[c]; said && v {
			fixed |= 1 << i
		} else if !said && !read[c] {
			free = append(free, i)
		}
	}
	for pick := range uint(1) << len(free) {
		s := fixed
		for j, i := range free {
			s |= pick >> j & 1 << i
		}
		if b.holds(f, read, in, b.wires(s), s, history) {
			return true
		}
	}
	return false
}

// TestVerdictsEqualBruteForce asks seeded random graphs whether each fan can
// run with its own start withdrawn, whether it can run at all and whether it
// can be off with its start given: exhaustively against every history, by the
// solver against every stable state.
func TestVerdictsEqualBruteForce(t *testing.T) {
	const graphs = 2400
	loops, yes, solved, wider := 0, 0, 0, 0
	for seed := range uint64(graphs) {
		g, fans := randomNet(rand.New(rand.NewPCG(seed, 7)))
		e, sat := newEngine(g), newEngineOf(g, 0)
		b, bs := newBrute(e), newBrute(sat)
		loops += len(e.loops.sets)
		for i, w := range fans {
			start := g.byName[fmt.Sprint("F", i, "|start")]
			for q, f := range []ref{g.and(w, g.not(start)), w, g.and(start, g.not(w))} {
				where := fmt.Sprintf("seed %d fan %d question %d", seed, i, q)
				s, got := e.possible(f)
				if want := b.possible(f, true); got != want {
					t.Fatalf("%s: exhaustive %v, every history %v", where, got, want)
				}
				m, bySAT := sat.possible(f)
				if want := bs.possible(f, false); bySAT != want {
					t.Fatalf("%s: solver %v, every stable state %v", where, bySAT, want)
				}
				if got && !b.shows(f, s, true) || bySAT && !bs.shows(f, m, false) {
					t.Fatalf("%s: the counter-example is none", where)
				}
				if got && !bySAT {
					t.Fatalf("%s: the solver misses a state that a history reaches", where)
				}
				if got {
					yes++
				} else if bySAT {
					wider++
				}
			}
		}
		solved += sat.sat
	}
	t.Logf("%d graphs, %d loops, %d questions answered yes, %d by the solver, %d where the solver is wider than the histories", graphs, loops, yes, solved, wider)
	if loops < graphs/2 || yes < graphs || solved < graphs {
		t.Errorf("too few: %d loops, %d yes, %d solved", loops, yes, solved)
	}
}
