package points_test

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points"
	"tallywire/points/exchange"
	"tallywire/points/intake"
	"tallywire/points/library"
	"tallywire/schemas"
)

// planned plans a list that is written as CSV.
func planned(t *testing.T, list string, project model.Project) (*library.Library, *model.Plan) {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	sheets, err := intake.ReadDelimited("fans.csv", []byte(list))
	if err != nil {
		t.Fatal(err)
	}
	project.Sheets = sheets
	plan, err := points.Plan(lib, &project, points.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return lib, plan
}

// everyKind is a list with one machine of every kind, each by its name.
func everyKind(t *testing.T) string {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("Tag,Type,CFM,HP,Volts,Phase,Control\n")
	for i, k := range lib.Kinds {
		control := []string{"VFD", "starter", "EC", "", "packaged"}[i%5]
		fmt.Fprintf(&b, "F-%d,%s,2500,2,460,3,%s\n", i+1, k.Name, control)
	}
	return b.String()
}

// TestPlanCanBeHandedOver: a plan with every kind of machine follows its
// schema, reads back as it was, and can be written in every open form, with
// every object of the plan's devices in each.
func TestPlanCanBeHandedOver(t *testing.T) {
	lib, plan := planned(t, everyKind(t), model.Project{Name: "Every kind", Building: "BW"})
	text, err := exchange.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	if err := schemas.ValidateJSON("plan", text); err != nil {
		t.Errorf("the plan breaks its schema: %.2000v", err)
	}
	back, err := exchange.ReadPlan(text)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := exchange.Marshal(back); err != nil || !bytes.Equal(again, text) {
		t.Errorf("read back and written again the plan differs: %v", err)
	}

	placed := 0
	for _, d := range plan.Network {
		placed += len(d.Points) + len(d.Support)
		if d.Instance == nil && d.Equipment == "" {
			t.Errorf("%s has no device instance", d.ID)
		}
	}
	if placed < 300 {
		t.Errorf("only %d objects have a device", placed)
	}
	files, err := exchange.EDE(lib, plan, "every")
	if err != nil {
		t.Fatalf("EDE: %v", err)
	}
	existing, found, err := exchange.ReadEDE(lib, files)
	if err != nil || len(found) > 0 || len(existing) != placed {
		t.Errorf("EDE reads back as %d objects of %d: %v %v", len(existing), placed, found, err)
	}
	var brick, haystack bytes.Buffer
	if err := exchange.Brick(&brick, lib, plan); err != nil {
		t.Fatal(err)
	}
	if list, err := exchange.ReadBrick(lib, "b.ttl", brick.Bytes()); err != nil || len(list) != len(plan.Points) {
		t.Errorf("Brick reads back as %d points of %d: %v", len(list), len(plan.Points), err)
	}
	if err := exchange.Haystack(&haystack, lib, plan); err != nil {
		t.Fatal(err)
	}
	if list, err := exchange.ReadHaystack(lib, "h.json", haystack.Bytes()); err != nil || len(list) != len(plan.Points) {
		t.Errorf("Haystack reads back as %d points of %d: %v", len(list), len(plan.Points), err)
	}
}

// TestOwnPointsAreKept: a building that has what the plan asks for, told by the
// plan's own EDE, keeps all of it.
func TestOwnPointsAreKept(t *testing.T) {
	list := "Tag,Type,CFM,HP,Volts,Phase,Control\nEF-1,general exhaust fan,2500,2,460,3,VFD\nEF-2,toilet exhaust fan,900,1/2,115,1,EC\nSF-1,supply fan,9000,10,460,3,VFD\n"
	lib, plan := planned(t, list, model.Project{Building: "BW"})
	files, err := exchange.EDE(lib, plan, "p")
	if err != nil {
		t.Fatal(err)
	}
	existing, _, err := exchange.ReadExisting(lib, files)
	if err != nil {
		t.Fatal(err)
	}
	_, again := planned(t, list, model.Project{Building: "BW", Existing: existing})
	counts := map[model.RetrofitAction]int{}
	for _, r := range again.Retrofit {
		counts[r.Action]++
		if r.Action == model.RetrofitAdd {
			if i := slices.IndexFunc(again.Points, func(q model.Point) bool { return q.Key == r.Point }); !again.Points[i].ByOthers && again.Points[i].Controller != "" {
				t.Errorf("%s is to be added though it is there", r.Point)
			}
		}
		if len(r.Changes) > 0 {
			t.Errorf("%s differs from itself: %v", r.Point, r.Changes)
		}
	}
	if counts[model.RetrofitKeep] < 20 || counts[model.RetrofitChange] > 0 {
		t.Errorf("actions: %v", counts)
	}
}

// TestAirHandlerAgainstTheGuideline plans the two fans of the air handler A-9
// of Guideline 36 as Brick's own example has them, and compares: start, status
// and speed are there on both sides; what we add is listed by name.
func TestAirHandlerAgainstTheGuideline(t *testing.T) {
	text, err := os.ReadFile("../../shared/opendata/g36-ahu-a9.ttl")
	if err != nil {
		t.Skip("the open data are not on this machine")
	}
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	existing, err := exchange.ReadBrick(lib, "g36-ahu-a9.ttl", text)
	if err != nil {
		t.Fatal(err)
	}
	existing = slices.DeleteFunc(existing, func(e model.ExistingPoint) bool { return !strings.HasSuffix(e.Machine, "_Fan") })
	_, plan := planned(t, "Tag,Type,CFM,HP,Volts,Phase,Control\nSAF1,supply fan,12000,15,460,3,VFD\nRAF1,return fan,10000,10,460,3,VFD\n", model.Project{Existing: existing})
	kept, added, left := []string{}, map[string]bool{}, 0
	for _, r := range plan.Retrofit {
		switch r.Action {
		case model.RetrofitKeep, model.RetrofitChange:
			kept = append(kept, r.Point)
		case model.RetrofitAdd:
			_, role, _ := model.Split(r.Point)
			added[role] = true
		case model.RetrofitLeave:
			left++
		}
	}
	slices.Sort(kept)
	if got := strings.Join(kept, " "); got != "RAF1/speed RAF1/start RAF1/status SAF1/speed SAF1/start SAF1/status" || left > 0 {
		t.Errorf("kept %s, left %d", got, left)
	}
	// The guideline's example shows the fan's own three points; drive, damper,
	// safety and software points are ours, by the drive and the program.
	for role := range added {
		if _, ok := lib.Role(role); !ok {
			t.Errorf("added role %s is none of the library", role)
		}
	}
	for _, role := range []string{"start", "status", "speed"} {
		if added[role] {
			t.Errorf("%s is to be added though the example has it", role)
		}
	}
}
