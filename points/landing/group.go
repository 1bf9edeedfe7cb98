package landing

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// group sorts the demands into panels: the panel that the equipment names,
// else the one that serves its tag or its location, else the one that stands
// there, else the first of the right branch. A project that states no panel
// gets one, or one at each location if it says so.
func (l *lander) group(demands []Demand) map[string][]Demand {
	l.places(demands)
	out := map[string][]Demand{}
	for _, d := range demands {
		name := l.panelOf(d)
		out[name] = append(out[name], d)
	}
	return out
}

// places plans a panel at each location where the project states none and asks
// for that; locations in the order of their names.
func (l *lander) places(demands []Demand) {
	if len(l.p.Panels) > 0 || l.p.Settings.Landing.Panels != "by-location" {
		return
	}
	var names []string
	for _, d := range demands {
		name := strings.TrimSpace(d.Location)
		if name != "" && !slices.ContainsFunc(names, func(o string) bool { return strings.EqualFold(o, name) }) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names, finding.CompareTags)
	for i, name := range names {
		l.planned = append(l.planned, model.Panel{ID: fmt.Sprintf("PANEL-%d", i+1), Location: name})
	}
}

// panels are those that the project states, or that were planned for it.
func (l *lander) panels() []model.Panel {
	return append(l.p.Panels[:len(l.p.Panels):len(l.p.Panels)], l.planned...)
}

const firstPanel = "PANEL-1"

func (l *lander) panelOf(d Demand) string {
	if d.Panel != "" {
		return d.Panel
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
	for _, by := range []func(model.Panel) bool{
		func(p model.Panel) bool {
			return slices.ContainsFunc(p.Serves, func(s string) bool { return same(s, d.Equipment) })
		},
		func(p model.Panel) bool {
			return slices.ContainsFunc(p.Serves, func(s string) bool { return same(s, d.Location) })
		},
		func(p model.Panel) bool { return same(p.Location, d.Location) },
	} {
		if i := slices.IndexFunc(panels, by); i >= 0 {
			return panels[i].ID
		}
	}
	if len(panels) > 0 {
		return panels[0].ID
	}
	return firstPanel
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
