package excel

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// brokenDisk fails where a test asks it to.
type brokenDisk struct {
	disk
	renameErr error
}

func (b brokenDisk) rename(from, to string) error {
	if b.renameErr != nil {
		return b.renameErr
	}
	return b.disk.rename(from, to)
}

func listing(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestSaveKeepsTheOldFileOnFailure(t *testing.T) {
	for _, c := range []struct {
		name  string
		write func(io.Writer) error
		fs    saver
		want  string
	}{
		{"rename fails", func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err },
			brokenDisk{renameErr: errors.New("sharing violation")}, "close it if a program has it open"},
		{"disk full", func(w io.Writer) error {
			io.WriteString(w, "half")
			return errors.New("no space left on device")
		}, disk{}, "no space left"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "out.xlsx")
			os.WriteFile(path, []byte("old"), 0o640)
			err := replaceFile(path, c.write, c.fs)
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "the old out.xlsx is whole and unchanged") {
				t.Errorf("error %v, want one with %q that says that the old file is whole", err, c.want)
			}
			if got, _ := os.ReadFile(path); string(got) != "old" {
				t.Errorf("the old file now holds %q", got)
			}
			if names := listing(t, dir); len(names) != 1 {
				t.Errorf("left behind: %v", names)
			}
		})
	}
}

func TestSaveKeepsModeAndFollowsLinks(t *testing.T) {
	dir := t.TempDir()
	real := filepath.Join(dir, "real.xlsx")
	os.WriteFile(real, nil, 0o600)
	link := filepath.Join(dir, "link.xlsx")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no links here:", err)
	}
	if err := Save(link, samplePlan(1), SaveOptions{}); err != nil {
		t.Fatal(err)
	}
	info, _ := os.Lstat(link)
	if info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
	info, _ = os.Stat(real)
	if info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, want that of the old file, 0600", info.Mode().Perm())
	}
	data, _ := os.ReadFile(real)
	if !IsOurs(data) {
		t.Error("the linked file was not written")
	}
	fresh := filepath.Join(dir, "fresh.xlsx")
	if err := Save(fresh, samplePlan(1), SaveOptions{}); err != nil {
		t.Fatal(err)
	}
	if info, _ := os.Stat(fresh); info.Mode().Perm()&^0o644 != 0 {
		t.Errorf("a new file has mode %v, want at most 0644", info.Mode().Perm())
	}
}

func TestSaveRefusesWhatOthersWrote(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.xlsx")
	plan := samplePlan(1)
	if err := Save(path, plan, SaveOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := Save(path, plan, SaveOptions{}); err != nil {
		t.Errorf("an untouched workbook is not replaced: %v", err)
	}
	data, _ := os.ReadFile(path)
	touched := fillCell(t, data, pointSheetName, "Vendor status", 3, "query")
	os.WriteFile(path, touched, 0o644)
	err := Save(path, plan, SaveOptions{})
	if !errors.Is(err, ErrEntries) || !strings.Contains(err.Error(), "3") {
		t.Errorf("error %v, want ErrEntries with the cell", err)
	}
	if now, _ := os.ReadFile(path); string(now) != string(touched) {
		t.Error("the refused file was changed")
	}
	if err := Save(path, plan, SaveOptions{Force: true}); err != nil {
		t.Errorf("force: %v", err)
	}
	os.WriteFile(path, []byte("tag,type\n"), 0o644)
	if err := Save(path, plan, SaveOptions{}); !errors.Is(err, ErrForeign) {
		t.Errorf("error %v, want ErrForeign", err)
	}
}

// fillCell writes a text under a heading through the second library, as a
// person would through a spreadsheet program.
func fillCell(t testing.TB, data []byte, sheet, heading string, row int, words string) []byte {
	t.Helper()
	column := 0
	for _, f := range pointFields(&issued{kept: keep(nil)}) {
		column++
		if f.title == heading {
			break
		}
	}
	return editWorkbook(t, data, func(set func(sheet, cell, words string)) {
		set(sheet, fmt.Sprintf("%s%d", columnName(column), row), words)
	})
}

func TestSaveNamesTheFolderItCannotWriteIn(t *testing.T) {
	err := Save(filepath.Join(t.TempDir(), "missing", "out.xlsx"), &model.Plan{}, SaveOptions{})
	if err == nil || !strings.Contains(err.Error(), "missing") {
		t.Errorf("error %v, want the folder named", err)
	}
}

func TestReissueKeepsWhatPeopleWrote(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.xlsx")
	plan := samplePlan(1)
	if err := Save(path, plan, SaveOptions{}); err != nil {
		t.Fatal(err)
	}
	data, _ := os.ReadFile(path)
	d := open(t, data, pointSheetName)
	d.set("EF-1/start", "Vendor status", "query")
	d.f.SetColWidth(d.sheet, d.cols["Description"], d.cols["Description"], 61)
	os.WriteFile(path, d.send(), 0o644)
	plan.Points[1].Description = "changed since"
	if err := Save(path, plan, SaveOptions{Reissue: true}); err != nil {
		t.Fatal(err)
	}
	data, _ = os.ReadFile(path)
	d = open(t, data, pointSheetName)
	if v, _ := d.f.GetCellValue(d.sheet, d.cell("EF-1/start", "Vendor status")); v != "query" {
		t.Errorf("the vendor's answer is now %q", v)
	}
	if v, _ := d.f.GetCellValue(d.sheet, d.cell("EF-1/status", "Description")); v != "changed since" {
		t.Errorf("the description is %q", v)
	}
	if w, _ := d.f.GetColWidth(d.sheet, d.cols["Description"]); w != 61 {
		t.Errorf("the width somebody set is now %v", w)
	}
}

func TestEntriesSeeEveryKindOfWriting(t *testing.T) {
	data := issue(t, 1, Options{})
	if places, err := Entries(data); err != nil || len(places) > 0 {
		t.Fatalf("untouched: %v, %v", places, err)
	}
	for name, write := range map[string]func(d *desk){
		"answer":     func(d *desk) { d.set("EF-1/start", "Vendor remark", "x") },
		"value":      func(d *desk) { d.set("EF-1/start", "Object name", "x") },
		"own column": func(d *desk) { d.f.SetCellStr(d.sheet, "AZ1", "Mine"); d.f.SetCellStr(d.sheet, "AZ2", "x") },
		"own sheet":  func(d *desk) { d.f.NewSheet("Mine"); d.f.SetCellStr("Mine", "A1", "x") },
		"note": func(d *desk) {
			d.f.AddComment(d.sheet, excelize.Comment{Cell: "C4", Author: "x", Paragraph: []excelize.RichTextRun{{Text: "x"}}})
		},
	} {
		d := open(t, data, pointSheetName)
		write(d)
		if places, err := Entries(d.send()); err != nil || len(places) != 1 {
			t.Errorf("%s: places %v, error %v; want one place", name, places, err)
		}
	}
}

// A program that is killed while it writes leaves the old workbook whole. The
// test runs itself again as the program to be killed.
func TestKillLeavesTheOldFile(t *testing.T) {
	const variable = "EXCEL_TEST_KILL"
	if path := os.Getenv(variable); path != "" {
		replaceFile(path, func(w io.Writer) error {
			io.WriteString(w, "half of the new workbook")
			fmt.Println("writing")
			time.Sleep(time.Minute)
			return nil
		}, disk{})
		return
	}
	path := filepath.Join(t.TempDir(), "out.xlsx")
	os.WriteFile(path, []byte("old"), 0o644)
	child := exec.Command(os.Args[0], "-test.run=^TestKillLeavesTheOldFile$")
	child.Env = append(os.Environ(), variable+"="+path)
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	child.Process.Kill()
	child.Wait()
	if err != nil || line != "writing\n" {
		t.Fatalf("the child said %q, %v", line, err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("the old file now holds %q", got)
	}
	if names := listing(t, filepath.Dir(path)); len(names) != 2 {
		t.Errorf("beside it lies %v, want the half-written file under a name of its own", names)
	}
}

func TestLockFilesAreSeen(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "harbour-points.xlsx")
	if got := OpenElsewhere(path); got != "" {
		t.Errorf("%q in an empty folder", got)
	}
	for _, name := range []string{"~$harbour-points.xlsx", "~$rbour-points.xlsx", ".~lock.harbour-points.xlsx#"} {
		os.WriteFile(filepath.Join(dir, name), nil, 0o644)
		if got := OpenElsewhere(path); got != name {
			t.Errorf("%q, want %q", got, name)
		}
		os.Remove(filepath.Join(dir, name))
	}
}
