package crosscheck

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// make compares what the machine is made of: motor, drive, control, damper,
// place.
func (c *comparison) make(v *view, p pair) {
	a, b := p.ours, p.theirs
	c.motor(v, p)
	if a.Ratings.Drive != "" && b.Ratings.Drive != "" && a.Ratings.Drive != b.Ratings.Drive {
		c.differs(v, p, "drive-differs", finding.Caution, "belt or direct drive", a.Ratings.Drive, b.Ratings.Drive, "", "drive")
	}
	c.control(v, p)
	c.damper(v, p)
	if a.Bid != b.Bid && (a.Bid == model.Existing) != (b.Bid == model.Existing) && b.Bid != "" {
		if _, ok := stated(b, "bid", b.Bid); ok || a.Bid == model.Existing {
			c.differs(v, p, "existing-differs", finding.Caution, "new or existing", a.Bid, b.Bid, "", "bid", "tag")
		}
	}
	if sayPlace(a.Location) && sayPlace(b.Location) && !samePlace(a.Location, b.Location) {
		c.differs(v, p, "location-differs", finding.Caution, "location", a.Location, b.Location, "", "location")
	}
}

// motor compares motor types that both sides state; a type that only follows
// from the phases is compared there.
func (c *comparison) motor(v *view, p pair) {
	a, b := p.ours.Ratings.MotorType, p.theirs.Ratings.MotorType
	_, saysA := stated(p.ours, "motor_type", a)
	_, saysB := stated(p.theirs, "motor_type", b)
	if a != "" && b != "" && a != b && (saysA && saysB || (a == "ec" && saysA || b == "ec" && saysB) && saysWords(p.ours) && saysWords(p.theirs)) {
		c.differs(v, p, "motor-type-differs", finding.Fault, "motor type", motorName(a), motorName(b), "", "motor_type", "remarks", "type")
	}
	ec, drive := "", ""
	var ecAt, driveAt *model.Where
	for _, side := range []struct {
		e    *model.Equipment
		name string
	}{{p.ours, "the equipment list"}, {p.theirs, v.doc.Name()}} {
		if w, ok := stated(side.e, "motor_type", "ec"); ok && side.e.Ratings.MotorType == "ec" {
			ec, ecAt = side.name, w
		}
		if w, ok := controlStated(side.e); ok && strings.HasPrefix(side.e.Control, "variable-frequency-drive") {
			drive, driveAt = side.name, w
		}
	}
	if ec != "" && drive != "" && ec != drive {
		d := model.Difference{Code: "drive-on-ec-motor", Severity: finding.Fault, Subject: p.ours.Tag, Field: "control", Ours: "EC motor", Theirs: "variable-frequency drive", Where: ecAt, Other: driveAt,
			Message: fmt.Sprintf("%s has an EC motor by %s and a variable-frequency drive by %s; an EC motor carries its own electronics and takes no drive", p.ours.Tag, ec, drive),
			Ask:     fmt.Sprintf("Please confirm the EC motor of %s with its control input, and delete the drive.", p.ours.Tag)}
		if drive == "the equipment list" {
			d.Ours, d.Theirs = d.Theirs, d.Ours
			d.Where, d.Other = d.Other, d.Where
		}
		c.tell(d)
	}
}

// saysWords: the list has a column or a remark about motors at all.
func saysWords(e *model.Equipment) bool {
	t, ok := e.Fields["motor_type"]
	return ok && strings.TrimSpace(t.Text) != ""
}

func motorName(m string) string {
	if m == "ec" {
		return "EC"
	}
	return m
}

func controlStated(e *model.Equipment) (*model.Where, bool) { return stated(e, "control", e.Control) }

// control compares what stands between the automation system and the motor,
// where both sides state it.
func (c *comparison) control(v *view, p pair) {
	a, b := p.ours, p.theirs
	if a.Control == "" || b.Control == "" || a.Control == b.Control {
		return
	}
	wa, okA := controlStated(a)
	wb, okB := controlStated(b)
	if !okA || !okB {
		return
	}
	code, severity := "control-differs", finding.Fault
	if strings.HasPrefix(a.Control, "variable-frequency-drive") && strings.HasPrefix(b.Control, "variable-frequency-drive") {
		code, severity = "bypass-differs", finding.Caution
	}
	likely := ""
	if a.Ratings.MotorType == "ec" && strings.HasPrefix(b.Control, "variable") {
		likely = "the equipment list: an EC motor takes no drive"
	}
	name := "control"
	if likely == "" {
		likely = c.thirdWord(v, p, name, plain(a.Control), plain(b.Control))
	}
	c.tell(model.Difference{Code: code, Severity: severity, Subject: a.Tag, Field: name, Ours: plain(a.Control), Theirs: plain(b.Control), Where: firstWhere(wa, a.Where), Other: firstWhere(wb, b.Where), Likely: likely,
		Message: fmt.Sprintf("%s: control is %s here and %s in %s", a.Tag, plain(a.Control), plain(b.Control), v.doc.Name()),
		Ask:     fmt.Sprintf("%s is controlled through %s on the equipment list and %s in %s: which holds, and who furnishes it?", a.Tag, plain(a.Control), plain(b.Control), v.doc.Name())})
}

func plain(id string) string { return strings.ReplaceAll(id, "-", " ") }

// damper compares kind, volts, end switch and fail position.
func (c *comparison) damper(v *view, p pair) {
	a, b := &p.ours.Damper, &p.theirs.Damper
	_, saysA := stated(p.ours, "damper", a.Kind)
	_, saysB := stated(p.theirs, "damper", b.Kind)
	if a.Kind != "" && b.Kind != "" && a.Kind != b.Kind && saysA && saysB {
		c.differs(v, p, "damper-differs", finding.Fault, "damper", a.Kind, b.Kind, c.likelyDamper(p), "damper", "remarks")
		return
	}
	if a.Volts != nil && b.Volts != nil && !a.Volts.Overlaps(*b.Volts) && (systemOf(a.Volts.Mid()) != systemOf(b.Volts.Mid()) || systemOf(a.Volts.Mid()) < 0) {
		c.differs(v, p, "damper-voltage-differs", finding.Fault, "damper voltage", a.Volts.String()+" V", b.Volts.String()+" V", "", "damper_voltage", "damper", "remarks")
	}
	if a.EndSwitch != nil && b.EndSwitch != nil && *a.EndSwitch != *b.EndSwitch {
		c.differs(v, p, "end-switch-differs", finding.Caution, "damper end switch", yes(*a.EndSwitch), yes(*b.EndSwitch), "", "damper_end_switch", "damper", "remarks")
	}
	if a.Fail != "" && b.Fail != "" && a.Fail != b.Fail {
		c.differs(v, p, "damper-fail-differs", finding.Fault, "damper fail position", a.Fail, b.Fail, "", "damper_fail", "damper", "remarks")
	}
	if a.Stroke != nil && b.Stroke != nil {
		c.figure(v, p, "damper-stroke-differs", "damper stroke time", a.Stroke, b.Stroke, 0.1, finding.Caution, "damper_stroke")
	}
}

// likelyDamper: above 300 cfm the energy code wants motorised dampers unless
// an exception holds.
func (c *comparison) likelyDamper(p pair) string {
	q := p.ours.Ratings.Airflow
	if q == nil {
		return ""
	}
	cfm, ok := q.In("cfm")
	kinds := p.ours.Damper.Kind + " " + p.theirs.Damper.Kind
	if ok && cfm.Lo > 300 && strings.Contains(kinds, "gravity") && strings.Contains(kinds, "motorised") {
		return fmt.Sprintf("motorised: %s cfm is above 300 cfm, where the energy code commonly asks for it (check the exceptions and the edition in force)", model.Figure(cfm.Lo))
	}
	return ""
}

// wordOf is what a machine's row states in the words of differs; "" if it
// states nothing.
func wordOf(e *model.Equipment, name string) string {
	says := func(about, value string) string {
		if _, ok := stated(e, about, value); ok {
			return value
		}
		return ""
	}
	switch name {
	case "belt or direct drive":
		return e.Ratings.Drive
	case "motor type":
		return motorName(says("motor_type", e.Ratings.MotorType))
	case "control":
		return plain(says("control", e.Control))
	case "damper":
		return says("damper", e.Damper.Kind)
	case "damper voltage":
		if e.Damper.Volts != nil {
			return e.Damper.Volts.String() + " V"
		}
	case "damper end switch":
		if e.Damper.EndSwitch != nil {
			return yes(*e.Damper.EndSwitch)
		}
	case "damper fail position":
		return e.Damper.Fail
	case "fire response":
		return e.FireResponse
	case "emergency power":
		if e.Emergency != nil {
			return branch(*e.Emergency)
		}
	}
	return ""
}

// thirdWord: another document that says the same as exactly one side.
func (c *comparison) thirdWord(v *view, p pair, name, ours, theirs string) string {
	for i := range c.views {
		w := &c.views[i]
		q, ok := w.of[p.ours]
		if w.doc == v.doc || !ok || q.score < 1 {
			continue
		}
		switch wordOf(q.theirs, name) {
		case ours:
			return fmt.Sprintf("the equipment list: %s says %s too", w.doc.Name(), ours)
		case theirs:
			return fmt.Sprintf("%s: %s says %s too", v.doc.Name(), w.doc.Name(), theirs)
		}
	}
	return ""
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func sayPlace(s string) bool { return strings.TrimSpace(s) != "" }

// samePlace: the words of the shorter text all stand in the longer one, short
// forms evened out.
func samePlace(a, b string) bool {
	x, y := placeWords(a), placeWords(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	for _, w := range x {
		found := false
		for _, z := range y {
			if w == z || len(w) > 2 && strings.HasPrefix(z, w) || len(z) > 2 && strings.HasPrefix(w, z) {
				found = true
			}
		}
		if !found {
			return false
		}
	}
	return true
}

var placeShort = map[string]string{"RM": "ROOM", "LVL": "LEVEL", "LEV": "LEVEL", "L": "LEVEL", "FL": "LEVEL", "FLR": "LEVEL", "FLOOR": "LEVEL", "MECH": "MECHANICAL", "ELEC": "ELECTRICAL", "PH": "PENTHOUSE", "BSMT": "BASEMENT"}

// placeWords are the words of a place: ROOM 101, RM-101 and room 101 are one.
func placeWords(s string) []string {
	var out []string
	for _, w := range strings.Split(tagKey(s), "-") {
		if full, ok := placeShort[w]; ok {
			w = full
		}
		if w != "" && w != "THE" && w != "ON" && w != "AT" && w != "IN" {
			out = append(out, w)
		}
	}
	return out
}
