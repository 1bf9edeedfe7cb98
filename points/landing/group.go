package landing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// group sorts the demands into panels: the panel that the equipment names, else
// the one that serves its tag, else the one it was in at the earlier issue,
// else the one that serves its location or stands there, else the nearest by
// building and storey, else the first of the right branch.
func (l *lander) group(demands []Demand) map[string][]Demand {
	l.storeys(demands)
	l.plan(demands)
	before := map[string]string{}
	for _, d := range demands {
		if d.Keep != nil && before[d.Equipment] == "" {
			before[d.Equipment] = d.Keep.Panel
		}
	}
	out := map[string][]Demand{}
	told := map[string]bool{}
	for _, d := range demands {
		name, why := l.panelOf(d, before[d.Equipment])
		if why != nil && !told[d.Equipment] {
			told[d.Equipment] = true
			l.say(*why)
		}
		out[name] = append(out[name], d)
	}
	return out
}

// Panels says in which panel each machine is to land, one demand a machine, and
// which panels are planned for that because the project states none.
func Panels(p *model.Project, machines []Demand, earlier []model.Controller) (of map[string]string, planned []model.Panel, found []finding.Finding) {
	l := &lander{p: p, earlier: earlier}
	machines = slices.Clone(machines)
	slices.SortStableFunc(machines, func(a, b Demand) int { return finding.CompareTags(a.Equipment, b.Equipment) })
	of = map[string]string{}
	for panel, list := range l.group(machines) { // each machine is in one list; order does not matter
		for _, d := range list {
			of[d.Equipment] = panel
		}
	}
	return of, l.planned, l.out.Findings
}

// storeys finds the highest storey of the project: the roof is one above it.
func (l *lander) storeys(demands []Demand) {
	if n := l.p.Settings.Codes.Storeys; n != nil {
		l.top = float64(*n)
		return
	}
	for _, d := range demands {
		if p := readPlace(d.Location); p.known && !p.roof {
			l.top = max(l.top, float64(int(p.level)))
		}
	}
	for _, one := range l.p.Panels {
		if p := readPlace(one.Location); p.known && !p.roof {
			l.top = max(l.top, float64(int(p.level)))
		}
	}
}

// where reads a location, the roof as the storey above the highest one known.
func (l *lander) where(location string) place {
	p := readPlace(location)
	if p.roof {
		p.level = l.top + 1
	}
	return p
}

// reach is how many storeys up and down a panel serves.
func (l *lander) reach() float64 {
	if n := l.p.Settings.Landing.PanelReach; n != nil {
		return float64(*n)
	}
	return defaultReach
}

func (l *lander) reachWords() string {
	if n := l.reach(); n != 1 {
		return model.Figure(n) + " storeys"
	}
	return "one storey"
}

// panels are those that the project states, or that were planned for it.
func (l *lander) panels() []model.Panel {
	return append(l.p.Panels[:len(l.p.Panels):len(l.p.Panels)], l.planned...)
}

const firstPanel = "PANEL-1"

// panelOf is the panel of a demand, and a finding where the choice is doubtful.
func (l *lander) panelOf(d Demand, before string) (string, *finding.Finding) {
	if d.Panel != "" {
		return d.Panel, nil
	}
	panels := l.panels()
	if d.Emergency {
		if safe := slices.DeleteFunc(slices.Clone(panels), func(p model.Panel) bool { return !p.Emergency }); len(safe) > 0 {
			panels = safe
		}
	}
	same := func(a, b string) bool {
		return a != "" && strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
	}
	serves := func(what string) func(model.Panel) bool {
		return func(p model.Panel) bool {
			return slices.ContainsFunc(p.Serves, func(s string) bool { return same(s, what) })
		}
	}
	for _, by := range []func(model.Panel) bool{
		serves(d.Equipment),
		func(p model.Panel) bool { return same(p.ID, before) },
		serves(d.Location),
		func(p model.Panel) bool { return same(p.Location, d.Location) },
	} {
		if i := slices.IndexFunc(panels, by); i >= 0 {
			return panels[i].ID, nil
		}
	}
	if len(panels) == 0 {
		return firstPanel, nil
	}
	return l.nearest(d, panels)
}

// nearest is the panel fewest storeys away from where the machine stands, the
// first of several; the first panel of all where that cannot be told.
func (l *lander) nearest(d Demand, panels []model.Panel) (string, *finding.Finding) {
	at := l.where(d.Location)
	best, least, named := -1, 0.0, false
	for i, p := range panels {
		for _, text := range append([]string{p.Location}, p.Serves...) {
			there := l.where(text)
			n, ok := storeysApart(at, there)
			own := there.building == at.building // rather than one that names no building
			if ok && (best < 0 || own && !named || own == named && n < least) {
				best, least, named = i, n, own
			}
		}
	}
	f := finding.Finding{Code: "panel-far", Severity: finding.Note, Subject: d.Equipment, Source: "common practice",
		Fix: "state the panel of the machine in a column BAS panel, or what each panel serves (panels: serves)"}
	switch {
	case best >= 0 && least <= l.reach():
		return panels[best].ID, nil
	case best >= 0:
		f.Severity = finding.Caution
		f.Message = fmt.Sprintf("it stands %s storeys from the nearest panel, %s at %s; a panel is taken to serve %s up and down: mind the length of its wires", model.Figure(least), panels[best].ID, cmp.Or(panels[best].Location, "a place not stated"), l.reachWords())
		return panels[best].ID, &f
	case len(panels) == 1:
		return panels[0].ID, nil
	}
	f.Message = fmt.Sprintf("no panel is said to serve where it stands (%s): it lands in %s, the first", cmp.Or(strings.TrimSpace(d.Location), "not stated"), panels[0].ID)
	return panels[0].ID, &f
}

// stated is the panel as the project states it; a bare one if it does not.
func (l *lander) stated(name string) model.Panel {
	for _, p := range l.panels() {
		if p.ID == name {
			return p
		}
	}
	return model.Panel{ID: name}
}
