package excel

import (
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// valueKind says what a cell holds.
type valueKind uint8

const (
	empty valueKind = iota
	textValue
	numberValue
	formulaNumber // formula with a number as cached result
	formulaText   // formula with a text as cached result
)

// value is one cell to be written; look is its style, or lookColumn to take
// that of its column.
type value struct {
	kind    valueKind
	look    look
	text    string
	number  float64
	formula string // without the leading =
	link    target
}

// target is the row of a sheet that a cell leads to; row 0 leads nowhere.
type target struct {
	sheet string
	row   int
}

// leads makes the cell a link.
func (v value) leads(t target) value {
	v.link = t
	return v
}

func text(s string) value {
	if s == "" {
		return value{}
	}
	return value{kind: textValue, text: s}
}

func number(v float64) value {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return text("not a number")
	}
	return value{kind: numberValue, number: v}
}

func count(n int) value { return number(float64(n)) }

func formula(f string, cached float64) value {
	return value{kind: formulaNumber, formula: f, number: cached}
}

// as gives the value a style of its own.
func (v value) as(l look) value {
	v.look = l
	return v
}

// row is one row to be written. height 0 lets the spreadsheet program fit it.
type row struct {
	cells  []value
	height float64
	level  int // outline level
	hidden bool
	// collapsed says that the rows grouped under this one are folded.
	collapsed bool
}

// rowWriter streams rows as XML. Text is written into its cell, so that no table
// of all texts is held in memory, but for columns that repeat a few.
type rowWriter struct {
	w       io.Writer
	buf     []byte
	number  int
	columns []string // column letters
	styles  []int    // style id by look
	quoted  []int    // the same with the mark that keeps text text
	column  []look   // look of each column
	widths  []float64
	printed int // columns that go on paper; 0 all
	shared  *sharedTexts
	repeats []repeats // by column
	links   []byte    // the sheet's links so far, as XML
	linked  int
}

// onOneLine reports whether a text fits its column without a break. One that
// does not carries no link: some programs show linked text on one line and cut
// it, and a text that is cut is worse than one that leads nowhere.
func (r *rowWriter) onOneLine(i int, text string) bool {
	return i >= len(r.widths) || r.widths[i] == 0 || lines(text, r.widths[i]-0.7, stretch(lookLink)) == 1
}

// mostLinks is how many links spreadsheet programs allow on a sheet (common practice).
const mostLinks = 65_530

// keepLink notes a link; it is written after the rows.
func (r *rowWriter) keepLink(i int, t target) {
	if r.linked++; r.linked > mostLinks {
		return
	}
	r.links = append(append(r.links, `<hyperlink ref="`...), r.columns[i]...)
	r.links = strconv.AppendInt(r.links, int64(r.number), 10)
	r.links = append(r.links, `" location="`...)
	r.links = append(appendText(append(r.links, '\''), strings.ReplaceAll(t.sheet, "'", "''")), "'!A"...)
	r.links = strconv.AppendInt(r.links, int64(t.row), 10)
	r.links = append(r.links, `"/>`...)
}

const rowBuffer = 64 << 10

// write appends one row.
func (r *rowWriter) write(line row) error {
	r.number++
	for len(r.columns) < len(line.cells) {
		r.columns = append(r.columns, columnName(len(r.columns)+1))
	}
	b := append(r.buf, `<row r="`...)
	b = strconv.AppendInt(b, int64(r.number), 10)
	b = append(b, '"')
	if line.height > 0 {
		b = append(b, ` ht="`...)
		b = strconv.AppendFloat(b, line.height, 'f', -1, 64)
		b = append(b, `" customHeight="1"`...)
	} else if h := rowHeight(line.cells, r.column, r.widths, r.printed); h > 0 {
		// Given, so that programs which do not fit rows themselves cut no text;
		// not marked as a person's own, so that the others fit it again.
		b = append(b, ` ht="`...)
		b = strconv.AppendFloat(b, h, 'f', 1, 64)
		b = append(b, '"')
	}
	if line.hidden {
		b = append(b, ` hidden="1"`...)
	}
	if line.level > 0 {
		b = append(b, ` outlineLevel="`...)
		b = strconv.AppendInt(b, int64(line.level), 10)
		b = append(b, '"')
	}
	if line.collapsed {
		b = append(b, ` collapsed="1"`...)
	}
	b = append(b, '>')
	for i := range line.cells {
		b = r.cell(b, i, &line.cells[i])
	}
	r.buf = append(b, `</row>`...)
	if len(r.buf) >= rowBuffer {
		return r.flush()
	}
	return nil
}

func (r *rowWriter) flush() error {
	_, err := r.w.Write(r.buf)
	r.buf = r.buf[:0]
	return err
}

func (r *rowWriter) cell(b []byte, i int, v *value) []byte {
	l := v.look
	if l == lookColumn && i < len(r.column) {
		l = r.column[i]
	}
	if v.kind == empty && (l == lookColumn || l == lookPlain) {
		return b
	}
	if v.link.row > 0 && v.kind != empty && r.onOneLine(i, v.text) {
		r.keepLink(i, v.link)
		if l == lookText || l == lookCode {
			l = lookLink
		}
	}
	style := r.styles[l]
	var kind textKind
	if v.kind == textValue {
		if kind = inspect(v.text); kind&riskyText != 0 {
			style = r.quoted[l]
		}
	}
	b = append(b, `<c r="`...)
	b = append(b, r.columns[i]...)
	b = strconv.AppendInt(b, int64(r.number), 10)
	b = append(b, `" s="`...)
	b = strconv.AppendInt(b, int64(style), 10)
	switch v.kind {
	case empty:
		return append(b, `"/>`...)
	case textValue:
		if i >= len(r.repeats) {
			r.repeats = append(r.repeats, make([]repeats, i+1-len(r.repeats))...)
		}
		if n, ok := r.shared.ask(&r.repeats[i], v.text); ok {
			b = append(b, `" t="s"><v>`...)
			b = strconv.AppendInt(b, int64(n), 10)
			return append(b, `</v></c>`...)
		}
		b = appendString(append(b, `" t="inlineStr"><is>`...), v.text, kind)
		return append(b, `</is></c>`...)
	case formulaText:
		b = append(b, `" t="str`...)
	}
	b = append(b, `">`...)
	if v.formula != "" {
		b = append(b, `<f>`...)
		b = appendText(b, v.formula)
		b = append(b, `</f>`...)
	}
	b = append(b, `<v>`...)
	if v.kind == formulaText {
		b = appendText(b, fitCell(v.text))
	} else {
		b = strconv.AppendFloat(b, v.number, 'g', -1, 64)
	}
	return append(b, `</v></c>`...)
}

// textKind is what has to be minded about a text.
type textKind uint8

const (
	// riskyText would become a formula if a person opened the cell for editing,
	// or a formula in a text file made from the sheet.
	riskyText textKind = 1 << iota
	// edgedText holds white space that XML would lose.
	edgedText
	// plainText_ goes into XML as it is.
	plainText_
)

// special marks the bytes that a text cannot hold without being looked at.
var special = func() (t [256]bool) {
	for c := range t {
		t[c] = c < 0x20 || c >= 0x7F || c == '&' || c == '<' || c == '>' || c == '_'
	}
	return t
}()

// inspect looks at a text once.
func inspect(s string) textKind {
	var k textKind
	if s[0] <= ' ' || s[len(s)-1] <= ' ' {
		k |= edgedText
	}
	first := s[0]
	if first <= ' ' {
		if rest := strings.TrimLeft(s, " \t\r\n"); rest != "" {
			first = rest[0]
		}
	}
	switch first {
	case '=', '+', '-', '@', '\'':
		k |= riskyText
	}
	if len(s) > maxCellText {
		return k | edgedText
	}
	for i := 0; i < len(s); i++ {
		if special[s[i]] {
			if strings.ContainsAny(s, "\n\t\r") {
				k |= edgedText
			}
			return k
		}
	}
	return k | plainText_
}

// fitCell cuts a text that is longer than a cell can hold and says so in its end.
func fitCell(s string) string {
	if len(s) <= maxCellText || utf16Length(s) <= maxCellText {
		return s
	}
	const mark = " … (cut: a cell holds no more)"
	room, n := maxCellText-utf16Length(mark), 0
	for i, r := range s {
		if n += utf16Width(r); n > room {
			return s[:i] + mark
		}
	}
	return s
}

func utf16Width(r rune) int {
	if r > 0xFFFF {
		return 2
	}
	return 1
}

func utf16Length(s string) int {
	n := 0
	for _, r := range s {
		n += utf16Width(r)
	}
	return n
}

// appendText escapes text for XML. Characters that XML forbids take the
// _xHHHH_ form, and a text that looks like that form is guarded (ECMA-376 part
// 1, 22.9.2.19); NUL, non-characters and bytes that are no UTF-8 become U+FFFD.
func appendText(b []byte, s string) []byte {
	from := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c >= 0x20 && c < 0x80 && c != '&' && c != '<' && c != '>' && c != '_' {
			i++
			continue
		}
		rep, size := "", 1
		switch {
		case c == '&':
			rep = "&amp;"
		case c == '<':
			rep = "&lt;"
		case c == '>':
			rep = "&gt;"
		case c == '\t' || c == '\n':
			i++
			continue
		case c == '\r':
			// Line ends are one character in a cell.
			if rep = "\n"; i+1 < len(s) && s[i+1] == '\n' {
				size = 2
			}
		case c == '_':
			if !looksEscaped(s[i:]) {
				i++
				continue
			}
			rep = "_x005F_"
		case c == 0:
			rep = "\uFFFD"
		case c < 0x20:
			rep = "_x00" + strings.ToUpper(hexByte(c)) + "_"
		default:
			r, n := utf8.DecodeRuneInString(s[i:])
			if (r != utf8.RuneError || n > 1) && r != 0xFFFE && r != 0xFFFF {
				i += n
				continue
			}
			rep, size = "\uFFFD", n
		}
		b = append(append(b, s[from:i]...), rep...)
		i += size
		from = i
	}
	return append(b, s[from:]...)
}

func hexByte(c byte) string {
	const digits = "0123456789abcdef"
	return string([]byte{digits[c>>4], digits[c&15]})
}

// looksEscaped reports whether s begins like _x0041_.
func looksEscaped(s string) bool {
	if len(s) < 7 || s[1] != 'x' || s[6] != '_' {
		return false
	}
	_, err := strconv.ParseUint(s[2:6], 16, 16)
	return err == nil
}
