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
// are numbered by the first tag that lands on them, points take terminals in
// the order of their keys.
func (l *lander) name(t *task, s *pack.Solution) {
	bins := slices.Clone(s.Bins)
	slices.SortStableFunc(bins, func(a, b pack.Bin) int {
		return cmp.Or(cmp.Compare(noFirst(a.Standing), noFirst(b.Standing)), slices.CompareFunc(a.Points, b.Points, func(x, y pack.Placed) int {
			return cmp.Or(cmp.Compare(x.Item, y.Item), cmp.Compare(x.Point, y.Point))
		}))
	})
	first := len(l.out.Controllers)
	for i, b := range bins {
		l.controller(t, b, fmt.Sprintf("C%d", i+1))
	}
	proof := model.LandingProof{Panel: t.panel.ID, CostCents: s.Cost, BoundCents: s.Bound, Proven: s.Proven, Effort: effortName(l.rules.effort), Work: s.Work,
		PriceCents: s.Price, PenaltyCents: s.Penalties, ExtraCents: s.Extra, FirstFitCents: s.FirstFit}
	for _, it := range t.problem.Items {
		proof.Points += len(it.Points)
	}
	if s.Cost > 0 {
		proof.Gap = float64(s.Cost-s.Bound) / float64(s.Cost)
	}
	l.out.Proof = append(l.out.Proof, proof)
	l.verify(t, l.out.Controllers[first:], proof)
}

// noFirst puts what hangs already before what is new.
func noFirst(standing int) int {
	if standing < 0 {
		return 1 << 30
	}
	return standing
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
	base := t.models[b.Base]
	var expansions []model.ControllerModel
	for _, e := range b.Expansions {
		expansions = append(expansions, t.models[e])
	}
	c := model.Controller{ID: t.panel.ID + "/" + id, Model: base.ID, Panel: t.panel.ID, Location: t.panel.Location, Rating: cmp.Or(t.panel.Rating, base.Rating),
		Modules: modules(base, expansions, l.allClasses(t.models)), PriceCents: b.Price, PlaceholderPrice: base.Placeholder,
		Installed: map[string]int{}, Used: map[string]int{}, Spare: map[string]int{}}
	for _, e := range expansions {
		c.Expansions = append(c.Expansions, e.ID)
		c.PlaceholderPrice = c.PlaceholderPrice || e.Placeholder
	}
	free := map[string][]string{}
	moduleOf := map[string]string{}
	for _, m := range c.Modules {
		for _, term := range m.Terminals {
			c.Installed[classOf(term)]++
			free[classOf(term)] = append(free[classOf(term)], term)
			moduleOf[term] = m.ID
		}
	}
	for _, pl := range b.Points {
		d := t.demands[pl.Item][pl.Point]
		class := t.problem.Classes[pl.Class]
		term := free[class][0]
		free[class] = free[class][1:]
		l.out.Landings = append(l.out.Landings, landingOf(d, &c, class, term, moduleOf[term]))
		c.Used[class]++
		if n := len(c.Equipment); n == 0 || c.Equipment[n-1] != d.Equipment {
			c.Equipment = append(c.Equipment, d.Equipment)
		}
	}
	for class, n := range c.Installed {
		c.Spare[class] = n - c.Used[class]
	}
	l.out.Controllers = append(l.out.Controllers, c)
	l.out.Devices = append(l.out.Devices, l.device(&c))
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

var _ = finding.Fault
