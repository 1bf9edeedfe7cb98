package pack

import (
	"cmp"
	"slices"
)

// settle turns a plan into bins with every point on a terminal class: members
// are taken in order, loads in order, and in each controller the points are
// matched to terminals at least extra cost.
func (in *instance) settle(pl *plan) (*Solution, error) {
	next := make([]int, len(in.types))
	loose := make([][]loosePoint, len(in.masks))
	for _, l := range in.loose {
		loose[l.kind] = append(loose[l.kind], l)
	}
	out := &Solution{}
	for _, w := range pl.split { // the last members are split, the first stay whole
		members := in.types[w.typ].members
		m := members[len(members)-1-next[w.typ]]
		next[w.typ]++
		for i, k := range in.types[w.typ].variants[w.variant].kinds {
			loose[k] = append(loose[k], loosePoint{m.item, m.points[i], k})
		}
	}
	clear(next)
	for _, l := range pl.loads {
		if total(l.need) == 0 && l.config.price > 0 {
			continue // nothing landed here: not bought
		}
		bin := Bin{Standing: l.config.standing, Base: l.config.base, Expansions: slices.Clone(l.config.expansions), Price: l.config.price}
		for _, w := range l.whole {
			m := in.types[w.typ].members[next[w.typ]]
			next[w.typ]++
			for _, j := range m.points {
				bin.Points = append(bin.Points, Placed{Item: m.item, Point: j})
			}
		}
		for k, n := range l.loose {
			for range n {
				one := loose[k][0]
				loose[k] = loose[k][1:]
				bin.Points = append(bin.Points, Placed{Item: one.item, Point: one.point})
			}
		}
		slices.SortFunc(bin.Points, func(a, b Placed) int { return cmp.Or(cmp.Compare(a.Item, b.Item), cmp.Compare(a.Point, b.Point)) })
		extra, err := in.p.match(&bin, l.config.ports)
		if err != nil {
			return nil, err
		}
		out.Extra += extra
		out.Price += bin.Price
		out.Bins = append(out.Bins, bin)
	}
	in.penalties(out)
	out.Cost = out.Price + out.Penalties + out.Extra
	return out, nil
}

// penalties counts the soft items that really are split: the points of one
// that was split may have come together all the same.
func (in *instance) penalties(out *Solution) {
	home := make([]int, len(in.p.Items))
	split := make([]bool, len(in.p.Items))
	for b, bin := range out.Bins {
		for _, pl := range bin.Points {
			if h := home[pl.Item]; h > 0 && h != b+1 {
				split[pl.Item] = true
			}
			home[pl.Item] = b + 1
		}
	}
	for i, it := range in.p.Items {
		if it.Keep == Soft && split[i] {
			out.Penalties += it.Penalty
		}
	}
}

// match gives every point of a bin a class with a free terminal, at least
// total extra cost: successive shortest paths on the small graph of classes.
// A point enters at its cheapest class; where that is full another point moves
// on to another of its classes, and so on to a class with room.
func (p *Problem) match(b *Bin, room []int) (int64, error) {
	n := len(p.Classes)
	left := slices.Clone(room)
	for at := range b.Points {
		dist, from, mover := make([]int64, n), make([]int, n), make([]int, n)
		for c := range n {
			dist[c], from[c], mover[c] = unreached, -1, -1
		}
		for _, ch := range p.choices(b.Points[at]) {
			if ch.Extra < dist[ch.Class] {
				dist[ch.Class] = ch.Extra
			}
		}
		p.relax(b.Points[:at], dist, from, mover)
		end := -1
		for c := range n {
			if left[c] > 0 && dist[c] < unreached && (end < 0 || dist[c] < dist[end]) {
				end = c
			}
		}
		if end < 0 {
			return 0, &Refusal{Code: "no-plan", Reason: "a controller holds more points than its terminals take", Points: []Placed{b.Points[at]}}
		}
		left[end]--
		for from[end] >= 0 { // the movers step on, last first
			b.Points[mover[end]].Class = end
			end = from[end]
		}
		b.Points[at].Class = end
	}
	var extra int64
	for _, pl := range b.Points {
		for _, ch := range p.choices(pl) {
			if ch.Class == pl.Class {
				extra += ch.Extra
				break
			}
		}
	}
	return extra, nil
}

const unreached = int64(1) << 60

func (p *Problem) choices(pl Placed) []Choice { return p.Items[pl.Item].Points[pl.Point].Choices }

// relax finds for every class the cheapest way to make room there: Bellman and
// Ford over the moves of the points placed so far (a move may gain money).
func (p *Problem) relax(placed []Placed, dist []int64, from, mover []int) {
	for range dist {
		changed := false
		for i, pl := range placed {
			if dist[pl.Class] == unreached {
				continue
			}
			var pays int64
			for _, ch := range p.choices(pl) {
				if ch.Class == pl.Class {
					pays = ch.Extra
					break
				}
			}
			for _, ch := range p.choices(pl) {
				if d := dist[pl.Class] + ch.Extra - pays; ch.Class != pl.Class && d < dist[ch.Class] {
					dist[ch.Class], from[ch.Class], mover[ch.Class] = d, pl.Class, i
					changed = true
				}
			}
		}
		if !changed {
			return
		}
	}
}
