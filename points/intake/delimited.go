package intake

import (
	"bytes"
	"fmt"
	"strings"

	"tallywire/model"
)

// Limits of a delimited list, far above any real schedule, so that a file that
// is none ends in one clear line.
const (
	mostBytes   = 64 << 20
	mostRows    = 200_000
	mostColumns = 2_000
)

// ReadDelimited reads comma, semicolon, tab or bar separated text as one sheet
// without a name. The separator is found, a line sep=; is honoured; UTF-8,
// UTF-16 and Windows-1252 are understood; quoted cells may hold line breaks.
// The error is a *FileError.
func ReadDelimited(file string, data []byte) ([]model.Sheet, error) {
	if kind := notText(data); kind != "" {
		return nil, &FileError{file, "is " + kind + ", not a text table", "save the list as .xlsx or .csv"}
	}
	if len(data) > mostBytes {
		return nil, &FileError{file, fmt.Sprintf("holds %d MB, more than the %d MB an equipment list may have", len(data)>>20, mostBytes>>20), "cut the list out of it"}
	}
	text, ok := decode(data)
	if !ok {
		return nil, &FileError{file, "is no text (it holds zero bytes)", "save the list as .csv (UTF-8) or .xlsx"}
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	if strings.TrimSpace(text) == "" {
		return nil, &FileError{file, "is empty", "name the file that holds the equipment list"}
	}
	text, separator := chooseSeparator(text)
	sheet := model.Sheet{File: file}
	var widths []int
	err := split(text, separator, func(number int, cells []string) error {
		if number > mostRows || len(cells) > mostColumns {
			return &FileError{file, fmt.Sprintf("has more than %d rows or %d columns", mostRows, mostColumns), "cut the equipment list out of it"}
		}
		if row := rowOf(number, cells); len(row.Cells) > 0 {
			sheet.Rows, widths = append(sheet.Rows, row), append(widths, len(cells))
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	sheet.Rows = joinLines(sheet.Rows, widths)
	return []model.Sheet{sheet}, nil
}

// joinLines joins lines that a copy from a PDF broke inside a cell: two lines
// that are short by exactly what makes them one row of the usual width, the
// upper beginning with a tag and the lower not.
func joinLines(rows []model.Row, widths []int) []model.Row {
	count, usual := map[int]int{}, 0
	for _, w := range widths {
		count[w]++
	}
	for _, w := range widths {
		if count[w] > count[usual] {
			usual = w
		}
	}
	if usual < 4 || count[usual] < 3 || 2*count[usual] < len(rows) {
		return rows
	}
	var out []model.Row
	for i := 0; i < len(rows); i++ {
		row := rows[i]
		if i+1 < len(rows) && rows[i+1].Number == row.Number+1 && widths[i] > 1 && widths[i+1] > 1 && widths[i]+widths[i+1]-1 == usual && firstCell(row, true) && firstCell(rows[i+1], false) {
			joinRows(&row, rows[i+1], widths[i])
			i++
		}
		out = append(out, row)
	}
	return out
}

// firstCell reports whether a row's first cell is filled and looks like a tag, or
// is filled and does not.
func firstCell(row model.Row, tag bool) bool {
	return row.Cells[0].Column == 1 && looksLikeTag(row.Cells[0].Text) == tag
}

// joinRows lets a row go on with the next one, whose first cell ends its last.
func joinRows(row *model.Row, next model.Row, width int) {
	row.Joined = width
	row.Cells = append([]model.Cell(nil), row.Cells...)
	for _, c := range next.Cells {
		c.Column += width - 1
		if last := len(row.Cells) - 1; c.Column == width && row.Cells[last].Column == width {
			row.Cells[last].Text += "\n" + c.Text
			continue
		}
		row.Cells = append(row.Cells, c)
	}
}

// notText names what a file is by its first bytes, "" if it may be text.
func notText(data []byte) string {
	head := bytes.TrimLeft(bytes.TrimPrefix(data[:min(len(data), 256)], []byte{0xEF, 0xBB, 0xBF}), " \t\r\n")
	lower := bytes.ToLower(head)
	switch {
	case bytes.HasPrefix(head, []byte("%PDF")):
		return "a PDF document"
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return "a zip file or workbook"
	case bytes.HasPrefix(head, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		return "an old or encrypted workbook"
	case bytes.HasPrefix(lower, []byte("<!doctype html")), bytes.HasPrefix(lower, []byte("<html")):
		return "a web page"
	case bytes.HasPrefix(lower, []byte("<?xml")):
		return "an XML document"
	case bytes.HasPrefix(head, []byte(`{\rtf`)):
		return "a word processor's document"
	}
	return ""
}

func rowOf(number int, cells []string) model.Row {
	row := model.Row{Number: number}
	for i, c := range cells {
		if strings.TrimSpace(c) != "" {
			row.Cells = append(row.Cells, model.Cell{Column: i + 1, Text: c})
		}
	}
	return row
}

// chooseSeparator returns the separator that gives the most even table, and
// the text without a sep= line.
func chooseSeparator(text string) (string, rune) {
	first, rest, _ := strings.Cut(text, "\n")
	if s, ok := strings.CutPrefix(strings.ToLower(strings.TrimRight(first, " ")), "sep="); ok {
		if r := []rune(s); len(r) == 1 {
			return "\n" + rest, r[0] // the line keeps its number
		}
		if s == "" && strings.HasPrefix(strings.ToLower(first), "sep=\t") {
			return "\n" + rest, '\t'
		}
	}
	best, most := ',', 0
	for _, r := range []rune{',', ';', '\t', '|'} {
		if n := evenness(text, r); n > most {
			best, most = r, n
		}
	}
	return text, best
}

// evenness counts the cells of the first rows that have the commonest width
// above one.
func evenness(text string, separator rune) int {
	widths := map[int]int{}
	split(text, separator, func(number int, cells []string) error {
		if number > 200 {
			return errEnough
		}
		if len(cells) > 1 {
			widths[len(cells)]++
		}
		return nil
	})
	most := 0
	for width, rows := range widths {
		most = max(most, (width-1)*rows)
	}
	return most
}

var errEnough = &FileError{Message: "enough rows seen"}

// split calls each for every record, blank ones included, so that numbers are
// those a spreadsheet shows. A quote opens a quoted cell only at its start; a
// quote left open ends with the text.
func split(text string, separator rune, each func(number int, cells []string) error) error {
	var cells []string
	var b strings.Builder
	number, quoted, fresh := 1, false, true
	flush := func() { cells = append(cells, b.String()); b.Reset(); fresh = true }
	runes := []rune(text)
	for i := 0; i < len(runes); i++ {
		r := runes[i]
		switch {
		case quoted && r == '"' && i+1 < len(runes) && runes[i+1] == '"':
			b.WriteRune('"')
			i++
		case quoted && r == '"':
			quoted = false
		case quoted:
			b.WriteRune(r)
		case r == '"' && fresh && closes(runes[i+1:], separator):
			quoted, fresh = true, false
		case r == separator:
			flush()
		case r == '\n':
			flush()
			if err := each(number, cells); err != nil {
				return err
			}
			number, cells = number+1, nil
		default:
			b.WriteRune(r)
			fresh = fresh && r == ' '
		}
	}
	if b.Len() > 0 || len(cells) > 0 {
		flush()
		return each(number, cells)
	}
	return nil
}

// closes reports whether a quote that opens a cell is closed again: followed
// by a separator or a line end. An inch mark at the start of a cell is not.
func closes(rest []rune, separator rune) bool {
	for i := 0; i < len(rest); i++ {
		if rest[i] != '"' {
			continue
		}
		j := i + 1
		if j < len(rest) && rest[j] == '"' {
			i++
			continue
		}
		for j < len(rest) && rest[j] == ' ' && separator != ' ' {
			j++
		}
		return j == len(rest) || rest[j] == separator || rest[j] == '\n'
	}
	return false
}
