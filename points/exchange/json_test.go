package exchange

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

func marshal(t *testing.T, v any) string {
	t.Helper()
	text, err := Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestJSONForm(t *testing.T) {
	type inner struct {
		Text  string          `json:"text"`
		Count map[string]int  `json:"count"`
		Limit *model.Interval `json:"limit"`
		Some  model.Interval  `json:"some"`
		Off   *bool           `json:"off"`
		Skip  string          `json:"-"`
		Omit  []string        `json:"omit,omitempty"`
	}
	one, no := model.Interval{Lo: -0.5, Hi: 12}, false
	got := marshal(t, struct {
		List []inner         `json:"list"`
		Map  map[string]bool `json:"map"`
		N    float64         `json:"n"`
	}{[]inner{{}, {Text: "<a&b> \"q\" \\ é \t\n\x01\xff", Count: map[string]int{"z": 1, "a&": -2, "": 3}, Limit: &one, Some: model.Exactly(24), Off: &no, Skip: "x", Omit: []string{"", "b"}}}, nil, 0.1})
	want := `{
  "list": [
    {
      "text": null,
      "count": {},
      "limit": null,
      "some": 0,
      "off": null,
      "omit": []
    },
    {
      "text": "<a&b> \"q\" \\ é \t\n\u0001�",
      "count": {
        "": 3,
        "a&": -2,
        "z": 1
      },
      "limit": [-0.5, 12],
      "some": 24,
      "off": false,
      "omit": [
        null,
        "b"
      ]
    }
  ],
  "map": {},
  "n": 0.1
}
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if !json.Valid([]byte(got)) {
		t.Error("no valid JSON")
	}
}

func TestNumbersAreShortAndExact(t *testing.T) {
	for f, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", 1e6: "1000000", 0.30000000000000004: "0.30000000000000004", 1e21: "1e+21", 5e-7: "5e-07", 90.000001: "90.000001", -3: "-3", 1.0 / 3: "0.3333333333333333"} {
		if got := strings.TrimSpace(marshal(t, f)); got != want {
			t.Errorf("%v is written %s, want %s", f, got, want)
		}
	}
}

// TestNumbersThatAreNone: the error names the place and nothing is written.
func TestNumbersThatAreNone(t *testing.T) {
	bad := math.NaN()
	for _, c := range []struct {
		plan  model.Plan
		place string
	}{
		{model.Plan{LandingProof: []model.LandingProof{{}, {Gap: math.Inf(1)}}}, "landing_proof[1].gap: +Inf"},
		{model.Plan{Points: []model.Point{{Range: &model.Interval{Lo: 0, Hi: bad}}}}, "points[0].range: NaN"},
		{model.Plan{Circuits: []model.Circuit{{Checks: []model.Check{{Margin: &bad}}}}}, "circuits[0].checks[0].margin: NaN"},
		{model.Plan{Equipment: []model.Equipment{{Fields: map[string]model.Text{"x": {}}, Ratings: model.Ratings{Airflow: &model.Quantity{Value: model.Exactly(bad)}}}}}, "equipment[0].ratings.airflow.value: NaN"},
	} {
		var out bytes.Buffer
		err := JSON(&out, &c.plan)
		if err == nil || !strings.HasPrefix(err.Error(), c.place) {
			t.Errorf("error %v, want one at %s", err, c.place)
		}
		if out.Len() > 0 {
			t.Errorf("%s: %d bytes were written all the same", c.place, out.Len())
		}
	}
	if _, err := Marshal(map[int]string{1: "x"}); err == nil {
		t.Error("a map by number was written")
	}
	if _, err := Marshal(struct{ F func() }{}); err == nil {
		t.Error("a function was written")
	}
}

// specimen is a plan with something in most places.
func specimen() *model.Plan {
	yes, instance, low := true, 7, 1.5
	return &model.Plan{
		SchemaVersion: model.SchemaVersion,
		Project:       model.ProjectHead{Name: "Brackwater <east> & west", Inputs: []model.Input{{File: "lists/fans.csv", SHA256: "00"}}},
		Settings:      model.Settings{Naming: model.NamingSettings{Abbreviations: map[string]string{"start": "SS"}}},
		Equipment: []model.Equipment{{Tag: "EF-1", Ratings: model.Ratings{Airflow: &model.Quantity{Value: model.Exactly(1200), Unit: "cfm", Text: "1,200", Where: &model.Where{File: "lists/fans.csv", Cell: "C2"}}},
			Emergency: &yes, Fields: map[string]model.Text{"Type": {Text: "=1+1"}}}},
		Points: []model.Point{
			{Key: "EF-1/start", Equipment: "EF-1", Role: "start", ObjectType: model.BinaryOutput, Instance: &instance, ObjectName: "EF1_SS", States: []string{"Off", "On"}, Carried: model.Hardwired, Alarms: []string{"EF-1/failed"}},
			{Key: "EF-1/speed", Equipment: "EF-1", Role: "speed", ObjectType: model.AnalogOutput, Units: "percent", Range: model.Span(0, 100), Carried: model.Hardwired},
		},
		Alarms:   []model.Alarm{{ID: "EF-1/failed", DelaySeconds: 15, Level: 2}},
		Circuits: []model.Circuit{{ID: "EF-1/start", Accepts: []model.End{{Device: "EF-1/box", Terminal: "start-dry"}}, Verdict: model.Pass, Checks: []model.Check{{Code: "nature", Verdict: model.Pass, Value: model.Span(1, 2), Margin: &low}}}},
		Findings: []finding.Finding{{Code: "assumed", Severity: finding.Note, Subject: "EF-1", Message: "a \"quoted\" <word>"}},
		Counts:   model.Counts{BySystem: map[string]model.TypeCounts{"": {"BO": 1}, "AHU-1": {"AO": 1}}},
	}
}

func TestWriteReadWrite(t *testing.T) {
	first := marshal(t, specimen())
	plan, err := ReadPlan([]byte(first))
	if err != nil {
		t.Fatal(err)
	}
	if second := marshal(t, plan); second != first {
		t.Errorf("read and written again it differs:\n%s\nwas\n%s", second, first)
	}
	if plan.Points[0].Instance == nil || *plan.Points[0].Instance != 7 || plan.Points[1].Description != "" || plan.Equipment[0].Ratings.Airflow.Where.Cell != "C2" {
		t.Errorf("something was lost: %+v", plan.Points)
	}
	if marshal(t, specimen()) != first {
		t.Error("the same plan gives other bytes the second time")
	}
}

func TestReadPlanRefuses(t *testing.T) {
	good := marshal(t, &model.Plan{SchemaVersion: model.SchemaVersion})
	for _, c := range []struct{ text, says string }{
		{strings.Replace(good, `"points": []`, `"pionts": []`, 1), `"pionts"`},
		{strings.Replace(good, `"points": []`, `"points": [`, 1), "invalid character"},
		{strings.Replace(good, `"schema_version": 1`, `"schema_version": "one"`, 1), "2:"},
		{strings.Replace(good, `"schema_version": 1`, `"schema_version": 99`, 1), "version 99"},
		{good + "{}", "behind the end"},
		{"", "EOF"},
		{"PK\x03\x04", "1:1"},
	} {
		_, err := ReadPlan([]byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.60q: %v, want %q", c.text, err, c.says)
		}
	}
	if _, err := ReadPlan([]byte("\ufeff" + good)); err != nil {
		t.Errorf("a byte-order mark: %v", err)
	}
}

func BenchmarkJSON(b *testing.B) {
	plan := specimen()
	for range 12 {
		plan.Points = append(plan.Points, plan.Points...)
	}
	for b.Loop() {
		text, err := Marshal(plan)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(text)))
	}
}
