package circuit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// Figures of RS-485 (TIA-485-A) and of BACnet MS/TP (ASHRAE 135, clause 9).

// BiasVolts is the idle voltage in V between the wires of a pair with pull-up
// and pull-down of ohm each, across a resistance between the wires.
func BiasVolts(supply, ohm, across float64) float64 { return supply * across / (across + 2*ohm) }

// BiasLimit is the largest pull-up and pull-down, ohm each, that still hold the
// pair at the receivers' threshold.
func BiasLimit(supply, across float64) float64 {
	return (supply*across/idleVolts - across) / 2
}

// TerminatorWithBias is the terminator at the biased end, ohm, so that it and
// the bias resistors together match the cable.
func TerminatorWithBias(bias, cable float64) float64 { return 2 * cable * bias / (2*bias - cable) }

// TerminatorWithNodes is the terminator, ohm, that with the node inputs in
// parallel matches the cable.
func TerminatorWithNodes(nodes, cable float64) float64 { return cable / (1 - cable/nodes) }

const (
	idleVolts    = 0.2   // V the pair must idle at, TIA-485-A receiver threshold
	unitLoads    = 32    // of a segment, TIA-485-A
	unitLoadOhm  = 12000 // one unit load, TIA-485-A
	terminated   = 60    // ohm, 120 ohm at both ends
	trunkFeet    = 4000  // 1200 m, TIA-485-A at low speed
	masters      = 127   // highest address of a master, ASHRAE 135 clause 9
	mappedPoints = 12    // objects of a device polled over MS/TP before it slows, from memory
	busSource    = "TIA-485-A; ASHRAE 135, clause 9"
)

// rates are the bit rates of MS/TP, ASHRAE 135 clause 9.
var rates = []float64{9600, 19200, 38400, 57600, 76800, 115200}

// segment is one trunk: the circuits that start at one bus terminal.
type segment struct {
	id       string
	circuits []int
	ends     []model.End
	trunk    model.Trunk
	length   *float64
}

// askBus: unit loads, addresses, length, termination, bias and settings of
// every bus segment.
func (x *index) askBus() map[int][]answer {
	out := map[int][]answer{}
	isBus := func(e model.End, _ []int) bool {
		t := x.terminal(e)
		return t != nil && t.Nature == model.Bus
	}
	for _, e := range sortedEnds(x.drives, isBus) {
		s := x.segment(e)
		for _, a := range s.answers(x) {
			a.group, a.Source = s.id, busSource
			for _, i := range s.circuits {
				out[i] = append(out[i], a)
			}
		}
	}
	return out
}

func (x *index) segment(e model.End) segment {
	s := segment{id: "trunk at " + e.String(), circuits: x.drives[e], ends: []model.End{e}}
	for _, i := range s.circuits {
		c := &x.net.Circuits[i]
		for _, a := range c.Accepts {
			if !slices.Contains(s.ends, plain(a)) {
				s.ends = append(s.ends, plain(a))
			}
		}
		if c.Trunk != nil {
			s.trunk = *c.Trunk
		}
		if l := c.Conductor.LengthFt; l != nil {
			sum := *l
			if s.length != nil {
				sum += *s.length
			}
			s.length = &sum
		}
	}
	return s
}

// answers are what there is to say of a segment.
func (s segment) answers(x *index) []answer {
	var out []answer
	tell := func(v model.Verdict, text, fix string) {
		out = append(out, answer{fix: fix, Check: model.Check{Code: "bus-load", Verdict: v, Text: text, At: s.ends[0].String()}})
	}
	s.loads(x, tell, &out)
	s.addresses(x, tell)
	s.cabling(tell)
	s.devices(x, tell)
	return out
}

// loads adds the unit loads.
func (s segment) loads(x *index, tell func(model.Verdict, string, string), out *[]answer) {
	sum := 0.0
	for _, e := range s.ends {
		t := x.terminal(e)
		if t == nil || t.UnitLoad == nil {
			tell(model.Unknown, fmt.Sprintf("cannot tell: needs the unit load of %s; up to %s would pass with the rest", e, show(unitLoads-sum)), "state the unit load of "+e.String())
			return
		}
		sum += *t.UnitLoad
	}
	v, fix := model.Pass, ""
	if sum > unitLoads {
		v, fix = model.Fault, "put a repeater in or start a second trunk; devices of a quarter or an eighth unit load make room"
	}
	tell(v, fmt.Sprintf("%d devices load the segment with %s unit loads of %d", len(s.ends), show(sum), unitLoads), fix)
	a := &(*out)[len(*out)-1]
	a.Value, a.Limit, a.Relation, a.Unit, a.Margin = ptr(model.Exactly(sum)), ptr(model.Exactly(unitLoads)), "<=", "UL", ptr(unitLoads-sum)
	if s.trunk.BiasOhm == nil || sum <= 0 {
		return
	}
	idle := BiasVolts(5, *s.trunk.BiasOhm, parallel(terminated, unitLoadOhm/sum))
	v, fix = model.Pass, ""
	if idle < idleVolts {
		v, fix = model.Fault, fmt.Sprintf("use bias resistors of at most %s ohm", show(BiasLimit(5, parallel(terminated, unitLoadOhm/sum))))
	}
	tell(v, fmt.Sprintf("the bias of %s ohm each holds the idle pair at %s V; the receivers need %s V", show(*s.trunk.BiasOhm), show(idle), show(idleVolts)), fix)
}

// setting is a value set on a device; false if it is not stated.
func setting(d *model.Device, name string) (string, bool) {
	if d != nil {
		for _, s := range d.Settings {
			if s.Name == name && s.Value != "" {
				return s.Value, true
			}
		}
	}
	return "", false
}

func numberSet(d *model.Device, name string) (float64, bool) {
	text, ok := setting(d, name)
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return v, ok && err == nil
}

// addresses looks at what is set on each device of the segment.
func (s segment) addresses(x *index, tell func(model.Verdict, string, string)) {
	taken := map[int]string{}
	highest := -1
	for _, e := range s.ends {
		v, ok := numberSet(x.devices[e.Device], "mac")
		if !ok {
			continue
		}
		mac := int(v)
		if other, dup := taken[mac]; dup && other != e.Device {
			tell(model.Fault, fmt.Sprintf("%s and %s have the same address %d on one trunk", other, e.Device, mac), "give each device an address of its own")
		}
		taken[mac] = e.Device
		role := ""
		if t := x.terminal(e); t != nil {
			role = t.BusRole
		}
		switch {
		case role == "slave" && mac <= masters:
			tell(model.Caution, fmt.Sprintf("%s is a slave at address %d: allowed, but masters are sought there", e.Device, mac), "use 128 to 254 for slaves")
		case role != "slave" && mac > masters || mac > 254 || mac < 0:
			tell(model.Fault, fmt.Sprintf("%s cannot have address %d: masters have 0 to %d, slaves up to 254", e.Device, mac, masters), "give it an address in its range")
		}
		if role != "slave" && mac <= masters {
			highest = max(highest, mac)
		}
	}
	if m := s.trunk.MaxMaster; m != nil && highest >= 0 && *m > highest {
		tell(model.Caution, fmt.Sprintf("the highest master sought is %d, the highest in use is %d: every token round polls for masters that are not there", *m, highest), fmt.Sprintf("set the highest master to %d and close the gaps", highest))
	} else if m != nil && *m < highest {
		tell(model.Fault, fmt.Sprintf("the highest master sought is %d: the one at %d is never found", *m, highest), fmt.Sprintf("set the highest master to %d", highest))
	}
}

// cabling looks at length, rate, termination and reference.
func (s segment) cabling(tell func(model.Verdict, string, string)) {
	if s.length != nil && *s.length > trunkFeet {
		tell(model.Fault, fmt.Sprintf("the segment is %s ft long, %d ft at most", show(*s.length), trunkFeet), "put a repeater in")
	}
	if b := s.trunk.Baud; b != nil && !slices.Contains(rates, *b) {
		tell(model.Fault, fmt.Sprintf("%s bit/s is no rate of the bus", show(*b)), "use 9600, 19200, 38400, 57600, 76800 or 115200")
	}
	if n := s.trunk.Terminators; n != nil && *n != 2 {
		tell(model.Fault, fmt.Sprintf("%d terminators; a segment has two, one at each end", *n), "fit 120 ohm at both ends and nowhere else")
	}
	if at := s.trunk.AtEnds; at != nil && !*at {
		tell(model.Fault, "a terminator stands elsewhere than at an end of the segment", "fit 120 ohm at both ends and nowhere else")
	}
	if r := s.trunk.Reference; r != nil && !*r {
		tell(model.Caution, "no conductor joins the references of the devices: their voltages may drift beyond -7 to +12 V", "pull a third conductor for the reference")
	}
}

// devices looks at how much is mapped from a device, and whether it listens.
func (s segment) devices(x *index, tell func(model.Verdict, string, string)) {
	for _, e := range s.ends[1:] {
		d := x.devices[e.Device]
		if n, ok := numberSet(d, "objects"); ok && n > mappedPoints {
			tell(model.Caution, fmt.Sprintf("%s objects of %s are polled over the trunk, more than %d: the round takes minutes", show(n), e.Device, mappedPoints), "map the points that are needed, and subscribe to changes where the device can")
		}
		if d == nil || len(x.net.Points) == 0 {
			continue
		}
		mapped, writes := 0, ""
		for k := range x.net.Points {
			p := &x.net.Points[k]
			if p.Equipment != d.Equipment || p.Carried != model.Network {
				continue
			}
			mapped++
			if p.Role == model.RoleSpeed && (p.ObjectType == model.AnalogOutput || p.ObjectType == model.AnalogValue) {
				writes = p.Key
			}
		}
		if mapped == 0 {
			tell(model.Caution, e.Device+" is joined to the bus and no network point of it is listed: nobody knows what is to be read and written", "list the points by name and direction, or leave the bus away")
		}
		if ref, ok := setting(d, "reference-source"); ok && writes != "" && ref != "bus" {
			tell(model.Fault, fmt.Sprintf("%s is written over the bus, and the reference of %s is set to %s: the write is accepted and ignored", writes, e.Device, ref), "set the reference source to the bus, or wire the speed signal")
		}
	}
}
