package intake

import (
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// rowFor makes the sheet of one row from an example of a rule.
func rowFor(lib *library.Library, ex library.Example) model.Sheet {
	head, row := model.Row{Number: 1}, model.Row{Number: 2}
	add := func(name, text string) {
		n := len(head.Cells) + 1
		head.Cells = append(head.Cells, model.Cell{Column: n, Text: name})
		row.Cells = append(row.Cells, model.Cell{Column: n, Text: text})
	}
	tag := ex["tag"]
	if tag == "" {
		tag = "ZZ-1"
	}
	add("TAG", tag)
	for _, h := range lib.Headings {
		if text, ok := ex[h.ID]; ok && h.ID != "tag" {
			add(h.Words[0], text)
		}
	}
	if len(head.Cells) == 1 {
		add("CFM", "400")
	}
	return model.Sheet{File: "example.csv", Rows: []model.Row{head, row}}
}

// TestEvidenceExamples holds every rule against the example that it must match
// and the near miss that it must not.
func TestEvidenceExamples(t *testing.T) {
	lib := testLibrary(t)
	r := newReader(lib)
	for _, rule := range r.rules {
		for _, one := range []struct {
			row  library.Example
			want bool
		}{{rule.Example, true}, {rule.NearMiss, false}} {
			if got := fires(t, r, rule, one.row); got != one.want {
				t.Errorf("%s on %v: matched %v, want %v", rule.ID, one.row, got, one.want)
			}
		}
	}
}

// fires reports whether the rule alone matches the row, once the others have
// settled what comes before it.
func fires(t *testing.T, r *reader, rule rule, ex library.Example) bool {
	t.Helper()
	p := &model.Project{Sheets: []model.Sheet{rowFor(r.lib, ex)}}
	in := &drafted{say: &says{}, tables: map[string]int{}}
	r.readSheet(p, 0, in)
	if len(in.drafts) != 1 {
		t.Fatalf("%s: %v gave %d rows", rule.ID, ex, len(in.drafts))
	}
	d := in.drafts[0]
	d.section = ex["section"]
	e := model.Equipment{Tag: d.tag, Fields: map[string]model.Text{}}
	w := &work{reader: r, p: p, say: in.say, d: d, e: &e}
	w.ratings()
	w.electricalService()
	w.gatherTexts()
	if rule.About != "scope" && rule.About != "kind" {
		w.infer()
	}
	_, _, ok := w.matches(&rule)
	return ok
}
