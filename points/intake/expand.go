package intake

import (
	"fmt"
	"maps"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
)

// says gathers findings in the order in which they arise.
type says struct{ list []finding.Finding }

func (s *says) add(severity finding.Severity, code, subject string, where *model.Where, fix, format string, args ...any) *finding.Finding {
	s.list = append(s.list, finding.Finding{Code: code, Severity: severity, Subject: subject, Where: where, Message: fmt.Sprintf(format, args...), Fix: fix})
	return &s.list[len(s.list)-1]
}

// expand makes one draft for every machine that a row stands for.
func (r *reader) expand(base *draft, tags tagCell, into *drafted) {
	if tags.problem != "" {
		name := "ROW-" + itoa(base.row)
		if base.where.Cell != "" {
			into.say.add(finding.Fault, "unreadable-value", name, &base.where, "write one tag, a list (EF-1, EF-2) or a range (EF-1 thru EF-4)", "the tag cell %s", tags.problem)
		}
		tags.tags = []string{name}
		base.problem = "tag"
	}
	asked := base.fields["quantity"]
	quantity := r.quantityAsked(base, tags.tags[0], into.say)
	if quantity == 0 {
		quantity = tags.typical
	}
	settleSpan(base, &tags, quantity, into)
	names := tags.tags
	switch {
	case quantity > mostTags:
		into.say.add(finding.Fault, "unreadable-value", names[0], &asked.where, "write the quantity of machines of this tag", "a quantity of %d is more than one row may stand for (%d); one is taken", quantity, mostTags)
		base.problem = "quantity"
	case len(names) == 1 && quantity > 1:
		base.family = NormalTag(names[0])
		names = numbered(names[0], quantity)
		f := into.say.add(finding.Note, "assumed", tags.tags[0], &base.where, "give each its own tag if they differ", "%s stands for %d machines; they are listed as %s to %s", tags.tags[0], quantity, names[0], names[len(names)-1])
		f.Numbers = []finding.Number{{Name: "machines", Value: float64(quantity)}}
	case len(names) > 1 && quantity > 1 && quantity != len(names):
		into.say.add(finding.Caution, "quantity-mismatch", names[0], &base.where, "make the tags and the quantity agree", "the row names %d tags and a quantity of %d; the tags are taken", len(names), quantity)
	}
	if c, ok := base.fields["airflow"]; ok && len(names) > 1 && c.total && quantity > 1 {
		into.say.add(finding.Caution, "total-or-each", tags.tags[0], &c.where, "write the airflow of one fan, and CFM EACH over the column", "the airflow %q stands under TOTAL and the row is %d machines: each is given the whole of it, which may be %d times too much", c.text, len(names), len(names))
	}
	for _, name := range names {
		d := *base
		d.tag, d.key = name, NormalTag(name)
		d.fields, d.extra = maps.Clone(base.fields), maps.Clone(base.extra)
		d.notes = slices.Clone(base.notes)
		into.drafts = append(into.drafts, &d)
	}
}

// quantityAsked reads the quantity column of a row, 0 if it says nothing.
func (r *reader) quantityAsked(base *draft, tag string, say *says) int {
	asked := base.fields["quantity"]
	if asked.text == "" {
		return 0
	}
	n, v := r.count(asked.text)
	switch {
	case v.problem != "":
		say.add(finding.Fault, "unreadable-value", tag, &asked.where, "write the number of machines as a whole number", "quantity %q %s; one machine a tag is taken", asked.text, v.problem)
		base.problem = "quantity"
	case v.pending:
		say.add(finding.Caution, "unstated-value", tag, &asked.where, "count the machines on the plans and write the number", "quantity %q is not stated here; one machine a tag is taken", asked.text)
	}
	return n
}

// numbered lists the machines of one tag: EF-7-1, EF-7-2 ...
func numbered(tag string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = tag + "-" + itoa(i+1)
	}
	return out
}
