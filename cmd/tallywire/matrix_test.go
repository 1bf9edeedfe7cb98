package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tallywire/model"
)

// handMade is the matrix that was worked out by hand; nothing regenerates it.
const handMade = "matrix.tsv"

// TestLifeSafetyMatrix holds the cause-and-effect matrix of the sample with an
// enclosed garage, a kitchen, a stair and a smoke exhaust to a matrix that was
// worked out by hand, cell by cell with its reason, from its list, its project
// file and common practice.
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
	data, err := os.ReadFile(filepath.Join(dir, "want", handMade))
	if err != nil {
		t.Fatal(err)
	}
	printed := map[[2]string]string{}
	for _, row := range plan.CauseEffect.Rows {
		for i, event := range plan.CauseEffect.Events {
			printed[[2]string{row.Equipment, event}] = row.Effects[i]
		}
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")[1:]
	for _, line := range lines {
		cells := strings.Split(line, "\t")
		if len(cells) != 4 || cells[3] == "" {
			t.Fatalf("equipment, event, effect and reason: %q", line)
		}
		at := [2]string{cells[0], cells[1]}
		if got, ok := printed[at]; !ok || got != cells[2] {
			t.Errorf("%s under %s: printed %q, by hand %q: %s", cells[0], cells[1], got, cells[2], cells[3])
		}
		delete(printed, at)
	}
	for at, got := range printed {
		t.Errorf("%s under %s: printed %q, the hand-made matrix has no such cell", at[0], at[1], got)
	}
	if len(lines) != len(plan.CauseEffect.Events)*len(plan.CauseEffect.Rows) {
		t.Errorf("%d cells by hand", len(lines))
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
