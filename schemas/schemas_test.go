package schemas

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// TestEverySchemaCompiles also refuses a schema object that lets unknown keys
// in: authored files are read strictly at every depth.
func TestEverySchemaCompiles(t *testing.T) {
	if len(Names()) < 10 {
		t.Fatalf("only %v", Names())
	}
	for _, name := range Names() {
		if _, err := compiled(name); err != nil {
			t.Error(err)
		}
		text, err := files.ReadFile(name + ".schema.json")
		if err != nil {
			t.Fatal(err)
		}
		d, err := Parse(name, text)
		if err != nil {
			t.Fatal(err)
		}
		if s := d.Scalar("$schema"); s != "http://json-schema.org/draft-07/schema#" {
			t.Errorf("%s: $schema is %q", name, s)
		}
		if d.Scalar("title") == "" {
			t.Errorf("%s has no title", name)
		}
	}
	if _, err := compiled("nothing"); err == nil {
		t.Error("a schema that is not there compiled")
	}
}

var allowedList = regexp.MustCompile(`allowed: [a-z_0-9, ]+`)

// TestFaultsSayWhereAndWhat reads project files with one slip each: the place,
// what is wrong in plain words, the nearest good word.
func TestFaultsSayWhereAndWhat(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"misspelt key", "project:\n  nmae: X\n", `p.yaml:2:3: "nmae" is not known here; allowed: author, building, date, issue, name, number; did you mean "name"?`},
		{"misspelt key at the top", "projcet: {name: X}\n", `p.yaml:1:1: "projcet" is not known here; allowed: ...; did you mean "project"?`},
		{"misspelt key at depth", "settings:\n  naming:\n    patern: x\n", `p.yaml:3:5: "patern" is not known here; allowed: ...; did you mean "pattern"?`},
		{"misspelt key in a list", "panels:\n  - id: P\n  - id: Q\n    existing: [{id: C, modle: x, model: y}]\n", `p.yaml:4:24: "modle" is not known here; allowed: ...; did you mean "model"?`},
		{"key that is like nothing", "project: {zebra: 1}\n", `p.yaml:1:11: "zebra" is not known here; allowed: ...`},
		{"key with quotes in it", "project: {\"it's\": 1}\n", `p.yaml:1:11: "it's" is not known here; allowed: ...`},
		{"word out of a list", "settings:\n  naming: {instances: per-tpye}\n", `p.yaml:2:23: settings, naming, instances: "per-tpye" is not one of per-type, per-equipment, vendor; did you mean "per-type"?`},
		{"number for a word of a list", "settings: {alarms: {edition: 2021}}\n", `p.yaml:1:30: settings, alarms, edition: 2021 is read as a number; put it in quotes`},
		{"number out of a list", "circuits:\n - id: x\n   gauge_awg: 15\n", `p.yaml:3:15: circuits, item 1, gauge_awg: "15" is not one of 10, 12, 14, 16, 18, 20, 22, 24`},
		{"nothing for a word of a list", "settings: {units: }\n", `p.yaml:1:19: settings, units: an empty value is not one of ip, si`},
		{"text for a number", "settings: {naming: {max_length: long}}\n", `p.yaml:1:33: settings, naming, max_length: "long" should be a whole number`},
		{"fraction for a whole number", "settings: {naming: {max_length: 8.5}}\n", `p.yaml:1:33: settings, naming, max_length: "8.5" should be a whole number`},
		{"number for text", "project: {name: 7}\n", `p.yaml:1:17: project, name: "7" should be text; put it in quotes`},
		{"list for keys", "project: [a]\n", `p.yaml:1:10: project: a list should be a group of keys`},
		{"a number without end", "settings: {naming: {max_length: 1e-999999999}}\n", `p.yaml:1:33: settings, naming, max_length: 1e-999999999 is too small: at least 8`},
		{"too small", "settings: {naming: {max_length: 3}}\n", `p.yaml:1:33: settings, naming, max_length: 3 is too small: at least 8`},
		{"zero where more is asked", "settings: {wiring: {length_ft: 0}}\n", `p.yaml:1:32: settings, wiring, length_ft: 0 is too small: more than 0`},
		{"too large", "settings: {landing: {spare_share: 2}}\n", `p.yaml:1:35: settings, landing, spare_share: 2 is too large: at most 0.9`},
		{"too few", "settings: {derive: {state_texts: {start: [Off]}}}\n", `p.yaml:1:42: settings, derive, state_texts, start: 1 items are too few: at least 2`},
		{"form", "circuits: [{id: x, drive: here}]\n", `p.yaml:1:27: circuits, item 1, drive: "here" does not have the form asked for (^.+:.+$) (device:terminal)`},
		{"missing", "lists:\n  - name: x\n", `p.yaml:2:5: lists, item 1 lacks file`},
		{"two missing", "exceptions:\n  - code: x\n", `p.yaml:2:5: exceptions, item 1 lacks subject, reason`},
		{"key twice", "lists:\n  - file: a\n    file: b\n", `p.yaml:3:5: "file" stands here a second time (first on line 2)`},
		{"key twice in JSON", "{\"project\": {},\n \"project\": {}}", `p.yaml:2:2: "project" stands here a second time (first on line 1)`},
		{"key that is a list", "? [a, b]\n: c\n", `p.yaml:1:3: a key must be a word or a number, not a list or a group of keys`},
		{"tab", "lists:\n\t- file: a\n", `p.yaml:2:1: cannot be read as YAML or JSON: a tab indents this line; YAML is indented with blanks only`},
		{"open bracket", "project: {name: [}\n", `p.yaml:1: cannot be read as YAML or JSON: a value is missing or a bracket is not closed`},
		{"open quote", "project:\n  name: \"x\n", `p.yaml:2: cannot be read as YAML or JSON: the file ends inside quotes or brackets that are not closed`},
		{"colon in text", "project:\n  name: a: b\n", `p.yaml:2: cannot be read as YAML or JSON: a colon where none can stand: text that holds one goes in quotes, and keys of one group start in the same column`},
		{"unknown alias", "project: *x\n", `p.yaml:1: cannot be read as YAML or JSON: an alias (*name) whose anchor (&name) does not stand before it`},
		{"alias in itself", "project: &x\n  name: *x\n", `p.yaml:2:9: *x stands inside what it stands for`},
		{"merge of a word", "project: {<<: x}\n", `p.yaml:1:15: << takes in a group of keys, or a list of such groups`},
		{"two documents", "project: {}\n---\nproject: {}\n", `p.yaml:2:1: a second document begins here (---); one file holds one`},
		{"no keys at all", "just words\n", `p.yaml:1:1: the file: "just words" should be a group of keys`},
		{"not a number", "project: {issue: .nan}\n", `p.yaml:1:18: .nan is not a number that can be used`},
		{"old encoding", "project:\n  name: caf\xe9\n", `p.yaml:2:12: this is no text in UTF-8; save the file as UTF-8`},
		{"binary", "PK\x03\x04\x00", `p.yaml:1:5: this is no text in UTF-8; save the file as UTF-8`},
		{"limit of a terminal, misspelt", "devices:\n - id: a\n   terminals: [{id: in, natrue: contact}]\n", `p.yaml:3:25: "natrue" is not known here; allowed: ...; did you mean "nature"?`},
		{"nature of a terminal, misspelt", "devices:\n - id: a\n   terminals: [{id: in, nature: contcat}]\n", `p.yaml:3:33: devices, item 1, terminals, item 1, nature: "contcat" is not one of NATURES; did you mean "contact"?`},
		{"terminal without its id", "devices:\n - id: a\n   terminals: [{volts: 24}]\n", `p.yaml:3:16: devices, item 1, terminals, item 1 lacks id`},
		{"money without end", "prices: {x: \"1e99999999\"}\n", `p.yaml:1:13: prices.x: "1e99999999" is no amount of money: write it like 42 or 42.50`},
		{"money below nothing", "prices: {x: -1}\n", `p.yaml:1:13: prices.x: "-1" is no amount of money: write it like 42 or 42.50`},
		{"money", "prices: {x: 1.005}\n", `p.yaml:1:13: prices.x: "1.005" is no amount of money: write it like 42 or 42.50`},
	} {
		_, err := ReadProject("p.yaml", []byte(c.text))
		var faults Faults
		if !errors.As(err, &faults) {
			t.Errorf("%s: %v (%T)", c.name, err, err)
			continue
		}
		got := faults.Error()
		if strings.Contains(c.want, "allowed: ...") { // the list itself grows with the schema
			got = allowedList.ReplaceAllString(got, "allowed: ...")
		}
		if head, tail, ok := strings.Cut(c.want, "NATURES"); ok && strings.HasPrefix(got, head) && strings.HasSuffix(got, tail) {
			continue
		}
		if got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// TestAllFaultsAtOnce: a file with several slips is told all of them, in order
// of their place.
func TestAllFaultsAtOnce(t *testing.T) {
	_, err := ReadProject("p.yaml", []byte("settings:\n  naming: {max_length: 3, patern: x}\nproject:\n  nmae: X\nlists:\n  - fiel: a\n"))
	var faults Faults
	if !errors.As(err, &faults) || len(faults) != 5 {
		t.Fatalf("want 5 faults: %v", err)
	}
	for i := 1; i < len(faults); i++ {
		if faults[i-1].Where.Compare(faults[i].Where) > 0 {
			t.Errorf("%v stands before %v", faults[i-1].Where, faults[i].Where)
		}
	}
}

// TestWhatMayBeWritten: anchors, merges, comments, dates, marks, JSON with
// comments in its YAML sense, numbers kept as written.
func TestWhatMayBeWritten(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       model.Project
	}{
		{"nothing", "", model.Project{}},
		{"a comment", "# later\n", model.Project{}},
		{"a mark", "\ufeffproject: {name: X}\n", model.Project{Name: "X"}},
		{"windows line ends", "project:\r\n  name: X\r\n", model.Project{Name: "X"}},
		{"JSON", "{\"project\": {\"name\": \"X\", \"number\": 12}}", model.Project{Name: "X", Number: "12"}},
		{"a date", "project: {date: 2026-01-04}\n", model.Project{Date: "2026-01-04"}},
		{"a number as written", "project: {issue: 1.10, number: 12345678901234567890}\n", model.Project{Issue: "1.10", Number: "12345678901234567890"}},
		{"merge: own keys win", "project:\n  <<: [{name: A, author: B}, {name: C, building: D}]\n  author: E\n", model.Project{Name: "A", Author: "E", Building: "D"}},
	} {
		f, err := ReadProject("p.yaml", []byte(c.text))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		p := f.Project
		if p.Name != c.want.Name || p.Number != c.want.Number || p.Issue != c.want.Issue || p.Date != c.want.Date || p.Author != c.want.Author || p.Building != c.want.Building {
			t.Errorf("%s: %+v", c.name, p)
		}
	}
	f, err := ReadProject("p.yaml", []byte("panels:\n  - &p {id: A, location: Roof}\n  - {<<: *p, id: B}\n"))
	if err != nil || len(f.Project.Panels) != 2 || f.Project.Panels[1].ID != "B" || f.Project.Panels[1].Location != "Roof" || f.Project.Panels[0].ID != "A" {
		t.Errorf("merge of an anchor: %v %+v", err, f)
	}
}

// TestTerminalsOfProjectsAreThoseOfTypes: what a device type can state of a
// terminal, a project can state of the terminal of one device.
func TestTerminalsOfProjectsAreThoseOfTypes(t *testing.T) {
	keys := func(schema string) []string {
		t.Helper()
		text, err := files.ReadFile(schema + ".schema.json")
		if err != nil {
			t.Fatal(err)
		}
		d, err := Parse(schema, text)
		if err != nil {
			t.Fatal(err)
		}
		list := d.Keys("definitions", "terminal", "properties")
		slices.Sort(list)
		return list
	}
	if ours, theirs := keys("project"), keys("devices"); !slices.Equal(ours, theirs) {
		t.Errorf("project.schema.json lets a terminal state\n%v\ndevices.schema.json\n%v", ours, theirs)
	}
}

// TestAliasBomb: a few lines that would stand for thousands of millions of
// values are refused, at once.
func TestAliasBomb(t *testing.T) {
	var b strings.Builder
	b.WriteString("a0: &a0 [x]\n")
	for i := 1; i < 40; i++ {
		p, n := string(rune('a'+(i-1)/10))+string(rune('0'+(i-1)%10)), string(rune('a'+i/10))+string(rune('0'+i%10))
		b.WriteString(n + ": &" + n + " [*" + p + ", *" + p + "]\n")
	}
	if _, err := Parse("p.yaml", []byte(b.String())); err == nil || !strings.Contains(err.Error(), "stand for more than") {
		t.Errorf("%v", err)
	}
}

// TestPlaces: every value knows its line and column, through aliases too.
func TestPlaces(t *testing.T) {
	d, err := Parse("p.yaml", []byte("lists:\n  - file: a\n  - file: b\nmore: &m\n  x: 1\nagain: *m\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path []string
		want string
	}{
		{[]string{"lists", "1", "file"}, "p.yaml:3:11"}, {[]string{"lists", "7"}, "p.yaml:2:3"}, {[]string{"again", "x"}, "p.yaml:5:6"}, {nil, "p.yaml:1:1"},
	} {
		if got := d.Where(c.path...).String(); got != c.want {
			t.Errorf("%v stands at %s, want %s", c.path, got, c.want)
		}
	}
	if got := d.Keys(); strings.Join(got, " ") != "lists more again" {
		t.Errorf("keys %v", got)
	}
	if d.Len("lists") != 2 || d.Len("more") != 0 || d.Scalar("lists", "0", "file") != "a" || d.Scalar("lists") != "" {
		t.Error("Len or Scalar")
	}
	if got := d.Text("more"); !strings.Contains(got, "x: 1") {
		t.Errorf("Text gives %q", got)
	}
}

// FuzzParse: whatever the bytes, reading ends with a document or with faults
// that have a place, and never with a panic.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"", "a: b", "a: &x [*x]", "{<<: {a: 1}}", "\t", "- - -", "a: !!int x", "? ", "--- a\n--- b", "\xff\xfe", "a: 1e999", "prices: {a: 1e999999999}", "settings: {naming: {max_length: 1E99999999}}", "a: .inf"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, err := ReadProject("p.yaml", data)
		var faults Faults
		if err != nil && !errors.As(err, &faults) {
			t.Fatalf("%v (%T)", err, err)
		}
		for _, one := range faults {
			if one.Where.File == "" || one.Message == "" {
				t.Fatalf("a fault without a place or text: %+v", one)
			}
		}
	})
}
