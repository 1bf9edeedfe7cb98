package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func load(t testing.TB) *library.Library {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// plant is a plan of that many controllers with ten fans each: hardwired,
// software and multi-state points, alarms, awkward texts.
func plant(controllers int) *model.Plan {
	plan := &model.Plan{SchemaVersion: model.SchemaVersion,
		Project: model.ProjectHead{Name: "Brackwater; east", Issue: "Issue 2", Date: "2026-01-04", Author: "=planner"}}
	for c := range controllers {
		instance := 1001 + c
		d := model.BACnetDevice{ID: fmt.Sprintf("PANEL-%d/C1", c+1), Name: fmt.Sprintf("BW_PANEL-%d_C1", c+1), Instance: &instance, Panel: fmt.Sprintf("PANEL-%d", c+1)}
		numbers := map[string]int{}
		for f := range 10 {
			tag := fmt.Sprintf("EF-%d", 10*c+f+1)
			for _, q := range []model.Point{
				{Role: "start", ObjectType: model.BinaryOutput, States: []string{"Off", "On"}, RelinquishDefault: "inactive", Terminal: fmt.Sprintf("RO%d", f+1), Carried: model.Hardwired, Description: "start/stop; of " + tag},
				{Role: "status", ObjectType: model.BinaryInput, States: []string{"Off", "Running"}, Carried: model.Hardwired, Description: "-run status"},
				{Role: "speed", ObjectType: model.AnalogOutput, Units: "percent", Range: model.Span(0, 100), RelinquishDefault: "0", Carried: model.Hardwired},
				{Role: "duct-pressure", ObjectType: model.AnalogInput, Units: "inches-of-water", Range: model.Span(-0.5, 5), Carried: model.Hardwired, Description: "duct\npressure"},
				{Role: "mode", ObjectType: model.MultiStateValue, States: []string{"Off", "Occupied", "Fire"}, RelinquishDefault: "Occupied", Carried: model.Software},
				{Role: "starts", ObjectType: model.AnalogValue, Units: "no-units", Carried: model.Software},
			} {
				q.Key, q.Equipment, q.ObjectName = tag+"/"+q.Role, tag, "BW_"+tag+"_"+q.Role
				n := numbers[q.ObjectType]
				numbers[q.ObjectType]++
				q.Instance = &n
				plan.Points = append(plan.Points, q)
				d.Points = append(d.Points, q.Key)
			}
			plan.Alarms = append(plan.Alarms, model.Alarm{ID: tag + "/pressure", Source: tag + "/duct-pressure", Algorithm: "out-of-range", Class: 30,
				Parameters: []model.Parameter{{Name: "high-limit", Value: "4.5", Unit: "inches-of-water"}, {Name: "low-limit", Value: "0.1", Unit: "inches-of-water"}}})
		}
		plan.Network = append(plan.Network, d)
	}
	return plan
}

func TestEDEReadsBackWhatItWrote(t *testing.T) {
	lib := load(t)
	for _, controllers := range []int{2, 50} {
		plan := plant(controllers)
		files, err := EDE(lib, plan, "Brackwater")
		if err != nil {
			t.Fatal(err)
		}
		if len(files) != 4 {
			t.Fatalf("%d files", len(files))
		}
		want, _ := edeOf(lib, plan)
		r := &edeReader{lib: lib, states: map[int][]string{}}
		if err := r.stateTexts(files[1]); err != nil {
			t.Fatal(err)
		}
		got, err := r.read(files[0])
		if err != nil {
			t.Fatal(err)
		}
		if len(r.findings) > 0 {
			t.Errorf("reading our own file: %v", r.findings)
		}
		if got.layout != "2.3" || got.project != "Brackwater, east" || got.author != "=planner" || got.date != "2026-01-04" || got.version != "Issue 2" {
			t.Errorf("head: %+v", got)
		}
		if len(got.objects) != len(want.objects) || len(want.objects) != controllers*61 {
			t.Fatalf("%d rows, want %d", len(got.objects), len(want.objects))
		}
		for i := range got.objects {
			g, w := got.objects[i], want.objects[i]
			g.line = 0
			w.description = oneLine.Replace(w.description) // the form has no quotes
			if !reflect.DeepEqual(g, w) {
				t.Errorf("row %d: %+v, want %+v", i, g, w)
			}
		}
		for i, s := range want.states {
			if !reflect.DeepEqual(r.states[i+1], s) {
				t.Errorf("states %d: %v, want %v", i+1, r.states[i+1], s)
			}
		}
		again, err := EDE(lib, plan, "Brackwater")
		if err != nil || !bytes.Equal(again[0].Text, files[0].Text) {
			t.Error("the same plan gives another file")
		}
		points, found, err := ReadEDE(lib, files)
		if err != nil || len(found) > 0 || len(points) != controllers*60 {
			t.Errorf("%d points, %v, %v", len(points), found, err)
		}
	}
}

// TestEDEForm holds the lines against the layout: head, duty of the columns,
// names, a row of each kind. Source: Engineering Data Exchange, layout 2.3.
func TestEDEForm(t *testing.T) {
	files, err := EDE(load(t), plant(1), "B")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(files[0].Text), "\r\n")
	for i, want := range map[int]string{
		0: "# Engineering-Data-Exchange - B.I.G.-EU", 1: "PROJECT_NAME;Brackwater, east", 2: "VERSION_OF_REFERENCEFILE;Issue 2", 3: "TIMESTAMP_OF_LAST_CHANGE;2026-01-04",
		4: "AUTHOR_OF_LAST_CHANGE;'=planner", 5: "VERSION_OF_LAYOUT;2.3",
		6:  "#mandatory;mandatory;mandatory;mandatory;mandatory" + strings.Repeat(";optional", 12),
		7:  "# keyname;device obj.-instance;object-name;object-type;object-instance;description;present-value-default;min-present-value;max-present-value;settable;supports COV;hi-limit;low-limit;state-text-reference;unit-code;vendor-specific-address;notification-class",
		8:  "PANEL-1/C1;1001;BW_PANEL-1_C1;8;1001;Controller in PANEL-1;;;;N;N;;;;;;",
		9:  "EF-1/start;1001;BW_EF-1_start;4;0;start/stop, of EF-1;0;;;Y;Y;;;1;;RO1;",
		10: "EF-1/status;1001;BW_EF-1_status;3;0;'-run status;;;;N;Y;;;2;;;",
		11: "EF-1/speed;1001;BW_EF-1_speed;1;0;;0;0;100;Y;;;;;98;;",
		12: "EF-1/duct-pressure;1001;BW_EF-1_duct-pressure;0;0;duct pressure;;-0.5;5;N;;4.5;0.1;;58;;30",
		13: "EF-1/mode;1001;BW_EF-1_mode;19;0;;2;;;Y;Y;;;3;;;",
		14: "EF-1/starts;1001;BW_EF-1_starts;2;0;;;;;N;;;;;95;;",
	} {
		if lines[i] != want {
			t.Errorf("line %d:\n got %s\nwant %s", i+1, lines[i], want)
		}
	}
	for i, want := range []string{
		"", "#State Text Reference\r\n#Reference Number;Text 1 or Inactive-Text;Text 2 or Active-Text;Text 3\r\n1;Off;On\r\n2;Off;Running\r\n3;Off;Occupied;Fire\r\n",
		"#Encoding of BACnet Engineering Units\r\n#Code;Unit Text\r\n58;inches-of-water\r\n95;no-units\r\n98;percent\r\n",
		"#Encoding of BACnet Object Types\r\n#Code;Object Type\r\n0;analog-input\r\n1;analog-output\r\n2;analog-value\r\n3;binary-input\r\n4;binary-output\r\n8;device\r\n19;multi-state-value\r\n",
	} {
		if i > 0 && string(files[i].Text) != want {
			t.Errorf("%s:\n%s\nwant\n%s", files[i].Name, files[i].Text, want)
		}
	}
}

// TestEDESupport: what serves points has rows too, one in each device that holds it.
func TestEDESupport(t *testing.T) {
	lib, plan := load(t), plant(2)
	class := 30
	plan.Support = []model.SupportObject{{ObjectType: model.NotificationClass, Instance: &class, ObjectName: "BW_NC30", Description: "urgent"}}
	plan.Network[0].Support, plan.Network[1].Support = []string{"BW_NC30"}, []string{"BW_NC30"}
	files, err := EDE(lib, plan, "B")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"PANEL-1/C1/BW_NC30;1001;BW_NC30;15;30;urgent;;;;N;;;;;;;\r\n", "PANEL-2/C1/BW_NC30;1002;BW_NC30;15;30;urgent;;;;N;;;;;;;\r\n"} {
		if !strings.Contains(string(files[0].Text), want) {
			t.Errorf("there is no row %s", want)
		}
	}
	plan.Support[0].Instance = nil
	if _, err := EDE(lib, plan, "B"); err == nil || !strings.Contains(err.Error(), "BW_NC30 has no object instance") {
		t.Error(err)
	}
}

// TestEDEIsStrict: what breaks the form or the standard is not written.
func TestEDEIsStrict(t *testing.T) {
	lib := load(t)
	same := 0
	for _, c := range []struct {
		what  string
		spoil func(*model.Plan)
		says  string
	}{
		{"no instance", func(p *model.Plan) { p.Points[0].Instance = nil }, "EF-1/start has no object instance"},
		{"no device instance", func(p *model.Plan) { p.Network[0].Instance = nil }, "PANEL-1/C1 has no device instance"},
		{"two devices, one instance", func(p *model.Plan) { p.Network[1].Instance = p.Network[0].Instance }, "PANEL-1/C1 and PANEL-2/C1 are both device 1001"},
		{"one name twice", func(p *model.Plan) { p.Points[1].ObjectName = p.Points[0].ObjectName }, "have the one object name"},
		{"one identifier twice", func(p *model.Plan) { p.Points[6].Instance = &same }, "are the one object 4,0 in device 1001"},
		{"instance out of range", func(p *model.Plan) { n := 4194303; p.Points[0].Instance = &n }, "outside 0 to 4194302"},
		{"no name", func(p *model.Plan) { p.Points[0].ObjectName = " " }, "the object name"},
		{"a name with a separator", func(p *model.Plan) { p.Points[0].ObjectName = "a;b" }, "the object name"},
		{"three states of two", func(p *model.Plan) { p.Points[0].States = []string{"a", "b", "c"} }, "a binary object has two states, not 3"},
		{"no states", func(p *model.Plan) { p.Points[4].States = nil }, "needs its state texts"},
		{"unknown unit", func(p *model.Plan) { p.Points[2].Units = "furlongs" }, `"furlongs" is no unit`},
		{"unknown type", func(p *model.Plan) { p.Points[2].ObjectType = "" }, "no object type"},
		{"one key twice", func(p *model.Plan) { p.Network[1].Points[0] = p.Network[0].Points[0] }, "stands twice"},
	} {
		plan := plant(2)
		c.spoil(plan)
		files, err := EDE(lib, plan, "B")
		var unfit *Unfit
		if !errors.As(err, &unfit) || !strings.Contains(err.Error(), c.says) || files != nil {
			t.Errorf("%s: %v, want %q", c.what, err, c.says)
		}
	}
}

// TestReadEDEExample reads a set that was made by hand.
func TestReadEDEExample(t *testing.T) {
	var files []File
	for _, name := range []string{"Example_EDE.csv", "Example_StateTexts.csv"} {
		text, err := os.ReadFile("testdata/example/" + name)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, File{name, text})
	}
	points, found, err := ReadEDE(load(t), files)
	if err != nil || len(found) > 0 || len(points) != 7 {
		t.Fatalf("%d points, %v, %v", len(points), found, err)
	}
	p := points[2]
	if p.ObjectName != "EF1_FanSpdRef" || p.ObjectType != model.AnalogOutput || p.Units != "percent" || *p.Device != 100201 || p.DeviceName != "Controller-EF1" || *p.Instance != 1 || p.Commandable == nil || !*p.Commandable || p.Address != "AO1" {
		t.Errorf("%+v", p)
	}
	if p = points[3]; strings.Join(p.States, " ") != "Auto Hand" || p.Where.Line != 13 {
		t.Errorf("%+v", p)
	}
}

// TestReadEDEIsLenient: what is met in practice is read, and told where it is odd.
func TestReadEDEIsLenient(t *testing.T) {
	lib := load(t)
	head := "# keyname;device obj.-instance;object-name;object-type;object-instance;description;present-value-default;min-present-value;max-present-value;commandable;supports COV;hi-limit;low-limit;state-text-reference;unit-code;vendor-specific-address\n"
	row := "K1;10;Fan;4;1;a fan;0;;;Y;N;;;1;;A1"
	for _, c := range []struct {
		what, text string
		odd        []string
		check      func(p model.ExistingPoint) bool
	}{
		{"layout 2", head + row + "\n", nil, func(p model.ExistingPoint) bool { return p.ObjectName == "Fan" && *p.Commandable }},
		{"a mark and an empty first line", "\ufeff\r\n" + head + row + "\r\n", nil, func(p model.ExistingPoint) bool { return p.Where.Line == 3 }},
		{"commas", strings.ReplaceAll(head+"\"K1\";10;\"Fan\";4;1;\"a fan\"\n", ";", ","), nil, func(p model.ExistingPoint) bool { return p.Description == "a fan" }},
		{"a trailing separator", head + row + ";;\n", nil, func(p model.ExistingPoint) bool { return p.Address == "A1" }},
		{"columns in another order", "#keyname;object-name;object-type;object-instance;device obj.-instance;unit-code\nK1;Flow;0;3;10;cfm\n", nil,
			func(p model.ExistingPoint) bool { return p.Units == "cubic-feet-per-minute" && *p.Instance == 3 }},
		{"a space behind the #", "# # keyname;device obj.-instance;object-name;object-type;object-instance\n" + row + "\n", nil, func(p model.ExistingPoint) bool { return *p.Instance == 1 }},
		{"a former unit name", head + "K1;10;T;0;1;;;;;N;N;;;;degrees-kelvin;\n", nil, func(p model.ExistingPoint) bool { return p.Units == "kelvin" }},
		{"type names", head + "K1;10;T;Binary Output;1\n", nil, func(p model.ExistingPoint) bool { return p.ObjectType == model.BinaryOutput }},
		{"type abbreviations", head + "K1;10;T;bo;1\n", nil, func(p model.ExistingPoint) bool { return p.ObjectType == model.BinaryOutput }},
		{"a vendor's type and unit", head + "K1;10;T;264;1;;;;;;;;;;50001\n", nil, func(p model.ExistingPoint) bool {
			return p.ObjectType == "proprietary-264" && p.Units == "proprietary-50001"
		}},
		{"state texts in the cell", head + "K1;10;T;3;1;;;;;;;;;Stopped/Running\n", nil, func(p model.ExistingPoint) bool { return len(p.States) == 2 && p.States[1] == "Running" }},
		{"old letters", head + "K1;10;T;3;1;L\xfcfter\n", nil, func(p model.ExistingPoint) bool { return p.Description == "Lüfter" }},
		{"one name twice", head + row + "\nK2;10;Fan;4;2\n", []string{`the object name Fan stands twice in device 10`}, nil},
		{"one object twice", head + row + "\nK2;10;Fan2;4;1\n", []string{`the object 4,1 stands twice in device 10`}, nil},
		{"no instance", head + row + "\nK2;10;Fan2;4;x\n", []string{`object-instance: "x" is no whole number`}, nil},
		{"no type", head + row + "\nK2;10;Fan2;fan;2\n", []string{`object-type: "fan"`}, nil},
		{"no such state texts", head + row + "\n", nil, func(p model.ExistingPoint) bool { return p.States == nil }},
		{"unknown unit", head + "K1;10;T;0;1;;;;;;;;;;wiggles\n", []string{`unit-code: "wiggles"`}, nil},
		{"instance that cannot be", head + "K1;10;T;0;4194303\n", []string{"above 4194302"}, nil},
	} {
		points, found, err := ReadEDE(lib, []File{{"x.csv", []byte(c.text)}})
		if err != nil || len(points) == 0 {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		var told []string
		for _, f := range found {
			if !strings.Contains(f.Message, "no file of the set holds") {
				told = append(told, f.Message)
			}
		}
		if len(told) != len(c.odd) || len(c.odd) == 1 && !strings.Contains(told[0], c.odd[0]) {
			t.Errorf("%s: told %q, want %q", c.what, told, c.odd)
		}
		if c.check != nil && !c.check(points[0]) {
			t.Errorf("%s: %+v", c.what, points[0])
		}
	}
	for _, bad := range []string{"", "tag;type\nEF-1;fan\n", "PK\x03\x04"} {
		if _, _, err := ReadEDE(lib, []File{{"x.csv", []byte(bad)}}); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

func FuzzReadEDE(f *testing.F) {
	lib := load(f)
	f.Add([]byte("# keyname;device obj.-instance;object-name;object-type;object-instance\nK1;10;Fan;4;1\n"))
	f.Add([]byte("object-type,object-instance\n\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		points, _, err := ReadEDE(lib, []File{{"x.csv", data}})
		for _, p := range points {
			if err != nil || p.Device == nil || p.Instance == nil || p.ObjectType == "" {
				t.Fatalf("%+v %v", p, err)
			}
		}
	})
}

// TestEDELeavesOutUnwatchedLimits: an alarm for heat alone has a low limit in
// its object and does not watch it.
func TestEDELeavesOutUnwatchedLimits(t *testing.T) {
	for enable, want := range map[string]string{"high": "N;;4.5;;;58;", "low": "N;;;0.1;;58;", "both": "N;;4.5;0.1;;58;"} {
		plan := plant(1)
		a := &plan.Alarms[0]
		a.Parameters = append(a.Parameters, model.Parameter{Name: "limit enable", Value: enable})
		files, err := EDE(load(t), plan, "B")
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(files[0].Text), want) {
			t.Errorf("%s: no row with %q", enable, want)
		}
	}
}
