package pack

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestDebug(t *testing.T) {
	want := os.Getenv("PANEL")
	for _, k := range knownPanels(t) {
		if want != "" && k.id != want {
			continue
		}
		if want == "" && k.points < 100 {
			continue
		}
		in := reduce(k.problem)
		s := &solver{in: in, limits: effortLimits[Fast]}
		d := in.everything()
		t0 := time.Now()
		c, list, best, _ := s.start(d)
		w1 := s.work
		t1 := time.Now()
		gap := float64(best.cost-in.step) - c.bound
		configs, all := c.within(gap, s.limits.configs)
		w2 := s.work
		t2 := time.Now()
		m := s.newMaster(d, undominated(append(configs, list...)))
		m.seed(best)
		r := 0
		for ; r < 150; r++ {
			m.prog.solve(3000)
			m.read()
			m.dominate()
			if m.round(4000) == 0 {
				m.exact = true
				break
			}
			if s.spent() {
				break
			}
		}
		w3 := s.work
		t3 := time.Now()
		m.settleBound(4000)
		pl := s.dive(m)
		t4 := time.Now()
		w4 := s.work
		var pc int64 = -1
		if pl != nil {
			pc = pl.cost
		}
		fmt.Println(k.id, k.catalogue, k.points, "types", len(in.types), "halls", len(in.halls), "known", k.best, "cover", c.bound, "ff", best.cost, "configs", len(configs), len(m.configs), all, "rounds", r, "cols", len(m.patterns), "exact", m.exact, m.ended, "lp", m.prog.value(), "bound", m.bound, "dive", pc, "work", w1, w2, w3, w4, "t", t1.Sub(t0), t2.Sub(t1), t3.Sub(t2), t4.Sub(t3))
	}
}
