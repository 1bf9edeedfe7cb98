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
	expansions []int
	price      int64
	ports      []int // usable terminals by class
	cap        vector
}

// modules is a set of expansions under way: how many slots, what it costs,
// what it brings.
type modules struct {
	list  []int
	slots int
	price int64
	ports []int
}

// expand lists the sets of expansions that fit a base with so many slots free
// and room for so many modules, at most at a price, dominated ones left out.
func (p *Problem) expand(fits uint64, slots, most int, price int64, limit []int) []modules {
	out := []modules{{ports: make([]int, len(p.Classes))}}
	for e, m := range p.Models {
		if m.Base || m.Fits&fits == 0 {
			continue
		}
		for i := 0; i < len(out); i++ { // out grows: each set may take m again
			s := out[i]
			if s.slots+m.Slots > slots || len(s.list) >= most || s.price+m.Price > price {
				continue
			}
			next := modules{list: append(slices.Clone(s.list), e), slots: s.slots + m.Slots, price: s.price + m.Price, ports: slices.Clone(s.ports)}
			more := false
			for c, n := range m.Ports {
				more = more || n > 0 && s.ports[c] < limit[c]
				next.ports[c] += n
			}
			if more {
				out = append(out, next)
			}
		}
	}
	return out
}

// configurations lists what can be built for a panel at most at a price each,
// cheapest first, without those that another one beats: no dearer and nowhere
// smaller. limit is how many terminals of a class the panel could ever use.
func (in *instance) configurations(price int64) []config {
	p := in.p
	demand := in.demand()
	limit := in.limits()
	var all []config
	for b, m := range p.Models {
		if !m.Base || m.Price > price {
			continue
		}
		most := m.MaxExpansions
		if most == 0 {
			most = m.Slots
		}
		for _, s := range p.expand(m.Fits, m.Slots, most, price-m.Price, limit) {
			c := config{standing: -1, base: b, expansions: s.list, price: m.Price + s.price, ports: make([]int, len(p.Classes))}
			for i := range c.ports {
				c.ports[i] = p.Spare.Usable(i, m.port(i)+s.ports[i])
			}
			c.cap = in.capacity(c.ports, p.MaxPoints, demand)
			all = append(all, c)
		}
	}
	return undominated(all)
}

func (m *Model) port(i int) int {
	if i < len(m.Ports) {
		return m.Ports[i]
	}
	return 0
}

// standing lists what the controllers that hang already can become.
func (in *instance) standingConfigs(price int64) [][]config {
	p := in.p
	demand, limit := in.demand(), in.limits()
	var out [][]config
	for k, st := range p.Standing {
		b := p.Models[st.Model]
		slots, most := b.Slots, b.MaxExpansions
		if most == 0 {
			most = b.Slots
		}
		for _, e := range st.Expansions {
			slots, most = slots-p.Models[e].Slots, most-1
		}
		if st.Fixed {
			slots, most = 0, 0
		}
		room := p.MaxPoints
		if room > 0 {
			room = max(1, room-st.Points)
		}
		var list []config
		for _, s := range p.expand(b.Fits, slots, most, price, limit) {
			c := config{standing: k, base: st.Model, expansions: s.list, price: s.price, ports: make([]int, len(p.Classes))}
			for i := range c.ports {
				c.ports[i] = p.Spare.Usable(i, s.ports[i])
				if i < len(st.Free) {
					c.ports[i] += st.Free[i]
				}
			}
			c.cap = in.capacity(c.ports, room, demand)
			if p.MaxPoints > 0 && st.Points >= p.MaxPoints {
				c.cap = make(vector, len(in.halls))
			}
			list = append(list, c)
		}
		out = append(out, undominated(list))
	}
	return out
}

// capacity is the vector of usable terminals, cut at the demand.
func (in *instance) capacity(ports []int, most int, demand vector) vector {
	v := make(vector, len(in.halls))
	for h, hl := range in.halls {
		n := 0
		for i, u := range ports {
			if hl.Set.Has(i) {
				n += u
			}
		}
		if hl.All {
			n = most
		}
		v[h] = min(int32(n), demand[h])
	}
	return v
}

// demand is the vector of all points of the panel, each at its widest tier
// where that makes it larger.
func (in *instance) demand() vector {
	v := make(vector, len(in.halls))
	for _, t := range in.types {
		for h := range v {
			most := int32(0)
			for _, one := range t.variants {
				most = max(most, one.need[h])
			}
			v[h] += most * int32(len(t.members))
		}
	}
	for _, l := range in.loose {
		v.add(in.need([]int{l.kind}), 1)
	}
	return v
}

// limits are how many terminals of each class are worth installing: enough for
// every point that may use the class with the spare on top.
func (in *instance) limits() []int {
	out := make([]int, len(in.p.Classes))
	for _, it := range in.p.Items {
		for _, pt := range it.Points {
			for _, c := range pt.Choices {
				out[c.Class]++
			}
		}
	}
	for i, n := range out {
		for use := n; n > 0 && in.p.Spare.Usable(i, use) < n; use++ {
			out[i] = use + 1
		}
	}
	return out
}

// undominated sorts by price and drops what another beats.
func undominated(all []config) []config {
	slices.SortStableFunc(all, func(a, b config) int {
		return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(total(b.cap), total(a.cap)), cmp.Compare(len(a.expansions), len(b.expansions)))
	})
	var out []config
	for _, c := range all {
		if !slices.ContainsFunc(out, func(o config) bool { return c.cap.within(o.cap) }) {
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
