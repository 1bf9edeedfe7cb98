package circuit

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"tallywire/model"
)

// network is a small nodal solver: admittances between nodes, current sources
// into nodes; node 0 is the reference. It knows nothing of circuits and checks.
type network struct {
	y [][]complex128
	i []complex128
}

func newNetwork(nodes int) *network {
	n := &network{i: make([]complex128, nodes)}
	for range nodes {
		n.y = append(n.y, make([]complex128, nodes))
	}
	return n
}

func (n *network) admittance(a, b int, y complex128) {
	n.y[a][a] += y
	n.y[b][b] += y
	n.y[a][b] -= y
	n.y[b][a] -= y
}

func (n *network) resistor(a, b int, ohm float64) { n.admittance(a, b, complex(1/ohm, 0)) }

func (n *network) capacitor(a, b int, farad, hertz float64) {
	n.admittance(a, b, complex(0, 2*math.Pi*hertz*farad))
}

// source is a voltage behind a resistance, a above b.
func (n *network) source(a, b int, volts complex128, ohm float64) {
	n.resistor(a, b, ohm)
	n.current(b, a, volts/complex(ohm, 0))
}

// current flows out of a into b.
func (n *network) current(a, b int, amps complex128) {
	n.i[a] -= amps
	n.i[b] += amps
}

// solve eliminates (node 0 held at zero) and returns the node voltages.
func (n *network) solve() []complex128 {
	size := len(n.i)
	m := make([][]complex128, size)
	for r := range m {
		m[r] = append(append([]complex128{}, n.y[r]...), n.i[r])
	}
	for k := 1; k < size; k++ {
		p := k
		for r := k + 1; r < size; r++ {
			if cmplx.Abs(m[r][k]) > cmplx.Abs(m[p][k]) {
				p = r
			}
		}
		m[k], m[p] = m[p], m[k]
		for r := 1; r < size; r++ {
			if r == k || m[r][k] == 0 {
				continue
			}
			f := m[r][k] / m[k][k]
			for c := k; c <= size; c++ {
				m[r][c] -= f * m[k][c]
			}
		}
	}
	v := make([]complex128, size)
	for k := 1; k < size; k++ {
		v[k] = m[k][size] / m[k][k]
	}
	return v
}

// within says that two figures agree within 0.1 %.
func within(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 0.001*math.Max(math.Abs(want), 1e-6) {
		t.Errorf("%s: %v, by the nodal solution %v", what, got, want)
	}
}

// An analog voltage over a wire into inputs in parallel.
func TestLoadingAgainstNodal(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	lib := onBench(t).lib
	for range 300 {
		b := onBench(t)
		out := analogOut(1)
		out.SourceOhm = ptr(1 + r.Float64()*300)
		gauge := []int{24, 22, 18, 14}[r.IntN(4)]
		ft := 1 + r.Float64()*2000
		b.put("out", out)
		inputs := 1 + r.IntN(5)
		n := newNetwork(3)
		n.source(1, 0, 10, *out.SourceOhm)
		perKft, _ := lib.Conductors.OhmPerKft(gauge, false, 75)
		n.resistor(1, 2, 2*ft*perKft/1000)
		var ids []string
		for i := range inputs {
			ohm := 500 + r.Float64()*1e5
			id := string(rune('a' + i))
			b.put(id, analogIn(ohm))
			ids = append(ids, id)
			n.resistor(2, 0, ohm)
		}
		b.join("c", "out", "", ids...).Conductor = model.Conductor{Gauge: gauge, LengthFt: &ft}
		lost := one(t, b.check(), "c", "loading-error").Value.Lo
		within(t, "volts at the inputs", 10*(1-lost/100), real(n.solve()[2]))
	}
}

// A snubber off, into a resistive input, at 60 Hz.
func TestSnubberAgainstNodal(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	for range 300 {
		volts := []float64{24, 120, 277}[r.IntN(3)]
		farad, ohm := (5+r.Float64()*200)*1e-9, 200+r.Float64()*1e5
		n := newNetwork(3)
		n.source(1, 0, complex(volts, 0), 1e-6)
		n.capacitor(1, 2, farad, 60)
		n.resistor(2, 0, ohm)
		want := cmplx.Abs(n.solve()[2])
		within(t, "snubber", SnubberVolts(volts, farad, 60, ohm), want)
		in := acInput(ohm)
		in.Volts = model.Span(0, 400)
		b := onBench(t).put("triac", snubbed(farad)).put("supply", acSupply(volts, 1000)).put("in", in)
		b.net.Devices[0].Spec.Terminals[0].Ratings[0].Volts = 600
		b.join("c", "triac", "supply", "in").Conductor = model.Conductor{Gauge: 18, LengthFt: ptr(10.0)}
		within(t, "volts left, as checked", one(t, b.check(), "c", "stays-on").Value.Lo, want)
	}
}

// A load of constant current at the end of two wires.
func TestDropAgainstNodal(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 9))
	lib := onBench(t).lib
	for range 300 {
		va, ft := 1+r.Float64()*30, 1+r.Float64()*300
		gauge := []int{22, 20, 18, 16, 14, 12}[r.IntN(6)]
		perKft, _ := lib.Conductors.OhmPerKft(gauge, true, 75)
		n := newNetwork(4)
		n.source(1, 0, 24, 1e-6)
		n.resistor(1, 2, ft*perKft/1000)
		n.resistor(3, 0, ft*perKft/1000)
		n.current(2, 3, complex(va/24, 0))
		v := n.solve()
		b := onBench(t).put("supply", acSupply(24, 200)).put("load", load24(va))
		b.join("c", "supply", "", "load").Conductor = model.Conductor{Gauge: gauge, Stranded: true, LengthFt: &ft}
		within(t, "volts at the load", one(t, b.check(), "c", "under-voltage").Value.Lo, real(v[2]-v[3]))
	}
}

// A current through a resistor in parallel with an input.
func TestConversionAgainstNodal(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 11))
	for range 200 {
		ohm, in := 100+r.Float64()*600, 1e3+r.Float64()*2e5
		n := newNetwork(2)
		n.current(0, 1, 0.020)
		n.resistor(1, 0, ohm)
		n.resistor(1, 0, in)
		both := Across(model.Terminal{Nature: model.AnalogVoltage, Range: model.Span(2, 10), Impedance: model.Span(in, in)}, model.Exactly(ohm), model.AnalogCurrent)
		within(t, "volts at 20 mA", both.Burden.Hi*0.020, real(n.solve()[1]))
	}
	// The idle bias of a bus with its terminators and nodes.
	for range 100 {
		bias, loads := 300+r.Float64()*1500, float64(1+r.IntN(32))
		n := newNetwork(4)
		n.source(1, 0, 5, 1e-6)
		n.resistor(1, 2, bias)
		n.resistor(2, 3, 60)
		n.resistor(2, 3, unitLoadOhm/loads)
		n.resistor(3, 0, bias)
		v := n.solve()
		within(t, "idle volts", BiasVolts(5, bias, parallel(terminated, unitLoadOhm/loads)), real(v[2]-v[3]))
	}
}

// bridge is a diode of the shared-transformer circuits: anode, cathode, its
// drop and resistance when it conducts.
type bridge struct {
	anode, cathode int
	on             bool
}

// rails are the nodes of the shared-transformer circuits.
const (
	ground = iota
	earthNode
	t1x1
	t1x2
	t2x1
	t2x2
	commonA
	plusA
	commonB
	plusB
	railNodes
)

// waves runs one arrangement through a cycle: the rms current of each
// secondary and the peak of each DC rail. The diodes drop volts behind ohm.
func (s shared) waves(diodeVolts, diodeOhm, loadOhm float64) (i1, i2, railA, railB float64) {
	const steps, tiny = 720, 1e-3
	var diodes []bridge
	rectify := func(kind string, hot, cold, common, plus int) {
		if kind == "full-wave" {
			diodes = append(diodes, bridge{hot, plus, false}, bridge{cold, plus, false}, bridge{common, hot, false}, bridge{common, cold, false})
		} else if kind == "half-wave" {
			diodes = append(diodes, bridge{hot, plus, false})
		}
	}
	hotB, coldB := t1x1, t1x2
	if s.earth2 != "-" {
		hotB, coldB = t2x1, t2x2
	}
	if s.swapB {
		hotB, coldB = coldB, hotB
	}
	rectify(s.a, t1x1, t1x2, commonA, plusA)
	rectify(s.b, hotB, coldB, commonB, plusB)
	ohm := SourceOhm(24, 40, 0.10)
	for k := range steps {
		angle := 2 * math.Pi * float64(k) / steps
		e1, e2 := Peak(24)*math.Sin(angle), Peak(24)*math.Sin(angle+s.phase2*math.Pi/180)
		var v []complex128
		for range 60 {
			n := newNetwork(railNodes)
			for node := 1; node < railNodes; node++ {
				n.resistor(node, ground, 1e7)
			}
			n.resistor(earthNode, ground, tiny)
			n.source(t1x1, t1x2, complex(e1, 0), ohm)
			n.source(t2x1, t2x2, complex(e2, 0), ohm)
			tie := func(on bool, a, b int) {
				if on {
					n.resistor(a, b, tiny)
				}
			}
			tie(s.a == "half-wave", commonA, t1x2)
			tie(s.b == "half-wave", commonB, coldB)
			tie(s.joined && !s.isolate, commonA, commonB)
			tie(s.earth1 == "x1", t1x1, earthNode)
			tie(s.earth1 == "x2", t1x2, earthNode)
			tie(s.earth2 == "x2", t2x2, earthNode)
			tie(s.earthA, commonA, earthNode)
			tie(s.earthB, commonB, earthNode)
			n.resistor(plusA, commonA, loadOhm)
			n.resistor(plusB, commonB, loadOhm)
			for _, d := range diodes {
				if d.on {
					n.source(d.anode, d.cathode, complex(diodeVolts, 0), diodeOhm)
				} else {
					n.resistor(d.anode, d.cathode, 1e8)
				}
			}
			v = n.solve()
			changed := false
			for i := range diodes {
				d := &diodes[i]
				over := real(v[d.anode]-v[d.cathode]) > diodeVolts
				if over != d.on {
					d.on, changed = over, true
					break
				}
			}
			if !changed {
				break
			}
		}
		c1 := (e1 - real(v[t1x1]-v[t1x2])) / ohm
		c2 := (e2 - real(v[t2x1]-v[t2x2])) / ohm
		i1, i2 = i1+c1*c1/steps, i2+c2*c2/steps
		railA, railB = math.Max(railA, real(v[plusA]-v[commonA])), math.Max(railB, real(v[plusB]-v[commonB]))
	}
	return math.Sqrt(i1), math.Sqrt(i2), railA, railB
}

// The verdicts of the graph search against the currents and rails of a
// solution in time: more than three times the rated current is a short.
func TestSharedTransformersAgainstNodal(t *testing.T) {
	const rated, load = 40.0 / 24, 100 // A; ohm: the one load at which the printed currents of all sound cases come out
	printedAmps := map[string]float64{"1": 0.32, "2": 0.23, "3": 16.67, "4": 0.35, "5": 11.1, "6": 11.1, "7": 0.44, "8": 0.44, "9": 0.22, "10": 11.1, "11": 0.16,
		"12": 16.67, "15": 11.1}
	for _, s := range arrangements() {
		i1, i2, railA, railB := s.waves(0.7, 0.05, load)
		short := math.Max(i1, i2) > 3*rated
		_, _, idealA, idealB := s.waves(0, 1e-4, 1e6)
		doubled := math.Max(idealA, idealB) > railSlack*Peak(24)
		if (s.want == model.Fault) != (short || doubled) {
			t.Errorf("case %s: verdict %s; currents %.2f and %.2f A, rails %.1f and %.1f V", s.name, s.want, i1, i2, railA, railB)
		}
		if want, ok := printedAmps[s.name]; ok {
			printed(t, "case "+s.name+" A rms", math.Max(i1, i2), want, max(0.005, want/250))
			delete(printedAmps, s.name)
		}
	}
	for name := range printedAmps {
		t.Errorf("case %s prints a current and is not compared", name)
	}
	b := onBench(t)
	for _, s := range arrangements() {
		if s.name != "20" && s.name != "21" {
			continue
		}
		_, _, idealA, idealB := s.waves(0, 1e-4, 1e6)
		got := one1(Check(b.lib, &b.p, s.net()), "common-short").Value.Lo
		within(t, "case "+s.name+" rail peak", got, math.Max(idealA, idealB))
		_, _, railA, railB := s.waves(0.7, 0.05, load)
		printed(t, "case "+s.name+" V", math.Max(railA, railB), map[string]float64{"20": 64, "21": 55}[s.name], 2.5)
	}
}

// Case 18: secondaries paralleled in reverse drive each other, with nothing but
// their own resistances between.
func TestReversedParallelAgainstNodal(t *testing.T) {
	ohm := SourceOhm(24, 40, 0.10)
	n := newNetwork(3)
	n.resistor(1, 0, 1e9)
	n.source(1, 2, 24, ohm)
	n.source(2, 1, 24, ohm)
	n.resistor(2, 0, 1e-3)
	v := n.solve()
	printed(t, "case 18 A", (24-real(v[1]-v[2]))/ohm, 16.67, 0.005)
}
