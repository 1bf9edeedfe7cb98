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
					Format: c.format, Formula: c.formula != "", Struck: c.struck})
			}
			if len(row.Cells) > 0 {
				sheet.Rows = append(sheet.Rows, row)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		sheet.Merged, sheet.HiddenColumns = grid.merged, grid.hidden
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
	sheets []sheetRef
	names  map[string]string // workbook-level defined names
	shared []string
	// sharedOut is what is struck through in shared strings, by their number.
	sharedOut map[int]string
	struck    []bool         // by cell style index: its font strikes the text through
	formats   []numberFormat // by cell style index
	date1904  bool
	filled    int // filled cells so far
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
	var item, out strings.Builder
	inText, struck := false, false
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
				out.Reset()
				struck = false
			case "r":
				struck = false
			case "strike":
				struck = on(s)
			case "rPh":
				if err := s.skip(); err != nil {
					return err
				}
			case "t":
				inText = true
			}
		case tokenText:
			switch {
			case inText && struck:
				out.Write(s.text)
			case inText:
				item.Write(s.text)
			}
		case tokenEnd:
			switch string(s.name) {
			case "t":
				inText = false
			case "si":
				b.addShared(unescape(item.String()), unescape(out.String()))
			}
		}
	}
}

// addShared takes one shared string and what is struck through in it. Where
// all of it is, the text is what was struck.
func (b *openedBook) addShared(text, struck string) {
	if struck != "" {
		if b.sharedOut == nil {
			b.sharedOut = map[int]string{}
		}
		b.sharedOut[len(b.shared)] = struck
		if strings.TrimSpace(text) == "" {
			text = struck
		}
	}
	b.shared = append(b.shared, text)
}

// on reads an element that is a switch: there, unless its value says no.
func on(s *scanner) bool {
	v := s.attr("val")
	return v != "0" && v != "false"
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
	struck  string // what is struck through: all of the text or a part that is left out of it
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
	hidden []int // columns that the author hid
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
	if truth(s.attr("hidden")) && from >= 1 {
		for c := from; c <= min(to, from+255); c++ { // beyond that nothing is filled
			g.hidden = append(g.hidden, c)
		}
	}
	width, err := strconv.ParseFloat(s.attr("width"), 64)
	if err != nil || from < 1 || to-from > 255 {
		return
	}
	for c := from; c <= to; c++ {
		g.widths[c] = width
	}
}
