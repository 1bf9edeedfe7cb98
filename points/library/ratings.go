package library

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// Ratings are the standard tables that limits refer to by name: pilot duty,
// input types, Class 2 sources, service voltages.
type Ratings struct {
	PilotDuty map[string]PilotDuty
	Inputs    map[string]InputClass
	Signals   map[string]SignalLimit
	ClassTwo  []PowerSource
	Services  []ServiceVoltage
	Motors    []MotorCurrent
	// SupplySizes are the standard control transformers, VA, in order.
	SupplySizes []float64
	// SmallAmpacity is what protects small conductors, A by gauge.
	SmallAmpacity map[int]float64
}

// PilotDuty is a pilot-duty designation (A300, R300). AC: VAMake and VABreak;
// DC: VABreak counts for make and break, at 300 V or less.
// Source: NEMA ICS 5; UL 508; IEC 60947-5-1 annex A.
type PilotDuty struct {
	ID      string
	Current string  // ac, dc
	MaxV    float64 // V, highest voltage of use
	Thermal float64 // A, continuous
	VAMake  float64
	VABreak float64
	Cells   []PilotCell
}

// PilotCell is a cell of the printed table: A at a listed voltage.
type PilotCell struct{ Volts, Make, Break float64 }

// Limits returns the amperes a contact of this designation may make, break and
// carry at a voltage; false above its voltage of use. AC below 120 V takes the
// 120 V amperes; DC is capped at the thermal current; above 300 V DC the
// printed cell holds (NEMA ICS 5 notes).
func (d PilotDuty) Limits(volts float64) (makes, breaks, carries float64, ok bool) {
	if volts > d.MaxV {
		return 0, 0, 0, false
	}
	if d.Current == "ac" {
		v := math.Max(volts, 120)
		return d.VAMake / v, d.VABreak / v, d.Thermal, true
	}
	if volts > 300 {
		for _, c := range d.Cells {
			if c.Volts == 600 {
				return c.Make, c.Break, d.Thermal, true
			}
		}
		return 0, 0, 0, false
	}
	a := d.Thermal
	if volts > 0 {
		a = math.Min(d.Thermal, d.VABreak/volts)
	}
	return a, a, d.Thermal, true
}

// InputClass is a standard type of current-sinking digital input. Volts in V,
// currents in A. Source: IEC 61131-2.
type InputClass struct {
	ID          string
	Volts       float64
	Current     string
	Type        int
	OffMax      float64 // V, always state 0 up to here
	OnMin       float64 // V, state 1 from here
	OnAmps      float64 // A, with at least this current
	TransitionA float64 // A, state 0 as long as the current stays under it
	Max         float64 // V
	MaxAmps     float64 // A
	Source      string
}

// SignalLimit is one named figure of a standard binary signal (NAMUR, S0, NE 43).
type SignalLimit struct {
	Value  float64
	Unit   string
	Source string
}

// PowerSource is a column of the Class 2 and 3 tables. A limit nil is not set
// by the table. Source: NEC chapter 9 tables 11(A) and 11(B).
type PowerSource struct {
	ID           string
	Current      string // ac, dc
	Class        int
	Inherent     bool
	Above, UpTo  float64 // V
	VAMax        *SourceLimit
	IMax         *SourceLimit
	Overcurrent  *SourceLimit
	NameplateVA  *SourceLimit
	NameplateAmp *SourceLimit
	Edition      string
}

// SourceLimit is a limit that may depend on the highest voltage V: K, K/V or K*V.
type SourceLimit struct {
	K    float64
	Form string // "", "/V", "*V"
}

// At returns the limit at a highest voltage.
func (f SourceLimit) At(volts float64) float64 {
	switch f.Form {
	case "/V":
		return f.K / volts
	case "*V":
		return f.K * volts
	}
	return f.K
}

// ServiceVoltage is a nominal 60 Hz service voltage with its ranges, V.
// Source: ANSI C84.1.
type ServiceVoltage struct {
	Nominal              float64
	AMax, AService, AUse float64
	BMax, BService, BUse float64
}

// Service returns the ANSI C84.1 ranges of a nominal voltage; false if the
// standard lists none. A motor nameplate voltage is no service voltage.
func (r *Ratings) Service(nominal float64) (ServiceVoltage, bool) {
	for _, s := range r.Services {
		if s.Nominal == nominal {
			return s, true
		}
	}
	return ServiceVoltage{}, false
}

// PowerSource returns the Class 2 or 3 column for a source; false if no column
// of that class reaches the voltage.
func (r *Ratings) PowerSource(current string, class int, inherent bool, vmax float64) (PowerSource, bool) {
	for _, s := range r.ClassTwo {
		if s.Current == current && s.Class == class && s.Inherent == inherent && vmax > s.Above && vmax <= s.UpTo {
			return s, true
		}
	}
	return PowerSource{}, false
}

// loadRatings reads the tables of folder ratings.
func loadRatings() (*Ratings, error) {
	r := &Ratings{PilotDuty: map[string]PilotDuty{}, Inputs: map[string]InputClass{}, Signals: map[string]SignalLimit{}, SmallAmpacity: map[int]float64{}}
	for _, step := range []struct {
		file string
		row  func(cells) error
	}{
		{"pilot-duty-ac", r.pilotAC}, {"pilot-duty-dc", r.pilotDC}, {"input-classes", r.input},
		{"signals", r.signal}, {"class-2", r.powerSource}, {"service-voltages", r.service},
		{"motor-current", r.motor}, {"supply-sizes", r.supplySize}, {"fixture-wire", r.ampacity},
	} {
		if err := eachRow("ratings/"+step.file+".tsv", step.row); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// cells reads one row of a table by column name; the first bad number is kept
// in err.
type cells struct {
	table *Table
	row   []string
	err   *error
}

func eachRow(name string, f func(cells) error) error {
	t, err := table(name)
	if err != nil {
		return err
	}
	for _, row := range t.Rows {
		var bad error
		c := cells{t, row, &bad}
		if err := f(c); err != nil {
			return err
		}
		if bad != nil {
			return bad
		}
	}
	return nil
}

func (c cells) text(column string) string {
	i := c.table.Column(column)
	if i < 0 {
		*c.err = fmt.Errorf("%s: no column %q", c.table.File, column)
		return ""
	}
	return c.row[i]
}

// number reads a number; "-" is not printed and gives NaN.
func (c cells) number(column string) float64 {
	s := c.text(column)
	if s == "-" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		*c.err = fmt.Errorf("%s, row %s: %s %q is no number", c.table.File, c.row[0], column, s)
	}
	return v
}

func (c cells) figure(column string) *SourceLimit {
	s := c.text(column)
	if s == "-" {
		return nil
	}
	f := &SourceLimit{}
	for _, form := range []string{"/V", "*V"} {
		if rest, ok := strings.CutSuffix(s, form); ok {
			s, f.Form = rest, form
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		*c.err = fmt.Errorf("%s, row %s: %s %q is no limit", c.table.File, c.row[0], column, s)
	}
	f.K = v
	return f
}

func (r *Ratings) pilotAC(c cells) error {
	d := PilotDuty{ID: c.text("id"), Current: "ac", MaxV: c.number("max_v"), Thermal: c.number("thermal_a"),
		VAMake: c.number("va_make"), VABreak: c.number("va_break")}
	for _, v := range []string{"120", "240", "480", "600"} {
		volts, _ := strconv.ParseFloat(v, 64)
		if m := c.number("make_" + v); !math.IsNaN(m) {
			d.Cells = append(d.Cells, PilotCell{volts, m, c.number("break_" + v)})
		}
	}
	r.PilotDuty[d.ID] = d
	return nil
}

func (r *Ratings) pilotDC(c cells) error {
	d := PilotDuty{ID: c.text("id"), Current: "dc", MaxV: c.number("max_v"), Thermal: c.number("thermal_a"),
		VAMake: c.number("va"), VABreak: c.number("va")}
	for _, v := range []string{"125", "250", "600"} {
		volts, _ := strconv.ParseFloat(v, 64)
		if a := c.number("a_" + v); !math.IsNaN(a) {
			d.Cells = append(d.Cells, PilotCell{volts, a, a})
		}
	}
	r.PilotDuty[d.ID] = d
	return nil
}

func (r *Ratings) input(c cells) error {
	in := InputClass{ID: c.text("id"), Volts: c.number("volts"), Current: c.text("current"), Type: int(c.number("type")),
		OffMax: c.number("off_u_max"), OnMin: c.number("on_u_min"), OnAmps: c.number("on_i_min_ma") / 1000,
		TransitionA: c.number("transition_i_min_ma") / 1000, Max: c.number("u_max"), MaxAmps: c.number("i_max_ma") / 1000,
		Source: c.text("source")}
	r.Inputs[in.ID] = in
	return nil
}

func (r *Ratings) signal(c cells) error {
	r.Signals[c.text("id")] = SignalLimit{c.number("value"), c.text("unit"), c.text("source")}
	return nil
}

func (r *Ratings) powerSource(c cells) error {
	r.ClassTwo = append(r.ClassTwo, PowerSource{ID: c.text("id"), Current: c.text("table"), Class: int(c.number("class")),
		Inherent: c.text("inherent") == "yes", Above: c.number("above_v"), UpTo: c.number("up_to_v"),
		VAMax: c.figure("va_max"), IMax: c.figure("i_max"), Overcurrent: c.figure("overcurrent"),
		NameplateVA: c.figure("nameplate_va"), NameplateAmp: c.figure("nameplate_a"), Edition: c.text("edition")})
	return nil
}

func (r *Ratings) service(c cells) error {
	r.Services = append(r.Services, ServiceVoltage{c.number("id"), c.number("a_max"), c.number("a_service_min"),
		c.number("a_use_min"), c.number("b_max"), c.number("b_service_min"), c.number("b_use_min")})
	slices.SortFunc(r.Services, func(a, b ServiceVoltage) int { return int(a.Nominal - b.Nominal) })
	return nil
}

func (l *Library) readRatings([]model.LibraryFile) (err error) {
	l.Ratings, err = loadRatings()
	return err
}
