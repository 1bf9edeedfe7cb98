// Package landing puts every hardwired point on a controller terminal at least
// cost: which panel, which controllers and expansions, which terminal. The
// optimiser is package pack; this one knows tags, panels, prices and labels.
package landing

import (
	"cmp"
	"maps"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Demand is one hardwired point that wants a terminal.
type Demand struct {
	Point     string // key
	Equipment string
	Panel     string // the panel asked for; "" by location
	Location  string
	// Options are the terminal classes that may take it, electrically legal
	// ones only. Reasons say why where there are none.
	Options []Option
	Reasons []string
	// Apart names a group (duty and standby) whose members must not share a
	// controller; "" none.
	Apart     string
	Emergency bool // its equipment is on the emergency branch
	// Keep is the landing of an earlier issue, to stay where it can.
	Keep *model.Landing
}

// Option is a terminal class that may take a point: in which mode, at what
// extra cost in cents, with which interposers.
type Option struct {
	Class string
	Extra int64
	Parts []string
	Mode  string
}

// Result is where everything lands and what it costs.
type Result struct {
	Controllers []model.Controller
	Landings    []model.Landing
	Devices     []model.Device
	Proof       []model.LandingProof
	Panels      []model.PanelSummary
	// Supplies feed the controllers; Circuits join them to the controllers and
	// to the panel's branch circuit. Their devices stand in Devices.
	Supplies  []model.Supply
	Circuits  []model.Circuit
	Materials []model.Material
	Findings  []finding.Finding
}

// Land plans the panels of a project.
func Land(lib *library.Library, p *model.Project, demands []Demand) Result {
	return Keep(lib, p, demands, nil)
}

// Keep plans the panels of a project that was issued before: a demand whose
// Keep names a landing on one of the earlier controllers stays there, and what
// staying costs beyond a fresh plan is told.
func Keep(lib *library.Library, p *model.Project, demands []Demand, earlier []model.Controller) Result {
	l := &lander{lib: lib, p: p, rules: rulesOf(p.Settings.Landing), earlier: earlier}
	models, found := catalogue(lib, p)
	l.models = models
	l.say(found...)
	demands = slices.Clone(demands)
	slices.SortStableFunc(demands, func(a, b Demand) int {
		return cmp.Or(finding.CompareTags(a.Equipment, b.Equipment), finding.CompareTags(a.Point, b.Point))
	})
	l.rules.pace(len(demands))
	if len(demands) > 0 {
		l.say(l.rules.assumed...)
	}
	byPanel := l.group(demands)
	for _, one := range p.Panels { // a panel with old controllers is told even if nothing lands in it
		if _, busy := byPanel[one.ID]; !busy && len(one.Existing) > 0 {
			byPanel[one.ID] = nil
		}
	}
	names := slices.SortedFunc(maps.Keys(byPanel), finding.CompareTags)
	var tasks []*task
	for _, name := range names {
		tasks = append(tasks, l.panel(name, byPanel[name]))
	}
	l.solveAll(tasks)
	for _, t := range tasks {
		l.say(t.found...)
		l.name(t)
	}
	l.together(demands)
	l.out.Materials = l.materials()
	slices.SortFunc(l.out.Landings, func(a, b model.Landing) int { return finding.CompareTags(a.Point, b.Point) })
	return l.out
}

// lander is the work in hand.
type lander struct {
	lib    *library.Library
	p      *model.Project
	rules  rules
	models []model.ControllerModel
	// earlier are the controllers of an earlier issue.
	earlier []model.Controller
	planned []model.Panel // those the project does not state
	top     float64       // the highest storey known
	out     Result
}

func (l *lander) say(list ...finding.Finding) { l.out.Findings = append(l.out.Findings, list...) }
