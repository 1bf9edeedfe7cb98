package library

import (
	"cmp"
	"slices"

	"tallywire/model"
)

// Interposer is a device that may be put into a circuit to make it work.
type Interposer struct {
	ID string `json:"id"`
	// How it is put in. in-line: the circuit ends at terminal In, and a new
	// circuit starts at terminal Out (relay, isolator, converter, repeater).
	// supply: terminal Out becomes the supply of the circuit. across: a resistor
	// of Ohm across the accepting terminal. poles: a relay with several contacts,
	// Outs, one for each circuit that read the contact which drives In.
	How    string           `json:"how"`
	In     string           `json:"in"`
	Out    string           `json:"out"`
	Outs   []string         `json:"outs"`
	Power  string           `json:"power"` // terminal that needs a supply of its own; "" none
	Ohm    *model.Interval  `json:"ohm"`   // across: resistance with its tolerance
	Watts  *float64         `json:"watts"` // across: what it stands
	Device model.DeviceType `json:"device"`
	Placed
}

// RecordID returns the id of the interposer, which is its device type's id.
func (i Interposer) RecordID() string { return i.ID }

// Price is the price in whole cents; a device without one costs more than all
// that have one.
func (i *Interposer) Price() int64 {
	if i.Device.Price == nil {
		return 1 << 40
	}
	return *i.Device.Price
}

// readInterposers reads the interposers, cheapest first.
func (l *Library) readInterposers(own []model.LibraryFile) error {
	records, err := load[Interposer]("interposers", own)
	if err != nil {
		return err
	}
	for i := range records {
		d := &records[i].Device
		d.ID, d.Where = records[i].ID, records[i].Where
		for k := range d.Terminals {
			t := &d.Terminals[k]
			if t.Source == "" {
				t.Source = d.Source
			}
			if t.Function == "" {
				t.Function = t.ID
			}
		}
	}
	slices.SortStableFunc(records, func(a, b Interposer) int {
		return cmp.Or(cmp.Compare(a.Price(), b.Price()), cmp.Compare(a.ID, b.ID))
	})
	l.interposers = records
	return nil
}

// Interposers lists the interposers, cheapest first. Read only.
func (l *Library) Interposers() []Interposer { return l.interposers }

// Interposer returns the interposer of that id.
func (l *Library) Interposer(id string) (*Interposer, bool) {
	for i := range l.interposers {
		if l.interposers[i].ID == id {
			return &l.interposers[i], true
		}
	}
	return nil, false
}
