package points

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/circuit"
	"tallywire/points/hookup"
	"tallywire/points/landing"
	"tallywire/points/library"
)

// land asks of every circuit with an open controller end which terminal
// classes may take it, lands the points, and binds the ends. It returns the
// circuits that landed with an interposer in them. Equipment has the panels
// that its points are to land in.
func land(lib *library.Library, p *model.Project, plan *model.Plan, equipment []model.Equipment, opts Options) map[string]bool {
	judge := circuit.NewJudge(lib, p, circuit.Net{Devices: plan.Devices, Circuits: plan.Circuits, Cables: plan.Cables})
	machines := map[string]*model.Equipment{}
	for i := range equipment {
		machines[equipment[i].Tag] = &equipment[i]
	}
	kept := askedLandings(p, previousLandings(opts.Previous))
	offered := offeredClasses(lib, p)
	var demands []landing.Demand
	answers := map[string]map[string]circuit.Legality{}
	for i := range plan.Circuits {
		c := &plan.Circuits[i]
		if c.Point == "" || !isOpen(c) || answers[c.Point] != nil {
			continue
		}
		d := landing.Demand{Point: c.Point, Equipment: c.Equipment, Keep: kept[c.Point]}
		if m := machines[c.Equipment]; m != nil {
			d.Panel, d.Location = m.Panel, m.Location
			d.Emergency = m.Emergency != nil && *m.Emergency
			d.Apart = standbyGroup(m)
		}
		answers[c.Point] = map[string]circuit.Legality{}
		d.Options, d.Reasons = options(judge, lib, offered, *c, answers[c.Point])
		d.Options = stays(d.Options, kept[c.Point], answers[c.Point])
		demands = append(demands, d)
	}
	landed := landing.Keep(lib, p, demands, earlierControllers(opts.Previous))
	plan.Controllers, plan.Landings, plan.LandingProof = landed.Controllers, landed.Landings, landed.Proof
	plan.Devices = append(plan.Devices, landed.Devices...)
	plan.Findings = append(plan.Findings, landed.Findings...)
	plan.Panels, plan.Materials = landed.Panels, landed.Materials
	plan.Cables = hookup.Late(lib, plan.Cables, plan.Devices, landed.Circuits)
	plan.Circuits = append(plan.Circuits, landed.Circuits...)
	return bind(plan, answers)
}

// standbyGroup names the group of machines that stand in for each other, by its
// first tag; "" none.
func standbyGroup(m *model.Equipment) string {
	if len(m.Standby) == 0 {
		return ""
	}
	return slices.MinFunc(append([]string{m.Tag}, m.Standby...), finding.CompareTags)
}

// options lists the terminal classes that may take a circuit: those that pass,
// or else those that leave a caution. Where none works, the least bad ones that
// have the right nature are taken, so that the wire is landed and its checks
// name what is wrong with it. Offered are the classes that some controller has.
func options(judge *circuit.Judge, lib *library.Library, offered map[string]bool, c model.Circuit, answers map[string]circuit.Legality) (list []landing.Option, reasons []string) {
	var passes, works, unknown, fails []landing.Option
	for _, class := range lib.Classes() {
		l := judge.Legal(c, class)
		o := landing.Option{Class: class.ID, Mode: l.Mode}
		switch {
		case l.OK():
			o.Extra, o.Parts = l.PriceCents, l.Parts
			if l.Verdict == model.Pass {
				passes = append(passes, o)
			} else {
				works = append(works, o)
			}
		case l.Hopeless || l.Mode == "":
			for _, r := range l.Reasons {
				reasons = append(reasons, class.ID+": "+r)
			}
			continue
		case l.Verdict == model.Unknown:
			unknown = append(unknown, o)
		default:
			fails = append(fails, o)
		}
		answers[class.ID] = l
	}
	tiers := [][]landing.Option{passes, works, unknown, fails}
	for _, tier := range tiers {
		if slices.ContainsFunc(tier, func(o landing.Option) bool { return offered[o.Class] }) {
			return tier, nil
		}
	}
	return slices.Concat(tiers...), reasons
}

// stays adds the class on which a point of an issued plan stands already, if it
// works there: a caution is no reason to pull a wire out.
func stays(list []landing.Option, kept *model.Landing, answers map[string]circuit.Legality) []landing.Option {
	if kept == nil {
		return list
	}
	class := kept.Terminal[strings.LastIndexByte(kept.Terminal, '-')+1:]
	class = strings.TrimRight(class, "0123456789")
	l, known := answers[class]
	if !known || !l.OK() || slices.ContainsFunc(list, func(o landing.Option) bool { return o.Class == class }) {
		return list
	}
	return append(list, landing.Option{Class: class, Mode: l.Mode, Extra: l.PriceCents, Parts: l.Parts})
}

// offeredClasses are the terminal classes that the project's controllers have.
func offeredClasses(lib *library.Library, p *model.Project) map[string]bool {
	models := p.Controllers
	if len(models) == 0 {
		models = lib.Controllers()
	}
	out := map[string]bool{}
	for _, m := range models {
		for class, n := range m.Terminals {
			out[class] = out[class] || n > 0
		}
	}
	return out
}

// isOpen reports whether an end of the circuit waits for a controller terminal.
func isOpen(c *model.Circuit) bool {
	return c.Drive.Open() || slices.ContainsFunc(c.Accepts, model.End.Open)
}

func previousLandings(p *model.Plan) map[string]*model.Landing {
	out := map[string]*model.Landing{}
	if p == nil {
		return out
	}
	for i := range p.Landings {
		out[p.Landings[i].Point] = &p.Landings[i]
	}
	return out
}

// bind writes the landings into the circuits and the points. It returns the
// ids of the circuits whose landing needs an interposer.
func bind(plan *model.Plan, answers map[string]map[string]circuit.Legality) map[string]bool {
	interposed := map[string]bool{}
	at := map[string]*model.Landing{}
	for i := range plan.Landings {
		at[plan.Landings[i].Point] = &plan.Landings[i]
	}
	for i := range plan.Points {
		if l := at[plan.Points[i].Key]; l != nil {
			q := &plan.Points[i]
			q.Controller, q.Terminal, q.Panel = l.Controller, l.Terminal, l.Panel
		}
	}
	for i := range plan.Circuits {
		c := &plan.Circuits[i]
		l := at[c.Point]
		if l == nil || c.Point == "" || !isOpen(c) {
			continue
		}
		if len(answers[c.Point][l.Class].Parts) > 0 {
			interposed[c.ID] = true
		}
		end := model.End{Device: l.Controller, Terminal: l.Terminal}
		if c.Drive.Open() {
			c.Drive = end
			if answers[c.Point][l.Class].OwnSupply {
				c.Supply = nil
			}
			continue
		}
		c.Accepts[slices.IndexFunc(c.Accepts, model.End.Open)] = end
	}
	return interposed
}

// unlanded takes the circuits out of the electrical proof that have no
// controller end; the landing has said why.
func unlanded(list []model.Circuit) (landed, open []model.Circuit) {
	for _, c := range list {
		if isOpen(&c) {
			c.Verdict = model.Unknown
			c.Checks = []model.Check{{Code: "no-terminal", Verdict: model.Unknown, Text: fmt.Sprintf("no controller terminal takes %s; the landing says why", c.ID)}}
			open = append(open, c)
			continue
		}
		landed = append(landed, c)
	}
	return landed, open
}
