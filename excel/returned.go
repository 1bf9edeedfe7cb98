package excel

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// ErrNotIssued says that a file is a workbook, but none that this program
// issued, so nothing in it can be told from its keys.
var ErrNotIssued = errors.New("is not a workbook that was issued from here: it has neither our mark nor a point schedule with keys")

// ErrOtherPlan says that a workbook was issued from here for something else.
var ErrOtherPlan = errors.New("was issued for another project")

// ReadReturned reads a workbook that came back and says what people did to it,
// held against the present plan: answers, changed values, own columns and
// sheets, notes, added and missing rows, each with its cell. Rows are known by
// their key, so sorting, filtering and moving do not matter; a cell that still
// says what was issued is no edit, even where the plan has moved on since.
// Nothing is applied. A workbook that cannot be read in full is an error.
func ReadReturned(file string, data []byte, plan *model.Plan) (*model.Returned, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	b, err := p.openBook()
	if err != nil {
		return nil, err
	}
	r := &returnReader{book: b, plan: plan, out: &model.Returned{File: file,
		Layout: model.Layout{Order: map[string][]string{}, Widths: map[string]map[string]float64{}}}}
	if err := r.readAbout(); err != nil {
		return nil, err
	}
	return r.out, r.read()
}

// returnReader reads one returned workbook.
type returnReader struct {
	book    *openedBook
	plan    *model.Plan
	out     *model.Returned
	copy    string              // whose copy it is
	columns map[string][]string // sheet → ids of the marked columns as issued
	marked  bool                // our mark was found
	issue   string              // the issue as printed

	rowsHeld, rowsKnown int // rows with keys of the point schedule, and those that the plan has
}

// readAbout finds what was issued: in the hidden sheet, the hidden name or the
// custom property, whichever survived.
func (r *returnReader) readAbout() error {
	r.columns = map[string][]string{}
	for _, ref := range r.book.sheets {
		if ref.name != aboutSheetName {
			continue
		}
		_, err := r.book.readGrid(ref, func(line rawRow) error {
			var words []string
			for _, c := range line.cells {
				words = append(words, c.text)
			}
			switch {
			case len(words) == 2 && words[0] == "fingerprint":
				r.out.Fingerprint = words[1]
			case len(words) == 2 && words[0] == "copy":
				r.copy = words[1]
			case len(words) == 2 && words[0] == "issue":
				r.issue = words[1]
			case len(words) > 2 && words[0] == "columns":
				r.columns[words[1]] = words[2:]
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	if r.out.Fingerprint == "" {
		r.out.Fingerprint = strings.Trim(strings.TrimPrefix(r.book.names[fingerprintName], "="), `"`)
	}
	if r.out.Fingerprint == "" {
		r.out.Fingerprint, _ = r.book.fingerprint()
	}
	r.marked = r.out.Fingerprint != ""
	r.out.Current = r.out.Fingerprint == Fingerprint(r.plan)
	if _, ok := leftOut[r.copy]; !ok {
		r.copy = "vendor"
	}
	return nil
}

// expectation is a sheet as the present plan would issue it.
type expectation struct {
	name    string
	columns []column
	key     int
	rows    map[string][]string // key → cells as text
	order   []string
	marks   map[string]string // mark → key, where the mark names one row only
	lines   map[string]bool   // rows of a sheet without keys, joined
	texts   map[string]bool   // single cells of such a sheet
}

// expect makes the sheets that the present plan would issue for the same people.
func (r *returnReader) expect() map[string]*expectation {
	out := map[string]*expectation{}
	is := r.showsRevisions(newIssued(r.plan, Options{For: r.copy}))
	for _, s := range is.sheets() {
		if s.name == aboutSheetName {
			continue
		}
		e := &expectation{name: s.name, columns: s.columns, key: s.key, rows: map[string][]string{}, marks: map[string]string{},
			lines: map[string]bool{}, texts: map[string]bool{}}
		out[s.name] = e
		head := s.key >= 0
		for line := range s.rows {
			if head {
				head = false
				continue
			}
			if s.key < 0 {
				e.keepLine(line)
				continue
			}
			words := make([]string, len(line.cells))
			for i, v := range line.cells {
				words[i] = plainWords(v)
			}
			key := words[s.key]
			e.rows[key] = words
			e.order = append(e.order, key)
			m := words[len(words)-1]
			if _, twice := e.marks[m]; twice {
				key = ""
			}
			e.marks[m] = key
		}
	}
	if cover := out["Cover"]; cover != nil { // it names every sheet of its issue, also those that this plan has no use for
		for name, words := range sheetWords {
			cover.texts[name], cover.texts[words] = true, true
		}
	}
	return out
}

func (e *expectation) keepLine(line row) {
	var words []string
	for _, v := range line.cells {
		if w := canonical(plainWords(v)); w != "" {
			words = append(words, w)
			e.texts[w] = true
		}
	}
	e.lines[strings.Join(words, "\x1f")] = true
}

// read goes through the sheets.
func (r *returnReader) read() error {
	expected := r.expect()
	present := map[string]bool{}
	for _, ref := range r.book.sheets {
		if _, ours := expected[ref.name]; ours {
			present[ref.name] = true
		}
	}
	knew := false
	for _, ref := range r.book.sheets {
		if ref.name == aboutSheetName {
			continue
		}
		if ref.name == keptSheetName {
			if err := r.readKept(ref); err != nil {
				return err
			}
			continue
		}
		e := expected[ref.name]
		copied := false
		if e == nil {
			name, err := r.resembles(ref, expected)
			if err != nil {
				return err
			}
			if name != "" && !present[name] {
				e, present[name] = expected[name], true
			} else if name != "" {
				copied = true
				r.say("returned-sheet-copied", finding.Caution, ref.name, fmt.Sprintf("Sheet %q looks like a copy of %q; only %q is read", ref.name, name, name),
					"Carry what was written in the copy over to the first sheet", model.Where{File: r.out.File, Sheet: ref.name})
			}
		}
		switch {
		case e == nil || copied:
			if err := r.foreign(ref, copied || !unkeyedName(ref.name)); err != nil {
				return err
			}
		case e.key >= 0:
			knew = true
			if err := r.keyedSheet(ref, e); err != nil {
				return err
			}
		default:
			if err := r.readingSheet(ref, e); err != nil {
				return err
			}
		}
	}
	if !knew && !r.marked {
		return ErrNotIssued
	}
	if r.rowsHeld > 0 && r.rowsKnown == 0 {
		return fmt.Errorf("%w: none of the %d points of its schedule is in this plan", ErrOtherPlan, r.rowsHeld)
	}
	for _, name := range sortedKeys(expected) {
		if e := expected[name]; e.key >= 0 && !present[name] && len(e.order) > 0 && !slices.Contains(leftOut[r.copy], name) {
			r.say("returned-sheet-gone", finding.Caution, name, fmt.Sprintf("Sheet %q did not come back", name),
				"Ask for it if answers were expected there", model.Where{File: r.out.File})
		}
	}
	return nil
}

// unkeyedName reports whether a sheet carries the name of one of ours that
// the present plan has no use for.
func unkeyedName(name string) bool {
	_, ours := sheetWords[name]
	return ours || name == "Cover"
}

func (r *returnReader) say(code string, severity finding.Severity, subject, message, fix string, where model.Where) {
	f := finding.Finding{Code: code, Severity: severity, Subject: subject, Message: message, Fix: fix}
	r.out.Findings = append(r.out.Findings, f.At(where))
}

// headingScan is how many rows are looked through for a heading.
const headingScan = 40

// resembles names the sheet with keys whose headings a sheet mostly carries.
func (r *returnReader) resembles(ref sheetRef, expected map[string]*expectation) (string, error) {
	var rows [][]string
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		if len(rows) < headingScan {
			var words []string
			for _, c := range line.cells {
				words = append(words, fold(c.text))
			}
			rows = append(rows, words)
		}
		return nil
	})
	if err != nil {
		return "", err
	}
	best, most := "", 0
	for _, name := range sortedKeys(expected) {
		e := expected[name]
		if e.key < 0 {
			continue
		}
		for _, words := range rows {
			hits := 0
			for _, c := range e.columns {
				if slices.Contains(words, fold(c.title)) {
					hits++
				}
			}
			if hits*10 >= len(e.columns)*6 && hits > most {
				best, most = name, hits
			}
		}
	}
	return best, nil
}

// fold is the form in which headings are compared.
func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// foreign keeps a sheet that is none of ours, as typed.
func (r *returnReader) foreign(ref sheetRef, keepIt bool) error {
	sheet := model.Sheet{File: r.out.File, Name: ref.name, Hidden: ref.hidden}
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		row := model.Row{Number: line.number, Hidden: line.hidden}
		for _, c := range line.cells {
			row.Cells = append(row.Cells, model.Cell{Column: c.column, Text: c.text, Number: c.number, Format: c.format, Formula: c.formula != ""})
		}
		if len(row.Cells) > 0 {
			sheet.Rows = append(sheet.Rows, row)
		}
		return nil
	})
	if err == nil && keepIt && len(sheet.Rows) > 0 {
		r.out.Layout.Sheets = append(r.out.Layout.Sheets, sheet)
	}
	return err
}

// mostStrayCells is how many edited cells of a reading sheet are named one by one.
const mostStrayCells = 50

// readingSheet looks for cells that people typed into a sheet without keys.
// Where the plan has moved on since, what was issued there is not known any more.
func (r *returnReader) readingSheet(ref sheetRef, e *expectation) error {
	if !r.out.Current {
		return nil
	}
	strays := 0
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		var words []string
		for _, c := range line.cells {
			if w := cellWords(c); w != "" {
				words = append(words, w)
			}
		}
		if len(words) == 0 || e.lines[strings.Join(words, "\x1f")] {
			return nil
		}
		for _, c := range line.cells {
			w := cellWords(c)
			if w == "" || e.texts[w] || c.formula != "" {
				continue
			}
			if strays++; strays > mostStrayCells {
				continue
			}
			r.say("returned-sheet-edited", finding.Caution, e.name, fmt.Sprintf("%q was written on a sheet that is for reading", clip([]byte(w))),
				"Carry it over to the point schedule or the project file if it is meant", r.where(ref, c.column, line.number))
		}
		return nil
	})
	if strays > mostStrayCells {
		r.say("returned-sheet-edited", finding.Caution, e.name, fmt.Sprintf("%d more cells of sheet %q were edited", strays-mostStrayCells, e.name),
			"Compare the sheet by eye", model.Where{File: r.out.File, Sheet: ref.name})
	}
	return err
}

func (r *returnReader) where(ref sheetRef, column, row int) model.Where {
	return model.Where{File: r.out.File, Sheet: ref.name, Cell: cellName(column, row)}
}
