package excel

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
	"tallywire/model/finding"
)

func issue(t testing.TB, copies int, opts Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, samplePlan(copies), opts); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSamePlanSameBytes(t *testing.T) {
	first := issue(t, 2, Options{})
	for n := range 20 {
		if !bytes.Equal(first, issue(t, 2, Options{})) {
			t.Fatalf("save %d differs from the first", n+2)
		}
	}
}

func TestLook(t *testing.T) {
	if path := os.Getenv("EXCEL_OUT"); path != "" {
		os.WriteFile(path, issue(t, 3, Options{For: "all"}), 0o644)
	}
}

// cells reads a workbook back as cell → dump line, by sheet.
func cells(t testing.TB, data []byte) map[string]map[string]string {
	t.Helper()
	dump, err := Dump(data)
	if err != nil {
		t.Fatal(err)
	}
	out, sheet := map[string]map[string]string{}, ""
	for line := range strings.Lines(dump) {
		line = strings.TrimSuffix(line, "\n")
		if name, ok := strings.CutPrefix(line, "sheet "); ok {
			sheet, _ = strconv.Unquote(strings.TrimSuffix(name, " hidden"))
			out[sheet] = map[string]string{}
			continue
		}
		cell, rest, _ := strings.Cut(line, " ")
		out[sheet][cell] = rest
	}
	return out
}

func TestEverySheetIsThere(t *testing.T) {
	book := cells(t, issue(t, 1, Options{For: "all"}))
	for _, name := range []string{"Cover", "Point schedule", "Counts", "Alarms", "Pairings", "Findings and assumptions", "Equipment",
		"Landings", "Controllers", "Supplies", "Cables", "Materials", "Interlocks", "Cause and effect", "Truth tables", "Sequences",
		"Functional tests", "Responsibility", "Cross-check", "Charts", "Objects", "Point check-out", "Function list", "Clarifications",
		"Supporting objects", "Network", "Trunks", "Existing points"} {
		if len(book[name]) == 0 {
			t.Errorf("sheet %q is missing or empty", name)
		}
	}
	for name := range book {
		if name != "Cover" && name != aboutSheetName && sheetWords[name] == "" {
			t.Errorf("the cover does not say what sheet %q is for", name)
		}
	}
	plan := samplePlan(1)
	if got := len(below(book["Point schedule"], "Key")); got != len(plan.Points) {
		t.Errorf("%d keys in the point schedule, the plan has %d points", got, len(plan.Points))
	}
	cover := fmt.Sprint(book["Cover"])
	for _, want := range append(plan.Cautions, plan.Project.Name, plan.Project.Inputs[0].SHA256, plan.Project.Inputs[1].SHA256,
		"24: AO 6, BI 12, BO 6", "2 faults, 1 caution, 2 notes") {
		if !strings.Contains(cover, want) {
			t.Errorf("the cover does not say %q", want)
		}
	}
}

// below returns the texts below a heading in row 1.
func below(sheet map[string]string, heading string) []string {
	letter := ""
	for cell, v := range sheet {
		if v == "text "+strconv.Quote(heading) && strings.TrimLeft(cell, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "1" {
			letter = strings.TrimSuffix(cell, "1")
		}
	}
	var out []string
	for row := 2; ; row++ {
		v, ok := sheet[fmt.Sprint(letter, row)]
		if !ok || letter == "" {
			return out
		}
		out = append(out, v)
	}
}

func TestCountsAreLiveAndRight(t *testing.T) {
	plan := samplePlan(1)
	book := cells(t, issue(t, 1, Options{}))
	counts := book["Counts"]
	for cell, want := range map[string]string{
		"C3": `number 6 formula "COUNTIFS(point_class,$A3,point_type,C$2)"`, // hardwired AO
		"D3": `number 12 formula "COUNTIFS(point_class,$A3,point_type,D$2)"`,
		"K3": `number 24 formula "SUM(B3:J3)"`,
		"K5": `number 6 formula "SUM(B5:J5)"`, // software
		"K6": `number 6 formula "SUM(B6:J6)"`, // by others
		"K7": `number 36 formula "SUM(K3:K6)"`,
	} {
		if counts[cell] != want {
			t.Errorf("%s is %s, want %s", cell, counts[cell], want)
		}
	}
	if len(plan.Points) != 36 {
		t.Fatal("the sample plan has changed")
	}
}

func TestLifeSafetyRowsCarryTheCaution(t *testing.T) {
	book := cells(t, issue(t, 1, Options{}))
	for _, name := range []string{"Point schedule", "Alarms", "Pairings", "Equipment", "Landings", "Cause and effect"} {
		found := 0
		for _, v := range book[name] {
			if strings.Contains(v, lifeSafetyCaution) {
				found++
			}
		}
		if found == 0 {
			t.Errorf("%s: no caution beside the stair fan", name)
		}
	}
}

func TestTextStaysText(t *testing.T) {
	hostile := []string{"=1+1", "+1", "-1", "@SUM(A1)", "=cmd|'/c calc'!A1", "\t=1+1", "'quoted", "_x0041_", "a & b < c > d", "R\u0007bell",
		"line\r\nend", "\u202Eright to left", "مروحة", "fan \U0001F300", "  edges  ", "lone \xED\xA0\x80 half", "nul\x00", "\uFFFE", "tab\tin"}
	plan := samplePlan(1)
	for i, s := range hostile {
		plan.Points[i].Description = s
	}
	var b bytes.Buffer
	if err := Write(&b, plan, Options{}); err != nil {
		t.Fatal(err)
	}
	read := below(cells(t, b.Bytes())["Point schedule"], "Description")
	expect := map[string]string{"line\r\nend": "line\nend", "lone \xED\xA0\x80 half": "lone \uFFFD\uFFFD\uFFFD half", "nul\x00": "nul\uFFFD", "\uFFFE": "\uFFFD"}
	for i, s := range hostile {
		want := s
		if e, ok := expect[s]; ok {
			want = e
		}
		if read[i] != "text "+strconv.Quote(want) {
			t.Errorf("%q came back as %s", s, read[i])
		}
	}
	// The mark that keeps text text when a person edits the cell.
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []bool{true, true, true, true, true, true, true, false, false} {
		id, err := f.GetCellStyle(pointSheetName, fmt.Sprintf("C%d", i+2))
		if err != nil {
			t.Fatal(err)
		}
		mark := f.Styles.CellXfs.Xf[id].QuotePrefix
		if (mark != nil && *mark) != want {
			t.Errorf("%q: quote mark %v, want %v", hostile[i], !want, want)
		}
	}
}

func TestLongTextIsCutAndSaysSo(t *testing.T) {
	for _, c := range []struct {
		in  string
		cut bool
	}{{strings.Repeat("a", maxCellText), false}, {strings.Repeat("a", maxCellText+1), true},
		{strings.Repeat("\U0001F300", maxCellText/2), false}, {strings.Repeat("\U0001F300", maxCellText/2+1), true},
		{strings.Repeat("é", maxCellText), false}} {
		got := fitCell(c.in)
		if utf16Length(got) > maxCellText || (got != c.in) != c.cut || c.cut && !strings.HasSuffix(got, "holds no more)") {
			t.Errorf("%d units: %d kept, cut %v", utf16Length(c.in), utf16Length(got), got != c.in)
		}
	}
}

func TestExactNumbersComeBack(t *testing.T) {
	plan := samplePlan(1)
	run := 4.35
	plan.Cables[0].LengthFt = ptr(run * 100) // not 435: the nearest float is below it
	var b bytes.Buffer
	if err := Write(&b, plan, Options{}); err != nil {
		t.Fatal(err)
	}
	if got := below(cells(t, b.Bytes())["Cables"], "Length, ft"); len(got) != 1 || got[0] != "number 434.99999999999994" {
		t.Errorf("length is %v", got)
	}
}

func TestEmptyPlanStillGivesAWorkbook(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, &model.Plan{}, Options{}); err != nil {
		t.Fatal(err)
	}
	if book := cells(t, b.Bytes()); book["Cover"]["A1"] != `text "Point schedule"` {
		t.Errorf("cover: %v", book["Cover"])
	}
}

// The vendor's and the field copy carry no money anywhere in the package.
func TestNoMoneyLeavesTheOffice(t *testing.T) {
	plan := samplePlan(1)
	plan.Findings = append(plan.Findings, finding.Finding{Code: "landing-assumed", Severity: finding.Note, Message: "a split counts 20.00 in the choice", Fix: "state the price"},
		finding.Finding{Code: "x", Severity: finding.Note, Message: "costs $ 19.90"},
		finding.Finding{Code: "y", Severity: finding.Note, Message: "z", Numbers: []finding.Number{{Name: "parts", Value: 1990, Unit: "cents"}}})
	plan.Circuits[0].Fix.PriceCents = ptr(int64(46464))
	plan.LandingProof = []model.LandingProof{{Panel: "PANEL-1", CostCents: 999111}}
	plan.Panels = []model.PanelSummary{{Panel: "PANEL-1", PriceCents: 777333}}
	plan.Bid = &model.Bid{TotalCents: 5555500}
	money := regexp.MustCompile(`(?i)price|placeholder|\bcents?\b|\$ ?\d+\.\d\d|1,?357\.99|135799|87\.65|8765|464\.64|46464|9991|9,991|7773|7,773|5555|55,555|19\.90?|20\.00`)
	checksum := regexp.MustCompile(`[0-9a-f]{64}`)
	sees := 0
	for _, who := range Copies() {
		var b bytes.Buffer
		if err := Write(&b, plan, Options{For: who}); err != nil {
			t.Fatal(err)
		}
		z, _ := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
		for _, f := range z.File {
			r, _ := f.Open()
			raw, _ := io.ReadAll(r)
			hit := money.Find(checksum.ReplaceAll(raw, nil))
			if hit == nil || strings.HasSuffix(f.Name, "theme1.xml") {
				continue
			}
			if who == "vendor" || who == "field" {
				t.Errorf("for %s: %s holds %q", who, f.Name, hit)
			}
			sees++
		}
	}
	if sees == 0 {
		t.Error("the search finds no money in the estimator's copy either: it cannot find any")
	}
}

func TestChosenAndOwnColumns(t *testing.T) {
	plan := samplePlan(1)
	plan.Settings.Workbook = model.WorkbookSettings{Columns: []string{"object_name", "equipment", "role", "type", "terminal"}, OwnColumns: []string{"Room", "Type"}, Paper: "a4"}
	var b bytes.Buffer
	if err := Write(&b, plan, Options{}); err != nil {
		t.Fatal(err)
	}
	sheet := cells(t, b.Bytes())["Point schedule"]
	var heads []string
	for i := 1; sheet[cellName(i, 1)] != ""; i++ {
		heads = append(heads, strings.Trim(strings.TrimPrefix(sheet[cellName(i, 1)], "text "), `"`))
	}
	want := "Object name, Equipment, Role, Type, Terminal, Counted as, System, Panel, Bid, Caution, Vendor status, Vendor remark, Room, Type *, Key, Mark"
	if got := strings.Join(heads, ", "); got != want {
		t.Errorf("columns %s\nwant    %s", got, want)
	}
	if book := cells(t, b.Bytes()); !strings.Contains(book["Counts"]["K3"], "number 24") {
		t.Errorf("the counts break when columns are chosen: %s", book["Counts"]["K3"])
	}
	for _, fault := range lint(b.Bytes()) {
		t.Error(fault)
	}
	plan.Settings.Workbook.Columns = []string{"objct_name"}
	if err := Write(&b, plan, Options{}); err == nil || !strings.Contains(err.Error(), `nearest is "object_name"`) {
		t.Errorf("a misspelt column: error %v", err)
	}
	if err := Write(&b, samplePlan(1), Options{For: "owner"}); err == nil || !strings.Contains(err.Error(), "vendor, estimate, field or all") {
		t.Errorf("an unknown copy: error %v", err)
	}
}

// fullDisk takes so many bytes and no more.
type fullDisk struct{ left int }

func (d *fullDisk) Write(b []byte) (int, error) {
	if d.left -= len(b); d.left < 0 {
		return 0, errors.New("no space left on device")
	}
	return len(b), nil
}

// A disk that fills up at any byte is an error, never a workbook that looks whole.
func TestFullDiskIsAnError(t *testing.T) {
	whole := len(issue(t, 1, Options{}))
	for _, room := range []int{0, 100, whole / 4, whole / 2, whole - 1000, whole - 1} {
		if err := Write(&fullDisk{room}, samplePlan(1), Options{}); err == nil || !strings.Contains(err.Error(), "no space left") {
			t.Errorf("room for %d of %d bytes: error %v", room, whole, err)
		}
	}
	if err := Write(&fullDisk{whole}, samplePlan(1), Options{}); err != nil {
		t.Errorf("room for all: %v", err)
	}
}
