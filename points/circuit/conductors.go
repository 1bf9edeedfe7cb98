package circuit

import (
	"fmt"
	"math"

	"tallywire/model"
)

// defaultGauge is the control wire taken where none is stated, AWG: common
// practice.
const defaultGauge = 18

// warm is the conductor temperature taken where none is stated, °C.
const warm = 75

// farEnough is a length (ft, one way) that no control run of a building
// reaches: a circuit that works over it needs no length stated.
const farEnough = 3000

// wire is what the conductor of a circuit does to it.
type wire struct {
	drop    float64 // V at the full current of the circuit
	allowed float64 // V that may be lost
	amps    float64
	gauge   int
	perKft  float64 // ohm per 1000 ft, one conductor
	length  float64 // ft one way, NaN not stated
	assumed bool
	unknown string // what is needed to tell; "" all known
	would   string
}

// conductor is the gauge, ohm per 1000 ft and length of the circuit with the
// project's defaults laid under it.
func (j *joint) conductor() wire {
	c := j.c.Conductor
	w := wire{gauge: c.Gauge, length: math.NaN(), assumed: c.Assumed}
	if w.gauge == 0 {
		w.gauge, w.assumed = j.wiring.ControlAWG, true
	}
	if w.gauge == 0 {
		w.gauge = defaultGauge
	}
	temp := c.TempC
	if temp == 0 {
		temp = warm
	}
	r, ok := j.lib.Conductors.OhmPerKft(w.gauge, c.Stranded, temp)
	if !ok {
		w.unknown, w.would = fmt.Sprintf("the resistance of %d AWG, which is not a gauge of the table", w.gauge), "12 to 24 AWG"
	}
	w.perKft = r
	if n := c.Count; n > 2 && n%2 == 0 {
		w.perKft /= float64(n / 2) // conductors in parallel
	}
	switch {
	case c.LengthFt != nil:
		w.length = *c.LengthFt
	case j.wiring.LengthFt != nil:
		w.length, w.assumed = *j.wiring.LengthFt, true
	}
	return w
}

// loopOhm is the resistance of the wire there and back; false if the length is
// not stated.
func (j *joint) loopOhm() (float64, bool) {
	w := j.conductor()
	if math.IsNaN(w.length) || w.unknown != "" {
		return 0, false
	}
	return 2 * w.length * w.perKft / 1000, true
}

// Drop is the voltage lost in a two-wire run, V: 2 x length (ft, one way) x
// ohm per 1000 ft x A. The load is taken to draw a constant current.
func Drop(lengthFt, ohmPerKft, amps float64) float64 { return 2 * lengthFt * ohmPerKft / 1000 * amps }

// Longest is the longest run, ft one way, that loses no more than volts.
func Longest(volts, ohmPerKft, amps float64) float64 { return volts / (2 * ohmPerKft / 1000 * amps) }

// wire works out the drop of a circuit on a source; allowed is what may be lost.
func (j *joint) wire(source *model.Terminal, allowed float64) wire {
	w := j.conductor()
	w.allowed = allowed
	if w.unknown != "" {
		return w
	}
	sum, noRun, _ := j.total(source)
	if noRun >= 0 {
		w.unknown, w.would = "the current of "+j.accepts[noRun].name(), ""
		if !math.IsNaN(w.length) && w.length > 0 && allowed > 0 {
			w.would = "up to " + milli(allowed/Drop(w.length, w.perKft, 1))
		}
		return w
	}
	w.amps = sum.run
	switch {
	case math.IsNaN(w.length) && allowed > 0 && Longest(allowed, w.perKft, w.amps) >= farEnough:
		w.drop = 0
	case math.IsNaN(w.length):
		w.unknown = fmt.Sprintf("the length of the run (%d AWG)", w.gauge)
		if allowed > 0 {
			w.would = fmt.Sprintf("up to %s ft", show(math.Floor(Longest(allowed, w.perKft, w.amps))))
		}
	default:
		w.drop = Drop(w.length, w.perKft, w.amps)
	}
	return w
}

// tellWire adds the check of the conductor itself: what it loses against what
// may be lost, the longest run that works and the gauge that would do.
func (j *joint) tellWire(i int, w wire) {
	if math.IsNaN(w.length) || w.length == 0 || w.allowed <= 0 || w.unknown != "" {
		return
	}
	longest := Longest(w.allowed, w.perKft, w.amps)
	length := show(w.length) + " ft"
	if w.assumed {
		length += " (assumed)"
	}
	text := fmt.Sprintf("2 x %s x %s ohm/1000 ft x %s = %s V in %d AWG; %s V may be lost; the longest run that works is %s ft",
		length, show(w.perKft), milli(w.amps), show(w.drop), w.gauge, show(w.allowed), show(math.Floor(longest*10)/10))
	j.hold(limit{code: "conductor-drop", place: i, value: model.Exactly(w.drop), relation: "<=", limit: w.allowed, unit: "V", text: text,
		source: "NEC chapter 9 table 8; small gauges computed from ASTM B258 and B3", fix: j.heavier(w)})
}

// heavier names the thinnest gauge that would do over the length.
func (j *joint) heavier(w wire) string {
	c := j.c.Conductor
	temp := c.TempC
	if temp == 0 {
		temp = warm
	}
	for _, g := range j.lib.Conductors.Gauges() {
		if g >= w.gauge {
			continue
		}
		if r, ok := j.lib.Conductors.OhmPerKft(g, c.Stranded, temp); ok && Drop(w.length, r, w.amps) <= w.allowed {
			return fmt.Sprintf("use %d AWG, or a supply nearer to the load", g)
		}
	}
	return "put the supply nearer to the load; no gauge of the table carries it over this length"
}
