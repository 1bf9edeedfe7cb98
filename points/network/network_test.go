package network

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

func hard(key, controller string) model.Point {
	equipment, role, _ := model.Split(key)
	return model.Point{Key: key, Equipment: equipment, Role: role, Carried: model.Hardwired, Controller: controller}
}

func soft(key, system string) model.Point {
	equipment, role, _ := model.Split(key)
	return model.Point{Key: key, Equipment: equipment, Role: role, System: system, Carried: model.Software}
}

func codes(list []finding.Finding) string {
	var out []string
	for _, f := range list {
		out = append(out, f.Code+" "+f.Subject)
	}
	return strings.Join(out, "; ")
}

func TestPlaceGivesEveryObjectAHome(t *testing.T) {
	points := []model.Point{
		hard("EF-1/start", "P/C1"), hard("EF-1/status", "P/C2"), hard("EF-1/speed", "P/C2"), soft("EF-1/failure", ""),
		hard("EF-2/start", "P/C1"), soft("EF-2/failure", ""), hard("EF-3/start", "P/C2"),
		{Key: "SF-1/start", Equipment: "SF-1", System: "AHU-1", Carried: model.Hardwired, Controller: "P/C1"},
		soft("AHU-1/mode", "AHU-1"), // no wire of its own: with its system
		soft("SITE/mode", ""),       // nothing near it: with the controller that has most
		{Key: "EF-4/speed-feedback", Equipment: "EF-4", Carried: model.Network},
		{Key: "EF-5/speed-feedback", Equipment: "EF-5", Carried: model.Network},
		{Key: "SPF-1/run", Equipment: "SPF-1", Carried: model.Hardwired, ByOthers: true},
		hard("EF-6/start", ""),
	}
	devices := []model.Device{
		{ID: "EF-4/motor", Equipment: "EF-4", Role: "motor"},
		{ID: "EF-4/drive", Equipment: "EF-4", Role: "drive", Settings: []model.Parameter{{Name: "instance", Value: "77"}}},
		{ID: "EF-1/box", Equipment: "EF-1", Role: "box"},
	}
	list, found := Place(&model.Project{Building: "BW"}, []model.Controller{{ID: "P/C1", Panel: "P"}, {ID: "P/C2", Panel: "P"}}, devices, points)
	if got := codes(found); got != "no-device EF-5/speed-feedback; no-device EF-6/start; assumed device instances" {
		t.Errorf("findings: %s", got)
	}
	want := map[string][]string{
		"P/C1":       {"EF-1/start", "EF-2/start", "EF-2/failure", "SF-1/start", "AHU-1/mode", "SITE/mode"},
		"P/C2":       {"EF-1/status", "EF-1/speed", "EF-1/failure", "EF-3/start"},
		"EF-4/drive": {"EF-4/speed-feedback"},
	}
	if len(list) != len(want) {
		t.Fatalf("%d devices: %+v", len(list), list)
	}
	for _, d := range list {
		if !slices.Equal(d.Points, want[d.ID]) {
			t.Errorf("%s holds %v, want %v", d.ID, d.Points, want[d.ID])
		}
	}
	if *list[0].Instance != 1001 || *list[1].Instance != 1002 || *list[2].Instance != 77 || list[0].Name != "BW_P_C1" || list[2].Name != "BW_EF-4_drive" {
		t.Errorf("instances or names: %+v", list)
	}
}

func TestDeviceInstances(t *testing.T) {
	two, last := 2, 4194303
	controllers := []model.Controller{{ID: "A", Existing: true}, {ID: "B"}, {ID: "C", Existing: true}, {ID: "D"}, {ID: "E/1"}, {ID: "E 1"}}
	p := &model.Project{Panels: []model.Panel{{Existing: []model.ExistingController{{ID: "A", DeviceInstance: &two}}}}}
	p.Settings.Naming.FirstDevice = 1
	list, found := Place(p, controllers, nil, nil)
	if len(found) != 0 {
		t.Errorf("findings: %s", codes(found))
	}
	var got []int
	for _, d := range list {
		n := -1
		if d.Instance != nil {
			n = *d.Instance
		}
		got = append(got, n)
	}
	if want := []int{2, 1, -1, 3, 4, 5}; !slices.Equal(got, want) {
		t.Errorf("instances %v, want %v: 2 is taken, C is not ours to number", got, want)
	}
	if list[4].Name == list[5].Name {
		t.Errorf("E/1 and E 1 have the one name %s", list[4].Name)
	}

	p.Settings.Naming.Instances = "vendor"
	if list, _ = Place(p, controllers, nil, nil); list[1].Instance != nil {
		t.Error("the vendor numbers, and yet B has an instance")
	}

	p.Panels[0].Existing = append(p.Panels[0].Existing, model.ExistingController{ID: "C", DeviceInstance: &two})
	if _, found = Place(p, controllers, nil, nil); codes(found) != "device-instance-repeated C" {
		t.Errorf("findings: %s", codes(found))
	}
	p.Panels[0].Existing[1].DeviceInstance = &last
	if _, found = Place(p, controllers, nil, nil); codes(found) != "device-instance-range C" {
		t.Errorf("findings: %s", codes(found))
	}
	p = &model.Project{}
	p.Settings.Naming.FirstDevice = 4194302
	if _, found = Place(p, controllers[1:], nil, nil); codes(found) != "device-instance-range D" {
		t.Errorf("findings: %s", codes(found))
	}
}

// TestServe: a notification class in every device that uses it, a trend log
// beside its point.
func TestServe(t *testing.T) {
	devices := []model.BACnetDevice{{ID: "A", Points: []string{"EF-1/status", "EF-1/failure"}}, {ID: "B", Points: []string{"EF-2/status", "EF-2/failure"}}, {ID: "C", Points: []string{"EF-3/status"}}}
	alarms := []model.Alarm{{ID: "EF-1/failed", Source: "EF-1/failure"}, {ID: "EF-2/failed", Source: "EF-2/failure"}, {ID: "EF-9/failed", Source: "EF-9/failure"}}
	Serve(devices, []model.SupportObject{
		{ObjectType: model.Schedule, ObjectName: "SCH", For: []string{"EF-2/status", "EF-1/status"}},
		{ObjectType: model.TrendLog, ObjectName: "TL", For: []string{"EF-3/status"}},
		{ObjectType: model.NotificationClass, ObjectName: "NC", For: []string{"EF-1/failed", "EF-2/failed", "EF-9/failed"}},
		{ObjectType: model.TrendLog, ObjectName: "TL9", For: []string{"EF-9/status"}},
	}, alarms)
	for i, want := range [][]string{{"NC"}, {"SCH", "NC"}, {"TL"}} {
		if !slices.Equal(devices[i].Support, want) {
			t.Errorf("%s holds %v, want %v", devices[i].ID, devices[i].Support, want)
		}
	}
}
