package derive

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
)

// TestFigureTwoWays: the terminal layout and the I/O table of one figure are
// independent views of one plant and must count the same: AI 3, AO 1, BI 4,
// BO 5 (UFC 3-410-02A, figure 5-19j). Points made from the first pass the
// validator.
func TestFigureTwoWays(t *testing.T) {
	names := map[string]string{"AI": model.AnalogInput, "AO": model.AnalogOutput, "BI": model.BinaryInput, "BO": model.BinaryOutput}
	count := map[string]int{}
	var points []model.Point
	for _, row := range oracle(t, "ufc-3-410-02A-fig5-19j-terminals.tsv") {
		kind := row["bacnet_type"]
		count[kind]++
		points = append(points, plain(row["device_no"], names[kind], count[kind]))
	}
	if found := Validate(loaded(t), model.Settings{}, points, nil); len(found) > 0 {
		t.Errorf("the plant's points: %v", found)
	}
	table := map[string]int{}
	var total map[string]string
	for _, row := range oracle(t, "ufc-3-410-02A-fig5-19j-iotable.tsv") {
		if row["row"] == "TOTAL" {
			total = row
			continue
		}
		for ours, theirs := range map[string]string{"AI": "AI", "AO": "AO", "BI": "DI", "BO": "DO"} {
			n, err := strconv.Atoi(row[theirs])
			if err != nil {
				t.Fatal(err)
			}
			table[ours] += n
		}
	}
	want := map[string]int{"AI": 3, "AO": 1, "BI": 4, "BO": 5}
	for kind, n := range want {
		if count[kind] != n || table[kind] != n {
			t.Errorf("%s: %d terminals, %d in the table, the figure has %d", kind, count[kind], table[kind], n)
		}
	}
	if total["AI"] != "3" || total["DO"] != "5" {
		t.Errorf("the total row: %v", total)
	}
}

// plain is a point as a foreign list gives it.
func plain(tag, kind string, instance int) model.Point {
	q := model.Point{Key: tag + "/point", Equipment: tag, Role: "point", ObjectType: kind, Instance: &instance, ObjectName: tag, Carried: model.Hardwired}
	sixteen, one := 16, 1.0
	switch kind {
	case model.AnalogInput, model.AnalogOutput:
		q.Units, q.COVIncrement = "percent", &one
	default:
		q.States, q.Polarity = []string{"Off", "On"}, "normal"
	}
	switch kind {
	case model.AnalogOutput:
		q.Priority, q.RelinquishDefault = &sixteen, "0"
	case model.BinaryOutput:
		q.Priority, q.RelinquishDefault = &sixteen, "inactive"
	}
	return q
}

// TestRepeatedDeviceNumber: table 17 of MIL-HDBK-1003/3 gives TS-XX04 to two
// sensors; the key and the name stand twice, and nothing else is wrong.
func TestRepeatedDeviceNumber(t *testing.T) {
	var points []model.Point
	kinds := map[string]string{"AI": model.AnalogInput, "AO": model.AnalogOutput, "BI": model.BinaryInput, "BO": model.BinaryOutput}
	for i, row := range oracle(t, "milhdbk-1003-3-table17-vav.tsv") {
		for head, value := range row {
			if strings.HasPrefix(head, "bacnet_type") {
				kind, _, _ := strings.Cut(value, " ")
				if kinds[kind] != "" {
					points = append(points, plain(row["device_no"], kinds[kind], i))
				}
			}
		}
	}
	if len(points) != 22 { // 23 rows, one of them a software limit
		t.Fatalf("%d points", len(points))
	}
	var told []string
	for _, f := range Validate(loaded(t), model.Settings{}, points, nil) {
		told = append(told, f.Code+" "+f.Subject)
	}
	if want := []string{"key-repeated TS-XX04/point", "name-repeated TS-XX04/point"}; !slices.Equal(told, want) {
		t.Errorf("told %v, want %v", told, want)
	}
}

// TestTableSeventeenFan: what table 17 of MIL-HDBK-1003/3 gives the supply fan
// of a variable-volume system is planned for ours as well.
func TestTableSeventeenFan(t *testing.T) {
	got := Derive(loaded(t), withoutSoftware(), []model.Equipment{fan("supply-variable", "variable-frequency-drive", func(e *model.Equipment) { e.Ratings.Airflow = cfm(10000) })})
	have := map[string]string{}
	for _, q := range got.Points {
		have[q.Role] = letters[q.ObjectType]
	}
	theirs := map[string]string{}
	for _, row := range oracle(t, "milhdbk-1003-3-table17-vav.tsv") {
		for head, value := range row {
			if strings.HasPrefix(head, "bacnet_type") {
				theirs[row["device_no"]] = value
			}
		}
	}
	for device, role := range map[string]string{"R-XX01": "start", "CS-XX01": "status", "SFC-XX01": "speed", "PS-XX01": "duct-pressure", "TSL-XX01": "freeze", "SD-XX01": "smoke"} {
		if have[role] != theirs[device] {
			t.Errorf("%s is %s there; our %s is %q", device, theirs[device], role, have[role])
		}
	}
	// The high limit is a second transmitter there and a switch that stops the
	// fan by wire here.
	if theirs["PS-XX02"] != "AI" || have["high-static"] != "BI" {
		t.Errorf("high limit: %s there, %s here", theirs["PS-XX02"], have["high-static"])
	}
}

// carries says which of our roles is each kind of point that real fans carry.
var carries = map[string][]string{
	"start_stop_command": {"start"}, "run_status": {"status"}, "speed_command": {"speed"}, "speed_feedback": {"speed-feedback"},
	"hand_override_lockout": {"not-in-auto", "override-active"}, "alarm_fault": {"failure", "unit-alarm"}, "vfd_fault": {"drive-fault"},
	"current": {"motor-current", "drive-current"}, "power_energy": {"motor-power", "drive-power", "drive-energy"}, "voltage_torque": {"drive-voltage", "drive-torque"},
	"runtime": {"run-hours", "drive-hours"}, "runtime_or_maintenance": {"maintenance-due"}, "airflow": {"airflow"}, "airflow_setpoint": {"airflow-setpoint"},
	"pressure": {"duct-pressure", "building-pressure"}, "pressure_setpoint": {"setpoint-pressure"}, "speed_limit_or_reset": {"min-speed", "max-speed"},
	"smoke_fire": {"smoke", "fire-stop"}, "mode": {"mode"}, "direction": {"drive-direction"}, "drive_temperature": {"drive-temperature"}, "damper": {"damper", "damper-open"},
	"air_side_other": {"room-temperature", "discharge-temperature"}, "pid_internal": {"proportional-gain", "integral-gain", "loop-output"},
}

// TestRolesCoverRealFans: every kind of point that fans of real buildings
// carry has a role, and a variable-speed exhaust or supply fan can be given it.
func TestRolesCoverRealFans(t *testing.T) {
	lib := loaded(t)
	rows := oracle(t, "coverage.tsv")
	p := &model.Project{}
	for _, r := range lib.Roles() {
		p.Settings.Derive.Optional = append(p.Settings.Derive.Optional, r.ID)
	}
	p.Settings.Derive.Network = []string{"SF-1", "MAU-1"}
	var list []model.Equipment
	for i, control := range []string{"variable-frequency-drive", "fan-interface-box", "starter"} {
		for j, scheme := range []string{"supply-variable", "exhaust-constant", "return", "electrical-room"} {
			list = append(list, fan(scheme, control, func(e *model.Equipment) {
				damper(true)(e)
				e.Tag, e.FireResponse = fmt.Sprintf("F-%d%d", i, j), "stop"
			}))
		}
	}
	list = append(list, fan("make-up-air", "packaged", func(e *model.Equipment) { e.Tag = "MAU-1" }), fan("supply-variable", "variable-frequency-drive", func(e *model.Equipment) { e.Tag = "SF-1" }))
	have := map[string]bool{}
	for _, q := range Derive(lib, p, list).Points {
		have[Base(q.Role)] = true
	}
	for _, row := range rows {
		kind := row["point_kind"]
		if kind == "other" {
			continue
		}
		ours, ok := carries[kind]
		if !ok {
			t.Errorf("%s has no role of ours", kind)
		}
		for _, role := range ours {
			if !have[role] {
				t.Errorf("%s: no fan gets %s", kind, role)
			}
		}
	}
}

// TestOneFanCarriesEachPattern: the points that one fan of a real building
// carries together can stand on one fan of ours of that use.
func TestOneFanCarriesEachPattern(t *testing.T) {
	lib := loaded(t)
	as := map[string][2]string{"exhaust": {"exhaust-variable", "variable-frequency-drive"}, "standby": {"exhaust-variable", "variable-frequency-drive"},
		"return": {"return", "variable-frequency-drive"}, "supply": {"supply-variable", "variable-frequency-drive"}, "unspecified": {"supply-variable", "variable-frequency-drive"},
		"fcu": {"fan-coil", "ec-direct"}, "terminal": {"series-terminal", "ec-direct"}}
	p := &model.Project{}
	for _, r := range lib.Roles() {
		p.Settings.Derive.Optional = append(p.Settings.Derive.Optional, r.ID)
	}
	have := map[string]map[string]bool{}
	for use, of := range as {
		have[use] = map[string]bool{}
		for _, network := range [][]string{nil, {"all"}} {
			p.Settings.Derive.Network = network
			for _, q := range Derive(lib, p, []model.Equipment{fan(of[0], of[1], damper(true))}).Points {
				have[use][Base(q.Role)] = true
			}
		}
	}
	looked := 0
	for _, row := range oracle(t, "fan-patterns.tsv") {
		for kind := range strings.SplitSeq(row["pattern"], "+") {
			if kind == "(only other kinds)" {
				continue
			}
			looked++
			if !slices.ContainsFunc(carries[kind], func(role string) bool { return have[row["role"]][role] }) {
				t.Errorf("%s: %s has none of %v", row["role"], kind, carries[kind])
			}
		}
	}
	if looked < 170 {
		t.Errorf("only %d points looked at", looked)
	}
}

// TestModelAirHandler: the two fans of the example air handler of Brick with
// Guideline 36 points are derived from what they are, and their points there
// are found among ours.
func TestModelAirHandler(t *testing.T) {
	text, err := os.ReadFile("../../../shared/opendata/g36-ahu-a9.ttl")
	if err != nil {
		t.Skip("the open data are not here")
	}
	ours := map[string]string{"Fan_Status": "status", "Speed_Setpoint": "speed", "Start_Stop_Command": "start"}
	scheme := map[string]string{"Supply_Fan": "supply-variable", "Return_Fan": "return"}
	class := map[string]string{}
	for _, m := range regexp.MustCompile(`ex:(\w+)\s+a\s+brick:(\w+)`).FindAllStringSubmatch(string(text), -1) {
		class[m[1]] = m[2]
	}
	fans := 0
	for tag, kind := range class {
		if scheme[kind] == "" {
			continue
		}
		fans++
		have := map[string]bool{}
		for _, q := range Derive(loaded(t), withoutSoftware(), []model.Equipment{fan(scheme[kind], "variable-frequency-drive", func(e *model.Equipment) { e.Tag = tag })}).Points {
			have[q.Role] = true
		}
		n := 0
		for point, c := range class {
			if strings.HasPrefix(point, tag+"_") {
				n++
				if !have[ours[c]] {
					t.Errorf("%s: %s there, no %q of ours", tag, c, ours[c])
				}
			}
		}
		// Beyond their three we plan what the wiring and the safeties need.
		for _, more := range []string{"not-in-auto", "drive-fault", "high-static"} {
			if !have[more] {
				t.Errorf("%s: no %s", tag, more)
			}
		}
		if n != 3 {
			t.Errorf("%s has %d points there", tag, n)
		}
	}
	if fans != 2 {
		t.Errorf("%d fans", fans)
	}
}
