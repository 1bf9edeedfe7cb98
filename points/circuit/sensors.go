package circuit

import (
	"fmt"
	"math"

	"tallywire/model"
)

// Coefficients of platinum resistance, IEC 60751.
const (
	platinumA = 3.9083e-3
	platinumB = -5.775e-7
	platinumC = -4.183e-12
)

// Platinum is the resistance in ohm of a platinum sensor of r0 ohm at 0 °C.
// Source: IEC 60751.
func Platinum(r0, celsius float64) float64 {
	t := celsius
	r := 1 + platinumA*t + platinumB*t*t
	if t < 0 {
		r += platinumC * (t - 100) * t * t * t
	}
	return r0 * r
}

const kelvin = 273.15

// Beta is the constant of a thermistor between two points, K.
func Beta(ohmA, celsiusA, ohmB, celsiusB float64) float64 {
	return math.Log(ohmA/ohmB) / (1/(celsiusA+kelvin) - 1/(celsiusB+kelvin))
}

// ThermistorCelsius is what a thermistor of r25 ohm at 25 °C reads at a resistance.
func ThermistorCelsius(ohm, r25, beta float64) float64 {
	return 1/(1/(25+kelvin)+math.Log(ohm/r25)/beta) - kelvin
}

// slopes are the ohm per °C of sensors at room temperature: IEC 60751 between 0
// and 100 °C for platinum; 10 kohm thermistors at 25 °C from memory.
var slopes = map[string]float64{"pt100": 0.3851, "pt1000": 3.851, "ntc10k-2": 438, "ntc10k-3": 438}

// LeadError is how many °C a loop resistance of the leads adds to a two-wire
// sensor's reading; 0 for a curve that is not known.
func LeadError(curve string, loopOhm float64) float64 {
	if s, ok := slopes[curve]; ok {
		return loopOhm / s
	}
	return 0
}

// leadLimit is the error of the leads taken as harmless, °C: common practice.
const leadLimit = 0.5

// askSensor: a resistance sensor and its input have the same curve, and the
// leads do not falsify it.
func (j *joint) askSensor() {
	d := j.drive.t
	if d.Nature != model.Resistance {
		return
	}
	for i, a := range j.accepts {
		if a.t.Nature != model.Resistance || j.natureFails(i) {
			continue
		}
		if d.Curve != "" && a.t.Curve != "" && d.Curve != a.t.Curve {
			j.tell("range", model.Fault, i, fmt.Sprintf("the sensor is %s and the input reads it as %s: alike at 25 °C, wrong by degrees elsewhere", d.Curve, a.t.Curve), a.t.Source, "set the input to "+d.Curve)
			continue
		}
		if d.Range != nil && a.t.Range != nil && !a.t.Range.Overlaps(*d.Range) {
			j.tell("range", model.Fault, i, fmt.Sprintf("the sensor has %s ohm, the input reads %s ohm", span(*d.Range), span(*a.t.Range)), a.t.Source, "use a sensor that the input reads")
			continue
		}
		if ohm, ok := j.loopOhm(); ok && slopes[d.Curve] > 0 {
			e := LeadError(d.Curve, ohm)
			j.hold(limit{code: "loading-error", place: i, value: model.Exactly(e), relation: "<=", limit: leadLimit, unit: "°C", source: "IEC 60751; common practice", broken: model.Caution,
				text: fmt.Sprintf("%s ohm in the leads / %s ohm per °C = %s °C too high", show(ohm), show(slopes[d.Curve]), show(e)),
				fix:  "use a 10 kohm thermistor, a three-wire sensor, a transmitter, or heavier leads"})
		}
	}
}
