package circuit

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// Classes of wiring, NEC article 725.
const (
	classTwo = "class-2"
	classOne = "class-1"
	power    = "power"
)

// classOfCircuit is what a circuit is by its source: power-limited, Class 1 or
// power. A signal that brings its own small voltage counts as power-limited.
func (x *index) classOfCircuit(c *model.Circuit) string {
	if c.Purpose == "mains" {
		return power
	}
	var s *model.Terminal
	for _, e := range []*model.End{c.Supply, &c.Drive} {
		if e == nil || e.Open() {
			continue
		}
		if t := x.terminal(plain(*e)); t != nil && isSource(t) {
			s = t
			break
		}
	}
	switch {
	case s == nil || s.Volts == nil:
		return classTwo
	case s.ClassTwo != nil && !*s.ClassTwo:
		return classOne
	case s.Current == "dc" && s.Volts.Lo <= 60 || s.Current != "dc" && s.Volts.Lo <= 30:
		return classTwo
	}
	return classOne
}

// askSeparation: power-limited circuits keep apart from others in a cable, in
// a raceway and in the housing of a relay.
func (x *index) askSeparation() map[int][]answer {
	out := map[int][]answer{}
	byID := make(map[string]int, len(x.net.Circuits))
	for i := range x.net.Circuits {
		byID[x.net.Circuits[i].ID] = i
	}
	raceways := map[string][]int{}
	var names []string
	for k := range x.net.Cables {
		c := &x.net.Cables[k]
		var list []int
		for _, id := range c.Circuits {
			if i, ok := byID[id]; ok {
				list = append(list, i)
			}
		}
		if c.Class != classOne { // all of it then counts and is wired as Class 1
			x.mixed(out, list, "cable "+c.ID, "NEC 725.136(A) (NFPA 70-2017)", "use a cable of its own for the power-limited circuits; or wire all of them as Class 1 throughout and take the Class 2 markings off")
		}
		if c.Raceway != "" {
			if raceways[c.Raceway] == nil {
				names = append(names, c.Raceway)
			}
			raceways[c.Raceway] = append(raceways[c.Raceway], list...)
		}
	}
	slices.Sort(names)
	for _, r := range names {
		x.mixed(out, raceways[r], "raceway "+r, "NEC 725.136(A) (NFPA 70-2017)", "use a raceway of its own for the power-limited circuits, at least 2 in. from the other unless one of the two is in raceway, or a barrier")
	}
	x.housings(out)
	return out
}

// mixed tells the power-limited circuits of a group that others run with them.
func (x *index) mixed(out map[int][]answer, list []int, where, cite, fix string) {
	var limited []int
	var others []string
	for _, i := range list {
		c := &x.net.Circuits[i]
		if k := x.classOfCircuit(c); k == classTwo {
			limited = append(limited, i)
		} else {
			others = append(others, c.ID+" ("+k+")")
		}
	}
	if len(others) == 0 && len(limited) > 1 {
		for _, i := range limited {
			out[i] = append(out[i], answer{group: where, Check: model.Check{Code: "mixed-class", Verdict: model.Pass, At: where, Source: cite, Text: where + " holds power-limited circuits only"}})
		}
	}
	if len(limited) == 0 || len(others) == 0 {
		return
	}
	for _, i := range limited {
		out[i] = append(out[i], answer{group: where, fix: fix, Check: model.Check{Code: "mixed-class", Verdict: model.Fault, At: where, Source: cite,
			Text: fmt.Sprintf("%s holds power-limited circuits together with %s; unless a barrier, a raceway inside or one of the listed exceptions keeps them apart", where, strings.Join(others, ", "))}})
	}
}

// housings asks of every relay that stands in circuits of both kinds whether
// its housing keeps them apart. Listed boxes, drives and starters do.
func (x *index) housings(out map[int][]answer) {
	touch := map[string][]int{}
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		seen := map[string]bool{}
		for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
			d := x.devices[e.Device]
			if d == nil || d.Spec == nil || seen[d.ID] || d.Spec.Category != "relay" && d.Spec.Barrier == nil {
				continue
			}
			seen[d.ID] = true
			touch[d.ID] = append(touch[d.ID], i)
		}
	}
	for i := range x.net.Devices {
		d := &x.net.Devices[i]
		list := touch[d.ID]
		if len(list) < 2 {
			continue
		}
		kinds := map[bool]bool{}
		for _, k := range list {
			kinds[x.classOfCircuit(&x.net.Circuits[k]) == classTwo] = true
		}
		if len(kinds) == 2 {
			x.barrier(out, d, list)
		}
	}
}

func (x *index) barrier(out map[int][]answer, d *model.Device, list []int) {
	const cite = "NEC 725.136(B), (D) (NFPA 70-2017)"
	name := shortName(d.Spec)
	a := answer{group: d.ID, Check: model.Check{Code: "mixed-class", Verdict: model.Pass, At: d.ID, Source: cite,
		Text: name + " holds power-limited and other circuits, kept apart by its barrier"}}
	switch {
	case d.Spec.Barrier == nil:
		a.Verdict = model.Unknown
		a.Text = "cannot tell: needs whether " + name + " keeps power-limited and other circuits 0.25 in. apart or has a barrier; a barriered housing would pass"
		a.fix = "use a barriered relay housing with knockouts of its own for each class, or wire the whole circuit as Class 1"
	case !*d.Spec.Barrier:
		a.Verdict = model.Fault
		a.Text = name + " holds power-limited and other circuits without a barrier or 0.25 in. between them"
		a.fix = "use a barriered relay housing with knockouts of its own for each class, or wire the whole circuit as Class 1"
	}
	for _, i := range list {
		out[i] = append(out[i], a)
	}
}
