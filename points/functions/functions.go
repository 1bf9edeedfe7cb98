// Package functions counts what every point does in the manner of ISO 16484-3:
// the list of functions by which automation work is described and, in some
// countries, paid.
package functions

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// edition is what the columns follow.
const edition = "structure of ISO 16484-3:2005, annex A; numbering of VDI 3814-1:2009 as kept in practice"

// notClaimed is what a reader must know before he adds the columns up.
var notClaimed = []string{
	"The list is made from the points and alarms of this plan; it does not claim conformity with ISO 16484-3 or VDI 3814.",
	"Editions after 2009 number and split the functions otherwise. Group 7 is numbered from memory: hold it against the edition of the contract.",
	"7.1 and 7.2, the objects that a management unit reads, are left open: which of the objects it reads is agreed with its supplier.",
	"A multi-state output or input counts as one binary function; where each state has a terminal of its own, count the terminals.",
	"Functions that no point, alarm or trend of the plan shows (optimum start, peak load, tariffs, graphics as such) are not counted.",
}

// List makes the list: a row for every point except those that count in the
// row of another, in the order of the plan.
func List(lib *library.Library, points []model.Point, alarms []model.Alarm) model.FunctionList {
	l := &listing{lib: lib, f: lib.Functions, rowOf: map[string]int{}, byID: map[string]*model.Alarm{}, bases: map[string]string{},
		out: model.FunctionList{Edition: edition, NotClaimed: notClaimed, Columns: lib.Functions.Columns}}
	for i := range alarms {
		l.byID[alarms[i].ID] = &alarms[i]
	}
	has := map[string]bool{}
	for i := range points {
		has[points[i].Key] = true
	}
	for i := range points {
		if q := &points[i]; l.host(q, has) == "" {
			l.rowOf[q.Key] = len(l.out.Rows)
			l.out.Rows = append(l.out.Rows, model.FunctionRow{Point: q.Key, Equipment: q.Equipment, System: q.System, Counts: make([]int, len(l.f.Columns))})
		}
	}
	for i := range points {
		l.count(&points[i], has)
	}
	l.sum()
	return l.out
}

type listing struct {
	lib   *library.Library
	f     *library.Functions
	out   model.FunctionList
	rowOf map[string]int
	byID  map[string]*model.Alarm
	bases map[string]string // role → its base, as far as asked for
}

// base is the role of the library: a numbered role (gas-co-2) is one of its kind.
func (l *listing) base(role string) string {
	if known, ok := l.bases[role]; ok {
		return known
	}
	out := role
	if _, known := l.lib.Role(role); !known && len(l.f.Of(role)) == 0 {
		if i := strings.LastIndexByte(role, '-'); i > 0 {
			out = role[:i]
		}
	}
	l.bases[role] = out
	return out
}

// host is the key of the point in whose row a point counts; "" its own.
func (l *listing) host(q *model.Point, has map[string]bool) string {
	if q.Carried != model.Software {
		return ""
	}
	for _, r := range l.f.Of(l.base(q.Role)) {
		for _, role := range r.At {
			if key := q.Equipment + "/" + role; has[key] && key != q.Key {
				return key
			}
		}
	}
	return ""
}

func (l *listing) count(q *model.Point, has map[string]bool) {
	key := q.Key
	if host := l.host(q, has); host != "" {
		key = host
	}
	i, known := l.rowOf[key]
	if !known { // its host counts in a third row: nothing of the built-in rules does
		return
	}
	row := &l.out.Rows[i]
	add := func(column string) { row.Counts[l.f.Column(column)]++ }
	if c := l.terminal(q); c != "" {
		add(c)
	}
	for _, r := range l.f.Of(l.base(q.Role)) {
		if r.Column != "" {
			add(r.Column)
		}
		if key != q.Key {
			row.Remarks = join(row.Remarks, r.Role+": "+r.Why)
		}
	}
	for _, id := range q.Alarms {
		l.alarm(row, l.byID[id])
	}
	if q.Trend != "" {
		add("7.4")
	}
	add("8.2")
	if q.ByOthers {
		row.Remarks = join(row.Remarks, "by others")
	}
}

// terminal is the function of the input or output itself.
func (l *listing) terminal(q *model.Point) string {
	group := map[string]string{model.Hardwired: "1.", model.Network: "2."}[q.Carried]
	t, known := l.lib.Objects.Type(q.ObjectType)
	if group == "" || !known {
		return ""
	}
	commanded := t.Output() || q.Carried == model.Network && !t.Input() && q.Priority != nil
	switch {
	case t.ID == "accumulator" || t.ID == "pulse-converter":
		return group + "4"
	case t.Analog() && commanded:
		return group + "2"
	case t.Analog():
		return group + "5"
	case commanded:
		return group + "1"
	}
	return group + "3"
}

// alarm counts what an alarm makes the automation do.
func (l *listing) alarm(row *model.FunctionRow, a *model.Alarm) {
	if a == nil {
		return
	}
	add := func(column string) { row.Counts[l.f.Column(column)]++ }
	switch a.Algorithm {
	case "out-of-range", "unsigned-range", "double-out-of-range", "signed-out-of-range", "unsigned-out-of-range":
		limits := 0
		for _, p := range a.Parameters {
			if name := strings.ReplaceAll(strings.ToLower(p.Name), " ", "-"); name == "high-limit" || name == "low-limit" {
				limits++
				add("3.1")
			}
		}
		if limits == 0 {
			add("3.1")
		}
	case "floating-limit":
		add("3.2")
	case "command-failure":
		add("3.5")
	default:
		add("3.6")
	}
	add("7.3")
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	if strings.Contains(a, b) {
		return a
	}
	return fmt.Sprintf("%s; %s", a, b)
}

// sum adds the columns up, for each system and for all.
func (l *listing) sum() {
	at := map[string]int{}
	l.out.Totals = make([]int, len(l.f.Columns))
	for _, r := range l.out.Rows {
		i, seen := at[r.System]
		if !seen {
			i = len(l.out.Systems)
			at[r.System] = i
			l.out.Systems = append(l.out.Systems, model.FunctionTotal{System: r.System, Counts: make([]int, len(l.f.Columns))})
		}
		for c, n := range r.Counts {
			l.out.Systems[i].Counts[c] += n
			l.out.Totals[c] += n
		}
	}
}
