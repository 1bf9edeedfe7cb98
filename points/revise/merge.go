package revise

import (
	"cmp"
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// Merged is what came back in one or several workbooks.
type Merged struct {
	Edits     []model.Edit      `json:"edits"`
	Conflicts []Conflict        `json:"conflicts"`
	Findings  []finding.Finding `json:"findings"`
	Accepted  []model.Answer    `json:"accepted"`
}

// Conflict is one cell that two returned workbooks fill differently.
type Conflict struct {
	Key   string       `json:"key"`
	Field string       `json:"field"`
	Sides []model.Edit `json:"sides"`
}

// settable are the fields of a point that an answer may set.
var settable = []string{"instance", "object_name", "description", "units", "states", "polarity", "fail_state", "relinquish_default", "priority", "controller", "terminal"}

// Settable lists the fields that accept may name.
func Settable() []string { return slices.Clone(settable) }

// Merge gathers what several returned workbooks say. accept chooses what is
// taken over: "all", a field, or a point key; nothing is taken over silently,
// and never where two workbooks disagree or the plan has moved on since.
func Merge(returned []*model.Returned, accept []string) Merged {
	var out Merged
	type cell struct{ sheet, key, field string }
	said := map[cell][]model.Edit{}
	for _, r := range returned {
		for _, e := range r.Edits {
			if e.Where == nil || e.Where.File == "" {
				w := model.Where{File: r.File}
				if e.Where != nil {
					w = *e.Where
					w.File = r.File
				}
				e.Where = &w
			}
			out.Edits = append(out.Edits, e)
			if e.Key != "" && e.Kind != model.EditNote {
				c := cell{e.Sheet, e.Key, e.Field}
				said[c] = append(said[c], e)
			}
		}
		out.Findings = append(out.Findings, r.Findings...)
	}
	for c, sides := range said {
		if slices.ContainsFunc(sides, func(e model.Edit) bool { return e.New != sides[0].New }) {
			out.Conflicts = append(out.Conflicts, Conflict{c.key, c.field, sides})
		}
	}
	slices.SortFunc(out.Conflicts, func(a, b Conflict) int {
		return cmp.Or(finding.CompareTags(a.Key, b.Key), cmp.Compare(a.Field, b.Field))
	})
	for _, e := range out.Edits {
		if !takes(accept, e) || out.disputed(e) {
			continue
		}
		a := model.Answer{Key: e.Key, Field: e.Field, Value: e.New, From: fmt.Sprint(e.Where)}
		if !slices.ContainsFunc(out.Accepted, func(b model.Answer) bool { return b.Key == a.Key && b.Field == a.Field }) {
			out.Accepted = append(out.Accepted, a)
		}
	}
	return out
}

// takes reports whether the accept rules take an edit over.
func takes(accept []string, e model.Edit) bool {
	if e.Kind != model.EditValue || e.Moved || !slices.Contains(settable, e.Field) {
		return false
	}
	return slices.ContainsFunc(accept, func(rule string) bool { return rule == "all" || rule == e.Field || rule == e.Key })
}

func (m *Merged) disputed(e model.Edit) bool {
	return slices.ContainsFunc(m.Conflicts, func(c Conflict) bool { return c.Key == e.Key && c.Field == e.Field })
}

// Lay puts newly accepted answers over those of before; a new one replaces the
// old one of the same key and field.
func Lay(before, fresh []model.Answer) []model.Answer {
	out := slices.Clone(before)
	for _, a := range fresh {
		i := slices.IndexFunc(out, func(b model.Answer) bool { return b.Key == a.Key && b.Field == a.Field })
		if i < 0 {
			out = append(out, a)
			continue
		}
		out[i] = a
	}
	slices.SortStableFunc(out, func(a, b model.Answer) int {
		return cmp.Or(finding.CompareTags(a.Key, b.Key), cmp.Compare(a.Field, b.Field))
	})
	return out
}
