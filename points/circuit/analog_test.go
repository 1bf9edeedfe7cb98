package circuit

import (
	"math"
	"testing"

	"tallywire/model"
)

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

// AN-4 as a circuit: 500 ohm beside 100 kohm is close enough, beside 10 kohm a
// caution; AN-3: the failure level of 21 mA is 10.5 V, over an input of 10 V.
func TestAN4AsCircuit(t *testing.T) {
	for _, c := range []struct {
		ohm, volts float64
		lost       float64
		loading    model.Verdict
		over       model.Verdict
	}{{100e3, 12, 0.5, model.Pass, model.Pass}, {10e3, 12, 4.76, model.Caution, model.Pass}, {1e8, 10, 0, model.Pass, model.Fault}} {
		in := analogIn(c.ohm)
		in.Range, in.Volts = model.Span(2, 10), model.Span(0, c.volts)
		b := onBench(t).put("sensor", transmitter("source")).put("in", in)
		b.net.Devices[0].Spec.Terminals[0].MaxLoop = model.Span(0, 600)
		b.join("c", "sensor", "", "in").Across = []model.Resistor{{At: end("in"), Ohm: model.Exactly(500), Watts: ptr(0.5)}}
		r := b.check()
		wantVerdict(t, r, "c", "loading-error", c.loading)
		wantVerdict(t, r, "c", "over-voltage", c.over)
		wantVerdict(t, r, "c", "range", model.Pass)
		printed(t, "% lost", one(t, r, "c", "loading-error").Value.Lo, c.lost, 0.005)
		if c.over == model.Fault {
			printed(t, "V at 21 mA", one(t, r, "c", "over-voltage").Value.Lo, 10.5, 0.001)
		}
	}
}

// An exact boundary passes; a hair beyond it does not.
func TestLimitsAtTheEdge(t *testing.T) {
	for _, c := range []struct {
		value float64
		want  model.Verdict
	}{{0.010, model.Pass}, {0.010001, model.Fault}} {
		b := onBench(t).put("out", analogOut(c.value)).put("in", analogIn(1000))
		b.join("c", "out", "", "in")
		b.net.Devices[0].Spec.Terminals[0].MaxCurrent = ptr(0.010)
		b.net.Devices[1].Spec.Terminals[0].Impedance = model.Span(10/c.value, 10/c.value)
		wantVerdict(t, b.check(), "c", "output-overload", c.want)
	}
}
