package landing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// Where the project states no panels they are planned. A panel stands on a
// storey where machines stand and serves those up to so many storeys above and
// below; no wire runs between buildings. A panel for one or two machines is
// not bought: they are wired to the nearest one of their building, and the
// length of that is told.
const (
	defaultReach = 1 // storeys up and down; common practice: one panel a floor or two, risers kept short
	fewMachines  = 2 // that get no panel of their own; common practice
)

// floor is one storey of one building and the machines on it.
type floor struct {
	place    place
	location string // as the list writes it, the first by name
	machines []string
}

// plan plans the panels of a project that states none: those of the earlier
// issue, if there is one, else one at each location if the settings ask for
// that, else by storeys. One panel alone needs no place.
func (l *lander) plan(demands []Demand) {
	how := l.p.Settings.Landing.Panels
	switch {
	case len(l.p.Panels) > 0 || how == "one":
	case len(l.earlier) > 0:
		for _, c := range l.earlier {
			if !slices.ContainsFunc(l.planned, func(p model.Panel) bool { return p.ID == c.Panel }) {
				l.planned = append(l.planned, model.Panel{ID: c.Panel, Location: c.Location})
			}
		}
	case how == "by-location":
		l.places(demands)
	default:
		l.byStorey(demands)
	}
}

// places plans a panel at each location; locations in the order of their names.
func (l *lander) places(demands []Demand) {
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

// byStorey plans panels by storeys: from the lowest storey that has none in
// reach, the panel stands as high as still reaches it. Every building has one.
func (l *lander) byStorey(demands []Demand) {
	floors := l.floors(demands)
	var stands []int // floors with a panel
	for i := 0; i < len(floors); {
		building, first, largest, most := floors[i].place.building, len(stands), i, 0
		for i < len(floors) && floors[i].place.building == building {
			at, machines := i, 0
			for at+1 < len(floors) && l.inReach(floors[i], floors[at+1]) {
				at++
			}
			for ; i < len(floors) && l.inReach(floors[at], floors[i]); i++ {
				machines += len(floors[i].machines)
			}
			if machines > most {
				largest, most = at, machines
			}
			if machines > fewMachines {
				stands = append(stands, at)
			}
		}
		if len(stands) == first && building != "" {
			stands = append(stands, largest)
		}
	}
	if len(stands) < 2 {
		return
	}
	var said []string
	for n, at := range stands {
		f := floors[at]
		l.planned = append(l.planned, model.Panel{ID: fmt.Sprintf("PANEL-%d", n+1), Location: f.location})
		said = append(said, fmt.Sprintf("PANEL-%d at %s", n+1, f.location))
	}
	l.say(finding.Finding{Code: "landing-assumed", Severity: finding.Note, Source: "common practice",
		Message: fmt.Sprintf("no panels are stated; they are planned where the machines stand, each for %s up and down and for more than %d machines: %s", l.reachWords(), fewMachines, strings.Join(said, ", ")),
		Fix:     "state the panels, or landing.panels: one or by-location, or landing.panel_reach_storeys"})
}

func (l *lander) inReach(a, b floor) bool {
	n, ok := storeysApart(a.place, b.place)
	return ok && a.place.building == b.place.building && n <= l.reach()
}

// floors lists the storeys that have machines, by building and height. A
// machine whose list names no building is in the only one there is.
func (l *lander) floors(demands []Demand) []floor {
	var out []floor
	for _, d := range demands {
		p := l.where(d.Location)
		if !p.known || d.Panel != "" {
			continue
		}
		at := slices.IndexFunc(out, func(f floor) bool { return f.place.building == p.building && f.place.level == p.level })
		if at < 0 {
			at = len(out)
			out = append(out, floor{place: p, location: strings.TrimSpace(d.Location)})
		}
		f := &out[at]
		if name := strings.TrimSpace(d.Location); finding.CompareTags(name, f.location) < 0 {
			f.location = name
		}
		if !slices.Contains(f.machines, d.Equipment) {
			f.machines = append(f.machines, d.Equipment)
		}
	}
	slices.SortFunc(out, func(a, b floor) int {
		return cmp.Or(finding.CompareTags(a.place.building, b.place.building), cmp.Compare(a.place.level, b.place.level))
	})
	return out
}
