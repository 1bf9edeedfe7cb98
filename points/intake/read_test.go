package intake

import (
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"tallywire/model"
	"tallywire/model/finding"
)

// project makes a project of delimited lists: file name and text in turns.
func project(t testing.TB, files ...string) *model.Project {
	t.Helper()
	p := &model.Project{}
	for i := 0; i < len(files); i += 2 {
		sheets, err := ReadDelimited(files[i], []byte(files[i+1]))
		if err != nil {
			t.Fatal(err)
		}
		p.Sheets = append(p.Sheets, sheets...)
		p.Inputs = append(p.Inputs, model.Input{File: files[i]})
	}
	return p
}

// result is what a project was read as, by tag.
type result struct {
	list     []model.Equipment
	findings []finding.Finding
}

func read(t testing.TB, p *model.Project) result {
	t.Helper()
	lib := testLibrary(t)
	list, findings, err := Read(lib, p)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range findings {
		if strings.Contains(f.Message+f.Fix, "%!") {
			t.Errorf("badly formatted: %s", f.Message)
		}
		if _, ok := finding.Lookup(f.Code); !ok {
			t.Errorf("the code %q is not in the catalogue", f.Code)
		}
	}
	return result{list, findings}
}

func (r result) tag(t testing.TB, tag string) model.Equipment {
	t.Helper()
	for _, e := range r.list {
		if e.Tag == tag {
			return e
		}
	}
	t.Fatalf("there is no %s", tag)
	return model.Equipment{}
}

func (r result) tags() string {
	var out []string
	for _, e := range r.list {
		out = append(out, e.Tag)
	}
	return strings.Join(out, " ")
}

// find returns the finding of a code that concerns a subject.
func (r result) find(code, subject string) *finding.Finding {
	for i, f := range r.findings {
		if f.Code == code && (f.Subject == subject || slices.Contains(f.Subjects, subject)) {
			return &r.findings[i]
		}
	}
	return nil
}

// says reports whether a finding of that code about the subject holds the words.
func (r result) says(code, subject, words string) bool {
	for _, f := range r.findings {
		if f.Code == code && (f.Subject == subject || slices.Contains(f.Subjects, subject)) && strings.Contains(f.Message+" "+f.Fix, words) {
			return true
		}
	}
	return false
}

func TestTagTypeAirflowOnly(t *testing.T) {
	got := read(t, project(t, "fans.csv", "Tag,Type,CFM\nEF-1,Toilet exhaust,450\nSF-1,Supply,2000\nGEF-1,Garage exhaust,12000\n"))
	if s := got.tags(); s != "EF-1 SF-1 GEF-1" {
		t.Fatal(s)
	}
	for tag, want := range map[string][3]string{"EF-1": {"toilet-exhaust-fan", "toilet-exhaust", "fan-interface-box"}, "SF-1": {"supply-fan", "supply-constant", "fan-interface-box"}, "GEF-1": {"garage-exhaust-fan", "garage-exhaust", "fan-interface-box"}} {
		e := got.tag(t, tag)
		if have := [3]string{e.Kind, e.Scheme, e.Control}; have != want {
			t.Errorf("%s is %v, not %v", tag, have, want)
		}
		for _, words := range []string{"taken as", "speed", "controlled through"} {
			if !got.says("assumed", tag, words) {
				t.Errorf("%s: nothing says that %q was assumed", tag, words)
			}
		}
		if !got.says("not-stated", tag, "motor size, electrical service, motor type, damper") {
			t.Errorf("%s: what the list leaves open is not told", tag)
		}
	}
}

const schedule = `RIVERBEND CLINIC,,,,,,,,,,,,,
EXHAUST FAN SCHEDULE,,,,,,,,,,,,,
TAG,SERVICE,LOCATION,AIRFLOW,E.S.P.,FAN,,MOTOR,,DRIVE ②,DAMPER,,CONTROL,REMARKS
,,,(CFM),(IN. W.C.) ①,RPM,TYPE,HP,V/PH/HZ,,TYPE,VOLTS,,
EF-1 thru 3,TOILETS L1,ROOF,"1,200",0.5,1050,ROOF UPBLAST,1/4,120/1/60,D,M,24 VAC,EC MOTOR W/ FAN INTERFACE BOX,0-10V SPEED; NOTE 3
EF-4,KITCHEN HOOD,ROOF,3500,1.25,1200,UPBLAST,1-1/2,480/3/60,B,-,,VFD,INTERLOCK WITH MAU-1
MAU-1,KITCHEN,ROOF,3200,0.75,900,MAKE-UP AIR,3,480/3/60,B,M,120,PACKAGED,
SF-1,SHOT FEEDER,MECH,,,,,,,,,,,
P-1,CHW,MECH,,,,INLINE PUMP,5,480/3/60,,,,,
TOTAL,,,31900,,,,,,,,,,
TAG,SERVICE,LOCATION,AIRFLOW,E.S.P.,FAN,,MOTOR,,DRIVE ②,DAMPER,,CONTROL,REMARKS
,,,(CFM),(IN. W.C.) ①,RPM,TYPE,HP,V/PH/HZ,,TYPE,VOLTS,,
EF-6,ELEC ROOM,L1,800,0.3,,INLINE,1/3,l20/1/60,D,G,,T-STAT,SEE NOTE 4
EF-01,STORAGE,L2,150,0.25,,CEILING,60 W,120/1/60,D,G,,WALL SWITCH,
(E) EF-9,EXIST STORAGE,ROOF,900,,,,,,,,,,
EF-7 (TYP OF 2),CORRIDOR,L3,n/a,0.2,,INLINE,1/6,115,D,,,,
,,,,,,,,,,,,,
NOTES:,,,,,,,,,,,,,
1. EXTERNAL STATIC PRESSURE INCLUDES FILTER,,,,,,,,,,,,,
"2. B = BELT DRIVE, D = DIRECT DRIVE",,,,,,,,,,,,,
3. INTERLOCK WITH EF-4,,,,,,,,,,,,,
4. SHUT DOWN ON FIRE ALARM,,,,,,,,,,,,,
`

func TestMessySchedule(t *testing.T) {
	got := read(t, project(t, "fans.csv", schedule))
	if s := got.tags(); s != "EF-1 EF-2 EF-3 EF-4 MAU-1 SF-1 P-1 EF-6 EF-1 (2) EF-9 EF-7-1 EF-7-2" {
		t.Fatal(s)
	}
	e := got.tag(t, "EF-2")
	if e.Kind != "toilet-exhaust-fan" || e.Control != "fan-interface-box" || e.Scheme != "exhaust-variable" || e.Ratings.MotorType != "ec" || e.Ratings.Drive != "direct" {
		t.Errorf("EF-2: %+v", e)
	}
	if q := e.Ratings.Airflow; q.Value.Lo != 1200 || q.Unit != "cfm" || q.Text != "1,200" || q.Where.Cell != "D5" {
		t.Errorf("airflow %+v", q)
	}
	if q := e.Ratings.Pressure; q.Value.Lo != 0.5 || q.Unit != "in.wc" || e.Ratings.PressureKind != "external-static" {
		t.Errorf("pressure %+v %s", q, e.Ratings.PressureKind)
	}
	if e.Damper.Kind != "motorised" || e.Damper.Volts == nil || e.Damper.Volts.Lo != 24 || e.Damper.AC != "ac" {
		t.Errorf("damper %+v", e.Damper)
	}
	if !slices.Equal(e.Interlocks, []string{"EF-4"}) || len(e.Notes) != 1 || e.Notes[0].Where.Cell != "A21" {
		t.Errorf("footnote 3 is not resolved: %v %v", e.Interlocks, e.Notes)
	}
	if e := got.tag(t, "EF-4"); e.Ratings.Power.Value.Lo != 1.5 || !slices.Equal(e.Interlocks, []string{"MAU-1"}) || e.Ratings.Drive != "belt" || e.Control != "variable-frequency-drive" {
		t.Errorf("EF-4: %+v", e)
	}
	for _, tag := range []string{"SF-1", "P-1"} {
		if e := got.tag(t, tag); e.OutOfScope == "" || got.find("out-of-scope", tag) == nil {
			t.Errorf("%s is taken for a fan", tag)
		}
	}
	if e := got.tag(t, "EF-6"); !e.Unresolved || e.Ratings.Service != nil || e.FireResponse != "stop" || e.Ratings.Airflow == nil {
		t.Errorf("EF-6: %+v", e)
	}
	if f := got.find("unreadable-value", "EF-6"); f == nil || f.Where.Cell != "I13" || !strings.Contains(f.Message, `"l20/1/60"`) {
		t.Errorf("unreadable voltage: %+v", f)
	}
	if f := got.find("duplicate-tag", "EF-01"); f == nil || f.Where.Cell != "A14" || len(f.Others) != 1 || f.Others[0].Cell != "A5" {
		t.Errorf("duplicate: %+v", f)
	}
	if e := got.tag(t, "EF-9"); e.Bid != model.Existing {
		t.Errorf("EF-9 is %s", e.Bid)
	}
	if e := got.tag(t, "EF-7-2"); e.Ratings.Airflow != nil || e.Unresolved {
		t.Errorf("n/a is not empty: %+v", e)
	}
	if got.find("assumed", "EF-7") == nil {
		t.Error("the two machines of EF-7 are not told")
	}
	if f, ok := e.Fields["location"]; !ok || f.Text != "ROOF" || f.Where.Cell != "C5" {
		t.Errorf("the row's cells are not kept: %v", e.Fields)
	}
}

func TestEvidenceIsKept(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,SERVICE,CFM\nEF-1,KITCHEN TOILETS,300\nFPB-1,OFFICE,600\n"))
	e := got.tag(t, "EF-1")
	var won, lost bool
	for _, one := range e.Evidence {
		if one.About == "kind" {
			won = won || one.Won && one.For == e.Kind
			lost = lost || !one.Won && one.For == "general-exhaust-fan"
		}
	}
	if e.Kind != "toilet-exhaust-fan" || !won || !lost {
		t.Errorf("%s: %+v", e.Kind, e.Evidence)
	}
	if e := got.tag(t, "FPB-1"); e.Kind != "" || !e.Unresolved {
		t.Errorf("a tie was decided: %s", e.Kind)
	}
	if f := got.find("unknown-kind", "FPB-1"); f == nil || f.Severity != finding.Caution || !strings.Contains(f.Message, "series-terminal and parallel-terminal") {
		t.Errorf("the tie does not ask: %+v", f)
	}
}

func TestStatedKindAndHeadings(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,KIND,AIRFLWO,CFM,PAINT\nEF-1,toilet-exhaust-fan,,300,red\nEF-2,toilet-exaust-fan,7,300,red\n"))
	if e := got.tag(t, "EF-1"); e.Kind != "toilet-exhaust-fan" || got.says("assumed", "EF-1", "taken as") {
		t.Errorf("a stated kind is told as assumed: %+v", e)
	}
	if !got.says("unknown-kind", "EF-2", "toilet-exhaust-fan") {
		t.Error("the misspelt kind has no suggestion")
	}
	if !got.says("unknown-heading", "fans.csv, C1", `write "airflow"`) {
		t.Errorf("the misspelt heading has no suggestion: %+v", got.findings)
	}
	if f := got.tag(t, "EF-2").Fields["AIRFLWO"]; f.Text != "7" {
		t.Error("the column of the misspelt heading is lost")
	}
	if f := got.find("unknown-heading", "fans.csv, E1"); f == nil || f.Severity != finding.Note {
		t.Errorf("PAINT: %+v", f)
	}
}

// COBie names makers by an e-mail address: it is kept as typed and troubles
// nothing.
func TestMakerIsAnAddress(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,TYPE,CFM,MANUFACTURER\nEF-1,exhaust,900,orders@example.com\n"))
	if f := got.tag(t, "EF-1").Fields["MANUFACTURER"]; f.Text != "orders@example.com" {
		t.Errorf("fields %+v", got.tag(t, "EF-1").Fields)
	}
	for _, code := range []string{"unreadable-value", "unknown-heading", "unread-words"} {
		if f := got.find(code, "EF-1"); f != nil {
			t.Errorf("%+v", f)
		}
	}
}

// A motor size for each of several is one motor's and is asked about; a duty fan
// whose partner has a row is one fan.
func TestMotorsOfSeveral(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,TYPE,CFM,MOTOR (kW),REMARKS\nGX-1,garage exhaust,8000,\"2 x 5,5\",\nEF-1,exhaust,900,1.1,duty/standby with EF-2\nEF-2,exhaust,900,1.1,duty/standby with EF-1\nEF-3,exhaust,900,1.1,duty/standby\n"))
	if p := got.tag(t, "GX-1").Ratings.Power; p == nil || p.Value.Lo != 5.5 || p.Unit != "kW" || !got.says("two-motors", "GX-1", "2 x 5,5") {
		t.Errorf("power %+v, findings %+v", p, got.findings)
	}
	if got.find("two-motors", "EF-1") != nil || got.find("two-motors", "EF-3") == nil {
		t.Errorf("%+v", got.findings)
	}
}

// What stands under no heading may be all that a row says of its control, and
// in a delimited list tells of a separator inside a value.
func TestUnheadedCells(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,TYPE,CFM,SERVICE\nEF-1,exhaust,1,200,Toilets\nEF-2,exhaust,800,Lobby,\nGX-1,garage exhaust,9000,Level P1,smoke clearance\n"))
	if !got.says("unheaded-cell", "fans.csv, E2", "one column too far") {
		t.Errorf("the shifted row is passed over: %+v", got.findings)
	}
	if got.find("unheaded-cell", "fans.csv, E3") != nil {
		t.Error("a closing separator is told")
	}
	if e := got.tag(t, "GX-1"); e.FireResponse != "run" {
		t.Errorf("the remark behind the headings is not read: fire response %q", e.FireResponse)
	}
}

func TestForeignHeadingWithUnit(t *testing.T) {
	got := read(t, project(t, "a.csv", "Tag;Luftmenge (m³/h);Motor (kW)\nEF-1;1500;0,37\n"))
	if e := got.tag(t, "EF-1"); e.Ratings.Airflow != nil || e.Ratings.Power.Value.Lo != 0.37 || e.Ratings.Power.Unit != "kW" {
		t.Errorf("%+v", e.Ratings)
	}
	if f := got.find("unknown-heading", "a.csv, B1"); f == nil || f.Severity != finding.Caution || !strings.Contains(f.Fix, "airflow") {
		t.Errorf("%+v", f)
	}
}

func TestAddendum(t *testing.T) {
	p := project(t, "fans.csv", "TAG,SERVICE,CFM,HP\nEF-1,TOILETS,300,1/4\nEF-2,TOILETS,300,1/4\nEF-3,STORAGE,100,1/8\n",
		"add-1.csv", "TAG,ACTION,CFM,HP\nEF-01,REVISE,450,\nEF-2,DELETE,,\nEF-8,ADD,900,1/2\nEF-99,DELETE,,\n")
	p.Inputs[1].Role = "addendum"
	got := read(t, p)
	if s := got.tags(); s != "EF-1 EF-3 EF-8" {
		t.Fatal(s)
	}
	if e := got.tag(t, "EF-1"); e.Ratings.Airflow.Value.Lo != 450 || e.Ratings.Power.Value.Lo != 0.25 || e.Kind != "toilet-exhaust-fan" || e.Ratings.Airflow.Where.File != "add-1.csv" {
		t.Errorf("EF-1: %+v", e.Ratings)
	}
	f := got.find("revised", "EF-1")
	if f == nil || !strings.Contains(f.Message, `"300"`) || !strings.Contains(f.Message, `"450"`) || f.Where.Cell != "C2" || f.Others[0].File != "fans.csv" {
		t.Errorf("the change is not told: %+v", f)
	}
	if got.find("revised", "EF-2") == nil || got.find("revised", "EF-8") == nil {
		t.Error("what was added and taken out is not told")
	}
	if f := got.find("revised", "EF-99"); f == nil || f.Severity != finding.Caution {
		t.Errorf("taking out what is not there: %+v", f)
	}
}

func TestProjectFileSpeaksLast(t *testing.T) {
	p := project(t, "fans.csv", "TAG,SERVICE,CFM\nEF-1,STORAGE,300\nEF-2,STORAGE,300\n")
	at := func(line int) *model.Where { return &model.Where{File: "project.yaml", Line: line} }
	p.Overrides = []model.EquipmentOverride{
		{Tag: "EF 01", Where: at(3), Values: map[string]model.Text{"cfm": {Text: "350", Where: at(4)}, "motor_hp": {Text: "1/3", Where: at(5)}, "interlock": {Text: "EF-2", Where: at(6)}, "controll": {Text: "VFD", Where: at(7)}}},
		{Tag: "EF-2", Remove: true, Where: at(8)},
		{Tag: "EF-5", Add: true, Where: at(9), Values: map[string]model.Text{"kind": {Text: "smoke-exhaust-fan", Where: at(10)}}},
		{Tag: "EF-44", Where: at(11), Values: map[string]model.Text{"cfm": {Text: "1", Where: at(12)}}},
	}
	got := read(t, p)
	if s := got.tags(); s != "EF-1 EF-5" {
		t.Fatal(s)
	}
	e := got.tag(t, "EF-1")
	if e.Ratings.Airflow.Value.Lo != 350 || e.Ratings.Airflow.Where.Line != 4 || e.Ratings.Power.Unit != "hp" {
		t.Errorf("%+v", e.Ratings)
	}
	if !got.says("unknown-heading", "EF-1", "control") || got.find("unknown-tag", "EF-44") == nil {
		t.Error("mistakes of the project file are not told")
	}
	if e := got.tag(t, "EF-5"); e.Kind != "smoke-exhaust-fan" || e.Control != "fire-panel" || e.FireResponse != "run" {
		t.Errorf("%+v", e)
	}
}

func TestMergedHeadings(t *testing.T) {
	row := func(n int, cells ...string) model.Row {
		r := model.Row{Number: n}
		for i, c := range cells {
			if c != "" {
				r.Cells = append(r.Cells, model.Cell{Column: i + 1, Text: c})
			}
		}
		return r
	}
	p := &model.Project{Sheets: []model.Sheet{{File: "fans.xlsx", Name: "Schedule", Merged: []string{"A1:H1", "A2:A4", "C2:D2", "E2:F2", "G2:H2"}, Rows: []model.Row{
		row(1, "EXHAUST FAN SCHEDULE"),
		row(2, "MARK", "AREA", "AIR", "", "MOTOR", "", "DAMPER", ""),
		row(3, "", "SERVED", "FLOW", "S.P.", "SIZE", "VOLTS/ PHASE", "TYPE", "VOLTS"),
		row(4, "", "", "(L/S)", "(PA)", "(KW)", "", "", ""),
		row(6, "EF-1", "STORAGE", "104", "125", "0.37", "400/3", "MOD", "24 VAC"),
	}}}}
	e := read(t, p).tag(t, "EF-1")
	if e.Service != "STORAGE" || e.Ratings.Airflow.Unit != "L/s" || e.Ratings.Pressure.Unit != "Pa" || e.Ratings.Power.Unit != "kW" || e.Ratings.Service.Phases != 3 || e.Damper.Kind != "motorised" || e.Damper.Volts.Lo != 24 {
		t.Errorf("%+v %+v %+v", e, e.Ratings, e.Damper)
	}
}

func TestFileErrors(t *testing.T) {
	lib := testLibrary(t)
	for _, c := range []struct{ name, text, want string }{
		{"no tag column", "SERVICE,CFM,HP\nTOILETS,300,1/4\n", "tag column"},
		{"no table", "once upon a time\nthere was a fan\n", "no table"},
	} {
		_, _, err := Read(lib, project(t, "a.csv", c.text))
		var file *FileError
		if !errors.As(err, &file) || file.File != "a.csv" || !strings.Contains(err.Error(), c.want) || file.Fix == "" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, _, err := Read(lib, &model.Project{}); err == nil {
		t.Error("a project without lists was read")
	}
	for name, data := range map[string]string{"empty": " \n\n", "web page": "<html><table>", "pdf": "%PDF-1.7", "zip": "PK\x03\x04....", "old workbook": "\xD0\xCF\x11\xE0\xA1\xB1", "zeros": "a\x00b\x00\x00c"} {
		var file *FileError
		if _, err := ReadDelimited("a.csv", []byte(data)); !errors.As(err, &file) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestEncodingsAndSeparators(t *testing.T) {
	const text = "TAG;SERVICE;CFM\r\nEF-1;\"CAFÉ \"\"A\"\"\nLEVEL 2\";1200\r\nEF-2;STORE;3\" x\r\n"
	units := utf16.Encode([]rune(text))
	var little, big []byte
	for _, u := range units {
		little = binary.LittleEndian.AppendUint16(little, u)
		big = binary.BigEndian.AppendUint16(big, u)
	}
	for name, data := range map[string][]byte{
		"UTF-8": []byte(text), "UTF-8 with mark": append([]byte{0xEF, 0xBB, 0xBF}, text...), "UTF-16 little": append([]byte{0xFF, 0xFE}, little...), "UTF-16 big": append([]byte{0xFE, 0xFF}, big...),
		"UTF-16 bare": little, "Windows-1252": []byte(strings.ReplaceAll(text, "É", "\xC9")), "tabs": []byte(strings.ReplaceAll(text, ";", "\t")), "commas": []byte(strings.ReplaceAll(text, ";", ",")),
		"said": []byte("sep=;\r\n" + text), "old line ends": []byte(strings.ReplaceAll(text, "\r\n", "\r")),
	} {
		sheets, err := ReadDelimited("a.csv", data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		s, from := sheets[0], 0
		if name == "said" {
			from = 1
		}
		if len(s.Rows) != 3 || s.Rows[1].Number != 2+from || s.Rows[1].Cells[1].Text != "CAFÉ \"A\"\nLEVEL 2" || s.Rows[2].Cells[2].Text != `3" x` {
			t.Errorf("%s: %+v", name, s.Rows)
		}
	}
}

// TestSchemeOfTheLibrary: a scheme in a column may be any that is in force, also
// one that no kind has by itself.
func TestSchemeOfTheLibrary(t *testing.T) {
	got := read(t, project(t, "fans.csv", "TAG,KIND,SCHEME,CFM\nEF-1,toilet-exhaust-fan,lab exhaust,300\nEF-2,toilet-exhaust-fan,lab-exhast,300\n"))
	if e := got.tag(t, "EF-1"); e.Scheme != "lab-exhaust" {
		t.Errorf("%q", e.Scheme)
	}
	if f := got.find("unknown-scheme", "EF-2"); f == nil || !strings.Contains(f.Fix, `"lab-exhaust"`) {
		t.Errorf("%+v", f)
	}
}
