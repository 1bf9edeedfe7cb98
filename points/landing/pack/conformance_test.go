//go:build conformance

package pack

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A mixed-integer solver (cbc) plans small known panels from the plain model:
// a copy of every configuration for every controller there may be, every point
// on every class of every copy. It must find the same cost.

// milp writes the panel as a linear program in LP form. copies is how many
// controllers there may be.
func milp(p *Problem, copies int, configs []config, cost int64) string {
	var b strings.Builder
	var binary, objective []string
	x := func(k, c int) string { return fmt.Sprintf("x_%d_%d", k, c) }
	y := func(i, j, k, cl int) string { return fmt.Sprintf("y_%d_%d_%d_%d", i, j, k, cl) }
	w := func(i, k int) string { return fmt.Sprintf("w_%d_%d", i, k) }
	row := func(terms []string, relation string) {
		if len(terms) > 0 {
			b.WriteString(" " + strings.Join(terms, " + ") + " " + relation + "\n")
		}
	}
	for k := range copies {
		var one []string
		for c := range configs {
			one = append(one, x(k, c))
			binary = append(binary, x(k, c))
			objective = append(objective, fmt.Sprintf("%d %s", configs[c].price, x(k, c)))
		}
		row(one, "<= 1")
		for cl := range p.Classes {
			var terms []string
			for i, it := range p.Items {
				for j, pt := range it.Points {
					for _, ch := range pt.Choices {
						if ch.Class == cl {
							terms = append(terms, y(i, j, k, cl))
						}
					}
				}
			}
			if len(terms) == 0 {
				continue
			}
			text := " " + strings.Join(terms, " + ")
			for c := range configs {
				if n := configs[c].ports[cl]; n > 0 {
					text += fmt.Sprintf(" - %d %s", n, x(k, c))
				}
			}
			b.WriteString(text + " <= 0\n")
		}
		if k > 0 { // dearer controllers first: equals in one order only
			text := ""
			for c := range configs {
				text += fmt.Sprintf(" + %d %s - %d %s", configs[c].price, x(k-1, c), configs[c].price, x(k, c))
			}
			b.WriteString(text + " >= 0\n")
		}
	}
	for i, it := range p.Items {
		for j, pt := range it.Points {
			var all []string
			for k := range copies {
				var here []string
				for _, ch := range pt.Choices {
					here = append(here, y(i, j, k, ch.Class))
					binary = append(binary, y(i, j, k, ch.Class))
				}
				all = append(all, here...)
				if it.Keep != Loose {
					text := " " + strings.Join(here, " + ") + " - " + w(i, k)
					if it.Keep == Hard {
						b.WriteString(text + " = 0\n")
					} else {
						b.WriteString(text + fmt.Sprintf(" - s_%d <= 0\n", i))
					}
				}
			}
			row(all, "= 1")
		}
		if it.Keep == Loose {
			continue
		}
		var homes []string
		for k := range copies {
			homes = append(homes, w(i, k))
			binary = append(binary, w(i, k))
		}
		if it.Keep == Hard {
			row(homes, "= 1")
			continue
		}
		row(homes, "<= 1")
		binary = append(binary, fmt.Sprintf("s_%d", i))
		objective = append(objective, fmt.Sprintf("%d s_%d", it.Penalty, i))
	}
	return "minimize\n " + strings.Join(objective, " + ") + "\nsubject to\n" + b.String() + "binary\n " + strings.Join(binary, "\n ") + "\nend\n"
}

// TestSolverAgrees holds the smallest known panels to the solver.
func TestSolverAgrees(t *testing.T) {
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		t.Fatal("cbc is not installed (Debian: coinor-cbc)")
	}
	dir, agreed := t.TempDir(), 0
	value := regexp.MustCompile(`Optimal - objective value ([0-9.]+)`)
	for _, k := range knownPanels(t) {
		if k.points > 53 {
			continue
		}
		s, err := Solve(k.problem, Fast)
		if err != nil {
			t.Fatal(err)
		}
		in := reduce(k.problem)
		sv := &solver{in: in, limits: effortLimits[Exact]}
		c := sv.newCover(in.everything())
		for h := range c.y {
			c.y[h] = 0 // every configuration that is no dearer than the whole plan
		}
		var configs []config
		least := s.Cost
		for _, st := range in.p.sites(c.d) {
			c.walk(st, float64(s.Cost), func(k config, _ float64) (float64, bool) {
				configs = append(configs, k)
				least = min(least, k.price)
				return float64(s.Cost), false
			})
		}
		configs = undominated(configs)
		file := filepath.Join(dir, k.id+".lp")
		if err := os.WriteFile(file, []byte(milp(k.problem, int(s.Cost/least), configs, s.Cost)), 0o600); err != nil {
			t.Fatal(err)
		}
		text, err := exec.Command(cbc, file, "-seconds", "20", "-threads", "1", "-solve", "-solution", filepath.Join(dir, "out.txt")).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", k.id, err, text)
		}
		out, err := os.ReadFile(filepath.Join(dir, "out.txt"))
		if err != nil {
			t.Fatal(err)
		}
		m := value.FindSubmatch(out)
		if m == nil {
			first, _, _ := bytes.Cut(out, []byte("\n"))
			t.Logf("%s (%d points): the solver did not finish: %s", k.id, k.points, first)
			continue
		}
		var found float64
		if _, err := fmt.Sscan(string(m[1]), &found); err != nil {
			t.Fatal(err)
		}
		if int64(found+0.5) != s.Cost {
			t.Errorf("%s: %d, the solver %v", k.id, s.Cost, found)
			continue
		}
		agreed++
	}
	t.Logf("the solver agrees on %d panels", agreed)
	if agreed < 40 {
		t.Errorf("the solver agrees on %d panels only", agreed)
	}
}
