// Package hookup joins the machines of the list to the automation system: it
// puts the devices of the library's hook-up records beside each machine and
// makes the circuits between their terminals. Controller ends stay open for
// the landing. What it cannot join it tells.
package hookup

import (
	"cmp"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Result is what the hook-ups make. Devices carry their Spec; circuits have
// open controller ends.
type Result struct {
	Devices  []model.Device
	Circuits []model.Circuit
	Cables   []model.Cable
	Supplies []model.Supply
	Findings []finding.Finding
}

// Connect makes devices and circuits for every machine in scope and every
// hardwired point, then lays the project's own devices and circuits over them.
func Connect(lib *library.Library, p *model.Project, equipment []model.Equipment, points []model.Point) Result {
	n := newNet(lib, p)
	byTag := map[string][]*model.Point{}
	for i := range points {
		if ourWire(&points[i]) {
			byTag[points[i].Equipment] = append(byTag[points[i].Equipment], &points[i])
		}
	}
	known := map[string]bool{}
	for i := range equipment {
		e := &equipment[i]
		known[e.Tag] = true
		if e.OutOfScope != "" {
			continue
		}
		n.connect(e, byTag[e.Tag])
	}
	for i := range points {
		pt := &points[i]
		if ourWire(pt) && !known[pt.Equipment] {
			known[pt.Equipment] = true
			n.connect(&model.Equipment{Tag: pt.Equipment}, byTag[pt.Equipment])
		}
	}
	n.hardInterlocks(n.machines)
	n.shareSupplies()
	n.applyDeviceOverrides()
	n.applyCircuitOverrides()
	n.tellMissing(points)
	return n.result()
}

// ourWire: a point by others lands on the other trade's panel and has no wire
// of ours.
func ourWire(pt *model.Point) bool { return pt.Carried == model.Hardwired && !pt.ByOthers }

// net is the plan's devices and circuits while they grow.
type net struct {
	lib      *library.Library
	p        *model.Project
	own      map[string]*model.DeviceType
	changes  map[string]*model.DeviceOverride
	machines map[string]*machine
	devices  []*model.Device
	byID     map[string]*model.Device
	circuits []*wired
	made     map[string]*wired
	panels   []*panelSupply
	pending  []pendingLoad
	why      map[string][]string // circuit id → why attempts at it failed
	removed  map[string]bool     // circuits that the project takes out
	branches map[string]float64  // VA on each 120 V branch circuit of the panels
	ofTag    map[string][]*model.Device
	taken    map[model.End]bool           // accepting ends that a circuit feeds
	assumed  map[[2]string]bool           // what was said of a machine
	variants map[string]*model.DeviceType // types as machines have them, by what they say
	findings []finding.Finding
}

// wired is a circuit with the run it was given.
type wired struct {
	model.Circuit
	run library.Run
	who string // panel of its open end
}

func newNet(lib *library.Library, p *model.Project) *net {
	n := &net{lib: lib, p: p, own: map[string]*model.DeviceType{}, changes: map[string]*model.DeviceOverride{},
		byID: map[string]*model.Device{}, machines: map[string]*machine{}, ofTag: map[string][]*model.Device{}, taken: map[model.End]bool{}, assumed: map[[2]string]bool{}, made: map[string]*wired{}, why: map[string][]string{}, removed: map[string]bool{}, branches: map[string]float64{}, variants: map[string]*model.DeviceType{}}
	for i := range p.DeviceTypes {
		n.own[p.DeviceTypes[i].ID] = &p.DeviceTypes[i]
	}
	for i := range p.Devices {
		n.changes[p.Devices[i].ID] = &p.Devices[i]
	}
	return n
}

// machine is one piece of equipment while it is joined.
type machine struct {
	*model.Equipment
	points []*model.Point
	roles  map[string]*model.Point
	ups    []*library.HookUp // matching, the most particular first
	panel  string
}

func (n *net) connect(e *model.Equipment, points []*model.Point) {
	m := &machine{Equipment: e, points: points, roles: map[string]*model.Point{}, panel: n.panelOf(e)}
	for _, pt := range points {
		m.roles[pt.Role] = pt
	}
	m.ups = n.matching(m)
	n.machines[e.Tag] = m
	if e.StatusDevice != "" {
		if _, ok := n.deviceType(e.StatusDevice); !ok {
			n.tellUnknownType(e.Tag, e.Tag+"/status-switch", e.StatusDevice, e.Where)
		}
	}
	for _, up := range m.ups {
		for i := range up.Circuits {
			n.follow(m, up, &up.Circuits[i])
		}
	}
	n.feedLoads(m)
}

// stand puts a device into the plan.
func (n *net) stand(d *model.Device) {
	n.devices, n.byID[d.ID] = append(n.devices, d), d
	n.ofTag[d.Equipment] = append(n.ofTag[d.Equipment], d)
}

// join puts a circuit into the plan.
func (n *net) join(c *wired) {
	n.circuits, n.made[c.ID] = append(n.circuits, c), c
	for _, e := range c.Accepts {
		n.taken[e] = true
	}
}

// panelOf returns the panel that a machine's supplies hang in.
func (n *net) panelOf(e *model.Equipment) string {
	if e.Panel != "" {
		return e.Panel
	}
	for _, pn := range n.p.Panels {
		if slices.Contains(pn.Serves, e.Tag) || e.Location != "" && slices.Contains(pn.Serves, e.Location) {
			return pn.ID
		}
	}
	if len(n.p.Panels) > 0 {
		return n.p.Panels[0].ID
	}
	return "PANEL-1"
}

// deviceType finds a type by id: the project's own first.
func (n *net) deviceType(id string) (*model.DeviceType, bool) {
	if t, ok := n.own[id]; ok {
		return t, true
	}
	return n.lib.Device(id)
}

func (n *net) result() Result {
	r := Result{Findings: n.findings}
	for _, d := range n.devices {
		r.Devices = append(r.Devices, *d)
	}
	r.Cables = restateCables(n.cables(), n.p.Cables)
	for _, c := range n.circuits {
		r.Circuits = append(r.Circuits, c.Circuit)
	}
	for _, s := range n.panels {
		r.Supplies = append(r.Supplies, s.supply)
	}
	slices.SortStableFunc(r.Circuits, func(a, b model.Circuit) int {
		return cmp.Or(cmp.Compare(boolRank(a.Equipment == ""), boolRank(b.Equipment == "")), finding.CompareTags(a.Equipment, b.Equipment))
	})
	return r
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}
