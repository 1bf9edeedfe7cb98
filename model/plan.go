package model

import "tallywire/model/finding"

// SchemaVersion is the version of the Plan as JSON.
const SchemaVersion = 1

// Plan is everything that follows from a Project. Renderers print it and
// compute nothing of their own. Its JSON form is schemas/plan.schema.json;
// an empty string stands there as null.
type Plan struct {
	SchemaVersion  int               `json:"schema_version"`
	Settings       Settings          `json:"settings"`
	Project        ProjectHead       `json:"project"`
	Equipment      []Equipment       `json:"equipment"`
	Devices        []Device          `json:"devices"`
	Points         []Point           `json:"points"`
	Alarms         []Alarm           `json:"alarms"`
	Support        []SupportObject   `json:"support"`
	Circuits       []Circuit         `json:"circuits"`
	Interlocks     []Interlock       `json:"interlocks"`
	TruthTables    []TruthTable      `json:"truth_tables"`
	CauseEffect    CauseEffect       `json:"cause_effect"`
	Sequences      []Sequence        `json:"sequences"`
	Restart        []RestartStep     `json:"restart_order"`
	Tests          []FunctionalTest  `json:"tests"`
	Findings       []finding.Finding `json:"findings"`
	Counts         Counts            `json:"counts"`
	Controllers    []Controller      `json:"controllers"`
	Landings       []Landing         `json:"landings"`
	LandingProof   []LandingProof    `json:"landing_proof"`
	Supplies       []Supply          `json:"supplies"`
	Cables         []Cable           `json:"cables"`
	Terminations   []Termination     `json:"terminations"`
	Panels         []PanelSummary    `json:"panels"`
	Materials      []Material        `json:"materials"`
	Differences    []Difference      `json:"differences"`
	Cautions       []string          `json:"cautions"`
	Responsibility []Responsibility  `json:"responsibility"`
	Network        []BACnetDevice    `json:"bacnet_devices"`
	Trunks         []TrunkPlan       `json:"trunks"`
	Functions      FunctionList      `json:"functions"`
	Retrofit       []RetrofitPoint   `json:"retrofit"`
	Bid            *Bid              `json:"bid"`
}

// ProjectHead is the head of the project as printed.
type ProjectHead struct {
	Name   string  `json:"name"`
	Number string  `json:"number"`
	Issue  string  `json:"issue"`
	Date   string  `json:"date"`
	Author string  `json:"author"`
	Inputs []Input `json:"inputs"`
}

// TypeCounts counts points by object type abbreviation (AI, AO, BI ...); every
// key of the class is present.
type TypeCounts map[string]int

// ClassCounts are the counts of hardwired, software, network and other points.
type ClassCounts struct {
	Hardwired TypeCounts `json:"hardwired"`
	Software  TypeCounts `json:"software"`
	Network   TypeCounts `json:"network"`
	Other     TypeCounts `json:"other"`
}

// Counts are the totals of a plan. By… maps carry hardwired counts unless the
// key says otherwise.
type Counts struct {
	ByType      ClassCounts            `json:"by_type"`
	BySystem    map[string]TypeCounts  `json:"by_system"`
	ByPanel     map[string]TypeCounts  `json:"by_panel"`
	ByEquipment map[string]TypeCounts  `json:"by_equipment"`
	ByBid       map[string]ClassCounts `json:"by_bid"`
	Support     TypeCounts             `json:"support"` // schedules, trend logs, notification classes, event enrollments
	ByOthers    int                    `json:"by_others"`
	Existing    int                    `json:"existing"`
	Alarms      int                    `json:"alarms"`
	Equipment   int                    `json:"equipment"`
}

// Controller is a controller instance with its expansions, and what is used of it.
type Controller struct {
	ID               string         `json:"id"`
	Model            string         `json:"model"`
	Expansions       []string       `json:"expansions"`
	Panel            string         `json:"panel"`
	Existing         bool           `json:"existing"`
	PriceCents       int64          `json:"price_cents"`
	PlaceholderPrice bool           `json:"placeholder_price"`
	Installed        map[string]int `json:"installed"` // terminals by class
	Used             map[string]int `json:"used"`
	Spare            map[string]int `json:"spare"`
	// Modules are the base and its expansions in order, with the terminals of each.
	Modules  []Module `json:"modules"`
	Location string   `json:"location"`
	Rating   string   `json:"rating"`
	// InUse lists the terminals that were taken before this plan.
	InUse []string `json:"in_use"`
	// Equipment lists the tags whose points land here.
	Equipment []string `json:"equipment"`
	PowerVA   *float64 `json:"power_va"` // what it draws; nil not known
	HeatW     *float64 `json:"heat_w"`
	WidthMM   *float64 `json:"width_mm"` // rail it takes
}

// Module is the base of a controller or one of its expansions. Terminal names
// of an expansion carry its ID (X1-UI3), those of the base stand alone (UI3).
type Module struct {
	ID         string   `json:"id"` // base, X1, X2 ...
	Model      string   `json:"model"`
	Existing   bool     `json:"existing"`
	PriceCents int64    `json:"price_cents"`
	Terminals  []string `json:"terminals"`
}

// Landing puts a hardwired point on one terminal.
type Landing struct {
	Point      string `json:"point"`
	Panel      string `json:"panel"`
	Controller string `json:"controller"`
	Module     string `json:"module"` // base, or which expansion
	Terminal   string `json:"terminal"`
	Class      string `json:"class"` // terminal class: UI, BI, RO ...
	WireLabel  string `json:"wire_label"`
	Mode       string `json:"mode"` // what the terminal is set to: contact, voltage, relay ...
	// Parts are the interposers this landing needs, ExtraCents their price.
	Parts      []string `json:"parts"`
	ExtraCents int64    `json:"extra_cents"`
	Kept       bool     `json:"kept"` // stays where an earlier issue put it
}

// Termination is one line of a controller's termination schedule, in the order
// of its terminals; a terminal with no point is spare or used by what hangs
// there already.
type Termination struct {
	Panel      string `json:"panel"`
	Controller string `json:"controller"`
	Module     string `json:"module"`
	Terminal   string `json:"terminal"`
	Class      string `json:"class"`
	State      string `json:"state"` // landed, spare, in use
	WireLabel  string `json:"wire_label"`
	Point      string `json:"point"`
	Device     string `json:"device"`       // the far device
	Far        string `json:"far_terminal"` // and its terminal
	Signal     string `json:"signal"`
	Cable      string `json:"cable"`
}

// PanelSummary is what one panel holds.
type PanelSummary struct {
	Panel       string         `json:"panel"`
	Location    string         `json:"location"`
	Rating      string         `json:"rating"`
	Emergency   bool           `json:"emergency"`
	Controllers int            `json:"controllers"`
	Expansions  int            `json:"expansions"`
	Points      int            `json:"points"`
	Installed   map[string]int `json:"installed"`
	Used        map[string]int `json:"used"`
	Spare       map[string]int `json:"spare"`
	PriceCents  int64          `json:"price_cents"`
	PowerVA     *float64       `json:"power_va"` // nil where one model's figure is not known
	HeatW       *float64       `json:"heat_w"`
	RailMM      *float64       `json:"rail_mm"`
	SpaceMM     *float64       `json:"space_mm"` // rail the panel has; nil not stated
}

// LandingProof states how good the landing of a panel is.
type LandingProof struct {
	Panel      string  `json:"panel"`
	CostCents  int64   `json:"cost_cents"`
	BoundCents int64   `json:"lower_bound_cents"`
	Gap        float64 `json:"gap"`
	Proven     bool    `json:"proven"`
	Effort     string  `json:"effort"`
	Work       int64   `json:"work"`
	// CostCents is made up of controllers, split penalties and interposers.
	PriceCents   int64 `json:"price_cents"`
	PenaltyCents int64 `json:"penalty_cents"`
	ExtraCents   int64 `json:"extra_cents"`
	Points       int   `json:"points"`
	// FirstFitCents is the same panel filled in turn with one configuration; 0
	// where none takes everything.
	FirstFitCents int64 `json:"first_fit_cents"`
	// StayingCents is what keeping earlier landings costs beyond a fresh plan;
	// nil where nothing was kept.
	StayingCents *int64 `json:"staying_cents"`
}

// Panel is a place where controllers hang.
type Panel struct {
	ID        string               `json:"id"`
	Location  string               `json:"location"`
	Rating    string               `json:"rating"` // indoor, outdoor
	Emergency bool                 `json:"emergency"`
	Serves    []string             `json:"serves"` // locations or tags
	Existing  []ExistingController `json:"existing"`
	RailMM    *float64             `json:"rail_mm"` // rail for modules; nil not stated
	Where     *Where               `json:"where"`
}

// ExistingController is a controller that hangs already, with what is free.
type ExistingController struct {
	ID             string         `json:"id"`
	DeviceInstance *int           `json:"device_instance"`
	Model          string         `json:"model"`
	Used           map[string]int `json:"used"`
	// Expansions it has, by model; UsedTerminals where it is known which ones
	// are taken, else the first of each class count as used.
	Expansions    []string `json:"expansions"`
	UsedTerminals []string `json:"used_terminals"`
	// Fixed says that no expansion may be added.
	Fixed bool `json:"fixed"`
}

// ControllerModel is a catalogue entry: a base with slots, or an expansion.
type ControllerModel struct {
	ID            string         `json:"id"`
	Name          string         `json:"name"`
	Base          bool           `json:"base"`
	Family        string         `json:"family"`
	Slots         int            `json:"slots"` // base: offers; expansion: takes
	MaxExpansions int            `json:"max_expansions"`
	PriceCents    int64          `json:"price_cents"`
	Placeholder   bool           `json:"placeholder_price"`
	Terminals     map[string]int `json:"terminals"` // terminals by class
	Supply        *Terminal      `json:"supply"`
	Rating        string         `json:"rating"` // indoor, outdoor
	// Fits lists the families of bases an expansion goes on; empty: its own.
	Fits    []string `json:"fits"`
	HeatW   *float64 `json:"heat_w"`
	WidthMM *float64 `json:"width_mm"`
	// UnitLoad and Protocol are of its trunk port.
	UnitLoad *float64 `json:"unit_load"`
	Protocol string   `json:"protocol"`
	Source   string   `json:"source"`
	Where    *Where   `json:"where"`
}

// Supply is a transformer or DC supply of the plan and what hangs on it.
type Supply struct {
	ID        string   `json:"id"`
	Device    string   `json:"device"`
	Panel     string   `json:"panel"`
	Volts     float64  `json:"volts"`
	Current   string   `json:"current"`
	RunningVA float64  `json:"running_va"`
	InrushVA  float64  `json:"inrush_va"`
	RatedVA   float64  `json:"rated_va"`
	Loads     []string `json:"loads"`
	ClassTwo  *bool    `json:"class_2"`
}

// Cable is one cable run.
type Cable struct {
	ID         string   `json:"id"`
	From       string   `json:"from"`
	To         string   `json:"to"`
	Type       string   `json:"type"`
	Conductors int      `json:"conductors"`
	GaugeAWG   int      `json:"gauge_awg"`
	LengthFt   *float64 `json:"length_ft"`
	Assumed    bool     `json:"assumed"`
	Circuits   []string `json:"circuits"`
	Class      string   `json:"class"` // class-2, class-1, power
	// Raceway that the cable shares with others; "" its own or not stated.
	Raceway string `json:"raceway"`
}

// Material is a line of the list of materials.
type Material struct {
	Item             string   `json:"item"`
	Description      string   `json:"description"`
	Quantity         int      `json:"quantity"`
	Unit             string   `json:"unit"`
	PriceCents       *int64   `json:"price_cents"`
	PlaceholderPrice bool     `json:"placeholder_price"`
	FurnishedBy      string   `json:"furnished_by"`
	Bid              string   `json:"bid"` // base, alternate; existing hangs already and is not bought
	For              []string `json:"for"`
}

// Responsibility is who furnishes, installs, powers, wires, terminates, sets
// up and verifies an item, for which equipment.
type Responsibility struct {
	Item      string   `json:"item"`
	Furnish   string   `json:"furnish"`
	Install   string   `json:"install"`
	Power     string   `json:"power"`
	Wire      string   `json:"wire"`
	Terminate string   `json:"terminate"`
	SetUp     string   `json:"set_up"`
	Verify    string   `json:"verify"`
	Equipment []string `json:"equipment"`
	Source    string   `json:"source"`
}

// Difference is one disagreement between documents, or change between issues.
type Difference struct {
	Code     string           `json:"code"`
	Severity finding.Severity `json:"severity"`
	Subject  string           `json:"subject"`
	Field    string           `json:"field"`
	Ours     string           `json:"ours"`
	Theirs   string           `json:"theirs"`
	Where    *Where           `json:"where"`
	Other    *Where           `json:"other"`
	Likely   string           `json:"likely"` // which side is likely right and why; "" cannot tell
	Ask      string           `json:"ask"`    // question for the RFI list
	Message  string           `json:"message"`
}

// Bid is the price build-up; empty until built.
type Bid struct {
	TotalCents int64 `json:"total_cents"`
}
