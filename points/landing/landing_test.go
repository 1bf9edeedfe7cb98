package landing

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// fan is the demand of a fan: start by relay, status by contact, speed.
func fan(tag string) []Demand {
	return []Demand{
		{Point: tag + "/start", Equipment: tag, Options: []Option{{Class: "RO", Mode: "relay"}, {Class: "TO", Mode: "triac", Extra: 1800, Parts: []string{"relay-24vac"}}}},
		{Point: tag + "/status", Equipment: tag, Options: []Option{{Class: "UI", Mode: "contact"}, {Class: "BI", Mode: "contact"}}},
		{Point: tag + "/speed", Equipment: tag, Options: []Option{{Class: "AO", Mode: "voltage"}, {Class: "UO", Mode: "voltage"}}},
	}
}

func fans(n int) []Demand {
	var out []Demand
	for i := range n {
		out = append(out, fan(fmt.Sprintf("EF-%d", i+1))...)
	}
	return out
}

func load(t testing.TB) *library.Library {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func codes(r Result) []string {
	var out []string
	for _, f := range r.Findings {
		if f.Severity != finding.Note && !slices.Contains(out, f.Code) {
			out = append(out, f.Code)
		}
	}
	return out
}

func TestEveryPointLandsAndBinds(t *testing.T) {
	r := Land(load(t), &model.Project{}, fans(12))
	if got := codes(r); len(got) > 0 {
		t.Fatalf("findings %v: %+v", got, r.Findings)
	}
	if len(r.Landings) != 36 {
		t.Fatalf("%d landings of 36 points", len(r.Landings))
	}
	devices := map[string]*model.DeviceType{}
	for _, d := range r.Devices {
		devices[d.ID] = d.Spec
	}
	for _, one := range r.Landings {
		term, ok := devices[one.Controller].Terminal(one.Terminal)
		if !ok {
			t.Fatalf("%s: no terminal %s on %s", one.Point, one.Terminal, one.Controller)
		}
		want := map[string]model.Nature{"start": model.Contact, "status": model.ContactSense, "speed": model.AnalogVoltage}
		_, role, _ := model.Split(one.Point)
		if term.Nature != want[role] || term.Class != one.Class {
			t.Errorf("%s lands on a %s of class %s", one.Point, term.Nature, term.Class)
		}
	}
}

func TestShuffledInputGivesTheSamePlan(t *testing.T) {
	lib, list := load(t), fans(30)
	want := Land(lib, &model.Project{}, list)
	r := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		if got := Land(lib, &model.Project{}, list); !reflect.DeepEqual(got, want) {
			t.Fatal("another order of the same demands gives another plan")
		}
	}
}

func TestPointWithoutTerminalIsNamed(t *testing.T) {
	list := append(fans(1), Demand{Point: "EF-1/odd", Equipment: "EF-1", Reasons: []string{"RO: 24 V on a dry input"}})
	r := Land(load(t), &model.Project{}, list)
	i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Code == "no-terminal" })
	if i < 0 || r.Findings[i].Subject != "EF-1/odd" || !strings.Contains(r.Findings[i].Message, "24 V on a dry input") {
		t.Fatalf("findings: %+v", r.Findings)
	}
	if len(r.Landings) != 3 {
		t.Errorf("%d landings; the other three points still land", len(r.Landings))
	}
}

// contact is a status point that only a dry input takes, n of them.
func contacts(tag string, n int) []Demand {
	var out []Demand
	for i := range n {
		out = append(out, Demand{Point: fmt.Sprintf("%s/status-%d", tag, i+1), Equipment: tag, Options: []Option{{Class: "BI", Mode: "contact"}}})
	}
	return out
}

// only is a catalogue of one base with dry inputs, and an expansion.
func only(p *model.Project) *model.Project {
	p.Controllers = []model.ControllerModel{
		{ID: "own-8", Name: "own", Base: true, Family: "own", Slots: 1, PriceCents: 10000, Terminals: map[string]int{"BI": 8}, Rating: "indoor"},
		{ID: "own-x4", Name: "own expansion", Family: "own", Slots: 1, PriceCents: 3000, Terminals: map[string]int{"BI": 4}, Rating: "indoor"},
	}
	share, one := 0.0, false
	p.Settings.Landing.SpareShare, p.Settings.Landing.SpareOne = &share, &one
	return p
}

func has(r Result, code string) *finding.Finding {
	for i := range r.Findings {
		if r.Findings[i].Code == code {
			return &r.Findings[i]
		}
	}
	return nil
}

func TestOwnCatalogueIsUsedAndPriced(t *testing.T) {
	p := only(&model.Project{Prices: []model.Price{{Item: "own-8", Cents: 12345}}})
	r := Land(load(t), p, contacts("EF-1", 8))
	if len(r.Controllers) != 1 || r.Controllers[0].Model != "own-8" || r.Controllers[0].PriceCents != 12345 || r.Controllers[0].PlaceholderPrice {
		t.Fatalf("controllers %+v", r.Controllers)
	}
}

func TestExistingControllerIsFilledFirst(t *testing.T) {
	p := only(&model.Project{Panels: []model.Panel{{ID: "P-1", Existing: []model.ExistingController{
		{ID: "OLD", Model: "own-8", UsedTerminals: []string{"BI2", "BI5"}, Used: map[string]int{"BI": 4}}}}}})
	r := Land(load(t), p, contacts("EF-1", 4))
	if got := codes(r); len(got) > 0 {
		t.Fatalf("findings %v %+v", got, r.Findings)
	}
	c := r.Controllers[0]
	if len(r.Controllers) != 1 || !c.Existing || c.PriceCents != 0 || c.Used["BI"] != 8 {
		t.Fatalf("controllers %+v", r.Controllers)
	}
	// BI2 and BI5 are taken by name, BI1 and BI3 to make four
	if !slices.Equal(c.InUse, []string{"BI1", "BI2", "BI3", "BI5"}) {
		t.Errorf("in use %v", c.InUse)
	}
	for _, one := range r.Landings {
		if slices.Contains(c.InUse, one.Terminal) {
			t.Errorf("%s lands on %s, which is taken", one.Point, one.Terminal)
		}
	}
	// two more points: an expansion on the old base is cheaper than a new controller
	r = Land(load(t), p, contacts("EF-1", 6))
	if len(r.Controllers) != 1 || r.Controllers[0].PriceCents != 3000 || r.Proof[0].CostCents != 3000 || !r.Proof[0].Proven {
		t.Errorf("controllers %+v proof %+v", r.Controllers, r.Proof)
	}
	// the next issue keeps the expansion and what landed on it
	next := contacts("EF-1", 6)
	for i := range next {
		for j := range r.Landings {
			if r.Landings[j].Point == next[i].Point {
				next[i].Keep = &r.Landings[j]
			}
		}
	}
	again := Keep(load(t), p, append(next, contacts("EF-2", 2)...), r.Controllers)
	if got := codes(again); len(got) > 0 || again.Proof[0].CostCents != 3000 || len(again.Controllers) != 1 {
		t.Errorf("%v: %+v %+v", got, again.Proof, again.Findings)
	}
	// a workbook does not say which modules hung before
	bare := slices.Clone(r.Controllers)
	bare[0].Modules = slices.Clone(bare[0].Modules)
	for i := range bare[0].Modules {
		bare[0].Modules[i].Existing = false
	}
	again = Keep(load(t), p, append(next, contacts("EF-2", 2)...), bare)
	if got := codes(again); len(got) > 0 || again.Proof[0].CostCents != 3000 || len(again.Controllers) != 1 {
		t.Errorf("from a workbook %v: %+v %+v", got, again.Proof, again.Findings)
	}
	// the module has been hung since: it is paid for, and the points stay on it
	hung := *p
	hung.Panels = []model.Panel{{ID: "P-1", Existing: []model.ExistingController{p.Panels[0].Existing[0]}}}
	hung.Panels[0].Existing[0].Expansions = []string{"own-x4"}
	again = Keep(load(t), &hung, next, bare)
	if got := codes(again); len(got) > 0 || again.Proof[0].CostCents != 0 || len(again.Controllers[0].Modules) != 2 {
		t.Errorf("hung since %v: %+v %+v", got, again.Proof, again.Findings)
	}
	p.Panels[0].Existing[0].Model = "own-9"
	if f := has(Land(load(t), p, contacts("EF-1", 4)), "existing-controller"); f == nil || !strings.Contains(f.Fix, "own-8") {
		t.Errorf("a wrong model is told: %+v", f)
	}
}

func TestEarlierLandingsStay(t *testing.T) {
	lib, p := load(t), only(&model.Project{})
	first := Land(lib, p, append(contacts("EF-1", 5), contacts("EF-3", 3)...))
	at := map[string]*model.Landing{}
	for i := range first.Landings {
		at[first.Landings[i].Point] = &first.Landings[i]
	}
	list := append(append(contacts("EF-1", 5), contacts("EF-2", 2)...), contacts("EF-3", 3)...)
	for i := range list {
		list[i].Keep = at[list[i].Point]
	}
	r := Keep(lib, p, list, first.Controllers)
	if got := codes(r); len(got) > 0 {
		t.Fatalf("findings %v %+v", got, r.Findings)
	}
	for _, one := range r.Landings {
		if was := at[one.Point]; was != nil && (one.Terminal != was.Terminal || one.WireLabel != was.WireLabel || !one.Kept) {
			t.Errorf("%s was on %s %s and is on %s", one.Point, was.Controller, was.Terminal, one.Terminal)
		}
	}
	if s := r.Proof[0].StayingCents; s == nil || *s != 0 || r.Proof[0].CostCents != 13000 {
		t.Errorf("proof %+v", r.Proof[0])
	}
	// EF-1 goes: what it leaves is kept for EF-3, which alone would fit the same controller
	if r := Keep(lib, p, contacts("EF-9", 1), first.Controllers); len(r.Controllers) != 1 || r.Controllers[0].ID != "PANEL-1/C1" {
		t.Errorf("controllers %+v", r.Controllers)
	}
	// a landing that is no longer legal moves, and is told
	list[0].Options = []Option{{Class: "UI", Mode: "contact"}}
	p.Controllers[0].Terminals["UI"] = 2
	if f := has(Keep(lib, p, list, first.Controllers), "landing-moved"); f == nil || f.Subject != list[0].Point {
		t.Errorf("%+v", f)
	}
}

func TestStayingHasAPrice(t *testing.T) {
	lib, p := load(t), only(&model.Project{})
	loose := "loose"
	p.Settings.Landing.Together = loose
	first := Land(lib, p, contacts("EF-1", 16)) // two controllers of 8
	list := contacts("EF-1", 16)
	kept := list[:0]
	for i := range list {
		for j := range first.Landings {
			if first.Landings[j].Point == list[i].Point {
				list[i].Keep = &first.Landings[j]
			}
		}
		if i%2 == 0 { // half of the points go
			kept = append(kept, list[i])
		}
	}
	r := Keep(lib, p, kept, first.Controllers)
	if s := r.Proof[0].StayingCents; s == nil || *s != 10000 || has(r, "landing-stays") == nil {
		t.Errorf("proof %+v; eight points in two places cost one controller more", r.Proof[0])
	}
}

func TestDutyAndStandbyApart(t *testing.T) {
	p := only(&model.Project{})
	list := append(contacts("EF-1", 2), contacts("EF-2", 2)...)
	for i := range list {
		list[i].Apart = "exhaust"
	}
	if r := Land(load(t), p, list); len(r.Controllers) != 2 || len(codes(r)) > 0 {
		t.Errorf("%d controllers for duty and standby: %v", len(r.Controllers), r.Findings)
	}
}

// TestDutyAndStandbyTogether: an earlier issue that has both on one controller
// is kept and told, and so is a machine that had to be split.
func TestDutyAndStandbyTogether(t *testing.T) {
	lib, p := load(t), only(&model.Project{})
	list := append(contacts("EF-1", 2), contacts("EF-2", 2)...)
	first := Land(lib, p, list)
	for i := range list {
		list[i].Apart, list[i].Keep = "EF-1", &first.Landings[i]
	}
	r := Keep(lib, p, list, first.Controllers)
	if f := has(r, "standby-shares-controller"); f == nil || !strings.Contains(f.Message, "EF-1 and EF-2") || !strings.Contains(f.Message, "earlier issue") {
		t.Errorf("kept together, told %+v", f)
	}
	if has(r, "landing-broken") != nil {
		t.Errorf("%+v", r.Findings)
	}
	list = append(contacts("EF-1", 14), contacts("EF-2", 4)...)
	for i := range list {
		list[i].Apart = "EF-1"
	}
	r = Land(lib, p, list)
	if has(r, "panel-impossible") == nil || has(r, "landing-broken") != nil || len(r.Landings) != 18 {
		t.Errorf("%d landings, %+v", len(r.Landings), r.Findings)
	}
	shared := map[string]bool{}
	for _, c := range r.Controllers {
		shared[c.ID] = len(c.Equipment) > 1
	}
	if told, is := has(r, "standby-shares-controller") != nil, slices.Contains(slices.Collect(maps.Values(shared)), true); told != is {
		t.Errorf("shared %v, told %v", shared, told)
	}
}

func TestPanelsByTagLocationAndBranch(t *testing.T) {
	p := only(&model.Project{Panels: []model.Panel{
		{ID: "P-ROOF", Location: "Roof", Rating: "outdoor"}, {ID: "P-1", Serves: []string{"EF-2", "Level 1"}}, {ID: "P-EM", Emergency: true, Serves: []string{"Level 1"}}}})
	list := slices.Concat(contacts("EF-1", 1), contacts("EF-2", 1), contacts("EF-3", 1), contacts("SF-1", 1), contacts("SF-2", 1))
	for i, where := range []string{"roof", "Roof", "LEVEL 1", "Level 1", ""} {
		list[i].Location = where
	}
	list[3].Emergency = true
	list[4].Panel, list[4].Emergency = "P-1", true
	r := Land(load(t), p, list)
	got := map[string]string{}
	for _, one := range r.Landings {
		got[one.Point] = one.Panel
	}
	for point, panel := range map[string]string{"EF-2/status-1": "P-1", "EF-3/status-1": "P-1", "SF-1/status-1": "P-EM", "SF-2/status-1": "P-1"} {
		if got[point] != panel {
			t.Errorf("%s lands in %q, want %s", point, got[point], panel)
		}
	}
	if has(r, "outdoor-panel") == nil || got["EF-1/status-1"] != "" {
		t.Errorf("an indoor model hangs outdoors: %v", got)
	}
	if f := has(r, "panel-not-on-emergency"); f == nil || f.Subject != "SF-2" {
		t.Errorf("emergency machine on a normal panel: %+v", f)
	}
}

func TestImpossiblePanelNamesWhatCompetes(t *testing.T) {
	p := only(&model.Project{})
	p.Settings.Landing.Together = "hard"
	list := append(contacts("AHU-1", 13), contacts("EF-1", 2)...)
	r := Land(load(t), p, list)
	f := has(r, "panel-impossible")
	if f == nil || !strings.Contains(f.Message, "AHU-1") || !strings.Contains(f.Message, "needs 13") || !strings.Contains(f.Message, "12 to give") {
		t.Fatalf("%+v", r.Findings)
	}
	if len(r.Landings) != 15 || has(r, "landing-broken") != nil {
		t.Errorf("%d landings; the machine is planned split until then: %+v", len(r.Landings), r.Findings)
	}
	list = append(list, Demand{Point: "EF-1/speed", Equipment: "EF-1", Options: []Option{{Class: "AO", Mode: "voltage"}}})
	r = Land(load(t), p, list)
	if len(r.Landings) != 15 || has(r, "landing-broken") != nil {
		t.Errorf("%d landings; only the speed has no terminal: %+v", len(r.Landings), r.Findings)
	}
}

func TestPointsPerController(t *testing.T) {
	p := only(&model.Project{})
	p.Settings.Landing.MaxPoints = 3
	r := Land(load(t), p, append(append(contacts("EF-1", 2), contacts("EF-2", 2)...), contacts("EF-3", 2)...))
	if len(r.Controllers) != 3 || len(codes(r)) > 0 {
		t.Errorf("%d controllers %v", len(r.Controllers), codes(r))
	}
}

func TestInterposerAgainstDearerModule(t *testing.T) {
	p := &model.Project{Controllers: []model.ControllerModel{
		{ID: "b", Base: true, Family: "f", Slots: 1, PriceCents: 10000, Terminals: map[string]int{"TO": 3, "RO": 1}},
		{ID: "x", Family: "f", Slots: 1, PriceCents: 4000, Terminals: map[string]int{"RO": 4}}}}
	share, one := 0.0, false
	p.Settings.Landing.SpareShare, p.Settings.Landing.SpareOne = &share, &one
	start := func(n int) []Demand {
		var out []Demand
		for i := range n {
			out = append(out, Demand{Point: fmt.Sprintf("EF-1/start-%d", i), Equipment: "EF-1", Options: []Option{{Class: "RO", Mode: "relay"}, {Class: "TO", Mode: "triac", Extra: 1500, Parts: []string{"pilot-relay-24vac"}}}})
		}
		return out
	}
	r := Land(load(t), p, start(3)) // two relays on triacs cost less than the module
	if r.Proof[0].CostCents != 13000 || r.Proof[0].ExtraCents != 3000 {
		t.Errorf("proof %+v", r.Proof[0])
	}
	parts := 0
	for _, one := range r.Landings {
		parts += len(one.Parts)
	}
	if parts != 2 {
		t.Errorf("landings %+v", r.Landings)
	}
	if r := Land(load(t), p, start(4)); r.Proof[0].CostCents != 14000 || r.Proof[0].ExtraCents != 0 {
		t.Errorf("proof %+v; three relays cost more than the module", r.Proof[0])
	}
}

func TestControllersAreFed(t *testing.T) {
	r := Land(load(t), &model.Project{}, fans(40))
	fed := map[string]int{}
	for _, c := range r.Circuits {
		for _, e := range c.Accepts {
			fed[e.String()]++
		}
	}
	for _, c := range r.Controllers {
		for _, m := range c.Modules {
			if end := c.ID + ":" + supplyTerminal(m.ID); fed[end] != 1 {
				t.Errorf("%s is fed %d times", end, fed[end])
			}
		}
	}
	for _, s := range r.Supplies {
		if s.RunningVA > 0.8*s.RatedVA || s.InrushVA > s.RatedVA || s.RatedVA > 100 || s.ClassTwo == nil || !*s.ClassTwo {
			t.Errorf("supply %+v", s)
		}
	}
}

// TestHalfAndFullWaveApart: a bridge must not hang on the supply of half-wave controllers.
func TestHalfAndFullWaveApart(t *testing.T) {
	va := 10.0
	feed := func(rectifier string) *model.Terminal {
		return &model.Terminal{ID: "supply", Nature: model.PowerIn, Current: "ac", Volts: model.Span(19.2, 28.8), Absolute: true, Running: &model.Load{VA: &va}, Rectifier: rectifier}
	}
	p := only(&model.Project{})
	p.Controllers = []model.ControllerModel{
		{ID: "half", Base: true, PriceCents: 100, Terminals: map[string]int{"BI": 2}, Supply: feed("half-wave")},
		{ID: "full", Base: true, PriceCents: 100, Terminals: map[string]int{"UI": 2}, Supply: feed("full-wave")}}
	list := append(contacts("EF-1", 2), Demand{Point: "EF-2/status", Equipment: "EF-2", Options: []Option{{Class: "UI", Mode: "contact"}}})
	r := Land(load(t), p, list)
	if len(r.Supplies) != 2 || len(r.Controllers) != 2 {
		t.Fatalf("supplies %+v", r.Supplies)
	}
}

func TestTerminationsShowEveryTerminal(t *testing.T) {
	p := only(&model.Project{Panels: []model.Panel{{ID: "P-1", Existing: []model.ExistingController{{ID: "OLD", Model: "own-8", Used: map[string]int{"BI": 3}}}}}})
	r := Land(load(t), p, contacts("EF-1", 2))
	circuits := []model.Circuit{{ID: "EF-1/status-1", Point: "EF-1/status-1", Cable: "EF-1/W1", Drive: model.End{Device: "EF-1/box", Terminal: "status"},
		Accepts: []model.End{{Device: "P-1/OLD", Terminal: "BI4"}}}}
	list := Terminate(r.Controllers, r.Landings, []model.Point{{Key: "EF-1/status-1", Signal: "dry contact"}}, circuits)
	if len(list) != 8 {
		t.Fatalf("%d lines for 8 terminals", len(list))
	}
	var states []string
	for _, one := range list {
		states = append(states, one.State)
	}
	if got := strings.Join(states, ","); got != "in use,in use,in use,landed,landed,spare,spare,spare" {
		t.Errorf("states %s", got)
	}
	if one := list[3]; one.Device != "EF-1/box" || one.Far != "status" || one.Cable != "EF-1/W1" || one.Signal != "dry contact" || one.WireLabel != "P-1-OLD-BI4" {
		t.Errorf("%+v", one)
	}
}

func TestPanelSpace(t *testing.T) {
	rail := 100.0
	p := &model.Project{Panels: []model.Panel{{ID: "P-1", RailMM: &rail}}}
	if r := Land(load(t), p, fans(4)); has(r, "panel-space") == nil || r.Panels[0].RailMM == nil || *r.Panels[0].RailMM <= rail {
		t.Errorf("%+v", r.Panels)
	}
}

func TestAPanelAtEachLocation(t *testing.T) {
	p := only(&model.Project{})
	list := slices.Concat(contacts("EF-1", 1), contacts("EF-2", 1), contacts("EF-3", 1), contacts("EF-4", 1))
	for i, where := range []string{"Roof", "Level 10", "level 2", ""} {
		list[i].Location = where
	}
	if r := Land(load(t), p, list); len(r.Panels) != 1 {
		t.Errorf("%d panels where nothing is said", len(r.Panels))
	}
	p.Settings.Landing.Panels = "by-location"
	got := map[string]string{}
	for _, one := range Land(load(t), p, list).Landings {
		got[one.Point] = one.Panel
	}
	for point, panel := range map[string]string{"EF-1/status-1": "PANEL-2", "EF-2/status-1": "PANEL-1", "EF-3/status-1": "PANEL-3", "EF-4/status-1": "PANEL-1"} {
		if got[point] != panel {
			t.Errorf("%s in %s, want %s: %v", point, got[point], panel, got)
		}
	}
}

// TestBranchCircuitsAreNotOverloaded: a panel of many supplies takes a further
// 120 V branch circuit before the first is loaded beyond 80 % of its rating.
func TestBranchCircuitsAreNotOverloaded(t *testing.T) {
	lib := load(t)
	var b branch
	l := &lander{lib: lib, p: &model.Project{}}
	spec, _ := lib.Device("transformer-120-24-75")
	run := *primary(spec).Running.VA
	kind, _ := lib.Device("branch-circuit-120")
	room := int(0.8 * *kind.Terminals[0].Capacity / run)
	for n := range room + 1 {
		l.branchFor(model.Panel{ID: "P"}, fmt.Sprintf("P/power-%d", n+1), spec, n+1, &b)
	}
	if len(l.out.Devices) != 2 || l.out.Devices[1].ID != "P/power-branch-2" {
		t.Fatalf("branches %+v", l.out.Devices)
	}
	for n, c := range l.out.Circuits {
		if want := l.out.Devices[min(n/room, 1)].ID; c.Drive.Device != want {
			t.Errorf("supply %d hangs on %s, not on %s", n+1, c.Drive.Device, want)
		}
	}
}
