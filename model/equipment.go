package model

// Equipment is one tagged machine of the mechanical schedule. A row that
// stands for several machines is expanded: one Equipment each. Kind and Scheme
// are ids of the library; "" is not known.
type Equipment struct {
	Tag     string  `json:"tag"`
	Kind    string  `json:"kind"`   // what it is: toilet-exhaust-fan
	Scheme  string  `json:"scheme"` // how it is controlled: exhaust-constant-speed
	Control string  `json:"control"`
	Ratings Ratings `json:"ratings"`

	Description string `json:"description"`
	Service     string `json:"service"`  // the area or system it serves
	Location    string `json:"location"` // where it stands
	System      string `json:"system"`   // what it belongs to: AHU-1, garage level 1
	Remarks     string `json:"remarks"`
	Notes       []Text `json:"notes"` // footnotes resolved to this row

	Damper       Damper   `json:"damper"`
	Emergency    *bool    `json:"emergency"`     // on the emergency branch
	FireResponse string   `json:"fire_response"` // stop, run, continue, none; "" not stated
	Interlocks   []string `json:"interlocks"`    // tags named as interlocked with this one
	// Standby lists the machines that stand in for this one when it fails, and
	// it for them (duty and standby, lead and lag, one more than needed); empty
	// none. Their points must not share a controller.
	Standby      []string `json:"standby"`
	StatusDevice string   `json:"status_device"` // device type id that proves running; "" the scheme's default
	Sensors      int      `json:"sensors"`       // gas sensor pairs of a garage, and the like; 0 not stated

	// Duty is what it does among its fellows of one system: duty; standby, it
	// runs when a duty machine failed; alternating, they are that in turns;
	// lead; lag, it joins the lead; lead-lag, they are that in turns; "" it
	// stands alone, or is not said.
	Duty string `json:"duty"`

	Bid         string          `json:"bid"` // base, alternate, existing
	Phase       string          `json:"phase"`
	FurnishedBy string          `json:"furnished_by"` // "" the default of the responsibility table
	Panel       string          `json:"panel"`        // the panel its points are to land in; "" by location
	Unresolved  bool            `json:"unresolved"`   // a row kept although something in it could not be read
	OutOfScope  string          `json:"out_of_scope"` // why it is listed but carries no points; "" in scope
	Evidence    []Evidence      `json:"evidence"`
	Fields      map[string]Text `json:"fields"` // every cell of the row by field or heading, as typed
	Where       *Where          `json:"where"`
}

// The duties of machines of one system.
const (
	DutyDuty        = "duty"
	DutyStandby     = "standby"
	DutyLead        = "lead"
	DutyLag         = "lag"
	DutyAlternating = "alternating"
	DutyLeadLag     = "lead-lag"
)

// Ratings are the nameplate and duty values of a machine; nil is not given.
type Ratings struct {
	Airflow      *Quantity `json:"airflow"`
	Pressure     *Quantity `json:"pressure"`
	PressureKind string    `json:"pressure_kind"` // total, static, external-static; "" not said
	Power        *Quantity `json:"power"`         // motor nameplate
	ShaftPower   *Quantity `json:"shaft_power"`   // brake horsepower
	Current      *Quantity `json:"current"`       // full-load current
	Speed        *Quantity `json:"speed"`
	MinSpeed     *Quantity `json:"min_speed"`      // lowest speed asked for, %
	Area         *Quantity `json:"area"`           // floor area served
	StackArea    *Quantity `json:"stack_area"`     // free outlet area of an exhaust stack
	BurnerFlow   *Quantity `json:"burner_airflow"` // least airflow that the maker of a heater asks for
	Service      *Service  `json:"service"`        // the electrical service
	MotorType    string    `json:"motor_type"`     // ec, three-phase, single-phase, two-speed; "" not known
	Drive        string    `json:"drive"`          // direct, belt; "" not known
}

// Service is the electrical service as written: nominal voltages (several for
// a dual-rated nameplate), phases, hertz and wires; 0 is not given.
type Service struct {
	Volts  []Interval `json:"volts"`
	Phases int        `json:"phases"`
	Hertz  float64    `json:"hertz"`
	Wires  int        `json:"wires"`
	System string     `json:"system"` // 208Y/120, 480Y/277, 120/240, 240/120 high leg, 480 delta; "" not known
	Text   string     `json:"text"`
	Where  *Where     `json:"where"`
}

// Damper is the damper that a fan opens. Kind: motorised, gravity, none; "" not known.
type Damper struct {
	Kind      string    `json:"kind"`
	Volts     *Interval `json:"volts"`
	AC        string    `json:"ac"` // ac, dc; "" not known
	EndSwitch *bool     `json:"end_switch"`
	Fail      string    `json:"fail"` // open, closed, in-place; "" not known
	Stroke    *Quantity `json:"stroke"`
	Where     *Where    `json:"where"`
}

// Evidence is one reason for a reading: which words in which field spoke for
// what, and with what weight. Won says whether it was followed.
type Evidence struct {
	About  string  `json:"about"` // kind, scheme, control, damper ...
	For    string  `json:"for"`
	Weight float64 `json:"weight"`
	Words  string  `json:"words"`
	Won    bool    `json:"won"`
	Where  *Where  `json:"where"`
}

// Sheet is a table of cells as a reader found it: every cell with its place
// and its text as typed. Readers fill it; intake reads it.
type Sheet struct {
	File string
	Name string // "" for delimited text
	Rows []Row
	// Merged lists merged ranges in A1:B2 form.
	Merged []string
	// Hidden marks a sheet the author hid.
	Hidden bool
	// HiddenColumns are the columns that the author hid, from 1.
	HiddenColumns []int
}

// Row is one row of a Sheet. Number counts from 1. Cells are in column order;
// empty cells may be left out, so look at Column.
type Row struct {
	Number int
	Hidden bool
	Joined int // the column in which two lines of a text table were joined; 0 none
	Cells  []Cell
}

// Cell is one cell. Column counts from 1. Number is set where the file itself
// holds a number, with Text as it would be shown; Format is the number format.
type Cell struct {
	Column int
	Text   string
	Number *float64
	Format string
	// Formula says that the text is a cached result.
	Formula bool
	// Struck is what the author struck through: all of Text, or a part that
	// Text leaves out; "" nothing.
	Struck string
}
