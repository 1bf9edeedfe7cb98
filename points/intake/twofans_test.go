package intake

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// Two fans of one unit are two machines, whichever way the schedule says so.
func TestTwoFansOfOneUnit(t *testing.T) {
	merged := tableSheet("fans.xlsx", "M-601", "TAG|SERVICE|FAN|CFM|HP|VOLTS|PH|CONTROL|REMARKS", "AHU-1|OFFICES|SUPPLY|12000|15|460|3|VFD|FIRE STOP", "|||10000|7.5|||", "EF-9|STORE|EXHAUST|300|1/4|120|1||INTERLOCK WITH AHU-1")
	merged.Rows[2].Cells = append(merged.Rows[2].Cells, model.Cell{Column: 3, Text: "RETURN"})
	merged.Merged = []string{"A2:A3", "B2:B3", "F2:F3", "G2:G3", "H2:H3"}
	grouped := tableSheet("fans.xlsx", "M-601", "TAG|SERVICE|SUPPLY FAN|||RETURN FAN|||VOLTS|PH", "||CFM|HP|CONTROL|CFM|HP|CONTROL||", "AHU-1|OFFICES|12000|15|VFD|10000|7.5|VFD|460|3", "EF-9|STORE INTERLOCK WITH AHU-1|300|1/4||||||")
	grouped.Merged = []string{"C1:E1", "F1:H1"}
	for name, p := range map[string]*model.Project{
		"a tag merged over two lines":    {Sheets: []model.Sheet{merged}},
		"two groups of columns":          {Sheets: []model.Sheet{grouped}},
		"a line below without a tag":     project(t, "fans.csv", "TAG,SERVICE,FAN,CFM,HP,VOLTS,PH,CONTROL\nAHU-1,OFFICES,SUPPLY,12000,15,460,3,VFD\n,,RETURN,10000,7.5,460,3,VFD\nEF-9,STORE INTERLOCK WITH AHU-1,EXHAUST,300,1/4,120,1,\n"),
		"letters behind the tags":        project(t, "fans.csv", "TAG,SERVICE,CFM,HP,VOLTS,PH,CONTROL\nAHU-1 SF,OFFICES,12000,15,460,3,VFD\nAHU-1 RF,OFFICES,10000,7.5,460,3,VFD\nEF-9,STORE INTERLOCK WITH AHU-1-SF,300,1/4,120,1,\n"),
		"a stroke between unit and fans": project(t, "fans.csv", "TAG,UNIT,SERVICE,CFM,HP,VOLTS,PH,CONTROL\nAHU-1-SF,AHU-1,OFFICES,12000,15,460,3,VFD\nAHU-1-RF,AHU-1,OFFICES,10000,7.5,460,3,VFD\nEF-9,,STORE INTERLOCK WITH AHU-1-SF,300,1/4,120,1,\n"),
	} {
		got := read(t, p)
		if s := got.tags(); s != "AHU-1-SF AHU-1-RF EF-9" {
			t.Errorf("%s: %s", name, s)
			continue
		}
		sf, rf := got.tag(t, "AHU-1-SF"), got.tag(t, "AHU-1-RF")
		if sf.Kind != "supply-fan" || rf.Kind != "return-fan" || sf.Ratings.Airflow.Value.Lo != 12000 || rf.Ratings.Airflow.Value.Lo != 10000 || rf.Ratings.Power.Value.Lo != 7.5 {
			t.Errorf("%s: %+v\n%+v", name, sf, rf)
		}
		if sf.Control != "variable-frequency-drive" || rf.Control != "variable-frequency-drive" || rf.Ratings.Service == nil || rf.Ratings.Service.Phases != 3 || rf.Service == "" || rf.Unresolved {
			t.Errorf("%s: the return fan lacks what is said for the unit: %+v", name, rf)
		}
		if e := got.tag(t, "EF-9"); strings.Join(e.Interlocks, " ") != "AHU-1-SF" {
			t.Errorf("%s: %v", name, e.Interlocks)
		}
	}
	if got := read(t, &model.Project{Sheets: []model.Sheet{merged}}); got.find("second-line", "AHU-1").Severity != finding.Note {
		t.Error("a merged tag leaves no doubt")
	}
}

// What is not said to be two fans is not made two.
func TestOneMachineWithTwoLines(t *testing.T) {
	got := read(t, project(t, "fans.csv", `TAG,SERVICE,FAN,CFM,HP
ERV-1,OFFICES,SUPPLY,3000,2
,,EXHAUST,2800,2
AHU-4,OFFICES,,12000,15
,,,10000,7.5
EF-1,STORE,EXHAUST,300,1/4
,,EXHAUST,200,1/6
`))
	if s := got.tags(); s != "ERV-1 AHU-4 ROW-5 EF-1 ROW-7" {
		t.Fatal(s)
	}
	if e := got.tag(t, "ERV-1"); e.Kind != "energy-recovery-unit" || e.Fields["CFM (second line)"].Text != "2800" || got.find("second-line", "ERV-1") == nil {
		t.Errorf("%+v", e)
	}
	if f := got.find("out-of-scope", "AHU-4"); f == nil || f.Severity != finding.Caution || !strings.Contains(f.Message, "its fans get no points") {
		t.Errorf("%+v", f)
	}
	// A later list with one row for both fans tells nothing of either.
	got = read(t, project(t, "fans.csv", "TAG,FAN,CFM,HP\nAHU-1,SUPPLY,12000,15\n,RETURN,10000,7.5\n", "electrical.csv", "TAG,HP\nAHU-1,20\nAHU-1-RF,10\n"))
	if got.tag(t, "AHU-1-SF").Ratings.Power.Value.Lo != 15 || got.tag(t, "AHU-1-RF").Ratings.Power.Value.Lo != 10 || !got.says("second-line", "AHU-1", "nothing is taken from it") {
		t.Errorf("%v", got.findings)
	}
}

// Two columns of one figure that differ leave open which is the fan's; columns
// that agree, and the two speeds of fan and motor, do not.
func TestTwoColumnsOfOneFigure(t *testing.T) {
	for _, c := range []struct {
		text, words string
		severity    finding.Severity
	}{
		{"TAG,TYPE,MAX CFM,FAN CFM\nFPB-1,SERIES FPB,900,600\n", "though they differ (C2: 900 and 600)", finding.Caution},
		{"TAG,TYPE,MAX CFM,FAN CFM\nFPB-1,SERIES FPB,600,600\nFPB-2,SERIES FPB,900,-\n", "is used", finding.Note},
		{"TAG,TYPE,FAN RPM,MOTOR RPM\nEF-1,EXHAUST,900,1725\n", "is used", finding.Note},
	} {
		told := 0
		got := read(t, project(t, "fans.csv", c.text))
		for _, f := range got.findings {
			if strings.Contains(f.Message, "are both read as") {
				told++
				if f.Severity != c.severity || !strings.HasSuffix(f.Message, c.words) {
					t.Errorf("%s: %s %s", c.text, f.Severity, f.Message)
				}
			}
		}
		if told != 1 {
			t.Errorf("%s: told %d times", c.text, told)
		}
	}
}
