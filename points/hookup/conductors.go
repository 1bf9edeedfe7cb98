package hookup

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// conductor is the usual wire of a run with the project's own gauge and length
// laid over it; what was not stated is marked as assumed.
func (n *net) conductor(r library.Run) model.Conductor {
	length := r.LengthFt
	c := model.Conductor{Gauge: r.GaugeAWG, LengthFt: &length, Count: r.Conductors, Stranded: r.Stranded, TempC: r.TempC, Shielded: r.Shielded, Assumed: true}
	w := n.p.Settings.Wiring
	stated := 0
	if w.ControlAWG > 0 && r.Class == "class-2" {
		c.Gauge, stated = w.ControlAWG, stated+1
	}
	if w.LengthFt != nil && !r.Local && r.Class != "power" {
		length, stated = *w.LengthFt, stated+1
	}
	c.Assumed = stated < 2
	return c
}

// cables lays the circuits into cables: those of one kind that go from a panel
// to one device share a multi-conductor cable, every other has its own.
func (n *net) cables() []model.Cable {
	var out []model.Cable
	at := map[string]int{}
	count := map[string]int{}
	for _, c := range n.circuits {
		if c.run.ID == "" {
			continue
		}
		owner, from, to := c.Equipment, c.who, c.farDevice()
		if owner == "" {
			owner = c.who
		}
		if !c.open() {
			from = c.Drive.Device
		}
		key := fmt.Sprintf("%s|%s|%s|%s|%d|%v", owner, c.run.ID, from, to, c.Conductor.Gauge, c.Conductor.Assumed)
		i, known := at[key]
		if !c.open() || !known {
			count[owner]++
			i = len(out)
			out = append(out, model.Cable{ID: fmt.Sprintf("%s/W%d", owner, count[owner]), From: from, To: to, Type: c.run.Cable,
				GaugeAWG: c.Conductor.Gauge, LengthFt: c.Conductor.LengthFt, Assumed: c.Conductor.Assumed, Class: c.run.Class})
			at[key] = i
		}
		k := &out[i]
		k.Circuits = append(k.Circuits, c.ID)
		k.Conductors += c.Conductor.Count
		if len(k.Circuits) > 1 {
			k.Type = fmt.Sprintf("%d conductors %d AWG", k.Conductors, k.GaugeAWG)
			if c.Conductor.Shielded {
				k.Type += " shielded"
			}
		}
		c.Cable = k.ID
	}
	return out
}

// farDevice is the device at the field end.
func (w *wired) farDevice() string {
	if w.Drive.Open() || len(w.Accepts) > 0 && !w.Accepts[0].Open() {
		return w.Accepts[0].Device
	}
	return w.Drive.Device
}

// Late gives a cable to each circuit that a later pass adds: the feeds of the
// controllers, a pair each, numbered on behind the cables of their panel. It
// writes the cable's id into the circuits and returns the cables with the new
// ones behind.
func Late(lib *library.Library, cables []model.Cable, devices []model.Device, circuits []model.Circuit) []model.Cable {
	panels := map[string]string{}
	for i := range devices {
		panels[devices[i].ID] = devices[i].Panel
	}
	count, in := map[string]int{}, map[string]string{}
	for i := range cables {
		for _, id := range cables[i].Circuits {
			in[id] = cables[i].ID
		}
		if owner, number, ok := strings.Cut(cables[i].ID, "/W"); ok {
			if n, err := strconv.Atoi(number); err == nil {
				count[owner] = max(count[owner], n)
			}
		}
	}
	for i := range circuits {
		c := &circuits[i]
		if c.Cable = cmp.Or(c.Cable, in[c.ID]); c.Cable != "" {
			continue
		}
		owner := panels[c.Drive.Device]
		if owner == "" || len(c.Accepts) == 0 {
			continue
		}
		id := "local"
		if c.Purpose == "mains" {
			id = "local-120v"
		}
		run, ok := lib.Run(id)
		if !ok {
			continue
		}
		count[owner]++
		c.Cable = fmt.Sprintf("%s/W%d", owner, count[owner])
		cables = append(cables, model.Cable{ID: c.Cable, From: c.Drive.Device, To: c.Accepts[0].Device, Type: run.Cable, Conductors: c.Conductor.Count, GaugeAWG: c.Conductor.Gauge,
			LengthFt: c.Conductor.LengthFt, Assumed: c.Conductor.Assumed, Circuits: []string{c.ID}, Class: run.Class})
	}
	return cables
}
