package circuit

import (
	"slices"

	"tallywire/model"
)

// trouble is told by key: the code, and the group it concerns or the circuit.
type troubleKey struct{ code, where string }

// surrounding is the part of the net that a circuit touches by devices and
// supplies, however far that reaches: what a change to it may break.
func (x *index) surrounding(i int) Net {
	byDevice := x.circuitsByDevice()
	seen := map[int]bool{i: true}
	queue := []int{i}
	devices := map[string]bool{}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, id := range devicesOf(&x.net.Circuits[at]) {
			if devices[id] {
				continue
			}
			devices[id] = true
			for _, k := range byDevice[id] {
				if !seen[k] {
					seen[k] = true
					queue = append(queue, k)
				}
			}
		}
	}
	n := Net{Points: x.net.Points, Alarms: x.net.Alarms, Equipment: x.net.Equipment, Cables: x.net.Cables}
	for k := range x.net.Devices {
		if d := &x.net.Devices[k]; devices[d.ID] || hasSupply(d) {
			n.Devices = append(n.Devices, *d)
		}
	}
	for k := range x.net.Circuits {
		if seen[k] {
			n.Circuits = append(n.Circuits, x.net.Circuits[k])
		}
	}
	return n
}

func hasSupply(d *model.Device) bool {
	return d.Spec != nil && slices.ContainsFunc(d.Spec.Terminals, func(t model.Terminal) bool { return t.Nature == model.SupplyOut })
}

func (x *index) circuitsByDevice() map[string][]int {
	if x.byDevice == nil {
		x.byDevice = map[string][]int{}
		for i := range x.net.Circuits {
			for _, id := range devicesOf(&x.net.Circuits[i]) {
				x.byDevice[id] = append(x.byDevice[id], i)
			}
		}
	}
	return x.byDevice
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

// outcome is what a net says of itself: the trouble of every circuit by key,
// with the verdict.
type outcome map[troubleKey]model.Verdict

// judge checks a whole net and keeps what is not plain good.
func (x *index) judge(n Net) outcome {
	y := newIndex(x.lib, nil, n)
	y.wiring, y.memo, y.across = x.wiring, x.memo, x.across
	out := outcome{}
	for i, row := range y.all() {
		for _, a := range row {
			if a.Verdict == model.Pass {
				continue
			}
			k := troubleKey{a.Code, n.Circuits[i].ID}
			if a.group != "" {
				k.where = "group " + a.group
			}
			out[k] = model.Worst(out[k], a.Verdict)
		}
	}
	return out
}

// region is a part of the net and what it has to say before a change.
type region struct {
	Net
	before outcome
}

func (x *index) region(n Net) *region { return &region{n, x.judge(n)} }

// beside is the circuit with those that share one of its terminals, one of its
// or the local supplies, or a device that is no controller.
func (x *index) beside(i int, locals []model.End) Net {
	c := &x.net.Circuits[i]
	take := map[int]bool{i: true}
	for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
		for _, list := range [][]int{x.drives[plain(e)], x.accepts[plain(e)]} {
			for _, k := range list {
				take[k] = true
			}
		}
		if t := x.terminal(plain(e)); t != nil && t.Class == "" {
			for _, k := range x.circuitsByDevice()[e.Device] {
				take[k] = true
			}
		}
	}
	devices := map[string]bool{}
	for k := range take {
		for _, id := range devicesOf(&x.net.Circuits[k]) {
			devices[id] = true
		}
	}
	for _, e := range locals {
		devices[e.Device] = true
	}
	n := Net{Points: x.net.Points, Alarms: x.net.Alarms, Equipment: x.net.Equipment, Cables: x.net.Cables}
	for k := range x.net.Circuits {
		if take[k] {
			n.Circuits = append(n.Circuits, x.net.Circuits[k])
		}
	}
	for k := range x.net.Devices {
		if devices[x.net.Devices[k].ID] {
			n.Devices = append(n.Devices, x.net.Devices[k])
		}
	}
	return n
}

// mended reports whether the change leaves nothing of what it was to mend and
// adds no fault and nothing unknown. left is the worst verdict that the new
// circuits keep of their own, or a caution that the change brings elsewhere.
//
// A circuit that is moved along, other than the one to be mended, may keep what
// it had.
func (before outcome) mended(after outcome, target string, changed map[string]bool, mend map[troubleKey]bool) (left model.Verdict, ok bool) {
	left = model.Pass
	for k, v := range after {
		switch {
		case mend[k] && k.group():
			return model.Fault, false
		case k.where != target && before[k] != "" && v.Rank() <= before[k].Rank():
		case changed[k.where]:
			left = model.Worst(left, v)
		case v == model.Caution:
			left = model.Worst(left, v)
		default:
			return model.Fault, false
		}
	}
	return left, true
}

func (k troubleKey) group() bool { return len(k.where) > 6 && k.where[:6] == "group " }
