package pack

import (
	"cmp"
	"slices"
)

// load is a controller being filled: which whole items and how many loose
// points of each kind stand in it.
type load struct {
	config *config
	need   vector
	whole  []whole
	loose  []int // by kind
}

// whole is one item of a type, read as a variant.
type whole struct{ typ, variant int }

// plan is a set of controllers and the items that are split.
type plan struct {
	loads []load
	split []whole
	cost  int64
	none  bool // there is no plan yet; cost is a ceiling
}

// price adds up a plan.
func (in *instance) price(pl *plan) int64 {
	var cost int64
	for _, l := range pl.loads {
		cost += in.loadCost(&l)
	}
	for _, w := range pl.split {
		cost += in.types[w.typ].penalty + in.types[w.typ].variants[w.variant].extra
	}
	return cost
}

func (in *instance) loadCost(l *load) int64 {
	cost := l.config.price
	for _, w := range l.whole {
		cost += in.types[w.typ].variants[w.variant].extra
	}
	return cost
}

// clash reports whether an item of the same group of items to be kept apart is
// there already.
func (in *instance) clash(c *config, list []whole, apart string) bool {
	member := func(w whole) bool { return in.types[w.typ].apart == apart }
	return apart != "" && (in.barred(c, apart) || slices.ContainsFunc(list, member))
}

// barred reports whether a standing controller has a member of a group already.
func (in *instance) barred(c *config, apart string) bool {
	return apart != "" && c.standing >= 0 && slices.Contains(in.p.Standing[c.standing].Groups, apart)
}

// order lists the types largest first.
func (in *instance) order() []int {
	out := make([]int, len(in.types))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int {
		return cmp.Compare(total(in.types[b].variants[0].need), total(in.types[a].variants[0].need))
	})
	return out
}

// filler puts items into controllers in turn.
type filler struct {
	in      *instance
	house   *config  // what a new controller is
	configs []config // what it may be instead where an item does not fit, cheapest first
	loads   []load
	from    map[whole]int // the first load that may still take such an item: those before are too full for good
	next    []int         // the same for loose points by kind
}

// put places one item of a type: in the first controller that takes it, its
// cheapest variant first, else in a new one. False if no configuration does.
func (f *filler) put(t int) bool {
	one := &f.in.types[t]
	for v := range one.variants {
		for i := f.from[whole{t, v}]; i < len(f.loads); i++ {
			l := &f.loads[i]
			if l.need.plusWithin(one.variants[v].need, l.config.cap) && !f.in.clash(l.config, l.whole, one.apart) {
				f.join(l, t, v)
				f.from[whole{t, v}] = i
				return true
			}
		}
		f.from[whole{t, v}] = len(f.loads)
	}
	best := -1
	var with *config
	var least int64
	try := func(c *config) {
		for v, variant := range one.variants {
			if c.standing < 0 && variant.need.within(c.cap) && (best < 0 || c.price+variant.extra < least) {
				best, with, least = v, c, c.price+variant.extra
			}
		}
	}
	if f.house != nil {
		try(f.house)
	}
	if best < 0 {
		for i := range f.configs {
			try(&f.configs[i])
		}
	}
	if best < 0 {
		return false
	}
	f.open(with)
	f.join(&f.loads[len(f.loads)-1], t, best)
	return true
}

func (f *filler) open(c *config) {
	f.loads = append(f.loads, load{config: c, need: make(vector, len(f.in.halls)), loose: make([]int, len(f.in.masks))})
}

func (f *filler) join(l *load, t, v int) {
	l.need.add(f.in.types[t].variants[v].need, 1)
	l.whole = append(l.whole, whole{t, v})
}

// putPoint places one loose point.
func (f *filler) putPoint(kind int) bool {
	need := f.in.one[kind]
	at := f.next[kind]
	for at < len(f.loads) && !f.loads[at].need.plusWithin(need, f.loads[at].config.cap) {
		at++
	}
	f.next[kind] = at
	if at == len(f.loads) {
		c := f.house
		if c == nil || !need.within(c.cap) {
			i := slices.IndexFunc(f.configs, func(c config) bool { return c.standing < 0 && need.within(c.cap) })
			if i < 0 {
				return false
			}
			c = &f.configs[i]
		}
		f.open(c)
		at = len(f.loads) - 1
	}
	f.loads[at].loose[kind]++
	f.loads[at].need.add(need, 1)
	return true
}

// firstFit fills controllers of one configuration (nil: the cheapest that takes
// the item in hand) in turn, those that hang
// already first: largest equipment first, then what was split, then loose
// points. With size every new controller is then cut to the cheapest
// configuration that holds its load. Nil if something fits nowhere.
func (in *instance) firstFit(d demand, house *config, configs []config, size bool) *plan {
	f := &filler{in: in, house: house, configs: configs, from: map[whole]int{}, next: make([]int, len(in.masks))}
	for i := range configs {
		if c := &configs[i]; c.standing >= 0 && c.price == 0 && slices.Contains(d.standing, c.standing) && !slices.ContainsFunc(f.loads, func(l load) bool { return l.config.standing == c.standing }) {
			f.open(c)
		}
	}
	loose := slices.Clone(d.loose)
	out := &plan{}
	for _, t := range in.order() {
		for range d.count[t] {
			if f.put(t) {
				continue
			}
			if in.types[t].keep == Hard {
				return nil
			}
			out.split = append(out.split, whole{t, 0})
			for _, k := range in.types[t].variants[0].kinds {
				loose[k]++
			}
		}
	}
	for k, n := range loose {
		for range n {
			if !f.putPoint(k) {
				return nil
			}
		}
	}
	out.loads = f.loads
	if size {
		in.rightSize(out, configs)
	}
	out.cost = in.price(out)
	return out
}

// rightSize cuts every controller to the cheapest configuration that holds its
// load and drops new ones that hold nothing. Configurations come cheapest first.
func (in *instance) rightSize(pl *plan, configs []config) {
	var kept []load
	for _, l := range pl.loads {
		for i := range configs {
			c := &configs[i]
			if c.price >= l.config.price {
				break
			}
			if c.standing == l.config.standing && l.need.within(c.cap) {
				l.config = c
				break
			}
		}
		if l.config.price > 0 && total(l.need) == 0 {
			continue
		}
		kept = append(kept, l)
	}
	pl.loads = kept
}
