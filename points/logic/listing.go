package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// commands lists the points by which controllers act on a fan.
func (k *checker) commands(f *fan) []*model.Point {
	var out []*model.Point
	for _, key := range k.keysOf[f.eq.Tag] {
		if p := k.points[key]; p.Carried != model.Software && strings.HasSuffix(p.ObjectType, "-output") {
			out = append(out, p)
		}
	}
	return out
}

// smokeByProgram are the fire events that a controller's program answers by
// running a fan.
func (k *checker) smokeByProgram(f *fan) []string {
	var out []string
	for _, e := range k.soft[f.name] {
		if !e.hard && e.event != nil && e.event.LifeSafety && (e.action == "start" || e.action == "full") && e.event.ID != "suppression" {
			out = append(out, lower(e.source()))
		}
	}
	return out
}

// covering is the listing that the user states for a machine or for the
// controller or panel that acts on it; nil none.
func (k *checker) covering(f *fan) *model.SmokeListing {
	list := k.p.Settings.Fire.Listings
	for i := range list {
		l := &list[i]
		if l.Item == f.eq.Tag || l.Item == f.eq.Panel && l.Item != "" {
			return l
		}
		for _, p := range k.commands(f) {
			if l.Item == p.Controller && p.Controller != "" || l.Item == p.Panel && p.Panel != "" {
				return l
			}
		}
	}
	return nil
}

// listings asks of every fan of smoke control whether a controller without a
// stated listing acts on it, and of every stated listing what it covers.
func (k *checker) listings() {
	for _, f := range k.fans {
		byProgram := k.smokeByProgram(f)
		var roles []string
		if smokeFan(f) {
			for _, p := range k.commands(f) {
				roles = append(roles, p.Role)
			}
		}
		if len(roles)+len(byProgram) == 0 {
			continue
		}
		does := ""
		if len(roles) > 0 {
			does = "the BAS acts on this smoke-control fan by " + strings.Join(roles, ", ")
		}
		if len(byProgram) > 0 {
			does = strings.TrimPrefix(does+"; a controller's program answers "+listed(byProgram, "and")+" by running it", "; ")
		}
		if l := k.covering(f); l != nil {
			k.say(f, finding.Finding{Code: "smoke-control-listing", Severity: finding.Note, Source: "project file",
				Message: does + fmt.Sprintf("; %s states for %s: %s. This is printed as stated and not checked", l.By, l.Item, l.Listing),
				Fix:     "have the authority confirm the listing for this use"})
			continue
		}
		k.say(f, finding.Finding{Code: "smoke-control-listing", Severity: finding.Caution, Source: "IBC 909; NFPA 92 (from memory)",
			Message: does + ", and nobody states that its controller is listed for smoke control: it is taken as not suitable",
			Fix:     "let the fire trade's panel run the fan, or state settings.fire.smoke_control_listings: item, listing and who states it"})
	}
	k.strayListings()
}

// strayListings tells listings whose item is nothing of the plan.
func (k *checker) strayListings() {
	var names []string
	for _, f := range k.fans {
		names = append(names, f.eq.Tag, f.eq.Panel)
	}
	for _, pn := range k.p.Panels {
		names = append(names, pn.ID)
	}
	for _, p := range k.points {
		names = append(names, p.Panel, p.Controller)
	}
	slices.Sort(names)
	for _, l := range k.p.Settings.Fire.Listings {
		if slices.Contains(names, l.Item) {
			continue
		}
		near := ""
		if n := finding.Nearest(l.Item, slices.Compact(names)); n != "" {
			near = fmt.Sprintf("; did you mean %q?", n)
		}
		k.tell(finding.Finding{Code: "smoke-control-listing", Severity: finding.Caution, Subject: l.Item, Source: "project file",
			Message: fmt.Sprintf("a listing for smoke control is stated for %q, which is no panel, controller or machine of the plan%s", l.Item, near),
			Fix:     "correct the item: a panel's or controller's name, or a tag"})
	}
}

// deferral is what stands on a life-safety page: the sentence that defers, and
// what the user states of a listing for this fan.
func (k *checker) deferral(f *fan) string {
	if l := k.covering(f); l != nil {
		return Deferral + fmt.Sprintf(" %s states for %s: %s. That is printed as stated and not checked here.", l.By, l.Item, l.Listing)
	}
	return Deferral
}
