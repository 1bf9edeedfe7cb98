package excel

import (
	"fmt"
	"strings"

	"tallywire/model"
)

// networkSheet lists the devices on the network: one row a device, with its
// station on a trunk where it has one.
func networkSheet(is *issued) *sheet {
	type station struct {
		trunk string
		at    model.Station
	}
	stations := map[string]station{}
	for i := range is.plan.Trunks {
		t := &is.plan.Trunks[i]
		for _, s := range t.Stations {
			stations[s.Device] = station{t.ID, s}
		}
	}
	type D = *model.BACnetDevice
	list := make([]D, len(is.plan.Network))
	for i := range is.plan.Network {
		list[i] = &is.plan.Network[i]
	}
	return tableSheet("Network", "Network", list, listColumns(
		col("device", "Device", 12, 24, func(d D) string { return d.ID }),
		col("name", "Device object name", 14, 30, func(d D) string { return d.Name }),
		num("instance", "Device instance", 10, func(d D) (float64, bool) {
			if d.Instance == nil {
				return 0, false
			}
			return float64(*d.Instance), true
		}).explained("The only one of its number on the whole internetwork. Empty: still to be given."),
		col("panel", "Panel", 10, 18, func(d D) string { return d.Panel }),
		col("equipment", "Comes with", 10, 18, func(d D) string { return d.Equipment }).explained("The machine that the device is part of; empty for a controller of the plan."),
		col("existing", "Existing", 9, 10, func(d D) string {
			if d.Existing {
				return "yes"
			}
			return ""
		}),
		num("points", "Point objects", 9, func(d D) (float64, bool) { return float64(len(d.Points)), true }),
		num("support", "Serving objects", 9, func(d D) (float64, bool) { return float64(len(d.Support)), true }).explained("Schedules, trend logs, notification classes and event enrollments."),
		col("trunk", "Trunk", 10, 20, func(d D) string { return stations[d.ID].trunk }),
		num("mac", "Address", 9, func(d D) (float64, bool) { s, on := stations[d.ID]; return float64(s.at.MAC), on }),
		col("address", "Address is", 9, 12, func(d D) string {
			s, on := stations[d.ID]
			switch {
			case !on:
				return ""
			case s.at.Stated:
				return "set"
			}
			return "proposed"
		}),
	))
}

// retrofitSheet lists what becomes of every point of an existing building.
func retrofitSheet(is *issued) *sheet {
	type R = *model.RetrofitPoint
	list := make([]R, len(is.plan.Retrofit))
	for i := range is.plan.Retrofit {
		list[i] = &is.plan.Retrofit[i]
	}
	there := func(get func(*model.ExistingPoint) string) func(R) string {
		return func(r R) string {
			if r.Existing == nil {
				return ""
			}
			return get(r.Existing)
		}
	}
	return tableSheet("Existing points", "ExistingPoints", list, listColumns(
		col("action", "Action", 9, 10, func(r R) string { return string(r.Action) }).explained("keep: it is there and fits; change: it is there and differs; add: the plan asks for it; leave: the plan does not ask for it."),
		col("point", "Point", 14, 28, func(r R) string { return r.Point }).leading(func(r R) target { return is.toPoint(r.Point) }),
		col("name", "There: object name", 14, 28, there(func(e *model.ExistingPoint) string { return e.ObjectName })),
		col("description", "There: description", 14, 30, there(func(e *model.ExistingPoint) string { return e.Description })),
		col("object", "There: object", 12, 22, there(func(e *model.ExistingPoint) string {
			if e.Instance == nil {
				return e.ObjectType
			}
			return fmt.Sprintf("%s,%d", e.ObjectType, *e.Instance)
		})),
		col("device", "There: device", 9, 18, there(func(e *model.ExistingPoint) string {
			if e.Device == nil {
				return e.DeviceName
			}
			return strings.TrimSpace(fmt.Sprintf("%d %s", *e.Device, e.DeviceName))
		})),
		col("changes", "Differs", 14, 40, func(r R) string {
			var out []string
			for _, c := range r.Changes {
				out = append(out, fmt.Sprintf("%s: %s, planned %s", strings.ReplaceAll(c.Field, "_", " "), c.From, c.To))
			}
			return strings.Join(out, "\n")
		}),
		col("why", "Matched", 12, 30, func(r R) string { return r.Why }),
		col("where", "Read at", 10, 20, there(func(e *model.ExistingPoint) string {
			if e.Where == nil {
				return ""
			}
			return e.Where.String()
		})),
	))
}
