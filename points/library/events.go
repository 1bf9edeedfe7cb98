package library

import (
	"slices"
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
	// From are the names an interlock of the project may give it; a zone
	// number may follow (fire-zone-3).
	From    []string      `json:"from"`
	Signals []EventSignal `json:"signals"`
	// Each: every machine has its own, else the building has one.
	Each       bool   `json:"each"`
	LifeSafety bool   `json:"life_safety"`
	Source     string `json:"source"`
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
