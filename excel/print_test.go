package excel

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// What passes is folded under the first check of its circuit, which is the
// worst; nothing that somebody has to look at is ever hidden.
func TestPassingChecksAreFolded(t *testing.T) {
	plan := samplePlan(1)
	c := &plan.Circuits[2]
	margin := func(code string, v model.Verdict, m float64) model.Check {
		return model.Check{Code: code, Verdict: v, Limit: model.Span(10, 10), Margin: &m, Relation: ">=", Unit: "V"}
	}
	c.Checks = []model.Check{{Code: "nature", Verdict: model.Pass}, margin("wide", model.Pass, 9), margin("tight", model.Pass, 0.1), margin("unsure", model.Unknown, 1)}
	c2 := &plan.Circuits[6]
	c2.Checks = c.Checks[:3]
	d := open(t, issueOf(t, plan, Options{}), pairingSheetName)
	rows, err := d.f.GetRows(d.sheet)
	if err != nil {
		t.Fatal(err)
	}
	heads := rows[0]
	circuit, check, verdict := slices.Index(heads, "Circuit"), slices.Index(heads, "Check"), slices.Index(heads, "Verdict")
	order := map[string][]string{}
	folded := 0
	for i, r := range rows[1:] {
		visible, err := d.f.GetRowVisible(d.sheet, i+2)
		if err != nil {
			t.Fatal(err)
		}
		first := order[r[circuit]] == nil
		order[r[circuit]] = append(order[r[circuit]], r[check])
		if !visible {
			folded++
			if first || r[verdict] != "PASS" {
				t.Errorf("row %d is folded: %q", i+2, r[:4])
			}
		} else if r[verdict] == "PASS" && !first {
			t.Errorf("row %d passes and is not folded: %q", i+2, r[:4])
		}
	}
	if got := strings.Join(order[c.ID], " "); got != "unsure tight wide nature" {
		t.Errorf("the checks of %s stand as %s", c.ID, got)
	}
	if got := strings.Join(order[c2.ID], " "); got != "tight wide nature" {
		t.Errorf("the checks of %s stand as %s", c2.ID, got)
	}
	if folded == 0 {
		t.Error("nothing is folded: the test proves nothing")
	}
}

func issueOf(t *testing.T, plan *model.Plan, opts Options) []byte {
	t.Helper()
	var b strings.Builder
	if err := Write(&b, plan, opts); err != nil {
		t.Fatal(err)
	}
	return []byte(b.String())
}

var fitWidth = regexp.MustCompile(`fitToWidth="(\d+)"`)

// On letter no sheet is more than two pages wide, and most are one; on larger
// paper the point schedule is one.
func TestPrintedWidth(t *testing.T) {
	for paper, most := range map[string]int{"letter": 2, "a4": 2, "tabloid": 1, "a3": 1} {
		plan := samplePlan(2)
		plan.Settings.Workbook.Paper = paper
		data := issueOf(t, plan, Options{For: "all"})
		for n, name := range open(t, data, pointSheetName).f.GetSheetList() {
			pages := 1
			if m := fitWidth.FindStringSubmatch(partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", n+1))); m != nil {
				fmt.Sscan(m[1], &pages)
			}
			if pages > most && name != "Function list" && name != "Equipment" || pages > 2 {
				t.Errorf("%s is %d pages of %s wide", name, pages, paper)
			}
		}
	}
}

// The cover says in its first lines what is asked of whoever gets the copy.
func TestCoverSaysWhatIsAsked(t *testing.T) {
	for who, want := range map[string][]string{"vendor": {"What is asked of you", "accept, change, query or not available", "Clarifications", "send it back"},
		"field": {"What is asked of you", "On site"}, "estimate": nil} {
		var words []string
		for _, c := range cells(t, issue(t, 1, Options{For: who}))["Cover"] {
			words = append(words, c)
		}
		all := strings.Join(words, "\n")
		for _, w := range want {
			if !strings.Contains(all, w) {
				t.Errorf("the cover for %s does not say %q", who, w)
			}
		}
		if want == nil && strings.Contains(all, "What is asked of you") {
			t.Errorf("the cover for %s asks for answers", who)
		}
	}
}

// partOf is a part of a package as text.
func partOf(t *testing.T, data []byte, name string) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	r, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	raw, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// Every column that people see says at its heading what it means.
func TestEveryColumnHasItsNote(t *testing.T) {
	plan := samplePlan(1)
	plan.Panels = []model.PanelSummary{{Panel: "PANEL-1"}}
	plan.Restart = []model.RestartStep{{Equipment: "EF-1"}}
	keep := &model.Returned{Layout: model.Layout{Kept: []model.KeptRow{{Sheet: pointSheetName, Key: "GONE/start", State: "point gone", Cells: []model.KeptCell{{Title: "Description", Text: "x"}}}}}}
	changes := []model.Difference{{Code: "changed", Subject: "EF-1/start", Field: "units"}}
	is := newIssued(plan, Options{For: "all", Keep: keep, Changes: changes})
	seen := map[string]bool{}
	for _, s := range is.sheets() {
		seen[s.name] = true
		if s.table == "" {
			continue
		}
		for _, c := range s.columns {
			if c.note == "" && !c.hidden {
				t.Errorf("%s: column %q (%s) has no note", s.name, c.title, c.id)
			}
		}
	}
	for name := range sheetWords {
		if !seen[name] {
			t.Errorf("sheet %q was not looked at", name)
		}
	}
}

// The bid adds up what has a price, says what has none, and is in no copy that
// leaves the office.
func TestBidAddsUp(t *testing.T) {
	plan := samplePlan(1)
	cents := int64(125)
	plan.Materials = append(plan.Materials, model.Material{Item: "relay", Quantity: 3, PriceCents: &cents, Bid: model.Base}, model.Material{Item: "damper", Quantity: 2, Bid: model.Base},
		model.Material{Item: "relay", Quantity: 2, PriceCents: &cents, Bid: model.Alternate}, model.Material{Item: "relay", Quantity: 7, PriceCents: &cents, Bid: model.Existing})
	for _, who := range Copies() {
		sheet := cells(t, issueOf(t, plan, Options{For: who}))["Bid"]
		if who == "vendor" || who == "field" {
			if len(sheet) > 0 {
				t.Errorf("the copy for %s has a bid", who)
			}
			continue
		}
		// base 6 at 87.65 and 3 at 1.25, alternate 2 at 1.25; what hangs already costs nothing
		for cell, want := range map[string]string{"G2": `number 525.9 formula "D2*F2"`, "G3": `number 3.75 formula "D3*F3"`, "H4": `text "missing"`,
			"G4": "", "G6": "", "H6": `text "not bought"`,
			"G7": `number 529.65 formula "SUMIF(I2:I6,\"base\",G2:G6)"`, "G8": `number 2.5 formula "SUMIF(I2:I6,\"alternate\",G2:G6)"`} {
			if sheet[cell] != want {
				t.Errorf("for %s, %s is %s, want %s", who, cell, sheet[cell], want)
			}
		}
		if !strings.Contains(sheet["B7"], "3 lines that have a price") || !strings.Contains(sheet["A8"], "Total, alternate") {
			t.Errorf("the totals say %s, %s", sheet["B7"], sheet["A8"])
		}
	}
}
