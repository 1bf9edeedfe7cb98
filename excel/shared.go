package excel

import "strconv"

// sharedTexts is the workbook's table of texts that stand in many cells. Texts
// go into it only from columns that repeat themselves, and only so many: it is
// never more than a small part of a large workbook, and the rest of the texts
// stand in their cells. The same cells give the same table.
type sharedTexts struct {
	index map[string]int
	list  []string
	bytes int
}

const (
	mostShared      = 8192    // texts
	mostSharedBytes = 1 << 20 // of all of them
	longestShared   = 400     // bytes of one text
	repeatSample    = 64      // cells after which a column is judged
)

// repeats says how often a column's texts stood in the table.
type repeats struct {
	asked, found int
	off          bool
}

// ask gives the place of a text in the table; false if it has to stand in its
// cell. Every so many cells a column that found less than half is left alone.
func (s *sharedTexts) ask(c *repeats, text string) (int, bool) {
	if c.off || len(text) > longestShared {
		return 0, false
	}
	c.asked++
	n, ok := s.index[text]
	if ok {
		c.found++
	}
	if c.asked == repeatSample {
		c.off = c.found*2 < c.asked
		c.asked, c.found = 0, 0
	}
	if ok {
		return n, true
	}
	if c.off || len(s.list) >= mostShared || s.bytes+len(text) > mostSharedBytes {
		return 0, false
	}
	if s.index == nil {
		s.index = map[string]int{}
	}
	n = len(s.list)
	s.index[text], s.list = n, append(s.list, text)
	s.bytes += len(text)
	return n, true
}

// part is the table as XML.
func (s *sharedTexts) part() []byte {
	b := []byte(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" +
		`<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" uniqueCount="`)
	b = append(strconv.AppendInt(b, int64(len(s.list)), 10), `">`...)
	for _, text := range s.list {
		b = appendString(append(b, `<si>`...), text, inspect(text))
		b = append(b, `</si>`...)
	}
	return append(b, `</sst>`...)
}

// appendString writes the t element of a text, in a cell or in the table.
func appendString(b []byte, text string, kind textKind) []byte {
	b = append(b, `<t`...)
	if kind&edgedText != 0 {
		b = append(b, ` xml:space="preserve"`...)
	}
	b = append(b, '>')
	if kind&plainText_ != 0 {
		b = append(b, text...)
	} else {
		b = appendText(b, fitCell(text))
	}
	return append(b, `</t>`...)
}
