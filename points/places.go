package points

import (
	"slices"

	"tallywire/model"
	"tallywire/points/landing"
)

// places decides once, before anything is wired, in which panel every machine
// is to land, so that its supplies, its cables and its terminals are in the
// same one. It returns the project with the panels that were planned for it,
// and the machines with their panels; the plan keeps the machines as they were
// read.
func places(p *model.Project, plan *model.Plan, opts Options) (*model.Project, []model.Equipment) {
	kept := previousLandings(opts.Previous)
	wired := map[string]string{} // a point of each machine that wants a terminal, one that landed before if there is one
	for i := range plan.Points {
		if q := &plan.Points[i]; q.Carried == model.Hardwired && !q.ByOthers && (wired[q.Equipment] == "" || kept[wired[q.Equipment]] == nil && kept[q.Key] != nil) {
			wired[q.Equipment] = q.Key
		}
	}
	var machines []landing.Demand
	for i := range plan.Equipment {
		if e := &plan.Equipment[i]; wired[e.Tag] != "" {
			machines = append(machines, landing.Demand{Point: wired[e.Tag], Equipment: e.Tag, Panel: e.Panel, Location: e.Location,
				Emergency: e.Emergency != nil && *e.Emergency, Keep: kept[wired[e.Tag]]})
		}
	}
	homes, planned, found := landing.Panels(p, machines, earlierControllers(opts.Previous))
	plan.Findings = append(plan.Findings, found...)
	with := *p
	with.Panels = append(slices.Clone(p.Panels), planned...)
	list := slices.Clone(plan.Equipment)
	for i := range list {
		if home := homes[list[i].Tag]; home != "" {
			list[i].Panel = home
		}
	}
	return &with, list
}
