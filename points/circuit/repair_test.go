package circuit

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// machine gives every device and circuit of a net to one machine, so that its
// supplies are at hand for a repair.
func (n Net) machine() Net {
	for i := range n.Devices {
		n.Devices[i].Equipment = "EF-1"
	}
	for i := range n.Circuits {
		n.Circuits[i].Equipment = "EF-1"
	}
	return n
}

func (b *bench) repaired(n Net) Result {
	return Repair(b.lib, &b.p, n, Check(b.lib, &b.p, n))
}

// interposerCase is a circuit and the cheapest change that mends it.
type interposerCase struct {
	name, circuit string
	net           Net
	parts         []string
	words         string
}

func interposerCases(b *bench) []interposerCase {
	panel := with(acSupply(24, 75), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })
	box, _ := b.lib.Device("interface-box")
	relayOut := with(gold(), func(t *model.Terminal) { t.ID, t.Class = "RO1", "RO" })
	triacOut := with(triac(), func(t *model.Terminal) { t.ID, t.Class = "TO1", "TO" })
	half, full := rectified("half-wave", false, false), rectified("full-wave", false, false)
	live := with(transmitter("source"), func(t *model.Terminal) { t.LiftOff = nil })
	line := with(acSupply(120, 1000), func(t *model.Terminal) { t.ClassTwo, t.Capacity = nil, nil })
	line277 := with(acSupply(277, 1000), func(t *model.Terminal) { t.ClassTwo, t.Capacity = nil, nil })
	withBox := func(d *drawn) *drawn {
		d.Devices = append(d.Devices, model.Device{ID: "box", Spec: box})
		return d
	}
	return []interposerCase{
		{"the box's dry input instead of its wet one", "relay to box:start-wet", withBox(sketch().at("relay", gold())).wire("relay", "", "box:start-wet").Net, nil, "use start-dry"},
		{"a free relay output instead of a triac", "controller:TO1 to input", sketch().at("controller", triacOut, relayOut).at("input", dryInput(12, 2400)).wire("controller:TO1", "", "input").Net, nil, "use RO1"},
		{"a heavier wire", "panel to damper", sketch().at("panel", acSupply(24, 96)).at("damper", load24(30)).wire("panel", "", "damper").last(long(250)).Net, nil, "use 16 AWG"},
		{"the supply leads swapped", "T1 to A:power", sketch().at("T1", panel).at("A", half...).at("B", half...).wire("T1", "", "A:power").wire("T1", "", "B:power").last(func(c *model.Circuit) { c.Accepts[0].Reversed = true }).wire("A:out", "", "B:in").Net, nil, "swap the two supply wires of A"},
		{"a supply at hand", "relay to coil", sketch().at("relay", gold()).at("coil", coil("ac", 24, 6, 12)).at("panel", panel).wire("relay", "", "coil").Net, nil, "on panel"},
		{"transformer where none is at hand", "relay to coil", sketch().at("relay", gold()).at("coil", with(coil("ac", 24, 6, 12), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).wire("relay", "", "coil").Net, []string{"transformer-20va"}, ""},
		{"DC supply", "relay to coil", sketch().at("relay", gold()).at("coil", coil("dc", 24, 20, 20)).wire("relay", "", "coil").Net, []string{"supply-24vdc-60w"}, ""},
		{"relay", "fire to starter", sketch().at("fire", with(gold(), func(t *model.Terminal) {
			t.PilotDuty, t.Ratings = nil, []model.LoadRating{{Current: "ac", Volts: 120, Amps: 0.5, Duty: "general"}}
		})).at("line", line).at("starter", coil("ac", 120, 25, 218)).wire("fire", "line", "starter").Net, []string{"interposing-relay-120vac"}, ""},
		{"gold relay", "output to run", sketch().at("output", powered(24)).at("run", dryInput(24, 8000)).wire("output", "", "run").Net, []string{"gold-relay-24vac"}, ""},
		{"relay on a relay-driving output", "output to coil", sketch().at("output", with(powered(12), func(t *model.Terminal) { t.Current, t.MaxCurrent = "dc", ptr(0.02) })).at("coil", coil("ac", 24, 6, 12)).at("panel", panel).wire("output", "", "coil").Net, []string{"relay-12vdc"}, ""},
		{"several poles", "status to input", sketch().at("status", gold()).at("input", dryInput(18, 3000)).at("unit", dryInput(24, 3000)).at("panel", panel).wire("status", "", "input").wire("status", "", "unit").Net, []string{"poles-2-24vac"}, ""},
		{"500 ohm", "output to input", sketch().at("output", with(live, func(t *model.Terminal) { t.MaxLoop = model.Span(0, 600) })).at("input", with(analogIn(1e5), func(t *model.Terminal) { t.Range = model.Span(2, 10) })).wire("output", "", "input").Net, []string{"resistor-500"}, ""},
		{"250 ohm", "output to input", sketch().at("output", live).at("input", with(analogIn(1e5), func(t *model.Terminal) { t.Range = model.Span(1, 5) })).wire("output", "", "input").Net, []string{"resistor-250"}, ""},
		{"bleeder", "triac to input", sketch().at("triac", with(triac(), func(t *model.Terminal) { t.Holding = ptr(0.012) })).at("input", acInput(10e3)).at("panel", panel).wire("triac", "panel", "input").Net, []string{"bleeder-1500"}, ""},
		{"strong bleeder", "triac to relay", sketch().at("triac", triac()).at("relay", coil("ac", 24, 0.24, 0.24)).at("panel", panel).wire("triac", "panel", "relay").Net, []string{"bleeder-750"}, ""},
		{"divider", "output to input", sketch().at("output", analogOut(0.01)).at("input", with(analogIn(1e5), func(t *model.Terminal) { t.Range = model.Span(0, 5) })).wire("output", "", "input").Net, []string{"divider-half"}, ""},
		{"signal repeater", "output to a", sketch().at("output", analogOut(0.01)).at("a", analogIn(800)).at("b", analogIn(800)).at("c", analogIn(800)).at("panel", panel).wire("output", "", "a", "b", "c").Net, []string{"repeater-voltage"}, ""},
		{"voltage to current", "output to drive", sketch().at("output", analogOut(0.01)).at("drive", currentIn(250, "none")).at("panel", panel).wire("output", "", "drive").Net, []string{"converter-voltage-to-current"}, ""},
		{"current to voltage", "output to drive", sketch().at("output", live).at("drive", analogIn(1e5)).at("panel", panel).wire("output", "", "drive").Net, []string{"converter-current-to-voltage"}, ""},
		{"isolator", "controller:out to drive:in", sketch().at("T1", panel).at("controller", half...).at("drive", rectified("none", false, true)...).
			wire("T1", "", "controller:power").wire("controller:out", "", "drive:in").earth("controller").Net, []string{"isolator-voltage"}, ""},
		{"separate supply for the full-wave device", "T1 to controller:power", sketch().at("T1", panel).at("controller", half...).at("drive", full...).wire("T1", "", "controller:power").wire("T1", "", "drive:power").wire("controller:out", "", "drive:in").Net, []string{"transformer-20va"}, ""},
		{"loop supply", "sensor to input", sketch().at("sensor", transmitter("sink")).at("input", currentIn(250, "none")).wire("sensor", "", "input").Net, []string{"loop-supply-24vdc"}, ""},
		{"isolated repeater", "sensor to a", sketch().at("sensor", live).at("a", with(currentIn(550, "none"), func(t *model.Terminal) {})).at("panel", panel).wire("sensor", "", "a").Net, []string{"isolator-current"}, ""},
		{"isolator powered by the loop", "sensor to input", sketch().at("sensor", live).at("input", currentIn(250, "source")).wire("sensor", "", "input").Net, []string{"isolator-loop-powered"}, ""},
		{"current switch", "motor lead to input", sketch().at("motor lead", line277).at("input", dryInput(18, 3000)).wire("motor lead", "", "input").Net, []string{"current-switch-relay"}, ""},
		{"larger supply", "panel to controller", sketch().at("panel", with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })).at("controller", load24(45)).wire("panel", "", "controller").Net, []string{"transformer-75va"}, ""},
		{"two parts", "output to coil", sketch().at("output", analogDriver()).at("coil", coil("dc", 24, 3, 3)).wire("output", "", "coil").Net, []string{"relay-12vdc", "loop-supply-24vdc"}, ""},
	}
}

// analogDriver is a relay-driving output of 12 V DC.
func analogDriver() model.Terminal {
	return with(powered(12), func(t *model.Terminal) { t.Current, t.MaxCurrent = "dc", ptr(0.02) })
}

// earth ties the commons of a device to earth inside it.
func (d *drawn) earth(id string) *drawn {
	for i := range d.Devices {
		if d.Devices[i].ID == id {
			for k := range d.Devices[i].Spec.Terminals {
				d.Devices[i].Spec.Terminals[k].Earthed = ptr(true)
			}
		}
	}
	return d
}

// Each kind of interposer, and each other hook-up, wins a case of its own, and
// what it wins stands when it is applied.
func TestInterposersWin(t *testing.T) {
	b := onBench(t)
	for _, c := range interposerCases(b) {
		net := c.net.machine()
		r := b.repaired(net)
		var fix *model.Fix
		for i := range r.Circuits {
			if r.Circuits[i].ID == c.circuit {
				fix = r.Circuits[i].Fix
			}
		}
		if fix == nil || fix.PriceCents == nil {
			t.Errorf("%s: no fix: %+v", c.name, fix)
			for _, f := range r.Findings {
				t.Logf("  %s %s: %s", f.Code, f.Subject, f.Message)
			}
			continue
		}
		if !slices.Equal(fix.Parts, c.parts) || !strings.Contains(fix.Summary, c.words) {
			t.Errorf("%s: %v, %s; cheaper ones: %q", c.name, fix.Parts, fix.Summary, fix.Rejected)
			continue
		}
		applied, done := Apply(b.lib, net, r)
		for _, f := range Check(b.lib, &b.p, applied).Findings {
			t.Errorf("%s, applied: %s %s: %s", c.name, f.Code, f.Subject, f.Message)
		}
		if !slices.ContainsFunc(done.Circuits, func(k model.Circuit) bool { return k.Fix != nil && k.Fix.Applied }) {
			t.Errorf("%s: nothing says that it is applied", c.name)
		}
	}
}

// What nothing in the library mends says what stops each part.
func TestNothingServes(t *testing.T) {
	b := onBench(t)
	net := sketch().at("service", service(480, 3)).at("motor", motor(200, 200, 3)).wire("service", "", "motor").last(mains).Net.machine()
	r := b.repaired(net)
	fix := r.Circuits[0].Fix
	if fix == nil || fix.PriceCents != nil || len(fix.Rejected) < len(b.lib.Interposers())-2 {
		t.Fatalf("%+v", fix)
	}
	for _, why := range fix.Rejected {
		if !strings.Contains(why, ": ") {
			t.Errorf("no reason: %s", why)
		}
	}
	if applied, _ := Apply(b.lib, net, r); len(applied.Circuits) != 1 || len(applied.Devices) != 2 {
		t.Error("nothing was to be applied")
	}
}

// The point stays with the piece that ends at the controller.
func TestPointStaysAtTheController(t *testing.T) {
	b := onBench(t)
	out := with(powered(24), func(x *model.Terminal) { x.ID, x.Class = "PO1", "PO" })
	in := with(dryInput(18, 3000), func(x *model.Terminal) { x.ID, x.Class = "BI1", "BI" })
	lead := with(acSupply(120, 1000), func(x *model.Terminal) { x.ClassTwo, x.Capacity = nil, nil })
	net := sketch().at("controller", out, in).at("run", dryInput(24, 8000)).at("lead", lead).
		wire("controller:PO1", "", "run").last(func(c *model.Circuit) { c.ID, c.Point = "EF-1/start", "EF-1/start" }).
		wire("lead", "", "controller:BI1").last(func(c *model.Circuit) { c.ID, c.Point = "EF-1/status", "EF-1/status" }).Net.machine()
	applied, _ := Apply(b.lib, net, b.repaired(net))
	carried := 0
	for _, c := range applied.Circuits {
		at := c.Drive.Device == "controller" || c.Accepts[0].Device == "controller"
		if (c.Point != "") != at || at && c.ID != c.Point {
			t.Errorf("circuit %s carries %q, %s to %v", c.ID, c.Point, c.Drive, c.Accepts)
		}
		if c.Point != "" {
			carried++
		}
	}
	if carried != 2 || len(applied.Circuits) != 4 {
		t.Errorf("%d points in %d circuits", carried, len(applied.Circuits))
	}
}

// The user's prices decide, and are then no placeholders.
func TestUserPrices(t *testing.T) {
	b := onBench(t)
	net := sketch().at("output", powered(24)).at("run", dryInput(24, 4000)).at("panel", acSupply(24, 40)).wire("output", "", "run").Net.machine()
	r := b.repaired(net)
	if f := r.Circuits[0].Fix; f == nil || f.Parts[0] != "gold-relay-24vac" || !f.PlaceholderPrice || *f.PriceCents != 2600 {
		t.Fatalf("%+v", f)
	}
	b.p.Prices = []model.Price{{Item: "gold-relay-24vac", Cents: 999}, {Item: "something else", Cents: 1}}
	if f := b.repaired(net).Circuits[0].Fix; f.PlaceholderPrice || *f.PriceCents != 999 {
		t.Errorf("%+v", f)
	}
	if p, _ := b.lib.Interposer("gold-relay-24vac"); p.Price() != 2600 {
		t.Error("the library itself was changed")
	}
	wet := sketch().at("relay", gold()).at("coil", with(coil("ac", 24, 6, 12), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).wire("relay", "", "coil").Net.machine()
	b.p.Prices = []model.Price{{Item: "transformer-20va", Cents: 9900}}
	if f := b.repaired(wet).Circuits[0].Fix; f == nil || f.Parts[0] != "transformer-40va" {
		t.Errorf("the dearer transformer was taken: %+v", f)
	}
}

// A supply that is too small is replaced for all that hangs on it, though one
// of its circuits has trouble of its own; the inrush may leave a caution.
func TestLargerSupplyForAll(t *testing.T) {
	b := onBench(t)
	small := with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })
	weak := with(gold(), func(t *model.Terminal) {
		t.PilotDuty, t.Ratings = nil, []model.LoadRating{{Current: "ac", Volts: 30, Amps: 0.5, Duty: "general"}}
	})
	net := sketch().at("panel", small).at("a", load24(25)).at("b", load24(25)).at("weak", weak).at("coil", with(coil("ac", 24, 15, 120), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).
		wire("panel", "", "a").wire("panel", "", "b").wire("weak", "panel", "coil").Net.machine()
	r := b.repaired(net)
	found := 0
	for _, c := range r.Circuits {
		if c.Fix != nil && slices.Contains(c.Fix.Parts, "transformer-96va") {
			found++
			if len(c.Fix.Circuits) != 3 {
				t.Errorf("%s moves %d circuits", c.ID, len(c.Fix.Circuits))
			}
		}
	}
	if found != 1 {
		t.Errorf("%d larger supplies", found)
		for _, c := range r.Circuits {
			t.Logf("%s %s %+v", c.ID, c.Verdict, c.Fix)
		}
	}
}

// A repair hangs nothing on another trade's service, nor on a supply of another
// machine; it may on one in the panel of its own devices.
func TestSuppliesAtHand(t *testing.T) {
	b := onBench(t)
	draw := func(change func(*Net)) []string {
		n := sketch().at("relay", gold()).at("coil", with(coil("ac", 24, 6, 12), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).at("panel", acSupply(24, 75)).wire("relay", "", "coil").Net.machine()
		change(&n)
		f := b.repaired(n).Circuits[0].Fix
		if f == nil || f.PriceCents == nil {
			return []string{"none"}
		}
		return f.Parts
	}
	for name, c := range map[string]struct {
		change func(*Net)
		want   []string
	}{
		"a supply":             {func(n *Net) { n.Devices[2].Spec.Category = "supply" }, nil},
		"a service":            {func(n *Net) { n.Devices[2].Spec.Category = "service" }, []string{"transformer-20va"}},
		"another machine's":    {func(n *Net) { n.Devices[2].Equipment = "EF-2" }, []string{"transformer-20va"}},
		"in the panel at hand": {func(n *Net) { n.Devices[2].Equipment, n.Devices[2].Panel, n.Devices[0].Panel = "", "P1", "P1" }, nil},
		"in another panel":     {func(n *Net) { n.Devices[2].Equipment, n.Devices[2].Panel, n.Devices[0].Panel = "", "P2", "P1" }, []string{"transformer-20va"}},
	} {
		if got := draw(c.change); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// A free terminal may stand in for another; one in use may not.
func TestOnlyFreeTerminalsStandIn(t *testing.T) {
	b := onBench(t)
	box, _ := b.lib.Device("interface-box")
	d := sketch().at("relay", gold()).at("other relay", gold())
	d.Devices = append(d.Devices, model.Device{ID: "box", Spec: box})
	d.wire("relay", "", "box:start-wet")
	if f := b.repaired(d.Net.machine()).Circuits[0].Fix; f == nil || len(f.Parts) > 0 {
		t.Errorf("the dry input is free: %+v", f)
	}
	d.wire("other relay", "", "box:start-dry")
	if f := b.repaired(d.Net.machine()).Circuits[0].Fix; f == nil || len(f.Parts) == 0 {
		t.Errorf("the dry input is taken: %+v", f)
	}
}

// What drives an override is its signal: no transformer takes its place, which
// would hold the override on for ever, not even for all that hangs on it. A
// load that is only fed may have another supply.
func TestNoSupplyInTheSignalsPlace(t *testing.T) {
	b := onBench(t)
	for purpose, feeds := range map[string]bool{"fire": false, "override": false, "start": false, "interlock": false, "damper-power": true, "supply": true} {
		small := with(acSupply(24, 5), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })
		net := sketch().at("panel", small).at("relay", with(coil("ac", 24, 6, 6), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).
			wire("panel", "", "relay").last(func(c *model.Circuit) { c.Purpose = purpose }).Net.machine()
		untold := sketch().at("panel", model.Terminal{Nature: model.SupplyOut, Drives: true}).at("relay", with(coil("ac", 24, 6, 6), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).
			wire("panel", "", "relay").last(func(c *model.Circuit) { c.Purpose = purpose }).Net.machine()
		for name, n := range map[string]Net{"too small": net, "not told": untold} {
			fix := b.repaired(n).Circuits[0].Fix
			if (fix != nil && fix.PriceCents != nil) != (feeds || name == "too small") {
				t.Errorf("%s on a supply that is %s: %+v", purpose, name, fix)
				continue
			}
			kept := fix == nil || fix.PriceCents == nil || slices.ContainsFunc(fix.Circuits, func(c model.Circuit) bool { return c.Drive.Device == "panel" })
			if kept == feeds {
				t.Errorf("%s on a supply that is %s: driven by %+v", purpose, name, fix.Circuits)
			}
		}
	}
}

// A converter that can be set says to what: 2-10 V in, 0-10 V out.
func TestFixSaysTheSettings(t *testing.T) {
	b := onBench(t)
	net := sketch().at("output", with(analogOut(0.01), func(t *model.Terminal) { t.Range = model.Span(2, 10) })).at("input", analogIn(1e5)).wire("output", "", "input").Net.machine()
	fix := b.repaired(net).Circuits[0].Fix
	if fix == nil || !strings.Contains(fix.Summary, "set input of isolator-voltage to 2 to 10 V, output of isolator-voltage to 0 to 10 V") {
		t.Errorf("%+v", fix)
	}
}

// Two feeds of one load are not mended by feeding it twice from the same supply.
func TestNoFeedTwice(t *testing.T) {
	b := onBench(t)
	net := sketch().at("T", acSupply(24, 40)).at("U", acSupply(24, 40)).at("load", load24(10)).wire("T", "", "load").wire("U", "", "load").Net.machine()
	for _, c := range b.repaired(net).Circuits {
		if c.Verdict != model.Fault || c.Fix != nil && c.Fix.PriceCents != nil {
			t.Errorf("%s: %s %+v", c.ID, c.Verdict, c.Fix)
		}
	}
}
