package pack

import "slices"

// The search reads an item's points in a few likely ways: none with an
// interposer, all of one sort, all. In a controller that holds many items the
// best is often between: as many points on relays as fill the outputs that are
// there anyway. So at the end every controller is fitted anew to what it holds,
// each point on the class that the least total of interposers gives.

// refit does that for new controllers without loose points. It returns a plan
// that costs no more.
func (s *solver) refit(c *cover, best *plan, low int64) *plan {
	in := s.in
	tiered := false
	for _, one := range in.types {
		tiered = tiered || len(one.variants) > 1
	}
	if !tiered || best.none || best.cost <= low {
		return best
	}
	near, _ := c.within(float64(best.cost-in.step)-c.bound, s.limits.configs)
	configs := undominated(near)
	out := &plan{split: best.split, cost: best.cost}
	for _, l := range best.loads {
		before := in.loadCost(&l)
		out.cost += s.fitted(&l, configs) - before
		out.loads = append(out.loads, l)
	}
	if out.cost < best.cost {
		return out
	}
	return best
}

// fitted gives a load the cheapest configuration that holds it, interposers
// counted, and returns what both cost.
func (s *solver) fitted(l *load, configs []config) int64 {
	in := s.in
	cost := in.loadCost(l)
	if l.config.standing >= 0 || len(l.whole) == 0 || slices.ContainsFunc(l.loose, func(n int) bool { return n > 0 }) {
		return cost
	}
	set := newHolding(in)
	for _, w := range l.whole {
		set.add(&in.types[w.typ], in.types[w.typ].members[0])
	}
	fit := set.cheapest(s, append([]config{*l.config}, configs...), cost)
	if fit.config == nil {
		return cost
	}
	l.config, l.whole = fit.config, slices.Clone(l.whole)
	for i := range l.whole {
		l.whole[i].variant = 0 // what each point reads is settled at the end
	}
	return fit.cost
}
