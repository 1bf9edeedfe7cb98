package crosscheck

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// fire compares what happens to the machine in a fire.
func (c *comparison) fire(v *view, p pair) {
	a, b := p.ours.FireResponse, p.theirs.FireResponse
	if v.doc.Role == Fire && b == "" {
		c.tell(model.Difference{Code: "fire-response-unstated", Severity: finding.Caution, Subject: p.ours.Tag, Field: "fire response", Ours: a, Where: cell(p.ours, "fire"), Other: cell(p.theirs, "fire", "tag"),
			Message: fmt.Sprintf("%s has a row in %s that says neither stop nor run nor continue nor none", p.ours.Tag, v.doc.Name()),
			Ask:     fmt.Sprintf("What does the fire system do with %s: stop it, run it, leave it running, or nothing?", p.ours.Tag)})
	}
	if a != "" && b != "" && a != b {
		likely := ""
		k, known := c.lib.Kind(p.ours.Kind)
		switch {
		case known && k.LifeSafety && a == "run":
			likely = "the equipment list: a " + k.Name + " is life safety and stays outside the common stop"
		case known && k.LifeSafety && b == "run":
			likely = v.doc.Name() + ": a " + k.Name + " is life safety and stays outside the common stop"
		case p.ours.Scheme == "kitchen-exhaust" && b == "stop":
			likely = "the equipment list: hood exhaust keeps running when its suppression has discharged (common practice; check the code in force)"
		}
		c.differs(v, p, "fire-response-differs", finding.Fault, "fire response", a, b, likely, "fire", "remarks")
	}
	if v.doc.Role == Fire {
		c.detector(v, p)
		c.hood(v, p)
	}
}

// detectorAirflow is the airflow above which a supply or return fan commonly
// needs a duct smoke detector: 2000 cfm, NFPA 90A and the IMC; check the edition.
const detectorAirflow = 2000

// detector asks for the duct detector of a large supply or return fan when the
// fire document lists detectors and has none for it.
func (c *comparison) detector(v *view, p pair) {
	q := p.ours.Ratings.Airflow
	k, known := c.lib.Kind(p.ours.Kind)
	recirculates := known && !k.LifeSafety && (k.Moves == "supply" || k.Moves == "return") && p.ours.Scheme != "make-up-air"
	if !v.detectors || q == nil || !recirculates || namesDetector(p.theirs) {
		return
	}
	if cfm, ok := q.In("cfm"); ok && cfm.Lo > detectorAirflow {
		c.tell(model.Difference{Code: "duct-detector-missing", Severity: finding.Caution, Subject: p.ours.Tag, Field: "duct smoke detector", Ours: quantityText(q), Where: firstWhere(q.Where, p.ours.Where), Other: p.theirs.Where,
			Message: fmt.Sprintf("%s moves %s, more than %d cfm, and %s lists detectors but none for it", p.ours.Tag, quantityText(q), detectorAirflow, v.doc.Name()),
			Ask:     fmt.Sprintf("Does %s need a duct smoke detector, and who furnishes, mounts and wires it, with how many contacts?", p.ours.Tag)})
	}
}

func namesDetector(e *model.Equipment) bool {
	for name, t := range e.Fields {
		if strings.Contains(strings.ToLower(name+" "+t.Text), "detector") && t.Text != "" && !negative(t.Text) {
			return true
		}
	}
	return false
}

func negative(s string) bool {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "-", "--", "no", "n", "none", "n/a", "na", "not required":
		return true
	}
	return false
}

// hood asks for the suppression contact of a kitchen fan whose fire row names
// none.
func (c *comparison) hood(v *view, p pair) {
	if p.ours.Scheme != "kitchen-exhaust" && p.ours.Scheme != "make-up-air" {
		return
	}
	if !v.suppression || namesSuppression(p.theirs) || p.ours.Scheme == "make-up-air" && !c.servesHood(p.ours) {
		return
	}
	c.tell(model.Difference{Code: "hood-contact-missing", Severity: finding.Fault, Subject: p.ours.Tag, Field: "suppression", Where: p.ours.Where, Other: p.theirs.Where,
		Message: fmt.Sprintf("%s says what the hood suppression does to others and not to %s", v.doc.Name(), p.ours.Tag),
		Ask:     fmt.Sprintf("Which contact of the hood suppression acts on %s, and what does it do?", p.ours.Tag)})
}

func namesSuppression(e *model.Equipment) bool {
	for name, t := range e.Fields {
		if text := strings.ToLower(name + " " + t.Text); strings.Contains(text, "suppression") && !negative(t.Text) {
			return true
		}
	}
	return false
}

// servesHood: a make-up air unit that is interlocked with a kitchen fan.
func (c *comparison) servesHood(e *model.Equipment) bool {
	for _, o := range c.ours {
		if o.Scheme != "kitchen-exhaust" {
			continue
		}
		for _, edge := range [][2]*model.Equipment{{o, e}, {e, o}} {
			for _, tag := range edge[0].Interlocks {
				if tagKey(tag) == tagKey(edge[1].Tag) {
					return true
				}
			}
		}
	}
	return false
}

// interlock compares which machines are said to be interlocked, either way
// round, if the document names interlocks at all.
func (c *comparison) interlock(v *view, p pair) {
	if !v.interlocks {
		return
	}
	for _, tag := range p.ours.Interlocks {
		if o := c.ourTag(tag); o != nil && !v.edges[edge(p.ours.Tag, tag)] && v.has(o) {
			c.oneSided(v, p, tag, "the equipment list", v.doc.Name(), true)
		}
	}
	for _, tag := range p.theirs.Interlocks {
		if !c.edges[edge(p.ours.Tag, tag)] {
			c.oneSided(v, p, tag, v.doc.Name(), "the equipment list", false)
		}
	}
}

func (c *comparison) oneSided(v *view, p pair, tag, says, silent string, here bool) {
	d := model.Difference{Code: "interlock-one-sided", Severity: finding.Caution, Subject: p.ours.Tag, Field: "interlock", Where: cell(p.ours, "interlock", "remarks", "notes"), Other: cell(p.theirs, "interlock", "remarks", "notes"),
		Message: fmt.Sprintf("%s is interlocked with %s by %s; %s does not say so", p.ours.Tag, tag, says, silent),
		Ask:     fmt.Sprintf("Is %s interlocked with %s? By wire or by program, and who provides it?", p.ours.Tag, tag)}
	if here {
		d.Ours = tag
	} else {
		d.Theirs = tag
	}
	c.tell(d)
}

func edge(a, b string) string {
	x, y := tagKey(a), tagKey(b)
	if x > y {
		x, y = y, x
	}
	return x + "|" + y
}

func addEdges(edges map[string]bool, e *model.Equipment) {
	for _, tag := range e.Interlocks {
		edges[edge(e.Tag, tag)] = true
	}
}

func (c *comparison) ourTag(tag string) *model.Equipment { return c.byKey[tagKey(tag)] }

// has: our machine stands in the document.
func (v *view) has(o *model.Equipment) bool {
	_, ok := v.of[o]
	return ok
}
