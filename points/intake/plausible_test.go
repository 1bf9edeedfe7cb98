package intake

import (
	_ "embed"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// doubts reads a list of one row and returns the codes of its plausibility findings.
func doubts(t *testing.T, head, row string) (result, string) {
	t.Helper()
	got := read(t, project(t, "fans.csv", head+"\n"+row+"\n"))
	var codes []string
	for _, f := range got.findings {
		switch f.Code {
		case "fan-power", "lost-fraction", "shaft-power", "motor-size", "motor-current", "nameplate-voltage", "ec-with-drive", "drive-on-single-phase", "two-speed-with-signal", "damper-contradiction", "box-service", "suspect-service":
			codes = append(codes, f.Code)
		}
	}
	return got, strings.Join(codes, " ")
}

func TestPlausibility(t *testing.T) {
	const head = "TAG|TYPE|CFM|TSP|HP|V/PH/HZ|FLA|MOTOR TYPE|CONTROL|REMARKS"
	for _, c := range []struct{ row, want, words string }{
		{"EF-1|exhaust|3000|1|1|460/3/60|2.1||starter|", "", ""}, // 3000 x 1 / 6356 = 0.472 hp of 1 hp
		{"EF-1|exhaust|7500|2|2|460/3/60||||", "fan-power", "2.36 hp of air power, 118 %"},
		{"EF-1|exhaust|625|0.5|2|460/3/60||||", "fan-power", "less than 5 %"},
		{"EF-1|exhaust|100|0.1|1/4|120/1/60||||", "", ""}, // below 1/2 hp a poor fan is common
		{"EF-1|exhaust|600|0.5|12|120/1/60||||", "lost-fraction motor-size motor-size", "1/2 hp would turn 9.4 %"},
		{"DF-1|destratification fan|20000|0.5|1/2|120/1/60||||", "", ""}, // no ducted fan
		{"EF-1|propeller exhaust|9000|0|1/2|460/3/60||||", "", ""},
		{"EF-1|exhaust|20000|1|10|230/1/60||||", "motor-size", "a single-phase motor of 10 hp"},
		{"EF-1|exhaust|500|0.5|1/4|460/3/60||||", "motor-size", "a three-phase motor of 0.25 hp"},
		{"EF-1|exhaust|9000|1.5|7|460/3/60||||", "motor-size", "the nearest is 7.5 hp"},
		{"EF-1|exhaust|9000|1|5|230/1/60|15.2|||", "motor-current", "15.2 A is the current of a 3-phase motor"}, // MT-3
		{"EF-1|exhaust|9000|1|10|460/3/60|14|||", "", ""},                                                       // MT-2, NEC table 430.250
		{"EF-1|exhaust|9000|1|10|460/3/60|28|||", "motor-current", "200 % of the 14 A"},
		{"EF-1|exhaust|9000|1|10|480/3/60|5|||", "motor-current", "35.7 % of the 14 A"},
		{"EF-1|exhaust|2000|1|1 kW|400/3/50|1|||", "motor-current", "692.8 VA, less than the motor's 1000 W"},
		{"EF-1|exhaust|2000|1|1|277/1/60||EC|VFD|", "ec-with-drive", "EC motor and a variable-frequency drive"},
		{"EF-1|exhaust|2000|1|1|230/1/60|||VFD|", "drive-on-single-phase", "230/1/60"},
		{"EF-1|exhaust|2000|1|1|460/3/60||two speed||0-10V speed signal", "two-speed-with-signal", "no input for a speed signal"},
		{"EF-1|exhaust|2000|1|1|480/1/60||EC||", "box-service", "line to line"},
		{"EF-1|exhaust|2000|1|1|480 delta, 3 ph, 3W||EC||", "box-service", "no neutral"},
		{"EF-1|exhaust|2000|1|1|277/1/60||EC||", "", ""},
		{"EF-1|exhaust|2000|1|1|120/1/60||EC||", "", ""},
		{"EF-1|exhaust|2000|1|1|277/3/60||||", "suspect-service", "line-to-neutral"},
		{"EF-1|exhaust|2000|1|1|480/3/50||||", "suspect-service", "60 Hz voltage"},
	} {
		got, codes := doubts(t, head, c.row)
		if codes != c.want {
			t.Errorf("%s: %q, not %q", c.row, codes, c.want)
			continue
		}
		if c.words == "" {
			continue
		}
		said := false
		for _, f := range got.findings {
			said = said || strings.Contains(f.Message, c.words) && f.Where != nil
		}
		if !said {
			t.Errorf("%s: nothing says %q: %v", c.row, c.words, got.findings)
		}
	}
}

func TestPressureKindIsTold(t *testing.T) {
	got, _ := doubts(t, "TAG,CFM,ESP,HP", "EF-1,7500,2,2")
	if !got.says("fan-power", "EF-1", "external static pressure") {
		t.Error("which pressure was used is not told")
	}
}

func TestShaftDamperNameplate(t *testing.T) {
	got, codes := doubts(t, "TAG,CFM,BHP,HP,ELECTRICAL,MOTOR VOLTAGE,DAMPER,DAMPER VOLTS", "EF-1,2000,1.4,1,208/3/60,230,gravity,24 VAC")
	if codes != "shaft-power nameplate-voltage damper-contradiction" {
		t.Errorf("%s: %v", codes, got.findings)
	}
	if !got.says("nameplate-voltage", "EF-1", "a 230 V motor runs from 207 to 253 V; a 208 V system gives 187 to 218 V") {
		t.Error("the arithmetic is missing")
	}
	if _, codes := doubts(t, "TAG,CFM,HP,ELECTRICAL,MOTOR VOLTAGE", "EF-1,2000,1,480/3/60,460"); codes != "" {
		t.Errorf("460 V on 480 V: %s", codes)
	}
}

func TestPanelSystem(t *testing.T) {
	const head = "TAG|TYPE|CFM|V/PH/HZ|FED FROM"
	for row, want := range map[string]string{
		"EF-1|exhaust|900|480/3/60|LP-2 (208Y/120V)": "nameplate-voltage",
		"EF-1|exhaust|900|115/1/60|LP-2 (208/120V)":  "",
		"EF-1|exhaust|900|208/1/60|LP-2 (208/120V)":  "",
		"EF-1|exhaust|900|460/3/60|HP-1 480Y/277V":   "",
		"EF-1|exhaust|900|120/3/60|LP-2 208Y/120V":   "suspect-service nameplate-voltage",
		"EF-1|exhaust|900|277/1/60|HP-1 480Y/277V":   "",
		"EF-1|exhaust|900|230/3/60|LP-2 208Y/120V":   "", // 9.6 % low, within a motor's 10 %
	} {
		if got, codes := doubts(t, head, row); codes != want {
			t.Errorf("%s: %q, not %q: %v", row, codes, want, got.findings)
		}
	}
}

// TestTableRelations: MT-1, the columns of the NEC tables stand in fixed
// relations; a wrong cell would make false findings.
func TestTableRelations(t *testing.T) {
	lib := testReader(t).lib
	for _, m := range lib.Ratings.Motors {
		base, ok := lib.Ratings.FullLoad(m.Kind, m.HP, 230)
		if !ok || m.Kind == "dc" {
			continue
		}
		for volts, want := range map[float64][2]float64{208: {1.10 * base, 0.11}, 200: {1.15 * base, 0.11}, 460: {base / 2, 0.06}, 575: {base / 2.5, 0.26}} {
			if m.Volts == volts && math.Abs(m.Amps-want[0]) > want[1] {
				t.Errorf("%s-phase %v hp at %v V: %v A, by the 230 V column %v", m.Kind, m.HP, volts, m.Amps, want[0])
			}
		}
	}
}

//go:embed testdata/boundary.tsv
var boundaryTable string

func TestBoundaries(t *testing.T) {
	lib := testReader(t).lib
	n := 0
	for _, line := range strings.Split(strings.TrimSuffix(boundaryTable, "\n"), "\n") {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "rule\t") {
			continue
		}
		c := strings.Split(line, "\t")
		rule, ok := lib.CodeRule(c[0])
		v, err := strconv.ParseFloat(c[1], 64)
		if !ok || err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if got := map[bool]string{true: "yes", false: "no"}[rule.Holds(v)]; got != c[2] {
			t.Errorf("%s: %s", line, got)
		}
		n++
	}
	if n != 22 {
		t.Errorf("%d cases", n)
	}
}

// reminded returns the tags of each reminder by rule.
func reminded(t *testing.T, p *model.Project) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, f := range read(t, p).findings {
		if f.Code != "code-reminder" {
			continue
		}
		if f.Severity != finding.Note || f.Source == "" {
			t.Errorf("%+v is no reminder", f)
		}
		tags := f.Subjects
		if len(tags) == 0 {
			tags = []string{f.Subject}
		}
		out[strings.SplitN(f.Message, ":", 2)[0]] = strings.Join(tags, " ") + " | " + f.Message
	}
	return out
}

func TestReminders(t *testing.T) {
	const list = `TAG,TYPE,CFM,HP,SYSTEM,FLOOR AREA (SF),STANDBY CFM,FIRE
RF-1,return fan,2000,1/2,AHU-1,,,
RF-2,return fan,2001,1/2,AHU-2,,,
RF-3,return fan,1200,1/2,AHU-3,,,
RF-4,return fan,1200,1/2,AHU-3,,,
RF-5,return fan,944 L/s,1/2,AHU-5,,,
RF-6,return fan,945 L/s,1/2,AHU-6,,,
GX-1 thru 2,garage exhaust,3700,5,P1,"10,000",250,
KEF-1,kitchen hood exhaust,5001,3,,,,
EF-1,general exhaust,200,1,,,,stop
`
	got := reminded(t, project(t, "fans.csv", list))
	for rule, want := range map[string]string{"SD-1": "RF-2 RF-6 |", "SD-2": "RF-3 RF-4 |", "GA-2": "GX-1 GX-2 |", "KI-7": "KEF-1 |", "FA-1": "EF-1 |"} {
		if !strings.HasPrefix(got[rule], want) {
			t.Errorf("%s: %q, not %q", rule, got[rule], want)
		}
	}
	if _, ok := got["GA-3"]; ok {
		t.Errorf("standby of 500 cfm on 10,000 ft2 is enough: %s", got["GA-3"])
	}
	if !strings.Contains(got["GA-2"], "7400 cfm / 10000 ft2 = 0.74 cfm/ft2, 100 cfm short") {
		t.Errorf("arithmetic: %s", got["GA-2"])
	}
	for _, local := range []string{"GA-6", "KI-9"} {
		if got[local] != "" {
			t.Errorf("the local rule %s appears unasked", local)
		}
	}
}

func TestRemindersCanBeTurnedOffAndLocalised(t *testing.T) {
	p := project(t, "fans.csv", "TAG,TYPE,CFM\nKEF-1,kitchen hood exhaust,5001\nRF-1,return fan,16000\n")
	one := 1
	p.Settings.Codes = model.CodeSettings{Off: []string{"KI-7", "SD-11"}, Edition: map[string]string{"Washington State Energy Code": "2021"}, Storeys: &one}
	got := reminded(t, p)
	if got["KI-7"] != "" || got["SD-3"] != "" || got["KI-9"] == "" || got["SD-1"] == "" {
		t.Errorf("%v", got)
	}
	if f := read(t, p).find("unknown-rule", "SD-11"); f == nil || !strings.Contains(f.Fix, "SD-1") {
		t.Errorf("%+v", f)
	}
}

// TestEveryReminderCanAppear: each rule of the library is brought into play by
// some list, so that none is dead data.
func TestEveryReminderCanAppear(t *testing.T) {
	const list = `TAG,KIND,CFM,HP,SYSTEM,FLOOR AREA,STANDBY CFM,FIRE,CONTROL
RF-1,return-fan,16000,5,A,,,stop,
RF-2,return-fan,1500,5,B,,,,
RF-3,return-fan,1500,5,B,,,,
SF-1,supply-fan,9000,5,A,,,,
GX-1,garage-exhaust-fan,1000,5,P,"20,000",100,,starter
KEF-1,kitchen-exhaust-fan,6000,5,,,,,
MAU-1,make-up-air-unit,6000,5,,,,,
SEF-1,smoke-exhaust-fan,6000,5,,,,,
EF-1,general-exhaust-fan,600,1/2,,,,,
`
	p := project(t, "fans.csv", list)
	lib := testReader(t).lib
	p.Settings.Codes.Edition = map[string]string{}
	for _, rule := range lib.CodeRules {
		p.Settings.Codes.Edition[rule.Code] = "adopted"
	}
	got := reminded(t, p)
	for _, rule := range lib.CodeRules {
		if got[rule.ID] == "" {
			t.Errorf("%s never appears: %s", rule.ID, fmt.Sprint(rule))
		}
	}
}
