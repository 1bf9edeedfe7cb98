package excel

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// fill is a column that other people fill in.
func fill[T any](id, title string, width float64, choices ...string) field[T] {
	return field[T]{column{id: id, title: title, least: width, most: width, look: lookInput, input: true, choices: choices}, nil}
}

// listColumns helps to write down the plain columns of a list.
func listColumns[T any](fields ...field[T]) []field[T] { return fields }

func col[T any](id, title string, least, most float64, get func(T) string) field[T] {
	return field[T]{column{id: id, title: title, least: least, most: most, look: lookText}, func(item T) value { return text(get(item)) }}
}

func num[T any](id, title string, least float64, get func(T) (float64, bool)) field[T] {
	return field[T]{column{id: id, title: title, least: least, most: least + 3, look: lookNumber}, func(item T) value {
		if v, ok := get(item); ok {
			return number(v)
		}
		return value{}
	}}
}

func alarmSheet(is *issued) *sheet {
	type A = *model.Alarm
	s := keyedSheet(is, tableSpec[A]{name: "Alarms", table: "AlarmList", key: func(a A) string { return a.ID }}, rowsOf(is.plan.Alarms), paperFirst(withRevisions(is, func(a A) string { return a.ID }, listColumns(
		col("equipment", "Equipment", 10, 18, func(a A) string { return a.Equipment }),
		col("source", "Point", 14, 26, func(a A) string { return a.Source }).leading(func(a A) target { return is.toPoint(a.Source) }),
		col("algorithm", "Event algorithm", 13, 20, func(a A) string { return a.Algorithm }),
		col("condition", "Condition", 20, 32, func(a A) string { return a.Condition }),
		col("parameters", "Parameters", 16, 44, func(a A) string { return parameters(a.Parameters) }),
		num("delay", "Delay, s", 9, func(a A) (float64, bool) { return a.DelaySeconds, true }),
		col("mismatch", "Command and status", 16, 34, func(a A) string { return mismatch(a.Mismatch) }),
		num("level", "Level", 7, func(a A) (float64, bool) { return float64(a.Level), a.Level != 0 }),
		num("class", "Notification class", 12, func(a A) (float64, bool) { return float64(a.Class), a.Class != 0 }),
		num("priority", "Event priority", 9, func(a A) (float64, bool) { return float64(a.Priority), a.Priority != 0 }),
		col("to_offnormal", "Text to off-normal", 20, 34, func(a A) string { return a.ToOffnormal }),
		col("to_normal", "Text to normal", 18, 36, func(a A) string { return a.ToNormal }),
		col("inhibited", "Inhibited by", 14, 32, func(a A) string { return strings.Join(a.InhibitedBy, ", ") }),
		col("why", "Why", 20, 60, func(a A) string { return a.Why }),
		col("figures", "Source of figures", 14, 26, func(a A) string { return a.FigureSource }),
		col("caution", "Caution", 9, 17, func(a A) string { return safety(a.LifeSafety) }),
		col("rule", "Rule", 12, 24, func(a A) string { return a.Rule }),
		fill[A]("vendor_status", "Vendor status", 14, vendorAnswers...),
		fill[A]("vendor_remark", "Vendor remark", 26),
		col("key", "Alarm key", 14, 30, func(a A) string { return a.ID }),
	)), "source", revisedID, "condition", "delay", "class", "priority", "to_offnormal", "inhibited", "caution", "vendor_status", "vendor_remark", "key"))
	s.across = 1
	return s.printBeforeKey()
}

func parameters(list []model.Parameter) string {
	var out []string
	for _, p := range list {
		out = append(out, strings.TrimSpace(p.Name+" = "+p.Value+" "+p.Unit))
	}
	return strings.Join(out, "; ")
}

func findingSheet(is *issued) *sheet {
	type F = *finding.Finding
	severity := field[F]{column{id: "severity", title: "Severity", least: 11, most: 11, look: lookText, verdict: true},
		func(f F) value { return severityCell(f.Severity) }}
	s := tableSheet(findingSheetName, "FindingList", rowsOf(is.plan.Findings), listColumns(
		severity,
		col("code", "Code", 12, 22, func(f F) string { return f.Code }).leading(func(f F) target { return is.toSubject(f) }),
		col("subject", "Subject", 12, 32, func(f F) string { return subjects(f) }),
		col("message", "What was found or assumed", 30, 70, func(f F) string { return f.Message }),
		col("fix", "What to do", 20, 48, func(f F) string { return f.Fix }),
		col("where", "Where", 16, 28, func(f F) string { return place(f.Where) }),
		col("numbers", "Figures", 12, 26, func(f F) string {
			var list []string
			for _, n := range f.Numbers {
				list = append(list, strings.TrimSpace(n.Name+" = "+model.Figure(n.Value)+" "+n.Unit))
			}
			return strings.Join(list, "; ")
		}),
		col("source", "Source", 14, 40, func(f F) string { return f.Source }),
		col("others", "See also", 12, 100, func(f F) string {
			var list []string
			for _, w := range f.Others {
				list = append(list, w.String())
			}
			return strings.Join(list, ", ")
		}),
	))
	return s.printTo("where")
}

func subjects(f *finding.Finding) string {
	if len(f.Subjects) > 0 {
		return strings.Join(f.Subjects, ", ")
	}
	return f.Subject
}

func severityCell(s finding.Severity) value {
	switch s {
	case finding.Fault:
		return text("FAULT").as(lookFault)
	case finding.Caution:
		return text("CAUTION").as(lookCaution)
	case finding.Note:
		return text("note").as(lookNote)
	}
	return text(string(s))
}

func equipmentSheet(is *issued) *sheet {
	type E = *model.Equipment
	quantity := func(id, title string, get func(E) *model.Quantity) field[E] {
		return col(id, title, 9, 14, func(e E) string { return asTyped(get(e)) })
	}
	s := tableSheet("Equipment", "EquipmentList", rowsOf(is.plan.Equipment), listColumns(
		col("tag", "Tag", 10, 18, func(e E) string { return e.Tag }).leading(func(e E) target { return is.toPoint(e.Tag) }),
		col("kind", "Kind", 14, 26, func(e E) string { return e.Kind }),
		col("scheme", "Scheme", 14, 24, func(e E) string { return e.Scheme }),
		col("control", "Control", 12, 24, func(e E) string { return e.Control }),
		col("service", "Serves", 12, 26, func(e E) string { return e.Service }),
		col("location", "Location", 10, 20, func(e E) string { return e.Location }),
		col("system", "System", 9, 18, func(e E) string { return e.System }),
		quantity("airflow", "Airflow", func(e E) *model.Quantity { return e.Ratings.Airflow }),
		quantity("pressure", "Pressure", func(e E) *model.Quantity { return e.Ratings.Pressure }),
		quantity("power", "Motor", func(e E) *model.Quantity { return e.Ratings.Power }),
		quantity("current", "Full-load current", func(e E) *model.Quantity { return e.Ratings.Current }),
		col("electrical", "Electrical service", 10, 16, func(e E) string {
			if e.Ratings.Service == nil {
				return ""
			}
			return e.Ratings.Service.Text
		}),
		col("motor", "Motor type", 9, 14, func(e E) string { return e.Ratings.MotorType }),
		col("damper", "Damper", 9, 14, func(e E) string { return e.Damper.Kind }),
		col("emergency", "Emergency branch", 11, 12, func(e E) string { return yesNo(e.Emergency) }),
		col("duty", "Duty", 9, 12, func(e E) string { return e.Duty }),
		col("fire", "On fire alarm", 9, 14, func(e E) string { return e.FireResponse }),
		col("interlocks", "Interlocked with", 11, 22, func(e E) string { return strings.Join(e.Interlocks, ", ") }),
		col("bid", "Bid", 9, 11, func(e E) string { return e.Bid }),
		col("remarks", "Remarks as typed", 14, 36, func(e E) string { return remarks(e) }),
		col("state", "State", 11, 26, equipmentState),
		col("caution", "Caution", 9, 17, func(e E) string { return safety(is.danger[e.Tag]) }),
		col("where", "Read from", 14, 28, func(e E) string { return place(e.Where) }),
		col("assumed", "Read from the words", 16, 110, evidence),
	))
	s.printed = columnIndex(s.columns, "where") + 1
	return s
}

// asTyped prints a quantity as it stands in the list, with its unit if the
// text has none.
func asTyped(q *model.Quantity) string {
	if q == nil {
		return ""
	}
	if q.Text == "" {
		return strings.TrimSpace(q.Value.String() + " " + q.Unit)
	}
	if strings.ContainsAny(q.Text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ%") {
		return q.Text
	}
	return strings.TrimSpace(q.Text + " " + q.Unit)
}

func yesNo(b *bool) string {
	switch {
	case b == nil:
		return ""
	case *b:
		return "yes"
	}
	return "no"
}

func remarks(e *model.Equipment) string {
	list := []string{}
	if e.Remarks != "" {
		list = append(list, e.Remarks)
	}
	for _, n := range e.Notes {
		list = append(list, n.Text)
	}
	return strings.Join(list, "\n")
}

// evidence tells which words decided a reading.
func evidence(e *model.Equipment) string {
	var list []string
	for _, v := range e.Evidence {
		if v.Won {
			list = append(list, fmt.Sprintf("%s %s (%s)", strings.ReplaceAll(v.About, "_", " "), v.For, v.Words))
		}
	}
	return strings.Join(list, "; ")
}

func equipmentState(e *model.Equipment) string {
	switch {
	case e.OutOfScope != "":
		return "no points: " + e.OutOfScope
	case e.Unresolved:
		return "UNRESOLVED: see findings"
	}
	return "planned"
}

func responsibilitySheet(is *issued) *sheet {
	type R = *model.Responsibility
	return tableSheet("Responsibility", "ResponsibilityList", rowsOf(is.plan.Responsibility), listColumns(
		col("item", "Item", 18, 34, func(r R) string { return r.Item }),
		col("furnish", "Furnish", 10, 16, func(r R) string { return r.Furnish }),
		col("install", "Install", 10, 16, func(r R) string { return r.Install }),
		col("power", "Line power", 10, 16, func(r R) string { return r.Power }),
		col("wire", "Control wire", 10, 16, func(r R) string { return r.Wire }),
		col("terminate", "Terminate", 10, 16, func(r R) string { return r.Terminate }),
		col("setup", "Set up", 10, 16, func(r R) string { return r.SetUp }),
		col("verify", "Verify", 10, 16, func(r R) string { return r.Verify }),
		col("equipment", "Equipment", 16, 50, func(r R) string { return strings.Join(r.Equipment, ", ") }),
		col("source", "Source", 14, 28, func(r R) string { return r.Source }),
	))
}

func differenceSheet(is *issued) *sheet {
	type D = *model.Difference
	severity := field[D]{column{id: "severity", title: "Severity", least: 11, most: 11, look: lookText, verdict: true},
		func(d D) value { return severityCell(d.Severity) }}
	return tableSheet("Cross-check", "CrossCheck", rowsOf(is.plan.Differences), listColumns(
		severity,
		col("subject", "Subject", 10, 20, func(d D) string { return d.Subject }),
		col("field", "Field", 10, 18, func(d D) string { return d.Field }),
		col("ours", "Equipment list says", 12, 24, func(d D) string { return d.Ours }),
		col("theirs", "Other document says", 12, 24, func(d D) string { return d.Theirs }),
		col("message", "What disagrees", 24, 50, func(d D) string { return d.Message }),
		col("likely", "Likely right", 14, 30, func(d D) string { return d.Likely }),
		col("ask", "Question to ask", 16, 40, func(d D) string { return d.Ask }),
		col("where", "Where", 14, 28, func(d D) string { return place(d.Where) }),
		col("other", "Other place", 14, 28, func(d D) string { return place(d.Other) }),
		col("code", "Code", 12, 20, func(d D) string { return d.Code }),
	))
}

// mismatch says how an alarm compares a command with a status.
func mismatch(m *model.Mismatch) string {
	if m == nil {
		return ""
	}
	seconds := func(v float64) string { return model.Figure(v) + " s" }
	text := "differ for " + seconds(m.Seconds)
	hold := max(m.HoldOn, m.HoldOff)
	switch {
	case hold == 0:
		return text
	case m.Serial:
		text += ", counted after the command has stood for "
	default:
		text += ", the command having stood for "
	}
	return text + seconds(hold)
}
