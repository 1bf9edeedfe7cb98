package intake

import (
	"math"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// doubt holds one machine's figures against handbooks and against each other.
// It questions and never corrects.
type doubt struct {
	lib *library.Library
	say *says
	e   *model.Equipment
}

// plausible questions every machine in scope.
func (r *reader) plausible(list []model.Equipment, say *says) {
	for i := range list {
		if list[i].OutOfScope != "" {
			continue
		}
		d := doubt{r.lib, say, &list[i]}
		d.airflow()
		d.fanPower()
		d.motorSize()
		d.motorCurrent()
		d.serviceVoltage()
		d.contradictions()
	}
}

func (d doubt) limit(id string) float64 { return d.lib.Plausible.Limits[id] }

// ask adds a question about the machine, with its figures.
func (d doubt) ask(severity finding.Severity, code string, where *model.Where, source, fix string, numbers []finding.Number, format string, args ...any) {
	if where == nil {
		where = d.e.Where
	}
	f := d.say.add(severity, code, d.e.Tag, where, fix, format, args...)
	f.Numbers, f.Source = numbers, source
}

// airflow questions flows that no fan with a tag has.
func (d doubt) airflow() {
	g := d.e.Ratings
	flow, ok := figureIn(g.Airflow, "cfm")
	low, high := d.limit("airflow-low"), d.limit("airflow-high")
	if !ok || flow >= low && flow <= high {
		return
	}
	d.ask(finding.Caution, "odd-airflow", g.Airflow.Where, d.lib.Plausible.Source["airflow-low"], "check the figure, its unit and its column", []finding.Number{{Name: "airflow", Value: round(flow), Unit: "cfm"}},
		"an airflow of %s is none that such a fan has (%s to %s cfm)", shown(g.Airflow), model.Figure(low), model.Figure(high))
}

// unducted are machines whose airflow meets no pressure worth the name.
var unducted = []string{"high-volume-fan", "destratification-fan"}

// airPower returns air power and motor power in hp and the efficiency that they
// imply; false where a figure is missing or the machine is none for this sum.
func (d doubt) airPower() (air, motor, share float64, ok bool) {
	g := d.e.Ratings
	flow, okF := figureIn(g.Airflow, "cfm")
	pressure, okP := figureIn(g.Pressure, "in.wc")
	motor, okM := figureIn(g.Power, "hp")
	if !okF || !okP || !okM || pressure <= 0 || motor <= 0 || slices.Contains(unducted, d.e.Kind) {
		return 0, 0, 0, false
	}
	air = flow * pressure / d.limit("air-power")
	return air, motor, air / motor, true
}

// fanPower: flow times pressure against motor power. Source: air power of
// the ASHRAE Handbook; the limits are common practice.
func (d doubt) fanPower() {
	g := d.e.Ratings
	if shaft, ok := figureIn(g.ShaftPower, "hp"); ok {
		if motor, ok := figureIn(g.Power, "hp"); ok && shaft > motor*1.0001 {
			d.ask(finding.Caution, "shaft-power", g.ShaftPower.Where, "", "check both; the motor must not be smaller than what the fan takes",
				[]finding.Number{{Name: "shaft power", Value: shaft, Unit: "hp"}, {Name: "motor power", Value: motor, Unit: "hp"}},
				"the shaft takes %s hp, more than the motor's %s hp", model.Figure(shaft), model.Figure(motor))
		}
	}
	air, motor, share, ok := d.airPower()
	if !ok {
		return
	}
	used := map[string]string{"total": "total pressure", "static": "static pressure", "external-static": "external static pressure"}[g.PressureKind]
	sum := []finding.Number{{Name: "air power", Value: round(air), Unit: "hp"}, {Name: "motor power", Value: motor, Unit: "hp"}, {Name: "efficiency", Value: round(share), Unit: "1"}}
	const arithmetic = "%s at %s (%s) is %s hp of air power, %s of the motor's %s hp"
	words := []any{shown(g.Airflow), shown(g.Pressure), used, model.Figure(round(air)), percent(share), model.Figure(motor)}
	switch {
	case d.lostFraction(share, motor, sum):
	case share > d.limit("efficiency-high"):
		d.ask(finding.Caution, "fan-power", g.Power.Where, d.lib.Plausible.Source["air-power"], "check airflow, pressure and motor size: no fan is that good", sum, arithmetic+", more than %s", append(words, percent(d.limit("efficiency-high")))...)
	case share < d.limit("efficiency-low") && motor >= d.limit("efficiency-low-from"):
		d.ask(finding.Caution, "fan-power", g.Power.Where, d.lib.Plausible.Source["air-power"], "check airflow, pressure and motor size: the motor is far too large, or a fraction was lost", sum, arithmetic+", less than %s", append(words, percent(d.limit("efficiency-low")))...)
	}
}

// lostFractions are whole numbers that a spreadsheet or a scan makes of a
// fraction: 12 of 1/2.
var lostFractions = map[float64]struct {
	text string
	hp   float64
}{12: {"1/2", 0.5}, 13: {"1/3", 1.0 / 3}, 14: {"1/4", 0.25}, 16: {"1/6", 1.0 / 6}, 18: {"1/8", 0.125}, 34: {"3/4", 0.75}, 112: {"1-1/2", 1.5}, 110: {"1/10", 0.1}, 115: {"1/15", 1.0 / 15}, 120: {"1/20", 0.05}, 712: {"7-1/2", 7.5}}

// lostFraction asks whether 12 hp was meant to be 1/2: the motor as written
// turns next to nothing into air power and the fraction a sensible share.
func (d doubt) lostFraction(share, motor float64, numbers []finding.Number) bool {
	lost, known := lostFractions[motor]
	if !known || d.e.Ratings.Power.Unit != "hp" || share >= d.limit("lost-fraction-low") {
		return false
	}
	better := share * motor / lost.hp
	if better < d.limit("lost-fraction-good")/2 || better > d.limit("efficiency-high") {
		return false
	}
	d.ask(finding.Caution, "lost-fraction", d.e.Ratings.Power.Where, d.lib.Plausible.Source["air-power"], "write "+lost.text+" if that is meant", numbers,
		"%s hp turns %s into air power; %s hp would turn %s: the stroke of a fraction may be lost", model.Figure(motor), percent(share), lost.text, percent(better))
	return true
}

// motorSize: sizes that are not made, single-phase motors of 10 hp,
// three-phase ones below 1/2 hp.
func (d doubt) motorSize() {
	g := d.e.Ratings
	hp, ok := figureIn(g.Power, "hp")
	if !ok {
		return
	}
	numbers := []finding.Number{{Name: "motor power", Value: round(hp), Unit: "hp"}}
	if g.Service != nil && g.MotorType != "ec" {
		switch {
		case g.Service.Phases == 1 && hp >= d.limit("single-phase-from"):
			d.ask(finding.Caution, "motor-size", g.Power.Where, d.lib.Plausible.Source["single-phase-from"], "check power and phases", numbers, "a single-phase motor of %s hp: motors that large are three-phase", model.Figure(hp))
		case g.Service.Phases == 3 && hp < d.limit("three-phase-from"):
			d.ask(finding.Caution, "motor-size", g.Power.Where, d.lib.Plausible.Source["three-phase-from"], "check power and phases", numbers, "a three-phase motor of %s: motors below 1/2 hp are single-phase or EC", shown(g.Power))
		}
	}
	if g.Power.Unit != "hp" || hp < 1 || slices.ContainsFunc(d.lib.Plausible.Sizes, func(size float64) bool { return math.Abs(size-hp) < 1e-9 }) {
		return
	}
	near := d.lib.Plausible.Sizes[0]
	for _, size := range d.lib.Plausible.Sizes {
		if math.Abs(size-hp) < math.Abs(near-hp) {
			near = size
		}
	}
	d.ask(finding.Note, "motor-size", g.Power.Where, "NEMA MG 1, table 10-4 (from memory)", "check whether it is the nameplate or the shaft power", numbers, "%s hp is no size in which motors are made; the nearest is %s hp", model.Figure(hp), model.Figure(near))
}

// tableVolts is the column of the NEC tables for a voltage; 0 none. The tables
// hold for 110-120, 220-240, 440-480 and 550-600 V systems.
func tableVolts(v float64) float64 {
	switch {
	case v >= 110 && v <= 120:
		return 115
	case v == 200 || v == 208:
		return v
	case v >= 220 && v <= 240:
		return 230
	case v >= 440 && v <= 480:
		return 460
	case v >= 550 && v <= 600:
		return 575
	}
	return 0
}

// motorCurrent: the full-load current against NEC tables 430.248 and 430.250,
// or, where these have no row, against what the power needs at least.
func (d doubt) motorCurrent() {
	g := d.e.Ratings
	amps, okA := figureIn(g.Current, "A")
	hp, okP := figureIn(g.Power, "hp")
	if !okA || !okP || g.Service == nil || len(g.Service.Volts) != 1 || g.Service.Phases == 0 || g.MotorType == "ec" {
		return
	}
	volts := g.Service.Volts[0].Mid()
	kind := map[int]string{1: "1", 3: "3"}[g.Service.Phases]
	expected, listed := d.lib.Ratings.FullLoad(kind, hp, tableVolts(volts))
	if !listed {
		d.leastCurrent(amps, volts, g.Service.Phases)
		return
	}
	table := map[string]string{"1": "NEC table 430.248", "3": "NEC table 430.250"}[kind]
	numbers := []finding.Number{{Name: "current", Value: amps, Unit: "A"}, {Name: "table", Value: expected, Unit: "A"}}
	ratio := amps / expected
	other, off := d.lib.Ratings.PhaseOf(hp, tableVolts(volts), amps)
	switch {
	case other != "" && other != kind && off <= d.limit("phase-near"):
		d.ask(finding.Caution, "motor-current", g.Current.Where, table, "check the number of phases", numbers, "%s A is the current of a %s-phase motor of %s at %s V; the list says %s-phase, which takes %s A", model.Figure(amps), other, shown(g.Power), model.Figure(volts), kind, model.Figure(expected))
	case ratio > d.limit("current-high") || ratio < d.limit("current-low"):
		d.ask(finding.Caution, "motor-current", g.Current.Where, table, "check power, voltage, phases and current", numbers, "%s A is %s of the %s A that a %s motor takes at %s V, %d-phase", model.Figure(amps), percent(ratio), model.Figure(expected), shown(g.Power), model.Figure(volts), g.Service.Phases)
	}
}

// leastCurrent: a motor cannot give more power than its volt-amperes.
func (d doubt) leastCurrent(amps, volts float64, phases int) {
	watts, ok := figureIn(d.e.Ratings.Power, "W")
	if !ok {
		return
	}
	va := volts * amps
	if phases == 3 {
		va *= math.Sqrt(3)
	}
	if watts > va*d.limit("power-factor-high") && va > 0 {
		d.ask(finding.Caution, "motor-current", d.e.Ratings.Current.Where, "arithmetic", "check power, voltage and current", []finding.Number{{Name: "motor power", Value: round(watts), Unit: "W"}, {Name: "input", Value: round(va), Unit: "VA"}},
			"%s A at %s V is %s VA, less than the motor's %s W", model.Figure(amps), model.Figure(volts), model.Figure(round(va)), model.Figure(round(watts)))
	}
}

func shown(q *model.Quantity) string {
	return model.Interval{Lo: round(q.Value.Lo), Hi: round(q.Value.Hi)}.String() + " " + q.Unit
}

func percent(share float64) string { return model.Figure(math.Round(share*1000)/10) + " %" }

// round keeps four significant figures, so that arithmetic prints like a hand calculation.
func round(v float64) float64 {
	if v == 0 {
		return 0
	}
	k := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*k) / k
}

// fieldText is a field of the machine as typed, "" none.
func (d doubt) fieldText(field string) string { return strings.TrimSpace(d.e.Fields[field].Text) }
