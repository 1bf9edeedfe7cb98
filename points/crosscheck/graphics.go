package crosscheck

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Page is one page of a list of graphics.
type Page struct {
	Name  string
	Text  string   // everything the row says, evened out
	Tags  []string // the machines that it names
	Where *model.Where
}

// ReadPages reads a list of graphics: one row a page, with its name and what
// it shows. tags expands a list of tags.
func ReadPages(lib *library.Library, sheets []model.Sheet, tags func(string) []string) []Page {
	name := map[string]bool{}
	for _, d := range lib.DocumentWords("page") {
		for _, w := range d.Words {
			name[w] = true
		}
	}
	var out []Page
	for i := range sheets {
		if sheets[i].Hidden {
			continue
		}
		page := 0 // the column of the names
		for _, row := range sheets[i].Rows {
			filled := filledCells(row)
			if h := pageHeading(filled, name); h > 0 {
				page = h
				continue
			}
			if page == 0 || row.Hidden || len(filled) == 0 {
				continue
			}
			one := Page{Where: where(&sheets[i], row, filled[0].Column)}
			var texts []string
			for _, c := range filled {
				if c.Column == page {
					one.Name, one.Where = strings.TrimSpace(c.Text), where(&sheets[i], row, c.Column)
				}
				texts = append(texts, c.Text)
				for _, m := range spansInText.FindAllString(strings.ToUpper(c.Text), -1) {
					one.Tags = append(one.Tags, tags(m)...)
				}
			}
			one.Text = words(strings.Join(texts, " | "))
			if one.Name != "" {
				out = append(out, one)
			}
		}
	}
	return out
}

// pageHeading returns the column of the names of pages in a row of headings.
func pageHeading(filled []model.Cell, name map[string]bool) int {
	for _, c := range filled {
		if c.Number == nil && name[words(c.Text)] {
			return c.Column
		}
	}
	return 0
}

// graphics compares the list of pages with the plan: one page for each unlike
// system, every machine on one, no page of what is not there.
func (c *comparison) graphics(v *view) {
	if len(v.doc.Pages) == 0 {
		c.nothing(v)
		return
	}
	named := map[string]bool{}
	for i := range v.doc.Pages {
		for _, tag := range v.doc.Pages[i].Tags {
			named[tagKey(tag)] = true
		}
	}
	groups, order := map[string][]*model.Equipment{}, []string{}
	for _, o := range c.ours {
		if o.Scheme == "" || len(c.points[o.Tag]) == 0 {
			continue
		}
		if groups[o.Scheme] == nil {
			order = append(order, o.Scheme)
		}
		groups[o.Scheme] = append(groups[o.Scheme], o)
	}
	for _, scheme := range order {
		c.shown(v, scheme, groups[scheme], named)
	}
	if n := len(v.doc.Pages); n < len(order) {
		c.tell(model.Difference{Code: "graphics-fewer", Severity: finding.Note, Subject: v.doc.Input.File, Field: "graphics", Ours: fmt.Sprint(len(order)), Theirs: fmt.Sprint(n), Other: v.doc.Pages[0].Where,
			Message: fmt.Sprintf("%s has %d pages; the plan has %d unlike ways of control (%s), each with a page of its own by common practice", v.doc.Name(), n, len(order), strings.Join(each(order, plain), ", ")),
			Ask:     "How many graphics are in the price, and which systems share one?"})
	}
	c.foreignPages(v)
}

// shown tells a scheme that no page shows, or those of its machines that no
// page names where it names the others.
func (c *comparison) shown(v *view, scheme string, list []*model.Equipment, named map[string]bool) {
	byName := slices.ContainsFunc(v.doc.Pages, func(p Page) bool { return c.showsScheme(p, scheme, list) })
	var missing []string
	for _, o := range list {
		if !named[c.key(o)] && !(o.System != "" && slices.ContainsFunc(v.doc.Pages, func(p Page) bool { return hasWords(p.Text, words(o.System)) })) {
			missing = append(missing, o.Tag)
		}
	}
	if len(missing) == 0 || byName && (len(missing) == len(list) || slices.ContainsFunc(v.doc.Pages, func(p Page) bool { return c.showsScheme(p, scheme, list) && hasWords(p.Text, "typical") })) {
		return
	}
	d := model.Difference{Code: "graphic-missing", Severity: finding.Note, Subject: missing[0], Field: "graphics", Ours: strings.Join(missing, ", "), Where: list[slices.IndexFunc(list, func(o *model.Equipment) bool { return o.Tag == missing[0] })].Where, Other: &model.Where{File: v.doc.Input.File},
		Ask: fmt.Sprintf("On which page does the operator see %s?", strings.Join(missing, ", "))}
	if len(missing) == len(list) {
		d.Message = fmt.Sprintf("no page of %s shows the %s (%s)", v.doc.Name(), plain(scheme), strings.Join(missing, ", "))
	} else {
		d.Message = fmt.Sprintf("%s names other machines with %s and not %s", v.doc.Name(), plain(scheme), strings.Join(missing, ", "))
	}
	c.tell(d)
}

// showsScheme: the page's words name the scheme or the kind of its machines.
func (c *comparison) showsScheme(p Page, scheme string, list []*model.Equipment) bool {
	if hasWords(p.Text, plain(scheme)) {
		return true
	}
	k, ok := c.lib.Kind(list[0].Kind)
	return ok && (hasWords(p.Text, k.Name) || hasWords(p.Text, k.Name+"s"))
}

// foreignPages tells machines that a page shows and no list has.
func (c *comparison) foreignPages(v *view) {
	for i := range v.doc.Pages {
		p := &v.doc.Pages[i]
		var unknown []string
		for _, tag := range p.Tags {
			if c.byKey[tagKey(tag)] == nil && c.letters(tag) && !slices.Contains(unknown, tag) {
				unknown = append(unknown, tag)
			}
		}
		if len(unknown) == 0 {
			continue
		}
		list := strings.Join(unknown, ", ")
		c.tell(model.Difference{Code: "graphic-of-nothing", Severity: finding.Note, Subject: unknown[0], Field: "graphics", Theirs: list, Other: p.Where,
			Message: fmt.Sprintf("the page %q of %s shows %s, which the equipment list does not have", p.Name, v.doc.Name(), list),
			Ask:     fmt.Sprintf("Are %s on the job? A page shows them and no schedule does.", list)})
	}
}

// letters: some machine of ours has the same letters, so that a tag of another
// trade (a chiller) is no question for us.
func (c *comparison) letters(tag string) bool {
	return slices.ContainsFunc(c.ours, func(o *model.Equipment) bool { return prefix(o.Tag) == prefix(tag) })
}

func each(list []string, f func(string) string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = f(s)
	}
	return out
}
