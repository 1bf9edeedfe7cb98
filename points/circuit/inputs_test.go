package circuit

import (
	"testing"

	"tallywire/model"
)

// IEC 61131-2 standard operating ranges; supply 24 V DC -15 % (IEC 61131-2).
func TestDI1TwoWireSensorIntoInputTypes(t *testing.T) {
	sensor := model.Terminal{Nature: model.Transistor, Drives: true, Current: "dc", OnDrop: ptr(8.0), Leakage: ptr(0.0015),
		Ratings: []model.LoadRating{{Current: "dc", Volts: 30, Amps: 0.2}}}
	for kind, want := range map[string]model.Verdict{"1": model.Fault, "2": model.Pass, "3": model.Pass} {
		b := onBench(t).put("supply", dcSupply(24*0.85, 24*0.85)).put("sensor", sensor).put("plc", classInput("iec61131-2/24vdc/"+kind, "dc"))
		b.join("c", "sensor", "supply", "plc").Conductor = model.Conductor{Gauge: 18, LengthFt: ptr(0.0)}
		r := b.check()
		wantVerdict(t, r, "c", "under-voltage", want)
		printed(t, "volts at the input", one(t, r, "c", "under-voltage").Value.Lo, 12.4, 0.005)
	}
}

// IEC 61131-2: leakage of 1.5 mA against the transition currents 0.5, 2 and 1.5 mA.
func TestDI2LeakageIntoInputTypes(t *testing.T) {
	sensor := model.Terminal{Nature: model.Transistor, Drives: true, Current: "dc", OnDrop: ptr(1.0), Leakage: ptr(0.0015),
		Ratings: []model.LoadRating{{Current: "dc", Volts: 30, Amps: 0.2}}}
	for kind, want := range map[string]model.Verdict{"1": model.Fault, "2": model.Pass, "3": model.Pass} {
		b := onBench(t).put("supply", dcSupply(24, 24)).put("sensor", sensor).put("plc", classInput("iec61131-2/24vdc/"+kind, "dc"))
		b.join("c", "sensor", "supply", "plc")
		wantVerdict(t, b.check(), "c", "stays-on", want)
	}
	real := classInput("iec61131-2/24vdc/1", "dc") // 7 mA at 24 V
	real.Impedance, real.Off = model.Span(24/0.007, 24/0.007), &model.Threshold{Volts: 5}
	b := onBench(t).put("supply", dcSupply(24, 24)).put("sensor", sensor).put("plc", real)
	b.join("c", "sensor", "supply", "plc")
	r := b.check()
	wantVerdict(t, r, "c", "stays-on", model.Fault)
	printed(t, "volts left", one(t, r, "c", "stays-on").Value.Lo, 5.14, 0.005)
}

// NAMUR amplifier 8.2 V / 1 kohm, contact with 1 kohm in series and 10 kohm across (IEC 60947-5-6).
func TestDI3Namur(t *testing.T) {
	r := onBench(t).lib.Ratings
	closed, open := NamurAmps(r, 1000), NamurAmps(r, 1000+10000)
	printed(t, "closed mA", closed*1000, 4.10, 0.005)
	printed(t, "open mA", open*1000, 0.683, 0.0005)
	for _, c := range []struct {
		amps float64
		want string
	}{{closed, "closed"}, {open, "open"}, {0, "break"}, {NamurAmps(r, 0), "short"}} {
		if got := NamurReading(r, c.amps); got != c.want {
			t.Errorf("%v A reads %q, want %q", c.amps, got, c.want)
		}
	}
	if NamurReading(r, 0.0015) != "" {
		t.Error("1.5 mA is between the thresholds")
	}
}

// S0 meter of 1000 imp/kWh at 50 and 100 kW (IEC 62053-31).
func TestDI4S0Rate(t *testing.T) {
	most := S0Rate(onBench(t).lib.Ratings)
	printed(t, "Hz", most, 16.67, 0.005)
	at := func(kW float64) float64 { return kW * 1000 / 3600 }
	printed(t, "50 kW", at(50), 13.89, 0.005)
	printed(t, "100 kW", at(100), 27.78, 0.005)
	if at(50) > most || at(100) <= most || at(50) <= 10 {
		t.Error("50 kW passes S0 but not a 10 pulse/s input; 100 kW fails")
	}
	printed(t, "highest kW", most*3600/1000, 60, 1e-9)
}

// Class A S0 output, 300 ohm on, into 24 V / 1.1 kohm and into 12 V / 15 kohm.
func TestDI5S0Current(t *testing.T) {
	r := onBench(t).lib.Ratings
	amps := 24.0 / (1100 + 300)
	printed(t, "mA", amps*1000, 17.1, 0.05)
	if !S0Good(r, "a", amps) || S0Good(r, "a", 0.0008) || S0Good(r, "b", 0.0008) {
		t.Error("17.1 mA is good for class A; 0.8 mA for neither class")
	}
}

// DI-3 and DI-5 as circuits (IEC 60947-5-6, IEC 62053-31).
func TestPulseAndNamurCircuits(t *testing.T) {
	s0 := model.Terminal{Nature: model.Pulse, Drives: true, InputClass: "s0/a"}
	for ohm, want := range map[float64]model.Verdict{1400: model.Pass, 15000: model.Fault} {
		in := dryInput(24, ohm)
		in.Nature = model.Pulse
		b := onBench(t).put("meter", s0).put("in", in)
		b.join("c", "meter", "", "in")
		r := b.check()
		wantVerdict(t, r, "c", "contact-underload", want)
		wantVerdict(t, r, "c", "over-voltage", model.Pass)
	}
	namur := dryInput(8.2, 1000)
	namur.InputClass = "namur"
	b := onBench(t).put("contact", contact(0.001)).put("in", namur)
	b.join("c", "contact", "", "in")
	wantVerdict(t, b.check(), "c", "nature", model.Fault)
}

// A resistor across a dry input closes it for good; on a NAMUR input it tells
// an open contact from a broken wire.
func TestResistorAcrossADryInput(t *testing.T) {
	for _, c := range []struct {
		ohm   float64
		class string
		want  model.Verdict
	}{{500, "", model.Fault}, {100e3, "", ""}, {10e3, "namur", ""}} {
		in := dryInput(18, 3000)
		in.InputClass = c.class
		b := onBench(t).put("contact", contact(0.001)).put("in", in)
		b.join("c", "contact", "", "in").Across = []model.Resistor{{At: end("in"), Ohm: model.Exactly(c.ohm), Watts: ptr(1.0)}}
		r := b.check()
		wantVerdict(t, r, "c", "stays-on", c.want)
		if got := verdict(r, "c", "nature"); got != model.Pass {
			t.Errorf("%v ohm: nature %s", c.ohm, got)
		}
	}
}
