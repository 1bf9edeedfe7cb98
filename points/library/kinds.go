package library

import "tallywire/model"

// Kind is what a machine is: toilet-exhaust-fan. Constant, Variable name the
// scheme by which such a machine is controlled at one speed and at any speed;
// Usual says which of the two holds where the list is silent.
type Kind struct {
	Placed
	ID         string `json:"id"`
	Name       string `json:"name"`
	Constant   string `json:"constant"`
	Variable   string `json:"variable"`
	Usual      string `json:"usual"` // constant, variable
	LifeSafety bool   `json:"life_safety"`
	Moves      string `json:"moves"` // exhaust, supply, return, transfer, mixed: what it does with the air
	Source     string `json:"source"`
}

// RecordID implements the record form.
func (k Kind) RecordID() string { return k.ID }

// Scheme returns the scheme for a speed ("constant", "variable"); any other
// speed gives the usual one.
func (k Kind) Scheme(speed string) string {
	if speed != "constant" && speed != "variable" {
		speed = k.Usual
	}
	if speed == "variable" {
		return k.Variable
	}
	return k.Constant
}

// Kind returns the record of a kind.
func (l *Library) Kind(id string) (Kind, bool) {
	for _, k := range l.Kinds {
		if k.ID == id {
			return k, true
		}
	}
	return Kind{}, false
}

func loadKinds(own []model.LibraryFile) ([]Kind, error) { return load[Kind]("kinds", own) }
