package derive

import (
	"reflect"
	"strings"
	"testing"

	"tallywire/model"
)

func alarmsOf(t *testing.T, s model.Settings, e model.Equipment) map[string]model.Alarm {
	t.Helper()
	out := map[string]model.Alarm{}
	for _, a := range Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{e}).Alarms {
		if _, twice := out[a.ID]; twice {
			t.Errorf("alarm %s stands twice", a.ID)
		}
		out[a.ID] = a
	}
	return out
}

// TestDelays: the edition's figures where the fan proves at once, damper, ramp
// and margin where they take longer.
func TestDelays(t *testing.T) {
	stroke := func(s float64) func(*model.Equipment) {
		return func(e *model.Equipment) {
			damper(true)(e)
			e.Damper.Stroke = &model.Quantity{Value: model.Exactly(s), Unit: "s"}
		}
	}
	for _, c := range []struct {
		edition, control string
		more             func(*model.Equipment)
		failed, running  float64
	}{
		{"2021", "starter", nil, 15, 15},                                     // 0 + 5 + 10 is no more than 15
		{"2024-parallel", "starter", nil, 15, 60},                            //
		{"2024-serial", "starter", nil, 30, 75},                              //
		{"", "starter", nil, 15, 15},                                         // the default edition
		{"2021", "variable-frequency-drive", nil, 40, 40},                    // 0 + 30 + 10
		{"2021", "variable-frequency-drive", stroke(90), 130, 40},            // 90 + 30 + 10
		{"2024-serial", "variable-frequency-drive", nil, 40, 75},             //
		{"2024-parallel", "fan-interface-box", stroke(60), 60 + 20 + 10, 60}, //
		{"2024-parallel", "fan-interface-box", damper(true), 120, 60},        // 90 s taken
	} {
		e := fan("exhaust-constant", c.control, c.more)
		got := alarmsOf(t, model.Settings{Alarms: model.AlarmSettings{Edition: c.edition}}, e)
		if f, r := got["F-1/failed"].DelaySeconds, got["F-1/running-while-off"].DelaySeconds; f != c.failed || r != c.running {
			t.Errorf("%s, %s: failed after %v s, running after %v s; want %v and %v", c.edition, c.control, f, r, c.failed, c.running)
		}
	}
}

func TestOwnDelays(t *testing.T) {
	ten, ninety := 10.0, 90.0
	s := model.Settings{Alarms: model.AlarmSettings{StartDelay: &ten, StopDelay: &ninety}}
	e := fan("exhaust-constant", "fan-interface-box", damper(true))
	got := alarmsOf(t, s, e)
	if got["F-1/failed"].DelaySeconds != 10 || got["F-1/running-while-off"].DelaySeconds != 90 {
		t.Errorf("own delays: %v", got)
	}
	if !told(Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{e}).Findings, "alarm-too-fast", "F-1", "110 s") {
		t.Error("10 s against damper 90 s and ramp 20 s is not told")
	}
}

// TestAlarmForms: two objects with two levels, or one alarm on the output.
func TestAlarmForms(t *testing.T) {
	e := fan("exhaust-constant", "fan-interface-box", nil)
	got := alarmsOf(t, model.Settings{}, e)
	f, r := got["F-1/failed"], got["F-1/running-while-off"]
	if f.Source != "F-1/failure" || f.Algorithm != "change-of-state" || f.Level != 2 || f.Priority != 80 || f.Class != 2 {
		t.Errorf("failed: %+v", f)
	}
	if r.Source != "F-1/hand" || r.Level != 4 || r.Priority != 224 {
		t.Errorf("running while off: %+v", r)
	}
	if want := []string{"F-1/override-active", "start-delay"}; !reflect.DeepEqual(f.InhibitedBy, want) {
		t.Errorf("failed is held back by %v, want %v", f.InhibitedBy, want)
	}
	if want := []string{"F-1/override-active", "coast-down"}; !reflect.DeepEqual(r.InhibitedBy, want) {
		t.Errorf("running-while-off is held back by %v, want %v", r.InhibitedBy, want)
	}
	got = alarmsOf(t, model.Settings{Alarms: model.AlarmSettings{FanFailure: "feedback", Classes: map[string]int{"2": 40}}}, e)
	f = got["F-1/failed"]
	if f.Source != "F-1/start" || f.Algorithm != "command-failure" || f.DelaySeconds != 30 || f.Class != 40 {
		t.Errorf("failed by feedback: %+v", f)
	}
	if _, ok := got["F-1/running-while-off"]; ok {
		t.Error("the output's own alarm has one delay for both directions")
	}
}

// TestHandDoesNotHoldBackRunningWhileOff: a fan left in hand must be told.
func TestHandDoesNotHoldBackRunningWhileOff(t *testing.T) {
	got := alarmsOf(t, model.Settings{}, fan("exhaust-constant", "starter", nil))
	if want := []string{"coast-down"}; !reflect.DeepEqual(got["F-1/running-while-off"].InhibitedBy, want) {
		t.Errorf("held back by %v", got["F-1/running-while-off"].InhibitedBy)
	}
	if want := []string{"F-1/not-in-auto", "start-delay"}; !reflect.DeepEqual(got["F-1/failed"].InhibitedBy, want) {
		t.Errorf("held back by %v", got["F-1/failed"].InhibitedBy)
	}
}

func TestSoftwareOffFallsBackToTheOutput(t *testing.T) {
	s := model.Settings{Derive: model.DeriveSettings{Software: &off}}
	got := alarmsOf(t, s, fan("exhaust-constant", "starter", nil))
	if got["F-1/failed"].Source != "F-1/start" {
		t.Errorf("failed: %+v", got["F-1/failed"])
	}
	found := Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{fan("kitchen-exhaust", "packaged", nil)}).Findings
	if !told(found, "no-failure-alarm", "F-1", "not noticed") {
		t.Error("a kitchen fan without any failure alarm is not told")
	}
}

func TestAlarmsInSI(t *testing.T) {
	s := model.Settings{Units: "si"}
	e := fan("electrical-room", "relay", nil)
	p := Derive(loaded(t), &model.Project{Settings: s}, []model.Equipment{e})
	for _, q := range p.Points {
		if q.Role == "room-temperature" && (q.Units != "degrees-celsius" || q.Range.Hi != 50) {
			t.Errorf("%s: %s %v", q.Key, q.Units, q.Range)
		}
	}
	want := []model.Parameter{{Name: "high limit", Value: "40", Unit: "degrees-celsius"}, {Name: "low limit", Value: "4.4", Unit: "degrees-celsius"}, {Name: "deadband", Value: "2.2", Unit: "degrees-celsius"}, {Name: "limit enable", Value: "high"}}
	if got := alarmsOf(t, s, e)["F-1/room-hot"].Parameters; !reflect.DeepEqual(got, want) {
		t.Errorf("104 F, 40 F, 4 F: %v", got)
	}
}

// TestSupport: a starter fan on a schedule, with alarms of levels 2 and 4.
func TestSupport(t *testing.T) {
	a, b := fan("exhaust-constant", "starter", nil), fan("electrical-room", "relay", nil)
	b.Tag, b.System = "F-2", "E"
	c := fan("supply-variable", "variable-frequency-drive", nil)
	c.Tag, c.System = "SF-1", "AHU-1"
	got := Derive(loaded(t), &model.Project{Building: "B"}, []model.Equipment{a, b, c})
	count := map[string]int{}
	trended := 0
	for _, q := range got.Points {
		if q.Trend != "" {
			trended++
		}
	}
	byName := map[string]model.SupportObject{}
	for _, o := range got.Support {
		count[o.ObjectType]++
		byName[o.ObjectName] = o
		if o.Instance == nil || len(o.For) == 0 || o.Source == "" {
			t.Errorf("%+v", o)
		}
	}
	// Two fans run by the clock, in two systems; levels 2, 3 and 4; the speed
	// deviation is no alarm that an analog input makes by itself.
	if count[model.Schedule] != 2 || count[model.NotificationClass] != 3 || count[model.EventEnrollment] != 1 || count[model.TrendLog] != trended {
		t.Errorf("%v, %d trended", count, trended)
	}
	if o := byName["B_AHU-1_SCH"]; !reflect.DeepEqual(o.For, []string{"SF-1/enable-command"}) {
		t.Errorf("schedule: %+v", o)
	}
	if o := byName["B_F-2_RT_TL"]; o.Parameters[0].Value != "polled" || o.Parameters[1].Value != "300" {
		t.Errorf("trend of room temperature: %+v", o)
	}
	if o := byName["B_critical_equipment_NC2"]; *o.Instance != 2 || o.Parameters[0].Value != "80" || o.Parameters[3].Value != "to-offnormal, to-fault" {
		t.Errorf("class: %+v", o)
	}
	if o := byName["B_SF-1_SPEED-DEVIATION"]; o.Parameters[0].Value != "floating-limit" || o.Parameters[1].Value != "SF-1/speed-feedback" {
		t.Errorf("enrollment: %+v", o)
	}
}

// TestFollowersOfAGroup: four destratification fans on one relay have one
// start, one status and one failure alarm; four on boxes have four.
func TestFollowersOfAGroup(t *testing.T) {
	for control, want := range map[string]int{"relay": 1, "fan-interface-box": 4} {
		var list []model.Equipment
		for i := range 4 {
			e := fan("destratification", control, nil)
			e.Tag, e.System = "DF-"+string(rune('1'+i)), "hall"
			list = append(list, e)
		}
		got := Derive(loaded(t), &model.Project{}, list)
		n := map[string]int{}
		for _, q := range got.Points {
			n[q.Role]++
		}
		for _, a := range got.Alarms {
			if a.Algorithm == "change-of-state" && a.Level == 2 {
				n["failed"]++
			}
		}
		for _, role := range []string{"start", "status", "failure", "hand", "enable-command", "run-hours", "failed"} {
			if n[role] != want {
				t.Errorf("%s: %d %s, want %d", control, n[role], role, want)
			}
		}
		if n["ceiling-temperature"] != 1 || n["setpoint-difference"] != 1 {
			t.Errorf("%s: %v", control, n)
		}
	}
}

// TestNoObjectWithoutItsAlarm: a failure or hand object that nothing writes is
// no point; where the status is taken out they go with it.
func TestNoObjectWithoutItsAlarm(t *testing.T) {
	lib := loaded(t)
	for _, c := range hand {
		for _, without := range [][]string{nil, {"status"}} {
			s := model.Settings{Derive: model.DeriveSettings{Without: without}}
			for _, q := range Derive(lib, &model.Project{Settings: s}, []model.Equipment{c.fan}).Points {
				if (q.Role == "failure" || q.Role == "hand") && len(q.Alarms) == 0 {
					t.Errorf("%s, without %v: %s carries no alarm", c.name, without, q.Key)
				}
			}
		}
	}
}

// TestDamperAlarms: a damper that the BAS opens carries the alarm itself,
// against its end switch, so that a stopped fan with a shut damper is no
// alarm; one that the box opens has a value object for it.
func TestDamperAlarms(t *testing.T) {
	starter := alarmsOf(t, model.Settings{}, fan("exhaust-constant", "starter", damper(true)))["F-1/damper-not-open"]
	if starter.Source != "F-1/damper" || starter.Algorithm != "command-failure" || starter.Parameters[0].Value != "F-1/damper-open" || starter.DelaySeconds != 90+15 {
		t.Errorf("starter: %+v", starter)
	}
	box := alarmsOf(t, model.Settings{}, fan("exhaust-constant", "fan-interface-box", damper(true)))["F-1/damper-not-open"]
	if box.Source != "F-1/damper-failure" || box.Algorithm != "change-of-state" || box.Parameters[0].Value != "active" {
		t.Errorf("box: %+v", box)
	}
	engine := fan("generator-room", "starter", damper(true))
	engine.Fields = map[string]model.Text{"remarks": {Text: "Louvers by others"}}
	got := alarmsOf(t, model.Settings{}, engine)
	if a := got["F-1/damper-not-open"]; a.Source != "F-1/damper-failure" {
		t.Errorf("generator room: %+v", a)
	}
	if a := got["F-1/louver-not-open"]; a.Source != "F-1/louver-failure" || a.Level != 2 {
		t.Errorf("louvers: %+v", a)
	}
	if _, there := alarmsOf(t, model.Settings{}, fan("exhaust-constant", "starter", damper(false)))["F-1/damper-not-open"]; there {
		t.Error("a damper without an end switch alarms against nothing")
	}
}

// TestAlarmTextsSayTheLimit: a text names the limit in the project's units,
// and an alarm that is only for heat does not watch the cold.
func TestAlarmTextsSayTheLimit(t *testing.T) {
	value := func(a model.Alarm, name string) string {
		for _, p := range a.Parameters {
			if p.Name == name {
				return p.Value
			}
		}
		return ""
	}
	for _, c := range []struct {
		units, scheme, control, id, text, enable, held string
	}{
		{"", "electrical-room", "relay", "F-1/room-hot", "F-1 room is above 104 °F: look at fan, damper and filter", "high", ""},
		{"si", "electrical-room", "relay", "F-1/room-hot", "F-1 room is above 40 °C: look at fan, damper and filter", "high", ""},
		{"", "elevator-machine-room", "relay", "F-1/room-temperature", "F-1 elevator machine room is outside 50 °F to 95 °F: the elevators stop next", "both", ""},
		{"", "make-up-air", "packaged", "F-1/discharge-low", "F-1 discharge air is outside 40 °F to 130 °F: look at burner or coil", "both", "not-running"},
		{"", "relief", "starter", "F-1/pressure-off", "F-1 pressure is outside -0.05 inH₂O to 0.15 inH₂O: doors stand open or cannot be opened", "both", "not-running"},
		{"", "isolation-exhaust", "starter", "F-1/pressure-lost", "F-1 room is no longer below its surroundings (limit -0.01 inH₂O): look at doors, exhaust and supply", "high", "F-1/door-open"},
	} {
		a := alarmsOf(t, model.Settings{Units: c.units}, fan(c.scheme, c.control, nil))[c.id]
		if a.ToOffnormal != c.text || value(a, "limit enable") != c.enable || strings.Join(a.InhibitedBy, " ") != c.held {
			t.Errorf("%s %s: %q, limit enable %q, held back by %v", c.units, c.id, a.ToOffnormal, value(a, "limit enable"), a.InhibitedBy)
		}
	}
}
