package points_test

import (
	"slices"
	"testing"

	"tallywire/model"
)

// TestStandbyOnItsOwnController: duty and standby of the list have no
// controller in common, although one would take both; a third fan may join
// either.
func TestStandbyOnItsOwnController(t *testing.T) {
	list := "tag,type,service,cfm,hp,voltage,control,remarks\n" +
		"EF-1,general exhaust,lab,3000,3,460/3/60,VFD,duty/standby with EF-2\nEF-2,general exhaust,lab,3000,3,460/3/60,VFD,\nEF-3,general exhaust,store,3000,3,460/3/60,VFD,\n"
	homes := func(list string, project model.Project) map[string][]string {
		_, plan := planned(t, list, project)
		out := map[string][]string{}
		for _, l := range plan.Landings {
			tag, _, _ := model.Split(l.Point)
			if !slices.Contains(out[tag], l.Controller) {
				out[tag] = append(out[tag], l.Controller)
			}
		}
		if len(coded(plan, "standby-shares-controller"))+len(coded(plan, "landing-broken")) > 0 {
			t.Errorf("%+v", plan.Findings)
		}
		return out
	}
	got := homes(list, quick())
	if len(got["EF-1"]) != 1 || len(got["EF-2"]) != 1 || got["EF-1"][0] == got["EF-2"][0] {
		t.Errorf("duty and standby land on %v", got)
	}
	p := quick()
	p.Interlocks = []model.Interlock{{From: "EF-1", To: "EF-3", Action: "standby"}}
	got = homes(list, p)
	all := slices.Concat(got["EF-1"], got["EF-2"], got["EF-3"])
	slices.Sort(all)
	if len(slices.Compact(all)) != 3 {
		t.Errorf("three that stand in for each other land on %v", got)
	}
}
