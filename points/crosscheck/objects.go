package crosscheck

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// wantedObject is a value that the BAS reads or writes over the network, by
// our plan or by another document.
type wantedObject struct {
	role    string
	units   string
	initial string
	writes  bool
	by      string // who wants it
	where   *model.Where
}

// objects compares what is to be read and written over the network with the
// objects that the controls of a machine offer: present, writable, in the same
// units, with the same default.
func (c *comparison) objects(v *view) {
	if len(v.doc.Points) == 0 || len(v.pairs) == 0 {
		c.nothing(v)
		return
	}
	by := v.doc.pointsByTag()
	for _, p := range v.pairs {
		offered := by[c.key(p.theirs)]
		if len(offered) == 0 {
			continue
		}
		for _, w := range c.wantedObjects(v, p.ours) {
			c.object(v, p, offered, w)
		}
	}
}

// wantedObjects are the network points of a machine: ours, and those that a
// points list carries over the network.
func (c *comparison) wantedObjects(v *view, o *model.Equipment) []wantedObject {
	var out []wantedObject
	seen := map[string]bool{}
	for _, p := range c.points[o.Tag] {
		if p.Carried == model.Network && !seen[p.Role] {
			seen[p.Role] = true
			out = append(out, wantedObject{p.Role, p.Units, p.RelinquishDefault, writesObject(p.ObjectType, p.RelinquishDefault), "the point schedule", o.Where})
		}
	}
	for i := range c.docs {
		d := &c.docs[i]
		if d == v.doc || d.Role != Controls {
			continue
		}
		for j := range d.Points {
			p := &d.Points[j]
			if p.Class != model.Network || p.Role == "" || tagKey(p.Tag) != c.key(o) || seen[p.Role] {
				continue
			}
			seen[p.Role] = true
			role, _ := c.lib.Role(p.Role)
			out = append(out, wantedObject{p.Role, p.Units, p.Default, writesObject(role.Object, role.RelinquishDefault) || p.Writable != nil && *p.Writable, d.Name(), p.Where})
		}
	}
	return out
}

// writesObject: outputs are written, and values that fall back to something
// when nobody writes them.
func writesObject(object, fallback string) bool {
	return strings.HasSuffix(object, "-output") || strings.HasSuffix(object, "-value") && fallback != ""
}

// object holds one wanted value against the objects on offer.
func (c *comparison) object(v *view, p pair, offered []*ListedPoint, w wantedObject) {
	i := slices.IndexFunc(offered, func(t *ListedPoint) bool { return t.Role == w.role })
	if i < 0 {
		i = slices.IndexFunc(offered, func(t *ListedPoint) bool { return t.Role != "" && roleGroup(t.Role) == roleGroup(w.role) })
	}
	subject := p.ours.Tag + "/" + w.role
	if i < 0 {
		c.tell(model.Difference{Code: "object-missing", Severity: finding.Caution, Subject: subject, Field: "object", Ours: w.role, Where: w.where, Other: p.theirs.Where,
			Message: fmt.Sprintf("%s takes the %s of %s over the network, and %s offers no such object", w.by, plain(w.role), p.ours.Tag, v.doc.Name()),
			Ask:     fmt.Sprintf("Which object of %s gives its %s, or is it to be wired?", p.ours.Tag, plain(w.role))})
		return
	}
	t := offered[i]
	if w.writes && t.Writable != nil && !*t.Writable {
		c.tell(model.Difference{Code: "object-read-only", Severity: finding.Fault, Subject: subject, Field: "access", Ours: "written", Theirs: "read only", Where: w.where, Other: t.Where,
			Message: fmt.Sprintf("%s writes the %s of %s, and %s has %q as read only: the command never arrives", w.by, plain(w.role), p.ours.Tag, v.doc.Name(), t.Name),
			Ask:     fmt.Sprintf("Can the %s of %s be written over the network (%q is listed as read only), or is it to be wired?", plain(w.role), p.ours.Tag, t.Name)})
	}
	if ours, ok := c.lib.Units.Written(w.units); ok && w.units != "" && t.Units != "" {
		if theirs, known := c.lib.Units.Written(t.Units); known && theirs.ID != ours.ID {
			c.tell(model.Difference{Code: "object-units-differ", Severity: finding.Caution, Subject: subject, Field: "units", Ours: plain(ours.ID), Theirs: plain(theirs.ID), Where: w.where, Other: t.Where,
				Message: fmt.Sprintf("the %s of %s is in %s here and in %s in %s: read as it stands it is wrong by the ratio", plain(w.role), p.ours.Tag, plain(ours.ID), plain(theirs.ID), v.doc.Name()),
				Ask:     fmt.Sprintf("In which unit does %s send its %s: %s or %s?", p.ours.Tag, plain(w.role), plain(ours.ID), plain(theirs.ID))})
		}
	}
	if w.initial != "" && t.Default != "" && w.writes && !sameDefault(w.initial, t.Default) {
		c.tell(model.Difference{Code: "object-default-differs", Severity: finding.Note, Subject: subject, Field: "relinquish default", Ours: w.initial, Theirs: t.Default, Where: w.where, Other: t.Where,
			Message: fmt.Sprintf("the %s of %s falls back to %s here and to %s in %s when nobody commands it", plain(w.role), p.ours.Tag, w.initial, t.Default, v.doc.Name())})
	}
}

// sameDefault: off, 0, inactive are one default of a binary value.
func sameDefault(a, b string) bool {
	even := func(s string) string {
		switch w := words(s); w {
		case "inactive", "off", "0", "false", "no", "stop", "stopped", "disabled", "closed":
			return "inactive"
		case "active", "on", "1", "true", "yes", "start", "run", "enabled", "open":
			return "active"
		default:
			return w
		}
	}
	return even(a) == even(b)
}

// writable reads a column of access: R/W, read only, commandable; nil not said.
func writable(text string) *bool {
	yes, no := true, false
	switch words(text) {
	case "rw", "r w", "w", "write", "read write", "writable", "writeable", "commandable", "yes", "y", "x", "c", "rwc", "command":
		return &yes
	case "r", "ro", "r o", "read", "read only", "readonly", "no", "n", "monitor":
		return &no
	}
	return nil
}

// nothing tells a document that holds nothing to compare.
func (c *comparison) nothing(v *view) {
	c.tell(model.Difference{Code: "nothing-to-compare", Severity: finding.Caution, Subject: v.doc.Input.File, Other: &model.Where{File: v.doc.Input.File},
		Message: fmt.Sprintf("%s holds nothing that could be compared with the equipment list", v.doc.Name()),
		Ask:     "Is this the document that was meant? Say what it is with --role."})
}
