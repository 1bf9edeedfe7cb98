package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// levelNames are the names of the alarm levels (ASHRAE Guideline 36).
var levelNames = map[int]string{1: "life safety", 2: "critical equipment", 3: "urgent", 4: "normal"}

// support makes the objects that serve the points: a schedule for each system
// that runs by the clock, a trend log for each trended point, a notification
// class for each class the alarms use, and an event enrollment for each alarm
// that its object cannot make by itself.
func (d *derivation) support() []model.SupportObject {
	out := slices.Concat(d.schedules(), d.trends(), d.classes(), d.enrollments())
	if d.settings.Naming.Instances == "vendor" {
		return out
	}
	next := map[string]int{}
	for i := range out {
		o := &out[i]
		if o.Instance != nil { // a notification class has its number already
			continue
		}
		number := cmp.Or(d.settings.Naming.FirstInstance, 1) + next[o.ObjectType]
		next[o.ObjectType]++
		o.Instance = &number
	}
	return out
}

// schedules gathers the enable commands of fans that run by the clock.
func (d *derivation) schedules() []model.SupportObject {
	var out []model.SupportObject
	at := map[string]int{}
	for i := range d.world.machines {
		m := &d.world.machines[i]
		key := m.Tag + "/enable-command"
		made, ok := d.made[key]
		if !ok || made < m.from || made >= m.to || m.scheme.Runs != "schedule" {
			continue
		}
		system := m.System
		j, known := at[system]
		if !known {
			j = len(out)
			at[system] = j
			out = append(out, model.SupportObject{ObjectType: model.Schedule, ObjectName: d.supportName(system, "SCH"),
				Description: strings.TrimSpace("Occupied hours " + system), Source: "ASHRAE 135, clause 12.24",
				Parameters: []model.Parameter{{Name: "schedule default", Value: "inactive"}, {Name: "priority for writing", Value: "16"}}})
		}
		out[j].For = append(out[j].For, key)
	}
	return out
}

// trends logs every point with a trend rule: by change of value, or polled.
func (d *derivation) trends() []model.SupportObject {
	var out []model.SupportObject
	for _, q := range d.list {
		if q.Trend == "" {
			continue
		}
		o := model.SupportObject{ObjectType: model.TrendLog, ObjectName: q.ObjectName + firstOf(d.settings.Naming.Allowed, defaultAllowed) + "TL",
			Description: q.Description + ", trend", For: []string{q.Key}, Source: "ASHRAE 135, clause 12.25"}
		o.Parameters = []model.Parameter{{Name: "logging type", Value: "cov"}}
		if s, ok := interval(q.Trend); ok {
			o.Parameters = []model.Parameter{{Name: "logging type", Value: "polled"}, {Name: "log interval", Value: strconv.Itoa(s), Unit: "seconds"}}
		}
		out = append(out, o)
	}
	return out
}

// interval reads a trend rule with a period: "every 5 min", "daily".
func interval(rule string) (seconds int, ok bool) {
	if rule == "daily" {
		return 86400, true
	}
	var n int
	var unit string
	if _, err := fmt.Sscanf(rule, "every %d %s", &n, &unit); err != nil || n <= 0 {
		return 0, false
	}
	factor, known := map[string]int{"s": 1, "min": 60, "h": 3600}[unit]
	return n * factor, known
}

// classes lists the notification classes that the alarms use, with the three
// priorities and whether people must acknowledge.
func (d *derivation) classes() []model.SupportObject {
	var out []model.SupportObject
	at := map[int]int{}
	for _, a := range d.alarms {
		i, known := at[a.Class]
		if !known {
			i = len(out)
			at[a.Class] = i
			class, priority := a.Class, strconv.Itoa(a.Priority)
			ack := "to-offnormal, to-fault"
			if a.Level == 4 {
				ack = "none"
			}
			out = append(out, model.SupportObject{ObjectType: model.NotificationClass, Instance: &class, ObjectName: d.supportName(levelNames[a.Level], "NC"+strconv.Itoa(class)),
				Description: "Alarms of level " + strconv.Itoa(a.Level) + ", " + levelNames[a.Level], Source: "ASHRAE 135, clause 12.21",
				Parameters: []model.Parameter{{Name: "priority to-offnormal", Value: priority}, {Name: "priority to-fault", Value: priority}, {Name: "priority to-normal", Value: priority}, {Name: "ack required", Value: ack}}})
		}
		out[i].For = append(out[i].For, a.ID)
	}
	slices.SortStableFunc(out, func(a, b model.SupportObject) int { return cmp.Compare(*a.Instance, *b.Instance) })
	return out
}

// enrollments lists the alarms whose algorithm is not the one that their
// object reports by itself: they need an object of their own.
func (d *derivation) enrollments() []model.SupportObject {
	var out []model.SupportObject
	for _, a := range d.alarms {
		q := d.list[d.made[a.Source]]
		t, ok := d.lib.Objects.Type(q.ObjectType)
		if !ok || t.Algorithm == a.Algorithm {
			continue
		}
		if a.Algorithm == "change-of-reliability" {
			continue // every object reports its own faults (ASHRAE 135, clause 13.4)
		}
		out = append(out, model.SupportObject{ObjectType: model.EventEnrollment, ObjectName: d.supportName(a.Equipment, strings.ToUpper(strings.TrimPrefix(a.ID, a.Equipment+"/"))),
			Description: a.Equipment + ": " + a.Condition, For: []string{a.ID}, Source: "ASHRAE 135, clause 12.12",
			Parameters: []model.Parameter{{Name: "event type", Value: a.Algorithm}, {Name: "object property reference", Value: a.Source}}})
	}
	return out
}

// supportName names an object that serves points: building, what it is for, kind.
func (d *derivation) supportName(about, kind string) string {
	separator := firstOf(d.settings.Naming.Allowed, defaultAllowed)
	var parts []string
	for _, p := range []string{d.project.Building, about, kind} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	name, _ := clean(strings.Join(parts, separator), cmp.Or(d.settings.Naming.Allowed, defaultAllowed))
	return name
}

// firstOf returns the first allowed separator.
func firstOf(allowed, otherwise string) string {
	for _, r := range cmp.Or(allowed, otherwise) {
		return string(r)
	}
	return ""
}
