package network

import (
	"fmt"
	"testing"

	"tallywire/model"
)

// plant is a controller and n machines with devices of one unit load and
// objects each.
func plant(n, objects int, load *float64) ([]model.BACnetDevice, []model.Device) {
	placed := []model.BACnetDevice{{ID: "P/C1", Panel: "P"}}
	var devices []model.Device
	for i := range n {
		id := fmt.Sprintf("F-%d/drive", i+1)
		placed = append(placed, model.BACnetDevice{ID: id, Equipment: fmt.Sprintf("F-%d", i+1), Panel: "P", Points: make([]string, objects)})
		devices = append(devices, model.Device{ID: id, Spec: &model.DeviceType{Terminals: []model.Terminal{{ID: "bus", Nature: model.Bus, UnitLoad: load}}}})
	}
	return placed, devices
}

func TestTrunksAreFilledByUnitLoad(t *testing.T) {
	whole, quarter := 1.0, 0.25
	for _, c := range []struct {
		n     int
		load  *float64
		sizes []int // stations without the controller
	}{
		{24, &whole, []int{24}},        // 24 of 32 is 75 %
		{25, &whole, []int{24, 1}},     //
		{96, &quarter, []int{96}},      //
		{97, &quarter, []int{96, 1}},   //
		{60, nil, []int{24, 24, 12}},   // not known: a whole one each
		{0, &whole, nil},               //
		{50, &whole, []int{24, 24, 2}}, // a plant of fifty
	} {
		list, found := Trunks(plant(c.n, 9, c.load))
		if len(list) != len(c.sizes) {
			t.Fatalf("%d stations: %d trunks, want %v", c.n, len(list), c.sizes)
		}
		for i, p := range list {
			if len(p.Stations) != c.sizes[i]+1 || p.ID != fmt.Sprintf("P/trunk-%d", i+1) || p.UnitLoads > 24 {
				t.Errorf("%d stations: trunk %s has %d, %v unit loads", c.n, p.ID, len(p.Stations)-1, p.UnitLoads)
			}
			for j, s := range p.Stations {
				if s.MAC != j {
					t.Errorf("%s: station %d has address %d", p.ID, j, s.MAC)
				}
			}
			if p.MaxMaster != c.sizes[i] || p.Objects != 9*c.sizes[i] {
				t.Errorf("%s: highest master %d, %d objects", p.ID, p.MaxMaster, p.Objects)
			}
		}
		if told := codes(found); (c.load == nil) != (told == "trunk-load-unknown F-1/drive") {
			t.Errorf("%d stations: findings %q", c.n, told)
		}
	}
}

func TestStatedAddressesStay(t *testing.T) {
	whole := 1.0
	placed, devices := plant(4, 3, &whole)
	devices[0].Settings = []model.Parameter{{Name: "mac", Value: "2"}}
	devices[1].Settings = []model.Parameter{{Name: "mac", Value: "2"}}
	devices[3].Settings = []model.Parameter{{Name: "mac", Value: "300"}}
	list, found := Trunks(placed, devices)
	if told := codes(found); told != "trunk-address F-2/drive; trunk-address F-4/drive" {
		t.Errorf("findings %q", told)
	}
	for _, s := range list[0].Stations {
		if s.Device == "F-3/drive" && s.MAC != 1 || s.Device == "F-1/drive" && (s.MAC != 2 || !s.Stated) {
			t.Errorf("%s has address %d", s.Device, s.MAC)
		}
	}
}

// TestPollEstimate: 60 octets of ten bits at 38,400 bit/s are 15.6 ms, with
// 10 ms of waiting 25.6 ms a value; 24 stations of 100 take 61.5 s.
func TestPollEstimate(t *testing.T) {
	whole := 1.0
	list, found := Trunks(plant(24, 100, &whole))
	if list[0].PollSeconds != 61.5 || codes(found) != "trunk-slow P/trunk-1" {
		t.Errorf("%v s, findings %q", list[0].PollSeconds, codes(found))
	}
	list, found = Trunks(plant(24, 10, &whole))
	if list[0].PollSeconds != 6.2 || codes(found) != "" {
		t.Errorf("%v s, findings %q", list[0].PollSeconds, codes(found))
	}
}
