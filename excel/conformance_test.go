//go:build conformance

package excel

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// These checks need programs that a user's machine need not have: the Open XML
// SDK validator, LibreOffice, Python with openpyxl. A program that is missing
// is a failure: they run where all of them are there.

// program finds a program by an environment variable or one of its names.
func program(variable string, names ...string) (string, error) {
	if path := os.Getenv(variable); path != "" {
		return path, nil
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", fmt.Errorf("%s is not set and none of %v is installed", variable, names)
}

func tool(t *testing.T, variable string, names ...string) string {
	t.Helper()
	return must(t, func() (string, error) { return program(variable, names...) })
}

// python finds a Python that has openpyxl.
var python = sync.OnceValues(func() (string, error) {
	for _, path := range []string{os.Getenv("PYTHON"), "python3", "/usr/bin/python3"} {
		if path != "" && exec.Command(path, "-c", "import openpyxl").Run() == nil {
			return path, nil
		}
	}
	return "", errors.New("no Python with openpyxl; set PYTHON")
})

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

// checked is one workbook that is held against other programs.
type checked struct{ name, path string }

// The set of workbooks, what LibreOffice makes of them and what openpyxl reads
// are made once for all tests: starting such a program takes longer than a
// workbook does. The folder is the caller's to remove (testdata/conformance/run).
var (
	conformanceFolder = sync.OnceValues(func() (string, error) { return os.MkdirTemp("", "workbooks-") })
	bookSet           = sync.OnceValues(makeBooks)
	savedAgain        = sync.OnceValues(saveAgain)
)

// makeBooks writes every copy, awkward workbooks and a new issue, and adds the
// samples' workbooks.
func makeBooks() ([]checked, error) {
	dir, err := conformanceFolder()
	if err != nil {
		return nil, err
	}
	var out []checked
	var failed error
	put := func(name string, plan *model.Plan, opts Options) []byte {
		var b bytes.Buffer
		failed = errors.Join(failed, Write(&b, plan, opts))
		path := filepath.Join(dir, name+".xlsx")
		failed = errors.Join(failed, os.WriteFile(path, b.Bytes(), 0o644))
		out = append(out, checked{name, path})
		return b.Bytes()
	}
	for _, who := range Copies() {
		put(who, samplePlan(3), Options{For: who})
	}
	put("messy", messyPlan(), Options{})
	put("empty", &model.Plan{}, Options{})
	put("tall paper", tallPlan(), Options{})
	if err := overWriting(put); err != nil {
		return nil, err
	}
	samples, _ := filepath.Glob(filepath.Join(os.Getenv("WORKBOOKS"), "*.xlsx"))
	if os.Getenv("WORKBOOKS") == "" || len(samples) == 0 {
		return nil, errors.New("no workbook of a sample in the folder that WORKBOOKS names; run testdata/conformance/run")
	}
	for _, path := range samples {
		out = append(out, checked{"sample " + filepath.Base(path), path})
	}
	return out, failed
}

// tallPlan is printed on A4 with columns chosen and added by the project.
func tallPlan() *model.Plan {
	plan := samplePlan(1)
	plan.Settings.Workbook = model.WorkbookSettings{Paper: "a4", Columns: []string{"key", "equipment", "why"}, OwnColumns: []string{"Room <no.>"}}
	return plan
}

// overWriting adds a workbook issued over one in which people had written.
func overWriting(put func(string, *model.Plan, Options) []byte) error {
	plan := samplePlan(1)
	var first bytes.Buffer
	if err := Write(&first, plan, Options{}); err != nil {
		return err
	}
	f, err := excelize.OpenReader(&first)
	if err != nil {
		return err
	}
	defer f.Close()
	rows, err := f.GetRows(pointSheetName)
	if err != nil {
		return err
	}
	for title, words := range map[string]string{"Vendor status": "query", "Object name": "THEIRS"} {
		if err := f.SetCellStr(pointSheetName, cellName(slices.Index(rows[0], title)+1, 2), words); err != nil {
			return err
		}
	}
	if _, err := f.NewSheet("Mine"); err != nil {
		return err
	}
	var back bytes.Buffer
	if err := errors.Join(f.SetCellStr("Mine", "C3", "x"), f.Write(&back)); err != nil {
		return err
	}
	r, err := ReadReturned("back.xlsx", back.Bytes(), plan)
	if err == nil {
		put("reissued", plan, Options{Keep: r, Changes: []model.Difference{{Subject: "EF-1/start", Field: "units", Ours: "a", Theirs: "b"}}})
	}
	return err
}

// books are the workbooks that are checked.
func books(t *testing.T) []checked {
	t.Helper()
	list, err := bookSet()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// The validator takes one file a start; as many run as there are processors.
func TestValidatorPasses(t *testing.T) {
	validator := tool(t, "OOXML_VALIDATOR", "ooxml-validator")
	var all sync.WaitGroup
	free := make(chan struct{}, runtime.NumCPU())
	for _, b := range books(t) {
		all.Go(func() {
			free <- struct{}{}
			defer func() { <-free }()
			answer, err := exec.Command(validator, b.path).CombinedOutput()
			if err != nil || !bytes.Contains(answer, []byte(`"ok": true`)) {
				t.Errorf("%s: %v\n%.3000s", b.name, err, answer)
			}
		})
	}
	all.Wait()
}

// The validator must find a fault that is planted, or the test above proves nothing.
func TestValidatorFindsAPlantedFault(t *testing.T) {
	path := filepath.Join(t.TempDir(), "planted.xlsx")
	os.WriteFile(path, replant(t, issue(t, 1, Options{}), "xl/worksheets/sheet2.xml", func(s string) string {
		return strings.Replace(s, "<sheetData>", "<pageMargins/><sheetData>", 1)
	}), 0o644)
	if answer, err := exec.Command(tool(t, "OOXML_VALIDATOR", "ooxml-validator"), path).CombinedOutput(); err == nil {
		t.Errorf("a sheet out of order passes: %s", answer)
	}
}

// plantedPath is a workbook with a wrong cached value.
func plantedPath(dir string) string { return filepath.Join(dir, "planted.xlsx") }

// saveAgain lets LibreOffice compute and save, in one start, every workbook of
// the set, one with a planted fault and the vendor's; it gives them by path.
func saveAgain() (map[string][]byte, error) {
	list, err := bookSet()
	if err != nil {
		return nil, err
	}
	round, err := vendorsRound()
	if err != nil {
		return nil, err
	}
	dir, err := conformanceFolder()
	if err != nil {
		return nil, err
	}
	var good bytes.Buffer
	if err := Write(&good, samplePlan(1), Options{}); err != nil {
		return nil, err
	}
	planted, err := replaced(good.Bytes(), "xl/worksheets/sheet3.xml", func(s string) string {
		return strings.Replace(s, "</f><v>6</v>", "</f><v>99</v>", 1)
	})
	if err == nil {
		err = os.WriteFile(plantedPath(dir), planted, 0o644)
	}
	if err != nil {
		return nil, err
	}
	if err := grow(good.Bytes(), grownPath(dir)); err != nil {
		return nil, err
	}
	paths := []string{plantedPath(dir), grownPath(dir), round.edited}
	for _, b := range list {
		paths = append(paths, b.path)
	}
	return libreOffice(dir, paths)
}

// grownPath is a workbook whose schedule somebody has added a row to.
func grownPath(dir string) string { return filepath.Join(dir, "grown.xlsx") }

// grow adds a point below the table, as a person would.
func grow(data []byte, path string) error {
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		return err
	}
	defer f.Close()
	rows, err := f.GetRows(pointSheetName)
	if err != nil {
		return err
	}
	for title, words := range map[string]string{"Equipment": "EF-1", "Type": "BI", "Counted as": "hardwired", "System": "AHU-1", "Panel": "PANEL-1", "Bid": "base"} {
		if err := f.SetCellStr(pointSheetName, cellName(slices.Index(rows[0], title)+1, len(rows)+1), words); err != nil {
			return err
		}
	}
	return f.SaveAs(path)
}

// A person who adds a point sees the counts follow.
func TestRecalculationCountsAnAddedRow(t *testing.T) {
	var issued bytes.Buffer
	if err := Write(&issued, samplePlan(1), Options{}); err != nil {
		t.Fatal(err)
	}
	before, after := formulas(t, issued.Bytes()), formulas(t, again(t, grownPath(must(t, conformanceFolder))))
	more := 0
	for cell, v := range before {
		w := after[cell]
		if v == w {
			continue
		}
		a, errA := strconv.Atoi(v)
		b, errB := strconv.Atoi(w)
		if errA == nil && errB == nil && b != a+1 {
			t.Errorf("%s was %s and is %s after one point more", cell, v, w)
		}
		more++
	}
	// BI and Total of the lines and the totals of five blocks, and the cover's line.
	if more != 5*4+1 {
		t.Errorf("%d figures follow the added row", more)
	}
}

// libreOffice saves workbooks again, every formula computed anew.
func libreOffice(dir string, paths []string) (map[string][]byte, error) {
	soffice, err := program("SOFFICE", "soffice", "libreoffice")
	if err != nil {
		return nil, err
	}
	user := filepath.Join(dir, "profile", "user")
	if err := os.MkdirAll(user, 0o755); err != nil {
		return nil, err
	}
	settings := `<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">` +
		`<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>`
	if err := os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(settings), 0o644); err != nil {
		return nil, err
	}
	out := filepath.Join(dir, "saved again")
	said, err := exec.Command(soffice, append([]string{"-env:UserInstallation=file://" + filepath.Join(dir, "profile"), "--headless",
		"--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", out}, paths...)...).CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("%w: %s", err, said)
	}
	saved := map[string][]byte{}
	for _, path := range paths {
		if saved[path], err = os.ReadFile(filepath.Join(out, filepath.Base(path))); err != nil {
			return nil, fmt.Errorf("%w: %s", err, said)
		}
	}
	return saved, nil
}

// again is what LibreOffice saved.
func again(t *testing.T, path string) []byte {
	t.Helper()
	saved, err := savedAgain()
	if err != nil {
		t.Fatal(err)
	}
	return saved[path]
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
	for _, b := range books(t) {
		data, err := os.ReadFile(b.path)
		if err != nil {
			t.Fatal(err)
		}
		ours, theirs := formulas(t, data), formulas(t, again(t, b.path))
		if len(ours) == 0 {
			t.Errorf("%s has no formula", b.name)
		}
		for cell, v := range ours {
			if w, ok := theirs[cell]; !ok || differ(v, w) {
				t.Errorf("%s: %s is %q, computed anew %q", b.name, cell, v, w)
			}
		}
		t.Logf("%s: %d formulas compared", b.name, len(ours))
	}
}

// A planted wrong value must be found, or the check above proves nothing.
func TestRecalculationFindsAPlantedError(t *testing.T) {
	theirs := formulas(t, again(t, plantedPath(must(t, conformanceFolder))))
	data, err := os.ReadFile(plantedPath(must(t, conformanceFolder)))
	if err != nil {
		t.Fatal(err)
	}
	wrong := 0
	for cell, v := range formulas(t, data) {
		if differ(v, theirs[cell]) {
			wrong++
		}
	}
	if wrong == 0 {
		t.Error("the planted 99 was not found")
	}
}

func must[T any](t *testing.T, make func() (T, error)) T {
	t.Helper()
	v, err := make()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestSecondLibraryReadsTheSame(t *testing.T) {
	list := books(t)
	call := []string{"testdata/conformance/readback.py"}
	for _, b := range list {
		call = append(call, b.path)
	}
	out, err := exec.Command(must(t, python), call...).Output()
	if err != nil {
		t.Fatal(err)
	}
	theirs := make([]map[string]any, len(list))
	for line := range bytes.Lines(out) {
		var cell []any
		if err := json.Unmarshal(line, &cell); err != nil {
			t.Fatal(err)
		}
		n := int(cell[0].(float64))
		if theirs[n] == nil {
			theirs[n] = map[string]any{}
		}
		theirs[n][fmt.Sprint(cell[1], "!", cell[2])] = cell[3]
	}
	for i, b := range list {
		data, err := os.ReadFile(b.path)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for sheet, list := range cells(t, data) {
			for cell, line := range list {
				n++
				got, ok := theirs[i][sheet+"!"+cell]
				if want := strings.SplitN(line, " formula ", 2)[0]; !ok || !same(got, want) {
					t.Errorf("%s: %s!%s is %.80s, the second library reads %.80v", b.name, sheet, cell, want, got)
				}
			}
		}
		if n != len(theirs[i]) {
			t.Errorf("%s: %d cells, the second library reads %d", b.name, n, len(theirs[i]))
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
