package pack

import (
	"cmp"
	"slices"
)

// What is the most that one controller can hold, if every type of item and
// every kind of loose point has a value? A knapsack whose sizes are the Hall
// vectors. Whole items are tried one type after the other, most first; once
// they are in, loose points follow by value, which is best possible: what is
// left is a polymatroid, where greed is right.
//
// A branch is cut by prices of the Hall sets at which no item is worth more
// than it takes: what is left of the controller at those prices is more than
// anything still to come.

// kitem is one variant of a type on offer.
type kitem struct {
	typ, variant int
	worth        float64
	size         float64 // its need at the prices
	need         vector
	col          []entry // its need as a column
	apart        string
}

// knapsack is the offer at given values.
type knapsack struct {
	s      *solver
	items  []kitem
	most   []int // of each type
	kinds  []int // loose kinds, dearest first
	value  []float64
	loose  []int     // how many of each kind at most
	prices []float64 // of the Hall sets
	rest   []float64 // worth of all items from this one on, and of all loose points
	points float64   // worth of all loose points

	// the search in hand
	config *config
	left   vector
	taken  []int // of each item
	used   []int // of each type
	floor  float64
	nodes  int
	visit  func(value float64) (floor float64)
}

type offering int

const (
	plain offering = iota
	variants
	everything
)

// offer builds a knapsack: what the types and the loose kinds are worth, how
// many of each there are.
//
// How much is offered: the first variant of each item only, all of them, or
// also what is worth nothing, for whoever wants every filling.
func (s *solver) offer(types []float64, kinds []float64, d demand, loose []int, prices []float64, how offering) *knapsack {
	in := s.in
	k := &knapsack{s: s, most: d.count, loose: loose, value: kinds}
	for t, n := range d.count {
		if n == 0 {
			continue
		}
		for v := range in.types[t].variants {
			one := &in.types[t].variants[v]
			worth := types[t] - float64(one.extra)
			if worth <= 1e-9 && how != everything || v > 0 && how == plain {
				continue
			}
			k.items = append(k.items, kitem{typ: t, variant: v, worth: worth, need: one.need, col: one.col, apart: in.types[t].apart})
		}
	}
	k.tune(prices)
	slices.SortStableFunc(k.items, func(a, b kitem) int {
		return cmp.Or(cmp.Compare(float64(b.worth*a.size), float64(a.worth*b.size)), cmp.Compare(b.worth, a.worth))
	})
	for kind, n := range loose {
		if n > 0 && kinds[kind] > 1e-9 {
			k.kinds = append(k.kinds, kind)
			k.points += float64(float64(n) * kinds[kind])
		}
	}
	slices.SortStableFunc(k.kinds, func(a, b int) int { return cmp.Compare(kinds[b], kinds[a]) })
	k.rest = make([]float64, len(k.items)+1)
	k.rest[len(k.items)] = k.points
	for i := len(k.items) - 1; i >= 0; i-- {
		k.rest[i] = k.rest[i+1] + float64(max(0, k.items[i].worth)*float64(k.most[k.items[i].typ]))
	}
	k.taken, k.used = make([]int, len(k.items)), make([]int, len(in.types))
	return k
}

// tune takes other prices of the Hall sets.
func (k *knapsack) tune(prices []float64) {
	k.prices = prices
	for i := range k.items {
		size := 0.0
		for _, e := range k.items[i].col {
			size += float64(prices[e.row] * e.val)
		}
		k.items[i].size = size
	}
}

// run visits every filling of a configuration whose worth may exceed a floor;
// visit gets its worth and returns the floor to go on with. False if it took
// more nodes than allowed.
func (k *knapsack) run(c *config, floor float64, nodes int, visit func(float64) float64) bool {
	k.config, k.floor, k.nodes, k.visit = c, floor, nodes, visit
	k.left = slices.Clone(c.cap)
	clear(k.taken)
	clear(k.used)
	room := 0.0
	for h, n := range c.cap {
		room += float64(k.prices[h] * float64(n))
	}
	k.step(0, 0, room)
	k.s.work += int64(nodes - max(0, k.nodes))
	return k.nodes > 0
}

func (k *knapsack) step(i int, worth, room float64) {
	if k.nodes--; k.nodes <= 0 {
		return
	}
	if worth+min(room, k.rest[i]) <= k.floor {
		return
	}
	if i == len(k.items) {
		if total := worth + k.fill(nil); total > k.floor {
			k.floor = k.visit(total)
		}
		return
	}
	it := &k.items[i]
	n := k.most[it.typ] - k.used[it.typ]
	for _, e := range it.col {
		n = min(n, int(k.left[e.row]/it.need[e.row]))
	}
	if it.apart != "" {
		if n = min(n, 1); k.s.in.barred(k.config, it.apart) {
			n = 0
		}
		for j := range i {
			if k.taken[j] > 0 && k.items[j].apart == it.apart {
				n = 0
			}
		}
	}
	k.put(i, n)
	for c := n; c >= 0; c-- {
		k.step(i+1, worth+float64(it.worth*float64(c)), room-float64(it.size*float64(c)))
		if c > 0 {
			k.put(i, -1)
		}
	}
}

// put takes n of an item; a negative n puts them back.
func (k *knapsack) put(i, n int) {
	it := &k.items[i]
	k.taken[i] += n
	k.used[it.typ] += n
	k.left.add(it.need, -int32(n))
}

// fill is the worth of the loose points that what is left can take; with a
// list it also tells how many of each kind.
func (k *knapsack) fill(list []int) float64 {
	if len(k.kinds) == 0 {
		return 0
	}
	in := k.s.in
	var room [64]int32
	left := append(room[:0], k.left...)
	worth := 0.0
	for _, kind := range k.kinds {
		n := int32(k.loose[kind])
		for _, h := range in.hallsOf[kind] {
			n = min(n, left[h])
		}
		if n <= 0 {
			continue
		}
		for _, h := range in.hallsOf[kind] {
			left[h] -= n
		}
		worth += float64(k.value[kind] * float64(n))
		if list != nil {
			list[kind] = int(n)
		}
	}
	return worth
}

// filling is the filling in hand as a pattern.
func (k *knapsack) filling() *pattern {
	p := &pattern{config: k.config, cost: float64(k.config.price)}
	for i, n := range k.taken {
		if n > 0 {
			it := &k.items[i]
			p.whole = append(p.whole, filled{it.typ, it.variant, n})
			p.cost += float64(float64(n) * float64(k.s.in.types[it.typ].variants[it.variant].extra))
		}
	}
	p.loose = make([]int, len(k.s.in.masks))
	k.fill(p.loose)
	return p
}

// filled is so many items of a type, read as a variant.
type filled struct{ typ, variant, n int }

// pattern is a configuration with what stands in it.
type pattern struct {
	config *config
	whole  []filled
	loose  []int
	cost   float64 // price and interposers
}
