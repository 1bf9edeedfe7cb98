package library

import "tallywire/model"

// HookUp is the standard wiring of one matter: for the equipment that Match
// describes, which devices stand there and which of their terminals are
// joined. Of several hook-ups that could make the same circuit or the same
// device, the one with the most conditions does; among equals the later one,
// so that a user's own record wins over a built-in one.
type HookUp struct {
	ID       string        `json:"id"`
	Name     string        `json:"name"`
	Match    HookUpMatch   `json:"match"`
	Devices  []DeviceRule  `json:"devices"`
	Circuits []CircuitRule `json:"circuits"`
	Why      string        `json:"why"`
	Source   string        `json:"source"`
	Placed
}

// RecordID returns the id of the hook-up.
func (h HookUp) RecordID() string { return h.ID }

// HookUpMatch is a closed set of conditions; an empty one holds always, a list
// holds if it contains the equipment's value.
type HookUpMatch struct {
	Kinds         []string        `json:"kinds"`
	Schemes       []string        `json:"schemes"`
	Controls      []string        `json:"controls"`
	MotorTypes    []string        `json:"motor_types"`
	Dampers       []string        `json:"dampers"` // motorised, gravity, none
	DamperVolts   *model.Interval `json:"damper_volts"`
	FireResponses []string        `json:"fire_responses"`
	Roles         []string        `json:"roles"`         // all of them are hardwired points
	Without       []string        `json:"without"`       // none of them is
	StatusDevice  *bool           `json:"status_device"` // the list names what proves running
}

// Conditions counts the conditions that are set.
func (m HookUpMatch) Conditions() int {
	n := 0
	for _, list := range [][]string{m.Kinds, m.Schemes, m.Controls, m.MotorTypes, m.Dampers, m.FireResponses} {
		if len(list) > 0 {
			n++
		}
	}
	n += len(m.Roles) + len(m.Without)
	if m.DamperVolts != nil {
		n++
	}
	if m.StatusDevice != nil {
		n++
	}
	return n
}

// DeviceRule says which device type plays a role: the first choice whose
// conditions hold. Role may end in "*", which stands for the end of the role
// of the point that asks for it: gas-co* for gas-co-1.
type DeviceRule struct {
	Role    string         `json:"role"`
	Choices []DeviceChoice `json:"choices"`
	// Item is the row of the responsibility table that says who furnishes,
	// installs and wires it; what is stated here goes before the row, the owner
	// of the point before both.
	Item        string `json:"item"`
	FurnishedBy string `json:"furnished_by"`
	InstalledBy string `json:"installed_by"`
	WiredBy     string `json:"wired_by"`
	Why         string `json:"why"`
}

// DeviceChoice is a device type and when it is taken. A value of the equipment
// that is not known meets no condition but Assumed's: such a choice is taken
// when nothing else is, and its words tell the user what was assumed.
type DeviceChoice struct {
	Type        string          `json:"type"`  // id; "$status-device": what the list names
	Panel       string          `json:"panel"` // 24vac, 24vdc: a share of the panel's own supply
	Volts       *model.Interval `json:"volts"` // the machine's nominal volts lie inside
	Phases      int             `json:"phases"`
	Controls    []string        `json:"controls"`
	MotorTypes  []string        `json:"motor_types"`
	DamperVolts *model.Interval `json:"damper_volts"`
	EndSwitch   *bool           `json:"end_switch"`
	FireVolts   *model.Interval `json:"fire_volts"`
	FireCurrent string          `json:"fire_current"` // ac or dc; what the project states of the override circuits
	Assumed     string          `json:"assumed"`
}

// CircuitRule is one circuit. Its id is the key of Point, or EQUIPMENT/Name.
// Point is a role and may end in "*". Supply is taken only if what is driven
// needs one: a coil, a wet input or a load behind a contact.
type CircuitRule struct {
	Name       string    `json:"name"` // "" as Purpose
	Purpose    string    `json:"purpose"`
	Point      string    `json:"point"`
	ObjectType string    `json:"object_type"` // only for points of this type; "" any
	Drive      EndRule   `json:"drive"`
	Accepts    []EndRule `json:"accepts"`
	Supply     *EndRule  `json:"supply"`
	Run        string    `json:"run"`
	LineRun    string    `json:"line_run"` // instead of Run when the supply is a line-voltage branch
}

// EndRule names one end of a circuit by what it does: the first of Functions
// that the device has. Device "*" is every device of the equipment that has
// the function and is not fed yet. Controller leaves the end to the landing.
type EndRule struct {
	Controller bool     `json:"controller"`
	Device     string   `json:"device"`
	Functions  []string `json:"functions"`
}

func (l *Library) loadHookUps(own []model.LibraryFile) error {
	records, err := load[HookUp]("hookups", own)
	l.hookups = records
	return err
}

// HookUps lists the hook-ups in the order of the library, the user's new ones last.
func (l *Library) HookUps() []HookUp { return l.hookups }
