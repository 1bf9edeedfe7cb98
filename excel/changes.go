package excel

import (
	"slices"
	"strings"

	"tallywire/model"
)

// changeSheet tells what changed since an earlier issue.
func changeSheet(is *issued) *sheet {
	type D = *model.Difference
	since := "Before"
	if is.opts.Since != "" {
		since = "Before (" + is.opts.Since + ")"
	}
	return tableSheet("Changes", "ChangeList", rowsOf(is.opts.Changes), listColumns(
		col("subject", "What", 14, 30, func(d D) string { return d.Subject }).leading(func(d D) target { return is.toNamed(d.Subject) }),
		col("field", "Field", 11, 20, func(d D) string { return d.Field }),
		col("before", since, 16, 40, func(d D) string { return d.Ours }),
		col("now", "Now", 16, 40, func(d D) string { return d.Theirs }),
		col("message", "In words", 20, 50, func(d D) string { return d.Message }),
		col("where", "Where", 14, 28, func(d D) string { return place(d.Where) }),
		col("code", "Code", 12, 20, func(d D) string { return d.Code }),
	))
}

// revisedID is the column that marks what changed since the issue before. It is
// there only in an issue that follows another.
const revisedID = "revised"

// revisionsOf says what changed of each subject: new, or which of its values.
func revisionsOf(changes []model.Difference) map[string]string {
	fields := map[string][]string{}
	for i := range changes {
		d := &changes[i]
		words := d.Field
		if d.Code == "added" {
			words = "new"
		}
		if !slices.Contains(fields[d.Subject], words) {
			fields[d.Subject] = append(fields[d.Subject], words)
		}
	}
	out := make(map[string]string, len(fields))
	for subject, list := range fields {
		out[subject] = strings.Join(list, ", ")
	}
	return out
}

// withRevisions puts the revision marks before the column of descriptions or,
// where a sheet has none, first behind what names the row.
func withRevisions[T any](is *issued, key func(T) string, fields []field[T]) []field[T] {
	if !is.revisions {
		return fields
	}
	mark := field[T]{column{id: revisedID, title: "Revised", least: 9, most: 18, look: lookText,
		note: "What changed since the issue before; the sheet Changes tells both values"},
		func(item T) value { return text(is.revised[key(item)]).leads(is.toChange(key(item))) }}
	at := slices.IndexFunc(fields, func(f field[T]) bool { return f.id == "description" })
	if at < 0 {
		at = 2
	}
	return slices.Insert(slices.Clone(fields), at, mark)
}

// toChange leads to the first change of a point or an alarm.
func (is *issued) toChange(key string) target {
	return is.optional("Changes", is.changeRow[key])
}

// showsRevisions says that a returned workbook has the column of revisions, so
// that its cells are held against what was issued and are not taken for new ones.
func (r *returnReader) showsRevisions(is *issued) *issued {
	for _, ids := range r.columns {
		is.revisions = is.revisions || slices.Contains(ids, revisedID)
	}
	return is
}
