package exchange

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// ReadBrick reads the points of a Brick model in Turtle, of any release: what
// hangs on equipment by hasPoint or isPointOf, and what has the class of a
// point by itself. BACnet references are followed.
func ReadBrick(lib *library.Library, file string, data []byte) ([]model.ExistingPoint, error) {
	triples, err := parseTurtle(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	g := graphOf(triples)
	var out []model.ExistingPoint
	for _, s := range g.order {
		class := g.brickClass(s)
		if class == "" || !g.isPoint(lib, s, class) {
			continue
		}
		p := model.ExistingPoint{Class: class, ObjectName: g.title(s), Description: g.text(s, "comment"), Where: &model.Where{File: file, Line: g.line[s]}}
		if e := g.owner[s]; e != (term{}) {
			p.Equipment, p.Machine = g.title(e), g.brickClass(e)
		}
		if unit, ok := g.one(s, "hasUnit"); ok {
			p.Units = unitOfQUDT(lib, localName(unit.value))
		}
		g.reference(lib, s, &p)
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no point of a class of Brick", file)
	}
	return out, nil
}

// graph finds statements by subject and predicate.
type graph struct {
	by    map[term][]triple
	order []term // subjects in the order of their first type statement
	line  map[term]int
	owner map[term]term // point → what it hangs on
}

func graphOf(list []triple) *graph {
	g := &graph{by: map[term][]triple{}, line: map[term]int{}, owner: map[term]term{}}
	for _, t := range list {
		g.by[t.subject] = append(g.by[t.subject], t)
		switch localName(t.predicate.value) {
		case "type":
			if g.line[t.subject] == 0 {
				g.line[t.subject] = t.line
				g.order = append(g.order, t.subject)
			}
		case "hasPoint":
			g.owner[t.object] = t.subject
		case "isPointOf":
			g.owner[t.subject] = t.object
		}
	}
	return g
}

// localName is what stands behind the last # or / of an address.
func localName(iri string) string {
	if i := strings.LastIndexAny(iri, "#/"); i >= 0 {
		return iri[i+1:]
	}
	return iri
}

// brickClass is the class of Brick of a subject; "" if it has none.
func (g *graph) brickClass(s term) string {
	for _, t := range g.by[s] {
		if t.predicate.value == rdf+"type" && strings.Contains(t.object.value, "brickschema.org/schema/") && strings.Contains(t.object.value, "Brick#") {
			return localName(t.object.value)
		}
	}
	return ""
}

// pointEndings are how classes of points end, for those that are not held here.
var pointEndings = []string{"_Sensor", "_Command", "_Status", "_Setpoint", "_Alarm", "_Limit", "_Parameter"}

func (g *graph) isPoint(lib *library.Library, s term, class string) bool {
	if _, hangs := g.owner[s]; hangs {
		return true
	}
	for c, steps := class, 0; steps < 12; steps++ {
		known, ok := lib.Tags.Class(c)
		if !ok {
			break
		}
		if c == "Point" {
			return true
		}
		c = known.Parent
	}
	return slices.ContainsFunc(pointEndings, func(e string) bool { return strings.HasSuffix(class, e) })
}

// one returns the first object of a predicate by its local name.
func (g *graph) one(s term, predicate string) (term, bool) {
	for _, t := range g.by[s] {
		if localName(t.predicate.value) == predicate {
			return t.object, true
		}
	}
	return term{}, false
}

func (g *graph) text(s term, predicate string) string {
	if o, ok := g.one(s, predicate); ok && o.kind == text {
		return o.value
	}
	return ""
}

// title is the label of a subject, or else its local name.
func (g *graph) title(s term) string {
	if label := g.text(s, "label"); label != "" {
		return label
	}
	name := localName(s.value)
	if plain, err := url.PathUnescape(name); err == nil {
		name = plain
	}
	return name
}

// reference reads the BACnet object of a point: a reference with identifier,
// name and device, or an address of the form
// bacnet://DEVICE/TYPE,INSTANCE/PROPERTY.
func (g *graph) reference(lib *library.Library, s term, p *model.ExistingPoint) {
	for _, t := range g.by[s] {
		if localName(t.predicate.value) != "hasExternalReference" {
			continue
		}
		r := t.object
		if id := g.text(r, "object-identifier"); id != "" {
			p.ObjectType, p.Instance = identifier(lib, id)
		}
		if name := g.text(r, "object-name"); name != "" {
			p.ObjectName = name
		}
		if uri := g.text(r, "BACnetURI"); uri != "" {
			steps := strings.Split(strings.TrimPrefix(uri, "bacnet://"), "/")
			if n, err := strconv.Atoi(steps[0]); err == nil {
				p.Device = &n
			}
			if len(steps) > 1 {
				p.ObjectType, p.Instance = identifier(lib, steps[1])
			}
		}
		if device, ok := g.one(r, "objectOf"); ok {
			p.DeviceName = g.title(device)
			if n, err := strconv.Atoi(g.text(device, "device-instance")); err == nil {
				p.Device = &n
			}
		}
	}
}

// identifier reads an object identifier: binary-output,1 or BO:1 or 4,1 in
// any punctuation.
func identifier(lib *library.Library, s string) (objectType string, instance *int) {
	s = strings.Trim(strings.TrimSpace(s), "()[]{}\"'")
	i := strings.LastIndexAny(s, ",:; #.")
	if i < 0 { // BO1, analog-input3
		i = len(strings.TrimRight(s, "0123456789")) - 1
		if i < 0 || i == len(s)-1 {
			return "", nil
		}
		i++
		s = s[:i] + "," + s[i:]
	}
	kind := strings.TrimSpace(s[:i])
	n, err := strconv.Atoi(strings.TrimSpace(s[i+1:]))
	if err != nil || n < 0 {
		return "", nil
	}
	if number, err := strconv.Atoi(kind); err == nil && number >= 0 {
		return typeName(lib, number), &n
	}
	if number, ok := typeNumber(lib, strings.TrimSuffix(kind, "-")); ok {
		return typeName(lib, number), &n
	}
	return "", &n
}

func unitOfQUDT(lib *library.Library, name string) string {
	for _, u := range lib.Units.All() {
		if u.QUDT == name && name != "" {
			return u.ID
		}
	}
	return ""
}
