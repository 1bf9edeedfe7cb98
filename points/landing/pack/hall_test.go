package pack

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// matched reports whether points with these masks all find a terminal, by
// trying one after the other (augmenting paths).
func matched(masks []Mask, ports []int) bool {
	var terminals []int // class of each
	for c, n := range ports {
		for range n {
			terminals = append(terminals, c)
		}
	}
	holder := make([]int, len(terminals))
	for i := range holder {
		holder[i] = -1
	}
	var try func(p int, seen []bool) bool
	try = func(p int, seen []bool) bool {
		for i, c := range terminals {
			if masks[p].Has(c) && !seen[i] {
				seen[i] = true
				if holder[i] < 0 || try(holder[i], seen) {
					holder[i] = p
					return true
				}
			}
		}
		return false
	}
	for p := range masks {
		if !try(p, make([]bool, len(terminals))) {
			return false
		}
	}
	return true
}

// items is an instance of loose points with the given masks.
func items(masks []Mask, classes int) *instance {
	p := &Problem{Classes: make([]string, classes)}
	for _, m := range masks {
		var pt Point
		for c := range classes {
			if m.Has(c) {
				pt.Choices = append(pt.Choices, Choice{Class: c})
			}
		}
		p.Items = append(p.Items, Item{Points: []Point{pt}})
	}
	return reduce(p)
}

// TestHallDecidesWhatFits: the few inequalities agree with matching.
func TestHallDecidesWhatFits(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	fits := 0
	for range 4000 {
		classes := 1 + r.IntN(5)
		masks := make([]Mask, 1+r.IntN(9))
		for i := range masks {
			masks[i] = Mask(1 + r.IntN(1<<classes-1))
		}
		ports := make([]int, classes)
		for c := range ports {
			ports[c] = r.IntN(5)
		}
		in := items(masks, classes)
		var kinds []int
		for _, l := range in.loose {
			kinds = append(kinds, l.kind)
		}
		need := in.need(kinds)
		got := need.within(in.capacity(ports, 0, need))
		if want := matched(masks, ports); got != want {
			t.Fatalf("masks %b on %v: Hall says %v, matching %v", masks, ports, got, want)
		}
		if got {
			fits++
		}
	}
	if fits < 500 || fits > 3500 {
		t.Errorf("%d of 4000 fit; the test leans to one side", fits)
	}
}

// TestSpreadFollowsTheSums: loose points can be shared out among controllers
// if and only if for every closed set the room they leave covers them.
func TestSpreadFollowsTheSums(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	can := 0
	for range 2000 {
		classes := 2 + r.IntN(3)
		masks := make([]Mask, 1+r.IntN(8))
		for i := range masks {
			masks[i] = Mask(1 + r.IntN(1<<classes-1))
		}
		in := items(masks, classes)
		loose := in.looseKinds()
		var configs []*config
		var whole [][]int
		for range 1 + r.IntN(3) {
			c := &config{standing: -1, ports: make([]int, classes)}
			for k := range c.ports {
				c.ports[k] = r.IntN(4)
			}
			configs, whole = append(configs, c), append(whole, make([]int, len(in.masks)))
		}
		s := &search{in: in, m: &master{loose: loose, d: demand{loose: loose}, kinds: make([]float64, len(in.masks))}}
		s.owing()
		for _, c := range configs {
			for i, n := range s.leaves(&filling{config: c}) {
				s.owed[i] -= n
			}
		}
		sums := !slices.ContainsFunc(s.owed, func(n int) bool { return n > 0 })
		if flow := in.spread(configs, whole, loose) != nil; flow != sums {
			t.Fatalf("masks %b: the sums say %v, the flow %v", masks, sums, flow)
		}
		if sums {
			can++
		}
	}
	if can < 200 || can > 1800 {
		t.Errorf("%d of 2000 can; the test leans to one side", can)
	}
}
