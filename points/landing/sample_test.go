package landing

import (
	"testing"

	"tallywire/model"
)

// TestThreePanels is the sample three-panels, whose cost is worked out by hand
// in its cost.md.
func TestThreePanels(t *testing.T) {
	share, one, penalty := 0.0, false, int64(10000)
	base := map[string]int{"UI": 3, "RO": 2, "AO": 2}
	module := map[string]int{"UI": 3, "RO": 1, "AO": 1}
	p := &model.Project{
		Panels: []model.Panel{{ID: "PANEL-1", Location: "Level 1"}, {ID: "PANEL-2", Location: "Roof", Rating: "outdoor"},
			{ID: "PANEL-3", Location: "Level 2", Existing: []model.ExistingController{{ID: "OLD-1", Model: "hl-6", Used: map[string]int{"UI": 2, "RO": 1, "AO": 1}}}}},
		Controllers: []model.ControllerModel{
			{ID: "hl-6", Base: true, Family: "hl", Slots: 1, PriceCents: 40000, Terminals: base, Rating: "indoor"},
			{ID: "hl-o6", Base: true, Family: "hlo", Slots: 1, PriceCents: 56000, Terminals: base, Rating: "outdoor"},
			{ID: "hl-x6", Family: "hl", Slots: 1, PriceCents: 25000, Terminals: module, Rating: "indoor"},
			{ID: "hl-xo6", Family: "hlo", Slots: 1, PriceCents: 30000, Terminals: module, Rating: "outdoor"},
		},
	}
	p.Settings.Landing = model.LandingSettings{SpareShare: &share, SpareOne: &one, Together: "soft", SplitPenaltyCents: &penalty}
	list := fans(7)
	for i := range list {
		list[i].Location = []string{"Level 1", "Level 1", "Level 1", "Roof", "Roof", "Level 2", "Level 2"}[i/3]
	}
	r := Land(load(t), p, list)
	if got := codes(r); len(got) > 0 {
		t.Fatalf("findings %v: %+v", got, r.Findings)
	}
	want := []int64{65000, 56000, 25000}
	for i, proof := range r.Proof {
		if proof.CostCents != want[i] || !proof.Proven || proof.BoundCents != want[i] {
			t.Errorf("%s costs %d (bound %d, proven %v), by hand %d", proof.Panel, proof.CostCents, proof.BoundCents, proof.Proven, want[i])
		}
	}
	var sum int64
	for _, s := range r.Panels {
		sum += s.PriceCents
	}
	if sum != 146000 || len(r.Landings) != 21 {
		t.Errorf("%d cents for %d points; by hand 146000 for 21", sum, len(r.Landings))
	}
}
