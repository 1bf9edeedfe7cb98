package library

import "testing"

// TestFunctionRules: every rule speaks of a role that exists, and the columns
// are numbered by their groups, one after the other.
func TestFunctionRules(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for role, rules := range l.Functions.rules {
		if _, ok := l.Role(role); !ok {
			t.Errorf("%s is no role", role)
		}
		for _, r := range rules {
			if r.Why == "" || r.Column == "" && len(r.At) == 0 || r.Column != "" && l.Functions.Column(r.Column) < 0 {
				t.Errorf("%s: column %q, why %q", role, r.Column, r.Why)
			}
			for _, at := range r.At {
				if _, ok := l.Role(at); !ok {
					t.Errorf("%s counts in the row of %s, which is no role", role, at)
				}
			}
		}
	}
	if n := len(l.Functions.Columns); n != 49 {
		t.Errorf("%d columns; the list has 49", n)
	}
	groups := map[string]string{}
	for _, c := range l.Functions.Columns {
		if known, seen := groups[c.ID[:1]]; seen && known != c.Group {
			t.Errorf("%s stands in %q, its neighbours in %q", c.ID, c.Group, known)
		}
		groups[c.ID[:1]] = c.Group
	}
	if len(groups) != 8 || l.Functions.Column("9.9") != -1 {
		t.Errorf("groups: %v", groups)
	}
}
