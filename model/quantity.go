// Package model holds the nouns of the job: equipment, devices, terminals,
// circuits, points, alarms, landings; the Project (what people said) and the
// Plan (what follows from it). It decides nothing and knows no library.
package model

import (
	"encoding/json"
	"math"
	"strconv"

	"tallywire/model/finding"
)

// Where is a place in a document that a person wrote.
type Where = finding.Where

// Interval is a quantity with a tolerance: the lowest and the highest value it
// can take. The zero Interval is [0, 0]; an unknown quantity is a nil pointer.
type Interval struct{ Lo, Hi float64 }

// Exactly returns the interval that holds one value.
func Exactly(v float64) Interval { return Interval{v, v} }

// Span returns a pointer to an interval, for optional fields.
func Span(lo, hi float64) *Interval { return &Interval{lo, hi} }

// Point reports whether the interval is a single value.
func (i Interval) Point() bool { return i.Lo == i.Hi }

// Mid returns the middle of the interval.
func (i Interval) Mid() float64 { return (i.Lo + i.Hi) / 2 }

// Contains reports whether all of o lies inside i.
func (i Interval) Contains(o Interval) bool { return i.Lo <= o.Lo && o.Hi <= i.Hi }

// Overlaps reports whether i and o share a value.
func (i Interval) Overlaps(o Interval) bool { return i.Lo <= o.Hi && o.Lo <= i.Hi }

// Scale multiplies both ends; a negative factor turns the interval round.
func (i Interval) Scale(k float64) Interval {
	a, b := i.Lo*k, i.Hi*k
	return Interval{math.Min(a, b), math.Max(a, b)}
}

// Add returns the interval of all sums.
func (i Interval) Add(o Interval) Interval { return Interval{i.Lo + o.Lo, i.Hi + o.Hi} }

// MarshalJSON writes a number, or [low, high].
func (i Interval) MarshalJSON() ([]byte, error) {
	if i.Point() {
		return json.Marshal(i.Lo)
	}
	return json.Marshal([2]float64{i.Lo, i.Hi})
}

// UnmarshalJSON reads a number or [low, high].
func (i *Interval) UnmarshalJSON(b []byte) error {
	var one float64
	if err := json.Unmarshal(b, &one); err == nil {
		*i = Exactly(one)
		return nil
	}
	var two [2]float64
	if err := json.Unmarshal(b, &two); err != nil {
		return err
	}
	*i = Interval{two[0], two[1]}
	return nil
}

// String prints "24" or "19.2 to 28.8".
func (i Interval) String() string {
	if i.Point() {
		return Figure(i.Lo)
	}
	return Figure(i.Lo) + " to " + Figure(i.Hi)
}

// Figure prints a number the way a data sheet does: at most four significant
// decimals, no trailing zeros, no exponent for everyday sizes.
func Figure(v float64) string {
	a := math.Abs(v)
	switch {
	case v == math.Trunc(v) && a < 1e15:
		return strconv.FormatFloat(v, 'f', 0, 64)
	case a >= 1000:
		return trim(strconv.FormatFloat(v, 'f', 1, 64))
	case a >= 1:
		return trim(strconv.FormatFloat(v, 'f', 3, 64))
	case a >= 1e-4:
		return trim(strconv.FormatFloat(v, 'f', 6, 64))
	default:
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
}

func trim(s string) string {
	for len(s) > 0 && s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if len(s) > 0 && s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s
}

// Quantity is a number with its unit, and how and where it was written. Value
// is in Unit, which is the unit as typed (cfm, L/s, in.wc, Pa, hp, kW, W, A,
// ft, m, ft2, m2, s, min ...), never converted; In converts.
type Quantity struct {
	Value Interval `json:"value"`
	Unit  string   `json:"unit"`
	Text  string   `json:"text"`
	Where *Where   `json:"where"`
}

// Text is a word a person wrote, and where.
type Text struct {
	Text  string `json:"text"`
	Where *Where `json:"where"`
}

// unit describes a unit of measure: its dimension and how many of the
// dimension's SI unit one of it is.
type unit struct {
	dimension string
	factor    float64
}

// units are the units that quantities may carry. Exact definitions except
// where noted: inch 0.0254 m, mechanical horsepower 745.69987 W, inch of
// water at 4 °C 249.089 Pa (NIST SP 811, appendix B.8).
var units = map[string]unit{
	"cfm": {"airflow", 0.3048 * 0.3048 * 0.3048 / 60}, "L/s": {"airflow", 1e-3},
	"m3/s": {"airflow", 1}, "m3/h": {"airflow", 1.0 / 3600},
	"in.wc": {"pressure", 249.089}, "Pa": {"pressure", 1}, "kPa": {"pressure", 1000}, "mm.wc": {"pressure", 9.80665},
	"hp": {"power", 745.6998715822702}, "kW": {"power", 1000}, "W": {"power", 1},
	"A": {"current", 1}, "mA": {"current", 1e-3},
	"V": {"voltage", 1}, "mV": {"voltage", 1e-3}, "kV": {"voltage", 1e3},
	"VA": {"apparent power", 1}, "kVA": {"apparent power", 1000}, "ohm": {"resistance", 1}, "kohm": {"resistance", 1e3},
	"Hz": {"frequency", 1}, "rpm": {"speed", 1}, "%": {"share", 0.01}, "ppm": {"share", 1e-6},
	"ft": {"length", 0.3048}, "in": {"length", 0.0254}, "m": {"length", 1}, "mm": {"length", 1e-3},
	"ft2": {"area", 0.3048 * 0.3048}, "m2": {"area", 1},
	"s": {"time", 1}, "min": {"time", 60}, "h": {"time", 3600}, "ms": {"time", 1e-3},
}

// In returns the value in another unit of the same dimension; false if the
// units do not convert.
func (q Quantity) In(to string) (Interval, bool) {
	if q.Unit == to {
		return q.Value, true
	}
	a, okA := units[q.Unit]
	b, okB := units[to]
	if !okA || !okB || a.dimension != b.dimension {
		return Interval{}, false
	}
	return q.Value.Scale(a.factor / b.factor), true
}

// Dimension returns what a unit measures ("airflow"), "" if it is none of ours.
func Dimension(name string) string { return units[name].dimension }
