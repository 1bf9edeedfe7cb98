package intake

import (
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

func TestCodePage1252(t *testing.T) {
	sheets, err := ReadDelimited("a.csv", []byte("TAG,SERVICE\nEF-1,\x93A\x94 \x96 \x80 \xB2\n"))
	if err != nil {
		t.Fatal(err)
	}
	if s := sheets[0].Rows[1].Cells[1].Text; s != "“A” – € ²" {
		t.Errorf("%q", s)
	}
}

func TestInterlocks(t *testing.T) {
	got := read(t, project(t, "fans.csv", `TAG,SERVICE,CFM,INTERLOCK,REMARKS
EF-1,STORE,100,"EF-2, EF-1",
EF-2,STORE,100,,"INTERLOCK WITH MAU-7. SEE EF-3."
EF-3,STORE,100,,"STARTS WITH EF-01 THRU 2; FEEDS EF-9"
EF-4,STORE,100,,DO NOT INTERLOCK WITH EF-1
EF-5,STORE,100,,"INTERLOCK WITH NOTE 3, LEVEL 2"
`))
	for tag, want := range map[string][]string{"EF-1": {"EF-2"}, "EF-2": {"MAU-7"}, "EF-3": {"EF-1", "EF-2"}, "EF-4": nil, "EF-5": nil} {
		if e := got.tag(t, tag); !slices.Equal(e.Interlocks, want) {
			t.Errorf("%s: %v, not %v", tag, e.Interlocks, want)
		}
	}
	if f := got.find("unlisted-interlock", "EF-2"); f == nil || f.Where.Cell != "E3" {
		t.Errorf("%+v", f)
	}
}

func TestQuantities(t *testing.T) {
	got := read(t, project(t, "fans.csv", `TAG,QTY,SERVICE,CFM
EF-1,3,STORE,100
EF-2 thru 3,2,STORE,100
EF-4 thru 5,7,STORE,100
EF-6,PER PLANS,STORE,100
EF-7,two and a half,STORE,100
EF-8,1,STORE,100
EF-12 thru 9,,STORE,100
,,STORE,100
`))
	if s := got.tags(); s != "EF-1-1 EF-1-2 EF-1-3 EF-2 EF-3 EF-4 EF-5 EF-6 EF-7 EF-8 ROW-8 ROW-9" {
		t.Fatal(s)
	}
	for code, subject := range map[string]string{"quantity-mismatch": "EF-4", "unstated-value": "EF-6", "row-without-tag": "ROW-9"} {
		if got.find(code, subject) == nil {
			t.Errorf("%s of %s is missing: %v", code, subject, got.findings)
		}
	}
	if f := got.find("unreadable-value", "EF-7"); f == nil || f.Where.Cell != "B6" || f.Severity != finding.Fault {
		t.Errorf("%+v", f)
	}
	if e := got.tag(t, "ROW-8"); !e.Unresolved || e.Ratings.Airflow == nil {
		t.Errorf("a backward range: %+v", e)
	}
}

func TestLaterListSpeaksOfAllMachinesOfATag(t *testing.T) {
	p := project(t, "fans.csv", "TAG,QTY,SERVICE,CFM\nEF-7,2,STORE,100\nEF-8,2,SHOP,100\n", "add.csv", "TAG,CFM,ACTION\nEF-7,150,\nEF-8,,DELETE\n")
	p.Overrides = []model.EquipmentOverride{{Tag: "EF-7", Values: map[string]model.Text{"hp": {Text: "1/4"}}}}
	got := read(t, p)
	if s := got.tags(); s != "EF-7-1 EF-7-2" {
		t.Fatal(s)
	}
	if e := got.tag(t, "EF-7-2"); e.Ratings.Airflow.Value.Lo != 150 || e.Ratings.Power == nil {
		t.Errorf("%+v", e.Ratings)
	}
}

func TestUntaggedRowsOfTwoSheets(t *testing.T) {
	got := read(t, &model.Project{Sheets: []model.Sheet{tableSheet("fans.xlsx", "A", "TAG|SERVICE|CFM", "EF-1|STORE|100", "|STORE|200"), tableSheet("fans.xlsx", "B", "TAG|SERVICE|CFM", "EF-2|STORE|100", "|SHOP|200")}})
	if s := got.tags(); s != "EF-1 ROW-3 EF-2 ROW-3 (2)" || got.find("duplicate-tag", "ROW-3") != nil {
		t.Errorf("%s %v", s, got.findings)
	}
}

func TestAddendumSheetOfTheSameWorkbook(t *testing.T) {
	got := read(t, &model.Project{Sheets: []model.Sheet{
		tableSheet("fans.xlsx", "M-601", "TAG|SERVICE|CFM", "EF-1|STORE|100", "EF-2|STORE|200"),
		tableSheet("fans.xlsx", "M-602", "TAG|SERVICE|CFM", "EF-1|SHOP|150"),
		tableSheet("fans.xlsx", "Addendum 2", "TAG|CFM", "EF-2|250"),
	}})
	if got.find("duplicate-tag", "EF-1") == nil {
		t.Error("two sheets of one issue with one tag are no duplicate")
	}
	if e := got.tag(t, "EF-2"); e.Ratings.Airflow.Value.Lo != 250 || got.find("revised", "EF-2") == nil {
		t.Errorf("the addendum does not revise: %+v", e.Ratings.Airflow)
	}
}

func TestDefaultsOfTheProject(t *testing.T) {
	p := project(t, "fans.csv", "TAG,SERVICE,CFM\nXQ-1,PLACE,100\nEF-2,STORE,100\n")
	p.Settings.Defaults = model.DefaultSettings{Kind: "general-exhaust-fan", Control: "relay", Service: "277/1/60", DamperVolts: model.Span(24, 24)}
	p.Settings.Fire.DefaultResponse = "stop"
	got := read(t, p)
	e := got.tag(t, "XQ-1")
	if e.Kind != "general-exhaust-fan" || e.Control != "relay" || e.Ratings.Service.Volts[0].Lo != 277 || e.FireResponse != "stop" {
		t.Errorf("%+v %+v", e, e.Ratings.Service)
	}
	for _, words := range []string{"taken as general-exhaust-fan", "controlled through relay", "service 277/1/60", "fire response: stop"} {
		if !got.says("assumed", "XQ-1", words) {
			t.Errorf("%q is not told", words)
		}
	}
}

func TestSpeedAndControlFromWords(t *testing.T) {
	for row, want := range map[string]string{
		"EF-1|general exhaust|||0-10 V FROM BAS":                  "exhaust-variable fan-interface-box",
		"EF-1|general exhaust|460/3/60|VFD|":                      "exhaust-variable variable-frequency-drive",
		"EF-1|general exhaust|460/3/60|VFD W/ BYPASS|":            "exhaust-variable variable-frequency-drive-bypass",
		"EF-1|general exhaust|460/3/60|MAG STARTER|":              "exhaust-constant starter",
		"EF-1|general exhaust|460/3/60||NO VFD":                   "exhaust-constant starter",
		"EF-1|general exhaust|120/1/60||ECM, BALANCING DIAL ONLY": "exhaust-constant fan-interface-box",
		"EF-1|general exhaust|120/1/60||EC MOTOR":                 "exhaust-constant fan-interface-box",
		"EF-1|general exhaust|120/1/60||EC MOTOR, VARIABLE SPEED": "exhaust-variable fan-interface-box",
		"TEF-1|toilet exhaust|120/1/60||EC MOTOR":                 "toilet-exhaust fan-interface-box",
		"SF-1|supply fan|277/1/60||EC MOTOR":                      "supply-variable fan-interface-box",
		"SF-1|supply fan|400/3/50|frequency converter|":           "supply-variable variable-frequency-drive",
		"EF-1|general exhaust|120/1/60|LINE VOLTAGE TSTAT|":       "exhaust-constant none",
		"EF-1|exhaust|460/3/60|variable-frequency-drive-bypass|":  "exhaust-variable variable-frequency-drive-bypass",
		"SF-1|supply fan|460/3/60|VFD|":                           "supply-variable variable-frequency-drive",
		"SPF-1|stair pressurization|460/3/60|VFD|":                "stair-pressurization fire-panel",
		"MAU-1|make-up air|460/3/60||":                            "make-up-air packaged",
		"EF-1|general exhaust|120/1/60|WALL SWITCH|":              "exhaust-constant none",
	} {
		got := read(t, project(t, "fans.csv", "TAG|TYPE|V/PH/HZ|CONTROL|REMARKS\n"+row+"\n"))
		e := got.list[0]
		if have := strings.TrimSpace(e.Scheme + " " + e.Control); have != want {
			t.Errorf("%s: %s, not %s", row, have, want)
		}
	}
}

// TestDuties: what a row is among its fellows; standby power is not standby.
func TestDuties(t *testing.T) {
	for row, want := range map[string]string{
		"EF-1|TOILETS||standby fan for EF-2":                              "standby",
		"EF-1|TOILETS||duty fan":                                          "duty",
		"EF-1|TOILETS||lead/lag with EF-2, alternate weekly":              "lead-lag",
		"EF-1|TOILETS||duty/standby":                                      "alternating",
		"EF-1|TOILETS||lag fan":                                           "lag",
		"EF-1|TOILETS||on standby power":                                  "",
		"EF-1|TOILETS||served by standby generator":                       "",
		"EF-1|TOILETS||heavy duty fan":                                    "",
		"EF-1|TOILETS||add alternate 1":                                   "",
		"EF-1|TOILETS||premium efficiency, leads to roof, duty 0.5 in wc": "",
	} {
		cells := strings.Split(row, "|")
		got := read(t, project(t, "fans.csv", "TAG,SERVICE,TYPE,REMARKS\n"+cells[0]+","+cells[1]+","+cells[2]+",\""+cells[3]+"\"\n"))
		if e := got.tag(t, "EF-1"); e.Duty != want {
			t.Errorf("%s: %q, want %q", row, e.Duty, want)
		}
	}
	got := read(t, project(t, "fans.csv", "TAG,SERVICE,DUTY/STANDBY\nEF-1,TOILETS,DUTY\nEF-2,TOILETS,STAND-BY\n"))
	if got.tag(t, "EF-1").Duty != "duty" || got.tag(t, "EF-2").Duty != "standby" {
		t.Errorf("by column: %q, %q", got.tag(t, "EF-1").Duty, got.tag(t, "EF-2").Duty)
	}
}

func TestKindsByWhatTheyDo(t *testing.T) {
	for row, want := range map[string]string{
		"EF-1|TOILETS||make-up by transfer air":                 "toilet-exhaust-fan",
		"EF-1|STORAGE||birdscreen and hood":                     "general-exhaust-fan",
		"EF-1|STORAGE||starter by EC, barometric relief damper": "general-exhaust-fan",
		"EF-1|HOOD 3||":                              "kitchen-exhaust-fan",
		"EF-1|LAB FUME HOODS||":                      "lab-exhaust-fan",
		"SF-1|STAIR #1 PRESS.||":                     "stair-pressurization-fan",
		"EF-1|STAIR 2||":                             "", // exhaust of a stair or its pressurization: ask
		"EF-1|ELEV. MACHINE ROOM||":                  "elevator-machine-room-fan",
		"EF-1|POOL CHEMICAL STORAGE||":               "chemical-store-exhaust-fan",
		"EF-1|NATATORIUM||":                          "natatorium-exhaust-fan",
		"EF-1|AII ROOM 301||":                        "isolation-exhaust-fan",
		"EF-1|CLOTHES DRYERS||":                      "dryer-exhaust-fan",
		"EF-1|GENERATOR ROOM||":                      "generator-room-fan",
		"HPF-1|ELEVATOR HOISTWAY PRESSURIZATION||":   "hoistway-pressurization-fan",
		"SEF-1|ATRIUM||":                             "smoke-exhaust-fan",
		"RF-1|AHU-1||":                               "return-fan",
		"RF-1|AHU-1 RELIEF||":                        "relief-fan",
		"TF-1|DATA CLOSET||":                         "transfer-fan",
		"HVLS-1|WAREHOUSE||":                         "high-volume-fan",
		"DF-1|ATRIUM|destratification fan|":          "destratification-fan",
		"ERV-1|OFFICES||":                            "energy-recovery-unit",
		"FCU-1|OFFICE||":                             "fan-coil-unit",
		"FPB-1|OFFICE|series fan powered|":           "series-terminal",
		"FPB-1|OFFICE|parallel fan powered|":         "parallel-terminal",
		"FC-1|LOBBY|fan convector|":                  "fan-convector",
		"GF-1|P1||(4) CO/NO2 SENSORS, MIN SPEED 25%": "garage-exhaust-fan",
	} {
		got := read(t, project(t, "list.csv", "TAG|SERVES|TYPE|REMARKS\n"+row+"\n"))
		e := got.list[0]
		if e.Kind != want || e.OutOfScope != "" || want == "" && got.find("unknown-kind", e.Tag) == nil {
			t.Errorf("%s: %q, not %q; %s %+v", row, e.Kind, want, e.OutOfScope, e.Evidence)
		}
		if e.Kind == "garage-exhaust-fan" && (e.Sensors != 4 || e.Ratings.MinSpeed == nil || e.Ratings.MinSpeed.Value.Lo != 25) {
			t.Errorf("sensors %d, lowest speed %+v", e.Sensors, e.Ratings.MinSpeed)
		}
	}
}

func TestOutOfScope(t *testing.T) {
	for row, want := range map[string]bool{
		"SF-1|MECH|SHOT FEEDER": true, "AC-1|SHOP|AIR COMPRESSOR": true, "P-1|CHW|INLINE PUMP": true, "UH-1|DOCK|UNIT HEATER": true, "GRE-1|ROOF|GRAVITY VENTILATOR": true, "VAV-1|OFFICE|": true,
		"EF-1|PUMP ROOM|EXHAUST FAN": false, "EF-2|BOILER ROOM|": false, "EF-3|COMPRESSOR ROOM|INLINE": false, "SA-1|WATER|SHOCK ARRESTOR": true, "AHU-1|OFFICES|AIR HANDLING UNIT": true, "SF-2|AHU-1|SUPPLY FAN OF AHU-1": false,
	} {
		e := read(t, project(t, "list.csv", "TAG|SERVES|TYPE\n"+row+"\n")).list[0]
		if (e.OutOfScope != "") != want {
			t.Errorf("%s: out of scope %q", row, e.OutOfScope)
		}
	}
}

func TestHiddenRowsAndSheets(t *testing.T) {
	sheet := tableSheet("fans.xlsx", "A", "TAG|CFM", "EF-1|100", "EF-2|200")
	sheet.Rows[2].Hidden = true
	other := tableSheet("fans.xlsx", "B", "TAG|CFM", "EF-3|100")
	other.Hidden = true
	got := read(t, &model.Project{Sheets: []model.Sheet{sheet, other}})
	if s := got.tags(); s != "EF-1 EF-2" || got.find("hidden-row", "fans.xlsx, A!A3") == nil || got.find("hidden-sheet", "fans.xlsx B") == nil {
		t.Errorf("%s %v", s, got.findings)
	}
}

func TestEveryFileMustHoldATable(t *testing.T) {
	p := project(t, "fans.csv", "TAG,CFM\nEF-1,100\n", "addendum.csv", "SERVICE,CFM\nSTORE,200\n")
	_, _, err := Read(testLibrary(t), p)
	if err == nil || !strings.Contains(err.Error(), "addendum.csv") {
		t.Errorf("a list without tags is passed over: %v", err)
	}
}

// TestUnknownType: a type of which no word is known is told with its cell and
// with what was taken instead; how a fan is built is no such word.
func TestUnknownType(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,TYPE,CFM\nEF-1,upblast centrifugal,300\nEF-2,flux capacitor,300\nEF-3,CRE-100,300\n"))
	if !got.says("unknown-kind", "EF-2", "general exhaust") {
		t.Errorf("the unknown type is not told: %+v", got.findings)
	}
	if f := got.find("unknown-kind", "EF-2"); f != nil && (f.Where == nil || f.Where.Cell != "B3" || !strings.Contains(f.Message, "flux capacitor")) {
		t.Errorf("told without its cell: %+v", f)
	}
	for _, tag := range []string{"EF-1", "EF-3"} {
		if got.find("unknown-kind", tag) != nil {
			t.Errorf("%s: construction or a model is taken for a kind", tag)
		}
	}
}

// TestFireWordsThatForbid: a remark that forbids the fire stop is no fire stop.
func TestFireWordsThatForbid(t *testing.T) {
	for remark, want := range map[string]string{"do not stop on fire alarm": "continue", "stop on fire alarm": "stop", "Fire alarm shutdown": "stop", "shall not shut down on fire alarm": "continue"} {
		if e := read(t, project(t, "fans.csv", "TAG,TYPE,CFM,REMARKS\nLEF-1,lab exhaust,3000,"+remark+"\n")).tag(t, "LEF-1"); e.FireResponse != want {
			t.Errorf("%q is read as %q, not %q", remark, e.FireResponse, want)
		}
	}
}

func TestTagMergedOverTwoRows(t *testing.T) {
	sheet := tableSheet("units.xlsx", "A", "TAG|TYPE|CFM|HP", "ERV-1|energy recovery|2000|2", "|exhaust side|1900|1-1/2", "EF-1|exhaust|100|1/8")
	sheet.Merged = []string{"A2:A3"}
	got := read(t, &model.Project{Sheets: []model.Sheet{sheet}})
	e := got.tag(t, "ERV-1")
	if s := got.tags(); s != "ERV-1 EF-1" || e.Ratings.Airflow.Value.Lo != 2000 || e.Fields["CFM (second line)"].Text != "1900" || got.find("second-line", "ERV-1") == nil {
		t.Errorf("%s %+v", s, e.Fields)
	}
}

func TestAnswersAndLooseNotes(t *testing.T) {
	got := read(t, project(t, "fans.csv", `TAG,SERVES,CFM,HP,VFD (Y/N),EM POWER,NOTES
EF-1,TOILET,500,1/4,N,Y,1
EF-2,CORRIDOR,500,FIVE,MAYBE,TBD,"1, 2"
EF-3,CORRIDOR,500,5,BY DIV 26,EM,-
NOTE 1: FIRE ALARM SHUTDOWN.
NOTE 2: VERIFY VOLTAGE.
`))
	e := got.tag(t, "EF-1")
	if len(e.Notes) != 1 || e.FireResponse != "stop" || e.Emergency == nil || !*e.Emergency || !got.says("assumed", "EF-1", `vfd says "no"`) {
		t.Errorf("%+v", e)
	}
	if e := got.tag(t, "EF-2"); len(e.Notes) != 2 || !e.Unresolved {
		t.Errorf("%+v", e)
	}
	for cell, code := range map[string]string{"D3": "unreadable-value", "E3": "unreadable-value", "F3": "unstated-value"} {
		if !slices.ContainsFunc(got.findings, func(f finding.Finding) bool { return f.Code == code && f.Where != nil && f.Where.Cell == cell }) {
			t.Errorf("%s is not told as %s: %v", cell, code, got.findings)
		}
	}
	if e := got.tag(t, "EF-3"); e.Control != "variable-frequency-drive" || e.Unresolved {
		t.Errorf("%+v", e)
	}
}

// TestHeadingsOfOtherCountries: shortened headings, and a supply column that
// holds electrical services.
func TestHeadingsOfOtherCountries(t *testing.T) {
	got := read(t, project(t, "fans.csv", "Tag;Description;Air volume (m3/h);Supply;RMKS\nEF01;General extract fan;2500;230/1/50;roof\n"))
	e := got.tag(t, "EF01")
	if s := e.Ratings.Service; s == nil || len(s.Volts) != 1 || s.Volts[0].Lo != 230 || s.Phases != 1 {
		t.Errorf("the supply is not read: %+v", s)
	}
	got = read(t, project(t, "fans.csv", "EQUIP. MARK,TOT. STATIC (Pa),ELEC CHAR\nEF-1,125,208/1/60\n"))
	e = got.tag(t, "EF-1")
	if e.Ratings.Service == nil || e.Ratings.Pressure == nil {
		t.Errorf("shortened headings are not read: %+v", e.Ratings)
	}
}

// TestUnknownColumnThatSpeaksOfControl: a heading nobody foresaw must not hide
// the drives of a whole schedule behind a quiet note.
func TestUnknownColumnThatSpeaksOfControl(t *testing.T) {
	for heading, want := range map[string]finding.Severity{"MEANS OF IT": finding.Caution, "STARTER / DRIVE": ""} {
		got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM,HP,VOLTS/PH/HZ,"+heading+"\nRF-1,AHU-1,18500,15,460/3/60,VFD BY DIV 26\nEF-1,TOILETS,900,1/4,115/1/60,ECM W/ 0-10V\n"))
		var told finding.Severity
		for _, f := range got.findings {
			if f.Code == "unknown-heading" {
				told = f.Severity
				if !strings.Contains(f.Message, "VFD BY DIV 26") {
					t.Errorf("%s: %s", heading, f.Message)
				}
			}
		}
		if told != want {
			t.Errorf("%s: severity %q, want %q", heading, told, want)
		}
		if want != "" {
			continue
		}
		for _, e := range got.list {
			if e.Tag == "EF-1" && (e.Ratings.MotorType != "ec" || e.Scheme != "exhaust-variable") {
				t.Errorf("EF-1 is %s, %s", e.Ratings.MotorType, e.Scheme)
			}
		}
	}
	quiet := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM,FINISH\nEF-1,TOILETS,900,GREY ENAMEL\n"))
	for _, f := range quiet.findings {
		if f.Code == "unknown-heading" && f.Severity != finding.Note {
			t.Errorf("a column that says nothing of control is a %s: %s", f.Severity, f.Message)
		}
	}
}

// A name in a note stands for whatever the list has under it: all machines of
// a quantity, a range of them, a tag of any form.
func TestInterlocksWithQuantitiesAndOddTags(t *testing.T) {
	got := read(t, project(t, "fans.csv", `TAG,QTY,SERVICE,CFM,REMARKS
EF-1,3,GARAGE,100,
MAU-1,1,GARAGE MAKE-UP,300,INTERLOCK WITH EF-1
MAU-2,1,GARAGE MAKE-UP,300,INTERLOCK WITH EF-1 THRU EF-3
MAU-3,1,GARAGE MAKE-UP,300,INTERLOCK WITH EF-1 THRU EF-4
EF-B1-2,1,STORE,100,INTERLOCKED WITH EF-1-2
EF-7,1,STORE,100,INTERLOCKED WITH EF-B1-2 AND EF-8
EF-8,1,STORE,100,INTERLOCKED WITH EF-7-9
EF-9,1,STORE,100,INTERLOCKED WITH EF-7-8 AND EF-70
AHU-1,1,OFFICES,9000,
EF-10,1,STORE,100,INTERLOCK WITH AHU-1
`))
	for tag, want := range map[string]string{"MAU-1": "EF-1-1 EF-1-2 EF-1-3", "MAU-2": "EF-1-1 EF-1-2 EF-1-3", "MAU-3": "EF-1-1 EF-1-2 EF-1-3 EF-2 EF-3 EF-4",
		"EF-B1-2": "EF-1-2", "EF-7": "EF-B1-2 EF-8", "EF-8": "EF-7 EF-9", "EF-9": "EF-7 EF-8 EF-70", "EF-10": "AHU-1"} {
		if s := strings.Join(got.tag(t, tag).Interlocks, " "); s != want {
			t.Errorf("%s: %s, not %s", tag, s, want)
		}
	}
	if !got.says("assumed", "MAU-2", "3 machines that the list has as EF-1") || got.find("unlisted-interlock", "MAU-2") != nil {
		t.Error("a range that means the machines of one row")
	}
	if f := got.find("unlisted-interlock", "MAU-3"); f == nil || !strings.Contains(f.Message, "EF-2, EF-3, EF-4,") {
		t.Errorf("one finding a row: %+v", f)
	}
	if f := got.find("unlisted-interlock", "EF-9"); f == nil || !strings.Contains(f.Message, "EF-70") || !strings.Contains(f.Message, "nearest: EF-7") {
		t.Errorf("%+v", f)
	}
	if f := got.find("unplanned-interlock", "EF-10"); f == nil || !strings.Contains(f.Message, "an air handling unit") {
		t.Errorf("%+v", f)
	}
}

// What a row names as proof of running is a device that can be wired, or a
// contact that the control brings along.
func TestStatusDevicesAreOfTheLibrary(t *testing.T) {
	lib := testLibrary(t)
	seen := 0
	for _, one := range lib.Evidence {
		if one.About != "status_device" {
			continue
		}
		seen++
		if _, known := lib.Device(one.For); !known {
			t.Errorf("%s speaks for %q, which the library does not have", one.ID, one.For)
		}
	}
	if seen < 3 {
		t.Errorf("only %d rules about status devices", seen)
	}
	got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM,CONTROL,STATUS\nEF-1,STORE,100,STARTER,CS\nEF-2,STORE,100,VFD,DRIVE RELAY\n"))
	if a, b := got.tag(t, "EF-1").StatusDevice, got.tag(t, "EF-2").StatusDevice; a != "current-switch-solid" || b != "" {
		t.Errorf("%q, %q", a, b)
	}
}

// Letters that mean two things, and words that mean another thing in their
// company: what is not certain is asked.
func TestOddTagsAndServices(t *testing.T) {
	for row, want := range map[string]string{
		"EF-1|WELDING HOOD":           "general-exhaust-fan",
		"EF-1|GREASE TRAP ROOM":       "general-exhaust-fan",
		"EF-1|PARKING OFFICE":         "general-exhaust-fan",
		"EF-1|STAIR 3 TOILET":         "toilet-exhaust-fan",
		"EF-1|ELECTRICAL":             "electrical-room-fan",
		"PF-1|POOL":                   "natatorium-exhaust-fan",
		"PF-2|PAINT BOOTH":            "general-exhaust-fan",
		"PF-3|STAIR 2":                "stair-pressurization-fan",
		"TEF-1|KITCHEN EXTRACT":       "kitchen-exhaust-fan",
		"FC-1|FITNESS CENTER EXHAUST": "",
		"FC-2|OFFICE":                 "fan-coil-unit",
		"GEF-1|GENERAL":               "",
		"SEF-1|SOILED UTILITY":        "smoke-exhaust-fan asked",
		"SEF-2|ATRIUM SMOKE":          "smoke-exhaust-fan",
		"SPF-1|STAIR 1":               "stair-pressurization-fan",
		"AHU-1-RF|OFFICES":            "return-fan",
		"RF-2|RELIEF AHU-2":           "relief-fan",
		"DF-1|CLOTHES DRYER":          "dryer-exhaust-fan",
	} {
		got := read(t, project(t, "fans.csv", "TAG|SERVICE|CFM|HP\n"+row+"|800|1/2\n"))
		e := got.list[0]
		have := e.Kind
		if f := got.find("unknown-kind", e.Tag); f != nil && have != "" {
			have += " asked"
		}
		if have != want {
			t.Errorf("%s: %q, not %q", row, have, want)
		}
	}
}

// Words that speak of a part, of who furnishes it or of an alternate letter say
// nothing of the whole machine: it is planned, and as the rest of the row says.
func TestWordsOfAPartAreNotOfTheMachine(t *testing.T) {
	const head = "TAG|SERVICE|CFM|HP|VOLTS/PH/HZ|CONTROL|ALTERNATE|REMARKS\n"
	for row, want := range map[string]string{
		"STORE|900|2|480/3/60|||DAMPER DELETED PER ADDENDUM 1":       "starter base",
		"STORE|900|2|480/3/60|||HEATER NOT USED IN SUMMER":           "starter base",
		"STORE|900|2|480/3/60|||DELETED PER ADDENDUM 1":              "removed",
		"STORE|900|2|480/3/60||D|":                                   "starter alternate",
		"STORE|900|2|480/3/60||2|":                                   "starter alternate",
		"STORE|900|2|480/3/60||X|":                                   "starter alternate",
		"STORE|900|2|480/3/60||N|":                                   "starter base",
		"STORE|900|2|480/3/60||ALTERNATE D|":                         "starter alternate",
		"STORE|900|2|480/3/60|||VFD, ALTERNATE WEEKLY WITH EF-2":     "variable-frequency-drive base",
		"STORE|900|2|480/3/60|||ALTERNATE NO. 2: VFD IN LIEU OF IT":  "starter base",
		"STORE|900|2|480/3/60|||VFD NOT FURNISHED BY FAN MFR":        "variable-frequency-drive base",
		"STORE|900|2|480/3/60|||STARTER BY DIV 26, NOT BY BAS":       "starter base",
		"STORE|900|2|480/3/60|||NOT CONTROLLED BY BAS":               "none base",
		"STORE|900|1/2|120/1/60|BAS TIME CLOCK||":                    "fan-interface-box base",
		"STORE|900|1/2|120/1/60|TIME CLOCK||":                        "none base",
		"ES-1 EMERGENCY SHOWER|900|1/2|120/1/60|||MOTORIZED DAMPER":  "fan-interface-box base",
		"STORE|900|1/2|120/1/60|||MOTORIZED DAMPER WITH END SWITCH ": "fan-interface-box base end-switch",
	} {
		got := read(t, project(t, "fans.csv", head+"EF-1|"+row+"\n"))
		e := got.tag(t, "EF-1")
		have := e.Control + " " + e.Bid
		if e.Damper.EndSwitch != nil && *e.Damper.EndSwitch {
			have += " end-switch"
		}
		if e.OutOfScope != "" {
			have = "removed"
			if f := got.find("out-of-scope", "EF-1"); f == nil || f.Severity != finding.Caution {
				t.Errorf("%s: a remark alone takes the machine out, and only a note tells: %+v", row, f)
			}
		}
		if have != want {
			t.Errorf("%s: %q, not %q", row, have, want)
		}
	}
}
