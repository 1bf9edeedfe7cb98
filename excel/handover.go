package excel

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// keptSheetName is the sheet of rows that belong to no point of this issue.
const keptSheetName = "Kept rows"

// checkouts are the points that somebody has to see working on site.
func (is *issued) checkouts() []*model.Point {
	var list []*model.Point
	for _, p := range is.points {
		if p.Carried != model.Software {
			list = append(list, p)
		}
	}
	return list
}

// checkoutSheet is filled in on site: one row a point with a wire or a bus.
func checkoutSheet(is *issued) *sheet {
	type P = *model.Point
	s := keyedSheet(is, tableSpec[P]{name: "Point check-out", table: "CheckOut", key: func(p P) string { return p.Key },
		group: func(p P) string { return p.Equipment }}, is.checkouts(), listColumns(
		col("equipment", "Equipment", 10, 18, func(p P) string { return p.Equipment }),
		col("description", "Description", 18, 34, func(p P) string { return p.Description }),
		col("type", "Type", 7, 8, func(p P) string { return typeShort(p.ObjectType) }),
		col("object_name", "Object name", 14, 28, func(p P) string { return p.ObjectName }),
		col("controller", "Controller", 11, 18, func(p P) string { return p.Controller }),
		col("terminal", "Terminal", 10, 14, func(p P) string { return p.Terminal }),
		col("expect", "Must read", 12, 24, expected),
		col("caution", "Caution", 9, 17, func(p P) string { return safety(p.LifeSafety) }),
		fill[P]("found", "Found", 14).explained("What the point read when it was checked"),
		fill[P]("offset", "Offset", 9).explained("Correction of an analog value, in its units"),
		fill[P]("date", "Date", 12),
		fill[P]("initials", "Initials", 9),
		fill[P]("result", "Result", 12, results...),
		fill[P]("remark", "Remark", 24),
		col("key", "Key", 14, 30, func(p P) string { return p.Key }).leading(func(p P) target { return is.toPoint(p.Key) }),
	))
	s.printed, s.across = columnIndex(s.columns, "remark")+1, 1 // it is filled in on site
	return s
}

// expected is what a point may read: its states, or its range with units.
func expected(p *model.Point) string {
	if len(p.States) > 0 {
		return strings.Join(p.States, " / ")
	}
	return strings.TrimSpace(span(p.Range) + " " + p.Units)
}

// objectNumbers are the object types by number (ASHRAE 135, clause 21, BACnetObjectType).
var objectNumbers = map[string]int{model.AnalogInput: 0, model.AnalogOutput: 1, model.AnalogValue: 2, model.BinaryInput: 3,
	model.BinaryOutput: 4, model.BinaryValue: 5, model.MultiStateInput: 13, model.MultiStateOutput: 14, model.MultiStateValue: 19}

// given is a number that may be missing, as a numeric column takes it.
func given[N int | float64](n *N) (float64, bool) {
	if n == nil {
		return 0, false
	}
	return float64(*n), true
}

// objectSheet lists the objects that a controller has to hold.
func objectSheet(is *issued) *sheet {
	type P = *model.Point
	byID := map[string]*model.Alarm{}
	for i := range is.plan.Alarms {
		byID[is.plan.Alarms[i].ID] = &is.plan.Alarms[i]
	}
	alarms := func(get func(*model.Alarm) string) func(P) string {
		return func(p P) string {
			var list []string
			for _, id := range p.Alarms {
				if a, ok := byID[id]; ok {
					list = append(list, get(a))
				}
			}
			return strings.Join(list, "\n")
		}
	}
	holder := map[string]*model.BACnetDevice{}
	for i := range is.plan.Network {
		for _, key := range is.plan.Network[i].Points {
			holder[key] = &is.plan.Network[i]
		}
	}
	s := tableSheet("Objects", "ObjectList", is.points, paperFirst(listColumns(
		col("device", "Device", 11, 18, func(p P) string {
			if d, ok := holder[p.Key]; ok {
				return d.ID
			}
			return p.Controller
		}),
		num("device_instance", "Device instance", 9, func(p P) (float64, bool) {
			if d, ok := holder[p.Key]; ok && d.Instance != nil {
				return float64(*d.Instance), true
			}
			return 0, false
		}),
		col("object_name", "Object name", 14, 30, func(p P) string { return p.ObjectName }),
		col("object_type", "Object type", 12, 20, func(p P) string { return p.ObjectType }),
		num("number", "Type number", 9, func(p P) (float64, bool) { n, ok := objectNumbers[p.ObjectType]; return float64(n), ok }),
		num("instance", "Instance", 9, func(p P) (float64, bool) {
			if p.Instance == nil {
				return 0, false
			}
			return float64(*p.Instance), true
		}),
		col("description", "Description", 18, 36, func(p P) string { return p.Description }),
		col("units", "Units", 10, 20, func(p P) string { return p.Units }),
		num("low", "Lowest value", 9, func(p P) (float64, bool) {
			if p.Range == nil {
				return 0, false
			}
			return p.Range.Lo, true
		}),
		num("high", "Highest value", 9, func(p P) (float64, bool) {
			if p.Range == nil {
				return 0, false
			}
			return p.Range.Hi, true
		}),
		col("states", "State texts", 12, 26, func(p P) string { return strings.Join(p.States, " / ") }),
		col("polarity", "Polarity", 9, 10, func(p P) string { return p.Polarity }),
		col("relinquish", "Relinquish default", 11, 14, func(p P) string { return p.RelinquishDefault }),
		num("priority", "Command priority", 9, func(p P) (float64, bool) { return given(p.Priority) }),
		num("cov_increment", "COV increment", 9, func(p P) (float64, bool) { return given(p.COVIncrement) }),
		col("algorithm", "Event algorithm", 12, 20, alarms(func(a *model.Alarm) string { return a.Algorithm })),
		col("classes", "Notification class", 11, 12, alarms(func(a *model.Alarm) string { return fmt.Sprint(a.Class) })),
		col("feedback", "Feedback from", 12, 24, func(p P) string { return p.Feedback }),
		col("trend", "Trend", 10, 20, func(p P) string { return p.Trend }),
		col("caution", "Caution", 9, 17, func(p P) string { return safety(p.LifeSafety) }),
		col("key", "Key", 14, 30, func(p P) string { return p.Key }).leading(func(p P) target { return is.toPoint(p.Key) }),
	), "object_name", "device", "object_type", "instance", "description", "units", "low", "high", "states", "relinquish", "caution"))
	return s.printTo("caution")
}

// functionSheet is the list of functions as the plan has it, with totals below.
// Functions that no point of the plan has are left out: the list knows more
// columns than a page is wide.
func functionSheet(is *issued) *sheet {
	list := &is.plan.Functions
	type F = *model.FunctionRow
	rows := make([]F, len(list.Rows))
	for i := range list.Rows {
		rows[i] = &list.Rows[i]
	}
	note := "Follows " + list.Edition + ".\n" + strings.Join(list.NotClaimed, "\n")
	fields := listColumns(
		col("point", "Point", 16, 30, func(f F) string { return f.Point }).leading(func(f F) target { return is.toPoint(f.Point) }).explained(note),
	)
	total := []value{text("Total").as(lookTotalText)}
	for i, c := range list.Columns {
		if list.Totals[i] == 0 {
			continue
		}
		fields = append(fields, field[F]{column{id: "f" + c.ID, title: c.ID + " " + c.Name, least: 9, most: 12, look: lookCount, note: c.Group}, func(f F) value {
			if f.Counts[i] == 0 {
				return value{}
			}
			return count(f.Counts[i])
		}})
		letter := columnName(len(fields))
		total = append(total, formula(fmt.Sprintf("SUM(%s2:%s%d)", letter, letter, len(rows)+1), float64(list.Totals[i])).as(lookTotal))
	}
	last := fields[len(fields)-1].id
	fields = append(fields, col("remarks", "Remarks", 12, 100, func(f F) string { return f.Remarks }),
		col("equipment", "Equipment", 10, 18, func(f F) string { return f.Equipment }),
		col("system", "System", 9, 32, func(f F) string { return f.System }))
	s := tableSheet("Function list", "FunctionList", rows, fields).printTo(last)
	body := s.rows
	s.rows = func(yield func(row) bool) {
		for r := range body {
			if !yield(r) {
				return
			}
		}
		yield(row{cells: total})
	}
	s.below, s.count = 1, s.count+1
	return s
}

// question is a line of the clarifications sheet.
type question struct {
	key, kind, subject, words, ask string
	where                          *model.Where
	row                            int // row of the finding; 0 none
}

// questions are what has to be settled before the schedule can be relied on:
// assumptions to confirm, findings to decide, disagreements to ask about.
func (is *issued) questions() []question {
	var list []question
	seen := map[string]int{}
	add := func(q question) {
		q.key = strings.TrimSuffix(strings.TrimSpace(q.key), ":") // programs drop blanks at the end
		if seen[q.key]++; seen[q.key] > 1 {
			q.key = fmt.Sprintf("%s (%d)", q.key, seen[q.key])
		}
		list = append(list, q)
	}
	for i := range is.plan.Findings {
		f := &is.plan.Findings[i]
		q := question{key: f.Code + ": " + f.Subject, kind: "question", subject: subjects(f), words: f.Message, ask: f.Fix, where: f.Where, row: i + 2}
		if f.Severity == finding.Note {
			q.kind, q.ask = "assumption", "Confirm, or say what holds instead"
		}
		add(q)
	}
	for i := range is.plan.Differences {
		if d := &is.plan.Differences[i]; d.Ask != "" {
			add(question{key: d.Code + ": " + d.Subject + " " + d.Field, kind: "question", subject: d.Subject, words: d.Message, ask: d.Ask, where: d.Where})
		}
	}
	return list
}

func clarificationSheet(is *issued) *sheet {
	s := keyedSheet(is, tableSpec[question]{name: "Clarifications", table: "ClarificationList", key: func(q question) string { return q.key }},
		is.questions(), listColumns(
			col("kind", "Kind", 11, 13, func(q question) string { return q.kind }).leading(func(q question) target { return to(findingSheetName, q.row) }),
			col("subject", "Subject", 12, 28, func(q question) string { return q.subject }),
			col("words", "What stands open", 30, 58, func(q question) string { return q.words }),
			col("ask", "What is asked", 20, 34, func(q question) string { return q.ask }),
			col("where", "Where", 14, 28, func(q question) string { return place(q.where) }),
			fill[question]("answer", "Answer", 32),
			fill[question]("answered_by", "Answered by", 13),
			fill[question]("answer_date", "Answered on", 12),
			fill[question]("answer_status", "Status", 10, "open", "answered", "closed"),
			col("key", "Question key", 18, 40, func(q question) string { return q.key }),
		))
	s.across = 1
	return s.printBeforeKey()
}
