package crosscheck_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/derive"
	"tallywire/points/intake"
	"tallywire/points/library"
)

var loadOnce = sync.OnceValues(func() (*library.Library, error) { return library.Load(nil) })

// loaded is the built-in library, read once for all tests.
func loaded(t testing.TB) *library.Library {
	t.Helper()
	lib, err := loadOnce()
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// read turns delimited text into a document as the plan does.
func read(t testing.TB, lib *library.Library, file, text string) crosscheck.Document {
	t.Helper()
	sheets, err := intake.ReadDelimited(file, []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	in := model.Input{File: file}
	doc := crosscheck.Document{Input: in, Role: crosscheck.Recognise(lib, in, sheets)}
	switch doc.Role {
	case crosscheck.Controls:
		doc.Points, doc.Counts, doc.Equipment = crosscheck.ReadPoints(lib, sheets, tags)
	case crosscheck.Fire:
		doc.Equipment = crosscheck.ReadFireMatrix(lib, sheets, tags)
	default:
		doc.Equipment = machines(t, lib, []model.Input{in}, sheets)
	}
	return doc
}

func tags(text string) []string { return intake.Tags(text) }

func machines(t testing.TB, lib *library.Library, inputs []model.Input, sheets []model.Sheet) []model.Equipment {
	t.Helper()
	list, _, err := intake.Read(lib, &model.Project{Sheets: sheets, Inputs: inputs})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

const samples = "../../samples"

// sample compares the documents of a sample folder with its list.
func sample(t *testing.T, lib *library.Library, name string) []model.Difference {
	t.Helper()
	text := func(file string) string {
		data, err := os.ReadFile(filepath.Join(samples, name, file))
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	var sheets []model.Sheet
	for _, file := range []string{"fans.csv", "addendum-1.csv"} {
		s, err := intake.ReadDelimited(file, []byte(text(file)))
		if err != nil {
			t.Fatal(err)
		}
		sheets = append(sheets, s...)
	}
	ours := machines(t, lib, []model.Input{{File: "fans.csv"}, {File: "addendum-1.csv", Role: "addendum"}}, sheets)
	p := &model.Project{}
	var docs []crosscheck.Document
	for file, role := range map[string]string{"electrical.csv": "electrical", "controls-points.csv": "controls", "fire-matrix.csv": "fire", "submittal.csv": "submittal"} {
		doc := read(t, lib, file, text(file))
		if doc.Role != role {
			t.Errorf("%s is taken for %q, want %s", file, doc.Role, role)
		}
		docs = append(docs, doc)
	}
	slices.SortFunc(docs, func(a, b crosscheck.Document) int { return strings.Compare(a.Input.File, b.Input.File) })
	return crosscheck.Compare(lib, p, ours, derive.Derive(lib, p, ours).Points, docs)
}

// TestCleanSampleIsSilent: documents that agree give no fault and no caution.
func TestCleanSampleIsSilent(t *testing.T) {
	for _, d := range sample(t, loaded(t), "tidewell-clean") {
		if d.Severity != finding.Note {
			t.Errorf("%s %s %s: %s", d.Severity, d.Code, d.Subject, d.Message)
		}
	}
}

// TestPlantedDisagreementsAreFound holds the sample against its list of
// planted disagreements: each is found, and nothing else is a fault or caution.
func TestPlantedDisagreementsAreFound(t *testing.T) {
	got := sample(t, loaded(t), "tidewell")
	data, err := os.ReadFile(filepath.Join(samples, "tidewell", "disagreements.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[[2]string]bool{}
	kinds := map[string]bool{}
	for line := range strings.Lines(string(data)) {
		cells := strings.Split(strings.TrimSpace(line), "\t")
		if strings.HasPrefix(line, "#") || cells[0] == "code" {
			continue
		}
		want[[2]string{cells[0], cells[1]}], kinds[cells[0]] = true, true
	}
	if len(want) < 30 || len(kinds) < 15 {
		t.Errorf("%d disagreements of %d kinds planted", len(want), len(kinds))
	}
	for key := range want {
		if !slices.ContainsFunc(got, func(d model.Difference) bool {
			return d.Code == key[0] && d.Subject == key[1] && d.Severity != finding.Note && d.Message != "" && (d.Where != nil || d.Other != nil)
		}) {
			t.Errorf("not found: %s of %s", key[0], key[1])
		}
	}
	for _, d := range got {
		if d.Severity != finding.Note && d.Ask == "" {
			t.Errorf("%s of %s has no question for the RFI list", d.Code, d.Subject)
		}
		if d.Severity != finding.Note && !want[[2]string{d.Code, d.Subject}] {
			t.Errorf("nobody planted %s of %s: %s", d.Code, d.Subject, d.Message)
		}
	}
}
