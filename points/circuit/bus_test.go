package circuit

import (
	"fmt"
	"testing"

	"tallywire/model"
)

// busVerdict is the worst that is said of the only trunk of a net.
func busVerdict(t *testing.T, n Net) model.Verdict {
	t.Helper()
	b := onBench(t)
	return one1(Check(b.lib, &b.p, n), "bus-load").Verdict
}

// TIA-485-A: 32 unit loads, whatever the number of devices; RS-1 has 30 of them
// on 110 devices.
func TestUnitLoads(t *testing.T) {
	for _, c := range []struct {
		loads []float64
		want  model.Verdict
	}{{repeat(1, 31, 0.875, 1), model.Pass}, {repeat(1, 32, 0.875, 0), model.Fault}, {append(append(repeat(1, 10, 0.125, 40), repeat(0.25, 60, 0, 0)...), 0), model.Pass}} {
		if got := busVerdict(t, busOf(c.loads)); got != c.want {
			t.Errorf("%d devices: %s", len(c.loads), got)
		}
	}
}

func repeat(a float64, times int, b float64, more int) []float64 {
	var out []float64
	for range times {
		out = append(out, a)
	}
	for range more {
		out = append(out, b)
	}
	return out
}

// busOf is a controller of an eighth unit load with devices on its trunk.
func busOf(loads []float64) Net {
	bus := func(load float64, drives bool) model.Terminal {
		return model.Terminal{Nature: model.Bus, Drives: drives, UnitLoad: &load, Isolated: ptr(true)}
	}
	d := sketch().at("controller", bus(0.125, true))
	var ids []string
	for i, l := range loads {
		id := fmt.Sprintf("device %d", i+1)
		d.at(id, bus(l, false))
		ids = append(ids, id)
	}
	return d.wire("controller", "", ids...).Net
}

// RS-5: a master at 128, a slave at 12, two masters at 5; ASHRAE 135 clause 9.
func TestBusAddresses(t *testing.T) {
	at := func(role string, macs ...string) Net {
		n := busOf(repeat(0.25, len(macs), 0, 0))
		for i, mac := range macs {
			n.Devices[i+1].Settings = []model.Parameter{{Name: "mac", Value: mac}}
			n.Devices[i+1].Spec.Terminals[0].BusRole = role
		}
		return n
	}
	for _, c := range []struct {
		name string
		net  Net
		want model.Verdict
	}{
		{"masters at 1 and 127", at("master", "1", "127"), model.Pass}, {"a master at 128", at("master", "128"), model.Fault}, {"a slave at 12", at("slave", "12"), model.Caution},
		{"a slave at 200", at("slave", "200"), model.Pass}, {"two at 5", at("master", "5", "5"), model.Fault}, {"a slave at 255", at("slave", "255"), model.Fault},
	} {
		if got := busVerdict(t, c.net); got != c.want {
			t.Errorf("%s: %s", c.name, got)
		}
	}
}

// Length, rate, terminators, bias and reference of a segment.
func TestBusCabling(t *testing.T) {
	for _, c := range []struct {
		name  string
		trunk model.Trunk
		feet  float64
		want  model.Verdict
	}{
		{"as it should be", model.Trunk{Baud: ptr(38400.0), Terminators: ptr(2), AtEnds: ptr(true), BiasOhm: ptr(560.0), Reference: ptr(true)}, 4000, model.Pass},
		{"too long", model.Trunk{}, 4001, model.Fault},
		{"an odd rate", model.Trunk{Baud: ptr(14400.0)}, 100, model.Fault},
		{"one terminator", model.Trunk{Terminators: ptr(1)}, 100, model.Fault},
		{"a terminator in the middle", model.Trunk{Terminators: ptr(2), AtEnds: ptr(false)}, 100, model.Fault},
		{"weak bias (RS-2)", model.Trunk{BiasOhm: ptr(1000.0)}, 100, model.Fault},
		{"no reference", model.Trunk{Reference: ptr(false)}, 100, model.Caution},
		{"a master never found", model.Trunk{MaxMaster: ptr(0)}, 100, model.Fault},
	} {
		n := busOf([]float64{1, 1})
		n.Devices[2].Settings = []model.Parameter{{Name: "mac", Value: "9"}}
		n.Circuits[0].Trunk, n.Circuits[0].Conductor.LengthFt = &c.trunk, &c.feet
		if got := busVerdict(t, n); got != c.want {
			t.Errorf("%s: %s", c.name, got)
		}
	}
}
