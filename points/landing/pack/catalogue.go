package pack

import (
	"cmp"
	"slices"
)

// config is a base with its expansions, as the panel sees it: what may be used
// of it for each Hall set, cut at what the panel needs.
type config struct {
	standing   int // -1 a new controller
	base       int
	expansions []int // bought with it
	price      int64
	ports      []int // usable terminals by class
	room       int   // points it may take, where there is such a limit
	cap        vector
	reduced    float64 // by the covering program
}

// site is where expansions can go: a base of the catalogue, or a controller
// that hangs already with the slots it has left.
type site struct {
	standing    int
	base        int
	slots, most int
	price       int64
	installed   []int // terminals that follow the spare rule
	free        []int // terminals that may all be used
	room        int   // points it may take; 0 no limit
}

// sites lists the bases and then the standing controllers of a demand.
func (p *Problem) sites(d demand) []site {
	var out []site
	for b := range p.Models {
		m := &p.Models[b]
		if !m.Base || m.Gone {
			continue
		}
		out = append(out, site{standing: -1, base: b, slots: m.Slots, most: m.most(), price: m.Price, installed: m.Ports, room: p.MaxPoints})
	}
	for _, k := range d.standing {
		st := p.Standing[k]
		b := &p.Models[st.Model]
		s := site{standing: k, base: st.Model, slots: b.Slots, most: b.most(), free: st.Free, room: p.MaxPoints}
		for _, e := range st.Expansions {
			s.slots, s.most = s.slots-p.Models[e].Slots, s.most-1
		}
		if st.Fixed {
			s.slots, s.most = 0, 0
		}
		if p.MaxPoints > 0 {
			s.room = max(0, p.MaxPoints-st.Points)
		}
		out = append(out, s)
	}
	return out
}

func at(list []int, i int) int {
	if i < len(list) {
		return list[i]
	}
	return 0
}

// capacity is the vector of usable terminals, cut at the need.
func (in *instance) capacity(ports []int, room int, widest vector) vector {
	v := make(vector, len(in.halls))
	for h := range v {
		v[h] = in.terminals(h, ports, room, widest)
	}
	return v
}

// terminals is one figure of that vector.
func (in *instance) terminals(h int, ports []int, room int, widest vector) int32 {
	n := 0
	if in.halls[h].All {
		n = room
	}
	for _, i := range in.halls[h].classes {
		n += ports[i]
	}
	return min(int32(n), widest[h])
}

// walker goes through the configurations of one site.
type walker struct {
	c         *cover
	site      site
	fits      []int     // expansions
	gain      []float64 // the most one slot can gain from this expansion on
	class     []float64 // price of a terminal of each class
	threshold float64
	counts    []int
	ports     []int // terminals added
	usable    []int // what may be used of the configuration in hand
	emit      func(k config, reduced float64) (threshold float64, stop bool)
	stopped   bool
}

// walk calls emit with every configuration of a site whose reduced cost may be
// at most the threshold; emit returns the threshold to go on with.
func (c *cover) walk(s site, threshold float64, emit func(config, float64) (float64, bool)) {
	p := c.s.in.p
	w := &walker{c: c, site: s, threshold: threshold, emit: emit, class: make([]float64, len(p.Classes)), ports: make([]int, len(p.Classes)), usable: make([]int, len(p.Classes))}
	start := float64(s.price)
	if s.standing < 0 {
		start -= c.each
	}
	for h, hl := range c.s.in.halls {
		if hl.All {
			start -= float64(c.y[h] * float64(s.room))
		}
		for i := range w.class {
			if hl.Set.Has(i) {
				w.class[i] += c.y[h]
			}
		}
	}
	for i, price := range w.class {
		start -= float64(price * (w.share(i, at(s.installed, i)) + float64(at(s.free, i))))
	}
	for e := range p.Models {
		if m := &p.Models[e]; !m.Base && !m.Gone && m.Fits&p.Models[s.base].Fits != 0 {
			w.fits = append(w.fits, e)
		}
	}
	w.gain = make([]float64, len(w.fits)+1)
	for i := len(w.fits) - 1; i >= 0; i-- {
		m := &p.Models[w.fits[i]]
		w.gain[i] = max(w.gain[i+1], -w.linear(m)/float64(m.Slots))
	}
	w.counts = make([]int, len(w.fits))
	w.step(0, s.slots, s.most, s.price, start)
}

// share is what can at most be used of n terminals, rounding left aside.
func (w *walker) share(i, n int) float64 {
	return float64(n) * float64(10000-at(w.c.s.in.p.Spare.Share, i)) / 10000
}

// linear is the reduced cost of an expansion, at least.
func (w *walker) linear(m *Model) float64 {
	v := float64(m.Price)
	for i, n := range m.Ports {
		v -= float64(w.class[i] * w.share(i, n))
	}
	return v
}

func (w *walker) step(from, slots, most int, price int64, linear float64) {
	if w.stopped {
		return
	}
	w.c.s.work++
	w.reach(price)
	p := w.c.s.in.p
	for i := from; i < len(w.fits) && most > 0; i++ {
		m := &p.Models[w.fits[i]]
		next := linear + w.linear(m)
		if m.Slots > slots || next-float64(float64(slots-m.Slots)*w.gain[i]) > w.threshold || !w.useful(m) {
			continue
		}
		w.counts[i]++
		for k, n := range m.Ports {
			w.ports[k] += n
		}
		w.step(i, slots-m.Slots, most-1, price+m.Price, next)
		w.counts[i]--
		for k, n := range m.Ports {
			w.ports[k] -= n
		}
	}
}

// useful reports whether another such expansion could be used at all.
func (w *walker) useful(m *Model) bool {
	for i, n := range m.Ports {
		if n > 0 && w.ports[i]+at(w.site.installed, i) < w.c.limit[i] {
			return true
		}
	}
	return false
}

// reach looks at the configuration that has been put together. Nothing is
// kept of one that is too dear.
func (w *walker) reach(price int64) {
	in := w.c.s.in
	for i, n := range w.ports {
		w.usable[i] = in.p.Spare.Usable(i, n+at(w.site.installed, i)) + at(w.site.free, i)
	}
	reduced := float64(price)
	if w.site.standing < 0 {
		reduced -= w.c.each
	}
	for h := range in.halls {
		if y := w.c.y[h]; y > 0 {
			reduced -= float64(y * float64(in.terminals(h, w.usable, w.site.room, w.c.widest)))
		}
	}
	if reduced > w.threshold {
		return
	}
	k := config{standing: w.site.standing, base: w.site.base, price: price, room: w.site.room, ports: w.c.s.slab.ports(w.usable)}
	k.cap = w.c.s.slab.vector(len(in.halls))
	for h := range k.cap {
		k.cap[h] = in.terminals(h, k.ports, k.room, w.c.widest)
	}
	modules := 0
	for _, n := range w.counts {
		modules += n
	}
	k.expansions = make([]int, 0, modules)
	for i, n := range w.counts {
		for range n {
			k.expansions = append(k.expansions, w.fits[i])
		}
	}
	w.threshold, w.stopped = w.emit(k, reduced)
}

// bare lists every site without expansions.
func (c *cover) bare() []config {
	var out []config
	for _, s := range c.s.in.p.sites(c.d) {
		c.walk(s, 1e18, func(k config, _ float64) (float64, bool) {
			out = append(out, k)
			return 0, true
		})
	}
	return out
}

// cheapest finds at every site the configuration of least reduced cost, if
// that is below 0.
func (c *cover) cheapest() []config {
	var out []config
	for _, s := range c.s.in.p.sites(c.d) {
		var best *config
		c.walk(s, -1e-9, func(k config, reduced float64) (float64, bool) {
			best = &k
			return reduced - 1e-9, false
		})
		if best != nil {
			out = append(out, *best)
		}
	}
	return out
}

// within lists the configurations whose reduced cost is at most a gap, least
// first; if there are more than so many the gap is halved until there are not,
// and the answer is false.
func (c *cover) within(gap float64, most int) ([]config, bool) {
	for complete, tries := true, 0; ; tries++ {
		out := c.s.buffer[:0]
		for _, s := range c.s.in.p.sites(c.d) {
			limit := gap
			if s.standing >= 0 {
				limit -= c.gives[s.standing]
			}
			c.walk(s, limit, func(k config, reduced float64) (float64, bool) {
				k.reduced = reduced
				out = append(out, k)
				return limit, len(out) > most && tries < 50
			})
		}
		if len(out) <= most || tries >= 50 {
			slices.SortStableFunc(out, func(a, b config) int { return cmp.Compare(a.reduced, b.reduced) })
			c.s.buffer = out
			return slices.Clone(out), complete
		}
		c.s.buffer = out
		complete = false
		gap /= 2
	}
}

// choose picks some of the configurations listed by reduced cost: the first
// ones, and for each type the first ones that hold an item of it, so that no
// type is left with poor ones only.
func (c *cover) choose(list []config, most int) []config {
	if len(list) <= 2*most {
		return undominated(list)
	}
	out := slices.Clone(list[:most])
	in := c.s.in
	for t, n := range c.d.count {
		if n == 0 {
			continue
		}
		left := max(4, most/16)
		for i := 0; i < len(list) && left > 0; i++ {
			if !in.types[t].variants[0].need.within(list[i].cap) {
				continue
			}
			left--
			if i >= most {
				out = append(out, list[i])
			}
		}
	}
	return undominated(out)
}

// undominated sorts by price and drops what another of the same place beats:
// no dearer and nowhere smaller.
func undominated(all []config) []config {
	slices.SortStableFunc(all, func(a, b config) int {
		return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(total(b.cap), total(a.cap)), cmp.Compare(len(a.expansions), len(b.expansions)))
	})
	var out []config
	var look []int // those kept, the one that beat last in front: it often beats again
	for _, c := range all {
		beaten := false
		for i, j := range look {
			if out[j].standing == c.standing && c.cap.within(out[j].cap) {
				copy(look[1:i+1], look[:i])
				look[0] = j
				beaten = true
				break
			}
		}
		if !beaten {
			look = append(look, len(out))
			out = append(out, c)
		}
	}
	return out
}

func total(v vector) int32 {
	var n int32
	for _, x := range v {
		n += x
	}
	return n
}
