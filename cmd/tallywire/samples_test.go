package main

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tallywire/excel"
)

var update = flag.Bool("update", false, "rewrite what the samples must give")

const samplesDir = "../../samples"

// TestSamples runs every folder of samples/ as a case: its args file holds
// command lines, one a line ("schedule ." if there is none); want/ holds what
// each must give. A golden file that nothing produces fails as stale.
func TestSamples(t *testing.T) {
	entries, err := os.ReadDir(samplesDir)
	if err != nil {
		t.Fatal(err)
	}
	ran := 0
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		ran++
		dir, err := filepath.Abs(filepath.Join(samplesDir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(e.Name(), func(t *testing.T) { runSample(t, dir) })
	}
	if ran == 0 {
		t.Fatal("no samples")
	}
}

func runSample(t *testing.T, dir string) {
	work := filepath.Join(t.TempDir(), filepath.Base(dir))
	copyInputs(t, dir, work)
	t.Chdir(work)
	got := map[string][]byte{}
	for i, line := range commandLines(t, dir) {
		prefix := ""
		if i > 0 {
			prefix = fmt.Sprintf("%d-", i+1)
		}
		var out, errs bytes.Buffer
		code := run(world{strings.NewReader(""), &out, &errs}, splitLine(line))
		got[prefix+"exit.txt"] = fmt.Appendf(nil, "%d\n", code)
		got[prefix+"stdout.txt"] = out.Bytes()
		got[prefix+"stderr.txt"] = errs.Bytes()
	}
	collectWorkbooks(t, work, dir, got)
	if code, ok := got["exit.txt"]; ok && strings.TrimSpace(string(code)) != "2" {
		var out, errs bytes.Buffer
		if code := run(world{strings.NewReader(""), &out, &errs}, []string{"export", ".", "--as", "json", "-o", "-"}); code == 0 {
			got["plan.json"] = out.Bytes()
		}
	}
	compareWant(t, filepath.Join(dir, "want"), got)
}

// copyInputs copies a sample without its want folder, so that nothing is
// written into the tree.
func copyInputs(t *testing.T, from, to string) {
	t.Helper()
	err := filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		if d.IsDir() {
			if rel == "want" {
				return filepath.SkipDir
			}
			return os.MkdirAll(filepath.Join(to, rel), 0o755)
		}
		if strings.HasSuffix(rel, "-points.xlsx") {
			return nil // a schedule that somebody made in the sample's folder
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, rel), data, 0o644)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func commandLines(t *testing.T, dir string) []string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "args"))
	if os.IsNotExist(err) {
		return []string{"schedule ."}
	}
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			out = append(out, line)
		}
	}
	return out
}

// splitLine splits a command line at blanks; quotes keep blanks together.
func splitLine(line string) []string {
	var out []string
	word, inWord, quoted := "", false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, inWord = !quoted, true
		case r == ' ' && !quoted:
			if inWord {
				out = append(out, word)
			}
			word, inWord = "", false
		default:
			word, inWord = word+string(r), true
		}
	}
	if inWord {
		out = append(out, word)
	}
	return out
}

// collectWorkbooks reads back every workbook that the commands wrote.
func collectWorkbooks(t *testing.T, work, dir string, got map[string][]byte) {
	t.Helper()
	err := filepath.WalkDir(work, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".xlsx" {
			return err
		}
		rel, err := filepath.Rel(work, path)
		if err != nil {
			return err
		}
		if _, err := os.Stat(filepath.Join(dir, rel)); err == nil && !strings.HasSuffix(rel, "-points.xlsx") {
			return nil // an input
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		text, err := excel.Dump(data)
		got["workbook.txt"] = []byte(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func compareWant(t *testing.T, want string, got map[string][]byte) {
	t.Helper()
	if byHand, err := os.ReadFile(filepath.Join(want, handMade)); err == nil {
		got[handMade] = byHand // held to the plan by a test of its own
	}
	if *update {
		if err := os.RemoveAll(want); err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(want, 0o755); err != nil {
			t.Fatal(err)
		}
		for name, data := range got {
			if err := os.WriteFile(filepath.Join(want, name), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return
	}
	entries, err := os.ReadDir(want)
	if err != nil {
		t.Fatalf("%v: run go test ./cmd/tallywire -run TestSamples -update and read what it wrote", err)
	}
	for _, e := range entries {
		if _, made := got[e.Name()]; !made {
			t.Errorf("want/%s is stale: nothing makes it", e.Name())
		}
	}
	names := make([]string, 0, len(got))
	for name := range got {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join(want, name))
		if err != nil {
			t.Errorf("want/%s is missing", name)
			continue
		}
		if !bytes.Equal(data, got[name]) {
			t.Errorf("%s differs:\n%s", name, firstDifference(data, got[name]))
		}
	}
}

// firstDifference shows the first line that differs.
func firstDifference(want, got []byte) string {
	w, g := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
	for i := range max(len(w), len(g)) {
		a, b := "(nothing)", "(nothing)"
		if i < len(w) {
			a = w[i]
		}
		if i < len(g) {
			b = g[i]
		}
		if a != b {
			return fmt.Sprintf("line %d\nwant %s\ngot  %s", i+1, a, b)
		}
	}
	return "the same lines with other line ends"
}
