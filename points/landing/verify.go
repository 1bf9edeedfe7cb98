package landing

import (
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// verify reads a plan back and recounts it, plainly and without the solver:
// every point once on a terminal it may use, no terminal twice, spare, slots
// and families kept, groups apart, the sum right. A breach is our own fault
// and is told as one.
func (l *lander) verify(t *task, controllers []model.Controller, proof model.LandingProof) {
	var demands []Demand
	for _, list := range t.demands {
		demands = append(demands, list...)
	}
	for _, wrong := range l.breaches(t, demands, controllers, proof) {
		l.say(finding.Finding{Code: "landing-broken", Severity: finding.Fault, Subject: t.panel.ID, Message: "the plan of this panel does not hold: " + wrong,
			Fix: "do not build from it; this is an error of the planner, please report it"})
	}
}

func (l *lander) breaches(t *task, demands []Demand, controllers []model.Controller, proof model.LandingProof) []string {
	var out []string
	bad := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	at := map[string]*model.Landing{}
	taken := map[string]string{}
	for i := range l.out.Landings {
		one := &l.out.Landings[i]
		if one.Panel != t.panel.ID {
			continue
		}
		if at[one.Point] != nil {
			bad("%s lands twice", one.Point)
		}
		at[one.Point] = one
		wire := one.Controller + ":" + one.Terminal
		if other := taken[wire]; other != "" {
			bad("%s and %s share terminal %s", other, one.Point, wire)
		}
		taken[wire] = one.Point
	}
	var extra int64
	groups := map[string]string{}
	homes := map[string][]string{}
	for _, d := range demands {
		one := at[d.Point]
		if one == nil {
			bad("%s does not land", d.Point)
			continue
		}
		o := d.option(one.Class)
		if o == nil {
			bad("%s lands on a %s, which may not take it", d.Point, one.Class)
			continue
		}
		extra += o.Extra
		if !slices.Contains(homes[d.Equipment], one.Controller) {
			homes[d.Equipment] = append(homes[d.Equipment], one.Controller)
		}
		if d.Apart != "" {
			key := d.Apart + "|" + one.Controller
			if other := groups[key]; other != "" && other != d.Equipment {
				bad("%s and %s share %s", other, d.Equipment, one.Controller)
			}
			groups[key] = d.Equipment
		}
	}
	price := int64(0)
	for _, c := range controllers {
		price += c.PriceCents
		out = append(out, l.controllerBreaches(t, c)...)
	}
	var penalty int64
	for _, it := range t.problem.Items {
		if n := len(homes[it.ID]); n > 1 {
			switch it.Keep {
			case 2:
				bad("%s is split over %d controllers", it.ID, n)
			case 1:
				penalty += it.Penalty
			}
		}
	}
	if price != proof.PriceCents || penalty != proof.PenaltyCents || extra != proof.ExtraCents || price+penalty+extra != proof.CostCents {
		bad("it costs %d + %d + %d cents, the plan says %d + %d + %d = %d", price, penalty, extra, proof.PriceCents, proof.PenaltyCents, proof.ExtraCents, proof.CostCents)
	}
	if proof.BoundCents > proof.CostCents {
		bad("the lower bound %d is above the cost %d", proof.BoundCents, proof.CostCents)
	}
	return out
}

// controllerBreaches recounts one controller: modules that go together, the
// price of what is bought, the spare.
func (l *lander) controllerBreaches(t *task, c model.Controller) []string {
	var out []string
	bad := func(format string, args ...any) { out = append(out, c.ID+": "+fmt.Sprintf(format, args...)) }
	find := func(id string) (model.ControllerModel, bool) {
		i := slices.IndexFunc(t.models, func(m model.ControllerModel) bool { return m.ID == id })
		if i < 0 {
			return model.ControllerModel{}, false
		}
		return t.models[i], true
	}
	var price int64
	slots, modules := 0, 0
	base, ok := find(c.Model)
	if !ok || !base.Base {
		bad("%q is no base of this panel's catalogue", c.Model)
	}
	installed := map[string]int{}
	for i, m := range c.Modules {
		mod, known := find(m.Model)
		if !known {
			bad("%q is not in the catalogue", m.Model)
			continue
		}
		if !m.Existing {
			price += mod.PriceCents
		}
		for class, n := range mod.Terminals {
			installed[class] += n
		}
		if i == 0 {
			continue
		}
		slots, modules = slots+mod.Slots, modules+1
		fits := mod.Fits
		if len(fits) == 0 {
			fits = []string{mod.Family}
		}
		if !slices.Contains(fits, base.Family) {
			bad("%s does not go on %s", mod.ID, base.ID)
		}
	}
	if slots > base.Slots || base.MaxExpansions > 0 && modules > base.MaxExpansions {
		bad("%d modules take %d slots; %s has %d", modules, slots, base.ID, base.Slots)
	}
	if price != c.PriceCents {
		bad("its modules cost %d cents, not %d", price, c.PriceCents)
	}
	points := 0
	for class, n := range c.Used {
		points += n
		spare := (installed[class]*l.rules.share + 9999) / 10000
		if l.rules.one && spare == 0 {
			spare = 1
		}
		if n > 0 && !c.Existing && n > installed[class]-spare {
			bad("%d of %d %s are used; %d must stay spare", n, installed[class], class, spare)
		}
	}
	if l.rules.maxPoints > 0 && points > l.rules.maxPoints {
		bad("%d points; at most %d are allowed", points, l.rules.maxPoints)
	}
	return out
}
