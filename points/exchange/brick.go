package exchange

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// brickHead are the prefixes of a model: Brick 1.4, its references, BACnet as
// ASHRAE publishes it, QUDT units.
const brickHead = `@prefix brick: <https://brickschema.org/schema/Brick#> .
@prefix ref: <https://brickschema.org/schema/Brick/ref#> .
@prefix bacnet: <http://data.ashrae.org/bacnet/> .
@prefix unit: <http://qudt.org/vocab/unit/> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
`

// PlaceholderAddress is what names of a model stand under where the project
// gives no address. Models of two buildings under it cannot be joined.
const PlaceholderAddress = "urn:example:site#"

// Brick writes the plan as a Brick 1.4 model in Turtle: the building, its
// machines, their points with the BACnet objects that carry them, and the
// devices. Names stand under settings.naming.address, or under a placeholder
// where it is empty. The object identifier is a plain string, as Brick's shape
// of a BACnet reference asks.
func Brick(w io.Writer, lib *library.Library, plan *model.Plan) error {
	base := cmp.Or(plan.Settings.Naming.Address, PlaceholderAddress)
	if !validBase(base) {
		return &Unfit{"Brick", []string{fmt.Sprintf("settings.naming.address: %q is no address that names can stand under; write one such as https://owner.example/site# that ends with # or /", base)}}
	}
	b := &brickText{lib: lib, home: map[string]int{}}
	b.WriteString(brickHead)
	fmt.Fprintf(b, "@prefix site: <%s> .\n", base)
	b.building(plan)
	x := indexOf(plan)
	for i := range plan.Network {
		for _, key := range plan.Network[i].Points {
			b.home[key] = i + 1
		}
	}
	of := map[string][]*model.Point{}
	for i := range plan.Points {
		of[plan.Points[i].Equipment] = append(of[plan.Points[i].Equipment], &plan.Points[i])
	}
	seen := map[string]bool{}
	for i := range plan.Equipment {
		e := &plan.Equipment[i]
		seen[e.Tag] = true
		b.machine(e, of[e.Tag])
	}
	for i := range plan.Points { // shared points stand at a system
		if q := &plan.Points[i]; !seen[q.Equipment] {
			seen[q.Equipment] = true
			b.system(q.Equipment, of[q.Equipment])
		}
	}
	for i := range plan.Points {
		b.point(x, plan, &plan.Points[i])
	}
	for i := range plan.Network {
		b.device(&plan.Network[i])
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func validBase(base string) bool {
	return strings.Contains(base, ":") && !strings.ContainsAny(base, "<>\"{}|^`\\ \t\r\n") && (strings.HasSuffix(base, "#") || strings.HasSuffix(base, "/"))
}

// brickText is a model on its way to text.
type brickText struct {
	strings.Builder
	lib  *library.Library
	home map[string]int // point → its device's index plus one
}

// facts writes a subject and what is said of it.
func (b *brickText) facts(subject string, facts ...string) {
	fmt.Fprintf(b, "\n%s %s .\n", subject, strings.Join(facts, " ;\n    "))
}

func (b *brickText) building(plan *model.Plan) {
	b.facts(named("building", ""), "a brick:Building", "rdfs:label "+literal(cmp.Or(plan.Project.Name, "building")))
}

func (b *brickText) machine(e *model.Equipment, points []*model.Point) {
	tag, known := b.lib.Tags.Machine(e.Kind)
	facts := []string{"a brick:" + cmp.Or(tag.Brick, "HVAC_Equipment"), "rdfs:label " + literal(e.Tag)}
	if !known {
		facts = append(facts, "rdfs:comment "+literal("its kind is not known"))
	} else if e.Description != "" {
		facts = append(facts, "rdfs:comment "+literal(e.Description))
	}
	facts = append(facts, "brick:hasLocation "+named("building", ""))
	b.facts(named("equipment", e.Tag), append(facts, hasPoints(points)...)...)
}

func (b *brickText) system(name string, points []*model.Point) {
	facts := []string{"a brick:HVAC_Equipment", "rdfs:label " + literal(name), "brick:hasLocation " + named("building", "")}
	b.facts(named("equipment", name), append(facts, hasPoints(points)...)...)
}

func hasPoints(points []*model.Point) []string {
	if len(points) == 0 {
		return nil
	}
	names := make([]string, len(points))
	for i, q := range points {
		names[i] = named("point", q.Key)
	}
	return []string{"brick:hasPoint " + strings.Join(names, ",\n        ")}
}

func (b *brickText) point(x index, plan *model.Plan, q *model.Point) {
	tag, known := b.lib.Tags.Point(q.Role)
	facts := []string{"a brick:" + cmp.Or(tag.Brick, "Point"), "rdfs:label " + literal(cmp.Or(q.ObjectName, q.Key))}
	switch {
	case !known:
		facts = append(facts, "rdfs:comment "+literal("role "+q.Role+", which Brick has no class for here"))
	case q.Description != "":
		facts = append(facts, "rdfs:comment "+literal(q.Description))
	}
	if u, ok := b.lib.Units.Named(q.Units); ok && u.QUDT != "" {
		facts = append(facts, "brick:hasUnit unit:"+u.QUDT)
	}
	if i := b.home[q.Key]; i > 0 && q.Instance != nil && q.ObjectType != "" {
		facts = append(facts, fmt.Sprintf("ref:hasExternalReference [\n        bacnet:object-identifier %s ;\n        bacnet:object-name %s ;\n        bacnet:objectOf %s ]",
			literal(fmt.Sprintf("%s,%d", q.ObjectType, *q.Instance)), literal(q.ObjectName), named("device", plan.Network[i-1].ID)))
	}
	b.facts(named("point", q.Key), facts...)
}

func (b *brickText) device(d *model.BACnetDevice) {
	facts := []string{"a bacnet:BACnetDevice", "rdfs:label " + literal(d.Name)}
	if d.Instance != nil {
		facts = append(facts, fmt.Sprintf("bacnet:device-instance %d", *d.Instance))
	}
	b.facts(named("device", d.ID), facts...)
}

// named is the address of a thing: site:point.EF-1%2Fstart. Tags keep apart
// whatever they hold, since every other character is written by its bytes.
func named(what, id string) string {
	var b strings.Builder
	b.WriteString("site:" + what)
	if id != "" {
		b.WriteByte('.')
	}
	for i := range len(id) {
		c := id[i]
		if c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '-' || c == '_' {
			b.WriteByte(c)
			continue
		}
		fmt.Fprintf(&b, "%%%02X", c)
	}
	return b.String()
}

// literal quotes a text for Turtle.
func literal(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch r {
		case '"', '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case '\n':
			b.WriteString(`\n`)
		case '\r':
			b.WriteString(`\r`)
		case '\t':
			b.WriteString(`\t`)
		default:
			if r < 0x20 || r == 0x7f {
				fmt.Fprintf(&b, `\u%04X`, r)
				continue
			}
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
