package exchange

import (
	"bytes"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

func haystackPlan() *model.Plan {
	plan := fansOf(plant(2))
	plan.Points[0].Description = "text with \"quotes\", $5, a \\ and a,comma\nover two lines: Lüfter"
	plan.Points = append(plan.Points,
		model.Point{Key: "EF-1/override-active", Equipment: "EF-1", Role: "override-active", ObjectType: model.BinaryInput, States: []string{"Normal", "Override"}},
		model.Point{Key: "SITE/outdoor temperature", Equipment: "SITE", Role: "outdoor-temperature", ObjectType: model.AnalogValue, Units: "degrees-fahrenheit"},
		model.Point{Key: "EF-1/own-role", Equipment: "EF-1", Role: "own-role"})
	return plan
}

// TestHaystackReadsBackWhatItWrote: both texts hold the one grid, tag by tag,
// and read back as the points of the plan.
func TestHaystackReadsBackWhatItWrote(t *testing.T) {
	lib, plan := load(t), haystackPlan()
	want := gridOf(lib, plan).rows
	var hayson, zinc bytes.Buffer
	if err := Haystack(&hayson, lib, plan); err != nil {
		t.Fatal(err)
	}
	if err := Zinc(&zinc, lib, plan); err != nil {
		t.Fatal(err)
	}
	if !json.Valid(hayson.Bytes()) {
		t.Error("no valid JSON")
	}
	for form, read := range map[string]func() ([]dict, error){
		"hayson": func() ([]dict, error) { return readHayson(hayson.Bytes()) },
		"zinc":   func() ([]dict, error) { return readZinc(zinc.String()) },
	} {
		got, err := read()
		if err != nil {
			t.Fatalf("%s: %v", form, err)
		}
		if len(got) != len(want) {
			t.Fatalf("%s: %d rows, want %d", form, len(got), len(want))
		}
		for i := range got {
			if !reflect.DeepEqual(got[i], want[i]) {
				t.Errorf("%s, row %d:\n got %+v\nwant %+v", form, i, got[i], want[i])
			}
		}
	}
	for _, data := range [][]byte{hayson.Bytes(), zinc.Bytes()} {
		points, err := ReadHaystack(lib, "x", data)
		if err != nil || len(points) != len(plan.Points) {
			t.Fatalf("%d points, want %d: %v", len(points), len(plan.Points), err)
		}
		for i, p := range points {
			q := &plan.Points[i]
			if p.Equipment != q.Equipment || p.Description != q.Description || p.Units != q.Units && q.Units != "no-units" || !slices.Equal(p.States, q.States) {
				t.Errorf("%s: %+v", q.Key, p)
			}
			if q.Instance != nil && (p.ObjectType != q.ObjectType || p.Instance == nil || *p.Instance != *q.Instance || p.Device == nil || *p.Device < 1001) {
				t.Errorf("%s: %+v", q.Key, p)
			}
		}
	}
	var again bytes.Buffer
	if err := Haystack(&again, lib, plan); err != nil || again.String() != hayson.String() {
		t.Error("the same plan gives another grid")
	}
}

// TestHaystackPoint shows the entity of a fan's start and override in full.
func TestHaystackPoint(t *testing.T) {
	lib, plan := load(t), haystackPlan()
	rows := gridOf(lib, plan).rows
	find := func(id string) dict {
		for _, r := range rows {
			if r["id"].text == id {
				return r
			}
		}
		t.Fatalf("no entity %s", id)
		return nil
	}
	speed := find("point.EF-1~2Fspeed")
	for _, m := range []string{"point", "fan", "vfd", "speed", "cmd", "writable"} {
		if !speed.has(m) {
			t.Errorf("the speed reference lacks the marker %s: %v", m, speed)
		}
	}
	if speed["kind"].text != "Number" || speed["unit"].text != "percent" || speed["maxVal"].n != 100 || speed["equipRef"].text != "equip.EF-1" || speed["siteRef"].text != "site" || speed["bacnetObject"].text != "analog-output,0" {
		t.Errorf("speed: %v", speed)
	}
	if status := find("point.EF-1~2Fstatus"); status.has("writable") || !status.has("sensor") {
		t.Errorf("status: %v", status)
	}
	fan := find("equip.EF-1")
	for _, m := range []string{"equip", "exhaust", "fan", "motor"} {
		if !fan.has(m) {
			t.Errorf("the fan lacks the marker %s: %v", m, fan)
		}
	}
	if override := find("point.EF-1~2Foverride-active"); !override.has("override") || !override.has("sensor") || override["enum"].text != "Normal,Override" {
		t.Errorf("override: %v", override)
	}
	if own := gridOf(lib, plan).meta["ownTags"].text; own != "bacnetInstance bacnetObject mode override role starts" {
		t.Errorf("tags of our own: %q", own)
	}
}

// TestReadHaystackForms reads what other tools write. Sources: Project
// Haystack, chapters Json and Zinc.
func TestReadHaystackForms(t *testing.T) {
	lib := load(t)
	for form, text := range map[string]string{
		"JSON 4": `{"_kind":"grid","meta":{"ver":"3.0"},"cols":[],"rows":[{"id":{"_kind":"ref","val":"a","dis":"Fan"},"dis":"Fan","equip":{"_kind":"marker"}},
			{"id":{"_kind":"ref","val":"b"},"dis":"Fan Cmd","point":{"_kind":"marker"},"fan":{"_kind":"marker"},"run":{"_kind":"marker"},"cmd":{"_kind":"marker"},"equipRef":{"_kind":"ref","val":"a"},"enum":"off,on","area":{"_kind":"number","val":1,"unit":"ft²"},"x":null,"when":{"_kind":"date","val":"2026-01-04"}}]}`,
		"JSON 3": `{"meta":{"ver":"3.0"},"cols":[{"name":"id"}],"rows":[{"id":"r:a Fan","dis":"s:Fan","equip":"m:"},
			{"id":"r:b","dis":"Fan Cmd","point":"m:","fan":"m:","run":"m:","cmd":"m:","equipRef":"r:a Fan","enum":"s:off,on","area":"n:1 ft²","when":"d:2026-01-04"}]}`,
		"a list": `[{"id":"r:b","dis":"Fan Cmd","point":"m:","fan":"m:","run":"m:","cmd":"m:","equipRef":"r:a Fan","enum":"off,on"}]`,
		"Zinc": "ver:\"3.0\" database:\"x\" mod:2026-01-04T10:00:00Z UTC\nid dis:\"Id, of it\",dis,equip,point,fan,run,cmd,equipRef,enum,area,when,list,at,uri,bin\n" +
			"@a \"Fan\",\"Fan\",M,,,,,,,,,,,,\n@b,\"Fan Cmd\",,M,M,M,M,@a,\"off,on\",1ft²,2026-01-04,[1, \"a,]b\", {x:M}],C(1.5,-2),`http://x/,y`,NA\n\nver:\"3.0\"\nempty\n",
	} {
		points, err := ReadHaystack(lib, "x", []byte(text))
		if err != nil || len(points) != 1 {
			t.Errorf("%s: %d points, %v", form, len(points), err)
			continue
		}
		p := points[0]
		if p.ObjectName != "Fan Cmd" || p.Equipment != "Fan" || strings.Join(p.Tags, " ") != "cmd fan point run" || len(p.States) != 2 || p.Commandable == nil {
			t.Errorf("%s: %+v", form, p)
		}
	}
	for _, bad := range []string{"", "tag,type\nEF-1,fan\n", "{", "[1]", `{"rows":[{"dis":"x"}]}`, "ver:\"3.0\"\n", "ver:\"3.0\"\nid,dis\n@a\n", "ver:\"3.0\"\nid\n@a,M\n", "ver:\"3.0\"\nid,dis\n@a,\"x\n", "ver:\"3.0\"\nid\n[\n"} {
		if _, err := ReadHaystack(lib, "x", []byte(bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

func FuzzReadHaystack(f *testing.F) {
	lib := load(f)
	for _, s := range []string{"ver:\"3.0\"\nid,dis,point\n@a,\"x\",M\n", `{"rows":[{"point":"m:"}]}`, "ver:\"3.0\"\na,b\n[{<(\"x\")>}],`x`\n", "ver:\"3.0\"\na b:{,c\n-1e,2.5kW\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		points, err := ReadHaystack(lib, "x", data)
		if err == nil && len(points) == 0 {
			t.Fatal("neither a point nor an error")
		}
	})
}
