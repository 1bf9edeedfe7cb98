package landing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// name turns a solution into controllers, terminals and labels. Controllers
// that stand keep their names; new ones are numbered by the first tag that
// lands on them. Points take terminals in the order of their keys.
func (l *lander) name(t *task) {
	s := t.solution
	first, landed := len(l.out.Controllers), len(l.out.Landings)
	bins := slices.Clone(s.Bins)
	slices.SortStableFunc(bins, func(a, b pack.Bin) int {
		return slices.CompareFunc(a.Points, b.Points, func(x, y pack.Placed) int {
			return cmp.Or(cmp.Compare(x.Item, y.Item), cmp.Compare(x.Point, y.Point))
		})
	})
	for i := range t.standing {
		at := slices.IndexFunc(bins, func(b pack.Bin) bool { return b.Standing == i })
		b := pack.Bin{Standing: i}
		if at >= 0 {
			b = bins[at]
		}
		l.controller(t, b, t.standing[i].id)
	}
	number := 0
	taken := func(id string) bool {
		return slices.ContainsFunc(t.standing, func(s standing) bool { return s.id == id })
	}
	for _, b := range bins {
		if b.Standing >= 0 {
			continue
		}
		id := ""
		for id == "" || taken(id) {
			number++
			id = fmt.Sprintf("%s/C%d", t.panel.ID, number)
		}
		l.controller(t, b, id)
	}
	l.proof(t, l.out.Controllers[first:], l.out.Landings[landed:])
	l.power(t.panel, l.out.Controllers[first:])
	l.summary(t.panel, l.out.Controllers[first:], len(l.out.Landings)-landed)
}

// proof states cost and bound of a panel. What stays adds its price to both.
func (l *lander) proof(t *task, controllers []model.Controller, landings []model.Landing) {
	s, fresh := t.solution, t.fresh
	p := model.LandingProof{Panel: t.panel.ID, Proven: s.Proven, Effort: effortName(l.rules.effort), Work: s.Work, Points: len(landings), PenaltyCents: l.splits(t, landings)}
	for _, c := range controllers {
		p.PriceCents += c.PriceCents
	}
	for _, one := range landings {
		p.ExtraCents += one.ExtraCents
	}
	p.CostCents = p.PriceCents + p.PenaltyCents + p.ExtraCents
	p.BoundCents = s.Bound + p.PriceCents - s.Price + p.ExtraCents - s.Extra
	if s.FirstFit > 0 {
		p.FirstFitCents = s.FirstFit + p.CostCents - s.Cost
	}
	if p.CostCents > p.BoundCents {
		p.Proven = false // a machine split between what stays and what is new
		p.Gap = float64(p.CostCents-p.BoundCents) / float64(p.CostCents)
	}
	if fresh >= 0 {
		stays := max(0, p.CostCents-fresh)
		p.StayingCents = &stays
		if stays > 0 {
			l.say(finding.Finding{Code: "landing-stays", Severity: finding.Note, Subject: t.panel.ID, Numbers: []finding.Number{{Name: "cost", Value: float64(stays) / 100, Unit: "money"}},
				Message: fmt.Sprintf("panel %s keeps the landings of the earlier issue, which costs %s more than planning it afresh", t.panel.ID, money(stays)), Fix: "plan without the earlier issue if nothing is wired yet"})
		}
	}
	l.out.Proof = append(l.out.Proof, p)
	l.verify(t, controllers, landings, p)
}

// money prints cents.
func money(cents int64) string { return fmt.Sprintf("%d.%02d", cents/100, cents%100) }

// splits is the penalty of the machines that land on several controllers.
func (l *lander) splits(t *task, landings []model.Landing) int64 {
	home := map[string]string{}
	for _, one := range landings {
		home[one.Point] = one.Controller
	}
	var sum int64
	soft := map[string]bool{}
	for _, it := range t.problem.Items {
		soft[it.ID] = it.Keep == pack.Soft
	}
	tag, first, split := "", "", false
	for _, d := range t.all {
		c := home[d.Point]
		if d.Equipment != tag {
			tag, first, split = d.Equipment, c, false
		}
		whole, new := soft[tag]
		if c != first && !split && (whole || !new && l.rules.keep == pack.Soft) {
			split = true
			sum += l.rules.penalty
		}
	}
	return sum
}

// modules lists the base and the expansions with their terminals by name.
func modules(base model.ControllerModel, expansions []model.ControllerModel, classes []string) []model.Module {
	name := func(m model.ControllerModel, prefix string) []string {
		var out []string
		for _, c := range classes {
			for n := range m.Terminals[c] {
				out = append(out, prefix+c+strconv.Itoa(n+1))
			}
		}
		return out
	}
	out := []model.Module{{ID: "base", Model: base.ID, PriceCents: base.PriceCents, Terminals: name(base, "")}}
	for i, e := range expansions {
		id := "X" + strconv.Itoa(i+1)
		out = append(out, model.Module{ID: id, Model: e.ID, PriceCents: e.PriceCents, Terminals: name(e, id+"-")})
	}
	return out
}

// classOf reads the class out of a terminal name: X1-UI3 is a UI.
func classOf(terminal string) string {
	if _, rest, ok := strings.Cut(terminal, "-"); ok {
		terminal = rest
	}
	return strings.TrimRight(terminal, "0123456789")
}

// allClasses lists every class of the catalogue in the order of the library.
func (l *lander) allClasses(models []model.ControllerModel) []string {
	var out, more []string
	for _, c := range l.lib.Classes() {
		out = append(out, c.ID)
	}
	for _, m := range models {
		for c := range m.Terminals {
			if !slices.Contains(out, c) && !slices.Contains(more, c) {
				more = append(more, c)
			}
		}
	}
	slices.Sort(more)
	return append(out, more...)
}

// controller names one controller and lands its points.
func (l *lander) controller(t *task, b pack.Bin, id string) {
	var added []model.ControllerModel
	for _, e := range b.Expansions {
		added = append(added, t.models[e])
	}
	classes := l.allClasses(t.models)
	st := &standing{taken: map[string]bool{}}
	if b.Standing >= 0 {
		st = &t.standing[b.Standing]
	} else {
		st.base = t.models[b.Base]
	}
	c := model.Controller{ID: id, Model: st.base.ID, Panel: t.panel.ID, Location: t.panel.Location, Rating: cmp.Or(t.panel.Rating, st.base.Rating), Existing: st.existing,
		Modules: modules(st.base, append(slices.Clone(st.expansions), added...), classes), PlaceholderPrice: st.base.Placeholder && !st.existing,
		Installed: map[string]int{}, Used: map[string]int{}, Spare: map[string]int{}}
	for i := range c.Modules {
		m := &c.Modules[i]
		if st.hangs(i) {
			m.Existing, m.PriceCents = true, 0
		}
		if i > 0 {
			c.Expansions = append(c.Expansions, m.Model)
		}
		c.PriceCents += m.PriceCents
	}
	for _, e := range added {
		c.PlaceholderPrice = c.PlaceholderPrice || e.Placeholder
	}
	c.PowerVA, c.HeatW, c.WidthMM = figures(append(append([]model.ControllerModel{st.base}, st.expansions...), added...))
	l.landOn(t, b, &c, st)
	l.out.Controllers = append(l.out.Controllers, c)
	l.out.Devices = append(l.out.Devices, l.device(&c))
}

// landOn gives the points of a bin their terminals.
func (l *lander) landOn(t *task, b pack.Bin, c *model.Controller, st *standing) {
	free := map[string][]string{}
	moduleOf := map[string]string{}
	for _, m := range c.Modules {
		for _, term := range m.Terminals {
			class := classOf(term)
			c.Installed[class]++
			moduleOf[term] = m.ID
			if !st.taken[term] {
				free[class] = append(free[class], term)
				continue
			}
			c.Used[class]++
			if !slices.ContainsFunc(st.kept, func(k model.Landing) bool { return k.Terminal == term }) {
				c.InUse = append(c.InUse, term)
			}
		}
	}
	l.out.Landings = append(l.out.Landings, st.kept...)
	for _, k := range st.kept {
		tag, _, _ := model.Split(k.Point)
		c.Equipment = append(c.Equipment, tag)
	}
	for _, pl := range b.Points {
		d := t.demands[pl.Item][pl.Point]
		class := t.problem.Classes[pl.Class]
		term := free[class][0]
		free[class] = free[class][1:]
		l.out.Landings = append(l.out.Landings, landingOf(d, c, class, term, moduleOf[term]))
		c.Used[class]++
		c.Equipment = append(c.Equipment, d.Equipment)
	}
	slices.SortFunc(c.Equipment, finding.CompareTags)
	c.Equipment = slices.Compact(c.Equipment)
	for class, n := range c.Installed {
		c.Spare[class] = n - c.Used[class]
	}
}

// figures add up power (VA, running), heat (W) and width (mm) of modules; nil
// where one of them is not known.
func figures(list []model.ControllerModel) (va, heat, width *float64) {
	sum := func(of func(model.ControllerModel) *float64) *float64 {
		total := 0.0
		for _, m := range list {
			v := of(m)
			if v == nil {
				return nil
			}
			total += *v
		}
		return &total
	}
	va = sum(func(m model.ControllerModel) *float64 {
		if m.Supply == nil || m.Supply.Running == nil {
			return nil
		}
		return m.Supply.Running.VA
	})
	heat = sum(func(m model.ControllerModel) *float64 { return m.HeatW })
	width = sum(func(m model.ControllerModel) *float64 { return m.WidthMM })
	return va, heat, width
}

func landingOf(d Demand, c *model.Controller, class, terminal, module string) model.Landing {
	out := model.Landing{Point: d.Point, Panel: c.Panel, Controller: c.ID, Module: module, Terminal: terminal, Class: class, WireLabel: wireLabel(c.ID, terminal)}
	if o := d.option(class); o != nil {
		out.Mode, out.Parts, out.ExtraCents = o.Mode, o.Parts, o.Extra
	}
	return out
}

// wireLabel is what is printed on both ends of the wire: the landing itself,
// which is unique in the project.
func wireLabel(controller, terminal string) string {
	return strings.ReplaceAll(controller, "/", "-") + "-" + terminal
}

// option returns the cheapest option of a class.
func (d *Demand) option(class string) *Option {
	var best *Option
	for i := range d.Options {
		if o := &d.Options[i]; o.Class == class && (best == nil || o.Extra < best.Extra) {
			best = o
		}
	}
	return best
}

// device is the controller as a device whose terminals the circuits can name:
// each in the mode of the point that lands on it, a spare one in the first
// mode of its class.
func (l *lander) device(c *model.Controller) model.Device {
	landed := map[string]string{}
	for _, one := range l.out.Landings {
		if one.Controller == c.ID {
			landed[one.Terminal] = one.Mode
		}
	}
	spec := &model.DeviceType{ID: c.Model, Name: c.Model, Category: "controller"}
	for _, m := range c.Modules {
		for _, term := range m.Terminals {
			spec.Terminals = append(spec.Terminals, l.terminal(term, landed[term], m.ID))
		}
		if one, ok := l.model(m.Model); ok && one.Supply != nil {
			power := *one.Supply
			power.ID, power.Labels = supplyTerminal(m.ID), []string{supplyTerminal(m.ID)}
			if power.Common != "" && m.ID != "base" {
				power.Common = m.ID + "-" + power.Common
			}
			if power.Source == "" {
				power.Source = one.Source
			}
			spec.Terminals = append(spec.Terminals, power)
		}
	}
	return model.Device{ID: c.ID, Type: c.Model, Role: "controller", Location: c.Location, Panel: c.Panel, Spec: spec,
		Why: fmt.Sprintf("takes %d points", len(landed))}
}

func (l *lander) terminal(id, mode, module string) model.Terminal {
	class := classOf(id)
	out := model.Terminal{ID: id, Function: id, Class: class, Labels: []string{id}}
	tc, ok := l.lib.Class(class)
	if !ok || len(tc.Modes) == 0 {
		return out
	}
	m := &tc.Modes[0]
	if chosen, ok := tc.Mode(mode); ok {
		m = chosen
	}
	out = *m
	out.ID, out.Class, out.Labels = id, class, []string{id}
	if out.Common != "" && module != "base" { // an expansion has commons of its own
		out.Common = module + "-" + out.Common
	}
	return out
}
