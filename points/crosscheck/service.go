package crosscheck

import (
	"fmt"
	"math"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// system groups the voltages that one supply goes by: the system's nominal
// value and the nameplates of motors made for it. ANSI C84.1, NEMA MG 1.
var systems = [][]float64{{120, 110, 115, 127}, {208, 200}, {240, 220, 230}, {277, 265}, {380, 400, 415}, {480, 440, 460}, {600, 550, 575}, {347}, {24}}

// nameplates lists the motor voltages of the system that a voltage belongs to,
// that voltage first.
func nameplates(v model.Interval) []float64 {
	out := []float64{v.Mid()}
	for _, s := range systems {
		for _, x := range s {
			if math.Abs(x-v.Mid()) < 0.5 {
				return append(out, s...)
			}
		}
	}
	return out
}

func systemOf(v float64) int {
	for i, s := range systems {
		for _, x := range s {
			if math.Abs(x-v) < 0.5 {
				return i
			}
		}
	}
	return -1
}

func voltsOf(e *model.Equipment) *model.Service {
	if s := e.Ratings.Service; s != nil && len(s.Volts) > 0 {
		return s
	}
	return nil
}

// sameVolts: some voltage of one side is of the same system as some of the
// other, or lies in a nameplate range of it.
func sameVolts(a, b model.Service) bool {
	for _, x := range a.Volts {
		for _, y := range b.Volts {
			if x.Overlaps(y) {
				return true
			}
			for _, p := range []float64{x.Lo, x.Hi} {
				for _, q := range []float64{y.Lo, y.Hi} {
					if s := systemOf(p); s >= 0 && s == systemOf(q) {
						return true
					}
				}
			}
		}
	}
	return false
}

// service compares voltage and phase, and the branch.
func (c *comparison) service(v *view, p pair) {
	a, b := voltsOf(p.ours), voltsOf(p.theirs)
	if a != nil && b != nil && !sameVolts(*a, *b) {
		told := len(c.out)
		c.differs(v, p, "voltage-differs", finding.Fault, "voltage", voltsText(a), voltsText(b), c.likelyVolts(v, p, a, b), "voltage", "electrical")
		if why := c.nameplate(v, a, b); why != "" && len(c.out) > told { // 230 V on 208 V: close enough to be run, not close enough to last
			c.out[len(c.out)-1].Message += ": " + why
		}
	} else if a != nil && b != nil {
		c.plateDiffers(v, p, a, b)
	}
	x, y := p.ours.Ratings.Service, p.theirs.Ratings.Service
	if x != nil && y != nil && x.Phases > 0 && y.Phases > 0 && x.Phases != y.Phases {
		c.differs(v, p, "phase-differs", finding.Fault, "number of phases", fmt.Sprint(x.Phases), fmt.Sprint(y.Phases), c.likelyPhases(v, p, x, y), "phases", "electrical")
	}
	if x != nil && y != nil && x.Hertz > 0 && y.Hertz > 0 && x.Hertz != y.Hertz {
		c.differs(v, p, "frequency-differs", finding.Fault, "hertz", model.Figure(x.Hertz), model.Figure(y.Hertz), "", "hertz", "electrical")
	}
	if o, t := p.ours.Emergency, p.theirs.Emergency; o != nil && t != nil && *o != *t {
		likely := ""
		if k, ok := c.lib.Kind(p.ours.Kind); ok && k.LifeSafety {
			likely = "emergency: " + k.Name + " is life safety"
		}
		c.differs(v, p, "emergency-differs", finding.Fault, "emergency power", branch(*o), branch(*t), likely, "emergency")
	}
}

func branch(emergency bool) string {
	if emergency {
		return "emergency"
	}
	return "normal"
}

func voltsText(s *model.Service) string {
	var list []string
	for _, v := range s.Volts {
		list = append(list, v.String())
	}
	return strings.Join(list, "/") + " V"
}

// likelyVolts: a third document, the phases, or the stated current decides.
func (c *comparison) likelyVolts(v *view, p pair, a, b *model.Service) string {
	if s := c.thirdService(v, p, func(t *model.Service) (bool, bool) { return sameVolts(*a, *t), sameVolts(*b, *t) }, voltsText); s != "" {
		return s
	}
	return c.byCurrent(v, p, a, b)
}

func (c *comparison) likelyPhases(v *view, p pair, a, b *model.Service) string {
	text := func(s *model.Service) string { return fmt.Sprintf("%d phase", s.Phases) }
	if s := c.thirdService(v, p, func(t *model.Service) (bool, bool) { return t.Phases == a.Phases, t.Phases == b.Phases }, text); s != "" {
		return s
	}
	if s := c.byCurrent(v, p, a, b); s != "" {
		return s
	}
	for _, side := range []struct {
		s    *model.Service
		name string
	}{{a, v.doc.Name()}, {b, "the equipment list"}} {
		if hp := p.ours.Ratings.Power; hp != nil && side.s.Phases == 1 {
			if x, ok := hp.In("hp"); ok && x.Mid() > 10 {
				return fmt.Sprintf("%s: no common single-phase motor has %s hp (NEC table 430.248 ends at 10 hp)", side.name, model.Figure(x.Mid()))
			}
		}
	}
	return ""
}

func (c *comparison) thirdService(v *view, p pair, agrees func(*model.Service) (bool, bool), text func(*model.Service) string) string {
	for i := range c.views {
		w := &c.views[i]
		if w.doc == v.doc {
			continue
		}
		q, ok := w.of[p.ours]
		if !ok || q.score < 1 {
			continue
		}
		t := q.theirs.Ratings.Service
		if t == nil || len(t.Volts) == 0 && t.Phases == 0 {
			continue
		}
		switch a, b := agrees(t); {
		case a && !b:
			return fmt.Sprintf("the equipment list: %s says %s too", w.doc.Name(), text(t))
		case b && !a:
			return fmt.Sprintf("%s: %s says %s too", v.doc.Name(), w.doc.Name(), text(t))
		}
	}
	return ""
}

// byCurrent: the full-load current that either side states fits the table
// current of one service and not of the other.
func (c *comparison) byCurrent(v *view, p pair, a, b *model.Service) string {
	amps := p.ours.Ratings.Current
	if amps == nil {
		amps = p.theirs.Ratings.Current
	}
	power := p.ours.Ratings.Power
	if power == nil {
		power = p.theirs.Ratings.Power
	}
	if amps == nil || power == nil {
		return ""
	}
	x, ok := amps.In("A")
	if !ok {
		return ""
	}
	fits := func(s *model.Service) (float64, string, bool) {
		e := &model.Equipment{Ratings: model.Ratings{Power: power, Service: s}}
		table, cite, ok := c.tableAmps(e, e)
		return math.Abs(x.Mid()-table) / table, cite, ok
	}
	offA, citeA, okA := fits(merged(a, b))
	offB, citeB, okB := fits(merged(b, a))
	switch {
	case !okA || !okB:
		return ""
	case offA <= 0.15 && offB > 0.25:
		return fmt.Sprintf("the equipment list: %s A fits %s", model.Figure(x.Mid()), citeA)
	case offB <= 0.15 && offA > 0.25:
		return fmt.Sprintf("%s: %s A fits %s", v.doc.Name(), model.Figure(x.Mid()), citeB)
	}
	return ""
}

// merged is a service with what it lacks taken from the other side.
func merged(s, other *model.Service) *model.Service {
	out := *s
	if len(out.Volts) == 0 {
		out.Volts = other.Volts
	}
	if out.Phases == 0 {
		out.Phases = other.Phases
	}
	return &out
}
