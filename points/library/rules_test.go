package library

import (
	"strings"
	"testing"

	"tallywire/model"
)

// TestRoleUnitsAreBACnetUnits: a unit that is not in the table could not be exported.
func TestRoleUnitsAreBACnetUnits(t *testing.T) {
	lib, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range lib.Roles() {
		for _, u := range []string{r.Units, r.UnitsSI} {
			if _, ok := lib.Units.Named(u); u != "" && !ok {
				t.Errorf("role %s: %q is no BACnet unit", r.ID, u)
			}
		}
	}
}

// TestOwnRules: a user's rule, role and scheme come in by the same door, a
// rule of the same id replaces the built-in one, and a broken one is told with
// its line.
func TestOwnRules(t *testing.T) {
	own := []model.LibraryFile{
		{Subject: "roles", File: "my/roles.yaml", Text: []byte("records:\n  - {id: vibration, name: bearing vibration, abbreviation: VIB, object: analog-input, carried: hardwired, signal: 4-20 mA, units: percent, item: safety, source: ours}\n")},
		{Subject: "schemes", File: "my/schemes.yaml", Text: []byte("records:\n  - {id: tunnel, name: Tunnel fan, family: fan, speed: constant, together: equipment, runs: schedule, source: ours}\n")},
		{Subject: "rules", File: "my/rules.yaml", Text: []byte("records:\n  - {id: status-motor, when: {schemes: [tunnel]}, emits: {role: vibration, need: required}, why: w, source: ours, example: {scheme: tunnel}, near_miss: {scheme: relief}}\n")},
	}
	lib, err := Load(own)
	if err != nil {
		t.Fatal(err)
	}
	if r, ok := lib.Rule("status-motor"); !ok || r.Emits.Role != "vibration" || r.Where == nil || r.Where.File != "my/rules.yaml" {
		t.Errorf("the user's rule: %+v", r)
	}
	if _, ok := lib.Scheme("tunnel"); !ok {
		t.Error("the user's scheme is missing")
	}
	if r, ok := lib.Role("vibration"); !ok || r.Units != "percent" {
		t.Error("the user's role is missing")
	}
	own[2].Text = []byte("records:\n  - {id: x, when: {schemess: [tunnel]}, emits: {role: vibration, need: required}, why: w, source: ours, example: {}, near_miss: {}}\n")
	if _, err = Load(own); err == nil || !strings.Contains(err.Error(), "my/rules.yaml:2:") || !strings.Contains(err.Error(), `did you mean "schemes"`) {
		t.Errorf("a misspelt condition: %v", err)
	}
}
