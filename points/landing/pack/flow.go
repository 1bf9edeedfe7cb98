package pack

// spread shares loose points out among controllers that hold their whole items
// already: a flow from the points through the terminal classes they may use to
// the usable terminals. wholes give the points in place by controller and kind;
// the answer is how many loose points of each kind a controller takes; nil if
// they do not all fit.
func (in *instance) spread(configs []*config, wholes [][]int, loose []int) [][]int {
	classes := len(in.p.Classes)
	kinds := len(in.masks)
	n := len(configs)
	g := newNetwork()
	source, sink := g.node(), g.node()
	bin := make([]int, n)
	term := make([][]int, n)
	want := 0
	for i, c := range configs {
		bin[i] = g.node()
		room := 1 << 20
		if in.p.MaxPoints > 0 {
			room = c.room
		}
		g.edge(bin[i], sink, room)
		for k := range classes {
			v := g.node()
			term[i] = append(term[i], v)
			if c.ports[k] > 0 {
				g.edge(v, bin[i], c.ports[k])
			}
		}
		for k, m := range wholes[i] {
			if m == 0 {
				continue
			}
			v := g.node()
			g.edge(source, v, m)
			want += m
			for cl := range classes {
				if in.masks[k].Has(cl) {
					g.edge(v, term[i][cl], m)
				}
			}
		}
	}
	into := make([][]int, n) // edges by controller and kind: the first of its run
	for i := range into {
		into[i] = make([]int, kinds)
	}
	for k, m := range loose {
		if m == 0 {
			continue
		}
		v := g.node()
		g.edge(source, v, m)
		want += m
		for i := range configs {
			u := g.node()
			into[i][k] = g.edge(v, u, m)
			for cl := range classes {
				if in.masks[k].Has(cl) {
					g.edge(u, term[i][cl], m)
				}
			}
		}
	}
	if g.flow(source, sink) < want {
		return nil
	}
	out := make([][]int, n)
	for i := range out {
		out[i] = make([]int, kinds)
		for k, m := range loose {
			if m > 0 {
				out[i][k] = g.through(into[i][k])
			}
		}
	}
	return out
}

// network is a flow network; edge 2i+1 is the way back of edge 2i.
type network struct {
	out  [][]int
	to   []int
	room []int
}

func newNetwork() *network { return &network{} }

func (g *network) node() int {
	g.out = append(g.out, nil)
	return len(g.out) - 1
}

func (g *network) edge(a, b, room int) int {
	e := len(g.to)
	g.to, g.room = append(g.to, b, a), append(g.room, room, 0)
	g.out[a], g.out[b] = append(g.out[a], e), append(g.out[b], e+1)
	return e
}

// through is how much flows along an edge.
func (g *network) through(e int) int { return g.room[e+1] }

// flow sends as much as possible, along shortest ways first.
func (g *network) flow(from, to int) int {
	sum := 0
	for {
		level := g.levels(from)
		if level[to] < 0 {
			return sum
		}
		next := make([]int, len(g.out))
		for {
			sent := g.push(from, to, 1<<30, level, next)
			if sent == 0 {
				break
			}
			sum += sent
		}
	}
}

func (g *network) levels(from int) []int {
	level := make([]int, len(g.out))
	for i := range level {
		level[i] = -1
	}
	level[from] = 0
	queue := []int{from}
	for len(queue) > 0 {
		a := queue[0]
		queue = queue[1:]
		for _, e := range g.out[a] {
			if b := g.to[e]; g.room[e] > 0 && level[b] < 0 {
				level[b] = level[a] + 1
				queue = append(queue, b)
			}
		}
	}
	return level
}

func (g *network) push(a, to, most int, level, next []int) int {
	if a == to {
		return most
	}
	for ; next[a] < len(g.out[a]); next[a]++ {
		e := g.out[a][next[a]]
		b := g.to[e]
		if g.room[e] == 0 || level[b] != level[a]+1 {
			continue
		}
		if sent := g.push(b, to, min(most, g.room[e]), level, next); sent > 0 {
			g.room[e] -= sent
			g.room[e^1] += sent
			return sent
		}
	}
	return 0
}
