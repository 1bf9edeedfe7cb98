package excel

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
)

// lint checks a workbook against the rules that spreadsheet programs enforce
// when they load it and whose breach brings the repair prompt, but which no
// schema states: part 1 of ECMA-376 in words (tables 18.5, names 18.2.5, cells
// 18.3.1, styles 18.8) and the limits of common programs. It shares no code
// with the writer.
func lint(data []byte) []string {
	l := &linter{parts: map[string]*node{}, raw: map[string][]byte{}}
	l.open(data)
	if len(l.bad) == 0 {
		l.contentTypes()
		l.relationships()
		l.workbook()
		l.styles()
		for _, s := range l.sheets {
			l.sheet(s)
		}
	}
	return l.bad
}

// node is an element with its children, read without regard to the writer.
type node struct {
	name string
	attr map[string]string
	kids []*node
	text string
}

func (n *node) all(names ...string) []*node {
	at := []*node{n}
	for _, name := range names {
		var next []*node
		for _, p := range at {
			if p == nil {
				continue
			}
			for _, k := range p.kids {
				if k.name == name {
					next = append(next, k)
				}
			}
		}
		at = next
	}
	return at
}

func (n *node) one(names ...string) *node {
	if found := n.all(names...); len(found) > 0 {
		return found[0]
	}
	return nil
}

func (n *node) words() string {
	if n == nil {
		return ""
	}
	s := n.text
	for _, k := range n.kids {
		s += k.words()
	}
	return s
}

func parseNode(data []byte) (*node, error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	root := &node{}
	stack := []*node{root}
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			n := &node{name: t.Name.Local, attr: map[string]string{}}
			for _, a := range t.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			top := stack[len(stack)-1]
			top.kids = append(top.kids, n)
			stack = append(stack, n)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			stack[len(stack)-1].text += string(t)
		}
	}
	if len(root.kids) != 1 {
		return nil, fmt.Errorf("%d roots", len(root.kids))
	}
	return root.kids[0], nil
}

type linter struct {
	parts   map[string]*node
	raw     map[string][]byte
	bad     []string
	targets map[string]string // relationships part + id → target
	sheets  []lintSheet
	names   map[string]bool // defined names and table names in lower case
	ids     map[string]bool
	nxf     int
	ndxf    int
	shared  []string
}

type lintSheet struct {
	name, part string
	root       *node
}

func (l *linter) say(format string, args ...any) { l.bad = append(l.bad, fmt.Sprintf(format, args...)) }

func (l *linter) open(data []byte) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		l.say("zip: %v", err)
		return
	}
	lower := map[string]bool{}
	for i, f := range z.File {
		if i == 0 && f.Name != "[Content_Types].xml" {
			l.say("first part is %s", f.Name)
		}
		if lower[strings.ToLower(f.Name)] {
			l.say("part %s twice", f.Name)
		}
		lower[strings.ToLower(f.Name)] = true
		r, err := f.Open()
		if err != nil {
			l.say("%s: %v", f.Name, err)
			continue
		}
		raw, err := io.ReadAll(r)
		if err != nil {
			l.say("%s: %v", f.Name, err)
			continue
		}
		l.raw[f.Name] = raw
		if ext := path.Ext(f.Name); ext == ".xml" || ext == ".rels" || ext == ".vml" {
			n, err := parseNode(raw)
			if err != nil {
				l.say("%s is not well-formed: %v", f.Name, err)
				continue
			}
			l.parts[f.Name] = n
		}
	}
}

func (l *linter) contentTypes() {
	types := l.parts["[Content_Types].xml"]
	if types == nil {
		l.say("no content types")
		return
	}
	byExt, byPart := map[string]bool{}, map[string]bool{}
	for _, e := range types.all("Default") {
		byExt[strings.ToLower(e.attr["Extension"])] = true
	}
	for _, e := range types.all("Override") {
		name := strings.TrimPrefix(e.attr["PartName"], "/")
		if byPart[name] {
			l.say("content type of %s twice", name)
		}
		byPart[name] = true
		if _, ok := l.raw[name]; !ok {
			l.say("content type for a part that is not there: %s", name)
		}
	}
	for name := range l.raw {
		ext := strings.TrimPrefix(path.Ext(name), ".")
		if name != "[Content_Types].xml" && !byPart[name] && (!byExt[ext] || ext == "xml" && strings.HasPrefix(name, "xl/")) {
			l.say("no content type of its own for %s", name)
		}
	}
}

func relsOf(part string) string {
	return path.Join(path.Dir(part), "_rels", path.Base(part)+".rels")
}

func (l *linter) relationships() {
	l.targets = map[string]string{}
	for name, n := range l.parts {
		if path.Ext(name) != ".rels" {
			continue
		}
		base := path.Dir(path.Dir(name))
		for _, r := range n.all("Relationship") {
			id := name + " " + r.attr["Id"]
			if _, twice := l.targets[id]; twice {
				l.say("%s: id %s twice", name, r.attr["Id"])
			}
			if r.attr["TargetMode"] == "External" {
				l.targets[id] = ""
				continue
			}
			target := r.attr["Target"]
			if strings.HasPrefix(target, "/") {
				target = target[1:]
			} else {
				target = path.Join(base, target)
			}
			l.targets[id] = target
			if _, ok := l.raw[target]; !ok {
				l.say("%s: %s points to %s, which is not there", name, r.attr["Id"], target)
			}
		}
	}
	used := regexp.MustCompile(`\br:(?:id|embed|link)="([^"]*)"`)
	for name, raw := range l.raw {
		if strings.HasPrefix(name, "xl/") && path.Ext(name) != ".rels" {
			for _, m := range used.FindAllSubmatch(raw, -1) {
				if _, ok := l.targets[relsOf(name)+" "+string(m[1])]; !ok {
					l.say("%s uses relationship %s, which is not there", name, m[1])
				}
			}
		}
	}
}

var (
	badSheetName = regexp.MustCompile(`[:\\/?*\[\]\x00-\x1f]`)
	likeCell     = regexp.MustCompile(`(?i)^([a-z]{1,3}\d+|r|c|r\d*c\d*)$`)
	goodName     = regexp.MustCompile(`^[\pL_\\][\pL\pN_.\\?]*$`)
)

func units(s string) int { return len(utf16.Encode([]rune(s))) }

func (l *linter) workbook() {
	wb := l.parts["xl/workbook.xml"]
	if wb == nil {
		l.say("no workbook part")
		return
	}
	seen, visible := map[string]bool{}, false
	for _, s := range wb.all("sheets", "sheet") {
		name := s.attr["name"]
		if n := units(name); n == 0 || n > 31 || badSheetName.MatchString(name) || strings.HasPrefix(name, "'") ||
			strings.HasSuffix(name, "'") || strings.EqualFold(name, "history") {
			l.say("sheet name %q", name)
		}
		if seen[strings.ToLower(name)] {
			l.say("sheet name %q twice", name)
		}
		seen[strings.ToLower(name)] = true
		visible = visible || s.attr["state"] == ""
		part := l.targets["xl/_rels/workbook.xml.rels "+s.attr["id"]]
		l.sheets = append(l.sheets, lintSheet{name, part, l.parts[part]})
	}
	if !visible {
		l.say("no visible sheet")
	}
	l.names, l.ids = map[string]bool{}, map[string]bool{}
	for _, d := range wb.all("definedNames", "definedName") {
		name := d.attr["name"]
		key := strings.ToLower(name) + "\x00" + d.attr["localSheetId"]
		if l.names[key] {
			l.say("defined name %s twice", name)
		}
		l.names[key] = true
		if !goodName.MatchString(name) || likeCell.MatchString(name) || units(name) > 255 {
			l.say("defined name %q", name)
		}
		if strings.Contains(d.words(), "#REF!") {
			l.say("defined name %s refers to nothing", name)
		}
		if n, err := strconv.Atoi(d.attr["localSheetId"]); err == nil && n >= len(l.sheets) {
			l.say("defined name %s belongs to sheet %d", name, n)
		}
	}
	if sst := l.parts["xl/sharedStrings.xml"]; sst != nil {
		for _, si := range sst.all("si") {
			l.shared = append(l.shared, si.words())
		}
	}
}

func (l *linter) styles() {
	st := l.parts["xl/styles.xml"]
	if st == nil {
		l.say("no styles")
		return
	}
	count := func(list, item string) int {
		n := st.one(list)
		if n == nil {
			return 0
		}
		have := len(n.all(item))
		if c, ok := n.attr["count"]; ok && c != strconv.Itoa(have) {
			l.say("styles: %s says %s and has %d", list, c, have)
		}
		return have
	}
	l.nxf, l.ndxf = count("cellXfs", "xf"), count("dxfs", "dxf")
	most := map[string]int{"fontId": count("fonts", "font"), "fillId": count("fills", "fill"), "borderId": count("borders", "border"),
		"xfId": count("cellStyleXfs", "xf")}
	for _, xf := range st.all("cellXfs", "xf") {
		for attr, n := range most {
			if v, err := strconv.Atoi(xf.attr[attr]); err == nil && v >= n {
				l.say("styles: %s %d of %d", attr, v, n)
			}
		}
	}
	if l.nxf > 64000 {
		l.say("styles: %d cell formats", l.nxf)
	}
}

// box is a range of cells.
type area struct{ c1, r1, c2, r2 int }

func (a area) overlaps(b area) bool {
	return a.c1 <= b.c2 && b.c1 <= a.c2 && a.r1 <= b.r2 && b.r1 <= a.r2
}

var rangeForm = regexp.MustCompile(`^\$?([A-Z]{1,3})\$?(\d+)(?::\$?([A-Z]{1,3})\$?(\d+))?$`)

func parseArea(s string) (area, bool) {
	m := rangeForm.FindStringSubmatch(s)
	if m == nil {
		return area{}, false
	}
	letters := func(s string) int {
		n := 0
		for _, r := range s {
			n = n*26 + int(r-'A') + 1
		}
		return n
	}
	r1, _ := strconv.Atoi(m[2])
	a := area{letters(m[1]), r1, letters(m[1]), r1}
	if m[3] != "" {
		a.c2 = letters(m[3])
		a.r2, _ = strconv.Atoi(m[4])
	}
	return a, a.c1 <= a.c2 && a.r1 <= a.r2 && a.c2 <= 16384 && a.r2 <= 1048576
}

// sheetOrder is the order that the parts of a worksheet have to come in (18.3.1.99).
var sheetOrder = strings.Fields("sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges " +
	"scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting dataValidations hyperlinks " +
	"printOptions pageMargins pageSetup headerFooter rowBreaks colBreaks customProperties cellWatches ignoredErrors smartTags drawing " +
	"legacyDrawing legacyDrawingHF picture oleObjects controls webPublishItems tableParts extLst")

func (l *linter) sheet(s lintSheet) {
	if s.root == nil {
		l.say("sheet %q has no part", s.name)
		return
	}
	at := 0
	for _, k := range s.root.kids {
		i := at
		for i < len(sheetOrder) && sheetOrder[i] != k.name {
			i++
		}
		if i == len(sheetOrder) {
			l.say("%s: %s out of order", s.name, k.name)
			continue
		}
		at = i
	}
	heads := l.rows(s)
	l.tables(s, heads)
	l.rules(s)
	l.links(s)
}

// rows checks rows and cells, and returns the texts of all text cells by place.
func (l *linter) rows(s lintSheet) map[[2]int]string {
	texts := map[[2]int]string{}
	lastRow, wide, level := 0, 0, 0
	for _, row := range s.root.all("sheetData", "row") {
		r := lastRow + 1
		if v, ok := row.attr["r"]; ok {
			r, _ = strconv.Atoi(v)
		}
		if r <= lastRow || r > 1048576 {
			l.say("%s: row %d out of order", s.name, r)
		}
		if h, err := strconv.ParseFloat(row.attr["ht"], 64); err == nil && (h < 0 || h > 409.5) {
			l.say("%s: row %d is %v high", s.name, r, h)
		}
		if n, _ := strconv.Atoi(row.attr["outlineLevel"]); n > level {
			level = n
		}
		lastRow = r
		lastColumn := 0
		for _, c := range row.all("c") {
			a, ok := parseArea(c.attr["r"])
			if !ok || a.r1 != r || a.c1 <= lastColumn {
				l.say("%s: cell %s out of order", s.name, c.attr["r"])
				continue
			}
			lastColumn = a.c1
			wide = max(wide, a.c1)
			l.cell(s, c, texts, a)
		}
	}
	if d, ok := parseArea(s.root.one("dimension").attrOr("ref")); !ok || d.c2 < wide || d.r2 < lastRow {
		l.say("%s: dimension %v is smaller than the data (%d columns, %d rows)", s.name, d, wide, lastRow)
	}
	told, _ := strconv.Atoi(s.root.one("sheetFormatPr").attrOr("outlineLevelRow"))
	if told != level {
		l.say("%s: says %d outline levels and has %d", s.name, told, level)
	}
	return texts
}

func (n *node) attrOr(name string) string {
	if n == nil {
		return ""
	}
	return n.attr[name]
}

func (l *linter) cell(s lintSheet, c *node, texts map[[2]int]string, a area) {
	name := s.name + "!" + c.attr["r"]
	if n, _ := strconv.Atoi(c.attr["s"]); n >= l.nxf {
		l.say("%s: style %d of %d", name, n, l.nxf)
	}
	v, f := c.one("v"), c.one("f")
	switch c.attr["t"] {
	case "s":
		n, err := strconv.Atoi(v.words())
		if err != nil || n >= len(l.shared) {
			l.say("%s: shared text %q of %d", name, v.words(), len(l.shared))
			return
		}
		texts[[2]int{a.c1, a.r1}] = l.shared[n]
	case "inlineStr":
		texts[[2]int{a.c1, a.r1}] = c.one("is").words()
		if f != nil {
			l.say("%s: a formula with inline text", name)
		}
		if v != nil {
			l.say("%s: inline text with a value", name)
		}
	case "str":
		if f == nil {
			l.say("%s: formula text without a formula", name)
		}
	case "b":
		if v.words() != "0" && v.words() != "1" {
			l.say("%s: truth %q", name, v.words())
		}
	case "", "n":
		if v != nil {
			if x, err := strconv.ParseFloat(v.words(), 64); err != nil || x != x || x > 1.7e308 || x < -1.7e308 {
				l.say("%s: number %q", name, v.words())
			}
		}
	case "e":
	default:
		l.say("%s: type %q", name, c.attr["t"])
	}
	if n := units(texts[[2]int{a.c1, a.r1}]); n > 32767 {
		l.say("%s: text of %d", name, n)
	}
	if f != nil {
		switch words := f.words(); {
		case words == "" && f.attr["t"] != "shared", strings.HasPrefix(words, "="), units(words) > 8192:
			l.say("%s: formula %.40q", name, words)
		case v == nil:
			l.say("%s: formula without a cached value", name)
		}
	}
}

func (l *linter) tables(s lintSheet, texts map[[2]int]string) {
	var boxes []area
	var owners []string
	keep := func(owner string, a area) {
		for i, b := range boxes {
			if a.overlaps(b) {
				l.say("%s: %s overlaps %s", s.name, owner, owners[i])
			}
		}
		boxes, owners = append(boxes, a), append(owners, owner)
	}
	for _, m := range s.root.all("mergeCells", "mergeCell") {
		if a, ok := parseArea(m.attr["ref"]); ok {
			keep("merge "+m.attr["ref"], a)
		} else {
			l.say("%s: merge %q", s.name, m.attr["ref"])
		}
	}
	if f := s.root.one("autoFilter"); f != nil {
		if a, ok := parseArea(f.attr["ref"]); ok {
			keep("filter", a)
		}
	}
	for _, p := range s.root.all("tableParts", "tablePart") {
		t := l.parts[l.targets[relsOf(s.part)+" "+p.attr["id"]]]
		if t == nil {
			l.say("%s: table part missing", s.name)
			continue
		}
		l.table(s, t, texts, keep)
	}
}

func (l *linter) table(s lintSheet, t *node, texts map[[2]int]string, keep func(string, area)) {
	name := t.attr["displayName"]
	if key := strings.ToLower(name) + "\x00"; l.names[key] {
		l.say("table name %s is taken", name)
	} else {
		l.names[key] = true
	}
	if !goodName.MatchString(name) || likeCell.MatchString(name) || units(name) > 255 {
		l.say("table name %q", name)
	}
	if l.ids[t.attr["id"]] {
		l.say("table id %s twice", t.attr["id"])
	}
	l.ids[t.attr["id"]] = true
	a, ok := parseArea(t.attr["ref"])
	if !ok {
		l.say("table %s: range %q", name, t.attr["ref"])
		return
	}
	keep("table "+name, a)
	if a.r2 <= a.r1 {
		l.say("table %s has no row", name)
	}
	columns := t.all("tableColumns", "tableColumn")
	if len(columns) != a.c2-a.c1+1 {
		l.say("table %s: %d columns on %s", name, len(columns), t.attr["ref"])
	}
	seen := map[string]bool{}
	for i, c := range columns {
		title := unescape(c.attr["name"])
		if seen[strings.ToLower(title)] || title == "" || units(title) > 255 {
			l.say("table %s: column %q", name, title)
		}
		seen[strings.ToLower(title)] = true
		if have, ok := texts[[2]int{a.c1 + i, a.r1}]; !ok || unescape(have) != title {
			l.say("table %s: heading %q over column %q", name, have, title)
		}
	}
}

func (l *linter) rules(s lintSheet) {
	for _, c := range s.root.all("conditionalFormatting") {
		for _, r := range strings.Fields(c.attr["sqref"]) {
			if _, ok := parseArea(r); !ok {
				l.say("%s: conditional format on %q", s.name, r)
			}
		}
		for _, r := range c.all("cfRule") {
			if n, err := strconv.Atoi(r.attr["dxfId"]); err == nil && n >= l.ndxf {
				l.say("%s: conditional style %d of %d", s.name, n, l.ndxf)
			}
			if n, _ := strconv.Atoi(r.attr["priority"]); n < 1 {
				l.say("%s: conditional format priority %s", s.name, r.attr["priority"])
			}
		}
	}
	for _, d := range s.root.all("dataValidations", "dataValidation") {
		list := d.one("formula1").words()
		if strings.HasPrefix(list, `"`) && units(list)-2 > 255 || strings.HasPrefix(list, "=") {
			l.say("%s: validation list %.40q", s.name, list)
		}
		if d.attr["type"] == "list" && d.attr["showErrorMessage"] != "1" && d.attr["showErrorMessage"] != "true" {
			l.say("%s: list on %s lets anything in", s.name, d.attr["sqref"])
		}
		for attr, most := range map[string]int{"promptTitle": 32, "errorTitle": 32, "prompt": 255, "error": 225} {
			if units(d.attr[attr]) > most {
				l.say("%s: validation %s too long", s.name, attr)
			}
		}
	}
	for _, band := range []string{"oddHeader", "oddFooter"} {
		if n := units(s.root.one("headerFooter", band).words()); n > 255 {
			l.say("%s: %s of %d", s.name, band, n)
		}
	}
}

func (l *linter) links(s lintSheet) {
	links := s.root.all("hyperlinks", "hyperlink")
	if len(links) > 65530 {
		l.say("%s: %d links", s.name, len(links))
	}
	at := map[string]bool{}
	for _, h := range links {
		if _, ok := parseArea(h.attr["ref"]); !ok || at[h.attr["ref"]] {
			l.say("%s: link at %q", s.name, h.attr["ref"])
		}
		at[h.attr["ref"]] = true
		sheet, cell, ok := strings.Cut(h.attr["location"], "!")
		if !ok {
			continue
		}
		sheet = strings.ReplaceAll(strings.Trim(sheet, "'"), "''", "'")
		found := false
		for _, o := range l.sheets {
			found = found || strings.EqualFold(o.name, sheet)
		}
		if _, good := parseArea(cell); !found || !good {
			l.say("%s: link at %s leads to %q", s.name, h.attr["ref"], h.attr["location"])
		}
	}
}
