package landing

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/landing/pack"
)

// TestVerifySeesEveryBreach breaks a good plan in every way a plan can be bad.
func TestVerifySeesEveryBreach(t *testing.T) {
	lib := load(t)
	penalty := int64(7)
	for _, c := range []struct {
		name  string
		spoil func(t *task, c []model.Controller, l []model.Landing, p *model.LandingProof) []model.Landing
		says  string
	}{
		{"good", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			return l
		}, ""},
		{"lost", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			return l[1:]
		}, "does not land"},
		{"twice", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			return append(l, l[0])
		}, "lands twice"},
		{"shared", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			l[1].Terminal, l[1].Class, l[1].Module = l[0].Terminal, l[0].Class, l[0].Module
			return l
		}, "share terminal"},
		{"nowhere", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			l[0].Terminal = "RO99"
			return l
		}, "which there is not"},
		{"wrong class", func(t *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			t.all[0].Options = []Option{{Class: "WI"}}
			return l
		}, "may not take it"},
		{"price", func(_ *task, c []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			c[0].PriceCents++
			return l
		}, "cost"},
		{"sum", func(_ *task, _ []model.Controller, l []model.Landing, p *model.LandingProof) []model.Landing {
			p.CostCents--
			return l
		}, "the plan says"},
		{"bound", func(_ *task, _ []model.Controller, l []model.Landing, p *model.LandingProof) []model.Landing {
			p.BoundCents = p.CostCents + 1
			return l
		}, "lower bound"},
		{"spare", func(_ *task, c []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			c[0].Used["RO"] = c[0].Installed["RO"]
			return l
		}, "must stay spare"},
		{"split", func(t *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			t.problem.Items[0].Keep = pack.Hard
			for i := range l {
				if strings.HasPrefix(l[i].Point, "EF-1/") {
					l[i].Controller = "PANEL-1/C9"
					break
				}
			}
			return l
		}, "is split"},
		{"apart", func(t *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			for i := range t.all[:6] {
				t.all[i].Apart = "pair"
			}
			for i := range t.problem.Items {
				t.problem.Items[i].Apart = "pair"
			}
			return l
		}, "share PANEL-1/C1"},
		{"family", func(_ *task, c []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			c[0].Modules = append(c[0].Modules, model.Module{ID: "X9", Model: "exp-mix12o", PriceCents: 45000})
			return l
		}, "does not go on"},
		{"limit", func(_ *task, _ []model.Controller, l []model.Landing, _ *model.LandingProof) []model.Landing {
			penalty = 3
			return l
		}, "at most 3"},
	} {
		p := &model.Project{}
		l := &lander{lib: lib, p: p, rules: rulesOf(p.Settings.Landing)}
		l.models, _ = catalogue(lib, p)
		list := fans(24)
		task := l.task(model.Panel{ID: "PANEL-1"}, nil, list)
		task.all = list
		task.solve(l.rules.effort)
		if len(task.found) > 0 {
			t.Fatal(task.found)
		}
		l.name(task)
		if f := has(l.out, "landing-broken"); f != nil {
			t.Fatalf("a good plan: %s", f.Message)
		}
		penalty = 0
		landings := c.spoil(task, l.out.Controllers, l.out.Landings, &l.out.Proof[0])
		l.rules.maxPoints = int(penalty)
		got := strings.Join(l.breaches(task, l.out.Controllers, landings, l.out.Proof[0]), "\n")
		if c.says == "" && got != "" || !strings.Contains(got, c.says) {
			t.Errorf("%s: %q lacks %q", c.name, got, c.says)
		}
	}
}
