package landing

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model/finding"
)

// together tells machines that stand in for each other and share a controller
// all the same: an earlier issue put them there, or one of them fits no
// controller and had to be split.
func (l *lander) together(demands []Demand) {
	type place struct{ group, controller string }
	on := map[place][]string{}
	var places []place
	kept := map[place]bool{}
	at := map[string]int{}
	for i, one := range l.out.Landings {
		at[one.Point] = i
	}
	for _, d := range demands {
		i, landed := at[d.Point]
		if d.Apart == "" || !landed {
			continue
		}
		one := &l.out.Landings[i]
		p := place{d.Apart, one.Controller}
		if on[p] == nil {
			places = append(places, p)
		}
		if !slices.Contains(on[p], d.Equipment) {
			on[p] = append(on[p], d.Equipment)
		}
		kept[p] = kept[p] || one.Kept
	}
	slices.SortFunc(places, func(a, b place) int { return finding.CompareTags(a.controller+" "+a.group, b.controller+" "+b.group) })
	for _, p := range places {
		if len(on[p]) < 2 {
			continue
		}
		why, fix := "one of them fits no controller whole and had to be split", "lower the spare, or bring a model that holds it whole"
		if kept[p] {
			why, fix = "the earlier issue has them there and they stay", "plan without the earlier issue, or move the wires of one of them by hand"
		}
		l.say(finding.Finding{Code: "standby-shares-controller", Severity: finding.Caution, Subject: p.group,
			Message: fmt.Sprintf("%s stand in for each other and have points on one controller, %s: if it fails, none of them runs (%s)", strings.Join(on[p], " and "), p.controller, why), Fix: fix, Source: "common practice"})
	}
}
