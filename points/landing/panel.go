package landing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// task is one panel as the optimiser sees it, with the way back to tags.
type task struct {
	panel   model.Panel
	models  []model.ControllerModel // those that may hang in this panel
	problem *pack.Problem
	demands [][]Demand // by item and point
}

// panel plans one panel.
func (l *lander) panel(name string, demands []Demand) {
	l.unlandable(demands)
	demands = slices.DeleteFunc(demands, func(d Demand) bool { return len(d.Options) == 0 })
	t := l.task(l.stated(name), demands)
	for len(t.problem.Items) > 0 {
		s, err := pack.Solve(t.problem, l.rules.effort)
		if err == nil {
			l.name(t, s)
			return
		}
		var no *pack.Refusal
		if !errors.As(err, &no) || !l.refused(t, no) {
			return
		}
	}
}

// unlandable tells the points that no terminal may take, by reasons.
func (l *lander) unlandable(demands []Demand) {
	for _, d := range demands {
		if len(d.Options) > 0 {
			continue
		}
		why := "no terminal class takes it"
		if len(d.Reasons) > 0 {
			why = strings.Join(d.Reasons, "; ")
		}
		l.say(finding.Finding{Code: "no-terminal", Severity: finding.Fault, Subject: d.Point,
			Message: "no controller terminal can take this point: " + why,
			Fix:     "change the hook-up, or add a terminal class or an interposer that makes it work"})
	}
}

// task turns demands into items: the points of one machine are one item.
func (l *lander) task(panel model.Panel, demands []Demand) *task {
	t := &task{panel: panel}
	t.models = slices.DeleteFunc(slices.Clone(l.models), func(m model.ControllerModel) bool {
		return panel.Rating == "outdoor" && m.Rating != "outdoor"
	})
	p := &pack.Problem{Classes: l.classes(demands), MaxPoints: l.rules.maxPoints}
	p.Spare = pack.Spare{AtLeastOne: l.rules.one}
	for range p.Classes {
		p.Spare.Share = append(p.Spare.Share, l.rules.share)
	}
	bits := familyBits(t.models)
	for _, m := range t.models {
		one := pack.Model{ID: m.ID, Base: m.Base, Fits: bits(m), Slots: m.Slots, MaxExpansions: m.MaxExpansions, Price: m.PriceCents}
		for _, c := range p.Classes {
			one.Ports = append(one.Ports, m.Terminals[c])
		}
		p.Models = append(p.Models, one)
	}
	t.problem = p
	for _, d := range demands {
		n := len(p.Items)
		if n == 0 || p.Items[n-1].ID != d.Equipment {
			p.Items = append(p.Items, pack.Item{ID: d.Equipment, Keep: l.rules.keep, Penalty: l.rules.penalty})
			t.demands = append(t.demands, nil)
			n++
		}
		it := &p.Items[n-1]
		if d.Apart != "" { // a group kept apart is kept whole
			it.Apart, it.Keep = d.Apart, pack.Hard
		}
		pt := pack.Point{ID: d.Point}
		for _, o := range d.Options {
			pt.Choices = append(pt.Choices, pack.Choice{Class: slices.Index(p.Classes, o.Class), Extra: o.Extra})
		}
		it.Points = append(it.Points, pt)
		t.demands[n-1] = append(t.demands[n-1], d)
	}
	return t
}

// classes lists the terminal classes that the demands may use, in the order of
// the library, then others by name.
func (l *lander) classes(demands []Demand) []string {
	var used []string
	for _, d := range demands {
		for _, o := range d.Options {
			if !slices.Contains(used, o.Class) {
				used = append(used, o.Class)
			}
		}
	}
	slices.Sort(used)
	var out []string
	for _, c := range l.lib.Classes() {
		if slices.Contains(used, c.ID) {
			out = append(out, c.ID)
		}
	}
	for _, c := range used {
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// refused tells why a panel cannot be planned and takes out what stands in the
// way; false if nothing is left to try.
func (l *lander) refused(t *task, no *pack.Refusal) bool {
	f := finding.Finding{Code: "panel-impossible", Severity: finding.Fault, Subject: t.panel.ID,
		Message: fmt.Sprintf("panel %s: %s", t.panel.ID, no.Reason), Fix: "add a controller or expansion with the terminals needed, lower the spare, or keep the machine together softly"}
	if t.panel.Where != nil {
		f = f.At(*t.panel.Where)
	}
	l.say(f)
	return false
}
