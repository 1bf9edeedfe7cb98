package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

func interlockSheet(is *issued) *sheet {
	type I = *model.Interlock
	s := tableSheet("Interlocks", "InterlockList", rowsOf(is.plan.Interlocks), listColumns(
		col("from", "From", 12, 22, func(i I) string { return i.From }),
		col("signal", "Signal", 12, 22, func(i I) string { return i.Signal }),
		col("action", "Makes it", 10, 18, func(i I) string { return i.Action }),
		col("to", "To", 12, 22, func(i I) string { return i.To }),
		col("hard", "By circuit", 9, 12, func(i I) string { return told(i.Hard, "by circuit", "by sequence") }),
		col("energise", "Energise to act", 11, 14, func(i I) string { return told(i.Energise, "energise", "de-energise") }),
		col("supervised", "Supervised", 11, 12, func(i I) string { return told(i.Supervised, "yes", "no") }),
		col("leg", "Acts in", 9, 12, func(i I) string { return i.Leg }),
		col("fail", "When the wire fails", 11, 24, func(i I) string { return i.Fail }),
		col("owner", "Owner", 10, 18, func(i I) string { return i.Owner }),
		col("reason", "Reason", 16, 44, func(i I) string { return i.Reason }),
		col("caution", "Caution", 9, 17, func(i I) string { return safety(is.danger[i.From] || is.danger[i.To]) }),
		col("where", "Read from", 14, 28, func(i I) string { return place(i.Where) }),
	))
	s.across = 1
	return s.printTo("caution")
}

// told prints a yes or no that may not have been stated.
func told(b *bool, yes, no string) string {
	switch {
	case b == nil:
		return "not stated"
	case *b:
		return yes
	}
	return no
}

func causeEffectSheet(is *issued) *sheet {
	type R = *model.CauseEffectRow
	fields := listColumns(col("equipment", "Equipment", 11, 18, func(r R) string { return r.Equipment }).leading(func(r R) target { return is.toEquipment(r.Equipment) }))
	for i, event := range is.plan.CauseEffect.Events {
		fields = append(fields, col(fmt.Sprint("event-", i), event, 10, 34, func(r R) string {
			if i < len(r.Effects) {
				return r.Effects[i]
			}
			return ""
		}))
	}
	fields = append(fields, col("caution", "Caution", 9, 17, func(r R) string { return safety(r.LifeSafety) }))
	return tableSheet("Cause and effect", "CauseAndEffect", rowsOf(is.plan.CauseEffect.Rows), fields)
}

func restartSheet(is *issued) *sheet {
	type R = *model.RestartStep
	return tableSheet("Restart order", "RestartList", rowsOf(is.plan.Restart), listColumns(
		col("equipment", "Equipment", 11, 18, func(r R) string { return r.Equipment }).leading(func(r R) target { return is.toEquipment(r.Equipment) }),
		num("number", "Start no.", 8, func(r R) (float64, bool) { return float64(r.Number), r.Number > 0 }),
		num("after", "After the first (s)", 10, func(r R) (float64, bool) {
			if r.AfterSeconds == nil {
				return 0, false
			}
			return *r.AfterSeconds, true
		}),
		col("starter", "Started by", 10, 20, func(r R) string { return r.StartedBy }),
		col("waits", "Waits for", 11, 24, func(r R) string { return strings.Join(r.WaitsFor, ", ") }),
		col("return", "When power is back, its device", 16, 34, func(r R) string { return r.OnReturn }),
		col("emergency", "Emergency power", 10, 14, func(r R) string { return told(r.Emergency, "yes", "no") }),
		col("caution", "Caution", 9, 17, func(r R) string { return safety(r.LifeSafety) }),
	))
}

// truthSheet prints each different truth table once, under the tags it holds for.
func truthSheet(is *issued) *sheet {
	type group struct {
		tags  []string
		table *model.TruthTable
	}
	var groups []*group
	at := map[string]*group{}
	wide := 1
	for i := range is.plan.TruthTables {
		t := &is.plan.TruthTables[i]
		key := fmt.Sprintf("%q%t", []any{t.Inputs, t.Outputs, t.Rows, t.Precedence, t.HeldAtRest}, t.LifeSafety)
		wide = max(wide, len(t.Inputs)+len(t.Outputs)+1)
		if g, ok := at[key]; ok {
			g.tags = append(g.tags, t.Equipment)
			continue
		}
		g := &group{[]string{t.Equipment}, t}
		at[key] = g
		groups = append(groups, g)
	}
	var rows []row
	var blocks []span2
	for _, g := range groups {
		from := len(rows) + 1
		rows = append(rows, truthTable(g.tags, g.table, wide)...)
		blocks = append(blocks, span2{first: from, last: len(rows)})
		rows = append(rows, row{})
	}
	s := pageSheet("Truth tables", rows)
	for range wide {
		s.columns = append(s.columns, column{least: 11, most: truthWidth, look: lookPlain})
	}
	s.breaks = breaksBetween(rows, blocks, wide)
	return s
}

// truthWidth is how wide a column of a truth table gets.
const truthWidth = 18

// truthTable is one table under the tags it holds for.
func truthTable(tags []string, t *model.TruthTable, wide int) []row {
	rows := []row{{cells: pad([]value{text(strings.Join(tags, ", ")).as(lookSection)}, wide, lookSection)}}
	if t.LifeSafety {
		rows = append(rows, row{cells: []value{text(safety(true)).as(lookPlain)}})
	}
	if len(t.Precedence) > 0 {
		for _, line := range broken("First wins: "+strings.Join(t.Precedence, " > "), wide*(truthWidth-4)) {
			rows = append(rows, row{cells: []value{text(line).as(lookPlain)}})
		}
	}
	if len(t.HeldAtRest) > 0 {
		for _, line := range broken("At rest in every row: "+strings.Join(t.HeldAtRest, ", "), wide*(truthWidth-4)) {
			rows = append(rows, row{cells: []value{text(line).as(lookPlain)}})
		}
	}
	var head []value
	for _, h := range slices.Concat(t.Inputs, t.Outputs, []string{"Why"}) {
		head = append(head, text(h).as(lookHead))
	}
	rows = append(rows, row{cells: head})
	for _, r := range t.Rows {
		var cells []value
		for _, v := range slices.Concat(r.Inputs, r.Outputs, []string{r.Why}) {
			cells = append(cells, text(v).as(lookText))
		}
		rows = append(rows, row{cells: cells})
	}
	return rows
}

// broken breaks a text at blanks into lines of so many characters.
func broken(s string, most int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		if line != "" && len(line)+1+len(word) > most {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}

// breaksBetween gives the rows that begin a page so that no block is cut in two
// which fits on one. Heights are those of a page of letter lying down, a little
// short, as programs differ in their lines.
func breaksBetween(rows []row, blocks []span2, wide int) []int {
	const page, across = 460.0, 140.0 // points; characters across at full size
	room := page * max(1, float64(wide*truthWidth)/across)
	var out []int
	used := 0.0
	for _, b := range blocks {
		high := 0.0
		for _, r := range rows[b.first-1 : b.last] {
			most := 1
			for _, c := range r.cells {
				if c.look == lookText || c.look == lookHead {
					most = max(most, lines(c.text, truthWidth-1, 1))
				}
			}
			high += float64(most)*lineHeight + rowMargin
		}
		if used > 0 && used+high > room {
			out, used = append(out, b.first), 0
		}
		for used += high + lineHeight; used > room; {
			used -= room
		}
	}
	return out
}

// pad fills a row to a width with empty cells of a look.
func pad(cells []value, wide int, l look) []value {
	for len(cells) < wide {
		cells = append(cells, value{look: l})
	}
	return cells
}

// pageSheet is a sheet made of given rows: no table, no grid.
func pageSheet(name string, rows []row) *sheet {
	return &sheet{name: name, rows: slices.Values(rows), count: len(rows), plain: true, across: 1, key: -1}
}

// part is one paragraph of one equipment's sequence.
type part struct {
	of    *model.Sequence
	paper *model.SequencePart
}

func sequenceSheet(is *issued) *sheet {
	var list []part
	for i := range is.plan.Sequences {
		q := &is.plan.Sequences[i]
		for k := range q.Paragraphs {
			list = append(list, part{q, &q.Paragraphs[k]})
		}
	}
	s := tableSheet("Sequences", "SequenceList", list, listColumns(
		col("equipment", "Equipment", 11, 24, func(p part) string { return p.of.Equipment }),
		col("heading", "Heading", 14, 26, func(p part) string { return p.paper.Heading }),
		col("text", "Sequence", 40, 84, func(p part) string { return p.paper.Text }),
		col("caution", "Caution", 9, 17, func(p part) string { return safety(p.of.LifeSafety) }),
	))
	s.across = 1
	return s
}

// step is one step of one equipment's test.
type step struct {
	of   *model.FunctionalTest
	step *model.TestStep
}

func testSheet(is *issued) *sheet {
	var list []step
	for i := range is.plan.Tests {
		t := &is.plan.Tests[i]
		for k := range t.Steps {
			list = append(list, step{t, &t.Steps[k]})
		}
	}
	s := keyedSheet(is, tableSpec[step]{name: "Functional tests", table: "TestList", group: func(s step) string { return s.of.Equipment },
		key: func(s step) string { return fmt.Sprintf("%s/test-%d", s.of.Equipment, s.step.Number) }}, list, listColumns(
		col("equipment", "Equipment", 11, 18, func(s step) string { return s.of.Equipment }),
		num("number", "Step", 7, func(s step) (float64, bool) { return float64(s.step.Number), true }),
		col("before", "Before", 16, 32, func(s step) string { return s.step.Before }),
		col("action", "Do this", 20, 40, func(s step) string { return s.step.Action }),
		col("expect", "Expect", 20, 44, func(s step) string { return strings.Join(s.step.Expect, "\n") }),
		col("caution", "Caution", 9, 17, func(s step) string { return safety(s.of.LifeSafety) }),
		fill[step]("result", "Result", 12, results...),
		fill[step]("date", "Date", 12),
		fill[step]("initials", "Initials", 9),
		fill[step]("remark", "Remark", 24),
		col("key", "Key", 14, 26, func(s step) string { return fmt.Sprintf("%s/test-%d", s.of.Equipment, s.step.Number) }),
	))
	s.across = 1 // it is filled in on site
	return s
}

// results is what may be said of a test or a check-out.
var results = []string{"pass", "fail", "not tested"}
