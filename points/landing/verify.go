package landing

import (
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// verify reads a plan back and recounts it, plainly and without the solver:
// every point once on a terminal it may use, no terminal twice, spare, slots
// and families kept, groups apart, the sum right. A breach is our own fault
// and is told as one.
func (l *lander) verify(t *task, controllers []model.Controller, landings []model.Landing, proof model.LandingProof) {
	for _, wrong := range l.breaches(t, controllers, landings, proof) {
		l.say(finding.Finding{Code: "landing-broken", Severity: finding.Fault, Subject: t.panel.ID, Message: "the plan of this panel does not hold: " + wrong,
			Fix: "do not build from it; this is an error of the planner, please report it"})
	}
}

func (l *lander) breaches(t *task, controllers []model.Controller, landings []model.Landing, proof model.LandingProof) []string {
	var out []string
	bad := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	at := map[string]*model.Landing{}
	taken := map[string]string{}
	for i := range landings {
		one := &landings[i]
		if at[one.Point] != nil {
			bad("%s lands twice", one.Point)
		}
		at[one.Point] = one
		wire := one.Controller + ":" + one.Terminal
		if other := taken[wire]; other != "" {
			bad("%s and %s share terminal %s", other, one.Point, wire)
		}
		taken[wire] = one.Point
		if !l.exists(controllers, one) {
			bad("%s lands on %s, which there is not", one.Point, wire)
		}
	}
	var extra int64
	groups := map[string]string{}
	homes := map[string][]string{}
	for _, d := range t.all {
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
		if d.Apart != "" && !one.Kept {
			key := d.Apart + "|" + one.Controller
			if other := groups[key]; other != "" && other != d.Equipment && !l.loosened(t, d.Equipment) && !l.loosened(t, other) {
				bad("%s and %s share %s", other, d.Equipment, one.Controller)
			}
			groups[key] = d.Equipment
		}
	}
	price := int64(0)
	for _, c := range controllers {
		price += c.PriceCents
		out = append(out, l.controllerBreaches(t, c, landings)...)
	}
	for _, it := range t.problem.Items {
		if n := len(homes[it.ID]); n > 1 && it.Keep == pack.Hard && !slices.ContainsFunc(t.all, func(d Demand) bool { return d.Equipment == it.ID && d.Keep != nil }) {
			bad("%s is split over %d controllers", it.ID, n)
		}
	}
	if price != proof.PriceCents || extra != proof.ExtraCents || price+proof.PenaltyCents+extra != proof.CostCents {
		bad("it costs %d + %d + %d cents, the plan says %d + %d = %d", price, proof.PenaltyCents, extra, proof.PriceCents, proof.ExtraCents, proof.CostCents)
	}
	if proof.BoundCents > proof.CostCents || proof.Proven && proof.BoundCents != proof.CostCents {
		bad("the lower bound %d does not go with the cost %d", proof.BoundCents, proof.CostCents)
	}
	return out
}

// loosened reports whether a machine was let be split because it fits no
// controller; its group then no longer holds.
func (l *lander) loosened(t *task, tag string) bool {
	return slices.ContainsFunc(t.problem.Items, func(it pack.Item) bool { return it.ID == tag && it.Apart == "" })
}

func (l *lander) exists(controllers []model.Controller, one *model.Landing) bool {
	for _, c := range controllers {
		for _, m := range c.Modules {
			if c.ID == one.Controller && m.ID == one.Module && slices.Contains(m.Terminals, one.Terminal) && classOf(one.Terminal) == one.Class {
				return true
			}
		}
	}
	return false
}

// controllerBreaches recounts one controller: modules that go together, the
// price of what is bought, the spare.
func (l *lander) controllerBreaches(t *task, c model.Controller, landings []model.Landing) []string {
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
	return append(out, l.spareBreaches(c, landings, installed)...)
}

// spareBreaches recounts the spare. Of a controller that stands, only terminals
// that take new points count: what was there before is not ours to judge.
func (l *lander) spareBreaches(c model.Controller, landings []model.Landing, installed map[string]int) []string {
	var out []string
	fresh, points := map[string]int{}, 0
	for _, one := range landings {
		if one.Controller == c.ID {
			points++
			if !one.Kept {
				fresh[one.Class]++
			}
		}
	}
	old := map[string]int{} // terminals of modules that hang already
	for _, m := range c.Modules {
		for _, term := range m.Terminals {
			if m.Existing {
				old[classOf(term)]++
			}
		}
	}
	for class, n := range fresh {
		spare := (max(0, installed[class]-old[class])*l.rules.share + 9999) / 10000
		if l.rules.one && spare == 0 && installed[class] > old[class] {
			spare = 1
		}
		if c.Used[class] > installed[class]-spare {
			out = append(out, fmt.Sprintf("%s: %d of %d %s are used, %d by new points; %d must stay spare", c.ID, c.Used[class], installed[class], class, n, spare))
		}
	}
	if l.rules.maxPoints > 0 && points > l.rules.maxPoints && len(fresh) > 0 {
		out = append(out, fmt.Sprintf("%s: %d points; at most %d are allowed", c.ID, points, l.rules.maxPoints))
	}
	return out
}
