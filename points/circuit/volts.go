package circuit

import (
	"math"

	"tallywire/model"
)

// nominalTolerance is what a nominal voltage carries when nothing better is
// stated: -10/+10 %, common practice.
const nominalTolerance = 0.10

// transformerService is the primary's range: ANSI C84.1 range A service, 95 to
// 105 %.
const transformerService = 0.05

// delivered is what a supply or wet output gives, from its worst loaded to its
// unloaded voltage; false if unknown.
func delivered(t *model.Terminal) (model.Interval, bool) {
	if t.Volts == nil {
		return model.Interval{}, false
	}
	v := *t.Volts
	switch {
	case t.Regulation != nil && !t.Absolute:
		v = model.Interval{Lo: v.Lo * (1 - transformerService), Hi: v.Hi * (1 + transformerService)}
	case !t.Absolute:
		v = model.Interval{Lo: v.Lo * (1 - nominalTolerance), Hi: v.Hi * (1 + nominalTolerance)}
	}
	if t.Regulation != nil && !t.Absolute {
		v.Hi *= 1 + *t.Regulation
	}
	return v, true
}

// how says in words where the delivered range comes from.
func how(t *model.Terminal) string {
	switch {
	case t.Regulation != nil && !t.Absolute:
		return "primary 95 to 105 % (ANSI C84.1 range A), " + show(*t.Regulation*100) + " % higher unloaded"
	case !t.Absolute:
		return "nominal -10/+10 %"
	}
	return "as stated"
}

// accepted is the range of volts that an accepting terminal may be given;
// false if unknown.
func (j *joint) accepted(t *model.Terminal) (model.Interval, bool) {
	if t.Volts != nil {
		v := *t.Volts
		if !t.Absolute {
			v = model.Interval{Lo: v.Lo * (1 - nominalTolerance), Hi: v.Hi * (1 + nominalTolerance)}
		}
		return v, true
	}
	if c, ok := j.lib.Ratings.Inputs[t.InputClass]; ok {
		return model.Interval{Lo: c.OnMin, Hi: c.Max}, true
	}
	return model.Interval{}, false
}

// draw is what a terminal takes from a circuit: A running, at the start and at
// the lowest voltage; VA running and at the start. Unknown values are NaN.
type draw struct {
	run, inrush, least float64
	va, inrushVA       float64
	words              string
}

// nominalFor is the voltage at which the VA of a load count: the middle of the
// source's range, or of the load's own where a source states a range around it.
func nominalFor(a, source *model.Terminal) float64 {
	if a.Volts != nil && !source.Volts.Point() {
		if m := a.Volts.Mid(); source.Volts.Lo <= m && m <= source.Volts.Hi {
			return m
		}
	}
	return source.Volts.Mid()
}

// taken computes the draw of an accepting terminal on a source.
func (j *joint) taken(a *model.Terminal, source *model.Terminal) draw {
	d := draw{run: math.NaN(), inrush: math.NaN(), least: math.NaN(), va: math.NaN(), inrushVA: math.NaN()}
	v, ok := delivered(source)
	if !ok {
		return d
	}
	nominal := nominalFor(a, source)
	d.run, d.words = j.running(a, nominal, v.Hi)
	d.inrush = amps(a.Inrush, nominal)
	if math.IsNaN(d.inrush) && a.Nature == model.VoltageSense {
		d.inrush = d.run // an electronic input has none to speak of
	}
	if math.IsNaN(d.inrush) && a.Nature == model.PowerIn && a.Rectifier == "none" {
		d.inrush = d.run
	}
	d.least = d.run
	if nominal > 0 {
		d.least = d.run * math.Min(1, v.Lo/nominal) // as a resistance would
	}
	if a.Beside != nil && !math.IsNaN(d.run) {
		d.run, d.inrush, d.least = d.run+nominal/a.Beside.Lo, d.inrush+nominal/a.Beside.Lo, d.least+v.Lo/a.Beside.Hi
		d.words += " + " + show(nominal) + " V / " + show(a.Beside.Lo) + " ohm across it"
	}
	d.va, d.inrushVA = d.run*nominal, d.inrush*nominal
	return d
}

// running is the current in A of a load or input at its source's nominal
// voltage, at most.
func (j *joint) running(a *model.Terminal, nominal, highest float64) (float64, string) {
	if i := amps(a.Running, nominal); !math.IsNaN(i) {
		if a.Running.Amps == nil {
			return i, show(*a.Running.VA) + " VA / " + show(nominal) + " V = " + milli(i)
		}
		return i, milli(i)
	}
	if a.Nature == model.PowerIn {
		return math.NaN(), ""
	}
	if a.Impedance != nil && a.Impedance.Lo > 0 {
		return highest / a.Impedance.Lo, show(highest) + " V / " + show(a.Impedance.Lo) + " ohm = " + milli(highest/a.Impedance.Lo)
	}
	if a.On != nil && a.On.Amps != nil {
		return *a.On.Amps, milli(*a.On.Amps)
	}
	if c, ok := j.lib.Ratings.Inputs[a.InputClass]; ok {
		return c.MaxAmps, milli(c.MaxAmps) + " (most the input type may take)"
	}
	return math.NaN(), ""
}

// amps is a load as A; NaN if unknown.
func amps(l *model.Load, nominal float64) float64 {
	switch {
	case l == nil:
		return math.NaN()
	case l.Amps != nil:
		return *l.Amps
	case l.VA != nil && nominal > 0:
		return *l.VA / nominal
	}
	return math.NaN()
}

// total sums the draws of all accepting ends; NaN if one is unknown. place is
// the first unknown one, -1 none.
func (j *joint) total(source *model.Terminal) (sum draw, unknownRun, unknownInrush int) {
	unknownRun, unknownInrush = -1, -1
	for i, a := range j.accepts {
		d := j.taken(a.t, source)
		if math.IsNaN(d.run) && unknownRun < 0 {
			unknownRun = i
		}
		if math.IsNaN(d.inrush) && unknownInrush < 0 {
			unknownInrush = i
		}
		sum.run, sum.inrush, sum.least = sum.run+d.run, sum.inrush+d.inrush, sum.least+d.least
		if sum.words != "" {
			sum.words += " + "
		}
		sum.words += d.words
	}
	return sum, unknownRun, unknownInrush
}
