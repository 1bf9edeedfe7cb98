package circuit

import (
	"fmt"
	"testing"

	"tallywire/model"
)

// troubled is a building of so many fans in one panel, wired well but for what
// stands again and again in a large list: every third fan has an override whose
// voltage the fire trade has not told, every fourth its start on the wet input,
// and all controllers hang on one branch circuit that is too small for them.
func troubled(b *bench, fans int) Net {
	n := building(b.lib, 4*fans)
	for i := range n.Devices {
		if n.Devices[i].Panel != "" {
			n.Devices[i].Panel = "PANEL-1"
		}
	}
	untold := &model.DeviceType{ID: "fire-source", Name: "Fire trade", Category: "service", Terminals: []model.Terminal{
		{ID: "out", Nature: model.SupplyOut, Drives: true}, with(gold(), func(t *model.Terminal) { t.ID = "relay" })}}
	relay, _ := b.lib.Device("interposing-relay-24vac")
	branch := &model.DeviceType{ID: "branch", Name: "Branch circuit", Category: "service", Terminals: []model.Terminal{
		with(acSupply(120, 600), func(t *model.Terminal) { t.ID, t.ClassTwo, t.Phases = "line", nil, []int{1} })}}
	n.Devices = append(n.Devices, model.Device{ID: "branch", Spec: branch})
	load := &model.DeviceType{ID: "supply", Name: "Controller supply", Terminals: []model.Terminal{
		{ID: "primary", Nature: model.PowerIn, Current: "ac", Volts: model.Span(108, 132), Absolute: true, Rectifier: "none", Phases: []int{1}, Running: &model.Load{VA: ptr(75.0)}, Inrush: &model.Load{VA: ptr(75.0)}}}}
	at := func(device, terminal string) model.End { return model.End{Device: device, Terminal: terminal} }
	for k := range fans {
		tag := fmt.Sprintf("EF-%d", k+1)
		if k%4 == 1 {
			n.Circuits[4*k].Accepts = []model.End{at(tag+"/box", "start-wet")}
		}
		if k%3 == 0 {
			n.Devices = append(n.Devices, model.Device{ID: tag + "/fire", Equipment: tag, Spec: untold}, model.Device{ID: tag + "/override-relay", Equipment: tag, Spec: relay})
			n.Circuits = append(n.Circuits, model.Circuit{ID: tag + "/fire", Equipment: tag, Purpose: "fire", Drive: at(tag+"/fire", "relay"), Supply: &model.End{Device: tag + "/fire", Terminal: "out"}, Accepts: []model.End{at(tag+"/override-relay", "coil")},
				Conductor: model.Conductor{Gauge: 18, LengthFt: ptr(100.0), Count: 2, Stranded: true}})
		}
		if k%8 == 0 {
			id := fmt.Sprintf("controller supply %d", k/8+1)
			n.Devices = append(n.Devices, model.Device{ID: id, Panel: "PANEL-1", Spec: load})
			n.Circuits = append(n.Circuits, model.Circuit{ID: id, Purpose: "mains", Drive: at("branch", "line"), Accepts: []model.End{at(id, "primary")},
				Conductor: model.Conductor{Gauge: 12, LengthFt: ptr(10.0), Count: 2}})
		}
	}
	return n
}

// The work of a repair is counted in what it judges. The same trouble a hundred
// times is searched once: eight times the fans are no eight times the work, and
// the whole is what few searches of the library come to.
func TestRepairWorkStaysSmall(t *testing.T) {
	b := onBench(t)
	done := map[int]work{}
	for _, fans := range []int{75, 300, 600} {
		net := troubled(b, fans)
		r := Check(b.lib, &b.p, net)
		fixed, spent := repair(b.lib, &b.p, net, r, work{})
		done[fans] = spent
		failing, wet, none := 0, 0, 0
		for _, c := range fixed.Circuits {
			if c.Verdict != model.Pass {
				failing++
			}
			if c.Fix != nil && c.Purpose == "mains" {
				none++
			}
			if c.Fix != nil && c.Purpose == "start" && len(c.Fix.Circuits) == 1 && c.Fix.Circuits[0].Accepts[0].Terminal == "start-dry" {
				wet++
			}
		}
		if failing < fans/2 || wet != fans/4 && wet != (fans+2)/4 {
			t.Fatalf("%d fans: %d circuits fail, %d starts are moved to the dry input", fans, failing, wet)
		}
		if none != 1 {
			t.Errorf("that nothing serves the branch circuit is told of %d circuits", none)
		}
		t.Logf("%d fans: %d circuits fail, %d changes judged in %d circuits", fans, failing, spent.candidates, spent.circuits)
	}
	if c := done[300].candidates; c > 150 {
		t.Errorf("300 fans: %d changes judged; 150 are enough", c)
	}
	if c := done[300].circuits; c > 5000 {
		t.Errorf("300 fans: %d circuits judged; 5,000 are enough", c)
	}
	if few, many := done[75].circuits, done[600].circuits; many > 8*few {
		t.Errorf("%d circuits judged for 75 fans and %d for 600: it grows faster than the list", few, many)
	}
}

// A search that comes to its limit says so, of the circuits that were not
// searched to the end and of no others, and leaves the verdicts alone.
func TestRepairStopsAtItsLimit(t *testing.T) {
	b := onBench(t)
	net := troubled(b, 60)
	r := Check(b.lib, &b.p, net)
	whole, all := repair(b.lib, &b.p, net, r, work{})
	told := func(r Result) map[string]bool {
		out := map[string]bool{}
		for _, f := range r.Findings {
			if f.Code == "repair-unfinished" {
				out[f.Subject] = true
			}
		}
		return out
	}
	if n := len(told(whole)); n > 0 || all.candidates == 0 {
		t.Fatalf("without a limit %d are told unfinished after %d changes", n, all.candidates)
	}
	for _, limit := range []work{{most: 1}, {most: all.circuits / 2}, {budget: 40}} {
		part, spent := repair(b.lib, &b.p, net, r, limit)
		names := told(part)
		if len(names) == 0 || spent.circuits >= all.circuits {
			t.Errorf("limit %+v: %d told unfinished, %d circuits judged of %d", limit, len(names), spent.circuits, all.circuits)
		}
		for i, c := range part.Circuits {
			if c.Verdict != r.Circuits[i].Verdict {
				t.Errorf("%s: the verdict changed", c.ID)
			}
			full := whole.Circuits[i].Fix
			if !names[c.ID] && fmt.Sprint(c.Fix != nil, c.Fix != nil && c.Fix.PriceCents != nil) != fmt.Sprint(full != nil, full != nil && full.PriceCents != nil) {
				t.Errorf("limit %+v: %s: %+v, searched to the end %+v", limit, c.ID, c.Fix, full)
			}
			if names[c.ID] && c.Verdict == model.Pass {
				t.Errorf("%s has nothing to be mended", c.ID)
			}
		}
	}
}

// BenchmarkRepair300 is the whole repair of 300 fans in one panel.
func BenchmarkRepair300(b *testing.B) { benchmarkRepair(b, 300) }

// BenchmarkRepair3000 is that of 3,000.
func BenchmarkRepair3000(b *testing.B) { benchmarkRepair(b, 3000) }

func benchmarkRepair(b *testing.B, fans int) {
	bb := onBench(b)
	net := troubled(bb, fans)
	r := Check(bb.lib, &bb.p, net)
	b.ReportAllocs()
	for b.Loop() {
		Repair(bb.lib, &bb.p, net, r)
	}
}
