package model

// CommandLogic is how a device decides whether its fan runs: declared as data
// in a device type, evaluated by the logic pass.
type CommandLogic struct {
	Modes       []string        `json:"modes"`        // hand, off, auto
	StartInputs []string        `json:"start_inputs"` // terminal ids; any of them starts
	SpeedInput  string          `json:"speed_input"`
	StartLogic  string          `json:"start_logic"` // gates-speed, or; "" undeclared is unknown
	SealsIn     bool            `json:"seals_in"`    // three-wire: a momentary start holds itself until a stop in the auto leg or the power opens it
	RunAt       *float64        `json:"run_at"`      // reference at or above which it runs, in the unit of the speed input
	Overrides   []OverrideInput `json:"overrides"`   // in order of precedence, first wins
	Safeties    []SafetyInput   `json:"safeties"`
	Contacts    []FollowContact `json:"contacts"`
	RampSeconds *float64        `json:"ramp_s"`
	PowerReturn string          `json:"on_power_return"` // previous-mode, off, restart
	CommLoss    string          `json:"on_comm_loss"`
	Source      string          `json:"source"`
}

// OverrideInput is an input that outranks the modes while it acts.
type OverrideInput struct {
	Terminal string `json:"terminal"`
	Action   string `json:"action"` // full, second-speed, off, selectable
	Latching *bool  `json:"latching"`
	Release  string `json:"release"` // returns, restarts, stays-off
}

// SafetyInput is a limit that stops the fan; Leg is where it acts: auto (only
// in AUTO), common (every mode), drive (not in bypass), bypass (only there).
// Yields says that an enacted override runs the fan past it.
type SafetyInput struct {
	Terminal string `json:"terminal"`
	Leg      string `json:"leg"`
	Yields   bool   `json:"yields_to_override"`
}

// FollowContact is an output contact and what it follows: command,
// motor-current, airflow, position, override, mode.
type FollowContact struct {
	Terminal string `json:"terminal"`
	Follows  string `json:"follows"`
}

// TruthTable is the behaviour of one fan, distinguishable rows only.
type TruthTable struct {
	Equipment  string     `json:"equipment"`
	Inputs     []string   `json:"inputs"`
	Outputs    []string   `json:"outputs"`
	Rows       []TruthRow `json:"rows"`
	Precedence []string   `json:"precedence"` // ladder, first wins
	// HeldAtRest are inputs beyond those that the table splits on: they stand at
	// rest in every row.
	HeldAtRest []string `json:"held_at_rest"`
	LifeSafety bool     `json:"life_safety"`
}

// TruthRow is one state; "-" is any.
type TruthRow struct {
	Inputs  []string `json:"inputs"`
	Outputs []string `json:"outputs"`
	Why     string   `json:"why"`
}

// CauseEffect is the matrix of events against equipment.
type CauseEffect struct {
	Events []string         `json:"events"`
	Rows   []CauseEffectRow `json:"rows"`
}

// CauseEffectRow is one equipment; Effects run parallel to the events.
type CauseEffectRow struct {
	Equipment  string   `json:"equipment"`
	Effects    []string `json:"effects"`
	LifeSafety bool     `json:"life_safety"`
}

// Sequence is the sequence of operation of one equipment, in plain words.
type Sequence struct {
	Equipment  string         `json:"equipment"`
	Paragraphs []SequencePart `json:"paragraphs"`
	LifeSafety bool           `json:"life_safety"`
}

// SequencePart is a headed paragraph.
type SequencePart struct {
	Heading string `json:"heading"`
	Text    string `json:"text"`
}

// RestartStep is the place of one machine in the order in which fans start
// again when power returns. Number is 0 for those that the BAS does not start.
type RestartStep struct {
	Number       int      `json:"number"`
	Equipment    string   `json:"equipment"`
	AfterSeconds *float64 `json:"after_s"` // after the first start; nil where the BAS does not decide
	StartedBy    string   `json:"started_by"`
	Emergency    *bool    `json:"emergency"` // on emergency power; nil not stated
	OnReturn     string   `json:"on_return"` // what its own device does when power returns
	WaitsFor     []string `json:"waits_for"` // fans that its start reads
	LifeSafety   bool     `json:"life_safety"`
}

// FunctionalTest is the test script of one equipment.
type FunctionalTest struct {
	Equipment  string     `json:"equipment"`
	Steps      []TestStep `json:"steps"`
	Switchings int        `json:"switchings"`  // that the steps make together
	LowerBound int        `json:"lower_bound"` // no walk covers the rows with fewer switchings
	LifeSafety bool       `json:"life_safety"`
}

// TestStep is one action and what must be read.
type TestStep struct {
	Number int      `json:"number"`
	Before string   `json:"before"`
	Action string   `json:"action"`
	Expect []string `json:"expect"`
}
