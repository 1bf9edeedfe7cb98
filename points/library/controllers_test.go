package library_test

import (
	"slices"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// TestControllersMakeSense: every terminal is of a known class and every class
// is offered, bases and expansions belong together, prices say that they are
// invented.
func TestControllersMakeSense(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	offered := map[string]bool{}
	families := map[string]bool{}
	outdoor := false
	for _, m := range lib.Controllers() {
		if !m.Placeholder || m.PriceCents <= 0 || m.Source == "" || m.Rating == "" || m.Supply == nil || m.Supply.Running == nil || m.HeatW == nil || m.WidthMM == nil {
			t.Errorf("%s is not complete: %+v", m.ID, m)
		}
		for class, n := range m.Terminals {
			if _, ok := lib.Class(class); !ok || n <= 0 {
				t.Errorf("%s: %d terminals of class %q", m.ID, n, class)
			}
			offered[class] = true
		}
		if m.Base {
			families[m.Family] = true
			outdoor = outdoor || m.Rating == "outdoor"
		}
	}
	for _, c := range lib.Classes() {
		if !offered[c.ID] {
			t.Errorf("no model has a %s terminal", c.ID)
		}
	}
	for _, m := range lib.Controllers() {
		fits := m.Fits
		if len(fits) == 0 {
			fits = []string{m.Family}
		}
		if !m.Base && (m.Slots < 1 || !slices.ContainsFunc(fits, func(f string) bool { return families[f] })) {
			t.Errorf("%s goes on nothing", m.ID)
		}
	}
	if !outdoor {
		t.Error("no base may hang outdoors")
	}
}

// TestOwnControllers: a file with a base of its own is a catalogue of its own;
// one that corrects a built-in entry keeps the rest.
func TestOwnControllers(t *testing.T) {
	generic, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	read := func(text string) []model.ControllerModel {
		lib, err := library.Load([]model.LibraryFile{{Subject: "controllers", File: "own.yaml", Text: []byte(text)}})
		if err != nil {
			t.Fatal(err)
		}
		return lib.Controllers()
	}
	own := read("records:\n  - {id: own, name: Own, base: true, price_cents: 1, terminals: {UI: 1}, source: price list}\n")
	if len(own) != 1 || own[0].ID != "own" {
		t.Errorf("a catalogue of one base is %d models", len(own))
	}
	corrected := read("records:\n  - {id: base-8, name: Small, base: true, price_cents: 1234, terminals: {UI: 4}, source: price list}\n")
	i := slices.IndexFunc(corrected, func(m model.ControllerModel) bool { return m.ID == "base-8" })
	if len(corrected) != len(generic.Controllers()) || i < 0 || corrected[i].PriceCents != 1234 || corrected[i].Placeholder {
		t.Errorf("%d models, base-8 at %d", len(corrected), i)
	}
}
