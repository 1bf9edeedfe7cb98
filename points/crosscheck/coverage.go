package crosscheck

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// coverage tells machines that stand on one side only, and tags that stand
// twice in the document.
func (c *comparison) coverage(v *view) {
	if !slices.ContainsFunc(v.doc.Equipment, func(e model.Equipment) bool { return e.OutOfScope == "" }) {
		c.tell(model.Difference{Code: "nothing-to-compare", Severity: finding.Caution, Subject: v.doc.Input.File, Other: &model.Where{File: v.doc.Input.File},
			Message: fmt.Sprintf("%s holds no machine that could be compared, read as %s", v.doc.Name(), cmp.Or(v.doc.Role, "no known kind of document")),
			Ask:     "Is this the document that was meant? Say what it is with --role."})
		return
	}
	ours, theirs := map[*model.Equipment]bool{}, map[*model.Equipment]bool{}
	for _, p := range v.pairs {
		ours[p.ours], theirs[p.theirs] = true, true
	}
	for _, o := range c.ours {
		if ours[o] || v.whole[o] || !c.expected(v, o) {
			continue
		}
		d := model.Difference{Code: "only-here", Severity: finding.Fault, Subject: o.Tag, Field: "tag", Ours: o.Tag, Where: cell(o, "tag"), Other: &model.Where{File: v.doc.Input.File},
			Message: fmt.Sprintf("%s stands on the equipment list and not in %s", o.Tag, v.doc.Name()),
			Ask:     fmt.Sprintf("%s is scheduled and missing from %s: is it to be added there, or was it deleted?", o.Tag, v.doc.Name())}
		if n := c.others(v, o.Tag); n != "" {
			d.Likely = "the equipment list: " + n + " has it too"
		}
		if v.doc.Role == Fire {
			d.Code, d.Ask = "fire-row-missing", fmt.Sprintf("What does the fire system do with %s: stop it, run it, leave it running, or nothing?", o.Tag)
			d.Message = fmt.Sprintf("%s has no row in %s, so nobody says what it does in a fire", o.Tag, v.doc.Name())
		}
		c.tell(d)
	}
	seen := map[string]*model.Equipment{}
	for i := range v.doc.Equipment {
		t := &v.doc.Equipment[i]
		if c.panelRow(v, t) || t.OutOfScope != "" || v.whole[t] {
			continue
		}
		key := c.key(t)
		if own := ownTag(t.Tag); own != t.Tag {
			key = tagKey(own)
		}
		if first := seen[key]; first != nil {
			c.twice(v, first, t)
			continue
		}
		seen[key] = t
		if theirs[t] || c.accessoryOf(t.Tag) != nil {
			continue
		}
		d := model.Difference{Code: "only-there", Severity: finding.Fault, Subject: t.Tag, Field: "tag", Theirs: t.Tag, Other: cell(t, "tag"),
			Message: fmt.Sprintf("%s stands in %s and not on the equipment list", t.Tag, v.doc.Name()),
			Ask:     fmt.Sprintf("%s stands in %s and is not scheduled: which document holds?", t.Tag, v.doc.Name())}
		if n := c.others(v, t.Tag); n != "" {
			d.Likely = v.doc.Name() + ": " + n + " has it too"
		}
		c.tell(d)
	}
}

// ownTag is a tag without the mark that intake gives to a second row of the
// same tag: EF-1 of "EF-1 (2)".
func ownTag(tag string) string {
	if i := strings.LastIndex(tag, " ("); i > 0 && strings.HasSuffix(tag, ")") && strings.Trim(tag[i+2:len(tag)-1], "0123456789") == "" {
		return tag[:i]
	}
	return tag
}

// twice tells a tag that a document has twice.
func (c *comparison) twice(v *view, first, t *model.Equipment) {
	code, what := "twice-there", "stands twice"
	if v.doc.Role == Fire {
		code, what = "fire-row-twice", "has two rows, and must have one,"
	}
	c.tell(model.Difference{Code: code, Severity: finding.Caution, Subject: first.Tag, Field: "tag", Theirs: first.Tag, Where: first.Where, Other: t.Where,
		Message: fmt.Sprintf("%s %s in %s (%s and %s)", first.Tag, what, v.doc.Name(), whereText(first.Where), whereText(t.Where)),
		Ask:     fmt.Sprintf("%s %s in %s: which row holds?", first.Tag, what, v.doc.Name())})
}

// expected: a document must have our machine unless it is of a kind of list
// that leaves such machines out.
func (c *comparison) expected(v *view, o *model.Equipment) bool {
	if o.Control == "none" && v.doc.Role == Controls {
		return false
	}
	switch v.doc.Role {
	case Dampers:
		return o.Damper.Kind == "motorised"
	case Submittal:
		return c.covers(v, o)
	case Controls:
		return c.hardwired(o.Tag) > 0
	}
	return true
}

// covers: a submittal is expected to have a machine if it has any of the same
// letters, for submittals come by maker.
func (c *comparison) covers(v *view, o *model.Equipment) bool {
	if v.letters == nil {
		v.letters = map[string]bool{}
		for _, p := range v.pairs {
			v.letters[prefix(p.ours.Tag)] = true
		}
	}
	return v.letters[prefix(o.Tag)]
}

func prefix(tag string) string {
	p, _, _ := strings.Cut(tagKey(tag), "-")
	return p
}

func (c *comparison) hardwired(tag string) int {
	n := 0
	for _, p := range c.points[tag] {
		if p.Carried == model.Hardwired {
			n++
		}
	}
	return n
}

// others names the other documents that have a tag.
func (c *comparison) others(v *view, tag string) string {
	var names []string
	key := tagKey(tag)
	for i := range c.docs {
		d := &c.docs[i]
		if d == v.doc {
			continue
		}
		for j := range d.Equipment {
			if c.key(&d.Equipment[j]) == key {
				names = append(names, d.Name())
				break
			}
		}
	}
	return strings.Join(names, ", ")
}

// accessoryWords are what stands behind a tag where a row is about a part of
// the machine: EF-1 DAMPER.
var accessoryWords = []string{"DAMPER", "DMPR", "ACTUATOR", "ACT", "BOX", "CONTROLLER", "CONTROL", "VFD", "DRIVE", "STARTER", "DISCONNECT", "FIB", "MD"}

// accessoryOf returns our machine that a tag of another document is a part of.
func (c *comparison) accessoryOf(tag string) *model.Equipment {
	key := tagKey(tag)
	for _, w := range accessoryWords {
		if rest, ok := strings.CutSuffix(key, "-"+w); ok && c.byKey[rest] != nil {
			return c.byKey[rest]
		}
	}
	return nil
}

// accessories compares the branch of a machine's parts with its own: what a
// fan on emergency power needs to run must be on it too.
func (c *comparison) accessories(v *view) {
	for i := range v.doc.Equipment {
		t := &v.doc.Equipment[i]
		o := c.accessoryOf(t.Tag)
		if o == nil || !normalPower(t) {
			continue
		}
		on, where := c.emergencyOf(o)
		if !on {
			continue
		}
		c.tell(model.Difference{Code: "emergency-parts", Severity: finding.Fault, Subject: o.Tag, Field: "emergency power", Ours: "emergency", Theirs: t.Tag + " normal", Where: where, Other: cell(t, "emergency"),
			Message: fmt.Sprintf("%s is on emergency power and %s, without which it does not run, is not", o.Tag, t.Tag),
			Ask:     fmt.Sprintf("%s is on the emergency branch; is %s to be fed from the same branch?", o.Tag, t.Tag)})
	}
}

// panelRow: the row is a panel of ours. A panel on normal power that controls
// machines on emergency power is told.
func (c *comparison) panelRow(v *view, t *model.Equipment) bool {
	for i := range c.p.Panels {
		pn := &c.p.Panels[i]
		if tagKey(pn.ID) != c.key(t) {
			continue
		}
		if normalPower(t) {
			for _, o := range c.ours {
				if on, w := c.emergencyOf(o); on && (o.Panel == pn.ID || slices.Contains(pn.Serves, o.Tag)) {
					c.tell(model.Difference{Code: "emergency-panel", Severity: finding.Fault, Subject: o.Tag, Field: "emergency power", Ours: o.Tag + " emergency", Theirs: pn.ID + " normal", Where: w, Other: cell(t, "emergency"),
						Message: fmt.Sprintf("%s is on emergency power and its panel %s is not by %s; without the controller the fan does not run on its own", o.Tag, pn.ID, v.doc.Name()),
						Ask:     fmt.Sprintf("Is %s to be fed from the emergency branch, as %s is?", pn.ID, o.Tag)})
				}
			}
		}
		return true
	}
	return false
}

// normalPower: the row says that it is not on the emergency branch. A row that
// is no fan is read no further than its cells.
func normalPower(t *model.Equipment) bool {
	if t.Emergency != nil {
		return !*t.Emergency
	}
	switch words(t.Fields["emergency"].Text) {
	case "no", "n", "normal", "none":
		return true
	}
	return false
}

// emergencyOf: any document says that the machine is on the emergency branch.
func (c *comparison) emergencyOf(o *model.Equipment) (bool, *model.Where) {
	if o.Emergency != nil && *o.Emergency {
		return true, cell(o, "emergency")
	}
	for i := range c.views {
		if p, ok := c.views[i].of[o]; ok && p.theirs.Emergency != nil && *p.theirs.Emergency {
			return true, cell(p.theirs, "emergency")
		}
	}
	return false, nil
}
