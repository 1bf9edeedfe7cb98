package intake

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// What is struck through does not hold, and is told.
func TestStruckThrough(t *testing.T) {
	s := tableSheet("fans.xlsx", "M-601", "TAG|SERVICE|CFM|HP|NOTES", "EF-1|STORE|300|1/4|1", "EF-2|STORE|300|1/4|", "EF-3|STORE|750|1/4|", "EF-4|STORE|300|1/2|", "NOTES", "1. PROVIDE MOTORIZED DAMPER")
	strike := func(row, cell int, text string) { s.Rows[row].Cells[cell].Struck = text }
	for i, c := range s.Rows[2].Cells {
		strike(2, i, c.Text)
	}
	strike(1, 4, "1")          // EF-1: the mark of its footnote
	strike(3, 2, "500")        // EF-3: 500 struck, 750 beside it
	strike(4, 3, "1/2")        // EF-4: the motor
	s.HiddenColumns = []int{4} // HP
	got := read(t, &model.Project{Sheets: []model.Sheet{s}})
	if tags := got.tags(); tags != "EF-1 EF-3 EF-4" {
		t.Fatal(tags)
	}
	if f := got.find("struck-through", "EF-2"); f == nil || f.Severity != finding.Caution || f.Where.Cell != "A3" {
		t.Errorf("%+v", f)
	}
	if e := got.tag(t, "EF-1"); e.Damper.Kind != "" || len(e.Notes) != 0 {
		t.Errorf("a struck footnote mark was followed: %+v", e)
	}
	if e := got.tag(t, "EF-3"); e.Ratings.Airflow.Value.Lo != 750 || !got.says("struck-through", "EF-3", `"500" is struck through in the workbook; "750" beside it is read`) {
		t.Errorf("%+v", e.Ratings.Airflow)
	}
	if e := got.tag(t, "EF-4"); e.Ratings.Power != nil || !got.says("struck-through", "EF-4", `"1/2" is struck through in the workbook and not read`) {
		t.Errorf("%+v", e.Ratings.Power)
	}
	if f := got.find("hidden-column", "fans.xlsx, M-601!D1"); f == nil || !strings.Contains(f.Message, `"HP"`) {
		t.Errorf("%+v", got.findings)
	}
}

// A column of a transposed schedule that is struck through is a machine that
// is.
func TestStruckThroughTurned(t *testing.T) {
	s := tableSheet("fans.xlsx", "M-601", "TAG|EF-1|EF-2", "SERVES|STORE|SHOP", "CFM|300|400")
	for i := range s.Rows {
		s.Rows[i].Cells[1].Struck = s.Rows[i].Cells[1].Text
	}
	got := read(t, &model.Project{Sheets: []model.Sheet{s}})
	if tags := got.tags(); tags != "EF-2" || got.find("struck-through", "EF-1") == nil {
		t.Errorf("%s %v", tags, got.findings)
	}
}

// A tag without a number among tags that have one is asked about and not taken
// for sure; where few tags or many lack a number, that is how the list names.
func TestTagWithoutNumber(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM\nEF-1,STORE,300\nEF-2,STORE,300\nEF-3,STORE,300\nROOM,STORE,300\n"))
	if f := got.find("odd-tag", "ROOM"); f == nil || f.Severity != finding.Caution || !got.tag(t, "ROOM").Unresolved {
		t.Errorf("%+v", got.findings)
	}
	for _, rows := range []string{"EF-1,STORE,300\nROOM,STORE,300\n", "EF-1,STORE,300\nEF-2,STORE,300\nEF-3,STORE,300\nROOM,STORE,300\nHALL,STORE,300\n"} {
		if got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM\n"+rows)); got.find("odd-tag", "ROOM") != nil {
			t.Errorf("%s: %+v", rows, got.findings)
		}
	}
}
