package derive

import (
	"fmt"
	"strconv"

	"tallywire/model"
	"tallywire/model/finding"
)

// algorithms says which values an event algorithm works on.
var algorithms = map[string]string{
	"change-of-state": "states", "command-failure": "output", "out-of-range": "number", "floating-limit": "number",
	"unsigned-range": "number", "change-of-value": "number", "change-of-reliability": "any",
}

// checkAlarms holds alarms against their source objects and against each other.
func (v *validation) checkAlarms() {
	ids := map[string]bool{}
	first := map[string]*model.Alarm{} // source → its command-failure alarm
	for i := range v.alarms {
		a := &v.alarms[i]
		if ids[a.ID] {
			v.alarmFault("alarm-repeated", a, "", "rename one", "two alarms have the id %s", a.ID)
		}
		ids[a.ID] = true
		q, ok := v.at[a.Source]
		if !ok {
			v.alarmFault("alarm-source", a, alarmClause, "name a point of the plan", "its source %q is no point", a.Source)
			continue
		}
		v.algorithm(a, q)
		v.level(a)
		for _, p := range a.Parameters {
			if (p.Name == "feedback value" || p.Name == "setpoint reference") && v.at[p.Value] == nil {
				v.alarmFault("feedback", a, alarmClause, "plan the point that feeds it, or take another form of alarm", "its %s is %q, which is no point", p.Name, p.Value)
			}
		}
		if a.Algorithm != "command-failure" {
			continue
		}
		if q.Feedback == "" || v.at[q.Feedback] == nil {
			v.alarmFault("feedback", a, "ASHRAE 135, clause 13.3.4", "plan the status, or take the alarm out", "%s compares with a feedback value, and no status feeds it", q.Key)
		} else if !sameValue(q, v.at[q.Feedback]) {
			v.alarmFault("feedback", a, "ASHRAE 135, clause 13.3.4", "feed it from an object of the same kind", "%s is a %s and cannot be the feedback of a %s", q.Feedback, v.at[q.Feedback].ObjectType, q.ObjectType)
		}
		if other := first[a.Source]; other != nil && (other.Level != a.Level || other.DelaySeconds != a.DelaySeconds) {
			v.alarmFault("two-levels", a, "ASHRAE 135, clause 13.3.4; ASHRAE Guideline 36", "set settings.alarms.fan_failure to value: an object of its own for each",
				"the output's own alarm has one level and one delay; %s has level %d after %s s, this one level %d after %s s",
				other.ID, other.Level, model.Figure(other.DelaySeconds), a.Level, model.Figure(a.DelaySeconds))
		} else if other == nil {
			first[a.Source] = a
		}
	}
}

// sameValue reports whether a point can be the feedback of an output.
func sameValue(output, status *model.Point) bool {
	if output.ObjectType == model.MultiStateOutput {
		return status.ObjectType == model.MultiStateInput || status.ObjectType == model.MultiStateValue
	}
	return output.ObjectType == model.BinaryOutput && (status.ObjectType == model.BinaryInput || status.ObjectType == model.BinaryValue)
}

func (v *validation) alarmFault(code string, a *model.Alarm, source, fix, message string, args ...any) {
	f := finding.Finding{Code: code, Severity: finding.Fault, Subject: a.ID, Message: fmt.Sprintf(message, args...), Fix: fix, Source: source}
	if q := v.at[a.Source]; q != nil {
		f.Where = q.Where
	}
	v.findings = append(v.findings, f)
}

// algorithm: the event algorithm fits the object, and its limits make sense.
func (v *validation) algorithm(a *model.Alarm, q *model.Point) {
	t, known := v.lib.Objects.Type(q.ObjectType)
	e, event := v.lib.Objects.Event(a.Algorithm)
	if !event || e.Deprecated {
		v.alarmFault("alarm-algorithm", a, alarmClause, "take an event algorithm of the standard", "%q is no event algorithm in force", a.Algorithm)
		return
	}
	fits := true
	switch algorithms[a.Algorithm] {
	case "states":
		fits = t.Binary() || t.MultiState()
	case "output":
		fits = t.Output() && !t.Analog()
	case "number":
		fits = t.Analog()
	}
	if known && !fits {
		v.alarmFault("alarm-algorithm", a, alarmClause, "take an algorithm that fits the object", "%s does not work on a %s", a.Algorithm, q.ObjectType)
	}
	if a.DelaySeconds < 0 {
		v.alarmFault("alarm-limits", a, alarmClause, "give 0 or more", "the delay is %s s", model.Figure(a.DelaySeconds))
	}
	if a.Algorithm == "out-of-range" {
		v.limits(a, q)
	}
}

// limits: high above low, the deadband fits between, both within the range of
// the point, where it can still be seen.
func (v *validation) limits(a *model.Alarm, q *model.Point) {
	number := func(name string) (float64, bool) {
		for _, p := range a.Parameters {
			if p.Name == name {
				f, err := strconv.ParseFloat(p.Value, 64)
				return f, err == nil
			}
		}
		return 0, false
	}
	for _, p := range a.Parameters {
		if p.Name == "limit enable" && p.Value != "high" && p.Value != "low" && p.Value != "both" {
			v.alarmFault("alarm-limits", a, alarmClause, "say high, low or both", "%q says nothing about which limit is watched", p.Value)
		}
	}
	high, okHigh := number("high limit")
	low, okLow := number("low limit")
	dead, okDead := number("deadband")
	switch {
	case !okHigh || !okLow || !okDead:
		v.alarmFault("alarm-limits", a, alarmClause, "give high limit, low limit and deadband", "it lacks a high limit, a low limit or a deadband")
	case high <= low || dead < 0 || dead >= high-low:
		v.alarmFault("alarm-limits", a, alarmClause, "put the high limit above the low one, and the deadband between", "high limit %s, low limit %s and deadband %s leave no normal value", model.Figure(high), model.Figure(low), model.Figure(dead))
	case q.Range != nil && (high > q.Range.Hi || low < q.Range.Lo):
		v.alarmFault("alarm-limits", a, alarmClause, "set the limits within the range of the sensor", "the limits %s and %s lie outside the range %s of %s", model.Figure(low), model.Figure(high), q.Range, q.Key)
	}
}

// level: 1 to 4, and the event priority carries the name of the level.
func (v *validation) level(a *model.Alarm) {
	from, to, ok := v.lib.Objects.LevelPriorities(a.Level)
	switch {
	case !ok:
		v.alarmFault("alarm-level", a, "ASHRAE Guideline 36", "take 1 life safety, 2 critical equipment, 3 urgent or 4 normal", "%d is no alarm level", a.Level)
	case a.Priority < from || a.Priority > to:
		v.alarmFault("alarm-level", a, "ASHRAE 135, clause 13 and annex M", fmt.Sprintf("take a priority from %d to %d", from, to), "event priority %d does not carry level %d", a.Priority, a.Level)
	}
	if a.Class < 0 || a.Class > 4194302 {
		v.alarmFault("alarm-level", a, identityClause, "take an instance from 0 to 4194302", "%d is no notification class", a.Class)
	}
}
