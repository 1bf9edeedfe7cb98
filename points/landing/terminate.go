package landing

import (
	"cmp"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// Terminate lists every terminal of every controller in order, spares and
// terminals in use included, with the wire that ends there: its label, its
// point, the device and terminal at the other end, its cable. The circuits are
// those of the plan with their controller ends bound.
func Terminate(controllers []model.Controller, landings []model.Landing, points []model.Point, circuits []model.Circuit) []model.Termination {
	landed := map[model.End]*model.Landing{}
	for i := range landings {
		landed[model.End{Device: landings[i].Controller, Terminal: landings[i].Terminal}] = &landings[i]
	}
	signal := map[string]string{}
	for _, p := range points {
		signal[p.Key] = p.Signal
	}
	type far struct {
		end   model.End
		cable string
	}
	fars := map[model.End]far{}
	note := func(at, other model.End, cable string) {
		at.Reversed = false
		if _, known := fars[at]; !known {
			fars[at] = far{other, cable}
		}
	}
	for _, c := range circuits {
		if len(c.Accepts) == 0 {
			continue
		}
		note(c.Drive, c.Accepts[0], c.Cable)
		for _, a := range c.Accepts {
			note(a, c.Drive, c.Cable)
		}
	}
	var out []model.Termination
	for _, c := range inOrder(controllers) {
		for _, m := range c.Modules {
			for _, term := range m.Terminals {
				at := model.End{Device: c.ID, Terminal: term}
				one := model.Termination{Panel: c.Panel, Controller: c.ID, Module: m.ID, Terminal: term, Class: classOf(term), State: "spare"}
				switch w := landed[at]; {
				case w != nil:
					f := fars[at]
					one.State, one.WireLabel, one.Point, one.Signal = "landed", w.WireLabel, w.Point, cmp.Or(signal[w.Point], w.Mode)
					one.Device, one.Far, one.Cable = f.end.Device, f.end.Terminal, f.cable
				case slices.Contains(c.InUse, term):
					one.State = "in use"
				}
				out = append(out, one)
			}
		}
	}
	return out
}

func inOrder(list []model.Controller) []model.Controller {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b model.Controller) int { return finding.CompareTags(a.ID, b.ID) })
	return out
}

// summary is what one panel holds.
func (l *lander) summary(panel model.Panel, controllers []model.Controller, points int) {
	s := model.PanelSummary{Panel: panel.ID, Location: panel.Location, Rating: panel.Rating, Emergency: panel.Emergency, Points: points, SpaceMM: panel.RailMM,
		Installed: map[string]int{}, Used: map[string]int{}, Spare: map[string]int{}}
	va, heat, rail := 0.0, 0.0, 0.0
	s.PowerVA, s.HeatW, s.RailMM = &va, &heat, &rail
	add := func(sum **float64, v *float64) {
		if *sum != nil && v != nil {
			**sum += *v
			return
		}
		*sum = nil
	}
	for _, c := range controllers {
		s.Controllers++
		s.Expansions += len(c.Modules) - 1
		s.PriceCents += c.PriceCents
		for class, n := range c.Installed {
			s.Installed[class] += n
			s.Used[class] += c.Used[class]
			s.Spare[class] += c.Spare[class]
		}
		add(&s.PowerVA, c.PowerVA)
		add(&s.HeatW, c.HeatW)
		add(&s.RailMM, c.WidthMM)
	}
	if s.RailMM != nil && s.SpaceMM != nil && *s.RailMM > *s.SpaceMM {
		f := finding.Finding{Code: "panel-space", Severity: finding.Caution, Subject: panel.ID, Numbers: []finding.Number{{Name: "modules", Value: *s.RailMM, Unit: "mm"}, {Name: "rail", Value: *s.SpaceMM, Unit: "mm"}},
			Message: "the modules of panel " + panel.ID + " take " + model.Figure(*s.RailMM) + " mm of rail; the panel has " + model.Figure(*s.SpaceMM) + " mm", Fix: "take a larger enclosure, or serve some machines from another panel"}
		if panel.Where != nil {
			f = f.At(*panel.Where)
		}
		l.say(f)
	}
	l.out.Panels = append(l.out.Panels, s)
}
