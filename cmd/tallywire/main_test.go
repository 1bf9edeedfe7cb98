package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// call runs a command line in the current folder.
func call(t *testing.T, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(world{strings.NewReader(""), &o, &e}, args)
	return code, o.String(), e.String()
}

// folder makes a temporary folder of files and moves into it.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
	return dir
}

const smallList = "tag,type,cfm\nEF-1,toilet exhaust,600\nSF-1,supply,4000\n"

// TestInputErrors: exit 2, one clear line that names file and place, no
// output, an older output untouched.
func TestInputErrors(t *testing.T) {
	cases := []struct {
		name  string
		files map[string]string
		args  []string
		says  []string
		lines int // 0 is one
	}{
		{"missing file", map[string]string{"fans.csv": smallList}, []string{"schedule", "fan.csv"}, []string{"fan.csv", "no such file", `did you mean fans.csv`}, 0},
		{"folder without a list", map[string]string{"notes.md": "hello"}, []string{"schedule", "."}, []string{"no equipment list"}, 0},
		{"folder with two lists", map[string]string{"a.csv": smallList, "b.csv": smallList}, []string{"schedule", "."}, []string{"a.csv", "b.csv", "project.yaml"}, 0},
		{"no workbook", map[string]string{"fans.xlsx": "this is a letter"}, []string{"schedule", "fans.xlsx"}, []string{"fans.xlsx"}, 0},
		{"no tag column", map[string]string{"fans.csv": "colour,size\nred,4\n"}, []string{"schedule", "fans.csv"}, []string{"fans.csv", "tag"}, 0},
		{"empty file", map[string]string{"fans.csv": ""}, []string{"schedule", "fans.csv"}, []string{"fans.csv"}, 0},
		{"misspelt key", map[string]string{"fans.csv": smallList, "project.yaml": "lists:\n  - file: fans.csv\nsettings:\n  landing:\n    spare_shar: 0.2\n"},
			[]string{"schedule", "."}, []string{"project.yaml:5:5", `"spare_shar"`, `did you mean "spare_share"`}, 0},
		{"list named that is not there", map[string]string{"fans.csv": smallList, "project.yaml": "lists:\n  - file: fan.csv\n"},
			[]string{"schedule", "project.yaml"}, []string{"project.yaml:2:11", "fan.csv", "fans.csv"}, 0},
		{"not YAML", map[string]string{"project.yaml": "lists: [\n  file: {"}, []string{"check", "."}, []string{"project.yaml", "cannot be read as YAML"}, 0},
		{"own library file with a misspelt key", map[string]string{"fans.csv": smallList, "own.yaml": "records:\n  - idd: x\n", "project.yaml": "lists:\n  - file: fans.csv\nlibrary:\n  - subject: schemes\n    file: own.yaml\n"},
			[]string{"schedule", "."}, []string{"own.yaml:2:5", `"idd"`, `"id"`}, 2},
		{"writing over the input", map[string]string{"fans.csv": smallList}, []string{"schedule", "fans.csv", "-o", "fans.csv"}, []string{"fans.csv is an input"}, 0},
		{"output that is no workbook", map[string]string{"fans.csv": smallList}, []string{"schedule", "fans.csv", "-o", "out.pdf"}, []string{".xlsx"}, 0},
		{"output into no folder", map[string]string{"fans.csv": smallList}, []string{"schedule", "fans.csv", "-o", "nowhere/out.xlsx"}, []string{"no folder nowhere"}, 0},
		{"unknown flag", map[string]string{"fans.csv": smallList}, []string{"schedule", "fans.csv", "--strickt"}, []string{"--strickt", "--strict"}, 0},
		{"flag without its value", map[string]string{"fans.csv": smallList}, []string{"schedule", "fans.csv", "-o"}, []string{"-o needs a value"}, 0},
		{"misspelt command", map[string]string{"fans.csv": smallList}, []string{"schedul", "fans.csv"}, []string{`did you mean "schedule"`}, 0},
		{"two inputs", map[string]string{"fans.csv": smallList}, []string{"check", "fans.csv", "fans.csv"}, []string{"one INPUT"}, 0},
		{"no input", nil, []string{"check"}, []string{"needs an INPUT"}, 0},
		{"unknown form", map[string]string{"fans.csv": smallList}, []string{"export", "fans.csv", "--as", "jsn"}, []string{`did you mean "json"`}, 0},
		{"address for a form without", map[string]string{"fans.csv": smallList}, []string{"export", "fans.csv", "--as", "csv", "--address", "https://x.example/s#"}, []string{"--as brick", "csv"}, 0},
		{"address that names cannot stand under", map[string]string{"fans.csv": smallList}, []string{"export", "fans.csv", "--as", "brick", "--address", "https://x.example/s"}, []string{"settings.naming.address", "ends with # or /"}, 0},
		{"unknown code", nil, []string{"explain", "under-voltge"}, []string{`did you mean "under-voltage"`}, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir := folder(t, c.files)
			old := filepath.Join(dir, "fans-points.xlsx.kept")
			if c.args[len(c.args)-1] != "." { // a folder would take it for a list
				old = filepath.Join(dir, "fans-points.xlsx")
			}
			if err := os.WriteFile(old, []byte("an older workbook"), 0o644); err != nil {
				t.Fatal(err)
			}
			before := listing(t, dir)
			code, out, errs := call(t, c.args...)
			if code != exitInput {
				t.Fatalf("exit %d, stdout %q, stderr %q", code, out, errs)
			}
			if out != "" {
				t.Errorf("stdout has %q", out)
			}
			for _, part := range c.says {
				if !strings.Contains(errs, part) {
					t.Errorf("%q is not in %q", part, errs)
				}
			}
			if lines := strings.Count(errs, "\n"); lines != max(1, c.lines) {
				t.Errorf("%d lines: %q", lines, errs)
			}
			if after := listing(t, dir); !slices.Equal(before, after) {
				t.Errorf("files before %v, after %v", before, after)
			}
			if data, err := os.ReadFile(old); err != nil || string(data) != "an older workbook" {
				t.Errorf("the older workbook was touched: %v %q", err, data)
			}
		})
	}
}

func listing(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// TestFlagsStandAnywhere: before the command, between, after the INPUT; "--"
// ends them; a comma in a value does not split it.
func TestFlagsStandAnywhere(t *testing.T) {
	for _, args := range [][]string{
		{"schedule", "fans.csv", "-o", "a,b.xlsx"},
		{"schedule", "-o", "a,b.xlsx", "fans.csv"},
		{"-o", "a,b.xlsx", "schedule", "fans.csv"},
		{"fans.csv", "--o=a,b.xlsx"},
		{"-o", "a,b.xlsx", "--", "fans.csv"},
	} {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			folder(t, map[string]string{"fans.csv": smallList})
			code, _, errs := call(t, args...)
			if code != exitDone {
				t.Fatalf("exit %d: %s", code, errs)
			}
			if !exists("a,b.xlsx") {
				t.Error("a,b.xlsx was not written")
			}
		})
	}
}

// TestDoubleDash: an INPUT that looks like a flag can be named behind "--".
func TestDoubleDash(t *testing.T) {
	folder(t, map[string]string{"-fans.csv": smallList})
	if code, _, errs := call(t, "check", "--", "-fans.csv"); code != exitDone {
		t.Fatalf("exit %d: %s", code, errs)
	}
}

// TestBareInput does what schedule does, and the folder's own workbook is not
// taken for a list the second time.
func TestBareInput(t *testing.T) {
	folder(t, map[string]string{"job/fans.csv": smallList})
	for range 2 {
		if code, _, errs := call(t, "job"); code != exitDone {
			t.Fatalf("exit %d: %s", code, errs)
		}
		if !exists("job/fans-points.xlsx") {
			t.Fatal("no workbook beside the input")
		}
	}
}

// TestSameBytesTwice: workbook and JSON, from two folders of other names.
func TestSameBytesTwice(t *testing.T) {
	var books, plans [2][]byte
	for i, name := range []string{"here", "over there"} {
		dir := folder(t, map[string]string{name + "/fans.csv": smallList})
		if code, _, errs := call(t, "schedule", name+"/fans.csv"); code != exitDone {
			t.Fatal(errs)
		}
		book, err := os.ReadFile(filepath.Join(dir, name, "fans-points.xlsx"))
		if err != nil {
			t.Fatal(err)
		}
		_, out, _ := call(t, "export", name+"/fans.csv", "-o", "-")
		books[i], plans[i] = book, []byte(out)
	}
	if !bytes.Equal(books[0], books[1]) {
		t.Error("the workbooks differ")
	}
	if !bytes.Equal(plans[0], plans[1]) || len(plans[0]) == 0 {
		t.Error("the plans differ")
	}
}

// TestRowErrors: one line each with file and cell and what to do; the row is
// kept, the workbook written, exit 0, and 1 under check.
func TestRowErrors(t *testing.T) {
	folder(t, map[string]string{"fans.csv": "Tag,Servise,Type,CFM,Voltage\nEF-1,Lab,toilet exhaust,600,4x0V\nEF-2,,flux capacitor,500,120/1/60\nEF-1,,toilet exhaust,700,120/1/60\n"})
	code, out, errs := call(t, "schedule", "fans.csv")
	if code != exitDone || !exists("fans-points.xlsx") {
		t.Fatalf("exit %d: %s", code, errs)
	}
	for _, want := range [][]string{
		{"unknown-heading", "fans.csv", "B1", "Servise", "service"},
		{"unreadable-value", "fans.csv", "E2", "4x0V"},
		{"unknown-kind", "fans.csv", "EF-2"},
		{"duplicate-tag", "fans.csv", "EF-1", "A2", "A4"},
	} {
		if !slices.ContainsFunc(strings.Split(out, "\n"), func(line string) bool {
			for _, part := range want {
				if !strings.Contains(line, part) {
					return false
				}
			}
			return strings.Contains(line, "Do: ")
		}) {
			t.Errorf("no line says %q:\n%s", want, out)
		}
	}
	if code, _, _ := call(t, "check", "fans.csv"); code != exitNo {
		t.Errorf("check exits %d", code)
	}
}

// TestErrorsAsJSON: with --json stdout is one document, errors included.
func TestErrorsAsJSON(t *testing.T) {
	folder(t, map[string]string{"fans.csv": smallList})
	for _, args := range [][]string{{"check", "nothing.csv", "--json"}, {"check", "fans.csv", "--json"}, {"count", "--json", "fans.csv"}, {"library", "--json"}} {
		_, out, _ := call(t, args...)
		var v map[string]any
		if err := json.Unmarshal([]byte(out), &v); err != nil {
			t.Errorf("%v: %v: %.200s", args, err, out)
		}
	}
}

// TestNewProject: what new makes can be planned as it is.
func TestNewProject(t *testing.T) {
	folder(t, nil)
	if code, _, errs := call(t, "new", "job"); code != exitDone {
		t.Fatal(errs)
	}
	if code, out, errs := call(t, "check", "job", "--strict"); code != exitDone {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	if code, _, _ := call(t, "new", "job"); code != exitInput {
		t.Error("new wrote into a folder that is not empty")
	}
}

// TestReadme runs every command that README.md shows for the samples.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	samples, err := filepath.Abs(samplesDir)
	if err != nil {
		t.Fatal(err)
	}
	ran := 0
	for line := range strings.Lines(string(text)) {
		rest, ok := strings.CutPrefix(strings.TrimSpace(line), "go run ./cmd/tallywire ")
		if !ok {
			continue
		}
		ran++
		dir := t.TempDir()
		copyInputs(t, samples, filepath.Join(dir, "samples"))
		t.Chdir(dir)
		if code, _, errs := call(t, splitLine(rest)...); code != exitDone {
			t.Errorf("%s: exit %d: %s", rest, code, errs)
		}
	}
	if ran == 0 {
		t.Fatal("README.md shows no command")
	}
}
