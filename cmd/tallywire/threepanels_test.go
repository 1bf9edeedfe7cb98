package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"tallywire/model"
)

// TestThreePanelsByHand: the plan of the sample says what its cost.md works out
// by hand: points, terminals and cost of every panel, each proven.
func TestThreePanelsByHand(t *testing.T) {
	data, err := os.ReadFile("../../samples/three-panels/want/plan.json")
	if err != nil {
		t.Fatal(err)
	}
	plan := &model.Plan{}
	if err := json.Unmarshal(data, plan); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../samples/three-panels/cost.md")
	if err != nil {
		t.Fatal(err)
	}
	var sum int64
	for i, want := range []struct {
		cents       int64
		fans, spare int // fans landed; analog outputs to spare
		least       string
	}{{65000, 3, 0, "Least: **650.00**"}, {56000, 2, 0, "Least: **560.00**"}, {25000, 2, 0, "Least: **250.00**"}} {
		proof, panel := plan.LandingProof[i], plan.Panels[i]
		if proof.CostCents != want.cents || proof.BoundCents != want.cents || !proof.Proven || proof.Gap != 0 {
			t.Errorf("%s costs %d (bound %d, proven %v), by hand %d", proof.Panel, proof.CostCents, proof.BoundCents, proof.Proven, want.cents)
		}
		if panel.Points != 3*want.fans || panel.Spare["AO"] != want.spare {
			t.Errorf("%s: %d points and %d analog outputs to spare, by hand %d and %d", panel.Panel, panel.Points, panel.Spare["AO"], 3*want.fans, want.spare)
		}
		if !strings.Contains(string(text), want.least) {
			t.Errorf("cost.md does not say %q", want.least)
		}
		sum += proof.CostCents
	}
	if sum != 146000 || !strings.Contains(string(text), "**1,460.00**") {
		t.Errorf("together %d", sum)
	}
}
