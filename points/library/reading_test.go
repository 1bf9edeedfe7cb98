package library

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// TestKinds holds the kinds against the list that every program relies on.
func TestKinds(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Fields(`general-exhaust-fan toilet-exhaust-fan supply-fan return-fan relief-fan transfer-fan make-up-air-unit garage-exhaust-fan kitchen-exhaust-fan
		dryer-exhaust-fan electrical-room-fan generator-room-fan stair-pressurization-fan hoistway-pressurization-fan smoke-exhaust-fan destratification-fan high-volume-fan lab-exhaust-fan
		elevator-machine-room-fan natatorium-exhaust-fan chemical-store-exhaust-fan series-terminal parallel-terminal energy-recovery-unit isolation-exhaust-fan fan-coil-unit fan-convector`)
	var have []string
	for _, k := range l.Kinds {
		have = append(have, k.ID)
	}
	if !slices.Equal(have, want) {
		t.Errorf("kinds are %v", have)
	}
	if k, ok := l.Kind("supply-fan"); !ok || k.Scheme("variable") != "supply-variable" || k.Scheme("") != "supply-constant" {
		t.Errorf("supply-fan: %+v", k)
	}
	if k, _ := l.Kind("return-fan"); k.Scheme("") != "return" || k.Usual != "variable" {
		t.Errorf("return-fan: %+v", k)
	}
}

// TestEvidenceNamesWhatExists: evidence about kinds names kinds, and each kind
// can be reached.
func TestEvidenceNamesWhatExists(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	reached := map[string]bool{}
	for _, e := range l.Evidence {
		if e.About == "kind" {
			if _, ok := l.Kind(e.For); !ok {
				t.Errorf("%s speaks for %q, which is no kind", e.ID, e.For)
			}
			reached[e.For] = true
		}
		if _, ok := l.Device(e.For); e.About == "status_device" && !ok {
			t.Errorf("%s speaks for %q, which is no device type", e.ID, e.For)
		}
		for _, k := range e.Kinds {
			if _, ok := l.Kind(k); !ok {
				t.Errorf("%s holds for %q, which is no kind", e.ID, k)
			}
		}
		for _, f := range e.Fields {
			if _, ok := l.Heading(f); !ok && f != "section" && f != "table" && f != "motor" {
				t.Errorf("%s looks in %q, which is no field", e.ID, f)
			}
		}
	}
	for _, k := range l.Kinds {
		if !reached[k.ID] {
			t.Errorf("no evidence speaks for %s", k.ID)
		}
	}
}

// TestUnitsAreOurs: every measure that the job uses is one that quantities convert.
func TestUnitsAreOurs(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]string{}
	for _, m := range l.Measures {
		if m.Dimension != "none" && model.Dimension(m.ID) != m.Dimension {
			t.Errorf("%s measures %q, model says %q", m.ID, m.Dimension, model.Dimension(m.ID))
		}
		for _, s := range m.Spellings {
			if other, twice := seen[strings.ToLower(s)]; twice && other != m.ID {
				t.Errorf("%q is %s and %s", s, other, m.ID)
			}
			seen[strings.ToLower(s)] = m.ID
		}
	}
	for _, h := range l.Headings {
		if h.Unit != "" && model.Dimension(h.Unit) == "" || h.Use == UseField && h.Value == "" {
			t.Errorf("%s: unit %q, value %q", h.ID, h.Unit, h.Value)
		}
	}
}

// TestOwnHeading: a project's own heading word replaces the built-in record of
// its id.
func TestOwnHeading(t *testing.T) {
	own := model.LibraryFile{Subject: "headings", File: "mine.yaml", Text: []byte("records:\n  - {id: tag, use: field, name: tag, value: tag, words: [Kennzeichen], source: our standard}\n")}
	l, err := Load([]model.LibraryFile{own})
	if err != nil {
		t.Fatal(err)
	}
	if h, _ := l.Heading("tag"); !slices.Equal(h.Words, []string{"Kennzeichen"}) || h.Where.File != "mine.yaml" {
		t.Errorf("%+v", h)
	}
	own.Text = []byte("records:\n  - {id: tag, use: field, name: tag, value: tag, wrods: [x], words: [y], source: z}\n")
	if _, err := Load([]model.LibraryFile{own}); err == nil || !strings.Contains(err.Error(), `"words"`) {
		t.Errorf("a misspelt key: %v", err)
	}
}
