package logic

import (
	"fmt"
	"math/bits"
	"slices"
)

// reach is which states a loop can be found in: every history that begins with
// all off is followed. Inputs may change at any time; the cut wires of a loop
// change one at a time, in any order, each to what its definition gives;
// everything else follows at once. What is found there is asked for stable
// states only.
type reach struct {
	inputs []int
	cuts   []ref
	stable []uint64 // by assignment: inputs first, then cut wires
}

// reachable explores the loops in the cone of the cut wires. Nil: too large.
func (e *engine) reachable(cuts []ref) *reach {
	defs := make([]ref, len(cuts))
	for i, c := range cuts {
		defs[i] = e.wires[e.list[c].a].def
	}
	inputs, all := e.cone(append(slices.Clone(cuts), defs...)...)
	key := fmt.Sprint(all)
	if r, ok := e.explored[key]; ok {
		return r
	}
	var r *reach
	if len(inputs)+len(all) <= e.limit {
		r = e.explore(inputs, all)
	}
	e.explored[key] = r
	return r
}

func (e *engine) explore(inputs []int, cuts []ref) *reach {
	r := &reach{inputs: inputs, cuts: cuts}
	t := e.newTable(inputs, cuts)
	n, m := len(inputs), len(cuts)
	wants := make([][]uint64, m) // where the definition differs from the wire
	for i, c := range cuts {
		own, def := t.value(c), t.value(e.wires[e.list[c].a].def)
		wants[i] = make([]uint64, t.words)
		for w := range own {
			wants[i][w] = own[w] ^ def[w]
		}
	}
	reached := reachedFrom(wants, n, m)
	r.stable = make([]uint64, t.words)
	for a := range uint(1) << (n + m) {
		ok := reached[a>>n]
		for i := range cuts {
			ok = ok && wants[i][a>>6]>>(a&63)&1 == 0
		}
		if ok {
			r.stable[a>>6] |= 1 << (a & 63)
		}
	}
	return r
}

// reachedFrom finds which combinations of m cut wires some history from
// all-off reaches: a wire may turn where some inputs want it to.
func reachedFrom(wants [][]uint64, n, m int) []bool {
	reached := make([]bool, 1<<m)
	reached[0] = true
	queue := []uint{0}
	for len(queue) > 0 {
		s := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for i := range m {
			next := s ^ 1<<i
			if !reached[next] && anyOf(wants[i], s<<n, n) {
				reached[next] = true
				queue = append(queue, next)
			}
		}
	}
	return reached
}

// anyOf reports whether a bit is set among the 1<<n that begin at from.
func anyOf(words []uint64, from uint, n int) bool {
	if n >= 6 {
		for _, w := range words[from>>6 : (from+1<<n)>>6] {
			if w != 0 {
				return true
			}
		}
		return false
	}
	return words[from>>6]>>(from&63)&(1<<(1<<n)-1) != 0
}

// up reports whether a cut wire is up in some state that can be reached.
func (r *reach) up(c ref) bool {
	i := slices.Index(r.cuts, c)
	if i < 0 {
		return false
	}
	place := len(r.inputs) + i
	for w, word := range r.stable {
		for word != 0 {
			a := w<<6 | bits.TrailingZeros64(word)
			word &= word - 1
			if a>>place&1 == 1 {
				return true
			}
		}
	}
	return false
}

// hunts looks for inputs under which no combination of the cut wires is stable,
// nearest to rest: the loop then never settles.
func (e *engine) hunts(cuts []ref) (state, bool) {
	r := e.reachable(cuts)
	if r == nil {
		return state{}, false
	}
	n, rest := len(r.inputs), 0
	for i, in := range r.inputs {
		if e.inputs[in].rest {
			rest |= 1 << i
		}
	}
	best, least := -1, n+1
	for a := range 1 << n {
		settles := false
		for s := range 1 << len(r.cuts) {
			k := s<<n | a
			settles = settles || r.stable[k>>6]>>(k&63)&1 == 1
		}
		if d := bits.OnesCount(uint(a ^ rest)); !settles && d < least {
			best, least = a, d
		}
	}
	found := state{inputs: map[int]bool{}, wires: map[ref]bool{}}
	for i, in := range r.inputs {
		found.inputs[in] = best >= 0 && best>>i&1 == 1
	}
	return found, best >= 0
}

// holds reports whether assignment a over inputs and cut wires is a state that
// can be reached. A cut wire that the asker leaves out is down.
func (r *reach) holds(a int, inputs []int, cuts []ref) bool {
	own := 0
	for i, in := range r.inputs {
		if p := slices.Index(inputs, in); p >= 0 && a>>p&1 == 1 {
			own |= 1 << i
		}
	}
	for i, c := range r.cuts {
		if p := slices.Index(cuts, c); p >= 0 && a>>(len(inputs)+p)&1 == 1 {
			own |= 1 << (len(r.inputs) + i)
		}
	}
	return r.stable[own>>6]>>(own&63)&1 == 1
}
