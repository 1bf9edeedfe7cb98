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
	Restart     []model.RestartStep
	Tests       []model.FunctionalTest
	Interlocks  []model.Interlock
	Findings    []finding.Finding
}

// Prove builds and evaluates the command logic of every fan in scope.
func Prove(lib *library.Library, p *model.Project, equipment []model.Equipment, devices []model.Device, circuits []model.Circuit, points []model.Point, alarms []model.Alarm) Result {
	k := newChecker(build(lib, p, equipment, devices, circuits, points), circuits, points, alarms)
	for _, f := range k.fans {
		k.checkFan(f)
	}
	k.checkLoops()
	k.checkTogether()
	r := Result{Interlocks: k.interlocks(), CauseEffect: k.cause, Restart: k.restartSteps()}
	for _, f := range k.fans {
		if f.tabled() {
			t := k.truth(f)
			r.TruthTables = append(r.TruthTables, t.TruthTable)
			r.Tests = append(r.Tests, k.script(f, t))
		}
		r.Sequences = append(r.Sequences, k.sequence(f))
	}
	r.Findings = k.findings
	return r
}

// newChecker evaluates the everyday states and the matrix, which the checks read.
func newChecker(b *builder, circuits []model.Circuit, points []model.Point, alarms []model.Alarm) *checker {
	k := &checker{builder: b, engine: newEngine(b.gates), circuits: circuits, alarms: map[string][]*model.Alarm{}, cells: map[string][]string{}, safetyTags: map[string]bool{},
		isFan: map[ref]*fan{}, statusOf: map[ref]*fan{}, driven: map[model.End]bool{}, keysOf: map[string][]string{}}
	for i := range alarms {
		k.alarms[alarms[i].Equipment] = append(k.alarms[alarms[i].Equipment], &alarms[i])
	}
	for _, f := range b.fans {
		k.isFan[f.told], k.isFan[f.command] = f, f
		for _, status := range []ref{f.status.value, k.follow(f, "motor-current")} {
			if b.list[status].op == opAnd {
				k.statusOf[status] = f
			}
		}
	}
	for i := range circuits {
		k.driven[model.End{Device: circuits[i].Drive.Device, Terminal: circuits[i].Drive.Terminal}] = true
	}
	for i := range points {
		tag := points[i].Equipment
		k.keysOf[tag] = append(k.keysOf[tag], points[i].Key)
		k.safetyTags[tag] = k.safetyTags[tag] || points[i].LifeSafety
	}
	k.shown = k.shownEvents()
	k.cause = k.matrix()
	k.restartOf = k.restartOrder()
	for _, row := range k.cause.Rows {
		k.cells[row.Equipment] = row.Effects
	}
	return k
}
