package crosscheck

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// alike roles: what a list calls one may be the other.
var sameRole = map[string]string{"unit-status": "status", "run": "status", "enable": "start", "unit-alarm": "drive-fault", "trouble": "drive-fault", "plenum-pressure": "duct-pressure", "exhaust-temperature": "discharge-temperature"}

// baseRole is a role without the number of its sensor: gas-co of gas-co-1.
func baseRole(role string) string {
	if i := strings.LastIndexByte(role, '-'); i > 0 && i+1 < len(role) && strings.Trim(role[i+1:], "0123456789") == "" {
		return role[:i]
	}
	return role
}

func roleGroup(role string) string {
	role = baseRole(role)
	if g, ok := sameRole[role]; ok {
		return g
	}
	return role
}

// listed makes every comparison with a controls point list.
func (c *comparison) listed(v *view) {
	if len(v.doc.Points) == 0 && len(v.doc.Counts) == 0 {
		return
	}
	c.listedOnce(v)
	by := v.doc.pointsByTag()
	counted := map[string][]*ListedCounts{}
	for i := range v.doc.Counts {
		n := &v.doc.Counts[i]
		counted[tagKey(n.Tag)] = append(counted[tagKey(n.Tag)], n)
	}
	for _, p := range v.pairs {
		theirs := by[c.key(p.theirs)]
		if len(theirs) > 0 {
			c.missing(v, p, theirs)
			c.surplus(v, p, theirs)
			c.kinds(v, p, theirs)
			c.integration(v, p, theirs)
		}
		c.counts(v, p, counted[c.key(p.theirs)])
	}
	c.asked(v, by)
	c.trendColumn(v)
}

// pointsByTag are the listed points of each machine, by the key of its tag.
func (d *Document) pointsByTag() map[string][]*ListedPoint {
	by := map[string][]*ListedPoint{}
	for i := range d.Points {
		p := &d.Points[i]
		by[tagKey(p.Tag)] = append(by[tagKey(p.Tag)], p)
	}
	return by
}

// missing tells hardwired points of ours that the list lacks.
func (c *comparison) missing(v *view, p pair, theirs []*ListedPoint) {
	for _, ours := range c.points[p.ours.Tag] {
		if ours.Carried != model.Hardwired || ours.Need == "optional" {
			continue
		}
		group := roleGroup(ours.Role)
		if slices.ContainsFunc(theirs, func(t *ListedPoint) bool { return roleGroup(t.Role) == group }) {
			continue
		}
		severity := finding.Fault
		if ours.Need == "by-application" {
			severity = finding.Note
		}
		code := "point-not-listed"
		switch ours.Role {
		case model.RoleSpeed:
			code = "speed-not-listed"
		case "fire-stop", "smoke", "suppression":
			code = "fire-point-not-listed"
		}
		c.tell(model.Difference{Code: code, Severity: severity, Subject: ours.Key, Field: "point", Ours: ours.Role, Where: p.ours.Where, Other: p.theirs.Where,
			Message: fmt.Sprintf("%s is needed (%s) and %s does not list it", ours.Key, strings.TrimSuffix(ours.Why, "."), v.doc.Name()),
			Ask:     fmt.Sprintf("The points list shows no %s for %s: is it to be added?", plain(ours.Role), p.ours.Tag)})
	}
}

// surplus tells points of the list that nothing asks for, and names that mean
// nothing.
func (c *comparison) surplus(v *view, p pair, theirs []*ListedPoint) {
	for _, t := range theirs {
		if t.Class == model.Software || t.Class == model.Network {
			continue
		}
		if t.Role == "" {
			c.tell(model.Difference{Code: "point-name-unknown", Severity: finding.Note, Subject: p.ours.Tag, Field: "point", Theirs: t.Name, Where: p.ours.Where, Other: t.Where,
				Message: fmt.Sprintf("%s lists %q for %s; what it does cannot be told from its name", v.doc.Name(), t.Name, p.ours.Tag)})
			continue
		}
		group := roleGroup(t.Role)
		if slices.ContainsFunc(c.points[p.ours.Tag], func(o *model.Point) bool { return roleGroup(o.Role) == group }) {
			continue
		}
		d := model.Difference{Code: "point-not-asked", Severity: finding.Note, Subject: p.ours.Tag + "/" + t.Role, Field: "point", Theirs: t.Name, Where: p.ours.Where, Other: t.Where,
			Message: fmt.Sprintf("%s lists %q for %s, and nothing on the equipment list asks for it", v.doc.Name(), t.Name, p.ours.Tag)}
		if t.Role == model.RoleSpeed {
			d.Code, d.Severity = "speed-not-scheduled", finding.Fault
			d.Message = fmt.Sprintf("%s lists a speed point for %s, and the equipment list has it at one speed", v.doc.Name(), p.ours.Tag)
			d.Ask = fmt.Sprintf("Is %s constant or variable speed? The schedule says one, the points list the other.", p.ours.Tag)
		}
		c.tell(d)
	}
}

// kinds compares object types and ranges of points on both sides, and tells
// a role that the list carries twice.
func (c *comparison) kinds(v *view, p pair, theirs []*ListedPoint) {
	for _, t := range theirs {
		for _, o := range c.points[p.ours.Tag] {
			if baseRole(o.Role) != baseRole(t.Role) || o.Carried != model.Hardwired {
				continue
			}
			if t.Type != "" && t.Class == model.Hardwired && t.Type != o.ObjectType {
				c.tell(model.Difference{Code: "point-type-differs", Severity: finding.Fault, Subject: o.Key, Field: "object type", Ours: o.ObjectType, Theirs: t.Type, Where: p.ours.Where, Other: t.Where,
					Message: fmt.Sprintf("%s is a %s here and a %s in %s", o.Key, plain(o.ObjectType), plain(t.Type), v.doc.Name()),
					Ask:     fmt.Sprintf("%s of %s: %s or %s?", upper(plain(o.Role)), p.ours.Tag, plain(o.ObjectType), plain(t.Type))})
			}
			if o.Range != nil && t.Range != nil && *o.Range != *t.Range && o.ObjectType == model.AnalogInput {
				severity, why := finding.Caution, "the scale of the input must be that of the sensor"
				if strings.HasPrefix(o.Role, "gas-") {
					severity, why = finding.Fault, "a wrong scale reads a wrong gas level"
				}
				c.tell(model.Difference{Code: "range-differs", Severity: severity, Subject: o.Key, Field: "range", Ours: o.Range.String(), Theirs: t.Range.String(), Where: p.ours.Where, Other: t.Where,
					Message: fmt.Sprintf("%s is %s here and %s in %s; %s", o.Key, o.Range, t.Range, v.doc.Name(), why),
					Ask:     fmt.Sprintf("Which range has the sensor of %s: %s or %s?", o.Key, o.Range, t.Range)})
			}
		}
	}
	for i, t := range theirs {
		for _, u := range theirs[i+1:] {
			if t.Role == "" || t.Role != u.Role || strings.HasPrefix(t.Role, "gas-") {
				continue
			}
			code, how := "point-twice", "twice"
			if t.Class != u.Class && (t.Class == model.Network || u.Class == model.Network) {
				code, how = "hard-and-network", "by wire and over the network"
			}
			if code == "point-twice" && (t.Class != u.Class || words(t.Name) != words(u.Name)) {
				continue // Plenum Pressure 1 and 2 are two points
			}
			c.tell(model.Difference{Code: code, Severity: finding.Caution, Subject: p.ours.Tag + "/" + t.Role, Field: "point", Ours: t.Name, Theirs: u.Name, Where: t.Where, Other: u.Where,
				Message: fmt.Sprintf("%s carries the %s of %s %s (%q and %q)", v.doc.Name(), plain(t.Role), p.ours.Tag, how, t.Name, u.Name),
				Ask:     fmt.Sprintf("Which of the two is the source of truth for the %s of %s?", plain(t.Role), p.ours.Tag)})
		}
	}
}

// integration asks for the network points of a unit with factory controls
// that the list carries by wire only, if the list carries network points at all.
func (c *comparison) integration(v *view, p pair, theirs []*ListedPoint) {
	network := func(list []*ListedPoint) bool {
		return slices.ContainsFunc(list, func(t *ListedPoint) bool { return t.Class == model.Network })
	}
	ours := slices.ContainsFunc(c.points[p.ours.Tag], func(o *model.Point) bool { return o.Carried == model.Network })
	if p.ours.Control != "packaged" || !ours || network(theirs) {
		return
	}
	if !slices.ContainsFunc(v.doc.Points, func(t ListedPoint) bool { return t.Class == model.Network }) {
		return
	}
	c.tell(model.Difference{Code: "integration-missing", Severity: finding.Caution, Subject: p.ours.Tag, Field: "network points", Ours: "network points", Where: p.ours.Where, Other: p.theirs.Where,
		Message: fmt.Sprintf("%s has factory controls with network points here; %s lists none for it", p.ours.Tag, v.doc.Name()),
		Ask:     fmt.Sprintf("Which protocol option is ordered with %s, which objects are mapped, and who owns each point?", p.ours.Tag)})
}

var countTypes = []struct{ name, object string }{{"AI", model.AnalogInput}, {"AO", model.AnalogOutput}, {"BI", model.BinaryInput}, {"BO", model.BinaryOutput}}

// counts compares the number of hardwired points by type that the list states
// with ours.
func (c *comparison) counts(v *view, p pair, list []*ListedCounts) {
	for _, stated := range list {
		for _, t := range countTypes {
			n, ok := stated.Counts[t.name]
			if !ok {
				continue
			}
			ours := 0
			for _, o := range c.points[p.ours.Tag] {
				if o.Carried == model.Hardwired && o.ObjectType == t.object && o.Need != "optional" {
					ours++
				}
			}
			if n != ours {
				c.tell(model.Difference{Code: "count-differs", Severity: finding.Caution, Subject: p.ours.Tag, Field: t.name, Ours: fmt.Sprint(ours), Theirs: fmt.Sprint(n), Where: p.ours.Where, Other: stated.Where,
					Message: fmt.Sprintf("%s has %d %s here and %d in %s", p.ours.Tag, ours, t.name, n, v.doc.Name()),
					Ask:     fmt.Sprintf("%s: %d or %d %s? Which point is missing or too many?", p.ours.Tag, ours, n, t.name)})
			}
		}
	}
}

// listedOnce tells object names and instances that the list has twice.
func (c *comparison) listedOnce(v *view) {
	names, numbers := map[string]*ListedPoint{}, map[string]*ListedPoint{}
	for i := range v.doc.Points {
		t := &v.doc.Points[i]
		if t.Object != "" {
			key := strings.ToLower(t.Object)
			if first := names[key]; first != nil {
				c.tell(model.Difference{Code: "object-name-twice", Severity: finding.Caution, Subject: t.Tag, Field: "object name", Ours: t.Object, Theirs: t.Object, Where: first.Where, Other: t.Where,
					Message: fmt.Sprintf("the object name %s stands twice in %s (%s and %s); names are unique within a device", t.Object, v.doc.Name(), first.Tag, t.Tag),
					Ask:     fmt.Sprintf("Which point keeps the object name %s, that of %s or that of %s?", t.Object, first.Tag, t.Tag)})
			} else {
				names[key] = t
			}
		}
		if t.Instance != "" && t.Type != "" {
			key := t.Type + " " + t.Instance
			if first := numbers[key]; first != nil && first.Tag != "" {
				c.tell(model.Difference{Code: "instance-twice", Severity: finding.Caution, Subject: t.Tag, Field: "instance", Ours: first.Instance, Theirs: t.Instance, Where: first.Where, Other: t.Where,
					Message: fmt.Sprintf("%s %s stands twice in %s (%s %s and %s %s)", plain(t.Type), t.Instance, v.doc.Name(), first.Tag, first.Name, t.Tag, t.Name),
					Ask:     fmt.Sprintf("Which point keeps %s %s, %s of %s or %s of %s?", plain(t.Type), t.Instance, first.Name, first.Tag, t.Name, t.Tag)})
			} else {
				numbers[key] = t
			}
		}
	}
}

// asked tells remarks that ask for a point which the list lacks.
func (c *comparison) asked(v *view, by map[string][]*ListedPoint) {
	for _, p := range v.pairs {
		theirs := by[c.key(p.theirs)]
		if len(theirs) == 0 {
			continue
		}
		for _, a := range c.asks(p.ours) {
			if slices.ContainsFunc(theirs, func(t *ListedPoint) bool { return roleGroup(t.Role) == roleGroup(a.role) }) {
				continue
			}
			c.tell(model.Difference{Code: "asked-not-listed", Severity: finding.Fault, Subject: p.ours.Tag + "/" + a.role, Field: "point", Ours: a.text, Where: firstWhere(a.where, p.ours.Where), Other: p.theirs.Where,
				Message: fmt.Sprintf("the words %q ask for the %s of %s, and %s does not list it", a.text, plain(a.role), p.ours.Tag, v.doc.Name()),
				Ask:     fmt.Sprintf("The remark on %s asks for its %s and the points list has none: is it to be added?", p.ours.Tag, plain(a.role))})
		}
	}
}

// ask is a phrase of the list that asks for a point.
type ask struct {
	role, text string
	where      *model.Where
}

// asks finds the points that the words of a row ask for.
func (c *comparison) asks(e *model.Equipment) []ask {
	type said struct {
		text  string
		where *model.Where
	}
	var texts []said
	for _, name := range []string{"remarks", "notes", "control", "interlock", "status_device"} {
		if t, ok := e.Fields[name]; ok {
			texts = append(texts, said{t.Text, t.Where})
		}
	}
	for _, n := range e.Notes {
		texts = append(texts, said{n.Text, n.Where})
	}
	var out []ask
	for _, t := range texts {
		text := " " + words(t.text) + " "
		for _, p := range c.wanted {
			if !strings.Contains(text, p.text) || strings.Contains(text, " no"+p.text) || strings.Contains(text, " not"+p.text) {
				continue
			}
			if !slices.ContainsFunc(out, func(a ask) bool { return a.role == p.role }) {
				out = append(out, ask{p.role, strings.TrimSpace(t.text), t.where})
			}
		}
	}
	return out
}
