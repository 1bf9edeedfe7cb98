package model

import (
	"strings"

	"tallywire/model/finding"
)

// Project is everything the user said, each value with where it was said.
// Readers make it; Plan works on it.
type Project struct {
	Name     string
	Number   string
	Issue    string
	Date     string
	Author   string
	Building string // short mark used in object names; "" none
	Inputs   []Input
	// Sheets are the tables of the equipment lists in order; a later list
	// revises an earlier one.
	Sheets []Sheet
	// Against are the other trades' documents, for crosscheck.
	Against []Document
	// Overrides are what the project file says of single tags, by tag.
	Overrides []EquipmentOverride
	Settings  Settings
	// DeviceTypes, and the raw records of schemes, roles and other subjects
	// that the user added, go to the library through its own door.
	DeviceTypes []DeviceType
	Library     []LibraryFile
	Devices     []DeviceOverride
	Circuits    []CircuitOverride
	Cables      []Cable // what the project says of cables: circuits, class, raceway
	Interlocks  []Interlock
	Panels      []Panel
	Controllers []ControllerModel // the user's own catalogue; empty: the built-in one
	Prices      []Price
	Exceptions  []Exception
	Answers     []Answer // accepted from returned workbooks
	// Existing are the points that the building has, from exchange files, scans
	// or models; empty where there are none to keep.
	Existing []ExistingPoint
	// Findings are what the readers could not make out.
	Findings []finding.Finding
}

// Input is a file that the project was read from.
type Input struct {
	File   string `json:"file"` // relative to the input's folder, forward slashes
	Name   string `json:"name"` // Mechanical fan schedule
	Issue  string `json:"issue"`
	Role   string `json:"role"` // equipment list, addendum, project, electrical schedule ...
	SHA256 string `json:"sha256"`
}

// Document is another trade's list for crosscheck.
type Document struct {
	Input  Input
	Sheets []Sheet
}

// EquipmentOverride is what the project file says of one tag. A nil field says
// nothing. Add makes the tag if no list has it; Remove takes it out.
type EquipmentOverride struct {
	Tag    string
	Add    bool
	Remove bool
	Values map[string]Text // by field name, as if typed in a list column of that name
	Where  *Where
}

// DeviceOverride states the type or limits of one device of the plan.
type DeviceOverride struct {
	ID        string
	Type      string // "" unchanged
	Terminals []Terminal
	Settings  []Parameter // what is set on it
	Barrier   *bool       // of its housing; nil unchanged
	Where     *Where
}

// CircuitOverride replaces a hook-up's circuit, adds one, or states its conductor.
type CircuitOverride struct {
	Circuit Circuit
	Remove  bool
	Where   *Where
}

// LibraryFile is a user's own library file: subject (schemes, roles, hookups,
// headings ...) and text.
type LibraryFile struct {
	Subject string
	File    string
	Text    []byte
}

// Interlock is one edge: what From does makes To do.
type Interlock struct {
	From       string `json:"from"` // tag, or event such as fire-zone-1
	To         string `json:"to"`
	Signal     string `json:"signal"` // status, command, damper-end-switch, ...
	Action     string `json:"action"` // start, stop, permit, full-speed, off
	Hard       *bool  `json:"hard"`   // by circuit; false by sequence; nil not stated
	Energise   *bool  `json:"energise_to_act"`
	Supervised *bool  `json:"supervised"`
	Owner      string `json:"owner"`
	Reason     string `json:"reason"`
	// Leg is where a wired stop or permissive acts: auto, common, drive,
	// bypass; "" is common.
	Leg string `json:"leg"`
	// Fail is what the target does when the wire or the program is lost; worked
	// out by the plan where the project does not say.
	Fail  string `json:"fail_state"`
	Where *Where `json:"where"`
}

// StandsIn reports whether the interlock starts one machine because another
// failed: the two are duty and standby.
func (i Interlock) StandsIn() bool {
	switch strings.ToLower(i.Action) {
	case "standby":
		return true
	case "start", "run", "on", "":
		switch strings.ToLower(i.Signal) {
		case "failed", "failure", "alarm", "fault":
			return true
		}
	}
	return false
}

// Exception is a deliberate departure: a code that does not count for a
// subject, with the reason.
type Exception struct {
	Code    string `json:"code"`
	Subject string `json:"subject"`
	Reason  string `json:"reason"`
	Where   *Where `json:"where"`
}

// Answer is a value of a point that came back from somebody and was accepted:
// it wins over what the plan would have put there. From says whose.
type Answer struct {
	Key   string `json:"key"`
	Field string `json:"field"`
	Value string `json:"value"`
	From  string `json:"from"`
	Where *Where `json:"where"`
}

// Price replaces a placeholder price, in whole cents.
type Price struct {
	Item  string
	Cents int64
	Where *Where
}

// PriceOf is the project's own price of an item in cents, else the one listed
// in the library, which is a placeholder; nil if nobody knows one.
func (p *Project) PriceOf(item string, listed *int64) (cents *int64, placeholder bool) {
	for i := range p.Prices {
		if p.Prices[i].Item == item {
			return &p.Prices[i].Cents, false
		}
	}
	return listed, listed != nil
}

// Settings are the owner's conventions and the project's limits. The zero
// value of a field means its default, which the pass that uses it states.
type Settings struct {
	Units    string           `json:"units"` // ip, si
	Naming   NamingSettings   `json:"naming"`
	Alarms   AlarmSettings    `json:"alarms"`
	Wiring   WiringSettings   `json:"wiring"`
	Landing  LandingSettings  `json:"landing"`
	Derive   DeriveSettings   `json:"derive"`
	Fire     FireSettings     `json:"fire"`
	Restart  RestartSettings  `json:"restart"`
	Compare  CompareSettings  `json:"compare"`
	Codes    CodeSettings     `json:"codes"`
	Defaults DefaultSettings  `json:"defaults"`
	Workbook WorkbookSettings `json:"workbook"`
}

// NamingSettings shape object names and instance numbers. Pattern uses
// {building} {system} {equipment} {role} and separators.
type NamingSettings struct {
	Pattern       string            `json:"pattern"`
	Allowed       string            `json:"allowed"` // characters besides letters and digits
	MaxLength     int               `json:"max_length"`
	Abbreviations map[string]string `json:"abbreviations"` // role → short form
	Instances     string            `json:"instances"`     // per-type, per-equipment, vendor (left empty)
	FirstInstance int               `json:"first_instance"`
	FirstDevice   int               `json:"first_device"` // device instance of the first controller
	// Address is what the things of the building stand under in a linked model
	// (Brick); it ends with # or /. "": a placeholder.
	Address string `json:"address"`
}

// AlarmSettings: Edition picks the fan alarm timing: 2021, 2024-parallel, 2024-serial.
type AlarmSettings struct {
	Edition    string         `json:"edition"`
	FanFailure string         `json:"fan_failure"` // value: an object of its own; feedback: intrinsic on the output
	StartDelay *float64       `json:"start_delay_s"`
	StopDelay  *float64       `json:"stop_delay_s"`
	Classes    map[string]int `json:"classes"` // level → notification class
	Levels     map[string]int `json:"levels"`  // alarm name → level
}

// WiringSettings are the defaults of conductors and supplies.
type WiringSettings struct {
	LengthFt     *float64 `json:"length_ft"`
	ControlAWG   int      `json:"control_awg"`
	SupplyLoad   *float64 `json:"supply_load"`     // share of a supply that may be used, 0.8
	ControlVolts string   `json:"control_voltage"` // 24 V ac unless said
}

// LandingSettings govern spare and grouping.
type LandingSettings struct {
	SpareShare        *float64 `json:"spare_share"`
	SpareOne          *bool    `json:"spare_at_least_one"`
	Together          string   `json:"together"` // hard, soft, loose
	SplitPenaltyCents *int64   `json:"split_penalty_cents"`
	Effort            string   `json:"effort"` // quick, fast, exact
	// Panels, where the project states none: one for everything, or
	// by-location; "" by storeys where the list tells them.
	Panels string `json:"panels"`
	// PanelReach is how many storeys up and down a panel serves; nil one.
	PanelReach *int `json:"panel_reach_storeys"`
	MaxPoints  int  `json:"max_points_per_controller"`
}

// DeriveSettings switch points on and off.
type DeriveSettings struct {
	Software   *bool               `json:"software_points"`
	Optional   []string            `json:"optional"`    // optional roles wanted
	Without    []string            `json:"without"`     // roles not wanted
	StateTexts map[string][]string `json:"state_texts"` // role → texts
	// Network lists the machines whose own bus map is planned: tags, kinds,
	// schemes, or all.
	Network []string `json:"network"`
	// HandBy and OverrideBy say how the BAS learns that a machine is in hand or
	// overridden: input (a contact), flag (the output's overridden flag),
	// priority-slot (a slot of its priority array is in use).
	HandBy     string            `json:"hand_by"`
	OverrideBy string            `json:"override_by"`
	Trends     map[string]string `json:"trends"` // role → trend rule; "none" none
	// COVIncrements state the change that an analog object reports, by role, or
	// by BACnet unit for all objects in it.
	COVIncrements map[string]float64 `json:"cov_increments"`
}

// FireSettings are what the project says of its fire system.
type FireSettings struct {
	Volts           *Interval `json:"override_volts"` // what the fire trade puts on an override input
	Current         string    `json:"override_current"`
	Supervised      *bool     `json:"supervised"`
	EnergiseToAct   *bool     `json:"energise_to_act"`
	ResponseSeconds *float64  `json:"response_limit_s"`
	DefaultResponse string    `json:"default_response"`
	// Listings are the smoke-control listings that the user states; nothing else
	// is taken to be listed.
	Listings []SmokeListing `json:"smoke_control_listings"`
}

// SmokeListing is a listing for smoke control as somebody states it. Item is
// the panel, controller or machine that it covers, Listing its standard,
// category and file in the stater's words, By who states it.
type SmokeListing struct {
	Item    string `json:"item"`
	Listing string `json:"listing"`
	By      string `json:"by"`
}

// RestartSettings say how the BAS starts its fans again when power returns.
type RestartSettings struct {
	Stagger *float64 `json:"stagger_s"` // between two starts
	Order   []string `json:"order"`     // tags that go first, in this order
}

// CompareSettings are the tolerances of crosscheck, shares of the larger value.
type CompareSettings struct {
	Airflow  *float64 `json:"airflow"`
	Pressure *float64 `json:"pressure"`
	Power    *float64 `json:"power"`
	Current  *float64 `json:"current"`
}

// CodeSettings turn code reminders off, by rule id.
type CodeSettings struct {
	Off         []string          `json:"off"`
	Edition     map[string]string `json:"edition"`
	Storeys     *int              `json:"storeys"`
	ClimateZone string            `json:"climate_zone"`
}

// DefaultSettings are assumptions the user makes for the whole list.
type DefaultSettings struct {
	Kind        string    `json:"kind"`
	Scheme      string    `json:"scheme"`
	Control     string    `json:"control"`
	Service     string    `json:"service"` // 120/1/60
	DamperVolts *Interval `json:"damper_volts"`
}

// WorkbookSettings choose columns and sheets.
type WorkbookSettings struct {
	Columns    []string `json:"columns"`
	OwnColumns []string `json:"own_columns"`
	Paper      string   `json:"paper"` // letter, a4, tabloid (11 by 17 in), a3
}
