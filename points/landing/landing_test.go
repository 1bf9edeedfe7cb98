package landing

import (
	"fmt"
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
