// Package logic proves who may start and stop each fan. It builds the command
// logic of every fan from devices, circuits and interlocks as one net of
// formulas, asks it the questions that must hold in every state, and prints
// the tables, sequences and tests that the trades sign: all from evaluated
// states, so that they cannot contradict each other.
package logic

import (
	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Result is what the evaluated logic says.
type Result struct {
	TruthTables []model.TruthTable
	CauseEffect model.CauseEffect
	Sequences   []model.Sequence
	Tests       []model.FunctionalTest
	Interlocks  []model.Interlock
	Findings    []finding.Finding
}

// Prove builds and evaluates the command logic of every fan in scope.
func Prove(lib *library.Library, p *model.Project, equipment []model.Equipment, devices []model.Device, circuits []model.Circuit, points []model.Point, alarms []model.Alarm) Result {
	b := build(lib, p, equipment, devices, circuits, points)
	k := &checker{builder: b, engine: newEngine(b.gates), alarms: map[string][]*model.Alarm{}}
	for i := range alarms {
		k.alarms[alarms[i].Equipment] = append(k.alarms[alarms[i].Equipment], &alarms[i])
	}
	k.isFan, k.statusOf, k.safetyTags = map[ref]*fan{}, map[ref]*fan{}, map[string]bool{}
	for i := range points {
		k.safetyTags[points[i].Equipment] = k.safetyTags[points[i].Equipment] || points[i].LifeSafety
	}
	for _, f := range b.fans {
		k.isFan[f.told], k.isFan[f.command] = f, f
		for _, status := range []ref{f.status.value, k.follow(f, "motor-current")} {
			if b.list[status].op == opAnd {
				k.statusOf[status] = f
			}
		}
	}
	k.driven, k.keysOf, k.circuits = map[model.End]bool{}, map[string][]string{}, circuits
	for i := range circuits {
		k.driven[model.End{Device: circuits[i].Drive.Device, Terminal: circuits[i].Drive.Terminal}] = true
	}
	for i := range points {
		k.keysOf[points[i].Equipment] = append(k.keysOf[points[i].Equipment], points[i].Key)
	}
	r := Result{Interlocks: k.interlocks()}
	k.shown = k.shownEvents()
	k.cause = k.matrix()
	k.cells = map[string][]string{}
	for _, row := range k.cause.Rows {
		k.cells[row.Equipment] = row.Effects
	}
	r.CauseEffect = k.cause
	for _, f := range b.fans {
		k.checkFan(f)
	}
	k.checkLoops()
	k.checkTogether()
	k.restartOf = k.restartOrder()
	for _, f := range b.fans {
		t := k.truth(f)
		if f.logic != nil {
			r.TruthTables = append(r.TruthTables, t.TruthTable)
			r.Tests = append(r.Tests, k.script(f, t))
		}
		r.Sequences = append(r.Sequences, k.sequence(f))
	}
	r.Findings = b.findings
	return r
}
