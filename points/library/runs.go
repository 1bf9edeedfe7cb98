package library

import "tallywire/model"

// Run is a usual way to wire one kind of circuit: gauge, length one way,
// conductors a circuit, cable. A project states its own.
type Run struct {
	ID         string  `json:"id"`
	Name       string  `json:"name"`
	GaugeAWG   int     `json:"gauge_awg"`
	LengthFt   float64 `json:"length_ft"`
	Conductors int     `json:"conductors"`
	Stranded   bool    `json:"stranded"`
	Shielded   bool    `json:"shielded"`
	TempC      float64 `json:"temp_c"`
	// Local runs stay at the machine: the project's default length to the
	// panel does not hold for them.
	Local  bool   `json:"local"`
	Cable  string `json:"cable"`
	Class  string `json:"class"` // class-2, class-1, power
	Source string `json:"source"`
	Placed
}

// RecordID returns the id of the run.
func (r Run) RecordID() string { return r.ID }

func (l *Library) loadRuns(own []model.LibraryFile) error {
	records, err := load[Run]("runs", own)
	l.runs = records
	return err
}

// Run returns the run of that id.
func (l *Library) Run(id string) (Run, bool) {
	for _, r := range l.runs {
		if r.ID == id {
			return r, true
		}
	}
	return Run{}, false
}
