package circuit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tallywire/model"
)

// askRange: driver and input agree on what 0 and 100 % are; if not, what
// arrives is shown.
func (j *joint) askRange() {
	d := j.drive.t
	if d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent {
		return
	}
	unit := unitOf(d)
	for i, a := range j.accepts {
		if a.t.Nature != d.Nature || j.natureFails(i) {
			continue
		}
		out, in := settings(d), settings(a.t)
		switch {
		case len(out) == 0:
			j.unknown("range", atDrive, "the signal range of "+j.drive.name(), firstRange(in, unit))
			continue
		case len(in) == 0:
			j.unknown("range", i, "the signal range of "+a.name(), firstRange(out, unit))
			continue
		}
		if r, ok := commonRange(out, in); ok {
			text := fmt.Sprintf("both ends are %s %s for 0 to 100 %%", span(r), unit)
			if len(out) > 1 || len(in) > 1 {
				text += "; set them so"
			}
			j.tell("range", model.Pass, i, text, "", "")
			continue
		}
		o, n := out[0], in[0]
		a := j.tell("range", model.Fault, i, fmt.Sprintf("%s gives %s %s, %s reads %s %s: %s", j.drive.name(), span(o), unit, a.name(), span(n), unit, Mapping(o, n)),
			a.t.Source, fmt.Sprintf("set both ends to the same range (%s %s), or scale the output", span(n), unit))
		a.Value, a.Limit, a.Relation, a.Unit = &o, &n, "equals", unit
	}
}

func unitOf(t *model.Terminal) string {
	if t.Nature == model.AnalogCurrent {
		return "mA"
	}
	return "V"
}

// settings are the ranges a terminal can have: the one it is set to first. A
// terminal set to a range and configurable can be set to any of them.
func settings(t *model.Terminal) []model.Interval {
	var out []model.Interval
	if t.Range != nil {
		out = append(out, *t.Range)
	}
	for _, r := range t.Ranges {
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

func firstRange(list []model.Interval, unit string) string {
	if len(list) == 0 {
		return ""
	}
	return span(list[0]) + " " + unit
}

func commonRange(a, b []model.Interval) (model.Interval, bool) {
	for _, x := range a {
		if slices.Contains(b, x) {
			return x, true
		}
	}
	return model.Interval{}, false
}

// Arrives is what a command in % is read as at the other end, in %, when the
// driver's range is out and the input's is in, both in one unit. An input reads
// nothing below 0 % and nothing above 100 %.
func Arrives(out, in model.Interval, command float64) float64 {
	signal := out.Lo + (out.Hi-out.Lo)*command/100
	read := (signal - in.Lo) / (in.Hi - in.Lo) * 100
	return math.Min(100, math.Max(0, read))
}

// Mapping says what 0, 25, 50, 75 and 100 % arrive as.
func Mapping(out, in model.Interval) string {
	var parts []string
	for _, c := range []float64{0, 25, 50, 75, 100} {
		parts = append(parts, fmt.Sprintf("%s %% arrives as %s %%", show(c), show(math.Round(Arrives(out, in, c)*10)/10)))
	}
	return strings.Join(parts, ", ")
}

// stopMargin is how far under the run threshold the lowest output has to be:
// 5 % of the span, common practice.
const stopMargin = 0.05

// askNoStop: the driver's lowest output is under the input's run threshold, so
// that the speed signal alone can stop the fan.
func (j *joint) askNoStop() {
	d := j.drive.t
	if d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent {
		return
	}
	for i, a := range j.accepts {
		if a.t.Nature != d.Nature || a.t.RunThreshold == nil || d.Range == nil || j.natureFails(i) {
			continue
		}
		lowest, unit := d.Range.Lo, unitOf(d)
		if r, ok := commonRange(settings(d), settings(a.t)); ok {
			lowest = r.Lo
		}
		stop := *a.t.RunThreshold - stopMargin*(d.Range.Hi-d.Range.Lo)
		if lowest > stop && j.started {
			j.startStops(i, lowest, unit)
			continue
		}
		j.hold(limit{code: "no-stop", place: i, value: model.Exactly(lowest), relation: "<=", limit: stop, unit: unit, source: a.t.Source,
			text: fmt.Sprintf("the lowest output is %s %s; %s runs from %s %s, less 5 %% of the span leaves %s %s", show(lowest), unit, a.name(), show(*a.t.RunThreshold), unit, show(stop), unit),
			fix:  fmt.Sprintf("use an output that goes down to %s %s, or add a separate start circuit", show(math.Max(0, math.Floor(stop))), unit)})
	}
}

// startStops: the speed signal cannot stop the fan, but a start circuit may.
func (j *joint) startStops(i int, lowest float64, unit string) {
	logic := ""
	if j.logic != nil {
		logic = j.logic.StartLogic
	}
	words := fmt.Sprintf("the lowest output of %s %s does not stop the fan", show(lowest), unit)
	switch logic {
	case "gates-speed":
		j.tell("no-stop", model.Pass, i, words+"; the start circuit does, for running needs both", j.logic.Source, "")
	case "or":
		j.tell("no-stop", model.Fault, i, words+", and neither does the start circuit: either of them runs it", j.logic.Source, "use an output range that goes down to zero")
	default:
		j.unknown("no-stop", i, "how start and speed combine at "+j.accepts[i].name(), "start gates speed")
	}
}

// askOutputOverload: the sum of what hangs on an output is within its current.
func (j *joint) askOutputOverload() {
	d := j.drive.t
	switch d.Nature {
	case model.AnalogVoltage:
		j.analogLoad()
	case model.VoltageOut:
		j.wetLoad()
	}
}

// analogLoad adds up the inputs on an analog voltage output, those of other
// circuits on the same terminal included.
func (j *joint) analogLoad() {
	d := j.drive.t
	top, ok := topOf(d)
	if !ok {
		return // range has said so
	}
	sum, n := 0.0, 0
	words := []string{}
	all := slices.Concat(j.accepts, j.parallel)
	for i, a := range all {
		if i < len(j.accepts) && j.natureFails(i) && a.t.Nature != model.AnalogCurrent {
			return
		}
		ohm := a.t.Impedance
		if a.t.Nature == model.AnalogCurrent {
			ohm = a.t.Burden
		}
		if ohm == nil || ohm.Lo <= 0 {
			j.unknown("output-overload", min(i, len(j.accepts)-1), "the input resistance of "+a.name(), "")
			return
		}
		sum += top / ohm.Lo
		n++
		words = append(words, fmt.Sprintf("%s V / %s ohm", show(top), show(ohm.Lo)))
	}
	text := strings.Join(words, " + ")
	if n > 3 && len(slices.Compact(slices.Clone(words))) == 1 {
		text = fmt.Sprintf("%d x %s", n, words[0])
	}
	if d.MaxCurrent == nil {
		j.unknown("output-overload", atDrive, "the current that "+j.drive.name()+" can give", "at least "+milli(sum))
		return
	}
	j.hold(limit{code: "output-overload", place: atDrive, value: model.Exactly(sum), relation: "<=", limit: *d.MaxCurrent, unit: "A", source: d.Source,
		text: fmt.Sprintf("%s = %s; %s gives %s", text, milli(sum), j.drive.name(), milli(*d.MaxCurrent)),
		fix:  "drive fewer inputs, put a signal repeater between, or use an output of its own for each"})
}

// topOf is the highest voltage of an analog output.
func topOf(t *model.Terminal) (float64, bool) {
	top, ok := 0.0, false
	for _, r := range settings(t) {
		top, ok = math.Max(top, r.Hi), true
	}
	return top, ok
}

// wetLoad adds up what a powered output has to feed.
func (j *joint) wetLoad() {
	d := j.drive.t
	sum, missing := 0.0, -1
	words := []string{}
	all := slices.Concat(j.accepts, j.parallel)
	for i, a := range all {
		if !isLoad(a.t.Nature) {
			return
		}
		t := j.taken(a.t, d)
		if math.IsNaN(t.run) {
			missing = min(i, len(j.accepts)-1)
			break
		}
		sum += t.run
		words = append(words, t.words)
	}
	most, ok := mostAmps(d)
	switch {
	case missing >= 0:
		would := ""
		if ok {
			would = "up to " + milli(most-sum)
		}
		j.unknown("output-overload", missing, "the current of "+j.accepts[missing].name(), would)
	case !ok:
		j.unknown("output-overload", atDrive, "the current that "+j.drive.name()+" can give", "at least "+milli(sum))
	default:
		j.hold(limit{code: "output-overload", place: atDrive, value: model.Exactly(sum), relation: "<=", limit: most, unit: "A", source: d.Source,
			text: fmt.Sprintf("%s = %s; %s gives %s", strings.Join(words, " + "), milli(sum), j.drive.name(), milli(most)),
			fix:  "put a relay between, fed from its own supply"})
	}
}

// mostAmps is the current an output or supply can give: the least of what is
// stated of it.
func mostAmps(t *model.Terminal) (float64, bool) {
	if t.MaxCurrent != nil {
		return *t.MaxCurrent, true
	}
	most := math.Inf(1)
	if t.MaxAmps != nil {
		most = *t.MaxAmps
	}
	if t.Capacity != nil && t.Volts != nil && t.Volts.Mid() > 0 {
		most = min(most, *t.Capacity/t.Volts.Mid())
	}
	return most, !math.IsInf(most, 1)
}

// loadingLimit is the largest error taken as harmless: 1 % of the signal,
// common practice.
const loadingLimit = 0.01

// askLoadingError: the source's resistance and the wire against the inputs in
// parallel. An output whose current is stated holds its voltage up to it.
func (j *joint) askLoadingError() {
	d := j.drive.t
	if d.Nature != model.AnalogVoltage {
		return
	}
	conductance := 0.0
	for i, a := range slices.Concat(j.accepts, j.parallel) {
		if a.t.Nature != model.AnalogVoltage || a.t.Impedance == nil || a.t.Impedance.Lo <= 0 || i < len(j.accepts) && j.natureFails(i) {
			return // asked by nature and output-overload
		}
		conductance += 1 / a.t.Impedance.Lo
	}
	source := 0.0
	switch {
	case d.SourceOhm != nil:
		source = *d.SourceOhm
	case d.MaxCurrent == nil:
		return // output-overload has asked
	}
	wire := 0.0
	if r, ok := j.loopOhm(); ok {
		wire = r
	}
	in := 1 / conductance
	e := (source + wire) / (source + wire + in)
	j.hold(limit{code: "loading-error", place: atDrive, value: model.Exactly(e * 100), relation: "<=", limit: loadingLimit * 100, unit: "%", source: "common practice", broken: model.Caution,
		text: fmt.Sprintf("(%s ohm source + %s ohm wire) / (the same + %s ohm input) = %s %% lost", show(source), show(wire), show(in), show(e*100)),
		fix:  "use a heavier or shorter wire, an input of higher resistance, or a 4-20 mA signal"})
}

// failHigh is the highest current a loop has to reach, A: NAMUR NE 43.
const failHigh = 0.021

// askBurden: the resistance of a current loop is within what drives it, and
// exactly one device gives it power.
func (j *joint) askBurden() {
	d := j.drive.t
	if d.Nature != model.AnalogCurrent {
		return
	}
	burden, words := 0.0, []string{}
	var powers []side
	if d.LoopPower == "source" {
		powers = append(powers, j.drive)
	}
	for i, a := range j.accepts {
		if a.t.Nature != model.AnalogCurrent || j.natureFails(i) {
			return
		}
		if a.t.LoopPower == "source" {
			powers = append(powers, a)
		}
		if a.t.Burden == nil {
			j.unknown("burden", i, "the burden of "+a.name(), "")
			return
		}
		burden += a.t.Burden.Hi
		words = append(words, show(a.t.Burden.Hi)+" ohm")
	}
	if j.supply != nil {
		powers = append(powers, *j.supply)
	}
	if d.LoopPower == "" {
		j.unknown("burden", atDrive, "whether "+j.drive.name()+" powers the loop itself or needs it powered", "")
		return
	}
	if !j.onePower(powers) {
		return
	}
	if r, ok := j.loopOhm(); ok {
		burden += r
		words = append(words, show(r)+" ohm wire")
	}
	j.loop(powers[0], burden, strings.Join(words, " + "))
}

// onePower tells when a loop has no source of power, or two.
func (j *joint) onePower(powers []side) bool {
	switch len(powers) {
	case 1:
		return true
	case 0:
		j.tell("burden", model.Fault, atDrive, fmt.Sprintf("no source of loop power: %s needs it, and nothing in the loop gives it", j.drive.name()), "",
			"use an input that powers the loop, or add a 24 V DC loop supply")
	default:
		names := make([]string, len(powers))
		for i, p := range powers {
			names[i] = p.name()
		}
		j.tell("burden", model.Fault, atDrive, fmt.Sprintf("%d sources of loop power: %s; a loop has exactly one", len(powers), strings.Join(names, " and ")), "",
			"set the input to passive, or put an isolator between")
	}
	return false
}

// loop compares the burden with what the source of the loop can drive.
func (j *joint) loop(power side, burden float64, words string) {
	d := j.drive.t
	most, how := math.NaN(), ""
	switch {
	case d.LoopPower == "source":
		if d.MaxLoop == nil {
			j.unknown("burden", atDrive, "the loop resistance that "+j.drive.name()+" can drive", "at least "+show(burden)+" ohm")
			return
		}
		most, how = d.MaxLoop.Hi, fmt.Sprintf("%s drives up to %s ohm", j.drive.name(), show(d.MaxLoop.Hi))
	default:
		v := power.t.LoopVolts
		if v == nil {
			if given, ok := delivered(power.t); ok {
				v = &given
			}
		}
		if v == nil {
			j.unknown("burden", atDrive, "the loop voltage of "+power.name(), "")
			return
		}
		if d.LiftOff == nil {
			j.unknown("burden", atDrive, "the least voltage that "+j.drive.name()+" works at", "up to "+show(v.Lo-burden*failHigh)+" V")
			return
		}
		most = LoopOhm(v.Lo, *d.LiftOff, failHigh)
		how = fmt.Sprintf("(%s V - %s V) / %s mA = %s ohm", show(v.Lo), show(*d.LiftOff), show(failHigh*1000), show(most))
	}
	j.hold(limit{code: "burden", place: atDrive, value: model.Exactly(burden), relation: "<=", limit: most, unit: "ohm", source: d.Source,
		text: fmt.Sprintf("%s = %s ohm in the loop; %s", words, show(burden), how),
		fix:  "use fewer receivers in the loop, one of lower burden, or a signal isolator that drives the rest"})
}

// LoopOhm is the largest total resistance of a two-wire loop, ohm, for a
// supply and a device minimum in V and a highest current in A.
func LoopOhm(supply, minimum, highest float64) float64 { return (supply - minimum) / highest }
