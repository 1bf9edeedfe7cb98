package hookup

import (
	"cmp"
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// applyDeviceOverrides places devices that the project names and no hook-up
// made, and tells names that mean nothing.
func (n *net) applyDeviceOverrides() {
	for i := range n.p.Devices {
		o := &n.p.Devices[i]
		if d := n.byID[o.ID]; d != nil {
			n.set(d, o)
			continue
		}
		t, ok := n.deviceType(o.Type)
		if o.Type == "" {
			n.tell(finding.Finding{Code: "device-override-unmatched", Severity: finding.Caution, Subject: o.ID, Where: o.Where,
				Message: fmt.Sprintf("the project file sets limits of %s, and the plan has no such device%s", o.ID, n.nearDevice(o.ID)),
				Fix:     "name a device of the plan, or state its type as well to add it"})
			continue
		}
		if !ok {
			n.tellUnknownType(o.ID, o.ID, o.Type, o.Where)
			continue
		}
		tag, role, split := model.Split(o.ID)
		d := &model.Device{ID: o.ID, Type: t.ID, Role: role, Spec: n.spec(&machine{Equipment: &model.Equipment{}}, o.ID, t), Why: "the project file says so", Where: o.Where}
		if split {
			d.Equipment = tag
		}
		n.stand(d)
		n.set(d, o)
	}
}

// set lays what is set on one device, and what its housing is, over it.
func (n *net) set(d *model.Device, o *model.DeviceOverride) {
	d.Settings = append(d.Settings, o.Settings...)
	if o.Barrier != nil {
		own := *d.Spec
		own.Barrier = o.Barrier
		d.Spec = &own
	}
}

// restateCables lays what the project says over the cables: class, raceway, and
// circuits, which then lie in no other.
func restateCables(have, said []model.Cable) []model.Cable {
	for _, s := range said {
		for i := range have {
			if have[i].ID != s.ID {
				have[i].Circuits = slices.DeleteFunc(have[i].Circuits, func(id string) bool { return slices.Contains(s.Circuits, id) })
			}
		}
		i := slices.IndexFunc(have, func(c model.Cable) bool { return c.ID == s.ID })
		if i < 0 {
			have = append(have, s)
			continue
		}
		for _, id := range s.Circuits {
			if !slices.Contains(have[i].Circuits, id) {
				have[i].Circuits = append(have[i].Circuits, id)
			}
		}
		have[i].Class, have[i].Raceway = cmp.Or(s.Class, have[i].Class), cmp.Or(s.Raceway, have[i].Raceway)
	}
	return slices.DeleteFunc(have, func(c model.Cable) bool { return len(c.Circuits) == 0 })
}

// tellUnknownType: a name that neither the library nor the project describes.
func (n *net) tellUnknownType(subject, device, name string, where *model.Where) {
	ids := n.lib.DeviceIDs()
	for _, t := range n.p.DeviceTypes {
		ids = append(ids, t.ID)
	}
	fix := "name a device type of the library (`library devices` lists them), or add a record of it to the project"
	if near := finding.Nearest(name, ids); near != "" {
		fix = fmt.Sprintf("did you mean %q? else %s", near, fix)
	}
	n.tell(finding.Finding{Code: "unknown-device-type", Severity: finding.Fault, Subject: subject, Where: where,
		Message: fmt.Sprintf("%s is to be a %q, which the library does not know", device, name), Fix: fix})
}

func (n *net) nearDevice(id string) string {
	var ids []string
	for _, d := range n.devices {
		ids = append(ids, d.ID)
	}
	if near := finding.Nearest(id, ids); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// applyCircuitOverrides removes, restates, replaces and adds circuits.
func (n *net) applyCircuitOverrides() {
	for i := range n.p.Circuits {
		o := &n.p.Circuits[i]
		c := n.made[o.Circuit.ID]
		switch {
		case o.Remove && c == nil:
			n.tell(finding.Finding{Code: "circuit-override-unmatched", Severity: finding.Caution, Subject: o.Circuit.ID, Where: o.Where,
				Message: fmt.Sprintf("the project file removes the circuit %s, and the plan has none of that id%s", o.Circuit.ID, n.nearCircuit(o.Circuit.ID)),
				Fix:     "take the id from the pairings of the workbook, or drop the entry"})
		case o.Remove:
			delete(n.made, c.ID)
			n.removed[c.ID] = true
			n.circuits = slices.DeleteFunc(n.circuits, func(w *wired) bool { return w == c })
		case c != nil:
			n.restate(c, o)
		default:
			n.addCircuit(o)
		}
	}
}

func (n *net) nearCircuit(id string) string {
	var ids []string
	for _, c := range n.circuits {
		ids = append(ids, c.ID)
	}
	if near := finding.Nearest(id, ids); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// restate lays what the project says over a circuit; what it leaves out stays.
func (n *net) restate(c *wired, o *model.CircuitOverride) {
	if len(o.Circuit.Accepts) > 0 {
		if !n.endsStand(o) {
			return
		}
		c.Drive, c.Accepts, c.Supply = o.Circuit.Drive, o.Circuit.Accepts, o.Circuit.Supply
		c.Rule = "project"
	} else if o.Circuit.Supply != nil && n.endsStand(o) {
		c.Supply = o.Circuit.Supply
	}
	c.Where = o.Where
	c.Purpose = cmp.Or(o.Circuit.Purpose, c.Purpose)
	c.Conductor = restateWire(c.Conductor, o.Circuit.Conductor)
	c.Across = append(c.Across, o.Circuit.Across...)
	if o.Circuit.Trunk != nil {
		c.Trunk = o.Circuit.Trunk
	}
}

// restateWire lays stated figures over a conductor; once length and gauge are
// stated, nothing of it is assumed. A stated length alone settles it too, for
// the gauge of the run is then the one meant.
func restateWire(c, said model.Conductor) model.Conductor {
	if said.LengthFt != nil {
		c.LengthFt, c.Assumed = said.LengthFt, false
	}
	c.Gauge = cmp.Or(said.Gauge, c.Gauge)
	c.Count = cmp.Or(said.Count, c.Count)
	c.TempC = cmp.Or(said.TempC, c.TempC)
	c.Stranded = c.Stranded || said.Stranded
	c.Shielded = c.Shielded || said.Shielded
	if said.ShieldEarths != nil {
		c.ShieldEarths = said.ShieldEarths
	}
	return c
}

func (n *net) addCircuit(o *model.CircuitOverride) {
	if len(o.Circuit.Accepts) == 0 {
		n.tell(finding.Finding{Code: "circuit-override-unmatched", Severity: finding.Caution, Subject: o.Circuit.ID, Where: o.Where,
			Message: fmt.Sprintf("the project file states the circuit %s, and the plan has none of that id%s", o.Circuit.ID, n.nearCircuit(o.Circuit.ID)),
			Fix:     "take the id from the pairings of the workbook, or state drive and accepts to add a circuit"})
		return
	}
	if !n.endsStand(o) {
		return
	}
	c := &wired{Circuit: o.Circuit}
	c.Rule, c.Where = "project", o.Where
	if tag, _, ok := model.Split(c.ID); ok && c.Equipment == "" {
		c.Equipment = tag
	}
	run := "local"
	if c.open() {
		run, c.who = "contact", "PANEL-1"
	}
	c.run, _ = n.lib.Run(run)
	c.Conductor = restateWire(n.conductor(c.run), o.Circuit.Conductor)
	n.join(c)
}

// endsStand checks that every device and terminal of a stated circuit exists.
func (n *net) endsStand(o *model.CircuitOverride) bool {
	ends := append([]model.End{o.Circuit.Drive}, o.Circuit.Accepts...)
	if o.Circuit.Supply != nil {
		ends = append(ends, *o.Circuit.Supply)
	}
	for _, e := range ends {
		if e.Open() || len(o.Circuit.Accepts) == 0 && e == o.Circuit.Drive {
			continue
		}
		message, fix := "", "name a device of the plan and one of its terminals"
		d := n.byID[e.Device]
		if d == nil {
			message = fmt.Sprintf("the circuit %s of the project file ends at %s, and the plan has no such device%s", o.Circuit.ID, e.Device, n.nearDevice(e.Device))
		} else if _, ok := d.Spec.Terminal(e.Terminal); !ok {
			var ids []string
			for _, t := range d.Spec.Terminals {
				ids = append(ids, t.ID)
			}
			message = fmt.Sprintf("the circuit %s of the project file ends at %s, and %s has no terminal %q", o.Circuit.ID, e, d.Spec.Name, e.Terminal)
			if near := finding.Nearest(e.Terminal, ids); near != "" {
				fix = fmt.Sprintf("did you mean %q?", near)
			}
		}
		if message != "" {
			n.tell(finding.Finding{Code: "circuit-end-unknown", Severity: finding.Fault, Subject: o.Circuit.ID, Message: message, Fix: fix, Where: o.Where})
			return false
		}
	}
	return true
}
