package circuit

import "math"

// Bleeder is the resistance, ohm, that an input of inOhm needs in parallel so
// that a snubber leaves at most offVolts on it: total is the two together.
// Infinite if the input alone does.
func Bleeder(volts, offVolts, farad, hertz, inOhm float64) (total, bleeder float64) {
	total = Reactance(farad, hertz) * offVolts / math.Sqrt(volts*volts-offVolts*offVolts)
	if inOhm <= total {
		return total, math.Inf(1)
	}
	return total, 1 / (1/total - 1/inOhm)
}

// TopUp is the resistor across a load that brings a solid-state output to its
// least current: ohm and the watts it turns to heat.
func TopUp(volts, least, load float64) (ohm, watts float64) {
	missing := least - load
	return volts / missing, volts * missing
}

// e12 are the standard resistor values of a decade (IEC 60063).
var e12 = []float64{1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2}

// StandardBelow is the next standard resistor value at or under an ohm value.
func StandardBelow(ohm float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(ohm)))
	best := decade
	for _, v := range e12 {
		if v*decade <= ohm*(1+1e-9) {
			best = v * decade
		}
	}
	return math.Round(best*1e6) / 1e6
}
