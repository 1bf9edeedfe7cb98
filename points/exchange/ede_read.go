package exchange

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// ReadEDE reads a set that anybody wrote, whole or in part: the object file
// and, if it is there, the file of state texts; the others add nothing. What
// breaks the form but can be understood is read and told in a finding. An
// error says that no file of the set holds objects.
func ReadEDE(lib *library.Library, files []File) ([]model.ExistingPoint, []finding.Finding, error) {
	r := &edeReader{lib: lib, states: map[int][]string{}}
	var objects []File
	for _, f := range files {
		switch kind := edeKind(f); kind {
		case "states":
			if err := r.stateTexts(f); err != nil {
				return nil, nil, err
			}
		case "objects":
			objects = append(objects, f)
		}
	}
	if len(objects) == 0 {
		return nil, nil, fmt.Errorf("no file of %s holds objects: an EDE file has columns such as keyname, object-type, object-instance", fileNames(files))
	}
	var out []model.ExistingPoint
	for _, f := range objects {
		set, err := r.read(f)
		if err != nil {
			return nil, nil, err
		}
		out = append(out, r.existing(f.Name, set)...)
	}
	finding.Sort(r.findings)
	return out, r.findings, nil
}

// edeKind tells the files of a set apart by what they hold, not by their names.
func edeKind(f File) string {
	head := strings.ToLower(asText(f.Text[:min(len(f.Text), 4096)]))
	switch {
	case strings.Contains(head, "state text reference") && !strings.Contains(head, "keyname"):
		return "states"
	case strings.Contains(head, "encoding of bacnet"):
		return "codes"
	case strings.Contains(letters(head), "objecttype") && strings.Contains(letters(head), "objectinstance"):
		return "objects"
	}
	return ""
}

func fileNames(files []File) string {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return strings.Join(names, ", ")
}

// edeReader reads the files of a set and gathers what is odd in them.
type edeReader struct {
	lib      *library.Library
	states   map[int][]string
	findings []finding.Finding
}

func (r *edeReader) tell(file string, line int, format string, args ...any) {
	r.findings = append(r.findings, finding.Finding{Code: "existing-odd", Severity: finding.Caution, Where: &finding.Where{File: file, Line: line},
		Message: fmt.Sprintf(format, args...), Source: "Engineering Data Exchange, layout 2.3"})
}

func (r *edeReader) stateTexts(f File) error {
	rows, err := delimited(f.Text)
	if err != nil {
		return fmt.Errorf("%s: %w", f.Name, err)
	}
	for _, row := range rows {
		n, err := strconv.Atoi(row.cells[0])
		if err != nil {
			continue // a heading or a comment
		}
		texts := row.cells[1:]
		for len(texts) > 0 && texts[len(texts)-1] == "" {
			texts = texts[:len(texts)-1]
		}
		if r.states[n] != nil {
			r.tell(f.Name, row.line, "the state text reference %d stands twice; the first is taken", n)
			continue
		}
		r.states[n] = texts
	}
	return nil
}

// edeHeadings are the columns by their letters, in the spellings of layouts 2,
// 2.2 and 2.3 and of files met in practice.
var edeHeadings = map[string]int{
	"keyname": 0, "deviceobjinstance": 1, "deviceobjectinstance": 1, "deviceinstance": 1, "devobjinstance": 1, "objectname": 2, "objecttype": 3, "objectinstance": 4,
	"description": 5, "presentvaluedefault": 6, "minpresentvalue": 7, "maxpresentvalue": 8, "settable": 9, "commandable": 9,
	"supportscov": 10, "hilimit": 11, "highlimit": 11, "lowlimit": 12, "statetextreference": 13, "unitcode": 14, "unit": 14, "units": 14,
	"vendorspecificaddress": 15, "vendorspecificadress": 15, "notificationclass": 16,
}

// read reads an object file.
func (r *edeReader) read(f File) (*edeSet, error) {
	rows, err := delimited(f.Text)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, err)
	}
	set := &edeSet{}
	columns := make([]int, len(edeColumns)) // where each stands; by position until a heading says otherwise
	for i := range columns {
		columns[i] = i
	}
	heads := map[string]*string{"projectname": &set.project, "versionofreferencefile": &set.version, "timestampoflastchange": &set.date,
		"authoroflastchange": &set.author, "versionoflayout": &set.layout}
	for _, row := range rows {
		first := letters(row.cells[0])
		if value := heads[first]; value != nil && !strings.HasPrefix(row.cells[0], "#") {
			if len(row.cells) > 1 {
				*value = row.cells[1]
			}
			continue
		}
		if found := edeHeading(row.cells); found != nil {
			columns = found
			continue
		}
		if strings.HasPrefix(row.cells[0], "#") {
			continue
		}
		if o, ok := r.object(f.Name, row, columns); ok {
			set.objects = append(set.objects, o)
		}
	}
	for _, o := range set.objects {
		if o.states > 0 && r.states[o.states] == nil {
			r.tell(f.Name, o.line, "%s refers to state texts %d, which no file of the set holds", o.key, o.states)
		}
	}
	r.repeated(f.Name, set.objects)
	return set, nil
}

// edeHeading reads a row of column names; nil if it is none.
func edeHeading(cells []string) []int {
	columns := slices.Repeat([]int{-1}, len(edeColumns))
	known := 0
	for i, c := range cells {
		if at, ok := edeHeadings[letters(c)]; ok && columns[at] < 0 {
			columns[at] = i
			known++
		}
	}
	if known < edeMandatory {
		return nil
	}
	return columns
}

// object reads one row; false if it cannot be told what it is.
func (r *edeReader) object(file string, row textRow, columns []int) (edeObject, bool) {
	cell := func(column int) string {
		if i := columns[column]; i >= 0 && i < len(row.cells) {
			return row.cells[i]
		}
		return ""
	}
	number := func(column int) (int, bool) {
		text := cell(column)
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			r.tell(file, row.line, "%s: %q is no whole number from 0 up; the row is left out", edeColumns[column], text)
			return 0, false
		}
		return n, true
	}
	o := edeObject{key: cell(0), name: cell(2), description: cell(5), value: cell(6), low: cell(7), high: cell(8),
		settable: cell(9), cov: cell(10), hiLimit: cell(11), lowLimit: cell(12), address: cell(15), unit: -1, line: row.line}
	var ok bool
	if o.device, ok = number(1); !ok {
		return o, false
	}
	if o.kind, ok = r.kind(cell(3)); !ok {
		r.tell(file, row.line, "object-type: %q is neither a number nor the name of a type; the row is left out", cell(3))
		return o, false
	}
	if o.instance, ok = number(4); !ok {
		return o, false
	}
	if o.instance > library.LastInstance || o.device > library.LastInstance {
		r.tell(file, row.line, "an instance above %d cannot be", library.LastInstance)
	}
	if text := cell(14); text != "" {
		u, known := r.lib.Units.Written(text)
		switch n, err := strconv.Atoi(text); {
		case known:
			o.unit = u.Number
		case err == nil:
			o.unit = n // a vendor's own
		default:
			r.tell(file, row.line, "unit-code: %q is neither a number nor a unit that is known", text)
		}
	}
	if text := cell(13); text != "" {
		if n, err := strconv.Atoi(text); err == nil {
			o.states = n
		} else {
			o.states = r.inline(text)
		}
	}
	if n, err := strconv.Atoi(cell(16)); err == nil {
		o.class = &n
	}
	return o, true
}

// inline takes state texts that stand in the cell itself, and returns the row
// number they get: below nought, so that it meets none of the file's.
func (r *edeReader) inline(text string) int {
	texts := strings.FieldsFunc(text, func(c rune) bool { return c == '/' || c == '|' || c == ',' })
	for i := range texts {
		texts[i] = strings.TrimSpace(texts[i])
	}
	n := -1 - len(r.states)
	r.states[n] = texts
	return n
}

// kind reads an object type: a number, its name or its abbreviation.
func (r *edeReader) kind(text string) (int, bool) {
	if n, err := strconv.Atoi(text); err == nil {
		return n, n >= 0 && n < 1024
	}
	return typeNumber(r.lib, text)
}

// typeNumber reads the name of an object type in any spelling.
func typeNumber(lib *library.Library, text string) (int, bool) {
	want := letters(text)
	if want == "" {
		return 0, false
	}
	for _, t := range lib.Objects.Types() {
		if letters(t.ID) == want || letters(t.Abbreviation) == want {
			return t.Number, true
		}
	}
	return 0, false
}

// repeated tells of keys, names and identifiers that stand twice.
func (r *edeReader) repeated(file string, objects []edeObject) {
	type place struct {
		device int
		what   string
	}
	first := map[place]int{}
	for _, o := range objects {
		for _, p := range []place{{-1, "key " + o.key}, {o.device, "object name " + o.name}, {o.device, fmt.Sprintf("object %d,%d", o.kind, o.instance)}} {
			if strings.HasSuffix(p.what, " ") {
				continue
			}
			if line, twice := first[p]; twice {
				at := ""
				if p.device >= 0 {
					at = fmt.Sprintf(" in device %d", p.device)
				}
				r.tell(file, o.line, "the %s stands twice%s (first on line %d)", p.what, at, line)
				continue
			}
			first[p] = o.line
		}
	}
}

// existing turns rows into existing points; device rows give the device names.
func (r *edeReader) existing(file string, set *edeSet) []model.ExistingPoint {
	names := map[int]string{}
	for _, o := range set.objects {
		if o.kind == 8 {
			names[o.device] = o.name
		}
	}
	var out []model.ExistingPoint
	for _, o := range set.objects {
		if o.kind == 8 {
			continue
		}
		device, instance := o.device, o.instance
		p := model.ExistingPoint{Device: &device, DeviceName: names[o.device], ObjectType: typeName(r.lib, o.kind), Instance: &instance,
			ObjectName: o.name, Description: o.description, States: r.states[o.states], Address: o.address,
			Where: &model.Where{File: file, Line: o.line}}
		if o.unit >= 0 {
			u, _ := r.lib.Units.Numbered(o.unit)
			p.Units = cmp.Or(u.ID, fmt.Sprintf("proprietary-%d", o.unit))
		}
		if takes, stated := yes(o.settable); stated {
			p.Commandable = &takes
		}
		if equipment, _, isKey := model.Split(o.key); isKey {
			p.Equipment = equipment
		}
		out = append(out, p)
	}
	return out
}

// typeName is the standard's name of an object type, or proprietary-N.
func typeName(lib *library.Library, n int) string {
	if t, ok := lib.Objects.TypeNumber(n); ok {
		return t.ID
	}
	return fmt.Sprintf("proprietary-%d", n)
}

func yes(text string) (value, stated bool) {
	switch strings.ToLower(text) {
	case "y", "yes", "true", "1", "j", "ja":
		return true, true
	case "n", "no", "false", "0", "nein":
		return false, true
	}
	return false, false
}
