package intake

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// margin is by how much the best reading must outweigh the next: less is a
// tie, and a tie asks.
const margin = 0.5

// verdict is what the evidence about one thing came to.
type verdict struct {
	answer string // "" nothing speaks, or a tie
	tie    []string
	score  float64
	second float64
	won    []model.Evidence
	stated bool // a column states it outright
}

// weigh adds up the evidence about one thing. Every piece goes into the
// equipment's evidence, the losing ones too.
func (w *work) weigh(about string) verdict {
	sums := map[string]float64{}
	var order []string
	var found []model.Evidence
	var v verdict
	for _, i := range w.about[about] {
		rule := &w.rules[i]
		words, field, ok := w.matches(rule)
		if !ok {
			continue
		}
		if _, seen := sums[rule.For]; !seen {
			order = append(order, rule.For)
		}
		sums[rule.For] += rule.Weight
		one := model.Evidence{About: about, For: rule.For, Weight: rule.Weight, Words: words, Where: w.e.Where}
		if c, ok := w.d.fields[field]; ok {
			one.Where = placeOf(c)
		}
		found = append(found, one)
	}
	for _, id := range order {
		switch {
		case sums[id] > v.score:
			v.answer, v.score, v.second = id, sums[id], v.score
		case sums[id] > v.second:
			v.second = sums[id]
		}
	}
	if v.answer != "" && v.score-v.second < margin {
		for _, id := range order {
			if v.score-sums[id] < margin {
				v.tie = append(v.tie, id)
			}
		}
		v.answer = ""
	}
	for i := range found {
		if found[i].For == v.answer && v.answer != "" {
			found[i].Won = true
			v.won = append(v.won, found[i])
		}
	}
	w.e.Evidence = append(w.e.Evidence, found...)
	for _, one := range v.won {
		v.stated = v.stated || w.direct(about, one)
	}
	return v
}

// direct reports whether a winning piece stands in the column that states the
// thing outright.
func (w *work) direct(about string, one model.Evidence) bool {
	for _, field := range directColumn[about] {
		if c, ok := w.d.fields[field]; ok && one.Where != nil && *one.Where == c.where {
			return true
		}
	}
	return false
}

// matches holds a rule against the row and returns the words that matched and
// the field in which they stand.
func (w *work) matches(rule *rule) (words, field string, ok bool) {
	if !w.conditions(rule.Evidence) {
		return "", "", false
	}
	if len(rule.Prefixes) > 0 {
		p := w.prefix
		if !slices.Contains(rule.Prefixes, p) {
			return "", "", false
		}
		words = "tag begins with " + p
	}
	if len(rule.Suffixes) > 0 {
		at := slices.IndexFunc(w.suffixes, func(s string) bool { return slices.Contains(rule.Suffixes, s) })
		if at < 0 {
			return "", "", false
		}
		words = "the tag says " + w.suffixes[at] + " behind its number"
	}
	if len(rule.Words) == 0 {
		if words == "" {
			words = rule.Why
		}
		return words, "tag", true
	}
	fields := rule.Fields
	if len(fields) == 0 {
		fields = textFields
	}
	for _, f := range fields {
		text := w.texts[f]
		if text == "" || slices.ContainsFunc(rule.unless, func(u string) bool { return strings.Contains(text, u) }) {
			continue
		}
		for i, word := range rule.words {
			if strings.Contains(text, word) {
				said := fmt.Sprintf("%s says %q", strings.ReplaceAll(f, "_", " "), strings.TrimPrefix(rule.Words[i], "is "))
				if words != "" {
					said = words + ", " + said
				}
				return said, f, true
			}
		}
	}
	return "", "", false
}

// conditions holds the rule's conditions on what has been read before.
func (w *work) conditions(rule *library.Evidence) bool {
	g := w.e.Ratings
	within := func(list []string, value string) bool { return len(list) == 0 || slices.Contains(list, value) }
	if !within(rule.Kinds, w.e.Kind) || !within(rule.Speeds, w.texts["speed"]) || !within(rule.MotorTypes, g.MotorType) || !within(rule.Controls, w.e.Control) {
		return false
	}
	if rule.Phases != 0 && (g.Service == nil || g.Service.Phases != rule.Phases) {
		return false
	}
	if rule.PowerFrom != nil || rule.PowerBelow != nil {
		hp, ok := figureIn(g.Power, "hp")
		if !ok || rule.PowerFrom != nil && hp < *rule.PowerFrom-1e-9 || rule.PowerBelow != nil && hp >= *rule.PowerBelow-1e-9 {
			return false
		}
	}
	if rule.AirflowFrom != nil {
		if cfm, ok := figureIn(g.Airflow, "cfm"); !ok || cfm < *rule.AirflowFrom {
			return false
		}
	}
	return !rule.NoMotor || g.Power == nil && g.Current == nil && g.Service == nil
}

func figureIn(q *model.Quantity, unit string) (float64, bool) {
	if q == nil {
		return 0, false
	}
	v, ok := q.In(unit)
	return v.Hi, ok
}
