package points

import (
	"cmp"
	"slices"

	"tallywire/model"
	"tallywire/points/circuit"
	"tallywire/points/library"
)

// prove checks every circuit and supply of the plan.
func prove(lib *library.Library, p *model.Project, plan *model.Plan, _ Options) {
	landed, open := unlanded(plan.Circuits)
	order := map[string]int{}
	for i, c := range plan.Circuits {
		order[c.ID] = i
	}
	checked := circuit.Check(lib, p, circuit.Net{Devices: plan.Devices, Circuits: landed, Cables: plan.Cables})
	plan.Circuits = append(checked.Circuits, open...)
	slices.SortStableFunc(plan.Circuits, func(a, b model.Circuit) int { return cmp.Compare(order[a.ID], order[b.ID]) })
	plan.Supplies = checked.Supplies
	plan.Findings = append(plan.Findings, checked.Findings...)
}
