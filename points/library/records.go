package library

import (
	"cmp"
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/schemas"
)

// files are the built-in facts: one folder a subject, YAML files of records.
//
//go:embed */*.yaml */*.tsv
var files embed.FS

// identified is a record with an id that lasts for ever.
type identified interface{ RecordID() string }

// recordFile is the form of every authored library file: a list of records
// under one key, so that a file can be told from any other YAML.
type recordFile[T any] struct {
	Records []T `json:"records"`
}

// Placed is embedded in records so that they know the file and line they stand at.
type Placed struct {
	Where *model.Where `json:"-"`
}

func (p *Placed) place(w model.Where) { p.Where = &w }

// load reads the built-in records of a subject and then the user's own; a
// user's record replaces the built-in one of the same id. The user's files are
// validated here, the built-in ones by the tests.
func load[T identified](subject string, own []model.LibraryFile) ([]T, error) {
	var out []T
	at := map[string]int{}
	add := func(d *schemas.Document, list []T, replace bool) error {
		for i, r := range list {
			w := d.Where("records", fmt.Sprint(i))
			if p, ok := any(&list[i]).(interface{ place(model.Where) }); ok {
				p.place(w)
				r = list[i]
			}
			j, known := at[r.RecordID()]
			switch {
			case !known:
				at[r.RecordID()] = len(out)
				out = append(out, r)
			case replace:
				out[j] = r
			default:
				return schemas.Faults{{Where: w, Message: fmt.Sprintf("the id %q stands twice in %s", r.RecordID(), subject)}}
			}
		}
		return nil
	}
	names, err := fs.Glob(files, subject+"/*.yaml")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		d, err := schemas.Parse("library/"+name, text)
		if err != nil {
			return nil, err
		}
		var f recordFile[T]
		if err := d.Into(&f); err != nil {
			return nil, err
		}
		if err := add(d, f.Records, false); err != nil {
			return nil, err
		}
	}
	for _, one := range own {
		if one.Subject != subject {
			continue
		}
		var f recordFile[T]
		d, err := schemas.Read(subject, one.File, one.Text, &f)
		if err != nil {
			return nil, err
		}
		if err := add(d, f.Records, true); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Table is a plain table of facts: tab-separated, one heading row, '#' lines
// are comments.
type Table struct {
	File    string
	Columns []string
	Rows    [][]string
}

// Column returns the index of a heading; -1 if there is none.
func (t *Table) Column(name string) int { return slices.Index(t.Columns, name) }

// table reads an embedded TSV file.
func table(name string) (*Table, error) {
	text, err := files.ReadFile(name)
	if err != nil {
		return nil, err
	}
	t := &Table{File: path.Join("library", name)}
	for i, line := range strings.Split(strings.TrimRight(string(text), "\n"), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "\t")
		if t.Columns == nil {
			t.Columns = cells
			continue
		}
		if len(cells) != len(t.Columns) {
			return nil, fmt.Errorf("%s:%d: %d cells where the heading has %d", t.File, i+1, len(cells), len(t.Columns))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t, nil
}

// Subjects lists the subjects of the library in order.
func Subjects() []string {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		panic(err) // embedded: cannot fail
	}
	var out []string
	for _, e := range entries {
		if e.IsDir() {
			out = append(out, e.Name())
		}
	}
	slices.SortFunc(out, cmp.Compare[string])
	return out
}
