package intake

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model/finding"
)

// byCells reads a column under an unknown heading by the units in its cells:
// LOAD over 1/3 HP and 25 HP. The field must stand in no other column, and the
// unit in most of the cells.
func (r *reader) byCells(t *table, say *says) {
	for i := range t.columns {
		c := &t.columns[i]
		if c.heading.field != nil {
			continue
		}
		counts, filled := map[string]int{}, 0
		for _, k := range t.rows {
			text, ok := t.grid.rows[k].cells[c.number]
			if !ok || len(t.grid.rows[k].sorted) < 2 || isEmpty(text) {
				continue
			}
			filled++
			seen := map[string]bool{}
			for _, f := range r.scan(strings.ToLower(tidy(text))) {
				if f.measure != nil && !seen[f.measure.Dimension] {
					seen[f.measure.Dimension] = true
					counts[f.measure.Dimension]++
				}
			}
		}
		for _, dimension := range []string{"airflow", "power", "pressure"} {
			field := r.byUnit(dimension)
			if filled < 2 || 10*counts[dimension] < 6*filled || slices.ContainsFunc(t.columns, func(o column) bool { return o.heading.is(field.ID) }) {
				continue
			}
			c.heading.field = field
			where := c.where
			say.add(finding.Caution, "unknown-heading", where.String(), &where, fmt.Sprintf("write %q if that is meant", field.Name), "the heading %q is not known; its cells carry units of %s and are read as %s", tidy(c.heading.text), dimension, field.Name)
			break
		}
	}
}

// describe takes a column that is named like one of tags (FAN, UNIT, ITEM) but
// holds words as the description, where the table has none.
func (r *reader) describe(t *table) {
	for i := range t.columns {
		if !t.columns[i].second || slices.ContainsFunc(t.columns, func(c column) bool { return c.heading.is("description") }) {
			continue
		}
		words, filled := 0, 0
		for _, k := range t.rows {
			if text, ok := t.grid.rows[k].cells[t.columns[i].number]; ok && len(t.grid.rows[k].sorted) > 1 {
				filled++
				if !strings.ContainsAny(text, "0123456789") && len(strings.TrimSpace(text)) > 1 {
					words++
				}
			}
		}
		if filled > 0 && 2*words >= filled {
			t.columns[i].heading.field = r.byID("description")
		}
	}
}
