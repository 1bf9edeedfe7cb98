package points

import (
	"cmp"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/circuit"
	"tallywire/points/landing"
	"tallywire/points/library"
)

// rounds is how often a plan goes back through the checks because a repair
// moved something: for what the landing chose with interposers in it, for the
// fixes asked for, and for those that did not go together with the first.
const rounds = 5

// prove checks every circuit and supply of the plan and searches a fix for
// what fails. The interposers that the landing chose are put in; other fixes
// only where they are asked for, and of those what settled names.
func prove(lib *library.Library, p *model.Project, plan *model.Plan, opts Options, chosen map[string]bool) {
	landed, open := unlanded(plan.Circuits)
	order := map[string]int{}
	for i, c := range plan.Circuits {
		order[c.ID] = i
	}
	net := circuit.Net{Landed: true, Devices: plan.Devices, Circuits: landed, Cables: plan.Cables,
		Points: plan.Points, Alarms: plan.Alarms, Equipment: plan.Equipment}
	result := circuit.Repair(lib, p, net, circuit.Check(lib, p, net))
	applied := map[string]*model.Fix{}
	for range rounds {
		wanted := only(result, func(c *model.Circuit) bool {
			return chosen[c.ID] || opts.ApplyFixes && settled(c)
		})
		next, done := circuit.ApplyTogether(lib, p, net, wanted)
		if !remember(applied, done) {
			break
		}
		net = next
		result = circuit.Repair(lib, p, net, circuit.Check(lib, p, net))
	}
	for i := range result.Circuits {
		if c := &result.Circuits[i]; c.Fix == nil {
			c.Fix = applied[c.ID]
		}
	}
	plan.Devices, plan.Supplies = net.Devices, result.Supplies
	plan.Circuits = append(result.Circuits, open...)
	slices.SortStableFunc(plan.Circuits, func(a, b model.Circuit) int {
		return cmp.Compare(standing(order, a.ID), standing(order, b.ID))
	})
	plan.Findings = append(append(plan.Findings, result.Findings...), fireTradesWord(result.Circuits)...)
	plan.Terminations = landing.Terminate(plan.Controllers, plan.Landings, plan.Points, plan.Circuits)
}

// fireTradesWord asks the fire trade about every fix that puts a part into a
// circuit of its own: the part works electrically, and what feeds and watches
// the circuit is no longer what that trade designed.
func fireTradesWord(circuits []model.Circuit) []finding.Finding {
	var out []finding.Finding
	for i := range circuits {
		c := &circuits[i]
		if c.Fix == nil || !c.Fix.Applied || len(c.Fix.Parts) == 0 || c.Purpose != "fire" && c.Purpose != "override" {
			continue
		}
		f := finding.Finding{Code: "fire-circuit-changed", Severity: finding.Caution, Subject: c.ID,
			Message: "a fix changes a circuit of the fire trade: " + c.Fix.Summary,
			Fix:     "have the fire trade agree to it, its supply and its supervision included, before anything is bought"}
		if c.Where != nil {
			f = f.At(*c.Where)
		}
		out = append(out, f)
	}
	return out
}

// settled says that a fix is right whatever the answer to an open question is
// and is no dearer than the answer: that of what fails, and of what cannot be
// told another hook-up that buys nothing. A part for each fan is dearer than one
// answer of the trade that knows; and what the fire trade brings is asked of it,
// not moved elsewhere.
func settled(c *model.Circuit) bool {
	if c.Verdict != model.Unknown {
		return true
	}
	return c.Fix != nil && len(c.Fix.Parts) == 0 && c.Purpose != "fire" && c.Purpose != "override"
}

// only keeps the fixes of the circuits that are wanted.
func only(r circuit.Result, wanted func(*model.Circuit) bool) circuit.Result {
	r.Circuits = slices.Clone(r.Circuits)
	for i := range r.Circuits {
		if !wanted(&r.Circuits[i]) {
			r.Circuits[i].Fix = nil
		}
	}
	return r
}

// remember keeps the fixes that were applied; false if there was none new.
func remember(applied map[string]*model.Fix, r circuit.Result) bool {
	some := false
	for i := range r.Circuits {
		if f := r.Circuits[i].Fix; f != nil && f.Applied && applied[r.Circuits[i].ID] != f {
			applied[r.Circuits[i].ID], some = f, true
		}
	}
	return some
}

// standing is where a circuit stood before; parts of a mended one stand with it.
func standing(order map[string]int, id string) int {
	for n := len(id); n > 0; n-- {
		if at, known := order[id[:n]]; known {
			return at
		}
	}
	return len(order)
}
