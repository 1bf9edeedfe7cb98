package points_test

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points"
	"tallywire/points/intake"
)

const twoBoxes = "tag,type,cfm,motor,electrical,control,damper,fire response,remarks\n" +
	"TEF-1,toilet exhaust,600,1/4 hp EC,120/1/60,fan interface box,motorised 24 V,stop,\n" +
	"TEF-2,toilet exhaust,600,1/4 hp EC,120/1/60,fan interface box,motorised 24 V,stop,\n" +
	"TEF-3,toilet exhaust,600,1/4 hp EC,120/1/60,fan interface box,motorised 24 V,stop,existing to remain\n" +
	"TEF-4,toilet exhaust,600,1/4 hp EC,120/1/60,fan interface box,motorised 24 V,stop,alternate 1\n"

func material(p *model.Plan, item string) model.Material {
	for _, m := range p.Materials {
		if m.Item == item {
			return m
		}
	}
	return model.Material{}
}

// TestMaterialsAreWhatControlsFurnish counts by hand what the controls trade has
// to buy: the boxes of two new fans, that of the alternate and that of the fan
// that stays on lines of their own, and nothing of the other trades.
func TestMaterialsAreWhatControlsFurnish(t *testing.T) {
	_, plan := planned(t, twoBoxes, model.Project{})
	if m := material(plan, "interface-box"); m.Quantity != 2 || !slices.Equal(m.For, []string{"TEF-1", "TEF-2"}) {
		t.Errorf("interface boxes: %+v", m)
	}
	boxes := map[string][]string{}
	for _, m := range plan.Materials {
		if m.Item == "interface-box" {
			boxes[m.Bid] = m.For
		}
		if m.Quantity < 1 || len(m.For) == 0 || m.FurnishedBy != "controls" || m.Description == "" {
			t.Errorf("%+v", m)
		}
	}
	if !slices.Equal(boxes[model.Alternate], []string{"TEF-4"}) || !slices.Equal(boxes[model.Existing], []string{"TEF-3"}) {
		t.Errorf("boxes by bid: %v", boxes)
	}
	for _, d := range plan.Devices {
		if (d.Role == "motor" || d.Role == "fire-relay") && material(plan, d.Type).Quantity > 0 {
			t.Errorf("%s is not for the controls trade", d.ID)
		}
	}
}

// TestFixesAreOnTheMaterialList: a part that a fix puts in is bought; where the
// voltage is only not stated it is asked for, and no part is bought on a guess.
func TestFixesAreOnTheMaterialList(t *testing.T) {
	mended := func(fire model.FireSettings, devices ...model.DeviceOverride) (parts map[string]int, plan *model.Plan) {
		lib, _ := planned(t, twoBoxes, model.Project{})
		project := model.Project{Settings: model.Settings{Fire: fire}, Devices: devices}
		var err error
		if project.Sheets, err = intake.ReadDelimited("fans.csv", []byte(twoBoxes)); err != nil {
			t.Fatal(err)
		}
		if plan, err = points.Plan(lib, &project, points.Options{ApplyFixes: true}); err != nil {
			t.Fatal(err)
		}
		parts = map[string]int{}
		for _, d := range plan.Devices {
			if d.Role == "interposer" {
				parts[d.Type]++
			}
		}
		return parts, plan
	}
	parts, plan := mended(model.FireSettings{Volts: model.Span(120, 120), Current: "ac"}, model.DeviceOverride{ID: "TEF-3/override-relay", Type: "override-relay-24"})
	if len(parts) == 0 {
		t.Fatal("120 V on a 24 V coil is not mended")
	}
	if asked := coded(plan, "fire-circuit-changed"); len(asked) != 1 || !strings.HasPrefix(asked[0].Subject, "TEF-3/") {
		t.Errorf("the fire trade is asked %+v", asked)
	}
	for part, n := range parts {
		if m := material(plan, part); m.Quantity != n || m.PriceCents == nil || m.Bid != model.Base { // new, though the fan stays
			t.Errorf("%s: %d are put in, listed %+v", part, n, m)
		}
	}
	if parts, plan = mended(model.FireSettings{}); len(parts) > 0 || len(coded(plan, "ac-dc"))+len(coded(plan, "cannot-tell")) == 0 {
		t.Errorf("an unstated voltage buys %v and is asked %d times", parts, len(coded(plan, "cannot-tell")))
	}
}

// TestWhatCannotBeToldIsRehooked: a circuit whose supply nobody describes is
// put on another one that is there when fixes are asked for, as that buys
// nothing and is right whatever the first one gives; otherwise it is only shown.
func TestWhatCannotBeToldIsRehooked(t *testing.T) {
	lib, _ := planned(t, twoBoxes, model.Project{})
	supply := func(id string, t model.Terminal) model.DeviceType {
		t.ID, t.Function, t.Nature, t.Drives = "out", "supply", model.SupplyOut, true
		return model.DeviceType{ID: id, Name: id, Category: "supply", Terminals: []model.Terminal{t}}
	}
	amps, listed := 1.0, true
	known := model.Terminal{Current: "dc", Volts: model.Span(23.5, 24.5), Absolute: true, MaxAmps: &amps, ClassTwo: &listed, Isolated: &listed}
	for _, c := range []struct {
		apply bool
		want  string
	}{{false, "TEF-1/shop"}, {true, "TEF-1/known"}} {
		project := model.Project{DeviceTypes: []model.DeviceType{supply("shop-supply", model.Terminal{}), supply("known-supply", known)},
			Settings: model.Settings{Fire: model.FireSettings{Volts: model.Span(24, 24), Current: "dc"}},
			Devices:  []model.DeviceOverride{{ID: "TEF-1/shop", Type: "shop-supply"}, {ID: "TEF-1/known", Type: "known-supply"}},
			Circuits: []model.CircuitOverride{{Circuit: model.Circuit{ID: "TEF-1/damper-power", Supply: &model.End{Device: "TEF-1/shop", Terminal: "out"}}}}}
		var err error
		if project.Sheets, err = intake.ReadDelimited("fans.csv", []byte(twoBoxes)); err != nil {
			t.Fatal(err)
		}
		plan, err := points.Plan(lib, &project, points.Options{ApplyFixes: c.apply})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(plan.Circuits, func(c model.Circuit) bool { return c.ID == "TEF-1/damper-power" })
		one := plan.Circuits[i]
		if one.Supply == nil || one.Supply.Device != c.want || one.Fix == nil || one.Fix.Applied != c.apply || len(one.Fix.Parts) > 0 || (one.Verdict == model.Pass) != c.apply {
			t.Errorf("apply %v: %s on %v, %+v", c.apply, one.Verdict, one.Supply, one.Fix)
		}
		if slices.ContainsFunc(plan.Devices, func(d model.Device) bool { return d.Role == "interposer" }) {
			t.Error("a part is bought")
		}
	}
}
