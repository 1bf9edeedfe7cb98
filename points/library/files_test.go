package library

import (
	"io/fs"
	"path"
	"testing"

	"tallywire/schemas"
)

// TestEveryBuiltInFileFollowsItsSchema holds each file of records against the
// schema of its subject, and each table against its own heading. What is plain
// enough for a table states its source in its comment lines, or in a column.
func TestEveryBuiltInFileFollowsItsSchema(t *testing.T) {
	records, tables := 0, 0
	for _, subject := range Subjects() {
		entries, err := fs.ReadDir(files, subject)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			name := path.Join(subject, e.Name())
			text, err := files.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if path.Ext(name) == ".yaml" {
				records++
				d, err := schemas.Parse("library/"+name, text)
				if err != nil {
					t.Error(err)
					continue
				}
				if err := d.Validate(subject); err != nil {
					t.Error(err)
				}
				continue
			}
			tables++
			table, err := table(name)
			if err != nil {
				t.Error(err)
				continue
			}
			if len(table.Rows) == 0 {
				t.Errorf("%s has no rows", name)
			}
			if table.Column("source") < 0 && tableSource(text) == "" {
				t.Errorf("%s states no source", name)
			}
		}
	}
	if records < 15 || tables < 10 {
		t.Errorf("%d files of records, %d tables", records, tables)
	}
}
