package intake

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"tallywire/model/finding"
	"tallywire/points/library"
)

// fanRoles are the fans that a unit may have of its own, by the words that
// name them on its lines or over its columns, with the letters that they get.
var fanRoles = []struct {
	letters, name string
	words         []string
}{
	{"SF", "supply", []string{" supply ", " sf ", " saf ", " s f ", " s a "}},
	{"RF", "return", []string{" return ", " rf ", " raf ", " r f ", " r a "}},
	{"EF", "exhaust", []string{" exhaust ", " ef ", " eaf ", " extract ", " e f ", " e a "}},
	{"RLF", "relief", []string{" relief ", " rlf ", " spill "}},
}

// roleIn returns the one fan that a text names, as an index into fanRoles; -1
// none or several.
func roleIn(text string) int {
	found := -1
	words := phrase(text)
	for i, role := range fanRoles {
		if slices.ContainsFunc(role.words, func(w string) bool { return strings.Contains(words, w) }) {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

// motorFields show that a line or a group of columns is about a fan of its
// own: some figure of a motor or of the air that it moves.
var motorFields = []string{"power", "shaft_power", "current", "speed", "electrical", "voltage"}

// lineRoles compares the line of a unit with the one below it that has no tag
// of its own: in one column the upper names one fan and the lower another.
func (t *table) lineRoles(upper, lower gridRow) (first, second int, ok bool) {
	figures := false
	for _, c := range t.columns {
		text, has := lower.cells[c.number]
		if has && c.heading.use() == library.UseField && c.heading.field.Value != "text" && strings.ContainsAny(text, "0123456789") {
			figures = true
		}
	}
	for _, c := range t.columns {
		if !figures || c.heading.is("remarks") || c.heading.is("notes") {
			continue
		}
		a, b := roleIn(upper.cells[c.number]), roleIn(lower.cells[c.number])
		if a >= 0 && b >= 0 && a != b {
			return a, b, true
		}
	}
	return 0, 0, false
}

// recovers reports whether a unit is one of energy recovery: it has two fans
// and is planned as one machine.
func recovers(d *draft) bool {
	if slices.Contains([]string{"ERV", "ERU", "HRV", "HRU"}, Prefix(d.tag)) {
		return true
	}
	for _, name := range []string{"type", "description", "kind", "service"} {
		if words := phrase(d.fields[name].text); strings.Contains(words, " recovery ") || strings.Contains(words, " erv ") || strings.Contains(words, " hrv ") {
			return true
		}
	}
	return false
}

// secondFan takes the second line of a unit as its second fan, where the two
// lines name two fans; false where they do not.
func (r *reader) secondFan(t *table, row gridRow, into *drafted, from, list int, section string) bool {
	if len(into.drafts) == from {
		return false
	}
	last := into.drafts[len(into.drafts)-1]
	upper, ok := t.rowNumbered(last.row)
	if !ok || row.number-last.row > 2 || last.problem != "" {
		return false
	}
	first, second, ok := t.lineRoles(upper, row)
	if !ok {
		return false
	}
	merged := t.tagMerged(row)
	if recovers(last) {
		t.keepLine(row, last)
		into.say.add(finding.Note, "second-line", last.tag, whereOf(t.grid, row, row.sorted[0]), "give each fan a tag and a row of its own if they are to be planned apart", "the unit's second line (%s) is its other fan: an energy-recovery unit is planned as one machine with both; the ratings shown are those of the first line (%s)", fanRoles[second].name, fanRoles[first].name)
		return true
	}
	for _, d := range slices.Clone(into.drafts[from:]) {
		if d.row != last.row {
			continue
		}
		unit := d.partOf(first)
		below := &draft{fields: map[string]cell{}, extra: map[string]cell{}, section: section, title: t.title, file: d.file, list: list, row: row.number, addendum: d.addendum, existing: d.existing}
		below.where = t.grid.at(row.number, row.sorted[0])
		r.fillCells(t, row, below, nil)
		for _, name := range slices.Sorted(maps.Keys(d.fields)) {
			if c := d.fields[name]; !isEmpty(c.text) && below.fields[name].text == "" && (t.mergedOver(c.where.Cell, row) || slices.Contains([]string{"service", "system", "location", "panel", "phase_of_work", "bid"}, name)) {
				below.fields[name] = c // said once for the unit
			}
		}
		below.named(unit, second)
		into.drafts = append(into.drafts, below)
		severity := finding.Caution
		if merged {
			severity = finding.Note
		}
		into.say.add(severity, "second-line", unit, &below.where, "give each fan a tag and a row of its own if it is otherwise", "the unit has two lines, %s and %s: they are planned as two fans, %s and %s", fanRoles[first].name, fanRoles[second].name, d.tag, below.tag)
	}
	return true
}

// partOf makes a draft one fan of a unit and returns the unit's tag.
func (d *draft) partOf(role int) string {
	if d.part == "" {
		d.part = d.tag
		d.named(d.tag, role)
	}
	return d.part
}

// named names a draft as a fan of a unit.
func (d *draft) named(unit string, role int) {
	d.part = unit
	d.tag = unit + "-" + fanRoles[role].letters
	d.key, d.family = NormalTag(d.tag), NormalTag(unit)
	if isEmpty(d.fields["system"].text) {
		d.fields["system"] = cell{text: unit, where: d.where}
	}
}

// rowNumbered returns the row of the grid with a number.
func (t *table) rowNumbered(n int) (gridRow, bool) {
	i, ok := slices.BinarySearchFunc(t.grid.rows, n, func(row gridRow, n int) int { return row.number - n })
	if !ok {
		return gridRow{}, false
	}
	return t.grid.rows[i], true
}

// mergedOver reports whether a cell is merged down over a row.
func (t *table) mergedOver(name string, row gridRow) bool {
	if t.grid.turned {
		return false
	}
	b, ok := parseRange(name + ":" + name)
	return ok && slices.ContainsFunc(t.grid.merges, func(m block) bool {
		return m.left <= b.left && b.left <= m.right && m.top == b.top && row.number <= m.bottom
	})
}

// fanGroups returns the columns that belong to the one or the other fan of a
// unit by their group headings, SUPPLY FAN over CFM and HP, RETURN FAN over
// CFM and HP; nil unless two fans have a motor each.
func (t *table) fanGroups() map[int]int {
	if t.groups != nil {
		return t.groups
	}
	t.groups = map[int]int{}
	has := map[string][]int{} // the fans that have a column of a field
	for _, c := range t.columns {
		if role := roleIn(c.heading.text); role >= 0 && c.heading.use() == library.UseField {
			t.groups[c.number] = role
			if id := c.heading.field.ID; !slices.Contains(has[id], role) {
				has[id] = append(has[id], role)
			}
		}
	}
	if !slices.ContainsFunc(motorFields, func(id string) bool { return len(has[id]) > 1 }) {
		clear(t.groups)
		return t.groups
	}
	for _, c := range t.columns {
		if c.heading.use() == library.UseField && len(has[c.heading.field.ID]) < 2 && c.heading.field.Value == "text" {
			delete(t.groups, c.number) // said once for the unit
		}
	}
	return t.groups
}

// rolesOf returns which fans' columns a row fills with figures, in order.
func (t *table) rolesOf(row gridRow) []int {
	var out []int
	groups := t.fanGroups()
	for _, c := range t.columns {
		role, grouped := groups[c.number]
		if text := row.cells[c.number]; grouped && strings.ContainsAny(text, "123456789") && !slices.Contains(out, role) {
			out = append(out, role)
		}
	}
	slices.Sort(out)
	return out
}

// splitUnit makes two fans of a row whose columns hold two, and tells it.
func (r *reader) splitUnit(t *table, row gridRow, into *drafted, from int) {
	roles := t.rolesOf(row)
	for _, d := range into.drafts[from:] { // AHU-2 without a return fan
		role := -1
		if len(roles) == 1 {
			role = roles[0]
		} else if len(roles) == 0 {
			role = d.loneRole()
		}
		if role >= 0 && d.problem == "" && r.noFanByTag(d.tag) && len(suffixes(d.tag)) == 0 {
			d.named(d.tag, role)
			into.say.add(finding.Note, "second-line", d.part, &d.where, "give the fan a tag of its own if it is otherwise", "the row holds one fan of the unit (%s): it is planned as %s", fanRoles[role].name, d.tag)
		}
	}
	if len(roles) < 2 {
		return
	}
	for _, d := range slices.Clone(into.drafts[from:]) {
		if d.problem != "" {
			continue
		}
		var names []string
		for _, role := range roles {
			names = append(names, fanRoles[role].name)
		}
		said := strings.Join(names, " and ")
		if recovers(d) {
			into.say.add(finding.Note, "second-line", d.tag, &d.where, "give each fan a tag and a row of its own if they are to be planned apart", "the row holds the fans of one unit (%s): an energy-recovery unit is planned as one machine; the ratings shown are those of the first (%s)", said, names[0])
			continue
		}
		unit := d.partOf(roles[0])
		made := []string{d.tag}
		for _, role := range roles[1:] {
			one := *d
			one.fields, one.extra, one.notes = map[string]cell{}, map[string]cell{}, slices.Clone(d.notes)
			r.fillCells(t, row, &one, func(c column) bool { own, grouped := t.fanGroups()[c.number]; return !grouped || own == role })
			one.fields["system"] = d.fields["system"]
			one.named(unit, role)
			into.drafts = append(into.drafts, &one)
			made = append(made, one.tag)
		}
		d.fields, d.extra = map[string]cell{}, map[string]cell{}
		r.fillCells(t, row, d, func(c column) bool { own, grouped := t.fanGroups()[c.number]; return !grouped || own == roles[0] })
		d.named(unit, roles[0])
		into.say.add(finding.Note, "second-line", unit, &d.where, "give each fan a tag and a row of its own if it is otherwise", "the row holds the fans of one unit (%s): they are planned as %s", said, strings.Join(made, " and "))
	}
}

var (
	saysTotal     = regexp.MustCompile(`(?i)\btotal\b`)
	saysAlternate = regexp.MustCompile(`(?i)^(?:bid\s+|add\s+)?alt(?:ernate|\.)?\s*(?:no\.?|number|#)?$`)
)

// putSeveral stores a cell under a heading of several fields, 1/2 / 208 / 3
// under HP / V / PH; false where its parts are not as many as the heading's.
func (d *draft) putSeveral(c column, one cell) bool {
	for _, stroke := range []string{" / ", "/", "-", ",", "\n"} {
		texts := strings.Split(one.text, stroke)
		if len(texts) != len(c.heading.parts) {
			continue
		}
		for i, field := range c.heading.parts {
			part := one
			part.text, part.unit = strings.TrimSpace(texts[i]), ""
			if part.text != "" {
				d.put(field, c.heading.text, part)
			}
		}
		return true
	}
	d.apart = append(d.apart, columnName(c))
	return false
}

// loneRole returns the fan that a short cell names which says what the row is:
// SUPPLY, RETURN FAN; -1 none.
func (d *draft) loneRole() int {
	for _, name := range []string{"kind", "type", "description"} {
		text := tidy(d.fields[name].text)
		if n := len(strings.Fields(text)); n == 1 || n == 2 && strings.HasSuffix(strings.ToLower(text), " fan") {
			if role := roleIn(text); role >= 0 {
				return role
			}
		}
	}
	return -1
}

// noFanByTag reports whether the letters of a tag alone name something that is
// no fan, such as an air handler.
func (r *reader) noFanByTag(tag string) bool {
	return slices.ContainsFunc(r.about["scope"], func(i int) bool {
		return r.rules[i].For != "fan" && slices.Contains(r.rules[i].Prefixes, Prefix(tag))
	})
}

// fillCells puts the cells of a row into a draft, those of some columns only
// if take is given, and returns what the tag cell says.
func (r *reader) fillCells(t *table, row gridRow, base *draft, take func(column) bool) tagCell {
	var tags tagCell
	tagged := false
	for _, c := range t.columns {
		text, ok := row.cells[c.number]
		if !ok || take != nil && !take(c) {
			continue
		}
		where := t.grid.at(row.number, c.number)
		if isDitto(text) && !c.heading.is("tag") {
			if text = t.above(row.number, c.number); text == "" {
				continue
			}
			if take == nil {
				base.remarkOn = append(base.remarkOn, fmt.Sprintf("%s: the ditto mark is read as %q, the cell above", columnName(c), strings.TrimSpace(text)))
			}
		}
		one := cell{text: strings.TrimSpace(text), unit: c.heading.unit, other: c.heading.other, total: saysTotal.MatchString(c.heading.text), alt: saysAlternate.MatchString(tidy(c.heading.text)), scale: c.heading.scale, where: where}
		if strings.EqualFold(tidy(text), tidy(c.heading.text)) && !c.heading.is("tag") { // the cell repeats its heading: nothing was filled in
			continue
		}
		switch {
		case c.heading.is("tag"):
			if !tagged {
				base.where, tagged = where, true
				tags = readTags(text)
			} else {
				base.put(c.heading.field.ID, c.heading.text, one)
			}
		case c.heading.use() == library.UseField:
			base.put(c.heading.field.ID, c.heading.text, one)
		case c.heading.parts != nil && base.putSeveral(c, one):
		default:
			base.extra[uniqueKey(base.extra, columnName(c))] = one
		}
	}
	if !tagged {
		tags.problem = "holds no tag"
	}
	return tags
}
