package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// TestPlantedMistakes: every sample that holds a planted.tsv gives each of its
// mistakes by code and subject, as a fault or a caution, and no other fault.
func TestPlantedMistakes(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(samplesDir, "*", "planted.tsv"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no planted.tsv: %v", err)
	}
	for _, file := range files {
		dir, err := filepath.Abs(filepath.Dir(file))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(dir), func(t *testing.T) {
			planted := readPlanted(t, filepath.Join(dir, "planted.tsv"))
			_, out, errs := call(t, "check", dir, "--json")
			var answer model.CheckAnswer
			if err := json.Unmarshal([]byte(out), &answer); err != nil {
				t.Fatalf("%v: %s", err, errs)
			}
			codes := map[string]bool{}
			for _, p := range planted {
				codes[p[0]] = true
				if !slices.ContainsFunc(answer.Findings, func(f finding.Finding) bool {
					return f.Severity != finding.Note && f.Code == p[0] && concerns(f, p[1])
				}) {
					t.Errorf("%s of %s was not found", p[0], p[1])
				}
			}
			if len(planted) < 12 || len(codes) < 10 {
				t.Errorf("%d mistakes of %d codes", len(planted), len(codes))
			}
			for _, f := range answer.Findings {
				if f.Severity != finding.Fault {
					continue
				}
				for _, subject := range append(slices.Clone(f.Subjects), f.Subject) {
					if !slices.Contains(planted, [2]string{f.Code, subject}) {
						t.Errorf("a fault that nobody planted: %s", f.Line())
					}
				}
			}
		})
	}
}

func concerns(f finding.Finding, subject string) bool {
	return f.Subject == subject || slices.Contains(f.Subjects, subject)
}

func readPlanted(t *testing.T, file string) [][2]string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out [][2]string
	for i, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		cells := strings.Split(line, "\t")
		if strings.HasPrefix(line, "#") || cells[0] == "code" {
			continue
		}
		if len(cells) != 3 {
			t.Fatalf("%s:%d: %d cells", file, i+1, len(cells))
		}
		out = append(out, [2]string{cells[0], cells[1]})
	}
	return out
}
