package network

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

const (
	segmentLoads = 32   // unit loads of a segment, TIA-485-A
	plannedShare = 0.75 // of a segment that is planned, common practice: 70 to 80 %
	lastMaster   = 127  // highest address of a master, ASHRAE 135 clause 9
	usualBaud    = 38400
	// One value read over MS/TP: about 30 octets asked and 30 answered, ten
	// bits an octet, and 10 ms for the answer and the token (from memory).
	octetsOfRead = 60
	bitsOfOctet  = 10
	waitOfRead   = 0.010
	slowRound    = 60 // s; a round that takes longer is no supervision (common practice)
)

// Trunks puts the machines' own devices on bus segments: those of one panel on
// as few as their unit loads allow, behind the panel's first controller.
// Addresses that are set on a device stay; the others are counted up from 1,
// the controller has 0. A unit load that is not known counts as a whole one and
// is told.
func Trunks(placed []model.BACnetDevice, devices []model.Device) ([]model.TrunkPlan, []finding.Finding) {
	known := map[string]model.Device{}
	for _, d := range devices {
		known[d.ID] = d
	}
	var panels []string
	heads := map[string]model.BACnetDevice{}
	stations := map[string][]model.BACnetDevice{}
	for _, d := range placed {
		if d.Equipment == "" {
			if _, has := heads[d.Panel]; !has {
				heads[d.Panel] = d
			}
			continue
		}
		if !slices.Contains(panels, d.Panel) {
			panels = append(panels, d.Panel)
		}
		stations[d.Panel] = append(stations[d.Panel], d)
	}
	t := &trunking{devices: known}
	for _, panel := range panels {
		t.panel(cmp.Or(panel, firstPanel(placed)), heads, stations[panel])
	}
	t.unknownLoads()
	return t.list, t.findings
}

// firstPanel is where stations hang whose machine names no panel.
func firstPanel(placed []model.BACnetDevice) string {
	for _, d := range placed {
		if d.Equipment == "" {
			return d.Panel
		}
	}
	return ""
}

type trunking struct {
	devices  map[string]model.Device
	list     []model.TrunkPlan
	findings []finding.Finding
	unknown  []string
}

// panel fills the segments of one panel in the order of the plan.
func (t *trunking) panel(panel string, heads map[string]model.BACnetDevice, list []model.BACnetDevice) {
	var open []model.BACnetDevice
	sum, n := 0.0, 0
	shut := func() {
		if len(open) > 0 {
			n++
			t.segment(fmt.Sprintf("%s/trunk-%d", panel, n), panel, heads[panel], open)
			open, sum = nil, 0
		}
	}
	for _, d := range list {
		load := 1.0
		if l := t.load(d.ID); l != nil {
			load = *l
		} else {
			t.unknown = append(t.unknown, d.ID)
		}
		if sum+load > segmentLoads*plannedShare {
			shut()
		}
		open, sum = append(open, d), sum+load
	}
	shut()
}

// load is the unit load of a device's bus terminal; nil not known.
func (t *trunking) load(id string) *float64 {
	spec := t.devices[id].Spec
	if spec == nil {
		return nil
	}
	for _, term := range spec.Terminals {
		if term.Nature == model.Bus {
			return term.UnitLoad
		}
	}
	return nil
}

// segment gives the stations their addresses and adds up what they load.
func (t *trunking) segment(id, panel string, head model.BACnetDevice, list []model.BACnetDevice) {
	p := model.TrunkPlan{ID: id, Panel: panel, Protocol: "BACnet MS/TP", Baud: usualBaud, Source: "TIA-485-A; ASHRAE 135, clause 9; times from memory"}
	if head.ID != "" {
		p.Stations = append(p.Stations, model.Station{Device: head.ID, Instance: head.Instance})
	}
	used := map[int]string{0: head.ID}
	for _, d := range list {
		if mac := setting(t.devices[d.ID], "mac"); mac != nil {
			t.stated(d.ID, *mac, used)
		}
	}
	next := 1
	for _, d := range list {
		s := model.Station{Device: d.ID, Instance: d.Instance, UnitLoad: t.load(d.ID), Objects: len(d.Points)}
		if mac := setting(t.devices[d.ID], "mac"); mac != nil {
			s.MAC, s.Stated = *mac, true
		} else {
			for used[next] != "" {
				next++
			}
			s.MAC = next
			used[next] = d.ID
		}
		if s.UnitLoad != nil {
			p.UnitLoads += *s.UnitLoad
		} else {
			p.UnitLoads++
		}
		p.Objects += s.Objects
		p.MaxMaster = max(p.MaxMaster, min(s.MAC, lastMaster))
		p.Stations = append(p.Stations, s)
	}
	slices.SortStableFunc(p.Stations, func(a, b model.Station) int { return cmp.Compare(a.MAC, b.MAC) })
	seconds := float64(p.Objects) * (octetsOfRead*bitsOfOctet/float64(p.Baud) + waitOfRead)
	p.PollSeconds = math.Round(seconds*10) / 10
	if p.PollSeconds > slowRound {
		t.findings = append(t.findings, finding.Finding{Code: "trunk-slow", Severity: finding.Caution, Subject: id, Source: p.Source,
			Message: fmt.Sprintf("reading %d objects one by one takes about %s s a round at %d bit/s", p.Objects, model.Figure(p.PollSeconds), p.Baud),
			Numbers: []finding.Number{{Name: "objects", Value: float64(p.Objects), Unit: ""}, {Name: "round", Value: p.PollSeconds, Unit: "s"}},
			Fix:     "map fewer objects, raise the rate, or subscribe to changes"})
	}
	t.list = append(t.list, p)
}

// stated takes an address that is set on a device, and tells one that two have
// or that no station can have.
func (t *trunking) stated(id string, mac int, used map[int]string) {
	fault := func(message string) {
		t.findings = append(t.findings, finding.Finding{Code: "trunk-address", Severity: finding.Fault, Subject: id, Message: message,
			Fix: "set another address on it", Source: "ASHRAE 135, clause 9"})
	}
	if other, taken := used[mac]; taken && other != "" {
		fault(fmt.Sprintf("its address %d is that of %s as well", mac, other))
		return
	}
	if mac < 0 || mac > 254 {
		fault(fmt.Sprintf("its address is %d; stations have 0 to 254, masters up to %d", mac, lastMaster))
		return
	}
	used[mac] = id
}

// unknownLoads says once whose unit load is not known.
func (t *trunking) unknownLoads() {
	if len(t.unknown) == 0 {
		return
	}
	f := finding.Finding{Code: "trunk-load-unknown", Severity: finding.Caution, Subject: t.unknown[0], Source: "TIA-485-A",
		Message: "its unit load on the bus is not known: counted as a whole one", Fix: "take it from the device's data sheet"}
	if len(t.unknown) > 1 {
		f.Subjects = t.unknown
	}
	t.findings = append(t.findings, f)
}
