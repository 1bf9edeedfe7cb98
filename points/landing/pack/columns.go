package pack

import (
	"math"
	"slices"
)

// The pattern program: choose fillings of controllers so that every item is in
// one and every loose point has a place, a split item paying its penalty and
// turning into loose points. Its value is a lower bound much closer to the
// truth than the covering program, because a filling holds whole items only.
// Fillings come by column generation: the duals value items and points, and
// the knapsack looks in every configuration for a filling worth more than it
// costs.

// master is the pattern program of a demand.
type master struct {
	s        *solver
	d        demand
	configs  []config
	loose    []int // loose points of each kind there can be, splits included
	rowOf    []int // of each type; -1 none
	rowKind  []int // of each kind; -1 none
	rowStand []int // of each standing controller of the problem; -1 none
	prog     *lp
	patterns []*pattern // of each column; nil a slack, a split or an artificial one

	types, kinds []float64 // duals
	stand        []float64 // what each standing controller gives, ≥ 0
	prices       []float64 // Hall prices that dominate the duals
	bound        float64
	exact        bool          // no filling is worth more than it costs
	ended        bool          // the knapsacks of the last round were finished
	split        map[int]whole // columns that split an item
	splits       []int         // how many of each type may be split
}

const dear = 1e10 // cents; no plan costs as much

// newMaster sets up the program. slack is what a better plan may at most spend
// on penalties: the cost to beat less a bound that counts none; it limits how
// many items may be split.
func (s *solver) newMaster(d demand, configs []config, slack float64) *master {
	in := s.in
	if len(d.standing) < len(in.p.Standing) {
		configs = slices.DeleteFunc(slices.Clone(configs), func(c config) bool { return c.standing >= 0 && !slices.Contains(d.standing, c.standing) })
	}
	m := &master{s: s, d: d, configs: configs, loose: slices.Clone(d.loose), types: make([]float64, len(in.types)), kinds: make([]float64, len(in.masks)),
		stand: make([]float64, len(in.p.Standing)), prices: make([]float64, len(in.halls)), split: map[int]whole{}, splits: make([]int, len(in.types))}
	for t, n := range d.count {
		if n > 0 && in.types[t].keep == Soft {
			m.splits[t] = n
			if p := in.types[t].penalty; p > 0 {
				m.splits[t] = int(min(float64(n), max(0, slack)/float64(p)))
			}
			for k, c := range in.types[t].mostOf {
				m.loose[k] += m.splits[t] * c
			}
		}
	}
	var b []float64
	row := func(want float64) int { b = append(b, want); return len(b) - 1 }
	rows := func(n int, has func(int) (float64, bool)) []int {
		out := make([]int, n)
		for i := range out {
			out[i] = -1
			if want, ok := has(i); ok {
				out[i] = row(want)
			}
		}
		return out
	}
	m.rowOf = rows(len(in.types), func(t int) (float64, bool) { return float64(d.count[t]), d.count[t] > 0 })
	m.rowKind = rows(len(in.masks), func(k int) (float64, bool) { return float64(d.loose[k]), m.loose[k] > 0 })
	m.rowStand = rows(len(in.p.Standing), func(i int) (float64, bool) { return 1, slices.Contains(d.standing, i) })
	m.prog = newLP(b, &s.work)
	basis := make([]int, len(b))
	for r := range b {
		cost := dear
		if slices.Contains(m.rowStand, r) {
			cost = 0
		}
		basis[r] = m.column(nil, cost, []entry{{r, 1}})
	}
	m.prog.start(basis)
	for _, list := range [][]int{m.rowOf, m.rowKind} {
		for _, r := range list {
			if r >= 0 {
				m.column(nil, 0, []entry{{r, -1}})
			}
		}
	}
	for t, n := range d.count {
		if n > 0 && m.splits[t] > 0 {
			m.addSplits(t)
		}
	}
	return m
}

func (m *master) column(p *pattern, cost float64, col []entry) int {
	m.patterns = append(m.patterns, p)
	return m.prog.add(cost, col)
}

// addSplits adds the columns that split an item of a soft type.
func (m *master) addSplits(t int) {
	one := &m.s.in.types[t]
	for i := range one.variants {
		col := []entry{{m.rowOf[t], 1}}
		for k, n := range count(one.variants[i].kinds, len(m.kinds)) {
			if n > 0 {
				col = append(col, entry{m.rowKind[k], -float64(n)})
			}
		}
		m.split[m.column(nil, float64(one.penalty+one.variants[i].extra), col)] = whole{t, i}
	}
}

func count(kinds []int, n int) []int {
	out := make([]int, n)
	for _, k := range kinds {
		out[k]++
	}
	return out
}

// addPattern adds a filling as a column.
func (m *master) addPattern(p *pattern) {
	var col []entry
	for _, w := range p.whole {
		if m.rowOf[w.typ] < 0 {
			continue
		}
		if i := slices.IndexFunc(col, func(e entry) bool { return e.row == m.rowOf[w.typ] }); i >= 0 {
			col[i].val += float64(w.n)
		} else {
			col = append(col, entry{m.rowOf[w.typ], float64(w.n)})
		}
	}
	for k, n := range p.loose {
		if n > 0 && m.rowKind[k] >= 0 {
			col = append(col, entry{m.rowKind[k], float64(n)})
		}
	}
	if len(col) == 0 {
		return
	}
	if p.config.standing >= 0 {
		if m.rowStand[p.config.standing] < 0 {
			return
		}
		col = append(col, entry{m.rowStand[p.config.standing], 1})
	}
	m.column(p, p.cost, col)
}

// read takes the duals over, cut at 0.
func (m *master) read() {
	y := m.prog.y
	for t, r := range m.rowOf {
		if r >= 0 {
			m.types[t] = max(0, y[r])
		}
	}
	for k, r := range m.rowKind {
		if r >= 0 {
			m.kinds[k] = max(0, y[r])
		}
	}
	for i, r := range m.rowStand {
		if r >= 0 {
			m.stand[i] = max(0, -y[r])
		}
	}
}

// dominate finds Hall prices at which no item and no loose point is worth more
// than it takes, cheap for the controllers that the program uses.
func (m *master) dominate() {
	b := make([]float64, len(m.prices))
	for r, c := range m.prog.basis {
		if p := m.patterns[c]; p != nil {
			for h, n := range p.config.cap {
				b[h] += float64(m.prog.x[r] * float64(n))
			}
		}
	}
	m.pricesFor(b, m.prices)
}

// pricesFor finds such prices for a controller of given size: the duals of
// filling it with fractions.
func (m *master) pricesFor(size, prices []float64) {
	prog := m.s.fill
	if prog == nil {
		prog = newLP(size, &m.s.work)
		m.s.fill = prog
	}
	prog.reset(size)
	basis := make([]int, len(size))
	for h := range size {
		size[h] += 0.01 // no row may be empty
		basis[h] = prog.add(0, m.s.in.unit[h])
	}
	prog.start(basis)
	m.eachOffer(func(need vector, col []entry, worth float64) { prog.add(-worth, col) })
	prog.solve(500)
	for h := range prices {
		prices[h] = max(0, -prog.y[h])
	}
	scale := 1.0
	m.eachOffer(func(need vector, col []entry, worth float64) {
		size := 0.0
		for _, e := range col {
			size += float64(prices[e.row] * e.val)
		}
		if size <= 1e-9 {
			prices[col[0].row] += worth
			return
		}
		scale = max(scale, worth/size)
	})
	for h := range prices {
		prices[h] = float64(prices[h] * scale)
	}
}

// eachOffer calls f with everything that has a worth.
func (m *master) eachOffer(f func(need vector, col []entry, worth float64)) {
	in := m.s.in
	for t, n := range m.d.count {
		if n == 0 {
			continue
		}
		for i := range in.types[t].variants {
			v := &in.types[t].variants[i]
			if worth := m.types[t] - float64(v.extra); worth > 1e-9 {
				f(v.need, v.col, worth)
			}
		}
	}
	for k, n := range m.loose {
		if n > 0 && m.kinds[k] > 1e-9 {
			f(in.one[k], in.oneCol[k], m.kinds[k])
		}
	}
}

// room is the most that a configuration can be worth.
func (m *master) room(c *config) float64 {
	w := 0.0
	for h, n := range c.cap {
		w += float64(m.prices[h] * float64(n))
	}
	return w
}

// least is what a filling of a configuration must be worth to help.
func (m *master) least(c *config) float64 {
	v := float64(c.price)
	if c.standing >= 0 {
		v += m.stand[c.standing]
	}
	return v
}

// generate adds fillings until none helps or so many rounds are done, and
// leaves a bound that holds either way.
func (m *master) generate(rounds, nodes int) {
	for range rounds {
		m.prog.solve(3000)
		m.read()
		m.dominate()
		if m.round(nodes) == 0 {
			m.exact = true
			break
		}
		if m.s.spent() {
			break
		}
	}
	m.settleBound(nodes)
}

// round adds fillings that help: with every item read the plain way if there
// are any, else with its variants. It returns how many.
func (m *master) round(nodes int) int {
	if m.tiered() {
		if n := m.roundOf(nodes, plain); n > 0 {
			return n
		}
	}
	return m.roundOf(nodes, variants)
}

// tiered reports whether any item of the demand has variants.
func (m *master) tiered() bool {
	for t, n := range m.d.count {
		if n > 0 && len(m.s.in.types[t].variants) > 1 {
			return true
		}
	}
	return false
}

// roundOf adds the best filling of the configurations that may have one, the
// most promising first, a dozen at most.
func (m *master) roundOf(nodes int, how offering) int {
	type chance struct {
		c    *config
		gain float64
	}
	var list []chance
	for i := range m.configs {
		c := &m.configs[i]
		if gain := m.room(c) - m.least(c); gain > 1e-6 {
			list = append(list, chance{c, gain})
		}
	}
	slices.SortStableFunc(list, func(a, b chance) int {
		if a.gain > b.gain {
			return -1
		}
		if a.gain < b.gain {
			return 1
		}
		return 0
	})
	ks := m.s.offer(m.types, m.kinds, m.d, m.loose, m.prices, how)
	added := 0
	m.ended = true
	own, size := make([]float64, len(m.prices)), make([]float64, len(m.prices))
	for _, one := range list {
		var best *pattern
		for h, n := range one.c.cap {
			size[h] = float64(n)
		}
		m.pricesFor(size, own)
		ks.tune(own)
		m.ended = ks.run(one.c, m.least(one.c)+1e-6, nodes, func(worth float64) float64 {
			best = ks.filling()
			return worth + 1e-9
		}) && m.ended
		if best != nil {
			m.addPattern(best)
			if added++; added >= 12 {
				break
			}
		}
	}
	return added
}

// settleBound makes the duals fit every filling, scaling them down where a
// knapsack was not finished, and adds up what the demand is worth.
func (m *master) settleBound(nodes int) {
	scale := 1.0
	if !m.exact || !m.ended {
		m.exact = false
		for i := range m.configs {
			c := &m.configs[i]
			if w := m.room(c); c.standing < 0 && w > float64(c.price) {
				scale = min(scale, float64(c.price)/w)
			}
		}
		for i := range m.stand {
			m.stand[i] = 0
		}
		for i := range m.configs {
			c := &m.configs[i]
			if c.standing >= 0 {
				m.stand[c.standing] = max(m.stand[c.standing], float64(m.room(c)*scale)-float64(c.price))
			}
		}
	}
	m.bound = 0
	for t, n := range m.d.count {
		m.types[t] = float64(m.types[t] * scale)
		m.bound += float64(m.types[t] * float64(n))
	}
	for k, n := range m.d.loose {
		m.kinds[k] = float64(m.kinds[k] * scale)
		m.bound += float64(m.kinds[k] * float64(n))
	}
	for h := range m.prices {
		m.prices[h] = float64(m.prices[h] * scale)
	}
	for _, i := range m.d.standing {
		m.bound -= m.stand[i]
	}
	if math.IsNaN(m.bound) || m.bound < 0 {
		m.bound = 0
	}
}
