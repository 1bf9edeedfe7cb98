package crosscheck_test

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/derive"
	"tallywire/points/intake"
)

// TestObjects holds network points against the object list of a machine's own
// controls: missing, read only, other units, another default; a list that
// offers everything is silent.
func TestObjects(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{}
	p.Settings.Derive.Network = []string{"all"}
	ours := list(t, lib, "TAG,TYPE,CFM,HP,VOLTS,PH,CONTROL\nSF-1,SUPPLY FAN,9000,10,460,3,VFD\nMAU-1,MAKE-UP AIR UNIT,3000,5,460,3,FACTORY CONTROLLER\n")
	points := derive.Derive(lib, p, ours).Points
	network := 0
	for _, q := range points {
		if q.Carried == model.Network {
			network++
		}
	}
	if network < 8 {
		t.Fatalf("only %d network points: the test proves nothing", network)
	}
	full := "Tag,Point Name,Object Type,Access,Units\n"
	for _, q := range points {
		if q.Carried == model.Network {
			role, _ := lib.Role(q.Role)
			access := "R"
			if strings.HasSuffix(q.ObjectType, "-value") {
				access = "R/W"
			}
			full += q.Equipment + "," + role.Name + "," + q.ObjectType + "," + access + "," + q.Units + "\n"
		}
	}
	compare := func(text string) []model.Difference {
		doc := document(t, lib, crosscheck.Objects, "objects.csv", text)
		return crosscheck.Compare(lib, p, ours, points, []crosscheck.Document{doc})
	}
	if got := compare(full); len(got) > 0 {
		t.Errorf("an object list with everything: %+v", got)
	}
	cut := func(text, old, new string) string {
		if !strings.Contains(text, old) {
			t.Fatalf("the list has no %q:\n%s", old, text)
		}
		return strings.Replace(text, old, new, 1)
	}
	got := compare(cut(full, "SF-1,drive fault reset,binary-value,R/W", "SF-1,drive fault reset,binary-value,Read only"))
	if d := find(got, "object-read-only", "SF-1/drive-reset"); d == nil || d.Severity != finding.Fault || d.Other == nil {
		t.Errorf("%+v", got)
	}
	got = compare(cut(full, "SF-1,output frequency,analog-input,R,hertz", "SF-1,output frequency,analog-input,R,percent"))
	must(t, got, "object-units-differ", "SF-1/output-frequency", "hertz", "percent")
	got = compare(cut(full, "SF-1,drive output current,analog-input,R,amperes\n", ""))
	must(t, got, "object-missing", "SF-1/drive-current", "drive-current", "")
	got = compare("SF-1 OBJECT LIST\nPoint Name,Access,Units,Relinquish Default\ndrive fault reset,R/W,,Active\n") // a list of one machine, named in its title
	must(t, got, "object-default-differs", "SF-1/drive-reset", "inactive", "Active")
	if find(got, "object-missing", "SF-1/output-frequency") == nil || find(got, "object-missing", "MAU-1/unit-mode") != nil {
		t.Errorf("a list of SF-1 alone: %+v", got)
	}
	must(t, compare("Tag,Point Name\nCH-1,status\n"), "nothing-to-compare", "objects.csv", "", "")
}

// A points list that takes a value over the network is held against the
// object list too.
func TestObjectsOfAPointsList(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,TYPE,CFM,CONTROL\nMAU-1,MAKE-UP AIR UNIT,3000,FACTORY CONTROLLER\n")
	points := document(t, lib, crosscheck.Controls, "points.csv", "Tag,Point Name,Type\nMAU-1,Discharge setpoint,BACnet\nMAU-1,Alarm,BACnet\n")
	objects := document(t, lib, crosscheck.Objects, "objects.csv", "Tag,Point Name,Writable\nMAU-1,Discharge air setpoint,No\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{points, objects})
	must(t, got, "object-missing", "MAU-1/unit-alarm", "unit-alarm", "")
	if d := find(got, "object-read-only", "MAU-1/discharge-setpoint"); d == nil || !strings.Contains(d.Message, "points.csv") {
		t.Errorf("%+v", got)
	}
}

// TestTrends: of each loop set point, measured value and output are logged.
func TestTrends(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{}
	ours := list(t, lib, "TAG,TYPE,CFM,HP,VOLTS,PH,CONTROL,SERVICE\nSF-1,SUPPLY FAN,9000,10,460,3,VFD,OFFICES\nEF-1,EXHAUST FAN,300,1/4,120,1,STARTER,STORE\n")
	points := derive.Derive(lib, p, ours).Points
	compare := func(role, text string) []model.Difference {
		doc := document(t, lib, role, "trends.csv", text)
		var out []model.Difference
		for _, d := range crosscheck.Compare(lib, p, ours, points, []crosscheck.Document{doc}) {
			if strings.HasPrefix(d.Code, "trend-") || d.Code == "nothing-to-compare" {
				out = append(out, d)
			}
		}
		return out
	}
	const whole = "Tag,Point,Trend interval\nSF-1,Duct static pressure,5 min\nSF-1,Duct static setpoint,COV\nSF-1,Speed command,5 min\n"
	if got := compare(crosscheck.Trends, whole); len(got) > 0 {
		t.Errorf("a loop that is logged whole: %+v", got)
	}
	got := compare(crosscheck.Trends, "Tag,Point,Trend interval\nSF-1,Duct static pressure,5 min\nSF-1,Duct static setpoint,\nSF-1,Speed command,5 min\nEF-1,Duct static pressure,5 min\n")
	must(t, got, "trend-missing", "SF-1", "setpoint pressure", "speed, duct pressure")
	must(t, got, "trend-of-no-point", "EF-1/duct-pressure", "", "Duct static pressure")
	if find(got, "trend-missing", "EF-1") != nil {
		t.Error("a fan at one speed has no loop")
	}
	got = compare(crosscheck.Controls, "Tag,Point,Type,Trend\nSF-1,Duct static pressure,AI,X\nSF-1,Speed command,AO,\nEF-1,Status,BI,X\n")
	if d := find(got, "trend-missing", "SF-1"); d == nil || !strings.Contains(d.Message, "logs the duct pressure and not the") || d.Severity != finding.Note {
		t.Errorf("a trend column of a points list: %+v", got)
	}
	if got := compare(crosscheck.Controls, "Tag,Point,Type,Trend\nSF-1,Duct static pressure,AI,\nSF-1,Speed command,AO,\n"); len(got) > 0 {
		t.Errorf("a column that marks nothing says nothing: %+v", got)
	}
}

// TestGraphics: every unlike system on a page, no page of what is not there.
func TestGraphics(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{}
	ours := list(t, lib, "TAG,TYPE,CFM,HP,VOLTS,PH,CONTROL,SERVICE,SYSTEM\nSF-1,SUPPLY FAN,9000,10,460,3,VFD,OFFICES,AHU-1\nTEF-1,EXHAUST FAN,300,1/4,120,1,STARTER,TOILETS,\nTEF-2,EXHAUST FAN,300,1/4,120,1,STARTER,TOILETS,\nGF-1,EXHAUST FAN,9000,10,460,3,VFD,GARAGE,\n")
	points := derive.Derive(lib, p, ours).Points
	compare := func(text string) []model.Difference {
		return crosscheck.Compare(lib, p, ours, points, []crosscheck.Document{document(t, lib, crosscheck.Graphics, "graphics.csv", text)})
	}
	if got := compare("No.,Graphic,Shows\n1,Air handler,AHU-1 supply fan SF-1\n2,Toilet exhaust,TEF-1 thru 2\n3,Parking garage exhaust,GF-1\n"); len(got) > 0 {
		t.Errorf("every system has a page: %+v", got)
	}
	got := compare("No.,Graphic,Shows\n1,Air handler,AHU-1\n2,Toilets,TEF-1\n3,Exhaust,EF-9 and CH-1 and TEF-7\n")
	must(t, got, "graphic-missing", "TEF-2", "TEF-2", "")
	must(t, got, "graphic-missing", "GF-1", "GF-1", "")
	must(t, got, "graphic-of-nothing", "TEF-7", "", "TEF-7")
	if find(got, "graphics-fewer", "graphics.csv") != nil || find(got, "graphic-missing", "SF-1") != nil {
		t.Errorf("%+v", got)
	}
	must(t, compare("Graphic\nToilet exhaust (typical)\n"), "graphics-fewer", "graphics.csv", "3", "1")
	must(t, compare("just words\n"), "nothing-to-compare", "graphics.csv", "", "")
}

// The new kinds of document are recognised, and named as project files name them.
func TestRolesOfNetworkTrendAndGraphicsLists(t *testing.T) {
	lib := loaded(t)
	for text, want := range map[string]string{
		"MAU-1 BACNET OBJECT LIST\nPoint Name,Object Type,Instance,Access,Units\nMode,MSV,1,R/W,\n": crosscheck.Objects,
		"TREND LIST\nTag,Point,Trend Interval\nSF-1,Speed,5 min\n":                                  crosscheck.Trends,
		"GRAPHICS LIST\nGraphic,Shows\nToilets,TEF-1\n":                                             crosscheck.Graphics,
		"POINTS LIST\nTag,Point Name,Type,Trend\nSF-1,Speed,AO,X\n":                                 crosscheck.Controls,
	} {
		if got := crosscheck.Recognise(lib, model.Input{File: "a.csv"}, sheets(t, "a.csv", text)); got != want {
			t.Errorf("%q is taken for %q, not %q", text, got, want)
		}
	}
	for word, want := range map[string]string{"electrical schedule": crosscheck.Electrical, "Controls point list": crosscheck.Controls, "trend list": crosscheck.Trends, "trends": crosscheck.Trends, "menu": ""} {
		if got := crosscheck.RoleNamed(word); got != want {
			t.Errorf("%q is %q, not %q", word, got, want)
		}
	}
}

// FuzzReadPages: any table ends in pages with a name and a place, or in none.
func FuzzReadPages(f *testing.F) {
	lib := loaded(f)
	f.Add([]byte("No.,Graphic,Shows\n1,Toilets,TEF-1 thru 9999\n,,\n"))
	f.Add([]byte("Graphic\nEF-1 & 2 THRU SF-4\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		read, err := intake.ReadDelimited("g.csv", data)
		if err != nil {
			return
		}
		for _, page := range crosscheck.ReadPages(lib, read, tags) {
			if page.Name == "" || page.Where == nil || len(page.Tags) > 100*len(data) {
				t.Fatalf("%+v", page)
			}
		}
		crosscheck.ReadFireMatrix(lib, read, tags)
	})
}
