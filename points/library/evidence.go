package library

import "tallywire/model"

// Evidence is one reason to read a row in a certain way. It speaks for For
// about About (kind, scope, speed, control ...) with Weight, if every
// condition that it names holds. The conditions are a closed set; there is no
// expression language.
type Evidence struct {
	Placed
	ID     string  `json:"id"`
	About  string  `json:"about"`
	For    string  `json:"for"`
	Weight float64 `json:"weight"`
	// Prefixes: the letters of the tag are one of these.
	Prefixes []string `json:"prefixes"`
	// Suffixes: letters of the tag behind its number are one of these: SF of AHU-1-SF.
	Suffixes []string `json:"suffixes"`
	// Words: one of these phrases stands in one of Fields (any text field if
	// there are none), and none of Unless stands in the same field.
	Words  []string `json:"words"`
	Fields []string `json:"fields"`
	Unless []string `json:"unless"`
	// What has been read or inferred before.
	Kinds      []string `json:"kinds"`
	Speeds     []string `json:"speeds"`
	MotorTypes []string `json:"motor_types"`
	Controls   []string `json:"controls"`
	Phases     int      `json:"phases"`
	// Figures of the row; a figure that is not given does not match.
	PowerFrom   *float64 `json:"power_from_hp"`
	PowerBelow  *float64 `json:"power_below_hp"`
	AirflowFrom *float64 `json:"airflow_from_cfm"`
	NoMotor     bool     `json:"no_motor"` // neither power, current nor service is given
	Why         string   `json:"why"`
	Source      string   `json:"source"`
	Example     Example  `json:"example"`
	NearMiss    Example  `json:"near_miss"`
}

// Example is a row by field that a rule must match, or just misses.
type Example map[string]string

// RecordID implements the record form.
func (e Evidence) RecordID() string { return e.ID }

func loadEvidence(own []model.LibraryFile) ([]Evidence, error) {
	return load[Evidence]("evidence", own)
}
