package logic

import (
	"math/bits"
	"slices"

	"github.com/crillab/gophersat/solver"
)

// exhaustive is how many inputs and loop wires together are tried in every
// combination; a larger question goes to the SAT solver, which takes every
// stable state whose loop wires can be set as reachable: it may show a state
// that no history reaches, it never misses one that some history does.
const exhaustive = 16

// state is one stable state: which inputs differ from rest, which cut wires are up.
type state struct {
	inputs map[int]bool // input index → value, every input that the question reads
	wires  map[ref]bool
}

// cone lists the inputs and cut wires that formulas read, in order.
func (e *engine) cone(roots ...ref) (inputs []int, cuts []ref) {
	if len(e.stamp) < len(e.list) {
		e.stamp = append(e.stamp, make([]int32, len(e.list)-len(e.stamp)+1024)...)
	}
	e.mark++
	stack := slices.Clone(roots)
	for len(stack) > 0 {
		r := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if e.stamp[r] == e.mark {
			continue
		}
		e.stamp[r] = e.mark
		switch x := e.list[r]; x.op {
		case opInput:
			inputs = append(inputs, int(x.a))
		case opWire:
			if e.loops.cut[r] {
				cuts = append(cuts, r)
			}
			stack = append(stack, e.wires[x.a].def)
		case opNot:
			stack = append(stack, x.a)
		case opAnd, opOr:
			stack = append(stack, x.a, x.b)
		}
	}
	slices.Sort(inputs)
	slices.Sort(cuts)
	return inputs, cuts
}

// near is how many wires deep a large question is first looked at.
const near = 2

// nearby lists the inputs of a formula and the wires that lie beyond near
// wires or are cut; those may then be anything.
func (e *engine) nearby(f ref) (inputs []int, free []ref) {
	type at struct {
		r     ref
		depth int
	}
	seen := map[ref]bool{}
	queue := []at{{f, 0}}
	for len(queue) > 0 {
		q := queue[0]
		queue = queue[1:]
		if seen[q.r] {
			continue
		}
		seen[q.r] = true
		x := e.list[q.r]
		switch {
		case x.op == opInput:
			inputs = append(inputs, int(x.a))
		case x.op == opWire && (q.depth >= near || e.loops.cut[q.r]):
			free = append(free, q.r)
		case x.op == opWire:
			queue = append(queue, at{e.wires[x.a].def, q.depth + 1})
		default:
			for _, a := range e.args(q.r) {
				queue = append(queue, at{a, q.depth})
			}
		}
	}
	slices.Sort(inputs)
	slices.Sort(free)
	return inputs, free
}

// excluded reports that a formula cannot hold whatever the far wires are.
func (e *engine) excluded(f ref) bool {
	inputs, free := e.nearby(f)
	if len(inputs)+len(free) <= e.limit {
		for _, w := range e.newTable(inputs, free).value(f) {
			if w != 0 {
				return false
			}
		}
		return true
	}
	c := &cnf{e: e, number: map[ref]int{}, live: map[ref]bool{}, free: map[ref]bool{}}
	for _, w := range free {
		c.free[w] = true
	}
	c.clauses = append(c.clauses, []int{c.literal(f)})
	_, possible := c.run()
	return !possible
}

// engine answers questions about one net.
type engine struct {
	*gates
	loops    *loops
	explored map[string]*reach
	limit    int // exhaustive, unless a test forces the solver
	sat      int // questions that went to the solver
	stamp    []int32
	mark     int32
}

func newEngine(g *gates) *engine { return newEngineOf(g, exhaustive) }

func newEngineOf(g *gates, limit int) *engine {
	e := &engine{gates: g, loops: g.findLoops(), explored: map[string]*reach{}, limit: limit}
	e.settle()
	return e
}

// settle finds which cut wires can come up at all, beginning from all-off and
// taking in every history: a wire is settable if its definition can be true
// with wires that are not settable held down.
func (e *engine) settle() {
	for grown := true; grown; {
		grown = false
		for _, set := range e.loops.sets {
			for _, w := range set {
				if !e.loops.cut[w] || e.loops.settable[w] {
					continue
				}
				if r := e.reachable([]ref{w}); r != nil {
					if r.up(w) {
						e.loops.settable[w], grown = true, true
					}
					continue
				}
				if _, ok := e.ask(e.wires[e.list[w].a].def, false); ok {
					e.loops.settable[w], grown = true, true
				}
			}
		}
	}
}

// possible looks for a stable state in which the formula holds.
func (e *engine) possible(f ref) (state, bool) { return e.ask(f, true) }

// ask looks for an assignment where f holds. With stable every cut wire agrees
// with its definition; without, cut wires are free. Unsettable ones are down.
func (e *engine) ask(f ref, stable bool) (state, bool) {
	if f == never {
		return state{}, false
	}
	inputs, cuts := e.cone(f)
	live := cuts[:0:0]
	for _, c := range cuts {
		if e.loops.settable[c] {
			live = append(live, c)
		}
	}
	if len(inputs)+len(live) <= e.limit {
		return e.enumerate(f, inputs, live, cuts, stable)
	}
	e.sat++
	if e.excluded(f) {
		return state{}, false
	}
	return e.solve(f, inputs, live, cuts, stable)
}

// table is the value of formulas under every assignment, 64 to a word. The
// first len(inputs) places are inputs, the rest cut wires.
type table struct {
	e     *engine
	place map[ref]int
	words int
	memo  map[ref][]uint64
	zero  []uint64
}

func (e *engine) newTable(inputs []int, cuts []ref) *table {
	t := &table{e: e, place: map[ref]int{}, memo: map[ref][]uint64{}}
	for i, in := range inputs {
		t.place[e.byName[e.inputs[in].name]] = i
	}
	for i, c := range cuts {
		t.place[c] = len(inputs) + i
	}
	t.words = max(1, 1<<(len(inputs)+len(cuts))>>6)
	t.zero = make([]uint64, t.words)
	return t
}

var pattern = [6]uint64{0xAAAAAAAAAAAAAAAA, 0xCCCCCCCCCCCCCCCC, 0xF0F0F0F0F0F0F0F0, 0xFF00FF00FF00FF00, 0xFFFF0000FFFF0000, 0xFFFFFFFF00000000}

// column is the value of the variable at a place.
func (t *table) column(place int) []uint64 {
	out := make([]uint64, t.words)
	for w := range out {
		if place < 6 {
			out[w] = pattern[place]
		} else if w>>(place-6)&1 == 1 {
			out[w] = ^uint64(0)
		}
	}
	return out
}

func (t *table) value(r ref) []uint64 {
	if v, ok := t.memo[r]; ok {
		return v
	}
	var out []uint64
	x := t.e.list[r]
	if p, ok := t.place[r]; ok {
		out = t.column(p)
	} else {
		out = t.make(r, x)
	}
	t.memo[r] = out
	return out
}

func (t *table) make(r ref, x gate) []uint64 {
	if x.op == opWire {
		if t.e.loops.cut[r] {
			return t.zero // not settable
		}
		return t.value(t.e.wires[x.a].def)
	}
	out := make([]uint64, t.words)
	switch x.op {
	case opConst, opInput:
		if r == always || x.op == opInput && t.e.inputs[x.a].rest { // an input that is not asked about rests
			for i := range out {
				out[i] = ^uint64(0)
			}
		}
	case opNot:
		for i, v := range t.value(x.a) {
			out[i] = ^v
		}
	case opAnd:
		a, b := t.value(x.a), t.value(x.b)
		for i := range out {
			out[i] = a[i] & b[i]
		}
	case opOr:
		a, b := t.value(x.a), t.value(x.b)
		for i := range out {
			out[i] = a[i] | b[i]
		}
	}
	return out
}

// enumerate tries every combination of inputs and live cut wires and returns
// the state nearest to rest in which all cut wires of the cone agree.
func (e *engine) enumerate(f ref, inputs []int, cuts, agree []ref, stable bool) (state, bool) {
	t := e.newTable(inputs, cuts)
	good := slices.Clone(t.value(f))
	if stable {
		for _, c := range agree {
			own, def := t.value(c), t.value(e.wires[e.list[c].a].def)
			for i := range good {
				good[i] &^= own[i] ^ def[i]
			}
		}
	}
	rest := 0
	for i, in := range inputs {
		if e.inputs[in].rest {
			rest |= 1 << i
		}
	}
	var r *reach
	if stable && len(cuts) > 0 {
		r = e.reachable(cuts)
	}
	n := len(inputs) + len(cuts)
	best, least := -1, n+1
	for w, word := range good {
		if n < 6 {
			word &= 1<<(1<<n) - 1
		}
		for word != 0 {
			a := w<<6 | bits.TrailingZeros64(word)
			word &= word - 1
			if d := bits.OnesCount(uint(a ^ rest)); d < least && (r == nil || r.holds(a, inputs, cuts)) {
				best, least = a, d
			}
		}
	}
	if best < 0 {
		return state{}, false
	}
	s := state{map[int]bool{}, map[ref]bool{}}
	for i, in := range inputs {
		s.inputs[in] = best>>i&1 == 1
	}
	for i, c := range cuts {
		s.wires[c] = best>>(len(inputs)+i)&1 == 1
	}
	return s, true
}

// solve asks the SAT solver for a state near to rest.
func (e *engine) solve(f ref, inputs []int, cuts, agree []ref, stable bool) (state, bool) {
	c := &cnf{e: e, number: map[ref]int{}, live: map[ref]bool{}}
	for _, w := range cuts {
		c.live[w] = true
	}
	c.clauses = append(c.clauses, []int{c.literal(f)})
	if stable {
		for _, w := range agree {
			a, b := c.literal(w), c.literal(e.wires[e.list[w].a].def)
			c.clauses = append(c.clauses, []int{-a, b}, []int{a, -b})
		}
	}
	model, ok := c.run()
	if !ok {
		return state{}, false
	}
	model = c.towardsRest(model, inputs)
	s := state{map[int]bool{}, map[ref]bool{}}
	for _, in := range inputs {
		s.inputs[in] = e.inputs[in].rest
		if lit, known := c.number[e.byName[e.inputs[in].name]]; known {
			s.inputs[in] = model[lit-1]
		}
	}
	for _, w := range cuts {
		if lit, known := c.number[w]; known {
			s.wires[w] = model[lit-1]
		}
	}
	return s, true
}

// cnf is a formula as clauses, one variable a gate (Tseitin).
type cnf struct {
	e       *engine
	number  map[ref]int
	live    map[ref]bool // cut wires that stand for themselves
	free    map[ref]bool // wires that may be anything
	clauses [][]int
}

func (c *cnf) run() ([]bool, bool) {
	copied := make([][]int, len(c.clauses))
	for i := range c.clauses {
		copied[i] = slices.Clone(c.clauses[i])
	}
	s := solver.New(solver.ParseSliceNb(copied, len(c.number)))
	if s.Solve() != solver.Sat {
		return nil, false
	}
	return s.Model(), true
}

// towardsRest moves inputs back to rest, in pieces, while the answer stays yes.
func (c *cnf) towardsRest(model []bool, inputs []int) []bool {
	var move func(part []int)
	move = func(part []int) {
		var lits []int
		for _, in := range part {
			lit, known := c.number[c.e.byName[c.e.inputs[in].name]]
			if !known || model[lit-1] == c.e.inputs[in].rest {
				continue
			}
			if !c.e.inputs[in].rest {
				lit = -lit
			}
			lits = append(lits, lit)
		}
		if len(lits) == 0 {
			return
		}
		before := len(c.clauses)
		for _, lit := range lits {
			c.clauses = append(c.clauses, []int{lit})
		}
		if m, still := c.run(); still {
			model = m
			return
		}
		c.clauses = c.clauses[:before]
		if len(part) > 1 {
			move(part[:len(part)/2])
			move(part[len(part)/2:])
		}
	}
	// What is at rest already stays there.
	for _, in := range inputs {
		if lit, known := c.number[c.e.byName[c.e.inputs[in].name]]; known && model[lit-1] == c.e.inputs[in].rest {
			if !c.e.inputs[in].rest {
				lit = -lit
			}
			c.clauses = append(c.clauses, []int{lit})
		}
	}
	move(inputs)
	return model
}

func (c *cnf) literal(r ref) int {
	if n, ok := c.number[r]; ok {
		return n
	}
	x := c.e.list[r]
	if x.op == opNot {
		return -c.literal(x.a)
	}
	if x.op == opWire && !c.e.loops.cut[r] && !c.free[r] {
		return c.literal(c.e.wires[x.a].def)
	}
	n := len(c.number) + 1
	c.number[r] = n
	switch x.op {
	case opConst:
		if r == always {
			c.clauses = append(c.clauses, []int{n})
		} else {
			c.clauses = append(c.clauses, []int{-n})
		}
	case opWire:
		if !c.live[r] && !c.free[r] {
			c.clauses = append(c.clauses, []int{-n})
		}
	case opAnd:
		a, b := c.literal(x.a), c.literal(x.b)
		c.clauses = append(c.clauses, []int{-n, a}, []int{-n, b}, []int{n, -a, -b})
	case opOr:
		a, b := c.literal(x.a), c.literal(x.b)
		c.clauses = append(c.clauses, []int{n, -a}, []int{n, -b}, []int{-n, a, b})
	}
	return n
}
