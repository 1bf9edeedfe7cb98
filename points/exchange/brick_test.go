package exchange

import (
	"bytes"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// fansOf gives a plan its machines.
func fansOf(plan *model.Plan) *model.Plan {
	seen := map[string]bool{}
	for _, q := range plan.Points {
		if !seen[q.Equipment] {
			seen[q.Equipment] = true
			plan.Equipment = append(plan.Equipment, model.Equipment{Tag: q.Equipment, Kind: "general-exhaust-fan", Description: "fan \"" + q.Equipment + "\""})
		}
	}
	return plan
}

func TestBrickReadsBackWhatItWrote(t *testing.T) {
	lib := load(t)
	plan := fansOf(plant(2))
	plan.Equipment[0].Tag, plan.Points[0].Equipment = "EF-1", "EF-1"
	plan.Points = append(plan.Points, model.Point{Key: "SITE/outdoor temperature", Equipment: "SITE", Role: "outdoor-temperature", ObjectType: model.AnalogValue, Units: "degrees-fahrenheit"})
	var out bytes.Buffer
	if err := Brick(&out, lib, standing(plan, "https://example.org/brackwater#")); err != nil {
		t.Fatal(err)
	}
	points, err := ReadBrick(lib, "b.ttl", out.Bytes())
	if err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	if len(points) != len(plan.Points) {
		t.Fatalf("%d points, want %d", len(points), len(plan.Points))
	}
	for i, got := range points {
		want := &plan.Points[i]
		if got.Equipment != want.Equipment || got.ObjectName != want.ObjectName && want.ObjectName != "" || got.Description != want.Description && want.Description != "" {
			t.Errorf("%s: %+v", want.Key, got)
		}
		if want.Instance != nil && (got.Instance == nil || *got.Instance != *want.Instance || got.ObjectType != want.ObjectType || got.Device == nil) {
			t.Errorf("%s: the BACnet reference gives %+v", want.Key, got)
		}
		if want.Units != "" && got.Units != want.Units {
			t.Errorf("%s: unit %q, want %q", want.Key, got.Units, want.Units)
		}
		if !slices.Contains(lib.Tags.Roles(got.Class), want.Role) {
			t.Errorf("%s: class %s does not stand for its role", want.Key, got.Class)
		}
	}
	if points[0].Machine != "Exhaust_Fan" || *points[0].Device != 1001 || points[0].DeviceName != "BW_PANEL-1_C1" {
		t.Errorf("%+v", points[0])
	}
	var again bytes.Buffer
	if err := Brick(&again, lib, plan); err != nil || again.String() != out.String() {
		t.Error("the same plan gives another model")
	}
}

// TestBrickUsesKnownClasses: every class in the text is one of the table.
func TestBrickUsesKnownClasses(t *testing.T) {
	lib := load(t)
	plan := fansOf(plant(1))
	for _, kind := range lib.Kinds {
		plan.Equipment = append(plan.Equipment, model.Equipment{Tag: "X " + kind.ID, Kind: kind.ID})
	}
	for _, role := range lib.Roles() {
		plan.Points = append(plan.Points, model.Point{Key: "EF-1/" + role.ID + "-x", Equipment: "EF-1", Role: role.ID})
	}
	plan.Equipment = append(plan.Equipment, model.Equipment{Tag: "?", Kind: "no-such-kind"})
	plan.Points = append(plan.Points, model.Point{Key: "EF-1/own-role", Equipment: "EF-1", Role: "own-role"})
	var out bytes.Buffer
	if err := Brick(&out, lib, plan); err != nil {
		t.Fatal(err)
	}
	list, err := parseTurtle(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	classes := 0
	for _, one := range list {
		rest, ok := strings.CutPrefix(one.object.value, "https://brickschema.org/schema/Brick#")
		if !ok || one.predicate.value != rdf+"type" || rest == "Building" {
			continue
		}
		classes++
		if _, known := lib.Tags.Class(rest); !known {
			t.Errorf("%s is no class of Brick that we know", rest)
		}
	}
	if classes < 100 {
		t.Errorf("only %d classes", classes)
	}
}

func TestBrickRefusesABase(t *testing.T) {
	for _, bad := range []string{"brackwater", "http://x", "http://x y#", "http://x>#"} {
		var out bytes.Buffer
		var unfit *Unfit
		if err := Brick(&out, load(t), standing(plant(1), bad)); !errors.As(err, &unfit) || out.Len() > 0 {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// TestReadBrickReferences reads both forms of a BACnet reference. Source: the
// BACnet example of Brick.
func TestReadBrickReferences(t *testing.T) {
	const head = `@prefix brick: <https://brickschema.org/schema/Brick#> . @prefix ref: <https://brickschema.org/schema/Brick/ref#> .
@prefix bacnet: <http://data.ashrae.org/bacnet/> . @prefix unit: <http://qudt.org/vocab/unit/> . @prefix ex: <http://example.org/site#> .
`
	for _, c := range []string{
		`ex:EF-1 a brick:Exhaust_Fan ; brick:hasPoint ex:Cmd . ex:Cmd a brick:Start_Stop_Command ; brick:hasUnit unit:PERCENT ;
 ref:hasExternalReference [ bacnet:object-identifier "binary-output,1"^^bacnet:objectIdentifier ; bacnet:object-name "EF1_FanCmd" ; bacnet:objectOf ex:dev100201 ] .
ex:dev100201 a bacnet:BACnetDevice ; bacnet:device-instance 100201 .`,
		`ex:Cmd a brick:Start_Stop_Command ; brick:isPointOf ex:EF-1 ; brick:hasUnit unit:PERCENT ;
 ref:hasExternalReference [ ref:BACnetURI "bacnet://100201/4,1/present-value" ; bacnet:object-name "EF1_FanCmd" ] . ex:EF-1 a brick:Exhaust_Fan .`,
	} {
		points, err := ReadBrick(load(t), "x.ttl", []byte(head+c))
		if err != nil || len(points) != 1 {
			t.Errorf("%d points, %v", len(points), err)
			continue
		}
		p := points[0]
		if p.ObjectType != model.BinaryOutput || p.Instance == nil || *p.Instance != 1 || *p.Device != 100201 || p.ObjectName != "EF1_FanCmd" || p.Equipment != "EF-1" || p.Machine != "Exhaust_Fan" || p.Units != "percent" {
			t.Errorf("%+v", p)
		}
	}
	for _, bad := range []string{"", head, head + "ex:x a ex:y .", "not turtle"} {
		if _, err := ReadBrick(load(t), "x.ttl", []byte(bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// openData reads a file that stands beside the project on some machines.
func openData(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile("../../../shared/opendata/" + name)
	if err != nil {
		t.Skip("the open data are not on this machine")
	}
	return text
}

// TestAirHandlerOfTheGuideline: the fans of the air handler A-9 of Guideline 36
// in Brick's own example have start, status and speed, and nothing else.
func TestAirHandlerOfTheGuideline(t *testing.T) {
	lib := load(t)
	points, err := ReadBrick(lib, "g36-ahu-a9.ttl", openData(t, "g36-ahu-a9.ttl"))
	if err != nil {
		t.Fatal(err)
	}
	if len(points) != 22 {
		t.Errorf("%d points; the example has 22", len(points))
	}
	got := map[string][]string{}
	for _, p := range points {
		if strings.HasSuffix(p.Machine, "_Fan") {
			got[p.Equipment] = append(got[p.Equipment], roleOf(lib.Tags.Roles(p.Class)))
		}
	}
	for _, fan := range []string{"raf1", "saf1"} {
		slices.Sort(got[fan])
		if strings.Join(got[fan], " ") != "speed start status" {
			t.Errorf("%s has %v", fan, got[fan])
		}
	}
	if len(got) != 2 {
		t.Errorf("fans: %v", got)
	}
}

func roleOf(roles []string) string {
	if len(roles) == 0 {
		return ""
	}
	return roles[0]
}

// notMapped are the classes of the real building that no role of ours stands
// for, with the reason.
var notMapped = map[string]string{
	"Fan_Speed_Reset":                  "a request that resets the speed, made inside the zone logic: no point of a fan's own schedule",
	"Mixed_Air_Damper_Position_Sensor": "belongs to the air handler's mixing section, not to its fan",
	"Mixed_Air_Temperature_Sensor":     "belongs to the air handler's mixing section, not to its fan",
	"Cooling_Coil_Valve_Pressure":      "belongs to the air handler's coil, not to its fan",
}

// TestRealBuilding: every point of a fan of the real building maps to a role
// or is listed with the reason.
func TestRealBuilding(t *testing.T) {
	lib := load(t)
	points, err := ReadBrick(lib, "soda_brick.ttl", openData(t, "soda_brick.ttl"))
	if err != nil {
		t.Fatal(err)
	}
	roles, used := map[string]int{}, map[string]bool{}
	for _, p := range points {
		if !strings.HasSuffix(p.Machine, "_Fan") {
			continue
		}
		role := roleOf(lib.Tags.Roles(p.Class))
		if role == "" {
			if notMapped[p.Class] == "" {
				t.Errorf("%s of %s: class %s maps to no role and has no reason", p.ObjectName, p.Equipment, p.Class)
			}
			used[p.Class] = true
			continue
		}
		roles[role]++
	}
	for class := range notMapped {
		if !used[class] {
			t.Errorf("%s is listed as not mapped and no fan has it", class)
		}
		if got := lib.Tags.Roles(class); len(got) > 0 {
			t.Errorf("%s is listed as not mapped and stands for %v", class, got)
		}
	}
	for role, want := range map[string]int{"status": 5, "airflow": 7, "drive-fault": 4, "speed": 2, "duct-pressure": 3} {
		if roles[role] != want {
			t.Errorf("%d points of role %s, want %d (all: %v)", roles[role], role, want, roles)
		}
	}
}

// standing gives a plan the address that its names stand under.
func standing(plan *model.Plan, address string) *model.Plan {
	plan.Settings.Naming.Address = address
	return plan
}
