//go:build conformance

package excel

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"tallywire/model"
)

// round is a workbook issued to a vendor, what the vendor made of it through
// openpyxl, and the list of what was done: kind, sheet, key, heading, text.
type round struct {
	plan   *model.Plan
	edited string // path
	edits  [][]string
}

// returnedSheets are what a vendor works in. The counts stay out: openpyxl
// drops cached values, and LibreOffice takes half a minute to count 2,000 points
// for each of 336 machines anew, which other tests see done for smaller plans.
var returnedSheets = []string{pointSheetName, "Alarms", "Clarifications", "Functional tests", "Point check-out", findingSheetName, "Landings"}

// vendorsRound issues a plan of 2,000 points and lets the vendor work in it.
var vendorsRound = sync.OnceValues(func() (*round, error) {
	dir, err := conformanceFolder()
	if err != nil {
		return nil, err
	}
	interpreter, err := python()
	if err != nil {
		return nil, err
	}
	r := &round{plan: samplePlan(56), edited: filepath.Join(dir, "edited.xlsx")}
	issued, list := filepath.Join(dir, "issued.xlsx"), filepath.Join(dir, "edits.json")
	var b bytes.Buffer
	if err := Write(&b, r.plan, Options{For: "all", Only: returnedSheets}); err != nil {
		return nil, err
	}
	if err := os.WriteFile(issued, b.Bytes(), 0o644); err != nil {
		return nil, err
	}
	if out, err := exec.Command(interpreter, "testdata/conformance/edit.py", issued, r.edited, list).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	raw, err := os.ReadFile(list)
	if err != nil {
		return nil, err
	}
	return r, json.Unmarshal(raw, &r.edits)
})

// A vendor's edits through another library come back whole, also after a
// third program has saved the file.
func TestVendorsEditsComeBack(t *testing.T) {
	r := must(t, vendorsRound)
	if len(r.plan.Points) < 2000 || len(r.edits) < 200 {
		t.Fatalf("%d edits on %d points", len(r.edits), len(r.plan.Points))
	}
	kinds := map[string]int{}
	for _, e := range r.edits {
		kinds[e[0]]++
	}
	for _, kind := range []string{model.EditAnswer, model.EditValue, model.EditOwn, model.EditNote, model.EditAdded, model.EditGone, "sheet"} {
		if kinds[kind] == 0 {
			t.Errorf("no edit of the kind %s", kind)
		}
	}
	data, err := os.ReadFile(r.edited)
	if err != nil {
		t.Fatal(err)
	}
	recovered(t, "as saved by the second library", data, r)
	recovered(t, "as saved by LibreOffice", again(t, r.edited), r)
}

// recovered holds what came back, and what a new issue keeps of it, against
// the list of what was done: nothing lost, nothing made up.
func recovered(t *testing.T, how string, data []byte, want *round) {
	t.Helper()
	r := takeBack(t, data, want.plan)
	said := edited(r)
	lost := 0
	used := map[string]bool{}
	for _, e := range want.edits {
		k := strings.Join(e, "|")
		used[k] = true
		if !said[k] {
			lost++
			t.Errorf("%s: lost %s", how, k)
		}
	}
	for k := range said {
		if !used[k] {
			t.Errorf("%s: made up %s", how, k)
		}
	}
	t.Logf("%s: %d of %d edits recovered, %d findings", how, len(want.edits)-lost, len(want.edits), len(r.Findings))
	namedWithCells(t, how, r, want)

	var next bytes.Buffer
	if err := Write(&next, want.plan, Options{For: "all", Keep: r}); err != nil {
		t.Fatal(err)
	}
	for _, fault := range lint(next.Bytes()) {
		t.Errorf("%s, new issue: %s", how, fault)
	}
	kept := edited(takeBack(t, next.Bytes(), want.plan))
	lost = 0
	for _, e := range want.edits {
		switch e[0] {
		case model.EditGone: // a row that somebody deleted stands in the next issue again
			continue
		case model.EditValue: // not taken over, so it stands as a note
			e = []string{model.EditNote, e[1], e[2], e[3], "Returned as: " + e[4]}
		}
		if k := strings.Join(e, "|"); !kept[k] {
			lost++
			t.Errorf("%s, new issue: lost %s", how, k)
		}
	}
	t.Logf("%s, new issue: %d of %d edits kept", how, len(want.edits)-lost, len(want.edits))
}

// edited is what came back in the form of the list. A row that people added
// counts as kept too where the next issue holds it with its cells.
func edited(r *model.Returned) map[string]bool {
	have := map[string]bool{}
	for _, e := range r.Edits {
		have[strings.Join([]string{e.Kind, e.Sheet, e.Key, e.Title, e.New}, "|")] = true
	}
	for _, k := range r.Layout.Kept {
		for _, c := range k.Cells {
			have[strings.Join([]string{model.EditAdded, k.Sheet, k.Key, c.Title, c.Text}, "|")] = true
		}
	}
	for _, s := range r.Layout.Sheets {
		have["sheet|"+s.Name+"|||"+s.Rows[0].Cells[0].Text] = true
	}
	return have
}

// namedWithCells: an answer that is none, and a row that is gone, are told in a
// finding; every edit says its cell.
func namedWithCells(t *testing.T, how string, r *model.Returned, want *round) {
	t.Helper()
	told := map[string]bool{}
	for _, f := range r.Findings {
		told[f.Code+" "+f.Subject] = true
		if f.Where == nil || f.Code == "returned-answer-unknown" && f.Where.Cell == "" {
			t.Errorf("%s: %s names no cell", how, f.Message)
		}
	}
	for _, e := range want.edits {
		if e[0] == model.EditGone && !told["returned-row-gone "+e[2]] {
			t.Errorf("%s: nothing says that row %s is gone", how, e[2])
		}
		if e[3] == "Vendor status" && !slices.Contains(vendorAnswers, e[4]) && e[0] == model.EditAnswer && !told["returned-answer-unknown "+e[2]] {
			t.Errorf("%s: nothing says that %q is no answer", how, e[4])
		}
	}
	for _, e := range r.Edits {
		if e.Kind != model.EditGone && (e.Where == nil || e.Where.Cell == "") {
			t.Errorf("%s: %s of %s names no cell", how, e.Kind, e.Key)
		}
	}
}
