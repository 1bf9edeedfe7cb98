package model

// FunctionList is the list of functions in the manner of ISO 16484-3: one row
// a data point, one column a function, whole numbers, summed by column.
type FunctionList struct {
	Edition    string           `json:"edition"`     // what the columns follow
	NotClaimed []string         `json:"not_claimed"` // what the list leaves out or counts in its own way
	Columns    []FunctionColumn `json:"columns"`
	Rows       []FunctionRow    `json:"rows"`
	Systems    []FunctionTotal  `json:"systems"` // sums by system, in order of the rows
	Totals     []int            `json:"totals"`  // parallel to Columns
}

// FunctionColumn is one function of a group.
type FunctionColumn struct {
	ID    string `json:"id"` // 1.1
	Group string `json:"group"`
	Name  string `json:"name"`
}

// FunctionRow is one data point; Counts run parallel to the columns.
type FunctionRow struct {
	Point     string `json:"point"`
	Equipment string `json:"equipment"`
	System    string `json:"system"`
	Counts    []int  `json:"counts"`
	Remarks   string `json:"remarks"`
}

// FunctionTotal is the sum of a system.
type FunctionTotal struct {
	System string `json:"system"`
	Counts []int  `json:"counts"`
}
