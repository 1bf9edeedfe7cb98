package library

import "tallywire/model"

// Condition is what a rule matches by. Every field that is stated must hold;
// of a list any one will do. There is no expression language on purpose: a
// rule can be read on its own and its reach can be printed. A value that the
// schedule does not give matches nothing, except where "" (unknown) is listed.
type Condition struct {
	Schemes     []string `json:"schemes"`
	NotSchemes  []string `json:"not_schemes"`
	Families    []string `json:"families"`
	Kinds       []string `json:"kinds"`
	NotKinds    []string `json:"not_kinds"`
	Controls    []string `json:"controls"`
	NotControls []string `json:"not_controls"`
	MotorTypes  []string `json:"motor_types"`
	Drives      []string `json:"drives"` // belt, direct
	Dampers     []string `json:"dampers"`
	EndSwitch   *bool    `json:"end_switch"`
	Variable    *bool    `json:"variable"` // the scheme asks for speed and the device can give it
	Emergency   *bool    `json:"emergency"`
	Fire        []string `json:"fire"`     // response to fire: stop, run, continue, none, ""
	Override    *bool    `json:"override"` // an override input of the controlling device is in use
	// Thresholds are strict, as the clauses they come from say "greater than".
	AirflowAboveCFM *float64 `json:"airflow_above_cfm"`
	// AirflowNotAboveCFM is the rest of AirflowAboveCFM: not above, or not stated.
	AirflowNotAboveCFM *float64 `json:"airflow_not_above_cfm"`
	PowerAboveHP       *float64 `json:"power_above_hp"`
	Failure            string   `json:"failure"` // setting: value, feedback
	Software           *bool    `json:"software"`
	GroupOf            *bool    `json:"group"`       // more than one machine of this scheme shares the system
	Duties             []string `json:"duties"`      // one of them is the duty of a machine of its system
	Network            *bool    `json:"network"`     // setting: the unit's own bus map is wanted
	HandBy             []string `json:"hand_by"`     // setting: input, flag, priority-slot
	OverrideBy         []string `json:"override_by"` // setting: input, flag, priority-slot
	Says               []string `json:"says"`        // the row's remarks or notes hold one of these words
}

// InhibitWords are what holds an alarm back besides points: the time after a
// start, the time after a stop, the machine standing still.
var InhibitWords = []string{"start-delay", "coast-down", "not-running"}

// Sample is a machine in short, for the example and the near miss of a rule.
type Sample struct {
	Scheme     string   `json:"scheme"`
	Kind       string   `json:"kind"`
	Control    string   `json:"control"`
	MotorType  string   `json:"motor_type"`
	Drive      string   `json:"drive"`
	Damper     string   `json:"damper"`
	EndSwitch  *bool    `json:"end_switch"`
	AirflowCFM *float64 `json:"airflow_cfm"`
	PowerHP    *float64 `json:"power_hp"`
	Emergency  *bool    `json:"emergency"`
	Fire       string   `json:"fire"`
	Failure    string   `json:"failure"`
	Software   *bool    `json:"software"`
	Sensors    int      `json:"sensors"`
	Network    bool     `json:"network"`
	HandBy     string   `json:"hand_by"`
	OverrideBy string   `json:"override_by"`
	Remarks    string   `json:"remarks"`
	Group      int      `json:"group"` // machines of the same system, this one first; 0 is one
	Duty       string   `json:"duty"`  // of all of them
	// Options are optional roles that the project asks for.
	Options []string `json:"options"`
}

// Rule makes one point: what it matches, what it emits, why.
type Rule struct {
	ID       string    `json:"id"`
	When     Condition `json:"when"`
	Emits    Emission  `json:"emits"`
	Why      string    `json:"why"`
	Source   string    `json:"source"`
	Example  Sample    `json:"example"`
	NearMiss Sample    `json:"near_miss"`
	Placed
}

// Emission is the point a rule makes: the role, and what is otherwise than
// the role says.
type Emission struct {
	Role string `json:"role"`
	Need string `json:"need"` // required, by-application, optional
	// Per: equipment (""), system (once for all machines that share it),
	// sensor (once for each sensor of the system; numbered).
	Per   string `json:"per"`
	Count int    `json:"count"` // how many, numbered from 1; 0 is one without a number
	// StatesFrom: machines makes the tags of the system's machines the states;
	// stages puts a state for each number of machines behind States.
	StatesFrom string `json:"states_from"`
	Feedback   string `json:"feedback"` // role of the point that proves this output
	// With: made only where the machine itself carries one of these roles.
	With       []string `json:"with"`
	LifeSafety bool     `json:"life_safety"`
	ByOthers   bool     `json:"by_others"`
	Attributes
}

// RecordID returns the id of the rule.
func (r Rule) RecordID() string { return r.ID }

func (l *Library) loadRules(own []model.LibraryFile) error {
	records, err := load[Rule]("rules", own)
	l.rules = records
	return err
}

// Rule returns the point rule of that id.
func (l *Library) Rule(id string) (Rule, bool) { return byID(l.rules, id) }

// Rules lists the point rules in the order of the library, which is the order
// of the points of a machine. The first rule that makes a role makes it.
func (l *Library) Rules() []Rule { return l.rules }
