package pack

import "slices"

// An interposer makes a class take a point that others take without one. Most
// such offers are never worth it: if no point takes the class at its own least
// cost, its terminals serve interposed points only, and if whatever has such
// terminals is beaten by something with as many of a class that all these
// points take at least cost, then any plan that uses them is no worse with
// that other thing in their place. (The spare does not spoil it: adding k
// terminals of a class makes at least usable(k) more of them usable.)

// idle returns the classes that no cheapest plan needs for interposed points.
func (p *Problem) idle() Mask {
	var out Mask
	for changed := true; changed; {
		changed = false
		for c := range p.Classes {
			if !out.Has(c) && p.idleClass(c, out) {
				out |= 1 << c
				changed = true
			}
		}
	}
	return out
}

func (p *Problem) idleClass(c int, gone Mask) bool {
	common := ^Mask(0)
	used := false
	for _, it := range p.Items {
		for _, pt := range it.Points {
			ts := tiers(pt.Choices)
			if len(ts) == 0 || !ts[len(ts)-1].mask.Has(c) {
				continue
			}
			if ts[0].mask.Has(c) {
				return false
			}
			used = true
			common &= ts[0].mask
		}
	}
	if !used || slices.ContainsFunc(p.Standing, func(s Standing) bool { return at(s.Free, c) > 0 }) {
		return false
	}
	for f := range p.Classes {
		if common.Has(f) && !gone.Has(f) && at(p.Spare.Share, f) <= at(p.Spare.Share, c) && p.replaced(c, f) {
			return true
		}
	}
	return false
}

// replaced reports whether everything with terminals of class c is beaten by
// something with as many of class f more.
func (p *Problem) replaced(c, f int) bool {
	for i := range p.Models {
		m := &p.Models[i]
		if m.Gone || at(m.Ports, c) == 0 {
			continue
		}
		beats := func(o Model) bool {
			if o.Gone || o.Base != m.Base || o.Price > m.Price || m.Fits&^o.Fits != 0 {
				return false
			}
			if m.Base && (o.Slots < m.Slots || o.most() < m.most()) || !m.Base && o.Slots > m.Slots {
				return false
			}
			for k := range p.Classes {
				want := at(m.Ports, k)
				if k == f {
					want += at(m.Ports, c)
				}
				if k != c && at(o.Ports, k) < want {
					return false
				}
			}
			return true
		}
		if !slices.ContainsFunc(p.Models, beats) {
			return false
		}
	}
	return true
}

// most is how many expansions a base takes.
func (m *Model) most() int {
	if m.MaxExpansions > 0 {
		return m.MaxExpansions
	}
	return m.Slots
}

// without leaves out the choices of some classes.
func without(choices []Choice, gone Mask) []Choice {
	if gone == 0 {
		return choices
	}
	return slices.DeleteFunc(slices.Clone(choices), func(c Choice) bool { return gone.Has(c.Class) })
}
