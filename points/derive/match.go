package derive

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// matches reports whether a condition holds for a machine, and in words each
// part that decides it: of a match all that hold, of a miss the first that
// does not.
func (w *world) matches(c library.Condition, m *machine) (bool, []string) {
	var held []string
	for _, t := range tests(w, c, m) {
		if t.absent {
			continue
		}
		if !t.holds {
			return false, []string{t.words}
		}
		held = append(held, t.words)
	}
	return true, held
}

// test is one stated part of a condition.
type test struct {
	absent bool
	holds  bool
	words  string
}

func tests(w *world, c library.Condition, m *machine) []test {
	family := ""
	if m.scheme != nil {
		family = m.scheme.Family
	}
	return []test{
		within("scheme", m.Scheme, c.Schemes), without("scheme", m.Scheme, c.NotSchemes),
		within("family", family, c.Families),
		within("kind", m.Kind, c.Kinds), without("kind", m.Kind, c.NotKinds),
		within("control", m.Control, c.Controls), without("control", m.Control, c.NotControls),
		within("motor type", m.Ratings.MotorType, c.MotorTypes), within("drive", m.Ratings.Drive, c.Drives),
		within("damper", m.Damper.Kind, c.Dampers), known("damper end switch", m.Damper.EndSwitch, c.EndSwitch),
		truth("variable speed", m.variable, c.Variable), known("emergency power", m.Emergency, c.Emergency),
		within("fire response", m.fire, c.Fire), truth("override input in use", m.override, c.Override),
		above("airflow", m.Ratings.Airflow, "cfm", c.AirflowAboveCFM), above("motor power", m.Ratings.Power, "hp", c.PowerAboveHP),
		below("motor power", m.Ratings.Power, "hp", c.PowerBelowHP),
		{absent: c.Failure == "", holds: w.failure == c.Failure, words: "setting alarms.fan_failure is " + w.failure},
		truth("setting derive.software_points", w.software, c.Software),
		truth("several machines in its system", len(m.group) > 1, c.GroupOf),
	}
}

func within(what, value string, list []string) test {
	return test{len(list) == 0, slices.Contains(list, value), what + " is " + orUnknown(value)}
}

func without(what, value string, list []string) test {
	return test{len(list) == 0, !slices.Contains(list, value), what + " is " + orUnknown(value)}
}

func truth(what string, value bool, want *bool) test {
	return test{want == nil, want != nil && value == *want, what + ": " + yesNo(value)}
}

// known is a test of a value that the list may leave open; open matches nothing.
func known(what string, value, want *bool) test {
	t := test{absent: want == nil, words: what + ": not stated"}
	if value != nil {
		t.holds, t.words = want != nil && *value == *want, what+": "+yesNo(*value)
	}
	return t
}

// above holds if the whole of the quantity is greater than the limit.
func above(what string, q *model.Quantity, unit string, limit *float64) test {
	return compare(what, q, unit, limit, "more than", func(v model.Interval, l float64) bool { return v.Lo > l })
}

// below holds if the whole of the quantity is less than the limit.
func below(what string, q *model.Quantity, unit string, limit *float64) test {
	return compare(what, q, unit, limit, "less than", func(v model.Interval, l float64) bool { return v.Hi < l })
}

func compare(what string, q *model.Quantity, unit string, limit *float64, relation string, holds func(model.Interval, float64) bool) test {
	if limit == nil {
		return test{absent: true}
	}
	if q != nil {
		if v, ok := q.In(unit); ok {
			return test{false, holds(v, *limit), fmt.Sprintf("%s is %s %s (asked: %s %s)", what, v, unit, relation, model.Figure(*limit))}
		}
	}
	return test{false, false, what + " is not stated"}
}

func orUnknown(s string) string {
	if s == "" {
		return "not known"
	}
	return s
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// wanted reports whether the settings keep a role: optional ones have to be
// asked for, any may be taken out; by role, or by TAG/role for one machine.
func wanted(s model.DeriveSettings, tag, role, base, need string) (bool, string) {
	names := []string{role, base, tag + "/" + role, tag + "/" + base}
	for _, n := range names {
		if slices.Contains(s.Without, n) {
			return false, "settings.derive.without lists " + n
		}
	}
	if need != "optional" {
		return true, ""
	}
	for _, n := range names {
		if slices.Contains(s.Optional, n) {
			return true, "settings.derive.optional lists " + n
		}
	}
	return false, "optional, and settings.derive.optional does not list " + strings.Join(names[:1], "")
}
