package pack

import (
	"cmp"
	"slices"
)

// Good plans out of fractional ones: whole multiples of fillings are taken as
// they are, else the filling the program wants most, then the program is
// solved again for what is left, until nothing is.

// dive makes a plan from the pattern program; nil if it leads nowhere.
func (s *solver) dive(m *master, fallback []config) *plan {
	in := s.in
	out := &plan{}
	d := demand{count: slices.Clone(m.d.count), loose: slices.Clone(m.d.loose), standing: slices.Clone(m.d.standing)}
	for !d.empty() {
		took := false
		best, most := -1, 1e-6
		for r, c := range m.prog.basis {
			_, split := m.split[c]
			if m.patterns[c] == nil && !split {
				continue
			}
			x := m.prog.x[r]
			for x > 1-1e-6 {
				if !s.fix(m, c, &d, out) {
					break
				}
				x, took = x-1, true
			}
			if x > most {
				best, most = c, x
			}
		}
		if !took && (best < 0 || !s.fix(m, best, &d, out)) {
			return nil
		}
		if d.empty() {
			break
		}
		next := s.newMaster(d, m.configs)
		for _, p := range m.patterns {
			if p != nil {
				next.addPattern(p)
			}
		}
		next.generate(s.rounds, 400)
		m = next
	}
	in.rightSize(out, fallback)
	out.cost = in.price(out)
	return out
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

// improve takes a few controllers at a time and plans what is in them anew,
// those first that give the least for their money. It ends when a round over
// all of them helps no more, or the work allowed is done.
func (s *solver) improve(pl *plan, c *cover, bound int64, tries int) {
	in := s.in
	for size := 2; size <= 4 && tries > 0 && pl.cost > bound; size++ {
		if len(pl.loads) < size {
			return
		}
		for start := 0; start < len(pl.loads) && tries > 0 && pl.cost > bound && !s.spent(); start++ {
			slices.SortStableFunc(pl.loads, func(a, b load) int { return cmp.Compare(s.waste(c, &b), s.waste(c, &a)) })
			if start+size > len(pl.loads)+size-1 {
				break
			}
			tries--
			if s.again(pl, start, size) {
				pl.cost = in.price(pl)
				start, size = -1, 2
			}
		}
	}
}

// waste is what a load costs beyond the worth of what it holds.
func (s *solver) waste(c *cover, l *load) float64 {
	return float64(s.in.loadCost(l)) - c.worth(l.need)
}

// mostAgain is how many points are planned anew at once.
const mostAgain = 110

// again plans the contents of some loads anew: the one at start and those that
// waste most besides. True if that was cheaper.
func (s *solver) again(pl *plan, start, size int) bool {
	in := s.in
	pick := []int{start}
	for i := 0; len(pick) < size && i < len(pl.loads); i++ {
		if j := (start + 1 + i) % len(pl.loads); j != start {
			pick = append(pick, j)
		}
	}
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
	split := slices.Clone(pl.split)
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
		split = slices.Delete(split, i, i+1)
	}
	if d.points(in) > mostAgain {
		return false
	}
	slices.Sort(d.standing)
	better := s.small(d, before)
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
