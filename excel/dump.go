package excel

import (
	"fmt"
	"strconv"
	"strings"
)

// Dump prints a workbook read back: the names of its sheets, and every filled
// cell with its place, kind, value and formula, without styles. It is what
// golden files of workbooks hold.
func Dump(data []byte) (string, error) {
	p, err := openPackage(data)
	if err != nil {
		return "", err
	}
	b, err := p.openBook()
	if err != nil {
		return "", err
	}
	var out strings.Builder
	for _, ref := range b.sheets {
		fmt.Fprintf(&out, "sheet %q", ref.name)
		if ref.hidden {
			out.WriteString(" hidden")
		}
		out.WriteByte('\n')
		_, err := b.readGrid(ref, func(r rawRow) error {
			for i := range r.cells {
				dumpCell(&out, &r.cells[i], r.number)
			}
			return nil
		})
		if err != nil {
			return "", err
		}
	}
	return out.String(), nil
}

func dumpCell(out *strings.Builder, c *rawCell, row int) {
	out.WriteString(cellName(c.column, row))
	switch {
	case c.number != nil:
		out.WriteString(" number " + strconv.FormatFloat(*c.number, 'g', -1, 64))
	case c.kind == "b":
		out.WriteString(" truth " + c.text)
	case c.kind == "e":
		out.WriteString(" error " + c.text)
	default:
		out.WriteString(" text " + strconv.Quote(c.text))
	}
	if c.formula != "" {
		out.WriteString(" formula " + strconv.Quote(c.formula))
	}
	out.WriteByte('\n')
}
