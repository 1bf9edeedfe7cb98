package pack

import (
	"math/bits"
	"slices"
)

// When does a set of points fit one controller? A point may use any terminal
// of its classes, so this is a matching, and Hall's condition decides it: for
// every set T of terminal classes, the points that can use nothing outside T
// are no more than the usable terminals in T. Only sets T that are unions of
// demand masks can be tight, and of those only connected ones matter: if T
// falls into two parts that no mask joins, its inequality is the sum of
// theirs. Both sides are sums, over points and over terminals, so a controller
// is a vector of capacities and a piece of equipment a vector of needs, and
// fitting is comparing them.
//
// Loose points spread over several controllers. What a controller with whole
// items q inside leaves for a set T is r(T) = min over closed U that hold T of
// capacity(U) - q(U), a polymatroid; polymatroids add up, so loose points fit
// if and only if for every closed T, connected or not, they are no more than
// the sum of r(T) over the controllers.

// hall is one inequality: points whose mask lies in Set against terminals of Set.
type hall struct {
	Set   Mask
	Kinds []int // indices of the masks that lie in Set
	All   bool  // the limit of points a controller, not a set of terminals

	classes []int // those of Set
}

// unions lists all unions of the masks, smallest first.
func unions(masks []Mask) []Mask {
	seen := map[Mask]bool{}
	var out []Mask
	for _, m := range masks {
		for _, u := range append([]Mask{0}, out...) {
			if v := u | m; !seen[v] {
				seen[v] = true
				out = append(out, v)
			}
		}
	}
	slices.SortFunc(out, func(a, b Mask) int {
		if c := bits.OnesCount16(uint16(a)) - bits.OnesCount16(uint16(b)); c != 0 {
			return c
		}
		return int(a) - int(b)
	})
	return out
}

// inside lists the kinds whose mask lies in set.
func inside(masks []Mask, set Mask) []int {
	var out []int
	for k, m := range masks {
		if m&^set == 0 {
			out = append(out, k)
		}
	}
	return out
}

// connected reports whether the masks inside set join all of it.
func connected(masks []Mask, set Mask) bool {
	var reach Mask
	for {
		before := reach
		for _, m := range masks {
			if m&^set == 0 && (reach == 0 || m&reach != 0) {
				reach |= m
			}
		}
		if reach == before {
			return reach == set
		}
	}
}

// halls lists the inequalities that decide whether points fit one controller.
// limit adds the one on the number of points.
func halls(masks []Mask, limit bool) []hall {
	var out []hall
	for _, set := range unions(masks) {
		if connected(masks, set) {
			hl := hall{Set: set, Kinds: inside(masks, set)}
			for i := range MaxClasses {
				if set.Has(i) {
					hl.classes = append(hl.classes, i)
				}
			}
			out = append(out, hl)
		}
	}
	if limit {
		every := make([]int, len(masks))
		for k := range every {
			every[k] = k
		}
		out = append(out, hall{Kinds: every, All: true})
	}
	return out
}

// vector is a need or a capacity, one figure a hall.
type vector []int32

func (v vector) within(cap vector) bool {
	for i := range v {
		if v[i] > cap[i] {
			return false
		}
	}
	return true
}

func (v vector) plusWithin(w, cap vector) bool {
	for i := range v {
		if v[i]+w[i] > cap[i] {
			return false
		}
	}
	return true
}

func (v vector) add(w vector, times int32) {
	for i := range v {
		v[i] += times * w[i]
	}
}

// looseKinds counts the loose points by kind.
func (in *instance) looseKinds() []int {
	out := make([]int, len(in.masks))
	for _, l := range in.loose {
		out[l.kind]++
	}
	return out
}
