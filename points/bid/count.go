// Package bid counts what a plan holds and, later, prices it.
package bid

import (
	"cmp"

	"tallywire/model"
)

// Keys of the counts where a point names no system or no panel.
const (
	NoSystem = "no system given"
	NoPanel  = "no panel"
)

// Abbreviations of the object types that are counted, by class. Every key
// stands in every count of its class.
var (
	hardwired = []string{"AI", "AO", "BI", "BO", "MSI", "MSO"}
	software  = []string{"AV", "BV", "MSV"}
	all       = []string{"AI", "AO", "AV", "BI", "BO", "BV", "MSI", "MSO", "MSV"}
)

// abbreviations of the object types of ASHRAE 135, clause 12.
var abbreviations = map[string]string{
	model.AnalogInput: "AI", model.AnalogOutput: "AO", model.AnalogValue: "AV",
	model.BinaryInput: "BI", model.BinaryOutput: "BO", model.BinaryValue: "BV",
	model.MultiStateInput: "MSI", model.MultiStateOutput: "MSO", model.MultiStateValue: "MSV",
}

// Count counts points by type, system, panel, equipment and bid class. A point
// by others is counted under other, whatever carries it. By system, panel and
// equipment the hardwired points in our scope are counted. Every class of
// ByBid and every equipment that is in scope has its row, zeros included; the
// sums agree.
func Count(equipment []model.Equipment, points []model.Point, alarms []model.Alarm) model.Counts {
	c := model.Counts{
		ByType: classes(), BySystem: map[string]model.TypeCounts{}, ByPanel: map[string]model.TypeCounts{},
		ByEquipment: map[string]model.TypeCounts{}, ByBid: map[string]model.ClassCounts{},
		Support: CountSupport(nil), Alarms: len(alarms),
	}
	for _, b := range []string{model.Base, model.Alternate, model.Existing} {
		c.ByBid[b] = classes()
	}
	for _, e := range equipment {
		if e.OutOfScope == "" { // a pump on the list is no machine that is planned
			c.ByEquipment[e.Tag] = zeros(hardwired)
			c.Equipment++
		}
	}
	for _, q := range points {
		short, ok := abbreviations[q.ObjectType]
		if !ok {
			continue // no object: nothing to count
		}
		bid := cmp.Or(q.Bid, model.Base)
		if _, known := c.ByBid[bid]; !known {
			c.ByBid[bid] = classes()
		}
		add(c.ByType, q, short)
		add(c.ByBid[bid], q, short)
		if q.ByOthers {
			c.ByOthers++
		}
		if q.Existing {
			c.Existing++
		}
		if q.Carried == model.Hardwired && !q.ByOthers {
			plus(c.BySystem, cmp.Or(q.System, NoSystem), short)
			plus(c.ByPanel, cmp.Or(q.Panel, NoPanel), short)
			plus(c.ByEquipment, q.Equipment, short)
		}
	}
	return c
}

// supports are the abbreviations of the objects that serve points.
var supports = map[string]string{model.Schedule: "SCH", model.TrendLog: "TL", model.NotificationClass: "NC", model.EventEnrollment: "EE"}

// CountSupport counts the objects that serve points by type: EE, NC, SCH, TL,
// every key present.
func CountSupport(list []model.SupportObject) model.TypeCounts {
	out := zeros([]string{"EE", "NC", "SCH", "TL"})
	for _, o := range list {
		if short, ok := supports[o.ObjectType]; ok {
			out[short]++
		}
	}
	return out
}

// add counts a point in its class.
func add(c model.ClassCounts, q model.Point, short string) {
	switch {
	case q.ByOthers:
		c.Other[short]++
	case q.Carried == model.Software:
		c.Software[short]++
	case q.Carried == model.Network:
		c.Network[short]++
	default:
		c.Hardwired[short]++
	}
}

func plus(by map[string]model.TypeCounts, key, short string) {
	if by[key] == nil {
		by[key] = zeros(hardwired)
	}
	by[key][short]++
}

func classes() model.ClassCounts {
	return model.ClassCounts{Hardwired: zeros(hardwired), Software: zeros(software), Network: zeros(all), Other: zeros(all)}
}

func zeros(keys []string) model.TypeCounts {
	out := make(model.TypeCounts, len(keys))
	for _, k := range keys {
		out[k] = 0
	}
	return out
}
