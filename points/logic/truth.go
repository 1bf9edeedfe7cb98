package logic

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"

	"tallywire/model"
)

// widest is how many columns a truth table splits on; what lies beyond stays at rest.
const widest = 12

// truthTable is a table with what the test script needs of it.
type truthTable struct {
	model.TruthTable
	places []ref
	rest   []bool
	rows   []pattern3 // care and value of each row, over places
}

// pattern3 is a row over the places: where care is 0 the value does not matter.
type pattern3 struct {
	care, value uint
	outputs     []string
}

// truth evaluates one fan over its own inputs; what other fans do stands as an
// input. Rows that cannot be told apart by any output are one row.
func (k *checker) truth(f *fan) truthTable {
	t := truthTable{TruthTable: model.TruthTable{Equipment: f.name, Precedence: k.ladder(f), LifeSafety: k.lifeSafety(f)}}
	if !f.tabled() {
		return t
	}
	t.places = k.placesOf(f)
	if len(t.places) > widest {
		for _, r := range t.places[widest:] {
			t.HeldAtRest = append(t.HeldAtRest, k.heading(f, r))
		}
		t.places = t.places[:widest]
	}
	for _, r := range t.places {
		t.rest = append(t.rest, k.list[r].op == opInput && k.inputs[k.list[r].a].rest)
	}
	outs := k.outputsOf(f)
	for _, o := range outs {
		t.Outputs = append(t.Outputs, o.name)
	}
	tab := k.engine.tableOver(t.places, f.told)
	n := len(t.places)
	rows := make([][]string, 1<<n)
	sign := make([]int, 1<<n)
	seen := map[string]int{}
	for a := range rows {
		cells := make([]string, len(outs))
		for i, o := range outs {
			cells[i] = o.cell(tab, a)
		}
		key := strings.Join(cells, "\x00")
		if _, ok := seen[key]; !ok {
			seen[key] = len(seen)
		}
		rows[a], sign[a] = cells, seen[key]
	}
	t.split(sign, rows, 0, 0, 0)
	k.printRows(f, &t, tab)
	return t
}

// split walks the places in order of precedence and makes a row where nothing
// further changes an output.
func (t *truthTable) split(sign []int, rows [][]string, place int, care, value uint) {
	n := len(t.places)
	first, same := -1, true
	differ := false
	for a := range sign {
		if uint(a)&care != value {
			continue
		}
		if first < 0 {
			first = a
		}
		same = same && sign[a] == sign[first]
		if place < n && sign[a] != sign[a^(1<<place)] {
			differ = true
		}
	}
	switch {
	case same:
		t.rows = append(t.rows, pattern3{care, value, rows[first]})
	case !differ:
		t.split(sign, rows, place+1, care, value)
	default:
		bit := uint(1) << place
		for _, v := range []uint{bit, 0} {
			t.split(sign, rows, place+1, care|bit, value|v)
		}
	}
}

// tableOver is the value of formulas over given places, wires among them taken
// as inputs; the fan's own wire is looked through, everything else is at rest.
func (e *engine) tableOver(places []ref, through ref) *table {
	t := &table{e: e, place: map[ref]int{}, memo: map[ref][]uint64{}}
	for i, r := range places {
		t.place[r] = i
	}
	t.words = max(1, 1<<len(places)>>6)
	t.zero = make([]uint64, t.words)
	if through != never {
		t.memo[through] = t.value(e.wires[e.list[through].a].def)
	}
	return t
}

// at is the value of a formula under one assignment of the places.
func (t *table) at(r ref, a int) bool { return t.value(r)[a>>6]>>(a&63)&1 == 1 }

// placesOf lists what decides over a fan, in order of precedence.
func (k *checker) placesOf(f *fan) []ref {
	var found []ref
	k.visit(k.wires[k.list[f.told].a].def, func(r ref) bool {
		if r == f.told {
			return false
		}
		o := k.list[r].op
		decides := o == opInput || o == opWire || k.statusOf[r] != nil && k.statusOf[r] != f
		if decides {
			found = append(found, r)
		}
		return !decides
	})
	rank := map[ref]int{}
	note := func(v ref, n int) {
		for _, r := range found {
			if _, set := rank[r]; !set && k.reads(v, r) {
				rank[r] = n
			}
		}
	}
	for _, e := range k.soft[f.name] {
		if e.hard && e.panel() {
			note(k.signalOf(e), map[string]int{"stop": -2}[e.action])
		}
	}
	for i, s := range f.safeties {
		if !s.spec.Yields {
			note(s.permit, 1+i)
		}
	}
	for i, o := range f.overrides {
		note(o.value, 20+i)
	}
	slices.SortFunc(found, func(a, b ref) int { return cmp.Or(k.place(rank, a)-k.place(rank, b), int(a-b)) })
	return found
}

func (k *checker) place(rank map[ref]int, r ref) int {
	if n, ok := rank[r]; ok {
		return n
	}
	if k.list[r].op != opInput {
		return 60
	}
	switch k.inputs[k.list[r].a].kind {
	case kindEvent:
		return 30
	case kindAuto:
		return 40
	case kindHand:
		return 41
	case kindBypass:
		return 42
	case kindSpeed:
		return 70
	case kindStart:
		return 60
	}
	return 80
}

// output is one column of answers.
type output struct {
	name string
	cell func(*table, int) string
}

func (k *checker) outputsOf(f *fan) []output {
	outs := []output{{"Fan", func(t *table, a int) string { return k.runs(f, t, a) }}}
	binary := func(name string, r ref, yes, no string) {
		outs = append(outs, output{name, func(t *table, a int) string {
			if t.at(r, a) {
				return yes
			}
			return no
		}})
	}
	if f.hasDamper {
		binary("Damper", k.wires[k.list[f.damper].a].def, "open", "shut")
	}
	if f.status.bound {
		binary("Point status", f.status.value, "running", "off")
	}
	if k.points[f.eq.Tag+"/"+model.RoleOverrideActive] != nil && len(f.overrides) > 0 {
		binary("Point override-active", k.follow(f, "override"), "override", "normal")
	}
	if k.points[f.eq.Tag+"/"+model.RoleNotInAuto] != nil && f.inAuto != always {
		binary("Point not-in-auto", f.inAuto, "auto", "not in auto")
	}
	return outs
}

// runs says how the fan runs under an assignment.
func (k *checker) runs(f *fan, t *table, a int) string {
	if !t.at(f.told, a) {
		return "off"
	}
	for _, o := range f.overrides {
		if t.at(o.value, a) {
			switch o.action {
			case "full":
				return "full speed"
			case "second-speed":
				return "second speed"
			}
			return "runs"
		}
	}
	switch {
	case f.twoSpeeds() && t.at(f.full, a):
		return "full speed"
	case t.at(f.inHand, a):
		return "runs in hand"
	case t.at(f.bypass, a):
		return "full speed in bypass"
	case f.speedBy != "":
		return "by reference"
	}
	return "runs"
}

// printRows writes the rows in words.
func (k *checker) printRows(f *fan, t *truthTable, tab *table) {
	selector := -1
	var hand int = -1
	for i, r := range t.places {
		if k.list[r].op == opInput {
			switch k.inputs[k.list[r].a].kind {
			case kindAuto:
				selector = i
			case kindHand:
				hand = i
				continue
			}
		}
		t.Inputs = append(t.Inputs, k.heading(f, r))
	}
	rest := uint(0)
	for i, v := range t.rest {
		if v {
			rest |= 1 << i
		}
	}
	for _, row := range t.rows {
		var cells []string
		for i, r := range t.places {
			switch {
			case i == hand:
			case i == selector && hand >= 0 && row.care>>i&1 == 1 && row.value>>i&1 == 0:
				cells = append(cells, map[[2]uint]string{{1, 1}: "HAND", {1, 0}: "OFF", {0, 0}: "not AUTO"}[[2]uint{row.care >> hand & 1, row.value >> hand & 1}])
			case row.care>>i&1 == 0:
				cells = append(cells, "-")
			default:
				cells = append(cells, k.cellOf(f, r, row.value>>i&1 == 1))
			}
		}
		a := int(row.value | rest&^row.care)
		t.Rows = append(t.Rows, model.TruthRow{Inputs: cells, Outputs: row.outputs, Why: k.reason(f, tab, a)})
	}
}

func (k *checker) heading(f *fan, r ref) string {
	if r == f.command {
		return "BAS start"
	}
	if s := k.statusOf[r]; s != nil {
		return s.name + " proven running"
	}
	if k.list[r].op == opWire {
		return k.wires[k.list[r].a].words
	}
	return strings.ReplaceAll(k.inputs[k.list[r].a].column, f.name+"/", "")
}

func (k *checker) cellOf(f *fan, r ref, v bool) string {
	if r == f.command {
		return map[bool]string{true: "on", false: "off"}[v]
	}
	if k.list[r].op != opInput {
		return map[bool]string{true: "yes", false: "no"}[v]
	}
	in := k.inputs[k.list[r].a]
	if v {
		return in.yes
	}
	return strings.TrimPrefix(in.no, "-")
}

// switchings counts the places two states differ at.
func switchings(a, b uint) int { return bits.OnesCount(a ^ b) }
