package pack

import (
	"cmp"
	"math"
	"slices"
)

// Effort says how long to look.
type Effort int

// Quick gives a good plan at once, Fast proves small panels, Exact goes on
// until proven or far more work is done.
const (
	Quick Effort = iota
	Fast
	Exact
)

// limits of an effort, all in counts: a clock never decides.
type limits struct {
	few      int   // configurations looked at first
	configs  int   // and then
	proof    bool  // whether to go on to them where there are many
	rounds   int   // of column generation
	columns  int64 // work of column generation
	knapsack int   // nodes of one knapsack
	dive     int   // rounds of column generation between two steps of a dive
	starts   int   // first plans traded on
	ways     int   // of diving
	tries    int   // of planning a few controllers anew, in a row without success
	improve  int64 // work of all of them
	small    int   // nodes of the proof of a few controllers
	nodes    int   // of the proof
}

var effortLimits = [...]limits{
	Quick: {few: 80, configs: 2_000, rounds: 30, columns: 30_000, knapsack: 300, dive: 3, starts: 3, ways: 1, tries: 12, improve: 20_000, small: 400, nodes: 3_000},
	Fast:  {few: 200, configs: 20_000, proof: true, rounds: 150, columns: 1_000_000, knapsack: 2_000, dive: 8, starts: 6, ways: 6, tries: 300, improve: 3_000_000, small: 3_000, nodes: 150_000},
	Exact: {few: 500, configs: 100_000, proof: true, rounds: 600, columns: 40_000_000, knapsack: 50_000, dive: 12, starts: 20, ways: 12, tries: 1_000, improve: 100_000_000, small: 20_000, nodes: 20_000_000},
}

// solver is one panel in hand, with its work counter.
type solver struct {
	in     *instance
	limits limits
	work   int64
	until  int64 // the work at which the step in hand ends
	fill   *lp   // memory of the small programs
	slab   slab
	buffer []config
}

// slab hands out small slices from large pieces of memory: configurations come
// by the thousand.
type slab struct {
	ints []int
	caps []int32
}

func (s *slab) ports(from []int) []int {
	if len(s.ints) < len(from) {
		s.ints = make([]int, 1024*len(from))
	}
	out := s.ints[:len(from):len(from)]
	s.ints = s.ints[len(from):]
	copy(out, from)
	return out
}

func (s *slab) vector(n int) vector {
	if len(s.caps) < n {
		s.caps = make([]int32, 1024*n)
	}
	out := s.caps[:n:n]
	s.caps = s.caps[n:]
	return out
}

// spent reports whether the work allowed is done.
func (s *solver) spent() bool { return s.work > s.until }

// Solve plans a panel. The error is a *Refusal.
func Solve(p *Problem, effort Effort) (*Solution, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	in := reduce(p)
	s := &solver{in: in, limits: effortLimits[effort]}
	if err := s.conflict(); err != nil {
		return nil, err
	}
	d := in.everything()
	pl, bound, first := s.lookHarder(d, effort)
	if pl.none {
		return nil, &Refusal{Code: "no-plan", Reason: "the panel's points fit no controllers of the catalogue"}
	}
	out, err := in.settle(pl)
	if err != nil {
		return nil, err
	}
	out.Bound, out.Work, out.FirstFit = min(bound, out.Cost), s.work, first
	out.Proven = out.Bound == out.Cost
	return out, nil
}

// lookHarder plans at quick effort first and goes on from that plan, so that
// more effort never ends in a worse one. What it goes on from is the plan as the
// search reads it; controllers are fitted to it at the end of each.
func (s *solver) lookHarder(d demand, effort Effort) (*plan, int64, int64) {
	s.limits = effortLimits[Quick]
	raw, low, first, c := s.plan(d, nil)
	best := s.refit(c, raw, low)
	if effort == Quick || best.cost <= low {
		return best, low, first
	}
	s.limits = effortLimits[effort]
	raw, bound, _, c := s.plan(d, raw)
	low = max(low, bound)
	if pl := s.refit(c, raw, low); pl.cost < best.cost || best.none {
		best = pl
	}
	best, low = s.few(c, d, best, low)
	return best, low, first
}

// up rounds a bound up to the next amount a plan can cost.
func (in *instance) up(bound float64) int64 {
	n := int64(math.Ceil(bound - 1e-3))
	if r := n % in.step; r > 0 {
		n += in.step - r
	}
	return max(0, n)
}

// start is the covering program, configurations that take everything, and
// first plans, the best first.
func (s *solver) start(d demand) (*cover, []config, []*plan, int64) {
	c := s.newCover(d)
	list := slices.Clone(c.configs)
	near, _ := c.within(0.05*c.bound, 1500)
	list = append(list, c.choose(near, 30)...)
	list = append(list, s.holders(d, list)...)
	list = undominated(list)
	var plans []*plan
	var first int64
	for i := range list {
		h := &list[i]
		if h.standing >= 0 {
			continue
		}
		if pl := s.in.firstFit(d, h, list, false); pl != nil && (first == 0 || pl.cost < first) {
			first = pl.cost
		}
		if pl := s.in.firstFit(d, h, list, true); pl != nil {
			plans = append(plans, pl)
		}
		s.work += int64(len(d.count))
	}
	if pl := s.in.firstFit(d, nil, list, true); pl != nil {
		plans = append(plans, pl)
	}
	if len(plans) == 0 {
		plans = append(plans, &plan{cost: s.in.ceiling(d), none: true})
	}
	slices.SortStableFunc(plans, func(a, b *plan) int { return cmp.Compare(a.cost, b.cost) })
	return c, list, slices.CompactFunc(plans, func(a, b *plan) bool { return a.cost == b.cost }), first
}

// begin trades on the best first plans, with not too many configurations.
func (s *solver) begin(c *cover, list []config, plans []*plan, low int64) *plan {
	best := plans[0]
	if best.none || best.cost <= low {
		return best
	}
	configs := list
	if s.limits.proof {
		near, _ := c.within(float64(best.cost-s.in.step)-c.bound, s.limits.configs)
		configs = undominated(append(c.choose(near, s.limits.few), list...))
	}
	s.until = s.work + s.limits.improve/2
	for _, pl := range plans[:min(len(plans), s.limits.starts)] {
		if traded := s.trade(pl, configs, s.limits.tries/4); traded.cost < best.cost {
			best = traded
		}
		if best.cost <= low {
			break
		}
	}
	return best
}

// ceiling is more than any sensible plan costs: a controller with the dearest
// modules for every point, and every penalty and extra.
func (in *instance) ceiling(d demand) int64 {
	var base, module, slots, sum int64
	for _, m := range in.p.Models {
		if m.Base {
			base, slots = max(base, m.Price), max(slots, int64(m.Slots))
		} else {
			module = max(module, m.Price)
		}
	}
	for t, n := range d.count {
		last := in.types[t].variants[len(in.types[t].variants)-1]
		sum += int64(n) * (in.types[t].penalty + last.extra)
	}
	return sum + int64(d.points(in))*(base+slots*module) + in.step
}

// holders finds for every type and loose kind that no listed configuration
// holds the cheapest one that does.
func (s *solver) holders(d demand, list []config) []config {
	in := s.in
	var out []config
	held := func(need vector) bool {
		has := func(c config) bool { return c.standing < 0 && need.within(c.cap) }
		return slices.ContainsFunc(list, has) || slices.ContainsFunc(out, has)
	}
	for t, n := range d.count {
		if n == 0 {
			continue
		}
		if slices.ContainsFunc(in.types[t].variants, func(v variant) bool { return held(v.need) }) {
			continue
		}
		if c := s.holder(d, in.types[t].variants); c != nil {
			out = append(out, *c)
		}
	}
	for k := range in.masks {
		if need := in.one[k]; !held(need) {
			if c := s.holder(d, []variant{{need: need, kinds: []int{k}}}); c != nil {
				out = append(out, *c)
			}
		}
	}
	return out
}

// holder is the cheapest new configuration that holds one of the variants of
// an item alone; nil if none does.
func (s *solver) holder(d demand, variants []variant) *config {
	in := s.in
	var best *config
	for _, v := range variants {
		alone := demand{count: make([]int, len(d.count)), loose: count(v.kinds, len(in.masks))}
		c := s.newCover(alone)
		wide := in.widest(d)
		limit := math.Inf(1)
		if best != nil {
			limit = float64(best.price) - c.bound
		}
		for _, st := range in.p.sites(alone) {
			c.walk(st, limit, func(k config, _ float64) (float64, bool) {
				if v.need.within(k.cap) && (best == nil || k.price < best.price) {
					k.cap = in.capacity(k.ports, k.room, wide)
					best = &k
					limit = float64(k.price) - c.bound - 0.5
				}
				return limit, false
			})
		}
	}
	return best
}

// plan plans a demand, going on from a known plan if there is one: the best plan found, a lower bound, and what first fit
// on one house standard costs. First with few configurations for a good plan;
// then, as that plan leaves out most of the others, with all that are left,
// for the proof.
func (s *solver) plan(d demand, known *plan) (*plan, int64, int64, *cover) {
	c, list, plans, first := s.start(d)
	best, low := s.search(d, c, list, plans, known)
	return best, low, first, c
}

// search is plan from the covering program and first plans on.
func (s *solver) search(d demand, c *cover, list []config, plans []*plan, known *plan) (*plan, int64) {
	in := s.in
	if known != nil && !known.none && (plans[0].none || known.cost < plans[0].cost) {
		plans = slices.Insert(plans, 0, known)
	}
	low := in.up(c.bound)
	if s.limits.proof {
		low = in.up(s.wholeBound(c))
	}
	best := s.begin(c, list, plans, low)
	if best.cost <= low {
		return best, low
	}
	near, all := c.within(float64(best.cost-in.step)-c.bound, s.limits.configs)
	whole := !slices.ContainsFunc(in.types, func(t itemType) bool { return t.cut })
	if len(near) > 2*s.limits.few {
		m := s.program(d, append(c.choose(near, s.limits.few), list...), best, c.bound)
		best = s.better(m, best, low, c.bound)
		if !s.limits.proof || best.cost <= low || m.astray(c.bound) {
			return best, low
		}
		near, all = c.within(float64(best.cost-in.step)-c.bound, s.limits.configs)
	}
	m := s.program(d, append(near, list...), best, c.bound)
	if all && whole {
		low = max(low, min(in.up(m.bound), best.cost))
	}
	best = s.better(m, best, low, c.bound)
	if all && best.cost > low {
		found, done := m.prove(best, best.cost, s.limits.nodes)
		if best = found; done && whole {
			low = best.cost
		}
	}
	return best, low
}

// astray reports whether the work allowed was far from enough for the pattern
// program: what it leaves as a bound is well below that of the covering
// program, and its fractions say nothing about good plans. That is so where
// controllers are large and no two machines are alike.
func (m *master) astray(cover float64) bool { return !m.exact && m.bound < 0.5*cover }

// better dives, trades, and plans a few controllers at a time anew; only trades
// where programs lead astray.
func (s *solver) better(m *master, best *plan, low int64, cover float64) *plan {
	if best.cost <= low {
		return best
	}
	astray := s.limits.proof && m.astray(cover)
	s.until = s.work + s.limits.columns
	for way := range s.limits.ways {
		if s.spent() || astray {
			break
		}
		if pl := s.dive(m, best.cost, way); pl != nil && pl.cost < best.cost {
			best = pl
		}
	}
	s.until = s.work + s.limits.improve/2
	best = s.trade(best, m.near(best.cost), s.limits.tries)
	if !astray {
		s.until = s.work + s.limits.improve
		s.improve(best, m, low, s.limits.tries)
	}
	return best
}

// program is the pattern program over given configurations; bound is the one
// of the covering program.
func (s *solver) program(d demand, configs []config, best *plan, bound float64) *master {
	m := s.newMaster(d, undominated(configs), float64(best.cost-s.in.step)-bound)
	m.seed(best)
	s.until = s.work + s.limits.columns
	m.generate(s.limits.rounds, s.limits.knapsack)
	return m
}

// seed gives the program its first columns: the best plan known.
func (m *master) seed(best *plan) {
	in := m.s.in
	for _, l := range best.loads {
		p := &pattern{config: l.config, loose: l.loose, cost: float64(in.loadCost(&l))}
		for _, w := range l.whole {
			if n := len(p.whole); n > 0 && p.whole[n-1].typ == w.typ && p.whole[n-1].variant == w.variant {
				p.whole[n-1].n++
			} else {
				p.whole = append(p.whole, filled{w.typ, w.variant, 1})
			}
		}
		m.addPattern(p)
	}
}

// recut cuts configurations at a smaller demand and drops those that are then
// beaten or cost more than there is.
func (s *solver) recut(configs []config, d demand, price int64) []config {
	wide := s.in.widest(d)
	var out []config
	for _, c := range configs {
		if c.price > price || c.standing >= 0 && !slices.Contains(d.standing, c.standing) {
			continue
		}
		cut := s.slab.vector(len(c.cap))
		for h := range cut {
			cut[h] = min(c.cap[h], wide[h])
		}
		c.cap = cut
		out = append(out, c)
	}
	return undominated(out)
}

// small plans a few controllers anew with the configurations given; nil if
// nothing cheaper than before comes of it.
func (s *solver) small(d demand, now *plan, configs []config) *plan {
	in := s.in
	m := s.newMaster(d, s.recut(configs, d, now.cost-in.step), float64(now.cost-in.step))
	m.seed(now)
	m.generate(s.limits.rounds, 1000)
	if m.exact && in.up(m.bound) >= now.cost {
		return nil
	}
	best := now
	if pl := s.dive(m, best.cost, 0); pl != nil && pl.cost < best.cost {
		best = pl
	}
	if m.exact {
		best, _ = m.prove(best, best.cost, s.limits.small)
	}
	if best.cost < now.cost {
		return best
	}
	return nil
}
