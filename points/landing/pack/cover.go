package pack

import (
	"math"
	"slices"
)

// The covering program: how much of which configurations must be bought so
// that for every Hall set the capacities cover the need. Whole items are
// poured like water here, so its value is a lower bound of any plan, and its
// duals price every Hall set and with them every terminal class.
//
// A plan costs this bound, plus the reduced cost of each configuration it
// uses, plus prices of what is left over. So a configuration whose reduced
// cost exceeds (best plan − bound) is in no better plan and is never built.
// That matters: a base with eight slots and a dozen expansions has hundreds of
// thousands of configurations. They are walked module by module, and a branch
// is cut as soon as its reduced cost, with the best that the slots left could
// gain, is above what is asked for.

// demand is what is to be placed: of each type how many, of each kind how many
// loose points, and which of the controllers that hang already may be used.
type demand struct {
	count    []int
	loose    []int
	standing []int
}

func (in *instance) everything() demand {
	d := demand{loose: in.looseKinds()}
	for _, t := range in.types {
		d.count = append(d.count, len(t.members))
	}
	for i := range in.p.Standing {
		d.standing = append(d.standing, i)
	}
	return d
}

func (d demand) points(in *instance) int {
	n := 0
	for t, c := range d.count {
		n += c * in.types[t].points
	}
	for _, c := range d.loose {
		n += c
	}
	return n
}

func (d demand) empty() bool {
	some := func(n int) bool { return n > 0 }
	return !slices.ContainsFunc(d.count, some) && !slices.ContainsFunc(d.loose, some)
}

// widest is the most that the demand can ask of each Hall set. A dearer tier
// only widens a mask, so the first variant asks most.
func (in *instance) widest(d demand) vector {
	v := make(vector, len(in.halls))
	for t, n := range d.count {
		if n > 0 {
			v.add(in.types[t].variants[0].need, int32(n))
		}
	}
	for k, n := range d.loose {
		if n > 0 {
			v.add(in.one[k], int32(n))
		}
	}
	return v
}

// choice is points that may read their tiers in several ways: how many there
// are with these tiers. Sums over points decide everything here, so it does not
// matter whose points they are.
type choice struct {
	tiers []tier
	count int
}

// choices splits the demand into what is fixed and what may be read in
// several ways.
func (in *instance) choices(d demand) (fixed vector, open []choice) {
	fixed = make(vector, len(in.halls))
	for k, n := range d.loose {
		fixed.add(in.one[k], int32(n))
	}
	for t, n := range d.count {
		if n == 0 {
			continue
		}
		for _, ts := range in.types[t].tiers {
			if len(ts) == 1 {
				fixed.add(in.one[in.kind(ts[0].mask)], int32(n))
				continue
			}
			i := slices.IndexFunc(open, func(c choice) bool { return compareTiers(c.tiers, ts) == 0 })
			if i < 0 {
				i = len(open)
				open = append(open, choice{tiers: ts})
			}
			open[i].count += n
		}
	}
	return fixed, open
}

// cover is the covering program of a demand.
type cover struct {
	s       *solver
	d       demand
	widest  vector
	limit   []int
	y       []float64 // price of each Hall set
	exactly int       // how many new controllers there must be; -1 any number
	each    float64   // price of that row: what one more controller is worth
	// controllers is how many new ones the program buys.
	controllers float64
	gives       map[int]float64 // what a standing controller gives at these prices
	bound       float64
	configs     []config // those that came up
}

// newCover solves the program by generating configurations.
func (s *solver) newCover(d demand) *cover { return s.coverWith(d, -1) }

// wholeBound is the bound again with a whole number of new controllers. The
// program buys fractions of them; the bound is convex in how many there are, so
// with whole numbers it is least at one of the two next to that fraction.
func (s *solver) wholeBound(c *cover) float64 {
	low := math.Floor(c.controllers + 1e-6)
	if c.controllers-low < 1e-4 {
		return c.bound
	}
	return max(c.bound, min(s.coverWith(c.d, int(low)).bound, s.coverWith(c.d, int(low)+1).bound))
}

// coverWith solves the program with exactly so many new controllers; -1 any
// number of them.
func (s *solver) coverWith(d demand, controllers int) *cover {
	in := s.in
	c := &cover{s: s, d: d, exactly: controllers, widest: in.widest(d), limit: in.limitsOf(d), y: make([]float64, len(in.halls))}
	// rows: Hall sets; then points that may be read in several ways; then
	// standing controllers (each at most once)
	fixed, open := in.choices(d)
	b := make([]float64, len(in.halls))
	for h := range b {
		b[h] = float64(fixed[h])
	}
	for _, o := range open {
		b = append(b, float64(o.count))
	}
	for range d.standing {
		b = append(b, 1)
	}
	if controllers >= 0 {
		b = append(b, float64(controllers))
	}
	prog := newLP(b, &s.work)
	var basis []int
	const dear = 1e9 // a terminal from nowhere
	for h := range in.halls {
		basis = append(basis, prog.add(dear, []entry{{h, 1}}))
	}
	for i := range open { // a point starts dear and then reads one of its tiers
		basis = append(basis, prog.add(dear*100, []entry{{len(in.halls) + i, 1}}))
	}
	for i := range d.standing {
		basis = append(basis, prog.add(0, []entry{{len(in.halls) + len(open) + i, 1}}))
	}
	if controllers >= 0 {
		basis = append(basis, prog.add(dear*100, []entry{{len(b) - 1, 1}}))
	}
	prog.start(basis)
	for h := range in.halls {
		prog.add(0, []entry{{h, -1}})
	}
	for i, o := range open {
		for _, t := range o.tiers {
			col := []entry{{len(in.halls) + i, 1}}
			for _, e := range in.oneCol[in.kind(t.mask)] {
				col = append(col, entry{e.row, -e.val})
			}
			prog.add(float64(t.extra), col)
		}
	}
	c.generate(prog, len(in.halls)+len(open))
	return c
}

// generate adds the configurations of least reduced cost until none is below 0.
func (c *cover) generate(prog *lp, firstStanding int) {
	column := map[int]bool{} // columns that are new controllers
	put := func(k config) {
		c.configs = append(c.configs, k)
		var col []entry
		for h, n := range k.cap {
			if n > 0 {
				col = append(col, entry{h, float64(n)})
			}
		}
		if k.standing >= 0 {
			col = append(col, entry{firstStanding + slices.Index(c.d.standing, k.standing), 1})
		} else if c.exactly >= 0 {
			col = append(col, entry{len(prog.b) - 1, 1})
		}
		column[prog.add(float64(k.price), col)] = k.standing < 0
	}
	for _, k := range c.bare() {
		put(k)
	}
	for range 400 {
		prog.solve(2000)
		copy(c.y, prog.y[:len(c.y)])
		for h := range c.y {
			c.y[h] = max(0, c.y[h])
		}
		if c.exactly >= 0 {
			c.each = prog.y[len(prog.b)-1]
		}
		found := c.cheapest()
		added := false
		for _, k := range found {
			worth := 0.0
			if k.standing >= 0 {
				worth = -prog.y[firstStanding+slices.Index(c.d.standing, k.standing)]
			}
			if c.reduced(&k)+worth < -1e-6 {
				put(k)
				added = true
			}
		}
		if !added {
			break
		}
	}
	for r, k := range prog.basis {
		if column[k] {
			c.controllers += prog.x[r]
		}
	}
	c.bound = c.lagrange()
}

// lagrange turns the prices into a bound that holds whatever the program did:
// what the demand is worth at them, each point at its cheapest tier, scaled (or
// with a given number of controllers lowered for each) until no configuration
// is worth more than it costs, less what the standing controllers give.
func (c *cover) lagrange() float64 {
	scale := 1.0
	for _, k := range c.cheapest() {
		switch v := c.worth(k.cap); {
		case k.standing >= 0:
		case c.exactly >= 0:
			c.each = min(c.each, float64(k.price)-v)
		case v > float64(k.price):
			scale = min(scale, float64(k.price)/v)
		}
	}
	for h := range c.y {
		c.y[h] = float64(c.y[h] * scale)
	}
	in, value := c.s.in, 0.0
	if c.exactly >= 0 {
		value = float64(c.each * float64(c.exactly))
	}
	fixed, open := in.choices(c.d)
	value += c.worth(fixed)
	for _, o := range open {
		least := math.Inf(1)
		for _, t := range o.tiers {
			least = min(least, float64(t.extra)+c.worth(in.one[in.kind(t.mask)]))
		}
		value += float64(float64(o.count) * least)
	}
	for t, n := range c.d.count {
		for _, ts := range in.types[t].tiers {
			if len(ts) == 1 {
				value += float64(float64(n) * float64(ts[0].extra))
			}
		}
	}
	c.gives = map[int]float64{}
	for _, k := range c.cheapest() {
		if k.standing >= 0 {
			c.gives[k.standing] = max(c.gives[k.standing], -c.reduced(&k))
		}
	}
	for _, i := range c.d.standing {
		value -= c.gives[i]
	}
	return value
}

// worth is a vector at the prices of the Hall sets.
func (c *cover) worth(v vector) float64 {
	w := 0.0
	for h, n := range v {
		w += float64(c.y[h] * float64(n))
	}
	return w
}

func (c *cover) reduced(k *config) float64 {
	r := float64(k.price) - c.worth(k.cap)
	if k.standing < 0 {
		r -= c.each
	}
	return r
}

// limitsOf are how many terminals of each class are worth installing: enough
// for every point that may use the class, with the spare on top.
func (in *instance) limitsOf(d demand) []int {
	kinds := slices.Clone(d.loose)
	for t, n := range d.count {
		if n == 0 {
			continue
		}
		for _, v := range in.types[t].variants[len(in.types[t].variants)-1:] {
			for _, k := range v.kinds {
				kinds[k] += n
			}
		}
	}
	out := make([]int, len(in.p.Classes))
	for i := range out {
		n := 0
		for k, m := range in.masks {
			if m.Has(i) {
				n += kinds[k]
			}
		}
		out[i] = n
		for use := n; n > 0 && in.p.Spare.Usable(i, use) < n; use++ {
			out[i] = use + 1
		}
	}
	return out
}
