package landing

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// task is one panel as the optimiser sees it, with the way back to tags.
type task struct {
	panel    model.Panel
	models   []model.ControllerModel // by index of the problem's models
	standing []standing              // by index of the problem's standing controllers
	problem  *pack.Problem
	demands  [][]Demand    // by item and point
	all      []Demand      // those that stay included
	afresh   *pack.Problem // the panel without anything staying; nil where nothing stays
	// what comes of it
	solution *pack.Solution
	fresh    int64 // what it would cost without anything staying; -1 not asked or impossible
	found    []finding.Finding
}

// panel reads one panel: what stays, then what is new.
func (l *lander) panel(name string, demands []Demand) *task {
	panel := l.stated(name)
	l.unlandable(demands)
	l.branch(panel, demands)
	demands = slices.DeleteFunc(slices.Clone(demands), func(d Demand) bool { return len(d.Options) == 0 })
	if panel.Rating == "outdoor" && !slices.ContainsFunc(l.models, func(m model.ControllerModel) bool { return m.Base && m.Rating == "outdoor" }) {
		l.say(finding.Finding{Code: "outdoor-panel", Severity: finding.Fault, Subject: panel.ID,
			Message: fmt.Sprintf("panel %s stands outdoors and no controller of the catalogue is rated outdoor", panel.ID), Fix: "bring an outdoor model, or move the panel"})
	}
	if panel.Rating == "" && onRoof(panel.Location) {
		l.say(finding.Finding{Code: "outdoor-panel", Severity: finding.Caution, Subject: panel.ID,
			Message: fmt.Sprintf("panel %s stands on the roof (%s) and its rating is not stated; its controllers are chosen as if it hung indoors", panel.ID, panel.Location),
			Fix:     "state rating: outdoor, or rating: indoor if it hangs in a room or a conditioned enclosure", Source: "common practice"})
	}
	hanging := l.hanging(panel)
	list, open := l.stays(panel, demands, hanging)
	open = l.join(list, open)
	t := l.task(panel, list, open)
	t.all = demands
	if slices.ContainsFunc(list, func(s standing) bool { return len(s.kept) > 0 }) {
		quiet := &lander{lib: l.lib, p: l.p, rules: l.rules, models: l.models}
		t.afresh = quiet.task(panel, quiet.hanging(panel), demands).problem
	}
	return t
}

// branch tells emergency equipment in a panel that is not on that branch.
func (l *lander) branch(panel model.Panel, demands []Demand) {
	if panel.Emergency {
		return
	}
	told := ""
	for _, d := range demands {
		if !d.Emergency || d.Equipment == told {
			continue
		}
		told = d.Equipment
		l.say(finding.Finding{Code: "panel-not-on-emergency", Severity: finding.Caution, Subject: d.Equipment,
			Message: fmt.Sprintf("the machine is on the emergency branch and panel %s is not said to be: without it the controller is dead when the fan must run", panel.ID),
			Fix:     "state a panel with emergency: true that serves it, or feed this panel from the emergency branch", Source: "common practice"})
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
func (l *lander) task(panel model.Panel, list []standing, demands []Demand) *task {
	t := &task{panel: panel, standing: list, models: l.models}
	p := &pack.Problem{Classes: l.classes(demands), MaxPoints: l.rules.maxPoints}
	p.Spare = pack.Spare{AtLeastOne: l.rules.one}
	for range p.Classes {
		p.Spare.Share = append(p.Spare.Share, l.rules.share)
	}
	bits := familyBits(t.models)
	for _, m := range t.models {
		one := pack.Model{ID: m.ID, Base: m.Base, Fits: bits(m), Slots: m.Slots, MaxExpansions: m.MaxExpansions, Price: m.PriceCents,
			Gone: panel.Rating == "outdoor" && m.Rating != "outdoor"}
		for _, c := range p.Classes {
			one.Ports = append(one.Ports, m.Terminals[c])
		}
		p.Models = append(p.Models, one)
	}
	l.standingOf(t, p)
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

// standingOf hands the standing controllers to the optimiser.
func (l *lander) standingOf(t *task, p *pack.Problem) {
	index := func(id string) int {
		return slices.IndexFunc(t.models, func(m model.ControllerModel) bool { return m.ID == id })
	}
	for _, s := range t.standing {
		one := pack.Standing{ID: s.id, Model: index(s.base.ID), Points: len(s.taken), Fixed: s.fixed}
		for _, e := range s.expansions {
			one.Expansions = append(one.Expansions, index(e.ID))
		}
		for _, c := range p.Classes {
			one.Free = append(one.Free, max(0, s.free[c]))
		}
		one.Groups = s.groups
		p.Standing = append(p.Standing, one)
	}
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
// way, so that the rest still lands: points that no terminal can take are left
// out, a machine too large for one controller may be split. False if there is
// nothing to take out.
func (t *task) refused(no *pack.Refusal) bool {
	f := finding.Finding{Code: "panel-impossible", Severity: finding.Fault, Subject: t.panel.ID, Message: fmt.Sprintf("panel %s: %s", t.panel.ID, no.Reason)}
	if no.Need > 0 {
		f.Numbers = []finding.Number{{Name: "needed", Value: float64(no.Need)}, {Name: "best", Value: float64(no.Best)}}
	}
	if t.panel.Where != nil {
		f = f.At(*t.panel.Where)
	}
	p := t.problem
	switch no.Code {
	case "unservable":
		f.Fix = "bring a model with such terminals, or lower the spare (landing.spare_share)"
		t.found = append(t.found, f)
		for k := len(no.Points) - 1; k >= 0; k-- {
			pl := no.Points[k]
			p.Items[pl.Item].Points = slices.Delete(p.Items[pl.Item].Points, pl.Point, pl.Point+1)
			t.drop(pl)
		}
		for i := len(p.Items) - 1; i >= 0; i-- {
			if len(p.Items[i].Points) == 0 {
				p.Items, t.demands = slices.Delete(p.Items, i, i+1), slices.Delete(t.demands, i, i+1)
			}
		}
	case "too-large":
		f.Fix = "let the machine be split (landing.together: soft), lower the spare, or bring a larger model; until then it is planned split"
		t.found = append(t.found, f)
		for _, i := range no.Items {
			p.Items[i].Keep, p.Items[i].Apart = pack.Soft, ""
		}
	default:
		f.Fix = "add a controller or expansion with the terminals needed, lower the spare, or let machines be split"
		t.found = append(t.found, f)
		return false
	}
	return true
}

// drop takes a point out of the way back to tags and of what must land.
func (t *task) drop(pl pack.Placed) {
	key := t.demands[pl.Item][pl.Point].Point
	t.demands[pl.Item] = slices.Delete(t.demands[pl.Item], pl.Point, pl.Point+1)
	t.all = slices.DeleteFunc(t.all, func(d Demand) bool { return d.Point == key })
}
