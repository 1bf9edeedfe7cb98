package excel

import (
	"fmt"
	"strconv"
	"strings"
)

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
	if err := r.settle(&c, row); err != nil {
		return c, err
	}
	if c.style >= 0 && c.style < len(r.book.struck) && r.book.struck[c.style] {
		c.struck = c.text
	}
	return c, nil
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
		c.text, c.struck = b.shared[i], b.sharedOut[i]
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
