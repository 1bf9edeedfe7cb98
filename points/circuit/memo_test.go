package circuit

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"tallywire/model"
)

// Two fans of one device type differ when one has a start circuit and the other
// has none, and by nothing else: the memory must not mix them up.
func TestMemoryKeepsStartsApart(t *testing.T) {
	b := onBench(t)
	live := with(analogOut(0.01), func(t *model.Terminal) { t.Range = model.Span(2, 10) })
	fan := &model.DeviceType{ID: "fan", Name: "fan", Logic: &model.CommandLogic{StartLogic: "gates-speed"}, Terminals: []model.Terminal{
		with(analogIn(1e5), func(t *model.Terminal) { t.ID, t.Range, t.RunThreshold = "speed", model.Span(2, 10), ptr(2.0) }),
		with(dryInput(24, 3000), func(t *model.Terminal) { t.ID = "start" })}}
	d := sketch().at("output 1", live).at("output 2", live).at("relay", gold())
	d.Devices[1].Spec = d.Devices[0].Spec
	d.Devices = append(d.Devices, model.Device{ID: "fan 1", Spec: fan}, model.Device{ID: "fan 2", Spec: fan})
	d.wire("output 1", "", "fan 1:speed").wire("output 2", "", "fan 2:speed").wire("relay", "", "fan 1:start").last(func(c *model.Circuit) { c.Purpose = "start" })
	r := Check(b.lib, &b.p, d.Net)
	wantVerdict(t, r, "output 1 to fan 1:speed", "no-stop", model.Pass)
	wantVerdict(t, r, "output 2 to fan 2:speed", "no-stop", model.Fault)
	for logic, want := range map[string]model.Verdict{"or": model.Fault, "": model.Unknown} {
		fan.Logic = &model.CommandLogic{StartLogic: logic}
		wantVerdict(t, Check(b.lib, &b.p, d.Net), "output 1 to fan 1:speed", "no-stop", want)
	}
}

// What is remembered is what would be computed: hundreds of random nets, with
// and without the memory.
func TestMemoryAgrees(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(13, 17))
	shared := newMemo()
	for range 400 {
		n := randomCircuit(r)
		x, y := newIndex(b.lib, &b.p, n), newIndex(b.lib, &b.p, n)
		x.memo = shared
		first, second, plain := x.all(), x.all(), y.all()
		if !reflect.DeepEqual(first, plain) || !reflect.DeepEqual(second, plain) {
			t.Fatalf("%+v\n%+v", first, plain)
		}
	}
}

// A supply whose voltage may stray further never makes a circuit better: worst
// case by intervals.
func TestWiderNeverHelps(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(19, 23))
	compared := 0
	for range 2000 {
		n := randomCircuit(r)
		narrow := Check(b.lib, &b.p, n).Circuits[0].Checks
		wider := Net{Circuits: n.Circuits}
		for _, d := range n.Devices {
			spec := *d.Spec
			spec.Terminals = append([]model.Terminal{}, d.Spec.Terminals...)
			for i := range spec.Terminals {
				if s := &spec.Terminals[i]; s.Volts != nil && isSource(s) {
					by := 1 + r.Float64()
					s.Volts = model.Span(s.Volts.Lo-by, s.Volts.Hi+by) // the middle stays
				}
				if a := &spec.Terminals[i]; a.Impedance != nil {
					a.Impedance = model.Span(a.Impedance.Lo*0.9, a.Impedance.Hi*1.1)
				}
			}
			d.Spec = &spec
			wider.Devices = append(wider.Devices, d)
		}
		verdicts := map[string]model.Verdict{}
		for _, k := range Check(b.lib, &b.p, wider).Circuits[0].Checks {
			verdicts[k.Code] = model.Worst(verdicts[k.Code], k.Verdict)
		}
		for _, k := range narrow {
			compared++
			if v, asked := verdicts[k.Code]; asked && v.Rank() < k.Verdict.Rank() && k.Code != "conductor-drop" {
				t.Errorf("%s was %s (%s) and is %s with wider limits", k.Code, k.Verdict, k.Text, v)
			}
		}
	}
	if compared < 5000 {
		t.Errorf("only %d checks compared", compared)
	}
}

// The power of a resistor in a 21 mA loop: 500 ohm turns 0.22 W to heat.
func TestDissipation(t *testing.T) {
	for watts, want := range map[float64]model.Verdict{0.25: model.Pass, 0.2: model.Fault} {
		b := onBench(t).put("sensor", transmitter("source")).put("in", with(analogIn(1e6), func(t *model.Terminal) { t.Range = model.Span(2, 10) }))
		b.join("c", "sensor", "", "in").Across = []model.Resistor{{At: end("in"), Ohm: model.Exactly(500), Watts: &watts}}
		wantVerdict(t, b.check(), "c", "dissipation", want)
	}
}
