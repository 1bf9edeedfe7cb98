package excel

import (
	"strconv"
	"strings"

	"tallywire/model"
)

// ReadIssued reads the point schedule, the alarms, the controllers and the
// landings of a workbook that was issued from here back into a plan, as far as
// the workbook holds them: points with their key and every column, alarms,
// controllers with their terminals, landings, the issue and the fingerprint's
// project head. It is for comparing issues and for keeping to one; what the
// sheets do not show (places, circuits, proofs) is empty. It wraps ErrNotIssued for any other workbook.
func ReadIssued(file string, data []byte) (*model.Plan, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	b, err := p.openBook()
	if err != nil {
		return nil, err
	}
	r := &returnReader{book: b, plan: &model.Plan{}, out: &model.Returned{File: file}}
	if err := r.readAbout(); err != nil {
		return nil, err
	}
	out := &model.Plan{SchemaVersion: model.SchemaVersion}
	out.Project.Issue = r.issue
	blank := r.showsRevisions(newIssued(r.plan, Options{For: "all"}))
	found := false
	for _, ref := range b.sheets {
		switch ref.name {
		case pointSheetName:
			found = true
			err = r.eachRow(ref, pointSheet(blank), func(get func(id string) string) { out.Points = append(out.Points, issuedPoint(get)) })
		case "Alarms":
			err = r.eachRow(ref, alarmSheet(blank), func(get func(id string) string) { out.Alarms = append(out.Alarms, issuedAlarm(get)) })
		case "Controllers":
			err = r.readControllers(ref, blank, out)
		case "Panels":
			err = r.readPanels(ref, blank, out)
		case "Landings":
			err = r.readLandings(ref, blank, out)
		}
		if err != nil {
			return nil, err
		}
	}
	if !found || !r.marked {
		return nil, ErrNotIssued
	}
	assemble(out)
	return out, nil
}

// eachRow gives every row with a key of a sheet with keys, cells by column id.
func (r *returnReader) eachRow(ref sheetRef, s *sheet, visit func(get func(id string) string)) error {
	return r.eachLine(ref, s, "key", visit)
}

// eachLine gives every row of a sheet that holds something in a column.
func (r *returnReader) eachLine(ref sheetRef, s *sheet, column string, visit func(get func(id string) string)) error {
	t := &returnedTable{returnReader: r, ref: ref, e: &expectation{name: s.name, columns: s.columns}}
	var lines []returnedRow
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		row := returnedRow{number: line.number, cells: make(map[int]rawCell, len(line.cells))}
		for _, c := range line.cells {
			row.cells[c.column] = c
		}
		lines = append(lines, row)
		return nil
	})
	head := t.heading(lines)
	if err != nil || head < 0 {
		return err
	}
	t.identify(lines[head])
	for i := range lines[head+1:] {
		cells := lines[head+1+i].cells
		get := func(id string) string { return cellWords(cells[t.at[id]]) }
		if get(column) != "" {
			visit(get)
		}
	}
	return nil
}

// issuedPoint is a point as its row says it.
func issuedPoint(get func(string) string) model.Point {
	p := model.Point{Key: get("key"), Equipment: get("equipment"), Role: get("role"), ObjectType: get("object_type"), Instance: whole(get("instance")),
		ObjectName: get("object_name"), Description: get("description"), Units: get("units"), Range: interval(get("range")),
		States: parts(get("states"), " / "), Polarity: get("polarity"), ContactSense: get("contact_sense"), FailState: get("fail_state"),
		RelinquishDefault: get("relinquish_default"), Priority: whole(get("priority")), Carried: get("carried"), Signal: get("signal"),
		Need: get("need"), Bid: get("bid"), System: get("system"), FurnishedBy: get("furnished_by"), InstalledBy: get("installed_by"),
		WiredBy: get("wired_by"), ByOthers: get("class") == classByOthers, Controller: get("controller"), Terminal: get("terminal"),
		Panel: get("panel"), Alarms: parts(get("alarms"), "\n"), Trend: get("trend"), Feedback: get("feedback"),
		LifeSafety: get("caution") != "", Rule: get("rule"), Why: get("why")}
	if step, err := strconv.ParseFloat(get("cov_increment"), 64); err == nil {
		p.COVIncrement = &step
	}
	p.Existing = p.Bid == model.Existing
	return p
}

// issuedAlarm is an alarm as its row says it.
func issuedAlarm(get func(string) string) model.Alarm {
	number := func(id string) int {
		if n := whole(get(id)); n != nil {
			return *n
		}
		return 0
	}
	a := model.Alarm{ID: get("key"), Equipment: get("equipment"), Source: get("source"), Algorithm: get("algorithm"), Condition: get("condition"),
		Level: number("level"), Class: number("class"), Priority: number("priority"), ToOffnormal: get("to_offnormal"), ToNormal: get("to_normal"),
		InhibitedBy: parts(get("inhibited"), ", "), LifeSafety: get("caution") != "", Rule: get("rule"), Why: get("why"), FigureSource: get("figures")}
	a.DelaySeconds, _ = strconv.ParseFloat(get("delay"), 64)
	for _, words := range parts(get("parameters"), "; ") {
		name, rest, _ := strings.Cut(words, " = ")
		v, unit, _ := strings.Cut(rest, " ")
		a.Parameters = append(a.Parameters, model.Parameter{Name: name, Value: v, Unit: unit})
	}
	return a
}

func parts(s, sep string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, sep)
}

func whole(s string) *int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return nil
	}
	return &n
}

// interval reads "0 to 100" or "24".
func interval(s string) *model.Interval {
	low, high, ok := strings.Cut(s, " to ")
	if !ok {
		high = low
	}
	a, errA := strconv.ParseFloat(low, 64)
	b, errB := strconv.ParseFloat(high, 64)
	if errA != nil || errB != nil {
		return nil
	}
	return model.Span(a, b)
}
