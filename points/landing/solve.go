package landing

import (
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

	"tallywire/points/landing/pack"
)

// solveAll asks the optimiser for every panel. Panels know nothing of each
// other, so they are solved side by side; those that differ only in names are
// solved once.
func (l *lander) solveAll(tasks []*task) {
	var own []*task
	like := map[string]*task{}
	same := map[*task]*task{}
	for _, t := range tasks {
		key := shape(t.problem)
		if first := like[key]; first != nil && t.afresh == nil {
			same[t] = first
			continue
		}
		like[key] = t
		own = append(own, t)
	}
	workers := min(len(own), runtime.GOMAXPROCS(0))
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := w; i < len(own); i += workers {
				own[i].solve(l.rules.effort)
			}
		})
	}
	wait.Wait()
	for _, t := range tasks {
		if first := same[t]; first != nil && len(first.found) == 0 {
			t.solution, t.fresh = first.solution, -1
		} else if first != nil {
			t.solve(l.rules.effort)
		}
	}
}

// solve asks the optimiser for one panel, taking out or loosening what cannot
// be.
func (t *task) solve(effort pack.Effort) {
	t.solution, t.fresh = &pack.Solution{Proven: true}, -1
	if t.afresh != nil {
		if s, err := pack.Solve(t.afresh, effort); err == nil {
			t.fresh = s.Cost
		}
	}
	for range 1000 { // each refusal takes something away
		if len(t.problem.Items) == 0 {
			return
		}
		s, err := pack.Solve(t.problem, effort)
		if err == nil {
			t.solution = s
			return
		}
		var no *pack.Refusal
		if !errors.As(err, &no) || !t.refused(no) {
			return
		}
	}
}

// shape is a panel without names: two panels of the same shape have the same
// plan.
func shape(p *pack.Problem) string {
	var groups []string
	group := func(name string) int {
		if name == "" {
			return -1
		}
		i := slices.Index(groups, name)
		if i < 0 {
			i = len(groups)
			groups = append(groups, name)
		}
		return i
	}
	var b strings.Builder
	for _, m := range p.Models {
		fmt.Fprint(&b, m.Gone, ' ')
	}
	fmt.Fprint(&b, p.Classes, p.Spare, p.MaxPoints)
	for _, it := range p.Items {
		fmt.Fprint(&b, ";", it.Keep, it.Penalty, group(it.Apart))
		for _, pt := range it.Points {
			fmt.Fprint(&b, pt.Choices)
		}
	}
	for _, s := range p.Standing {
		fmt.Fprint(&b, "/", s.Model, s.Expansions, s.Free, s.Points, s.Fixed)
		for _, g := range s.Groups {
			fmt.Fprint(&b, " ", group(g))
		}
	}
	return b.String()
}
