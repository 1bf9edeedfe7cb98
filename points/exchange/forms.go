package exchange

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// File is one file of a set: its name and its bytes.
type File struct {
	Name string
	Text []byte
}

// Unfit says why a plan cannot be written in a form: what the form asks for
// and the plan does not give. Nothing is written.
type Unfit struct {
	Form    string
	Reasons []string
}

// Error lists the first reasons.
func (u *Unfit) Error() string {
	const shown = 8
	text := u.Form + " cannot be written: " + strings.Join(u.Reasons[:min(shown, len(u.Reasons))], "; ")
	if more := len(u.Reasons) - shown; more > 0 {
		text += fmt.Sprintf("; and %d more", more)
	}
	return text
}

// index finds the parts of a plan by their keys.
type index struct {
	points map[string]*model.Point
	alarms map[string][]*model.Alarm // by the point whose object carries them
}

func indexOf(plan *model.Plan) index {
	x := index{points: map[string]*model.Point{}, alarms: map[string][]*model.Alarm{}}
	for i := range plan.Points {
		x.points[plan.Points[i].Key] = &plan.Points[i]
	}
	for i := range plan.Alarms {
		a := &plan.Alarms[i]
		x.alarms[a.Source] = append(x.alarms[a.Source], a)
	}
	return x
}

// limit is a parameter of a point's range alarm, "" where it has none. Names
// of parameters are those of the standard: high-limit, low-limit.
func (x index) limit(key, name string) string {
	for _, a := range x.alarms[key] {
		if a.Algorithm != "out-of-range" {
			continue
		}
		for _, p := range a.Parameters {
			if p.Name == "limit enable" && p.Value != "both" && !strings.HasPrefix(name, p.Value) {
				return "" // the object does not watch this limit
			}
		}
		for _, p := range a.Parameters {
			if strings.ReplaceAll(strings.ReplaceAll(strings.ToLower(p.Name), " ", "-"), "_", "-") == name {
				return p.Value
			}
		}
	}
	return ""
}

// commanded reports whether the object of a point takes commands: outputs
// always, values where the plan commands them.
func commanded(t library.ObjectType, p *model.Point) bool {
	return t.Commandable == "always" || t.Commandable == "optional" && (p.Priority != nil || p.RelinquishDefault != "")
}

// value is a state or number of a point as its object counts: 0 and 1 for a
// binary, 1 up for a multi-state, the number itself for an analog.
func value(t library.ObjectType, p *model.Point, text string) string {
	switch strings.ToLower(text) {
	case "":
		return ""
	case "inactive", "off":
		if t.Binary() {
			return "0"
		}
	case "active", "on":
		if t.Binary() {
			return "1"
		}
	}
	for i, s := range p.States {
		switch {
		case !strings.EqualFold(s, text):
		case t.Binary():
			return decimal(float64(i))
		case t.MultiState():
			return decimal(float64(i + 1))
		}
	}
	return text
}
