package library

import "tallywire/model"

// Families of schemes: who decides that the fan runs.
const (
	FamilyFan      = "fan"      // the BAS starts it and proves it
	FamilyPackaged = "packaged" // its own controls run it; the BAS enables it
	FamilyMonitor  = "monitor"  // another trade runs it; the BAS watches
	FamilyTerminal = "terminal" // a terminal unit with a controller of its own
)

// Scheme is a way to control a fan. Rules and alarms refer to it by id.
type Scheme struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Family string `json:"family"`
	// Speed: variable needs a device that can vary it, constant has no speed
	// reference, by-control follows the device that the schedule gives.
	Speed string `json:"speed"`
	// LifeSafety schemes are run by listed equipment of the fire trade.
	LifeSafety bool `json:"life_safety"`
	// Proof: a status that only follows the command is no answer here.
	Proof bool `json:"proof"`
	// Together says what shares system points: system (the System column, or
	// the service), building, equipment.
	Together string `json:"together"`
	// Runs says by what it runs: schedule, demand (temperature, gas, another
	// fan), always, others (another trade).
	Runs string `json:"runs"`
	// AtLoss: run where the fan shall run, at full speed, while nothing commands
	// it: it protects people. "" it stays off.
	AtLoss   string   `json:"at_loss"`
	Sequence []string `json:"sequence"` // how it works, in three lines
	Source   string   `json:"source"`
	Placed
}

// RecordID returns the id of the scheme.
func (s Scheme) RecordID() string { return s.ID }

func (l *Library) loadSchemes(own []model.LibraryFile) error {
	records, err := load[Scheme]("schemes", own)
	l.schemes = records
	return err
}

// Scheme returns the scheme of that id.
func (l *Library) Scheme(id string) (Scheme, bool) { return byID(l.schemes, id) }

// Schemes lists the schemes in the order of the library.
func (l *Library) Schemes() []Scheme { return l.schemes }
