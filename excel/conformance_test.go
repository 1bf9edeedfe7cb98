//go:build conformance

package excel

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
)

// These checks need programs that a user's machine need not have: the Open XML
// SDK validator, LibreOffice, Python with openpyxl. A program that is missing
// is a failure: they run where all of them are there.

// tool finds a program by an environment variable or one of its names.
func tool(t *testing.T, variable string, names ...string) string {
	t.Helper()
	if path := os.Getenv(variable); path != "" {
		return path
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Fatalf("%s is not set and none of %v is installed", variable, names)
	return ""
}

func python(t *testing.T) string {
	for _, path := range []string{os.Getenv("PYTHON"), "python3", "/usr/bin/python3"} {
		if path != "" && exec.Command(path, "-c", "import openpyxl").Run() == nil {
			return path
		}
	}
	t.Fatal("no Python with openpyxl; set PYTHON")
	return ""
}

// messyPlan is the sample with texts that are hard on a file format.
func messyPlan() *model.Plan {
	plan := samplePlan(2)
	for i, s := range []string{"=1+1", "@x", "a & b <c> \"d\"", "_x0041_", "tab\tand\nline", "bell \x07", "\u202Eright to left", "مروحة", "fan \U0001F300", "  edges  ",
		strings.Repeat("long ", 7000)} {
		plan.Points[i].Description = s
	}
	plan.Project.Name = "A & B <\"C\"> " + strings.Repeat("very long name ", 20)
	return plan
}

// books are the workbooks that are checked, by name.
func books(t *testing.T) map[string]string {
	t.Helper()
	dir := t.TempDir()
	out := map[string]string{}
	put := func(name string, plan *model.Plan, opts Options) {
		var b bytes.Buffer
		if err := Write(&b, plan, opts); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, name+".xlsx")
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		out[name] = path
	}
	for _, who := range Copies() {
		put(who, samplePlan(3), Options{For: who})
	}
	put("messy", messyPlan(), Options{})
	put("empty", &model.Plan{}, Options{})
	d := open(t, issue(t, 1, Options{}), pointSheetName)
	d.set("EF-1/start", "Vendor status", "query")
	d.set("EF-2/start", "Object name", "THEIRS")
	d.f.NewSheet("Mine")
	d.f.SetCellStr("Mine", "C3", "x")
	plan := samplePlan(1)
	put("reissued", plan, Options{Keep: takeBack(t, d.send(), plan), Changes: []model.Difference{{Subject: "EF-1/start", Field: "units", Ours: "a", Theirs: "b"}}})
	samples, _ := filepath.Glob(filepath.Join(os.Getenv("WORKBOOKS"), "*.xlsx"))
	if len(samples) == 0 {
		t.Fatal("no workbook of a sample in the folder that WORKBOOKS names; run testdata/conformance/run")
	}
	for _, path := range samples {
		out["sample "+filepath.Base(path)] = path
	}
	return out
}

func TestValidatorPasses(t *testing.T) {
	validator := tool(t, "OOXML_VALIDATOR", "ooxml-validator")
	for name, path := range books(t) {
		answer, err := exec.Command(validator, path).CombinedOutput()
		if err != nil || !bytes.Contains(answer, []byte(`"ok": true`)) {
			t.Errorf("%s: %v\n%.3000s", name, err, answer)
		}
	}
}

// libreOffice saves a workbook again, every formula computed anew.
func libreOffice(t *testing.T, path string) []byte {
	t.Helper()
	soffice := tool(t, "SOFFICE", "soffice", "libreoffice")
	dir := t.TempDir()
	user := filepath.Join(dir, "profile", "user")
	if err := os.MkdirAll(user, 0o755); err != nil {
		t.Fatal(err)
	}
	settings := `<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">` +
		`<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>`
	if err := os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(settings), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(soffice, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless",
		"--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", filepath.Join(dir, "out"), path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(filepath.Join(dir, "out", filepath.Base(path)))
	if err != nil {
		t.Fatal(err, string(out))
	}
	return data
}

// formulas reads the cached value of every formula.
func formulas(t *testing.T, data []byte) map[string]string {
	t.Helper()
	p, err := openPackage(data)
	if err != nil {
		t.Fatal(err)
	}
	b, err := p.openBook()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, ref := range b.sheets {
		_, err := b.readGrid(ref, func(r rawRow) error {
			for _, c := range r.cells {
				if c.formula != "" {
					words := c.text
					if c.number != nil {
						words = general(*c.number)
					}
					out[ref.name+"!"+cellName(c.column, r.number)] = words
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func differ(a, b string) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX == nil && errY == nil {
		return math.Abs(x-y) > 1e-9*max(1, math.Abs(x))
	}
	return a != b
}

func TestRecalculationAgrees(t *testing.T) {
	for name, path := range books(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		ours, theirs := formulas(t, data), formulas(t, libreOffice(t, path))
		if len(ours) == 0 {
			t.Errorf("%s has no formula", name)
		}
		for cell, v := range ours {
			if w, ok := theirs[cell]; !ok || differ(v, w) {
				t.Errorf("%s: %s is %q, computed anew %q", name, cell, v, w)
			}
		}
		t.Logf("%s: %d formulas agree", name, len(ours))
	}
}

// A planted wrong value must be found, or the check above proves nothing.
func TestRecalculationFindsAPlantedError(t *testing.T) {
	data := replant(t, issue(t, 1, Options{}), "xl/worksheets/sheet3.xml", func(s string) string {
		return strings.Replace(s, "</f><v>6</v>", "</f><v>99</v>", 1)
	})
	path := filepath.Join(t.TempDir(), "planted.xlsx")
	os.WriteFile(path, data, 0o644)
	wrong := 0
	theirs := formulas(t, libreOffice(t, path))
	for cell, v := range formulas(t, data) {
		if differ(v, theirs[cell]) {
			wrong++
		}
	}
	if wrong == 0 {
		t.Error("the planted 99 was not found")
	}
}

func TestSecondLibraryReadsTheSame(t *testing.T) {
	for name, path := range books(t) {
		data, _ := os.ReadFile(path)
		out, err := exec.Command(python(t), "testdata/conformance/readback.py", path).Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		theirs := map[string]any{}
		for line := range bytes.Lines(out) {
			var cell []any
			if err := json.Unmarshal(line, &cell); err != nil {
				t.Fatal(err)
			}
			theirs[fmt.Sprint(cell[0], "!", cell[1])] = cell[2]
		}
		n := 0
		for sheet, list := range cells(t, data) {
			for cell, line := range list {
				n++
				got, ok := theirs[sheet+"!"+cell]
				if want := strings.SplitN(line, " formula ", 2)[0]; !ok || !same(got, want) {
					t.Errorf("%s: %s!%s is %.80s, the second library reads %.80v", name, sheet, cell, want, got)
				}
			}
		}
		if n != len(theirs) {
			t.Errorf("%s: %d cells, the second library reads %d", name, n, len(theirs))
		}
	}
}

// same compares a cell of a dump with a value of the second library.
func same(got any, want string) bool {
	kind, words, _ := strings.Cut(want, " ")
	if kind == "number" {
		f, ok := got.(float64)
		return ok && !differ(words, strconv.FormatFloat(f, 'g', -1, 64))
	}
	text, err := strconv.Unquote(words)
	s, ok := got.(string)
	// The second library keeps the escape of a character that XML forbids.
	return err == nil && ok && (s == text || unescape(s) == text)
}

// A vendor's edits through another library come back whole, also after a
// third program has saved the file.
func TestVendorsEditsComeBack(t *testing.T) {
	plan := samplePlan(56) // 2,016 points
	dir := t.TempDir()
	issued, edited, list := filepath.Join(dir, "issued.xlsx"), filepath.Join(dir, "edited.xlsx"), filepath.Join(dir, "edits.json")
	var b bytes.Buffer
	if err := Write(&b, plan, Options{For: "all"}); err != nil {
		t.Fatal(err)
	}
	os.WriteFile(issued, b.Bytes(), 0o644)
	if out, err := exec.Command(python(t), "testdata/conformance/edit.py", issued, edited, list).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	raw, _ := os.ReadFile(list)
	var edits [][]string
	if err := json.Unmarshal(raw, &edits); err != nil || len(edits) < 200 {
		t.Fatalf("%d edits, %v", len(edits), err)
	}
	data, _ := os.ReadFile(edited)
	recovered(t, "as saved by the second library", data, plan, edits)
	recovered(t, "as saved by LibreOffice", libreOffice(t, edited), plan, edits)
}

func recovered(t *testing.T, how string, data []byte, plan *model.Plan, edits [][]string) {
	t.Helper()
	r := takeBack(t, data, plan)
	check := func(when string, r *model.Returned) {
		have, used := map[string]bool{}, map[string]bool{}
		for _, e := range r.Edits {
			have[strings.Join([]string{e.Kind, e.Sheet, e.Key, e.Title, e.New}, "|")] = true
		}
		for _, s := range r.Layout.Sheets {
			have["sheet|"+s.Name+"|||"+s.Rows[0].Cells[0].Text] = true
		}
		lost := 0
		for _, e := range edits {
			k := strings.Join(e, "|")
			used[k] = true
			if !have[k] {
				lost++
				t.Errorf("%s, %s: lost %s", how, when, k)
			}
		}
		for k := range have {
			if !used[k] && when == "merge" {
				t.Errorf("%s, %s: made up %s", how, when, k)
			}
		}
		t.Logf("%s, %s: %d of %d edits recovered, %d findings", how, when, len(edits)-lost, len(edits), len(r.Findings))
	}
	check("merge", r)
	var again bytes.Buffer
	if err := Write(&again, plan, Options{For: "all", Keep: r}); err != nil {
		t.Fatal(err)
	}
	for _, fault := range lint(again.Bytes()) {
		t.Errorf("%s, new issue: %s", how, fault)
	}
	// Values that were not taken over stand as notes in the new issue.
	second := takeBack(t, again.Bytes(), plan)
	for _, e := range second.Edits {
		if words, ok := strings.CutPrefix(e.New, "Returned as: "); ok && e.Kind == model.EditNote {
			e.Kind, e.New = model.EditValue, words
			second.Edits = append(second.Edits, e)
		}
	}
	check("new issue", second)
}
