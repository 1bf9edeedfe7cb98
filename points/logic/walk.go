package logic

import "slices"

// walk is the order in which a test visits the rows of a truth table, and what
// it costs in switchings. A selector is one switch with three positions;
// settings that a test cannot switch cost nothing.
type walk struct {
	t     *truthTable
	auto  int  // place of "in AUTO", -1 none
	hand  int  // place of "HAND, else OFF", -1 none
	panel uint // the places of the firefighters' switch where it has ON and OFF
	plain uint // places that are a switch of their own
}

func (k *checker) newWalk(t *truthTable) *walk {
	w := &walk{t: t, auto: k.kindAt(*t, kindAuto), hand: k.kindAt(*t, kindHand)}
	if on, off := k.panelPlaces(*t); on >= 0 && off >= 0 {
		w.panel = 1<<on | 1<<off
	}
	for i := range t.places {
		if i != w.auto && i != w.hand && !k.undeclared(t.places[i]) {
			w.plain |= 1 << i
		}
	}
	return w
}

func (k *checker) undeclared(r ref) bool {
	return k.list[r].op == opInput && k.inputs[k.list[r].a].kind == kindUndeclared
}

// enter is the state after going to a row: what it does not care for stays.
func (row pattern3) enter(now uint) uint { return now&^row.care | row.value }

// cost is how many switches differ between two states.
func (w *walk) cost(a, b uint) int {
	n := switchings(a&w.plain, b&w.plain)
	if w.panel != 0 && (a^b)&w.panel == w.panel {
		n-- // from ON to OFF is one turn
	}
	if w.position(a) != w.position(b) {
		n++
	}
	return n
}

// position is where the selector stands: 0 AUTO, 1 HAND, 2 OFF.
func (w *walk) position(s uint) int {
	switch {
	case w.auto < 0 || s>>w.auto&1 == 1:
		return 0
	case w.hand >= 0 && s>>w.hand&1 == 1:
		return 1
	}
	return 2
}

// apart is the fewest switchings between any two states of two rows.
func (w *walk) apart(a, b pattern3) int {
	both := a.care & b.care
	n := switchings(a.value&both&w.plain, b.value&both&w.plain)
	if w.panel != 0 && (a.value^b.value)&both&w.panel == w.panel {
		n--
	}
	if w.positions(a)&w.positions(b) == 0 {
		n++
	}
	return n
}

// positions are those that a row allows, one bit each.
func (w *walk) positions(row pattern3) int {
	switch {
	case w.auto < 0 || row.care>>w.auto&1 == 0:
		return 7
	case row.value>>w.auto&1 == 1:
		return 1
	case w.hand < 0:
		return 4
	case row.care>>w.hand&1 == 0:
		return 6
	case row.value>>w.hand&1 == 1:
		return 2
	}
	return 4
}

// length is how many switchings an order of rows takes from a state.
func (w *walk) length(start uint, order []int) int {
	n, now := 0, start
	for _, i := range order {
		next := w.t.rows[i].enter(now)
		n += w.cost(now, next)
		now = next
	}
	return n
}

// improvable is how many rows an order is improved for; longer ones keep the
// nearest-row order.
const improvable = 48

// order visits the nearest row next, then turns pieces round and moves rows
// while that saves switchings.
func (w *walk) order(start uint) []int {
	order, now := []int{}, start
	left := make([]int, len(w.t.rows))
	for i := range left {
		left[i] = i
	}
	for len(left) > 0 {
		best, least := 0, 1<<30
		for i, r := range left {
			if c := w.cost(now, w.t.rows[r].enter(now)); c < least {
				best, least = i, c
			}
		}
		now = w.t.rows[left[best]].enter(now)
		order = append(order, left[best])
		left = slices.Delete(left, best, best+1)
	}
	if len(order) > improvable {
		return order
	}
	bound := w.bound(start)
	for best, better := w.length(start, order), true; better && best > bound; {
		better = false
		for i := range order {
			for j := i + 1; j < len(order); j++ {
				for _, try := range [][]int{turned(order, i, j), moved(order, i, j), moved(order, j, i)} {
					if n := w.length(start, try); n < best {
						order, best, better = try, n, true
					}
				}
			}
		}
	}
	if best := w.length(start, order); best > bound {
		x := &deepWalk{walk: w, best: best, order: order, bound: bound, used: make([]bool, len(order))}
		x.visit(start, 0, nil)
		order = x.order
	}
	return order
}

// tries is how many states a search for a shorter order looks at.
const tries = 20000

// deepWalk searches orders depth first, nearest rows first, until the bound is
// reached or the tries are used up.
type deepWalk struct {
	*walk
	best, bound, seen int
	order             []int
	used              []bool
}

func (x *deepWalk) visit(now uint, length int, order []int) {
	x.seen++
	if length >= x.best || x.best == x.bound || x.seen > tries {
		return
	}
	if len(order) == len(x.t.rows) {
		x.best, x.order = length, slices.Clone(order)
		return
	}
	var next []int
	for i := range x.t.rows {
		if !x.used[i] {
			next = append(next, i)
		}
	}
	far := func(i int) int { return x.cost(now, x.t.rows[i].enter(now)) }
	slices.SortStableFunc(next, func(a, b int) int { return far(a) - far(b) })
	for _, i := range next {
		x.used[i] = true
		x.visit(x.t.rows[i].enter(now), length+far(i), append(order, i))
		x.used[i] = false
	}
}

// turned is the order with the piece i..j turned round.
func turned(order []int, i, j int) []int {
	out := slices.Clone(order)
	slices.Reverse(out[i : j+1])
	return out
}

// moved is the order with the row at i moved to j.
func moved(order []int, i, j int) []int {
	out := slices.Clone(order)
	x := out[i]
	out = slices.Delete(out, i, i+1)
	return slices.Insert(out, j, x)
}

// bound is a number of switchings that no walk can do with less: the shortest
// tree that joins the start and every row.
func (w *walk) bound(start uint) int {
	nodes := append([]pattern3{{care: ^uint(0), value: start}}, w.t.rows...)
	far := make([]int, len(nodes))
	for i := range far {
		far[i] = w.apart(nodes[0], nodes[i])
	}
	done := make([]bool, len(nodes))
	done[0] = true
	total := 0
	for range len(nodes) - 1 {
		next := -1
		for i := range nodes {
			if !done[i] && (next < 0 || far[i] < far[next]) {
				next = i
			}
		}
		done[next] = true
		total += far[next]
		for i := range nodes {
			far[i] = min(far[i], w.apart(nodes[next], nodes[i]))
		}
	}
	return total
}
