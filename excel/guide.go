package excel

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// guide adds what helps people on a table: notes at the headings, lists of
// what may be filled in, shades that follow verdicts as they are edited.
func (b *book) guide(s *sheet) error {
	for i, c := range s.columns {
		letter, last := columnName(i+1), s.count-s.below
		if c.note != "" && s.table != "" {
			if err := b.note(s, letter+"1", c.note); err != nil {
				return err
			}
		}
		if last < 2 {
			continue
		}
		area := fmt.Sprintf("%s2:%s%d", letter, letter, last)
		if len(c.choices) > 0 {
			if err := b.choices(s, c, area); err != nil {
				return err
			}
		}
		if c.verdict || len(c.choices) > 0 {
			if err := b.shades(s, area, c); err != nil {
				return err
			}
		}
	}
	for _, n := range s.notes {
		if err := b.note(s, n.cell, n.words); err != nil {
			return err
		}
	}
	return b.addCharts(s)
}

// noteAuthor signs our own notes; other people's keep their words only.
const noteAuthor = "tallywire"

func (b *book) note(s *sheet, cell, words string) error {
	rows := len(words)/34 + strings.Count(words, "\n") + 2
	return b.f.AddComment(s.name, excelize.Comment{Author: noteAuthor, Cell: cell, Width: 230, Height: uint(min(16*rows, 400)),
		Paragraph: []excelize.RichTextRun{{Text: fitCell(words), Font: &excelize.Font{Family: fontName, Size: fontSize}}}})
}

// choices puts a list on a column. The list refuses other words: a drop-down
// that lets anything in is none.
func (b *book) choices(s *sheet, c column, area string) error {
	dv := excelize.NewDataValidation(true)
	dv.SetSqref(area)
	if err := dv.SetDropList(c.choices); err != nil {
		return err
	}
	dv.SetError(excelize.DataValidationErrorStyleStop, "Not in the list", "Choose "+strings.Join(c.choices, ", ")+", or leave it empty.")
	return b.f.AddDataValidation(s.name, dv)
}

// verdictLooks are the words that are shaded, in order.
var verdictLooks = []struct {
	word string
	look look
}{
	{"FAULT", lookFault}, {"CANNOT TELL", lookUnknown}, {"CAUTION", lookCaution},
	{"not available", lookFault}, {"fail", lookFault}, {"change", lookCaution}, {"query", lookUnknown}, {"open", lookUnknown},
}

// shades follow the words of a column, whoever writes them.
func (b *book) shades(s *sheet, area string, c column) error {
	var rules []excelize.ConditionalFormatOptions
	for _, v := range verdictLooks {
		if !c.verdict && !contains(c.choices, v.word) || c.verdict && strings.ToUpper(v.word) != v.word {
			continue
		}
		id, ok := b.conditional[v.look]
		if !ok {
			full := v.look.style()
			var err error
			if id, err = b.f.NewConditionalStyle(&excelize.Style{Font: &excelize.Font{Bold: full.Font.Bold, Italic: full.Font.Italic}, Fill: full.Fill}); err != nil {
				return err
			}
			b.conditional[v.look] = id
		}
		rules = append(rules, excelize.ConditionalFormatOptions{Type: "cell", Criteria: "==", Value: `"` + v.word + `"`, Format: &id})
	}
	if len(rules) == 0 {
		return nil
	}
	return b.f.SetConditionalFormat(s.name, area, rules)
}

func contains(list []string, word string) bool {
	for _, w := range list {
		if w == word {
			return true
		}
	}
	return false
}
