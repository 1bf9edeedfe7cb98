package pack

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// Good plans out of fractional ones: whole multiples of fillings are taken as
// they are, else the filling the program wants most, then the program is
// solved again for what is left. Once little is left it is searched to the end.

// dive makes a plan from the pattern program, cheaper ones than a cost being
// sought; nil if it leads nowhere. The ways differ in how much is fixed at once
// and which filling goes first where none is wanted wholly.
func (s *solver) dive(m *master, cost int64, way int) *plan {
	in := s.in
	out := &plan{}
	configs := m.near(cost)
	d := demand{count: slices.Clone(m.d.count), loose: slices.Clone(m.d.loose), standing: slices.Clone(m.d.standing)}
	for first := true; !d.empty(); first = false {
		if !first && m.exact && d.points(in) <= mostAgain/2 {
			if rest, done := m.prove(nil, cost-in.price(out), s.limits.small); done && rest == nil {
				return nil
			} else if rest != nil {
				out.loads = append(out.loads, rest.loads...)
				out.split = append(out.split, rest.split...)
				break
			}
		}
		if !s.fixSome(m, &d, out, way) {
			return nil
		}
		if d.empty() {
			break
		}
		left := cost - in.step - in.price(out)
		if left < 0 {
			return nil
		}
		next := s.newMaster(d, configs, float64(left))
		for _, p := range m.patterns {
			if p != nil {
				next.addPattern(p)
			}
		}
		next.generate(s.limits.dive, 400)
		if next.bound > float64(left)+1e-3 {
			return nil
		}
		m = next
	}
	in.rightSize(out, configs)
	out.cost = in.price(out)
	return out
}

// fixSome takes every filling as often as the program wants it wholly, or else
// the one it wants most, once. Odd ways take one filling at a time only; later
// ways begin with the second best. False if there is none.
func (s *solver) fixSome(m *master, d *demand, out *plan, way int) bool {
	type wish struct {
		c int
		x float64
	}
	var list []wish
	took := false
	for r, c := range m.prog.basis {
		if _, split := m.split[c]; m.patterns[c] == nil && !split {
			continue
		}
		x := m.prog.x[r]
		for ; way%2 == 0 && x > 1-1e-6 && s.fix(m, c, d, out); x-- {
			took = true
		}
		if x > 1e-6 {
			list = append(list, wish{c, x})
		}
	}
	if took {
		return true
	}
	slices.SortStableFunc(list, func(a, b wish) int { return cmp.Or(cmp.Compare(b.x, a.x), cmp.Compare(a.c, b.c)) })
	if skip := way / 2; skip < len(list) && len(out.loads) == 0 {
		list = append(list[skip:skip+1:skip+1], list...)
	}
	return slices.ContainsFunc(list, func(w wish) bool { return s.fix(m, w.c, d, out) })
}

// fix takes one filling, or splits one item, and lowers the demand; false if
// nothing of it is wanted any more.
func (s *solver) fix(m *master, c int, d *demand, out *plan) bool {
	in := s.in
	if w, ok := m.split[c]; ok {
		if d.count[w.typ] == 0 {
			return false
		}
		d.count[w.typ]--
		for _, k := range in.types[w.typ].variants[w.variant].kinds {
			d.loose[k]++
		}
		out.split = append(out.split, w)
		return true
	}
	p := m.patterns[c]
	if p == nil {
		return false
	}
	if st := p.config.standing; st >= 0 {
		i := slices.Index(d.standing, st)
		if i < 0 {
			return false
		}
		d.standing = slices.Delete(d.standing, i, i+1)
	}
	l := load{config: p.config, need: make(vector, len(in.halls)), loose: make([]int, len(in.masks))}
	for _, w := range p.whole {
		n := min(w.n, d.count[w.typ])
		d.count[w.typ] -= n
		l.need.add(in.types[w.typ].variants[w.variant].need, int32(n))
		for range n {
			l.whole = append(l.whole, whole{w.typ, w.variant})
		}
	}
	for k, n := range p.loose {
		n = min(n, d.loose[k])
		d.loose[k] -= n
		l.loose[k] = n
		l.need.add(in.one[k], int32(n))
	}
	if total(l.need) == 0 {
		return false
	}
	out.loads = append(out.loads, l)
	return true
}

// improve takes a few controllers at a time and plans what is in them anew.
// Which ones is drawn from a fixed sequence of numbers, so that every run draws
// the same. It ends after so many tries in a row that did not help, or when
// the work allowed is done.
func (s *solver) improve(pl *plan, m *master, bound int64, tries int) {
	in := s.in
	configs := m.near(pl.cost)
	draw := rand.New(rand.NewPCG(1, uint64(len(pl.loads))))
	tried := map[string]bool{}
	for failed := 0; failed < tries && len(pl.loads) > 1 && pl.cost > bound && !s.spent(); {
		size := 2 + failed*3/tries
		pick := draw.Perm(len(pl.loads))
		pick = pick[:min(size, len(pick))]
		slices.Sort(pick)
		key := s.contents(pl, pick)
		if tried[key] {
			failed++
			continue
		}
		tried[key] = true
		if s.again(pl, pick, configs) {
			pl.cost = in.price(pl)
			configs = m.near(pl.cost)
			failed = 0
			continue
		}
		failed++
	}
}

// contents tells loads apart by what is in them: groups of the same contents
// need be planned only once.
func (s *solver) contents(pl *plan, pick []int) string {
	var out []string
	for _, i := range pick {
		l := &pl.loads[i]
		out = append(out, fmt.Sprint(l.config.standing, l.config.price, l.need, l.whole))
	}
	slices.Sort(out)
	return strings.Join(out, "|")
}

// mostAgain is how many points are planned anew at once.
const mostAgain = 150

// again plans the contents of some loads anew. True if that was cheaper.
func (s *solver) again(pl *plan, pick []int, configs []config) bool {
	in := s.in
	d := demand{count: make([]int, len(in.types)), loose: make([]int, len(in.masks))}
	var before int64
	for _, i := range pick {
		l := &pl.loads[i]
		before += in.loadCost(l)
		for _, w := range l.whole {
			d.count[w.typ]++
		}
		for k, n := range l.loose {
			d.loose[k] += n
		}
		if l.config.standing >= 0 {
			d.standing = append(d.standing, l.config.standing)
		}
	}
	split, undone := slices.Clone(pl.split), []whole(nil)
	for i := 0; i < len(split); { // split items whose points are all here may come together again
		kinds := count(in.types[split[i].typ].variants[split[i].variant].kinds, len(in.masks))
		here := true
		for k, n := range kinds {
			here = here && d.loose[k] >= n
		}
		if !here {
			i++
			continue
		}
		for k, n := range kinds {
			d.loose[k] -= n
		}
		w := split[i]
		d.count[w.typ]++
		before += in.types[w.typ].penalty + in.types[w.typ].variants[w.variant].extra
		undone = append(undone, w)
		split = slices.Delete(split, i, i+1)
	}
	if d.points(in) > mostAgain {
		return false
	}
	slices.Sort(d.standing)
	now := &plan{cost: before, split: undone}
	for _, i := range pick {
		now.loads = append(now.loads, pl.loads[i])
	}
	better := s.small(d, now, configs)
	if better == nil {
		return false
	}
	var loads []load
	for i := range pl.loads {
		if !slices.Contains(pick, i) {
			loads = append(loads, pl.loads[i])
		}
	}
	pl.loads = append(loads, better.loads...)
	pl.split = append(split, better.split...)
	return true
}

// near lists the configurations that a plan cheaper than so much can use.
func (m *master) near(cost int64) []config {
	gap := float64(cost) - m.bound
	var out []config
	for i := range m.configs {
		if c := &m.configs[i]; m.least(c)-m.room(c) <= gap {
			out = append(out, *c)
		}
	}
	return out
}
