package circuit

import (
	"fmt"
	"slices"

	"tallywire/model"
)

// Examples lists an example for every code of this pass.
func Examples() []Example {
	return slices.Concat(binaryExamples(), analogExamples(), networkExamples(), carriedExamples())
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
		{"earthing", "a 24 V secondary left unearthed, its primary 277 V to ground", "earthed", primary(277, false), primary(277, true)},
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
		{"common", "a shield earthed at both ends", "at the controller's end only",
			d().at("output", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").last(shield(2)).Net,
			d().at("output", analogOut(0.01)).at("speed input", analogIn(1e5)).wire("output", "", "speed input").last(shield(1)).Net},
		{"mixed-class", "a status pair in one cable with a 120 V coil circuit", "each in a cable of its own",
			twoCables(true), twoCables(false)},
		{"dissipation", "a bleeder of 750 ohm, 0.5 W across a 24 V coil: 0.77 W", "one of 2 W", bleeding(0.5), bleeding(2)},
		{"bus-load", "33 drives of one unit load on a trunk", "24 of one unit load and 20 of a quarter",
			trunk(33, 0), trunk(24, 20)},
	}
}

// carriedExamples are those of what a circuit carries.
func carriedExamples() []Example {
	gold := contact(0.001, "B300")
	trips := func(form string) model.Terminal { t := gold; t.Form, t.Follows = form, "trip"; return t }
	freeze := func(form string) Net {
		return (&drawn{}).at("freezestat", trips(form)).at("permit", dryInput(24, 3000)).wire("freezestat", "", "permit").last(func(c *model.Circuit) { c.Purpose = "interlock" }).Net
	}
	fault := func(polarity string) Net {
		t := trips("normally-open")
		t.Healthy = "energised"
		n := (&drawn{}).at("drive", t).at("input", dryInput(18, 3000)).wire("drive", "", "input").last(func(c *model.Circuit) { c.Point = "EF-1/drive-fault" }).Net
		n.Points = []model.Point{{Key: "EF-1/drive-fault", Role: "drive-fault", ObjectType: model.BinaryInput, ContactSense: "normally-open", Polarity: polarity}}
		return n
	}
	acts := func(action string) Net {
		out, in := analogOut(0.01), analogIn(1e5)
		out.Action, in.Action = "direct", action
		return (&drawn{}).at("output", out).at("speed input", in).wire("output", "", "speed input").Net
	}
	return []Example{
		{"fail-safe", "a freezestat contact that closes on frost, in the permit circuit", "one that opens on frost", freeze("normally-open"), freeze("normally-closed")},
		{"sense", "a fault relay that is energised while all is well, its input of normal polarity", "of reverse polarity", fault("normal"), fault("reverse")},
		{"action", "a direct-acting output on an input where 10 V is stop", "on a direct-acting input", acts("reverse"), acts("direct")},
		{"fail-value", "a garage fan that must run at full speed on a fault, its input at 0 % on a broken wire", "at 100 %", speedNet(change{lost: 0}), speedNet(change{lost: 100})},
		{"min-command", "a lowest command of 10 % = 1 V on a motor that turns from 2 V", "of 25 % = 2.5 V", speedNet(change{lost: 100, least: 10}), speedNet(change{lost: 100, least: 25})},
		{"two-minima", "20 % at least in the drive and 30 % in the automation system", "30 % in both", speedNet(change{lost: 100, least: 30, own: "20"}), speedNet(change{lost: 100, least: 30, own: "30"})},
		{"speed-limit", "a fan of 2100 rpm on a motor of 1750 rpm, the drive set to 60 Hz at most", "to 72 Hz", speedNet(change{lost: 100, least: 30, most: "60"}), speedNet(change{lost: 100, least: 30, most: "72"})},
		{"alarm-delay", "a damper of 90 s and a ramp of 30 s, the failure alarm after 60 s", "after 130 s", delayNet(60), delayNet(130)},
	}
}

// change is what varies between the speed examples.
type change struct {
	lost, least float64
	own, most   string
}

// speedNet is a garage fan's speed signal with the facts around it.
func speedNet(c change) Net {
	in := analogIn(1e5)
	in.RunThreshold, in.FailValue, in.Function = ptr(2.0), &c.lost, "speed-in"
	n := (&drawn{}).at("output", analogOut(0.01)).at("drive", in).wire("output", "", "drive").last(func(x *model.Circuit) { x.Point, x.Equipment = "EF-1/speed", "EF-1" }).Net
	n.Points = []model.Point{{Key: "EF-1/speed", Equipment: "EF-1", Role: model.RoleSpeed, FailState: "full"}}
	e := model.Equipment{Tag: "EF-1"}
	e.Ratings.Drive = "direct"
	e.Ratings.Speed = &model.Quantity{Value: model.Exactly(2100), Unit: "rpm"}
	if c.least > 0 {
		e.Ratings.MinSpeed = &model.Quantity{Value: model.Exactly(c.least), Unit: "%"}
	}
	n.Equipment = []model.Equipment{e}
	set := &n.Devices[1].Settings
	if c.own != "" {
		*set = append(*set, model.Parameter{Name: "min-speed", Value: c.own, Unit: "%"})
	}
	if c.most != "" {
		*set = append(*set, model.Parameter{Name: "max-frequency", Value: c.most, Unit: "Hz"}, model.Parameter{Name: "base-speed", Value: "1750", Unit: "rpm"})
	}
	return n
}

// delayNet is a start circuit whose alarm waits so many seconds.
func delayNet(seconds float64) Net {
	d := (&drawn{}).at("relay", contact(0.001, "B300")).at("drive", dryInput(24, 3000)).wire("relay", "", "drive").last(func(c *model.Circuit) { c.Purpose, c.Equipment = "start", "EF-1" })
	d.Devices[1].Spec.Logic = &model.CommandLogic{RampSeconds: ptr(30.0)}
	d.Equipment = []model.Equipment{{Tag: "EF-1", Damper: model.Damper{Stroke: &model.Quantity{Value: model.Exactly(90), Unit: "s"}}}}
	d.Alarms = []model.Alarm{{ID: "EF-1/failure", Equipment: "EF-1", Algorithm: "command-failure", DelaySeconds: seconds}}
	return d.Net
}

func shield(ends int) func(*model.Circuit) {
	return func(c *model.Circuit) { c.Conductor.Shielded, c.Conductor.ShieldEarths = true, &ends }
}

// twoCables is a status pair and a 120 V coil circuit, in one cable or in two.
func twoCables(together bool) Net {
	line := acSupply(120, 1000)
	line.ClassTwo = nil
	line.Capacity = nil
	n := (&drawn{}).at("status", contact(0.001)).at("input", dryInput(18, 3000)).at("relay", contact(0.001, "B300")).at("line", line).at("coil", coil("ac", 120, 25, 218)).
		wire("status", "", "input").wire("relay", "line", "coil").Net
	if together {
		n.Cables = []model.Cable{{ID: "C-1", Circuits: []string{"status to input", "relay to coil"}}}
	} else {
		n.Circuits = append(n.Circuits, n.Circuits[0])
		n.Circuits[2].ID, n.Circuits[2].Drive, n.Circuits[2].Accepts = "second status to input", named("second status"), []model.End{named("second input")}
		n.Devices = append(n.Devices, model.Device{ID: "second status", Spec: n.Devices[0].Spec}, model.Device{ID: "second input", Spec: n.Devices[1].Spec})
		n.Cables = []model.Cable{{ID: "C-1", Circuits: []string{"status to input", "second status to input"}}, {ID: "C-2", Circuits: []string{"relay to coil"}}}
	}
	return n
}

// trunk is a bus of full and of quarter unit loads; the controller is an eighth.
func trunk(full, quarter int) Net {
	bus := func(load float64, drives bool) model.Terminal {
		return model.Terminal{Nature: model.Bus, Drives: drives, Protocol: "BACnet MS/TP", UnitLoad: &load, Isolated: ptr(true)}
	}
	d := (&drawn{}).at("controller", bus(0.125, true))
	var ids []string
	for i := range full + quarter {
		load := 1.0
		if i >= full {
			load = 0.25
		}
		id := fmt.Sprintf("drive %d", i+1)
		d.at(id, bus(load, false))
		ids = append(ids, id)
	}
	return d.wire("controller", "", ids...).Net
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

// bleeding is a triac on a small coil with 750 ohm across it.
func bleeding(watts float64) Net {
	return (&drawn{}).at("triac", triac()).at("relay", coil("ac", 24, 0.24, 0.24)).at("supply", acSupply(24, 40)).wire("triac", "supply", "relay").
		last(func(c *model.Circuit) {
			c.Across = []model.Resistor{{At: named("relay"), Ohm: model.Exactly(750), Watts: &watts}}
		}).Net
}

// primary is a transformer whose primary stands that many volts to ground.
func primary(volts float64, earthed bool) Net {
	t := acSupply(24, 75)
	t.PrimaryToGround, t.Earthed = &volts, &earthed
	return (&drawn{}).at("supply", t).at("damper", load24(30)).wire("supply", "", "damper").Net
}
