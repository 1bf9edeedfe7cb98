package hookup

import (
	"cmp"
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/points/library"
)

// supplyShare is the part of a supply that may be used; common practice
// (load to 80 % of the nameplate).
const supplyShare = 0.8

// panelSupply is one transformer or DC supply of a panel as it fills up.
type panelSupply struct {
	panel, kind string
	number      int
	supply      model.Supply
	loads       []pendingLoad
	run, inrush float64 // of the loads, VA
	spec        *model.DeviceType
}

// pendingLoad is a circuit that wants a share of its panel's supply.
type pendingLoad struct {
	circuit *wired
	panel   string
	kind    string
	drives  bool // the supply is the circuit's driver, not its third party
}

// feedLoads gives every device of the machine whose power input no circuit
// feeds a circuit from the supply that the hook-ups name.
func (n *net) feedLoads(m *machine) {
	for _, up := range m.ups {
		for i := range up.Circuits {
			rule := &up.Circuits[i]
			if rule.Point != "" || len(rule.Accepts) != 1 || rule.Accepts[0].Device != "*" {
				continue
			}
			for _, d := range slices.Clone(n.ofTag[m.Tag]) {
				for _, term := range d.Spec.Terminals {
					if slices.Contains(rule.Accepts[0].Functions, term.Function) && term.Nature == model.PowerIn && !n.fed(d.ID, term.ID) {
						one := *rule
						one.Accepts = []library.EndRule{{Device: d.Role, Functions: []string{term.Function}}}
						n.make(m, up, &one, m.Tag+"/"+rule.Purpose+"-"+d.Role, nil, "")
					}
				}
			}
		}
	}
}

func (n *net) fed(device, terminal string) bool {
	return n.taken[model.End{Device: device, Terminal: terminal}]
}

// shareSupplies packs the loads of each panel into as few supplies as hold
// them, first fit in order, and makes each supply as small as it may be.
func (n *net) shareSupplies() {
	for _, load := range n.pending {
		types := n.supplyTypes(load.kind)
		if len(types) == 0 {
			continue
		}
		run, inrush := n.sum([]pendingLoad{load})
		s := n.roomFor(load, run, inrush, types[len(types)-1])
		s.loads = append(s.loads, load)
		s.run, s.inrush = s.run+run, s.inrush+inrush
	}
	for _, s := range n.panels {
		n.settle(s)
	}
}

// supplyTypes lists the supplies of a kind that a 120 V branch feeds, smallest first.
func (n *net) supplyTypes(kind string) []*model.DeviceType {
	var out []*model.DeviceType
	for _, t := range n.lib.DevicesOf("supply") {
		term, mains := terminalOf(t, "supply-"+kind), terminalOf(t, "mains")
		if term != nil && term.Capacity != nil && mains != nil && mains.Volts != nil && mains.Volts.Contains(model.Exactly(120)) {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(a, b *model.DeviceType) int {
		return cmp.Compare(capacity(a, kind), capacity(b, kind))
	})
	return out
}

func capacity(t *model.DeviceType, kind string) float64 {
	return *terminalOf(t, "supply-"+kind).Capacity
}

func terminalOf(t *model.DeviceType, function string) *model.Terminal {
	for i := range t.Terminals {
		if t.Terminals[i].Function == function {
			return &t.Terminals[i]
		}
	}
	return nil
}

func (n *net) roomFor(load pendingLoad, run, inrush float64, largest *model.DeviceType) *panelSupply {
	count := 0
	for _, s := range n.panels {
		if s.panel != load.panel {
			continue
		}
		count++
		if s.kind == load.kind && n.carries(largest, load.kind, s.run+run, s.inrush+inrush) {
			return s
		}
	}
	s := &panelSupply{panel: load.panel, kind: load.kind, number: count + 1}
	n.panels = append(n.panels, s)
	return s
}

// carries: the running sum within the share, the inrush sum within the nameplate.
func (n *net) carries(t *model.DeviceType, kind string, run, inrush float64) bool {
	share := supplyShare
	if s := n.p.Settings.Wiring.SupplyLoad; s != nil {
		share = *s
	}
	c := capacity(t, kind)
	return run <= share*c && inrush <= c
}

// sum adds what the loads take in VA, running and at inrush. What is not known
// adds nothing here; the supply's check tells it.
func (n *net) sum(loads []pendingLoad) (run, inrush float64) {
	for _, l := range loads {
		for _, e := range l.circuit.Accepts {
			d := n.byID[e.Device]
			if d == nil {
				continue
			}
			if term, ok := d.Spec.Terminal(e.Terminal); ok {
				r := voltAmperes(term.Running)
				run += r
				inrush += max(r, voltAmperes(term.Inrush))
			}
		}
	}
	return run, inrush
}

func voltAmperes(l *model.Load) float64 {
	switch {
	case l == nil:
		return 0
	case l.VA != nil:
		return *l.VA
	case l.Amps != nil:
		return 24 * *l.Amps
	}
	return 0
}

// settle makes the supply a device with its primary circuit and gives the
// waiting circuits their end.
func (n *net) settle(s *panelSupply) {
	types := n.supplyTypes(s.kind)
	s.spec = types[len(types)-1]
	for _, t := range types {
		if n.carries(t, s.kind, s.run, s.inrush) {
			s.spec = t
			break
		}
	}
	id := fmt.Sprintf("%s/supply-%d", s.panel, s.number)
	if o := n.changes[id]; o != nil {
		if t, ok := n.deviceType(o.Type); ok {
			s.spec = t
		}
	}
	term := terminalOf(s.spec, "supply-"+s.kind)
	if term == nil { // the project put something else there
		term = &s.spec.Terminals[0]
	}
	d := &model.Device{ID: id, Type: s.spec.ID, Role: "supply", Panel: s.panel, Location: n.panelLocation(s.panel), Spec: n.spec(&machine{Equipment: &model.Equipment{}}, id, s.spec), Why: "feeds the 24 V coils and devices of the panel"}
	n.stand(d)
	for _, l := range s.loads {
		end := model.End{Device: id, Terminal: term.ID}
		if l.drives {
			l.circuit.Drive = end
		} else {
			l.circuit.Supply = &end
		}
	}
	n.primary(s, d)
	s.supply = model.Supply{ID: id, Device: id, Panel: s.panel, Volts: 24, Current: term.Current, RunningVA: s.run, InrushVA: s.inrush, ClassTwo: term.ClassTwo}
	if term.Capacity != nil {
		s.supply.RatedVA = *term.Capacity
	}
	for _, l := range s.loads {
		for _, e := range l.circuit.Accepts {
			if e.Device != "" {
				s.supply.Loads = append(s.supply.Loads, e.String())
			}
		}
	}
}

// primary joins a supply to the panel's branch circuit.
func (n *net) primary(s *panelSupply, d *model.Device) {
	mains := terminalOf(s.spec, "mains")
	branch, ok := n.lib.Device("branch-circuit-120")
	if mains == nil || !ok {
		return
	}
	id := n.branchFor(s.panel, voltAmperes(mains.Running), capacity(branch, "120vac"))
	b := n.byID[id]
	if b == nil {
		t := branch
		if o := n.changes[id]; o != nil {
			if own, known := n.deviceType(o.Type); known {
				t = own
			}
		}
		b = &model.Device{ID: id, Type: t.ID, Role: "branch", Panel: s.panel, Location: n.panelLocation(s.panel), Spec: n.spec(&machine{Equipment: &model.Equipment{}}, id, t), Why: "120 V for the panel's supplies, by the electrical trade"}
		n.stand(b)
	}
	c := &wired{Circuit: model.Circuit{ID: fmt.Sprintf("%s/mains-%d", s.panel, s.number), Purpose: "mains", Rule: "panel-supply",
		Drive: model.End{Device: id, Terminal: b.Spec.Terminals[0].ID}, Accepts: []model.End{{Device: d.ID, Terminal: mains.ID}}}, who: s.panel}
	c.run, _ = n.lib.Run("local-120v")
	c.Conductor = n.conductor(c.run)
	n.join(c)
}

// branchFor names the branch circuit of a panel that has room for one more
// supply, in order; a branch is used to the share that a supply is.
func (n *net) branchFor(panel string, va, rated float64) string {
	for number := 1; ; number++ {
		id := panel + "/branch"
		if number > 1 {
			id = fmt.Sprintf("%s-%d", id, number)
		}
		if used := n.branches[id]; used == 0 || used+va <= n.share()*rated {
			n.branches[id] = used + va
			return id
		}
	}
}

// share is the part of a supply that may be used.
func (n *net) share() float64 {
	if s := n.p.Settings.Wiring.SupplyLoad; s != nil {
		return *s
	}
	return supplyShare
}

func (n *net) panelLocation(panel string) string {
	for _, p := range n.p.Panels {
		if p.ID == panel {
			return p.Location
		}
	}
	return ""
}
