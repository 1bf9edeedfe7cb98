package intake

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// work is a draft on its way to equipment.
type work struct {
	*reader
	p   *model.Project
	say *says
	d   *draft
	e   *model.Equipment
	// texts are the fields in the form in which phrases are looked for.
	texts  map[string]string
	prefix string // letters of the tag
	// suffixes are the letters of the tag behind its first number.
	suffixes []string
}

// equipment reads the values of a draft and decides what it is.
func (r *reader) equipment(p *model.Project, d *draft, known roster, say *says) model.Equipment {
	where := d.where
	e := model.Equipment{Tag: d.tag, Fields: map[string]model.Text{}, Notes: d.notes, Bid: model.Base, Unresolved: d.problem != "" || d.twin}
	if where.Known() {
		e.Where = &where
	}
	w := &work{reader: r, p: p, say: say, d: d, e: &e}
	w.keepFields()
	e.Description, e.Service, e.Location, e.System = w.text("description"), w.text("service"), w.text("location"), w.text("system")
	e.Remarks, e.Phase, e.Panel, e.FurnishedBy = w.text("remarks"), w.text("phase_of_work"), w.text("panel"), w.text("furnished_by")
	if e.Service == "" && e.System != "" && systemWords.MatchString(e.System) { // SYSTEM: Toilet exhaust
		e.Service = e.System
	}
	if e.Description == "" {
		e.Description = w.text("type")
	}
	w.ratings()
	w.electricalService()
	w.damperValues()
	if d.problem == noTag {
		say.add(finding.Caution, "row-without-tag", d.tag, e.Where, "give the machine a tag", "the row has values and no tag; it is kept as %s", d.tag)
	}
	for _, name := range d.apart {
		c := d.extra[name]
		e.Unresolved = true
		say.add(finding.Fault, "unreadable-value", d.tag, placeOf(c), "write as many parts as the heading names, with strokes between", "%q under %q has not the parts that the heading names; the row is kept without them", c.text, name)
	}
	for _, text := range d.remarkOn {
		say.add(finding.Note, "assumed", d.tag, e.Where, "check it", "%s", text)
	}
	w.infer()
	if e.OutOfScope == "" {
		w.partAlternate()
		w.monitorOnly()
		w.interlocks(known)
		w.standby(known)
		w.twoMotors()
		w.notStated()
	}
	return e
}

// keepFields keeps every cell of the row.
func (w *work) keepFields() {
	for name, c := range w.d.extra {
		where := c.where
		w.e.Fields[name] = model.Text{Text: c.text, Where: &where}
	}
	for name, c := range w.d.fields {
		where := c.where
		w.e.Fields[name] = model.Text{Text: c.text, Where: &where}
	}
	if w.d.section != "" {
		w.e.Fields["section"] = model.Text{Text: w.d.section}
	}
	if w.d.title != "" {
		w.e.Fields["table"] = model.Text{Text: w.d.title}
	}
}

// text returns a text field without footnote marks, "" if it says nothing.
func (w *work) text(field string) string {
	c, ok := w.d.fields[field]
	if !ok {
		return ""
	}
	s, _ := stripMarks(c.text)
	if isEmpty(s) {
		return ""
	}
	return tidy(s)
}

// has returns the cell of a field that says something.
func (w *work) has(field string) (cell, bool) {
	c, ok := w.d.fields[field]
	return c, ok && !isEmpty(c.text)
}

// ratings reads every field that is a quantity.
func (w *work) ratings() {
	g := &w.e.Ratings
	if c, ok := w.has("power"); ok && c.unit == "" && !strings.ContainsAny(c.text, "0123456789") && !isPending(c.text) && w.text("motor_type") == "" && strings.ContainsFunc(c.text, unicode.IsLetter) {
		w.d.fields["motor_type"] = c // a column MOTOR that says what motor it is, not how large
		delete(w.d.fields, "power")
	}
	if c, ok := w.has("power"); ok && w.text("motor_type") == "" && motorWord.MatchString(c.text) {
		w.d.fields["motor_type"] = c // 1/2 EC
	}
	g.Airflow = w.quantityOf("airflow")
	g.Power = w.quantityOf("power")
	g.ShaftPower = w.quantityOf("shaft_power")
	g.Current = w.quantityOf("current")
	g.Speed = w.quantityOf("speed")
	g.MinSpeed = w.quantityOf("speed_minimum")
	g.Area = w.quantityOf("floor_area")
	g.StackArea = w.quantityOf("stack_area")
	g.BurnerFlow = w.quantityOf("burner_airflow")
	for _, one := range []struct{ field, kind string }{{"total_pressure", "total"}, {"static_pressure", "static"}, {"external_static_pressure", "external-static"}} {
		if q := w.quantityOf(one.field); q != nil {
			g.Pressure, g.PressureKind = q, one.kind
		}
	}
	if c, ok := w.has("airflow"); ok && g.Pressure == nil && atPressure.MatchString(c.text) { // 800 CFM @ 0.5 in. wc
		if v := w.quantity(c.text, "pressure", ""); v.quantity != nil {
			v.quantity.Where = placeOf(c)
			g.Pressure, g.PressureKind = v.quantity, "static"
		}
	}
	w.figuresInWords()
	if c, ok := w.has("sensors"); ok {
		n, v := w.count(c.text)
		w.unreadable("sensors", c, v, "write how many gas sensors there are")
		w.e.Sensors = n
	}
}

var (
	atPressure     = regexp.MustCompile(`(?i)@|\bat\b|\b(?:wc|wg|sp|esp|tsp|pa)\b|w\.[cg]|s\.p|static`)
	systemWords    = regexp.MustCompile(`^[A-Za-z]{3,}\.?\s+[A-Za-z]`)
	motorWord      = regexp.MustCompile(`(?i)\d.*\b(?:ecm?|psc)\b`)
	sensorsInWords = regexp.MustCompile(`(?i)\(?(\d{1,2})\)?\s*(?:pairs?\s+of\s+)?(?:co|no2|gas)(?:\s*(?:/|and|&|\+)\s*(?:no2|co))?\s*(?:sensor|detector)s?\b`)
	speedInWords   = regexp.MustCompile(`(?i)\bmin(?:imum|\.)?\s+speed\s*(?:of|=|:)?\s*(\d{1,2})\s*%|\b(\d{1,2})\s*%\s+min(?:imum|\.)?\s+speed`)
)

// figuresInWords takes the number of gas sensors and the lowest speed out of
// remarks where no column gives them.
func (w *work) figuresInWords() {
	texts := []model.Text{{Text: w.text("remarks"), Where: placeOf(w.d.fields["remarks"])}, {Text: w.text("control"), Where: placeOf(w.d.fields["control"])}}
	for _, n := range append(texts, w.d.notes...) {
		if _, said := w.has("sensors"); !said && w.e.Sensors == 0 {
			if m := sensorsInWords.FindStringSubmatch(n.Text); m != nil {
				w.e.Sensors = atoi(m[1])
				w.say.add(finding.Note, "assumed", w.d.tag, n.Where, "write it into a column Sensors", "%d gas sensors, from the words %q", w.e.Sensors, strings.TrimSpace(m[0]))
			}
		}
		if m := speedInWords.FindStringSubmatch(n.Text); m != nil && w.e.Ratings.MinSpeed == nil {
			w.e.Ratings.MinSpeed = &model.Quantity{Value: model.Exactly(float64(atoi(m[1] + m[2]))), Unit: "%", Text: strings.TrimSpace(m[0]), Where: n.Where}
			w.say.add(finding.Note, "assumed", w.d.tag, n.Where, "write it into a column Minimum speed", "lowest speed %s, from the words %q", shown(w.e.Ratings.MinSpeed), strings.TrimSpace(m[0]))
		}
	}
}

func placeOf(c cell) *model.Where {
	if !c.where.Known() {
		return nil
	}
	where := c.where
	return &where
}

// quantityOf reads one quantity field; what cannot be read is a finding at its
// cell.
func (w *work) quantityOf(field string) *model.Quantity {
	c, ok := w.has(field)
	if !ok {
		return nil
	}
	h, _ := w.lib.Heading(field)
	unit := c.unit
	if unit == "" {
		if unit = h.Unit; (w.p.Settings.Units == "si" || w.d.si) && h.UnitSI != "" {
			unit = h.UnitSI
		}
	}
	text := c.text
	if m := twoFigures.FindStringSubmatch(tidy(text)); m != nil && c.other != "" {
		text = m[1] + " " + unit + " (" + m[2] + " " + c.other + ")"
	}
	v := w.quantity(text, h.Value, unit)
	if m := pairOfFlows.FindStringSubmatch(tidy(text)); m != nil && field == "airflow" && v.problem != "" {
		v = w.largerFlow(c, m, unit)
	}
	if v.problem != "" && field == "power" { // a whole service in the motor cell: 1/2 HP 208-230V
		if alt := w.electrical(c.text, "service"); alt.power != nil {
			v = value{quantity: alt.power}
		}
	}
	w.unreadable(field, c, v, fixFor(h, unit))
	if v.quantity == nil {
		return nil
	}
	if c.scale > 0 && c.scale != 1 {
		v.quantity.Value = v.quantity.Value.Scale(c.scale)
	}
	if c.unit == "" && v.quantity.Unit == unit && !mentions(c.text, w.reader, h.Value) && h.UnitSI != h.Unit {
		w.say.add(finding.Note, "assumed", w.d.tag, placeOf(c), "write the unit into the heading", "%s without a unit is read as %s", h.Name, unit)
	}
	v.quantity.Text = c.text
	v.quantity.Where = placeOf(c)
	return v.quantity
}

// alternateMark is a number or letter of an alternate, or a mark in its column.
var alternateMark = regexp.MustCompile(`(?i)^(?:(?:no\.?|#)?\s*[a-z0-9]{1,2}|yes|✓|✔|√|●|•)$`)

// saysNo reports whether a cell is a plain no.
func saysNo(text string) bool {
	yes, v := answer(text)
	return !yes && v.problem == ""
}

var longWord = regexp.MustCompile(`[a-z]{3,}`)

var (
	twoFigures  = regexp.MustCompile(`^([0-9][0-9,./ -]*?)\s*\(([0-9][0-9,./ -]*)\)$`)
	pairOfFlows = regexp.MustCompile(`^([0-9][0-9,]*)\s*/\s*([0-9][0-9,]*)(?:\s*[a-zA-Z/³]+)?$`)
)

// largerFlow takes the larger of two airflows with a stroke between, which are
// those of two speeds, or of supply and exhaust, and says so.
func (w *work) largerFlow(c cell, m []string, unit string) value {
	a, b := w.quantity(m[1], "airflow", unit), w.quantity(m[2], "airflow", unit)
	if a.quantity == nil || b.quantity == nil {
		return value{problem: "holds two numbers"}
	}
	if b.quantity.Value.Hi > a.quantity.Value.Hi {
		a = b
	}
	w.say.add(finding.Caution, "assumed", w.d.tag, placeOf(c), "write one airflow, and the other into the remarks", "airflow %q holds two figures, of two speeds or of two fans; the larger is taken", c.text)
	return a
}

// mentions reports whether a text carries a unit of a dimension.
func mentions(text string, r *reader, dimension string) bool {
	for _, f := range r.scan(strings.ToLower(tidy(text))) {
		if f.measure != nil && f.measure.Dimension == dimension {
			return true
		}
	}
	return false
}

func fixFor(h library.Heading, unit string) string {
	if unit == "" {
		return "write a number with its unit"
	}
	return fmt.Sprintf("write one number in %s, or with its unit", unit)
}

// unreadable reports a cell that could not be read, or that points elsewhere.
func (w *work) unreadable(field string, c cell, v value, fix string) {
	name := fieldName(w.lib, field)
	switch {
	case v.problem != "":
		w.e.Unresolved = true
		w.say.add(finding.Fault, "unreadable-value", w.d.tag, placeOf(c), fix, "%s %q %s; the row is kept without it", name, c.text, v.problem)
	case v.pending:
		w.say.add(finding.Caution, "unstated-value", w.d.tag, placeOf(c), "find the value or ask for it", "%s says %q: the value stands elsewhere or is open", name, c.text)
	case v.note != "":
		w.say.add(finding.Note, "assumed", w.d.tag, placeOf(c), "check it", "%s %q was %s", name, c.text, v.note)
	}
}

// electricalService joins the service from one cell or from three.
func (w *work) electricalService() {
	var service *model.Service
	for _, one := range []struct{ field, as string }{{"electrical", "service"}, {"voltage", "voltage"}, {"phases", "phases"}, {"hertz", "hertz"}} {
		c, ok := w.has(one.field)
		if !ok {
			continue
		}
		got := w.electrical(c.text, one.as)
		w.unreadable(one.field, c, got.value, "write it like 120/1/60 or 480/3/60")
		if got.service != nil {
			got.service.Where = placeOf(c)
			if got.service.Phases == 2 {
				w.say.add(finding.Caution, "suspect-service", w.d.tag, placeOf(c), "check the number of phases", "the service %q names two phases, which no common supply has", c.text)
			}
		}
		if got.power != nil && w.e.Ratings.Power == nil {
			got.power.Where = placeOf(c)
			w.e.Ratings.Power = got.power
		}
		service = joinService(service, got.service)
	}
	if c, ok := w.has("poles"); ok && service != nil && service.Phases == 0 {
		if n := map[string]int{"1": 1, "3": 3}[tidy(c.text)]; n > 0 { // no motor has 1 or 3 poles: these are the breaker's
			service.Phases = n
			w.say.add(finding.Note, "assumed", w.d.tag, placeOf(c), "write the number of phases into a column Phase", "number of phases %d, from the breaker's poles", n)
		}
	}
	if service == nil { // the motor cell may hold it: 1/2 HP 208-230V
		if c, ok := w.has("power"); ok {
			if got := w.electrical(c.text, "service"); got.service != nil && got.power != nil && len(got.service.Volts) > 0 {
				got.service.Where = placeOf(c)
				service = got.service
			}
		}
	}
	if _, said := w.has("electrical"); service == nil && !said && w.p.Settings.Defaults.Service != "" {
		if got := w.electrical(w.p.Settings.Defaults.Service, "service"); got.service != nil {
			service = got.service
			w.say.add(finding.Note, "assumed", w.d.tag, w.e.Where, "write the service into the list", "service %s, the project's default", w.p.Settings.Defaults.Service)
		}
	}
	w.e.Ratings.Service = service
}

// joinService adds to a service what another cell says of it.
func joinService(service, more *model.Service) *model.Service {
	if service == nil || more == nil {
		return cmp.Or(service, more)
	}
	if len(service.Volts) == 0 {
		service.Volts = more.Volts
	}
	service.Phases = cmp.Or(service.Phases, more.Phases)
	service.Hertz = cmp.Or(service.Hertz, more.Hertz)
	service.Wires = cmp.Or(service.Wires, more.Wires)
	service.System = cmp.Or(service.System, more.System)
	service.Text = strings.TrimSpace(service.Text + " " + more.Text)
	return service
}

// damperValues reads what the damper's own columns say.
func (w *work) damperValues() {
	if c, ok := w.has("damper_voltage"); ok {
		got := w.electrical(c.text, "voltage")
		w.unreadable("damper_voltage", c, got.value, "write it like 24 VAC or 120 VAC")
		if got.service != nil && len(got.service.Volts) == 1 {
			v := got.service.Volts[0]
			w.e.Damper.Volts, w.e.Damper.Where = &v, placeOf(c)
		}
	}
	if c, ok := w.has("damper_end_switch"); ok {
		if yes, v := answer(c.text); v.problem == "" && !v.empty && !v.pending {
			w.e.Damper.EndSwitch = &yes
		}
	}
	w.e.Damper.Stroke = w.quantityOf("damper_stroke")
}

// textFields are the fields in which words are looked for if a rule names none.
var textFields = []string{"kind", "type", "description", "service", "system", "location", "remarks", "notes", "control", "motor_type", "scheme", "vfd", "drive", "damper", "fire", "status_device", "interlock", "duty", "section", "table"}

// gatherTexts puts the words of the row into the form in which phrases are
// looked for: lower case, words and figures parted by single blanks.
func (w *work) gatherTexts() {
	w.texts, w.prefix, w.suffixes = map[string]string{}, Prefix(w.e.Tag), suffixes(w.e.Tag)
	for _, name := range slices.Sorted(maps.Keys(w.d.fields)) {
		text := w.text(name)
		h, _ := w.lib.Heading(name)
		if h.Value == "answer" && text != "" {
			if yes, v := answer(text); v.problem == "" && !v.pending {
				text = map[bool]string{true: "is yes", false: "is no"}[yes]
			}
		}
		if c := w.d.fields[name]; c.alt && alternateMark.MatchString(text) && !saysNo(text) { // D under ALTERNATE is alternate D, and no machine to be demolished
			text = "alternate " + text
		}
		w.texts[name] = phrase(text)
	}
	if named := phrase(strings.ReplaceAll(w.e.Tag, "-", " ")); w.texts["description"] == "" && w.texts["type"] == "" && len(longWord.FindAllString(named, -1)) > 1 {
		w.texts["description"] = named // the column of tags holds names: Exhaust Fan 1 (Restroom)
	}
	if w.texts["service"] == "" && w.e.Service != "" {
		w.texts["service"] = phrase(w.e.Service)
	}
	var notes []string
	for _, n := range w.d.notes {
		notes = append(notes, n.Text)
	}
	w.texts["notes"] = phrase(w.text("notes") + " . " + strings.Join(notes, " . "))
	w.texts["section"], w.texts["table"] = phrase(w.d.section), phrase(w.d.title)
}

// phrase evens out a text for phrase matching; it begins and ends with a blank.
func phrase(s string) string {
	var b strings.Builder
	b.WriteByte(' ')
	text, _ := stripMarks(s)
	parted := true
	for _, c := range strings.ToLower(evenOut.Replace(text)) {
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c > 127:
			b.WriteRune(c)
			parted = false
		case c != '\'' && !parted:
			b.WriteByte(' ')
			parted = true
		}
	}
	if !parted {
		b.WriteByte(' ')
	}
	return b.String()
}
