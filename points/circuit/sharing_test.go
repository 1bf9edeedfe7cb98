package circuit

import (
	"strings"
	"testing"

	"tallywire/model"
)

// One pole in two circuits: a changeover contact may, when one source wets both
// its throws; no other may.
func TestSharedPoles(t *testing.T) {
	b := onBench(t)
	for _, c := range []struct {
		form   string
		second string
		want   model.Verdict
	}{{"changeover", "panel", ""}, {"changeover", "other", model.Fault}, {"normally-open", "panel", model.Fault}} {
		pole := with(gold(), func(t *model.Terminal) { t.Form = c.form })
		d := sketch().at("box", pole).at("panel", acSupply(24, 40)).at("other", acSupply(24, 40)).at("a", coil("ac", 24, 6, 12)).at("b", coil("ac", 24, 6, 12)).
			wire("box", "panel", "a").wire("box", c.second, "b")
		r := Check(b.lib, &b.p, d.Net)
		for _, id := range []string{"box to a", "box to b"} {
			if got := verdict(r, id, "shared-contact"); got != c.want {
				t.Errorf("%s, second on %s: %s is %q", c.form, c.second, id, got)
			}
		}
	}
}

// An analog output may feed several inputs in circuits of their own; two points
// on one controller terminal may not be.
func TestReusedTerminals(t *testing.T) {
	b := onBench(t)
	out := with(analogOut(0.01), func(t *model.Terminal) { t.Class = "AO" })
	d := sketch().at("controller", out).at("a", analogIn(1e5)).at("b", analogIn(1e5)).wire("controller", "", "a").wire("controller", "", "b")
	if v := verdict(Check(b.lib, &b.p, d.Net), "controller to a", "terminal-reuse"); v != "" {
		t.Errorf("one point to two inputs: %s", v)
	}
	d.Circuits[0].Point, d.Circuits[1].Point = "EF-1/speed", "EF-2/speed"
	if v := verdict(Check(b.lib, &b.p, d.Net), "controller to a", "terminal-reuse"); v != model.Fault {
		t.Errorf("two points on one output: %s", v)
	}
	// Two feeds from one supply to one load are one feed; from two they meet.
	e := sketch().at("T1", acSupply(24, 40)).at("T2", acSupply(24, 40)).at("load", load24(5)).wire("T1", "", "load").wire("T2", "", "load")
	if v := verdict(Check(b.lib, &b.p, e.Net), "T1 to load", "terminal-reuse"); v != model.Fault {
		t.Errorf("a load on two supplies: %s", v)
	}
}

// The sums of a supply at their edges: 80 % of the nameplate, twice it for a moment.
func TestSupplyEdges(t *testing.T) {
	b := onBench(t)
	for _, c := range []struct {
		va, inrush float64
		want       model.Verdict
	}{{32, 32, model.Pass}, {32.1, 32.1, model.Fault}, {20, 80, model.Pass}, {20, 80.1, model.Caution}} {
		l := load24(c.va)
		l.Inrush = &model.Load{VA: &c.inrush}
		d := sketch().at("panel", acSupply(24, 40)).at("load", l).wire("panel", "", "load")
		if got := verdict(Check(b.lib, &b.p, d.Net), "panel to load", "supply-overload"); got != c.want {
			t.Errorf("%v VA, %v VA at the start: %s", c.va, c.inrush, got)
		}
	}
	share := 0.5
	b.p.Settings.Wiring.SupplyLoad = &share
	d := sketch().at("panel", acSupply(24, 40)).at("load", load24(25)).wire("panel", "", "load")
	if got := verdict(Check(b.lib, &b.p, d.Net), "panel to load", "supply-overload"); got != model.Fault {
		t.Errorf("25 VA of 40 where half may be used: %s", got)
	}
}

// The service at the point of use, not at the entrance (ANSI C84.1: 187 V and
// 197 V on 208 V), and its highest.
func TestServiceAtThePointOfUse(t *testing.T) {
	b := onBench(t)
	for _, c := range []struct {
		lo, hi float64
		want   model.Verdict
	}{{187, 218, model.Pass}, {190, 230, model.Fault}, {180, 217, model.Fault}} {
		m := motor(c.lo, c.hi, 3)
		m.Absolute = true
		d := sketch().at("service", service(208, 3)).at("motor", m).wire("service", "", "motor").last(mains)
		if got := verdict(Check(b.lib, &b.p, d.Net), "service to motor", "mains-range"); got != c.want {
			t.Errorf("%v to %v V: %s", c.lo, c.hi, got)
		}
	}
}

// Line to neutral needs a neutral.
func TestNeutral(t *testing.T) {
	b := onBench(t)
	for has, want := range map[bool]model.Verdict{true: model.Pass, false: model.Fault} {
		s, m := service(277, 1), motor(277, 277, 1)
		s.Neutral, m.Neutral = &has, ptr(true)
		d := sketch().at("service", s).at("motor", m).wire("service", "", "motor").last(mains)
		if got := verdict(Check(b.lib, &b.p, d.Net), "service to motor", "phase"); got != want {
			t.Errorf("neutral %v: %s", has, got)
		}
	}
}

// A load's VA count at its own nominal voltage where the supply states a range:
// 24 VA on 22.8 to 27.8 V are 1 A, and 24 VA in the sum.
func TestVACountAtTheLoadsVoltage(t *testing.T) {
	b := onBench(t)
	panel := with(acSupply(24, 40), func(t *model.Terminal) { t.Volts = model.Span(22.8, 27.8) })
	r := Check(b.lib, &b.p, sketch().at("panel", panel).at("load", load24(24)).wire("panel", "", "load").last(long(100)).Net)
	printed(t, "VA", r.Supplies[0].RunningVA, 24, 1e-9)
	printed(t, "V lost", one(t, r, "panel to load", "conductor-drop").Value.Lo, 2*100*7.95/1000, 1e-9)
}

// An input named twice in one circuit is told of that circuit, once.
func TestNamedTwice(t *testing.T) {
	b := onBench(t)
	r := Check(b.lib, &b.p, sketch().at("relay", gold()).at("input", dryInput(24, 3000)).wire("relay", "", "input", "input").Net)
	if len(r.Findings) != 1 || r.Findings[0].Code != "terminal-reuse" || !strings.Contains(r.Findings[0].Message, "input:t1 twice") {
		t.Errorf("%+v", r.Findings)
	}
}
