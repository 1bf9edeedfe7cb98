package circuit

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

var update = flag.Bool("update", false, "write the coverage table of field mistakes anew")

// mistake is one mistake of the field as it is wired, and its usual fix.
type mistake struct {
	row, category, code, what string
	wrong, right              Net
}

func sketch() *drawn { return &drawn{} }

func purpose(p string) func(*model.Circuit) { return func(c *model.Circuit) { c.Purpose = p } }

func with(t model.Terminal, change func(*model.Terminal)) model.Terminal { change(&t); return t }

func gold() model.Terminal   { return contact(0.001, "B300", "R300") }
func silver() model.Terminal { return contact(0.010, "B300", "R300") }

func binaryMistakes() []mistake {
	gated := func(drive model.Terminal, supply bool) Net {
		d := sketch().at("output", drive).at("coil", coil("ac", 24, 6, 12)).at("panel", acSupply(24, 40))
		if supply {
			return d.wire("output", "panel", "coil").Net
		}
		return d.wire("output", "", "coil").Net
	}
	fire := with(contact(0.001), func(t *model.Terminal) {
		t.Ratings = []model.LoadRating{{Current: "ac", Volts: 120, Amps: 0.5, Duty: "general"}}
	})
	line := with(acSupply(120, 1000), func(t *model.Terminal) { t.ClassTwo, t.Capacity = nil, nil })
	relay120 := with(coil("ac", 120, 1.5, 3), func(t *model.Terminal) { t.ID = "coil" })
	power := with(silver(), func(t *model.Terminal) { t.ID = "contact" })
	trip := func(form, healthy string) model.Terminal {
		return with(gold(), func(t *model.Terminal) { t.Form, t.Healthy, t.Follows = form, healthy, "trip" })
	}
	sense := func(polarity string) Net {
		n := sketch().at("drive", trip("normally-open", "energised")).at("input", dryInput(18, 3000)).wire("drive", "", "input").last(func(c *model.Circuit) { c.Point = "EF-1/drive-fault" }).Net
		n.Points = []model.Point{{Key: "EF-1/drive-fault", ObjectType: model.BinaryInput, ContactSense: "normally-open", Polarity: polarity}}
		return n
	}
	barrier := func(known bool) Net {
		n := sketch().at("relay", with(coil("ac", 24, 1.2, 2.4), func(t *model.Terminal) { t.ID = "coil" }), power).at("output", gold()).at("panel", acSupply(24, 40)).
			at("line", line).at("starter", coil("ac", 120, 25, 218)).
			wire("output", "panel", "relay:coil").wire("relay:contact", "line", "starter").Net
		n.Devices[0].Spec.Category, n.Devices[0].Spec.Barrier = "relay", &known
		return n
	}
	return []mistake{
		{"M01", "BO-BI", "wet-on-dry", "a powered 24 V AC output on a dry run input / a pilot relay between",
			sketch().at("output", powered(24)).at("run", dryInput(24, 4000)).wire("output", "", "run").Net,
			sketch().at("output", powered(24)).at("run", dryInput(24, 4000)).at("relay", with(coil("ac", 24, 1.2, 2.4), func(t *model.Terminal) { t.ID = "coil" }), with(gold(), func(t *model.Terminal) { t.ID = "contact" })).
				wire("output", "", "relay:coil").wire("relay:contact", "", "run").Net},
		{"M02", "BO-BI", "needs-supply", "a dry relay output on a coil that nobody powers / the supply named", gated(gold(), false), gated(gold(), true)},
		{"M04", "BO-BI", "ac-dc", "a triac output on a 24 V DC coil / a relay output",
			sketch().at("output", triac()).at("coil", coil("dc", 24, 3, 3)).at("panel", dcSupply(24, 24)).wire("output", "panel", "coil").Net,
			sketch().at("output", gold()).at("coil", coil("dc", 24, 3, 3)).at("panel", dcSupply(24, 24)).wire("output", "panel", "coil").Net},
		{"M05", "BO-BI", "holding-current", "a triac output on a load of 10 mA / 750 ohm, 2 W across the load",
			sketch().at("output", triac()).at("relay", coil("ac", 24, 0.24, 0.24)).at("panel", acSupply(24, 40)).wire("output", "panel", "relay").Net,
			sketch().at("output", triac()).at("relay", coil("ac", 24, 0.24, 0.24)).at("panel", acSupply(24, 40)).wire("output", "panel", "relay").
				last(func(c *model.Circuit) {
					c.Across = []model.Resistor{{At: named("relay"), Ohm: model.Interval{Lo: 712.5, Hi: 787.5}, Watts: ptr(2.0)}}
				}).Net},
		{"M06", "BO-BI", "contact-overload", "a triac of 0.5 A on a contactor coil of 30 VA, 200 VA inrush / a slave relay fed from its own transformer",
			sketch().at("output", triac()).at("contactor", coil("ac", 24, 30, 200)).at("panel", acSupply(24, 96)).wire("output", "panel", "contactor").Net,
			sketch().at("output", triac()).at("relay", with(coil("ac", 24, 1.2, 2.4), func(t *model.Terminal) { t.ID = "coil" }), power).at("contactor", coil("ac", 24, 30, 180)).
				at("panel", acSupply(24, 40)).at("own", with(acSupply(24, 300), func(t *model.Terminal) { t.ClassTwo = ptr(false) })).wire("output", "panel", "relay:coil").wire("relay:contact", "own", "contactor").Net.classOne("relay to contactor")},
		{"M08", "BO-BI", "contact-overload", "a fire relay of 0.5 A on a 120 V starter coil / a power relay between",
			sketch().at("fire", fire).at("line", line).at("starter", coil("ac", 120, 25, 218)).wire("fire", "line", "starter").Net,
			sketch().at("fire", fire).at("line", line).at("starter", coil("ac", 120, 25, 218)).at("relay", relay120, power).wire("fire", "line", "relay:coil").wire("relay:contact", "line", "starter").Net},
		{"M09", "BO-BI", "contact-underload", "a starter auxiliary of silver on an input of a few mA / a gold-plated contact",
			sketch().at("aux", silver()).at("input", dryInput(12, 2400)).wire("aux", "", "input").Net,
			sketch().at("aux", gold()).at("input", dryInput(12, 2400)).wire("aux", "", "input").Net},
		{"M10", "BO-BI", "contact-underload", "a gold contact that has switched 120 V reused for a status / a new contact",
			sketch().at("aux", with(gold(), func(t *model.Terminal) { t.History = "power" })).at("input", dryInput(12, 2400)).wire("aux", "", "input").Net,
			sketch().at("aux", gold()).at("input", dryInput(12, 2400)).wire("aux", "", "input").Net},
		{"M12", "BO-BI", "mixed-class", "a dry pair in the conduit of a power circuit / a raceway of its own", raceway("conduit 1", "conduit 1"), raceway("conduit 1", "conduit 2")},
		{"M13", "BO-BI", "fail-safe", "a shutdown contact that closes on the event / the one that opens",
			sketch().at("smoke", trip("normally-open", "")).at("permit", dryInput(24, 4000)).wire("smoke", "", "permit").last(purpose("shutdown")).Net,
			sketch().at("smoke", trip("normally-closed", "")).at("permit", dryInput(24, 4000)).wire("smoke", "", "permit").last(purpose("shutdown")).Net},
		{"M14", "BO-BI", "sense", "a fault relay energised while healthy, polarity normal / polarity reverse", sense("normal"), sense("reverse")},
		{"M104", "Trade", "mixed-class", "24 V and 120 V in one relay box / a barriered box", barrier(false), barrier(true)},
	}
}

// classOne says that a circuit is wired as Class 1, in a cable of its own.
func (n Net) classOne(device string) Net {
	for i := range n.Circuits {
		if c := &n.Circuits[i]; c.Supply != nil && c.Supply.Device == "own" {
			n.Cables = append(n.Cables, model.Cable{ID: "own", Class: "class-1", Circuits: []string{c.ID}})
		}
	}
	return n
}

// raceway is a status pair and a mains feed in the raceways named.
func raceway(signal, feed string) Net {
	n := sketch().at("status", gold()).at("input", dryInput(18, 3000)).at("line", service(208, 3)).at("motor", motor(200, 200, 3)).
		wire("status", "", "input").wire("line", "", "motor").last(mains).Net
	n.Cables = []model.Cable{{ID: "C-1", Raceway: signal, Circuits: []string{"status to input"}}, {ID: "P-1", Class: "power", Raceway: feed, Circuits: []string{"line to motor"}}}
	return n
}

func powerMistakes() []mistake {
	half, full := rectified("half-wave", false, false), rectified("full-wave", false, false)
	first := with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })
	loads := func(va float64) Net {
		d := sketch().at("panel", acSupply(24, va)).at("controller", load24(20)).at("damper", load24(30)).at("valve", load24(25))
		return d.wire("panel", "", "controller").wire("panel", "", "damper").wire("panel", "", "valve").Net
	}
	pots := func(n int) Net {
		d := sketch().at("drive", with(dcSupply(10, 10), func(t *model.Terminal) { t.Capacity, t.MaxAmps = nil, ptr(0.010) }))
		for i := range n {
			id := fmt.Sprintf("pot %d", i+1)
			d.at(id, model.Terminal{Nature: model.PowerIn, Current: "dc", Volts: model.Span(9, 11), Absolute: true, Running: &model.Load{Amps: ptr(0.004)}, Inrush: &model.Load{Amps: ptr(0.004)}, Rectifier: "none"}).wire("drive", "", id)
		}
		return d.Net
	}
	damper := with(load24(48), func(t *model.Terminal) { t.Volts = model.Span(20.4, 28.8) })
	heavy := func(gauge int, ft float64) Net {
		return sketch().at("panel", acSupply(24, 96)).at("damper", damper).wire("panel", "", "damper").last(func(c *model.Circuit) {
			c.Conductor = model.Conductor{Gauge: gauge, Stranded: true, LengthFt: &ft}
		}).Net
	}
	return []mistake{
		{"M16", "Power24", "common-short", "half-wave and full-wave on one transformer, commons joined / a separate transformer",
			sketch().at("T1", first).at("controller", half...).at("drive", full...).wire("T1", "", "controller:power").wire("T1", "", "drive:power").wire("controller:out", "", "drive:in").Net,
			sketch().at("T1", first).at("T2", first).at("controller", half...).at("drive", full...).wire("T1", "", "controller:power").wire("T2", "", "drive:power").wire("controller:out", "", "drive:in").Net},
		{"M17", "Power24", "supply-overload", "75 VA of loads on a 75 VA transformer / a larger one", loads(75), loads(96)},
		{"M18", "Power24", "conductor-drop", "2 A over 200 ft of 18 AWG to an actuator that needs 20.4 V / 14 AWG", heavy(18, 200), heavy(14, 200)},
		{"M20", "Power24", "supply-overload", "three 2.5 kohm potentiometers on a 10 V reference of 10 mA / one", pots(3), pots(1)},
	}
}

func analogMistakes() []mistake {
	out := func(lo float64) model.Terminal {
		return with(analogOut(0.010), func(t *model.Terminal) { t.Range = model.Span(lo, 10) })
	}
	in := func(lo, ohm float64) model.Terminal {
		return with(analogIn(ohm), func(t *model.Terminal) { t.Range = model.Span(lo, 10) })
	}
	pair := func(o, i model.Terminal) Net {
		return sketch().at("output", o).at("speed", i).wire("output", "", "speed").Net
	}
	three := func(ohm float64) Net {
		return sketch().at("output", analogOut(0.010)).at("a", analogIn(ohm)).at("b", analogIn(ohm)).at("c", analogIn(ohm)).wire("output", "", "a", "b", "c").Net
	}
	earthed := func(isolated bool) Net {
		a, b := rectified("half-wave", false, true), rectified("none", isolated, true)
		return sketch().at("T1", with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })).at("controller", a...).at("drive", b...).
			wire("T1", "", "controller:power").wire("controller:out", "", "drive:in").Net
	}
	acts := func(a, b string) Net {
		return pair(with(analogOut(0.01), func(t *model.Terminal) { t.Action = a }), with(analogIn(1e5), func(t *model.Terminal) { t.Action = b }))
	}
	pulled := func(p bool) Net {
		return pair(analogOut(0.01), with(analogIn(1e5), func(t *model.Terminal) { t.Pulled = &p }))
	}
	live := with(transmitter("source"), func(t *model.Terminal) { t.LiftOff = nil })
	return []mistake{
		{"M21", "Analog", "range", "a 2-10 V output on a 0-10 V speed input / a 0-10 V output", pair(out(2), in(0, 1e5)), pair(out(0), in(0, 1e5))},
		{"M22", "Analog", "range", "a 0-10 V output on a 2-10 V input / a 2-10 V output", pair(out(0), in(2, 1e5)), pair(out(2), in(2, 1e5))},
		{"M24", "Analog", "output-overload", "a 0-10 V output on a drive input left in current mode, 250 ohm / set to voltage", pair(out(0), currentIn(250, "none")), pair(out(0), in(0, 2e4))},
		{"M25", "Analog", "burden", "three receivers of 250 ohm in a 24 V loop / an isolator drives the rest",
			sketch().at("sensor", transmitter("sink")).at("loop", dcSupply(24, 24)).at("a", currentIn(250, "none")).at("b", currentIn(250, "none")).at("c", currentIn(250, "none")).wire("sensor", "loop", "a", "b", "c").Net,
			sketch().at("sensor", transmitter("sink")).at("loop", dcSupply(24, 24)).at("a", currentIn(250, "none")).at("isolator", with(currentIn(50, "none"), func(t *model.Terminal) { t.ID = "in" }), with(live, func(t *model.Terminal) { t.ID = "out"; t.MaxLoop = model.Span(0, 600) })).
				at("b", currentIn(250, "none")).at("c", currentIn(250, "none")).wire("sensor", "loop", "a", "isolator:in").wire("isolator:out", "", "b", "c").Net},
		{"M26", "Analog", "burden", "a transmitter that sources its current into an input that powers the loop / the input set to passive",
			sketch().at("sensor", live).at("input", currentIn(100, "source")).wire("sensor", "", "input").Net,
			sketch().at("sensor", live).at("input", currentIn(100, "none")).wire("sensor", "", "input").Net},
		{"M28", "Analog", "output-overload", "three EC motors of 600 ohm on one output / a signal repeater of 50 mA between", three(600),
			sketch().at("output", analogOut(0.010)).at("repeater", with(analogIn(2e5), func(t *model.Terminal) { t.ID = "in" }), with(analogOut(0.055), func(t *model.Terminal) { t.ID = "out" })).
				at("a", analogIn(600)).at("b", analogIn(600)).at("c", analogIn(600)).wire("output", "", "repeater:in").wire("repeater:out", "", "a", "b", "c").Net},
		{"M29", "Analog", "terminal-reuse", "a second output tied to one speed input / a high selector between",
			sketch().at("output", analogOut(0.01)).at("gas panel", analogOut(0.01)).at("speed", analogIn(1e5)).wire("output", "", "speed").wire("gas panel", "", "speed").Net,
			sketch().at("output", analogOut(0.01)).at("gas panel", analogOut(0.01)).at("speed", analogIn(1e5)).at("selector", with(analogIn(1e5), func(t *model.Terminal) { t.ID = "a" }), with(analogIn(1e5), func(t *model.Terminal) { t.ID = "b" }), with(analogOut(0.01), func(t *model.Terminal) { t.ID = "out" })).
				wire("output", "", "selector:a").wire("gas panel", "", "selector:b").wire("selector:out", "", "speed").Net},
		{"M30", "Analog", "needs-supply", "the potentiometer still connected at the input that the output drives / 10 V left open", pulled(true), pulled(false)},
		{"M32", "Analog", "common", "both ends of the signal earthed apart / an isolated input", earthed(false), earthed(true)},
		{"M33", "Analog", "common", "a shield earthed at both ends / at one",
			sketch().at("output", analogOut(0.01)).at("speed", analogIn(1e5)).wire("output", "", "speed").last(shield(2)).Net,
			sketch().at("output", analogOut(0.01)).at("speed", analogIn(1e5)).wire("output", "", "speed").last(shield(1)).Net},
		{"M34", "Analog", "mixed-class", "the speed signal in the drive's motor conduit / a raceway of its own", raceway("motor conduit", "motor conduit"), raceway("signals", "motor conduit")},
		{"M36", "Analog", "action", "a direct-acting output on a reverse-acting input / both direct", acts("direct", "reverse"), acts("direct", "direct")},
		{"M37", "Analog", "fail-value", "a garage fan whose input stops on a broken wire / runs at full speed", speedNet(change{lost: 0}), speedNet(change{lost: 100})},
		{"M38", "Analog", "min-command", "a lowest command of 10 % on a motor that turns from 2 V / of 25 %", speedNet(change{lost: 100, least: 10}), speedNet(change{lost: 100, least: 25})},
		{"M40", "Analog", "speed-limit", "a scheduled speed above 60 Hz on a drive capped at 60 Hz / at 72 Hz", speedNet(change{lost: 100, least: 30, most: "60"}), speedNet(change{lost: 100, least: 30, most: "72"})},
		{"M41", "Analog", "two-minima", "a minimum in the drive and another in the automation system / one", speedNet(change{lost: 100, least: 30, own: "58"}), speedNet(change{lost: 100, least: 30, own: "30"})},
		{"M42", "Analog", "alarm-delay", "a failure alarm shorter than damper and ramp / longer", delayNet(60), delayNet(130)},
	}
}

func networkMistakes() []mistake {
	set := func(n Net, device string, name, value string) Net {
		for i := range n.Devices {
			if n.Devices[i].ID == device {
				n.Devices[i].Settings = append(n.Devices[i].Settings, model.Parameter{Name: name, Value: value})
				n.Devices[i].Equipment = "EF-1"
			}
		}
		return n
	}
	masters := func(highest int) Net {
		n := set(set(set(trunk(2, 0), "controller", "mac", "0"), "drive 1", "mac", "1"), "drive 2", "mac", "2")
		n.Circuits[0].Trunk = &model.Trunk{MaxMaster: &highest, Terminators: ptr(2), AtEnds: ptr(true), Reference: ptr(true)}
		return n
	}
	speed := func(reference string) Net {
		n := set(trunk(1, 0), "drive 1", "reference-source", reference)
		n.Points = []model.Point{{Key: "EF-1/speed", Equipment: "EF-1", Role: model.RoleSpeed, ObjectType: model.AnalogOutput, Carried: model.Network}}
		return n
	}
	listed := func(carried string) Net {
		n := trunk(1, 0)
		n.Devices[1].Equipment = "EF-1"
		n.Points = []model.Point{{Key: "EF-1/status", Equipment: "EF-1", Role: model.RoleStatus, ObjectType: model.BinaryInput, Carried: carried}}
		return n
	}
	return []mistake{
		{"M105", "Network", "bus-load", "33 drives of one unit load on a trunk / 24 and 20 of a quarter", trunk(33, 0), trunk(24, 20)},
		{"M106", "Network", "bus-load", "the highest master left at 127 with three masters / set to 2", masters(127), masters(2)},
		{"M108", "Network", "bus-load", "two drives at one address / addresses of their own",
			set(set(trunk(2, 0), "drive 1", "mac", "1"), "drive 2", "mac", "1"), set(set(trunk(2, 0), "drive 1", "mac", "1"), "drive 2", "mac", "2")},
		{"M109", "Network", "bus-load", "40 objects of a drive polled over the trunk / 10", set(trunk(1, 0), "drive 1", "objects", "40"), set(trunk(1, 0), "drive 1", "objects", "10")},
		{"M110", "Network", "bus-load", "speed written over the bus to a drive that takes its reference from a terminal / from the bus", speed("terminal"), speed("bus")},
		{"M112", "Network", "bus-load", "a device on the bus without a listed network point / with one", listed(model.Hardwired), listed(model.Network)},
	}
}

// Every mistake gives its finding, and its usual fix gives none at all.
func TestFieldMistakes(t *testing.T) {
	b := onBench(t)
	table := "| Row | Category | Code | Case: the mistake / its usual fix |\n| --- | --- | --- | --- |\n"
	rows := map[string]bool{}
	for _, list := range [][]mistake{binaryMistakes(), powerMistakes(), analogMistakes(), networkMistakes()} {
		for _, m := range list {
			rows[m.row] = true
			table += fmt.Sprintf("| %s | %s | %s | %s |\n", m.row, m.category, m.code, m.what)
			codes := map[string]bool{}
			for _, f := range Check(b.lib, &b.p, m.wrong).Findings {
				codes[f.Code] = true
			}
			if !codes[m.code] {
				t.Errorf("%s, %s: no finding %s, only %v", m.row, m.what, m.code, codes)
			}
			if left := Check(b.lib, &b.p, m.right).Findings; len(left) > 0 {
				t.Errorf("%s, fixed: %s: %s", m.row, left[0].Code, left[0].Message)
			}
			if _, known := finding.Lookup(m.code); !known {
				t.Errorf("%s: no code %s", m.row, m.code)
			}
		}
	}
	for _, row := range strings.Fields("M01 M02 M04 M05 M06 M08 M09 M10 M12 M13 M14 M16 M17 M18 M20 M21 M22 M24 M25 M26 M28 M29 M30 M32 M33 M34 M36 M37 M38 M40 M41 M42 M104 M105 M106 M108 M109 M110 M112") {
		if !rows[row] {
			t.Errorf("no case for %s", row)
		}
	}
	const file = "testdata/mistakes.md"
	if *update {
		if err := os.WriteFile(file, []byte(table), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if have, err := os.ReadFile(file); err != nil || string(have) != table {
		t.Errorf("%s does not list these cases (%v); run: go test ./points/circuit -run TestFieldMistakes -update", file, err)
	}
}
