package crosscheck_test

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/library"
)

// list reads CSV text as our list.
func list(t testing.TB, lib *library.Library, text string) []model.Equipment {
	t.Helper()
	return machines(t, lib, []model.Input{{File: "fans.csv"}}, sheets(t, "fans.csv", text))
}

// document reads CSV text as a document of a role.
func document(t testing.TB, lib *library.Library, role, file, text string) crosscheck.Document {
	t.Helper()
	d := crosscheck.Document{Input: model.Input{File: file}, Role: role}
	switch role {
	case crosscheck.Graphics:
		d.Pages = crosscheck.ReadPages(lib, sheets(t, file, text), tags)
	case crosscheck.Controls, crosscheck.Objects, crosscheck.Trends:
		d.Points, d.Counts, d.Equipment = crosscheck.ReadPoints(lib, sheets(t, file, text), tags)
	case crosscheck.Fire:
		d.Equipment = crosscheck.ReadFireMatrix(lib, sheets(t, file, text), tags)
	default:
		d.Equipment = machines(t, lib, []model.Input{d.Input}, sheets(t, file, text))
	}
	return d
}

func hard(tag, role, object string) model.Point {
	return model.Point{Key: tag + "/" + role, Equipment: tag, Role: role, ObjectType: object, Carried: model.Hardwired, Need: "required", Why: "asked"}
}

func find(list []model.Difference, code, subject string) *model.Difference {
	for i := range list {
		if list[i].Code == code && list[i].Subject == subject {
			return &list[i]
		}
	}
	return nil
}

// must fails unless the difference is there with both texts.
func must(t *testing.T, got []model.Difference, code, subject, ours, theirs string) *model.Difference {
	t.Helper()
	d := find(got, code, subject)
	if d == nil {
		t.Errorf("no %s of %s in %v", code, subject, got)
		return nil
	}
	if d.Ours != ours || d.Theirs != theirs {
		t.Errorf("%s of %s: %q against %q, want %q against %q", code, subject, d.Ours, d.Theirs, ours, theirs)
	}
	return d
}

func TestQuantities(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,HP,FAN RPM,MINIMUM SPEED,VOLT/PH/HZ\nEF-1,1000,1,1200,20 %,208/3/60\nEF-2,1000,1,1200,20 %,208/3/60\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Submittal, "s.csv", "TAG,CFM,HP,FAN RPM,MINIMUM SPEED,VOLT/PH/HZ\nEF 1,1049,0.95,1210,20 %,208/3/50\nEF 2,1060,1,1400,30 %,208/3/60\n")})
	must(t, got, "airflow-differs", "EF-2", "1000 cfm", "1060 cfm")
	must(t, got, "fan-speed-differs", "EF-2", "1200 rpm", "1400 rpm")
	must(t, got, "min-speed-differs", "EF-2", "20 %", "30 %")
	must(t, got, "frequency-differs", "EF-1", "60", "50")
	if d := find(got, "airflow-differs", "EF-1"); d != nil {
		t.Errorf("4.7 %% is within 5 %%: %v", d)
	}
	p := &model.Project{}
	tight := 0.01
	p.Settings.Compare.Airflow = &tight
	got = crosscheck.Compare(lib, p, ours, nil, []crosscheck.Document{document(t, lib, crosscheck.Submittal, "s.csv", "TAG,CFM\nEF 1,1049\n")})
	must(t, got, "airflow-differs", "EF-1", "1000 cfm", "1049 cfm")
}

func TestUnits(t *testing.T) {
	lib := loaded(t)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,CFM\nEF-1,1000\nEF-2,2000\n"), nil,
		[]crosscheck.Document{document(t, lib, crosscheck.Submittal, "s.csv", "TAG,AIRFLOW (L/S)\nEF-1,472\nEF-2,944\n")})
	d := must(t, got, "units-mixed", "EF-1", "cfm", "L/s")
	if len(got) != 1 || d.Severity != finding.Note {
		t.Errorf("one note for the document wanted: %v", got)
	}
}

func TestMakeAndPlace(t *testing.T) {
	lib := loaded(t)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,CFM,LOCATION,CONTROL\nEF-1,1000,ROOF,VFD\n(E) EF-2,500,RM 101,STARTER\nEF-3,700,2ND FLOOR MECH ROOM,STARTER\n"), nil,
		[]crosscheck.Document{document(t, lib, crosscheck.Mechanical, "m.csv", "TAG,CFM,LOCATION,CONTROL\nEF-1,1000,BASEMENT,VFD WITH BYPASS\nEF-2,500,Room 101,STARTER\nEF-3,700,MECHANICAL ROOM LEVEL 2,STARTER\n")})
	must(t, got, "location-differs", "EF-1", "ROOF", "BASEMENT")
	must(t, got, "bypass-differs", "EF-1", "variable frequency drive", "variable frequency drive bypass")
	must(t, got, "existing-differs", "EF-2", "existing", "base")
	if len(got) != 3 {
		t.Errorf("%d differences: %v", len(got), got)
	}
}

func TestOwners(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,REMARKS\nEF-1,100,DISCONNECT BY EC\nEF-2,100,DAMPER ACTUATOR BY MC\nEF-3,100,VFD BY OWNER\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Electrical, "e.csv", "TAG,HP,REMARKS\nEF-1,1,DISCONNECT SWITCH FURNISHED BY DIV 23\nEF-2,1,ACTUATOR BY CONTROLS CONTRACTOR\nEF-3,1,VFD PROVIDED BY OWNER\n")})
	must(t, got, "furnished-by-nobody", "EF-1", "electrical", "mechanical")
	must(t, got, "furnisher-differs", "EF-2", "mechanical", "controls")
	if d := find(got, "furnisher-differs", "EF-3"); d != nil {
		t.Errorf("both say the owner: %v", d)
	}
}

// TestLikelySide: physics or another document decides, and says why.
func TestLikelySide(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,TOTAL PRESSURE,HP,VOLT/PH/HZ,FLA\nEF-1,5000,1.5,2,208/3/60,7.5\nEF-2,5000,1.5,2,480/3/60,3.4\nEF-3,1000,0.5,3,208/3/60,10.6\n")
	docs := []crosscheck.Document{
		document(t, lib, crosscheck.Electrical, "e.csv", "TAG,HP,VOLTAGE,PHASE,FLA\nEF-1,2,460,3,7.5\nEF-2,2,460,1,\nEF-3,3,208,3,18.7\n"),
		document(t, lib, crosscheck.Submittal, "s.csv", "TAG,CFM,TOTAL PRESSURE,HP\nEF-1,12000,1.5,2\nEF-2,4000,1.5,2\nEF-3,1000,0.5,3\n"),
		document(t, lib, crosscheck.Mechanical, "m.csv", "TAG,CFM,VOLTAGE\nEF-2,4000,480\n"),
	}
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, docs)
	for _, c := range []struct{ code, subject, likely string }{
		{"airflow-differs", "EF-1", "the equipment list: with the other figure 12000 cfm x 1.5 in.wc / 6356 / 2 hp = 1.42, which no fan has"},
		{"airflow-differs", "EF-2", "s.csv (submittal): m.csv (mechanical) says 4000 cfm too"},
		{"voltage-differs", "EF-1", "the equipment list: 7.5 A fits NEC table 430.250 for 2 hp, 208 V, 3 phase"},
		{"current-differs", "EF-3", "the equipment list: 10.6 A by NEC table 430.250 for 3 hp, 208 V, 3 phase"},
	} {
		d := find(got, c.code, c.subject)
		if d == nil {
			t.Errorf("no %s of %s", c.code, c.subject)
			continue
		}
		if d.Likely != c.likely {
			t.Errorf("%s of %s: likely %q, want %q", c.code, c.subject, d.Likely, c.likely)
		}
		if d.Ask == "" || d.Where == nil || d.Other == nil {
			t.Errorf("%s of %s lacks question or places: %+v", c.code, c.subject, d)
		}
	}
	if d := find(got, "phase-differs", "EF-2"); d == nil || d.Where.Cell == "" || d.Other.Cell == "" {
		t.Errorf("phase-differs with both cells wanted: %+v", d)
	}
}

// TestThirdDocumentDecides words as well as figures.
func TestThirdDocumentDecides(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,CONTROL,DAMPER,EMERGENCY POWER,DRIVE\nEF-1,100,VFD,MOTORIZED,YES,BELT\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Electrical, "e.csv", "TAG,HP,CONTROL,EMERGENCY\nEF-1,1,STARTER,NO\n"),
		document(t, lib, crosscheck.Submittal, "s.csv", "TAG,CFM,DAMPER,DRIVE,CONTROL,EMERGENCY\nEF-1,100,GRAVITY,DIRECT,VFD,NO\n"),
		document(t, lib, crosscheck.Mechanical, "m.csv", "TAG,CFM,DAMPER\nEF-1,100,GRAVITY\n")})
	for code, likely := range map[string]string{
		"control-differs":   "the equipment list: s.csv (submittal) says variable frequency drive too",
		"emergency-differs": "e.csv (electrical): s.csv (submittal) says normal too",
		"damper-differs":    "s.csv (submittal): m.csv (mechanical) says gravity too",
		"drive-differs":     "",
	} {
		if d := find(got, code, "EF-1"); d == nil || d.Likely != likely {
			t.Errorf("%s: %+v, want likely %q", code, d, likely)
		}
	}
}

func TestVoltagesOfOneSystemAgree(t *testing.T) {
	lib := loaded(t)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,VOLTAGE,PHASE\nEF-1,480,3\nEF-2,120,1\nEF-3,208,3\nEF-4,208-230,3\n"), nil,
		[]crosscheck.Document{document(t, lib, crosscheck.Electrical, "e.csv", "TAG,VOLTAGE,PHASE\nEF-1,460,3\nEF-2,115,1\nEF-3,200,3\nEF-4,208,3\n")})
	if len(got) != 0 {
		t.Errorf("nameplate and system volts are one: %v", got)
	}
}

func TestPanels(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{Panels: []model.Panel{{ID: "P-1", Location: "Garage level P1", Rating: "indoor", Serves: []string{"EF-1"}}, {ID: "P-2", Location: "Room 5", Rating: "indoor", Serves: []string{"EF-2"}, Emergency: true}}}
	ours := list(t, lib, "TAG,CFM,EMERGENCY POWER\nEF-1,100,YES\nEF-2,100,YES\n")
	got := crosscheck.Compare(lib, p, ours, nil, nil)
	must(t, got, "emergency-panel", "EF-1", "EF-1 emergency", "P-1 normal")
	must(t, got, "panel-rating", "P-1", "indoor", "Garage level P1")
	if find(got, "emergency-panel", "EF-2") != nil || find(got, "panel-rating", "P-2") != nil {
		t.Errorf("P-2 is where and what it must be: %v", got)
	}
}

// TestPanelOnNormalPower: the electrical schedule lists our panel.
func TestPanelOnNormalPower(t *testing.T) {
	lib := loaded(t)
	p := &model.Project{Panels: []model.Panel{{ID: "CP-1", Emergency: true, Serves: []string{"EF-1", "EF-2"}}}}
	got := crosscheck.Compare(lib, p, list(t, lib, "TAG,CFM,EMERGENCY POWER\nEF-1,100,YES\nEF-2,100,NO\n"), nil, []crosscheck.Document{
		document(t, lib, crosscheck.Electrical, "e.csv", "TAG,DESCRIPTION,VOLTAGE,EMERGENCY\nEF-1,FAN,120,YES\nEF-2,FAN,120,NO\nCP 1,CONTROL PANEL,120,NO\n")})
	must(t, got, "emergency-panel", "EF-1", "EF-1 emergency", "CP-1 normal")
	if len(got) != 1 {
		t.Errorf("%v", got)
	}
}

// TestAddendumIsLikelyRight: what an addendum revised is later than the other
// trade's document.
func TestAddendumIsLikelyRight(t *testing.T) {
	lib := loaded(t)
	inputs := []model.Input{{File: "fans.csv"}, {File: "add.csv", Role: "addendum"}}
	all := append(sheets(t, "fans.csv", "TAG,CFM\nEF-1,100\nEF-2,100\n"), sheets(t, "add.csv", "TAG,CFM\nEF-1,150\n")...)
	ours := machines(t, lib, inputs, all)
	got := crosscheck.Compare(lib, &model.Project{Inputs: inputs}, ours, nil, []crosscheck.Document{document(t, lib, crosscheck.Submittal, "s.csv", "TAG,CFM\nEF-1,100\nEF-2,150\n")})
	if d := must(t, got, "airflow-differs", "EF-1", "150 cfm", "100 cfm"); d != nil && !strings.Contains(d.Likely, "add.csv revised it") {
		t.Errorf("likely %q", d.Likely)
	}
	if d := must(t, got, "airflow-differs", "EF-2", "100 cfm", "150 cfm"); d != nil && d.Likely != "" {
		t.Errorf("nothing decides EF-2: %q", d.Likely)
	}
}

func TestRestart(t *testing.T) {
	lib := loaded(t)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,CFM,EMERGENCY POWER\nEF-1,100,YES\nEF-2,100,YES\nEF-3,100,NO\n"), nil, nil)
	if d := must(t, got, "restart-asked", "EF-1", "EF-1, EF-2", ""); d != nil && (d.Severity != finding.Note || !strings.Contains(d.Ask, "EF-2")) {
		t.Errorf("%+v", d)
	}
}

func TestStatusTrip(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,FLA\nEF-1,100,0.3\nEF-2,100,2\n")
	for i := range ours {
		ours[i].StatusDevice = "current-switch-solid"
	}
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, nil)
	must(t, got, "status-trip", "EF-1", "0.3 A", "0.25 A")
	if find(got, "status-trip", "EF-2") != nil {
		t.Error("2 A trips a switch of 0.25 A")
	}
}

func TestTagsAreMatched(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,SERVICE\nEF-1,100,STORE\nEF-12,4400,ATRIUM NORTH\nTEF-3,650,TOILETS LEVEL 3\nEF-9,100,BOILER ROOM\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Mechanical, "m.csv", "TAG,CFM,SERVICE\nef 01,100,STORE\nEF-21,4400,ATRIUM NORTH\nTX-3,650,TOILETS LEVEL 3\nEF-8,100,SERVER ROOM\n")})
	if d := must(t, got, "tag-alike", "EF-12", "EF-12", "EF-21"); d != nil && !strings.Contains(d.Message, "likeness 0.") {
		t.Errorf("the likeness is not shown: %s", d.Message)
	}
	must(t, got, "tag-alike", "TEF-3", "TEF-3", "TX-3")
	must(t, got, "only-here", "EF-9", "EF-9", "")
	must(t, got, "only-there", "EF-8", "", "EF-8")
	if len(got) != 4 {
		t.Errorf("%d differences, want 4: %v", len(got), got)
	}
}

// TestEmptyDocumentIsTold: a document without a machine is no agreement.
func TestEmptyDocumentIsTold(t *testing.T) {
	lib := loaded(t)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,CFM\nEF-1,100\n"), nil, []crosscheck.Document{{Input: model.Input{File: "x.xlsx"}, Role: crosscheck.COBie}})
	if d := find(got, "nothing-to-compare", "x.xlsx"); d == nil || d.Severity != finding.Caution || len(got) != 1 {
		t.Errorf("%v", got)
	}
}

// TestDamperSchedule: dampers have tags of their own and name the fan they serve.
func TestDamperSchedule(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM,DAMPER,DAMPER VOLTAGE,END SWITCH,FAIL POSITION,STROKE TIME (S)\nEF-1,800,MOTORIZED,24 V,YES,CLOSED,60\nEF-2,800,MOTORIZED,24 V,YES,CLOSED,60\nEF-3,800,MOTORIZED,24 V,YES,CLOSED,60\nEF-4,200,GRAVITY,,,,\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Dampers, "d.csv", "DAMPER SCHEDULE\nTAG,SERVES,DAMPER TYPE,DAMPER VOLTAGE,END SWITCH,FAIL POSITION,STROKE TIME (S)\nMD-1,EF-01,MOTORIZED,24 V,YES,OPEN,60\nMD-2,EF-2 DISCHARGE,MOTORIZED,120 V,NO,CLOSED,90\n")})
	must(t, got, "damper-fail-differs", "EF-1", "closed", "open")
	must(t, got, "damper-voltage-differs", "EF-2", "24 V", "120 V")
	must(t, got, "end-switch-differs", "EF-2", "yes", "no")
	must(t, got, "damper-stroke-differs", "EF-2", "60 s", "90 s")
	must(t, got, "only-here", "EF-3", "EF-3", "")
	if len(got) != 5 {
		t.Errorf("%d differences, want 5: %v", len(got), got)
	}
}

// The motor's nameplate stands in one list and the system in another.
func TestNameplateOfOneListSystemOfAnother(t *testing.T) {
	lib := loaded(t)
	for _, c := range []struct{ plate, system, code string }{
		{"460/3/60", "480/3/60", ""}, {"230/3/60", "240/3/60", ""}, {"200/3/60", "208/3/60", ""}, {"115/1/60", "120/1/60", ""}, {"208-230/3/60", "208/3/60", ""}, {"480/3/60", "460/3/60", ""}, {"575/3/60", "600/3/60", ""},
		{"208-230/460/3/60", "480/3/60", ""}, {"400/3/50", "400/3/50", ""}, {"277/1/60", "277/1/60", ""}, {"480/3/60", "480Y/277V 3PH 4W", ""}, {"230/3/60", "208Y/120V 3PH 4W", "voltage-differs"},
		{"440/3/60", "480/3/60", "nameplate-voltage"}, {"220/3/60", "240/3/60", "nameplate-voltage"}, {"110/1/60", "120/1/60", "nameplate-voltage"}, {"380/3/50", "415/3/50", "nameplate-voltage"}, {"550/3/60", "600/3/60", "nameplate-voltage"},
		{"230/3/60", "208/3/60", "voltage-differs"}, {"460/3/60", "208/3/60", "voltage-differs"},
	} {
		ours := list(t, lib, "TAG|CFM|HP|VOLTS/PH/HZ\nEF-1|900|2|"+c.plate+"\n")
		got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{document(t, lib, crosscheck.Electrical, "e.csv", "TAG|HP|VOLTS/PH/HZ\nEF-1|2|"+c.system+"\n")})
		codes := ""
		for _, d := range got {
			if d.Severity != finding.Note {
				codes += d.Code
			}
		}
		if codes != c.code {
			t.Errorf("%s on %s: %q, not %q: %+v", c.plate, c.system, codes, c.code, got)
		}
	}
	ours := list(t, lib, "TAG|CFM|HP|VOLTS/PH/HZ\nEF-1|900|2|230/3/60\n")
	electrical := document(t, lib, crosscheck.Electrical, "e.csv", "TAG|HP|VOLTS/PH/HZ\nEF-1|2|208/3/60\n")
	d := find(crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{electrical}), "voltage-differs", "EF-1")
	if d == nil || !strings.Contains(d.Message, "a 230 V motor runs from 207 to 253 V; a 208 V system gives 187 to 218 V") {
		t.Errorf("%+v", d)
	}
	// The submittal states the nameplate, the schedule the system.
	ours = list(t, lib, "TAG|CFM|HP|VOLTS/PH/HZ\nEF-1|900|2|480/3/60\n")
	submittal := document(t, lib, crosscheck.Submittal, "s.csv", "TAG|HP|VOLTS/PH/HZ\nEF-1|2|440/3/60\n")
	must(t, crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{submittal}), "nameplate-voltage", "EF-1", "480 V", "440 V")
}

// One row of the other trade for several machines of ours is told once, not as
// machines missing on both sides.
func TestOneRowForSeveralMachines(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,FAN,CFM,HP,VOLTS,PH\nAHU-1,SUPPLY,9000,10,460,3\n,RETURN,8000,5,460,3\nEF-1,EXHAUST,300,1/4,120,1\nEF-2,EXHAUST,300,1/4,120,1\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{document(t, lib, crosscheck.Electrical, "e.csv", "TAG,HP,VOLTS,PH\nAHU-1,15,460,3\nEF-1-2,1/2,120,1\n")})
	must(t, got, "tag-alike", "AHU-1-SF", "AHU-1-SF, AHU-1-RF", "AHU-1")
	must(t, got, "tag-alike", "EF-1", "EF-1, EF-2", "EF-1-2")
	for _, d := range got {
		if d.Code != "tag-alike" && d.Severity != finding.Note {
			t.Errorf("%+v", d)
		}
	}
}
