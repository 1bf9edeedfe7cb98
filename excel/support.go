package excel

import (
	"strings"

	"tallywire/model"
)

// supportSheet lists the objects that serve the points: schedules, trend logs,
// notification classes, event enrolments.
func supportSheet(is *issued) *sheet {
	type S = *model.SupportObject
	s := tableSheet("Supporting objects", "SupportList", rowsOf(is.plan.Support), listColumns(
		col("object_name", "Object name", 14, 30, func(s S) string { return s.ObjectName }),
		col("object_type", "Object type", 12, 20, func(s S) string { return s.ObjectType }),
		num("instance", "Instance", 9, func(s S) (float64, bool) {
			if s.Instance == nil {
				return 0, false
			}
			return float64(*s.Instance), true
		}),
		col("description", "Description", 18, 38, func(s S) string { return s.Description }),
		col("parameters", "Parameters", 16, 46, func(s S) string { return parameters(s.Parameters) }),
		col("for", "Serves", 16, 50, func(s S) string { return strings.Join(s.For, ", ") }),
		col("source", "Source", 14, 30, func(s S) string { return s.Source }),
	))
	return s.printTo("for")
}

// station is one station of one trunk.
type station struct {
	trunk   *model.TrunkPlan
	station *model.Station
}

// trunkSheet lists every station of every trunk.
func trunkSheet(is *issued) *sheet {
	var list []station
	for i := range is.plan.Trunks {
		t := &is.plan.Trunks[i]
		for k := range t.Stations {
			list = append(list, station{t, &t.Stations[k]})
		}
	}
	return tableSheet("Trunks", "TrunkList", list, listColumns(
		col("trunk", "Trunk", 12, 24, func(s station) string { return s.trunk.ID }),
		col("panel", "Panel", 9, 16, func(s station) string { return s.trunk.Panel }),
		col("protocol", "Protocol", 10, 18, func(s station) string { return s.trunk.Protocol }),
		num("baud", "Speed, bit/s", 9, func(s station) (float64, bool) { return float64(s.trunk.Baud), s.trunk.Baud != 0 }),
		num("max_master", "Highest address sought", 11, func(s station) (float64, bool) { return float64(s.trunk.MaxMaster), s.trunk.MaxMaster != 0 }),
		col("device", "Station", 14, 28, func(s station) string { return s.station.Device }),
		num("mac", "Address", 9, func(s station) (float64, bool) { return float64(s.station.MAC), true }),
		col("stated", "Address is", 9, 12, func(s station) string { return told(&s.station.Stated, "set", "proposed") }),
		num("instance", "Device instance", 9, func(s station) (float64, bool) {
			if s.station.Instance == nil {
				return 0, false
			}
			return float64(*s.station.Instance), true
		}),
		num("load", "Unit load", 8, func(s station) (float64, bool) { return given(s.station.UnitLoad) }),
		num("objects", "Objects", 8, func(s station) (float64, bool) { return float64(s.station.Objects), true }),
		num("loads", "Unit loads of the trunk", 10, func(s station) (float64, bool) { return rounded(s.trunk.UnitLoads), true }),
		num("poll", "One round of reading, s", 11, func(s station) (float64, bool) { return rounded(s.trunk.PollSeconds), true }),
		col("source", "Source", 14, 30, func(s station) string { return s.trunk.Source }),
	))
}
