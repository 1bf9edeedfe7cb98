package pack

import (
	"cmp"
	"fmt"
	"slices"
)

// instance is the problem without names: whole items by type with a count,
// loose points by mask.
//
// A point that some class takes only with an interposer has tiers: the classes
// free of charge, then those up to the next price. It is read as a choice of
// variants, each a mask at a price, so that inside the search every point is a
// plain mask. A loose point with tiers becomes an item of its own, which is
// whole by nature.
type instance struct {
	p     *Problem
	masks []Mask // the kinds of point, in order
	halls []hall
	types []itemType
	loose []loosePoint // without tiers, in order of kind

	one     []vector // need of one point of each kind
	oneCol  [][]entry
	unit    [][]entry // a column with 1 in the row of each Hall set
	hallsOf [][]int   // Hall sets that count a kind
	closed  []Mask    // all unions of the masks, connected or not
	step    int64     // every cost is a multiple of it
	idle    Mask      // classes that no cheapest plan needs for interposed points
}

// itemType is equipment that is alike: same points, same rules.
type itemType struct {
	keep     Keep
	penalty  int64
	apart    string
	variants []variant // cheapest first
	members  []member
	points   int
	mostOf   []int // of each kind, the most that a variant has
	tiers    [][]tier
	cut      bool // not all its variants are listed
}

// member is one of a type: an item and its points in the order of the type.
type member struct {
	item   int
	points []int
}

// variant is one way to read the tiers of an item: kinds[i] is the mask of its
// i-th point.
type variant struct {
	extra int64
	kinds []int
	need  vector
	col   []entry // the same without the zeros
}

type loosePoint struct{ item, point, kind int }

// tier is a mask that a point may use at an extra cost.
type tier struct {
	mask  Mask
	extra int64
}

// tiers turns choices into nested masks, cheapest first.
func tiers(choices []Choice) []tier {
	sorted := slices.Clone(choices)
	slices.SortFunc(sorted, func(a, b Choice) int { return cmp.Or(cmp.Compare(a.Extra, b.Extra), cmp.Compare(a.Class, b.Class)) })
	var out []tier
	var mask Mask
	for _, c := range sorted {
		if mask.Has(c.Class) {
			continue
		}
		mask |= 1 << c.Class
		if n := len(out); n > 0 && out[n-1].extra == c.Extra {
			out[n-1].mask = mask
			continue
		}
		out = append(out, tier{mask, c.Extra})
	}
	return out
}

func compareTiers(a, b []tier) int {
	return slices.CompareFunc(a, b, func(x, y tier) int { return cmp.Or(cmp.Compare(x.mask, y.mask), cmp.Compare(x.extra, y.extra)) })
}

func reduce(p *Problem) *instance {
	in := &instance{p: p}
	in.idle = p.idle()
	tiersOf := make([][][]tier, len(p.Items))
	for i, it := range p.Items {
		for _, pt := range it.Points {
			ts := tiers(without(pt.Choices, in.idle))
			tiersOf[i] = append(tiersOf[i], ts)
			for _, t := range ts {
				in.masks = append(in.masks, t.mask)
			}
		}
	}
	slices.Sort(in.masks)
	in.masks = slices.Compact(in.masks)
	in.halls = halls(in.masks, p.MaxPoints > 0)
	in.closed = unions(in.masks)
	for h := range in.halls {
		in.unit = append(in.unit, []entry{{h, 1}})
	}
	for k := range in.masks {
		in.one = append(in.one, in.need([]int{k}))
		in.oneCol = append(in.oneCol, column(in.one[k]))
		var list []int
		for h, n := range in.one[k] {
			if n > 0 {
				list = append(list, h)
			}
		}
		in.hallsOf = append(in.hallsOf, list)
	}

	at := map[string]int{}
	add := func(t itemType, ts [][]tier, m member) {
		key := fmt.Sprint(t.keep, t.penalty, t.apart, ts)
		j, known := at[key]
		if !known {
			j = len(in.types)
			at[key] = j
			t.variants, t.cut = in.variants(ts)
			t.points, t.tiers = len(ts), ts
			t.mostOf = make([]int, len(in.masks))
			for _, v := range t.variants {
				for k, n := range count(v.kinds, len(in.masks)) {
					t.mostOf[k] = max(t.mostOf[k], n)
				}
			}
			in.types = append(in.types, t)
		}
		in.types[j].members = append(in.types[j].members, m)
	}
	for i, it := range p.Items {
		if it.Keep == Loose || len(it.Points) == 1 && it.Apart == "" {
			for j, ts := range tiersOf[i] {
				if len(ts) == 1 && ts[0].extra == 0 {
					in.loose = append(in.loose, loosePoint{i, j, in.kind(ts[0].mask)})
				} else {
					add(itemType{keep: Hard}, [][]tier{ts}, member{i, []int{j}})
				}
			}
			continue
		}
		t := itemType{keep: it.Keep, penalty: it.Penalty, apart: it.Apart}
		if it.Keep == Hard {
			t.penalty = 0
		}
		order := make([]int, len(it.Points))
		for j := range order {
			order[j] = j
		}
		slices.SortStableFunc(order, func(a, b int) int { return compareTiers(tiersOf[i][a], tiersOf[i][b]) })
		ts := make([][]tier, len(order))
		for k, j := range order {
			ts[k] = tiersOf[i][j]
		}
		add(t, ts, member{i, order})
	}
	slices.SortStableFunc(in.loose, func(a, b loosePoint) int { return cmp.Compare(a.kind, b.kind) })
	in.step = in.money()
	return in
}

// money is the greatest amount that every price, penalty and extra is a
// multiple of: bounds are rounded up to it.
func (in *instance) money() int64 {
	var g int64
	mix := func(v int64) {
		for v != 0 {
			g, v = v, g%v
		}
	}
	for _, m := range in.p.Models {
		mix(m.Price)
	}
	for _, t := range in.types {
		mix(t.penalty)
		for _, v := range t.variants {
			mix(v.extra)
		}
	}
	return max(1, g)
}

// Where an item has more variants than mostVariants, or a panel of more than
// fewItems items has one with more than someVariants, only the likely ones are
// tried: none of its points with an interposer, all points of one sort, all.
// The plan is then not called proven by the search, and the bound is that of
// the covering program, which reads every point by itself and misses none.
const (
	mostVariants = 64
	someVariants = 8
	fewItems     = 6
)

// variants lists the ways to read an item's points. Points with equal tiers
// are interchangeable, so only how many read which tier matters: within a run
// of equals the tier never falls. True if some are left out.
func (in *instance) variants(ts [][]tier) ([]variant, bool) {
	most := mostVariants
	if len(in.p.Items) > fewItems {
		most = someVariants
	}
	var out []variant
	pick := make([]int, len(ts))
	emit := func() {
		v := variant{kinds: make([]int, len(ts))}
		for i, t := range pick {
			v.kinds[i] = in.kind(ts[i][t].mask)
			v.extra += ts[i][t].extra
		}
		v.need = in.need(v.kinds)
		v.col = column(v.need)
		out = append(out, v)
	}
	var walk func(i int)
	walk = func(i int) {
		if len(out) > most {
			return
		}
		if i == len(ts) {
			emit()
			return
		}
		from := 0
		if i > 0 && compareTiers(ts[i], ts[i-1]) == 0 {
			from = pick[i-1]
		}
		for t := from; t < len(ts[i]); t++ {
			pick[i] = t
			walk(i + 1)
		}
	}
	walk(0)
	cut := len(out) > most
	if cut {
		out = nil
		clear(pick)
		emit()
		for i := 0; i < len(ts); { // one sort of point at its second tier
			j := i
			for ; j < len(ts) && compareTiers(ts[i], ts[j]) == 0; j++ {
				pick[j] = min(1, len(ts[j])-1)
			}
			if len(ts[i]) > 1 && len(out) < most-1 {
				emit()
			}
			for k := i; k < j; k++ {
				pick[k] = 0
			}
			i = j
		}
		for i := range ts {
			pick[i] = len(ts[i]) - 1
		}
		emit()
	}
	slices.SortStableFunc(out, func(a, b variant) int { return cmp.Compare(a.extra, b.extra) })
	return out, cut
}

func (in *instance) kind(m Mask) int {
	k, _ := slices.BinarySearch(in.masks, m)
	return k
}

// need is the vector of points by kind.
func (in *instance) need(kinds []int) vector {
	v := make(vector, len(in.halls))
	for h, hl := range in.halls {
		for _, k := range kinds {
			if slices.Contains(hl.Kinds, k) {
				v[h]++
			}
		}
	}
	return v
}

// column is a vector without its zeros.
func column(v vector) []entry {
	var out []entry
	for h, n := range v {
		if n != 0 {
			out = append(out, entry{h, float64(n)})
		}
	}
	return out
}
