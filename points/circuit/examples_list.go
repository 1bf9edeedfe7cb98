package circuit

import (
	"slices"

	"tallywire/model"
)

// Examples lists an example for every code of this pass.
func Examples() []Example {
	return slices.Concat(binaryExamples(), analogExamples(), networkExamples())
}

func binaryExamples() []Example {
	d := func() *drawn { return &drawn{} }
	silver, gold := contact(0.010, "B300", "R300"), contact(0.001, "B300", "R300")
	return []Example{
		{"nature", "a relay contact wired to a 0-10 V speed input", "a 0-10 V output wired to it",
			d().at("relay", gold).at("speed input", analogIn(1e5)).wire("relay", "", "speed input").Net,
			d().at("output", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").Net},
		{"wet-on-dry", "a powered 24 V AC output on a dry start input: 33.9 V peak on an input that wets itself with 12 V DC", "a dry relay contact on it",
			d().at("powered output", powered(24)).at("start", dryInput(12, 3000)).wire("powered output", "", "start").Net,
			d().at("relay", gold).at("start", dryInput(12, 3000)).wire("relay", "", "start").Net},
		{"needs-supply", "a dry relay contact on a 24 V coil, no supply named", "the same with the panel's 24 V AC named",
			d().at("relay", gold).at("coil", coil("ac", 24, 6, 12)).wire("relay", "", "coil").Net,
			d().at("relay", gold).at("coil", coil("ac", 24, 6, 12)).at("supply", acSupply(24, 40)).wire("relay", "supply", "coil").Net},
		{"ac-dc", "a triac output switching a 24 V DC coil", "a relay contact switching it",
			d().at("triac", triac()).at("coil", coil("dc", 24, 6, 6)).at("supply", dcSupply(24, 24)).wire("triac", "supply", "coil").Net,
			d().at("relay", gold).at("coil", coil("dc", 24, 6, 6)).at("supply", dcSupply(24, 24)).wire("relay", "supply", "coil").Net},
		{"under-voltage", "24 V DC at -15 % less 8 V in a two-wire sensor: 12.4 V on an input that needs 15 V", "a contact in its place: 20.4 V",
			d().at("sensor", twoWire()).at("input", classInput("iec61131-2/24vdc/1", "dc")).at("supply", dcSupply(20.4, 28.8)).wire("sensor", "supply", "input").Net,
			d().at("contact", gold).at("input", classInput("iec61131-2/24vdc/1", "dc")).at("supply", dcSupply(20.4, 28.8)).wire("contact", "supply", "input").Net},
		{"over-voltage", "120 V on a 24 V coil", "24 V on it",
			d().at("relay", gold).at("coil", coil("ac", 24, 6, 12)).at("supply", acSupply(120, 1000)).wire("relay", "supply", "coil").Net,
			d().at("relay", gold).at("coil", coil("ac", 24, 6, 12)).at("supply", acSupply(24, 40)).wire("relay", "supply", "coil").Net},
		{"stays-on", "a triac with a 100 nF snubber off, into a 24 V AC input of 10 kohm: 8.47 V, sure to be off up to 5 V", "a relay contact in its place lets nothing through",
			d().at("triac", triac()).at("input", acInput(10e3)).at("supply", acSupply(24, 40)).wire("triac", "supply", "input").Net,
			d().at("relay", gold).at("input", acInput(10e3)).at("supply", acSupply(24, 40)).wire("relay", "supply", "input").Net},
		{"contact-overload", "a 0.9 A, 48 V DC coil on an R300 contact: 28 VA / 48 V = 0.583 A", "the same contact on a 0.9 A, 24 V DC coil: 1 A",
			d().at("relay", contact(0.001, "R300")).at("coil", coil("dc", 48, 43.2, 43.2)).at("supply", dcSupply(48, 48)).wire("relay", "supply", "coil").Net,
			d().at("relay", contact(0.001, "R300")).at("coil", coil("dc", 24, 21.6, 21.6)).at("supply", dcSupply(24, 24)).wire("relay", "supply", "coil").Net},
		{"contact-underload", "a silver status contact (10 mA) on an input of 18 V behind 3 kohm: 6 mA", "a gold-plated one (1 mA) on it",
			d().at("status", silver).at("input", dryInput(18, 3000)).wire("status", "", "input").Net,
			d().at("status", gold).at("input", dryInput(18, 3000)).wire("status", "", "input").Net},
		{"holding-current", "a triac that needs 30 mA on a load of 10 mA", "on a 1 VA coil: 41.7 mA",
			d().at("triac", triac()).at("relay", coil("ac", 24, 0.24, 0.24)).at("supply", acSupply(24, 40)).wire("triac", "supply", "relay").Net,
			d().at("triac", triac()).at("relay", coil("ac", 24, 1, 1)).at("supply", acSupply(24, 40)).wire("triac", "supply", "relay").Net},
		{"conductor-drop", "30 VA over 250 ft of 18 AWG: 19.03 V of the 19.2 V it needs", "over 150 ft: 21.02 V",
			d().at("supply", acSupply(24, 100)).at("damper", load24(30)).wire("supply", "", "damper").last(long(250)).Net,
			d().at("supply", acSupply(24, 100)).at("damper", load24(30)).wire("supply", "", "damper").last(long(150)).Net},
		{"supply-overload", "40 VA of loads on a 40 VA transformer: 80 % may be used", "30 VA on it",
			d().at("supply", acSupply(24, 40)).at("damper", load24(40)).wire("supply", "", "damper").Net,
			d().at("supply", acSupply(24, 40)).at("damper", load24(30)).wire("supply", "", "damper").Net},
		{"class-2", "a 150 VA, 24 V transformer said to be Class 2: 100 VA at most", "a listed one of 75 VA",
			d().at("supply", acSupply(24, 150)).at("damper", load24(30)).wire("supply", "", "damper").Net,
			d().at("supply", acSupply(24, 75)).at("damper", load24(30)).wire("supply", "", "damper").Net},
		{"terminal-reuse", "two outputs wired to one speed input", "one",
			d().at("output", analogOut(0.01)).at("panel", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").wire("panel", "", "speed input").Net,
			d().at("output", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").Net},
		{"shared-contact", "one status contact read by the automation system and by a make-up air unit", "one pole for each",
			d().at("status", gold).at("input", dryInput(18, 3000)).at("unit", dryInput(24, 3000)).wire("status", "", "input").wire("status", "", "unit").Net,
			d().at("status", gold, gold).at("input", dryInput(18, 3000)).at("unit", dryInput(24, 3000)).wire("status", "", "input").wire("status:t2", "", "unit").Net},
		{"mains-range", "a 230 V motor on a 208 V service: 187 V at the point of use, 207 V needed", "a 200 V motor on it",
			d().at("service", service(208, 3)).at("motor", motor(230, 230, 3)).wire("service", "", "motor").last(mains).Net,
			d().at("service", service(208, 3)).at("motor", motor(200, 200, 3)).wire("service", "", "motor").last(mains).Net},
		{"phase", "a three-phase drive on a single-phase service", "on a three-phase one",
			d().at("service", service(208, 1)).at("drive", motor(200, 240, 3)).wire("service", "", "drive").last(mains).Net,
			d().at("service", service(208, 3)).at("drive", motor(200, 240, 3)).wire("service", "", "drive").last(mains).Net},
	}
}

func analogExamples() []Example {
	d := func() *drawn { return &drawn{} }
	live := analogOut(0.01)
	live.Range = model.Span(2, 10)
	runs := analogIn(1e5)
	runs.RunThreshold = ptr(2.0)
	alive := runs
	alive.Range = model.Span(2, 10)
	soft := analogOut(0.01)
	soft.SourceOhm = ptr(200.0)
	return []Example{
		{"range", "a 2-10 V output on a 0-10 V input: 0 % arrives as 20 %", "a 0-10 V output on it",
			d().at("output", live).at("speed input", analogIn(1e5)).wire("output", "", "speed input").Net,
			d().at("output", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").Net},
		{"no-stop", "an output that goes down to 2 V on an input that runs from 2 V", "one that goes down to 0 V",
			d().at("output", live).at("speed input", alive).wire("output", "", "speed input").Net,
			d().at("output", analogOut(0.01)).at("speed input", runs).wire("output", "", "speed input").Net},
		{"output-overload", "an output of 10 mA on three motors of 600 ohm each: 50 mA", "on three of 100 kohm each: 0.3 mA",
			d().at("output", analogOut(0.01)).at("a", analogIn(600)).at("b", analogIn(600)).at("c", analogIn(600)).wire("output", "", "a", "b", "c").Net,
			d().at("output", analogOut(0.01)).at("a", analogIn(1e5)).at("b", analogIn(1e5)).at("c", analogIn(1e5)).wire("output", "", "a", "b", "c").Net},
		{"loading-error", "a source of 200 ohm on an input of 10 kohm: 1.96 % lost", "on 100 kohm: 0.2 %",
			d().at("output", soft).at("speed input", analogIn(1e4)).wire("output", "", "speed input").Net,
			d().at("output", soft).at("speed input", analogIn(1e5)).wire("output", "", "speed input").Net},
		{"burden", "a two-wire transmitter that needs 10.8 V, three receivers of 250 ohm in its 23 V loop", "one receiver of 250 ohm",
			d().at("transmitter", transmitter("sink")).at("a", currentIn(250, "source")).at("b", currentIn(250, "none")).at("c", currentIn(250, "none")).wire("transmitter", "", "a", "b", "c").Net,
			d().at("transmitter", transmitter("sink")).at("a", currentIn(250, "source")).wire("transmitter", "", "a").Net},
	}
}

// twoWire is a two-wire DC sensor that keeps 8 V and leaks 1.5 mA.
func twoWire() model.Terminal {
	return model.Terminal{Nature: model.Transistor, Drives: true, Current: "dc", OnDrop: ptr(8.0), Leakage: ptr(0.0004),
		Ratings: []model.LoadRating{{Current: "dc", Volts: 30, Amps: 0.2}}}
}

// acInput is a 24 V AC input by its own thresholds.
func acInput(ohm float64) model.Terminal {
	return model.Terminal{Nature: model.VoltageSense, Current: "ac", Volts: model.Span(0, 28.8), Absolute: true, Impedance: model.Span(ohm, ohm),
		On: &model.Threshold{Volts: 14, Amps: ptr(0.002)}, Off: &model.Threshold{Volts: 5}}
}

// networkExamples are those of circuits together.
func networkExamples() []Example {
	d := func() *drawn { return &drawn{} }
	half, full := rectified("half-wave", false, false), rectified("full-wave", false, false)
	first, second := acSupply(24, 40), acSupply(24, 40)
	first.PhaseDeg, second.PhaseDeg = ptr(0.0), ptr(0.0)
	return []Example{
		{"common-short", "a half-wave controller and a full-wave device on one transformer, their signal commons joined", "the full-wave device on a transformer of its own",
			d().at("T1", first).at("controller", half...).at("drive", full...).wire("T1", "", "controller:power").wire("T1", "", "drive:power").wire("controller:out", "", "drive:in").Net,
			d().at("T1", first).at("T2", second).at("controller", half...).at("drive", full...).wire("T1", "", "controller:power").wire("T2", "", "drive:power").wire("controller:out", "", "drive:in").Net},
	}
}

// rectified is a device on 24 V AC whose signals share its DC common unless
// they are isolated.
func rectified(rectifier string, isolated bool, earthed bool) []model.Terminal {
	return []model.Terminal{
		{ID: "power", Nature: model.PowerIn, Current: "ac", Volts: model.Span(19.2, 28.8), Absolute: true, Common: "signal", Rectifier: rectifier,
			Running: &model.Load{VA: ptr(4.0)}, Inrush: &model.Load{VA: ptr(4.0)}, Earthed: &earthed},
		{ID: "in", Nature: model.AnalogVoltage, Current: "dc", Range: model.Span(0, 10), Volts: model.Span(0, 12), Absolute: true, Impedance: model.Span(1e5, 1e5), Common: "signal", Isolated: &isolated},
		{ID: "out", Nature: model.AnalogVoltage, Drives: true, Current: "dc", Range: model.Span(0, 10), MaxCurrent: ptr(0.01), Common: "signal", Isolated: &isolated},
	}
}
