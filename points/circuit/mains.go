package circuit

import (
	"fmt"
	"slices"

	"tallywire/model"
)

// serviceRange is what a branch circuit may measure at the point of use: ANSI
// C84.1 range A where the standard lists the nominal voltage.
func (j *joint) serviceRange(t *model.Terminal) (v model.Interval, cite string, ok bool) {
	if t.Volts == nil {
		return v, "", false
	}
	if s, found := j.lib.Ratings.Service(t.Volts.Hi); found && t.Volts.Point() && !t.Absolute {
		return model.Interval{Lo: s.AUse, Hi: s.AMax}, "ANSI C84.1 range A", true
	}
	v, ok = delivered(t)
	return v, how(t), ok
}

// askMains: the device's power input accepts the service over its whole range.
func (j *joint) askMains() {
	if j.c.Purpose != "mains" {
		return
	}
	s := &j.drive
	if j.supply != nil {
		s = j.supply
	}
	if !isSource(s.t) {
		return
	}
	given, cite, known := j.serviceRange(s.t)
	for i, a := range j.accepts {
		if a.t.Nature != model.PowerIn || j.natureFails(i) {
			continue
		}
		may, ok := j.accepted(a.t)
		switch {
		case !known && ok:
			j.unknown("mains-range", j.sourcePlace(), "the voltage of the service", span(*a.t.Volts)+" V nominal")
		case !known:
			j.unknown("mains-range", j.sourcePlace(), "the voltage of the service", "")
		case !ok:
			j.unknown("mains-range", i, "the supply voltage of "+a.name(), show(s.t.Volts.Mid())+" V nominal")
		default:
			v := model.Pass
			fix := ""
			if !may.Contains(given) {
				v, fix = model.Fault, fmt.Sprintf("order the device for %s V, feed it from another service, or add a transformer", show(s.t.Volts.Hi))
			}
			margin := min(given.Lo-may.Lo, may.Hi-given.Hi)
			c := j.tell("mains-range", v, i, fmt.Sprintf("a service of %s V is %s V at the point of use (%s); %s accepts %s V", span(*s.t.Volts), span(given), cite, a.name(), span(may)), "ANSI C84.1; "+a.t.Source, fix)
			c.Value, c.Limit, c.Relation, c.Unit, c.Margin = &given, &may, "inside", "V", &margin
		}
	}
}

// askPhase: the device takes the number of phases it is given.
func (j *joint) askPhase() {
	if j.c.Purpose != "mains" {
		return
	}
	s := &j.drive
	if j.supply != nil {
		s = j.supply
	}
	if !isSource(s.t) {
		return
	}
	for i, a := range j.accepts {
		if a.t.Nature != model.PowerIn || j.natureFails(i) {
			continue
		}
		switch {
		case len(a.t.Phases) == 0:
			j.unknown("phase", i, "the phases that "+a.name()+" takes", phases(s.t.Phases))
		case len(s.t.Phases) == 0:
			j.unknown("phase", j.sourcePlace(), "the phases of the service", phases(a.t.Phases))
		case !slices.ContainsFunc(s.t.Phases, func(n int) bool { return slices.Contains(a.t.Phases, n) }):
			j.tell("phase", model.Fault, i, fmt.Sprintf("the service is %s phase, %s takes %s phase", phases(s.t.Phases), a.name(), phases(a.t.Phases)), a.t.Source,
				"order the device for the service, or use a drive that makes the phases")
		case a.t.Neutral != nil && *a.t.Neutral && s.t.Neutral != nil && !*s.t.Neutral:
			j.tell("phase", model.Fault, i, fmt.Sprintf("%s needs line to neutral, and the service has no neutral", a.name()), a.t.Source, "pull a neutral, or add a control transformer")
		default:
			j.tell("phase", model.Pass, i, fmt.Sprintf("%s phase is given and taken", phases(s.t.Phases)), "", "")
		}
	}
}

func phases(list []int) string {
	words := ""
	for i, n := range list {
		if i > 0 {
			words += " or "
		}
		words += fmt.Sprint(n)
	}
	return words
}
