package circuit

import (
	"tallywire/model"
	"tallywire/points/library"
)

// cure is a way to make a circuit work: what is put in, and the verdict of the
// worst circuit after it.
type cure struct {
	verdict model.Verdict
	parts   []string
	price   int64
	joints  []*joint
}

// interpose finds the cheapest single device of the library that makes the
// circuit work, and failing that the cheapest that leaves only a caution. The search for chains and other hook-ups stands in repair.
func (x *index) interpose(j *joint) (cure, bool) {
	list := x.lib.Interposers()
	var second cure
	for i := range list {
		for _, c := range x.with(j, &list[i]) {
			switch {
			case c.verdict == model.Pass:
				return c, true
			case c.verdict == model.Caution && second.parts == nil:
				second = c
			}
		}
	}
	return second, second.parts != nil
}

// with lists the ways to put one interposer into a circuit.
func (x *index) with(j *joint, p *library.Interposer) []cure {
	switch p.How {
	case "in-line":
		return x.inLine(j, p)
	case "supply":
		return x.newSupply(j, p)
	case "across":
		return x.across(j, p)
	}
	return nil
}

func terminalOf(d *model.DeviceType, id string) *model.Terminal {
	t, ok := d.Terminal(id)
	if !ok {
		return nil
	}
	return t
}

// stand is an interposer's terminal as the end of a circuit.
func stand(d *model.DeviceType, t *model.Terminal) side {
	return side{model.End{Device: "(" + d.ID + ")", Terminal: t.ID}, &model.Device{ID: "(" + d.ID + ")", Type: d.ID, Role: "interposer", Spec: d}, t}
}

// inLine ends the circuit at the interposer and starts a new one behind it.
// The part in front takes the circuit's supply, or none, as its nature needs;
// the part behind keeps the supply.
func (x *index) inLine(j *joint, p *library.Interposer) []cure {
	in, out := terminalOf(&p.Device, p.In), terminalOf(&p.Device, p.Out)
	if in == nil || out == nil {
		return nil
	}
	front, behind := *j, *j
	front.answers, behind.answers, front.parallel, behind.parallel = nil, nil, nil, nil
	front.accepts = []side{stand(&p.Device, in)}
	front.logic, front.started = nil, false
	behind.drive = stand(&p.Device, out)
	if !isSwitch(front.drive.t.Nature) {
		front.supply = nil
	}
	if !isSwitch(out.Nature) || !isLoad(j.accepts[0].t.Nature) {
		behind.supply = nil
	}
	v := model.Worst(worst(front.run()), worst(behind.run()))
	return []cure{{v, []string{p.ID}, p.Price(), []*joint{&front, &behind}}}
}

// newSupply gives the circuit the interposer as its supply.
func (x *index) newSupply(j *joint, p *library.Interposer) []cure {
	out := terminalOf(&p.Device, p.Out)
	if out == nil || !isSwitch(j.drive.t.Nature) && j.drive.t.Nature != model.AnalogCurrent {
		return nil
	}
	with := *j
	with.answers = nil
	s := stand(&p.Device, out)
	with.supply = &s
	return []cure{{worst(with.run()), []string{p.ID}, p.Price(), []*joint{&with}}}
}

// across lays a resistor across the accepting end.
func (x *index) across(j *joint, p *library.Interposer) []cure {
	if p.Ohm == nil || len(j.accepts) != 1 {
		return nil
	}
	if p.Watts != nil && j.dissipated(*p.Ohm) > *p.Watts {
		return nil
	}
	with := *j
	with.answers = nil
	t := Across(*j.accepts[0].t, *p.Ohm, j.drive.t.Nature)
	with.accepts = []side{{j.accepts[0].end, j.accepts[0].device, &t}}
	return []cure{{worst(with.run()), []string{p.ID}, p.Price(), []*joint{&with}}}
}

// dissipated is the power in W that a resistor across the accepting end has to
// stand: V^2 / R of the highest voltage, or I^2 R of a 21 mA loop.
func (j *joint) dissipated(ohm model.Interval) float64 {
	if s := j.source(); s != nil {
		if v, ok := delivered(s.t); ok {
			return v.Hi * v.Hi / ohm.Lo
		}
	}
	if j.drive.t.Nature == model.AnalogVoltage {
		top, _ := topOf(j.drive.t)
		return top * top / ohm.Lo
	}
	return failHigh * failHigh * ohm.Hi
}
