package crosscheck

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// Tolerances where the project states none, as shares of the larger value;
// common practice: rounding and conversion stay below, another size does not.
const (
	airflowTolerance  = 0.05
	pressureTolerance = 0.10
	powerTolerance    = 0.10
	currentTolerance  = 0.10
	speedTolerance    = 0.05
)

func tolerance(stated *float64, usual float64) float64 {
	if stated != nil {
		return *stated
	}
	return usual
}

// apart is how far two quantities are from each other as a share of the
// larger, 0 if their ranges touch; false if their units do not convert.
func apart(a, b *model.Quantity) (float64, bool) {
	y, ok := b.In(a.Unit)
	if !ok {
		return 0, false
	}
	x := a.Value
	if x.Overlaps(y) {
		return 0, true
	}
	gap := math.Max(x.Lo-y.Hi, y.Lo-x.Hi)
	most := math.Max(math.Abs(x.Hi), math.Abs(y.Hi))
	if most == 0 {
		return 0, true
	}
	return gap / most, true
}

// quantities compares the figures that both sides state.
func (c *comparison) quantities(v *view, p pair) {
	s := c.p.Settings.Compare
	a, b := &p.ours.Ratings, &p.theirs.Ratings
	c.figure(v, p, "airflow-differs", "airflow", a.Airflow, b.Airflow, tolerance(s.Airflow, airflowTolerance), finding.Caution, "airflow")
	if a.PressureKind == b.PressureKind || a.PressureKind == "" || b.PressureKind == "" {
		c.figure(v, p, "pressure-differs", "pressure", a.Pressure, b.Pressure, tolerance(s.Pressure, pressureTolerance), finding.Caution, "total_pressure", "static_pressure", "external_static_pressure")
	}
	c.figure(v, p, "power-differs", "motor power", a.Power, b.Power, tolerance(s.Power, powerTolerance), finding.Fault, "power")
	c.figure(v, p, "current-differs", "full-load current", a.Current, b.Current, tolerance(s.Current, currentTolerance), finding.Caution, "current")
	c.figure(v, p, "fan-speed-differs", "fan speed", a.Speed, b.Speed, speedTolerance, finding.Caution, "speed")
	c.figure(v, p, "min-speed-differs", "lowest speed", a.MinSpeed, b.MinSpeed, speedTolerance, finding.Caution, "speed_minimum")
	if o, t := p.ours.Sensors, p.theirs.Sensors; o > 0 && t > 0 && o != t {
		c.differs(v, p, "sensor-count-differs", finding.Fault, "gas sensors", fmt.Sprint(o), fmt.Sprint(t), "", "sensors")
	}
}

// figure compares one quantity.
func (c *comparison) figure(v *view, p pair, code, name string, a, b *model.Quantity, tolerance float64, severity finding.Severity, fields ...string) {
	if a == nil || b == nil {
		return
	}
	off, ok := apart(a, b)
	if !ok {
		return
	}
	if off <= tolerance+1e-9 {
		c.units(v, p, name, a, b)
		return
	}
	likely := c.likelyFigure(v, p, name, a, b)
	ours, theirs := quantityText(a), quantityText(b)
	d := model.Difference{Code: code, Severity: severity, Subject: p.ours.Tag, Field: name, Ours: ours, Theirs: theirs,
		Where: firstWhere(a.Where, cell(p.ours, fields...)), Other: firstWhere(b.Where, cell(p.theirs, fields...)), Likely: likely,
		Message: fmt.Sprintf("%s: %s is %s here and %s in %s, %.0f %% apart (limit %.0f %%)", p.ours.Tag, name, ours, theirs, v.doc.Name(), off*100, tolerance*100),
		Ask:     fmt.Sprintf("%s of %s is %s on the equipment list and %s in %s: which holds?", upper(name), p.ours.Tag, ours, theirs, v.doc.Name())}
	c.tell(d)
}

// units tells that two documents use other units; a note, once a document.
func (c *comparison) units(v *view, p pair, name string, a, b *model.Quantity) {
	metric := map[string]bool{"L/s": true, "m3/s": true, "m3/h": true, "Pa": true, "kPa": true, "mm.wc": true}
	imperial := map[string]bool{"cfm": true, "in.wc": true}
	if metric[a.Unit] == metric[b.Unit] && imperial[a.Unit] == imperial[b.Unit] {
		return
	}
	if v.mixed == nil {
		v.mixed = map[string]bool{}
	}
	if v.mixed[name] {
		return
	}
	v.mixed[name] = true
	c.tell(model.Difference{Code: "units-mixed", Severity: finding.Note, Subject: p.ours.Tag, Field: name, Ours: a.Unit, Theirs: b.Unit, Where: a.Where, Other: b.Where,
		Message: fmt.Sprintf("%s is in %s here and in %s in %s; converted, the figures agree where nothing else is said", name, a.Unit, b.Unit, v.doc.Name())})
}

// likelyFigure says which side physics or another document supports.
func (c *comparison) likelyFigure(v *view, p pair, name string, a, b *model.Quantity) string {
	if s := c.secondDocument(v, p, func(e *model.Equipment) *model.Quantity { return quantityOf(e, name) }, a, b); s != "" {
		return s
	}
	switch name {
	case "airflow", "pressure", "motor power":
		return c.byAirPower(p, name)
	case "full-load current":
		return c.byTable(v, p, a, b)
	}
	return ""
}

func quantityOf(e *model.Equipment, name string) *model.Quantity {
	switch name {
	case "airflow":
		return e.Ratings.Airflow
	case "pressure":
		return e.Ratings.Pressure
	case "motor power":
		return e.Ratings.Power
	case "full-load current":
		return e.Ratings.Current
	case "fan speed":
		return e.Ratings.Speed
	}
	return nil
}

// secondDocument: a third document that agrees with exactly one side.
func (c *comparison) secondDocument(v *view, p pair, of func(*model.Equipment) *model.Quantity, a, b *model.Quantity) string {
	for i := range c.views {
		w := &c.views[i]
		if w.doc == v.doc {
			continue
		}
		q, ok := w.of[p.ours]
		if !ok || q.score < 1 {
			continue
		}
		third := of(q.theirs)
		if third == nil {
			continue
		}
		x, okA := apart(a, third)
		y, okB := apart(b, third)
		switch {
		case !okA || !okB:
		case x <= 0.02 && y > 0.02:
			return fmt.Sprintf("the equipment list: %s says %s too", w.doc.Name(), quantityText(third))
		case y <= 0.02 && x > 0.02:
			return fmt.Sprintf("%s: %s says %s too", v.doc.Name(), w.doc.Name(), quantityText(third))
		}
	}
	return ""
}

// Bounds of fan efficiency that figures can mean: no fan gives more than 0.9
// of its motor's power to the air; below 0.05 something is misread. Common
// practice.
const (
	mostEfficiency  = 0.9
	leastEfficiency = 0.05
)

// byAirPower: of the two figures one makes a fan that cannot be. Air power in
// hp = cfm x in.wc / 6356.
func (c *comparison) byAirPower(p pair, name string) string {
	mix := func(from *model.Equipment) (float64, string) {
		r := p.ours.Ratings
		switch name {
		case "airflow":
			r.Airflow = from.Ratings.Airflow
		case "pressure":
			r.Pressure = from.Ratings.Pressure
		default:
			r.Power = from.Ratings.Power
		}
		return efficiency(&r)
	}
	x, how := mix(p.ours)
	y, howTheirs := mix(p.theirs)
	can := func(e float64) bool { return e >= leastEfficiency && e <= mostEfficiency }
	switch {
	case x == 0 || y == 0:
		return ""
	case can(x) && !can(y):
		return fmt.Sprintf("the equipment list: with the other figure %s = %.2f, which no fan has", howTheirs, y)
	case can(y) && !can(x):
		return fmt.Sprintf("the other document: with the list's figure %s = %.2f, which no fan has", how, x)
	}
	return ""
}

// efficiency is air power over motor power, 0 if a figure is missing.
func efficiency(r *model.Ratings) (float64, string) {
	if r.Airflow == nil || r.Pressure == nil || r.Power == nil {
		return 0, ""
	}
	q, okQ := r.Airflow.In("cfm")
	dp, okP := r.Pressure.In("in.wc")
	hp, okH := r.Power.In("hp")
	if !okQ || !okP || !okH || hp.Mid() == 0 || dp.Mid() == 0 {
		return 0, ""
	}
	air := float64(q.Mid()*dp.Mid()) / 6356
	return air / hp.Mid(), fmt.Sprintf("%s cfm x %s in.wc / 6356 / %s hp", model.Figure(math.Round(q.Mid())), model.Figure(math.Round(dp.Mid()*1000)/1000), model.Figure(math.Round(hp.Mid()*100)/100))
}

// byTable: the table current of the motor decides between two currents.
func (c *comparison) byTable(v *view, p pair, a, b *model.Quantity) string {
	table, cite, ok := c.tableAmps(p.ours, p.theirs)
	if !ok {
		return ""
	}
	x, okA := a.In("A")
	y, okB := b.In("A")
	if !okA || !okB {
		return ""
	}
	offA, offB := math.Abs(x.Mid()-table)/table, math.Abs(y.Mid()-table)/table
	switch {
	case offA <= 0.3 && offB > 0.3:
		return fmt.Sprintf("the equipment list: %s A by %s", model.Figure(table), cite)
	case offB <= 0.3 && offA > 0.3:
		return fmt.Sprintf("%s: %s A by %s", v.doc.Name(), model.Figure(table), cite)
	}
	return ""
}

// tableAmps is the table current of the motor if both sides agree on its
// power, volts and phases, or only one states them.
func (c *comparison) tableAmps(a, b *model.Equipment) (float64, string, bool) {
	power := a.Ratings.Power
	if power == nil {
		power = b.Ratings.Power
	}
	service := a.Ratings.Service
	if service == nil || len(service.Volts) != 1 || service.Phases == 0 {
		service = b.Ratings.Service
	}
	if power == nil || service == nil || len(service.Volts) != 1 {
		return 0, "", false
	}
	hp, ok := power.In("hp")
	if !ok {
		return 0, "", false
	}
	for _, volts := range nameplates(service.Volts[0]) {
		if amps, ok := c.lib.Ratings.FullLoad(fmt.Sprint(service.Phases), hp.Mid(), volts); ok {
			clause := map[int]string{1: "NEC table 430.248", 3: "NEC table 430.250"}[service.Phases]
			return amps, fmt.Sprintf("%s for %s hp, %s V, %d phase", clause, model.Figure(hp.Mid()), model.Figure(volts), service.Phases), true
		}
	}
	return 0, "", false
}

// differs tells a difference between two words.
func (c *comparison) differs(v *view, p pair, code string, severity finding.Severity, name, ours, theirs, likely string, fields ...string) {
	if likely == "" {
		likely = c.thirdWord(v, p, name, ours, theirs)
	}
	c.tell(model.Difference{Code: code, Severity: severity, Subject: p.ours.Tag, Field: name, Ours: ours, Theirs: theirs,
		Where: cell(p.ours, fields...), Other: cell(p.theirs, fields...), Likely: likely,
		Message: fmt.Sprintf("%s: %s is %s here and %s in %s", p.ours.Tag, name, ours, theirs, v.doc.Name()),
		Ask:     fmt.Sprintf("%s of %s is %s on the equipment list and %s in %s: which holds?", upper(name), p.ours.Tag, ours, theirs, v.doc.Name())})
}

func quantityText(q *model.Quantity) string {
	return strings.TrimSpace(model.Figure(q.Value.Lo)+upTo(q.Value)) + " " + q.Unit
}

func upTo(i model.Interval) string {
	if i.Point() {
		return ""
	}
	return " to " + model.Figure(i.Hi)
}

func firstWhere(list ...*model.Where) *model.Where { return cmp.Or(list...) }

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
