package intake

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// joiner gathers the drafts of all lists.
type joiner struct {
	*reader
	say      *says
	list     []*draft
	at       map[string]*draft
	families map[string][]*draft
	gone     map[*draft]bool
}

// join merges the drafts of all lists by tag in order: a later list revises an
// earlier one, a tag twice in one list is two rows of one name.
func (r *reader) join(in *drafted) []*draft {
	j := &joiner{reader: r, say: in.say, at: map[string]*draft{}, families: map[string][]*draft{}, gone: map[*draft]bool{}}
	for _, d := range in.drafts {
		old, known := j.at[d.key]
		switch family := j.families[d.key]; {
		case known && old.list == d.list && !d.addendum && changeOf(d) == "":
			j.list = append(j.list, twin(in.say, old, d, j.at))
		case known:
			j.change(old, d)
		case len(family) > 0 && family[0].list != d.list && family[0].part != "":
			j.say.add(finding.Caution, "second-line", family[0].part, &d.where, "write the row for each fan of the unit", "a later list gives one row for %s, which is planned as %s: nothing is taken from it", family[0].part, tagsOf(family)).Others = []model.Where{family[0].where}
		case len(family) > 0 && family[0].list != d.list: // a later list speaks of EF-7, which is EF-7-1 and EF-7-2
			for _, one := range family {
				j.change(one, d)
			}
		default:
			if members := j.spanned(d); members != nil { // EF-1-4 in a later list, where the first has EF-1 to EF-4
				for _, one := range members {
					j.change(one, d)
				}
				continue
			}
			j.add(d)
		}
	}
	return slices.DeleteFunc(j.list, func(d *draft) bool { return j.gone[d] })
}

func tagsOf(list []*draft) string {
	var out []string
	for _, d := range list {
		out = append(out, d.tag)
	}
	return strings.Join(out, " and ")
}

// spanned returns the machines of earlier lists that a tag of two numbers names
// as a range; nil unless every one is known.
func (j *joiner) spanned(d *draft) []*draft {
	var out []*draft
	for _, tag := range hyphenSpan(d.tag) {
		old := j.at[NormalTag(tag)]
		if old == nil || old.list == d.list {
			return nil
		}
		out = append(out, old)
	}
	if len(out) > 0 {
		j.say.add(finding.Note, "tag-or-range", out[0].tag, &d.where, "check that no single machine of that name is meant", "%s is read as the range %s to %s, which an earlier list has", d.tag, out[0].tag, out[len(out)-1].tag)
	}
	return out
}

// change lays what a later list says of a machine over the earlier row.
func (j *joiner) change(old, d *draft) {
	switch changeOf(d) {
	case "delete":
		j.gone[old] = true
		delete(j.at, old.key)
		j.say.add(finding.Note, "revised", old.tag, &d.where, "", "a later list takes the machine out").Others = []model.Where{old.where}
		return
	case "add":
		j.say.add(finding.Caution, "revised", d.tag, &d.where, "make sure that the tag is meant to be new", "a later list adds a tag that an earlier list has already").Others = []model.Where{old.where}
	}
	j.revise(j.say, old, d)
}

// add takes a machine that no earlier list has.
func (j *joiner) add(d *draft) {
	switch change := changeOf(d); {
	case change == "delete":
		j.say.add(finding.Caution, "revised", d.tag, &d.where, "check the tag", "a list takes out a machine that no earlier list has%s", didYouMean(d.tag, j.list))
		return
	case change == "change":
		j.say.add(finding.Caution, "revised", d.tag, &d.where, "check the tag", "a list changes a machine that no earlier list has%s; it is added", didYouMean(d.tag, j.list))
	case d.addendum && d.list > 0 || change == "add":
		j.say.add(finding.Note, "revised", d.tag, &d.where, "", "a later list adds the machine")
	}
	j.at[d.key] = d
	if d.family != "" {
		j.families[d.family] = append(j.families[d.family], d)
	}
	j.list = append(j.list, d)
}

// twin keeps a second row of the same tag under a name of its own.
func twin(say *says, old, d *draft, at map[string]*draft) *draft {
	if d.problem != noTag {
		tellTwin(say, old, d)
	}
	d.twin = true
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s (%d)", old.tag, n)
		if _, taken := at[name]; !taken {
			d.tag, d.key = name, name
			at[name] = d
			return d
		}
	}
}

// tellTwin tells that a tag stands twice, and in what the rows differ.
func tellTwin(say *says, old, d *draft) {
	differ := differences(old, d)
	what := "the two rows say the same"
	if len(differ) > 0 {
		what = "they differ in " + strings.Join(differ, ", ")
	}
	f := say.add(finding.Fault, "duplicate-tag", d.tag, &d.where, "give one of them another tag, or delete it if it is the same machine", "the tag stands twice in one list; %s", what)
	f.Others = []model.Where{old.where}
}

// differences names the fields in which two rows differ.
func differences(a, b *draft) []string {
	var out []string
	for _, name := range slices.Sorted(maps.Keys(b.fields)) {
		if tidy(a.fields[name].text) != tidy(b.fields[name].text) {
			out = append(out, strings.ReplaceAll(name, "_", " "))
		}
	}
	return out
}

// changeOf reads what an addendum row asks for: add, change, delete, "" not said.
func changeOf(d *draft) string {
	s := " " + strings.ToLower(tidy(d.fields["change"].text)) + " "
	if strings.TrimSpace(s) == "" && d.addendum {
		s = d.changeInCells()
	}
	if strings.TrimSpace(s) == "" {
		s = " " + strings.ToLower(d.section) + " "
		if !d.addendum {
			return ""
		}
	}
	for _, one := range []struct{ word, means string }{{"delet", "delete"}, {"remov", "delete"}, {"omit", "delete"}, {"void", "delete"}, {" del ", "delete"}, {" d ", "delete"},
		{"chang", "change"}, {"revis", "change"}, {"modif", "change"}, {" c ", "change"}, {" r ", "change"}, {"add", "add"}, {" new ", "add"}, {" a ", "add"}} {
		if strings.Contains(s, one.word) {
			return one.means
		}
	}
	return ""
}

var (
	wholeChange = regexp.MustCompile(`(?i)^\W*(?:delete|deleted|void|voided|omit|omitted|removed|not used)\W*$`)
	firstChange = regexp.MustCompile(`(?i)^\W*(?:new|added|add|revised|revise|changed|change|modified|deleted|delete|omitted|omit|void|removed)\b`)
)

// changeInCells finds what an addendum's row asks for where no column says it:
// a cell that says DELETED instead of its value, a remark that begins with NEW
// or REVISED. " " if nothing does.
func (d *draft) changeInCells() string {
	for _, name := range slices.Sorted(maps.Keys(d.fields)) {
		if wholeChange.MatchString(d.fields[name].text) {
			return " delete "
		}
	}
	for _, name := range []string{"remarks", "notes"} {
		if m := firstChange.FindString(d.fields[name].text); m != "" {
			return " " + strings.ToLower(strings.Trim(m, " *-(:.")) + " "
		}
	}
	return " "
}

// revise lays a later row over an earlier one; a cell that says nothing leaves
// the earlier value.
func (r *reader) revise(say *says, old, d *draft) {
	for _, name := range slices.Sorted(maps.Keys(d.fields)) {
		c := d.fields[name]
		if isEmpty(c.text) || name == "change" {
			continue
		}
		before, had := old.fields[name]
		if had && strings.EqualFold(tidy(before.text), tidy(c.text)) && before.unit == c.unit {
			continue
		}
		if name == "remarks" || name == "notes" { // a later remark comes on top: it seldom takes back an earlier one
			if had && !isEmpty(before.text) {
				c.text = before.text + "; " + c.text
			}
			old.fields[name] = c
			continue
		}
		old.fields[name] = c
		if !had || isEmpty(before.text) {
			say.add(finding.Note, "revised", old.tag, &c.where, "", "a later list adds %s %q", fieldName(r.lib, name), c.text)
			continue
		}
		say.add(finding.Note, "revised", old.tag, &c.where, "", "%s was %q and is %q by the later list", fieldName(r.lib, name), before.text, c.text).Others = []model.Where{before.where}
	}
	for _, name := range slices.Sorted(maps.Keys(d.extra)) {
		if !isEmpty(d.extra[name].text) {
			old.extra[name] = d.extra[name]
		}
	}
	old.notes = append(old.notes, d.notes...)
	old.existing = old.existing || d.existing
}

func fieldName(lib *library.Library, id string) string {
	if h, ok := lib.Heading(id); ok {
		return h.Name
	}
	return id
}

func didYouMean(tag string, list []*draft) string {
	names := make([]string, len(list))
	for i, d := range list {
		names[i] = d.tag
	}
	if near := finding.Nearest(tag, names); near != "" && near != tag {
		return " (nearest: " + near + ")"
	}
	return ""
}

// overrides lays what the project file says of single tags over the lists.
func (r *reader) overrides(p *model.Project, list []*draft, say *says) []*draft {
	for _, o := range p.Overrides {
		where := model.Where{}
		if o.Where != nil {
			where = *o.Where
		}
		key := NormalTag(o.Tag)
		i := slices.IndexFunc(list, func(d *draft) bool { return d.key == key || d.tag == o.Tag })
		family := slices.DeleteFunc(slices.Clone(list), func(d *draft) bool { return d.family != key })
		switch {
		case i < 0 && len(family) > 0 && !o.Add && !o.Remove: // EF-7 stands for EF-7-1 and EF-7-2
			for _, d := range family {
				r.override(d, o, say)
			}
			continue
		case o.Remove && i >= 0:
			say.add(finding.Note, "revised", list[i].tag, &where, "", "the project file takes the machine out").Others = []model.Where{list[i].where}
			list = slices.Delete(list, i, i+1)
			continue
		case i < 0 && !o.Add:
			say.add(finding.Caution, "unknown-tag", o.Tag, &where, "correct the tag, or write add: true to make the machine", "the project file speaks of a tag that no list has%s", didYouMean(o.Tag, list))
			continue
		case i < 0:
			list = append(list, &draft{tag: showTag(o.Tag), key: key, where: where, fields: map[string]cell{}, extra: map[string]cell{}})
			i = len(list) - 1
		}
		r.override(list[i], o, say)
	}
	return list
}

func (r *reader) override(d *draft, o model.EquipmentOverride, say *says) {
	for _, name := range slices.Sorted(maps.Keys(o.Values)) {
		text := o.Values[name]
		c := cell{text: text.Text}
		if text.Where != nil {
			c.where = *text.Where
		}
		h := r.heading([]string{strings.ReplaceAll(name, "_", " ")})
		if one, ok := r.lib.Heading(name); ok && one.Use == library.UseField {
			h = heading{field: &one}
		}
		c.unit = h.unit
		if h.use() != library.UseField {
			near := r.nearestHeading(strings.ReplaceAll(name, "_", " "))
			f := say.add(finding.Caution, "unknown-heading", d.tag, text.Where, "use a field name of the library", "the project file gives %q, which is no field of a machine", name)
			if near != "" {
				f.Fix = fmt.Sprintf("write %q", near)
			}
			d.extra[name] = c
			continue
		}
		if before, had := d.fields[h.field.ID]; had && !isEmpty(before.text) && tidy(before.text) != tidy(c.text) {
			say.add(finding.Note, "revised", d.tag, &c.where, "", "%s was %q and is %q by the project file", h.field.Name, before.text, c.text).Others = []model.Where{before.where}
		}
		d.fields[h.field.ID] = c
	}
}
