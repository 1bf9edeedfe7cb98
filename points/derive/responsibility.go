package derive

import (
	"cmp"
	"slices"

	"tallywire/model"
	"tallywire/points/library"
)

// responsibility lists the rows of the table that the project needs, each with
// the machines it holds for: those of its controls, and those whose points
// come from its item.
func responsibility(lib *library.Library, w *world, points []model.Point) []model.Responsibility {
	items := itemsOf(lib, w, points)
	var out []model.Responsibility
	for _, t := range lib.Tasks() {
		var tags []string
		for i := range w.machines {
			m := &w.machines[i]
			if m.inScope() && w.of(m.Tag) == m && (slices.Contains(t.Controls, m.Control) || items[i][t.ID]) {
				tags = append(tags, m.Tag)
			}
		}
		if len(tags) == 0 {
			continue
		}
		out = append(out, model.Responsibility{Item: t.Name, Furnish: t.Furnish, Install: t.Install, Power: t.Power, Wire: t.Wire,
			Terminate: t.Terminate, SetUp: t.SetUp, Verify: t.Verify, Equipment: tags, Source: t.Source})
	}
	return out
}

// itemsOf returns for each machine the items that its hardwired points come from.
func itemsOf(lib *library.Library, w *world, points []model.Point) []map[string]bool {
	roleItem, ruleItem := map[string]string{}, map[string]string{}
	for _, r := range lib.Roles() {
		roleItem[r.ID] = r.Item
	}
	for _, r := range lib.Rules() {
		ruleItem[r.ID] = r.Emits.Item
	}
	out := make([]map[string]bool, len(w.machines))
	for i := range w.machines {
		out[i] = map[string]bool{}
		for _, q := range points[w.machines[i].from:w.machines[i].to] {
			if q.Carried == model.Hardwired {
				out[i][cmp.Or(ruleItem[q.Rule], roleItem[Base(q.Role)])] = true
			}
		}
	}
	return out
}
