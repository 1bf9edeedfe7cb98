package circuit

import "tallywire/model"

// Across is an accepting terminal with a resistor across it, as the driver
// sees it. Under a current source a voltage input becomes a current input: its
// range in mA is its volts over the resistance in parallel, and that
// resistance is its burden. Otherwise the resistor lowers the input's
// resistance.
func Across(t model.Terminal, ohm model.Interval, driver model.Nature) model.Terminal {
	both := ohm
	if t.Impedance != nil && t.Impedance.Lo > 0 {
		both = model.Interval{Lo: parallel(ohm.Lo, t.Impedance.Lo), Hi: parallel(ohm.Hi, t.Impedance.Hi)}
	}
	if driver == model.AnalogCurrent && t.Nature == model.AnalogVoltage {
		return converted(t, ohm, both)
	}
	t.Impedance = &both
	if t.Running != nil {
		extra := *t.Running
		if t.Volts != nil && t.Volts.Mid() > 0 {
			v := t.Volts.Mid()
			if extra.VA != nil {
				va := *extra.VA + v*v/ohm.Hi
				extra = model.Load{VA: &va}
			} else if extra.Amps != nil {
				a := *extra.Amps + v/ohm.Hi
				extra = model.Load{Amps: &a}
			}
		}
		t.Running = &extra
	}
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
