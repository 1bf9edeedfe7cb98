package points_test

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// TestOnePlaceForAll: the cable of a landed point begins in the panel where the
// point lands, and so does what feeds it, whether the panels are stated by
// location or planned by storey.
func TestOnePlaceForAll(t *testing.T) {
	var list strings.Builder
	list.WriteString("tag,type,cfm,hp,voltage,control,damper,location\n")
	for _, at := range []string{"LEVEL 1", "LEVEL 6"} {
		for _, n := range []string{"1", "2", "3"} {
			list.WriteString("EF-" + at[6:] + n + ",general exhaust,900,0.5,120/1/60,fan interface box,motorised 24V," + at + "\n")
		}
	}
	stated := quick()
	stated.Panels = []model.Panel{{ID: "P-A", Location: "Level 1"}, {ID: "P-B", Location: "Level 7"}}
	for name, project := range map[string]model.Project{"planned": quick(), "stated": stated} {
		_, plan := planned(t, list.String(), project)
		home, used := map[string]string{}, map[string]bool{}
		for _, l := range plan.Landings {
			home[l.Point] = l.Panel
			used[l.Panel] = true
		}
		if len(used) != 2 {
			t.Fatalf("%s: panels %v", name, used)
		}
		seen := 0
		for _, c := range plan.Cables {
			for _, id := range c.Circuits {
				if panel := home[id]; panel != "" {
					seen++
					if panel != c.From && panel != c.To {
						t.Errorf("%s: %s lands in %s and its cable %s runs from %s to %s", name, id, panel, c.ID, c.From, c.To)
					}
				}
			}
		}
		if seen < len(home)/2 {
			t.Errorf("%s: %d of %d landed points have a cable", name, seen, len(home))
		}
		for _, s := range plan.Supplies {
			for _, load := range s.Loads {
				tag, _, _ := strings.Cut(load, "/")
				at := slices.IndexFunc(plan.Landings, func(l model.Landing) bool { return strings.HasPrefix(l.Point, tag+"/") })
				if s.Panel != "" && at >= 0 && plan.Landings[at].Panel != s.Panel {
					t.Errorf("%s: %s feeds %s of a machine in %s", name, s.ID, load, plan.Landings[at].Panel)
				}
			}
		}
	}
}
