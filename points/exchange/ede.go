package exchange

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/points/library"
)

// Engineering Data Exchange, layout 2.3: a set of four semicolon-separated
// text files by the BACnet Interest Group Europe. Written strictly, read
// leniently.

// edeSet is the content of a set.
type edeSet struct {
	project, version, date, author, layout string
	objects                                []edeObject
	states                                 [][]string // row number less one
	units                                  []int
	types                                  []int
}

// edeObject is a row of the object file. Empty cells are "" and nil.
type edeObject struct {
	key               string
	device            int
	name              string
	kind              int
	instance          int
	description       string
	value             string // present-value default
	low, high         string
	settable, cov     string // Y, N
	hiLimit, lowLimit string
	states            int // row of the state texts; 0 none
	unit              int // -1 none
	address           string
	class             *int
	line              int // where it was read
}

// edeColumns are the headings of layout 2.3; five are mandatory.
var edeColumns = []string{"keyname", "device obj.-instance", "object-name", "object-type", "object-instance", "description",
	"present-value-default", "min-present-value", "max-present-value", "settable", "supports COV", "hi-limit", "low-limit",
	"state-text-reference", "unit-code", "vendor-specific-address", "notification-class"}

const edeMandatory = 5

// EDE writes the objects of the plan's network devices as a set of files with
// one prefix: PREFIX_EDE.csv, PREFIX_StateTexts.csv, PREFIX_Units.csv and
// PREFIX_ObjTypes.csv. The error is Unfit where an object lacks what the form
// makes mandatory, or is not the only one of its kind.
func EDE(lib *library.Library, plan *model.Plan, prefix string) ([]File, error) {
	set, reasons := edeOf(lib, plan)
	reasons = append(reasons, set.broken(lib)...)
	if len(reasons) > 0 {
		return nil, &Unfit{"EDE", reasons}
	}
	return set.files(lib, prefix), nil
}

// edeOf makes the rows of a plan.
func edeOf(lib *library.Library, plan *model.Plan) (*edeSet, []string) {
	set := &edeSet{project: plan.Project.Name, version: cmp.Or(plan.Project.Issue, "1"), date: plan.Project.Date, author: plan.Project.Author, layout: "2.3"}
	x := indexOf(plan)
	support := map[string]*model.SupportObject{}
	for i := range plan.Support {
		support[plan.Support[i].ObjectName] = &plan.Support[i]
	}
	var reasons []string
	for _, d := range plan.Network {
		if len(d.Points) == 0 && d.Existing {
			continue // nothing of the plan is in it
		}
		if d.Instance == nil {
			reasons = append(reasons, d.ID+" has no device instance")
			continue
		}
		set.objects = append(set.objects, edeObject{key: d.ID, device: *d.Instance, name: d.Name, kind: 8, instance: *d.Instance,
			description: deviceText(d), settable: "N", cov: "N", unit: -1})
		for _, key := range d.Points {
			o, problem := set.object(lib, x, x.points[key], *d.Instance)
			if problem != "" {
				reasons = append(reasons, problem)
				continue
			}
			set.objects = append(set.objects, o)
		}
		for _, name := range d.Support {
			o, problem := serving(lib, d, support[name], name)
			if problem != "" {
				reasons = append(reasons, problem)
				continue
			}
			set.objects = append(set.objects, o)
		}
	}
	set.used()
	return set, reasons
}

func deviceText(d model.BACnetDevice) string {
	if d.Equipment != "" {
		return "Device of " + d.Equipment
	}
	if d.Panel != "" {
		return "Controller in " + d.Panel
	}
	return "Controller"
}

func (set *edeSet) object(lib *library.Library, x index, p *model.Point, device int) (edeObject, string) {
	if p == nil {
		return edeObject{}, "a device holds a point that is not in the plan"
	}
	t, known := lib.Objects.Type(p.ObjectType)
	if !known {
		return edeObject{}, fmt.Sprintf("%s: %q is no object type of the standard", p.Key, p.ObjectType)
	}
	if p.Instance == nil {
		return edeObject{}, p.Key + " has no object instance; the form wants one, so let the plan number them (settings.naming.instances)"
	}
	o := edeObject{key: p.Key, device: device, name: p.ObjectName, kind: t.Number, instance: *p.Instance, description: p.Description,
		settable: "N", unit: -1, address: p.Terminal}
	if p.Carried != model.Network && (!t.Analog() || p.COVIncrement != nil) { // what a machine's own device can do its maker says
		o.cov = "Y"
	}
	takes := commanded(t, p)
	if takes {
		o.settable, o.value = "Y", value(t, p, p.RelinquishDefault)
	}
	if t.Analog() {
		o.low, o.high = ends(p.Range)
		u, ok := lib.Units.Named(cmp.Or(p.Units, "no-units"))
		if !ok {
			return o, fmt.Sprintf("%s: %q is no unit of the standard", p.Key, p.Units)
		}
		o.unit = u.Number
		if !takes {
			o.hiLimit, o.lowLimit = x.limit(p.Key, "high-limit"), x.limit(p.Key, "low-limit")
		}
	}
	o.states = set.stateRow(p.States)
	if list := x.alarms[p.Key]; len(list) > 0 {
		class := list[0].Class
		o.class = &class
	}
	return o, ""
}

// serving makes the row of an object that serves points.
func serving(lib *library.Library, d model.BACnetDevice, o *model.SupportObject, name string) (edeObject, string) {
	if o == nil {
		return edeObject{}, fmt.Sprintf("%s holds %q, which is not in the plan", d.ID, name)
	}
	t, known := lib.Objects.Type(o.ObjectType)
	if !known {
		return edeObject{}, fmt.Sprintf("%s: %q is no object type of the standard", name, o.ObjectType)
	}
	if o.Instance == nil {
		return edeObject{}, name + " has no object instance; the form wants one, so let the plan number them (settings.naming.instances)"
	}
	return edeObject{key: d.ID + "/" + name, device: *d.Instance, name: name, kind: t.Number, instance: *o.Instance,
		description: o.Description, settable: "N", unit: -1}, ""
}

// stateRow returns the row that holds these texts, a new one if none does.
func (set *edeSet) stateRow(texts []string) int {
	if len(texts) == 0 {
		return 0
	}
	for i, s := range set.states {
		if slices.Equal(s, texts) {
			return i + 1
		}
	}
	set.states = append(set.states, texts)
	return len(set.states)
}

// used lists the units and object types of the rows by number.
func (set *edeSet) used() {
	for _, o := range set.objects {
		if o.unit >= 0 && !slices.Contains(set.units, o.unit) {
			set.units = append(set.units, o.unit)
		}
		if !slices.Contains(set.types, o.kind) {
			set.types = append(set.types, o.kind)
		}
	}
	slices.Sort(set.units)
	slices.Sort(set.types)
}

// broken holds the rows against what the form and the standard ask for:
// keys unique in the file; names, types with instances unique in a device;
// instances in range; names printable; states as many as the type has.
func (set *edeSet) broken(lib *library.Library) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	type place struct {
		device int
		what   string
	}
	keys, devices, names, identifiers := map[string]bool{}, map[int]string{}, map[place]string{}, map[place]string{}
	for _, o := range set.objects {
		if o.key == "" || keys[o.key] {
			say("the key %q stands twice or is empty", o.key)
		}
		keys[o.key] = true
		if o.device < 0 || o.device > library.LastInstance || o.instance < 0 || o.instance > library.LastInstance {
			say("%s: an instance lies outside 0 to %d", o.key, library.LastInstance)
		}
		if o.kind == 8 {
			if other, twice := devices[o.device]; twice {
				say("%s and %s are both device %d", other, o.key, o.device)
			}
			devices[o.device] = o.key
		}
		if !printable(o.name) {
			say("%s: the object name %q is empty or holds a semicolon or a character that cannot be printed", o.key, o.name)
		}
		if other, twice := names[place{o.device, o.name}]; twice {
			say("%s and %s have the one object name %q in device %d", other, o.key, o.name, o.device)
		}
		names[place{o.device, o.name}] = o.key
		id := place{o.device, fmt.Sprintf("%d,%d", o.kind, o.instance)}
		if other, twice := identifiers[id]; twice {
			say("%s and %s are the one object %s in device %d", other, o.key, id.what, o.device)
		}
		identifiers[id] = o.key
		t, known := lib.Objects.TypeNumber(o.kind)
		if known && t.Binary() && o.states > 0 && len(set.states[o.states-1]) != 2 {
			say("%s: a binary object has two states, not %d", o.key, len(set.states[o.states-1]))
		}
		if known && t.MultiState() && o.states == 0 {
			say("%s: a multi-state object needs its state texts", o.key)
		}
		if known && t.Binary() && o.unit >= 0 {
			say("%s: a binary object has no unit", o.key)
		}
	}
	for _, o := range set.objects {
		if devices[o.device] == "" {
			say("%s lies in device %d, which has no row", o.key, o.device)
		}
	}
	return out
}

func printable(s string) bool {
	return strings.TrimSpace(s) != "" && !strings.ContainsFunc(s, func(r rune) bool { return r == ';' || r == unicode.ReplacementChar || !unicode.IsPrint(r) })
}

// files writes the set.
func (set *edeSet) files(lib *library.Library, prefix string) []File {
	var objects sheet
	objects.line("# Engineering-Data-Exchange - B.I.G.-EU")
	for _, h := range [][2]string{{"PROJECT_NAME", set.project}, {"VERSION_OF_REFERENCEFILE", set.version}, {"TIMESTAMP_OF_LAST_CHANGE", set.date},
		{"AUTHOR_OF_LAST_CHANGE", set.author}, {"VERSION_OF_LAYOUT", set.layout}} {
		objects.line(h[0], words(h[1]))
	}
	duty := make([]string, len(edeColumns))
	for i := range duty {
		duty[i] = "optional"
		if i < edeMandatory {
			duty[i] = "mandatory"
		}
	}
	duty[0] = "#" + duty[0]
	objects.line(duty...)
	objects.line(append([]string{"# " + edeColumns[0]}, edeColumns[1:]...)...)
	for _, o := range set.objects {
		objects.line(words(o.key), strconv.Itoa(o.device), o.name, strconv.Itoa(o.kind), strconv.Itoa(o.instance), words(o.description),
			o.value, o.low, o.high, o.settable, o.cov, o.hiLimit, o.lowLimit, row(o.states), code(o.unit), words(o.address), whole(o.class))
	}
	var states sheet
	states.line("#State Text Reference")
	heading := []string{"#Reference Number", "Text 1 or Inactive-Text", "Text 2 or Active-Text"}
	for _, s := range set.states {
		for len(heading) <= len(s) {
			heading = append(heading, fmt.Sprintf("Text %d", len(heading)))
		}
	}
	states.line(heading...)
	for i, s := range set.states {
		cells := []string{strconv.Itoa(i + 1)}
		for _, text := range s {
			cells = append(cells, words(text))
		}
		states.line(cells...)
	}
	var units sheet
	units.line("#Encoding of BACnet Engineering Units")
	units.line("#Code", "Unit Text")
	for _, n := range set.units {
		u, _ := lib.Units.Numbered(n) // taken from there
		units.line(strconv.Itoa(n), u.ID)
	}
	var types sheet
	types.line("#Encoding of BACnet Object Types")
	types.line("#Code", "Object Type")
	for _, n := range set.types {
		t, _ := lib.Objects.TypeNumber(n)
		types.line(strconv.Itoa(n), t.ID)
	}
	return []File{{prefix + "_EDE.csv", objects.Bytes()}, {prefix + "_StateTexts.csv", states.Bytes()}, {prefix + "_Units.csv", units.Bytes()}, {prefix + "_ObjTypes.csv", types.Bytes()}}
}

// sheet is a semicolon-separated text. The form knows no quotes, so that a
// semicolon in a text becomes a comma and a line end a blank.
type sheet struct{ bytes.Buffer }

func (s *sheet) line(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			s.WriteByte(';')
		}
		s.WriteString(oneLine.Replace(c))
	}
	s.WriteString("\r\n")
}

var oneLine = strings.NewReplacer(";", ",", "\r\n", " ", "\n", " ", "\r", " ", "\t", " ")

func row(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func code(n int) string {
	if n < 0 {
		return ""
	}
	return strconv.Itoa(n)
}
