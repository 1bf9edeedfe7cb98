package intake

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Read turns the project's lists into equipment: one Equipment a machine, in
// the order of the documents, with every finding about what was read. The
// error is a *FileError: a file that holds no table that can be read at all.
func Read(lib *library.Library, p *model.Project) ([]model.Equipment, []finding.Finding, error) {
	return newReader(lib).project(p)
}

// project reads all lists of a project.
func (r *reader) project(p *model.Project) ([]model.Equipment, []finding.Finding, error) {
	say := &says{}
	in := &drafted{say: say, tables: map[string]int{}}
	joined := map[string]bool{} // files read as a whole
	for i := range p.Sheets {
		file := p.Sheets[i].File
		if whole, seen := joined[file]; whole {
			continue
		} else if !seen {
			c := cobieOf(p.Sheets, file)
			if joined[file] = c != nil; c != nil {
				in.tables[file]++
				r.cobieDrafts(p, c, in, i)
				continue
			}
		}
		r.readSheet(p, i, in)
	}
	for _, sheet := range p.Sheets {
		if in.tables[sheet.File] == 0 {
			return nil, nil, r.noTable(p, sheet.File)
		}
	}
	if len(p.Sheets) == 0 && !slices.ContainsFunc(p.Overrides, func(o model.EquipmentOverride) bool { return o.Add }) {
		return nil, nil, &FileError{Message: "there is no equipment list", Fix: "name a .csv or .xlsx file that holds one"}
	}
	list := r.join(in)
	list = r.overrides(p, list, say)
	known := rosterOf(list)
	out := make([]model.Equipment, 0, len(list))
	for _, d := range list {
		out = append(out, r.equipment(p, d, known, say))
	}
	pairUp(p, out, say)
	unplannedTies(out, say)
	r.plausible(out, say)
	r.remind(p, out, say)
	return out, finding.Gather(say.list), nil
}

// readSheet reads every table of one sheet.
func (r *reader) readSheet(p *model.Project, i int, in *drafted) {
	sheet := &p.Sheets[i]
	if sheet.Hidden {
		in.say.add(finding.Note, "hidden-sheet", sheet.File+" "+sheet.Name, &model.Where{File: sheet.File, Sheet: sheet.Name}, "show the sheet if it belongs to the list", "the sheet is hidden and was not read")
		return
	}
	list := slices.IndexFunc(p.Sheets, func(s model.Sheet) bool { return s.File == sheet.File })
	late := slices.ContainsFunc(p.Inputs, func(one model.Input) bool { return one.File == sheet.File && one.Role == "addendum" })
	alternate := slices.ContainsFunc(p.Inputs, func(one model.Input) bool { return one.File == sheet.File && one.Role == "alternate" })
	for _, t := range r.tables(sheet) {
		in.tables[sheet.File]++
		r.describe(t)
		r.byCells(t, in.say)
		r.reportHeadings(t, in.say)
		t.hiddenColumns(in.say)
		from := len(in.drafts)
		r.rowsOf(t, in, list)
		for _, d := range in.drafts[from:] {
			d.addendum = d.addendum || late
			if _, said := d.fields["bid"]; alternate && !said {
				d.fields["bid"] = cell{text: "alternate", where: d.where}
			}
		}
	}
}

// reportHeadings tells which columns were not understood and which were read
// although another column holds the same.
func (r *reader) reportHeadings(t *table, say *says) {
	first := map[string]column{}
	var passed []column
	for _, c := range t.columns {
		where := c.where
		subject := where.String()
		name := tidy(c.heading.text)
		switch c.heading.use() {
		case "":
			if c.heading.parts != nil {
				continue
			}
			if field := r.byUnit(r.dimensionOf(c.heading.unit)); field != nil {
				say.add(finding.Caution, "unknown-heading", subject, &where, fmt.Sprintf("write %q if that is meant", field.Name), "the heading %q is not known, though its unit (%s) is one of %s; the column is kept but not used", name, c.heading.unit, r.dimensionOf(c.heading.unit))
			} else if near := r.nearestHeading(name); near != "" {
				say.add(finding.Caution, "unknown-heading", subject, &where, fmt.Sprintf("write %q if that is meant", near), "the heading %q is not known; the column is kept but not used", name)
			} else if text := r.speaksOfControl(t, c.number); text != "" {
				say.add(finding.Caution, "unknown-heading", subject, &where, `write "control" as the heading if that is meant`, "the heading %q is not known, and its cells speak of how the machines are controlled (%q); the column is kept but not used", name, text)
			} else {
				say.add(finding.Note, "unknown-heading", subject, &where, "rename the column if the job needs it", "the heading %q is not known; the column is kept but not used", name)
			}
		case library.UseField:
			other, twice := first[c.heading.field.ID]
			if role, grouped := t.fanGroups()[c.number]; twice && grouped && role != t.fanGroups()[other.number] {
				continue // the second fan's
			}
			if twice {
				severity, differ := finding.Note, ""
				if c.heading.is("airflow") || c.heading.is("power") {
					differ = t.firstDiffering(other.number, c.number)
				}
				if differ != "" { // MAX CFM 900 beside FAN CFM 600: the list does not say which is the fan's
					severity = finding.Caution
				}
				f := say.add(severity, "assumed", subject, &where, "name the columns apart if the other one is meant", "%q and %q are both read as %s; the first that holds a value is used%s", tidy(other.heading.text), name, c.heading.field.Name, differ)
				f.Others = []model.Where{other.where}
				continue
			}
			first[c.heading.field.ID] = c
		case library.UseNotNeeded:
			passed = append(passed, c)
		}
	}
	if len(passed) == 0 {
		return
	}
	var names []string
	for _, c := range passed {
		names = append(names, fmt.Sprintf("%q", tidy(c.heading.text)))
	}
	where := passed[0].where
	say.add(finding.Note, "columns-not-used", where.String(), &where, `rename one that says more: "BAS panel" for the controls panel, "remarks" for words`,
		"points, wiring and checks need nothing of %s; the cells are kept as typed", strings.Join(names, ", "))
}

// firstDiffering names the first row in which two columns of one field hold
// different figures, as the end of a sentence; "" if there is none.
func (t *table) firstDiffering(a, b int) string {
	for _, i := range t.rows {
		row := t.grid.rows[i]
		x, y := tidy(row.cells[a]), tidy(row.cells[b])
		if strings.ContainsAny(x, "0123456789") && strings.ContainsAny(y, "0123456789") && !strings.EqualFold(x, y) {
			return fmt.Sprintf(", though they differ (%s: %s and %s)", t.grid.at(row.number, a).Cell, x, y)
		}
	}
	return ""
}

// speaksOfControl returns the first cell of a column that some rule about
// control, speed, motor, drive or damper would understand, so that such a
// column is not passed over quietly; "" if there is none.
func (r *reader) speaksOfControl(t *table, column int) string {
	for _, i := range t.rows {
		text := t.grid.rows[i].cells[column]
		if text == "" {
			continue
		}
		words := phrase(text)
		for _, about := range []string{"control", "speed", "motor_type", "drive", "damper"} {
			for _, k := range r.about[about] {
				if slices.ContainsFunc(r.rules[k].words, func(w string) bool { return strings.Contains(words, w) }) {
					return tidy(text)
				}
			}
		}
	}
	return ""
}

// noTable is the error of a file without a table: it says what the file seems
// to lack.
func (r *reader) noTable(p *model.Project, file string) error {
	var names []string
	for i := range p.Sheets {
		if p.Sheets[i].File != file {
			continue
		}
		for _, row := range newGrid(&p.Sheets[i]).rows[:min(len(newGrid(&p.Sheets[i]).rows), 30)] {
			if fields := r.fieldsOf(row); len(fields) >= 2 {
				return &FileError{file, "has no tag column (it heads " + strings.Join(fields, ", ") + ")", `head the column of the machines' names "TAG"`}
			}
			if len(row.sorted) > 1 && len(names) == 0 {
				for _, c := range row.sorted[:min(len(row.sorted), 6)] {
					names = append(names, tidy(row.cells[c]))
				}
			}
		}
	}
	message := "holds no table with a tag column"
	if len(names) > 0 {
		message += " (its first row reads: " + strings.Join(names, " | ") + ")"
	}
	return &FileError{file, message, `head the columns TAG, SERVICE, CFM and so on`}
}

// fieldsOf lists the headings of a row that are fields.
func (r *reader) fieldsOf(row gridRow) []string {
	var out []string
	if r.dataLike(row) {
		return nil
	}
	for _, c := range row.sorted {
		if h := r.heading([]string{row.cells[c]}); h.use() == library.UseField {
			out = append(out, tidy(row.cells[c]))
		}
	}
	return out
}
