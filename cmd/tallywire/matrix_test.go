package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
)

// TestLifeSafetyMatrix holds the cause-and-effect matrix of the sample with an
// enclosed garage, a kitchen, a stair and a smoke exhaust to a matrix that was
// worked out by hand from its project file.
func TestLifeSafetyMatrix(t *testing.T) {
	dir := filepath.Join(samplesDir, "life-safety")
	var out, errs bytes.Buffer
	if code := run(world{strings.NewReader(""), &out, &errs}, []string{"export", dir, "--as", "json", "-o", "-"}); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	var plan struct {
		CauseEffect model.CauseEffect `json:"cause_effect"`
		Sequences   []model.Sequence  `json:"sequences"`
	}
	if err := json.Unmarshal(out.Bytes(), &plan); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "matrix.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if head := strings.Split(lines[0], "\t")[1:]; !slices.Equal(head, plan.CauseEffect.Events) {
		t.Errorf("events %q, want %q", plan.CauseEffect.Events, head)
	}
	if len(lines)-1 != len(plan.CauseEffect.Rows) {
		t.Fatalf("%d rows, want %d", len(plan.CauseEffect.Rows), len(lines)-1)
	}
	for i, line := range lines[1:] {
		want := strings.Split(line, "\t")
		if got := plan.CauseEffect.Rows[i]; got.Equipment != want[0] || !slices.Equal(got.Effects, want[1:]) {
			t.Errorf("%s: %q\nwant %q", got.Equipment, got.Effects, want)
		}
	}
	for _, s := range plan.Sequences {
		text := ""
		for _, p := range s.Paragraphs {
			text += p.Text + "\n"
		}
		if s.LifeSafety != strings.Contains(text, "No controller here is taken to be suitable for smoke control") {
			t.Errorf("%s: life safety %v, and its page says: %s", s.Equipment, s.LifeSafety, text)
		}
		if strings.Contains(text, "UUKL") || strings.Contains(text, "suitable for smoke control.") {
			t.Errorf("%s: a controller is called suitable", s.Equipment)
		}
	}
}
