package circuit

import (
	"math"
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

// NEMA ICS 5, note to the pilot-duty table: from 120 V up the limit is VA / V.
func TestCR1B300At277Volts(t *testing.T) {
	d := onBench(t).lib.Ratings.PilotDuty["B300"]
	makes, breaks, _, ok := d.Limits(277)
	if !ok {
		t.Fatal("277 V is within 300 V")
	}
	printed(t, "make A", makes, 13.0, 0.05)
	printed(t, "break A", breaks, 1.30, 0.005)
	for _, c := range []struct {
		volts, run, inrush float64
		want               model.Verdict
	}{{277, 1.29, 12.9, model.Pass}, {277, 1.31, 5, model.Fault}, {277, 1, 13.1, model.Fault}, {480, 0.1, 0.1, model.Fault}} {
		load := coil("ac", c.volts, c.run*c.volts, c.inrush*c.volts)
		b := onBench(t).put("mains", acSupply(c.volts, 1e5)).put("relay", contact(0.001, "B300")).put("coil", load)
		b.join("c", "relay", "mains", "coil")
		wantVerdict(t, b.check(), "c", "contact-overload", c.want)
	}
	// A 277 V service stated as nominal is still within a 300 V contact.
	nominal := acSupply(277, 1e5)
	nominal.Absolute = false
	b := onBench(t).put("mains", nominal).put("relay", contact(0.001, "B300")).put("coil", coil("ac", 277, 100, 400))
	b.join("c", "relay", "mains", "coil")
	wantVerdict(t, b.check(), "c", "contact-overload", model.Pass)
}

// 120 V starter coil 218 VA inrush, 25 VA sealed (common practice) on a D300 contact (NEMA ICS 5).
func TestCR2StarterCoilOnD300(t *testing.T) {
	b := onBench(t).put("mains", acSupply(120, 1e5)).put("relay", contact(0.001, "D300")).put("coil", coil("ac", 120, 25, 218))
	b.join("c", "relay", "mains", "coil")
	r := b.check()
	wantVerdict(t, r, "c", "contact-overload", model.Pass)
	got := one(t, r, "c", "contact-overload")
	printed(t, "inrush A", got.Value.Lo, 1.817, 0.0005)
	printed(t, "make limit A", got.Limit.Lo, 3.6, 0.0005)
}

// DC pilot duty R300: 28 VA, capped at 1 A thermal (NEMA ICS 5).
func TestCR3R300OnDCCoils(t *testing.T) {
	for _, c := range []struct {
		volts, amps, limit float64
		want               model.Verdict
	}{{24, 0.9, 1.0, model.Pass}, {48, 0.7, 0.583, model.Fault}} {
		s := dcSupply(c.volts, c.volts)
		b := onBench(t).put("supply", s).put("relay", contact(0.001, "R300")).put("coil", coil("dc", c.volts, c.amps*c.volts, c.amps*c.volts))
		b.join("c", "relay", "supply", "coil")
		r := b.check()
		wantVerdict(t, r, "c", "contact-overload", c.want)
		printed(t, "limit A", one(t, r, "c", "contact-overload").Limit.Lo, c.limit, 0.0005)
	}
}

// Below 120 V the 120 V amperes hold, not VA / V (NEMA ICS 5 note).
func TestCR4A600At24Volts(t *testing.T) {
	makes, breaks, carries, _ := onBench(t).lib.Ratings.PilotDuty["A600"].Limits(24)
	if makes != 60 || breaks != 6 || carries != 10 {
		t.Errorf("A600 at 24 V AC: make %v, break %v, carry %v", makes, breaks, carries)
	}
	b := onBench(t).put("supply", acSupply(24, 1000)).put("relay", contact(0.001, "A600")).put("coil", coil("ac", 24, 6.5*24, 6.5*24))
	b.join("c", "relay", "supply", "coil")
	wantVerdict(t, b.check(), "c", "contact-overload", model.Fault)
}

// Minimum loads: silver 10 mA, gold 1 mA (common practice).
func TestCR5WettingOfStatusContacts(t *testing.T) {
	for _, c := range []struct {
		least, volts, ohm, milliamps float64
		want                         model.Verdict
	}{{0.010, 18, 3000, 6, model.Caution}, {0.001, 12, 15000, 0.8, model.Caution}, {0.001, 18, 3000, 6, model.Pass}} {
		b := onBench(t).put("status", contact(c.least)).put("input", dryInput(c.volts, c.ohm))
		b.join("c", "status", "", "input")
		r := b.check()
		wantVerdict(t, r, "c", "contact-underload", c.want)
		printed(t, "mA", one(t, r, "c", "contact-underload").Value.Lo*1000, c.milliamps, 1e-9)
	}
}

// For every AC cell of the pilot-duty table amperes x volts is the VA column.
func TestPilotDutyCells(t *testing.T) {
	n := 0
	for id, d := range onBench(t).lib.Ratings.PilotDuty {
		for _, c := range d.Cells {
			if d.Current == "ac" {
				n++
				printed(t, id+" make VA", c.Make*c.Volts, d.VAMake, 1e-6)
				printed(t, id+" break VA", c.Break*c.Volts, d.VABreak, 1e-6)
			}
		}
		if d.Current == "ac" && (id[0] == 'R' || id == "D600" || id == "E300") {
			t.Errorf("%s does not exist for AC", id)
		}
	}
	if n != 25 {
		t.Errorf("%d AC cells, the table prints 25", n)
	}
}

// Published loop formula R = (Vs - Vmin) / I.
func TestAN1AN2LoopResistance(t *testing.T) {
	printed(t, "AN-1", LoopOhm(24, 10, 0.020), 700, 0.05)
	printed(t, "AN-2 at 23 mA", LoopOhm(24, 12, 0.023), 521.7, 0.05)
	printed(t, "AN-2 at 21 mA", LoopOhm(24, 12, 0.021), 571.4, 0.05)
	printed(t, "AN-2 at 20 mA", LoopOhm(24, 12, 0.020), 600, 0.05)
	transmitter := model.Terminal{Nature: model.AnalogCurrent, Drives: true, Range: model.Span(4, 20), LoopPower: "sink", LiftOff: ptr(12.0)}
	for ohm, want := range map[float64]model.Verdict{571: model.Pass, 572: model.Fault} {
		input := model.Terminal{Nature: model.AnalogCurrent, Range: model.Span(4, 20), Burden: model.Span(ohm, ohm), LoopPower: "none"}
		b := onBench(t).put("loop", dcSupply(24, 24)).put("sensor", transmitter).put("input", input)
		b.join("c", "sensor", "loop", "input")
		wantVerdict(t, b.check(), "c", "burden", want)
	}
}

// 4-20 mA through 500 and 250 ohm gives 2-10 V and 1-5 V.
func TestAN3ResistorConversion(t *testing.T) {
	for _, c := range []struct{ ohm, lo, hi float64 }{{500, 2, 10}, {250, 1, 5}} {
		in := Across(model.Terminal{Nature: model.AnalogVoltage, Range: model.Span(c.lo, c.hi), Impedance: model.Span(1e9, 1e9)}, model.Exactly(c.ohm), model.AnalogCurrent)
		if in.Nature != model.AnalogCurrent || in.Range.Lo != 4 || in.Range.Hi != 20 {
			t.Errorf("%v ohm: %v as %v mA", c.ohm, in.Nature, in.Range)
		}
	}
	if v := 0.0036 * 500; math.Abs(v-1.80) > 1e-9 || 0.021*500 != 10.5 {
		t.Error("NE 43 levels through 500 ohm")
	}
}

// 500 ohm in parallel with 100 kohm and with 10 kohm.
func TestAN4ParallelInput(t *testing.T) {
	for _, c := range []struct{ in, ohm, volts float64 }{{100e3, 497.51, 9.950}, {10e3, 476.19, 9.524}} {
		both := Across(model.Terminal{Nature: model.AnalogVoltage, Range: model.Span(2, 10), Impedance: model.Span(c.in, c.in)}, model.Exactly(500), model.AnalogCurrent)
		printed(t, "ohm", both.Burden.Hi, c.ohm, 0.005)
		printed(t, "volts at 20 mA", both.Burden.Hi*0.020, c.volts, 0.0005)
	}
}

// Output good for 1 kohm (10 mA at 10 V) driving three 600 ohm motors.
func TestAN5ThreeMotorsOnOneOutput(t *testing.T) {
	b := onBench(t).put("out", analogOut(0.010)).put("a", analogIn(600)).put("b", analogIn(600)).put("c", analogIn(600))
	b.join("c", "out", "", "a", "b", "c")
	r := b.check()
	wantVerdict(t, r, "c", "output-overload", model.Fault)
	printed(t, "mA", one(t, r, "c", "output-overload").Value.Lo*1000, 50, 0.005)
}

// A 4 mA output drives 40 inputs of 100 kohm and 4 of 10 kohm, and not one more.
func TestAN6FanOut(t *testing.T) {
	for ohm, most := range map[float64]int{100e3: 40, 10e3: 4} {
		for n, want := range map[int]model.Verdict{most: model.Pass, most + 1: model.Fault} {
			b := onBench(t).put("out", analogOut(0.004))
			var ins []string
			for i := range n {
				id := "in" + string(rune('A'+i%26)) + string(rune('a'+i/26))
				b.put(id, analogIn(ohm))
				ins = append(ins, id)
			}
			b.join("c", "out", "", ins...)
			wantVerdict(t, b.check(), "c", "output-overload", want)
			// The same inputs, each in a circuit of its own on the one terminal.
			b.net.Circuits = nil
			for _, id := range ins {
				b.join("to "+id, "out", "", id)
			}
			wantVerdict(t, b.check(), "to "+ins[0], "output-overload", want)
		}
	}
}

// 0-10 V over 500 ft of 22 AWG at 20 °C into 10 kohm: 16.14 ohm of 10 016.14.
func TestAN7WireLoading(t *testing.T) {
	b := onBench(t).put("out", analogOut(0.010)).put("in", analogIn(10e3))
	b.join("c", "out", "", "in").Conductor = model.Conductor{Gauge: 22, LengthFt: ptr(500.0), TempC: 20}
	printed(t, "% lost", one(t, b.check(), "c", "loading-error").Value.Lo, 0.161, 0.0005)
}

// A 0-10 V output on a 250 ohm current input: 40 mA, and no resistor turns it round.
func TestAN8VoltageOutputOnCurrentInput(t *testing.T) {
	input := model.Terminal{Nature: model.AnalogCurrent, Range: model.Span(4, 20), Burden: model.Span(250, 250), LoopPower: "none"}
	b := onBench(t).put("out", analogOut(0.010)).put("in", input)
	b.join("c", "out", "", "in")
	r := b.check()
	wantVerdict(t, r, "c", "nature", model.Fault)
	wantVerdict(t, r, "c", "output-overload", model.Fault)
	printed(t, "mA", one(t, r, "c", "output-overload").Value.Lo*1000, 40, 1e-9)
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
