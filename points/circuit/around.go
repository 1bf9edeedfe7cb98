package circuit

import (
	"slices"

	"tallywire/model"
)

// places says where in a large net to look for what belongs together. A repair
// makes it once.
type places struct {
	byID     map[string]int   // circuits
	byDevice map[string][]int // circuits by the devices at their ends
	cables   map[int][]int    // cables by circuit
	inCable  map[int][]int    // circuits by cable
	raceways map[string][]int // circuits by raceway
	points   map[string][]int // points by machine
	carried  map[string]int   // points by key
	alarms   map[string][]int // alarms by machine
	machines map[string]int   // equipment by tag
	supplies map[string][]int // devices with a supply terminal, by panel and by machine
	part     map[node]node    // parts of the network of commons
	inPart   map[node][]int   // circuits that join or read commons, by part
}

// where is places, made when first asked for.
func (x *index) places() *places {
	if x.at != nil {
		return x.at
	}
	p := &places{byDevice: map[string][]int{}, cables: map[int][]int{}, inCable: map[int][]int{}, raceways: map[string][]int{}, points: map[string][]int{}, carried: map[string]int{},
		alarms: map[string][]int{}, machines: map[string]int{}, supplies: map[string][]int{}}
	x.at = p
	p.byID = make(map[string]int, len(x.net.Circuits))
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		p.byID[c.ID] = i
		for _, id := range devicesOf(c) {
			p.byDevice[id] = append(p.byDevice[id], i)
		}
	}
	for k := range x.net.Cables {
		w := &x.net.Cables[k]
		for _, id := range w.Circuits {
			if i, ok := p.byID[id]; ok {
				p.cables[i], p.inCable[k] = append(p.cables[i], k), append(p.inCable[k], i)
				if w.Raceway != "" {
					p.raceways[w.Raceway] = append(p.raceways[w.Raceway], i)
				}
			}
		}
	}
	for i := range x.net.Points {
		q := &x.net.Points[i]
		p.points[q.Equipment] = append(p.points[q.Equipment], i)
		p.carried[q.Key] = i
	}
	for i := range x.net.Alarms {
		p.alarms[x.net.Alarms[i].Equipment] = append(p.alarms[x.net.Alarms[i].Equipment], i)
	}
	for i := range x.net.Equipment {
		p.machines[x.net.Equipment[i].Tag] = i
	}
	for i := range x.net.Devices {
		d := &x.net.Devices[i]
		if !hasSupply(d) {
			continue
		}
		p.supplies["panel "+d.Panel] = append(p.supplies["panel "+d.Panel], i)
		p.supplies["machine "+d.Equipment] = append(p.supplies["machine "+d.Equipment], i)
	}
	x.partition(p)
	return p
}

func hasSupply(d *model.Device) bool {
	return d.Spec != nil && slices.ContainsFunc(d.Spec.Terminals, func(t model.Terminal) bool { return t.Nature == model.SupplyOut })
}

// partition cuts the network of commons into the parts that could hang together
// by anything but earth, whatever the unknown facts are.
func (x *index) partition(p *places) {
	p.part, p.inPart = map[node]node{}, map[node][]int{}
	n := x.commonsOf(guess{"full-wave", false, 0})
	ofCircuit := map[int]node{}
	enter := func(a, b node, circuit int) {
		unite(p.part, a, b)
		if circuit >= 0 {
			ofCircuit[circuit] = a
		}
	}
	for _, j := range n.joins {
		if j.b.lead != earth.lead {
			enter(j.a, j.b, j.circuit)
		}
	}
	for _, d := range n.diodes {
		enter(d.common, d.lead, d.circuit)
	}
	for i := range x.net.Circuits { // a signal of one conductor joins nothing, and hangs on the feeds of its ends
		c := &x.net.Circuits[i]
		d := x.terminal(plain(c.Drive))
		single := d != nil && c.Conductor.Count == 1 && isSignal(d)
		s, supply := x.feeding(c)
		for _, a := range c.Accepts {
			t := x.terminal(plain(a))
			switch {
			case t == nil:
			case single:
				enter(commonOf(c.Drive.Device, d), commonOf(a.Device, t), i)
			case supply != nil && t.Nature == model.PowerIn && t.Rectifier == "half-wave":
				enter(commonOf(a.Device, t), node{s, 1}, i)
			}
		}
	}
	for i := range x.net.Circuits {
		if at, ok := ofCircuit[i]; ok {
			root := top(p.part, at)
			p.inPart[root] = append(p.inPart[root], i)
		}
	}
}

// devicesOf lists the devices at the ends of a circuit.
func devicesOf(c *model.Circuit) []string {
	var out []string
	add := func(id string) {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	add(c.Drive.Device)
	for _, a := range c.Accepts {
		add(a.Device)
	}
	if c.Supply != nil {
		add(c.Supply.Device)
	}
	return out
}

// around is what a change to some circuits may touch beside the network of
// commons: those that share a terminal, a supply, a small device, a cable or a
// raceway with one of them, or hang on a source that the change may use.
func (x *index) around(targets []int, sources []model.End) Net {
	return x.sub(x.reach(targets, sources, false), sources)
}

// reach lists the circuits of around, or of network.
func (x *index) reach(targets []int, sources []model.End, commons bool) []int {
	take := map[int]bool{}
	if commons {
		x.reachCommons(take, targets, sources)
	} else {
		x.reachNear(take, targets, sources)
	}
	list := make([]int, 0, len(take))
	for k := range take {
		list = append(list, k)
	}
	slices.Sort(list)
	return list
}

func (x *index) reachNear(take map[int]bool, targets []int, sources []model.End) {
	p := x.places()
	all := func(list []int) {
		for _, k := range list {
			take[k] = true
		}
	}
	terminal := func(e model.End) {
		all(x.drives[plain(e)])
		all(x.accepts[plain(e)])
		all(x.supplied[plain(e)])
	}
	for _, i := range targets {
		c := &x.net.Circuits[i]
		take[i] = true
		for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
			terminal(e)
			if t := x.terminal(plain(e)); t != nil && t.Class == "" && t.Nature != model.SupplyOut {
				all(p.byDevice[e.Device])
			}
		}
		if c.Supply != nil {
			terminal(*c.Supply)
		}
		for _, k := range p.cables[i] {
			all(p.inCable[k])
			all(p.raceways[x.net.Cables[k].Raceway])
		}
	}
	for _, e := range sources {
		terminal(e)
	}
}

// contributes says that a circuit may have a part in the network of commons, or
// read it: a contact or an AC output into a coil or an input has none.
func (x *index) contributes(c *model.Circuit) bool {
	d := x.terminal(plain(c.Drive))
	if d == nil {
		return true
	}
	switch d.Nature {
	case model.Contact, model.SolidState:
	case model.VoltageOut, model.SupplyOut:
		if d.Current == "dc" {
			return true
		}
	default:
		return true
	}
	return slices.ContainsFunc(c.Accepts, func(a model.End) bool {
		t := x.terminal(plain(a))
		return t == nil || t.Nature == model.PowerIn || t.Nature == model.SupplyOut
	})
}

// network is the part of the network of commons that a change to some circuits
// may touch: all that hangs together with their devices and supplies, or with a
// source that the change may use.
func (x *index) network(targets []int, sources []model.End) Net {
	return x.sub(x.reach(targets, sources, true), sources)
}

func (x *index) reachCommons(take map[int]bool, targets []int, sources []model.End) {
	p, seen := x.places(), map[node]bool{}
	enter := func(n node) {
		root := top(p.part, n)
		if seen[root] {
			return
		}
		seen[root] = true
		for _, k := range p.inPart[root] {
			take[k] = true
		}
	}
	device := func(e model.End) {
		enter(node{plain(e), 1})
		if d := x.device(e.Device); d != nil && d.Spec != nil {
			for k := range d.Spec.Terminals {
				enter(commonOf(d.ID, &d.Spec.Terminals[k]))
			}
		}
	}
	for _, i := range targets {
		c := &x.net.Circuits[i]
		take[i] = true
		device(c.Drive)
		for _, a := range c.Accepts {
			device(a)
		}
		if c.Supply != nil {
			device(*c.Supply)
		}
	}
	for _, e := range sources {
		device(e)
	}
}

// sub is the net of some circuits: with their devices, those of the sources,
// their cables, and the points, alarms and machines they serve.
func (x *index) sub(list []int, sources []model.End) Net {
	var n Net
	devices, machines := map[string]bool{}, map[string]bool{}
	points, cables := map[int]bool{}, []int{}
	device := func(id string) {
		if d := x.devices[id]; d != nil && !devices[id] {
			devices[id] = true
			n.Devices = append(n.Devices, *d)
			machines[d.Equipment] = true
		}
	}
	p := x.places()
	for _, k := range list {
		c := &x.net.Circuits[k]
		n.Circuits = append(n.Circuits, *c)
		for _, id := range devicesOf(c) {
			device(id)
		}
		cables = append(cables, p.cables[k]...)
		machines[c.Equipment] = true
		if i, ok := p.carried[c.Point]; ok {
			points[i] = true
		}
	}
	for _, e := range sources {
		device(e.Device)
	}
	slices.Sort(cables)
	for _, k := range slices.Compact(cables) {
		n.Cables = append(n.Cables, x.net.Cables[k])
	}
	delete(machines, "")
	x.serve(&n, machines, points)
	return n
}

// serve adds to a part of the net what it serves, in the order of the whole.
func (x *index) serve(n *Net, machines map[string]bool, points map[int]bool) {
	p := x.places()
	var alarms, equipment []int
	for tag := range machines {
		for _, i := range p.points[tag] {
			points[i] = true
		}
		alarms = append(alarms, p.alarms[tag]...)
		if i, ok := p.machines[tag]; ok {
			equipment = append(equipment, i)
		}
	}
	var list []int
	for i := range points {
		list = append(list, i)
	}
	if len(list) == 0 && len(x.net.Points) > 0 {
		list = []int{0} // that points are known at all counts
	}
	for _, l := range [][]int{list, alarms, equipment} {
		slices.Sort(l)
	}
	for _, i := range list {
		n.Points = append(n.Points, x.net.Points[i])
	}
	for _, i := range alarms {
		n.Alarms = append(n.Alarms, x.net.Alarms[i])
	}
	for _, i := range equipment {
		n.Equipment = append(n.Equipment, x.net.Equipment[i])
	}
}
