package excel

import (
	"bytes"
	"fmt"
	"io"
	"iter"
	"strings"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// column is one column of a table: its heading, the width it may take in
// characters, and how its cells look.
type column struct {
	id      string // stable name, for choosing columns and for the way back
	title   string
	least   float64
	most    float64
	look    look
	note    string // what the column means; stands at the heading
	hidden  bool
	input   bool     // other people fill it in
	choices []string // what may be filled in; empty anything
	verdict bool     // holds verdicts or severities
}

// field is a column with the way to fill it from an item.
type field[T any] struct {
	column
	get func(T) value
}

// leading makes the cells of a field links. Only short texts should be: some
// programs show a link on one line whatever its length.
func (f field[T]) leading(to func(T) target) field[T] {
	get := f.get
	f.get = func(item T) value { return get(item).leads(to(item)) }
	return f
}

// explained gives a field's heading a note.
func (f field[T]) explained(note string) field[T] {
	f.note = note
	return f
}

// sheet is one worksheet before it is written. Rows are made while they are
// written, once for the widths and once for the file.
type sheet struct {
	name     string
	columns  []column
	rows     iter.Seq[row]
	count    int    // rows in all, heading and rows below the table included
	below    int    // rows below the table: totals
	table    string // name of the native table over heading and rows; "" none
	frozen   int    // rows that stay on screen and repeat on paper
	sideways int    // columns that stay on screen and repeat on paper
	across   int    // pages side by side; 0 by width
	down     int    // pages below each other; 0 as many as it takes
	printed  int    // columns that go on paper; 0 all
	breaks   []int  // rows that begin a new page
	plain    bool   // no grid lines: a page to read, not a table
	hidden   bool
	grouped  bool // rows are grouped under the first of each group
	key      int  // column of the row key; -1 none
	charts   []placedChart
	blocks   [2]span2 // counts: by class, by system
	notes    []note
}

// note is a note at a cell.
type note struct{ cell, words string }

// tableSpec says what a table is, apart from its columns.
type tableSpec[T any] struct {
	name, table string
	key         func(T) string // row key, for the way back; nil none
	group       func(T) string // rows with the same can be folded under the first; nil none
	folded      func(T) bool   // rows that are folded under the one before; nil none
}

// tableSheet makes a sheet that is one native table: a heading and a row for
// each item. A table with keys gets what people wrote before put back into it.
func tableSheet[T any](name, table string, items []T, fields []field[T]) *sheet {
	return keyedSheet(nil, tableSpec[T]{name: name, table: table}, items, fields)
}

func keyedSheet[T any](is *issued, spec tableSpec[T], items []T, fields []field[T]) *sheet {
	s := &sheet{name: spec.name, table: spec.table, frozen: 1, sideways: 1, count: len(items) + 1, key: -1, grouped: spec.group != nil || spec.folded != nil}
	if spec.key != nil {
		fields = keyedFields(is, spec.name, spec.key, fields)
	}
	for i, f := range fields {
		if f.note == "" {
			f.note = noteFor(spec.name, f.id)
		}
		s.columns = append(s.columns, f.column)
		if f.id == "key" && spec.key != nil {
			s.key = i
		}
	}
	if spec.key != nil {
		s.columns = append(s.columns, markColumn)
		s.notes = notesOn(is, s, items, spec.key)
	}
	s.distinct()
	s.rows = func(yield func(row) bool) {
		if !yield(headRow(s.columns)) {
			return
		}
		cells := make([]value, len(s.columns))
		group := "\x00"
		for n, item := range items {
			for i, f := range fields {
				cells[i] = f.get(item)
			}
			if spec.key != nil {
				cells[len(fields)] = text(mark(s.columns, cells))
			}
			line := row{cells: cells}
			if spec.group != nil {
				g := spec.group(item)
				if g == group {
					line.level = 1
				}
				group = g
			}
			if spec.folded != nil {
				if spec.folded(item) {
					line.level, line.hidden = 1, true
				} else {
					line.collapsed = n+1 < len(items) && spec.folded(items[n+1])
				}
			}
			if !yield(line) {
				return
			}
		}
	}
	if len(items) == 0 { // a native table needs a row
		s.table = ""
	}
	return s
}

// distinct makes the headings differ in more than their case, as a table needs.
func (s *sheet) distinct() {
	seen := map[string]bool{}
	for i := range s.columns {
		c := &s.columns[i]
		if c.title == "" {
			c.title = "Column " + columnName(i+1)
		}
		c.title = strings.Join(strings.Fields(c.title), " ")
		if r := []rune(c.title); len(r) > 200 { // a table takes 255
			c.title = string(r[:200])
		}
		for seen[strings.ToLower(c.title)] {
			c.title += " *"
		}
		seen[strings.ToLower(c.title)] = true
	}
}

func headRow(columns []column) row {
	cells := make([]value, len(columns))
	for i, c := range columns {
		cells[i] = text(c.title).as(lookHead)
	}
	return row{cells: cells}
}

// book is the workbook being written.
type book struct {
	f              *excelize.File
	pack           *packer
	styles, quoted []int
	sheets         []*sheet
	head           pageHead
	names          []excelize.DefinedName
	kept           *keepsakes
	conditional    map[look]int
	shared         sharedTexts
	hiddenNames    map[string]bool
}

// pageHead is what stands on every printed page.
type pageHead struct {
	project, issue, paper string
}

// write lays every sheet out through excelize and streams the package to w.
func (b *book) write(w io.Writer, head model.ProjectHead, mark string) error {
	b.f = excelize.NewFile()
	defer b.f.Close()
	font := b.f.Styles.Fonts.Font[0]
	name, size := fontName, float64(fontSize)
	font.Name.Val, font.Sz.Val = &name, &size
	var err error
	if b.styles, b.quoted, err = registerLooks(b.f); err != nil {
		return err
	}
	b.pack = newPacker(w)
	for i, s := range b.sheets {
		if i == 0 {
			err = b.f.SetSheetName("Sheet1", s.name)
		} else {
			_, err = b.f.NewSheet(s.name)
		}
		if err != nil {
			return err
		}
	}
	for i, s := range b.sheets {
		if err := b.lay(s, i); err != nil {
			return fmt.Errorf("sheet %q: %w", s.name, err)
		}
	}
	for i := range b.names {
		if err := b.f.SetDefinedName(&b.names[i]); err != nil {
			return err
		}
	}
	if err := b.properties(); err != nil {
		return err
	}
	if err := b.marks(mark); err != nil {
		return err
	}
	b.pack.replaced["docProps/core.xml"] = coreProperties(head)
	// The rows that are written first fill the table; there is one even where
	// excelize has no text of its own.
	if err := b.f.SetCellStr(b.sheets[0].name, "A1", "-"); err != nil {
		return err
	}
	b.pack.last, b.pack.lastPart = sharedPart, b.shared.part
	b.f.SetActiveSheet(0)
	b.f.SetZipWriter(func(io.Writer) excelize.ZipWriter { return b.pack })
	_, err = b.f.WriteToBuffer()
	return err
}

// lay sets up one sheet: widths, frozen panes, table, page.
func (b *book) lay(s *sheet, index int) error {
	f := b.f
	widths := fitWidths(s)
	total := 0.0
	for i, width := range widths {
		letter := columnName(i + 1)
		if err := f.SetColWidth(s.name, letter, letter, width); err != nil {
			return err
		}
		if s.columns[i].hidden {
			if err := f.SetColVisible(s.name, letter, false); err != nil {
				return err
			}
			continue
		}
		if s.printed == 0 || i < s.printed {
			total += width
		}
	}
	last := cellName(max(len(s.columns), 1), max(s.count, 1))
	if w, ok := b.kept.widths[s.name]; ok {
		for i, c := range s.columns {
			if width := w[c.id]; width > 0 && !c.hidden {
				widths[i] = min(width, 255)
				if err := f.SetColWidth(s.name, columnName(i+1), columnName(i+1), widths[i]); err != nil {
					return err
				}
			}
		}
	}
	if err := f.SetSheetDimension(s.name, "A1:"+last); err != nil {
		return err
	}
	if s.frozen > 0 || s.sideways > 0 {
		if err := f.SetPanes(s.name, panes(s)); err != nil {
			return err
		}
	}
	if s.table != "" {
		if err := b.addTable(s, "A1:"+cellName(len(s.columns), s.count-s.below)); err != nil {
			return err
		}
	}
	if err := b.guide(s); err != nil {
		return err
	}
	if err := b.page(s, total); err != nil {
		return err
	}
	if s.hidden {
		if err := f.SetSheetVisible(s.name, false, true); err != nil {
			return err
		}
	}
	part := fmt.Sprintf("xl/worksheets/sheet%d.xml", index+1)
	if s.grouped {
		// The format wants the sheet to tell how deep its rows are grouped.
		b.pack.patches[part] = func(data []byte) []byte {
			return bytes.Replace(data, []byte("<sheetFormatPr "), []byte(`<sheetFormatPr outlineLevelRow="1" `), 1)
		}
	}
	b.pack.rows[part] = func(w io.Writer) ([]byte, error) { return b.stream(w, s, widths) }
	return nil
}

// stream writes the rows of a sheet.
func (b *book) stream(w io.Writer, s *sheet, widths []float64) ([]byte, error) {
	for i, c := range s.columns {
		if c.hidden {
			widths[i] = 0 // what nobody sees makes no row higher
		}
	}
	r := &rowWriter{w: w, buf: make([]byte, 0, rowBuffer+rowBuffer/4), styles: b.styles, quoted: b.quoted, column: looksOf(s), widths: widths, printed: s.printed, shared: &b.shared}
	for line := range s.rows {
		if err := r.write(line); err != nil {
			return nil, err
		}
	}
	if r.number != s.count {
		panic(fmt.Sprintf("excel: sheet %q announced %d rows and gave %d", s.name, s.count, r.number))
	}
	return r.links, r.flush()
}

func looksOf(s *sheet) []look {
	out := make([]look, len(s.columns))
	for i, c := range s.columns {
		out[i] = c.look
	}
	return out
}

// panes freezes the heading rows and the columns that name the row.
func panes(s *sheet) *excelize.Panes {
	corner := cellName(s.sideways+1, s.frozen+1)
	pane := "bottomRight"
	switch {
	case s.sideways == 0:
		pane = "bottomLeft"
	case s.frozen == 0:
		pane = "topRight"
	}
	return &excelize.Panes{Freeze: true, XSplit: s.sideways, YSplit: s.frozen, TopLeftCell: corner, ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: corner, ActiveCell: corner, Pane: pane}}}
}

// addTable makes the native table. excelize takes the column names from the
// heading cells, which our own rows then replace with the same text.
func (b *book) addTable(s *sheet, area string) error {
	for i, c := range s.columns {
		if err := b.f.SetCellStr(s.name, cellName(i+1, 1), c.title); err != nil {
			return err
		}
	}
	stripes := false
	return b.f.AddTable(s.name, &excelize.Table{Range: area, Name: s.table, StyleName: "", ShowRowStripes: &stripes})
}
