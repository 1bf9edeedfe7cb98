package landing

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// machinesAt lists one machine at each location.
func machinesAt(where ...string) []Demand {
	var out []Demand
	for i, at := range where {
		for _, d := range contacts("EF-"+string(rune('A'+i/26))+string(rune('A'+i%26)), 1) {
			d.Location = at
			out = append(out, d)
		}
	}
	return out
}

// homes are the panels of the machines, in their order.
func homes(r Result, list []Demand) string {
	var out []string
	for _, d := range list {
		i := slices.IndexFunc(r.Landings, func(l model.Landing) bool { return l.Point == d.Point })
		out = append(out, strings.TrimPrefix(r.Landings[i].Panel, "PANEL-"))
	}
	return strings.Join(out, " ")
}

// TestPanelsByStorey: what is planned where the project states no panels.
func TestPanelsByStorey(t *testing.T) {
	lib := load(t)
	none, two := 0, 2
	for _, c := range []struct {
		name, want string
		where      []string
		reach      *int
		how        string
	}{
		{"one storey", "1 1 1", []string{"LEVEL 1", "LEVEL 1", "ROOM 112"}, nil, ""},
		{"two storeys are in reach of one panel", "1 1 1 1 1 1", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 2", "LEVEL 2", "LEVEL 2"}, nil, ""},
		{"the roof of a tall building", "1 1 1 2 2 2", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 5", "ROOF", "PENTHOUSE"}, nil, ""},
		{"two machines get none", "1 1 1 1 1", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 5", "LEVEL 5"}, nil, ""},
		{"the first storey is no exception", "1 1 1 1", []string{"LEVEL P1", "ROOF", "ROOF", "ROOF"}, nil, ""},
		{"every building", "1 1 1 2 2", []string{"BLDG A ROOF", "BLDG A ROOF", "BLDG A ROOF", "BLDG B LEVEL 1", "BLDG B LEVEL 9"}, nil, ""},
		{"reach of none", "1 1 1 2 2 2", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 2", "LEVEL 2", "LEVEL 2"}, &none, ""},
		{"reach of two", "1 1 1 1 1 1", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 5", "LEVEL 5", "LEVEL 3"}, &two, ""},
		{"one is asked for", "1 1 1 1 1 1", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 5", "ROOF", "PENTHOUSE"}, nil, "one"},
		{"nowhere to be read", "1 1 1 2 2 2 1", []string{"LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 5", "ROOF", "PENTHOUSE", "ATRIUM"}, nil, ""},
	} {
		p := only(&model.Project{})
		p.Settings.Landing.PanelReach, p.Settings.Landing.Panels = c.reach, c.how
		list := machinesAt(c.where...)
		r := Land(lib, p, list)
		if got := homes(r, list); got != c.want {
			t.Errorf("%s: panels %s, want %s", c.name, got, c.want)
		}
		told := slices.ContainsFunc(r.Findings, func(f finding.Finding) bool {
			return f.Code == "landing-assumed" && strings.Contains(f.Message, "no panels are stated")
		})
		if told != strings.Contains(c.want, "2") {
			t.Errorf("%s: told %v", c.name, told)
		}
		if far := has(r, "panel-far"); (far != nil) != (c.name == "every building" || c.name == "nowhere to be read") {
			t.Errorf("%s: far %+v", c.name, far)
		}
	}
}

// TestNearestStatedPanel: machines go to the stated panel fewest storeys away,
// in their building, on their branch; what is far is told.
func TestNearestStatedPanel(t *testing.T) {
	p := only(&model.Project{Panels: []model.Panel{{ID: "P-1", Location: "Level 1"}, {ID: "P-8", Location: "Level 8 electrical room"}, {ID: "P-E", Location: "Level 8", Emergency: true}, {ID: "P-B", Location: "Bldg B level 1"}}})
	list := machinesAt("LEVEL 2", "ROOM 702", "LEVEL 3", "ROOF", "BLDG B ROOF", "LEVEL 2")
	list[5].Emergency = true
	r := Land(load(t), p, list)
	if got := homes(r, list); got != "P-1 P-8 P-1 P-8 P-B P-E" {
		t.Errorf("panels %s", got)
	}
	var far []string
	for _, f := range r.Findings {
		if f.Code == "panel-far" {
			far = append(far, f.Subject)
		}
	}
	if strings.Join(far, " ") != "EF-AC EF-AE EF-AF" {
		t.Errorf("far are %v", far)
	}
}

// TestEarlierPanelsStay: with an earlier issue no panel is planned anew, and
// what came since goes to the nearest of its panels.
func TestEarlierPanelsStay(t *testing.T) {
	lib, p := load(t), only(&model.Project{})
	first := Land(lib, p, machinesAt("LEVEL 1", "LEVEL 1", "LEVEL 1", "LEVEL 6", "LEVEL 6", "LEVEL 6"))
	list := machinesAt("LEVEL 6", "LEVEL 1", "LEVEL 1", "LEVEL 6", "LEVEL 6", "LEVEL 6", "LEVEL 5", "LEVEL 5", "LEVEL 5")
	for i := range first.Landings {
		list[i].Keep = &first.Landings[i]
	}
	r := Keep(lib, p, list, first.Controllers)
	if got := homes(r, list); got != "1 1 1 2 2 2 2 2 2" || has(r, "landing-moved") != nil {
		t.Errorf("panels %s: the one that moved to level 6 on paper stays wired to the first", got)
	}
}

// TestRoofWithoutRating: a panel on the open roof is asked for its rating.
func TestRoofWithoutRating(t *testing.T) {
	for _, c := range []struct {
		location, rating string
		asked            bool
	}{{"ROOF", "", true}, {"Rooftop, east", "", true}, {"ROOF", "indoor", false}, {"Penthouse", "", false}, {"ROOF MECH RM", "", false}, {"LEVEL 1", "", false}, {"", "", false}} {
		p := only(&model.Project{Panels: []model.Panel{{ID: "P-1", Location: c.location, Rating: c.rating}}})
		if f := has(Land(load(t), p, contacts("EF-1", 1)), "outdoor-panel"); (f != nil) != c.asked {
			t.Errorf("%q, rating %q: %+v", c.location, c.rating, f)
		}
	}
}

// TestOrderAndCoresDoNotMatter: panels planned by storey, machines kept apart
// and panels solved side by side come out the same in whatever order the
// machines are read, and on one core as on several.
func TestOrderAndCoresDoNotMatter(t *testing.T) {
	lib := load(t)
	where := []string{"LEVEL 1", "LEVEL 1", "LEVEL 2", "BLDG B LEVEL 1", "LEVEL 6", "LEVEL 6", "Level 6 east", "ROOF", "BLDG B LEVEL 7", "BLDG B LEVEL 7", "BLDG B LEVEL 7", "BLDG B LEVEL 1", "BLDG B LEVEL 1", "ATRIUM"}
	var list []Demand
	for i, at := range where {
		for _, d := range fan(fmt.Sprintf("EF-%d", i+1)) {
			d.Location = at
			if i%2 == 0 {
				d.Apart = fmt.Sprintf("pair %d", i/4)
			}
			list = append(list, d)
		}
	}
	want := Land(lib, &model.Project{}, list)
	if len(want.Proof) < 3 || len(want.Controllers) < 6 {
		t.Fatalf("%d panels, %d controllers: too few to prove anything", len(want.Proof), len(want.Controllers))
	}
	r := rand.New(rand.NewPCG(67, 71))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for n := range 8 {
		runtime.GOMAXPROCS(1 + n%4)
		mixed := slices.Clone(list)
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		if got := Land(lib, &model.Project{}, mixed); !reflect.DeepEqual(got, want) {
			t.Fatalf("order %d on %d cores: homes %s and %s, findings %+v and %+v", n, 1+n%4, homes(got, list), homes(want, list), got.Findings, want.Findings)
		}
	}
}
