package landing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// standing is a controller that is there before the plan: one that hangs
// already, or one of an earlier issue that keeps its landings.
type standing struct {
	id         string // with its panel
	panel      string
	existing   bool // hangs already: not paid for again
	fixed      bool
	base       model.ControllerModel
	expansions []model.ControllerModel
	bought     int             // how many of them, the last ones, an earlier issue added
	taken      map[string]bool // terminals in use before the plan
	kept       []model.Landing // landings that stay
	free       map[string]int  // terminals by class that new points may use
	groups     []string        // groups to be kept apart that have a member here
}

// modules lists what it has.
func (s *standing) modules(classes []string) []model.Module {
	out := modules(s.base, s.expansions, classes)
	for i := range out {
		if s.hangs(i) {
			out[i].Existing, out[i].PriceCents = true, 0
		}
	}
	return out
}

// hangs reports whether module i (0 is the base) is there and paid for.
func (s *standing) hangs(i int) bool { return s.existing && i <= len(s.expansions)-s.bought }

// model finds a catalogue entry by id.
func (l *lander) model(id string) (model.ControllerModel, bool) {
	i := slices.IndexFunc(l.models, func(m model.ControllerModel) bool { return m.ID == id })
	if i < 0 {
		return model.ControllerModel{}, false
	}
	return l.models[i], true
}

// hanging reads the existing controllers of a panel. All their free terminals
// may be filled: spare is there to be used.
func (l *lander) hanging(panel model.Panel) []standing {
	var out []standing
	classes := l.allClasses(l.models)
	for _, e := range panel.Existing {
		s := standing{id: panel.ID + "/" + e.ID, panel: panel.ID, existing: true, fixed: e.Fixed, taken: map[string]bool{}, free: map[string]int{}}
		var ok bool
		if s.base, ok = l.model(e.Model); !ok || !s.base.Base {
			l.unknownModel(panel, e.ID, e.Model)
			continue
		}
		for _, id := range e.Expansions {
			m, known := l.model(id)
			if !known || m.Base {
				l.unknownModel(panel, e.ID, id)
				continue
			}
			s.expansions = append(s.expansions, m)
		}
		l.take(&s, panel, e, classes)
		out = append(out, s)
	}
	if len(out) > 0 {
		l.say(finding.Finding{Code: "landing-assumed", Severity: finding.Note, Subject: panel.ID,
			Message: "free terminals of controllers that hang already are filled without keeping spare on them", Fix: "state what is not free under used", Source: "common practice"})
	}
	return out
}

// take marks the terminals in use: those named, else the first of each class.
func (l *lander) take(s *standing, panel model.Panel, e model.ExistingController, classes []string) {
	byClass := map[string][]string{}
	var all []string
	for _, m := range s.modules(classes) {
		for _, term := range m.Terminals {
			byClass[classOf(term)] = append(byClass[classOf(term)], term)
			all = append(all, term)
		}
	}
	for _, term := range e.UsedTerminals {
		if !slices.Contains(all, term) {
			l.say(l.existing(panel, e.ID, fmt.Sprintf("it has no terminal %q; its terminals are %s", term, strings.Join(all, ", ")), nearestFix("name it", term, all)))
			continue
		}
		s.taken[term] = true
	}
	for _, class := range sortedKeys(e.Used) {
		n := e.Used[class]
		if n > len(byClass[class]) {
			l.say(l.existing(panel, e.ID, fmt.Sprintf("%d %s terminals are said to be in use; it has %d", n, class, len(byClass[class])), "correct used"))
		}
		for _, term := range byClass[class] {
			if !s.taken[term] && n > count(s.taken, class) {
				s.taken[term] = true
			}
		}
	}
	for class, list := range byClass {
		s.free[class] = len(list) - count(s.taken, class)
	}
}

func count(taken map[string]bool, class string) int {
	n := 0
	for term := range taken {
		if classOf(term) == class {
			n++
		}
	}
	return n
}

func sortedKeys(m map[string]int) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func nearestFix(do, word string, list []string) string {
	if near := finding.Nearest(word, list); near != "" {
		return do + fmt.Sprintf("; did you mean %q?", near)
	}
	return do
}

func (l *lander) existing(panel model.Panel, id, what, fix string) finding.Finding {
	f := finding.Finding{Code: "existing-controller", Severity: finding.Fault, Subject: panel.ID + "/" + id,
		Message: fmt.Sprintf("controller %s of panel %s: %s", id, panel.ID, what), Fix: fix}
	if panel.Where != nil {
		f = f.At(*panel.Where)
	}
	return f
}

func (l *lander) unknownModel(panel model.Panel, id, name string) {
	var ids []string
	for _, m := range l.models {
		ids = append(ids, m.ID)
	}
	l.say(l.existing(panel, id, fmt.Sprintf("the model %q is not in the catalogue; it has %s", name, strings.Join(ids, ", ")), nearestFix("correct the model, or bring it with the project's catalogue", name, ids)))
}

// stays reads what an earlier issue fixed in this panel: its controllers with
// the landings that still hold. The other demands come back.
func (l *lander) stays(panel model.Panel, demands []Demand, hanging []standing) (list []standing, open []Demand) {
	list = hanging
	classes := l.allClasses(l.models)
	for _, c := range l.earlier {
		if c.Panel == panel.ID && c.Existing {
			l.added(list, c, demands)
		}
		if c.Panel != panel.ID || c.Existing {
			continue
		}
		s := standing{id: c.ID, panel: panel.ID, taken: map[string]bool{}, free: map[string]int{}}
		ok := false
		if s.base, ok = l.model(c.Model); !ok {
			continue
		}
		for _, id := range c.Expansions {
			m, known := l.model(id)
			ok = ok && known
			s.expansions = append(s.expansions, m)
		}
		if ok {
			list = append(list, s)
		}
	}
	for _, d := range demands {
		if d.Keep == nil || !l.keep(list, d, panel, classes) {
			if d.Keep != nil {
				l.say(finding.Finding{Code: "landing-moved", Severity: finding.Caution, Subject: d.Point,
					Message: fmt.Sprintf("%s cannot stay on %s %s of the earlier issue and moves", d.Point, d.Keep.Controller, d.Keep.Terminal),
					Fix:     "tell the installer: the wire label changes"})
			}
			open = append(open, d)
		}
	}
	list = slices.DeleteFunc(list, func(s standing) bool { return !s.existing && len(s.kept) == 0 })
	for i := range list {
		if s := &list[i]; !s.existing {
			l.room(s, classes)
		}
	}
	return list, open
}

// added puts the expansions that an earlier issue added to a controller that
// hangs already back on it, if a point is to stay on them. They come behind
// those that hang; one that has been hung since counts as hanging.
func (l *lander) added(list []standing, c model.Controller, demands []Demand) {
	i := slices.IndexFunc(list, func(s standing) bool { return s.id == c.ID })
	if i < 0 {
		return
	}
	hung := len(list[i].expansions)
	for n, m := range c.Modules {
		one, known := l.model(m.Model)
		wanted := slices.ContainsFunc(demands, func(d Demand) bool {
			return d.Keep != nil && d.Keep.Controller == c.ID && slices.Contains(m.Terminals, d.Keep.Terminal)
		})
		if n <= hung || !known || one.Base || !wanted {
			continue
		}
		list[i].expansions = append(list[i].expansions, one)
		list[i].bought++
		for class, n := range one.Terminals {
			list[i].free[class] += l.rules.usable(n)
		}
	}
}

// keep puts a point back where it was: the terminal is still there, free, and
// of a class that may take it.
func (l *lander) keep(list []standing, d Demand, panel model.Panel, classes []string) bool {
	i := slices.IndexFunc(list, func(s standing) bool { return s.id == d.Keep.Controller })
	if i < 0 || d.Keep.Panel != panel.ID {
		return false
	}
	s := &list[i]
	for _, m := range s.modules(classes) {
		if !slices.Contains(m.Terminals, d.Keep.Terminal) || s.taken[d.Keep.Terminal] {
			continue
		}
		o := d.option(classOf(d.Keep.Terminal))
		if o == nil {
			return false
		}
		s.taken[d.Keep.Terminal] = true
		if s.existing {
			s.free[o.Class]--
		}
		if d.Apart != "" {
			s.groups = append(s.groups, d.Apart)
		}
		s.kept = append(s.kept, model.Landing{Point: d.Point, Panel: panel.ID, Controller: s.id, Module: m.ID, Terminal: d.Keep.Terminal, Class: o.Class,
			WireLabel: cmp.Or(d.Keep.WireLabel, wireLabel(s.id, d.Keep.Terminal)), Mode: o.Mode, Parts: o.Parts, ExtraCents: o.Extra, Kept: true})
		return true
	}
	return false
}

// room is what new points may use of an earlier controller: what the spare
// rule leaves beyond what stays.
func (l *lander) room(s *standing, classes []string) {
	installed := map[string]int{}
	for _, m := range s.modules(classes) {
		for _, term := range m.Terminals {
			installed[classOf(term)]++
		}
	}
	for class, n := range installed {
		s.free[class] = max(0, l.rules.usable(n)-count(s.taken, class))
	}
}

// usable is what the spare rule leaves of n terminals.
func (r rules) usable(n int) int {
	return pack.Spare{Share: []int{r.share}, AtLeastOne: r.one}.Usable(0, n)
}

// join lands the new points of a machine beside those of it that stayed, if
// there is room for all of them; the others come back.
func (l *lander) join(list []standing, open []Demand) (rest []Demand) {
	for len(open) > 0 {
		n := 1
		for n < len(open) && open[n].Equipment == open[0].Equipment {
			n++
		}
		if !l.joinOne(list, open[:n]) {
			rest = append(rest, open[:n]...)
		}
		open = open[n:]
	}
	return rest
}

func (l *lander) joinOne(list []standing, points []Demand) bool {
	i := slices.IndexFunc(list, func(s standing) bool {
		return slices.ContainsFunc(s.kept, func(k model.Landing) bool { return strings.HasPrefix(k.Point, points[0].Equipment+"/") })
	})
	if i < 0 {
		return false
	}
	s := &list[i]
	if l.rules.maxPoints > 0 && len(s.taken)+len(points) > l.rules.maxPoints {
		return false
	}
	need := map[string]int{}
	var chosen []*Option
	for j := range points {
		var best *Option
		for k := range points[j].Options {
			if o := &points[j].Options[k]; need[o.Class] < s.free[o.Class] && (best == nil || o.Extra < best.Extra) {
				best = o
			}
		}
		if best == nil {
			return false
		}
		need[best.Class]++
		chosen = append(chosen, best)
	}
	for j, o := range chosen {
		module, term := l.nextFree(s, o.Class)
		s.taken[term] = true
		s.free[o.Class]--
		s.kept = append(s.kept, model.Landing{Point: points[j].Point, Controller: s.id, Panel: s.panel, Module: module, Terminal: term,
			Class: o.Class, WireLabel: wireLabel(s.id, term), Mode: o.Mode, Parts: o.Parts, ExtraCents: o.Extra})
	}
	return true
}

func (l *lander) nextFree(s *standing, class string) (module, terminal string) {
	for _, m := range s.modules(l.allClasses(l.models)) {
		for _, term := range m.Terminals {
			if classOf(term) == class && !s.taken[term] {
				return m.ID, term
			}
		}
	}
	return "", ""
}
