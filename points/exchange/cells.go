package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
)

// textRow is a row of a delimited text and the line it stands on.
type textRow struct {
	line  int
	cells []string
}

// delimited reads a text of rows that somebody else wrote: with or without a
// byte-order mark, UTF-8 or Latin-1, parted by semicolons, commas or tabs,
// quoted or not, any line ends. Empty lines are left out.
func delimited(data []byte) ([]textRow, error) {
	text := asText(data)
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.LazyQuotes, r.FieldsPerRecord, r.ReuseRecord = separator(text), true, -1, false
	var out []textRow
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		empty := true
		for i, c := range cells {
			cells[i] = asWritten(strings.TrimSpace(c))
			empty = empty && cells[i] == ""
		}
		if !empty {
			out = append(out, textRow{line, cells})
		}
	}
}

// asText decodes bytes; what is no UTF-8 is taken for Latin-1, as old tools write.
func asText(data []byte) string {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	text := string(data)
	if !utf8.Valid(data) {
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		text = string(runes)
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
}

// separator is the one of ; , and tab that stands most often in the fullest line.
func separator(text string) rune {
	best, most := ';', 0
	for line := range strings.Lines(text) {
		for _, s := range []rune{';', ',', '\t'} {
			if n := strings.Count(line, string(s)); n > most {
				best, most = s, n
			}
		}
	}
	return best
}

// asWritten takes off the apostrophe that words put before what a spreadsheet
// would run.
func asWritten(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && words(rest) != rest {
		return rest
	}
	return s
}

// letters is a heading as it is compared: lower case letters and digits only.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s)
}
