package circuit

import (
	"fmt"
	"math"

	"tallywire/model"
)

// Across is an accepting terminal with a resistor across it, as the driver
// sees it. Under a current source a voltage input becomes a current input: its
// range in mA is its volts over the resistance in parallel, and that
// resistance is its burden. A voltage input of lower resistance it becomes under
// a voltage; beside any other input or load it draws a current of its own.
func Across(t model.Terminal, ohm model.Interval, driver model.Nature) model.Terminal {
	both := ohm
	if t.Impedance != nil && t.Impedance.Lo > 0 {
		both = model.Interval{Lo: parallel(ohm.Lo, t.Impedance.Lo), Hi: parallel(ohm.Hi, t.Impedance.Hi)}
	}
	if driver == model.AnalogCurrent && t.Nature == model.AnalogVoltage {
		return converted(t, ohm, both)
	}
	if t.Nature == model.AnalogVoltage {
		t.Impedance = &both
		return t
	}
	if t.Beside != nil {
		ohm = model.Interval{Lo: parallel(ohm.Lo, t.Beside.Lo), Hi: parallel(ohm.Hi, t.Beside.Hi)}
	}
	t.Beside = &ohm
	return t
}

// converted makes the current input of a voltage input and its resistor. The
// ranges are those of the nominal resistor: what the input in parallel takes
// off is the loading error.
func converted(t model.Terminal, ohm, both model.Interval) model.Terminal {
	toMA := func(v model.Interval) model.Interval { return v.Scale(1000 / ohm.Mid()) }
	t.Nature = model.AnalogCurrent
	t.Burden, t.LoopPower = &both, "none"
	var ranges []model.Interval
	for _, r := range settings(&t) {
		ranges = append(ranges, toMA(r))
	}
	t.Range, t.Ranges = nil, ranges
	if len(ranges) > 0 {
		t.Range = &ranges[0]
	}
	if t.RunThreshold != nil {
		at := *t.RunThreshold * 1000 / ohm.Mid()
		t.RunThreshold = &at
	}
	t.Impedance = nil
	return t
}

func parallel(a, b float64) float64 { return a * b / (a + b) }

// dissipated is the power in W that a resistor across an accepting end has to
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

// opens is the resistance from which a dry input reads open, ohm: common practice.
const opens = 50e3

// askResistor: a resistor across an end stands the power it turns to heat.
func (j *joint) askResistor() {
	for k := range j.c.Across {
		r := &j.c.Across[k]
		for i := range j.accepts {
			if plain(j.accepts[i].end) != plain(r.At) {
				continue
			}
			if t := j.accepts[i].t; t.Nature == model.ContactSense && t.InputClass != "namur" && r.Ohm.Lo < opens {
				j.hold(limit{code: "stays-on", place: i, value: r.Ohm, relation: ">=", limit: opens, unit: "ohm", source: "common practice: a dry input reads open from 50 kohm",
					text: fmt.Sprintf("the resistor of %s ohm lies across a dry input, which reads open from %s ohm only", span(r.Ohm), show(opens)), fix: "take it off: it does not raise the current through the contact"})
			}
			w := j.dissipated(r.Ohm)
			if r.Watts == nil {
				j.unknown("dissipation", i, "the power that the resistor of "+span(r.Ohm)+" ohm stands", "at least "+show(w)+" W")
				continue
			}
			j.hold(limit{code: "dissipation", place: i, value: model.Exactly(w), relation: "<=", limit: *r.Watts, unit: "W", source: "common practice",
				text: fmt.Sprintf("the resistor of %s ohm across %s turns %s W to heat; it stands %s W", span(r.Ohm), j.accepts[i].name(), show(w), show(*r.Watts)),
				fix:  "use a resistor of more watts or more ohms"})
		}
	}
}

// askConversion: a resistor that turns a current into a voltage gives the
// input what it should, its tolerance and the input in parallel included, and
// the failure level of the transmitter is within what the input stands.
func (j *joint) askConversion() {
	if j.drive.t.Nature != model.AnalogCurrent {
		return
	}
	for k := range j.c.Across {
		r := &j.c.Across[k]
		for i, a := range j.accepts {
			if plain(a.end) != plain(r.At) || a.t.Nature != model.AnalogCurrent || a.t.Burden == nil || a.t.Volts == nil {
				continue
			}
			low, high := a.t.Burden.Lo/r.Ohm.Mid()-1, a.t.Burden.Hi/r.Ohm.Mid()-1
			e := math.Max(math.Abs(low), math.Abs(high)) * 100
			j.hold(limit{code: "loading-error", place: i, value: model.Exactly(e), relation: "<=", limit: loadingLimit * 100, unit: "%", source: "common practice", broken: model.Caution,
				text: fmt.Sprintf("%s ohm with the input across it is %s ohm: 20 mA give %s V where %s V are meant, %s %% off at most", show(r.Ohm.Mid()), span(*a.t.Burden), show(a.t.Burden.Lo*0.020), show(r.Ohm.Mid()*0.020), show(e)),
				fix:  "use an input of higher resistance, a closer resistor, or a converter"})
			if may, ok := j.accepted(a.t); ok && j.drive.t.Class == "" {
				top := failHigh * a.t.Burden.Hi
				j.hold(limit{code: "over-voltage", place: i, value: model.Exactly(top), relation: "<=", limit: may.Hi, unit: "V", source: "NAMUR NE 43",
					text: fmt.Sprintf("the transmitter's failure level of %s mA gives %s V on %s ohm; %s may be given %s V", show(failHigh*1000), show(top), show(a.t.Burden.Hi), a.name(), show(may.Hi)),
					fix:  "use a smaller resistor and scale the input, or a transmitter that fails low"})
			}
		}
	}
}
