package logic

import "slices"

// loops are the feedback loops of a net: wires that depend on themselves. Each
// loop is cut at some of its wires; a cut wire has two lives, the value it has
// and the value its definition gives, and a state is stable where they agree.
type loops struct {
	of   map[ref]int // wire → loop number
	sets [][]ref     // wires of each loop, in order of declaration
	cut  map[ref]bool
	// settable are cut wires that some history from all-off can bring up; the
	// others can only stay down.
	settable map[ref]bool
}

// findLoops finds strongly connected wires (Tarjan) and cuts them at the
// targets of back edges.
func (g *gates) findLoops() *loops {
	l := &loops{of: map[ref]int{}, cut: map[ref]bool{}, settable: map[ref]bool{}}
	next := g.wireGraph()
	order := make([]ref, 0, len(next))
	for r := range next {
		order = append(order, r)
	}
	slices.Sort(order)
	t := &tarjan{next: next, number: map[ref]int{}, low: map[ref]int{}, on: map[ref]bool{}}
	for _, r := range order {
		if t.number[r] == 0 {
			t.visit(r)
		}
	}
	for _, set := range t.sets {
		if len(set) == 1 && !slices.Contains(next[set[0]], set[0]) {
			continue
		}
		slices.Sort(set)
		for _, w := range set {
			l.of[w] = len(l.sets)
		}
		l.sets = append(l.sets, set)
		l.cutSet(set, next)
	}
	return l
}

// wireGraph lists for each wire the wires that its definition reads.
func (g *gates) wireGraph() map[ref][]ref {
	next := map[ref][]ref{}
	for i := range g.wires {
		w := g.byName["wire "+g.wires[i].name]
		var reads []ref
		g.visit(g.wires[i].def, func(r ref) bool {
			wire := g.list[r].op == opWire
			if wire {
				reads = append(reads, r)
			}
			return !wire
		})
		next[w] = reads
	}
	return next
}

type tarjan struct {
	next    map[ref][]ref
	number  map[ref]int
	low     map[ref]int
	on      map[ref]bool
	stack   []ref
	sets    [][]ref
	counter int
}

func (t *tarjan) visit(r ref) {
	t.counter++
	t.number[r], t.low[r] = t.counter, t.counter
	t.stack = append(t.stack, r)
	t.on[r] = true
	for _, n := range t.next[r] {
		if t.number[n] == 0 {
			t.visit(n)
			t.low[r] = min(t.low[r], t.low[n])
		} else if t.on[n] {
			t.low[r] = min(t.low[r], t.number[n])
		}
	}
	if t.low[r] != t.number[r] {
		return
	}
	var set []ref
	for {
		top := t.stack[len(t.stack)-1]
		t.stack = t.stack[:len(t.stack)-1]
		t.on[top] = false
		set = append(set, top)
		if top == r {
			break
		}
	}
	t.sets = append(t.sets, set)
}

// cutSet marks the targets of back edges of a depth-first walk inside the set.
func (l *loops) cutSet(set []ref, next map[ref][]ref) {
	inside := map[ref]bool{}
	for _, w := range set {
		inside[w] = true
	}
	state := map[ref]int{} // 1 on the path, 2 done
	var walk func(ref)
	walk = func(w ref) {
		state[w] = 1
		for _, n := range next[w] {
			switch {
			case !inside[n] || state[n] == 2:
			case state[n] == 1:
				l.cut[n] = true
			default:
				walk(n)
			}
		}
		state[w] = 2
	}
	for _, w := range set {
		if state[w] == 0 {
			walk(w)
		}
	}
}
