package circuit

import (
	"fmt"
	"strings"
	"testing"

	"tallywire/model"
)

func secondary(earthed string, phase float64) model.Terminal {
	t := acSupply(24, 40)
	t.Earthed, t.EarthLead = ptr(earthed != ""), earthed
	t.PhaseDeg = &phase
	return t
}

// shared is one arrangement of devices on one or two transformers.
type shared struct {
	name    string
	a, b    string // rectifiers; "" no second device
	swapB   bool
	joined  bool
	isolate bool
	earth1  string
	earth2  string // "-" one transformer only
	phase2  float64
	earthA  bool // A's common is earthed in the device
	earthB  bool
	want    model.Verdict
	words   string
}

func (s shared) net() Net {
	d := &drawn{}
	t2 := "T1"
	d.at("T1", secondary(s.earth1, 0))
	if s.earth2 != "-" {
		t2 = "T2"
		d.at("T2", secondary(s.earth2, s.phase2))
	}
	d.at("A", rectified(s.a, s.isolate, s.earthA)...).wire("T1", "", "A:power")
	if s.b != "" {
		d.at("B", rectified(s.b, s.isolate, s.earthB)...).wire(t2, "", "B:power")
		d.last(func(c *model.Circuit) { c.Accepts[0].Reversed = s.swapB })
	}
	if s.joined {
		d.wire("A:out", "", "B:in")
	}
	return d.Net
}

// The arrangements of half-wave and full-wave devices on shared 24 V AC
// transformers, with the verdicts of a nodal circuit solution.
func arrangements() []shared {
	return []shared{
		{"1", "half-wave", "half-wave", false, true, false, "", "-", 0, false, false, model.Pass, ""},
		{"2", "half-wave", "half-wave", true, false, false, "", "-", 0, false, false, model.Caution, "differ by 24 V"},
		{"3", "half-wave", "half-wave", true, true, false, "", "-", 0, false, false, model.Fault, "dead short in both half-cycles"},
		{"4", "half-wave", "full-wave", false, true, true, "", "-", 0, false, false, model.Pass, ""},
		{"5", "half-wave", "full-wave", false, true, false, "", "-", 0, false, false, model.Fault, "half of every cycle"},
		{"6", "half-wave", "full-wave", true, true, false, "", "-", 0, false, false, model.Fault, "half of every cycle"},
		{"7", "full-wave", "full-wave", false, true, false, "", "-", 0, false, false, model.Pass, ""},
		{"8", "full-wave", "full-wave", true, true, false, "", "-", 0, false, false, model.Pass, ""},
		{"9", "full-wave", "", false, false, false, "x2", "-", 0, false, false, model.Pass, ""},
		{"10", "full-wave", "", false, false, false, "x2", "-", 0, true, false, model.Fault, "half of every cycle"},
		{"11", "half-wave", "", false, false, false, "x2", "-", 0, false, false, model.Pass, ""},
		{"12", "half-wave", "", false, false, false, "x1", "-", 0, true, false, model.Fault, "dead short in both half-cycles"},
		{"13", "half-wave", "full-wave", false, true, false, "", "", 0, false, false, model.Pass, ""},
		{"14", "half-wave", "full-wave", false, true, false, "x2", "", 0, false, false, model.Pass, ""},
		{"15", "half-wave", "full-wave", false, true, false, "x2", "x2", 0, false, false, model.Fault, "lead of T2"},
		{"16", "half-wave", "full-wave", false, true, true, "x2", "x2", 0, false, false, model.Pass, ""},
		{"19", "full-wave", "full-wave", false, true, false, "x2", "x2", 0, false, false, model.Pass, ""},
		{"20", "full-wave", "full-wave", false, true, false, "x2", "x2", 180, false, false, model.Fault, "67.88 V peak"},
		{"21", "full-wave", "full-wave", false, true, false, "x2", "x2", 120, false, false, model.Fault, "58.79 V peak"},
	}
}

func TestSharedTransformers(t *testing.T) {
	b := onBench(t)
	for _, s := range arrangements() {
		r := Check(b.lib, &b.p, s.net())
		got, text := model.Pass, ""
		for _, c := range r.Circuits {
			for _, k := range c.Checks {
				if k.Code == "common-short" {
					got = model.Worst(got, k.Verdict)
					if k.Verdict != model.Pass {
						text += k.Text + "\n"
					}
				}
			}
		}
		if got != s.want || !strings.Contains(text, s.words) {
			t.Errorf("case %s: %s, want %s with %q\n%s", s.name, got, s.want, s.words, text)
		}
	}
}

// Cases 17 and 18: paralleled secondaries, in phase and in reverse.
func TestParalleledSecondaries(t *testing.T) {
	b := onBench(t)
	for _, c := range []struct {
		reversed, listed bool
		want             model.Verdict
		words            string
	}{{false, false, model.Fault, "interconnected"}, {true, false, model.Fault, "dead short"}, {true, true, model.Fault, "dead short"}, {false, true, model.Pass, "no way"}} {
		one, two := secondary("", 0), secondary("", 0)
		one.ParallelListed, two.ParallelListed = &c.listed, &c.listed
		d := (&drawn{}).at("T1", one).at("T2", two).wire("T1", "", "T2").last(func(x *model.Circuit) { x.Accepts[0].Reversed = c.reversed })
		r := Check(b.lib, &b.p, d.Net)
		got := one1(r, "common-short")
		if got.Verdict != c.want || !strings.Contains(got.Text, c.words) {
			t.Errorf("reversed %v, listed %v: %s %s", c.reversed, c.listed, got.Verdict, got.Text)
		}
	}
}

// one1 is the worst check of a code in the whole result.
func one1(r Result, code string) model.Check {
	var best model.Check
	for _, c := range r.Circuits {
		for _, k := range c.Checks {
			if k.Code == code && (best.Code == "" || k.Verdict.Rank() > best.Verdict.Rank()) {
				best = k
			}
		}
	}
	return best
}

// A rectifier that nobody stated cannot be told; it says what would pass.
func TestUnknownRectifier(t *testing.T) {
	b := onBench(t)
	s := shared{"", "half-wave", "", false, true, false, "", "-", 0, false, false, model.Unknown, ""}
	d := &drawn{}
	d.at("T1", secondary("", 0)).at("A", rectified(s.a, false, false)...).at("B", rectified("", false, false)...)
	d.wire("T1", "", "A:power").wire("T1", "", "B:power").wire("A:out", "", "B:in")
	got := one1(Check(b.lib, &b.p, d.Net), "common-short")
	if got.Verdict != model.Unknown || !strings.Contains(got.Text, "B is half-wave or full-wave") || !strings.Contains(got.Text, "would pass") {
		t.Errorf("%s: %s", got.Verdict, got.Text)
	}
	// Alone on its transformer it is of no matter.
	e := &drawn{}
	e.at("T1", secondary("", 0)).at("B", rectified("", false, false)...).wire("T1", "", "B:power")
	if got := one1(Check(b.lib, &b.p, e.Net), "common-short"); got.Verdict != model.Pass {
		t.Errorf("alone: %s: %s", got.Verdict, got.Text)
	}
}

// Circuit analysis: 24 V rms, 40 VA with 10 % regulation, a diode of 0.7 V and 0.05 ohm.
func TestXFFigures(t *testing.T) {
	printed(t, "XF-1 peak", Peak(24), 33.94, 0.005)
	ohm := SourceOhm(24, 40, 0.10)
	printed(t, "XF-2 source ohm", ohm, 1.44, 0.0005)
	printed(t, "XF-2 bolted A", 24/ohm, 16.67, 0.005)
	printed(t, "XF-3 peak A", ShortPeak(24, ohm+0.05, 0.7), 22.3, 0.05)
	printed(t, "XF-4 peak A", ShortPeak(24, ohm+2*50*7.95/1000, 1.0), 14.7, 0.05)
	printed(t, "XF-5 in phase", BetweenHots(24, 24, 0), 0, 1e-9)
	printed(t, "XF-5 reversed", BetweenHots(24, 24, 180), 48, 1e-9)
	printed(t, "XF-5 reversed peak", Peak(BetweenHots(24, 24, 180)), 67.9, 0.05)
	printed(t, "XF-5 120 degrees", BetweenHots(24, 24, 120), 41.6, 0.05)
}

// Transformers of unknown phase are met in phase and opposed, every two of them:
// the first and the third as well as neighbours, whatever stands beside them;
// and two of which only one is on the joined commons say nothing.
func TestEveryTwoPhases(t *testing.T) {
	b := onBench(t)
	open := func() model.Terminal {
		s := secondary("x2", 0)
		s.PhaseDeg = nil
		return s
	}
	for _, c := range []struct {
		a, b string
		want model.Verdict
	}{{"T1", "T2", model.Unknown}, {"T1", "T3", model.Unknown}, {"T2", "T4", model.Unknown}, {"T1", "T5", model.Unknown}, {"T3", "T3", model.Pass}} {
		d := sketch()
		for i := range 5 {
			id := fmt.Sprintf("T%d", i+1)
			d.at(id, open()).at("load"+id, load24(5)).wire(id, "", "load"+id)
		}
		d.at("A", rectified("full-wave", false, false)...).at("B", rectified("full-wave", false, false)...).
			wire(c.a, "", "A:power").wire(c.b, "", "B:power").wire("A:out", "", "B:in")
		got := one1(Check(b.lib, &b.p, d.Net), "common-short")
		if got.Verdict != c.want || c.want == model.Unknown && !strings.Contains(got.Text, "phase") {
			t.Errorf("%s and %s: %s: %s", c.a, c.b, got.Verdict, got.Text)
		}
	}
}

// A dead short on one transformer hides nothing that is wrong on another, though
// both are earthed: through earth alone no current passes between them.
func TestOneShortHidesNoOther(t *testing.T) {
	b := onBench(t)
	d := sketch().at("T1", secondary("x2", 0)).at("T2", secondary("x2", 0)).
		at("A", rectified("half-wave", false, false)...).at("B", rectified("half-wave", false, false)...).at("C", rectified("full-wave", false, true)...).
		wire("T1", "", "A:power").wire("T1", "", "B:power").last(func(c *model.Circuit) { c.Accepts[0].Reversed = true }).wire("A:out", "", "B:in").
		wire("T2", "", "C:power")
	r := Check(b.lib, &b.p, d.Net)
	wantVerdict(t, r, "T1 to B:power", "common-short", model.Fault)
	wantVerdict(t, r, "T2 to C:power", "common-short", model.Fault)
}
