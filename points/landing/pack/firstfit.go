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
	loose  []int // by kind; nil none
}

// whole is one item of a type in a controller, read as a variant.
type whole struct{ typ, variant int }

// plan is a set of controllers and the items that were split.
type plan struct {
	loads []load
	split []int // of each type, how many are split
	cost  int64
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

// looseKinds counts the loose points by kind.
func (in *instance) looseKinds() []int {
	out := make([]int, len(in.masks))
	for _, l := range in.loose {
		out[l.kind]++
	}
	return out
}

// filler puts items into controllers in turn.
type filler struct {
	in      *instance
	house   *config  // what a new controller is
	configs []config // what it may be instead where an item does not fit
	tight   []vector // need of one point of each kind
	loads   []load
	split   []int
	extra   int64
}

// fits reports whether an item may join a load.
func (f *filler) fits(l *load, t int, v int) bool {
	one := &f.in.types[t]
	return l.need.plusWithin(one.variants[v].need, l.config.cap) && !f.in.clash(l.whole, one.apart)
}

// clash reports whether an item of the same group of items to be kept apart is
// there already.
func (in *instance) clash(list []whole, apart string) bool {
	return apart != "" && slices.ContainsFunc(list, func(w whole) bool { return in.types[w.typ].apart == apart })
}

// put places one item of a type: in the first controller that takes it, its
// cheapest variant first, else in a new one. False if no configuration does.
func (f *filler) put(t int) bool {
	one := &f.in.types[t]
	for v := range one.variants {
		for i := range f.loads {
			if f.fits(&f.loads[i], t, v) {
				f.join(i, t, v)
				return true
			}
		}
	}
	best := -1
	var bestConfig *config
	var least int64
	try := func(c *config) {
		for v, variant := range one.variants {
			if variant.need.within(c.cap) && (best < 0 || c.price+variant.extra < least) {
				best, bestConfig, least = v, c, c.price+variant.extra
			}
		}
	}
	if try(f.house); best < 0 {
		for i := range f.configs {
			try(&f.configs[i])
		}
	}
	if best < 0 {
		return false
	}
	f.open(bestConfig)
	f.join(len(f.loads)-1, t, best)
	return true
}

func (f *filler) open(c *config) {
	f.loads = append(f.loads, load{config: c, need: make(vector, len(f.in.halls))})
}

func (f *filler) join(i, t, v int) {
	l := &f.loads[i]
	l.need.add(f.in.types[t].variants[v].need, 1)
	l.whole = append(l.whole, whole{t, v})
	f.extra += f.in.types[t].variants[v].extra
}

// putPoint places one loose point.
func (f *filler) putPoint(kind int) bool {
	need := f.tight[kind]
	at := slices.IndexFunc(f.loads, func(l load) bool { return l.need.plusWithin(need, l.config.cap) })
	if at < 0 {
		c := f.house
		if !need.within(c.cap) {
			i := slices.IndexFunc(f.configs, func(c config) bool { return need.within(c.cap) })
			if i < 0 {
				return false
			}
			c = &f.configs[i]
		}
		f.open(c)
		at = len(f.loads) - 1
	}
	l := &f.loads[at]
	if l.loose == nil {
		l.loose = make([]int, len(f.in.masks))
	}
	l.loose[kind]++
	l.need.add(need, 1)
	return true
}

// single is the need of one point of each kind.
func (in *instance) single() []vector {
	out := make([]vector, len(in.masks))
	for k := range out {
		out[k] = in.need([]int{k})
	}
	return out
}

// firstFit fills controllers of one configuration in turn, those that hang
// already first: largest equipment first, then what was split, then loose
// points. With size every new controller is then cut to the cheapest
// configuration that holds its load. Nil if something fits nowhere.
func (in *instance) firstFit(house *config, configs []config, standing [][]config, size bool) *plan {
	f := &filler{in: in, house: house, configs: configs, tight: in.single(), split: make([]int, len(in.types))}
	for i := range standing {
		f.open(&standing[i][0])
	}
	loose := in.looseKinds()
	out := &plan{split: f.split}
	for _, t := range in.order() {
		for range in.types[t].members {
			if f.put(t) {
				continue
			}
			if in.types[t].keep == Hard {
				return nil
			}
			f.split[t]++
			out.cost += in.types[t].penalty
			for _, k := range in.types[t].variants[0].kinds {
				loose[k]++
			}
			f.extra += in.types[t].variants[0].extra
		}
	}
	for k, n := range loose {
		for range n {
			if !f.putPoint(k) {
				return nil
			}
		}
	}
	out.cost += f.extra
	for i := range f.loads {
		l := &f.loads[i]
		if size && l.config.standing < 0 {
			l.config = &configs[slices.IndexFunc(configs, func(c config) bool { return l.need.within(c.cap) })]
		}
		out.cost += l.config.price
	}
	out.loads = f.loads
	return out
}
