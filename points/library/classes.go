package library

import "tallywire/model"

// TerminalClass is a class of controller terminal: UI, BI, WI, RO, TO, PO,
// UO, AO, CO. Modes are what one terminal of the class can be set to; it is
// one of them at a time.
type TerminalClass struct {
	ID     string           `json:"id"`
	Name   string           `json:"name"`
	Modes  []model.Terminal `json:"modes"`
	Source string           `json:"source"`
	Placed
}

// RecordID returns the id of the class.
func (c TerminalClass) RecordID() string { return c.ID }

// Mode returns the mode of that id.
func (c *TerminalClass) Mode(id string) (*model.Terminal, bool) {
	for i := range c.Modes {
		if c.Modes[i].ID == id {
			return &c.Modes[i], true
		}
	}
	return nil, false
}

func (l *Library) loadClasses(own []model.LibraryFile) error {
	records, err := load[TerminalClass]("classes", own)
	for i := range records {
		for j := range records[i].Modes {
			m := &records[i].Modes[j]
			m.Class = records[i].ID
			if m.Source == "" {
				m.Source = records[i].Source
			}
			if m.Function == "" {
				m.Function = m.ID
			}
		}
	}
	l.classes = records
	return err
}

// Class returns the terminal class of that id.
func (l *Library) Class(id string) (TerminalClass, bool) {
	for _, c := range l.classes {
		if c.ID == id {
			return c, true
		}
	}
	return TerminalClass{}, false
}

// Classes lists the terminal classes in the order of the library.
func (l *Library) Classes() []TerminalClass { return l.classes }
