package library

import "tallywire/model"

// Role is what a point does at its machine: the last part of the point key,
// and everything about the point that does not depend on the machine. A rule
// may state any of it otherwise.
type Role struct {
	ID           string `json:"id"`
	Name         string `json:"name"`         // for descriptions: "run status"
	Abbreviation string `json:"abbreviation"` // for object names: "STS"
	Attributes
	Source string `json:"source"`
	Placed
}

// Attributes describe a point. An empty field says nothing. Units are BACnet
// unit names (ASHRAE 135, clause 21), Range is in those units; the …SI fields
// hold where the project asks for SI.
type Attributes struct {
	Object              string          `json:"object"`  // BACnet object type in kebab case
	Carried             string          `json:"carried"` // hardwired, software, network
	Signal              string          `json:"signal"`
	Units               string          `json:"units"`
	UnitsSI             string          `json:"units_si"`
	Range               *model.Interval `json:"range"`
	RangeSI             *model.Interval `json:"range_si"`
	States              []string        `json:"states"` // inactive, active; or state 1..n
	Polarity            string          `json:"polarity"`
	ContactSense        string          `json:"contact_sense"`
	FailState           string          `json:"fail_state"`
	RelinquishDefault   string          `json:"relinquish_default"`
	RelinquishDefaultSI string          `json:"relinquish_default_si"`
	Priority            *int            `json:"priority"` // BACnet command priority the program writes at
	Trend               string          `json:"trend"`
	Item                string          `json:"item"` // row of the responsibility table
}

// RecordID returns the id of the role.
func (r Role) RecordID() string { return r.ID }

func (l *Library) loadRoles(own []model.LibraryFile) error {
	records, err := load[Role]("roles", own)
	l.roles = records
	return err
}

// Role returns the role of that id.
func (l *Library) Role(id string) (Role, bool) { return byID(l.roles, id) }

// Roles lists the roles in the order of the library.
func (l *Library) Roles() []Role { return l.roles }

// byID finds a record.
func byID[T identified](list []T, id string) (T, bool) {
	for _, r := range list {
		if r.RecordID() == id {
			return r, true
		}
	}
	var none T
	return none, false
}
