package derive

import (
	"cmp"
	"math"

	"tallywire/model"
	"tallywire/model/finding"
)

// covShare is the part of its range that an analog object's change of value
// may be at most; a building pressure of half an inch must not wait for the
// step of a duct (common practice: about the accuracy of a transmitter).
const covShare = 0.01

// covIncrement is the change of an analog point that is worth a message:
// what the project states for its role or unit, else the usual one of its
// unit, but no more than covShare of its range; of an airflow the share alone.
// nil: not an analog, or nothing to go by. COV_Increment is required where an analog object reports changes
// (ASHRAE 135, clause 12.1), and the standard has no figure for it.
func (d *derivation) covIncrement(q *model.Point, m *machine, role string) *float64 {
	t, known := d.lib.Objects.Type(q.ObjectType)
	if !known || !t.Analog() {
		return nil
	}
	own := d.settings.Derive.COVIncrements
	for _, name := range []string{q.Role, role, q.Units} {
		if v, stated := own[name]; stated {
			return &v
		}
	}
	step, span := 0.0, 0.0
	if q.Range != nil {
		span = q.Range.Hi - q.Range.Lo
	}
	u, ok := d.lib.Units.Named(q.Units)
	if ok && (u.Quantity != "volumetric flow" || span == 0) { // of an airflow its range tells more than its unit
		step = u.COV
	}
	if share := roundDown(span * covShare); share > 0 && (step == 0 || share < step) {
		step = share
	}
	if step == 0 {
		return nil
	}
	return &step
}

// roundDown takes a figure down to 1, 2 or 5 of its power of ten, so that
// people can read it; 0 for what is not above 0.
func roundDown(v float64) float64 {
	if v <= 0 {
		return 0
	}
	power := math.Floor(math.Log10(v) + 1e-9)
	for _, digit := range []float64{5, 2, 1} {
		if one := digit * math.Pow(10, power); one <= v*(1+1e-9) {
			return tidy(one)
		}
	}
	return tidy(math.Pow(10, power))
}

// tidy takes off what binary fractions leave behind the twelfth place.
func tidy(v float64) float64 { return math.Round(v*1e12) / 1e12 }

// increments: analog objects have a COV increment above 0 and within their
// range; others have none. Those that lack one are one finding.
func (v *validation) increments() {
	var lack []*model.Point
	for i := range v.points {
		q := &v.points[i]
		t, known := v.lib.Objects.Type(q.ObjectType)
		if !known {
			continue
		}
		switch n := q.COVIncrement; {
		case n == nil && t.Analog():
			lack = append(lack, q)
		case n == nil:
		case !t.Analog():
			v.fault("cov-increment", q, covClause, "take it out: every change of a state is reported", "a %s has states and no COV increment", q.ObjectType)
		case *n <= 0:
			v.fault("cov-increment", q, covClause, "give a change above 0", "its COV increment is %s: every reading would be a message", model.Figure(*n))
		case q.Range != nil && *n > q.Range.Hi-q.Range.Lo:
			v.fault("cov-increment", q, covClause, "give a small part of the range", "its COV increment %s is wider than its range %s: nothing would ever be reported", model.Figure(*n), q.Range)
		}
	}
	v.lackIncrement(lack)
}

const covClause = "ASHRAE 135, clauses 12.1 and 13.1"

func (v *validation) lackIncrement(lack []*model.Point) {
	if len(lack) == 0 {
		return
	}
	q := lack[0]
	v.findings = append(v.findings, finding.Finding{Code: "cov-increment", Severity: finding.Caution, Subject: q.Key, Subjects: several(keysOf(lack)), Where: q.Where, Source: covClause,
		Message: "no COV increment is known: nothing is usual for the unit " + cmp.Or(q.Units, "(none)") + ", and there is no range to take a part of",
		Fix:     "state settings.derive.cov_increments for its role or unit, or give the role a range"})
}
