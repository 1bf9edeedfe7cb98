package exchange

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// Haystack writes the plan as the JSON form of Project Haystack 4 (Hayson): one
// grid with the site, the machines, their points and the devices. Markers of
// our own, where Haystack has none, and the BACnet object of a point stand
// beside the markers of the standard library; the meta says which they are.
func Haystack(w io.Writer, lib *library.Library, plan *model.Plan) error {
	_, err := w.Write(gridOf(lib, plan).hayson())
	return err
}

// Zinc writes the same grid as Haystack in Zinc, the text form of tables.
func Zinc(w io.Writer, lib *library.Library, plan *model.Plan) error {
	_, err := io.WriteString(w, gridOf(lib, plan).zinc())
	return err
}

// grid is a table of dictionaries.
type grid struct {
	meta dict
	rows []dict
}

// dict are the tags of an entity.
type dict map[string]scalar

// scalar is a value of Haystack.
type scalar struct {
	kind scalarKind
	text string // of a string, ref, or of what has no other place here
	dis  string // of a ref
	n    float64
	unit string
	yes  bool
}

type scalarKind int

const (
	marker scalarKind = iota
	str
	ref
	number
	boolean
	other // read, of no use to us
)

func mark() scalar               { return scalar{kind: marker} }
func word(s string) scalar       { return scalar{kind: str, text: s} }
func to(id string) scalar        { return scalar{kind: ref, text: id} }
func count(n int) scalar         { return scalar{kind: number, n: float64(n)} }
func (d dict) has(k string) bool { v, ok := d[k]; return ok && v.kind == marker }

// gridOf makes the entities of a plan.
func gridOf(lib *library.Library, plan *model.Plan) *grid {
	g := &grid{meta: dict{"ver": word("3.0"), "dis": word(cmp.Or(plan.Project.Name, "plan"))}}
	b := &haystackRows{lib: lib, plan: plan, grid: g, home: map[string]string{}, kinds: map[string]string{}, custom: map[string]bool{}}
	g.rows = append(g.rows, dict{"id": to("site"), "dis": word(cmp.Or(plan.Project.Name, "site")), "site": mark()})
	for _, d := range plan.Network {
		for _, key := range d.Points {
			b.home[key] = d.ID
		}
	}
	for i := range plan.Equipment {
		e := &plan.Equipment[i]
		b.kinds[e.Tag] = e.Kind
		b.equip(e.Tag, e.Description)
	}
	for i := range plan.Points {
		if tag := plan.Points[i].Equipment; !b.known(tag) { // shared points stand at a system
			b.kinds[tag] = ""
			b.equip(tag, "")
		}
		b.point(&plan.Points[i])
	}
	for i := range plan.Network {
		b.device(&plan.Network[i])
	}
	if own := b.ownTags(); own != "" {
		g.meta["ownTags"] = word(own)
	}
	return g
}

type haystackRows struct {
	lib    *library.Library
	plan   *model.Plan
	grid   *grid
	home   map[string]string
	kinds  map[string]string
	custom map[string]bool
}

func (b *haystackRows) known(tag string) bool { _, ok := b.kinds[tag]; return ok }

func (b *haystackRows) ownTags() string {
	var own []string
	for m := range b.custom {
		own = append(own, m)
	}
	slices.Sort(own)
	return strings.Join(own, " ")
}

// own puts a tag that is not of the standard library.
func (b *haystackRows) own(d dict, name string, v scalar) {
	d[name] = v
	b.custom[name] = true
}

func (b *haystackRows) equip(tag, description string) {
	d := dict{"id": to(refID("equip", tag)), "dis": word(tag), "equip": mark(), "siteRef": to("site")}
	if t, ok := b.lib.Tags.Machine(b.kinds[tag]); ok {
		for _, m := range t.Haystack {
			d[m] = mark()
		}
	}
	if description != "" {
		d["doc"] = word(description)
	}
	b.grid.rows = append(b.grid.rows, d)
}

func (b *haystackRows) point(q *model.Point) {
	d := dict{"id": to(refID("point", q.Key)), "dis": word(cmp.Or(q.ObjectName, q.Key)), "point": mark(), "siteRef": to("site"), "equipRef": to(refID("equip", q.Equipment))}
	if t, ok := b.lib.Tags.Point(q.Role); ok {
		for _, m := range t.Haystack {
			d[m] = mark()
		}
		for _, m := range t.Custom {
			b.own(d, m, mark())
		}
	}
	if q.Description != "" {
		d["doc"] = word(q.Description)
	}
	b.own(d, "role", word(q.Role))
	typ, known := b.lib.Objects.Type(q.ObjectType)
	if known && commanded(typ, q) {
		d["writable"] = mark()
	}
	switch {
	case known && typ.Binary():
		d["kind"] = word("Bool")
	case known && typ.MultiState():
		d["kind"] = word("Str")
	case known && typ.Analog():
		d["kind"] = word("Number")
	}
	if len(q.States) > 0 {
		d["enum"] = word(strings.Join(q.States, ","))
	}
	if u := haystackUnit(b.lib, q.Units); u != "" {
		d["unit"] = word(u)
	}
	if q.Range != nil && !math.IsInf(q.Range.Hi-q.Range.Lo, 0) && !math.IsNaN(q.Range.Hi-q.Range.Lo) {
		d["minVal"], d["maxVal"] = scalar{kind: number, n: q.Range.Lo, unit: haystackUnit(b.lib, q.Units)}, scalar{kind: number, n: q.Range.Hi, unit: haystackUnit(b.lib, q.Units)}
	}
	if home := b.home[q.Key]; home != "" {
		d["deviceRef"] = to(refID("device", home))
	}
	if q.Instance != nil && known {
		b.own(d, "bacnetObject", word(fmt.Sprintf("%s,%d", q.ObjectType, *q.Instance)))
	}
	b.grid.rows = append(b.grid.rows, d)
}

func (b *haystackRows) device(n *model.BACnetDevice) {
	d := dict{"id": to(refID("device", n.ID)), "dis": word(n.Name), "device": mark(), "controller": mark(), "bacnet": mark(), "siteRef": to("site")}
	if n.Instance != nil {
		b.own(d, "bacnetInstance", count(*n.Instance))
	}
	b.grid.rows = append(b.grid.rows, d)
}

// haystackUnit is the symbol of a unit in Haystack's own list; "" where it has
// none, as for a number without unit.
func haystackUnit(lib *library.Library, name string) string {
	u, ok := lib.Units.Named(name)
	if !ok || u.Haystack == "" {
		return ""
	}
	return u.Haystack
}

// refID makes an id of letters, digits and - _ . that keeps apart whatever two
// names hold: other characters are written ~XX.
func refID(what, name string) string {
	var b strings.Builder
	b.WriteString(what + ".")
	for i := range len(name) {
		c := name[i]
		if c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '-' || c == '_' {
			b.WriteByte(c)
			continue
		}
		fmt.Fprintf(&b, "~%02X", c)
	}
	return b.String()
}

// columns lists the tags that rows have: id and dis, then by name.
func (g *grid) columns() []string {
	seen := map[string]bool{"id": true, "dis": true}
	var rest []string
	for _, r := range g.rows {
		for k := range r {
			if !seen[k] {
				seen[k] = true
				rest = append(rest, k)
			}
		}
	}
	slices.Sort(rest)
	return append([]string{"id", "dis"}, rest...)
}

// hayson writes a grid as JSON, {"_kind": "grid", "meta", "cols", "rows"}, one
// entity a line.
func (g *grid) hayson() []byte {
	var p printer
	p.raw("{\"_kind\": \"grid\",\n\"meta\": ")
	p.dict(g.meta, append([]string{"ver", "dis"}, others(g.meta, "ver", "dis")...))
	p.raw(",\n\"cols\": [")
	cols := g.columns()
	for i, c := range cols {
		if i > 0 {
			p.raw(", ")
		}
		p.raw("{\"name\": ")
		p.quote(c)
		p.raw("}")
	}
	p.raw("],\n\"rows\": [")
	for i, r := range g.rows {
		if i > 0 {
			p.raw(",")
		}
		p.raw("\n")
		p.dict(r, cols)
	}
	p.raw("\n]}\n")
	return p.out
}

// dict writes the tags of an entity in an order.
func (p *printer) dict(d dict, order []string) {
	p.raw("{")
	first := true
	for _, k := range order {
		v, has := d[k]
		if !has {
			continue
		}
		if !first {
			p.raw(", ")
		}
		first = false
		p.quote(k)
		p.raw(": ")
		p.hayson(v)
	}
	p.raw("}")
}

func (p *printer) hayson(v scalar) {
	switch {
	case v.kind == marker:
		p.raw(`{"_kind": "marker"}`)
	case v.kind == ref:
		p.raw(`{"_kind": "ref", "val": `)
		p.quote(v.text)
		p.raw("}")
	case v.kind == number && v.unit == "":
		p.out = strconv.AppendFloat(p.out, v.n, 'f', -1, 64)
	case v.kind == number:
		p.raw(`{"_kind": "number", "val": `)
		p.out = strconv.AppendFloat(p.out, v.n, 'f', -1, 64)
		p.raw(`, "unit": `)
		p.quote(v.unit)
		p.raw("}")
	default:
		p.quote(v.text)
	}
}

// others lists the tags of a dictionary besides some, by name.
func others(d dict, besides ...string) []string {
	var out []string
	for k := range d {
		if !slices.Contains(besides, k) {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// zinc writes a grid as a table: version and meta, columns, rows.
func (g *grid) zinc() string {
	var b strings.Builder
	b.WriteString(`ver:"3.0"`)
	for _, k := range others(g.meta, "ver") {
		b.WriteString(" " + k + ":" + g.meta[k].zinc())
	}
	cols := g.columns()
	b.WriteString("\n" + strings.Join(cols, ",") + "\n")
	for _, r := range g.rows {
		for i, c := range cols {
			if i > 0 {
				b.WriteByte(',')
			}
			if v, ok := r[c]; ok {
				b.WriteString(v.zinc())
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (v scalar) zinc() string {
	switch v.kind {
	case marker:
		return "M"
	case ref:
		if v.dis != "" {
			return "@" + v.text + " " + quoteZinc(v.dis)
		}
		return "@" + v.text
	case number:
		return strconv.FormatFloat(v.n, 'f', -1, 64) + v.unit
	case boolean:
		if v.yes {
			return "T"
		}
		return "F"
	}
	return quoteZinc(v.text)
}

func quoteZinc(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch r {
		case '"', '\\', '$':
			b.WriteByte('\\')
			b.WriteRune(r)
		case '\n':
			b.WriteString(`\n`)
		case '\r':
			b.WriteString(`\r`)
		case '\t':
			b.WriteString(`\t`)
		default:
			if r < 0x20 || r == 0x7f {
				fmt.Fprintf(&b, `\u%04x`, r)
				continue
			}
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
