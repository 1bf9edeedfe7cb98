package circuit

import (
	"testing"

	"tallywire/model"
)

// Snubber leakage 2 pi f C V; published 2.1 and 4.3 mA.
func TestTRSnubbers(t *testing.T) {
	mA := func(nF, volts, hertz float64) float64 { return volts / Reactance(nF*1e-9, hertz) * 1000 }
	printed(t, "TR-1 120 V", mA(47, 120, 60), 2.126, 0.0005)
	printed(t, "TR-1 240 V", mA(47, 240, 60), 4.252, 0.0005)
	printed(t, "TR-2 24 V", mA(100, 24, 60), 0.905, 0.0005)
	printed(t, "TR-2 120 V", mA(100, 120, 60), 4.524, 0.0005)
	printed(t, "TR-2 277 V", mA(100, 277, 60), 10.44, 0.005)
	printed(t, "TR-2 230 V 50 Hz", mA(100, 230, 50), 7.226, 0.0005)
	printed(t, "TR-3 reactance", Reactance(100e-9, 60)/1000, 26.53, 0.005)
	printed(t, "TR-3", SnubberVolts(24, 100e-9, 60, 10e3), 8.47, 0.005)
	total, bleeder := Bleeder(24, 5, 100e-9, 60, 10e3)
	printed(t, "TR-4 total", total, 5650, 5)
	printed(t, "TR-4 bleeder kohm", bleeder/1000, 12.99, 0.005)
	printed(t, "TR-4 W", 24*24/total, 0.10, 0.005)
	if StandardBelow(bleeder) != 12000 {
		t.Errorf("next lower standard value %v", StandardBelow(bleeder))
	}
	ohm, watts := TopUp(24, 0.030, 0)
	printed(t, "TR-5 no load ohm", ohm, 800, 1e-9)
	printed(t, "TR-5 no load W", watts, 0.72, 1e-9)
	ohm, watts = TopUp(24, 0.030, 0.010)
	printed(t, "TR-5 top-up ohm", ohm, 1200, 1e-9)
	printed(t, "TR-5 top-up W", watts, 0.48, 1e-9)
	printed(t, "TR-9 mA", CableLeak(500, 120, 60)*1000, 0.679, 0.0005)
	printed(t, "TR-9 ft", 0.001/CableLeak(1, 120, 60), 737, 0.5)
	printed(t, "TR-7 V", 0.003*6000, 18, 1e-9)
}

func TestTRCircuits(t *testing.T) {
	wire := func(r *bench) { r.net.Circuits[0].Conductor = model.Conductor{Gauge: 18, LengthFt: ptr(50.0)} }
	for _, c := range []struct {
		name    string
		triac   model.Terminal
		supply  model.Terminal
		load    model.Terminal
		code    string
		want    model.Verdict
		printed float64
	}{
		{"TR-3 100 nF into 10 kohm", triac(), acSupply(24, 40), acInput(10e3), "stays-on", model.Fault, 8.47},
		{"TR-6 1 VA relay, 30 mA", triac(), acSupply(24, 40), coil("ac", 24, 1, 1), "holding-current", model.Pass, 0.0417},
		{"TR-6 1 VA relay, 50 mA", holding(triac(), 0.050), acSupply(24, 40), coil("ac", 24, 1, 1), "holding-current", model.Fault, 0.0417},
		{"TR-7 3 mA into 6 kohm", leaking(0.003), acSupply(24, 40), acInput(6e3), "stays-on", model.Fault, 18},
		{"TR-8 47 nF into type 1", snubbed(47e-9), acSupply(120, 1000), classInput("iec61131-2/120vac/1", "ac"), "stays-on", model.Fault, 0.002126},
		{"TR-8 47 nF into type 2", snubbed(47e-9), acSupply(120, 1000), classInput("iec61131-2/120vac/2", "ac"), "stays-on", model.Pass, 0.002126},
	} {
		b := onBench(t).put("triac", c.triac).put("supply", c.supply).put("load", c.load)
		b.join("c", "triac", "supply", "load")
		wire(b)
		r := b.check()
		wantVerdict(t, r, "c", c.code, c.want)
		printed(t, c.name, one(t, r, "c", c.code).Value.Lo, c.printed, c.printed*0.0009)
	}
	for ft, want := range map[float64]model.Verdict{500: model.Pass, 736: model.Pass, 738: model.Caution} {
		b := onBench(t).put("contact", contact(0.0001, "B300")).put("supply", acSupply(120, 1000)).put("in", classInput("iec61131-2/120vac/1", "ac"))
		b.join("c", "contact", "supply", "in").Conductor = model.Conductor{Gauge: 14, LengthFt: &ft}
		wantVerdict(t, b.check(), "c", "stays-on", want)
	}
}

func holding(t model.Terminal, amps float64) model.Terminal { t.Holding = &amps; return t }

func leaking(amps float64) model.Terminal {
	t := triac()
	t.Snubber, t.Leakage = nil, &amps
	return t
}

func snubbed(farad float64) model.Terminal {
	t := triac()
	t.Snubber = &farad
	t.Ratings[0].Volts = 240
	return t
}

// The holding current counts at the lowest voltage: 1 VA at 24 V is 41.7 mA,
// and 37.5 mA at 21.6 V.
func TestHoldingAtTheLowestVoltage(t *testing.T) {
	nominal := acSupply(24, 40)
	nominal.Absolute = false
	for amps, want := range map[float64]model.Verdict{0.0375: model.Pass, 0.038: model.Fault} {
		b := onBench(t).put("triac", holding(triac(), amps)).put("supply", nominal).put("load", coil("ac", 24, 1, 1))
		b.join("c", "triac", "supply", "load").Conductor = model.Conductor{Gauge: 18, LengthFt: ptr(10.0)}
		r := b.check()
		wantVerdict(t, r, "c", "holding-current", want)
		printed(t, "A", one(t, r, "c", "holding-current").Value.Lo, 0.0375, 1e-9)
	}
}
