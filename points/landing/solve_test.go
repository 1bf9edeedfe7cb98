package landing

import (
	"fmt"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/landing/pack"
)

// TestEffortBySize: a project is planned at fast effort up to a size, beyond at
// quick effort with a note; what the user states holds.
func TestEffortBySize(t *testing.T) {
	lib := load(t)
	many := fans(fastPoints/3 + 1)
	for _, c := range []struct {
		list   []Demand
		stated string
		want   string
		told   bool
	}{
		{fans(4), "", "fast", false},
		{many[:fastPoints], "", "fast", false},
		{many, "", "quick", true},
		{many[:6], "exact", "exact", false},
		{many, "fast", "fast", false},
	} {
		p := &model.Project{}
		p.Settings.Landing.Effort = c.stated
		for i := range 9 {
			p.Panels = append(p.Panels, model.Panel{ID: fmt.Sprintf("P-%d", i+1)})
		}
		for i := range c.list {
			c.list[i].Panel = fmt.Sprintf("P-%d", i/3%9+1)
		}
		r := Land(lib, p, c.list)
		if r.Proof[0].Effort != c.want {
			t.Errorf("%d points, stated %q: effort %s, want %s", len(c.list), c.stated, r.Proof[0].Effort, c.want)
		}
		told := false
		for _, f := range r.Findings {
			told = told || f.Code == "landing-assumed" && strings.Contains(f.Message, "quick effort")
		}
		if told != c.told {
			t.Errorf("%d points, stated %q: told %v", len(c.list), c.stated, told)
		}
	}
}

// TestLikePanels: panels that differ only in names are alike to the optimiser,
// others are not, and each still gets its own tags.
func TestLikePanels(t *testing.T) {
	problem := func(change func(p *pack.Problem)) string {
		p := &pack.Problem{Classes: []string{"UI", "RO"}, Items: []pack.Item{
			{ID: "A", Keep: pack.Hard, Apart: "x", Points: []pack.Point{{ID: "A/1", Choices: []pack.Choice{{Class: 0}}}}},
			{ID: "B", Keep: pack.Hard, Apart: "x", Points: []pack.Point{{ID: "B/1", Choices: []pack.Choice{{Class: 1, Extra: 5}}}}}}}
		change(p)
		return shape(p)
	}
	base := problem(func(*pack.Problem) {})
	for name, change := range map[string]func(p *pack.Problem){
		"names": func(p *pack.Problem) {
			p.Items[0].ID, p.Items[1].ID, p.Items[0].Apart, p.Items[1].Apart = "C", "D", "y", "y"
		},
	} {
		if problem(change) != base {
			t.Errorf("%s tell like panels apart", name)
		}
	}
	for name, change := range map[string]func(p *pack.Problem){
		"groups":   func(p *pack.Problem) { p.Items[1].Apart = "y" },
		"extra":    func(p *pack.Problem) { p.Items[1].Points[0].Choices[0].Extra = 6 },
		"class":    func(p *pack.Problem) { p.Items[1].Points[0].Choices[0].Class = 0 },
		"keep":     func(p *pack.Problem) { p.Items[0].Keep = pack.Soft },
		"penalty":  func(p *pack.Problem) { p.Items[0].Penalty = 1 },
		"limit":    func(p *pack.Problem) { p.MaxPoints = 3 },
		"standing": func(p *pack.Problem) { p.Standing = []pack.Standing{{Free: []int{1, 0}}} },
		"spare":    func(p *pack.Problem) { p.Spare.AtLeastOne = true },
		"outdoor":  func(p *pack.Problem) { p.Models = []pack.Model{{Gone: true}} },
	} {
		if problem(change) == base {
			t.Errorf("%s do not tell panels apart", name)
		}
	}
	p := &model.Project{Panels: []model.Panel{{ID: "P-1"}, {ID: "P-2"}}}
	list := fans(20)
	for i := range list {
		list[i].Panel = fmt.Sprintf("P-%d", i/30+1)
	}
	r := Land(load(t), p, list)
	if len(r.Landings) != 60 || r.Proof[0].CostCents != r.Proof[1].CostCents || has(r, "landing-broken") != nil {
		t.Errorf("%d landings, proofs %+v", len(r.Landings), r.Proof)
	}
	home := map[string]string{}
	for _, d := range list {
		home[d.Point] = d.Panel
	}
	for _, one := range r.Landings {
		if one.Panel != home[one.Point] {
			t.Errorf("%s lands in %s, asked for %s", one.Point, one.Panel, home[one.Point])
		}
	}
}
