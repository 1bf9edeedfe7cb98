package landing

import (
	"slices"
	"strings"

	"tallywire/model"
)

// group sorts the demands into panels: the panel that the equipment names,
// else the one that serves its tag or its location, else the one that stands
// there, else the first of the right branch. A project that states no panel
// gets one.
func (l *lander) group(demands []Demand) map[string][]Demand {
	out := map[string][]Demand{}
	for _, d := range demands {
		name := l.panelOf(d)
		out[name] = append(out[name], d)
	}
	return out
}

const firstPanel = "PANEL-1"

func (l *lander) panelOf(d Demand) string {
	if d.Panel != "" {
		return d.Panel
	}
	panels := l.p.Panels
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
	for _, p := range l.p.Panels {
		if p.ID == name {
			return p
		}
	}
	return model.Panel{ID: name}
}
