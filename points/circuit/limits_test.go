package circuit

import (
	"math"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

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

// TestLeastOfWhatIsStated: a supply of which amperes and volt-amperes are stated
// gives no more than the less of the two.
func TestLeastOfWhatIsStated(t *testing.T) {
	for _, c := range []struct {
		va, amps float64
		want     model.Verdict
	}{{40, 2, model.Pass}, {4, 2, model.Fault}, {40, 0.1, model.Fault}} {
		source := acSupply(24, c.va)
		source.MaxAmps = ptr(c.amps)
		b := onBench(t).put("supply", source).put("load", load24(8))
		b.join("c", "supply", "", "load")
		wantVerdict(t, b.check(), "c", "supply-overload", c.want)
	}
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
	// more than 100 VA, so not one Class 2 source (NEC chapter 9 table 11(A))
	for va, want := range map[float64]model.Verdict{150: model.Fault, 96: model.Pass} {
		source := acSupply(24, va)
		source.ClassTwo = ptr(true)
		b := onBench(t).put("supply", source).put("coil", coil("ac", 24, 6, 6))
		b.join("c", "supply", "", "coil")
		wantVerdict(t, b.check(), "c", "class-2", want)
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

// SE-2 and SE-3 as circuits: a curve that is not the sensor's, and 100 ft of 22
// AWG (20 °C) on Pt1000, Pt100 and 10 kohm.
func TestSensorCircuits(t *testing.T) {
	sensor := func(curve string, drives bool) model.Terminal {
		return model.Terminal{Nature: model.Resistance, Drives: drives, Curve: curve}
	}
	for _, c := range []struct {
		sensor, input string
		curve, leads  model.Verdict
		celsius       float64
	}{{"pt1000", "pt1000", "", model.Caution, 0.84}, {"pt100", "pt100", "", model.Caution, 8.4}, {"ntc10k-2", "ntc10k-2", "", model.Pass, 0.007}, {"ntc10k-2", "ntc10k-3", model.Fault, "", 0}} {
		b := onBench(t).put("sensor", sensor(c.sensor, true)).put("input", sensor(c.input, false))
		b.join("c", "sensor", "", "input").Conductor = model.Conductor{Gauge: 22, LengthFt: ptr(100.0), TempC: 20}
		r := b.check()
		wantVerdict(t, r, "c", "range", c.curve)
		wantVerdict(t, r, "c", "loading-error", c.leads)
		if c.celsius > 0 {
			printed(t, "°C", one(t, r, "c", "loading-error").Value.Lo, c.celsius, c.celsius*0.07)
		}
	}
	b := onBench(t).put("sensor", with(sensor("", true), func(t *model.Terminal) { t.Range = model.Span(80, 140) })).put("input", with(sensor("", false), func(t *model.Terminal) { t.Range = model.Span(500, 350000) }))
	b.join("c", "sensor", "", "input")
	wantVerdict(t, b.check(), "c", "range", model.Fault)
}

// A signal that returns through the supply's common: 0.25 A over 1.6 ohm is
// 0.4 V, 4 % of 10 V (circuit analysis).
func TestSharedReturn(t *testing.T) {
	b := onBench(t)
	draw := func(count int, ft float64, second string) model.Check {
		half := rectified("half-wave", false, false)
		half[0].Running, half[0].Inrush = &model.Load{Amps: ptr(0.25)}, &model.Load{Amps: ptr(0.25)}
		d := sketch().at("T1", acSupply(24, 40)).at("T2", acSupply(24, 40)).at("controller", half...).at("damper", half...).wire("T1", "", "controller:power").wire(second, "", "damper:power").
			last(func(c *model.Circuit) {
				c.Conductor = model.Conductor{Gauge: 18, Stranded: true, LengthFt: &ft}
			}).wire("controller:out", "", "damper:in").last(func(c *model.Circuit) { c.Conductor.Count = count })
		return one1(Check(b.lib, &b.p, d.Net), "common")
	}
	if got := draw(1, 201.2579, "T1"); got.Verdict != model.Caution || math.Abs(got.Value.Lo-4) > 0.01 {
		t.Errorf("%s %+v", got.Verdict, got)
	}
	if got := draw(1, 40, "T1"); got.Verdict != model.Pass {
		t.Errorf("40 ft: %s %s", got.Verdict, got.Text)
	}
	if got := draw(2, 201.2579, "T1"); got.Code != "" {
		t.Errorf("a common of its own: %s %s", got.Verdict, got.Text)
	}
	if got := draw(1, 40, "T2"); got.Verdict != model.Fault {
		t.Errorf("no reference at all: %s %s", got.Verdict, got.Text)
	}
}
