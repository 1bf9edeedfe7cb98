package pack

import (
	"encoding/binary"
	"math/rand/v2"
	"slices"
)

// Where a panel needs a few large controllers, programs say little: a fraction
// of a large filling is far from any plan. There it helps to trade: move an
// item or a kind of loose points to another controller, swap two items, and
// cut both controllers to what they then hold, as long as that saves money.
// When nothing does, a few items change places at random (always the same
// numbers) and trading begins again from there; the best plan is kept.
//
// Trading looks again only at controllers that changed since it last found
// nothing there, and remembers what the cheapest configuration for a need is:
// after a few items changed places nearly everything is as it was.

// trader is a plan being traded.
type trader struct {
	s       *solver
	configs []config // cheapest first
	loads   []load
	changed []bool // of each load, since nothing more was found with it
	split   []whole
	cost    int64

	known      map[string]int32 // place and need: index of the cheapest configuration; -1 none
	key        []byte
	give, keep vector // memory for needs on trial
}

// mostKnown is how many needs are remembered before all are forgotten.
const mostKnown = 50_000

// trade improves a plan by trading; it returns the better plan, or the same.
func (s *solver) trade(pl *plan, configs []config, tries int) *plan {
	if pl.none {
		return pl
	}
	t := &trader{s: s, configs: configs, known: map[string]int32{}, give: make(vector, len(s.in.halls)), keep: make(vector, len(s.in.halls))}
	t.copy(pl, true)
	t.descend()
	best := t.plan()
	if pl.cost < best.cost {
		best = pl
	}
	draw := rand.New(rand.NewPCG(2, uint64(len(pl.loads))))
	for failed := 0; failed < tries && !s.spent(); failed++ {
		t.copy(best, false)
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

// copy takes a plan in hand; changed says whether all of it is to be looked at.
func (t *trader) copy(pl *plan, changed bool) {
	t.loads, t.changed, t.split, t.cost = t.loads[:0], t.changed[:0], slices.Clone(pl.split), pl.cost
	for _, l := range pl.loads {
		t.loads = append(t.loads, load{config: l.config, need: slices.Clone(l.need), whole: slices.Clone(l.whole), loose: slices.Clone(l.loose)})
		t.changed = append(t.changed, changed)
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
	t.key = binary.LittleEndian.AppendUint32(t.key[:0], uint32(standing+1))
	for _, n := range need {
		t.key = binary.LittleEndian.AppendUint32(t.key, uint32(n))
	}
	t.s.work++
	at, known := t.known[string(t.key)]
	if !known {
		if at = t.cheapest(standing, need); len(t.known) >= mostKnown {
			clear(t.known)
		}
		t.known[string(t.key)] = at
	}
	if at < 0 || t.configs[at].price >= below {
		return nil, below
	}
	return &t.configs[at], t.configs[at].price
}

// cheapest is the first configuration at a place that holds a need; -1 none.
func (t *trader) cheapest(standing int, need vector) int32 {
	for i := range t.configs {
		if c := &t.configs[i]; c.standing == standing && need.within(c.cap) {
			t.s.work += int64(i / 16)
			return int32(i)
		}
	}
	t.s.work += int64(len(t.configs) / 16)
	return -1
}

// descend trades until nothing saves money.
func (t *trader) descend() {
	first := !slices.Contains(t.changed, false)
	for !t.s.spent() && slices.Contains(t.changed, true) {
		t.loads = append(t.loads, load{config: &config{standing: -1}, need: make(vector, len(t.s.in.halls)), loose: make([]int, len(t.s.in.masks))})
		t.changed = append(t.changed, first)
		look := slices.Clone(t.changed)
		clear(t.changed)
		for i := range t.loads {
			for j := range t.loads {
				if i != j && (look[i] || look[j]) && t.between(i, j) {
					look[i], look[j], t.changed[i], t.changed[j] = true, true, true, true
				}
			}
		}
		n := 0
		for i, l := range t.loads {
			if l.config.standing >= 0 || total(l.need) > 0 {
				t.loads[n], t.changed[n] = l, t.changed[i]
				n++
			}
		}
		t.loads, t.changed = t.loads[:n], t.changed[:n]
	}
}

// between trades between two controllers; true if something was saved. Of
// several like items in one of them the first is tried for all.
func (t *trader) between(i, j int) bool {
	saved := false
	for a := 0; a < len(t.loads[i].whole); a++ {
		if slices.Contains(t.loads[i].whole[:a], t.loads[i].whole[a]) {
			continue
		}
		if t.exchange(i, j, a, -1) {
			saved = true
			a--
			continue
		}
		for b := 0; i < j && b < len(t.loads[j].whole); b++ {
			two := t.loads[j].whole
			if t.loads[i].whole[a] != two[b] && !slices.Contains(two[:b], two[b]) && t.exchange(i, j, a, b) {
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
	move := in.types[w.typ].variants[w.variant].need
	copy(t.give, from.need)
	copy(t.keep, to.need)
	t.give.add(move, -1)
	t.keep.add(move, 1)
	if b >= 0 {
		back := to.whole[b]
		move = in.types[back.typ].variants[back.variant].need
		t.give.add(move, 1)
		t.keep.add(move, -1)
	}
	if t.clash(from, to, a, b) || !t.accept(i, j) {
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

// clash reports whether an exchange brings two of a group together that are to
// be kept apart.
func (t *trader) clash(from, to *load, a, b int) bool {
	in := t.s.in
	meets := func(at *load, leaves int, w whole) bool {
		apart := in.types[w.typ].apart
		if apart == "" {
			return false
		}
		rest := slices.Clone(at.whole)
		if leaves >= 0 {
			rest = slices.Delete(rest, leaves, leaves+1)
		}
		return in.clash(at.config, rest, apart)
	}
	return meets(to, b, from.whole[a]) || b >= 0 && meets(from, a, to.whole[b])
}

// hand moves n loose points of a kind if that saves money.
func (t *trader) hand(i, j, kind, n int) bool {
	copy(t.give, t.loads[i].need)
	copy(t.keep, t.loads[j].need)
	t.give.add(t.s.in.one[kind], -int32(n))
	t.keep.add(t.s.in.one[kind], int32(n))
	if !t.accept(i, j) {
		return false
	}
	t.loads[i].loose[kind] -= n
	t.loads[j].loose[kind] += n
	return true
}

// accept gives two loads the needs on trial if their configurations then cost
// less.
func (t *trader) accept(i, j int) bool {
	from, to := &t.loads[i], &t.loads[j]
	now := from.config.price + to.config.price
	ci, pi := t.fit(from.config.standing, t.give, now)
	if pi >= now {
		return false
	}
	cj, pj := t.fit(to.config.standing, t.keep, now-pi)
	if pi+pj >= now {
		return false
	}
	t.set(i, ci, t.give)
	t.set(j, cj, t.keep)
	t.cost -= now - pi - pj
	return true
}

func (t *trader) set(i int, c *config, need vector) {
	if c == nil {
		c = &config{standing: -1}
	}
	t.loads[i].config = c
	copy(t.loads[i].need, need)
	t.changed[i] = true
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
	move := in.types[w.typ].variants[w.variant].need
	copy(t.give, from.need)
	copy(t.keep, to.need)
	t.give.add(move, -1)
	t.keep.add(move, 1)
	ci, pi := t.fit(from.config.standing, t.give, 1<<60)
	cj, pj := t.fit(to.config.standing, t.keep, 1<<60)
	if pi == 1<<60 || pj == 1<<60 || in.clash(to.config, to.whole, in.types[w.typ].apart) {
		return
	}
	t.cost += pi + pj - from.config.price - to.config.price
	t.set(i, ci, t.give)
	t.set(j, cj, t.keep)
	to.whole = append(to.whole, w)
	from.whole = slices.Delete(from.whole, a, a+1)
}
