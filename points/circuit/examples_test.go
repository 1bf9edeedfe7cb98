package circuit

import (
	"math"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
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

// NEC chapter 9 table 8; published drops.
func TestVDConductors(t *testing.T) {
	c := onBench(t).lib.Conductors
	r := func(awg int, stranded bool, temp float64) float64 {
		v, ok := c.OhmPerKft(awg, stranded, temp)
		if !ok {
			t.Fatalf("no %d AWG", awg)
		}
		return v
	}
	printed(t, "VD-1 V", Drop(100, r(16, true, 75), 4), 3.992, 0.0005)
	printed(t, "VD-1 %", Drop(100, r(16, true, 75), 4)/24*100, 16.63, 0.005)
	printed(t, "VD-2 V", Drop(4200, math.Round(library.SmallConductor(14, false, 20)*1000)/1000, 0.25), 5.3025, 0.00005)
	for gauge, want := range map[int]float64{12: 7.902, 8: 3.125} {
		cmil, _ := c.CircularMils(gauge)
		printed(t, "VD-3 K method", 2*12.9*20*100/cmil, want, 0.0005)
	}
	printed(t, "VD-3 table 8", Drop(100, r(12, true, 75), 20), 7.92, 0.005)
	printed(t, "VD-4 12 AWG 25 C", r(12, true, 25), 1.660, 0.0005)
	printed(t, "VD-4 factor 20 C", r(12, true, 20)/r(12, true, 75), 0.82235, 0.000005)
	printed(t, "VD-4 18 AWG 30 C", r(18, true, 30), 6.794, 0.0005)
	printed(t, "VD-4 14 AWG 90 C", r(14, true, 90), 3.292, 0.0005)
	printed(t, "VD-6", 1.21*(1+0.00393*55), 1.4715, 0.0001)
	printed(t, "VD-6, 75 C from 20 C", library.SmallConductor(10, false, 75)/library.SmallConductor(10, false, 20), 1.4715/1.21, 0.0001)
}

// The computed gauges against the table of small conductors (ASTM B258, B3), ohm/kft.
func TestSmallConductors(t *testing.T) {
	for awg, want := range map[int][3]float64{24: {25.67, 31.22, 31.84}, 22: {16.14, 19.63, 20.02}, 20: {10.15, 12.35, 12.59}, 18: {6.385, 7.765, 7.920},
		16: {4.015, 4.883, 4.981}, 14: {2.525, 3.071, 3.133}, 12: {1.588, 1.932, 1.970}} {
		tolerance := 0.005
		if want[0] < 10 {
			tolerance = 0.0006
		}
		printed(t, "20 C solid", library.SmallConductor(awg, false, 20), want[0], tolerance)
		printed(t, "75 C solid", library.SmallConductor(awg, false, 75), want[1], 0.006)
		printed(t, "75 C stranded", library.SmallConductor(awg, true, 75), want[2], 0.006)
		if table, _ := onBench(t).lib.Conductors.OhmPerKft(awg, false, 75); table < want[1]-0.011 || table > want[1]+0.011 {
			t.Errorf("%d AWG: table 8 says %v, computed %v", awg, table, want[1])
		}
	}
}

// 30 VA of actuators at 24 V over 18 AWG stranded, minimum 19.2 V, constant current.
func TestVD5LongestRun(t *testing.T) {
	for ft, want := range map[float64]struct {
		volts float64
		v     model.Verdict
	}{150: {21.02, model.Pass}, 250: {19.03, model.Fault}} {
		b := onBench(t).put("supply", acSupply(24, 100)).put("dampers", load24(30))
		b.join("c", "supply", "", "dampers").Conductor = model.Conductor{Gauge: 18, Stranded: true, LengthFt: &ft}
		r := b.check()
		wantVerdict(t, r, "c", "under-voltage", want.v)
		wantVerdict(t, r, "c", "conductor-drop", want.v)
		printed(t, "volts left", one(t, r, "c", "under-voltage").Value.Lo, want.volts, 0.005)
		if text := one(t, r, "c", "conductor-drop").Text; !strings.Contains(text, "longest run that works is 241.5 ft") {
			t.Errorf("longest run: %s", text)
		}
		for _, f := range r.Findings {
			if f.Code == "under-voltage" {
				t.Errorf("one trouble told twice: %+v", f)
			}
			if f.Code == "conductor-drop" && !strings.Contains(f.Fix, "16 AWG") {
				t.Errorf("next gauge: %s", f.Fix)
			}
		}
	}
}

// NEC chapter 9 tables 11(A) and 11(B) (NFPA 70-2017).
func TestPWClassTwoTables(t *testing.T) {
	r := onBench(t).lib.Ratings
	for vmax, fuse := range map[float64]float64{24: 4.17, 26.4: 3.79, 30: 3.33} {
		s, ok := r.PowerSource("ac", 2, false, vmax)
		if !ok {
			t.Fatal(vmax)
		}
		printed(t, "PW-1 fuse", s.Overcurrent.At(vmax), fuse, 0.005)
		if s.VAMax.At(vmax) != 250 {
			t.Error("PW-1 VA max")
		}
	}
	s, _ := r.PowerSource("ac", 2, false, 24)
	printed(t, "PW-1 I max", s.IMax.At(24), 41.7, 0.05)
	c3, ok := r.PowerSource("ac", 3, false, 50)
	if !ok {
		t.Fatal("Class 3 at 50 V")
	}
	printed(t, "PW-2", c3.Overcurrent.At(50), 2, 1e-9)
	d48, _ := r.PowerSource("dc", 2, true, 48)
	printed(t, "PW-3 I max", d48.IMax.At(48), 3.125, 0.0005)
	printed(t, "PW-3 nameplate A", d48.NameplateAmp.At(48), 2.083, 0.0005)
	big := dcSupply(24, 24)
	big.Capacity = ptr(120.0)
	b := onBench(t).put("supply", big).put("coil", coil("dc", 24, 6, 6))
	b.join("c", "supply", "", "coil")
	wantVerdict(t, b.check(), "c", "class-2", model.Fault)
}

// Ten 10 VA valves on a transformer loaded to 1/1.2 (common practice).
func TestPW4SupplySize(t *testing.T) {
	r := onBench(t).lib.Ratings
	need := 10 * 10 * 1.2
	if need != 120 {
		t.Errorf("%v VA", need)
	}
	if size, ok := r.SupplySize(need); !ok || size != 150 {
		t.Errorf("next size %v", size)
	}
	if _, ok := r.SupplySize(1e6); ok {
		t.Error("there is no transformer of a megavolt-ampere")
	}
}

// NEC 725.45(D): primary protection of a two-wire secondary, 24 V from 120 V.
func TestPW5PrimaryProtection(t *testing.T) {
	for awg, want := range map[int]float64{18: 1.2, 16: 1.6, 14: 4, 12: 5} {
		got, ok := onBench(t).lib.Ratings.SecondaryByPrimary(awg, 24, 120)
		if !ok {
			t.Error(awg)
		}
		printed(t, "A", got, want, 1e-9)
	}
}

// NEMA MG 1 12.44: -10/+10 % of the nameplate; ANSI C84.1 range A.
func TestPW6PW7MotorVoltages(t *testing.T) {
	for _, c := range []struct {
		service, motor float64
		want           model.Verdict
	}{{480, 460, model.Pass}, {208, 230, model.Fault}, {208, 200, model.Pass}, {240, 230, model.Pass}, {120, 115, model.Pass}, {600, 575, model.Pass}, {480, 230, model.Fault}} {
		b := onBench(t).put("service", service(c.service, 3)).put("motor", motor(c.motor, c.motor, 3))
		b.join("c", "service", "", "motor").Purpose = "mains"
		r := b.check()
		wantVerdict(t, r, "c", "mains-range", c.want)
		if c.motor == 460 {
			limit := one(t, r, "c", "mains-range").Limit
			printed(t, "lowest", limit.Lo, 414, 1e-9)
			printed(t, "highest", limit.Hi, 506, 1e-9)
		}
	}
	s, _ := onBench(t).lib.Ratings.Service(208)
	printed(t, "230 V motor at 187 V, %", (s.AUse/230-1)*100, -18.7, 0.05)
	printed(t, "200 V motor at 187 V, %", (s.AUse/200-1)*100, -6.5, 0.05)
	printed(t, "230 V motor at 208 V, %", (208.0/230-1)*100, -9.57, 0.005)
	printed(t, "200 V motor at 218 V, %", (s.AMax/200-1)*100, 9.0, 0.05)
	printed(t, "480 V on 460 V, %", (480.0/460-1)*100, 4.35, 0.005)
}

// A nameplate range of 100-277 V and an input of 12-120 V carry -10/+10 %, so
// that a 277 V and a 120 V service pass over their C84.1 ranges.
func TestNameplateRangesCarryATenth(t *testing.T) {
	for volts, want := range map[float64]model.Verdict{120: model.Pass, 208: model.Pass, 240: model.Pass, 277: model.Pass, 480: model.Fault} {
		b := onBench(t).put("service", service(volts, 1)).put("box", motor(100, 277, 1))
		b.join("c", "service", "", "box").Purpose = "mains"
		r := b.check()
		wantVerdict(t, r, "c", "mains-range", want)
		limit := one(t, r, "c", "mains-range").Limit
		printed(t, "lowest", limit.Lo, 90, 1e-9)
		printed(t, "highest", limit.Hi, 304.7, 1e-9)
	}
	wet := model.Terminal{Nature: model.VoltageSense, Current: "ac/dc", Volts: model.Span(12, 120), Impedance: model.Span(1e4, 1e4), Off: &model.Threshold{Volts: 4}}
	for volts, want := range map[float64]model.Verdict{12: model.Pass, 24: model.Pass, 120: model.Pass, 208: model.Fault, 9: model.Fault} {
		s := service(volts, 1)
		b := onBench(t).put("s", s).put("relay", contact(0.0001, "B300")).put("box", wet)
		b.join("c", "relay", "s", "box").Conductor = model.Conductor{Gauge: 18, LengthFt: ptr(0.0)}
		r := b.check()
		wantVerdict(t, r, "c", "over-voltage", map[bool]model.Verdict{true: model.Fault, false: model.Pass}[volts == 208])
		wantVerdict(t, r, "c", "under-voltage", map[bool]model.Verdict{true: model.Fault, false: model.Pass}[volts == 9])
		if worstOfCircuit := model.Worst(verdict(r, "c", "over-voltage"), verdict(r, "c", "under-voltage")); worstOfCircuit != want {
			t.Errorf("%v V: %s", volts, worstOfCircuit)
		}
	}
}

// A 24 V transformer, primary within range A, 10 % regulation.
func TestPW8TransformerVolts(t *testing.T) {
	s := model.Terminal{Nature: model.SupplyOut, Volts: model.Span(24, 24), Regulation: ptr(0.10)}
	v, ok := delivered(&s)
	if !ok {
		t.Fatal("unknown")
	}
	printed(t, "lowest", v.Lo, 22.8, 1e-9)
	printed(t, "unloaded", v.Hi, 27.72, 1e-9)
}

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

// NEC tables 430.248 and 430.250: the columns follow the 230 V one.
func TestMTMotorTables(t *testing.T) {
	r := onBench(t).lib.Ratings
	rows := 0
	for _, m := range r.Motors {
		if m.Kind == "dc" || m.Volts == 230 || m.Volts == 115 {
			continue
		}
		base, ok := r.FullLoad(m.Kind, m.HP, 230)
		if !ok {
			t.Fatalf("%v hp has no 230 V value", m.HP)
		}
		rows++
		want := map[float64][2]float64{200: {1.15, 0.1}, 208: {1.10, 0.1}, 460: {0.5, 0.05}, 575: {0.4, 0.25}}[m.Volts]
		printed(t, m.Kind+" phase", m.Amps, base*want[0], want[1]+1e-9)
	}
	if rows != 60 {
		t.Errorf("%d cells compared", rows)
	}
	fla, _ := r.FullLoad("3", 10, 460)
	printed(t, "MT-2 A", fla*1.25, 17.5, 1e-9)
	kva := math.Sqrt(3) * 460 * fla / 1000
	printed(t, "MT-2 kVA", kva, 11.15, 0.005)
	printed(t, "MT-2 ratio", 7.46/kva, 0.669, 0.0005)
	if kind, off := r.PhaseOf(5, 230, 15.2); kind != "3" || off != 0 {
		t.Errorf("MT-3: 15.2 A is the %s phase value, off by %v", kind, off)
	}
	if one, _ := r.FullLoad("1", 5, 230); one != 28 {
		t.Errorf("MT-3 single phase %v", one)
	}
	for volts, want := range map[float64]float64{90: 12.2, 240: 4.7} {
		if got, _ := r.FullLoad("dc", 1, volts); got != want {
			t.Errorf("MT-4 %v V: %v", volts, got)
		}
	}
	if _, ok := r.FullLoad("3", 0.25, 230); ok {
		t.Error("there is no three-phase row below 1/2 hp")
	}
}

// RS-485 (TIA-485-A): bias, termination, unit loads.
func TestRSBus(t *testing.T) {
	for ohm, want := range map[float64]float64{510: 0.278, 560: 0.254, 620: 0.231, 1000: 0.146} {
		printed(t, "RS-2 V", BiasVolts(5, ohm, 60), want, 0.0005)
	}
	printed(t, "RS-2 limit", BiasLimit(5, 60), 720, 1e-9)
	printed(t, "RS-2 with 32 unit loads", BiasVolts(5, 560, parallel(60, 375)), 0.2207, 0.00005)
	printed(t, "RS-3", TerminatorWithBias(620, 120), 132.9, 0.05)
	printed(t, "RS-4", TerminatorWithNodes(1200, 100), 109.1, 0.05)
	printed(t, "RS-1", 10*1+40*0.125+60*0.25, 30, 1e-9)
}

// IEC 60751 and common thermistors.
func TestSESensors(t *testing.T) {
	for c, want := range map[float64]float64{-40: 842.71, 0: 1000, 25: 1097.35, 100: 1385.06, 150: 1573.25} {
		printed(t, "Pt1000", Platinum(1000, c), want, 0.0051)
	}
	printed(t, "SE-1", Platinum(1000, (70-32)/1.8), 1082.25, 0.005)
	printed(t, "SE-2 beta", Beta(29490, 0, 10000, 25), 3523, 0.5)
	printed(t, "SE-2 reads", ThermistorCelsius(32650.9, 10000, Beta(29490, 0, 10000, 25)), -2.14, 0.005)
	loop := 2 * 100 * library.SmallConductor(22, false, 20) / 1000
	printed(t, "SE-3 loop", loop, 3.228, 0.001)
	printed(t, "SE-3 Pt1000", LeadError("pt1000", loop), 0.84, 0.005)
	printed(t, "SE-3 Pt100", LeadError("pt100", loop), 8.4, 0.05)
	printed(t, "SE-3 10 k", LeadError("ntc10k-2", loop), 0.007, 0.0005)
}
