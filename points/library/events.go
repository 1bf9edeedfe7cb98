package library

import (
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// Event is something outside a fan's own commands that decides over it: a
// column of the cause-and-effect matrix.
type Event struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	// On and Off say the two states in words.
	On  string `json:"on"`
	Off string `json:"off"`
	// When says the event as a clause: "the fire alarm is active". "" is On.
	When string `json:"when"`
	// From are the names an interlock of the project may give it; a zone
	// number may follow (fire-zone-3).
	From    []string      `json:"from"`
	Signals []EventSignal `json:"signals"`
	// Each: every machine has its own, else the building has one.
	Each       bool `json:"each"`
	LifeSafety bool `json:"life_safety"`
	// Zones: an interlock may name one zone of it (fire-zone-3); the event itself
	// is then that of any zone.
	Zones  bool   `json:"zones"`
	Source string `json:"source"`
}

// Zone returns the zone that an interlock's name ends in, 0 for none.
func (e Event) Zone(name string) int {
	if !e.Zones {
		return 0
	}
	digits := name[len(strings.TrimRight(name, "0123456789")):]
	zone, _ := strconv.Atoi(digits)
	return zone
}

// InZone returns the event of one zone.
func (e Event) InZone(zone int) Event {
	n := strconv.Itoa(zone)
	if e.When != "" {
		e.When += " in zone " + n
	}
	e.ID, e.Name, e.On, e.Off = e.ID+"-zone-"+n, e.Name+", zone "+n, e.On+" in zone "+n, e.Off+" in zone "+n
	return e
}

// EventSignal is a contact that tells an event: the role of a device and the
// functions of its terminals.
type EventSignal struct {
	Role      string   `json:"role"`
	Functions []string `json:"functions"`
}

// RecordID returns the id of the event.
func (e Event) RecordID() string { return e.ID }

func (l *Library) loadEvents(own []model.LibraryFile) error {
	records, err := load[Event]("events", own)
	l.events = records
	return err
}

// Events lists the events in the order of the library.
func (l *Library) Events() []Event { return l.events }

// EventNamed returns the event that an interlock calls by that name.
func (l *Library) EventNamed(name string) (Event, bool) {
	name = strings.TrimRight(strings.ToLower(strings.NewReplacer(" ", "-", "_", "-").Replace(name)), "0123456789-")
	for _, e := range l.events {
		for _, from := range append([]string{e.ID}, e.From...) {
			if strings.TrimRight(from, "0123456789-") == name {
				return e, true
			}
		}
	}
	return Event{}, false
}

// EventOf returns the event that a contact of a device tells.
func (l *Library) EventOf(role, function string) (Event, bool) {
	for _, e := range l.events {
		for _, s := range e.Signals {
			if (role == s.Role || strings.HasPrefix(role, s.Role+"-")) && slices.Contains(s.Functions, function) {
				return e, true
			}
		}
	}
	return Event{}, false
}
