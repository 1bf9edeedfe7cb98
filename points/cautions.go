package points

import (
	"strings"

	"tallywire/model"
)

// cautions are the sentences that stand on the cover and in every answer.
func cautions(p *model.Plan) []string {
	out := []string{
		"This is a planning aid. Life-safety, electrical and code questions are decided by the codes in force locally and by licensed people.",
		"Ratings of generic devices stand in for the real ones: hold every pairing against the data sheets of the equipment actually bought.",
	}
	if hasOverrideBox(p) {
		out = append(out, "OFF at a fan interface box is no isolation: its override input may start the fan. Lock out the power before work.")
	}
	if tags := lifeSafety(p); len(tags) > 0 {
		out = append(out, "Life safety: "+strings.Join(tags, ", ")+". The fire trade starts, stops and proves these fans on listed equipment; the points here monitor. "+
			smokeListings(p))
	}
	return out
}

// smokeListings is what may be said of controllers and smoke control: what the user
// states, and nothing beyond it.
func smokeListings(p *model.Plan) string {
	list := p.Settings.Fire.Listings
	if len(list) == 0 {
		return "No controller of this plan is taken to be listed for smoke control."
	}
	var stated []string
	for _, l := range list {
		stated = append(stated, l.Item+": "+l.Listing+" ("+l.By+")")
	}
	return "Listings for smoke control as stated and not checked here: " + strings.Join(stated, "; ") + ". Nothing else of this plan is taken to be listed."
}

func hasOverrideBox(p *model.Plan) bool {
	for _, d := range p.Devices {
		if d.Role == "box" && d.Spec != nil && d.Spec.Logic != nil && len(d.Spec.Logic.Overrides) > 0 {
			return true
		}
	}
	return false
}

// lifeSafety lists the machines with a life-safety point, in the plan's order.
func lifeSafety(p *model.Plan) []string {
	safety := map[string]bool{}
	for _, q := range p.Points {
		safety[q.Equipment] = safety[q.Equipment] || q.LifeSafety
	}
	var out []string
	for _, e := range p.Equipment {
		if safety[e.Tag] {
			out = append(out, e.Tag)
		}
	}
	return out
}
