package points_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points"
	"tallywire/points/intake"
)

// everyControl is a list of three sorts of fan with every way of control, each
// on the service that such a control is bought for.
func everyControl(fire string) string {
	var b strings.Builder
	b.WriteString("tag,type,cfm,hp,voltage,control,damper,fire response\n")
	for i, c := range []string{"relay", "starter", "two-speed starter", "variable-frequency-drive", "variable-frequency-drive-bypass", "ec-direct", "packaged", "fan-interface-box"} {
		service := "3,460/3/60"
		if slices.Contains([]string{"relay", "ec-direct", "fan-interface-box"}, c) {
			service = "0.5,277/1/60"
		}
		for _, kind := range []string{"general exhaust", "supply fan", "transfer fan"} {
			damper := "motorised 24V"
			if kind == "transfer fan" {
				damper = ""
			}
			fmt.Fprintf(&b, "%s-%d,%s,3000,%s,%s,%s,%s\n", strings.ToUpper(kind[:1]), i+1, kind, service, c, damper, fire)
		}
	}
	return b.String()
}

// quick plans without searching for the cheapest set of controllers.
func quick() model.Project {
	return model.Project{Settings: model.Settings{Landing: model.LandingSettings{Effort: "quick"}}}
}

// coded lists the findings of a code.
func coded(plan *model.Plan, code string) []finding.Finding {
	return slices.Collect(func(yield func(finding.Finding) bool) {
		for _, f := range plan.Findings {
			if f.Code == code && !yield(f) {
				return
			}
		}
	})
}

// TestOrdinaryControlsHaveNoFault: ordinary fans on every way of control, wired
// as the library wires them, show no fault, and every wire stands on the
// terminal where its point landed.
func TestOrdinaryControlsHaveNoFault(t *testing.T) {
	_, plan := planned(t, everyControl("stop"), quick())
	for _, f := range plan.Findings {
		if f.Severity == finding.Fault {
			t.Errorf("%s %s: %s", f.Code, f.Subject, f.Message)
		}
	}
	used := map[model.End]string{}
	for _, c := range plan.Circuits {
		for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
			if strings.Contains(e.Device, "/C") && c.Point != "" {
				if other := used[e]; other != "" && other != c.ID {
					t.Errorf("%s and %s both stand on %s", other, c.ID, e.String())
				}
				used[e] = c.ID
			}
		}
	}
	landed := 0
	for _, l := range plan.Landings {
		end := model.End{Device: l.Controller, Terminal: l.Terminal}
		if l.Point != "" && used[end] == "" {
			t.Errorf("%s landed on %s, and no wire stands there", l.Point, end.String())
		}
		landed++
	}
	if landed == 0 {
		t.Error("nothing landed")
	}
}

// TestFireAndSafetiesStopByWire: where fire stops a fan, a fire relay's contact
// lies in its stop circuit and a point tells it; a supply fan's safeties stop it
// by wire on every control that has an input for them.
func TestFireAndSafetiesStopByWire(t *testing.T) {
	_, plan := planned(t, everyControl("stop"), quick())
	for _, code := range []string{"override-reach", "override-unseen", "safety-bypass", "false-alarm"} {
		for _, f := range coded(plan, code) {
			if code != "safety-bypass" || f.Subject != "S-8" { // a box has no input for safeties
				t.Errorf("%s %s: %s", code, f.Subject, f.Message)
			}
		}
	}
	for _, e := range plan.Equipment {
		if e.Control == "fan-interface-box" {
			continue
		}
		if !slices.ContainsFunc(plan.Circuits, func(c model.Circuit) bool {
			return c.ID == e.Tag+"/fire-interlock" && strings.HasPrefix(c.Drive.Device, e.Tag+"/fire")
		}) {
			t.Errorf("%s (%s) has no fire stop", e.Tag, e.Control)
		}
	}
}

// TestLandedPartsKeepTheirTerminal: starts that stand on universal outputs of an
// issued plan take a relay there, each on its own output; no fix moves them all
// to one spare relay output.
func TestLandedPartsKeepTheirTerminal(t *testing.T) {
	list := "tag,type,hp,voltage,control\nEF-1,exhaust,3,460/3/60,VFD\nEF-2,exhaust,3,460/3/60,VFD\n"
	lib, issued := planned(t, list, quick())
	want := map[string]string{"EF-1/start": "UO1", "EF-2/start": "UO2", "EF-1/speed": "UO3", "EF-2/speed": "UO4"}
	for i := range issued.Landings {
		if terminal := want[issued.Landings[i].Point]; terminal != "" {
			issued.Landings[i].Terminal = terminal
		}
	}
	project := quick()
	var err error
	if project.Sheets, err = intake.ReadDelimited("fans.csv", []byte(list)); err != nil {
		t.Fatal(err)
	}
	plan, err := points.Plan(lib, &project, points.Options{Previous: issued})
	if err != nil {
		t.Fatal(err)
	}
	for key, terminal := range want {
		var on []string
		for _, c := range plan.Circuits {
			if strings.HasPrefix(c.ID, key) && c.Drive.Device == "PANEL-1/C1" {
				on = append(on, c.Drive.Terminal)
			}
		}
		if !slices.Equal(on, []string{terminal}) {
			t.Errorf("%s landed on %s, its wire stands on %v", key, terminal, on)
		}
	}
	for _, f := range coded(plan, "shared-contact") {
		t.Errorf("%s: %s", f.Subject, f.Message)
	}
}

// TestOneQuestionForAllFans: what the fire trade has to say once is asked once,
// without a part for each fan.
func TestOneQuestionForAllFans(t *testing.T) {
	_, plan := planned(t, "tag,type,hp,voltage,control,fire response\nEF-1,toilet exhaust,0.5,277/1/60,fan interface box,stop\nEF-2,toilet exhaust,0.5,277/1/60,fan interface box,stop\n", quick())
	asked := coded(plan, "ac-dc")
	if len(asked) != 1 || strings.Contains(asked[0].Fix, "Cheapest") {
		t.Errorf("%d questions: %+v", len(asked), asked)
	}
}

// TestProtectiveFansProveAir: fans that protect people prove more than their
// command on every control.
func TestProtectiveFansProveAir(t *testing.T) {
	var b strings.Builder
	b.WriteString("tag,kind,cfm,hp,voltage,control\n")
	for i, kind := range []string{"lab-exhaust-fan", "isolation-exhaust-fan", "chemical-store-exhaust-fan"} {
		for k, control := range []string{"starter", "variable-frequency-drive", "variable-frequency-drive-bypass", "packaged"} {
			fmt.Fprintf(&b, "F-%d%d,%s,3000,3,460/3/60,%s\n", i, k, kind, control)
		}
	}
	_, plan := planned(t, b.String(), quick())
	for _, f := range coded(plan, "status-is-command") {
		t.Errorf("%s: %s", f.Subject, f.Message)
	}
}

// TestGeneratorLouvers: louvers that the row speaks of are told, each by its end
// switch; a row without them has none.
func TestGeneratorLouvers(t *testing.T) {
	_, plan := planned(t, "tag,service,hp,voltage,control,remarks\nGXF-1,generator room,5,460/3/60,starter,intake and discharge louvers by others\nGXF-2,generator room,5,460/3/60,starter,runs with engine\n", quick())
	var got []string
	for _, q := range plan.Points {
		if strings.Contains(q.Role, "louver") && q.Carried == model.Hardwired {
			got = append(got, q.Key)
		}
	}
	slices.Sort(got)
	if want := []string{"GXF-1/discharge-louver-open", "GXF-1/intake-louver-open"}; !slices.Equal(got, want) {
		t.Errorf("louver points %v, want %v", got, want)
	}
	for _, key := range got {
		if !slices.ContainsFunc(plan.Circuits, func(c model.Circuit) bool { return c.Point == key && c.Verdict == model.Pass }) {
			t.Errorf("%s has no good wire", key)
		}
	}
}

// TestWaterFlowTellsItsFans: the relay of the sprinkler stands once for large
// fans of one system; it holds back the failure alarm of each.
func TestWaterFlowTellsItsFans(t *testing.T) {
	_, plan := planned(t, "tag,kind,system,hp,voltage,control,fire response\nHVF-1,high-volume-fan,W,2,480/3/60,packaged,stop\nHVF-2,high-volume-fan,W,2,480/3/60,packaged,stop\n", quick())
	for _, code := range []string{"override-unseen", "false-alarm"} {
		for _, f := range coded(plan, code) {
			t.Errorf("%s: %s", f.Subject, f.Message)
		}
	}
}
