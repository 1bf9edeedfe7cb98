package derive

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"tallywire/model"
)

// digest is a point of a plan in short.
func digest(r Result, key string) string {
	for _, q := range r.Points {
		if q.Key == key {
			instance := "none"
			if q.Instance != nil {
				instance = fmt.Sprint(*q.Instance)
			}
			return strings.Join([]string{q.ObjectType, q.Carried, q.ObjectName, instance, q.Units, strings.Join(q.States, "/"), q.Trend, optional(q.COVIncrement)}, " ")
		}
	}
	return "no point"
}

// told of an alarm: source, algorithm, delay, level, class.
func alarmDigest(r Result, id string) string {
	for _, a := range r.Alarms {
		if a.ID == id {
			return fmt.Sprintf("%s %s %v L%d C%d", a.Source, a.Algorithm, a.DelaySeconds, a.Level, a.Class)
		}
	}
	return "no alarm"
}

// TestEverySettingChangesThePlan: every field of the settings that derivation
// reads has a case here that shows what it changes; a new field without one
// fails the test. What other passes and renderers read is named with its test.
func TestEverySettingChangesThePlan(t *testing.T) {
	lib := loaded(t)
	twenty, forty := 200.0, 400.0
	exhaust := fan("exhaust-variable", "variable-frequency-drive", nil)
	starter := fan("exhaust-constant", "starter", nil)
	point := func(key string) func(Result) string { return func(r Result) string { return digest(r, key) } }
	alarm := func(id string) func(Result) string { return func(r Result) string { return alarmDigest(r, id) } }
	type change struct {
		fan           model.Equipment
		set           func(*model.Settings)
		look          func(Result) string
		before, after string
	}
	cases := map[string]change{
		"units":                 {exhaust, func(s *model.Settings) { s.Units = "si" }, point("F-1/duct-pressure"), "analog-input hardwired F-1_DSP 1 inches-of-water  every 5 min 0.05", "analog-input hardwired F-1_DSP 1 pascals  every 5 min 10"},
		"naming.pattern":        {exhaust, func(s *model.Settings) { s.Naming.Pattern = "{role}.{equipment}" }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired SPD.F-1 1 percent  every 5 min 1"},
		"naming.allowed":        {exhaust, func(s *model.Settings) { s.Naming.Allowed = "_" }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired F_1_SPD 1 percent  every 5 min 1"},
		"naming.abbreviations":  {exhaust, func(s *model.Settings) { s.Naming.Abbreviations = map[string]string{"speed": "VSD"} }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired F-1_VSD 1 percent  every 5 min 1"},
		"naming.instances":      {exhaust, func(s *model.Settings) { s.Naming.Instances = "vendor" }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired F-1_SPD none percent  every 5 min 1"},
		"naming.first_instance": {exhaust, func(s *model.Settings) { s.Naming.FirstInstance = 700 }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired F-1_SPD 700 percent  every 5 min 1"},
		"naming.max_length": {exhaust, func(s *model.Settings) { s.Naming.MaxLength = 6 }, func(r Result) string { return fmt.Sprint(told(r.Findings, "name-too-long", "F-1/speed", "")) },
			"false", "true"},
		"alarms.edition":         {starter, func(s *model.Settings) { s.Alarms.Edition = "2024-serial" }, alarm("F-1/running-while-off"), "F-1/hand change-of-state 15 L4 C4", "F-1/hand change-of-state 75 L4 C4"},
		"alarms.fan_failure":     {starter, func(s *model.Settings) { s.Alarms.FanFailure = "feedback" }, alarm("F-1/failed"), "F-1/failure change-of-state 15 L2 C2", "F-1/start command-failure 15 L2 C2"},
		"alarms.start_delay_s":   {starter, func(s *model.Settings) { s.Alarms.StartDelay = &twenty }, alarm("F-1/failed"), "F-1/failure change-of-state 15 L2 C2", "F-1/failure change-of-state 200 L2 C2"},
		"alarms.stop_delay_s":    {starter, func(s *model.Settings) { s.Alarms.StopDelay = &forty }, alarm("F-1/running-while-off"), "F-1/hand change-of-state 15 L4 C4", "F-1/hand change-of-state 400 L4 C4"},
		"alarms.classes":         {starter, func(s *model.Settings) { s.Alarms.Classes = map[string]int{"2": 77} }, alarm("F-1/failed"), "F-1/failure change-of-state 15 L2 C2", "F-1/failure change-of-state 15 L2 C77"},
		"alarms.levels":          {starter, func(s *model.Settings) { s.Alarms.Levels = map[string]int{"failed": 3} }, alarm("F-1/failed"), "F-1/failure change-of-state 15 L2 C2", "F-1/failure change-of-state 15 L3 C3"},
		"derive.software_points": {starter, func(s *model.Settings) { s.Derive.Software = &off }, point("F-1/run-hours"), "analog-value software F-1_HRS 1 hours  daily 1", "no point"},
		"derive.optional":        {starter, func(s *model.Settings) { s.Derive.Optional = []string{"smoke"} }, point("F-1/smoke"), "no point", "binary-input hardwired F-1_SD 3  Normal/Alarm change of value none"},
		"derive.without":         {starter, func(s *model.Settings) { s.Derive.Without = []string{"F-1/not-in-auto"} }, point("F-1/not-in-auto"), "binary-input hardwired F-1_HOA 2  Auto/Not in auto change of value none", "no point"},
		"derive.state_texts":     {starter, func(s *model.Settings) { s.Derive.StateTexts = map[string][]string{"status": {"Stopped", "Proven"}} }, point("F-1/status"), "binary-input hardwired F-1_STS 1  Off/Running change of value none", "binary-input hardwired F-1_STS 1  Stopped/Proven change of value none"},
		"derive.network":         {exhaust, func(s *model.Settings) { s.Derive.Network = []string{"exhaust-variable"} }, point("F-1/output-frequency"), "no point", "analog-input network F-1_HZ 3 hertz  every 5 min 0.5"},
		"derive.hand_by":         {starter, func(s *model.Settings) { s.Derive.HandBy = "flag" }, point("F-1/not-in-auto"), "binary-input hardwired F-1_HOA 2  Auto/Not in auto change of value none", "binary-value software F-1_HOA 1  Auto/Not in auto change of value none"},
		"derive.override_by":     {fan("exhaust-constant", "fan-interface-box", nil), func(s *model.Settings) { s.Derive.OverrideBy = "priority-slot" }, point("F-1/override-active"), "binary-input hardwired F-1_OVR 2  Normal/Override change of value none", "binary-value software F-1_OVR 1  Normal/Override change of value none"},
		"derive.trends":          {starter, func(s *model.Settings) { s.Derive.Trends = map[string]string{"status": "every 1 min"} }, point("F-1/status"), "binary-input hardwired F-1_STS 1  Off/Running change of value none", "binary-input hardwired F-1_STS 1  Off/Running every 1 min none"},
		"derive.cov_increments":  {exhaust, func(s *model.Settings) { s.Derive.COVIncrements = map[string]float64{"speed": 2} }, point("F-1/speed"), "analog-output hardwired F-1_SPD 1 percent  every 5 min 1", "analog-output hardwired F-1_SPD 1 percent  every 5 min 2"},
		"fire.default_response":  {starter, func(s *model.Settings) { s.Fire.DefaultResponse = "stop" }, point("F-1/fire-stop"), "no point", "binary-input hardwired F-1_FS 3  Normal/Fire stop change of value none"},
	}
	elsewhere := map[string]string{
		"naming.first_device": "points/network: TestDeviceInstances", "naming.address": "points/exchange and cmd/tallywire: TestAddress",
	}
	for name, c := range cases {
		var plain, set model.Settings
		c.set(&set)
		if got := c.look(Derive(lib, &model.Project{Settings: plain}, []model.Equipment{c.fan})); got != c.before {
			t.Errorf("%s, before: %q, want %q", name, got, c.before)
		}
		if got := c.look(Derive(lib, &model.Project{Settings: set}, []model.Equipment{c.fan})); got != c.after {
			t.Errorf("%s, after: %q, want %q", name, got, c.after)
		}
	}
	for group, kind := range map[string]reflect.Type{"naming": reflect.TypeFor[model.NamingSettings](), "alarms": reflect.TypeFor[model.AlarmSettings](), "derive": reflect.TypeFor[model.DeriveSettings]()} {
		for i := range kind.NumField() {
			name := group + "." + kind.Field(i).Tag.Get("json")
			if _, has := cases[name]; !has && elsewhere[name] == "" {
				t.Errorf("nothing shows what settings.%s changes", name)
			}
		}
	}
}
