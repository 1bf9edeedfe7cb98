package library

import (
	"slices"
	"testing"

	"tallywire/model"
)

// TestDevicesAreWhole checks what no schema can: terminal ids once a device,
// driving natures that drive, limits with a source, the box of the trade's
// facts with its figures.
func TestDevicesAreWhole(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	drivingOnly := []model.Nature{model.Contact, model.SolidState, model.Transistor, model.VoltageOut, model.SupplyOut}
	acceptingOnly := []model.Nature{model.ContactSense, model.VoltageSense, model.Coil, model.PowerIn}
	if n := len(l.DeviceIDs()); n < 90 {
		t.Errorf("%d device types, want at least 90", n)
	}
	for _, id := range l.DeviceIDs() {
		d, _ := l.Device(id)
		seen := map[string]bool{}
		for _, term := range d.Terminals {
			if seen[term.ID] {
				t.Errorf("%s: terminal %s stands twice", id, term.ID)
			}
			seen[term.ID] = true
			if slices.Contains(drivingOnly, term.Nature) && !term.Drives {
				t.Errorf("%s:%s is a %s and does not drive", id, term.ID, term.Nature)
			}
			if slices.Contains(acceptingOnly, term.Nature) && term.Drives {
				t.Errorf("%s:%s is a %s and drives", id, term.ID, term.Nature)
			}
			if term.Source == "" {
				t.Errorf("%s:%s has no source", id, term.ID)
			}
			if term.Nature == model.Contact && term.MinLoad == nil {
				t.Errorf("%s:%s: a contact without its least load", id, term.ID)
			}
		}
	}
}

// TestInterfaceBoxFacts holds the first box against the facts of the trade.
func TestInterfaceBoxFacts(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	box, ok := l.Device("interface-box")
	if !ok {
		t.Fatal("no interface-box")
	}
	want := map[string]struct {
		nature model.Nature
		volts  *model.Interval
	}{
		"mains":     {model.PowerIn, model.Span(100, 277)},
		"start-dry": {model.ContactSense, nil},
		"start-wet": {model.VoltageSense, model.Span(12, 120)},
		"override":  {model.VoltageSense, model.Span(12, 120)},
		"speed-in":  {model.AnalogVoltage, model.Span(0, 12)},
		"damper":    {model.Contact, model.Span(0, 277)},
		"status":    {model.Contact, model.Span(0, 30)},
	}
	for id, w := range want {
		term, ok := box.Terminal(id)
		if !ok {
			t.Errorf("no terminal %s", id)
			continue
		}
		if term.Nature != w.nature {
			t.Errorf("%s: nature %s, want %s", id, term.Nature, w.nature)
		}
		if w.volts != nil && (term.Volts == nil || *term.Volts != *w.volts) {
			t.Errorf("%s: volts %v, want %v", id, term.Volts, w.volts)
		}
	}
	speed, _ := box.Terminal("speed-in")
	if speed.RunThreshold == nil || *speed.RunThreshold != 2 {
		t.Errorf("run threshold %v, want 2 V", speed.RunThreshold)
	}
	if status, _ := box.Terminal("status"); status.Follows != "command" {
		t.Errorf("the status contact follows %q, want command", status.Follows)
	}
	if _, has := box.Terminal("not-in-auto"); has {
		t.Error("the box has no contact that tells its selector")
	}
}

// TestClassesAreComplete checks that every class of controller terminal is
// there with at least one mode of the right side.
func TestClassesAreComplete(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	outputs := []string{"RO", "TO", "PO", "UO", "AO", "CO"}
	for _, id := range append([]string{"UI", "BI", "WI"}, outputs...) {
		c, ok := l.Class(id)
		if !ok || len(c.Modes) == 0 {
			t.Errorf("class %s missing or empty", id)
			continue
		}
		for _, m := range c.Modes {
			if m.Drives != slices.Contains(outputs, id) {
				t.Errorf("%s mode %s drives: %v", id, m.ID, m.Drives)
			}
			if m.Class != id || m.Source == "" {
				t.Errorf("%s mode %s: class %q, source %q", id, m.ID, m.Class, m.Source)
			}
		}
	}
}
