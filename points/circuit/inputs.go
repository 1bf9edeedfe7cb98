package circuit

import (
	"fmt"
	"math"

	"tallywire/model"
)

// needed is the lowest voltage at which an accepting terminal is sure to be
// on; false if unknown.
func (j *joint) needed(t *model.Terminal) (volts float64, source string, ok bool) {
	if t.On != nil {
		return t.On.Volts, t.Source, true
	}
	if c, found := j.lib.Ratings.Inputs[t.InputClass]; found {
		return c.OnMin, c.Source, true
	}
	if v, found := j.accepted(t); found && v.Lo > 0 {
		return v.Lo, t.Source, true
	}
	return 0, "", false
}

// askUnderVoltage: the lowest voltage that reaches the input is at or above
// what it needs.
func (j *joint) askUnderVoltage() {
	s := j.source()
	if s == nil || !isSource(s.t) || j.c.Purpose == "mains" {
		return
	}
	v, known := delivered(s.t)
	for i, a := range j.accepts {
		if !isLoad(a.t.Nature) || j.natureFails(i) {
			continue
		}
		need, cite, ok := j.needed(a.t)
		switch {
		case !known:
			j.unknown("under-voltage", j.sourcePlace(), "the voltage of "+s.name(), wouldPass(need, ok))
		case !ok:
			j.unknown("under-voltage", i, "the lowest voltage at which "+a.name()+" is sure to work", "anything up to "+show(v.Lo)+" V")
		default:
			j.reach(i, s, v, need, cite)
		}
	}
}

func wouldPass(need float64, ok bool) string {
	if !ok {
		return ""
	}
	return "at least " + show(need) + " V"
}

// reach works out what arrives at one accepting end and compares it.
func (j *joint) reach(i int, s *side, v model.Interval, need float64, cite string) {
	a := j.accepts[i]
	drop := 0.0
	words := fmt.Sprintf("%s V at least (%s)", show(v.Lo), how(s.t))
	if d := j.drive.t; isSwitch(d.Nature) && d.Nature != model.Contact {
		if d.OnDrop == nil {
			j.unknown("under-voltage", atDrive, "the voltage that "+j.drive.name()+" keeps for itself when on", "up to "+show(v.Lo-need)+" V")
			return
		}
		drop = *d.OnDrop
		words += fmt.Sprintf(" - %s V in the output", show(drop))
	}
	w := j.wire(s.t, v.Lo-drop-need)
	if w.unknown != "" {
		if v.Lo-drop < need {
			w.drop = 0 // fails whatever the wire is
		} else {
			j.unknown("under-voltage", i, w.unknown, w.would)
			return
		}
	}
	if w.drop > 0 {
		words += fmt.Sprintf(" - %s V in the wire", show(w.drop))
	}
	arrives := v.Lo - drop - w.drop
	fix := "raise the voltage at the source, or use a device that works at a lower one"
	j.hold(limit{code: "under-voltage", place: i, value: model.Exactly(arrives), relation: ">=", limit: need, unit: "V", source: cite, fix: fix,
		text: fmt.Sprintf("%s = %s V reach %s, which needs %s V", words, show(arrives), a.name(), show(need))})
	j.tellWire(i, w)
}

// askOverVoltage: the highest voltage of the source is within what the input
// may be given.
func (j *joint) askOverVoltage() {
	s := j.source()
	if s == nil || !isSource(s.t) || j.c.Purpose == "mains" {
		return
	}
	v, known := delivered(s.t)
	for i, a := range j.accepts {
		if !isLoad(a.t.Nature) || j.natureFails(i) {
			continue
		}
		may, ok := j.accepted(a.t)
		switch {
		case !known:
			would := ""
			if ok {
				would = "up to " + show(may.Hi) + " V"
			}
			j.unknown("over-voltage", j.sourcePlace(), "the voltage of "+s.name(), would)
		case !ok:
			j.unknown("over-voltage", i, "the highest voltage that "+a.name()+" may be given", "at least "+show(v.Hi)+" V")
		default:
			j.hold(limit{code: "over-voltage", place: i, value: model.Exactly(v.Hi), relation: "<=", limit: may.Hi, unit: "V", source: a.t.Source,
				text: fmt.Sprintf("%s gives up to %s V (%s); %s may be given %s V", s.name(), show(v.Hi), how(s.t), a.name(), show(may.Hi)),
				fix:  fmt.Sprintf("use a supply of at most %s V, or a relay with a coil for %s V between", show(may.Hi), show(s.t.Volts.Mid()))})
		}
	}
}

// mainsHertz is the frequency taken for what a capacitor lets through: 60 Hz
// is the worse of the two in use.
const mainsHertz = 60

// Reactance is the reactance of a capacitor in ohm: 1/(2 pi f C).
func Reactance(farad, hertz float64) float64 { return 1 / (2 * math.Pi * hertz * farad) }

// SnubberVolts is the voltage that a snubber capacitor leaves on a resistive
// input when the output is off: the complex divider V R / |R - jX|.
func SnubberVolts(volts, farad, hertz, ohm float64) float64 {
	return volts * ohm / math.Hypot(ohm, Reactance(farad, hertz))
}

// askStaysOn: with the driver off, what it lets through leaves the input off.
func (j *joint) askStaysOn() {
	d := j.drive.t
	if d.Nature == model.SupplyOut || d.Nature == model.Pulse {
		return
	}
	if d.Nature == model.Contact {
		j.cableLeak()
		return
	}
	s := j.source()
	for i, a := range j.accepts {
		if j.natureFails(i) {
			continue
		}
		switch {
		case a.t.Nature == model.ContactSense && d.Nature == model.Transistor:
			j.openEnough(i)
		case isLoad(a.t.Nature) && s != nil && isSource(s.t):
			if v, ok := delivered(s.t); ok {
				j.off(i, v.Hi)
			}
		}
	}
}

// cableFarad is the capacitance of control cable, F per ft: 30 pF/ft, common
// practice, from memory.
const cableFarad = 30e-12

// CableLeak is the current in A that the capacitance of a run lets through past
// an open contact: 2 pi f C V.
func CableLeak(lengthFt, volts, hertz float64) float64 {
	return volts / Reactance(cableFarad*lengthFt, hertz)
}

// cableLeak: an open contact lets nothing through, but a long AC run does.
func (j *joint) cableLeak() {
	s := j.source()
	if s == nil || !isSource(s.t) {
		return
	}
	v, ok := delivered(s.t)
	w := j.conductor()
	for i, a := range j.accepts {
		if a.t.Nature != model.VoltageSense || j.natureFails(i) {
			continue
		}
		most := math.NaN()
		if c, found := j.lib.Ratings.Inputs[a.t.InputClass]; found {
			most = c.TransitionA
		} else if a.t.Off != nil && a.t.Off.Amps != nil {
			most = *a.t.Off.Amps
		}
		if !ok || s.t.Current != "ac" || math.IsNaN(w.length) || w.length == 0 || math.IsNaN(most) {
			j.tell("stays-on", model.Pass, i, "an open contact lets nothing through", "", "")
			continue
		}
		leak := CableLeak(w.length, v.Hi, mainsHertz)
		longest := most / CableLeak(1, v.Hi, mainsHertz)
		j.hold(limit{code: "stays-on", place: i, value: model.Exactly(leak), relation: "<=", limit: most, unit: "A", source: a.t.Source, broken: model.Caution,
			text: fmt.Sprintf("past the open contact the cable itself lets %s through: 2 pi x %d Hz x 30 pF/ft x %s ft x %s V; %s stays off up to %s, which is %s ft", milli(leak), mainsHertz, show(w.length), show(v.Hi), a.name(), milli(most), show(math.Floor(longest))),
			fix:  "shorten the run, use DC, or put a relay at the near end"})
	}
}

// openEnough: a transistor's leakage is under what a dry input takes for open.
func (j *joint) openEnough(i int) {
	a, d := j.accepts[i], j.drive.t
	switch {
	case d.Leakage == nil:
		j.unknown("stays-on", atDrive, "the current that "+j.drive.name()+" lets through when off", "")
	case a.t.Off == nil || a.t.Off.Amps == nil:
		j.unknown("stays-on", i, "the current up to which "+a.name()+" reads open", "at least "+milli(*d.Leakage))
	default:
		j.hold(limit{code: "stays-on", place: i, value: model.Exactly(*d.Leakage), relation: "<=", limit: *a.t.Off.Amps, unit: "A", source: a.t.Source,
			text: fmt.Sprintf("off, %s lets %s through; %s reads open up to %s", j.drive.name(), milli(*d.Leakage), a.name(), milli(*a.t.Off.Amps)),
			fix:  "use a relay contact"})
	}
}

// off compares what a driver lets through when off with what leaves the load off.
func (j *joint) off(i int, volts float64) {
	a, d := j.accepts[i], j.drive.t
	if d.Nature == model.VoltageOut && d.OffVolts != nil {
		j.offVolts(i, *d.OffVolts, fmt.Sprintf("off, %s still shows %s V", j.drive.name(), show(*d.OffVolts)))
		return
	}
	if d.Leakage == nil && d.Snubber == nil {
		j.unknown("stays-on", atDrive, "what "+j.drive.name()+" lets through when off (leakage, or its snubber's capacitance)", j.offWould(a.t))
		return
	}
	leak, words := 0.0, ""
	if d.Leakage != nil {
		leak, words = *d.Leakage, milli(*d.Leakage)
	}
	if d.Snubber != nil {
		if l := volts / Reactance(*d.Snubber, mainsHertz); l > leak {
			leak = l
			words = fmt.Sprintf("2 pi x %d Hz x %s nF x %s V = %s", mainsHertz, show(*d.Snubber*1e9), show(volts), milli(l))
		}
	}
	if c, ok := j.lib.Ratings.Inputs[a.t.InputClass]; ok && (a.t.Off == nil || a.t.Impedance == nil) && a.t.Beside == nil {
		j.hold(limit{code: "stays-on", place: i, value: model.Exactly(leak), relation: "<=", limit: c.TransitionA, unit: "A", source: c.Source,
			text: fmt.Sprintf("off, %s lets %s through; an input of type %d stays off up to %s", j.drive.name(), words, c.Type, milli(c.TransitionA)), fix: bleederAdvice})
		return
	}
	load := a.t.Impedance
	if load == nil {
		alone := *a.t
		alone.Beside = nil
		if run := j.taken(&alone, j.source().t).run; run > 0 && a.t.Nature != model.VoltageSense {
			z := j.source().t.Volts.Mid() / run
			load = model.Span(z, z)
		}
	}
	if a.t.Beside != nil && load != nil {
		load = model.Span(parallel(load.Lo, a.t.Beside.Lo), parallel(load.Hi, a.t.Beside.Hi))
	} else if a.t.Beside != nil {
		load = a.t.Beside
	}
	switch {
	case leak == 0:
		j.offVolts(i, 0, fmt.Sprintf("off, %s lets nothing through", j.drive.name()))
	case load == nil:
		j.unknown("stays-on", i, "the input resistance of "+a.name(), "")
	default:
		left := math.Min(volts, leak*load.Hi)
		how := fmt.Sprintf("off, %s x %s ohm leave %s V", words, show(load.Hi), show(left))
		if d.Snubber != nil && (d.Leakage == nil || *d.Leakage < leak) {
			left = SnubberVolts(volts, *d.Snubber, mainsHertz, load.Hi)
			how = fmt.Sprintf("off, the snubber of %s nF (%s ohm at %d Hz) against %s ohm leaves %s V of %s V",
				show(*d.Snubber*1e9), show(Reactance(*d.Snubber, mainsHertz)), mainsHertz, show(load.Hi), show(left), show(volts))
		}
		j.offVolts(i, left, how)
	}
}

const bleederAdvice = "put a resistor across the input, use a relay output, or a relay between"

// offWould says what leakage would pass.
func (j *joint) offWould(t *model.Terminal) string {
	if c, ok := j.lib.Ratings.Inputs[t.InputClass]; ok {
		return "up to " + milli(c.TransitionA)
	}
	if t.Off != nil && t.Impedance != nil && t.Impedance.Hi > 0 {
		return "up to " + milli(t.Off.Volts/t.Impedance.Hi)
	}
	return ""
}

// offVolts compares the voltage left with the guaranteed OFF threshold.
func (j *joint) offVolts(i int, left float64, words string) {
	a := j.accepts[i]
	threshold, cite := math.NaN(), a.t.Source
	if a.t.Off != nil {
		threshold = a.t.Off.Volts
	} else if c, ok := j.lib.Ratings.Inputs[a.t.InputClass]; ok {
		threshold, cite = c.OffMax, c.Source
	}
	if math.IsNaN(threshold) {
		if left == 0 {
			j.tell("stays-on", model.Pass, i, words, "", "")
			return
		}
		j.unknown("stays-on", i, "the voltage at which "+a.name()+" is sure to let go", "at least "+show(left)+" V")
		return
	}
	j.hold(limit{code: "stays-on", place: i, value: model.Exactly(left), relation: "<=", limit: threshold, unit: "V", source: cite,
		text: fmt.Sprintf("%s; %s is sure to be off up to %s V", words, a.name(), show(threshold)), fix: bleederAdvice})
}
