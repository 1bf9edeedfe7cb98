package points

import (
	"fmt"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// answer lays the values that came back and were accepted over the points. A
// terminal is asked of the landing instead; see land.
func answer(p *model.Project, plan *model.Plan, opts Options) {
	at := map[string]*model.Point{}
	keys := make([]string, 0, len(plan.Points))
	for i := range plan.Points {
		at[plan.Points[i].Key] = &plan.Points[i]
		keys = append(keys, plan.Points[i].Key)
	}
	for _, a := range p.Answers {
		q := at[a.Key]
		if q == nil {
			f := finding.Finding{Code: "answer-unmatched", Severity: finding.Caution, Subject: a.Key, Where: a.Where,
				Message: fmt.Sprintf("%s %q was accepted for %s, and the plan has no such point", a.Field, a.Value, a.Key),
				Fix:     "take the entry out, or correct its key"}
			if near := finding.Nearest(a.Key, keys); near != "" {
				f.Fix += fmt.Sprintf(" (%s is near)", near)
			}
			plan.Findings = append(plan.Findings, f)
			continue
		}
		problem := setField(q, a.Field, strings.TrimSpace(a.Value))
		if (a.Field == "terminal" || a.Field == "controller") && opts.Previous == nil {
			problem = "terminals are kept on the controllers of an issued plan; name it with --previous"
		}
		if problem != "" {
			plan.Findings = append(plan.Findings, finding.Finding{Code: "answer-unusable", Severity: finding.Caution, Subject: a.Key, Where: a.Where,
				Message: fmt.Sprintf("%s %q was accepted and cannot be used: %s", a.Field, a.Value, problem), Fix: "correct the entry"})
		}
	}
}

// setField sets one field of a point from text; it returns what is wrong with
// the text, "" nothing.
func setField(q *model.Point, field, value string) string {
	switch field {
	case "instance":
		n, err := strconv.Atoi(value)
		if err != nil || n < 0 || n > 4194302 {
			return "an object instance is a whole number from 0 to 4194302 (ASHRAE 135, clause 12)"
		}
		q.Instance = &n
	case "priority":
		n, err := strconv.Atoi(value)
		if err != nil || n < 1 || n > 16 {
			return "a command priority is a whole number from 1 to 16 (ASHRAE 135, clause 19.2)"
		}
		q.Priority = &n
	case "object_name":
		if value == "" {
			return "an object name is not empty"
		}
		q.ObjectName = value
	case "states":
		states := splitStates(value)
		if len(states) < 2 {
			return "state texts are written like Off / On"
		}
		q.States = states
	case "description":
		q.Description = value
	case "units":
		if !strings.HasPrefix(q.ObjectType, "analog") {
			return "a " + q.ObjectType + " has no units"
		}
		q.Units = value
	case "polarity":
		if value != "normal" && value != "reverse" {
			return "polarity is normal or reverse"
		}
		q.Polarity = value
	case "fail_state":
		q.FailState = value
	case "relinquish_default":
		q.RelinquishDefault = value
	case "controller", "terminal": // the landing keeps them
	default:
		return "this field cannot be set from outside"
	}
	return ""
}

func splitStates(text string) []string {
	var out []string
	for _, part := range strings.Split(text, "/") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// askedLandings are the terminals that accepted answers ask for, as landings to keep.
func askedLandings(p *model.Project, kept map[string]*model.Landing) map[string]*model.Landing {
	for _, a := range p.Answers {
		if a.Field != "controller" && a.Field != "terminal" {
			continue
		}
		l := kept[a.Key]
		if l == nil {
			l = &model.Landing{Point: a.Key}
		} else {
			moved := *l
			l = &moved
		}
		if a.Field == "controller" {
			l.Controller = strings.TrimSpace(a.Value)
		} else {
			l.Terminal = strings.TrimSpace(a.Value)
		}
		kept[a.Key] = l
	}
	return kept
}
