// Package revise tells what changed between two issues of a project.
package revise

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// Compare lists what changed from an old plan to a new one: machines, points
// and alarms that came or went, and each value that differs, with both places.
// Ours is the old value and Theirs the new one. The order is machines, points,
// alarms, totals, each by tag.
//
// A plan read back from a workbook knows its points and alarms only, and of
// them only the columns that the workbook had: nothing is told of the rest.
func Compare(before, after *model.Plan) []model.Difference {
	var out []model.Difference
	partial := len(before.Equipment) == 0 && len(before.Points) > 0
	if !partial {
		out = compareRows(equipmentRows(before), equipmentRows(after), "machine")
	}
	oldPoints, oldAlarms := pointRows(before), alarmRows(before)
	out = append(out, compareRows(oldPoints, pointRows(after), "point", unlisted(oldPoints, partial)...)...)
	if !partial || len(oldAlarms) > 0 {
		out = append(out, compareRows(oldAlarms, alarmRows(after), "alarm", unlisted(oldAlarms, partial)...)...)
	}
	return append(out, compareTotals(before, after)...)
}

// unlisted are the values that no row of a partial plan has.
func unlisted(rows []row, partial bool) []string {
	if !partial || len(rows) == 0 {
		return nil
	}
	var out []string
	for i, v := range rows[0].values {
		if !slices.ContainsFunc(rows, func(r row) bool { return r.values[i][1] != "" }) {
			out = append(out, v[0])
		}
	}
	return out
}

// row is a thing with a key and named values.
type row struct {
	key    string
	values [][2]string // name, value
	where  *model.Where
}

func equipmentRows(p *model.Plan) []row {
	out := make([]row, 0, len(p.Equipment))
	for _, e := range p.Equipment {
		r := row{key: e.Tag, where: e.Where, values: [][2]string{
			{"kind", e.Kind}, {"scheme", e.Scheme}, {"control", e.Control},
			{"airflow", quantity(e.Ratings.Airflow)}, {"pressure", quantity(e.Ratings.Pressure)}, {"motor power", quantity(e.Ratings.Power)},
			{"current", quantity(e.Ratings.Current)}, {"motor type", e.Ratings.MotorType}, {"drive", e.Ratings.Drive},
			{"service", service(e.Ratings.Service)}, {"location", e.Location}, {"serves", e.Service}, {"system", e.System},
			{"damper", e.Damper.Kind}, {"bid", e.Bid}, {"phase", e.Phase}, {"fire response", e.FireResponse}, {"duty", e.Duty}, {"remarks", e.Remarks},
			{"out of scope", e.OutOfScope},
		}}
		out = append(out, r)
	}
	return out
}

func pointRows(p *model.Plan) []row {
	out := make([]row, 0, len(p.Points))
	for _, q := range p.Points {
		out = append(out, row{key: q.Key, where: q.Where, values: [][2]string{
			{"object type", q.ObjectType}, {"carried", q.Carried}, {"signal", q.Signal}, {"units", q.Units}, {"range", interval(q.Range)},
			{"states", strings.Join(q.States, "/")}, {"polarity", q.Polarity}, {"contact sense", q.ContactSense}, {"fail state", q.FailState},
			{"object name", q.ObjectName}, {"instance", instance(q.Instance)}, {"controller", q.Controller}, {"terminal", q.Terminal},
			{"furnished by", q.FurnishedBy}, {"wired by", q.WiredBy}, {"bid", q.Bid},
		}})
	}
	return out
}

func alarmRows(p *model.Plan) []row {
	out := make([]row, 0, len(p.Alarms))
	for _, a := range p.Alarms {
		out = append(out, row{key: a.ID, values: [][2]string{
			{"source", a.Source}, {"algorithm", a.Algorithm}, {"condition", a.Condition}, {"delay", model.Figure(a.DelaySeconds) + " s"},
			{"level", strconv.Itoa(a.Level)}, {"class", strconv.Itoa(a.Class)}, {"priority", strconv.Itoa(a.Priority)},
			{"text", a.ToOffnormal}, {"held back by", strings.Join(a.InhibitedBy, ", ")},
		}})
	}
	return out
}

func quantity(q *model.Quantity) string {
	if q == nil {
		return ""
	}
	return q.Value.String() + " " + q.Unit
}

func service(s *model.Service) string {
	if s == nil {
		return ""
	}
	volts := make([]string, len(s.Volts))
	for i, v := range s.Volts {
		volts[i] = v.String()
	}
	return fmt.Sprintf("%s V, %d phase, %s Hz", strings.Join(volts, "|"), s.Phases, model.Figure(s.Hertz))
}

func interval(i *model.Interval) string {
	if i == nil {
		return ""
	}
	return i.String()
}

func instance(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// compareRows compares two lists by key, but for the values that are skipped.
func compareRows(before, after []row, what string, skip ...string) []model.Difference {
	var out []model.Difference
	old, now := byKey(before), byKey(after)
	for _, key := range keys(old, now) {
		a, hadIt := old[key]
		b, hasIt := now[key]
		switch {
		case !hadIt:
			out = append(out, change("added", key, what, "", "present", nil, b.where, fmt.Sprintf("%s %s is new", what, key)))
		case !hasIt:
			out = append(out, change("removed", key, what, "present", "", a.where, nil, fmt.Sprintf("%s %s is gone", what, key)))
		default:
			for i, v := range a.values {
				if w := b.values[i]; v[1] != w[1] && !slices.Contains(skip, v[0]) {
					out = append(out, change("changed", key, v[0], v[1], w[1], a.where, b.where,
						fmt.Sprintf("%s of %s %s was %s, is %s", v[0], what, key, shown(v[1]), shown(w[1]))))
				}
			}
		}
	}
	return out
}

func byKey(rows []row) map[string]row {
	out := make(map[string]row, len(rows))
	for _, r := range rows {
		if _, twice := out[r.key]; !twice {
			out[r.key] = r
		}
	}
	return out
}

func keys(a, b map[string]row) []string {
	var out []string
	for k := range a {
		out = append(out, k)
	}
	for k := range b {
		if _, both := a[k]; !both {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, finding.CompareTags)
	return out
}

// compareTotals says what the changes come to, by class and type.
func compareTotals(before, after *model.Plan) []model.Difference {
	var out []model.Difference
	for _, class := range []struct {
		name     string
		old, now model.TypeCounts
	}{
		{"hardwired", before.Counts.ByType.Hardwired, after.Counts.ByType.Hardwired},
		{"software", before.Counts.ByType.Software, after.Counts.ByType.Software},
		{"network", before.Counts.ByType.Network, after.Counts.ByType.Network},
	} {
		var types []string
		if class.old == nil {
			continue
		}
		for t := range class.now {
			types = append(types, t)
		}
		slices.Sort(types)
		for _, t := range types {
			if a, b := class.old[t], class.now[t]; a != b {
				out = append(out, change("count", class.name+" "+t, "count", strconv.Itoa(a), strconv.Itoa(b), nil, nil,
					fmt.Sprintf("%s %s points: %d before, %d now (%+d)", class.name, t, a, b, b-a)))
			}
		}
	}
	return out
}

func change(code, subject, field, before, after string, where, other *model.Where, message string) model.Difference {
	return model.Difference{Code: code, Severity: finding.Note, Subject: subject, Field: field, Ours: before, Theirs: after,
		Where: where, Other: other, Message: message}
}

func shown(s string) string {
	if s == "" {
		return "not stated"
	}
	return s
}
