package pack

import (
	"math"
	"math/bits"
	"slices"
)

// Most panels hold a handful of machines, each unlike the others and with
// points that take an interposer. There the search over fillings reads some
// points in a few likely ways only and proves nothing; but a handful can be
// tried outright. For every set of items the cheapest controller that holds it
// alone is found, each point on the class that the least total of interposers
// gives; then the sets are put together, each item in one of them. That is the
// best plan without splits. One that splits an item costs its penalty on top of
// the covering bound, which knows nothing of togetherness.

// fewWhole is how many items are tried so: 2^11 sets.
const fewWhole = 11

// few settles a demand of few items. It returns the better plan if there is
// one, and the bound that then holds.
func (s *solver) few(c *cover, d demand, best *plan, low int64) (*plan, int64) {
	in := s.in
	list := in.members(d)
	if best.none || len(in.p.Standing) > 0 || best.cost <= low || len(list) == 0 || len(list) > fewWhole || len(in.loose) > 0 {
		return best, low
	}
	near, all := c.within(float64(best.cost-in.step)-c.bound, s.limits.configs)
	if !all {
		return best, low
	}
	sets := s.holding(list, undominated(near), best.cost)
	cheapest, part := make([]int64, len(sets)), make([]int, len(sets))
	for set := 1; set < len(sets); set++ {
		cheapest[set] = math.MaxInt64 / 4
		first := set & -set
		for sub := set; sub > 0; sub = (sub - 1) & set {
			if sub&first != 0 && sets[sub].config != nil && sets[sub].cost+cheapest[set&^sub] < cheapest[set] {
				cheapest[set], part[set] = sets[sub].cost+cheapest[set&^sub], sub
			}
		}
	}
	every := len(sets) - 1
	if cost := cheapest[every]; cost < best.cost {
		best = &plan{cost: cost}
		for set := every; set > 0; set &^= part[set] {
			best.loads = append(best.loads, in.holds(list, part[set], sets[part[set]].config))
		}
	}
	bound, pooled := best.cost, s.wholeBound(c)
	for _, m := range list {
		if one := in.types[m]; one.keep == Soft {
			bound = min(bound, in.up(pooled+float64(one.penalty)))
		}
	}
	return best, max(low, bound)
}

// members lists the types of the items of a demand, one entry an item.
func (in *instance) members(d demand) []int {
	var out []int
	for t, n := range d.count {
		for range n {
			out = append(out, t)
		}
	}
	return out
}

// held is the cheapest controller for a set of items; no configuration if none
// holds it for less than was asked.
type held struct {
	config *config
	cost   int64
}

// holding finds it for every set of items. A set that holds one that is too
// dear is too dear.
func (s *solver) holding(list []int, configs []config, below int64) []held {
	in := s.in
	next := make([]int, len(in.types)) // the next member of each type
	var member []member
	for _, t := range list {
		member = append(member, in.types[t].members[next[t]])
		next[t]++
	}
	out := make([]held, 1<<len(list))
	for set := 1; set < len(out); set++ {
		out[set].cost = below
		h := newHolding(in)
		possible := true
		for rest := set; rest > 0; rest &= rest - 1 {
			i := bits.TrailingZeros(uint(rest))
			without := set &^ (1 << i)
			possible = possible && (without == 0 || out[without].config != nil)
			h.add(&in.types[list[i]], member[i])
		}
		if possible && !h.clash {
			out[set] = h.cheapest(s, configs, below)
		}
	}
	return out
}

// holdings are items that are to stand in one controller.
type holdings struct {
	in          *instance
	first, last vector // needs with every point at its first tier and at its last
	step        int64  // the least amount that a point costs beyond its first
	points      []Placed
	groups      []string
	clash       bool // two of a group to be kept apart
}

func newHolding(in *instance) *holdings {
	return &holdings{in: in, first: make(vector, len(in.halls)), last: make(vector, len(in.halls))}
}

// add puts one more item in.
func (h *holdings) add(one *itemType, m member) {
	for _, ts := range one.tiers {
		h.first.add(h.in.one[h.in.kind(ts[0].mask)], 1)
		h.last.add(h.in.one[h.in.kind(ts[len(ts)-1].mask)], 1)
		if len(ts) > 1 && (h.step == 0 || ts[1].extra-ts[0].extra < h.step) {
			h.step = ts[1].extra - ts[0].extra
		}
	}
	for _, j := range m.points {
		h.points = append(h.points, Placed{Item: m.item, Point: j})
	}
	if one.apart != "" {
		h.clash = h.clash || slices.Contains(h.groups, one.apart)
		h.groups = append(h.groups, one.apart)
	}
}

// interposed is what the points that go beyond their first tier cost at least
// in a configuration: of every Hall set as many must leave it as it is short of
// terminals.
func (h *holdings) interposed(c *config) int64 {
	short := int32(0)
	for i := range h.first {
		short = max(short, h.first[i]-c.cap[i])
	}
	return int64(short) * h.step
}

// cheapest is the configuration that holds the items at the least total below
// an amount; none if none does.
func (h *holdings) cheapest(s *solver, configs []config, below int64) held {
	out := held{cost: below}
	bin := Bin{Standing: -1, Points: h.points}
	for k := range configs {
		c := &configs[k]
		if c.standing >= 0 || c.price >= out.cost || !h.last.within(c.cap) || c.price+h.interposed(c) >= out.cost {
			continue
		}
		s.work += int64(len(bin.Points))
		if extra, err := h.in.p.match(&bin, c.ports); err == nil && c.price+extra < out.cost {
			out = held{c, c.price + extra}
		}
	}
	return out
}

// holds is a controller with a set of items in it.
func (in *instance) holds(list []int, set int, c *config) load {
	l := load{config: c, need: make(vector, len(in.halls)), loose: make([]int, len(in.masks))}
	for i, t := range list {
		if set>>i&1 == 1 {
			l.whole = append(l.whole, whole{t, 0})
			l.need.add(in.types[t].variants[0].need, 1)
		}
	}
	return l
}
