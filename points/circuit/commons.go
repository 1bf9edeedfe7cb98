package circuit

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// node is a conductor that other conductors may be joined to: a lead of a
// supply (X1, X2), the common of a device's group, or earth.
type node struct {
	end  model.End // supply terminal; or device and group
	lead int       // 1, 2: leads; 0: a common; -1: earth
}

var earth = node{lead: -1}

func (n node) String() string {
	switch n.lead {
	case -1:
		return "earth"
	case 0:
		return n.end.Device + " common"
	case 1:
		return n.end.Device + " X1"
	}
	return n.end.Device + " X2"
}

// joins is a wire between two nodes (volts 0), or a winding that holds them
// apart by a phasor (V rms, a above b).
type joins struct {
	a, b    node
	volts   complex128
	circuit int    // -1: inside a device
	how     string // what joins them, for the words
}

// diode lets current pass from a device's DC common to a lead.
type diode struct {
	common, lead node
	device       string
	circuit      int
}

// guess says how unknown facts are taken: the kindest way, or one of the unkind
// ones.
type guess struct {
	rectifier string // taken for an unknown one: none, half-wave, full-wave
	isolated  bool   // taken for an unknown isolation
	against   int    // bit n of its number turns a supply of unknown phase round; 0 none
}

// commons is the network of leads, commons and earth.
type commons struct {
	x       *index
	joins   []joins
	diodes  []diode
	nodes   []node
	at      map[node]int
	next    [][]int               // joins by node
	winding map[model.End]float64 // V rms of each secondary
	came    []int                 // join by which potentials reached each node
	unknown int                   // facts that had to be guessed
	open    []int                 // joins that are windings of unknown phase
	phases  int                   // most windings of unknown phase that hang together
}

// commonsOf builds the network under a guess.
func (x *index) commonsOf(g guess) *commons {
	n := &commons{x: x, at: map[node]int{}, winding: map[model.End]float64{}}
	for _, e := range sortedEnds(x.supplied, always) {
		if t := x.terminal(e); t != nil && isSecondary(t) {
			n.secondary(e, t)
		}
	}
	given := func(e model.End, _ []int) bool {
		t := x.terminal(e)
		return t != nil && t.Nature == model.SupplyOut && isSecondary(t) && n.winding[e] == 0
	}
	for _, e := range sortedEnds(x.accepts, given) {
		n.secondary(e, x.terminal(e))
	}
	for i := range x.net.Circuits {
		n.enter(i, g)
	}
	n.earthed()
	n.apartByEarth(g)
	if n.phases > 1 && len(n.diodes) > 0 {
		n.unknown++ // a phase counts where a bridge may see two of them
	}
	for _, j := range n.joins {
		n.node(j.a)
		n.node(j.b)
	}
	for _, d := range n.diodes {
		n.node(d.common)
		n.node(d.lead)
	}
	n.next = make([][]int, len(n.nodes))
	for k, j := range n.joins {
		a, b := n.at[j.a], n.at[j.b]
		n.next[a], n.next[b] = append(n.next[a], k), append(n.next[b], k)
	}
	return n
}

// apartByEarth gives every part of the network that hangs together by wires and
// windings an earth of its own: no current passes from one part to another
// through earth alone. It numbers the windings of unknown phase of each part,
// and turns round those that the guess asks for.
func (n *commons) apartByEarth(g guess) {
	part := map[node]node{}
	for _, j := range n.joins {
		if j.b != earth {
			unite(part, j.a, j.b)
		}
	}
	for _, d := range n.diodes {
		unite(part, d.common, d.lead)
	}
	count := map[node]int{}
	for _, k := range n.open {
		p := top(part, n.joins[k].a)
		if g.against > 0 && count[p]>>(g.against-1)&1 == 1 {
			n.joins[k].volts = -n.joins[k].volts
		}
		count[p]++
		n.phases = max(n.phases, count[p])
	}
	for k := range n.joins {
		if j := &n.joins[k]; j.b == earth {
			j.b.end = top(part, j.a).end
		}
	}
}

func (n *commons) node(v node) {
	if _, known := n.at[v]; !known {
		n.at[v] = len(n.nodes)
		n.nodes = append(n.nodes, v)
	}
}

func (n *commons) wire(a, b node, circuit int, how string) {
	n.joins = append(n.joins, joins{a: a, b: b, circuit: circuit, how: how})
}

// secondary enters a transformer's winding and its earth.
func (n *commons) secondary(e model.End, t *model.Terminal) {
	angle := 0.0
	if t.PhaseDeg != nil {
		angle = *t.PhaseDeg
	} else {
		n.open = append(n.open, len(n.joins))
	}
	n.winding[e] = t.Volts.Mid()
	v := cmplx.Rect(t.Volts.Mid(), angle*math.Pi/180)
	n.joins = append(n.joins, joins{a: node{e, 1}, b: node{e, 2}, volts: v, circuit: -1, how: "winding"})
	if t.Earthed != nil && *t.Earthed {
		n.wire(node{e, lead(t.EarthLead)}, earth, -1, "earthed")
	}
}

// isSecondary says that a supply is a low-voltage AC secondary: what is fed
// from the mains keeps its signals apart from it.
func isSecondary(t *model.Terminal) bool {
	return t.Nature == model.SupplyOut && t.Current == "ac" && t.Volts != nil && t.Volts.Hi <= 60
}

// commonOf is the common of a terminal; one that shares none has its own.
func commonOf(device string, t *model.Terminal) node {
	group := t.Common
	if group == "" {
		group = "(" + t.ID + ")"
	}
	return node{model.End{Device: device, Terminal: group}, 0}
}

func lead(name string) int {
	if name == "x1" {
		return 1
	}
	return 2
}

// enter adds what one circuit joins: a power feed joins a device's common to a
// lead, a signal joins two commons, a feed between two secondaries parallels them.
func (n *commons) enter(i int, g guess) {
	c := &n.x.net.Circuits[i]
	if s, t := n.x.feeding(c); t != nil && isSecondary(t) {
		for _, a := range c.Accepts {
			at := n.x.terminal(plain(a))
			switch {
			case at == nil:
			case at.Nature == model.SupplyOut:
				n.parallelled(i, s, a)
			case at.Nature == model.PowerIn:
				n.feed(i, s, a, at, g)
			}
		}
		return
	}
	n.signal(i, g)
}

// feeding is the supply terminal that a circuit hangs on; nil if none.
func (x *index) feeding(c *model.Circuit) (model.End, *model.Terminal) {
	for _, e := range []*model.End{&c.Drive, c.Supply} {
		if e == nil || e.Open() {
			continue
		}
		if t := x.terminal(plain(*e)); t != nil && t.Nature == model.SupplyOut {
			return plain(*e), t
		}
	}
	return model.End{}, nil
}

func (n *commons) parallelled(i int, s, other model.End) {
	a1, a2 := 1, 2
	if other.Reversed {
		a1, a2 = 2, 1
	}
	n.wire(node{s, 1}, node{plain(other), a1}, i, "paralleled")
	n.wire(node{s, 2}, node{plain(other), a2}, i, "paralleled")
}

// feed joins a powered device: half-wave ties its common to the common lead,
// full-wave puts a diode from its common to either lead.
func (n *commons) feed(i int, s, a model.End, t *model.Terminal, g guess) {
	rectifier := t.Rectifier
	if rectifier == "" {
		rectifier = g.rectifier
		n.unknown++
	}
	common := commonOf(a.Device, t)
	switch rectifier {
	case "half-wave":
		side := 2
		if a.Reversed {
			side = 1
		}
		n.wire(common, node{s, side}, i, "half-wave feed")
	case "full-wave":
		n.diodes = append(n.diodes, diode{common, node{s, 1}, a.Device, i}, diode{common, node{s, 2}, a.Device, i})
	}
}

// isSignal says that a circuit of such a terminal carries its common along.
func isSignal(t *model.Terminal) bool {
	switch t.Nature {
	case model.AnalogVoltage, model.AnalogCurrent, model.Transistor, model.Bus, model.VoltageOut, model.SupplyOut, model.Pulse, model.Resistance:
		return true
	}
	return false
}

// signal joins the commons of the two ends of a signal, when neither end is isolated.
func (n *commons) signal(i int, g guess) {
	c := &n.x.net.Circuits[i]
	d := n.x.terminal(plain(c.Drive))
	if d == nil || !isSignal(d) || n.isolated(d, g) || c.Conductor.Count == 1 {
		return
	}
	if d.Nature == model.SupplyOut && (d.Current != "dc" || d.Common == "") || d.Nature == model.VoltageOut && d.Current != "dc" {
		return
	}
	if d.Nature == model.Bus && c.Trunk != nil && c.Trunk.Reference != nil && !*c.Trunk.Reference {
		return
	}
	for _, a := range c.Accepts {
		t := n.x.terminal(plain(a))
		if t == nil || n.isolated(t, g) {
			continue
		}
		n.wire(commonOf(c.Drive.Device, d), commonOf(a.Device, t), i, "signal common")
	}
	if s := c.Conductor.ShieldEarths; s != nil && *s > 1 {
		n.wire(commonOf(c.Drive.Device, d), earth, i, "shield")
	}
}

func (n *commons) isolated(t *model.Terminal, g guess) bool {
	if t.Isolated == nil {
		n.unknown++
		return g.isolated
	}
	return *t.Isolated
}

// earthed ties to earth the commons that a device ties to earth itself.
func (n *commons) earthed() {
	seen := map[node]bool{}
	for i := range n.x.net.Devices {
		d := &n.x.net.Devices[i]
		if d.Spec == nil {
			continue
		}
		for k := range d.Spec.Terminals {
			t := &d.Spec.Terminals[k]
			c := commonOf(d.ID, t)
			if t.Nature != model.SupplyOut && t.Earthed != nil && *t.Earthed && !seen[c] {
				seen[c] = true
				n.wire(c, earth, -1, "earthed in the device")
			}
		}
	}
}

// potentials gives every node a group and, inside the group, its potential
// against the group's first node. A join that does not agree closes a loop of
// windings that is not zero: a short.
func (n *commons) potentials() (group []int, v []complex128, broken []int) {
	group, v = make([]int, len(n.nodes)), make([]complex128, len(n.nodes))
	n.came = make([]int, len(n.nodes))
	for i := range group {
		group[i], n.came[i] = -1, -1
	}
	for start := range n.nodes {
		if group[start] >= 0 {
			continue
		}
		group[start] = start
		queue := []int{start}
		for len(queue) > 0 {
			at := queue[0]
			queue = queue[1:]
			for _, k := range n.next[at] {
				j := n.joins[k]
				to, potential := n.at[j.b], v[at]-j.volts
				if n.at[j.a] != at {
					to, potential = n.at[j.a], v[at]+j.volts
				}
				switch {
				case group[to] < 0:
					group[to], v[to], n.came[to] = start, potential, k
					queue = append(queue, to)
				case cmplx.Abs(v[to]-potential) > 0.05 && !slices.Contains(broken, k):
					broken = append(broken, k)
				}
			}
		}
	}
	return group, v, broken
}

// loop is the loop that a join closes with the way potentials took: the loop
// whose windings do not come to zero.
func (n *commons) loop(k int) []int {
	up := func(at int) []int {
		var out []int
		for n.came[at] >= 0 {
			j := n.joins[n.came[at]]
			out = append(out, n.came[at])
			if to := n.at[j.a]; to != at {
				at = to
			} else {
				at = n.at[j.b]
			}
		}
		return out
	}
	a, b := up(n.at[n.joins[k].a]), up(n.at[n.joins[k].b])
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	slices.Reverse(b)
	return append(append(a, b...), k)
}

// path is the shortest way between two nodes over wires (and windings other
// than skip), as the joins it uses; nil if there is none.
func (n *commons) path(from, to node, skip int) []int {
	a, okA := n.at[from]
	b, okB := n.at[to]
	if !okA || !okB {
		return nil
	}
	came := make([]int, len(n.nodes))
	for i := range came {
		came[i] = -1
	}
	queue, seen := []int{a}, make([]bool, len(n.nodes))
	seen[a] = true
	for len(queue) > 0 && !seen[b] {
		at := queue[0]
		queue = queue[1:]
		for _, k := range n.next[at] {
			to := n.at[n.joins[k].a]
			if to == at {
				to = n.at[n.joins[k].b]
			}
			if k == skip || seen[to] {
				continue
			}
			seen[to], came[to] = true, k
			queue = append(queue, to)
		}
	}
	if !seen[b] {
		return nil
	}
	var out []int
	for at := b; at != a; {
		k := came[at]
		out = append(out, k)
		if n.at[n.joins[k].a] == at {
			at = n.at[n.joins[k].b]
		} else {
			at = n.at[n.joins[k].a]
		}
	}
	slices.Reverse(out)
	return out
}

// trouble is a short or a doubled rail: what it is and which circuits make it.
type trouble struct {
	kind     string // dead-short, half-short, doubled-rail, apart, paralleled
	supply   model.End
	key      string
	text     string
	fix      string
	circuits []int
	value    float64
	limit    float64
}

func compareTrouble(a, b trouble) int {
	return cmp.Or(cmp.Compare(a.kind, b.kind), finding.CompareTags(a.supply.Device, b.supply.Device), cmp.Compare(a.key, b.key))
}
