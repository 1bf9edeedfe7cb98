package model

import (
	"strconv"
	"strings"
)

// How a point reaches the BAS.
const (
	Hardwired = "hardwired"
	Software  = "software"
	Network   = "network"
)

// Bid classes of equipment and points.
const (
	Base      = "base"
	Alternate = "alternate"
	Existing  = "existing"
)

// BACnet object types that points use, by the standard's name (ASHRAE 135, clause 12).
const (
	AnalogInput      = "analog-input"
	AnalogOutput     = "analog-output"
	AnalogValue      = "analog-value"
	BinaryInput      = "binary-input"
	BinaryOutput     = "binary-output"
	BinaryValue      = "binary-value"
	MultiStateInput  = "multi-state-input"
	MultiStateOutput = "multi-state-output"
	MultiStateValue  = "multi-state-value"
)

// Roles that every program may rely on.
const (
	RoleStart          = "start"
	RoleStatus         = "status"
	RoleOverrideActive = "override-active"
	RoleSpeed          = "speed"
	RoleNotInAuto      = "not-in-auto"
)

// Point is one value that the BAS reads or commands. Key is EQUIPMENT/role and
// never changes between revisions.
type Point struct {
	Key               string    `json:"key"`
	Equipment         string    `json:"equipment"`
	Role              string    `json:"role"`
	ObjectType        string    `json:"object_type"`
	Instance          *int      `json:"instance"`
	ObjectName        string    `json:"object_name"`
	Description       string    `json:"description"`
	Units             string    `json:"units"` // BACnet unit name
	Range             *Interval `json:"range"`
	States            []string  `json:"states"`        // inactive, active; or state 1..n
	Polarity          string    `json:"polarity"`      // normal, reverse; "" not binary
	ContactSense      string    `json:"contact_sense"` // normally-open, normally-closed; "" no contact
	FailState         string    `json:"fail_state"`
	RelinquishDefault string    `json:"relinquish_default"`
	Priority          *int      `json:"priority"`
	COVIncrement      *float64  `json:"cov_increment"` // analog objects: the change that is reported, in Units
	Carried           string    `json:"carried"`
	Signal            string    `json:"signal"` // dry contact, 0-10 V ... what the wire carries
	Need              string    `json:"need"`   // required, by-application, optional
	Existing          bool      `json:"existing"`
	Bid               string    `json:"bid"`
	System            string    `json:"system"`
	FurnishedBy       string    `json:"furnished_by"`
	InstalledBy       string    `json:"installed_by"`
	WiredBy           string    `json:"wired_by"`
	ByOthers          bool      `json:"by_others"` // landed or furnished outside the controls scope: counted apart
	Controller        string    `json:"controller"`
	Terminal          string    `json:"terminal"`
	Panel             string    `json:"panel"`
	Alarms            []string  `json:"alarms"`
	Trend             string    `json:"trend"`
	Feedback          string    `json:"feedback"` // outputs: key of the status point that proves it
	LifeSafety        bool      `json:"life_safety"`
	Rule              string    `json:"rule"`
	Why               string    `json:"why"`
	Where             *Where    `json:"where"`
}

// Alarm is one condition that the BAS reports. ID is EQUIPMENT/alarm name.
type Alarm struct {
	ID           string      `json:"id"`
	Equipment    string      `json:"equipment"`
	Source       string      `json:"source"`    // key of the point whose object carries it
	Algorithm    string      `json:"algorithm"` // BACnet event algorithm: command-failure, change-of-state, out-of-range
	Condition    string      `json:"condition"` // in plain words
	Parameters   []Parameter `json:"parameters"`
	DelaySeconds float64     `json:"delay_s"`
	Level        int         `json:"level"` // 1 life safety .. 4 normal
	Class        int         `json:"notification_class"`
	Priority     int         `json:"event_priority"`
	ToOffnormal  string      `json:"to_offnormal_text"`
	ToNormal     string      `json:"to_normal_text"`
	// InhibitedBy holds keys of points whose active state holds the alarm back,
	// and the words start-delay, coast-down and not-running.
	InhibitedBy  []string `json:"inhibited_by"`
	LifeSafety   bool     `json:"life_safety"`
	Rule         string   `json:"rule"`
	Why          string   `json:"why"`
	FigureSource string   `json:"source_of_figures"`
	// Mismatch is how the alarm compares command and status; nil for alarms
	// that compare nothing with a command. DelaySeconds is then the time from
	// the command to the alarm.
	Mismatch *Mismatch `json:"mismatch"`
}

// Mismatch is the comparison of a command with a status. Commanded says in which
// direction it counts: on (told to run, not running), off (running, not told
// to), either. The command must have stood for HoldOn or HoldOff seconds, and
// the two must have differed for Seconds without a break: within that time, or
// from its end on where Serial.
type Mismatch struct {
	Commanded string  `json:"commanded"`
	Seconds   float64 `json:"mismatch_s"`
	HoldOn    float64 `json:"hold_on_s"`
	HoldOff   float64 `json:"hold_off_s"`
	Serial    bool    `json:"serial"`
}

// Raised reports whether the alarm stands: command and status as they are, how
// many seconds the command stands, and how many seconds the two have differed.
func (m Mismatch) Raised(commanded, running bool, since, differed float64) bool {
	if commanded == running || commanded && m.Commanded == "off" || !commanded && m.Commanded == "on" {
		return false
	}
	hold := m.HoldOff
	if commanded {
		hold = m.HoldOn
	}
	if m.Serial {
		differed = min(differed, since-hold)
	}
	return since >= hold && differed >= m.Seconds
}

// Parameter is a named value of an alarm or a device.
type Parameter struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Unit  string `json:"unit"`
}

// FailPercent is where the fail state puts an output, in % of its full value: 0
// dropped out or shut, 100 made or full; false where it says none, keeps the
// last value, or says something else.
func (p *Point) FailPercent() (float64, bool) {
	state := strings.ToLower(strings.TrimSpace(p.FailState))
	switch state {
	case "off", "stop", "low", "inactive", "close", "closed":
		return 0, true
	case "on", "run", "high", "active", "open", "full", "full speed":
		return 100, true
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(state, "%")), 64)
	return v, err == nil && v >= 0 && v <= 100
}

// Split divides a point key into equipment and role; false if it is none.
func Split(key string) (equipment, role string, ok bool) {
	for i := len(key) - 1; i >= 0; i-- {
		if key[i] == '/' {
			return key[:i], key[i+1:], i > 0 && i < len(key)-1
		}
	}
	return "", "", false
}
