package pack

import (
	"fmt"
	"slices"
	"strings"
)

// Why does nothing fit? Either a point finds no usable terminal in any
// controller, for want of one in the catalogue or because the spare takes all
// there are, or the points of an item that must stay together are more than
// any one controller takes. Then points are taken away as long as the rest
// still does not fit: what is left is a smallest group that competes, every
// point of it being needed for the conflict.

// conflict tells the first reason why nothing can fit; nil if each item fits
// some controller by itself.
func (s *solver) conflict() error {
	in := s.in
	d := in.everything()
	for k := range in.masks {
		if s.placeable(d, variant{kinds: []int{k}, need: in.one[k]}) {
			continue
		}
		if no := s.unservable(k); no != nil {
			return no
		}
	}
	for t := range in.types {
		one := &in.types[t]
		if one.keep != Hard || slices.ContainsFunc(one.variants, func(v variant) bool { return s.placeable(d, v) }) {
			continue
		}
		return s.tooLarge(d, t)
	}
	return nil
}

// placeable reports whether the points fit one controller, new or standing.
func (s *solver) placeable(d demand, v variant) bool {
	in := s.in
	alone := demand{count: make([]int, len(in.types)), loose: count(v.kinds, len(in.masks)), standing: d.standing}
	c := &cover{s: s, d: alone, widest: in.widest(alone), limit: in.limitsOf(alone), y: make([]float64, len(in.halls))}
	for h := range c.y {
		c.y[h] = 1e6 // room counts, not money
	}
	found := false
	for _, st := range in.p.sites(alone) {
		c.walk(st, 1e18, func(k config, _ float64) (float64, bool) {
			found = v.need.within(k.cap)
			return 1e18, found
		})
		if found {
			return true
		}
	}
	return false
}

// unservable tells a point that no controller has a usable terminal for. It
// may have another tier that serves it: then it is none.
func (s *solver) unservable(kind int) error {
	p, mask := s.in.p, s.in.masks[kind]
	no := &Refusal{Code: "unservable", Set: mask, Need: 1}
	for i, it := range p.Items {
		for j, pt := range it.Points {
			ts := tiers(without(pt.Choices, s.in.idle))
			if len(ts) == 0 || ts[len(ts)-1].mask == mask {
				no.Points = append(no.Points, Placed{Item: i, Point: j})
				if !slices.Contains(no.Items, i) {
					no.Items = append(no.Items, i)
				}
			}
		}
	}
	if len(no.Points) == 0 {
		return nil
	}
	names := p.classNames(mask)
	has := func(m Model) bool {
		for i := range p.Classes {
			if mask.Has(i) && at(m.Ports, i) > 0 {
				return true
			}
		}
		return false
	}
	if slices.ContainsFunc(p.Models, has) {
		no.Reason = fmt.Sprintf("the spare asked for takes every %s terminal of the catalogue%s: none is left for %s", names, p.shares(mask), p.pointNames(no.Points))
	} else {
		no.Reason = fmt.Sprintf("the catalogue has no %s terminal, and %s can use no other", names, p.pointNames(no.Points))
	}
	return no
}

// tooLarge tells the smallest group of points of an item that compete.
func (s *solver) tooLarge(d demand, t int) error {
	in := s.in
	one := &in.types[t]
	widest := one.variants[len(one.variants)-1]
	group := make([]int, len(widest.kinds)) // points of the type, in its order
	for i := range group {
		group[i] = i
	}
	kindsOf := func(group []int) variant {
		v := variant{}
		for _, i := range group {
			v.kinds = append(v.kinds, widest.kinds[i])
		}
		v.need = in.need(v.kinds)
		return v
	}
	for i := len(group) - 1; i >= 0; i-- {
		less := slices.Delete(slices.Clone(group), i, i+1)
		if !s.placeable(d, kindsOf(less)) {
			group = less
		}
	}
	no := &Refusal{Code: "too-large", Need: len(group), Best: len(group) - 1}
	first := one.members[0]
	for _, i := range group {
		no.Points = append(no.Points, Placed{Item: first.item, Point: first.points[i]})
		no.Set |= in.masks[widest.kinds[i]]
	}
	for _, m := range one.members {
		no.Items = append(no.Items, m.item)
	}
	no.Reason = fmt.Sprintf("%s must stay on one controller and needs %d terminals of %s at once; the best controller has %d to give; the points that compete: %s",
		in.p.itemNames(no.Items), no.Need, in.p.classNames(no.Set), no.Best, in.p.pointNames(no.Points))
	return no
}

// classNames lists the classes of a set: UI or BI.
func (p *Problem) classNames(m Mask) string {
	var out []string
	for i, c := range p.Classes {
		if m.Has(i) {
			out = append(out, c)
		}
	}
	return strings.Join(out, " or ")
}

// shares tells the spare of a set of classes.
func (p *Problem) shares(m Mask) string {
	var out []string
	for i, c := range p.Classes {
		if m.Has(i) && at(p.Spare.Share, i) > 0 {
			out = append(out, fmt.Sprintf("%g %% of %s", float64(p.Spare.Share[i])/100, c))
		}
	}
	if p.Spare.AtLeastOne {
		out = append(out, "at least one of each")
	}
	return " (" + strings.Join(out, ", ") + ")"
}

const namesShown = 12

func (p *Problem) pointNames(list []Placed) string {
	var out []string
	for _, pl := range list {
		out = append(out, p.Items[pl.Item].Points[pl.Point].ID)
	}
	return shorten(out)
}

func (p *Problem) itemNames(list []int) string {
	var out []string
	for _, i := range list {
		out = append(out, p.Items[i].ID)
	}
	return shorten(out)
}

func shorten(list []string) string {
	if n := len(list); n > namesShown {
		return strings.Join(list[:namesShown], ", ") + fmt.Sprintf(" and %d more", n-namesShown)
	}
	return strings.Join(list, ", ")
}
