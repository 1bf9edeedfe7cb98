package pack

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// brute plans a tiny panel by trying everything: every way to divide the
// points among controllers, for each controller every base with every set of
// expansions, for each of these every way to give points classes. -1 if
// nothing works.
type brute struct {
	p      *Problem
	points []Placed
	cost   map[[2]int]int64 // of a set of points on a new (-1) or standing controller
	best   int64
}

func (b *brute) solve() int64 {
	b.best = -1
	b.cost = map[[2]int]int64{}
	for i, it := range b.p.Items {
		for j := range it.Points {
			b.points = append(b.points, Placed{Item: i, Point: j})
		}
	}
	b.divide(0, make([]int, len(b.p.Standing)), nil)
	return b.best
}

// divide puts point i into a standing controller, one of the new ones, or
// another new one. sets are bit sets of points.
func (b *brute) divide(i int, standing, fresh []int) {
	if i == len(b.points) {
		b.finish(standing, fresh)
		return
	}
	next, bits := i+1, 1<<i
	for b.p.Items[b.points[i].Item].Keep == Hard && next < len(b.points) && b.points[next].Item == b.points[i].Item {
		bits |= 1 << next // the points of a hard item go together
		next++
	}
	for k := range standing {
		standing[k] |= bits
		b.divide(next, standing, fresh)
		standing[k] &^= bits
	}
	for k := range fresh {
		fresh[k] |= bits
		b.divide(next, standing, fresh)
		fresh[k] &^= bits
	}
	b.divide(next, standing, append(fresh[:len(fresh):len(fresh)], bits))
}

func (b *brute) finish(standing, fresh []int) {
	var sum int64
	home := make([]map[int]bool, len(b.p.Items))
	for i := range home {
		home[i] = map[int]bool{}
	}
	add := func(set, place, stand int) bool {
		apart := map[string]int{}
		if stand >= 0 {
			for _, g := range b.p.Standing[stand].Groups {
				apart[g] = -1
			}
		}
		for i, pl := range b.points {
			if set>>i&1 == 0 {
				continue
			}
			home[pl.Item][place] = true
			if g := b.p.Items[pl.Item].Apart; g != "" {
				if other, ok := apart[g]; ok && other != pl.Item {
					return false
				}
				apart[g] = pl.Item
			}
		}
		c := b.price(set, stand)
		sum += c
		return c >= 0
	}
	for k, set := range standing {
		if !add(set, k, k) {
			return
		}
	}
	for k, set := range fresh {
		if !add(set, 100+k, -1) {
			return
		}
	}
	for i, it := range b.p.Items {
		if len(home[i]) > 1 {
			if it.Keep == Hard {
				return
			}
			if it.Keep == Soft {
				sum += it.Penalty
			}
		}
	}
	if b.best < 0 || sum < b.best {
		b.best = sum
	}
}

// price is the least that a controller with these points costs; -1 if none
// takes them.
func (b *brute) price(set, stand int) int64 {
	key := [2]int{set, stand}
	if c, ok := b.cost[key]; ok {
		return c
	}
	best := int64(-1)
	var list []Placed
	for i, pl := range b.points {
		if set>>i&1 == 1 {
			list = append(list, pl)
		}
	}
	try := func(base int, free []int, carried int, start []int, slots, most int, price int64) {
		installed := append(make([]int, 0, len(b.p.Classes)), start...)
		if b.p.MaxPoints > 0 && len(list) > 0 && len(list)+carried > b.p.MaxPoints {
			return
		}
		var grow func(from, slots, most int, price int64)
		grow = func(from, slots, most int, price int64) {
			room := make([]int, len(b.p.Classes))
			for i := range room {
				room[i] = b.p.Spare.Usable(i, installed[i]) + at(free, i)
			}
			if extra := b.extra(list, room); extra >= 0 && (best < 0 || price+extra < best) {
				best = price + extra
			}
			for e := from; e < len(b.p.Models); e++ {
				m := b.p.Models[e]
				if m.Base || m.Fits&b.p.Models[base].Fits == 0 || m.Slots > slots || most == 0 {
					continue
				}
				for i, n := range m.Ports {
					installed[i] += n
				}
				grow(e, slots-m.Slots, most-1, price+m.Price)
				for i, n := range m.Ports {
					installed[i] -= n
				}
			}
		}
		grow(0, slots, most, price)
	}
	limit := func(m Model) int {
		if m.MaxExpansions > 0 {
			return m.MaxExpansions
		}
		return m.Slots
	}
	if stand >= 0 {
		st := b.p.Standing[stand]
		m := b.p.Models[st.Model]
		try(st.Model, st.Free, st.Points, make([]int, len(b.p.Classes)), m.Slots, limit(m), 0)
	} else {
		for i, m := range b.p.Models {
			if m.Base {
				try(i, nil, 0, m.Ports, m.Slots, limit(m), m.Price)
			}
		}
	}
	b.cost[key] = best
	return best
}

// extra is the least extra cost of giving the points classes; -1 if impossible.
func (b *brute) extra(list []Placed, room []int) int64 {
	if len(list) == 0 {
		return 0
	}
	best := int64(-1)
	for _, ch := range b.p.choices(list[0]) {
		if room[ch.Class] == 0 {
			continue
		}
		room[ch.Class]--
		if rest := b.extra(list[1:], room); rest >= 0 && (best < 0 || rest+ch.Extra < best) {
			best = rest + ch.Extra
		}
		room[ch.Class]++
	}
	return best
}

// tiny makes a small random panel.
func tiny(r *rand.Rand) *Problem {
	classes := []string{"UI", "BI", "RO", "TO", "UO"}
	n := 2 + r.IntN(4)
	p := &Problem{Classes: classes[:n]}
	for range n {
		p.Spare.Share = append(p.Spare.Share, []int{0, 0, 1000, 2000}[r.IntN(4)])
	}
	p.Spare.AtLeastOne = r.IntN(4) == 0
	if r.IntN(4) == 0 {
		p.MaxPoints = 2 + r.IntN(4)
	}
	for i := range 1 + r.IntN(3) {
		m := Model{ID: fmt.Sprint("B", i), Base: true, Fits: uint64(1 + r.IntN(3)), Slots: r.IntN(3), Price: int64(20 + r.IntN(80)), Ports: make([]int, n)}
		for c := range n {
			m.Ports[c] = r.IntN(4)
		}
		p.Models = append(p.Models, m)
	}
	for i := range r.IntN(3) {
		m := Model{ID: fmt.Sprint("X", i), Fits: uint64(1 + r.IntN(3)), Slots: 1 + r.IntN(2), Price: int64(5 + r.IntN(40)), Ports: make([]int, n)}
		for c := range n {
			m.Ports[c] = r.IntN(3)
		}
		p.Models = append(p.Models, m)
	}
	if r.IntN(3) == 0 {
		st := Standing{ID: "old", Model: 0, Free: make([]int, n), Points: r.IntN(2)}
		for c := range n {
			st.Free[c] = r.IntN(3)
		}
		if r.IntN(3) == 0 {
			st.Groups = []string{"pair"}
		}
		p.Standing = append(p.Standing, st)
	}
	left := 1 + r.IntN(7)
	for i := 0; left > 0; i++ {
		it := Item{ID: fmt.Sprint("M", i), Keep: Keep(r.IntN(3)), Penalty: int64(r.IntN(40))}
		if r.IntN(6) == 0 {
			it.Apart, it.Keep = "pair", Hard
		}
		take := 1 + r.IntN(left)
		if r.IntN(2) == 0 {
			take = min(take, 2)
		}
		left -= take
		for j := range take {
			pt := Point{ID: fmt.Sprint(it.ID, "/", j)}
			for c := range n {
				if r.IntN(5) < 2 {
					ch := Choice{Class: c}
					if r.IntN(4) == 0 {
						ch.Extra = int64(1 + r.IntN(20))
					}
					pt.Choices = append(pt.Choices, ch)
				}
			}
			if len(pt.Choices) == 0 {
				pt.Choices = []Choice{{Class: r.IntN(n)}}
			}
			it.Points = append(it.Points, pt)
		}
		p.Items = append(p.Items, it)
	}
	return p
}

// TestAgainstBruteForce: a thousand and a half tiny panels with all rules at
// once: same cost, proven, and where one finds nothing neither does the other.
func TestAgainstBruteForce(t *testing.T) {
	solved := 0
	for seed := range uint64(1500) {
		p := tiny(rand.New(rand.NewPCG(seed, 7)))
		want := (&brute{p: p}).solve()
		s, err := Solve(p, Fast)
		if err != nil {
			if want >= 0 {
				t.Errorf("seed %d: %v; brute force finds %d", seed, err, want)
			}
			continue
		}
		if wrong := audit(p, s); wrong != "" {
			t.Errorf("seed %d: %s", seed, wrong)
		}
		if s.Cost != want || !s.Proven {
			t.Errorf("seed %d: cost %d, bound %d, proven %v; brute force %d", seed, s.Cost, s.Bound, s.Proven, want)
		}
		solved++
	}
	if solved < 1000 {
		t.Fatalf("only %d panels have a plan", solved)
	}
	t.Logf("%d panels planned", solved)
}

// TestManyVariants: machines with so many interposers on offer that the search
// does not try all ways to use them. As they are few, they are tried outright:
// the plan is the best there is, and proven. At quick effort it holds.
func TestManyVariants(t *testing.T) {
	best, planned, cut, pruned := 0, 0, 0, 0
	const panels = 200
	for seed := range uint64(panels) {
		r := rand.New(rand.NewPCG(seed, 11))
		p := &Problem{Classes: []string{"UI", "RO", "TO", "UO"}, Spare: Spare{Share: []int{0, 0, 0, 0}}}
		for i := range 3 {
			m := Model{ID: fmt.Sprint("B", i), Base: true, Fits: 1, Slots: i, Price: int64(40 + r.IntN(60)), Ports: make([]int, 4)}
			for c := range m.Ports {
				m.Ports[c] = 1 + r.IntN(4)
			}
			p.Models = append(p.Models, m, Model{ID: fmt.Sprint("X", i), Fits: 1, Slots: 1, Price: int64(10 + r.IntN(30)), Ports: []int{r.IntN(3), r.IntN(3), r.IntN(3), 1}})
		}
		for i := range 7 {
			it := Item{ID: fmt.Sprint("M", i), Keep: Hard}
			n := 1
			if i < 2 {
				n = 4
			}
			for j := range n {
				pt := Point{ID: fmt.Sprint(it.ID, "/", j)}
				for k, c := range r.Perm(4)[:2] {
					pt.Choices = append(pt.Choices, Choice{c, int64(k * (1 + r.IntN(25)))})
				}
				it.Points = append(it.Points, pt)
			}
			p.Items = append(p.Items, it)
		}
		for _, ty := range reduce(p).types {
			if ty.cut {
				cut++
				break
			}
		}
		if p.idle() != 0 {
			pruned++
		}
		want := (&brute{p: p}).solve()
		s, err := Solve(p, Fast)
		if err != nil || want < 0 {
			if (err != nil) != (want < 0) {
				t.Errorf("seed %d: %v; brute force finds %d", seed, err, want)
			}
			continue
		}
		planned++
		if wrong := audit(p, s); wrong != "" {
			t.Errorf("seed %d: %s", seed, wrong)
		}
		if s.Bound > want || s.Cost < want {
			t.Errorf("seed %d: %d to %d; brute force %d", seed, s.Bound, s.Cost, want)
		}
		if s.Cost == want && s.Proven {
			best++
		}
		if quick, err := Solve(p, Quick); err != nil || audit(p, quick) != "" || quick.Cost < want || quick.Bound > want {
			t.Errorf("seed %d: at quick effort %+v; brute force %d", seed, quick, want)
		}
	}
	t.Logf("%d of %d the best; %d with ways left out, %d with interposers that never pay", best, panels, cut, pruned)
	if cut < panels/4 || best < planned {
		t.Errorf("%d of %d the best and proven; %d with ways left out", best, planned, cut)
	}
}

// TestInterposersThatNeverPay: a class that no point takes at its least cost,
// with a module that a better one beats, is left out, and the plans are still
// the best there are.
func TestInterposersThatNeverPay(t *testing.T) {
	pruned := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 13))
		n := 2 + r.IntN(3)
		p := &Problem{Classes: []string{"BI", "WI", "RO"}, Spare: Spare{Share: []int{1000, 1000, 0}, AtLeastOne: r.IntN(2) == 0}}
		p.Models = []Model{
			{ID: "B", Base: true, Fits: 1, Slots: 2, Price: int64(40 + r.IntN(40)), Ports: []int{r.IntN(4), 0, 1 + r.IntN(3)}},
			{ID: "XB", Fits: 1, Slots: 1, Price: int64(10 + r.IntN(20)), Ports: []int{n, 0, 0}},
			{ID: "XW", Fits: 1, Slots: 1, Price: int64(15 + r.IntN(20)), Ports: []int{0, n - r.IntN(2), 0}},
		}
		for i := range 3 + r.IntN(3) {
			it := Item{ID: fmt.Sprint("M", i), Keep: Keep(r.IntN(3)), Penalty: int64(r.IntN(30))}
			for j := range 1 + r.IntN(2) {
				pt := Point{ID: fmt.Sprint(it.ID, "/", j), Choices: []Choice{{0, 0}, {1, int64(1 + r.IntN(9))}}}
				if r.IntN(4) == 0 {
					pt.Choices = []Choice{{2, 0}}
				}
				it.Points = append(it.Points, pt)
			}
			p.Items = append(p.Items, it)
		}
		if p.idle() != 0 {
			pruned++
		}
		want := (&brute{p: p}).solve()
		s, err := Solve(p, Fast)
		if err != nil {
			if want >= 0 {
				t.Errorf("seed %d: %v; brute force finds %d", seed, err, want)
			}
			continue
		}
		if wrong := audit(p, s); wrong != "" || s.Cost != want || !s.Proven {
			t.Errorf("seed %d: cost %d, proven %v, brute force %d %s", seed, s.Cost, s.Proven, want, wrong)
		}
	}
	if pruned < 100 || pruned > 390 {
		t.Errorf("left out in %d of 400 panels", pruned)
	}
}
