package derive

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// defaultEdition of the fan alarm timing where the project names none.
const defaultEdition = "2021"

// editions are the delays from command to alarm, in s, on failed-to-run and on
// running-while-off. ASHRAE Guideline 36: the 2021 edition has 15 s of
// mismatch both ways; the 2024 addendum waits until the fan has been commanded
// on for 15 s, off for 60 s. Whether the mismatch runs inside that wait
// (parallel) or after it (serial) is not stated there.
var editions = map[string][2]float64{
	"2021": {15, 15}, "2024-parallel": {15, 60}, "2024-serial": {30, 75},
}

// mismatch is how long command and status must differ, in s, in every edition.
const mismatch = 15

// comparison is how an alarm compares command and status, so that it comes its
// delay after the command and, on a fan that has long been told, after the
// mismatch alone; nil for a delay that is not of that kind.
func (d *derivation) comparison(delay string, seconds float64) *model.Mismatch {
	serial := d.settings.Alarms.Edition == "2024-serial"
	hold := 0.0
	switch {
	case serial:
		hold = math.Max(0, seconds-mismatch)
	case seconds > mismatch:
		hold = seconds
	}
	out := &model.Mismatch{Seconds: math.Min(mismatch, seconds), Serial: serial}
	switch delay {
	case "start":
		out.Commanded, out.HoldOn = "on", hold
	case "stop":
		out.Commanded, out.HoldOff = "off", hold
	case "both":
		out.Commanded, out.HoldOn, out.HoldOff = "either", hold, hold
	default:
		return nil
	}
	return out
}

// Usual times, in s (common practice).
const (
	usualStroke  = 90 // spring-return damper actuator, motor stroke
	startMargin  = 10
	damperMargin = 15
	unitStart    = 300 // purge, ignition and damper of a unit's own start
)

// eventPriority is the event priority of an alarm level: the middle of the
// group that carries the level's name (ASHRAE 135, clause 13.4 and annex M).
var eventPriority = map[int]int{1: 16, 2: 80, 3: 160, 4: 224}

// ramp is how long a fan takes to come up to speed, in s (common practice).
func ramp(control string) float64 {
	switch control {
	case "variable-frequency-drive", "variable-frequency-drive-bypass":
		return 30
	case "fan-interface-box", "ec-direct":
		return 20
	case "packaged":
		return 30
	default:
		return 5
	}
}

// stroke is how long its damper takes to open, in s; 0 where none has to.
// False: not stated, the usual time was taken.
func stroke(m *machine) (float64, bool) {
	if m.Damper.Kind != "motorised" {
		return 0, true
	}
	if m.Damper.Stroke != nil {
		if v, ok := m.Damper.Stroke.In("s"); ok {
			return v.Hi, true
		}
	}
	return usualStroke, false
}

// delays are the alarm delays of one machine and how they came about.
type delays struct {
	start, stop     float64
	startBy, stopBy string
}

func (d *derivation) delays(m *machine) delays {
	e := editions[cmp.Or(d.settings.Alarms.Edition, defaultEdition)]
	edition := "ASHRAE Guideline 36, " + cmp.Or(d.settings.Alarms.Edition, defaultEdition)
	s, stated := stroke(m)
	if !stated {
		d.assumed.stroke = appendOnce(d.assumed.stroke, m.Tag)
	}
	r := ramp(m.Control)
	proves := s + r + startMargin
	out := delays{start: math.Max(e[0], proves), startBy: edition, stop: math.Max(e[1], r+startMargin), stopBy: edition}
	if proves > e[0] {
		out.startBy = fmt.Sprintf("common practice: damper %s s + ramp %s s + margin %d s", model.Figure(s), model.Figure(r), startMargin)
	}
	if r+startMargin > e[1] {
		out.stopBy = fmt.Sprintf("common practice: coast-down %s s + margin %d s", model.Figure(r), startMargin)
	}
	if own := d.settings.Alarms.StartDelay; own != nil {
		out.start, out.startBy = *own, "project settings"
		if *own < s+r {
			d.findings = append(d.findings, finding.Finding{Code: "alarm-too-fast", Severity: finding.Caution, Subject: m.Tag, Where: m.Where,
				Message: fmt.Sprintf("the failure alarm comes %s s after the start, but damper and ramp take %s s", model.Figure(*own), model.Figure(s+r)),
				Numbers: []finding.Number{{Name: "delay", Value: *own, Unit: "s"}, {Name: "damper stroke", Value: s, Unit: "s"}, {Name: "ramp", Value: r, Unit: "s"}},
				Fix:     "raise settings.alarms.start_delay_s, or take it out: the delay is then worked out for each fan", Source: "common practice"})
		}
	}
	if own := d.settings.Alarms.StopDelay; own != nil {
		out.stop, out.stopBy = *own, "project settings"
	}
	return out
}

// alarm makes the alarms of one machine.
func (d *derivation) alarm(m *machine) {
	if !m.inScope() {
		return
	}
	times := d.delays(m)
	for _, r := range d.lib.AlarmRules() {
		if !d.world.matches(&r.When, m) {
			continue
		}
		for i := m.from; i < m.to; i++ {
			q := &d.list[i]
			if Base(q.Role) != r.On || !d.has(m, r.Needs) {
				continue
			}
			a := d.oneAlarm(m, &r, q, times)
			if d.told[a.ID] {
				continue
			}
			d.told[a.ID] = true
			q.Alarms = append(q.Alarms, a.ID)
			d.alarms = append(d.alarms, a)
		}
	}
	_, proven := d.made[m.Tag+"/status"]
	if proven && !d.told[m.Tag+"/failed"] && m.scheme.Family != library.FamilyTerminal && m.Control != "none" {
		d.say("no-failure-alarm", finding.Caution, m, "its status is compared with nothing: a dead fan is not noticed",
			"turn settings.derive.software_points on")
	}
}

// has reports whether all the roles are there, at the machine or its system.
func (d *derivation) has(m *machine, roles []string) bool {
	for _, r := range roles {
		if _, ok := d.find(m.Tag, r); !ok {
			return false
		}
	}
	return true
}

func (d *derivation) oneAlarm(m *machine, r *library.AlarmRule, q *model.Point, t delays) model.Alarm {
	a := model.Alarm{
		ID: m.Tag + "/" + r.Name, Equipment: m.Tag, Source: q.Key, Algorithm: r.Algorithm, Condition: r.Condition,
		Level: r.Level, LifeSafety: r.LifeSafety || q.LifeSafety, Rule: r.ID, Why: r.Why, FigureSource: r.Source,
	}
	if number, ok := strings.CutPrefix(q.Role, r.On+"-"); ok {
		a.ID += "-" + number
	}
	a.DelaySeconds, a.FigureSource = d.delay(m, r, t)
	a.Mismatch = d.comparison(r.Delay, a.DelaySeconds)
	if level, ok := d.settings.Alarms.Levels[r.Name]; ok {
		a.Level = level
	}
	a.Class = a.Level
	if class, ok := d.settings.Alarms.Classes[strconv.Itoa(a.Level)]; ok {
		a.Class = class
	}
	a.Priority = eventPriority[a.Level]
	for _, role := range r.InhibitedBy {
		if slices.Contains(library.InhibitWords, role) {
			a.InhibitedBy = append(a.InhibitedBy, role)
		} else if key, ok := d.find(m.Tag, role); ok {
			a.InhibitedBy = append(a.InhibitedBy, key)
		}
	}
	for _, p := range r.Parameters {
		if key, ok := d.find(m.Tag, p.Value); ok {
			p.Value = key
		}
		a.Parameters = append(a.Parameters, d.inUnits(p))
	}
	fill := strings.NewReplacer("{tag}", d.subject(m, q), "{building}", d.project.Building, "{high}", d.figure(a.Parameters, "high limit"), "{low}", d.figure(a.Parameters, "low limit"))
	a.ToOffnormal, a.ToNormal = strings.TrimSpace(fill.Replace(r.ToOffnormal)), strings.TrimSpace(fill.Replace(r.ToNormal))
	return a
}

// figure is a parameter as an alarm text says it: 104 °F.
func (d *derivation) figure(list []model.Parameter, name string) string {
	for _, p := range list {
		if p.Name == name {
			return strings.TrimSpace(p.Value + " " + d.lib.Units.Symbol(p.Unit))
		}
	}
	return ""
}

// subject is what an alarm text names: the machine; the system with the number
// of the sensor where there are several; the system with its machines where a
// point serves them together, so that nobody looks at the wrong fan.
func (d *derivation) subject(m *machine, q *model.Point) string {
	if base := Base(q.Role); base != q.Role {
		return cmp.Or(m.system, m.Tag) + " sensor " + q.Role[len(base)+1:]
	}
	serves := d.serves(m, q)
	if len(serves) < 2 {
		return m.Tag
	}
	const named = 4
	list := tags(serves[:min(named, len(serves))])
	if more := len(serves) - named; more > 0 {
		list += fmt.Sprintf(" and %d more", more)
	}
	name := m.system
	if m.scheme.Together == "building" {
		name = cmp.Or(d.project.Building, "building")
	}
	return strings.TrimSpace(name + " (" + list + ")")
}

// serves are the machines that a point of a system stands for.
func (d *derivation) serves(m *machine, q *model.Point) []*machine {
	rule, ok := d.lib.Rule(q.Rule)
	if !ok || !d.world.shared[q.Key] {
		return []*machine{m}
	}
	return d.world.served(&rule.When, m)
}

// served are the machines of a system that a rule matches.
func (w *world) served(c *library.Condition, m *machine) []*machine {
	var out []*machine
	for _, o := range m.group {
		if w.matches(c, o) {
			out = append(out, o)
		}
	}
	return out
}

// delay returns the delay of an alarm in s and where the figure comes from.
func (d *derivation) delay(m *machine, r *library.AlarmRule, t delays) (float64, string) {
	switch r.Delay {
	case "start":
		return t.start, t.startBy
	case "stop":
		return t.stop, t.stopBy
	case "both":
		if t.stop > t.start {
			return t.stop, t.stopBy
		}
		return t.start, t.startBy
	case "damper":
		s, _ := stroke(m)
		return s + damperMargin, fmt.Sprintf("common practice: damper %s s + margin %d s", model.Figure(s), damperMargin)
	case "unit":
		s, _ := stroke(m)
		return math.Max(unitStart, s+ramp(m.Control)+startMargin), r.Source
	default:
		return r.Seconds, r.Source
	}
}

// inUnits turns a limit into SI units where the project asks for them. A
// deadband is a difference.
func (d *derivation) inUnits(p model.Parameter) model.Parameter {
	if d.settings.Units != "si" {
		return p
	}
	v, err := strconv.ParseFloat(p.Value, 64)
	if err != nil {
		return p
	}
	switch p.Unit {
	case "degrees-fahrenheit":
		p.Unit = "degrees-celsius"
		if p.Name != "deadband" {
			v -= 32
		}
		v /= 1.8
	case "inches-of-water":
		p.Unit = "pascals"
		v *= 249.089 // NIST SP 811, appendix B.8
	default:
		return p
	}
	p.Value = model.Figure(math.Round(v*10) / 10)
	return p
}

func appendOnce(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
