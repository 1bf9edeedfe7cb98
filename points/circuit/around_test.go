package circuit

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// floor draws a part of a building in which much hangs together: controllers,
// drives and relays of several machines on a few transformers, with signals
// across, shared cables and raceways, contacts read twice; much of it wrong.
func floor(r *rand.Rand) Net {
	d := sketch()
	yes := func(n int) bool { return r.IntN(n) == 0 }
	wave := func() string { return []string{"half-wave", "half-wave", "full-wave", "none", ""}[r.IntN(5)] }
	supplies := 1 + r.IntN(3)
	for i := range supplies {
		d.at(fmt.Sprintf("T%d", i+1), with(acSupply(24, []float64{20, 40, 75}[r.IntN(3)]), func(t *model.Terminal) {
			t.PhaseDeg, t.Earthed = [](*float64){nil, ptr(0.0), ptr(0.0), ptr(180.0)}[r.IntN(4)], ptr(yes(2))
			if yes(8) {
				t.Volts = nil
			}
		}))
	}
	d.at("line", with(acSupply(120, 400), func(t *model.Terminal) { t.ClassTwo = []*bool{nil, ptr(false)}[r.IntN(2)] }))
	t := func() string { return fmt.Sprintf("T%d", 1+r.IntN(supplies)) }
	units := 2 + r.IntN(4)
	for i := range units {
		id := fmt.Sprintf("unit%d", i+1)
		d.at(id, rectified(wave(), yes(3), yes(6))...).wire(t(), "", id+":power").last(func(c *model.Circuit) { c.Accepts[0].Reversed = yes(4) })
	}
	for range units {
		a, b := 1+r.IntN(units), 1+r.IntN(units)
		if a == b {
			continue
		}
		d.wire(fmt.Sprintf("unit%d:out", a), "", fmt.Sprintf("unit%d:in", b)).last(func(c *model.Circuit) {
			c.ID = fmt.Sprintf("signal %d", len(d.Circuits))
			c.Conductor.Count = []int{2, 2, 2, 1}[r.IntN(4)]
			c.Conductor.LengthFt = ptr([]float64{50, 50, 900}[r.IntN(3)])
		})
	}
	for i := range 1 + r.IntN(4) {
		relay, load := fmt.Sprintf("relay%d", i+1), fmt.Sprintf("load%d", i+1)
		d.at(relay, contact([]float64{0.001, 0.05}[r.IntN(2)], "B300"))
		s := ""
		if yes(2) {
			s = t()
		}
		switch r.IntN(5) {
		case 0:
			d.at(load, coil("ac", 120, 6, 12))
			s = "line"
		case 1:
			d.at(load, dryInput(24, 4000))
		case 2:
			d.at(load, coil("dc", 24, 3, 3))
		case 3:
			d.at(load, load24([]float64{5, 30}[r.IntN(2)]))
		default:
			d.at(load, coil("ac", 24, 6, 12))
		}
		d.wire(relay, s, load)
		if yes(4) {
			d.at(load+"b", dryInput(18, 3000)).wire(relay, "", load+"b")
		}
	}
	fan := &model.DeviceType{ID: "fan", Name: "fan", Logic: &model.CommandLogic{StartLogic: []string{"gates-speed", "or", ""}[r.IntN(3)]}, Terminals: []model.Terminal{
		with(analogIn(1e5), func(t *model.Terminal) { t.ID, t.RunThreshold = "speed", ptr(2.0) }), with(coil("ac", 24, 2, 2), func(t *model.Terminal) { t.ID = "start" })}}
	d.Devices = append(d.Devices, model.Device{ID: "fan", Spec: fan})
	d.at("reference", with(analogOut(0.01), func(t *model.Terminal) { t.Range = model.Span([]float64{0, 2}[r.IntN(2)], 10) })).wire("reference", "", "fan:speed")
	if yes(2) {
		d.wire("relay1", t(), "fan:start").last(func(c *model.Circuit) { c.Purpose = "start" })
	}
	for i := range 2 { // a relay with both its coil and its contact wired, one from the line
		relay, load := fmt.Sprintf("pilot%d", i+1), fmt.Sprintf("lamp%d", i+1)
		d.at(relay, with(contact([]float64{0.001, 0.05}[r.IntN(2)], "B300"), func(t *model.Terminal) { t.ID = "contact" }), with(coil("ac", 24, 2, 2), func(t *model.Terminal) { t.ID = "coil" })).
			at(load, coil("ac", 120, 6, []float64{12, 4000}[r.IntN(2)])).wire(t(), "", relay+":coil").wire(relay+":contact", "line", load)
		d.Devices[len(d.Devices)-2].Spec.Category = "relay"
	}
	for k := range 1 + r.IntN(3) {
		w := model.Cable{ID: fmt.Sprintf("W%d", k+1), Class: []string{"", "class-2", "class-1"}[r.IntN(3)], Raceway: []string{"", "R1", "R2"}[r.IntN(3)]}
		for range 1 + r.IntN(3) {
			w.Circuits = append(w.Circuits, d.Circuits[r.IntN(len(d.Circuits))].ID)
		}
		d.Cables = append(d.Cables, w)
	}
	for i := range d.Devices {
		if yes(6) {
			d.Devices[i].Spec.Category = "relay"
			d.Devices[i].Spec.Barrier = []*bool{nil, ptr(true), ptr(false)}[r.IntN(3)]
		}
	}
	return d.Net.machine()
}

// whole judges a proposal in the whole net at once, which is what judging it in
// its surroundings has to come to.
func (m *mending) whole(p proposal) (model.Verdict, bool) {
	x := m.x
	all := Net{Points: x.net.Points, Alarms: x.net.Alarms, Equipment: x.net.Equipment, Cables: x.net.Cables, Devices: x.net.Devices, Circuits: x.net.Circuits}
	left := model.Pass
	for _, commons := range []bool{false, true} {
		v, ok := m.within(x.region(all, commons), p)
		if !ok {
			return model.Fault, false
		}
		left = model.Worst(left, v)
	}
	return left, true
}

// A change is judged among the circuits that it may touch, and that says the
// same as judging it in the whole net.
func TestSurroundingsAreEnough(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(41, 43))
	parts := fewParts(b)
	asked, good, smaller, reached := 0, 0, 0, 0
	for range 80 {
		net := floor(r)
		x := newIndex(b.lib, &b.p, net)
		x.memo, x.shelf = newMemo(), parts
		x.rows = x.all()
		for i := range net.Circuits {
			if worst(x.rows[i]) == model.Pass {
				continue
			}
			m := x.mending(i)
			var list []proposal
			for s := unsupplied; s <= sharedPart; s++ {
				more, _ := m.list(pick{stage: s})
				list = append(list, more...)
			}
			for n := range m.choices() {
				if r.IntN(4) == 0 {
					more, _ := m.list(pick{chainOfParts, n, 0})
					list = append(list, more...)
				}
			}
			for n, p := range list {
				if len(list) > 60 && n%(len(list)/60+1) != 0 || m.repeats(p) {
					continue
				}
				left, ok := m.try(p)
				wholeLeft, wholeOK := m.whole(p)
				asked++
				if ok != wholeOK || ok && left != wholeLeft {
					t.Fatalf("circuit %s, %v %s: around it %v %s, in the whole net %v %s", net.Circuits[i].ID, p.parts, p.words, ok, left, wholeOK, wholeLeft)
				}
				if ok {
					good++
				}
				if m.touchesCommons(p) {
					reached++
				}
				if len(m.region(p.replaced, false).Circuits) < len(net.Circuits) {
					smaller++
				}
			}
		}
	}
	if asked < 3000 || good < 300 || smaller < 2000 || reached < 1000 {
		t.Errorf("%d changes judged, %d good, %d in less than the whole, %d with the commons: too few to prove anything", asked, good, smaller, reached)
	}
}

// What was found for one circuit is what a search of its twin would find.
func TestTwinsAreAlike(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(47, 53))
	parts := slices.DeleteFunc(fewParts(b), func(p library.Interposer) bool {
		return !slices.Contains([]string{"resistor-500", "interposing-relay-24vac", "transformer-40va", "supply-24vdc-60w", "converter-voltage-to-current"}, p.ID)
	})
	twins, strangers := 0, 0
	compare := func(net Net) {
		t.Helper()
		x := newIndex(b.lib, &b.p, net)
		x.memo, x.shelf = newMemo(), parts
		x.rows = x.all()
		for i := range net.Circuits {
			if worst(x.rows[i]) == model.Pass {
				continue
			}
			m := x.mending(i)
			got, ok := m.asBefore()
			want := x.mending(i).search()
			if !ok {
				strangers++
				m.search()
				m.remember(want)
				continue
			}
			twins++
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s: as its twin %v %v %v %q, searched %v %v %v %q", net.Circuits[i].ID, got.ok, got.pick, got.parts, got.rejected, want.ok, want.pick, want.parts, want.rejected)
			}
		}
	}
	for range 80 {
		net := repeated(floor(r), 3)
		for range r.IntN(4) {
			vary(r, &net)
		}
		compare(net)
	}
	// Two machines that differ in nothing but which of two transformers carries
	// more, and one whose transformers stand in the other order.
	three := Net{}
	for k, on := range []string{"T1", "T2", "T1"} {
		d := sketch()
		names := []string{"T1", "T2"}
		if k == 2 {
			names = []string{"T2", "T1"}
		}
		for _, n := range names {
			d.at(n, with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) }))
		}
		d.at("relay", gold()).at("coil", coil("ac", 24, 6, 6)).at("a", load24(15)).at("b", load24(15)).at("c", load24(15)).
			wire("relay", "", "coil").wire("T1", "", "a").wire(on, "", "b").last(func(c *model.Circuit) { c.ID = "b" }).wire("T2", "", "c")
		for i := range d.Devices { // of one type each
			d.Devices[i].Spec.ID, d.Devices[i].Spec.Name = "", ""
		}
		one := repeated(d.Net.machine(), k+1)
		at := len(one.Devices) / (k + 1) * k
		three.Devices = append(three.Devices, one.Devices[at:]...)
		three.Circuits = append(three.Circuits, one.Circuits[len(one.Circuits)/(k+1)*k:]...)
	}
	compare(three)
	if twins < 400 || strangers < 400 {
		t.Errorf("only %d twins and %d that are none", twins, strangers)
	}
}

// vary changes one thing in a net, so that what looks alike may not be.
func vary(r *rand.Rand, n *Net) {
	c := &n.Circuits[r.IntN(len(n.Circuits))]
	other := n.Circuits[r.IntN(len(n.Circuits))]
	switch r.IntN(5) {
	case 0:
		c.Conductor.LengthFt = ptr(500.0)
	case 1:
		c.Supply = other.Supply
	case 2:
		c.Drive = other.Drive
	case 3:
		c.Accepts = other.Accepts
	default:
		w := &n.Cables[r.IntN(len(n.Cables))]
		w.Circuits = append(w.Circuits, c.ID)
	}
}

// repeated stands a net several times side by side.
func repeated(one Net, times int) Net {
	var out Net
	for k := range times {
		name := func(s string) string { return fmt.Sprintf("%s of %d", s, k) }
		for _, d := range one.Devices {
			d.ID, d.Equipment = name(d.ID), name(d.Equipment)
			out.Devices = append(out.Devices, d)
		}
		for _, c := range one.Circuits {
			c.ID, c.Equipment, c.Drive.Device = name(c.ID), name(c.Equipment), name(c.Drive.Device)
			list := c.Accepts
			c.Accepts = nil
			for _, a := range list {
				a.Device = name(a.Device)
				c.Accepts = append(c.Accepts, a)
			}
			if c.Supply != nil {
				s := *c.Supply
				s.Device = name(s.Device)
				c.Supply = &s
			}
			out.Circuits = append(out.Circuits, c)
		}
		for _, w := range one.Cables {
			list := w.Circuits
			w.ID, w.Circuits = name(w.ID), nil
			for _, id := range list {
				w.Circuits = append(w.Circuits, name(id))
			}
			if w.Raceway != "" {
				w.Raceway = name(w.Raceway)
			}
			out.Cables = append(out.Cables, w)
		}
	}
	return out
}

// Machines alike but for which circuits share a cable or a raceway are no twins:
// the larger transformer that serves one makes its circuits power-limited, and
// one of the other's shares with a neighbour that is not.
func TestTwinsShareAlike(t *testing.T) {
	b := onBench(t)
	machine := func(k int, cables ...model.Cable) Net {
		d := sketch()
		for _, n := range []string{"T", "U"} {
			d.at(n, with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg, t.ClassTwo = ptr(0.0), ptr(false) }))
		}
		for _, l := range []struct {
			on, load string
			va       float64
		}{{"T", "a", 18}, {"T", "b", 18}, {"T", "c", 18}, {"U", "d", 12}, {"U", "e", 12}} {
			d.at(l.load, with(load24(l.va), func(t *model.Terminal) { t.Rectifier = "none" })).wire(l.on, "", l.load)
		}
		for i := range d.Devices { // of one type each
			d.Devices[i].Spec.ID, d.Devices[i].Spec.Name = "", ""
		}
		d.Cables = cables
		all := repeated(d.Net.machine(), k+1)
		return Net{Devices: all.Devices[7*k:], Circuits: all.Circuits[5*k:], Cables: all.Cables[len(cables)*k:]}
	}
	w := func(id, raceway string, circuits ...string) model.Cable {
		return model.Cable{ID: id, Raceway: raceway, Circuits: circuits}
	}
	for what, nets := range map[string][]Net{
		"cables": {machine(0, w("W1", "", "T to b"), w("W2", "", "U to d", "U to e")), machine(1, w("W1", "", "T to b", "U to d"), w("W2", "", "U to e"))},
		"raceways": {machine(0, w("W1", "R1", "T to b"), w("W2", "R2", "U to d"), w("W3", "R2", "U to e")),
			machine(1, w("W1", "R1", "T to b"), w("W2", "R1", "U to d"), w("W3", "R2", "U to e"))},
	} {
		net := Net{Devices: slices.Concat(nets[0].Devices, nets[1].Devices), Circuits: slices.Concat(nets[0].Circuits, nets[1].Circuits), Cables: slices.Concat(nets[0].Cables, nets[1].Cables)}
		x := newIndex(b.lib, &b.p, net)
		x.memo = newMemo()
		x.rows = x.all()
		for i, want := range map[int]bool{0: true, 5: false} {
			if got := x.mending(i).search(); got.ok != want {
				t.Errorf("%s: %s: mended %v by %v, want %v", what, net.Circuits[i].ID, got.ok, got.parts, want)
			}
		}
		first := x.mending(0)
		first.remember(first.search())
		if got, known := x.mending(5).asBefore(); known {
			t.Errorf("%s: taken for a twin, mended %v by %v", what, got.ok, got.parts)
		}
	}
}
