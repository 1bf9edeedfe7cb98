package derive

import (
	"fmt"
	"slices"
	"strconv"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// object holds one point against the rules of its object type.
func (v *validation) object(q *model.Point) {
	t, known := v.lib.Objects.Type(q.ObjectType)
	if !known {
		v.fault("object-type", q, "ASHRAE 135, clause 12", "take a type that the standard has", "%q is no object type", q.ObjectType)
		return
	}
	v.units(q, t)
	v.states(q, t)
	v.polarity(q, t)
	v.command(q, t)
	if q.Carried == model.Hardwired && !t.Input() && !t.Output() {
		v.fault("object-type", q, "ASHRAE 135, clause 12", "take the input or output type, or carry it as software", "a wire cannot carry a %s", q.ObjectType)
	}
	if q.Carried == model.Software && (t.Input() || t.Output()) {
		v.fault("object-type", q, "ASHRAE 135, clause 12", "take the value type", "a %s stands for a terminal; software has value objects", q.ObjectType)
	}
}

// units: numbers have one, in the table; states have none.
func (v *validation) units(q *model.Point, t library.ObjectType) {
	switch {
	case !t.Analog():
		if q.Units != "" {
			v.fault("object-units", q, identityClause, "take the units out", "a %s has no units, and %s are given", q.ObjectType, q.Units)
		}
		if q.Range != nil {
			v.fault("object-range", q, identityClause, "take the range out", "a %s has states, not a range", q.ObjectType)
		}
	case q.Units == "":
		v.fault("object-units", q, "ASHRAE 135, clause 21", "give units; no-units where it is a mere number", "a %s needs units", q.ObjectType)
	default:
		if _, ok := v.lib.Units.Named(q.Units); !ok {
			v.fault("object-units", q, "ASHRAE 135, clause 21", "take a unit that the standard has", "%q is no engineering unit of BACnet%s", q.Units, v.nearUnit(q.Units))
		}
	}
	if r := q.Range; r != nil && t.Analog() && r.Lo >= r.Hi {
		v.fault("object-range", q, "", "give the lower end first", "the range from %s to %s is empty", model.Figure(r.Lo), model.Figure(r.Hi))
	}
}

// nearUnit offers the unit of nearest name; "" none is near.
func (v *validation) nearUnit(name string) string {
	var names []string
	for _, u := range v.lib.Units.All() {
		names = append(names, u.ID)
	}
	if near := finding.Nearest(name, names); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// states: two for a binary object, one or more for a multi-state one, all named
// and told apart.
func (v *validation) states(q *model.Point, t library.ObjectType) {
	switch {
	case t.Binary() && len(q.States) != 2:
		v.fault("state-count", q, "ASHRAE 135, clause 12", "give two texts, inactive first", "a %s has two states and %d texts", q.ObjectType, len(q.States))
	case t.MultiState() && len(q.States) < 2:
		v.fault("state-count", q, "ASHRAE 135, clause 12", "give a text for each state", "a %s with %d state texts", q.ObjectType, len(q.States))
	case t.Analog() && len(q.States) > 0:
		v.fault("state-count", q, "ASHRAE 135, clause 12", "take the texts out", "a %s has a value, not states", q.ObjectType)
	}
	for i, text := range q.States {
		if text == "" || slices.Contains(q.States[:i], text) {
			v.fault("state-count", q, "ASHRAE 135, clause 12", "give each state a text of its own", "state %d is called %q, which is empty or stands twice", i+1, text)
		}
	}
}

// polarity: only inputs and outputs have one, and the sense of a contact is
// turned round once: by the polarity or by the texts, not by both. The role in
// the library is right in itself; every turn away from it must be met by
// another.
func (v *validation) polarity(q *model.Point, t library.ObjectType) {
	terminal := t.Binary() && (t.Input() || t.Output())
	if !terminal {
		if q.Polarity != "" {
			v.fault("polarity", q, "ASHRAE 135, clause 12", "take the polarity out", "a %s has no polarity", q.ObjectType)
		}
		return
	}
	if q.Polarity != "normal" && q.Polarity != "reverse" {
		v.fault("polarity", q, "ASHRAE 135, clause 12", "say normal or reverse", "a %s needs a polarity, and %q is none", q.ObjectType, q.Polarity)
		return
	}
	role, ok := v.lib.Role(Base(q.Role))
	if !ok || q.ContactSense == "" || role.ContactSense == "" || len(q.States) != 2 || len(role.States) != 2 {
		return
	}
	turns := 0
	for _, turned := range []bool{q.ContactSense != role.ContactSense, q.Polarity != role.Polarity, q.States[0] == role.States[1] && q.States[1] == role.States[0]} {
		if turned {
			turns++
		}
	}
	if turns%2 == 1 {
		v.fault("polarity-twice", q, "ASHRAE 135, clause 12; common practice", "turn the sense round in one place: the contact is "+role.ContactSense+" with "+role.Polarity+" polarity, or both the other way",
			"a %s contact with %s polarity and the texts %q, %q says the opposite of what it means", q.ContactSense, q.Polarity, q.States[0], q.States[1])
	}
}

// command: outputs take commands, inputs do not; a priority is 1 to 16 and not
// the one that the object writes itself; what holds with no command is told,
// and lies within the range.
func (v *validation) command(q *model.Point, t library.ObjectType) {
	if q.Priority == nil {
		if t.Commandable == "always" {
			v.fault("commandable", q, commandClause, "give the priority that the program writes at", "a %s takes commands, but no priority is given", q.ObjectType)
		}
		return
	}
	n := *q.Priority
	if t.Commandable == "no" {
		v.fault("commandable", q, commandClause, "take the priority out, or make it an output or a value", "a %s takes no commands, but the program writes it at priority %d", q.ObjectType, n)
		return
	}
	if slot, ok := v.lib.Objects.Slot(n); !ok {
		v.fault("commandable", q, commandClause, "take 1 to 16", "%d is no command priority", n)
	} else if slot.ID == "minimum-on-off" {
		v.fault("commandable", q, commandClause, "take another priority", "priority %d is written by the object itself for its minimum on and off times", n)
	}
	if q.RelinquishDefault == "" {
		v.fault("commandable", q, commandClause, "say what it does with no command", "a commanded %s needs a relinquish default", q.ObjectType)
		return
	}
	v.relinquish(q, t)
}

func (v *validation) relinquish(q *model.Point, t library.ObjectType) {
	good := true
	switch {
	case t.Binary():
		good = q.RelinquishDefault == "inactive" || q.RelinquishDefault == "active"
	case t.MultiState():
		n, err := strconv.Atoi(q.RelinquishDefault)
		good = err == nil && n >= 1 && n <= len(q.States)
	case t.Analog():
		f, err := strconv.ParseFloat(q.RelinquishDefault, 64)
		good = err == nil && (q.Range == nil || q.Range.Contains(model.Exactly(f)))
	}
	if !good {
		v.fault("relinquish-default", q, commandClause, "take a state or a value within the range", "%q is no relinquish default for a %s with its states and range", q.RelinquishDefault, q.ObjectType)
	}
}
