package crosscheck

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// trends compares a list of trends with the loops of the plan: of each loop
// the set point, the measured value and the output are logged, or a loop that
// hunts cannot be told from one that is asked to.
func (c *comparison) trends(v *view) {
	if len(v.doc.Points) == 0 || len(v.pairs) == 0 {
		c.nothing(v)
		return
	}
	rows := make([]*ListedPoint, 0, len(v.doc.Points))
	column := slices.ContainsFunc(v.doc.Points, func(p ListedPoint) bool { return marked(p.Trend) > 0 })
	for i := range v.doc.Points {
		if p := &v.doc.Points[i]; !column || marked(p.Trend) > 0 {
			rows = append(rows, p)
		}
	}
	c.logged(v, rows)
}

// trendColumn compares the trend column of a points list, if it marks any row.
func (c *comparison) trendColumn(v *view) {
	var rows []*ListedPoint
	for i := range v.doc.Points {
		if p := &v.doc.Points[i]; marked(p.Trend) > 0 {
			rows = append(rows, p)
		}
	}
	if len(rows) > 0 {
		c.logged(v, rows)
	}
}

// logged holds the points that a document logs against the loops.
func (c *comparison) logged(v *view, rows []*ListedPoint) {
	by := map[string][]*ListedPoint{}
	for _, p := range rows {
		by[tagKey(p.Tag)] = append(by[tagKey(p.Tag)], p)
	}
	for _, o := range c.ours {
		parts := c.loop(o)
		if parts == nil {
			continue
		}
		var have, lack []string
		for _, p := range parts {
			if slices.ContainsFunc(by[c.key(o)], func(t *ListedPoint) bool { return sameLogged(t, p) }) {
				have = append(have, plain(p.Role))
			} else {
				lack = append(lack, plain(p.Role))
			}
		}
		if len(lack) == 0 {
			continue
		}
		d := model.Difference{Code: "trend-missing", Severity: finding.Note, Subject: o.Tag, Field: "trends", Ours: strings.Join(lack, ", "), Theirs: strings.Join(have, ", "), Where: o.Where, Other: &model.Where{File: v.doc.Input.File},
			Ask: fmt.Sprintf("Are the %s of %s to be logged too, at the same interval?", strings.Join(lack, ", "), o.Tag)}
		if len(have) == 0 {
			d.Message = fmt.Sprintf("%s runs in a loop and %s logs nothing of it: set point, measured value and output belong together (%s)", o.Tag, v.doc.Name(), strings.Join(lack, ", "))
		} else {
			d.Other = by[c.key(o)][0].Where
			d.Message = fmt.Sprintf("of the loop of %s %s logs the %s and not the %s: without all of them a loop that hunts is not seen", o.Tag, v.doc.Name(), strings.Join(have, ", "), strings.Join(lack, ", "))
		}
		c.tell(d)
	}
	for _, p := range v.pairs {
		for _, t := range by[c.key(p.theirs)] {
			if t.Role == "" || slices.ContainsFunc(c.points[p.ours.Tag], func(o *model.Point) bool { return sameLogged(t, o) }) {
				continue
			}
			c.tell(model.Difference{Code: "trend-of-no-point", Severity: finding.Note, Subject: p.ours.Tag + "/" + t.Role, Field: "trends", Theirs: t.Name, Where: p.ours.Where, Other: t.Where,
				Message: fmt.Sprintf("%s logs %q of %s, and the plan has no such point", v.doc.Name(), t.Name, p.ours.Tag)})
		}
	}
}

func sameLogged(t *ListedPoint, p *model.Point) bool {
	return t.Role == p.Role || t.Role != "" && roleGroup(t.Role) == roleGroup(p.Role)
}

// loop returns the points of a machine's loop: what it measures, what it aims
// at and what it moves; nil if it has not all three.
func (c *comparison) loop(o *model.Equipment) []*model.Point {
	var out []*model.Point
	var measured, aim, output bool
	for _, p := range c.points[o.Tag] {
		if p.Trend == "" || p.Need == "optional" {
			continue
		}
		switch {
		case p.Role == model.RoleSpeed, p.Role == "loop-output" && !output:
			output = true
		case strings.HasPrefix(p.Role, "setpoint-"), p.Role == "airflow-setpoint":
			aim = true
		case p.ObjectType == model.AnalogInput && slices.ContainsFunc(measurable, func(m string) bool { return strings.Contains(p.Role, m) }):
			measured = true
		default:
			continue
		}
		out = append(out, p)
	}
	if !measured || !aim || !output {
		return nil
	}
	return out
}

// measurable are the quantities that loops hold, as roles name them.
var measurable = []string{"pressure", "temperature", "airflow", "gas-", "humidity"}
