package exchange

import (
	"bytes"
	"encoding/csv"
	"testing"

	"tallywire/model"
)

func TestFunctionsCSV(t *testing.T) {
	plan := &model.Plan{Functions: model.FunctionList{Edition: "an edition", NotClaimed: []string{"this", "that"},
		Columns: []model.FunctionColumn{{ID: "1.1", Group: "physical", Name: "binary output"}, {ID: "1.2", Group: "physical", Name: "analog output"}, {ID: "8.2", Group: "operation", Name: "display"}},
		Rows:    []model.FunctionRow{{Point: "EF-1/start", Equipment: "EF-1", System: "=S", Counts: []int{1, 0, 2}, Remarks: "@x"}},
		Systems: []model.FunctionTotal{{System: "=S", Counts: []int{1, 0, 2}}}, Totals: []int{1, 0, 2}}}
	var out bytes.Buffer
	if err := Functions(&out, plan); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(&out)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"List of functions", "", ""}, {"Follows", "an edition"}, {"Not claimed", "this"}, {"Not claimed", "that"},
		{"", "", "", "physical", "", "operation", ""}, {"", "", "", "binary output", "analog output", "display", ""},
		{"point", "equipment", "system", "1.1", "1.2", "8.2", "remarks"}, {"EF-1/start", "EF-1", "'=S", "1", "", "2", "'@x"},
		{"sum of system", "", "'=S", "1", "", "2", ""}, {"sum of all", "", "", "1", "", "2", ""}}
	if len(rows) != len(want) {
		t.Fatalf("%d rows: %v", len(rows), rows)
	}
	for i := range want {
		for j := range want[i] {
			if rows[i][j] != want[i][j] {
				t.Errorf("row %d, cell %d: %q, want %q", i+1, j+1, rows[i][j], want[i][j])
			}
		}
	}
}
