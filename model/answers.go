package model

import "tallywire/model/finding"

// The answers that commands print under --json. Each has a schema of the
// command's name; an error takes the place of the answer.

// FindingCounts are the findings of an answer by severity; one that concerns
// several subjects counts once for each.
type FindingCounts struct {
	Faults   int `json:"faults"`
	Cautions int `json:"cautions"`
	Notes    int `json:"notes"`
}

// CheckAnswer is what check finds. CannotTell counts the circuits whose
// verdict is unknown.
type CheckAnswer struct {
	Counts     FindingCounts     `json:"counts"`
	CannotTell int               `json:"cannot_tell"`
	Findings   []finding.Finding `json:"findings"`
	Cautions   []string          `json:"cautions"` // the sentences that stand on every output
}

// CountAnswer is what count counts.
type CountAnswer struct {
	Counts Counts `json:"counts"`
}

// CrosscheckAnswer is where the documents disagree.
type CrosscheckAnswer struct {
	Counts      FindingCounts   `json:"counts"`
	Differences []Difference    `json:"differences"`
	Retrofit    []RetrofitPoint `json:"retrofit"` // what becomes of existing points; empty where none are given
}

// CompareAnswer is what changed between two issues.
type CompareAnswer struct {
	Differences []Difference `json:"differences"`
}

// ErrorAnswer takes the place of an answer that could not be given.
type ErrorAnswer struct {
	Error ErrorText `json:"error"`
}

// ErrorText is one error: what is wrong, the exit code (2 the input or the
// usage, 3 the machine), and each fault of an authored file with its place.
type ErrorText struct {
	Message string       `json:"message"`
	Exit    int          `json:"exit"`
	Faults  []ErrorFault `json:"faults"`
}

// ErrorFault is one thing wrong with an authored file.
type ErrorFault struct {
	Where   *Where `json:"where"`
	Message string `json:"message"`
	Nearest string `json:"nearest"` // the nearest good word; "" none
}
