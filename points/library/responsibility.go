package library

import "tallywire/model"

// Task is a row of the responsibility table: who furnishes, installs, powers,
// wires, terminates, sets up and verifies an item. Trades are named by their
// work: mechanical, electrical, controls, fire alarm, kitchen, balancing,
// supplier; "" nobody has to.
type Task struct {
	ID        string   `json:"id"`
	Name      string   `json:"name"`
	Furnish   string   `json:"furnish"`
	Install   string   `json:"install"`
	Power     string   `json:"power"`
	Wire      string   `json:"wire"`
	Terminate string   `json:"terminate"`
	SetUp     string   `json:"set_up"`
	Verify    string   `json:"verify"`
	Controls  []string `json:"controls"` // equipment it belongs to by its control; empty: by its points only
	Gap       string   `json:"gap"`      // what is usually forgotten
	Source    string   `json:"source"`
	Placed
}

// RecordID returns the id of the row.
func (t Task) RecordID() string { return t.ID }

func (l *Library) loadResponsibility(own []model.LibraryFile) error {
	records, err := load[Task]("responsibility", own)
	l.tasks = records
	return err
}

// Task returns the responsibility row of that id.
func (l *Library) Task(id string) (Task, bool) { return byID(l.tasks, id) }

// Tasks lists the responsibility rows in the order of the library.
func (l *Library) Tasks() []Task { return l.tasks }
