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
	for cell, want := range map[string]string{"B1": "1.1 binary output", "C1": "8.2 display", "D1": "Remarks"} {
		if !strings.Contains(sheet[cell], want) {
			t.Errorf("%s holds %q, want %q", cell, sheet[cell], want)
		}
	}
	last := len(plan.Functions.Rows) + 2
	for cell, want := range map[string]int{fmt.Sprintf("B%d", last): plan.Functions.Totals[0], fmt.Sprintf("C%d", last): plan.Functions.Totals[2]} {
		if !strings.Contains(sheet[cell], fmt.Sprint(want)) {
			t.Errorf("%s holds %q, want the sum %d", cell, sheet[cell], want)
		}
	}
	if !strings.Contains(sheet[fmt.Sprintf("A%d", last-1)], plan.Functions.Rows[len(plan.Functions.Rows)-1].Point) {
		t.Errorf("the last row is %q", sheet[fmt.Sprintf("A%d", last-1)])
	}
}

// TestNetworkAndExistingPoints: a device with its station, and what becomes of
// a point that is there.
func TestNetworkAndExistingPoints(t *testing.T) {
	book := cells(t, issue(t, 1, Options{For: "all"}))
	for cell, want := range map[string]string{"A2": "PANEL-1/C1", "C2": "1001", "G2": "2", "H2": "1", "I2": "PANEL-1/trunk-1", "J2": "0", "K2": "proposed", "E3": "EF-9", "J3": "7", "K3": "set"} {
		if got := book["Network"][cell]; !strings.Contains(got, want) {
			t.Errorf("Network %s holds %q, want %q", cell, got, want)
		}
	}
	if got := book["Network"]["C3"]; got != "" {
		t.Errorf("a device without an instance shows %q", got)
	}
	for cell, want := range map[string]string{"A2": "change", "B2": "EF-1/start", "C2": "=EF1", "E2": "binary-value,3", "F2": "12", "G2": "object type: binary-value, planned binary-output", "I2": "scan.csv:4", "A3": "add"} {
		if got := book["Existing points"][cell]; !strings.Contains(got, want) {
			t.Errorf("Existing points %s holds %q, want %q", cell, got, want)
		}
	}
}
