package intake

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// remind adds a note for every rule of a code that the list brings into play:
// one note a rule, with the machines and their figures. A rule never says what
// must be built; the codes in force and licensed people do.
func (r *reader) remind(p *model.Project, list []model.Equipment, say *says) {
	var ids []string
	for _, rule := range r.lib.CodeRules {
		ids = append(ids, rule.ID)
	}
	for _, off := range p.Settings.Codes.Off {
		if !slices.Contains(ids, off) {
			fix := "use an id of the library (tallywire library codes)"
			if near := finding.Nearest(off, ids); near != "" {
				fix = "write " + near
			}
			say.add(finding.Caution, "unknown-rule", off, nil, fix, "the settings turn off %q, which is no code rule of the library", off)
		}
	}
	for _, rule := range r.lib.CodeRules {
		if slices.Contains(p.Settings.Codes.Off, rule.ID) || rule.Local && p.Settings.Codes.Edition[rule.Code] == "" {
			continue
		}
		if p.Settings.Codes.Storeys != nil && *p.Settings.Codes.Storeys < rule.StoreysFrom {
			continue
		}
		r.remindOf(rule, p, r.bearing(rule, list), say)
	}
}

// bearing lists the machines that meet the conditions of a rule. Existing ones
// are none of the project's to change.
func (r *reader) bearing(rule library.CodeRule, list []model.Equipment) []*model.Equipment {
	var out []*model.Equipment
	within := func(allowed []string, value string) bool {
		return len(allowed) == 0 || slices.Contains(allowed, value)
	}
	for i := range list {
		e := &list[i]
		if e.OutOfScope != "" || e.Kind == "" || e.Bid == model.Existing {
			continue
		}
		if within(rule.Kinds, e.Kind) && within(rule.Controls, e.Control) && within(rule.MotorTypes, e.Ratings.MotorType) && within(rule.Dampers, e.Damper.Kind) && within(rule.Fire, e.FireResponse) {
			out = append(out, e)
		}
	}
	return out
}

// hit is a machine, or a group of them, whose figure brings a rule into play.
type hit struct {
	tags  []string
	value float64
	words string
	where *model.Where
}

func (r *reader) remindOf(rule library.CodeRule, p *model.Project, list []*model.Equipment, say *says) {
	var hits []hit
	switch rule.Quantity {
	case "presence":
		for _, e := range list {
			hits = append(hits, hit{tags: []string{e.Tag}, where: e.Where})
		}
	case "airflow":
		hits = single(rule, list, func(e *model.Equipment) *model.Quantity { return e.Ratings.Airflow })
	case "motor-power":
		hits = single(rule, list, func(e *model.Equipment) *model.Quantity { return e.Ratings.Power })
	case "plenum-airflow":
		hits = plenums(rule, list)
	case "hood-airflow":
		hits = hoods(list)
	default:
		hits = r.garages(rule, list)
	}
	hits = slices.DeleteFunc(hits, func(h hit) bool { return !rule.Holds(h.value) })
	if len(hits) == 0 {
		return
	}
	message := rule.Rule
	if rule.Quantity != "presence" {
		var figures []string
		const shown = 8
		for _, h := range hits[:min(shown, len(hits))] {
			figures = append(figures, h.words)
		}
		if len(hits) > shown {
			figures = append(figures, fmt.Sprintf("and %d more", len(hits)-shown))
		}
		message += fmt.Sprintf(" (%s): %s", limitWords(rule), strings.Join(figures, ", "))
	}
	var tags []string
	for _, h := range hits {
		tags = append(tags, h.tags...)
	}
	edition := p.Settings.Codes.Edition[rule.Code]
	source := rule.Citation()
	if edition != "" {
		source = rule.Code + " " + edition + " (the project's edition; the rule is stored from " + rule.Citation() + ")"
	}
	if rule.Checked != "read" {
		source += "; " + rule.Checked
	}
	f := say.add(finding.Note, "code-reminder", tags[0], hits[0].where, rule.Asks+"; settings.codes.off: ["+rule.ID+"] silences it", "%s: %s", rule.ID, message)
	f.Source = source
	if len(tags) > 1 {
		f.Subjects = tags
	}
	if rule.Quantity != "presence" {
		f.Numbers = append(f.Numbers, finding.Number{Name: "threshold", Value: rule.Threshold, Unit: rule.Unit})
	}
}

func limitWords(rule library.CodeRule) string {
	v := model.Figure(round(rule.Threshold)) + " " + rule.Unit
	if rule.ThresholdSI > 0 {
		v += " or " + model.Figure(round(rule.ThresholdSI)) + " " + rule.UnitSI
	}
	switch rule.Comparison {
	case "more-than":
		return "more than " + v
	case "at-least":
		return "at least " + v
	case "less-than":
		return "less than " + v
	case "at-most":
		return "at most " + v
	}
	return "from " + v + " to under " + model.Figure(rule.Below) + " " + rule.Unit
}

// single takes the rule's figure of each machine that gives it.
func single(rule library.CodeRule, list []*model.Equipment, of func(*model.Equipment) *model.Quantity) []hit {
	var out []hit
	for _, e := range list {
		q := of(e)
		if v, ok := measured(rule, q); ok {
			out = append(out, hit{[]string{e.Tag}, v, e.Tag + " " + shown(q), q.Where})
		}
	}
	return out
}

// measured is a quantity in the rule's unit. A metric one is first held
// against the metric threshold, which codes round by themselves: 944 L/s is
// 2000 cfm to a code that prints both.
func measured(rule library.CodeRule, q *model.Quantity) (float64, bool) {
	v, ok := figureIn(q, rule.Unit)
	if ok && rule.ThresholdSI > 0 && q.Unit != rule.Unit {
		si, _ := figureIn(q, rule.UnitSI)
		return si * rule.Threshold / rule.ThresholdSI, true
	}
	return v, ok
}

// plenums adds up the fans of one kind that serve one system, where none of
// them alone exceeds the threshold: the group is what nobody sees.
func plenums(rule library.CodeRule, list []*model.Equipment) []hit {
	var out []hit
	at := map[string]int{}
	for _, e := range list {
		v, ok := measured(rule, e.Ratings.Airflow)
		if !ok || e.System == "" || rule.Holds(v) {
			continue
		}
		key := e.Kind + "\x00" + strings.ToLower(e.System)
		i, known := at[key]
		if !known {
			i = len(out)
			at[key] = i
			out = append(out, hit{where: e.Ratings.Airflow.Where})
		}
		out[i].tags = append(out[i].tags, e.Tag)
		out[i].value += v
		out[i].words = fmt.Sprintf("%s together %s cfm on %s", strings.Join(out[i].tags, " + "), model.Figure(tidyFigure(out[i].value)), e.System)
	}
	return slices.DeleteFunc(out, func(h hit) bool { return len(h.tags) < 2 })
}

// hoods adds up the exhaust of the hoods of one kitchen: of one system where
// the list names it, else of the whole list.
func hoods(list []*model.Equipment) []hit {
	var out []hit
	at := map[string]int{}
	for _, e := range list {
		v, ok := figureIn(e.Ratings.Airflow, "cfm")
		if !ok {
			continue
		}
		key := strings.ToLower(e.System)
		i, known := at[key]
		if !known {
			i = len(out)
			at[key] = i
			out = append(out, hit{where: e.Ratings.Airflow.Where})
		}
		out[i].tags = append(out[i].tags, e.Tag)
		out[i].value += v
		out[i].words = fmt.Sprintf("%s %s cfm", strings.Join(out[i].tags, " + "), model.Figure(tidyFigure(out[i].value)))
	}
	return out
}

// garage is the fans that serve one floor area.
type garage struct {
	tags                    []string
	flow, standby, area, hp float64
	flowKnown, standbyKnown bool
	areas                   map[string]bool
	where                   *model.Where
}

// garageGroups gathers garage fans by what they serve. An area is counted once
// for the cell that it stands in, so that a row of three fans has one floor.
func (r *reader) garageGroups(list []*model.Equipment) []*garage {
	var out []*garage
	at := map[string]*garage{}
	for _, e := range list {
		key := strings.ToLower(e.System)
		if key == "" {
			key = strings.ToLower(e.Service)
		}
		g, known := at[key]
		if !known {
			g = &garage{flowKnown: true, standbyKnown: true, areas: map[string]bool{}, where: e.Where}
			at[key] = g
			out = append(out, g)
		}
		g.tags = append(g.tags, e.Tag)
		flow, ok := figureIn(e.Ratings.Airflow, "cfm")
		g.flow, g.flowKnown = g.flow+flow, g.flowKnown && ok
		standby, ok := r.standbyOf(e, flow)
		g.standby, g.standbyKnown = g.standby+standby, g.standbyKnown && ok
		if hp, ok := figureIn(e.Ratings.Power, "hp"); ok {
			g.hp += hp
		}
		if area, ok := figureIn(e.Ratings.Area, "ft2"); ok {
			cell := fmt.Sprint(area)
			if e.Ratings.Area.Where != nil {
				cell = e.Ratings.Area.Where.String()
			}
			if !g.areas[cell] {
				g.areas[cell] = true
				g.area += area
				g.where = e.Ratings.Area.Where
			}
		}
	}
	return out
}

// standbyOf is the lowest flow that the list states for a fan: as a flow, or as
// a lowest speed, to which flow is in proportion (fan laws).
func (r *reader) standbyOf(e *model.Equipment, flow float64) (float64, bool) {
	if text, ok := e.Fields["airflow_minimum"]; ok {
		if v := r.quantity(text.Text, "airflow", "cfm"); v.quantity != nil {
			return figureIn(v.quantity, "cfm")
		}
	}
	if share, ok := figureIn(e.Ratings.MinSpeed, "%"); ok && flow > 0 {
		return flow * share / 100, true
	}
	return 0, false
}

// garages gives the figures of garage rules.
func (r *reader) garages(rule library.CodeRule, list []*model.Equipment) []hit {
	var out []hit
	for _, g := range r.garageGroups(list) {
		if g.area == 0 {
			continue
		}
		name := strings.Join(g.tags, " + ")
		h := hit{tags: g.tags, where: g.where}
		switch rule.Quantity {
		case "floor-area":
			h.value, h.words = g.area, fmt.Sprintf("%s %s ft2", name, model.Figure(tidyFigure(g.area)))
		case "area-per-power":
			if g.hp == 0 {
				continue
			}
			h.value = g.area / g.hp
			h.words = fmt.Sprintf("%s %s ft2 / %s hp = %s ft2/hp", name, model.Figure(tidyFigure(g.area)), model.Figure(g.hp), model.Figure(round(h.value)))
		case "full-flow":
			if !g.flowKnown {
				continue
			}
			h.value, h.words = g.flow/g.area, perArea(name, g.flow, g.area, rule.Threshold)
		case "standby-flow":
			if !g.standbyKnown {
				continue
			}
			h.value, h.words = g.standby/g.area, perArea(name, g.standby, g.area, rule.Threshold)
		}
		out = append(out, h)
	}
	return out
}

func perArea(name string, flow, area, threshold float64) string {
	return fmt.Sprintf("%s %s cfm / %s ft2 = %s cfm/ft2, %s cfm short", name, model.Figure(tidyFigure(flow)), model.Figure(tidyFigure(area)), model.Figure(round(flow/area)), model.Figure(tidyFigure(math.Max(0, threshold*area-flow))))
}

// tidyFigure takes off what unit conversion adds beyond a hundredth.
func tidyFigure(v float64) float64 { return math.Round(v*100) / 100 }
