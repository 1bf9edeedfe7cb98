package library

import (
	"cmp"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/schemas"
)

// Entry is a record as listed: what the library knows, from which file and by
// which source. Text is the record as written.
type Entry struct {
	Subject string      `json:"subject"`
	ID      string      `json:"id"`
	Name    string      `json:"name"`
	Source  string      `json:"source"`
	Text    string      `json:"text"`
	Where   model.Where `json:"where"`
}

// Answer is what `library --json` prints.
type Answer struct {
	Records []Entry `json:"records"`
}

// Entries lists the records in force by subject and id: the built-in ones and
// the user's own, which replace those of the same id.
func Entries(own []model.LibraryFile) ([]Entry, error) {
	at := map[[2]string]int{}
	var out []Entry
	add := func(e Entry) {
		k := [2]string{e.Subject, e.ID}
		if i, known := at[k]; known {
			out[i] = e
			return
		}
		at[k] = len(out)
		out = append(out, e)
	}
	for _, subject := range Subjects() {
		entries, err := fs.ReadDir(files, subject)
		if err != nil {
			return nil, err
		}
		for _, f := range entries {
			name := path.Join(subject, f.Name())
			text, err := files.ReadFile(name)
			if err != nil {
				return nil, err
			}
			list, err := entriesOf(subject, "library/"+name, text)
			if err != nil {
				return nil, err
			}
			for _, e := range list {
				add(e)
			}
		}
	}
	for _, f := range own {
		list, err := entriesOf(f.Subject, f.File, f.Text)
		if err != nil {
			return nil, err
		}
		for _, e := range list {
			add(e)
		}
	}
	slices.SortStableFunc(out, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.ID, b.ID)) })
	return out, nil
}

func entriesOf(subject, file string, text []byte) ([]Entry, error) {
	if strings.HasSuffix(file, ".tsv") {
		id := strings.TrimSuffix(path.Base(file), ".tsv")
		return []Entry{{Subject: subject, ID: id, Name: "table " + id, Source: tableSource(text), Text: string(text), Where: model.Where{File: file}}}, nil
	}
	d, err := schemas.Parse(file, text)
	if err != nil {
		return nil, err
	}
	var out []Entry
	for i := range d.Len("records") {
		n := strconv.Itoa(i)
		id := d.Scalar("records", n, "id")
		out = append(out, Entry{Subject: subject, ID: id, Name: cmp.Or(d.Scalar("records", n, "name"), d.Scalar("records", n, "device", "name"), d.Scalar("records", n, "why"), id),
			Source: cmp.Or(d.Scalar("records", n, "source"), d.Scalar("records", n, "device", "source")), Text: d.Text("records", n), Where: d.Where("records", n)})
	}
	return out, nil
}

// tableSource reads the source that stands in the comment lines of a table,
// from the word "source:" to the end of its line.
func tableSource(text []byte) string {
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "#") {
			break
		}
		if i := strings.Index(strings.ToLower(line), "source: "); i >= 0 {
			return strings.TrimSpace(line[i+len("source: "):])
		}
	}
	return ""
}
