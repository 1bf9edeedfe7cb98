package derive

import (
	"os"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func own(t *testing.T, subject string) model.LibraryFile {
	t.Helper()
	text, err := os.ReadFile("testdata/own/" + subject + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return model.LibraryFile{Subject: subject, File: "own/" + subject + ".yaml", Text: text}
}

// TestOwnLibrary: a project brings a scheme, a role, a rule and an alarm of
// its own, and replaces a built-in rule.
func TestOwnLibrary(t *testing.T) {
	files := []model.LibraryFile{own(t, "schemes"), own(t, "roles"), own(t, "rules"), own(t, "alarms")}
	lib, err := library.Load(files)
	if err != nil {
		t.Fatal(err)
	}
	e := fan("tunnel-fan", "starter", nil)
	got := Derive(lib, withoutSoftware(), []model.Equipment{e, fan("exhaust-constant", "relay", func(e *model.Equipment) { e.Tag = "F-2" })})
	if r := roles(got.Points); r != "start BO, status BI, not-in-auto BI, bearing-vibration AI, start BO, status BI" {
		t.Errorf("points: %s", r)
	}
	for _, q := range got.Points {
		switch q.Key {
		case "F-1/bearing-vibration":
			if q.Rule != "tunnel-vibration" || q.Units != "percent" || !strings.HasSuffix(q.ObjectName, "_VIB") || len(q.Alarms) != 1 {
				t.Errorf("%+v", q)
			}
		case "F-2/status":
			if !strings.Contains(q.Why, "our own way") {
				t.Errorf("the replaced rule: %s", q.Why)
			}
		}
	}
	if told(got.Findings, "rule-example", "tunnel-vibration", "") {
		t.Error("a good rule is told")
	}
	files[2].Text = []byte(strings.NewReplacer("near_miss: {scheme: relief}", "near_miss: {scheme: tunnel-fan}", "schemes: [tunnel-fan]", "schemes: [tunnel-fan, reilef]").Replace(string(files[2].Text)))
	if lib, err = library.Load(files); err != nil {
		t.Fatal(err)
	}
	found := Derive(lib, withoutSoftware(), []model.Equipment{e}).Findings
	if !told(found, "rule-example", "tunnel-vibration", "matches its own near miss") || !told(found, "unknown-role", "tunnel-vibration", `did you mean "relief"?`) {
		t.Errorf("a rule against its own example: %v", found)
	}
}

func TestUnknownAlarmLevel(t *testing.T) {
	s := model.Settings{Alarms: model.AlarmSettings{Levels: map[string]int{"faild": 1, "not-in-auto": 2}}}
	got := Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{fan("exhaust-constant", "starter", nil)})
	if !told(got.Findings, "unknown-role", "faild", `did you mean "failed"?`) {
		t.Errorf("%v", got.Findings)
	}
	for _, a := range got.Alarms {
		if a.ID == "F-1/not-in-auto" && (a.Level != 2 || a.Priority != 80 || a.Class != 2) {
			t.Errorf("own level: %+v", a)
		}
	}
}
