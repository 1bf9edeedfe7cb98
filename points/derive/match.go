package derive

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// matches reports whether a condition holds for a machine.
func (w *world) matches(c *library.Condition, m *machine) bool {
	for _, t := range tests(w, c, m) {
		if !t.absent && !t.holds {
			return false
		}
	}
	return true
}

// reasons says in words what decides a condition: of a match all that hold, of
// a miss the first that does not.
func (w *world) reasons(c *library.Condition, m *machine) (bool, []string) {
	var held []string
	for _, t := range tests(w, c, m) {
		if t.absent {
			continue
		}
		if !t.holds {
			return false, []string{t.words()}
		}
		held = append(held, t.words())
	}
	return true, held
}

// test is one stated part of a condition: what is looked at, the value it has,
// and of a threshold what is asked.
type test struct {
	absent      bool
	holds       bool
	what, value string
	measure     *model.Quantity
	unit        string
	asked       *float64
}

// words says what was looked at and what it is.
func (t test) words() string {
	if t.asked == nil {
		return t.what + " is " + orUnknown(t.value)
	}
	if t.measure != nil {
		if v, ok := t.measure.In(t.unit); ok {
			return fmt.Sprintf("%s is %s %s (asked: more than %s)", t.what, v, t.unit, model.Figure(*t.asked))
		}
	}
	return t.what + " is not stated"
}

func tests(w *world, c *library.Condition, m *machine) [26]test {
	family := ""
	if m.scheme != nil {
		family = m.scheme.Family
	}
	return [26]test{
		within("scheme", m.Scheme, c.Schemes), without("scheme", m.Scheme, c.NotSchemes),
		within("family", family, c.Families),
		within("kind", m.Kind, c.Kinds), without("kind", m.Kind, c.NotKinds),
		within("control", m.Control, c.Controls), without("control", m.Control, c.NotControls),
		within("motor type", m.Ratings.MotorType, c.MotorTypes), within("drive", m.Ratings.Drive, c.Drives),
		within("damper", m.Damper.Kind, c.Dampers), known("damper end switch", m.Damper.EndSwitch, c.EndSwitch),
		truth("variable speed", m.variable, c.Variable), known("emergency power", m.Emergency, c.Emergency),
		within("fire response", m.fire, c.Fire), truth("override input in use", m.override, c.Override),
		compare("airflow", m.Ratings.Airflow, "cfm", c.AirflowAboveCFM),
		notAbove(compare("airflow", m.Ratings.Airflow, "cfm", c.AirflowNotAboveCFM)),
		compare("motor power", m.Ratings.Power, "hp", c.PowerAboveHP),
		{absent: c.Failure == "", holds: w.failure == c.Failure, what: "setting alarms.fan_failure", value: w.failure},
		truth("setting derive.software_points", w.software, c.Software),
		truth("several machines in its system", len(m.fellows) > 1, c.GroupOf), duties(m, c.Duties),
		truth("setting derive.network asks for it", m.network, c.Network),
		within("setting derive.hand_by", w.handBy, c.HandBy), within("setting derive.override_by", w.overrideBy, c.OverrideBy),
		said(m, c.Says),
	}
}

// said is a test of words in what the row remarks.
func said(m *machine, words []string) test {
	t := test{absent: len(words) == 0, what: "the row's remarks", value: "without the word"}
	for _, field := range []string{"remarks", "notes"} {
		text := strings.ToLower(m.Fields[field].Text)
		for _, w := range words {
			if strings.Contains(text, w) {
				t.holds, t.value = true, w
			}
		}
	}
	return t
}

// duties is a test of what one of the machine's fellows is told to be.
func duties(m *machine, list []string) test {
	t := test{absent: len(list) == 0, what: "duty among its fellows", value: m.duty}
	for _, o := range m.fellows {
		if slices.Contains(list, o.duty) {
			t.holds, t.value = true, o.duty
		}
	}
	return t
}

func within(what, value string, list []string) test {
	return test{absent: len(list) == 0, holds: slices.Contains(list, value), what: what, value: value}
}

func without(what, value string, list []string) test {
	return test{absent: len(list) == 0, holds: !slices.Contains(list, value), what: what, value: value}
}

func truth(what string, value bool, want *bool) test {
	return test{absent: want == nil, holds: want != nil && value == *want, what: what, value: yesNo(value)}
}

// known is a test of a value that the list may leave open; open matches nothing.
func known(what string, value, want *bool) test {
	if value == nil {
		return test{absent: want == nil, what: what}
	}
	return truth(what, *value, want)
}

// notAbove turns a threshold round: it holds where the quantity is not above
// the limit, or not stated.
func notAbove(t test) test {
	t.holds = !t.holds
	return t
}

// compare holds if the whole of a quantity is above the limit. A quantity that
// is not stated holds nothing.
func compare(what string, q *model.Quantity, unit string, limit *float64) test {
	if limit == nil {
		return test{absent: true}
	}
	t := test{what: what, measure: q, unit: unit, asked: limit}
	if q != nil {
		if v, ok := q.In(unit); ok {
			t.holds = v.Lo > *limit
		}
	}
	return t
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
// entry is the setting that decided, "" none.
func wanted(s model.DeriveSettings, tag, role, base, need string) (keep bool, entry string) {
	names := []string{role, base, tag + "/" + role, tag + "/" + base}
	for _, n := range names {
		if slices.Contains(s.Without, n) {
			return false, n
		}
	}
	if need != "optional" {
		return true, ""
	}
	for _, n := range names {
		if slices.Contains(s.Optional, n) {
			return true, n
		}
	}
	return false, ""
}
