package circuit

import (
	"math"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

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
