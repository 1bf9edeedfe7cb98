package bid

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tallywire/model"
)

var types = []string{model.AnalogInput, model.AnalogOutput, model.AnalogValue, model.BinaryInput, model.BinaryOutput, model.BinaryValue,
	model.MultiStateInput, model.MultiStateOutput, model.MultiStateValue}

func sum(c model.TypeCounts) int {
	n := 0
	for _, v := range c {
		n += v
	}
	return n
}

func total(c model.ClassCounts) int {
	return sum(c.Hardwired) + sum(c.Software) + sum(c.Network) + sum(c.Other)
}

// TestSumsAgree: whatever the points are, the splits add up to the totals and
// every key is present.
func TestSumsAgree(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		var equipment []model.Equipment
		for i := range r.IntN(6) + 1 {
			equipment = append(equipment, model.Equipment{Tag: fmt.Sprintf("F-%d", i)})
		}
		var points []model.Point
		others := 0
		for range r.IntN(60) {
			carried := []string{model.Hardwired, model.Software, model.Network}[r.IntN(3)]
			kind := types[r.IntN(len(types))]
			if carried == model.Hardwired {
				kind = []string{model.AnalogInput, model.AnalogOutput, model.BinaryInput, model.BinaryOutput}[r.IntN(4)]
			}
			q := model.Point{Equipment: equipment[r.IntN(len(equipment))].Tag, ObjectType: kind, Carried: carried, ByOthers: r.IntN(8) == 0,
				Bid: []string{"", model.Base, model.Alternate, model.Existing}[r.IntN(4)], System: []string{"", "A", "B"}[r.IntN(3)], Panel: []string{"", "PANEL-1"}[r.IntN(2)]}
			if q.ByOthers {
				others++
			}
			points = append(points, q)
		}
		c := Count(append(equipment, model.Equipment{Tag: "P-1", OutOfScope: "a pump"}), points, make([]model.Alarm, 4)) // listed, not planned
		if total(c.ByType) != len(points) {
			t.Fatalf("seed %d: %d counted of %d", seed, total(c.ByType), len(points))
		}
		byBid := 0
		for _, one := range c.ByBid {
			byBid += total(one)
		}
		if byBid != len(points) || sum(c.ByType.Other) != others || c.ByOthers != others {
			t.Fatalf("seed %d: by bid %d of %d, others %d of %d", seed, byBid, len(points), c.ByOthers, others)
		}
		for name, split := range map[string]map[string]model.TypeCounts{"system": c.BySystem, "panel": c.ByPanel, "equipment": c.ByEquipment} {
			per := model.TypeCounts{}
			for _, one := range split {
				for k, v := range one {
					per[k] += v
				}
			}
			for _, k := range hardwired {
				if per[k] != c.ByType.Hardwired[k] {
					t.Fatalf("seed %d: %s by %s: %d, in all %d", seed, k, name, per[k], c.ByType.Hardwired[k])
				}
			}
		}
		if c.Alarms != 4 || c.Equipment != len(equipment) || len(c.ByEquipment) != len(equipment) {
			t.Fatalf("seed %d: %+v", seed, c)
		}
	}
}

func TestEveryKeyIsPresent(t *testing.T) {
	c := Count(nil, nil, nil)
	for class, want := range map[string][]string{
		"hardwired": {"AI", "AO", "BI", "BO", "MSI", "MSO"}, "software": {"AV", "BV", "MSV"},
		"network": {"AI", "AO", "AV", "BI", "BO", "BV", "MSI", "MSO", "MSV"}, "other": {"AI", "AO", "AV", "BI", "BO", "BV", "MSI", "MSO", "MSV"},
	} {
		got := map[string]model.TypeCounts{"hardwired": c.ByType.Hardwired, "software": c.ByType.Software, "network": c.ByType.Network, "other": c.ByType.Other}[class]
		if len(got) != len(want) {
			t.Errorf("%s has %d keys, want %d", class, len(got), len(want))
		}
		for _, k := range want {
			if _, ok := got[k]; !ok {
				t.Errorf("%s lacks %s", class, k)
			}
		}
	}
	if len(c.ByBid) != 3 {
		t.Errorf("bid classes: %v", c.ByBid)
	}
}
