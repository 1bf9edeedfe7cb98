package pack

import (
	"math/rand/v2"
	"slices"
)

// Where a panel needs a few large controllers, programs say little: a fraction
// of a large filling is far from any plan. There it helps to trade: move an
// item or a kind of loose points to another controller, swap two items, and
// cut both controllers to what they then hold, as long as that saves money.
// When nothing does, a few items change places at random (always the same
// numbers) and trading begins again from there; the best plan is kept.

// trader is a plan being traded.
type trader struct {
	s       *solver
	configs []config // cheapest first
	loads   []load
	split   []whole
	cost    int64
}

// trade improves a plan by trading; it returns the better plan, or the same.
func (s *solver) trade(pl *plan, configs []config, tries int) *plan {
	if pl.none {
		return pl
	}
	t := &trader{s: s, configs: configs}
	t.copy(pl)
	t.descend()
	best := t.plan()
	if pl.cost < best.cost {
		best = pl
	}
	draw := rand.New(rand.NewPCG(2, uint64(len(pl.loads))))
	for failed := 0; failed < tries && !s.spent(); failed++ {
		t.copy(best)
		for range 2 + draw.IntN(3) {
			t.shake(draw)
		}
		t.descend()
		if t.cost < best.cost {
			best, failed = t.plan(), -1
		}
	}
	return best
}

func (t *trader) copy(pl *plan) {
	t.loads, t.split, t.cost = t.loads[:0], slices.Clone(pl.split), pl.cost
	for _, l := range pl.loads {
		t.loads = append(t.loads, load{config: l.config, need: slices.Clone(l.need), whole: slices.Clone(l.whole), loose: slices.Clone(l.loose)})
	}
}

func (t *trader) plan() *plan {
	out := &plan{split: slices.Clone(t.split)}
	for _, l := range t.loads {
		if total(l.need) > 0 || l.config.standing >= 0 && l.config.price == 0 {
			out.loads = append(out.loads, load{config: l.config, need: slices.Clone(l.need), whole: slices.Clone(l.whole), loose: slices.Clone(l.loose)})
		}
	}
	out.cost = t.s.in.price(out)
	return out
}

// fit is the cheapest configuration at a place that holds a need for less than
// a price; nil if there is none. An empty new controller is not bought.
func (t *trader) fit(standing int, need vector, below int64) (*config, int64) {
	if standing < 0 && total(need) == 0 {
		return nil, 0
	}
	for i := range t.configs {
		c := &t.configs[i]
		if c.price >= below {
			break
		}
		if c.standing == standing && need.within(c.cap) {
			t.s.work += int64(i/16) + 1
			return c, c.price
		}
	}
	t.s.work += int64(len(t.configs) / 16)
	return nil, below
}

// descend trades until nothing saves money.
func (t *trader) descend() {
	for more := true; more && !t.s.spent(); {
		more = false
		t.loads = append(t.loads, load{config: &config{standing: -1}, need: make(vector, len(t.s.in.halls)), loose: make([]int, len(t.s.in.masks))})
		for i := range t.loads {
			for j := range t.loads {
				if i != j && t.between(i, j) {
					more = true
				}
			}
		}
		t.loads = slices.DeleteFunc(t.loads, func(l load) bool { return l.config.standing < 0 && total(l.need) == 0 })
	}
}

// between trades between two controllers; true if something was saved.
func (t *trader) between(i, j int) bool {
	saved := false
	for a := 0; a < len(t.loads[i].whole); a++ {
		if t.exchange(i, j, a, -1) {
			saved = true
			a--
			continue
		}
		for b := 0; i < j && b < len(t.loads[j].whole); b++ {
			if t.loads[i].whole[a] != t.loads[j].whole[b] && t.exchange(i, j, a, b) {
				saved = true
			}
		}
	}
	for k, n := range t.loads[i].loose {
		if n > 0 && (t.hand(i, j, k, n) || n > 1 && t.hand(i, j, k, 1)) {
			saved = true
		}
	}
	return saved
}

// exchange moves item a of load i to load j, and item b back if it is not -1,
// if that saves money.
func (t *trader) exchange(i, j, a, b int) bool {
	in := t.s.in
	from, to := &t.loads[i], &t.loads[j]
	w := from.whole[a]
	give := in.types[w.typ].variants[w.variant].need
	needI, needJ := slices.Clone(from.need), slices.Clone(to.need)
	needI.add(give, -1)
	needJ.add(give, 1)
	rest := slices.Clone(to.whole)
	if b >= 0 {
		back := rest[b]
		take := in.types[back.typ].variants[back.variant].need
		needI.add(take, 1)
		needJ.add(take, -1)
		rest = slices.Delete(rest, b, b+1)
		others := slices.Delete(slices.Clone(from.whole), a, a+1)
		if in.clash(from.config, others, in.types[back.typ].apart) {
			return false
		}
	}
	if in.clash(to.config, rest, in.types[w.typ].apart) || !t.accept(i, j, needI, needJ) {
		return false
	}
	if b >= 0 {
		from.whole[a], to.whole[b] = to.whole[b], from.whole[a]
	} else {
		to.whole = append(to.whole, w)
		from.whole = slices.Delete(from.whole, a, a+1)
	}
	return true
}

// hand moves n loose points of a kind if that saves money.
func (t *trader) hand(i, j, kind, n int) bool {
	needI, needJ := slices.Clone(t.loads[i].need), slices.Clone(t.loads[j].need)
	needI.add(t.s.in.one[kind], -int32(n))
	needJ.add(t.s.in.one[kind], int32(n))
	if !t.accept(i, j, needI, needJ) {
		return false
	}
	t.loads[i].loose[kind] -= n
	t.loads[j].loose[kind] += n
	return true
}

// accept gives two loads other needs if their configurations then cost less.
func (t *trader) accept(i, j int, needI, needJ vector) bool {
	from, to := &t.loads[i], &t.loads[j]
	now := from.config.price + to.config.price
	ci, pi := t.fit(from.config.standing, needI, now)
	if pi >= now {
		return false
	}
	cj, pj := t.fit(to.config.standing, needJ, now-pi)
	if pi+pj >= now {
		return false
	}
	t.set(from, ci, needI)
	t.set(to, cj, needJ)
	t.cost -= now - pi - pj
	return true
}

func (t *trader) set(l *load, c *config, need vector) {
	if c == nil {
		c = &config{standing: -1}
	}
	l.config, l.need = c, need
}

// shake moves one item somewhere else, whatever it costs, if anything holds it.
func (t *trader) shake(draw *rand.Rand) {
	in := t.s.in
	i, j := draw.IntN(len(t.loads)), draw.IntN(len(t.loads))
	from, to := &t.loads[i], &t.loads[j]
	if i == j || len(from.whole) == 0 {
		return
	}
	a := draw.IntN(len(from.whole))
	w := from.whole[a]
	give := in.types[w.typ].variants[w.variant].need
	needI, needJ := slices.Clone(from.need), slices.Clone(to.need)
	needI.add(give, -1)
	needJ.add(give, 1)
	ci, pi := t.fit(from.config.standing, needI, 1<<60)
	cj, pj := t.fit(to.config.standing, needJ, 1<<60)
	if pi == 1<<60 || pj == 1<<60 || in.clash(to.config, to.whole, in.types[w.typ].apart) {
		return
	}
	t.cost += pi + pj - from.config.price - to.config.price
	t.set(from, ci, needI)
	t.set(to, cj, needJ)
	to.whole = append(to.whole, w)
	from.whole = slices.Delete(from.whole, a, a+1)
}
