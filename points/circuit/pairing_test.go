package circuit

import (
	"strings"
	"testing"

	"tallywire/model"
)

// The pairing rules of the trade: which source may drive which receiver, with
// or without a supply, and which check says no.
func TestPairings(t *testing.T) {
	b := onBench(t)
	collector := model.Terminal{Nature: model.Transistor, Drives: true, Current: "dc", OnDrop: ptr(0.5), Leakage: ptr(0.0001), Ratings: []model.LoadRating{{Current: "dc", Volts: 30, Amps: 0.5, Duty: "pilot"}}}
	open := with(dryInput(18, 3000), func(t *model.Terminal) { t.Off = &model.Threshold{Amps: ptr(0.0003)} })
	drives := map[string]model.Terminal{"relay": gold(), "powered": powered(24), "collector": collector, "triac": with(triac(), func(t *model.Terminal) { t.Snubber = ptr(10e-9) }),
		"0-10 V": analogOut(0.01), "4-20 mA": transmitter("source"), "two-wire": transmitter("sink"), "24 V AC": acSupply(24, 40), "24 V DC": dcSupply(24, 24)}
	accepts := map[string]model.Terminal{"dry": open, "wet DC": classInput("iec61131-2/24vdc/1", "dc"), "wet AC": acInput(5000), "0-10 V in": analogIn(1e5),
		"mA in": currentIn(250, "none"), "mA in, powering": currentIn(250, "source"), "coil AC": coil("ac", 24, 6, 12), "coil DC": coil("dc", 24, 6, 6)}
	for _, c := range []struct{ drive, supply, accept, fails string }{
		{"relay", "", "dry", ""},
		{"relay", "24 V AC", "dry", "wet-on-dry"},
		{"relay", "", "wet DC", "needs-supply"},
		{"relay", "24 V DC", "wet DC", ""},
		{"relay", "24 V AC", "wet DC", "ac-dc"},
		{"relay", "", "0-10 V in", "nature"},
		{"relay", "", "mA in", "nature"},
		{"relay", "24 V AC", "coil AC", ""},
		{"relay", "24 V DC", "coil AC", "ac-dc"},
		{"relay", "", "coil AC", "needs-supply"},
		{"relay", "0-10 V", "coil AC", "needs-supply"},
		{"powered", "", "dry", "wet-on-dry"},
		{"powered", "", "wet AC", ""},
		{"powered", "", "coil AC", ""},
		{"powered", "24 V AC", "coil AC", "needs-supply"},
		{"powered", "", "0-10 V in", "nature"},
		{"collector", "", "dry", ""},
		{"collector", "24 V DC", "wet DC", ""},
		{"collector", "24 V AC", "wet AC", "ac-dc"},
		{"triac", "", "dry", "ac-dc"},
		{"triac", "24 V AC", "dry", "wet-on-dry"},
		{"triac", "24 V AC", "coil AC", ""},
		{"triac", "24 V DC", "coil DC", "ac-dc"},
		{"0-10 V", "", "dry", "nature"},
		{"0-10 V", "", "0-10 V in", ""},
		{"0-10 V", "", "mA in", "nature"},
		{"0-10 V", "", "coil AC", "nature"},
		{"4-20 mA", "", "mA in", ""},
		{"4-20 mA", "", "mA in, powering", "burden"},
		{"4-20 mA", "", "0-10 V in", "nature"},
		{"two-wire", "", "mA in", "burden"},
		{"two-wire", "", "mA in, powering", ""},
		{"two-wire", "24 V DC", "mA in", ""},
		{"two-wire", "24 V DC", "mA in, powering", "burden"},
		{"two-wire", "24 V AC", "mA in", "ac-dc"},
		{"24 V AC", "", "dry", "wet-on-dry"},
		{"24 V AC", "", "coil AC", ""},
		{"24 V AC", "", "coil DC", "ac-dc"},
		{"24 V AC", "", "0-10 V in", "nature"},
	} {
		d := sketch().at("drive", drives[c.drive]).at("accept", accepts[c.accept])
		supply := ""
		if c.supply != "" {
			supply = "supply"
			d.at(supply, drives[c.supply])
		}
		d.wire("drive", supply, "accept")
		r := Check(b.lib, &b.p, d.Net)
		var codes []string
		for _, f := range r.Findings {
			codes = append(codes, f.Code)
		}
		got := strings.Join(codes, " ")
		if c.fails == "" && got != "" || c.fails != "" && !strings.Contains(" "+got+" ", " "+c.fails+" ") {
			t.Errorf("%s into %s on %q: %q, want %q", c.drive, c.accept, c.supply, got, c.fails)
			for _, f := range r.Findings {
				t.Logf("  %s: %s", f.Code, f.Message)
			}
		}
	}
}

// Two outputs on one wire, an input that drives, names that are not there.
func TestEndsThatCannotBe(t *testing.T) {
	b := onBench(t)
	out, in := analogOut(0.01), analogIn(1e5)
	for _, c := range []struct {
		name  string
		net   Net
		words string
		want  model.Verdict
	}{
		{"two outputs", sketch().at("a", out).at("b", out).wire("a", "", "b").Net, "two outputs are joined", model.Fault},
		{"an input drives", sketch().at("a", in).at("b", in).wire("a", "", "b").Net, "drives nothing", model.Fault},
		{"no such device", sketch().at("output", out).wire("output", "", "speed").Net, `device "speed" is not known`, model.Unknown},
		{"misspelt device", sketch().at("output", out).at("speed-in", in).wire("output", "", "sped-in").Net, `did you mean "speed-in"?`, model.Unknown},
		{"no such terminal", sketch().at("output", out).at("box", with(in, func(t *model.Terminal) { t.ID = "speed-in" })).wire("output", "", "box:speed-im").Net, `did you mean "speed-in"?`, model.Unknown},
	} {
		r := Check(b.lib, &b.p, c.net)
		if len(r.Findings) == 0 || !strings.Contains(r.Findings[0].Message, c.words) || r.Circuits[0].Verdict != c.want {
			t.Errorf("%s: %s %+v", c.name, r.Circuits[0].Verdict, r.Findings)
		}
	}
	open := sketch().at("output", out).wire("output", "", "x").Net
	open.Circuits[0].Accepts = []model.End{{}}
	if r := Check(b.lib, &b.p, open); r.Circuits[0].Verdict != model.Unknown {
		t.Errorf("an open end: %s", r.Circuits[0].Verdict)
	}
	none := sketch().at("output", out).wire("output", "", "x").Net
	none.Circuits[0].Accepts = nil
	if r := Check(b.lib, &b.p, none); r.Circuits[0].Verdict != model.Unknown || len(r.Findings) != 1 {
		t.Errorf("no accepting end: %+v", r)
	}
}

// Whatever is not stated is never taken as good: each limit left out turns a
// sound circuit into one that cannot be told, and says what is needed.
func TestUnknownIsNeverGood(t *testing.T) {
	b := onBench(t)
	base := func() []model.Terminal {
		return []model.Terminal{contact(0.001, "B300", "R300"), acSupply(24, 40), coil("ac", 24, 6, 12)}
	}
	build := func(list []model.Terminal) Net {
		return sketch().at("relay", list[0]).at("supply", list[1]).at("coil", list[2]).wire("relay", "supply", "coil").Net
	}
	if r := Check(b.lib, &b.p, build(base())); len(r.Findings) > 0 {
		t.Fatalf("the sound circuit: %+v", r.Findings)
	}
	for name, spoil := range map[string]func([]model.Terminal){
		"contact ratings":    func(l []model.Terminal) { l[0].PilotDuty = nil },
		"least load":         func(l []model.Terminal) { l[0].MinLoad = nil },
		"supply volts":       func(l []model.Terminal) { l[1].Volts = nil },
		"supply current":     func(l []model.Terminal) { l[1].Current = "" },
		"supply capacity":    func(l []model.Terminal) { l[1].Capacity = nil },
		"supply class":       func(l []model.Terminal) { l[1].ClassTwo = nil },
		"coil volts":         func(l []model.Terminal) { l[2].Volts = nil },
		"coil current":       func(l []model.Terminal) { l[2].Current = "" },
		"coil consumption":   func(l []model.Terminal) { l[2].Running = nil },
		"coil inrush":        func(l []model.Terminal) { l[2].Inrush = nil },
		"every input of two": func(l []model.Terminal) { l[2].Running, l[2].Inrush = nil, nil },
	} {
		list := base()
		spoil(list)
		r := Check(b.lib, &b.p, build(list))
		if r.Circuits[0].Verdict != model.Unknown {
			t.Errorf("%s left out: %s", name, r.Circuits[0].Verdict)
		}
		for _, f := range r.Findings {
			if !strings.HasPrefix(f.Message, "cannot tell: needs ") || !strings.HasPrefix(f.Fix, "state ") {
				t.Errorf("%s left out: %q, %q", name, f.Message, f.Fix)
			}
		}
	}
	for name, net := range map[string]Net{
		"input resistance": sketch().at("out", analogOut(0.01)).at("in", with(analogIn(1e5), func(t *model.Terminal) { t.Impedance = nil })).wire("out", "", "in").Net,
		"output current":   sketch().at("out", with(analogOut(0.01), func(t *model.Terminal) { t.MaxCurrent = nil })).at("in", analogIn(1e5)).wire("out", "", "in").Net,
		"input range":      sketch().at("out", analogOut(0.01)).at("in", with(analogIn(1e5), func(t *model.Terminal) { t.Range = nil })).wire("out", "", "in").Net,
		"burden":           sketch().at("out", transmitter("source")).at("in", with(currentIn(250, "none"), func(t *model.Terminal) { t.Burden = nil })).wire("out", "", "in").Net,
		"loop power":       sketch().at("out", transmitter("")).at("in", currentIn(250, "none")).wire("out", "", "in").Net,
		"lift-off":         sketch().at("out", with(transmitter("sink"), func(t *model.Terminal) { t.LiftOff = nil })).at("in", currentIn(250, "source")).wire("out", "", "in").Net,
		"leakage":          sketch().at("triac", with(triac(), func(t *model.Terminal) { t.Snubber = nil })).at("s", acSupply(24, 40)).at("coil", coil("ac", 24, 6, 12)).wire("triac", "s", "coil").Net,
		"holding current":  sketch().at("triac", with(triac(), func(t *model.Terminal) { t.Holding = nil })).at("s", acSupply(24, 40)).at("coil", coil("ac", 24, 6, 12)).wire("triac", "s", "coil").Net,
		"length":           sketch().at("s", acSupply(24, 100)).at("damper", load24(30)).wire("s", "", "damper").last(func(c *model.Circuit) { c.Conductor.LengthFt = nil }).Net,
		"phases":           sketch().at("s", service(208, 3)).at("motor", motor(200, 200)).wire("s", "", "motor").last(mains).Net,
		"nameplate":        sketch().at("s", service(208, 3)).at("motor", with(motor(200, 200, 3), func(t *model.Terminal) { t.Volts = nil })).wire("s", "", "motor").last(mains).Net,
		"unit load": func() Net {
			n := trunk(3, 0)
			n.Devices[2].Spec.Terminals[0].UnitLoad = nil
			return n
		}(),
	} {
		if v := Check(b.lib, &b.p, net).Circuits[0].Verdict; v != model.Unknown {
			t.Errorf("%s left out: %s", name, v)
		}
	}
}

// Of a transistor output and an input one sinks and the other sources; what the
// input does has to be known, and the types of the standard sink. A coil with
// two free leads works with either, and so does a two-wire sensor (IEC 61131-2).
func TestSinkAndSource(t *testing.T) {
	b := onBench(t)
	output := func(sinks *bool) model.Terminal {
		return model.Terminal{Nature: model.Transistor, Drives: true, Current: "dc", Sinking: sinks, Leakage: ptr(0.0), OnDrop: ptr(0.5), Volts: model.Span(0, 30),
			Ratings: []model.LoadRating{{Current: "dc", Volts: 30, Amps: 0.5, Inrush: ptr(1.0), Duty: "DC-13"}}}
	}
	plain := with(classInput("", "dc"), func(t *model.Terminal) { t.Volts, t.Impedance = model.Span(15, 30), model.Span(3000, 3000) })
	sinking := with(plain, func(t *model.Terminal) { t.Sinking = ptr(true) })
	sourcing := with(plain, func(t *model.Terminal) { t.Sinking = ptr(false) })
	for _, c := range []struct {
		output *bool
		input  model.Terminal
		want   model.Verdict
	}{
		{ptr(true), classInput("iec61131-2/24vdc/1", "dc"), model.Fault}, {ptr(false), classInput("iec61131-2/24vdc/1", "dc"), model.Pass},
		{ptr(true), sinking, model.Fault}, {ptr(true), sourcing, model.Pass}, {ptr(false), sourcing, model.Fault}, {ptr(false), sinking, model.Pass},
		{ptr(true), plain, model.Unknown}, {nil, plain, model.Pass}, {nil, classInput("iec61131-2/24vdc/1", "dc"), model.Pass}, {ptr(true), coil("dc", 24, 3, 3), model.Pass},
	} {
		net := sketch().at("output", output(c.output)).at("input", c.input).at("panel", dcSupply(24, 24)).wire("output", "panel", "input").Net.machine()
		wantVerdict(t, Check(b.lib, &b.p, net), "output to input", "nature", c.want)
		if fix := b.repaired(net).Circuits[0].Fix; c.want == model.Fault && (fix == nil || len(fix.Parts) == 0 || !strings.Contains(fix.Parts[0], "relay")) {
			t.Errorf("a relay between serves: %+v", fix)
		}
	}
}

// A half-wave device gets nothing from a DC feed whose two wires are swapped, a
// full-wave one does not mind, and of an unknown one it cannot be told. Another
// one of the same type wired rightly is not mixed up with it.
func TestSwappedDCFeed(t *testing.T) {
	b := onBench(t)
	for rectifier, want := range map[string]model.Verdict{"half-wave": model.Fault, "full-wave": model.Pass, "": model.Unknown, "none": model.Pass} {
		device := rectified(rectifier, false, false)
		device[0].Current = "ac/dc"
		d := sketch().at("panel", dcSupply(24, 24)).at("A", device...).at("B", device...).wire("panel", "", "A:power").wire("panel", "", "B:power").last(func(c *model.Circuit) { c.Accepts[0].Reversed = true })
		d.Devices[2].Spec = d.Devices[1].Spec
		r := Check(b.lib, &b.p, d.Net)
		wantVerdict(t, r, "panel to A:power", "ac-dc", model.Pass)
		wantVerdict(t, r, "panel to B:power", "ac-dc", want)
		if fix := b.repaired(d.Net.machine()).Circuits[1].Fix; want == model.Fault && (fix == nil || !strings.Contains(fix.Summary, "swap the two supply wires of B")) {
			t.Errorf("%+v", fix)
		}
	}
}
