package crosscheck

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// ListedPoint is one point of a controls point list.
type ListedPoint struct {
	Tag      string
	Name     string // as written
	Role     string // "" the name means nothing to us
	Type     string // BACnet object type; "" not stated
	Class    string // hardwired, network, software; "" not stated
	Object   string // object name
	Instance string
	Range    *model.Interval
	Units    string // as written
	Default  string // relinquish default as written
	Writable *bool  // an object list says whether the network may write it; nil not stated
	Trend    string // a trend column's cell: an interval, a mark
	Where    *model.Where
}

// ListedCounts are the numbers of points by type that a list states for one
// machine: AI, AO, BI, BO.
type ListedCounts struct {
	Tag    string
	Counts map[string]int
	Where  *model.Where
}

// ReadPoints reads a controls point list: one row a point, or one row a
// machine with a column for each point or for the number of each type. tags
// expands a tag cell (EF-1 thru 4). The machines that the list names come
// back as equipment that carries nothing but its tag.
func ReadPoints(lib *library.Library, sheets []model.Sheet, tags func(string) []string) (points []ListedPoint, counts []ListedCounts, machines []model.Equipment) {
	r := newPointReader(lib, tags)
	for i := range sheets {
		if !sheets[i].Hidden {
			r.sheet(&sheets[i])
		}
	}
	return r.points, r.counts, r.machines
}

func newPointReader(lib *library.Library, tags func(string) []string) *pointReader {
	return &pointReader{columns: lib.DocumentWords("column"), known: namedPoints(lib), tags: tags, seen: map[string]bool{}}
}

type pointReader struct {
	columns  []library.DocumentWords
	known    []phrase
	tags     func(string) []string
	points   []ListedPoint
	counts   []ListedCounts
	machines []model.Equipment
	seen     map[string]bool
}

// layout says what the columns of a point list hold.
type layout struct {
	tag, name, kind, instance, object, span, remarks, network int // columns, 0 none
	units, access, fallback, trend                            int
	counts                                                    map[string]int
	roles                                                     map[int]string // column → role
	titles                                                    map[int]string
}

func (l *layout) worth() int {
	n := len(l.counts) + len(l.roles)
	for _, c := range []int{l.tag, l.name, l.kind, l.instance, l.object, l.access, l.trend} {
		if c > 0 {
			n++
		}
	}
	return n
}

// sheet reads the tables of one sheet: a row that looks like a heading begins
// another.
func (r *pointReader) sheet(s *model.Sheet) {
	var l *layout
	var current, titled []string
	for _, row := range s.Rows {
		if row.Hidden {
			continue
		}
		filled := filledCells(row)
		if len(filled) == 0 {
			continue
		}
		if h := r.heading(filled, len(titled) > 0); h != nil {
			l, current = h, nil
			if h.tag == 0 {
				current = titled
				r.meet(titled, where(s, row, filled[0].Column))
			}
			continue
		}
		if l == nil {
			if len(filled) <= 2 { // the list of one machine: MAU-1 OBJECT LIST
				for _, c := range filled {
					for _, m := range spansInText.FindAllString(strings.ToUpper(c.Text), -1) {
						titled = append(titled, r.tagsIn(m)...)
					}
				}
			}
			continue
		}
		current = r.row(s, l, row, filled, current)
	}
}

// heading reads a row as headings; nil if it is none. A list of one machine,
// named in its title, needs no column of tags.
func (r *pointReader) heading(filled []model.Cell, titled bool) *layout {
	if len(filled) < 2 {
		return nil
	}
	l := &layout{counts: map[string]int{}, roles: map[int]string{}, titles: map[int]string{}}
	for _, c := range filled {
		if c.Number != nil {
			return nil
		}
		l.titles[c.Column] = c.Text
		if !r.column(l, c) {
			if role := roleOf(r.known, c.Text); role != "" {
				l.roles[c.Column] = role
			}
		}
	}
	if l.name > 0 { // one row a point: other columns are no roles
		l.roles = map[int]string{}
	}
	if l.tag == 0 && (!titled || l.name == 0) || l.worth() < 2 || l.name == 0 && len(l.counts) == 0 && len(l.roles) < 2 {
		return nil
	}
	return l
}

// column recognises a heading of its own.
func (r *pointReader) column(l *layout, c model.Cell) bool {
	text := words(c.Text)
	for _, d := range r.columns {
		if !slices.Contains(d.Words, text) {
			continue
		}
		at := map[string]*int{"column-tag": &l.tag, "column-name": &l.name, "column-type": &l.kind, "column-instance": &l.instance, "column-object": &l.object,
			"column-range": &l.span, "column-remarks": &l.remarks, "column-network": &l.network,
			"column-units": &l.units, "column-access": &l.access, "column-default": &l.fallback, "column-trend": &l.trend}[d.ID]
		switch d.ID {
		case "column-ai", "column-ao", "column-bi", "column-bo":
			l.counts[strings.ToUpper(strings.TrimPrefix(d.ID, "column-"))] = c.Column
			return true
		case "column-furnished":
			return true
		}
		if at != nil && *at == 0 {
			*at = c.Column
			return true
		}
	}
	return false
}

// row reads one row under a heading and returns the machines that the next
// rows without a tag belong to.
func (r *pointReader) row(s *model.Sheet, l *layout, row model.Row, filled []model.Cell, current []string) []string {
	text := func(column int) string {
		for _, c := range filled {
			if c.Column == column {
				return strings.TrimSpace(c.Text)
			}
		}
		return ""
	}
	tagText := text(l.tag)
	if len(filled) == 1 { // a heading within the list: the machine that follows
		if list := r.tagsIn(filled[0].Text); len(list) > 0 {
			r.meet(list, where(s, row, filled[0].Column))
			return list
		}
		return current
	}
	list := current
	if tagText != "" {
		if list = r.tagsIn(tagText); len(list) == 0 {
			return nil // totals, notes
		}
		r.meet(list, where(s, row, l.tag))
	}
	if len(list) == 0 {
		return nil
	}
	if l.name > 0 && text(l.name) != "" {
		r.point(s, l, row, list, text)
		return list
	}
	if len(l.counts) > 0 && l.name == 0 {
		r.countRow(s, l, row, list, text)
	}
	for _, column := range sortedColumns(l.roles) {
		if n := marked(text(column)); n > 0 {
			for _, tag := range list {
				r.points = append(r.points, ListedPoint{Tag: tag, Name: l.titles[column], Role: l.roles[column], Where: where(s, row, column)})
			}
		}
	}
	return list
}

// tagsIn returns the tags of a cell, none if it holds something else.
func (r *pointReader) tagsIn(text string) []string {
	if hasWords(words(text), "total") || hasWords(words(text), "totals") || !strings.ContainsAny(text, "0123456789") {
		return nil
	}
	text, _, _ = strings.Cut(text, " - ") // EF-1 - TOILET EXHAUST
	list := r.tags(text)
	if len(list) == 0 || len(list) == 1 && !tagLike.MatchString(list[0]) {
		return nil
	}
	return list
}

var tagLike = regexp.MustCompile(`^[A-Za-z][A-Za-z/_.]*[- _]?[A-Za-z]*[- _]?[0-9]+[A-Za-z0-9.\-_]*$`)

// meet notes that the list names a machine.
func (r *pointReader) meet(list []string, w *model.Where) {
	for _, tag := range list {
		if !r.seen[tagKey(tag)] {
			r.seen[tagKey(tag)] = true
			r.machines = append(r.machines, model.Equipment{Tag: tag, Where: w})
		}
	}
}

// point reads a row that is one point.
func (r *pointReader) point(s *model.Sheet, l *layout, row model.Row, list []string, text func(int) string) {
	name := text(l.name)
	p := ListedPoint{Name: name, Object: text(l.object), Instance: text(l.instance), Where: where(s, row, l.name)}
	p.Units, p.Default, p.Trend, p.Writable = text(l.units), text(l.fallback), text(l.trend), writable(text(l.access))
	p.Type, p.Class = typeOf(text(l.kind))
	for _, t := range []string{"AI", "AO", "BI", "BO"} {
		if c := l.counts[t]; c > 0 && marked(text(c)) > 0 {
			p.Type, p.Class = typeOf(t)
		}
	}
	if l.network > 0 && marked(text(l.network)) > 0 && !strings.EqualFold(text(l.network), "hardwired") {
		p.Class = model.Network
	}
	if m := spanText.FindStringSubmatch(text(l.span)); m != nil {
		lo, _ := strconv.ParseFloat(m[1], 64)
		hi, _ := strconv.ParseFloat(m[2], 64)
		p.Range = &model.Interval{Lo: lo, Hi: hi}
	}
	for _, tag := range list {
		q := p
		q.Tag = tag
		q.Role = roleOf(r.known, strings.ReplaceAll(strings.ToUpper(name), strings.ToUpper(tag), " "))
		r.points = append(r.points, q)
	}
}

var spanText = regexp.MustCompile(`(-?\d+(?:\.\d+)?)\s*(?:-|to|–|\.\.)\s*(-?\d+(?:\.\d+)?)`)

// countRow reads the numbers of points by type of a machine.
func (r *pointReader) countRow(s *model.Sheet, l *layout, row model.Row, list []string, text func(int) string) {
	counts := map[string]int{}
	first := 0
	for _, t := range []string{"AI", "AO", "BI", "BO"} {
		c := l.counts[t]
		if c == 0 {
			continue
		}
		counts[t] = marked(text(c))
		if first == 0 || c < first {
			first = c
		}
	}
	for _, tag := range list {
		r.counts = append(r.counts, ListedCounts{Tag: tag, Counts: counts, Where: where(s, row, first)})
	}
}

// marked is how many points a cell says: its number, 1 for a mark, 0 for none.
func marked(s string) int {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "-", "--", "—", "no", "n", "none", "n/a", "na", "0":
		return 0
	}
	if n, err := strconv.Atoi(strings.TrimSpace(s)); err == nil {
		return max(n, 0)
	}
	return 1
}

// typeOf reads a type cell: AI, DO, binary input, BV (virtual), BACnet.
func typeOf(s string) (object, class string) {
	t := words(s)
	table := []struct{ words, object, class string }{
		{"ai", model.AnalogInput, model.Hardwired}, {"analog input", model.AnalogInput, model.Hardwired}, {"analog in", model.AnalogInput, model.Hardwired}, {"analogue input", model.AnalogInput, model.Hardwired},
		{"ao", model.AnalogOutput, model.Hardwired}, {"analog output", model.AnalogOutput, model.Hardwired}, {"analog out", model.AnalogOutput, model.Hardwired}, {"analogue output", model.AnalogOutput, model.Hardwired},
		{"bi", model.BinaryInput, model.Hardwired}, {"di", model.BinaryInput, model.Hardwired}, {"binary input", model.BinaryInput, model.Hardwired}, {"digital input", model.BinaryInput, model.Hardwired},
		{"bo", model.BinaryOutput, model.Hardwired}, {"do", model.BinaryOutput, model.Hardwired}, {"binary output", model.BinaryOutput, model.Hardwired}, {"digital output", model.BinaryOutput, model.Hardwired},
		{"av", model.AnalogValue, model.Software}, {"analog value", model.AnalogValue, model.Software}, {"bv", model.BinaryValue, model.Software}, {"binary value", model.BinaryValue, model.Software},
		{"msv", model.MultiStateValue, model.Software}, {"mv", model.MultiStateValue, model.Software}, {"multi state value", model.MultiStateValue, model.Software},
		{"net", "", model.Network}, {"network", "", model.Network}, {"bacnet", "", model.Network}, {"modbus", "", model.Network}, {"bus", "", model.Network},
		{"soft", "", model.Software}, {"software", "", model.Software}, {"virtual", "", model.Software},
	}
	for _, one := range table {
		if t == one.words {
			return one.object, one.class
		}
	}
	for _, one := range table {
		if len(one.words) > 2 && hasWords(t, one.words) || len(one.words) == 2 && strings.HasPrefix(t+" ", one.words+" ") {
			object, class = one.object, one.class
			break
		}
	}
	return object, class
}

// phrase is a known name of a role, evened out for matching, with its size:
// more words count before longer ones.
type phrase struct {
	role, text string
	size       int
}

// phrases evens the names of the library out once.
func phrases(lib *library.Library, of func(library.PointNames) []string) []phrase {
	var out []phrase
	for _, role := range lib.PointNames() {
		for _, n := range of(role) {
			out = append(out, phraseOf(role.ID, n))
		}
	}
	return out
}

func phraseOf(role, name string) phrase {
	w := words(name)
	return phrase{role, " " + w + " ", len(strings.Fields(w))*100 + len(w)}
}

// namedPoints are the names of the library, and the roles' own names as we
// print them.
func namedPoints(lib *library.Library) []phrase {
	out := phrases(lib, namesOf)
	for _, role := range lib.Roles() {
		out = append(out, phraseOf(role.ID, role.Name))
	}
	return out
}

func namesOf(p library.PointNames) []string { return p.Names }
func asksOf(p library.PointNames) []string  { return p.Asks }

// roleOf is the role that a point's name stands for: the longest known name
// that stands in it at word bounds; "" if none does.
func roleOf(known []phrase, name string) string {
	text := " " + words(name) + " "
	best, most := "", 0
	for _, p := range known {
		if p.size > most && strings.Contains(text, p.text) {
			best, most = p.role, p.size
		}
	}
	return best
}

func sortedColumns(m map[int]string) []int {
	var out []int
	for c := range m {
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}

// where is a cell as a place: A1 form in a workbook, line and column in text.
func where(s *model.Sheet, row model.Row, column int) *model.Where {
	w := &model.Where{File: s.File, Sheet: s.Name, Cell: fmt.Sprintf("%s%d", columnLetters(column), row.Number)}
	return w
}

func columnLetters(n int) string {
	var out []byte
	for n > 0 {
		n--
		out = append([]byte{byte('A' + n%26)}, out...)
		n /= 26
	}
	return string(out)
}
