package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// cobie is a COBie workbook: the sheets that say what stands in the building,
// joined by name (ISO 16739 information exchange, NBIMS-US V3, chapter 4.2).
type cobie struct {
	file       string
	components []record
	types      map[string]record
	spaces     map[string]record
	systems    map[string]string // component → system
	attributes map[string][]record
}

// record is a row of a COBie sheet by its column heading.
type record struct {
	sheet *model.Sheet
	row   int
	cells map[string]string
	at    map[string]int // column
}

func (r record) where(column string) model.Where {
	return model.Where{File: r.sheet.File, Sheet: r.sheet.Name, Cell: columnLetters(max(1, r.at[column])) + itoa(r.row)}
}

// text returns a cell that says something, "" otherwise.
func (r record) text(column string) string {
	if s := r.cells[column]; !isEmpty(s) {
		return strings.TrimSpace(s)
	}
	return ""
}

// cobieOf joins the COBie sheets of a file; nil if it is none.
func cobieOf(sheets []model.Sheet, file string) *cobie {
	byName := map[string]*model.Sheet{}
	for i := range sheets {
		if sheets[i].File == file {
			byName[strings.ToLower(sheets[i].Name)] = &sheets[i]
		}
	}
	component, types := records(byName["component"], "Name", "TypeName"), byName["type"]
	if component == nil || types == nil {
		return nil
	}
	c := &cobie{file: file, components: component, types: index(records(types, "Name")), spaces: index(records(byName["space"], "Name")), systems: map[string]string{}, attributes: map[string][]record{}}
	for _, s := range records(byName["system"], "Name", "ComponentNames") {
		for _, name := range strings.Split(s.cells["ComponentNames"], ",") {
			if name = strings.TrimSpace(name); name != "" && c.systems[name] == "" {
				c.systems[name] = s.cells["Name"]
			}
		}
	}
	for _, a := range records(byName["attribute"], "Name", "SheetName", "RowName", "Value") {
		key := strings.ToLower(a.cells["SheetName"]) + "\x00" + a.cells["RowName"]
		c.attributes[key] = append(c.attributes[key], a)
	}
	return c
}

// records reads a sheet whose first row holds at least those headings; nil if
// it does not.
func records(sheet *model.Sheet, needs ...string) []record {
	if sheet == nil || len(sheet.Rows) == 0 {
		return nil
	}
	names, at := map[int]string{}, map[string]int{}
	for _, c := range sheet.Rows[0].Cells {
		name := strings.TrimSpace(c.Text)
		names[c.Column] = name
		at[name] = c.Column
	}
	for _, need := range needs {
		if at[need] == 0 {
			return nil
		}
	}
	out := []record{}
	for _, row := range sheet.Rows[1:] {
		one := record{sheet: sheet, row: row.Number, cells: make(map[string]string, len(row.Cells)), at: at}
		for _, c := range row.Cells {
			one.cells[names[c.Column]] = c.Text
		}
		if one.cells["Name"] != "" {
			out = append(out, one)
		}
	}
	return out
}

func index(list []record) map[string]record {
	out := map[string]record{}
	for _, r := range list {
		if _, twice := out[r.cells["Name"]]; !twice {
			out[r.cells["Name"]] = r
		}
	}
	return out
}

// fanScore is the weight of evidence from which a component is taken for a
// fan: a clear word, not a mere hint.
const fanScore = 3

// cobieDrafts makes a draft of every component that the evidence takes for a
// fan, and says how many others there are.
func (r *reader) cobieDrafts(p *model.Project, c *cobie, in *drafted, list int) {
	marks, others := map[string]int{}, map[string]int{}
	var order []string
	var fans []record
	from := len(in.drafts)
	for _, one := range c.components {
		d := r.cobieDraft(c, one, in.say)
		d.list = list
		w := &work{reader: r, p: p, say: &says{}, d: d, e: &model.Equipment{Tag: ""}}
		w.gatherTexts()
		if v := w.weigh("scope"); v.answer != "fan" || v.score < fanScore {
			name := one.text("TypeName")
			if others[name] == 0 {
				order = append(order, name)
			}
			others[name]++
			continue
		}
		fans = append(fans, one)
		marks[c.markOf(one)]++
		in.drafts = append(in.drafts, d)
	}
	for i, one := range fans {
		c.name(in.drafts[from+i], one, marks, in.say)
	}
	c.tell(len(fans), others, order, in.say)
}

// tell says what the workbook holds besides fans.
func (c *cobie) tell(fans int, others map[string]int, order []string, say *says) {
	n := 0
	for _, k := range order {
		n += others[k]
	}
	if n == 0 && fans > 0 {
		return
	}
	const shown = 6
	var some []string
	slices.SortStableFunc(order, func(a, b string) int { return others[b] - others[a] })
	for _, k := range order[:min(shown, len(order))] {
		some = append(some, fmt.Sprintf("%d of type %q", others[k], k))
	}
	more := ""
	if len(order) > shown {
		more = fmt.Sprintf(" and %d types more", len(order)-shown)
	}
	where := model.Where{File: c.file, Sheet: "Component"}
	if fans == 0 {
		say.add(finding.Caution, "no-fan", c.file, &where, "name the workbook that holds the ventilation, or list the fans in a .csv", "the COBie workbook holds %d components and none that is a fan by its words (%s%s)", n, strings.Join(some, ", "), more)
		return
	}
	say.add(finding.Note, "out-of-scope", c.file, &where, "", "%d of the %d components of the COBie workbook are no fans (%s%s)", n, n+fans, strings.Join(some, ", "), more)
}

// markOf returns the mark that the drawing gave a component.
func (c *cobie) markOf(one record) string {
	for _, a := range c.attributes["component\x00"+one.cells["Name"]] {
		if strings.EqualFold(a.cells["Name"], "Mark") {
			return a.text("Value")
		}
	}
	return ""
}

// name gives a draft its tag: the tag number, else the mark, else the name.
func (c *cobie) name(d *draft, one record, marks map[string]int, say *says) {
	mark := c.markOf(one)
	switch tag := one.text("TagNumber"); {
	case tag != "":
		d.tag, d.where = showTag(tag), one.where("TagNumber")
	case mark != "" && marks[mark] == 1 && !looksLikeTag(mark):
		d.tag = showTag("MARK " + mark)
		say.add(finding.Note, "assumed", d.tag, &d.where, "give the component a TagNumber", "the component has no tag number; it is called by its mark")
	case mark != "" && marks[mark] == 1:
		d.tag = showTag(mark)
	default:
		d.tag = showTag(one.cells["Name"])
		say.add(finding.Note, "assumed", d.tag, &d.where, "give the component a TagNumber", "the component has no tag number; it is called by its name")
	}
	d.key = NormalTag(d.tag)
}

var upperRun = regexp.MustCompile(`([a-z])([A-Z])`)

// apart parts words that a program ran together: FanCvctrs_Duty.
func apart(s string) string {
	return upperRun.ReplaceAllString(strings.NewReplacer("_", " ", ":", " ").Replace(s), "$1 $2")
}

// cobieDraft joins what all sheets say of one component.
func (r *reader) cobieDraft(c *cobie, one record, say *says) *draft {
	name, typeName := one.cells["Name"], one.text("TypeName")
	d := &draft{fields: map[string]cell{}, extra: map[string]cell{}, file: c.file, where: one.where("Name"), si: true}
	kind := c.types[typeName]
	description := []string{one.text("Description"), kind.text("Description")}
	for _, key := range []string{"component\x00" + name, "type\x00" + typeName} {
		for _, a := range c.attributes[key] {
			field := r.cobieField(a)
			switch {
			case a.text("Value") == "":
			case field == "description":
				description = append(description, a.text("Value"))
			default:
				r.takeAttribute(d, a, field, say)
			}
		}
	}
	d.fields["type"] = cell{text: strings.TrimSpace(apart(typeName) + " " + classOf(kind.text("Category"))), where: one.where("TypeName")}
	d.fields["description"] = cell{text: strings.Join(slices.DeleteFunc(append(description, apart(name)), func(s string) bool { return s == "" }), "; "), where: one.where("Name")}
	if space := one.text("Space"); space != "" {
		text := space
		if s, ok := c.spaces[space]; ok && s.text("Description") != "" && s.text("Description") != space {
			text += " " + s.text("Description")
		}
		d.fields["service"] = cell{text: text, where: one.where("Space")}
		if floor := c.spaces[space].text("FloorName"); floor != "" {
			d.fields["location"] = cell{text: floor, where: c.spaces[space].where("FloorName")}
		}
	}
	if system := c.systems[name]; system != "" {
		d.fields["system"] = cell{text: system, where: one.where("Name")}
	}
	for column, text := range one.cells {
		if !isEmpty(text) {
			d.extra[column] = cell{text: text, where: one.where(column)}
		}
	}
	return d
}

// classOf is the wording of a class, without its number: "Pr_70: Fan coil units".
func classOf(category string) string {
	if i := strings.LastIndex(category, " : "); i >= 0 {
		return strings.TrimSpace(category[i+3:])
	}
	if i := strings.Index(category, ": "); i >= 0 {
		return strings.TrimSpace(category[i+2:])
	}
	return category
}

// cobieField returns the field that an attribute is, "" none. Names of
// components and lists of what could be ordered are no fields.
func (r *reader) cobieField(a record) string {
	name := a.cells["Name"]
	words := r.words(name)
	if slices.Contains(words, "description") && !slices.Contains(words, "required") {
		return "description"
	}
	h := r.heading([]string{name})
	if h.use() != library.UseField || h.field.ID == "tag" || h.field.ID == "remarks" || h.field.ID == "quantity" {
		return ""
	}
	return h.field.ID
}

// takeAttribute puts an attribute into its field; where two attributes give the
// same field the first that can be read is taken.
func (r *reader) takeAttribute(d *draft, a record, field string, say *says) {
	one := cell{text: a.text("Value"), where: a.where("Value")}
	if unit, _, ok := r.unitOf(a.cells["Unit"]); ok {
		one.unit = unit
	}
	if field == "" {
		d.extra[uniqueKey(d.extra, a.cells["Name"])] = one
		return
	}
	have, taken := d.fields[field]
	switch {
	case !taken:
		d.fields[field] = one
	case !r.readable(field, have) && r.readable(field, one):
		d.fields[field] = one
		d.extra[uniqueKey(d.extra, fieldName(r.lib, field)+" (not used)")] = have
		if problem := r.problem(field, have); problem != "" {
			d.remarkOn = append(d.remarkOn, fmt.Sprintf("%s: %q %s; %q is taken", fieldName(r.lib, field), have.text, problem, one.text))
		}
	default:
		d.extra[uniqueKey(d.extra, a.cells["Name"])] = one
	}
}

// readable reports whether a cell gives its field a value.
func (r *reader) readable(field string, c cell) bool {
	v := r.tryValue(field, c)
	return v.problem == "" && !v.empty && !v.pending
}

func (r *reader) problem(field string, c cell) string { return r.tryValue(field, c).problem }

// tryValue reads a cell without telling anyone.
func (r *reader) tryValue(field string, c cell) value {
	h, _ := r.lib.Heading(field)
	switch h.Value {
	case "service", "voltage", "phases", "hertz":
		return r.electrical(c.text, h.Value).value
	case "text", "answer", "tag", "count", "":
		return value{empty: isEmpty(c.text)}
	}
	unit := c.unit
	if unit == "" {
		unit = h.UnitSI
	}
	return r.quantity(c.text, h.Value, unit)
}
