package library

import (
	"math"
	"strconv"

	"tallywire/model"
)

// CodeRule is a rule of a building, fire or energy code of which the plan
// reminds: never a verdict. It holds for machines that meet its conditions and
// whose Quantity stands in Comparison to Threshold (from-to: Threshold
// included, Below excluded). Local rules hold only where the project names the
// code in its editions.
type CodeRule struct {
	Placed
	ID         string  `json:"id"`
	Topic      string  `json:"topic"`
	Code       string  `json:"code"`
	Edition    string  `json:"edition"`
	Clause     string  `json:"clause"`
	Rule       string  `json:"rule"`
	Quantity   string  `json:"quantity"`
	Comparison string  `json:"comparison"`
	Threshold  float64 `json:"threshold"`
	// ThresholdSI is the metric figure that the code prints beside the other,
	// rounded by its authors; metric lists are held against it. 0: none.
	ThresholdSI float64  `json:"threshold_si"`
	UnitSI      string   `json:"unit_si"`
	Below       float64  `json:"below"`
	Unit        string   `json:"unit"`
	Kinds       []string `json:"kinds"`
	Controls    []string `json:"controls"`
	MotorTypes  []string `json:"motor_types"`
	Dampers     []string `json:"dampers"`
	Fire        []string `json:"fire"`
	StoreysFrom int      `json:"storeys_from"`
	Local       bool     `json:"local"`
	Asks        string   `json:"asks"`
	Checked     string   `json:"checked"`
	Source      string   `json:"source"`
}

// RecordID implements the record form.
func (c CodeRule) RecordID() string { return c.ID }

// Holds reports whether a figure in the rule's unit brings the rule into play.
// Thresholds are exact: 2000 is not more than 2000. Only what floating point
// adds (a millionth of a millionth) is forgiven.
func (c CodeRule) Holds(v float64) bool {
	const rounding = 1e-12
	slack := rounding * math.Max(math.Abs(v), math.Abs(c.Threshold))
	switch c.Comparison {
	case "more-than":
		return v > c.Threshold+slack
	case "at-least":
		return v >= c.Threshold-slack
	case "less-than":
		return v < c.Threshold-slack
	case "at-most":
		return v <= c.Threshold+slack
	case "from-to":
		return v >= c.Threshold-slack && v < c.Below-rounding*c.Below
	}
	return c.Quantity == "presence"
}

// Citation is code, edition and clause as people cite them.
func (c CodeRule) Citation() string {
	s := c.Code
	if c.Edition != "" {
		s += " (" + c.Edition + ")"
	}
	if c.Clause != "" {
		s += ", " + c.Clause
	}
	return s
}

// CodeRule returns a rule by its id.
func (l *Library) CodeRule(id string) (CodeRule, bool) {
	for _, c := range l.CodeRules {
		if c.ID == id {
			return c, true
		}
	}
	return CodeRule{}, false
}

func loadCodeRules(own []model.LibraryFile) ([]CodeRule, error) {
	return load[CodeRule]("codes", own)
}

// Plausible are the figures against which a list's values are held.
type Plausible struct {
	Limits map[string]float64 // by id, in the unit of their table
	Source map[string]string
	Sizes  []float64 // hp, motor sizes that are made
}

func loadPlausible() (Plausible, error) {
	p := Plausible{Limits: map[string]float64{}, Source: map[string]string{}}
	t, err := table("plausible/limits.tsv")
	if err != nil {
		return p, err
	}
	for _, r := range t.Rows {
		if p.Limits[r[0]], err = strconv.ParseFloat(r[1], 64); err != nil {
			return p, err
		}
		p.Source[r[0]] = r[3]
	}
	sizes, err := table("plausible/motor-sizes.tsv")
	if err != nil {
		return p, err
	}
	for _, r := range sizes.Rows {
		hp, err := strconv.ParseFloat(r[0], 64)
		if err != nil {
			return p, err
		}
		p.Sizes = append(p.Sizes, hp)
	}
	return p, nil
}
