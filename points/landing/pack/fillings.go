package pack

import (
	"encoding/binary"
	"math"
	"slices"
)

// filling is a configuration with whole items, and the room it leaves.
type filling struct {
	config  *config
	whole   []filled
	cost    int64
	reduced float64
	claim   float64 // worth of the loose points it could take
	room    []int   // what it leaves for each set; nil until asked
	beaten  bool
}

// list collects the fillings whose reduced cost is within a gap; false if
// there are too many.
func (s *search) list(gap float64) bool {
	m := s.m
	s.found, s.fillings, s.groups = nil, 0, map[string][]*filling{}
	most := max(2000, s.nodes/20)
	ks := m.s.offer(m.types, m.kinds, m.d, m.loose, m.prices, everything)
	for i := range m.configs {
		c := &m.configs[i]
		floor := m.least(c) - gap - 1e-9
		if m.room(c) <= floor {
			continue
		}
		ended := ks.run(c, floor, s.nodes, func(worth float64) float64 {
			s.add(ks, m.least(c)-worth)
			if s.fillings > most {
				return math.Inf(1)
			}
			return floor
		})
		if !ended || s.fillings > most {
			return false
		}
	}
	return true
}

// add keeps a filling unless one with the same items is no dearer and leaves
// no less room; those that it beats in turn go.
func (s *search) add(ks *knapsack, reduced float64) {
	f := &filling{config: ks.config, cost: ks.config.price, reduced: max(0, reduced), claim: ks.fill(nil)}
	kinds := 0
	for _, n := range ks.taken {
		kinds += min(n, 1)
	}
	f.whole = make([]filled, 0, kinds)
	key := binary.LittleEndian.AppendUint16(nil, uint16(f.config.standing+1))
	for i, n := range ks.taken {
		if n > 0 {
			it := &ks.items[i]
			f.whole = append(f.whole, filled{it.typ, it.variant, n})
			f.cost += int64(n) * s.in.types[it.typ].variants[it.variant].extra
		}
	}
	for t, n := range ks.used {
		if n > 0 {
			key = binary.LittleEndian.AppendUint16(binary.LittleEndian.AppendUint16(key, uint16(t)), uint16(n))
		}
	}
	group := s.groups[string(key)]
	for _, o := range group {
		if s.beats(o, f) {
			return
		}
	}
	for i := 0; i < len(group); {
		if s.beats(f, group[i]) {
			group[i].beaten = true
			s.fillings--
			group = slices.Delete(group, i, i+1)
			continue
		}
		i++
	}
	s.groups[string(key)] = append(group, f)
	s.fillings++
	s.found = append(s.found, f)
}

// beats reports whether a filling with the same items is as good as another.
func (s *search) beats(a, b *filling) bool {
	if a.cost > b.cost {
		return false
	}
	if len(s.sets) == 0 {
		return true
	}
	ra, rb := s.leaves(a), s.leaves(b)
	for i := range ra {
		if ra[i] < rb[i] {
			return false
		}
	}
	return true
}

// leaves is the room that a filling leaves for each set of loose kinds.
func (s *search) leaves(f *filling) []int {
	if f.room != nil {
		return f.room
	}
	in := s.in
	kinds := make([]int, len(in.masks))
	points := 0
	for _, w := range f.whole {
		for _, k := range in.types[w.typ].variants[w.variant].kinds {
			kinds[k] += w.n
			points += w.n
		}
	}
	room := make([]int, len(in.closed))
	for j, set := range in.closed {
		for i, n := range f.config.ports {
			if set.Has(i) {
				room[j] += n
			}
		}
		for k, n := range kinds {
			if in.masks[k]&^set == 0 {
				room[j] -= n
			}
		}
	}
	f.room = make([]int, len(s.sets))
	for i, set := range s.sets {
		least := 1 << 30
		if in.p.MaxPoints > 0 {
			least = f.config.room - points
		}
		for j, closed := range in.closed {
			if set&^closed == 0 {
				least = min(least, room[j])
			}
		}
		f.room[i] = min(least, s.most[i]) // more can never be asked for
	}
	return f.room
}
