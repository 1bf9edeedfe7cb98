package intake

import (
	"testing"

	"tallywire/model"
)

func TestTransposedSchedule(t *testing.T) {
	got := read(t, &model.Project{Sheets: []model.Sheet{tableSheet("fans.xlsx", "M-601",
		"FAN SCHEDULE", "TAG:|EF-1|EF-2|(E) SF-3", "SERVES:|TOILETS|STORAGE|LOBBY", "SUPPLY  CFM|1,200|450|n/a", "EXTERNAL  STATIC  PRESSURE  (IN.  OF WATER)|0.5|0.25|1",
		"MOTOR H.P.:|1/4|1/6|2x", "VOLTAGE/PHASE|120/1|120/1|480/3", "NOTES:|1|-|2", "NOTES", "1. EC MOTOR", "2. INTERLOCK WITH EF-2")}})
	if s := got.tags(); s != "EF-1 EF-2 SF-3" {
		t.Fatal(s)
	}
	e := got.tag(t, "EF-1")
	if e.Ratings.Airflow == nil || e.Ratings.Airflow.Value.Lo != 1200 || e.Ratings.Airflow.Where.Cell != "B4" || e.Service != "TOILETS" || e.Ratings.Service.Volts[0].Lo != 120 || e.Where.Cell != "B2" {
		t.Errorf("%+v %+v", e, e.Ratings.Airflow)
	}
	if e := got.tag(t, "SF-3"); e.Bid != model.Existing || !e.Unresolved {
		t.Errorf("%+v", e)
	}
	if f := got.find("unreadable-value", "SF-3"); f == nil || f.Where.Cell != "D6" {
		t.Errorf("%+v", f)
	}
}

func TestTablesBesideAndBelow(t *testing.T) {
	for name, lines := range map[string][]string{
		"a blank column between": {"EXHAUST FANS||||SUPPLY FANS", "TAG|SERVICE|CFM||TAG|SERVICE|CFM", "EF-1|STORE|100||SF-1|LOBBY|900", "EF-2|SHOP|200||SF-2|HALL|800", "TAG|HP|CFM", "EF-3|1/2|300"},
		"no column between":      {"TAG|SERVICE|CFM|TAG|SERVICE|CFM", "EF-1|STORE|100|SF-1|LOBBY|900", "EF-2|SHOP|200|SF-2|HALL|800", "", "TAG|HP|CFM", "EF-3|1/2|300"},
	} {
		got := read(t, &model.Project{Sheets: []model.Sheet{tableSheet("fans.xlsx", "M-601", lines...)}})
		if s := got.tags(); s != "EF-1 EF-2 EF-3 SF-1 SF-2" {
			t.Errorf("%s: %s", name, s)
			continue
		}
		if e := got.tag(t, "SF-2"); e.Service != "HALL" || e.Ratings.Airflow.Value.Lo != 800 {
			t.Errorf("%s: %+v", name, e)
		}
		if e := got.tag(t, "EF-3"); e.Ratings.Power == nil || e.Ratings.Airflow.Value.Lo != 300 {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

func TestBlankColumnInsideOneTable(t *testing.T) {
	got := read(t, &model.Project{Sheets: []model.Sheet{tableSheet("fans.xlsx", "M-601", "TAG|SERVICE||CFM|HP", "EF-1|STORE||100|1/2")}})
	if e := got.tag(t, "EF-1"); e.Ratings.Airflow == nil || e.Ratings.Power == nil {
		t.Errorf("%+v", e.Ratings)
	}
}

func TestSectionsDittoAndTwoLineTags(t *testing.T) {
	got := read(t, project(t, "fans.csv", `UNIT,AREA,FAN,FAN DATA,,MOTOR DATA,,
NO.,SERVED,TYPE,CFM,S.P.,HP,VOLTS-PH-HZ,REMARKS
,,,,(IN. W.G.),,,(SEE NOTES)
EF-1,TOILETS,CRE,"2,300",.50,1/2,460-3-60,"1,2"
EF-2,DITTO,"""","""",do.,"""",460-3-60,
LEVEL 2,,,,,,,
EF-3,ELEC. RM 201,INLINE,500,.3,1/6,115-1-60,4
ALTERNATE 1,,,,,,,
EF-4,STORAGE,INLINE,500,.3,1/6,115-1-60,3
NOTES:,,,,,,,
1,"PROVIDE MOTORIZED DAMPER, 120 VOLT, WITH END SWITCH.",,,,,,
2,CURRENT SWITCH FOR STATUS.,,,,,,
3,SWITCHED WITH LIGHTS.,,,,,,
`))
	if s := got.tags(); s != "EF-1 EF-2 EF-3 EF-4" {
		t.Fatal(s)
	}
	e := got.tag(t, "EF-1")
	if e.Damper.Kind != "motorised" || e.Damper.Volts == nil || e.Damper.Volts.Lo != 120 || e.Damper.EndSwitch == nil || !*e.Damper.EndSwitch || e.StatusDevice != "current-switch-solid" || len(e.Notes) != 2 {
		t.Errorf("%+v", e)
	}
	if e := got.tag(t, "EF-2"); e.Kind != "toilet-exhaust-fan" || e.Ratings.Airflow == nil || e.Ratings.Airflow.Value.Lo != 2300 || e.Ratings.Airflow.Where.Cell != "D5" || !got.says("assumed", "EF-2", "ditto mark") {
		t.Errorf("%+v", e)
	}
	if e := got.tag(t, "EF-3"); e.Kind != "electrical-room-fan" || e.Bid != model.Base || e.Fields["section"].Text != "LEVEL 2" {
		t.Errorf("%+v", e)
	}
	if e := got.tag(t, "EF-4"); e.Bid != model.Alternate || e.Control != "none" {
		t.Errorf("%+v", e)
	}
}
