package pack

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// The proof. At the duals of the pattern program every plan costs
//
//	bound + reduced costs of its fillings + what splits, idle standing
//	controllers and unused claims on loose points cost beyond their duals
//
// and none of these is below 0. So a plan that is cheaper than the best one
// known uses only fillings whose reduced cost is at most the gap. They are
// listed, and a depth-first search puts them together: the first type still to
// be placed must stand in some filling, or be split. When all whole items
// stand, the loose points are checked by the sums of what the controllers
// leave (hall.go), and controllers for loose points alone are added. A state
// that was reached as cheaply before is not gone through again.
type search struct {
	m    *master
	in   *instance
	gap  float64 // reduced cost that a better plan may have at most
	best *plan
	cost int64 // of the best plan

	found    []*filling
	fillings int                   // found and not beaten
	groups   map[string][]*filling // by the items in them
	with     [][]*filling          // those that hold a type
	only     []*filling            // those without whole items
	most     []int                 // loose points there can be in each set
	sets     []Mask                // closed sets of the loose kinds there can be
	setKinds [][]int
	setsOf   [][]int // sets that count a kind
	soft     bool
	order    []int

	seen  map[string]int64
	nodes int
	over  bool // ran out of nodes

	// the state
	left  []int // of each type
	owed  []int // loose points less room, by set
	used  []bool
	stack []*filling
	split []whole
	spent int64   // money so far
	red   float64 // reduced cost so far
	claim float64 // worth of loose points claimed so far
	debt  float64 // worth of the loose points there are so far
}

// prove looks for a plan below a cost, that of the best one known if there is
// one. True if the search was complete: then no plan with the configurations
// that the program knows is cheaper than the one returned.
func (m *master) prove(best *plan, cost int64, nodes int) (*plan, bool) {
	in := m.s.in
	s := &search{m: m, in: in, best: best, cost: cost, seen: map[string]int64{}, nodes: nodes, left: slices.Clone(m.d.count), used: make([]bool, len(in.p.Standing))}
	s.gap = float64(s.cost-in.step) - m.bound + 1e-6
	if s.gap < 0 {
		return s.best, true
	}
	s.owing()
	whole := s.gap
	for narrow := s.gap; !s.list(narrow); narrow /= 2 {
		whole = 0 // too many fillings: the likeliest ones only, and no proof
		if narrow < 1 {
			return s.best, false
		}
	}
	s.prepare()
	start := s.nodes
	s.place()
	m.s.work += int64(start - s.nodes)
	return s.best, !s.over && whole > 0
}

// prepare sorts the fillings by type, least reduced cost first.
func (s *search) prepare() {
	found := slices.DeleteFunc(s.found, func(f *filling) bool { return f.beaten })
	slices.SortStableFunc(found, func(a, b *filling) int {
		return cmp.Or(cmp.Compare(a.reduced, b.reduced), cmp.Compare(a.cost, b.cost))
	})
	in := s.in
	s.with = make([][]*filling, len(in.types))
	for _, f := range found {
		if len(f.whole) == 0 {
			s.only = append(s.only, f)
			continue
		}
		for i, w := range f.whole {
			if !slices.ContainsFunc(f.whole[:i], func(o filled) bool { return o.typ == w.typ }) {
				s.with[w.typ] = append(s.with[w.typ], f)
			}
		}
	}
	for t, n := range s.left {
		if n > 0 {
			s.order = append(s.order, t)
			s.soft = s.soft || s.m.splits[t] > 0
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(len(s.with[a]), len(s.with[b])) })
}

// owing sets up what is owed to the loose points.
func (s *search) owing() {
	in := s.in
	var masks []Mask
	for k, n := range s.m.loose {
		if n > 0 {
			masks = append(masks, in.masks[k])
		}
	}
	s.sets = unions(masks)
	for _, set := range s.sets {
		s.setKinds = append(s.setKinds, inside(in.masks, set))
	}
	s.owed, s.most = make([]int, len(s.sets)), make([]int, len(s.sets))
	for i, kinds := range s.setKinds {
		for _, k := range kinds {
			s.owed[i] += s.m.d.loose[k]
			s.most[i] += s.m.loose[k]
		}
	}
	s.setsOf = make([][]int, len(in.masks))
	for i, kinds := range s.setKinds {
		for _, k := range kinds {
			s.setsOf[k] = append(s.setsOf[k], i)
		}
	}
	for k, n := range s.m.d.loose {
		s.debt += float64(s.m.kinds[k] * float64(n))
	}
}

// reach is the reduced cost of the state so far, at least.
func (s *search) reach() float64 {
	debt := s.debt
	if s.soft {
		for t, n := range s.left {
			if n > 0 && s.m.splits[t] > 0 {
				for k, c := range s.in.types[t].mostOf {
					debt += float64(s.m.kinds[k] * float64(min(n, s.m.splits[t])*c))
				}
			}
		}
	}
	return s.red + max(0, s.claim-debt)
}

// place goes on from the state: with the first type still to be placed, or
// with the loose points.
func (s *search) place() {
	if s.nodes--; s.nodes <= 0 {
		s.over = true
		return
	}
	if s.reach() > s.gap || s.known() {
		return
	}
	for _, t := range s.order {
		if s.left[t] == 0 {
			continue
		}
		for _, f := range s.with[t] {
			if s.red+f.reduced > s.gap {
				break
			}
			if s.allowed(f) {
				s.take(f, 1)
				s.place()
				s.take(f, -1)
			}
			if s.over {
				return
			}
		}
		s.splitOne(t)
		return
	}
	s.finish()
}

// allowed reports whether a filling fits what is left.
func (s *search) allowed(f *filling) bool {
	if st := f.config.standing; st >= 0 && s.used[st] {
		return false
	}
	for i, w := range f.whole {
		n := w.n
		for _, o := range f.whole[:i] { // the same type as another variant
			if o.typ == w.typ {
				n += o.n
			}
		}
		if n > s.left[w.typ] {
			return false
		}
	}
	return true
}

// take puts a filling in, or with -1 takes it out again.
func (s *search) take(f *filling, sign int) {
	for _, w := range f.whole {
		s.left[w.typ] -= sign * w.n
	}
	if len(s.sets) > 0 {
		for i, n := range s.leaves(f) {
			s.owed[i] -= sign * n
		}
	}
	s.spent += int64(sign) * f.cost
	s.red += float64(sign) * f.reduced
	s.claim += float64(sign) * f.claim
	if st := f.config.standing; st >= 0 {
		s.used[st] = sign > 0
	}
	if sign > 0 {
		s.stack = append(s.stack, f)
	} else {
		s.stack = s.stack[:len(s.stack)-1]
	}
}

// splitOne splits one item of a soft type.
func (s *search) splitOne(t int) {
	one := &s.in.types[t]
	done := 0
	for _, w := range s.split {
		if w.typ == t {
			done++
		}
	}
	if done >= s.m.splits[t] {
		return
	}
	for v := range one.variants {
		money := one.penalty + one.variants[v].extra
		worth := 0.0
		for _, k := range one.variants[v].kinds {
			worth += s.m.kinds[k]
		}
		reduced := max(0, float64(money)+worth-s.m.types[t])
		if s.red+reduced > s.gap {
			continue
		}
		s.owe(one.variants[v].kinds, 1)
		s.left[t]--
		s.spent, s.red, s.debt = s.spent+money, s.red+reduced, s.debt+worth
		s.split = append(s.split, whole{t, v})
		s.place()
		s.split = s.split[:len(s.split)-1]
		s.spent, s.red, s.debt = s.spent-money, s.red-reduced, s.debt-worth
		s.left[t]++
		s.owe(one.variants[v].kinds, -1)
	}
}

func (s *search) owe(kinds []int, sign int) {
	for _, k := range kinds {
		for _, i := range s.setsOf[k] {
			s.owed[i] += sign
		}
	}
}

// finish adds controllers for loose points until none is owed.
func (s *search) finish() {
	if !slices.ContainsFunc(s.owed, func(n int) bool { return n > 0 }) {
		if s.spent < s.cost {
			if pl := s.plan(); pl != nil {
				s.best, s.cost = pl, s.spent
				s.gap = float64(s.cost-s.in.step) - s.m.bound + 1e-6
			}
		}
		return
	}
	for _, f := range s.only {
		if s.red+f.reduced > s.gap {
			break
		}
		if s.allowed(f) {
			s.take(f, 1)
			s.place()
			s.take(f, -1)
		}
		if s.over {
			return
		}
	}
}

// known reports whether the state was reached at no more money before.
func (s *search) known() bool {
	key := make([]byte, 0, 2*len(s.left)+2*len(s.owed)+len(s.used))
	soft := false
	for t, n := range s.left {
		key = binary.LittleEndian.AppendUint16(key, uint16(n))
		soft = soft || n > 0 && s.m.splits[t] > 0
	}
	for _, n := range s.owed {
		if !soft {
			n = max(0, n)
		}
		key = binary.LittleEndian.AppendUint16(key, uint16(int16(n)))
	}
	for _, u := range s.used {
		if u {
			key = append(key, 1)
		} else {
			key = append(key, 0)
		}
	}
	if before, ok := s.seen[string(key)]; ok && before <= s.spent {
		return true
	}
	s.seen[string(key)] = s.spent
	return false
}

// plan writes the state down with the loose points spread out.
func (s *search) plan() *plan {
	in := s.in
	loose := slices.Clone(s.m.d.loose)
	for _, w := range s.split {
		for _, k := range in.types[w.typ].variants[w.variant].kinds {
			loose[k]++
		}
	}
	pl := &plan{cost: s.spent, split: slices.Clone(s.split)}
	var configs []*config
	var wholes [][]int
	for _, f := range s.stack {
		l := load{config: f.config, need: make(vector, len(in.halls))}
		kinds := make([]int, len(in.masks))
		for _, w := range f.whole {
			one := &in.types[w.typ].variants[w.variant]
			l.need.add(one.need, int32(w.n))
			for range w.n {
				l.whole = append(l.whole, whole{w.typ, w.variant})
			}
			for _, k := range one.kinds {
				kinds[k] += w.n
			}
		}
		pl.loads = append(pl.loads, l)
		configs, wholes = append(configs, f.config), append(wholes, kinds)
	}
	shares := in.spread(configs, wholes, loose)
	if shares == nil {
		return nil
	}
	for i := range pl.loads {
		pl.loads[i].loose = shares[i]
		for k, n := range shares[i] {
			pl.loads[i].need.add(in.one[k], int32(n))
		}
	}
	return pl
}
