package circuit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tallywire/model"
)

// supplyShare is how much of a supply may be used unless the project says
// otherwise: 80 %, common practice.
const supplyShare = 0.8

// load is one device terminal that hangs on a supply.
type load struct {
	end     model.End
	t       *model.Terminal
	run     float64 // VA, NaN unknown
	inrush  float64
	circuit int
}

// supplies adds up what hangs on every supply and says whether it carries it.
// The answers come back by circuit: each that hangs on a supply has them.
func (x *index) supplies() map[int][]answer {
	var out []model.Supply
	onCircuit := map[int][]answer{}
	for _, e := range sortedEnds(x.supplied, always) {
		t := x.terminal(e)
		if t == nil || t.Nature != model.SupplyOut {
			continue
		}
		j := &joint{lib: x.lib, wiring: x.wiring, c: &model.Circuit{}}
		loads := x.loadsOf(j, e, t)
		s := supplyOf(x.devices[e.Device], e, t, loads)
		out = append(out, s)
		if t.Volts != nil && t.Volts.Hi > 60 && t.Capacity == nil && t.MaxAmps == nil {
			continue // a branch circuit, sized by the electrical documents
		}
		supply := side{e, x.devices[e.Device], t}
		j.supply = &supply
		j.askSupplyLoad(loads)
		j.askClassTwo(x.classOf(e))
		j.askEarthing()
		for _, a := range j.answers {
			a.At, a.place, a.group = e.String(), atSupply, e.String()
			for _, i := range slices.Compact(slices.Clone(x.supplied[e])) {
				onCircuit[i] = append(onCircuit[i], a)
			}
		}
	}
	x.sums = out
	return onCircuit
}

// loadsOf lists the loads of a supply, each terminal once, and the legs of one
// coil as that coil: the same current passes through all of them.
func (x *index) loadsOf(j *joint, e model.End, t *model.Terminal) []load {
	var out []load
	seen := map[model.End]bool{}
	legs := map[model.End]int{}
	for _, i := range x.supplied[e] {
		for _, a := range x.net.Circuits[i].Accepts {
			k := plain(a)
			at := x.terminal(k)
			if at == nil || seen[k] || !isLoad(at.Nature) {
				continue
			}
			seen[k] = true
			at = x.accepting(&x.net.Circuits[i], a, at, model.SupplyOut)
			d := j.taken(at, t)
			one := load{k, at, d.va, d.inrushVA, i}
			coil := model.End{Device: k.Device, Terminal: cmp.Or(at.Series, at.ID)}
			if n, known := legs[coil]; known {
				if math.IsNaN(one.run) || one.run > out[n].run {
					out[n] = one
				}
				continue
			}
			legs[coil] = len(out)
			out = append(out, one)
		}
	}
	return out
}

func supplyOf(d *model.Device, e model.End, t *model.Terminal, loads []load) model.Supply {
	s := model.Supply{ID: e.String(), Device: e.Device, Current: t.Current, ClassTwo: t.ClassTwo}
	if d != nil {
		s.Panel = d.Panel
	}
	if t.Volts != nil {
		s.Volts = t.Volts.Mid()
	}
	if a, ok := mostAmps(t); ok && s.Volts > 0 {
		s.RatedVA = a * s.Volts
	}
	for _, l := range loads {
		s.Loads = append(s.Loads, l.end.String())
		if !math.IsNaN(l.run) {
			s.RunningVA += l.run
		}
		in := l.inrush
		if math.IsNaN(in) {
			in = l.run
		}
		if !math.IsNaN(in) {
			s.InrushVA += in
		}
	}
	return s
}

// askSupplyLoad: the sum over every load is within the share of the supply
// that may be used; the largest inrush on top of the rest is within what the
// supply stands for a moment.
func (j *joint) askSupplyLoad(loads []load) {
	t := j.supply.t
	if t.Volts == nil {
		j.unknown("supply-overload", atSupply, "the voltage of "+j.supply.name(), "")
		return
	}
	volts := t.Volts.Mid()
	run, step := 0.0, 0.0
	for _, l := range loads {
		if math.IsNaN(l.run) {
			j.unknown("supply-overload", atSupply, fmt.Sprintf("the consumption of the %s terminal of a load on %s", l.t.ID, j.supply.name()), "")
			return
		}
		run += l.run
		if !math.IsNaN(l.inrush) {
			step = math.Max(step, l.inrush-l.run)
		}
	}
	most, ok := mostAmps(t)
	if !ok {
		j.unknown("supply-overload", atSupply, "the capacity of "+j.supply.name(), "at least "+show(run/supplyShare)+" VA")
		return
	}
	share := supplyShare
	if j.wiring.SupplyLoad != nil {
		share = *j.wiring.SupplyLoad
	}
	rated := most * volts
	good := j.hold(limit{code: "supply-overload", place: atSupply, value: model.Exactly(run), relation: "<=", limit: rated * share, unit: "VA", source: "common practice: load to 80 % of the nameplate",
		text: fmt.Sprintf("%s %s VA; %s is good for %s VA, of which %s %% may be used = %s VA", draws(len(loads)), show(run), j.supply.name(), show(rated), show(share*100), show(rated*share)),
		fix:  fmt.Sprintf("use a supply of at least %s VA, or a second one", show(math.Ceil(run/share)))})
	if good && step > 0 {
		j.hold(limit{code: "supply-overload", place: atSupply, value: model.Exactly(run + step), relation: "<=", limit: rated * surge, unit: "VA", source: "from memory: a control transformer stands about twice its nameplate for a moment", broken: model.Caution,
			text: fmt.Sprintf("the largest load starting on top of the rest draws %s VA + %s VA = %s VA; %s stands %s VA for a moment", show(run), show(step), show(run+step), j.supply.name(), show(rated*surge)),
			fix:  "use a larger supply, or feed the load that starts so hard from its own"})
	}
}

// surge is what a supply stands for a moment, of its nameplate.
const surge = 2

// groundedAbove is the primary voltage to ground above which a system under
// 50 V is to be earthed: NEC 250.20(A).
const groundedAbove = 150

// askEarthing: a low-voltage secondary that has to be earthed is.
func (j *joint) askEarthing() {
	t := j.supply.t
	if t.PrimaryToGround == nil || t.Volts == nil || t.Volts.Hi >= 50 {
		return
	}
	const cite = "NEC 250.20(A) (NFPA 70-2017)"
	primary := show(*t.PrimaryToGround)
	switch {
	case *t.PrimaryToGround <= groundedAbove:
		j.tell("earthing", model.Pass, atSupply, fmt.Sprintf("the primary is %s V to ground: the secondary need not be earthed", primary), cite, "")
	case t.Earthed == nil:
		j.unknown("earthing", atSupply, "whether the secondary of "+j.supply.name()+" is earthed; its primary is "+primary+" V to ground", "earthed")
	case !*t.Earthed:
		j.tell("earthing", model.Fault, atSupply, fmt.Sprintf("the primary is %s V to ground, above 150 V: the secondary has to be earthed", primary), cite,
			"earth the common lead of the secondary; then no full-wave device on it may have its DC common earthed or joined to an earthed one")
	default:
		j.tell("earthing", model.Pass, atSupply, fmt.Sprintf("the primary is %s V to ground, and the secondary is earthed", primary), cite, "")
	}
}

// classOf is the wiring class of the circuits on a supply: the strictest that a
// cable states; "" none does.
func (x *index) classOf(e model.End) string {
	for _, i := range x.supplied[e] {
		if c := x.cable[x.net.Circuits[i].ID]; c != nil && c.Class == "class-2" {
			return c.Class
		}
	}
	for _, i := range x.supplied[e] {
		if c := x.cable[x.net.Circuits[i].ID]; c != nil && c.Class != "" {
			return c.Class
		}
	}
	return ""
}

// askClassTwo: a supply whose circuits are wired as Class 2 is listed or
// marked so, and within the table's nameplate.
func (j *joint) askClassTwo(wired string) {
	t := j.supply.t
	if wired == "class-1" || wired == "power" || t.Volts == nil || t.Volts.Hi > 60 || t.Current == "ac" && t.Volts.Hi > 30 {
		return
	}
	const cite = "NEC chapter 9 tables 11(A) and 11(B), 725.121(A) (NFPA 70-2017)"
	switch {
	case t.ClassTwo == nil:
		j.unknown("class-2", atSupply, "whether "+j.supply.name()+" is listed or marked Class 2; its VA alone does not make it so", "a listed one")
		return
	case !*t.ClassTwo && wired == "class-2":
		j.tell("class-2", model.Fault, atSupply, j.supply.name()+" is not listed as Class 2, and its circuits are wired as Class 2", cite, "use a listed Class 2 supply, or wire the circuits as Class 1")
		return
	case !*t.ClassTwo:
		j.tell("class-2", model.Caution, atSupply, j.supply.name()+" is not listed as Class 2: its circuits are Class 1 and are wired so", cite, "use a listed Class 2 supply, or wire the circuits as Class 1")
		return
	}
	most, ok := mostAmps(t)
	source, found := j.lib.Ratings.PowerSource(t.Current, 2, true, t.Volts.Hi)
	if !ok || !found || source.NameplateVA == nil {
		j.tell("class-2", model.Pass, atSupply, j.supply.name()+" is listed as Class 2", cite, "")
		return
	}
	vmax := t.Volts.Hi
	j.hold(limit{code: "class-2", place: atSupply, value: model.Exactly(most * t.Volts.Mid()), relation: "<=", limit: source.NameplateVA.At(vmax), unit: "VA", source: cite,
		text: fmt.Sprintf("%s is stated as Class 2 with a nameplate of %s VA; the table allows %s VA at %s V", j.supply.name(), show(most*t.Volts.Mid()), show(source.NameplateVA.At(vmax)), show(vmax)),
		fix:  "use several Class 2 supplies, each feeding circuits of its own, or wire as Class 1"})
}

func draws(n int) string {
	if n == 1 {
		return "1 load draws"
	}
	return fmt.Sprintf("%d loads draw", n)
}
