// Package points plans: it calls the passes in order and hands each what it
// needs. The order of the passes is Plan, on one screen.
package points

import (
	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/bid"
	"tallywire/points/derive"
	"tallywire/points/functions"
	"tallywire/points/hookup"
	"tallywire/points/intake"
	"tallywire/points/library"
	"tallywire/points/logic"
	"tallywire/points/network"
	"tallywire/points/retrofit"
)

// Options are what a command asks of a plan besides the project.
type Options struct {
	ApplyFixes bool        // plan with the interposers that make failing circuits work
	Previous   *model.Plan // an issued plan whose landings stay where they can
}

// Plan turns a project into its plan. The error is a file-level one: a list
// that cannot be used at all. Everything else that is wrong, unknown or
// assumed is a finding of the plan.
func Plan(lib *library.Library, p *model.Project, opts Options) (*model.Plan, error) {
	equipment, read, err := intake.Read(lib, p)
	if err != nil {
		return nil, err
	}
	plan := &model.Plan{SchemaVersion: model.SchemaVersion, Settings: p.Settings, Project: head(p), Equipment: equipment}
	plan.Findings = append(append(plan.Findings, p.Findings...), read...)

	derived := derive.Derive(lib, p, equipment)
	plan.Points, plan.Alarms, plan.Responsibility = derived.Points, derived.Alarms, derived.Responsibility
	plan.Support = derived.Support
	plan.Findings = append(plan.Findings, derived.Findings...)

	keepInstances(plan, opts.Previous)
	answer(p, plan, opts)

	with, machines := places(p, plan, opts)
	joined := hookup.Connect(lib, with, machines, plan.Points)
	plan.Devices, plan.Circuits, plan.Cables, plan.Supplies = joined.Devices, joined.Circuits, joined.Cables, joined.Supplies
	plan.Findings = append(plan.Findings, joined.Findings...)

	interposed := land(lib, with, plan, machines, opts)
	prove(lib, p, plan, opts, interposed)
	plan.Materials = append(plan.Materials, bid.Materials(p, plan.Materials, plan.Equipment, plan.Devices)...)

	shown := logic.Prove(lib, p, equipment, plan.Devices, plan.Circuits, plan.Points, plan.Alarms)
	plan.TruthTables, plan.CauseEffect, plan.Sequences = shown.TruthTables, shown.CauseEffect, shown.Sequences
	plan.Tests, plan.Interlocks, plan.Restart = shown.Tests, shown.Interlocks, shown.Restart
	plan.Findings = append(plan.Findings, shown.Findings...)

	if plan.Differences, err = against(lib, p, plan); err != nil {
		return nil, err
	}

	homes, noHome := network.Place(p, plan.Controllers, plan.Devices, plan.Points)
	trunks, onTrunks := network.Trunks(homes, plan.Devices)
	network.Serve(homes, plan.Support, plan.Alarms)
	plan.Network, plan.Trunks = homes, trunks
	plan.Findings = append(append(plan.Findings, noHome...), onTrunks...)
	plan.Functions = functions.List(lib, plan.Points, plan.Alarms)
	plan.Retrofit = retrofit.Compare(lib, plan.Points, p.Existing)

	plan.Counts = bid.Count(plan.Equipment, plan.Points, plan.Alarms)
	plan.Counts.Support = bid.CountSupport(plan.Support)
	plan.Cautions = cautions(plan)
	plan.Findings = settle(p, plan.Findings)
	return plan, nil
}

// head is the project as printed.
func head(p *model.Project) model.ProjectHead {
	return model.ProjectHead{Name: p.Name, Number: p.Number, Issue: p.Issue, Date: p.Date, Author: p.Author, Inputs: p.Inputs}
}

// settle takes out what the project declares as deliberate, says so with the
// reason, and orders and gathers the rest.
func settle(p *model.Project, found []finding.Finding) []finding.Finding {
	var kept []finding.Finding
	used := make([]bool, len(p.Exceptions))
	for _, f := range found {
		i := exceptionFor(p.Exceptions, f)
		if i < 0 {
			kept = append(kept, f)
			continue
		}
		used[i] = true
		e := p.Exceptions[i]
		kept = append(kept, finding.Finding{Code: "exception", Severity: finding.Note, Subject: f.Subject, Where: e.Where,
			Message: "the project accepts " + f.Code + ": " + e.Reason, Source: "project file"})
	}
	for i, e := range p.Exceptions {
		if !used[i] {
			kept = append(kept, finding.Finding{Code: "unused-exception", Severity: finding.Note, Subject: e.Subject, Where: e.Where,
				Message: "the project accepts " + e.Code + ", which is not found there", Fix: "take the exception out, or correct its code or subject"})
		}
	}
	kept = askOnce(kept)
	finding.Sort(kept)
	return finding.Gather(kept)
}

func exceptionFor(list []model.Exception, f finding.Finding) int {
	for i, e := range list {
		if e.Code == f.Code && (e.Subject == f.Subject || e.Subject == "all") {
			return i
		}
	}
	return -1
}
