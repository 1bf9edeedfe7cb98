package circuit

import (
	"math"
	"strconv"
	"strings"

	"tallywire/model"
)

// question is one entry of the table of checks: whether it concerns a circuit
// is its own business; it adds answers to the joint.
type question struct {
	code string
	ask  func(*joint)
}

// questions are the checks of a single circuit, in the order they are told.
// Where a voltage is put on a dry input the rest would only be noise.
var questions = []question{
	{"nature", (*joint).askNature},
	{"wet-on-dry", (*joint).askWetOnDry},
	{"needs-supply", (*joint).askSupply},
	{"ac-dc", (*joint).askCurrent},
	{"under-voltage", (*joint).askUnderVoltage},
	{"over-voltage", (*joint).askOverVoltage},
	{"stays-on", (*joint).askStaysOn},
	{"contact-overload", (*joint).askContactOverload},
	{"contact-underload", (*joint).askContactUnderload},
	{"holding-current", (*joint).askHolding},
	{"range", (*joint).askRange},
	{"no-stop", (*joint).askNoStop},
	{"output-overload", (*joint).askOutputOverload},
	{"loading-error", (*joint).askLoadingError},
	{"burden", (*joint).askBurden},
	{"loading-error", (*joint).askSensor},
	{"dissipation", (*joint).askResistor},
	{"loading-error", (*joint).askConversion},
	{"contact-underload", (*joint).askPulse},
	{"mains-range", (*joint).askMains},
	{"phase", (*joint).askPhase},
}

// run asks every question in turn.
func (j *joint) run() []answer {
	j.answers = make([]answer, 0, 8)
	for _, q := range questions {
		q.ask(j)
		if q.code == "wet-on-dry" && j.wetOnDry() {
			break
		}
	}
	return j.answers
}

// wetOnDry says that a voltage is put on a dry input: what its figures are does
// not matter any more.
func (j *joint) wetOnDry() bool {
	for _, a := range j.answers {
		if a.Code == "wet-on-dry" && a.Verdict == model.Fault {
			return true
		}
	}
	return false
}

// tell adds an answer.
func (j *joint) tell(code string, v model.Verdict, place int, text, source, fix string) *answer {
	j.answers = append(j.answers, answer{Check: model.Check{Code: code, Verdict: v, Text: text, Source: source}, fix: fix, place: place})
	return &j.answers[len(j.answers)-1]
}

// unknown adds the answer that nothing can be said: what is needed, and which
// answer would pass.
func (j *joint) unknown(code string, place int, needs, would string) {
	text := "cannot tell: needs " + needs
	if would != "" {
		text += "; " + would + " would pass"
	}
	ask, _, _ := strings.Cut(needs, ";")
	j.tell(code, model.Unknown, place, text, "", "state "+ask)
}

// limit is a comparison to be told: value against limit in a unit.
type limit struct {
	code     string
	place    int
	value    model.Interval
	relation string // ">=" or "<="
	limit    float64
	unit     string
	text     string
	source   string
	fix      string
	broken   model.Verdict // what a broken limit is; fault unless said
}

// hold adds the answer of a comparison at the unfavourable end.
func (j *joint) hold(l limit) bool {
	worstValue := l.value.Lo
	margin := worstValue - l.limit
	if l.relation == "<=" {
		worstValue = l.value.Hi
		margin = l.limit - worstValue
	}
	good := margin >= -1e-9*math.Max(1e-3, math.Abs(l.limit))
	v := model.Pass
	if !good {
		v = model.Fault
		if l.broken != "" {
			v = l.broken
		}
	}
	fix := l.fix
	if good {
		fix = ""
	}
	a := j.tell(l.code, v, l.place, l.text, l.source, fix)
	value, bound := l.value, model.Exactly(l.limit)
	a.Value, a.Limit, a.Relation, a.Unit, a.Margin = &value, &bound, l.relation, l.unit, &margin
	return good
}

// show prints a number with at most four significant digits and no exponent.
func show(v float64) string {
	a := math.Abs(v)
	if a >= 1000 || v == math.Trunc(v) {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	decimals := 4
	for p := a; p >= 1 && decimals > 0; p /= 10 {
		decimals--
	}
	if a < 1 {
		decimals = 4
		for p := a; p < 0.1 && p > 0 && decimals < 12; p *= 10 {
			decimals++
		}
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// milli prints amperes as milliamperes where that reads better.
func milli(a float64) string {
	if math.Abs(a) < 1 {
		return show(a*1000) + " mA"
	}
	return show(a) + " A"
}

func span(i model.Interval) string {
	if i.Point() {
		return show(i.Lo)
	}
	return show(i.Lo) + " to " + show(i.Hi)
}
