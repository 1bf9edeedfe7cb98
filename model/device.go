package model

// Nature says what a terminal does electrically.
type Nature string

// Driving natures.
const (
	Contact       Nature = "contact"     // dry contact
	SolidState    Nature = "solid-state" // AC only, leaks when off
	Transistor    Nature = "transistor"  // DC, sinking or sourcing
	VoltageOut    Nature = "voltage"     // wet binary output
	AnalogVoltage Nature = "analog-voltage"
	AnalogCurrent Nature = "analog-current"
	Pulse         Nature = "pulse"
	Resistance    Nature = "resistance"
	SupplyOut     Nature = "supply"
	Bus           Nature = "bus"
)

// Accepting natures; AnalogVoltage, AnalogCurrent, Resistance, Pulse and Bus
// stand on both sides and Terminal.Drives tells which.
const (
	ContactSense Nature = "contact-sense" // dry input that wets the contact itself
	VoltageSense Nature = "voltage-sense" // wet input
	Coil         Nature = "coil"
	PowerIn      Nature = "power" // a load on a supply
)

// Terminal is one function of a device: its nature and its limits. A nil or
// empty limit is unknown and never taken as good. Volts in V, currents in A,
// resistances in ohm, powers in VA or W, as the field name says. Which fields
// matter follows from Nature.
type Terminal struct {
	ID       string   `json:"id"`
	Function string   `json:"function"` // start-dry, start-wet, speed-in, status, override, damper, supply ...
	Nature   Nature   `json:"nature"`
	Drives   bool     `json:"drives"`
	Labels   []string `json:"labels"` // screw labels
	Common   string   `json:"common"` // common group inside the device; "" none shared
	Isolated *bool    `json:"isolated"`
	// Series names the terminal of the same device whose load this one passes: a
	// pair of screws in the leg of that coil. The load counts once on a supply.
	Series string `json:"series"`
	Class  string `json:"class"` // controllers: the terminal class this is one of (UI, BI, RO, TO, UO, AO)
	// Current is "ac", "dc" or "ac/dc": what the terminal gives or takes.
	Current string `json:"current"`

	// Volts: rated range of use. Supply or wet output: what it delivers at full
	// load; a transformer that also states Regulation is taken as 95 to 105 % of
	// Volts (its primary within ANSI C84.1 range A) and rises by Regulation when
	// unloaded, unless Volts are Absolute and so hold the unloaded end already. Contact, solid-state, transistor: up to what it may switch (the
	// upper end counts). Accepting: what it may be given; a voltage-sense input
	// or coil without On is guaranteed on from the lower end.
	Volts *Interval `json:"volts"`
	// Absolute says that Volts are absolute limits. Without it Volts are a
	// nominal range that carries -10/+10 %, on the giving side and on the
	// accepting side alike: an actuator good for 24 V +/-20 % states
	// [19.2, 28.8] and Absolute; an input of 12-120 V accepts 10.8 to 132 V.
	Absolute bool `json:"absolute"`

	// Contacts and solid-state outputs.
	//
	// Leakage (A, off state, at the highest voltage it may switch) or Snubber
	// (F, across the output) tells what a solid-state or transistor output lets
	// through when off; a plain contact lets nothing through and needs neither.
	// A wet output states OffVolts, 0 where a contact makes it.
	Form      string       `json:"form"` // normally-open, normally-closed, changeover
	Ratings   []LoadRating `json:"ratings"`
	PilotDuty []string     `json:"pilot_duty"` // B300, R300
	MinLoad   *MinimumLoad `json:"min_load"`
	Leakage   *float64     `json:"leakage_a"`
	Snubber   *float64     `json:"snubber_f"`
	Holding   *float64     `json:"holding_a"`
	OnDrop    *float64     `json:"on_drop_v"`
	OffVolts  *float64     `json:"off_v"`
	Sinking   *bool        `json:"sinking"`
	// History "power" says that a gold contact has switched power once and is
	// silver from then on. Healthy "energised" says that the relay is pulled in
	// while all is well, so its normally-open contact opens on the event.
	History string `json:"history"`
	Healthy string `json:"healthy"`
	Follows string `json:"follows"` // what a contact follows: command, motor-current, airflow, position, trip, mode

	// Inputs. A voltage-sense input or coil takes Running if given, else the
	// current of On, else volts over Impedance, else what its InputClass says.
	Wetting *Wetting   `json:"wetting"` // contact-sense: what it wets with
	On      *Threshold `json:"on"`      // voltage-sense, coil: guaranteed on at or above
	Off     *Threshold `json:"off"`     // guaranteed off at or below
	Trip    *Interval  `json:"trip_a"`  // current switches: settable trip current, A
	// TripPressure is the settable range of a pressure or airflow switch, MadeAt
	// the position at which an end switch is made, Measures what the signal
	// range of a sensor stands for, in its MeasuresUnit.
	TripPressure *Interval `json:"trip_in_wc"`
	MadeAt       *float64  `json:"made_at_percent"`
	Measures     *Interval `json:"measures"`
	MeasuresUnit string    `json:"measures_unit"`
	InputClass   string    `json:"input_class"` // IEC 61131-2 type: "iec61131-2/24vdc/1"
	Impedance    *Interval `json:"impedance_ohm"`
	Burden       *Interval `json:"burden_ohm"`
	// Beside is a resistor that a circuit lays across the input or load, ohm; the
	// checks set it on their own copy from Circuit.Across.
	Beside *Interval `json:"-"`

	// Loads: coils and powered devices. VA counts at the source's voltage; a coil
	// without Inrush is unknown against an AC pilot-duty rating; a power input
	// without Inrush is taken to draw Running only when its Rectifier is "none"
	// and it is no motor, so give it.
	Running *Load `json:"running"`
	Inrush  *Load `json:"inrush"`

	// Analog.
	Range        *Interval  `json:"range"`         // signal range in V or mA that means 0 to 100 %
	Ranges       []Interval `json:"ranges"`        // ranges it can be set to, when configurable
	RunThreshold *float64   `json:"run_threshold"` // speed input: runs at or above, V or mA
	SourceOhm    *float64   `json:"source_ohm"`
	MaxCurrent   *float64   `json:"max_current_a"` // what an analog voltage output can give
	MaxLoop      *Interval  `json:"max_loop_ohm"`  // what a current source can drive
	// LoopPower: source gives loop power, sink needs it (a two-wire
	// transmitter), none is passive (a receiver, a burden only). An output that
	// drives the current itself (CO, four-wire transmitter) is a source.
	LoopPower string    `json:"loop_power"`
	LoopVolts *Interval `json:"loop_v"`
	LiftOff   *float64  `json:"lift_off_v"` // least volts a two-wire transmitter needs
	Action    string    `json:"action"`     // direct, reverse
	FailValue *float64  `json:"fail_value"` // % on wire break
	// Curve of a resistance sensor or input: pt100, pt1000, ntc10k-2, ntc10k-3.
	Curve string `json:"curve"`
	// Pulled says that an analog input has a source of its own connected, such
	// as a pull-up to its 10 V terminal or a potentiometer.
	Pulled *bool `json:"pulled"`

	// Supplies.
	Capacity   *float64 `json:"capacity_va"`
	MaxAmps    *float64 `json:"max_a"`
	ClassTwo   *bool    `json:"class_2"`    // listed or marked Class 2
	Regulation *float64 `json:"regulation"` // share, no-load rise
	// Rectifier of a power input: half-wave (its AC common lead is the device's
	// signal common, group Common), full-wave (a bridge: Common floats one diode
	// below either lead), none (coil, triac-switched or isolated load); "" unknown.
	Rectifier string `json:"rectifier"`
	// Earthed: of a supply, one secondary lead is tied to earth (EarthLead, "x2"
	// if empty); of any other terminal, its common is tied to earth in the device.
	Earthed   *bool    `json:"earthed"`
	EarthLead string   `json:"earth_lead"` // x1 or x2; "" is x2
	PhaseDeg  *float64 `json:"phase_deg"`  // of the secondary against the building's phase A; nil unknown
	// PrimaryToGround is the primary's voltage to ground (NEC 250.20(A)).
	PrimaryToGround *float64 `json:"primary_to_ground_v"`
	ParallelListed  *bool    `json:"parallel_listed"` // listed for paralleling (NEC 725.121(B))
	Phases          []int    `json:"phases"`          // mains power inputs: phases accepted
	Neutral         *bool    `json:"neutral"`         // line to neutral needed

	// Bus.
	UnitLoad *float64 `json:"unit_load"`
	BusRole  string   `json:"bus_role"` // master, slave; "" not known
	Protocol string   `json:"protocol"`

	// Source is the citation of these limits: a standard and clause, or
	// 'common practice', or 'from memory'; a data sheet that the user names.
	Source string `json:"source"`
}

// LoadRating is what a contact may switch: general use unless Duty says so.
type LoadRating struct {
	Current string   `json:"current"` // ac, dc
	Volts   float64  `json:"volts"`   // up to
	Amps    float64  `json:"amps"`
	Inrush  *float64 `json:"inrush_a"` // make; nil same as Amps
	Duty    string   `json:"duty"`     // general, AC-15, DC-13, pilot
}

// MinimumLoad is the least a contact needs to stay reliable.
type MinimumLoad struct {
	Amps  float64  `json:"amps"`
	Volts *float64 `json:"volts"`
	Watts *float64 `json:"watts"`
}

// Wetting is the open-circuit voltage and the current that a contact-sense
// input puts through a closed contact.
type Wetting struct {
	Volts   Interval `json:"volts"`
	Amps    Interval `json:"amps"`
	Current string   `json:"current"` // dc unless said
}

// Threshold is a voltage (V) and the current (A) that goes with it.
type Threshold struct {
	Volts float64  `json:"volts"`
	Amps  *float64 `json:"amps"`
}

// Load is a consumption: in VA or W at rated voltage, or in A.
type Load struct {
	VA   *float64 `json:"va"`
	Amps *float64 `json:"amps"`
}

// DeviceType is a kind of thing with terminals: a record of the library, or of
// the user's own file in the same form.
type DeviceType struct {
	ID        string     `json:"id"`
	Name      string     `json:"name"`
	Category  string     `json:"category"` // interface-box, motor, drive, starter, actuator, sensor, relay, controller, supply, converter
	Terminals []Terminal `json:"terminals"`
	Price     *int64     `json:"price_cents"` // whole cents; invented until the user gives one
	// Barrier says that the housing keeps power-limited and other circuits
	// apart; nil is not known.
	Barrier *bool         `json:"barrier"`
	Logic   *CommandLogic `json:"logic"`
	Source  string        `json:"source"`
	// File is where the record stands.
	Where *Where `json:"where"`
}

// Terminal returns the terminal of that id.
func (t *DeviceType) Terminal(id string) (*Terminal, bool) {
	for i := range t.Terminals {
		if t.Terminals[i].ID == id {
			return &t.Terminals[i], true
		}
	}
	return nil, false
}

// Device is an instance of a device type in the building.
type Device struct {
	ID          string `json:"id"` // EF-1/box, PANEL-1/controller-2
	Type        string `json:"type"`
	Equipment   string `json:"equipment"`
	Role        string `json:"role"` // box, motor, drive, starter, damper, status-switch, fire-relay, controller, supply ...
	Location    string `json:"location"`
	Panel       string `json:"panel"`
	FurnishedBy string `json:"furnished_by"`
	InstalledBy string `json:"installed_by"`
	WiredBy     string `json:"wired_by"`
	Why         string `json:"why"`
	// Spec is the type with the project's own values applied; shared between
	// instances that have none.
	Spec *DeviceType `json:"-"`
	// Settings are what is set on this very device: mac, instance, baud,
	// max-master, objects, reference-source (terminal, bus), min-speed (%),
	// max-frequency (Hz), base-speed (rpm at base-frequency), start-up values.
	Settings []Parameter `json:"settings"`
	Where    *Where      `json:"where"`
}

// End is one end of a circuit: a terminal of a device. An end whose Device is
// "" is the controller side of a point that has not been landed yet.
//
// Reversed is for power inputs: the device's common lead (x2) sits on the
// supply's x1, as when the two wires of a 24 V AC feed are swapped.
type End struct {
	Device   string `json:"device"`
	Terminal string `json:"terminal"`
	Reversed bool   `json:"reversed"`
}

// Open reports whether the end waits for a landing.
func (e End) Open() bool { return e.Device == "" }

// String prints device/terminal.
func (e End) String() string {
	if e.Open() {
		return "(controller)"
	}
	return e.Device + ":" + e.Terminal
}

// Conductor is the wire of a circuit; LengthFt is one way, TempC is the
// conductor's own temperature (0 is not stated: 75 °C is taken, the warm end of
// NEC chapter 9 table 8). Gauge 0 is not stated.
type Conductor struct {
	Gauge    int      `json:"gauge_awg"`
	LengthFt *float64 `json:"length_ft"`
	Count    int      `json:"count"`
	Stranded bool     `json:"stranded"`
	TempC    float64  `json:"temp_c"`
	Shielded bool     `json:"shielded"`
	// ShieldEarths is at how many ends the shield is earthed; nil not stated.
	ShieldEarths *int `json:"shield_earths"`
	Assumed      bool `json:"assumed"` // length or gauge is a default, not stated
}

// Circuit is one driving terminal, one or more accepting terminals, at most
// one supply terminal, and a conductor. Every electrical check is made on a
// circuit or on the circuits that share a terminal, a supply or a common.
//
// A switch (contact, solid-state, transistor) in Drive has its source of
// voltage in Supply; a dry input needs none. A wet output, or a supply that
// feeds a load directly, stands in Drive and leaves Supply nil. Loop power of
// a 4-20 mA circuit that neither end gives stands in Supply. Mains feeds have
// Purpose "mains" and the branch circuit as a supply terminal in Drive.
type Circuit struct {
	ID        string    `json:"id"`
	Equipment string    `json:"equipment"`
	Point     string    `json:"point"` // key of the point it carries; "" none
	Drive     End       `json:"drive"`
	Accepts   []End     `json:"accepts"`
	Supply    *End      `json:"supply"`
	Conductor Conductor `json:"conductor"`
	Cable     string    `json:"cable"`
	Trunk     *Trunk    `json:"trunk"` // bus circuits only; nil not stated
	// Across are resistors across accepting ends: 500 ohm that turns a current
	// into a voltage, a bleeder beside a load.
	Across  []Resistor `json:"across"`
	Purpose string     `json:"purpose"` // start, status, speed, damper-power, override, mains, 24 V power ...
	Verdict Verdict    `json:"verdict"`
	Checks  []Check    `json:"checks"`
	Fix     *Fix       `json:"fix"`
	Rule    string     `json:"rule"` // hook-up record that made it
	Where   *Where     `json:"where"`
}

// Resistor lies across an accepting end of a circuit. Part is the device that
// it is, "" one that the accepting device brings along.
type Resistor struct {
	At    End      `json:"at"`
	Part  string   `json:"part"`
	Ohm   Interval `json:"ohm"`
	Watts *float64 `json:"watts"` // what it stands; nil not stated
}

// Trunk is what is known of a bus segment; a nil value is not stated.
type Trunk struct {
	Baud        *float64 `json:"baud"`
	Terminators *int     `json:"terminators"`      // fitted on the segment
	AtEnds      *bool    `json:"terminators_ends"` // both stand at the two ends
	BiasOhm     *float64 `json:"bias_ohm"`         // pull-up and pull-down each, from 5 V
	Reference   *bool    `json:"reference"`        // a third conductor joins the references
	MaxMaster   *int     `json:"max_master"`
}

// Verdict is the outcome of a check.
type Verdict string

const (
	Pass    Verdict = "pass"
	Caution Verdict = "caution"
	Unknown Verdict = "unknown"
	Fault   Verdict = "fault"
)

// Rank orders verdicts: pass, caution, unknown, fault.
func (v Verdict) Rank() int {
	switch v {
	case Fault:
		return 3
	case Unknown:
		return 2
	case Caution:
		return 1
	default:
		return 0
	}
}

// Worst returns the worse of two verdicts.
func Worst(a, b Verdict) Verdict {
	if a.Rank() >= b.Rank() {
		return a
	}
	return b
}

// Check is one question asked of a circuit and its answer: value and limit in
// Unit, relation between them (">=", "<=", "inside", "equals"), margin towards
// the limit (negative when broken), and the arithmetic in words.
type Check struct {
	Code     string    `json:"code"`
	Verdict  Verdict   `json:"verdict"`
	Value    *Interval `json:"value"`
	Limit    *Interval `json:"limit"`
	Relation string    `json:"relation"`
	Margin   *float64  `json:"margin"`
	Unit     string    `json:"unit"`
	Text     string    `json:"text"`
	Source   string    `json:"source"`
	At       string    `json:"at"` // the end it concerns
}

// Fix is what would make a failing circuit work: interposers put in, or
// another hook-up; with parts and price, and why cheaper answers fail.
type Fix struct {
	Summary          string    `json:"summary"`
	Parts            []string  `json:"parts"` // device type ids
	PriceCents       *int64    `json:"price_cents"`
	PlaceholderPrice bool      `json:"placeholder_price"`
	Circuits         []Circuit `json:"circuits"` // the circuits that replace this one
	Rejected         []string  `json:"rejected"`
	Applied          bool      `json:"applied"`
}
