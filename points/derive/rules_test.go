package derive

import (
	"slices"
	"sync"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// builtIn is read once: it is read only.
var builtIn = sync.OnceValues(func() (*library.Library, error) { return library.Load(nil) })

func loaded(t testing.TB) *library.Library {
	t.Helper()
	lib, err := builtIn()
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// TestRulesMatchTheirExamples holds every rule against the machine it must
// match and the one it must just miss, and that its example gets the point.
func TestRulesMatchTheirExamples(t *testing.T) {
	lib := loaded(t)
	if len(lib.Rules()) < 60 {
		t.Fatalf("only %d rules are loaded", len(lib.Rules()))
	}
	for _, r := range lib.Rules() {
		list, set := staged(r.Example)
		w := survey(lib, set, list)
		if ok, words := w.reasons(&r.When, &w.machines[0]); !ok {
			t.Errorf("%s does not match its example: %v", r.ID, words)
		}
		near, nearSet := staged(r.NearMiss)
		n := survey(lib, nearSet, near)
		if ok, words := n.reasons(&r.When, &n.machines[0]); ok {
			t.Errorf("%s matches its near miss: %v", r.ID, words)
		}
		role, known := lib.Role(r.Emits.Role)
		if !known {
			t.Errorf("%s emits the unknown role %s", r.ID, r.Emits.Role)
			continue
		}
		if r.Emits.Need == "optional" {
			set.Derive.Optional = append(set.Derive.Optional, r.Emits.Role)
		}
		got := Derive(lib, &model.Project{Settings: set}, list)
		if !slices.ContainsFunc(got.Points, func(q model.Point) bool { return Base(q.Role) == role.ID && q.Rule == r.ID }) {
			t.Errorf("%s: its example gets no point %s by this rule", r.ID, role.ID)
		}
		if r.Why == "" || r.Source == "" {
			t.Errorf("%s lacks why or source", r.ID)
		}
	}
}

// TestAlarmsMatchTheirExamples: the example of an alarm rule gets the alarm by
// that rule, the near miss does not.
func TestAlarmsMatchTheirExamples(t *testing.T) {
	lib := loaded(t)
	for _, r := range lib.AlarmRules() {
		list, set := staged(r.Example)
		by := func(list []model.Alarm) bool {
			return slices.ContainsFunc(list, func(a model.Alarm) bool { return a.Rule == r.ID })
		}
		if !by(Derive(lib, &model.Project{Settings: set}, list).Alarms) {
			t.Errorf("%s: its example gets no such alarm", r.ID)
		}
		near, nearSet := staged(r.NearMiss)
		if by(Derive(lib, &model.Project{Settings: nearSet}, near).Alarms) {
			t.Errorf("%s: its near miss gets the alarm", r.ID)
		}
		for _, role := range append(append([]string{r.On}, r.Needs...), r.InhibitedBy...) {
			if _, ok := lib.Role(role); !ok && !slices.Contains(library.InhibitWords, role) {
				t.Errorf("%s names the unknown role %s", r.ID, role)
			}
		}
	}
}

// TestLibraryIsWhole: rules name schemes, roles, items and units that exist,
// and every scheme makes points.
func TestLibraryIsWhole(t *testing.T) {
	lib := loaded(t)
	for _, r := range lib.Rules() {
		for _, id := range slices.Concat(r.When.Schemes, r.When.NotSchemes) {
			if _, ok := lib.Scheme(id); !ok {
				t.Errorf("rule %s names the unknown scheme %s", r.ID, id)
			}
		}
		if r.Emits.Item != "" {
			if _, ok := lib.Task(r.Emits.Item); !ok {
				t.Errorf("rule %s names the unknown item %s", r.ID, r.Emits.Item)
			}
		}
		for _, role := range r.Emits.With {
			if _, ok := lib.Role(role); !ok {
				t.Errorf("rule %s stands with the unknown role %s", r.ID, role)
			}
		}
		if f := r.Emits.Feedback; f != "" {
			if role, ok := lib.Role(f); !ok || role.Object != model.BinaryInput {
				t.Errorf("rule %s has the feedback %s, which is no binary input", r.ID, f)
			}
		}
	}
	short := map[string]string{}
	for _, r := range lib.Roles() {
		if _, ok := lib.Task(r.Item); !ok && r.Carried == model.Hardwired {
			t.Errorf("role %s names the unknown item %q", r.ID, r.Item)
		}
		if r.Object == model.BinaryInput && r.Carried == model.Hardwired && (r.Polarity == "" || r.ContactSense == "") {
			t.Errorf("role %s: a binary input needs polarity and contact sense", r.ID)
		}
		if (r.ContactSense == "normally-closed") != (r.Polarity == "reverse") {
			t.Errorf("role %s: a normally closed contact is turned round by the polarity, once", r.ID)
		}
		binary := r.Object == model.BinaryInput || r.Object == model.BinaryOutput || r.Object == model.BinaryValue
		if binary && (len(r.States) != 2 || r.Units != "") {
			t.Errorf("role %s: a binary object has two state texts and no units", r.ID)
		}
		if r.Abbreviation != "STS" && short[r.Abbreviation] != "" {
			t.Errorf("roles %s and %s have the same abbreviation", r.ID, short[r.Abbreviation])
		}
		short[r.Abbreviation] = r.ID
	}
	for _, s := range lib.Schemes() {
		e := model.Equipment{Tag: "F-1", Kind: "k", Scheme: s.ID, Control: "fan-interface-box"}
		if got := Derive(lib, &model.Project{}, []model.Equipment{e}); len(got.Points) == 0 {
			t.Errorf("scheme %s makes no points", s.ID)
		}
	}
}
