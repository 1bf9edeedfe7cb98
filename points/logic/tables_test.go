package logic

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// randomSite is a machine room with a few fans of random devices, wired and
// interlocked at random.
func randomSite(t *testing.T, lib *library.Library, rng *rand.Rand) *checker {
	t.Helper()
	types := []struct{ role, id string }{{"box", "interface-box"}, {"box", "interface-box-gated"}, {"drive", "drive-460"}, {"drive", "drive-bypass-460"}, {"starter", "starter-480"}, {"motor", "motor-ec-208-277"}}
	p := &model.Project{}
	var eq []model.Equipment
	var devices []model.Device
	var circuits []model.Circuit
	var points []model.Point
	n := 1 + rng.IntN(3)
	for i := range n {
		tag := fmt.Sprint("F-", i+1)
		pick := types[rng.IntN(len(types))]
		spec, ok := lib.Device(pick.id)
		if !ok {
			t.Fatal(pick.id)
		}
		id := tag + "/" + pick.role
		eq = append(eq, model.Equipment{Tag: tag, Scheme: "exhaust-variable", FireResponse: []string{"", "stop", "run", "none"}[rng.IntN(4)]})
		devices = append(devices, model.Device{ID: id, Equipment: tag, Role: pick.role, Spec: spec})
		wire := func(name, purpose, point string, drive, accept model.End) {
			circuits = append(circuits, model.Circuit{ID: tag + "/" + name, Point: point, Equipment: tag, Drive: drive, Accepts: []model.End{accept}, Purpose: purpose})
		}
		point := func(role string, drive, accept model.End) {
			points = append(points, model.Point{Key: tag + "/" + role, Equipment: tag, Role: role})
			wire(role, role, tag+"/"+role, drive, accept)
		}
		l := spec.Logic
		point("start", model.End{}, model.End{Device: id, Terminal: l.StartInputs[0]})
		if l.SpeedInput != "" && rng.IntN(2) == 0 {
			point("speed", model.End{}, model.End{Device: id, Terminal: l.SpeedInput})
		}
		for _, c := range l.Contacts {
			if c.Follows == "command" || c.Follows == "motor-current" {
				point("status", model.End{Device: id, Terminal: c.Terminal}, model.End{})
				break
			}
		}
		relay, _ := lib.Device("fire-alarm-relay")
		if len(l.Overrides) > 0 && rng.IntN(2) == 0 {
			devices = append(devices, model.Device{ID: tag + "/fire-relay", Equipment: tag, Role: "fire-relay", Spec: relay})
			wire("override", "override", "", model.End{Device: tag + "/fire-relay", Terminal: "pole-1"}, model.End{Device: id, Terminal: l.Overrides[0].Terminal})
			points = append(points, model.Point{Key: tag + "/override-active", Equipment: tag, Role: "override-active"})
		}
		stat, _ := lib.Device("freezestat")
		if len(l.Safeties) > 0 && rng.IntN(2) == 0 {
			devices = append(devices, model.Device{ID: tag + "/freezestat", Equipment: tag, Role: "freezestat", Spec: stat})
			wire("freeze", "interlock", "", model.End{Device: tag + "/freezestat", Terminal: "pole-1"}, model.End{Device: id, Terminal: l.Safeties[0].Terminal})
		}
		if rng.IntN(3) == 0 {
			points = append(points, model.Point{Key: tag + "/not-in-auto", Equipment: tag, Role: "not-in-auto"})
		}
		if i > 0 {
			hard := rng.IntN(2) == 0
			p.Interlocks = append(p.Interlocks, model.Interlock{From: fmt.Sprint("F-", i), To: tag, Signal: []string{"status", "command", "failed"}[rng.IntN(3)], Action: []string{"start", "stop", "permit", "follow", "full-speed"}[rng.IntN(5)], Hard: &hard})
		}
	}
	b := build(lib, p, eq, devices, circuits, points)
	return newChecker(b, circuits, points, nil)
}

// TestTruthTablesAreWholeAndRight: every combination of the inputs falls in
// exactly one row, whose outputs are those of a slow evaluation; no two rows
// that differ in one cell say the same.
func TestTruthTablesAreWholeAndRight(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for seed := range uint64(300) {
		k := randomSite(t, lib, rand.New(rand.NewPCG(seed, 11)))
		for _, f := range k.fans {
			table := k.truth(f)
			rows += len(table.rows)
			for a := range uint(1) << len(table.places) {
				hit := -1
				for i, row := range table.rows {
					if a&row.care != row.value {
						continue
					}
					if hit >= 0 {
						t.Fatalf("seed %d %s: two rows for one state", seed, f.name)
					}
					hit = i
				}
				if hit < 0 {
					t.Fatalf("seed %d %s: no row for a state", seed, f.name)
				}
				got := table.rows[hit].outputs[0] != "off"
				if want := k.slowly(f, table.places, a, f.told); got != want {
					t.Fatalf("seed %d %s: the table says %q, the slow evaluation %v: %v", seed, f.name, table.rows[hit].outputs[0], want, table.Rows[hit])
				}
				if i := slices.Index(table.Outputs, "Point status"); i >= 0 {
					if want := k.slowly(f, table.places, a, f.status.value); (table.rows[hit].outputs[i] == "running") != want {
						t.Fatalf("seed %d %s: status %q, want %v", seed, f.name, table.rows[hit].outputs[i], want)
					}
				}
			}
			for _, r := range table.Rows {
				if len(r.Inputs) != len(table.Inputs) || len(r.Outputs) != len(table.Outputs) {
					t.Fatalf("seed %d %s: a row of another width", seed, f.name)
				}
			}
		}
	}
	if rows < 1000 {
		t.Errorf("only %d rows", rows)
	}
}

// slowly evaluates a formula with the places given and everything else at rest.
func (k *checker) slowly(f *fan, places []ref, a uint, r ref) bool {
	if i := slices.Index(places, r); i >= 0 {
		return a>>i&1 == 1
	}
	x := k.list[r]
	switch x.op {
	case opConst:
		return r == always
	case opInput:
		return k.inputs[x.a].rest
	case opWire:
		return k.slowly(f, places, a, k.wires[x.a].def)
	case opNot:
		return !k.slowly(f, places, a, x.a)
	case opAnd:
		return k.slowly(f, places, a, x.a) && k.slowly(f, places, a, x.b)
	}
	return k.slowly(f, places, a, x.a) || k.slowly(f, places, a, x.b)
}

// TestWalksCoverAndBound: every row is visited once by its switchings, the
// lower bound is no more than the best order of all, the order found no less,
// and seldom worse.
func TestWalksCoverAndBound(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	tried, best, tight := 0, 0, 0
	for seed := range uint64(300) {
		k := randomSite(t, lib, rand.New(rand.NewPCG(seed, 13)))
		for _, f := range k.fans {
			table := k.truth(f)
			script := k.script(f, table)
			table.rows = k.testRows(table)
			w := k.newWalk(&table)
			start := uint(0)
			for i, v := range table.rest {
				if v {
					start |= 1 << i
				}
			}
			order := w.order(start)
			sorted := slices.Clone(order)
			slices.Sort(sorted)
			for i, r := range sorted {
				if i != r || len(sorted) != len(table.rows) {
					t.Fatalf("seed %d %s: rows visited %v of %d", seed, f.name, order, len(table.rows))
				}
			}
			if n := w.length(start, order); n != script.Switchings || script.LowerBound > n || len(script.Steps) != len(table.rows) {
				t.Fatalf("seed %d %s: %d switchings, stated %d, bound %d", seed, f.name, n, script.Switchings, script.LowerBound)
			}
			if len(order) > 7 {
				continue
			}
			opt := 1 << 30
			permute(sortedUp(len(order)), 0, func(p []int) { opt = min(opt, w.length(start, p)) })
			if script.LowerBound > opt || script.Switchings < opt {
				t.Fatalf("seed %d %s: bound %d, best %d, found %d", seed, f.name, script.LowerBound, opt, script.Switchings)
			}
			tried++
			if script.Switchings == opt {
				best++
			}
			if script.LowerBound == opt {
				tight++
			}
		}
	}
	t.Logf("%d small tables: %d walks are the best of all, %d bounds are reached", tried, best, tight)
	if tried < 100 || best < tried {
		t.Errorf("%d of %d walks are the best", best, tried)
	}
}

// TestEveryStepProvesItsRow: from each state in which a row is tested there is
// one input whose change alone gives other outputs, whatever the inputs that the
// row leaves open; where that can turn the fan on or off, it does.
func TestEveryStepProvesItsRow(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for seed := range uint64(300) {
		k := randomSite(t, lib, rand.New(rand.NewPCG(seed, 19)))
		for _, f := range k.fans {
			table := k.truth(f)
			if len(table.rows) < 2 {
				continue
			}
			for i, row := range k.testRows(table) {
				if row.care&table.rows[i].care != table.rows[i].care || row.value&table.rows[i].care != table.rows[i].value {
					t.Fatalf("seed %d %s: row %d is tested outside itself", seed, f.name, i)
				}
				proves := false
				for p := range table.places {
					proves = proves || row.care>>p&1 == 1 && everywhere(row, uint(1)<<p, table)
				}
				if !proves {
					t.Fatalf("seed %d %s: nothing proves row %v", seed, f.name, table.Rows[i])
				}
				tried++
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d rows", tried)
	}
}

// everywhere reports whether turning one place gives other outputs in every
// state of a row.
func everywhere(row pattern3, bit uint, t truthTable) bool {
	at := func(a uint) []string {
		for _, r := range t.rows {
			if a&r.care == r.value {
				return r.outputs
			}
		}
		return nil
	}
	for a := range uint(1) << len(t.places) {
		if a&row.care == row.value && slices.Equal(at(a), at(a^bit)) {
			return false
		}
	}
	return true
}

func sortedUp(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func permute(p []int, i int, visit func([]int)) {
	if i == len(p) {
		visit(p)
		return
	}
	for j := i; j < len(p); j++ {
		p[i], p[j] = p[j], p[i]
		permute(p, i+1, visit)
		p[i], p[j] = p[j], p[i]
	}
}

// TestMatrixAgreesWithTheTables: where a building event is a column of a fan's
// table, the matrix cell says what the table says in AUTO with the BAS asking.
func TestMatrixAgreesWithTheTables(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for seed := range uint64(300) {
		k := randomSite(t, lib, rand.New(rand.NewPCG(seed, 17)))
		f := k.fans[0] // follows nobody
		table := k.truth(f)
		for i, e := range k.shown {
			for r, ev := range k.events {
				place := slices.Index(table.places, r)
				if ev.ID != e.ID || place < 0 || k.inputs[k.list[r].a].fan != "" {
					continue
				}
				on, off := k.slowly(f, table.places, k.asking(f, table, r), f.told), k.slowly(f, table.places, k.asking(f, table, never), f.told)
				effect := k.cells[f.name][i]
				if effect == "not stated" {
					continue
				}
				compared++
				if stops := off && !on; stops != (effect == "stops") {
					t.Fatalf("seed %d %s under %s: table %v to %v, matrix %q", seed, f.name, e.ID, off, on, effect)
				}
				if on && !off && !strings.HasPrefix(effect, "runs") {
					t.Fatalf("seed %d %s under %s: the table starts it, matrix %q", seed, f.name, e.ID, effect)
				}
			}
		}
	}
	if compared < 100 {
		t.Errorf("only %d cells compared", compared)
	}
}

// asking is the assignment in AUTO with the BAS asking, and one event.
func (k *checker) asking(f *fan, t truthTable, event ref) uint {
	a := uint(0)
	for i, r := range t.places {
		on := r == event || r == f.command
		if k.list[r].op == opInput {
			in := k.inputs[k.list[r].a]
			on = on || in.rest || in.kind == kindSpeed || in.kind == kindStart
		}
		if on {
			a |= 1 << i
		}
	}
	return a
}

// TestFirefightersSwitchIsOneSwitch: from ON to OFF is one turn, to AUTO and on
// to OFF two.
func TestFirefightersSwitchIsOneSwitch(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	wired := true
	p := &model.Project{Interlocks: []model.Interlock{{From: "firefighter-on", To: "SPF-1", Action: "start", Hard: &wired}, {From: "firefighter-off", To: "SPF-1", Action: "stop", Hard: &wired}}}
	k := newChecker(build(lib, p, []model.Equipment{{Tag: "SPF-1", Scheme: "stair-pressurization", Control: "fire-panel"}}, nil, nil, nil), nil, nil, nil)
	table := k.truth(k.fans[0])
	on, off := k.panelPlaces(table)
	w := k.newWalk(&table)
	if on < 0 || off < 0 || w.cost(1<<on, 1<<off) != 1 || w.cost(1<<on, 0)+w.cost(0, 1<<off) != 2 {
		t.Errorf("ON at %d, OFF at %d: %d turns from one to the other", on, off, w.cost(1<<on, 1<<off))
	}
	for _, row := range k.testRows(table) {
		if both(row.value, on, off) {
			t.Errorf("a row asks ON and OFF: %v", row.outputs)
		}
	}
}
