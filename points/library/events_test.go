package library

import (
	"testing"
)

// An interlock may call an event by any of its names, a zone number behind it.
func TestEventsAreFoundByName(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"fire-alarm": "fire-alarm", "Fire zone 3": "fire-alarm", "fire_zone_12": "fire-alarm", "smoke": "duct-smoke", "gas-high": "gas-high", "co-low": "gas-low", "suppression": "suppression", "freezestat-2": "freeze", "FSCS-on": "firefighter-on"} {
		if e, ok := l.EventNamed(name); !ok || e.ID != want {
			t.Errorf("%q is %q, want %q", name, e.ID, want)
		}
	}
	if e, ok := l.EventNamed("EF-1"); ok {
		t.Errorf("a tag is taken for the event %s", e.ID)
	}
	seen := map[string]string{}
	for _, e := range l.Events() {
		for _, from := range append([]string{e.ID}, e.From...) {
			if other, ok := seen[from]; ok && other != e.ID {
				t.Errorf("%q names %s and %s", from, other, e.ID)
			}
			seen[from] = e.ID
			if got, _ := l.EventNamed(from); got.ID != e.ID {
				t.Errorf("%q is found as %s, it is a name of %s", from, got.ID, e.ID)
			}
		}
	}
	if e, ok := l.EventOf("gas-panel", "full-speed"); !ok || e.ID != "gas-high" {
		t.Errorf("the full-speed contact of a gas panel tells %q", e.ID)
	}
}
