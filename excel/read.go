package excel

import (
	"fmt"
	"path"
	"strconv"
	"strings"

	"tallywire/model"
)

// ReadSheets reads the worksheets of a workbook (.xlsx, .xlsm, strict or
// transitional) in their order: every filled cell with its column, its text as
// shown, the number the file holds and its number format; dates are shown as
// ISO text. Rows and cells that hold nothing are left out, hidden rows and
// sheets are marked. file is only the name that stands in the result. An error
// is one clear line without the file's name; it wraps ErrIssued for a workbook
// that this program wrote.
func ReadSheets(file string, data []byte) ([]model.Sheet, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	if _, ours := p.fingerprint(); ours {
		return nil, ErrIssued
	}
	b, err := p.openBook()
	if err != nil {
		return nil, err
	}
	sheets := make([]model.Sheet, 0, len(b.sheets))
	for _, ref := range b.sheets {
		sheet := model.Sheet{File: file, Name: ref.name, Hidden: ref.hidden}
		grid, err := b.readGrid(ref, func(r rawRow) error {
			if len(r.cells) == 0 {
				return nil
			}
			row := model.Row{Number: r.number, Hidden: r.hidden, Cells: make([]model.Cell, 0, len(r.cells))}
			for _, c := range r.cells {
				if c.text == "" {
					continue
				}
				row.Cells = append(row.Cells, model.Cell{Column: c.column, Text: c.text, Number: c.number,
					Format: c.format, Formula: c.formula != ""})
			}
			if len(row.Cells) > 0 {
				sheet.Rows = append(sheet.Rows, row)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		sheet.Merged = grid.merged
		sheets = append(sheets, sheet)
	}
	if len(sheets) == 0 {
		return nil, fmt.Errorf("the workbook has no worksheet, only charts or macros")
	}
	return sheets, nil
}

// openedBook is a workbook ready to have its sheets read.
type openedBook struct {
	*container
	sheets   []sheetRef
	names    map[string]string // workbook-level defined names
	shared   []string
	formats  []numberFormat // by cell style index
	date1904 bool
	filled   int // filled cells so far
}

// sheetRef is one worksheet of a workbook.
type sheetRef struct {
	name, part string
	hidden     bool
}

// openBook reads the workbook part, the styles and the shared strings.
func (p *container) openBook() (*openedBook, error) {
	b := &openedBook{container: p, names: map[string]string{}}
	rels, err := p.relations(p.book)
	if err != nil {
		return nil, err
	}
	byID, strings_, styles := map[string]relation{}, "", ""
	for _, r := range rels {
		byID[r.id] = r
		switch path.Base(r.kind) {
		case "sharedStrings":
			strings_ = r.target
		case "styles":
			styles = r.target
		}
	}
	if err := p.walk(p.book, func(s *scanner) error { return b.readBook(s, byID) }); err != nil {
		return nil, err
	}
	if styles != "" {
		if err := p.walk(styles, b.readStyles); err != nil {
			return nil, err
		}
	}
	if strings_ != "" {
		if err := p.walk(strings_, b.readShared); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func (b *openedBook) readBook(s *scanner, rels map[string]relation) error {
	for {
		kind, err := s.next()
		if err != nil || kind == tokenEOF {
			return err
		}
		if kind != tokenStart {
			continue
		}
		switch string(s.name) {
		case "workbookPr":
			b.date1904 = truth(s.attr("date1904"))
		case "definedName":
			name, scoped := s.attr("name"), s.attr("localSheetId") != ""
			text, err := s.content()
			if err != nil {
				return err
			}
			if !scoped {
				b.names[name] = text
			}
		case "sheet":
			rel, ok := rels[s.attr("id")]
			if !ok {
				return fmt.Errorf("sheet %q points to no part", s.attr("name"))
			}
			if path.Base(rel.kind) != "worksheet" {
				continue // chart sheets hold no rows
			}
			b.sheets = append(b.sheets, sheetRef{name: s.attr("name"), part: rel.target,
				hidden: s.attr("state") == "hidden" || s.attr("state") == "veryHidden"})
		}
	}
}

func truth(s string) bool { return s == "1" || s == "true" }

// content reads the text of the element whose start was just read, to its end.
func (s *scanner) content() (string, error) {
	var text string
	for depth := s.depth(); s.depth() >= depth; {
		kind, err := s.next()
		if err != nil {
			return "", err
		}
		if kind == tokenText {
			text += string(s.text)
		}
	}
	return text, nil
}

// readShared reads the shared strings; phonetic hints are no part of the text.
func (b *openedBook) readShared(s *scanner) error {
	var item strings.Builder
	inText := false
	for {
		kind, err := s.next()
		if err != nil || kind == tokenEOF {
			return err
		}
		switch kind {
		case tokenStart:
			switch string(s.name) {
			case "si":
				item.Reset()
			case "rPh":
				if err := s.skip(); err != nil {
					return err
				}
			case "t":
				inText = true
			}
		case tokenText:
			if inText {
				item.Write(s.text)
			}
		case tokenEnd:
			switch string(s.name) {
			case "t":
				inText = false
			case "si":
				b.shared = append(b.shared, unescape(item.String()))
			}
		}
	}
}

// unescape turns the _xHHHH_ form, by which a cell holds characters that XML
// forbids, back into characters (ECMA-376 part 1, 22.9.2.19, ST_Xstring).
//
// Line ends come in three forms and are one character here.
func unescape(s string) string {
	if strings.IndexByte(s, '\r') >= 0 {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	}
	if !strings.Contains(s, "_x") {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if len(s)-i >= 7 && s[i] == '_' && s[i+1] == 'x' && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil {
				out.WriteRune(rune(n))
				i += 6
				continue
			}
		}
		out.WriteByte(s[i])
	}
	return out.String()
}

// rawCell is one cell as the file holds it.
type rawCell struct {
	column  int
	text    string   // as shown
	number  *float64 // numbers and dates
	format  string   // number format; "" General
	formula string
	style   int
	kind    string // the type attribute: "", s, inlineStr, str, b, e
}

// rawRow is one row of a sheet; cells are valid during the visit only.
type rawRow struct {
	number int
	hidden bool
	height string
	cells  []rawCell
}

// grid is what a sheet holds besides its rows.
type grid struct {
	merged []string
	widths map[int]float64
	links  []string
}

// readGrid reads one worksheet, row by row. Rows or cells out of order, places
// outside the sheet and shared strings that do not exist are errors.
func (b *openedBook) readGrid(ref sheetRef, visit func(rawRow) error) (grid, error) {
	g := grid{widths: map[int]float64{}}
	err := b.walk(ref.part, func(s *scanner) error {
		r := &rowReader{book: b, sheet: ref.name, visit: visit}
		for {
			kind, err := s.next()
			if err != nil || kind == tokenEOF {
				return err
			}
			if kind != tokenStart {
				continue
			}
			switch string(s.name) {
			case "row":
				if err := r.row(s); err != nil {
					return err
				}
			case "mergeCell":
				g.merged = append(g.merged, s.attr("ref"))
			case "col":
				g.column(s)
			case "extLst":
				if err := s.skip(); err != nil {
					return err
				}
			}
		}
	})
	if err != nil {
		return g, fmt.Errorf("sheet %q: %w", ref.name, err)
	}
	return g, nil
}

// column keeps the width of single columns; a wide span says nothing of one.
func (g *grid) column(s *scanner) {
	from, _ := strconv.Atoi(s.attr("min"))
	to, _ := strconv.Atoi(s.attr("max"))
	width, err := strconv.ParseFloat(s.attr("width"), 64)
	if err != nil || from < 1 || to-from > 255 {
		return
	}
	for c := from; c <= to; c++ {
		g.widths[c] = width
	}
}

// rowReader reads rows and keeps what it needs from one to the next.
type rowReader struct {
	book  *openedBook
	sheet string
	visit func(rawRow) error
	last  int
	cells []rawCell
	value []byte
}

// row reads the row whose start tag was just met.
func (r *rowReader) row(s *scanner) error {
	number := r.last + 1
	if raw, ok := attribute(s.attrs, "r"); ok {
		n, err := strconv.Atoi(string(raw))
		if err != nil {
			return fmt.Errorf("row number %q", raw)
		}
		number = n
	}
	if number <= r.last || number > maxRows {
		return fmt.Errorf("row %d after row %d: rows out of order or outside the sheet", number, r.last)
	}
	r.last = number
	row := rawRow{number: number, hidden: truth(s.attr("hidden"))}
	if truth(s.attr("customHeight")) {
		row.height = s.attr("ht")
	}
	r.cells = r.cells[:0]
	depth, column := s.depth(), 0
	for s.depth() >= depth {
		kind, err := s.next()
		if err != nil {
			return err
		}
		if kind != tokenStart {
			continue
		}
		if string(s.name) != "c" {
			if err := s.skip(); err != nil {
				return err
			}
			continue
		}
		c, err := r.cell(s, number, column)
		if err != nil {
			return err
		}
		column = c.column
		if c.text != "" || c.formula != "" {
			r.cells = append(r.cells, c)
			if r.book.filled++; r.book.filled > cellLimit {
				return fmt.Errorf("more than %d filled cells; give only the sheets of the list", cellLimit)
			}
		}
	}
	row.cells = r.cells
	return r.visit(row)
}

// cell reads the cell whose start tag was just met.
func (r *rowReader) cell(s *scanner, row, last int) (rawCell, error) {
	c := rawCell{column: last + 1}
	if raw, ok := attribute(s.attrs, "r"); ok {
		column, n, ok := splitRef(raw)
		if !ok || n != row {
			return c, fmt.Errorf("cell %q in row %d", raw, row)
		}
		c.column = column
	}
	if c.column <= last || c.column > maxColumns {
		return c, fmt.Errorf("cell %s: cells out of order or outside the sheet", cellName(c.column, row))
	}
	if raw, ok := attribute(s.attrs, "s"); ok {
		c.style, _ = strconv.Atoi(string(raw))
	}
	if raw, ok := attribute(s.attrs, "t"); ok {
		c.kind = cellKind(raw)
	}
	r.value = r.value[:0]
	depth, inValue, shared := s.depth(), false, false
	for s.depth() >= depth {
		kind, err := s.next()
		if err != nil {
			return c, err
		}
		switch kind {
		case tokenStart:
			switch string(s.name) {
			case "v", "t":
				inValue = true
			case "f":
				shared = true
				if c.formula, err = s.content(); err != nil {
					return c, err
				}
			case "rPh":
				if err := s.skip(); err != nil {
					return c, err
				}
			}
		case tokenText:
			if inValue {
				r.value = append(r.value, s.text...)
			}
		case tokenEnd:
			inValue = false
		}
	}
	if shared && c.formula == "" {
		c.formula = "(shared)" // a cell that repeats its neighbour's formula
	}
	return c, r.settle(&c, row)
}

func cellKind(raw []byte) string {
	for _, k := range []string{"s", "inlineStr", "str", "n", "b", "e", "d"} {
		if string(raw) == k {
			return k
		}
	}
	return "?"
}

// settle turns the stored value into text and number.
func (r *rowReader) settle(c *rawCell, row int) error {
	b := r.book
	if len(r.value) == 0 {
		return nil
	}
	switch c.kind {
	case "s":
		i, err := strconv.Atoi(string(r.value))
		if err != nil || i < 0 || i >= len(b.shared) {
			return fmt.Errorf("cell %s: text number %q of %d does not exist; the workbook is damaged",
				cellName(c.column, row), clip(r.value), len(b.shared))
		}
		c.text = b.shared[i]
	case "inlineStr", "str":
		c.text = unescape(string(r.value))
	case "b":
		c.text = "FALSE"
		if r.value[0] == '1' || r.value[0] == 't' {
			c.text = "TRUE"
		}
	case "e":
		c.text = string(r.value)
	case "d":
		c.text = strings.TrimSuffix(string(r.value), "T00:00:00")
	case "", "n":
		v, err := strconv.ParseFloat(strings.TrimSpace(string(r.value)), 64)
		if err != nil || v != v || v > 1e308 || v < -1e308 {
			return fmt.Errorf("cell %s: %q is no number", cellName(c.column, row), clip(r.value))
		}
		c.number = &v
		var f numberFormat
		if c.style >= 0 && c.style < len(b.formats) {
			f = b.formats[c.style]
		}
		c.format = f.code
		c.text = f.show(v, b.date1904)
	default:
		return fmt.Errorf("cell %s: unknown cell type", cellName(c.column, row))
	}
	return nil
}

// splitRef reads A1 into column and row.
func splitRef(raw []byte) (column, row int, ok bool) {
	i := 0
	for ; i < len(raw) && i < 3 && raw[i] >= 'A' && raw[i] <= 'Z'; i++ {
		column = column*26 + int(raw[i]-'A') + 1
	}
	if i == 0 || i == len(raw) || len(raw)-i > 7 {
		return 0, 0, false
	}
	for ; i < len(raw); i++ {
		if raw[i] < '0' || raw[i] > '9' {
			return 0, 0, false
		}
		row = row*10 + int(raw[i]-'0')
	}
	return column, row, true
}

// columnName prints a column number as letters.
func columnName(n int) string {
	var b [4]byte
	i := len(b)
	for ; n > 0 && i > 0; n = (n - 1) / 26 {
		i--
		b[i] = byte('A' + (n-1)%26)
	}
	return string(b[i:])
}

func cellName(column, row int) string { return columnName(column) + strconv.Itoa(row) }
