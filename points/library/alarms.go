package library

import "tallywire/model"

// AlarmRule makes one alarm where its condition holds and its source point is
// there.
type AlarmRule struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"` // last part of the alarm id: failed
	When      Condition `json:"when"`
	On        string    `json:"on"`    // role of the point whose object carries it
	Needs     []string  `json:"needs"` // further roles that must be there
	Algorithm string    `json:"algorithm"`
	Condition string    `json:"condition"`
	// Delay: start and stop follow the project's edition, stroke, ramp and
	// margin; damper is stroke and margin; fixed is Seconds.
	Delay       string            `json:"delay"`
	Seconds     float64           `json:"seconds"`
	Level       int               `json:"level"` // 1 life safety, 2 critical equipment, 3 urgent, 4 normal
	ToOffnormal string            `json:"to_offnormal"`
	ToNormal    string            `json:"to_normal"`
	InhibitedBy []string          `json:"inhibited_by"` // roles; InhibitWords
	Parameters  []model.Parameter `json:"parameters"`
	LifeSafety  bool              `json:"life_safety"`
	Why         string            `json:"why"`
	Source      string            `json:"source"`
	Example     Sample            `json:"example"`
	NearMiss    Sample            `json:"near_miss"`
	Placed
}

// RecordID returns the id of the alarm rule.
func (a AlarmRule) RecordID() string { return a.ID }

func (l *Library) loadAlarms(own []model.LibraryFile) error {
	records, err := load[AlarmRule]("alarms", own)
	l.alarms = records
	return err
}

// AlarmRules lists the alarm rules in the order of the library.
func (l *Library) AlarmRules() []AlarmRule { return l.alarms }
