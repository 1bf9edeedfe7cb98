package excel

import (
	"slices"

	"tallywire/model"
)

// place names a cell by what it means, not by where it stands.
type spot struct{ sheet, key, field string }

// keepsakes are what people wrote into an earlier issue, to be put back.
type keepsakes struct {
	entries map[spot]model.Edit // answers and cells of own columns
	notes   map[spot]string
	order   map[string][]string
	widths  map[string]map[string]float64
	own     map[string][]model.OwnColumn
	sheets  []model.Sheet
	rows    []model.KeptRow
}

// keep sorts what came back by where it goes. Nothing kept gives an empty one.
func keep(r *model.Returned) *keepsakes {
	k := &keepsakes{entries: map[spot]model.Edit{}, notes: map[spot]string{}, own: map[string][]model.OwnColumn{}}
	if r == nil {
		return k
	}
	k.order, k.widths, k.sheets, k.rows = r.Layout.Order, r.Layout.Widths, r.Layout.Sheets, r.Layout.Kept
	for _, c := range r.Layout.Own {
		k.own[c.Sheet] = append(k.own[c.Sheet], c)
	}
	for _, e := range r.Edits {
		at := spot{e.Sheet, e.Key, e.Field}
		switch e.Kind {
		case model.EditAnswer, model.EditOwn:
			k.entries[at] = e
		case model.EditNote:
			k.note(at, e.New)
		case model.EditValue:
			// Not taken into the plan, or this row would say it: it stays to be seen.
			k.note(at, "Returned as: "+e.New)
		}
	}
	return k
}

func (k *keepsakes) note(at spot, words string) {
	if old := k.notes[at]; old != "" && old != words {
		words = old + "\n" + words
	}
	k.notes[at] = words
}

// entry is what somebody wrote into a cell that is theirs.
func (k *keepsakes) entry(sheet, key, field string) value {
	e, ok := k.entries[spot{sheet, key, field}]
	switch {
	case !ok:
		return value{}
	case e.Number != nil:
		return number(*e.Number)
	}
	return text(e.New)
}

// arrange puts points in the order that people gave their rows. A new point
// follows the last one of its equipment, or comes at the end.
func (k *keepsakes) arrange(points []model.Point) []*model.Point {
	list := rowsOf(points)
	order := k.order[pointSheetName]
	if len(order) == 0 {
		return list
	}
	byKey := make(map[string]*model.Point, len(list))
	for _, p := range list {
		byKey[p.Key] = p
	}
	var out []*model.Point
	last := map[string]int{} // equipment → where its last row stands
	for _, key := range order {
		if p, ok := byKey[key]; ok {
			last[p.Equipment] = len(out)
			out = append(out, p)
			delete(byKey, key)
		}
	}
	var behind = make(map[int][]*model.Point)
	for _, p := range list {
		if byKey[p.Key] == nil {
			continue
		}
		at, ok := last[p.Equipment]
		if !ok {
			at = len(out) - 1
		}
		behind[at] = append(behind[at], p)
	}
	if len(behind) == 0 {
		return out
	}
	merged := slices.Clone(behind[-1])
	for i, p := range out {
		merged = append(append(merged, p), behind[i]...)
	}
	return merged
}
