package points_test

import (
	"bufio"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport is the permitted import graph between our packages; what is not
// here is forbidden. Arrows point down only and passes never import each other.
var mayImport = map[string][]string{
	"model/finding":       {},
	"model":               {"model/finding"},
	"schemas":             {"model", "model/finding"},
	"points/library":      {"model", "model/finding", "schemas"},
	"points/intake":       {"model", "model/finding", "points/library"},
	"points/derive":       {"model", "model/finding", "points/library"},
	"points/hookup":       {"model", "model/finding", "points/library"},
	"points/circuit":      {"model", "model/finding", "points/library"},
	"points/logic":        {"model", "model/finding", "points/library"},
	"points/landing":      {"model", "model/finding", "points/library", "points/landing/pack"},
	"points/landing/pack": {},
	"points/crosscheck":   {"model", "model/finding", "points/library"},
	"points/bid":          {"model", "model/finding", "points/library"},
	"points/revise":       {"model", "model/finding", "points/library"},
	"points/network":      {"model", "model/finding", "points/library"},
	"points/functions":    {"model", "model/finding", "points/library"},
	"points/retrofit":     {"model", "model/finding", "points/library"},
	"points/exchange":     {"model", "model/finding", "points/library"},
	"excel":               {"model", "model/finding"},
	"points": {"model", "model/finding", "points/library", "points/intake", "points/derive", "points/hookup", "points/circuit",
		"points/logic", "points/landing", "points/crosscheck", "points/bid", "points/revise",
		"points/network", "points/functions", "points/retrofit"},
	"cmd/tallywire": {"model", "model/finding", "schemas", "excel", "points", "points/library", "points/intake", "points/exchange", "points/revise", "points/crosscheck"},
}

// doors say which package may use an outside library.
var doors = map[string]string{
	"github.com/xuri/excelize/":             "excel",
	"github.com/klauspost/compress/":        "excel",
	"github.com/santhosh-tekuri/jsonschema": "schemas",
	"go.yaml.in/yaml/":                      "schemas",
	"github.com/urfave/cli/":                "cmd/tallywire",
	"github.com/crillab/gophersat/":         "points/logic",
}

const module = "tallywire/"

// source is a Go file of the project.
type source struct {
	pkg, path string
	file      *ast.File
	fset      *token.FileSet
	test      bool
}

func sources(t *testing.T) []source {
	t.Helper()
	root := ".."
	var out []source
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if filepath.Ext(path) != ".go" {
			return nil
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		out = append(out, source{filepath.ToSlash(filepath.Dir(rel)), rel, f, fset, strings.HasSuffix(path, "_test.go")})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 20 {
		t.Fatalf("only %d Go files found", len(out))
	}
	return out
}

func imports(f *ast.File) []string {
	var out []string
	for _, i := range f.Imports {
		out = append(out, strings.Trim(i.Path.Value, `"`))
	}
	return out
}

func TestImportGraph(t *testing.T) {
	for _, s := range sources(t) {
		allowed, known := mayImport[s.pkg]
		if !known {
			t.Errorf("%s: package %s has no row in the import graph", s.path, s.pkg)
			continue
		}
		for _, path := range imports(s.file) {
			if rest, ours := strings.CutPrefix(path, module); ours && !s.test && !slices.Contains(allowed, rest) {
				t.Errorf("%s imports %s, which %s may not", s.path, rest, s.pkg)
			}
		}
	}
}

func TestOutsideLibrariesHaveOneDoor(t *testing.T) {
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		for _, path := range imports(s.file) {
			first, _, _ := strings.Cut(path, "/")
			if !strings.Contains(first, ".") {
				continue
			}
			ok := false
			for prefix, pkg := range doors {
				ok = ok || strings.HasPrefix(path, strings.TrimSuffix(prefix, "/")) && s.pkg == pkg
			}
			if !ok {
				t.Errorf("%s imports %s: outside libraries have one door each", s.path, path)
			}
		}
	}
}

// longer lists what may be longer than the budget, with the reason.
var longer = map[string]string{
	"excel/numberformat.go:parseSection": "one flat case for each character of the number format's grammar",
}

const (
	linesOfFile     = 500 // about 400, with room for doc comments
	linesOfFunction = 80  // about 60
)

func TestSizeBudget(t *testing.T) {
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		if n := s.fset.Position(s.file.End()).Line; n > linesOfFile && longer[s.path] == "" {
			t.Errorf("%s has %d lines; the budget is %d", s.path, n, linesOfFile)
		}
		for _, d := range s.file.Decls {
			f, isFunc := d.(*ast.FuncDecl)
			if !isFunc {
				continue
			}
			n := s.fset.Position(f.End()).Line - s.fset.Position(f.Pos()).Line
			name := s.path + ":" + f.Name.Name
			if n > linesOfFunction && longer[name] == "" {
				t.Errorf("%s has %d lines; the budget is %d", name, n, linesOfFunction)
			}
		}
	}
}

// TestTopLevel holds the list of what a visitor sees first.
func TestTopLevel(t *testing.T) {
	allowed := []string{"cmd", "points", "model", "excel", "schemas", "samples", "go.mod", "go.sum", "README.md", "DEVELOPERS.md"}
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(allowed, e.Name()) {
			t.Errorf("%s stands at the top level", e.Name())
		}
	}
}

// TestNoUnfinishedWork: what is not done is not in the code.
func TestNoUnfinishedWork(t *testing.T) {
	for _, s := range sources(t) {
		if s.path == "points/house_test.go" {
			continue
		}
		f, err := os.Open(filepath.Join("..", s.path))
		if err != nil {
			t.Fatal(err)
		}
		scan := bufio.NewScanner(f)
		scan.Buffer(nil, 1<<20)
		for line := 1; scan.Scan(); line++ {
			for _, word := range []string{"TO" + "DO", "FIX" + "ME", "XX" + "X:"} {
				if strings.Contains(scan.Text(), word) {
					t.Errorf("%s:%d: %s", s.path, line, strings.TrimSpace(scan.Text()))
				}
			}
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
