package excel

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// desk is a returned workbook on somebody's desk: edits by key and column, as
// a person would make them, through the second library.
type desk struct {
	t     testing.TB
	f     *excelize.File
	sheet string
	rows  map[string]int
	cols  map[string]string
}

func open(t testing.TB, data []byte, sheet string) *desk {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	d := &desk{t: t, f: f, sheet: sheet}
	d.look()
	return d
}

// look finds rows and columns again after they were moved.
func (d *desk) look() {
	d.t.Helper()
	rows, err := d.f.GetRows(d.sheet, excelize.Options{RawCellValue: true})
	if err != nil || len(rows) == 0 {
		d.t.Fatal(d.sheet, err)
	}
	d.rows, d.cols = map[string]int{}, map[string]string{}
	key := 0
	for i, title := range rows[0] {
		d.cols[title] = columnName(i + 1)
		if title == "Key" {
			key = i
		}
	}
	for i, r := range rows[1:] {
		if key < len(r) {
			d.rows[r[key]] = i + 2
		}
	}
}

func (d *desk) cell(key, title string) string {
	d.t.Helper()
	if d.rows[key] == 0 || d.cols[title] == "" {
		d.t.Fatalf("%s has no row %q or no column %q", d.sheet, key, title)
	}
	return fmt.Sprint(d.cols[title], d.rows[key])
}

func (d *desk) set(key, title string, v any) {
	d.t.Helper()
	if err := d.f.SetCellValue(d.sheet, d.cell(key, title), v); err != nil {
		d.t.Fatal(err)
	}
}

func (d *desk) send() []byte {
	d.t.Helper()
	var b bytes.Buffer
	if err := d.f.Write(&b); err != nil {
		d.t.Fatal(err)
	}
	return b.Bytes()
}

// swap exchanges two rows with everything in them.
func (d *desk) swap(a, b int) {
	for i := range len(d.cols) {
		ca, cb := cellName(i+1, a), cellName(i+1, b)
		va, _ := d.f.GetCellValue(d.sheet, ca, excelize.Options{RawCellValue: true})
		vb, _ := d.f.GetCellValue(d.sheet, cb, excelize.Options{RawCellValue: true})
		d.f.SetCellStr(d.sheet, ca, vb)
		d.f.SetCellStr(d.sheet, cb, va)
	}
}

func takeBack(t testing.TB, data []byte, plan *model.Plan) *model.Returned {
	t.Helper()
	r, err := ReadReturned("back.xlsx", data, plan)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// said prints edits as "kind sheet key field old>new".
func said(r *model.Returned) []string {
	var out []string
	for _, e := range r.Edits {
		moved := ""
		if e.Moved {
			moved = " moved"
		}
		out = append(out, fmt.Sprintf("%s|%s|%s|%s|%s>%s%s", e.Kind, e.Sheet, e.Key, e.Field, e.Old, e.New, moved))
	}
	slices.Sort(out)
	return out
}

func codesOf(r *model.Returned) []string {
	var out []string
	for _, f := range r.Findings {
		out = append(out, f.Code+" "+f.Subject)
	}
	slices.Sort(out)
	return out
}

func TestUntouchedReturnsNothing(t *testing.T) {
	plan := samplePlan(3)
	for _, who := range Copies() {
		var b bytes.Buffer
		if err := Write(&b, plan, Options{For: who}); err != nil {
			t.Fatal(err)
		}
		for name, data := range map[string][]byte{"as issued": b.Bytes(), "saved by another program": open(t, b.Bytes(), pointSheetName).send()} {
			r := takeBack(t, data, plan)
			if !r.Current || len(r.Edits) > 0 || len(r.Findings) > 0 || len(r.Layout.Kept) > 0 || len(r.Layout.Sheets) > 0 || len(r.Layout.Order) > 0 {
				t.Errorf("for %s, %s: current %v, edits %v, findings %v, order %v", who, name, r.Current, said(r), codesOf(r), r.Layout.Order)
			}
		}
	}
}

func TestEveryKindOfEditComesBack(t *testing.T) {
	plan := samplePlan(1)
	data := issue(t, 1, Options{For: "all"})
	d := open(t, data, pointSheetName)
	d.set("EF-1/start", "Vendor status", "Accept")
	d.set("EF-1/status", "Vendor status", "chnage")
	d.set("EF-1/status", "Vendor remark", "=needs a relay")
	d.set("EF-2/start", "Instance", 1204)
	d.set("EF-2/start", "Object name", "B1_EF2_CMD")
	d.set("EF-2/speed", "Units", "")
	d.set("SF-1/start", "Priority", "16") // a number that came back as text is no edit
	last := columnName(len(d.cols) + 1)
	d.f.SetCellStr(d.sheet, last+"1", "Tag in the field")
	d.f.SetCellStr(d.sheet, last+fmt.Sprint(d.rows["RF-3/speed"]), "T-77")
	d.f.AddComment(d.sheet, excelize.Comment{Cell: d.cell("RF-3/start", "Terminal"), Author: "Vendor", Paragraph: []excelize.RichTextRun{{Text: "moved to panel 2"}}})
	bottom := len(plan.Points) + 2
	d.f.SetCellStr(d.sheet, fmt.Sprint(d.cols["Equipment"], bottom), "EF-99")
	d.f.SetCellStr(d.sheet, fmt.Sprint(d.cols["Role"], bottom), "start")
	d.f.NewSheet("Prices we need")
	d.f.SetCellStr("Prices we need", "B3", "on Friday")
	back := d.send()
	d = open(t, back, "Point check-out")
	d.set("EF-10/status", "Found", "Running")
	d.set("EF-10/status", "Date", "2026-05-04")
	d.set("EF-10/status", "Result", "pass")
	d = open(t, d.send(), "Functional tests")
	d.set("EF-2/test-2", "Result", "fail")
	r := takeBack(t, d.send(), plan)
	want := []string{
		"added|Point schedule||equipment|>EF-99", "added|Point schedule||role|>start",
		"answer|Functional tests|EF-2/test-2|result|>fail",
		"answer|Point check-out|EF-10/status|date|>2026-05-04", "answer|Point check-out|EF-10/status|found|>Running",
		"answer|Point check-out|EF-10/status|result|>pass",
		"answer|Point schedule|EF-1/start|vendor_status|>accept", "answer|Point schedule|EF-1/status|vendor_remark|>=needs a relay",
		"answer|Point schedule|EF-1/status|vendor_status|>chnage",
		"note|Point schedule|RF-3/start|terminal|>moved to panel 2",
		"own|Point schedule|RF-3/speed|own:tag in the field|>T-77",
		"value|Point schedule|EF-2/speed|units|percent>", "value|Point schedule|EF-2/start|instance|>1204",
		"value|Point schedule|EF-2/start|object_name|HLL_EF-2_start>B1_EF2_CMD",
	}
	if got := said(r); !slices.Equal(got, want) {
		t.Errorf("edits\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if got, want := codesOf(r), []string{"returned-answer-unknown EF-1/status"}; !slices.Equal(got, want) {
		t.Errorf("findings %v, want %v", got, want)
	}
	if r.Findings[0].Fix == "" || !strings.Contains(r.Findings[0].Fix, `nearest is "change"`) {
		t.Errorf("fix %q", r.Findings[0].Fix)
	}
	for _, e := range r.Edits {
		if e.Where == nil || e.Where.Cell == "" || e.Means == "" {
			t.Errorf("an edit without its cell or meaning: %+v", e)
		}
	}
	if len(r.Layout.Sheets) != 1 || r.Layout.Sheets[0].Name != "Prices we need" {
		t.Errorf("sheets %v", r.Layout.Sheets)
	}
	reissued(t, plan, r)
}

// reissued checks that a new issue shows what people wrote, and that reading
// that one back gives the same again.
func reissued(t *testing.T, plan *model.Plan, r *model.Returned) {
	var b bytes.Buffer
	if err := Write(&b, plan, Options{For: "all", Keep: r}); err != nil {
		t.Fatal(err)
	}
	for _, fault := range lint(b.Bytes()) {
		t.Error(fault)
	}
	book := fmt.Sprint(cells(t, b.Bytes()))
	for _, words := range []string{"accept", "=needs a relay", "Tag in the field", "T-77", "EF-99", "added by hand", "on Friday", "2026-05-04"} {
		if !strings.Contains(book, words) {
			t.Errorf("%q was lost in the new issue", words)
		}
	}
	again := takeBack(t, b.Bytes(), plan)
	keep := func(list []string) []string {
		return slices.DeleteFunc(list, func(s string) bool { return strings.HasPrefix(s, "added|") || strings.HasPrefix(s, "value|") })
	}
	first, second := keep(said(r)), keep(said(again))
	for _, s := range first {
		if !slices.Contains(second, s) {
			t.Errorf("lost on the second way back: %s", s)
		}
	}
	if !strings.Contains(strings.Join(second, "\n"), "Returned as: B1_EF2_CMD") {
		t.Error("a changed value that was not taken over has left no note")
	}
	if len(again.Layout.Kept) != 1 || len(again.Layout.Sheets) != 1 {
		t.Errorf("second way back keeps %d rows and %d sheets", len(again.Layout.Kept), len(again.Layout.Sheets))
	}
}

func TestSortedFilteredRenamedCopied(t *testing.T) {
	plan := samplePlan(2)
	data := issue(t, 2, Options{})
	d := open(t, data, pointSheetName)
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 40 {
		a, b := rnd.IntN(len(plan.Points))+2, rnd.IntN(len(plan.Points))+2
		d.swap(a, b)
	}
	d.look()
	d.set("EF-2-2/speed", "Vendor status", "query")
	d.f.SetRowVisible(d.sheet, d.rows["EF-2-2/speed"], false)
	d.f.SetCellStr(d.sheet, d.cols["Object name"]+"1", "BACnet name (ours)")
	d.f.SetCellStr(d.sheet, d.cols["Vendor remark"]+"1", "Our words")
	d.f.SetCellStr(d.sheet, d.cell("SF-1/start", "Vendor remark"), "late")
	d.f.SetCellStr(d.sheet, d.cell("EF-1/status", "Key"), "EF-1/statsu")
	d.f.InsertRows(d.sheet, 1, 2)
	d.f.SetCellStr(d.sheet, "A1", "Returned by the vendor")
	d.f.SetSheetName(d.sheet, "Points rev B")
	r := takeBack(t, d.send(), plan)
	want := []string{"answer|Point schedule|EF-2-2/speed|vendor_status|>query", "answer|Point schedule|SF-1/start|vendor_remark|>late"}
	if got := said(r); !slices.Equal(got, want) {
		t.Errorf("edits %q, want %q", got, want)
	}
	codes := strings.Join(codesOf(r), "; ")
	for _, code := range []string{"returned-column-renamed Object name", "returned-column-renamed Vendor remark", "returned-key-restored EF-1/status"} {
		if !strings.Contains(codes, code) {
			t.Errorf("findings %s, want %s", codes, code)
		}
	}
	if len(r.Layout.Order[pointSheetName]) != len(plan.Points) {
		t.Errorf("order of %d rows", len(r.Layout.Order[pointSheetName]))
	}
	var b bytes.Buffer
	if err := Write(&b, plan, Options{Keep: r}); err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, v := range below(cells(t, b.Bytes())["Point schedule"], "Key") {
		order = append(order, strings.Trim(strings.TrimPrefix(v, "text "), `"`))
	}
	if !slices.Equal(order, r.Layout.Order[pointSheetName]) {
		t.Error("the new issue does not keep the order of the rows")
	}
}

func TestCopiedSheetAndDoubleKeys(t *testing.T) {
	plan := samplePlan(1)
	d := open(t, issue(t, 1, Options{}), pointSheetName)
	n, _ := d.f.NewSheet("Point schedule (2)")
	from, _ := d.f.GetSheetIndex(pointSheetName)
	if err := d.f.CopySheet(from, n); err != nil {
		t.Fatal(err)
	}
	at := len(plan.Points) + 2
	for i := range len(d.cols) { // a row copied to the bottom and changed there
		v, _ := d.f.GetCellValue(d.sheet, cellName(i+1, 3))
		d.f.SetCellStr(d.sheet, cellName(i+1, at), v)
	}
	d.f.SetCellStr(d.sheet, fmt.Sprint(d.cols["Vendor remark"], at), "this one")
	r := takeBack(t, d.send(), plan)
	codes := strings.Join(codesOf(r), "; ")
	if !strings.Contains(codes, "returned-sheet-copied") || !strings.Contains(codes, "returned-key-twice EF-1/status") {
		t.Errorf("findings %s", codes)
	}
	for _, f := range r.Findings {
		if f.Code == "returned-key-twice" && !strings.Contains(f.Message, d.cols["Vendor remark"]+fmt.Sprint(at)) {
			t.Errorf("the differing cell is not named: %s", f.Message)
		}
	}
	if len(r.Layout.Kept) != 1 || len(r.Layout.Sheets) != 1 {
		t.Errorf("kept %v, sheets %d: what the copy says must not be lost", r.Layout.Kept, len(r.Layout.Sheets))
	}
}

func TestPlanThatMovedOn(t *testing.T) {
	d := open(t, issue(t, 1, Options{}), pointSheetName)
	d.set("EF-1/start", "Object name", "THEIRS")
	d.set("EF-2/status", "Vendor remark", "kept")
	back := d.send()
	plan := samplePlan(1)
	plan.Points[0].ObjectName = "OURS"   // EF-1/start: both moved
	plan.Points[1].ObjectName = "OURS-2" // EF-1/status: only ours moved
	gone := slices.IndexFunc(plan.Points, func(p model.Point) bool { return p.Key == "EF-2/status" })
	plan.Points = slices.Delete(plan.Points, gone, gone+1)
	r := takeBack(t, back, plan)
	if r.Current {
		t.Error("the plan has moved, and the return counts as current")
	}
	want := []string{"value|Point schedule|EF-1/start|object_name|OURS>THEIRS moved"}
	if got := said(r); !slices.Equal(got, want) {
		t.Errorf("edits %q, want %q", got, want)
	}
	if len(r.Layout.Kept) == 0 || r.Layout.Kept[0].Key != "EF-2/status" || !strings.Contains(fmt.Sprint(r.Layout.Kept[0].Cells), "kept") {
		t.Errorf("the row whose point is gone is not kept: %v", r.Layout.Kept)
	}
}

func TestReturnsThatCannotBeRead(t *testing.T) {
	plan := samplePlan(1)
	d := open(t, issue(t, 1, Options{}), pointSheetName)
	for i := range len(d.cols) {
		d.f.SetCellStr(d.sheet, cellName(i+1, 1), fmt.Sprint("x", i))
	}
	if _, err := ReadReturned("back.xlsx", d.send(), plan); err == nil || !strings.Contains(err.Error(), "no heading row") {
		t.Errorf("all headings gone: error %v", err)
	}
	plain := handBook(t, sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>Tag</t></is></c></row>`), nil)
	if _, err := ReadReturned("list.xlsx", plain, plan); !errors.Is(err, ErrNotIssued) {
		t.Errorf("another workbook: error %v", err)
	}
	other := samplePlan(1)
	for i := range other.Points {
		other.Points[i].Key = "X" + other.Points[i].Key
	}
	if _, err := ReadReturned("back.xlsx", issueOf(t, other, Options{}), plan); !errors.Is(err, ErrOtherPlan) || !strings.Contains(err.Error(), "none of the 36 points") {
		t.Errorf("the workbook of another project: error %v", err)
	}
	data := issue(t, 1, Options{})
	if _, err := ReadReturned("back.xlsx", data[:len(data)/2], plan); err == nil {
		t.Error("half a workbook was read")
	}
}

func TestForeignSheetNamesFit(t *testing.T) {
	plan := samplePlan(1)
	long := strings.Repeat("\U0001F300", 14) + "abc" // 31 units
	r := &model.Returned{Layout: model.Layout{Sheets: []model.Sheet{
		{Name: long, Rows: []model.Row{{Number: 2, Cells: []model.Cell{{Column: 3, Text: "x"}}}}},
		{Name: strings.ToUpper(long), Rows: []model.Row{{Number: 1, Cells: []model.Cell{{Column: 1, Text: "=1+1"}}}}},
		{Name: "Counts", Rows: []model.Row{{Number: 1, Cells: []model.Cell{{Column: 1, Text: "theirs"}}}}}}}}
	var b bytes.Buffer
	if err := Write(&b, plan, Options{Keep: r}); err != nil {
		t.Fatal(err)
	}
	for _, fault := range lint(b.Bytes()) {
		t.Error(fault)
	}
	book := cells(t, b.Bytes())
	if book[long]["C2"] != `text "x"` || book["Counts (2)"]["A1"] != `text "theirs"` {
		t.Errorf("sheets of other people: %v", sortedKeys(book))
	}
}

// Tags in other scripts, with signs that file formats use, go out and come back.
func TestStrangeTagsComeBack(t *testing.T) {
	plan := samplePlan(1)
	for i, tag := range []string{"ВВ-1", "مروحة-2", "fan \U0001F300", "EF*1", "a/b/c", "=EF-1", "EF-1 & <2>", "'quoted'", "_x0041_"} {
		p := &plan.Points[i]
		p.Equipment, p.Key = tag, tag+"/"+p.Role
	}
	var b bytes.Buffer
	if err := Write(&b, plan, Options{}); err != nil {
		t.Fatal(err)
	}
	for _, fault := range lint(b.Bytes()) {
		t.Error(fault)
	}
	if r := takeBack(t, b.Bytes(), plan); len(r.Edits) > 0 || len(r.Findings) > 0 {
		t.Errorf("edits %v, findings %v", said(r), codesOf(r))
	}
	d := open(t, b.Bytes(), pointSheetName)
	d.set("مروحة-2/status", "Vendor status", "accept")
	if got := said(takeBack(t, d.send(), plan)); !slices.Equal(got, []string{"answer|Point schedule|مروحة-2/status|vendor_status|>accept"}) {
		t.Errorf("edits %v", got)
	}
}

func TestIssuedWorkbookReadsBackIntoPoints(t *testing.T) {
	plan := samplePlan(2)
	back, err := ReadIssued("old.xlsx", issue(t, 2, Options{}))
	if err != nil {
		t.Fatal(err)
	}
	if back.Project.Issue != "Issued for bid, addendum 2, 2026-03-14" {
		t.Errorf("issue %q", back.Project.Issue)
	}
	if len(back.Points) != len(plan.Points) || len(back.Alarms) != len(plan.Alarms) {
		t.Fatalf("%d points and %d alarms of %d and %d", len(back.Points), len(back.Alarms), len(plan.Points), len(plan.Alarms))
	}
	for i, want := range plan.Points {
		want.Where, want.Existing = nil, want.Bid == model.Existing
		if !reflect.DeepEqual(back.Points[i], want) {
			t.Errorf("point %s\n%+v\nwant\n%+v", want.Key, back.Points[i], want)
			break
		}
	}
	for i, want := range plan.Alarms {
		if !reflect.DeepEqual(back.Alarms[i], want) {
			t.Errorf("alarm %s\n%+v\nwant\n%+v", want.ID, back.Alarms[i], want)
			break
		}
	}
	if _, err := ReadIssued("list.xlsx", handBook(t, sheetOf(""), nil)); !errors.Is(err, ErrNotIssued) {
		t.Errorf("another workbook: error %v", err)
	}
}
