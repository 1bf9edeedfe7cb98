package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/schemas"
)

// TestExistingPoints: a building whose controllers hold what an earlier plan
// handed over keeps all of it; the file is told by its ending or by --role, or
// stands under existing: in the project file.
func TestExistingPoints(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	list := write("fans.csv", "Tag,Type,CFM,HP,Volts,Phase,Control\nEF-1,general exhaust fan,2500,2,460,3,VFD\n")
	if code, _, stderr := call(t, "export", list, "--as", "ede", "-o", filepath.Join(dir, "old")); code != exitDone {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	ede := filepath.Join(dir, "old_EDE.csv")
	code, stdout, stderr := call(t, "crosscheck", list, "--against", ede)
	if code != exitDone || !regexp.MustCompile(`(?m)^keep +EF-1/start +there: EF-1_SS +by object name$`).MatchString(stdout) || !strings.Contains(stdout, "change 0, add 0, leave 0") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	scan := write("scan.csv", "device,object,name,description\n5,BO1,EF1_CMD,EF-1 start/stop\n5,AI9,OAT,outdoor air\n")
	code, stdout, stderr = call(t, "crosscheck", list, "--against", scan, "--role", "existing points", "--json")
	var answer model.CrosscheckAnswer
	if err := json.Unmarshal([]byte(stdout), &answer); err != nil || code != exitDone {
		t.Fatalf("exit %d: %v\n%s%s", code, err, stdout, stderr)
	}
	if err := schemas.ValidateJSON("crosscheck", []byte(stdout)); err != nil {
		t.Error(err)
	}
	counts := map[model.RetrofitAction]int{}
	for _, r := range answer.Retrofit {
		counts[r.Action]++
	}
	if counts[model.RetrofitKeep] != 1 || counts[model.RetrofitLeave] != 1 || counts[model.RetrofitAdd] < 3 {
		t.Errorf("actions: %v", counts)
	}
	project := write("project.yaml", "lists:\n  - file: fans.csv\nexisting:\n  - file: scan.csv\n")
	code, stdout, _ = call(t, "export", project, "--as", "json", "-o", "-")
	if code != exitDone || !strings.Contains(stdout, `"role": "existing points"`) || !strings.Contains(stdout, `"action": "keep"`) {
		t.Errorf("exit %d: the plan does not hold the existing points", code)
	}
	bad := write("bad.csv", "a,b\n1,2\n")
	if code, _, stderr = call(t, "crosscheck", list, "--against", bad, "--role", "existing points"); code != exitInput || !strings.Contains(stderr, "no heading row") {
		t.Errorf("exit %d: %s", code, stderr)
	}
	if code, _, stderr = call(t, "crosscheck", list, "--against", list, "--role", "existing point"); code != exitInput {
		t.Errorf("exit %d: %s", code, stderr)
	}
}
