package model

import "tallywire/model/finding"

// What kind of thing somebody did to a workbook.
const (
	EditAnswer = "answer" // filled a cell that is theirs to fill: vendor status, check-out result, answer to a question
	EditValue  = "value"  // changed a value of ours
	EditOwn    = "own"    // filled a column of their own
	EditNote   = "note"   // put a note at a cell
	EditAdded  = "added"  // added a row; Field is the column, every filled cell is one edit
	EditGone   = "gone"   // removed a row
)

// Edit is one thing that came back: the row by its key, the column, what
// stands in the plan and what stands in the workbook.
type Edit struct {
	Kind  string `json:"kind"`
	Sheet string `json:"sheet"` // our own name of the sheet, whatever it is called now
	Key   string `json:"key"`   // row key: the point key, alarm id ...; "" a row that has none
	Field string `json:"field"` // id of the column; an own column's heading
	Title string `json:"title"` // heading as it stands there
	Old   string `json:"old"`   // what the plan says now
	New   string `json:"new"`
	// Number is set where the cell holds a number.
	Number *float64 `json:"number"`
	// Moved says that the plan's own value has changed since the workbook was
	// issued: theirs and ours both moved, somebody has to decide.
	Moved bool   `json:"moved"`
	Means string `json:"means"` // what it would change, in words
	Where *Where `json:"where"`
}

// Returned is a workbook that came back, read against a plan.
type Returned struct {
	File        string `json:"file"`
	Fingerprint string `json:"fingerprint"` // of the plan it was issued from; "" lost on the way
	Current     bool   `json:"current"`     // that plan is the present one
	Edits       []Edit `json:"edits"`
	// Findings name the cells that cannot be placed: a key twice, a heading
	// nobody knows, a sheet that is missing.
	Findings []finding.Finding `json:"findings"`
	Layout   Layout            `json:"layout"`
}

// Layout is how people arranged the workbook, so that a new issue can keep it.
type Layout struct {
	Order  map[string][]string           `json:"order"`  // sheet → row keys in their order
	Widths map[string]map[string]float64 `json:"widths"` // sheet → column id → width in characters
	Own    []OwnColumn                   `json:"own"`
	Sheets []Sheet                       `json:"-"` // sheets that are not ours, as typed
	Kept   []KeptRow                     `json:"kept"`
}

// OwnColumn is a column that somebody added to a sheet of ours.
type OwnColumn struct {
	Sheet string  `json:"sheet"`
	Title string  `json:"title"`
	Width float64 `json:"width"`
}

// KeptRow is a row of an earlier issue that belongs to no point any more, or
// that somebody added: what it says is kept.
type KeptRow struct {
	Sheet string     `json:"sheet"`
	Key   string     `json:"key"`
	State string     `json:"state"` // point gone, added by hand
	Cells []KeptCell `json:"cells"`
}

// KeptCell is one filled cell of a kept row.
type KeptCell struct {
	Title string `json:"title"`
	Text  string `json:"text"`
}
