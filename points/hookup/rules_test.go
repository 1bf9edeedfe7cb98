package hookup

import (
	"cmp"
	"slices"
	"testing"

	"tallywire/model"
)

// TestEveryRuleHasAWire takes the example machine of every point rule and
// expects a circuit for the hardwired point that the rule makes. A machine
// whose control nobody knows gets a finding instead.
func TestEveryRuleHasAWire(t *testing.T) {
	lib := loaded(t)
	checked := 0
	for _, rule := range lib.Rules() {
		role, ok := lib.Role(rule.Emits.Role)
		if !ok {
			t.Errorf("%s makes the role %q, which no record describes", rule.ID, rule.Emits.Role)
			continue
		}
		if cmp.Or(rule.Emits.Carried, role.Carried) != model.Hardwired || rule.Emits.ByOthers {
			continue
		}
		checked++
		s := rule.Example
		e := fan("X-1", s.Control, s.Scheme, 208, 3)
		e.Kind, e.FireResponse, e.Ratings.MotorType = s.Kind, s.Fire, s.MotorType
		e.Damper = model.Damper{Kind: s.Damper, EndSwitch: s.EndSwitch}
		name := role.ID
		if rule.Emits.Per == "sensor" {
			name += "-1"
		}
		pt := model.Point{Key: "X-1/" + name, Equipment: "X-1", Role: name, Carried: model.Hardwired,
			ObjectType: cmp.Or(rule.Emits.Object, role.Object), Signal: cmp.Or(rule.Emits.Signal, role.Signal)}
		r := Connect(lib, &model.Project{}, []model.Equipment{e}, []model.Point{pt})
		wired := slices.ContainsFunc(r.Circuits, func(c model.Circuit) bool { return c.Point == pt.Key })
		if !wired && s.Control != "" {
			t.Errorf("%s: %s of %+v has no wire: %v", rule.ID, name, s, r.Findings)
		}
		if !wired && len(r.Findings) == 0 {
			t.Errorf("%s: %s has neither wire nor finding", rule.ID, name)
		}
	}
	if checked < 40 {
		t.Errorf("%d rules checked, want at least 40", checked)
	}
}
