package crosscheck_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/intake"
)

// TestPointListForms: one row a point with the tag carried down or in a row of
// its own, one row a machine with a column for each point, and counts.
func TestPointListForms(t *testing.T) {
	lib := loaded(t)
	forms := map[string]string{
		"rows":     "POINTS LIST\nTag,Point Description,I/O Type\nEF-1,EF-1 Fan Start/Stop,DO\n,EF-1 Fan Status,DI\n,VFD Speed Feedback,AI\nEF-2 thru 3,S/S,DO\nTOTAL,12,\n",
		"headed":   "Point,Type,Equipment\nEF-1 - CORRIDOR EXHAUST,,\n",
		"sections": "Equipment,Point Name,Type\nEF-1 - CORRIDORS\n,Start/Stop,BO\n,Run Status,BI\n,Speed Feedback,AI\nEF-2,Start/Stop,BO\nEF-3,Start/Stop,BO\n",
		"columns":  "Unit,Description,Start/Stop,Fan Status,Speed Feedback\n",
		"matrix":   "Unit,Start/Stop,Status,Speed Feedback,Notes\nEF-1,X,X,1,\nEF-2,x,-,,\nEF-3,YES,,N/A,\n",
	}
	want := "EF-1/start EF-1/status EF-1/speed-feedback EF-2/start EF-3/start"
	for _, name := range []string{"rows", "sections", "matrix"} {
		points, _, found := crosscheck.ReadPoints(lib, sheets(t, name+".csv", forms[name]), tags)
		var got []string
		for _, p := range points {
			got = append(got, p.Tag+"/"+p.Role)
			if p.Where == nil || p.Where.Cell == "" {
				t.Errorf("%s: %s has no cell", name, p.Name)
			}
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s: %s, want %s", name, s, want)
		}
		if len(found) != 3 {
			t.Errorf("%s: machines %v", name, found)
		}
	}
	points, _, _ := crosscheck.ReadPoints(lib, sheets(t, "rows.csv", forms["rows"]), tags)
	if points[0].Type != model.BinaryOutput || points[1].Type != model.BinaryInput || points[2].Type != model.AnalogInput || points[0].Class != model.Hardwired {
		t.Errorf("types %+v", points[:3])
	}
	_, counts, _ := crosscheck.ReadPoints(lib, sheets(t, "counts.csv", "System,AI,AO,DI,DO\nEF-1,1,0,2,1\nEF-2,-,1,1,1\n"), tags)
	if len(counts) != 2 || counts[0].Counts["BI"] != 2 || counts[1].Counts["AI"] != 0 || counts[1].Counts["AO"] != 1 {
		t.Errorf("counts %+v", counts)
	}
}

func TestPointNames(t *testing.T) {
	lib := loaded(t)
	for name, role := range map[string]string{"Fan S/S": "start", "RUN STATUS": "status", "Damper Status": "damper-open", "Damper Cmd": "damper", "VFD Fault Alarm": "drive-fault", "Speed Fbk": "", "Fan Speed Feedback": "speed-feedback", "HOA in Auto": "not-in-auto",
		"Duct Static Pressure": "duct-pressure", "Space Temp": "room-temperature", "CO Level": "gas-co", "Supply Air Temp": "room-temperature", "Discharge Air Temperature": "discharge-temperature", "Zorp": ""} {
		points, _, _ := crosscheck.ReadPoints(lib, sheets(t, "p.csv", "Tag,Point Name,Type\nEF-1,"+name+",BI\nEF-1,Start,BO\n"), tags)
		if len(points) != 2 {
			t.Fatalf("%s: %v", name, points)
		}
		if role != "" && points[0].Role != role && name != "Supply Air Temp" || name == "Zorp" && points[0].Role != "" {
			t.Errorf("%s is read as %q, want %q", name, points[0].Role, role)
		}
	}
}

func TestSurplusPoints(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM\nEF-1,100\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, []model.Point{hard("EF-1", "start", model.BinaryOutput)}, []crosscheck.Document{
		document(t, lib, crosscheck.Controls, "p.csv", "Tag,Point Name,Type\nEF-1,Start/Stop,BO\nEF-1,Freezestat,BI\nEF-1,Zorp,BI\nEF-1,Run Hours,AV\n")})
	if d := must(t, got, "point-not-asked", "EF-1/freeze", "", "Freezestat"); d != nil && d.Severity != finding.Note {
		t.Errorf("over-count is a note: %v", d)
	}
	must(t, got, "point-name-unknown", "EF-1", "", "Zorp")
	if len(got) != 2 {
		t.Errorf("%v", got)
	}
}

func TestCounts(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM\nEF-1,100\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, []model.Point{hard("EF-1", "start", model.BinaryOutput), hard("EF-1", "status", model.BinaryInput)}, []crosscheck.Document{
		document(t, lib, crosscheck.Controls, "p.csv", "System,AI,AO,DI,DO\nEF-1,0,1,1,1\n")})
	must(t, got, "count-differs", "EF-1", "0", "1")
	if len(got) != 1 || got[0].Field != "AO" {
		t.Errorf("%v", got)
	}
}

func TestIntegration(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,TYPE,CFM,CONTROL\nMAU-1,MAKE-UP AIR UNIT,3000,FACTORY CONTROLLER\nERU-1,ENERGY RECOVERY UNIT,3000,FACTORY CONTROLLER\n")
	network := model.Point{Key: "MAU-1/mode", Equipment: "MAU-1", Role: "mode", Carried: model.Network}
	text := "Tag,Point Name,Type\nMAU-1,Enable,BO\nERU-1,Enable,BO\nERU-1,Mode,BACnet\n"
	points := []model.Point{hard("MAU-1", "enable", model.BinaryOutput), hard("ERU-1", "enable", model.BinaryOutput), network}
	got := crosscheck.Compare(lib, &model.Project{}, ours, points, []crosscheck.Document{document(t, lib, crosscheck.Controls, "p.csv", text)})
	must(t, got, "integration-missing", "MAU-1", "network points", "")
	got = crosscheck.Compare(lib, &model.Project{}, ours, points, []crosscheck.Document{document(t, lib, crosscheck.Controls, "p.csv", text+"MAU-1,Mode,BACnet\n")})
	if find(got, "integration-missing", "MAU-1") != nil {
		t.Error("the list has the network points")
	}
}

func TestListedOnce(t *testing.T) {
	lib := loaded(t)
	ours := list(t, lib, "TAG,CFM\nEF-1,100\nEF-2,100\n")
	got := crosscheck.Compare(lib, &model.Project{}, ours, nil, []crosscheck.Document{
		document(t, lib, crosscheck.Controls, "p.csv", "Tag,Point Name,Type,Object Name,Instance\nEF-1,Start/Stop,BO,B1_EF_SS,1\nEF-2,Start/Stop,BO,b1_ef_ss,1\nEF-1,Status,BI,B1_EF1_STS,1\n")})
	must(t, got, "object-name-twice", "EF-2", "b1_ef_ss", "b1_ef_ss")
	must(t, got, "instance-twice", "EF-2", "1", "1")
	if d := find(got, "instance-twice", "EF-1"); d != nil {
		t.Errorf("a binary input of the same number is another object: %v", d)
	}
}

func TestPressureRange(t *testing.T) {
	lib := loaded(t)
	p := hard("SF-1", "duct-pressure", model.AnalogInput)
	p.Range = model.Span(0, 5)
	got := crosscheck.Compare(lib, &model.Project{}, list(t, lib, "TAG,CFM\nSF-1,100\n"), []model.Point{p}, []crosscheck.Document{
		document(t, lib, crosscheck.Controls, "p.csv", "Tag,Point Name,Type,Range\nSF-1,Duct Static Pressure,AI,0-2.5 in.wc\n")})
	if d := must(t, got, "range-differs", "SF-1/duct-pressure", "0 to 5", "0 to 2.5"); d != nil && d.Severity != finding.Caution {
		t.Errorf("%v", d)
	}
}

func TestFireMatrixOfEvents(t *testing.T) {
	lib := loaded(t)
	list := crosscheck.ReadFireMatrix(lib, sheets(t, "fire.csv", "FIRE MATRIX\nFan,Zone 1 alarm,Zone 2 alarm,Remarks\nEF-1,STOP,STOP,runs at night\nSEF-1,RUN,OFF,\nEF-2,X,,\nEF-3 & 4,Continues,,\nEF-5,-,-,stop by hand\n"), tags)
	want := map[string]string{"EF-1": "stop", "SEF-1": "run", "EF-2": "stop", "EF-3": "continue", "EF-4": "continue", "EF-5": ""}
	if len(list) != len(want) {
		t.Fatalf("%d rows", len(list))
	}
	for _, e := range list {
		if w, ok := want[e.Tag]; !ok || e.FireResponse != w {
			t.Errorf("%s: %q, want %q", e.Tag, e.FireResponse, w)
		}
	}
}

func TestRecognise(t *testing.T) {
	lib := loaded(t)
	for file, c := range map[string]struct{ text, role string }{
		"M-601.csv":         {"FAN SCHEDULE\nMARK,CFM,ESP,RPM,HP\nEF-1,1,1,1,1\n", crosscheck.Mechanical},
		"e.csv":             {"EQUIPMENT,VOLTAGE,PHASE,MCA,MOCP,PANELBOARD\nEF-1,480,3,5,15,LP\n", crosscheck.Electrical},
		"list.csv":          {"Tag,Point Name,AI,AO,BI,BO\nEF-1,Start,,,,X\n", crosscheck.Controls},
		"fire matrix.csv":   {"Fan,Zone 1,Zone 2\nEF-1,STOP,RUN\n", crosscheck.Fire},
		"fan submittal.csv": {"MARK,MODEL,CFM\nEF-1,M1,100\n", crosscheck.Submittal},
		"d.csv":             {"DAMPER SCHEDULE\nDAMPER TAG,ACTUATOR VOLTAGE,FAIL POSITION\nD-1,24,CLOSED\n", crosscheck.Dampers},
	} {
		if got := crosscheck.Recognise(lib, model.Input{File: file}, sheets(t, file, c.text)); got != c.role {
			t.Errorf("%s is taken for %q, want %s", file, got, c.role)
		}
	}
}

// TestComparisonTable reads the table of comparisons in DEVELOPERS.md: all 48
// are there, at least 32 are built, every code exists, every case that names
// a test or the sample is one, and every code of this pass stands in it.
func TestComparisonTable(t *testing.T) {
	data, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	planted, err := os.ReadFile("../../samples/tidewell/disagreements.tsv")
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile(`(?m)^\| C(\d+) \| ([^|]*) \| ([^|]*) \| ([^|]*)\|$`)
	rows := row.FindAllStringSubmatch(string(data), -1)
	built, named := 0, map[string]bool{}
	for i, m := range rows {
		if m[1] != itoa(i+1) {
			t.Fatalf("row %d is C%s", i+1, m[1])
		}
		if strings.HasPrefix(m[3], "not built") {
			continue
		}
		built++
		some := false
		for _, code := range strings.Split(m[3], ", ") {
			code = strings.TrimSpace(code)
			if strings.HasPrefix(code, "tallywire ") {
				some = true
				continue
			}
			if _, ok := finding.Lookup(code); !ok {
				t.Errorf("C%s names the code %q, which the catalogue does not have", m[1], code)
			}
			named[code] = true
			some = some || strings.Contains(string(planted), "\n"+code+"\t")
		}
		if strings.TrimSpace(m[4]) == "tidewell" && !some {
			t.Errorf("C%s: the sample plants none of %s", m[1], m[3])
		}
	}
	if len(rows) != 48 || built < 32 {
		t.Errorf("%d rows, %d built", len(rows), built)
	}
	for _, c := range finding.Codes() {
		if c.Pass == "crosscheck" && !named[c.ID] {
			t.Errorf("the code %s stands in no row of the table", c.ID)
		}
	}
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return string(rune('0'+n/10)) + string(rune('0'+n%10))
}

// FuzzReadPoints: whatever stands in a list, reading it ends, and every point
// has a machine and a place.
func FuzzReadPoints(f *testing.F) {
	lib := loaded(f)
	f.Add("Tag,Point Name,Type\nEF-1,Start,BO\n,Status,BI\n")
	f.Add("System,AI,AO,DI,DO\nEF-1 thru 4,1,0,2,1\n")
	f.Add("Unit,Start/Stop,Status\nEF-1,X,\nEF-1,X,X\n")
	f.Add("Fan,Zone 1,Zone 2\nEF-1,STOP,\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := intake.ReadDelimited("x.csv", []byte(text))
		if err != nil {
			return
		}
		points, counts, found := crosscheck.ReadPoints(lib, s, tags)
		for _, p := range points {
			if p.Tag == "" || p.Where == nil {
				t.Errorf("a point without machine or place: %+v", p)
			}
		}
		for _, c := range counts {
			if c.Tag == "" {
				t.Errorf("counts of nothing: %+v", c)
			}
		}
		crosscheck.ReadFireMatrix(lib, s, tags)
		crosscheck.Recognise(lib, model.Input{File: "x.csv"}, s)
		crosscheck.Compare(lib, &model.Project{}, found, nil, []crosscheck.Document{{Role: crosscheck.Controls, Points: points, Counts: counts, Equipment: found}})
	})
}
