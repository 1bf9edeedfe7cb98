package circuit

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tallywire/model"
)

var everyNature = []model.Nature{model.Contact, model.SolidState, model.Transistor, model.VoltageOut, model.AnalogVoltage, model.AnalogCurrent, model.Pulse, model.Resistance,
	model.SupplyOut, model.Bus, model.ContactSense, model.VoltageSense, model.Coil, model.PowerIn, ""}

// anyTerminal draws a terminal of which anything may be missing.
func anyTerminal(r *rand.Rand, id string) model.Terminal {
	maybe := func(list ...float64) *float64 {
		if r.IntN(3) == 0 {
			return nil
		}
		return ptr(list[r.IntN(len(list))])
	}
	span := func(list ...float64) *model.Interval {
		a, b := maybe(list...), maybe(list...)
		if a == nil || b == nil {
			return nil
		}
		return model.Span(math.Min(*a, *b), math.Max(*a, *b))
	}
	word := func(list ...string) string { return list[r.IntN(len(list))] }
	yes := func() *bool {
		if r.IntN(3) == 0 {
			return nil
		}
		return ptr(r.IntN(2) == 0)
	}
	t := model.Terminal{ID: id, Nature: everyNature[r.IntN(len(everyNature))], Drives: r.IntN(2) == 0, Function: word("", "start-dry", "start-wet", "speed-in", "status"),
		Current: word("ac", "dc", "ac/dc", ""), Common: word("", "a", "b"), Class: word("", "", "", "UI", "RO", "XX"), Isolated: yes(), Absolute: r.IntN(2) == 0,
		Volts: span(0, 12, 24, 120, 277), Leakage: maybe(0, 0.001), Snubber: maybe(0, 1e-8), Holding: maybe(0.03), OnDrop: maybe(0, 2), OffVolts: maybe(0, 5),
		Form: word("", "normally-open", "normally-closed", "changeover"), Impedance: span(0, 1000, 1e5), Burden: span(0, 100, 250), Range: span(0, 2, 4, 10, 20), RunThreshold: maybe(0, 2),
		SourceOhm: maybe(0, 50), MaxCurrent: maybe(0, 0.01), MaxLoop: span(0, 500), LoopPower: word("", "source", "sink", "none"), LoopVolts: span(12, 24), LiftOff: maybe(8, 12),
		Capacity: maybe(0, 40), MaxAmps: maybe(0, 1), ClassTwo: yes(), Regulation: maybe(0, 0.1), Rectifier: word("", "half-wave", "full-wave", "none"), Earthed: yes(), PhaseDeg: maybe(0, 120, 180),
		UnitLoad: maybe(0, 1), InputClass: word("", "", "iec61131-2/24vdc/1", "namur", "s0/a", "nonsense"), PrimaryToGround: maybe(120, 277), Pulled: yes(), Follows: word("", "trip"), Action: word("", "direct", "reverse")}
	if r.IntN(2) == 0 {
		t.Running, t.Inrush = &model.Load{VA: maybe(0, 5), Amps: maybe(0, 1)}, &model.Load{VA: maybe(5, 50)}
	}
	if r.IntN(2) == 0 {
		t.Wetting = &model.Wetting{Volts: model.Exactly(24), Amps: model.Exactly(0.005), Current: word("", "dc", "ac")}
	}
	if r.IntN(2) == 0 {
		t.On, t.Off = &model.Threshold{Volts: 10, Amps: maybe(0.002)}, &model.Threshold{Volts: 4, Amps: maybe(0.0005)}
	}
	if r.IntN(2) == 0 {
		t.PilotDuty, t.MinLoad = []string{word("B300", "R300", "B300, R300", "Z9")}, &model.MinimumLoad{Amps: 0.01, Volts: maybe(5), Watts: maybe(0.1)}
	}
	if r.IntN(2) == 0 {
		t.Ratings = []model.LoadRating{{Current: word("ac", "dc"), Volts: 30, Amps: 2, Duty: word("", "general", "pilot", "AC-15")}}
	}
	if r.IntN(2) == 0 {
		t.Phases = []int{1 + 2*r.IntN(2)}
	}
	return t
}

// anyNet draws devices and circuits that need not make sense.
func anyNet(r *rand.Rand) Net {
	var n Net
	for i := range 2 + r.IntN(4) {
		spec := &model.DeviceType{ID: "type", Category: []string{"", "relay", "supply"}[r.IntN(3)]}
		for k := range 1 + r.IntN(3) {
			spec.Terminals = append(spec.Terminals, anyTerminal(r, fmt.Sprintf("t%d", k+1)))
		}
		d := model.Device{ID: fmt.Sprintf("d%d", i+1), Equipment: "EF-1", Spec: spec}
		if r.IntN(20) == 0 {
			d.Spec = nil
		}
		n.Devices = append(n.Devices, d)
	}
	at := func() model.End {
		return model.End{Device: fmt.Sprintf("d%d", 1+r.IntN(6)), Terminal: fmt.Sprintf("t%d", 1+r.IntN(3)), Reversed: r.IntN(4) == 0}
	}
	for i := range 1 + r.IntN(5) {
		c := model.Circuit{ID: fmt.Sprintf("c%d", i+1), Equipment: "EF-1", Drive: at(), Purpose: []string{"", "mains", "start", "interlock"}[r.IntN(4)]}
		for range r.IntN(4) {
			c.Accepts = append(c.Accepts, at())
		}
		if r.IntN(2) == 0 {
			s := at()
			c.Supply = &s
		}
		if r.IntN(2) == 0 {
			c.Conductor = model.Conductor{Gauge: []int{0, 18, 7, 24}[r.IntN(4)], LengthFt: ptr(float64(r.IntN(3) * 100)), Count: r.IntN(4), Shielded: true, ShieldEarths: ptr(r.IntN(3))}
		}
		if len(c.Accepts) > 0 && r.IntN(3) == 0 {
			c.Across = []model.Resistor{{At: c.Accepts[0], Ohm: model.Exactly(500)}}
		}
		n.Circuits = append(n.Circuits, c)
	}
	n.Cables = []model.Cable{{ID: "W1", Circuits: []string{"c1", "c2", "nothing"}}}
	return n
}

// Whatever is wired: no panic, the same answer twice, verdicts that follow from
// the checks, texts without holes, figures that JSON can carry.
func TestAnyNet(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(29, 31))
	for round := range 1500 {
		n := anyNet(r)
		if round%20 == 0 {
			landAnywhere(t, b, n)
		}
		first, second := Check(b.lib, &b.p, n), Check(b.lib, &b.p, n)
		if round%100 == 0 {
			first, second = Repair(b.lib, &b.p, n, first), Repair(b.lib, &b.p, n, second)
			Apply(b.lib, n, first)
		}
		one, err := json.Marshal(first)
		two, _ := json.Marshal(second)
		if err != nil || string(one) != string(two) {
			t.Fatalf("round %d: %v\n%s\n%s", round, err, one, two)
		}
		for _, c := range first.Circuits {
			v := model.Pass
			for _, k := range c.Checks {
				v = model.Worst(v, k.Verdict)
				if k.Text == "" || k.Code == "" || k.Verdict == "" {
					t.Fatalf("round %d: %+v", round, k)
				}
			}
			if v != c.Verdict {
				t.Fatalf("round %d: %s is %s, its checks are %s", round, c.ID, c.Verdict, v)
			}
		}
		for _, f := range first.Findings {
			if f.Message == "" || f.Fix == "" || f.Subject == "" {
				t.Fatalf("round %d: %+v", round, f)
			}
		}
		if !slices.IsSortedFunc(first.Supplies, func(a, b model.Supply) int { return compareText(a.ID, b.ID) }) {
			t.Fatalf("round %d: %+v", round, first.Supplies)
		}
	}
}

// landAnywhere asks of every circuit with one end open whether it may land on
// every class: a mode and a verdict or a reason come back.
func landAnywhere(t *testing.T, b *bench, n Net) {
	t.Helper()
	judge := NewJudge(b.lib, &b.p, n)
	for i, c := range n.Circuits {
		if i%2 == 0 || len(c.Accepts) == 0 {
			c.Drive = model.End{}
		} else {
			c.Accepts = append([]model.End{{}}, c.Accepts[1:]...)
		}
		for _, class := range b.lib.Classes() {
			l := judge.Legal(c, class)
			if l.Verdict == "" || l.Verdict != model.Pass && len(l.Reasons) == 0 || len(l.Parts) > 0 && l.PriceCents == 0 {
				t.Fatalf("%s on %s: %+v", c.ID, class.ID, l)
			}
			if again := judge.Legal(c, class); again.Verdict != l.Verdict || !slices.Equal(again.Parts, l.Parts) {
				t.Fatalf("%s on %s: %+v and %+v", c.ID, class.ID, l, again)
			}
		}
	}
}

func compareText(a, b string) int {
	if a < b {
		return -1
	} else if a > b {
		return 1
	}
	return 0
}
