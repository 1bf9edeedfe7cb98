package circuit

import (
	"fmt"
	"math"
	"strings"

	"tallywire/model"
)

// permit is one of the ratings that a contact carries, as amperes at the
// circuit's voltage: it is enough if one of them holds.
type permit struct {
	makes, breaks, carries float64
	coils                  bool // good for coils with their inrush
	words                  string
}

// askContactOverload: make, break and carry against the ratings of the switch
// at the circuit's voltage, AC and DC apart.
func (j *joint) askContactOverload() {
	if !isSwitch(j.drive.t.Nature) {
		return
	}
	s := j.source()
	if s == nil || !isSource(s.t) || s.t.Volts == nil || s.t.Current == "" {
		return // asked by needs-supply, under-voltage and ac-dc
	}
	for i := range j.accepts {
		if j.natureFails(i) || !isLoad(j.accepts[i].t.Nature) {
			return
		}
	}
	d := j.drive
	if len(d.t.Ratings) == 0 && len(d.t.PilotDuty) == 0 {
		j.unknown("contact-overload", atDrive, "the ratings of "+d.name(), "")
		return
	}
	volts := s.t.Volts.Hi
	permits, highest := j.permits(s.t.Current, volts, s.t.Absolute)
	if len(permits) == 0 {
		j.beyond(s, volts, highest)
		return
	}
	sum, noRun, noInrush := j.total(s.t)
	if noRun >= 0 {
		j.unknown("contact-overload", noRun, "the current of "+j.accepts[noRun].name(), "up to "+milli(permits[0].breaks))
		return
	}
	coil := false
	for _, a := range j.accepts {
		coil = coil || a.t.Nature == model.Coil
	}
	j.overload(permits, sum, noInrush, coil, s, volts)
}

// beyond tells that no rating of the switch reaches the voltage.
func (j *joint) beyond(s *side, volts, highest float64) {
	d := j.drive
	if highest == 0 {
		j.tell("contact-overload", model.Unknown, atDrive, fmt.Sprintf("cannot tell: needs a %s rating of %s; it states none", s.t.Current, d.name()), d.t.Source,
			"state its rating, or put a relay between")
		return
	}
	j.hold(limit{code: "contact-overload", place: atDrive, value: model.Exactly(volts), relation: "<=", limit: highest, unit: "V", source: d.t.Source,
		text: fmt.Sprintf("%s is rated up to %s V %s, the circuit has %s V", d.name(), show(highest), s.t.Current, show(volts)),
		fix:  "put a relay between whose contact is rated for the voltage"})
}

// permits lists what the switch may do at a voltage, and the highest voltage
// it is rated for at all. A rating in round volts is a nominal one; a source
// that states absolute volts is held against it with the nominal tolerance.
func (j *joint) permits(current string, volts float64, absolute bool) (list []permit, highest float64) {
	slack := 1.0
	if absolute {
		slack += nominalTolerance
	}
	for _, id := range j.drive.t.PilotDuty {
		for _, one := range strings.FieldsFunc(id, func(r rune) bool { return r == ',' || r == '/' || r == ' ' }) {
			p, ok := j.lib.Ratings.PilotDuty[strings.ToUpper(one)]
			if !ok || p.Current != current {
				continue
			}
			highest = math.Max(highest, p.MaxV)
			if makes, breaks, carries, fits := p.Limits(math.Min(volts, math.Max(p.MaxV, volts/slack))); fits {
				list = append(list, permit{makes, breaks, carries, true,
					fmt.Sprintf("%s at %s V: make %s A, break %s A, carry %s A", p.ID, show(volts), show(makes), show(breaks), show(carries))})
			}
		}
	}
	for _, r := range j.drive.t.Ratings {
		if r.Current != current && r.Current != "ac/dc" {
			continue
		}
		highest = math.Max(highest, r.Volts)
		if volts > r.Volts*slack*(1+1e-9) {
			continue
		}
		list = append(list, ratingPermit(r))
	}
	return list, highest
}

// ratingPermit reads a rating in amperes. AC-15 and AC-14 are tested making 10
// and 6 times the rated current (IEC 60947-5-1); a general-use rating without
// inrush makes what it breaks.
func ratingPermit(r model.LoadRating) permit {
	p := permit{makes: r.Amps, breaks: r.Amps, carries: r.Amps}
	switch strings.ToUpper(r.Duty) {
	case "AC-15":
		p.makes, p.coils = 10*r.Amps, true
	case "AC-14":
		p.makes, p.coils = 6*r.Amps, true
	case "DC-13", "PILOT":
		p.coils = true
	}
	if r.Inrush != nil {
		p.makes = *r.Inrush
	}
	p.words = fmt.Sprintf("rated %s A at %s V %s (%s), make %s A", show(r.Amps), show(r.Volts), r.Current, kindOr(r.Duty, "general"), show(p.makes))
	return p
}

// overload picks the rating that serves best and tells it. A general-use
// rating counts for a coil only with the coil's inrush inside its amperes.
func (j *joint) overload(permits []permit, sum draw, noInrush int, coil bool, s *side, volts float64) {
	best, ratio := permits[0], math.Inf(1)
	for _, p := range permits {
		r := math.Max(sum.run/p.breaks, sum.run/p.carries)
		if noInrush < 0 {
			r = math.Max(r, sum.inrush/p.makes)
		}
		if r < ratio {
			best, ratio = p, r
		}
	}
	cite := j.drive.t.Source
	if math.Min(best.breaks, best.carries) >= sum.run && noInrush >= 0 {
		a := j.accepts[noInrush]
		j.unknown("contact-overload", noInrush, "the inrush of "+a.name()+" ("+best.words+"; running "+milli(sum.run)+")", "up to "+milli(best.makes))
		return
	}
	value, bound, which := sum.run, math.Min(best.breaks, best.carries), "running"
	if noInrush < 0 && sum.inrush/best.makes > sum.run/bound {
		value, bound, which = sum.inrush, best.makes, "inrush"
	}
	kind := "load"
	if coil {
		kind = "coil load"
	}
	j.hold(limit{code: "contact-overload", place: atDrive, value: model.Exactly(value), relation: "<=", limit: bound, unit: "A", source: cite,
		text: fmt.Sprintf("%s of %s at %s V %s: %s running, %s at the start; contact %s; the %s current decides", kind, sum.words, show(volts), s.t.Current, milli(sum.run), inrushWords(sum, noInrush), best.words, which),
		fix:  "put a relay between that is rated for it, fed from its own supply"})
}

func inrushWords(d draw, unknown int) string {
	if unknown >= 0 {
		return "unknown"
	}
	return milli(d.inrush)
}

// askContactUnderload: the current is at or above what the contact needs to
// stay clean.
func (j *joint) askContactUnderload() {
	d := j.drive
	if d.t.Nature != model.Contact {
		return
	}
	least, volts, i := j.wetted()
	if i < 0 {
		return
	}
	if math.IsNaN(least) {
		j.unknown("contact-underload", i, "the current that "+j.accepts[i].name()+" draws through the contact", "")
		return
	}
	m := d.t.MinLoad
	if m == nil {
		j.unknown("contact-underload", atDrive, "the minimum load of "+d.name(), "up to "+milli(least))
		return
	}
	note := ""
	if d.t.History == "power" && m.Amps < burntGold {
		m, note = &model.MinimumLoad{Amps: burntGold, Volts: ptr(5.0)}, "; it has switched power before, so its gold is gone and it is a silver contact"
	}
	fix := "use a gold-plated contact or a pilot relay with one, a current switch, or a loading resistor across the input"
	ok := j.hold(limit{code: "contact-underload", place: atDrive, value: model.Exactly(least), relation: ">=", limit: m.Amps, unit: "A", source: d.t.Source, broken: model.Caution, fix: fix,
		text: fmt.Sprintf("%s flow through %s at %s V, %s W; it stays clean from %s%s", milli(least), d.name(), show(volts), show(volts*least), milli(m.Amps), note)})
	switch {
	case !ok:
	case m.Volts != nil && volts < *m.Volts:
		j.hold(limit{code: "contact-underload", place: atDrive, value: model.Exactly(volts), relation: ">=", limit: *m.Volts, unit: "V", source: d.t.Source, broken: model.Caution, fix: fix,
			text: fmt.Sprintf("%s V stand across %s when open; it needs %s V", show(volts), d.name(), show(*m.Volts))})
	case m.Watts != nil && volts*least < *m.Watts:
		j.hold(limit{code: "contact-underload", place: atDrive, value: model.Exactly(volts * least), relation: ">=", limit: *m.Watts, unit: "W", source: d.t.Source, broken: model.Caution, fix: fix,
			text: fmt.Sprintf("%s W flow through %s; it needs %s W", show(volts*least), d.name(), show(*m.Watts))})
	}
}

// burntGold is the least load of a gold contact that has switched power, A: a
// silver-alloy contact's, from memory.
const burntGold = 0.010

// wetted is the least current and voltage at the driving contact, and which
// accepting end gives it; -1 if none of them does.
func (j *joint) wetted() (least, volts float64, place int) {
	place = -1
	for i, a := range j.accepts {
		if j.natureFails(i) {
			continue
		}
		switch {
		case a.t.Nature == model.ContactSense || a.t.Nature == model.Pulse:
			if place < 0 {
				place = i
			}
			if a.t.Wetting == nil {
				return math.NaN(), 0, i
			}
			least, volts = least+a.t.Wetting.Amps.Lo, a.t.Wetting.Volts.Lo
		case isLoad(a.t.Nature):
			s := j.source()
			if s == nil || !isSource(s.t) {
				return 0, 0, -1
			}
			v, ok := delivered(s.t)
			if !ok {
				return 0, 0, -1
			}
			if place < 0 {
				place = i
			}
			least, volts = least+j.leastTaken(a.t, s.t), v.Lo
		}
	}
	return least, volts, place
}

// leastTaken is the least current of a load on a source.
func (j *joint) leastTaken(a, source *model.Terminal) float64 {
	if a.Running == nil && a.Impedance != nil && a.Impedance.Hi > 0 {
		v, _ := delivered(source)
		least := v.Lo / a.Impedance.Hi
		if a.Beside != nil {
			least += v.Lo / a.Beside.Hi
		}
		return least
	}
	return j.taken(a, source).least
}

// askHolding: the load keeps a solid-state output conducting.
func (j *joint) askHolding() {
	d := j.drive
	if d.t.Nature != model.SolidState {
		return
	}
	s := j.source()
	if s == nil || !isSource(s.t) || s.t.Current == "dc" {
		return
	}
	least := 0.0
	for i, a := range j.accepts {
		if !isLoad(a.t.Nature) || j.natureFails(i) {
			return
		}
		l := j.leastTaken(a.t, s.t)
		if math.IsNaN(l) {
			j.unknown("holding-current", i, "the current of "+a.name(), "")
			return
		}
		least += l
	}
	if d.t.Holding == nil {
		j.unknown("holding-current", atDrive, "the least current that keeps "+d.name()+" on", "up to "+milli(least))
		return
	}
	top := ""
	if miss := *d.t.Holding - least; miss > 0 && s.t.Volts != nil {
		v := s.t.Volts.Mid()
		top = fmt.Sprintf("; a resistor of at most %s ohm across the load takes the missing %s (%s W)", show(math.Floor(v/miss)), milli(miss), show(v*miss))
	}
	j.hold(limit{code: "holding-current", place: atDrive, value: model.Exactly(least), relation: ">=", limit: *d.t.Holding, unit: "A", source: d.t.Source,
		text: fmt.Sprintf("the load draws %s at least; %s holds itself on from %s", milli(least), d.name(), milli(*d.t.Holding)),
		fix:  "use a relay output, or add load" + top})
}
