package intake

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tallywire/excel"
	"tallywire/model"
	"tallywire/model/finding"
)

// tableSheet makes a sheet of rows whose cells are parted by bars.
func tableSheet(file, name string, lines ...string) model.Sheet {
	s := model.Sheet{File: file, Name: name}
	for i, line := range lines {
		row := model.Row{Number: i + 1}
		for j, text := range strings.Split(line, "|") {
			if text != "" {
				row.Cells = append(row.Cells, model.Cell{Column: j + 1, Text: text})
			}
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func TestCOBie(t *testing.T) {
	const f = "building.xlsx"
	got := read(t, &model.Project{Sheets: []model.Sheet{
		tableSheet(f, "Type", "Name|Category|Description", "T200|Pr_65_67_29 : Fans|In-line extract unit", "CHAIR|Pr_40 : Chairs|Chair"),
		tableSheet(f, "Component", "Name|TypeName|Space|Description|TagNumber", "Extract:T200:1|T200|R101|n/a|EF-1", "Extract:T200:2|T200|R102|n/a|n/a", "Chair 1|CHAIR|R101|n/a|n/a"),
		tableSheet(f, "System", "Name|Category|ComponentNames", "Toilet extract 1|x|Extract:T200:1, Extract:T200:2"),
		tableSheet(f, "Space", "Name|FloorName|Description", "R101|Ground|WC female", "R102|Ground|WC male"),
		tableSheet(f, "Attribute", "Name|SheetName|RowName|Value|Unit", "DutyAirVolume|Type|T200|120|L/s", "NominalVoltage|Component|Extract:T200:1|21.3676992|n/a", "NominalVoltageCalc|Type|T200|230|n/a",
			"NumberOfPhases|Type|T200|1|n/a", "FullLoadCurrent|Type|T200|0.6 A|n/a", "UsageCurrent|Component|Extract:T200:1|0|n/a", "Mark|Component|Extract:T200:2|12|n/a", "MotorPower|Component|Extract:T200:2|abc1|n/a"),
		tableSheet(f, "PickLists", "Tag|CFM", "EF-77|100"),
	}})
	if s := got.tags(); s != "EF-1 MARK-12" {
		t.Fatal(s)
	}
	e := got.tag(t, "EF-1")
	if e.Ratings.Airflow.Unit != "L/s" || e.Ratings.Airflow.Value.Lo != 120 || e.Ratings.Airflow.Where.Sheet != "Attribute" || e.Ratings.Airflow.Where.Cell != "D2" {
		t.Errorf("airflow %+v", e.Ratings.Airflow)
	}
	if e.Ratings.Current.Value.Lo != 0.6 || e.Ratings.Service.Volts[0].Lo != 230 || e.Ratings.Service.Phases != 1 {
		t.Errorf("%+v %+v", e.Ratings, e.Ratings.Service)
	}
	if e.Kind != "toilet-exhaust-fan" || e.Location != "Ground" || e.Service != "R101 WC female" || e.System != "Toilet extract 1" {
		t.Errorf("%+v", e)
	}
	if !got.says("assumed", "EF-1", "internal unit") || !got.says("assumed", "MARK-12", "called by its mark") || got.find("out-of-scope", f) == nil {
		t.Errorf("the assumptions are not told: %+v", got.findings)
	}
	if f := got.find("unreadable-value", "MARK-12"); f == nil || f.Where.Cell != "D9" {
		t.Errorf("the motor power: %+v", f)
	}
}

func TestCOBieWithoutFans(t *testing.T) {
	got := read(t, &model.Project{Sheets: []model.Sheet{tableSheet("b.xlsx", "Type", "Name", "CHAIR"), tableSheet("b.xlsx", "Component", "Name|TypeName", "Chair 1|CHAIR")}})
	if f := got.find("no-fan", "b.xlsx"); len(got.list) != 0 || f == nil || f.Severity != finding.Caution || !strings.Contains(f.Message, "CHAIR") {
		t.Errorf("%v %+v", got.list, got.findings)
	}
}

// TestPublicCOBie reads the public workbooks where they stand beside the project.
func TestPublicCOBie(t *testing.T) {
	open := func(name string) *model.Project {
		data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "opendata", name))
		if err != nil {
			t.Skip("the public workbooks are not here")
		}
		sheets, err := excel.ReadSheets(name, data)
		if err != nil {
			t.Fatal(err)
		}
		return &model.Project{Sheets: sheets}
	}
	got := read(t, open("Lakeside_Restaurant.xlsx"))
	if len(got.list) != 8 {
		t.Fatalf("%d machines: %s", len(got.list), got.tags())
	}
	for _, e := range got.list {
		if e.Kind != "fan-convector" || e.Scheme == "" || e.Ratings.Airflow == nil || e.Ratings.Airflow.Value.Lo != 104 || e.Ratings.Airflow.Unit != "L/s" || e.Ratings.Current == nil || e.Ratings.Current.Value.Lo != 0.43 ||
			e.Ratings.Service == nil || e.Ratings.Service.Volts[0].Lo != 240 || e.Ratings.Service.Hertz != 50 || e.Ratings.Power != nil || e.Unresolved {
			t.Errorf("%+v %+v", e, e.Ratings)
		}
		for _, words := range []string{"no tag number", "fan convector", "packaged controls", "internal unit"} {
			if !got.says("assumed", e.Tag, words) {
				t.Errorf("%s: %q is not told", e.Tag, words)
			}
		}
	}
	got = read(t, open("OBN1-COBie-UK-2014.xlsx"))
	if len(got.list) != 0 || len(got.findings) != 1 || got.findings[0].Code != "no-fan" {
		t.Errorf("%s %+v", got.tags(), got.findings)
	}
}
