package derive

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// staged turns a sample into the machines of its system and the settings it
// speaks of.
func staged(s library.Sample) ([]model.Equipment, model.Settings) {
	e := model.Equipment{Tag: "X-1", Scheme: s.Scheme, Kind: s.Kind, Control: s.Control, FireResponse: s.Fire, Emergency: s.Emergency, Sensors: s.Sensors, Duty: s.Duty, System: "S"}
	e.Ratings.MotorType, e.Ratings.Drive = s.MotorType, s.Drive
	e.Damper.Kind, e.Damper.EndSwitch = s.Damper, s.EndSwitch
	if s.AirflowCFM != nil {
		e.Ratings.Airflow = &model.Quantity{Value: model.Exactly(*s.AirflowCFM), Unit: "cfm"}
	}
	if s.PowerHP != nil {
		e.Ratings.Power = &model.Quantity{Value: model.Exactly(*s.PowerHP), Unit: "hp"}
	}
	if s.Remarks != "" {
		e.Fields = map[string]model.Text{"remarks": {Text: s.Remarks}}
	}
	list := []model.Equipment{e}
	for len(list) < s.Group {
		next := e
		next.Tag = "X-" + string(rune('1'+len(list)))
		list = append(list, next)
	}
	var set model.Settings
	if s.Network {
		set.Derive.Network = []string{"all"}
	}
	set.Derive.HandBy, set.Derive.OverrideBy = s.HandBy, s.OverrideBy
	set.Alarms.FanFailure, set.Derive.Software, set.Derive.Optional = s.Failure, s.Software, s.Options
	return list, set
}

// ownRules holds the user's own rules against their own examples, as the tests
// do with the built-in ones, and against the schemes and roles they name.
func ownRules(lib *library.Library) []finding.Finding {
	var out []finding.Finding
	for _, r := range lib.Rules() {
		if builtInFile(r.Where) {
			continue
		}
		out = append(out, ownSchemes(lib, r.ID, r.When.Schemes, r.Where)...)
		out = append(out, ownSamples(lib, r.ID, &r.When, r.Example, r.NearMiss, r.Where)...)
	}
	for _, r := range lib.AlarmRules() {
		if builtInFile(r.Where) {
			continue
		}
		out = append(out, ownSchemes(lib, r.ID, r.When.Schemes, r.Where)...)
		// An alarm also needs its point, so only its near miss can be told by
		// the condition alone.
		if list, set := staged(r.Example); !survey(lib, set, list).first(&r.When) {
			out = append(out, sampleFinding(r.ID, "does not match its own example", r.Where))
		}
	}
	return out
}

// builtInFile reports whether a record stands in the library itself.
func builtInFile(w *model.Where) bool { return w == nil || strings.HasPrefix(w.File, "library/") }

// first reports whether a condition holds for the first machine.
func (w *world) first(c *library.Condition) bool { return w.matches(c, &w.machines[0]) }

func ownSamples(lib *library.Library, id string, when *library.Condition, example, miss library.Sample, where *model.Where) []finding.Finding {
	var out []finding.Finding
	if list, set := staged(example); !survey(lib, set, list).first(when) {
		out = append(out, sampleFinding(id, "does not match its own example", where))
	}
	if list, set := staged(miss); survey(lib, set, list).first(when) {
		out = append(out, sampleFinding(id, "matches its own near miss", where))
	}
	return out
}

func sampleFinding(id, what string, where *model.Where) finding.Finding {
	return finding.Finding{Code: "rule-example", Severity: finding.Caution, Subject: id, Where: where,
		Message: "the rule " + id + " " + what, Fix: "correct its conditions, or the example"}
}

func ownSchemes(lib *library.Library, id string, schemes []string, where *model.Where) []finding.Finding {
	var known []string
	for _, s := range lib.Schemes() {
		known = append(known, s.ID)
	}
	var out []finding.Finding
	for _, s := range schemes {
		if _, ok := lib.Scheme(s); ok {
			continue
		}
		f := finding.Finding{Code: "unknown-role", Severity: finding.Caution, Subject: id, Where: where,
			Message: fmt.Sprintf("the rule %s names the scheme %q, which does not exist", id, s), Fix: "correct it; `tallywire library` lists the schemes"}
		if near := finding.Nearest(s, known); near != "" {
			f.Message += fmt.Sprintf("; did you mean %q?", near)
		}
		out = append(out, f)
	}
	return out
}
