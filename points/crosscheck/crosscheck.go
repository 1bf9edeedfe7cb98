// Package crosscheck lays the equipment list beside the documents of the other
// trades and tells where they disagree, with both places, which side is likely
// right and what to ask.
package crosscheck

import (
	"cmp"
	"path"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Roles of documents.
const (
	Mechanical = "mechanical"
	Electrical = "electrical"
	Controls   = "controls" // a controls point list
	Fire       = "fire"     // a fire matrix
	Submittal  = "submittal"
	COBie      = "cobie"
	Dampers    = "dampers"  // a damper schedule
	Objects    = "objects"  // the objects that the controls of a machine offer to the network
	Trends     = "trends"   // which points are logged
	Graphics   = "graphics" // which pages the operator gets
)

// Document is another trade's list, read: machines by intake, points by
// ReadPoints, fire responses by ReadFireMatrix.
type Document struct {
	Input     model.Input
	Role      string
	Equipment []model.Equipment
	Points    []ListedPoint
	Counts    []ListedCounts
	Pages     []Page
	// Lines are texts of the document that belong to no machine.
	Lines []model.Text
}

// Name is the document as a sentence names it: by its name, or the file without its folder.
func (d *Document) Name() string {
	name := cmp.Or(d.Input.Name, path.Base(d.Input.File))
	if d.Role != "" && !strings.Contains(strings.ToLower(name), d.Role) {
		name += " (" + d.Role + ")"
	}
	return name
}

// Compare tells every disagreement between our machines with their points and
// the documents, and within our own list what the documents' readers would
// ask. Order: by document, then by tag, then by code.
func Compare(lib *library.Library, p *model.Project, ours []model.Equipment, points []model.Point, theirs []Document) []model.Difference {
	c := &comparison{keys: map[*model.Equipment]string{}, lib: lib, p: p, ours: inScope(ours), points: byEquipment(points), docs: theirs, wanted: phrases(lib, asksOf)}
	c.edges, c.byKey = map[string]bool{}, map[string]*model.Equipment{}
	for _, o := range c.ours {
		addEdges(c.edges, o)
		if c.byKey[c.key(o)] == nil {
			c.byKey[c.key(o)] = o
		}
	}
	for i := range theirs {
		c.pairUp(&theirs[i])
	}
	for i := range c.views {
		c.document(&c.views[i])
	}
	c.owners()
	c.within()
	slices.SortStableFunc(c.out, func(a, b model.Difference) int {
		return cmp.Or(cmp.Compare(c.order(a.Other), c.order(b.Other)), finding.CompareTags(a.Subject, b.Subject), cmp.Compare(a.Code, b.Code))
	})
	return c.out
}

// comparison is one run.
type comparison struct {
	lib    *library.Library
	p      *model.Project
	ours   []*model.Equipment
	points map[string][]*model.Point
	docs   []Document
	wanted []phrase // words that ask for a point
	keys   map[*model.Equipment]string
	edges  map[string]bool // our interlocks, either way round
	byKey  map[string]*model.Equipment
	views  []view
	out    []model.Difference
	told   map[string]bool
}

// view is one document with its machines joined to ours.
type view struct {
	doc   *Document
	pairs []pair
	of    map[*model.Equipment]pair // by our machine
	// What the document speaks of at all: where it is silent for every machine
	// it says nothing by its silence on one.
	interlocks, detectors, suppression bool
	edges                              map[string]bool           // its interlocks, either way round
	whole                              map[*model.Equipment]bool // rows for several of our machines at once, and those machines
	letters                            map[string]bool           // tag letters that it has
	mixed                              map[string]bool           // quantities told to be in other units
}

// pair is one machine on both sides. Score is 1 for equal tags.
type pair struct {
	ours, theirs *model.Equipment
	score        float64
}

func inScope(list []model.Equipment) []*model.Equipment {
	var out []*model.Equipment
	for i := range list {
		if list[i].OutOfScope == "" {
			out = append(out, &list[i])
		}
	}
	return out
}

func byEquipment(points []model.Point) map[string][]*model.Point {
	out := map[string][]*model.Point{}
	for i := range points {
		out[points[i].Equipment] = append(out[points[i].Equipment], &points[i])
	}
	return out
}

// order sorts by the document in which the other place stands; what has none
// comes last.
func (c *comparison) order(w *model.Where) int {
	if w != nil {
		for i := range c.docs {
			if c.docs[i].Input.File == w.File {
				return i
			}
		}
	}
	return len(c.docs)
}

// tell adds a difference, each once.
func (c *comparison) tell(d model.Difference) {
	key := strings.Join([]string{d.Code, d.Subject, d.Field, d.Ours, d.Theirs, whereText(d.Other)}, "|")
	if c.told == nil {
		c.told = map[string]bool{}
	}
	if c.told[key] {
		return
	}
	c.told[key] = true
	if d.Likely == "" && d.Ours != "" && d.Severity != finding.Note && c.revised(d.Where) {
		d.Likely = "the equipment list: " + d.Where.File + " revised it, the other document may be older"
	}
	c.out = append(c.out, d)
}

// revised: the place stands in an addendum to our list.
func (c *comparison) revised(w *model.Where) bool {
	return w != nil && slices.ContainsFunc(c.p.Inputs, func(in model.Input) bool { return in.File == w.File && in.Role == "addendum" })
}

// key is the tag's key, worked out once.
func (c *comparison) key(e *model.Equipment) string {
	k, ok := c.keys[e]
	if !ok {
		k = tagKey(e.Tag)
		c.keys[e] = k
	}
	return k
}

func whereText(w *model.Where) string {
	if w == nil {
		return ""
	}
	return w.String()
}

// document makes every comparison with one document.
func (c *comparison) document(v *view) {
	switch v.doc.Role {
	case Objects:
		c.objects(v)
		return
	case Trends:
		c.trends(v)
		return
	case Graphics:
		c.graphics(v)
		return
	}
	c.coverage(v)
	for _, p := range v.pairs {
		c.quantities(v, p)
		c.service(v, p)
		c.make(v, p)
		c.fire(v, p)
		c.interlock(v, p)
	}
	c.accessories(v)
	c.listed(v)
}

// cell returns where a machine's field stands: its own cell if it has one,
// else its row.
func cell(e *model.Equipment, fields ...string) *model.Where {
	for _, f := range fields {
		if t, ok := e.Fields[f]; ok && t.Where != nil && strings.TrimSpace(t.Text) != "" {
			return t.Where
		}
	}
	return e.Where
}

// stated reports whether the list itself says the value, rather than a default
// having filled it in; and where.
func stated(e *model.Equipment, about, value string) (*model.Where, bool) {
	for _, v := range e.Evidence {
		if v.About == about && v.Won && v.For == value && v.Words != "" && v.Weight >= 4 {
			return v.Where, true
		}
	}
	return nil, false
}
