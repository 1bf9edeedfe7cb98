package intake

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// cell is a value as typed, with the unit that its heading gives it.
type cell struct {
	text  string
	unit  string
	total bool   // the heading says TOTAL
	alt   bool   // the heading says ALTERNATE and nothing else of a bid
	other string // the unit of a second figure in brackets
	scale float64
	where model.Where
}

// draft is one machine as written, before its values are read: the row of a
// list, expanded, with what later lists said of it.
type draft struct {
	tag      string
	key      string // NormalTag
	family   string // the tag as written, where it stands for several machines: EF-7 of EF-7-1
	where    model.Where
	row      int             // row of the grid it stands in
	fields   map[string]cell // by field id
	extra    map[string]cell // other columns by heading
	notes    []model.Text    // footnotes resolved
	existing bool
	section  string // the line over the row and the title of its table
	title    string
	file     string
	list     int // index of the list among the project's
	addendum bool
	problem  string // what kept the row from being read whole
	twin     bool   // a second row of the same tag
	note     string
	remarkOn []string // what had to be decided to read the row
	si       bool     // bare numbers are metric
	apart    []string // columns of several fields whose cell could not be taken apart
	part     string   // the tag of the unit whose fan it is, where a unit has several
	span     string   // what the list's other tags say of a tag of two numbers
}

// noTag is the problem of a row that has values and no tag.
const noTag = "row without a tag"

// drafted is what the sheets hold before any value is read.
type drafted struct {
	drafts []*draft
	say    *says
	tables map[string]int // by file
}

var (
	totalRow   = regexp.MustCompile(`(?i)^\s*(?:sub-?\s*|grand\s*)?totals?\b|^\s*sum\b|^\s*average\b`)
	notesStart = regexp.MustCompile(`(?i)^\s*(?:general\s+|schedule\s+|fan\s+)?(?:notes?|remarks|legend|abbreviations|footnotes?)\s*(?:\([^)]*\))?\s*[:.]?\s*$`)
	notesLead  = regexp.MustCompile(`(?i)^\s*(?:general\s+|schedule\s+)?notes?\s*[:.]\s*(\S.*)$`)
	listLead   = regexp.MustCompile(`(?i)^\s*(?:general\s+|schedule\s+)?(?:notes?|remarks?|accessories|options)\s*:\s*\(?\s*1\s*[.)]\s*\S.*\b2\s*[.)]\s*\S`)
	listedNote = regexp.MustCompile(`(?:^|[\s(:;])(\d{1,2})\s*[.)]\s+`)
	footnote   = regexp.MustCompile(`(?is)^\s*(?:note\s+)?(?:\(\s*([0-9]{1,2}|[A-Za-z]|\*{1,3})\s*\)|([0-9]{1,2}|[A-Z])\s*[.):]|(\*{1,3})|note\s+([0-9]{1,2})\s*[-:]?)\s*(\S.*)$`)
	lateFile   = regexp.MustCompile(`(?i)\b(?:addend(?:um|a)|bulletin|revision|rev|asi|change order)\b`)
)

// rowsOf turns the rows of a table into drafts and gathers the footnotes.
func (r *reader) rowsOf(t *table, into *drafted, list int) {
	notes := map[string]model.Text{}
	var general []model.Text
	from := len(into.drafts)
	section, inNotes := "", false
	for _, i := range t.rows {
		row := t.grid.rows[i]
		first := row.cells[row.sorted[0]]
		tagText := t.cellOf(row, "tag")
		switch {
		case r.footnoteRow(t, row, inNotes, notes, &general):
			continue
		case totalRow.MatchString(first) && !looksLikeTag(tagText):
			continue
		case len(row.sorted) == 1 && notesStart.MatchString(first):
			inNotes = true
			continue
		case len(row.sorted) == 1 && listLead.MatchString(first):
			inNotes = true
			at := listedNote.FindAllStringSubmatchIndex(first, -1)
			for i, m := range at {
				end := len(first)
				if i+1 < len(at) {
					end = at[i+1][0]
				}
				notes[first[m[2]:m[3]]] = model.Text{Text: strings.Trim(tidy(first[m[1]:end]), " ;,("), Where: whereOf(t.grid, row, row.sorted[0])}
			}
			continue
		case len(row.sorted) == 1 && notesLead.MatchString(first):
			inNotes = true
			general = append(general, model.Text{Text: tidy(notesLead.FindStringSubmatch(first)[1]), Where: whereOf(t.grid, row, row.sorted[0])})
			continue
		case len(row.sorted) == 1 && (!looksLikeTag(first) || sectionWords[strings.ToUpper(leadingWord(first))] || alternateLine.MatchString(first)):
			if inNotes {
				general = append(general, model.Text{Text: tidy(first), Where: whereOf(t.grid, row, row.sorted[0])})
			} else {
				section = tidy(first)
			}
			continue
		}
		if tagText == "" && r.secondFan(t, row, into, from, list, section) {
			continue
		}
		if tagText == "" && t.tagMerged(row) && len(into.drafts) > from {
			t.secondLine(row, into)
			continue
		}
		if tagText == "" || isEmpty(tagText) {
			r.tagless(t, row, into, from, list, section)
			continue
		}
		inNotes = false
		r.draftRow(t, row, into, list, section)
	}
	under := &table{grid: t.footGrid}
	for _, row := range t.foot {
		first := row.cells[row.sorted[0]]
		switch {
		case r.footnoteRow(under, row, inNotes, notes, &general):
		case notesStart.MatchString(first):
			inNotes = true
		case inNotes && len(row.sorted) == 1:
			general = append(general, model.Text{Text: tidy(first), Where: whereOf(t.footGrid, row, row.sorted[0])})
		}
	}
	r.oddTags(into.drafts[from:], into.say)
	t.decodeLetters(notes)
	for _, d := range into.drafts[from:] {
		r.resolveNotes(t, d, notes, general)
	}
}

// oddTags tells tags without a number among tags that have one: a line that
// broke, or a word in the wrong column.
func (r *reader) oddTags(list []*draft, say *says) {
	var odd []*draft
	for _, d := range list {
		if d.problem == "" && !strings.ContainsAny(d.tag, "0123456789") {
			odd = append(odd, d)
		}
	}
	if len(odd) == 0 || len(list)-len(odd) < 3 || 5*len(odd) > len(list) && len(odd) > 1 {
		return
	}
	for _, d := range odd {
		d.problem = "tag"
		say.add(finding.Caution, "odd-tag", d.tag, &d.where, "give the machine its number, or join the line with the one above", "the tag %q has no number as the others of the list have; a line that broke may have put it there", d.tag)
	}
}

// sectionWords are words with a figure behind them that head a section of a
// schedule: LEVEL 2, ALTERNATE 1.
var sectionWords = map[string]bool{"LEVEL": true, "FLOOR": true, "BUILDING": true, "BLDG": true, "TOWER": true, "WING": true, "AREA": true, "ZONE": true, "PHASE": true, "ALTERNATE": true, "ALT": true, "ADDENDUM": true, "PART": true, "GROUP": true, "BLOCK": true, "SECTION": true, "BASEMENT": true, "STOREY": true, "STORY": true, "SHEET": true, "PAGE": true, "BULLETIN": true, "REVISION": true}

var alternateLine = regexp.MustCompile(`(?i)^\s*(?:add|deduct|bid|base)\s+(?:alt(?:ernate)?|bid)\b`)

// leadingWord is the run of letters that a text begins with.
func leadingWord(s string) string {
	s = strings.TrimSpace(s)
	return s[:len(s)-len(strings.TrimLeftFunc(s, unicode.IsLetter))]
}

func whereOf(g *grid, row gridRow, column int) *model.Where {
	w := g.at(row.number, column)
	return &w
}

// looksLikeTag reports whether a text could be a tag: letters and a figure.
func looksLikeTag(s string) bool {
	text, _ := stripMarks(s)
	got := readTags(text)
	return got.problem == "" && len(got.tags) > 0 && aTag.MatchString(got.tags[0]) && len(strings.Fields(tidy(text))) <= 6
}

// cellOf returns the text in the column of a field, "" none.
func (t *table) cellOf(row gridRow, field string) string {
	for _, c := range t.columns {
		if c.heading.is(field) {
			if text, ok := row.cells[c.number]; ok {
				return text
			}
		}
	}
	return ""
}

// isDitto reports whether a cell repeats the one above it.
func isDitto(s string) bool {
	switch strings.ToLower(strings.Trim(tidy(s), " .-")) {
	case `"`, `""`, "ditto", "do", "''", "〃", "same", "same as above":
		return true
	}
	return false
}

// above returns the nearest cell above that is no ditto mark itself, "" if
// there is none in the table.
func (t *table) above(row, column int) string {
	const far = 200 // rows; a ditto mark further down than that means nothing
	from, _ := slices.BinarySearchFunc(t.rows, row, func(i, n int) int { return t.grid.rows[i].number - n })
	for k := from - 1; k >= max(0, from-far); k-- {
		if s, ok := t.grid.rows[t.rows[k]].cells[column]; ok && !isDitto(s) {
			return s
		}
	}
	return ""
}

// draftRow makes the drafts of one data row.
func (r *reader) draftRow(t *table, row gridRow, into *drafted, list int, section string) {
	if t.strike(&row, into.say) {
		return
	}
	base := &draft{fields: map[string]cell{}, extra: map[string]cell{}, section: section, title: t.title, file: t.grid.sheet.File, list: list}
	base.row = row.number
	base.addendum = lateFile.MatchString(t.grid.sheet.Name)
	tags := r.fillCells(t, row, base, nil)
	t.unheaded(row, base, into.say)
	if tags.typical == 0 { // the remark may say that the row stands for several
		for _, name := range []string{"type", "description", "service", "remarks"} {
			if m := typicalOf.FindStringSubmatch(base.fields[name].text); m != nil {
				tags.typical = smallNumber(m[1])
				break
			}
		}
	}
	if row.joined > 0 {
		into.say.add(finding.Caution, "broken-line", whereOf(t.grid, row, row.joined).String(), whereOf(t.grid, row, row.joined), "join the two lines in the file, or put the cell in quotes", "the line ends early and the next one goes on where it stops; both are read as one row, joined in %q", tidy(row.cells[row.joined]))
	}
	if row.hidden {
		into.say.add(finding.Note, "hidden-row", whereOf(t.grid, row, row.sorted[0]).String(), whereOf(t.grid, row, row.sorted[0]), "delete the row if the machine is not meant", "the row is hidden in the workbook and was read all the same")
	}
	base.existing = tags.existing
	if _, said := base.fields["bid"]; tags.notOurs && !said {
		base.fields["bid"] = cell{text: "NIC", where: base.where}
	}
	if len(tags.tags) == 1 && hyphenSpan(tags.tags[0]) != nil {
		if t.habit == nil {
			t.habit = hyphenHabit(t.tagTexts())
		}
		base.span = t.habit(tags.tags[0])
	}
	if _, said := base.fields["service"]; tags.serves != "" && !said {
		base.fields["service"] = cell{text: tags.serves, where: base.where}
	}
	from := len(into.drafts)
	r.expand(base, tags, into)
	r.splitUnit(t, row, into, from)
}

// unheaded keeps what stands in a row under no heading. Words are taken as a
// remark and told: they may be all that says how the machine is controlled. In
// a delimited list a cell behind the last heading tells that a value of the
// row holds the separator, so that what follows it stands one column too far.
func (t *table) unheaded(row gridRow, d *draft, say *says) {
	last := 0
	headed := map[int]bool{}
	for _, c := range t.columns {
		headed[c.number] = true
		last = max(last, c.number)
	}
	for _, n := range row.sorted {
		text, where := strings.TrimSpace(row.cells[n]), t.grid.at(row.number, n)
		if headed[n] || isEmpty(text) {
			continue
		}
		d.extra[uniqueKey(d.extra, "column "+columnLetters(n))] = cell{text: text, where: where}
		shifted := t.grid.sheet.Name == "" && !t.grid.turned && n > last
		if shifted || someWord.MatchString(text) {
			d.notes = append(d.notes, model.Text{Text: tidy(text), Where: &where})
			fix := "give the column a heading, REMARKS if it is one"
			if shifted {
				fix = "put a value that holds the separator in quotes; else give the column a heading"
			}
			say.add(finding.Caution, "unheaded-cell", where.String(), &where, fix, "%q stands under no heading; it is taken as a remark%s", tidy(text), shiftWords(shifted))
		}
	}
}

var someWord = regexp.MustCompile(`[A-Za-z]{2}`)

func shiftWords(shifted bool) string {
	if shifted {
		return ", and the cells before it may stand one column too far"
	}
	return ""
}

func columnName(c column) string {
	if name := tidy(c.heading.text); name != "" {
		return name
	}
	return "column " + columnLetters(c.number)
}

func uniqueKey(taken map[string]cell, name string) string {
	key := name
	for n := 2; ; n++ {
		if _, twice := taken[key]; !twice {
			return key
		}
		key = name + " " + itoa(n)
	}
}

// put stores a field; where two columns are read as the same field the first
// that says something counts and the other is kept under its heading.
func (d *draft) put(field, heading string, c cell) {
	if have, ok := d.fields[field]; ok && !isEmpty(have.text) {
		d.extra[uniqueKey(d.extra, tidy(heading))] = c
		return
	}
	d.fields[field] = c
}

// tagMerged reports whether the tag of an upper row is merged down over this
// one: a unit with two lines, such as the supply and the exhaust fan of one.
func (t *table) tagMerged(row gridRow) bool {
	for _, c := range t.columns {
		if !c.heading.is("tag") {
			continue
		}
		for _, m := range t.grid.merges {
			if m.left <= c.number && c.number <= m.right && m.top < row.number && row.number <= m.bottom {
				return true
			}
		}
	}
	return false
}

// secondLine keeps a further line of a unit with the unit's cells and says
// that it was not read: which of the lines governs is not ours to choose.
func (t *table) secondLine(row gridRow, into *drafted) {
	last := into.drafts[len(into.drafts)-1]
	t.keepLine(row, last)
	into.say.add(finding.Caution, "second-line", last.tag, whereOf(t.grid, row, row.sorted[0]), "give each fan of the unit a tag and a row of its own if both are to be planned", "the unit has a second line under the same tag; it is kept and not read")
}

// keepLine keeps the cells of a further line with those of a unit.
func (t *table) keepLine(row gridRow, d *draft) {
	for _, c := range t.columns {
		if text, ok := row.cells[c.number]; ok {
			d.extra[uniqueKey(d.extra, columnName(c)+" (second line)")] = cell{text: strings.TrimSpace(text), where: t.grid.at(row.number, c.number)}
		}
	}
}

// tagless keeps a row that has values and no tag: words alone continue the
// remarks of the row before it; anything else is a machine without a name.
func (r *reader) tagless(t *table, row gridRow, into *drafted, from, list int, section string) {
	figures := false
	var words []cell
	for _, c := range t.columns {
		text, ok := row.cells[c.number]
		if !ok {
			continue
		}
		if c.heading.field != nil && c.heading.use() == library.UseField && c.heading.field.Value != "text" && !isEmpty(text) {
			figures = true
		}
		if c.heading.is("remarks") || c.heading.is("notes") || c.heading.is("service") || c.heading.is("description") {
			words = append(words, cell{text: strings.TrimSpace(text), where: t.grid.at(row.number, c.number), unit: c.heading.field.ID})
		}
	}
	if !figures && len(words) > 0 && len(into.drafts) > from {
		last := into.drafts[len(into.drafts)-1]
		for _, w := range words {
			have := last.fields[w.unit]
			if have.text == "" {
				have.where = w.where
			}
			have.text = strings.TrimSpace(have.text + " " + w.text)
			last.fields[w.unit] = have
		}
		return
	}
	if !figures {
		return
	}
	where := t.grid.at(row.number, row.sorted[0])
	before := len(into.drafts)
	r.draftRow(t, row, into, list, section)
	for _, d := range into.drafts[before:] {
		d.where, d.problem = where, noTag
	}
}
