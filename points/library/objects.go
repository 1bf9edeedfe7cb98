package library

import (
	"slices"
	"strings"

	"tallywire/model"
)

// Objects are the object types, properties, event types and priorities of
// BACnet as this library knows them. Source: ASHRAE 135, clauses 12, 13, 19.2
// and 21; what is from memory says so in its table.
type Objects struct {
	types      []ObjectType
	byID       map[string]int
	properties map[string][]Property // by object type
	events     []EventType
	groups     []EventGroup
	slots      []CommandSlot
}

// ObjectType is an object type of the standard.
type ObjectType struct {
	Number       int
	ID           string // binary-output
	Abbreviation string // BO; "" where the trade has none
	Value        string // datatype of Present_Value: real, binary, unsigned ...; "" none, or not held here
	Commandable  string // no, always, optional
	Algorithm    string // event algorithm of intrinsic reporting; none: faults only; "" none known
	Source       string
}

// Binary reports whether the object has two states.
func (t ObjectType) Binary() bool { return t.Value == "binary" }

// MultiState reports whether the object has states numbered from 1.
func (t ObjectType) MultiState() bool { return strings.HasPrefix(t.ID, "multi-state-") }

// Analog reports whether the value is a number with units.
func (t ObjectType) Analog() bool { return t.Value == "real" || t.Value == "double" }

// Input reports whether the object type reads a terminal.
func (t ObjectType) Input() bool { return strings.HasSuffix(t.ID, "-input") }

// Output reports whether the object type commands a terminal.
func (t ObjectType) Output() bool { return strings.HasSuffix(t.ID, "-output") }

// Property is a property of an object type. Conformance: R readable and
// required, W writable and required, O optional. Condition says when an
// optional one is required or what goes with it; the table explains the words.
type Property struct {
	Object      string
	Name        string // present-value
	Number      int
	Conformance string
	Condition   string // "" none
}

// EventType is an event algorithm.
type EventType struct {
	Number     int
	ID         string
	Deprecated bool
}

// EventGroup is a range of event priorities: 0 is the most urgent, 255 the least.
type EventGroup struct {
	From, To int
	Group    string
	Network  string // network priority: life-safety, critical-equipment, urgent, normal
	Level    int    // alarm level of the same name, 1 life safety .. 4 normal
}

// CommandSlot is a command priority, 1 (wins) to 16.
type CommandSlot struct {
	Number int
	ID     string // manual-operator; available where the standard names no use
	Use    string // what the trade puts there; "" nothing in common
}

// Type returns the object type of that name.
func (o *Objects) Type(id string) (ObjectType, bool) {
	i, ok := o.byID[id]
	if !ok {
		return ObjectType{}, false
	}
	return o.types[i], true
}

// TypeNumber returns the object type of that number.
func (o *Objects) TypeNumber(n int) (ObjectType, bool) {
	return pick(o.types, func(t ObjectType) bool { return t.Number == n })
}

// TypeAbbreviated returns the object type of that abbreviation, in any case.
func (o *Objects) TypeAbbreviated(short string) (ObjectType, bool) {
	return pick(o.types, func(t ObjectType) bool {
		return t.Abbreviation != "" && strings.EqualFold(t.Abbreviation, short)
	})
}

// Types lists the object types by number.
func (o *Objects) Types() []ObjectType { return o.types }

// Properties lists the properties of an object type in the order of its
// table; none for types that have no table here.
func (o *Objects) Properties(objectType string) []Property { return o.properties[objectType] }

// Property returns a property of an object type.
func (o *Objects) Property(objectType, name string) (Property, bool) {
	return pick(o.properties[objectType], func(p Property) bool { return p.Name == name })
}

// Event returns the event type of that name.
func (o *Objects) Event(id string) (EventType, bool) {
	return pick(o.events, func(e EventType) bool { return e.ID == id })
}

// Events lists the event types by number.
func (o *Objects) Events() []EventType { return o.events }

// EventGroup returns the range that an event priority lies in; false outside 0 to 255.
func (o *Objects) EventGroup(priority int) (EventGroup, bool) {
	return pick(o.groups, func(g EventGroup) bool { return g.From <= priority && priority <= g.To })
}

// LevelPriorities returns the event priorities that carry the name of an alarm
// level, 1 life safety .. 4 normal.
func (o *Objects) LevelPriorities(level int) (from, to int, ok bool) {
	for _, g := range o.groups {
		if g.Level == level {
			if !ok {
				from, ok = g.From, true
			}
			to = g.To
		}
	}
	return from, to, ok
}

// Slot returns a command priority; false outside 1 to 16.
func (o *Objects) Slot(n int) (CommandSlot, bool) {
	return pick(o.slots, func(s CommandSlot) bool { return s.Number == n })
}

// Slots lists the command priorities, the winning one first.
func (o *Objects) Slots() []CommandSlot { return o.slots }

// Limits of object identifiers and names. Source: ASHRAE 135, clause 12.1
// (22 bits of instance; the highest means any, or not configured).
const (
	LastInstance     = 4194302
	WildcardInstance = 4194303
)

// pick returns the first of a list that fits.
func pick[T any](list []T, fits func(T) bool) (T, bool) {
	if i := slices.IndexFunc(list, fits); i >= 0 {
		return list[i], true
	}
	var none T
	return none, false
}

func (l *Library) readObjects([]model.LibraryFile) error {
	o := &Objects{byID: map[string]int{}, properties: map[string][]Property{}}
	for _, step := range []struct {
		file string
		row  func(cells) error
	}{
		{"types", func(c cells) error {
			o.byID[c.text("id")] = len(o.types)
			o.types = append(o.types, ObjectType{c.integer("number"), c.text("id"), c.optional("abbreviation"), c.optional("value"),
				c.text("commandable"), c.optional("algorithm"), c.text("source")})
			return nil
		}},
		{"properties", func(c cells) error {
			p := Property{c.text("object"), c.text("property"), c.integer("number"), c.text("conformance"), c.optional("condition")}
			o.properties[p.Object] = append(o.properties[p.Object], p)
			return nil
		}},
		{"event-types", func(c cells) error {
			o.events = append(o.events, EventType{c.integer("number"), c.text("id"), c.text("status") == "deprecated"})
			return nil
		}},
		{"event-priorities", func(c cells) error {
			o.groups = append(o.groups, EventGroup{c.integer("from"), c.integer("to"), c.text("group"), c.text("network"), c.integer("level")})
			return nil
		}},
		{"command-priorities", func(c cells) error {
			o.slots = append(o.slots, CommandSlot{c.integer("number"), c.text("id"), c.optional("use")})
			return nil
		}},
	} {
		if err := eachRow("objects/"+step.file+".tsv", step.row); err != nil {
			return err
		}
	}
	l.Objects = o
	return nil
}
