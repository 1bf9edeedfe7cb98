package excel

import (
	"fmt"
	"path"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// notes reads the notes that people put at cells of a keyed sheet.
func (t *returnedTable) notes() error {
	found, err := t.book.comments(t.ref)
	if err != nil {
		return err
	}
	ours := map[string]bool{ownColumnNote: true}
	for _, c := range t.e.columns {
		ours[canonical(c.note)] = true
	}
	byRow := map[int]int{}
	for i := range t.rows {
		byRow[t.rows[i].number] = i
	}
	for _, n := range found {
		column, number, ok := splitRef([]byte(n.cell))
		words := canonical(n.words)
		if !ok || words == "" || ours[words] {
			continue
		}
		i, inTable := byRow[number]
		id := t.ids[column]
		if !inTable || id == "" || t.rows[i].key == "" {
			t.say("returned-sheet-edited", finding.Caution, t.e.name, fmt.Sprintf("A note outside the rows says %q", words), "Read it by eye", t.where(t.ref, column, number))
			continue
		}
		key := t.rows[i].key
		t.add(model.Edit{Kind: model.EditNote, Key: key, Field: id, New: words, Means: fmt.Sprintf("Note at %s of %s: %s", t.heads[column], key, words)},
			&t.rows[i], column)
	}
	return nil
}

// threadedMark is how a spreadsheet program begins the plain copy of a comment
// with answers; what people wrote follows after the last of it.
const threadedMark = "[Threaded comment]"

// comments reads the notes of a sheet; a sheet without any has none.
func (b *openedBook) comments(ref sheetRef) ([]note, error) {
	rels, err := b.relations(ref.part)
	if err != nil {
		return nil, err
	}
	var out []note
	for _, r := range rels {
		if path.Base(r.kind) != "comments" || r.external {
			continue
		}
		err := b.walk(r.target, func(s *scanner) error {
			for {
				kind, err := s.next()
				if err != nil || kind == tokenEOF {
					return err
				}
				if kind != tokenStart || string(s.name) != "comment" {
					continue
				}
				cell := s.attr("ref")
				words, err := s.content()
				if err != nil {
					return err
				}
				words = unescape(words)
				if strings.HasPrefix(words, threadedMark) {
					if i := strings.LastIndex(words, "Comment:"); i >= 0 {
						words = strings.TrimSpace(words[i+len("Comment:"):])
					}
				}
				out = append(out, note{cell, words})
			}
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// readKept takes over the rows that an earlier issue had kept.
func (r *returnReader) readKept(ref sheetRef) error {
	var heads map[int]string
	_, err := r.book.readGrid(ref, func(line rawRow) error {
		if heads == nil {
			heads = map[int]string{}
			for _, c := range line.cells {
				heads[c.column] = c.text
			}
			return nil
		}
		var k model.KeptRow
		for _, c := range line.cells {
			switch title := heads[c.column]; {
			case title == "State" && c.column == 1:
				k.State = c.text
			case title == "From sheet" && c.column == 2:
				k.Sheet = c.text
			case title == "Row" && c.column == 3:
				k.Key = c.text
			default:
				if title == "" {
					title = "Column " + columnName(c.column)
				}
				k.Cells = append(k.Cells, model.KeptCell{Title: title, Text: c.text})
			}
		}
		r.out.Layout.Kept = append(r.out.Layout.Kept, k)
		return nil
	})
	return err
}
