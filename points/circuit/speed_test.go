package circuit

import (
	"fmt"
	"runtime"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// building is a net of so many circuits, four to a fan: start, status, speed
// and damper power, with a controller for every eight fans and a transformer
// for every four. Every controller has terminals of its own, as a landing makes.
func building(lib *library.Library, circuits int) Net {
	box, _ := lib.Device("interface-box")
	damper, _ := lib.Device("damper-24v")
	supply, _ := lib.Device("transformer-120-24-75")
	mode := func(class, id, terminal string) model.Terminal {
		c, _ := lib.Class(class)
		m, _ := c.Mode(id)
		t := *m
		t.ID, t.Labels = terminal, []string{terminal}
		return t
	}
	var n Net
	for fan := 0; len(n.Circuits) < circuits; fan++ {
		tag, panel := fmt.Sprintf("EF-%d", fan+1), fmt.Sprintf("PANEL-%d", fan/8+1)
		if fan%8 == 0 {
			spec := &model.DeviceType{ID: "controller", Name: "Controller", Category: "controller"}
			for k := range 8 {
				spec.Terminals = append(spec.Terminals, mode("RO", "relay", fmt.Sprintf("RO%d", k+1)), mode("UI", "contact", fmt.Sprintf("UI%d", k+1)), mode("AO", "voltage", fmt.Sprintf("AO%d", k+1)))
			}
			n.Devices = append(n.Devices, model.Device{ID: panel + "/C1", Panel: panel, Spec: spec})
		}
		if fan%4 == 0 {
			n.Devices = append(n.Devices, model.Device{ID: fmt.Sprintf("%s/supply-%d", panel, fan/4), Panel: panel, Role: "supply", Spec: supply})
		}
		n.Devices = append(n.Devices, model.Device{ID: tag + "/box", Equipment: tag, Spec: box}, model.Device{ID: tag + "/damper", Equipment: tag, Spec: damper})
		at := func(device, terminal string) model.End { return model.End{Device: device, Terminal: terminal} }
		controller, feed := panel+"/C1", at(fmt.Sprintf("%s/supply-%d", panel, fan/4), "secondary")
		run := model.Conductor{Gauge: 18, LengthFt: ptr(float64(50 + fan%7*25)), Count: 2, Stranded: true}
		n.Circuits = append(n.Circuits,
			model.Circuit{ID: tag + "/start", Equipment: tag, Point: tag + "/start", Purpose: "start", Drive: at(controller, fmt.Sprintf("RO%d", fan%8+1)), Accepts: []model.End{at(tag+"/box", "start-dry")}, Conductor: run},
			model.Circuit{ID: tag + "/status", Equipment: tag, Point: tag + "/status", Purpose: "status", Drive: at(tag+"/box", "status"), Accepts: []model.End{at(controller, fmt.Sprintf("UI%d", fan%8+1))}, Conductor: run},
			model.Circuit{ID: tag + "/speed", Equipment: tag, Point: tag + "/speed", Purpose: "speed", Drive: at(controller, fmt.Sprintf("AO%d", fan%8+1)), Accepts: []model.End{at(tag+"/box", "speed-in")}, Conductor: run},
			model.Circuit{ID: tag + "/damper-power", Equipment: tag, Purpose: "damper-power", Drive: at(tag+"/box", "damper"), Supply: &feed, Accepts: []model.End{at(tag+"/damper", "power")}, Conductor: run})
	}
	return n
}

// The building of the benchmark is sound: it has nothing to tell.
func TestBuildingIsSound(t *testing.T) {
	b := onBench(t)
	r := Check(b.lib, &b.p, building(b.lib, 64))
	for _, f := range r.Findings {
		t.Errorf("%s %s: %s", f.Code, f.Subject, f.Message)
	}
	if len(r.Circuits) != 64 || len(r.Supplies) != 4 {
		t.Errorf("%d circuits, %d supplies", len(r.Circuits), len(r.Supplies))
	}
	for _, c := range r.Circuits {
		if len(c.Checks) < 2 || c.Verdict != model.Pass {
			t.Errorf("%s: %d checks, %s", c.ID, len(c.Checks), c.Verdict)
		}
	}
}

// A net checked in parallel and in another order says the same of each circuit.
func TestOrderDoesNotShow(t *testing.T) {
	b := onBench(t)
	n := building(b.lib, 1200)
	forward := Check(b.lib, &b.p, n)
	turned := n
	turned.Circuits = nil
	for i := range n.Circuits {
		turned.Circuits = append(turned.Circuits, n.Circuits[len(n.Circuits)-1-i])
	}
	backward := Check(b.lib, &b.p, turned)
	for i := range forward.Circuits {
		a, z := forward.Circuits[i], backward.Circuits[len(forward.Circuits)-1-i]
		if a.ID != z.ID || fmt.Sprint(a.Verdict, len(a.Checks)) != fmt.Sprint(z.Verdict, len(z.Checks)) {
			t.Fatalf("%s: %v and %v", a.ID, a.Verdict, z.Verdict)
		}
		for k := range a.Checks {
			if a.Checks[k].Text != z.Checks[k].Text || a.Checks[k].At != z.Checks[k].At {
				t.Fatalf("%s: %+v and %+v", a.ID, a.Checks[k], z.Checks[k])
			}
		}
	}
}

func BenchmarkCheck100k(b *testing.B) {
	lib := onBench(b).lib
	n := building(lib, 100_000)
	p := &model.Project{}
	b.ReportAllocs()
	runtime.GC()
	for b.Loop() {
		Check(lib, p, n)
	}
	b.ReportMetric(float64(len(n.Circuits))/b.Elapsed().Seconds()*float64(b.N), "circuits/s")
}

func BenchmarkCheck10k(b *testing.B) {
	lib := onBench(b).lib
	n := building(lib, 10_000)
	p := &model.Project{}
	b.ReportAllocs()
	for b.Loop() {
		Check(lib, p, n)
	}
}

// BenchmarkRepair is a building of 2,000 circuits of which a hundred fail.
func BenchmarkRepair(b *testing.B) {
	bb := onBench(b)
	n := building(bb.lib, 2000)
	for i := 0; i < len(n.Circuits); i += 20 {
		n.Circuits[i].Accepts = []model.End{{Device: n.Circuits[i].Accepts[0].Device, Terminal: "start-wet"}}
	}
	r := Check(bb.lib, &bb.p, n)
	for b.Loop() {
		Repair(bb.lib, &bb.p, n, r)
	}
}
