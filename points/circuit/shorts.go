package circuit

import (
	"fmt"
	"math"
	"math/bits"
	"math/cmplx"
	"slices"
	"strings"

	"tallywire/model"
)

// Peak is the peak of a sine of that many volts rms.
func Peak(rms float64) float64 { return rms * math.Sqrt2 }

// SourceOhm is the resistance behind a secondary, ohm: the share it rises by
// unloaded x volts over its rated current.
func SourceOhm(volts, va, regulation float64) float64 { return regulation * volts / (va / volts) }

// BetweenHots is the voltage in V rms between the hot leads of two secondaries
// whose commons are joined, their phases degrees apart.
func BetweenHots(a, b, degrees float64) float64 {
	return cmplx.Abs(cmplx.Rect(a, 0) - cmplx.Rect(b, degrees*math.Pi/180))
}

// troubles searches the network: loops of windings that are not zero, diodes
// across a winding, and DC commons that see two phases.
func (n *commons) troubles() []trouble {
	group, v, broken := n.potentials()
	var out []trouble
	dead := map[int]bool{} // groups in which potentials mean nothing any more
	for _, k := range broken {
		out = append(out, n.deadShort(k))
		dead[group[n.at[n.joins[k].a]]] = true
	}
	out = append(out, n.diodeShorts(group, v, dead)...)
	out = append(out, n.doubledRails(group, v, dead)...)
	out = append(out, n.apart(group, v, dead)...)
	out = append(out, n.parallels(broken)...)
	slices.SortFunc(out, compareTrouble)
	return slices.CompactFunc(out, func(a, b trouble) bool { return compareTrouble(a, b) == 0 })
}

// deadShort words a loop of windings that does not come to zero.
func (n *commons) deadShort(k int) trouble {
	loop := n.loop(k)
	t := trouble{kind: "dead-short", limit: 0}
	var supplies []string
	for _, at := range loop {
		if w := n.joins[at]; w.volts != 0 {
			t.supply = w.a.end
			t.value += cmplx.Abs(w.volts)
			supplies = append(supplies, w.a.end.Device)
		}
	}
	t.circuits = n.circuitsOf(loop)
	slices.Sort(supplies)
	t.key = strings.Join(supplies, "+")
	t.text = fmt.Sprintf("the leads of %s meet through %s: a dead short in both half-cycles", strings.Join(supplies, " and "), n.words(loop))
	t.fix = "put every half-wave common on one secondary lead, the earthed one if either is earthed; or use a separate transformer"
	if len(supplies) > 1 {
		t.fix = "do not parallel secondaries unless they are listed for it; swap the leads of one"
	}
	return t
}

// diodeShorts finds full-wave devices whose DC common is held to a lead of
// their own supply: the diode to the other lead then lies across the winding.
func (n *commons) diodeShorts(group []int, v []complex128, dead map[int]bool) []trouble {
	var out []trouble
	for _, d := range n.diodes {
		c, l := n.at[d.common], n.at[d.lead]
		if group[c] != group[l] || dead[group[l]] || cmplx.Abs(v[c]-v[l]) < 0.05 {
			continue
		}
		loop := n.path(d.common, d.lead, -1)
		t := trouble{kind: "half-short", supply: d.lead.end, key: d.device, value: Peak(cmplx.Abs(v[c] - v[l])),
			circuits: append(n.circuitsOf(loop), d.circuit),
			text: fmt.Sprintf("the DC common of full-wave %s is held to a lead of %s through %s: its bridge shorts %s V peak for half of every cycle, whichever way its leads lie",
				d.device, d.lead.end.Device, n.words(loop), show(Peak(cmplx.Abs(v[c]-v[l])))),
			fix: "feed the full-wave device from a transformer of its own that is not earthed, or isolate its signals"}
		out = append(out, t)
	}
	return out
}

// railSlack is how far above its own supply's peak a rail may come before it
// counts as damaged: the tolerance of a nominal voltage.
const railSlack = 1 + nominalTolerance

// doubledRails finds DC commons that float under leads of several phases: a
// common sits at the lowest of all of them, so the rail of a device may reach
// from its own highest lead to another supply's lowest.
func (n *commons) doubledRails(group []int, v []complex128, dead map[int]bool) []trouble {
	under := map[int][]diode{} // diodes by the group of the DC common they share
	for _, d := range n.diodes {
		k := group[n.at[d.common]]
		if !slices.ContainsFunc(under[k], func(o diode) bool { return o.lead == d.lead }) {
			under[k] = append(under[k], d)
		}
	}
	var out []trouble
	for _, d := range n.diodes {
		own := n.at[d.lead]
		for _, o := range under[group[n.at[d.common]]] {
			other := n.at[o.lead]
			if o.lead.end == d.lead.end || group[own] != group[other] || dead[group[own]] {
				continue
			}
			rail, normal := Peak(cmplx.Abs(v[own]-v[other])), Peak(n.winding[d.lead.end])
			if rail <= normal*railSlack {
				continue
			}
			loop := n.path(d.common, o.common, -1)
			out = append(out, trouble{kind: "doubled-rail", supply: d.lead.end, key: d.device, value: rail, limit: normal, circuits: append(n.circuitsOf(loop), d.circuit, o.circuit),
				text: fmt.Sprintf("the DC commons of full-wave %s and %s are joined, and both secondaries are earthed and out of phase: the DC rail of %s reaches %s V peak where %s V is normal",
					d.device, o.device, d.device, show(rail), show(normal)),
				fix: "feed both from one phase, swap the leads of one primary, leave one secondary unearthed, or isolate the signals"})
		}
	}
	return out
}

// apart finds half-wave devices on one transformer whose commons lie on
// opposite leads without being joined: they run, but their commons differ.
func (n *commons) apart(group []int, v []complex128, dead map[int]bool) []trouble {
	var out []trouble
	first := map[model.End][3]*joins{} // by supply and lead
	for i := range n.joins {
		j := &n.joins[i]
		if j.how != "half-wave feed" || dead[group[n.at[j.a]]] {
			continue
		}
		seen := first[j.b.end]
		if seen[j.b.lead] == nil {
			seen[j.b.lead] = j
			first[j.b.end] = seen
		}
		a := seen[3-j.b.lead]
		if a == nil {
			continue
		}
		d := cmplx.Abs(v[n.at[a.a]] - v[n.at[j.a]])
		out = append(out, trouble{kind: "apart", supply: j.b.end, key: j.a.end.Device, value: d, circuits: []int{a.circuit, j.circuit},
			text: fmt.Sprintf("%s and %s hang on %s the opposite way round: they run, but their commons differ by %s V AC, and any wire between them is a short",
				a.a.end.Device, j.a.end.Device, j.b.end.Device, show(d)),
			fix: "swap the two supply wires of one of them"})
	}
	return out
}

// parallels finds secondaries that feed each other without being listed for it.
func (n *commons) parallels(broken []int) []trouble {
	var out []trouble
	for k, j := range n.joins {
		if j.how != "paralleled" || slices.Contains(broken, k) || j.a.lead != 1 {
			continue
		}
		listed := true
		for _, e := range []model.End{j.a.end, j.b.end} {
			t := n.x.terminal(e)
			listed = listed && t != nil && t.ParallelListed != nil && *t.ParallelListed
		}
		if !listed {
			out = append(out, trouble{kind: "paralleled", supply: j.a.end, key: j.b.end.Device, circuits: []int{j.circuit},
				text: fmt.Sprintf("the secondaries of %s and %s are paralleled: no current circulates while they are alike and in phase, but Class 2 outputs may not be interconnected unless listed for it", j.a.end.Device, j.b.end.Device),
				fix:  "give each secondary loads of its own, or use one larger listed supply"})
		}
	}
	return out
}

func (n *commons) circuitsOf(loop []int) []int {
	var out []int
	for _, k := range loop {
		if c := n.joins[k].circuit; c >= 0 && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// words tells a way over wires: the circuits and earths it goes through.
func (n *commons) words(loop []int) string {
	var parts []string
	for _, k := range loop {
		j := n.joins[k]
		part := j.how
		if j.circuit >= 0 {
			part = fmt.Sprintf("%s (%s)", j.how, n.x.net.Circuits[j.circuit].ID)
		} else if j.how == "earthed" || j.how == "earthed in the device" {
			part = "the earth of " + j.a.end.Device
		} else if j.volts != 0 {
			part = "the winding of " + j.a.end.Device
		}
		if !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", ")
}

const shortSource = "circuit analysis of half-wave and full-wave rectifiers; NEC 725.121(B), 250.20(A) (NFPA 70-2017)"

// askCommons answers common-short for every circuit on an AC supply and every
// signal that closes a loop. What holds under the kindest reading of unknown
// facts is a fault; what holds only under an unkind one cannot be told.
func (x *index) askCommons() map[int][]answer {
	out := map[int][]answer{}
	kind := x.kind
	if len(kind.joins) == 0 {
		return out
	}
	sure := kind.troubles()
	maybe := []trouble{}
	if kind.unknown > 0 {
		maybe = x.possible(sure)
	}
	for _, t := range sure {
		v := model.Fault
		if t.kind == "apart" {
			v = model.Caution
		}
		x.tellTrouble(out, t, v, t.text, t.fix)
	}
	for _, t := range maybe {
		if t.kind == "apart" {
			continue
		}
		needs := x.unknownAbout(t)
		x.tellTrouble(out, t, model.Unknown, "cannot tell: needs "+needs+"; as it may be, "+t.text, "state "+needs)
	}
	x.passCommons(out)
	return out
}

// possible lists the troubles that hold under an unkind reading of what is not
// known, without those that are sure. Windings of unknown phase are numbered in
// each part of the network, and turned round by one bit of their number after
// the other, so that every two of them are met in phase and opposed.
func (x *index) possible(sure []trouble) []trouble {
	type name struct {
		kind, key string
		supply    model.End
	}
	known := map[name]bool{}
	for _, t := range sure {
		known[name{t.kind, t.key, t.supply}] = true
	}
	var out []trouble
	phases := 0
	ask := func(g guess) {
		n := x.commonsOf(g)
		phases = max(phases, n.phases)
		for _, t := range n.troubles() {
			if k := (name{t.kind, t.key, t.supply}); !known[k] {
				known[k] = true
				out = append(out, t)
			}
		}
	}
	ask(guess{"half-wave", false, 0})
	ask(guess{"full-wave", false, 0})
	for bit := 1; bit <= bits.Len(uint(max(phases, 1)-1)); bit++ {
		ask(guess{"none", false, bit})
		ask(guess{"full-wave", false, bit})
	}
	return out
}

func (x *index) tellTrouble(out map[int][]answer, t trouble, v model.Verdict, text, fix string) {
	for _, i := range t.circuits {
		a := answer{Check: model.Check{Code: "common-short", Verdict: v, Text: text, Source: shortSource, At: t.supply.String(), Unit: "V"}, fix: fix, place: atSupply, group: t.supply.String()}
		if t.value > 0 {
			a.Value = ptr(model.Exactly(t.value))
			a.Limit = ptr(model.Exactly(t.limit))
			a.Relation = "<="
			a.Margin = ptr(t.limit - t.value)
		}
		out[i] = append(out[i], a)
	}
}

// unknownAbout names the facts that a trouble hangs on.
func (x *index) unknownAbout(t trouble) string {
	var needs []string
	add := func(s string) {
		if !slices.Contains(needs, s) {
			needs = append(needs, s)
		}
	}
	for _, i := range t.circuits {
		c := &x.net.Circuits[i]
		for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
			at := x.terminal(plain(e))
			if at == nil {
				continue
			}
			if at.Nature == model.PowerIn && at.Rectifier == "" {
				add("whether " + e.Device + " is half-wave or full-wave (half-wave with its common on the others' lead, or isolated signals, would pass)")
			}
			if isSignal(at) && at.Nature != model.SupplyOut && at.Isolated == nil {
				add("whether " + e.String() + " is isolated (isolated would pass)")
			}
		}
	}
	if len(needs) == 0 && t.kind == "doubled-rail" {
		return "the phase of each transformer's primary (in phase would pass)"
	}
	if len(needs) == 0 {
		return "the rectifiers and isolation of the devices on " + t.supply.Device
	}
	return strings.Join(needs, ", and ")
}

// passCommons says of the remaining feeds from an AC supply that nothing joins
// their leads.
func (x *index) passCommons(out map[int][]answer) {
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		s, t := x.feeding(c)
		if t == nil || t.Current != "ac" || t.Volts == nil || t.Volts.Hi > 60 || len(out[i]) > 0 {
			continue
		}
		out[i] = []answer{{Check: model.Check{Code: "common-short", Verdict: model.Pass, At: s.String(), Source: shortSource,
			Text: "no way through commons, shields or earth joins the two leads of " + s.Device + " or bypasses a rectifier"}, place: atSupply}}
	}
}

// ShortPeak is the peak current in A of a secondary shorted through a diode:
// (peak - diode volts) / (source + wire, ohm).
func ShortPeak(rms, ohm, diode float64) float64 { return (Peak(rms) - diode) / ohm }
