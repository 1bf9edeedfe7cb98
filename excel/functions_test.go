package excel

import (
	"fmt"
	"strings"
	"testing"
)

// TestFunctionListIsThePlans: the sheet prints the plan's list with its sums,
// and no column that nothing counts in.
func TestFunctionListIsThePlans(t *testing.T) {
	plan := samplePlan(1)
	sheet := cells(t, issue(t, 1, Options{For: "all"}))["Function list"]
	for cell, want := range map[string]string{"D1": "1.1 binary output", "E1": "8.2 display", "F1": "Remarks"} {
		if !strings.Contains(sheet[cell], want) {
			t.Errorf("%s holds %q, want %q", cell, sheet[cell], want)
		}
	}
	last := len(plan.Functions.Rows) + 2
	for cell, want := range map[string]int{fmt.Sprintf("D%d", last): plan.Functions.Totals[0], fmt.Sprintf("E%d", last): plan.Functions.Totals[2]} {
		if !strings.Contains(sheet[cell], fmt.Sprint(want)) {
			t.Errorf("%s holds %q, want the sum %d", cell, sheet[cell], want)
		}
	}
	if !strings.Contains(sheet[fmt.Sprintf("C%d", last-1)], plan.Functions.Rows[len(plan.Functions.Rows)-1].Point) {
		t.Errorf("the last row is %q", sheet[fmt.Sprintf("C%d", last-1)])
	}
}
