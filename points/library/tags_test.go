package library

import (
	"slices"
	"testing"
)

// TestEveryRoleAndKindHasNames, and every class that they use exists in Brick
// and descends from a point or a piece of equipment.
func TestEveryRoleAndKindHasNames(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, role := range l.Roles() {
		if _, ok := l.Tags.Point(role.ID); !ok {
			t.Errorf("the role %s has no names in open models", role.ID)
		}
	}
	for _, one := range l.Tags.All() {
		root := map[string]string{"point": "Point", "equipment": "Equipment"}[one.Of]
		steps := 0
		for class := one.Brick; class != root; steps++ {
			c, ok := l.Tags.Class(class)
			if !ok || steps > 12 {
				t.Errorf("%s: class %s of Brick is not known, or no %s", one.ID, class, root)
				break
			}
			class = c.Parent
		}
		if slices.Contains(one.Haystack, "point") || slices.Contains(one.Haystack, "equip") {
			t.Errorf("%s: point and equip are added by the renderer", one.ID)
		}
		if one.Of == "point" && !slices.ContainsFunc(one.Haystack, func(m string) bool { return m == "sensor" || m == "cmd" || m == "sp" }) {
			t.Errorf("%s: a point of Haystack is a sensor, a cmd or an sp", one.ID)
		}
	}
	for _, kind := range l.Kinds {
		if _, ok := l.Tags.Machine(kind.ID); !ok {
			t.Errorf("the kind %s has no names in open models", kind.ID)
		}
	}
}

// TestRolesUseCurrentNames: units and object types of roles are written by the
// standard's current names.
func TestRolesUseCurrentNames(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range l.Roles() {
		for _, unit := range []string{r.Units, r.UnitsSI} {
			if u, ok := l.Units.Named(unit); unit != "" && (!ok || u.ID != unit) {
				t.Errorf("role %s: the unit is written %q, its current name is %q", r.ID, unit, u.ID)
			}
		}
		typ, ok := l.Objects.Type(r.Object)
		if !ok {
			t.Errorf("role %s: %q is no object type", r.ID, r.Object)
		}
		if typ.Analog() != (r.Units != "") {
			t.Errorf("role %s is %s and has the unit %q", r.ID, r.Object, r.Units)
		}
		if typ.Binary() && len(r.States) != 2 {
			t.Errorf("role %s is binary and has states %v", r.ID, r.States)
		}
	}
}

// TestRolesOfClasses: what other models call a fan's points.
func TestRolesOfClasses(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for class, want := range map[string]string{"Start_Stop_Command": "start", "Fan_Status": "status", "Speed_Setpoint": "speed", "Fan_Speed_Command": "speed", "Manual_Auto_Status": "override-active", "CO_Level_Sensor": "gas-co"} {
		if got := l.Tags.Roles(class); !slices.Contains(got, want) {
			t.Errorf("%s stands for %v, want %s", class, got, want)
		}
	}
	if got := l.Tags.Roles("Boiler"); len(got) != 0 {
		t.Errorf("a boiler stands for %v", got)
	}
}
