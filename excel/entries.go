package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// Entries lists the places of a workbook of ours in which other people have
// written: cells that are theirs to fill, columns and sheets of their own,
// notes, and cells that no longer say what was issued. It needs no plan: every
// row carries the mark of what was issued.
func Entries(data []byte) ([]string, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	b, err := p.openBook()
	if err != nil {
		return nil, err
	}
	r := &returnReader{book: b, plan: &model.Plan{}, out: &model.Returned{}}
	if err := r.readAbout(); err != nil {
		return nil, err
	}
	blank := r.showsRevisions(newIssued(r.plan, Options{For: "all"}))
	keyed := map[string]*sheet{}
	for _, s := range []*sheet{pointSheet(blank), alarmSheet(blank), testSheet(blank), checkoutSheet(blank), clarificationSheet(blank)} {
		keyed[s.name] = s
	}
	var places []string
	for _, ref := range b.sheets {
		found := []string(nil)
		switch s := keyed[ref.name]; {
		case s != nil:
			found, err = r.entriesOn(ref, s)
		case ref.name != aboutSheetName && ref.name != keptSheetName && !unkeyedName(ref.name):
			found = []string{fmt.Sprintf("sheet %q", ref.name)}
		}
		if err != nil {
			return nil, err
		}
		places = append(places, found...)
	}
	return places, nil
}

// entriesOn lists the places on one sheet with keys.
func (r *returnReader) entriesOn(ref sheetRef, s *sheet) ([]string, error) {
	t := &returnedTable{returnReader: r, ref: ref, e: &expectation{name: s.name, columns: s.columns}, issued: r.columns[s.name]}
	var lines []returnedRow
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		row := returnedRow{number: line.number, cells: make(map[int]rawCell, len(line.cells))}
		for _, c := range line.cells {
			row.cells[c.column] = c
		}
		lines = append(lines, row)
		return nil
	})
	head := t.heading(lines)
	if err != nil || head < 0 {
		return nil, err
	}
	t.identify(lines[head])
	var places []string
	for i := range lines[head+1:] {
		row := &lines[head+1+i]
		row.mark = row.cells[t.at["mark"]].text
		for _, n := range columnsOf(row.cells) {
			id := t.ids[n]
			if id == "mark" || cellWords(row.cells[n]) == "" {
				continue
			}
			at := columnIndex(s.columns, id)
			touched := at < 0 || s.columns[at].input
			if m, ok := t.issuedMark(row, id); ok && !touched {
				touched = cellMark(cellWords(row.cells[n])) != m
			}
			if touched {
				places = append(places, ref.name+"!"+cellName(n, row.number))
			}
		}
	}
	notes, err := r.book.comments(ref)
	for _, n := range notes {
		ours := slices.ContainsFunc(s.columns, func(c column) bool { return canonical(c.note) == canonical(n.words) })
		if !ours && n.words != ownColumnNote && strings.TrimSpace(n.words) != "" {
			places = append(places, "note at "+ref.name+"!"+n.cell)
		}
	}
	return places, err
}
