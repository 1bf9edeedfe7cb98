// Package derive turns equipment and the rules of its scheme into points,
// alarms and rows of the responsibility table. What a fan carries is data in
// the library; this package matches, words and numbers it.
package derive

import (
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Result is what the equipment's schemes ask for.
type Result struct {
	Points         []model.Point
	Alarms         []model.Alarm
	Support        []model.SupportObject // schedules, trend logs, notification classes, event enrollments
	Responsibility []model.Responsibility
	Findings       []finding.Finding
}

// Derive makes the points and alarms of all equipment in scope. Points stand
// in the order of the equipment, and of the roles within one machine; the
// first rule of the library that makes a role makes it. Equipment without a
// known kind and scheme gets no points and a finding.
func Derive(lib *library.Library, p *model.Project, equipment []model.Equipment) Result {
	w := survey(lib, p.Settings, equipment)
	d := &derivation{lib: lib, project: p, settings: p.Settings, world: w, made: map[string]int{}, told: map[string]bool{}, used: map[string]bool{}}
	d.findings = append(d.findings, checkSettings(lib, p.Settings, equipment)...)
	for i := range w.machines {
		d.scope(&w.machines[i])
	}
	for i := range w.machines {
		d.points(&w.machines[i])
		d.nothing(&w.machines[i])
	}
	d.link()
	d.name()
	for i := range w.machines {
		d.alarm(&w.machines[i])
	}
	d.assumptions()
	d.findings = append(d.findings, Validate(lib, p.Settings, d.list, d.alarms)...)
	return Result{Points: d.list, Alarms: d.alarms, Support: d.support(), Responsibility: responsibility(lib, w, d.list), Findings: d.findings}
}

// derivation is one run: what has been made so far.
type derivation struct {
	lib      *library.Library
	project  *model.Project
	settings model.Settings
	world    *world
	list     []model.Point
	made     map[string]int // point key → index in list
	alarms   []model.Alarm
	told     map[string]bool // alarm ids made so far
	used     map[string]bool // entries of settings.derive that decided about a point
	findings []finding.Finding
	assumed  assumed
}

// assumed remembers what had to be taken for granted, to be said once.
type assumed struct {
	sensors, override, stroke, system []string // tags
	noAirflow                         []string
	scaled, unscaled                  []string // point keys
}

// say records a finding about a machine.
func (d *derivation) say(code string, s finding.Severity, m *machine, message, fix string) {
	f := finding.Finding{Code: code, Severity: s, Subject: m.Tag, Message: message, Fix: fix, Where: m.Where}
	d.findings = append(d.findings, f)
}

// scope says why a machine gets no points, or which part of it contradicts its
// scheme.
func (d *derivation) scope(m *machine) {
	switch {
	case m.OutOfScope != "": // the reader of the list says so already
	case m.Scheme == "":
		d.say("no-points", finding.Caution, m, "no points are planned: how it is controlled is not known"+unknownKind(m), "state its scheme in the project file; `tallywire library` lists the schemes")
	case m.scheme == nil:
		message := fmt.Sprintf("no points are planned: the scheme %q is not known", m.Scheme)
		if near := finding.Nearest(m.Scheme, d.schemeIDs()); near != "" {
			message += fmt.Sprintf("; did you mean %q?", near)
		}
		d.say("no-points", finding.Caution, m, message, "name a scheme that `tallywire library` lists, or add your own")
	}
	if !m.inScope() {
		return
	}
	if m.scheme.Speed == "variable" && (m.Control == "starter" || m.Control == "relay") {
		d.say("scheme-contradicts", finding.Fault, m,
			fmt.Sprintf("the scheme %s varies the speed, but a %s cannot: the speed reference has nowhere to go and is not planned", m.Scheme, m.Control),
			"ask whether a drive or an EC motor is meant, or take the constant-speed scheme")
	}
	drive := m.Control == "variable-frequency-drive" || m.Control == "variable-frequency-drive-bypass"
	if drive && (m.Ratings.MotorType == "ec" || m.Ratings.MotorType == "single-phase") {
		d.say("drive-contradicts", finding.Fault, m,
			fmt.Sprintf("a variable frequency drive on %s motor: a drive serves three-phase induction motors", article(m.Ratings.MotorType)),
			"ask which of the two the submittal shows; an EC motor takes its speed reference directly or through an interface box")
	}
	if m.scheme.LifeSafety && m.Control != "fire-panel" && m.Control != "" {
		d.say("monitor-only", finding.Note, m,
			"this fan is run by the fire system; the BAS gets run and trouble only, whatever controller the list names",
			"if it serves normal ventilation as well, list start under settings.derive.optional as "+m.Tag+"/start")
	}
	d.fellows(m)
	if m.Control == "" && m.scheme.Family == library.FamilyFan {
		d.say("control-unknown", finding.Caution, m,
			"what stands between the BAS and the motor is not known: start and status are planned, the rest is not",
			"state control for it: fan-interface-box, variable-frequency-drive, starter, ec-direct, relay or packaged")
	}
}

// fellows says that a duty has nobody to stand for.
func (d *derivation) fellows(m *machine) {
	switch {
	case m.Duty == "":
	case len(m.fellows) == 1:
		d.say("duty-alone", finding.Caution, m, fmt.Sprintf("its duty is %s, but no fellow under the scheme %s shares its system or service: no lead, no rotation and no standby alarm are planned", m.Duty, m.Scheme),
			"give the fans that stand for one another the same System, and each its duty")
	case m.Duty == model.DutyStandby && m.fellows[0] == m && !slices.ContainsFunc(m.fellows, func(o *machine) bool { return o.Duty != model.DutyStandby }):
		d.say("duty-alone", finding.Caution, m, "of "+tags(m.fellows)+" all are standby: none is on duty", "say which of them runs, or that they take turns")
	}
}

// nothing says that a machine in scope is left without points.
func (d *derivation) nothing(m *machine) {
	if m.inScope() && m.from == m.to && d.world.of(m.Tag) == m {
		d.say("no-points", finding.Note, m, "no points are planned: under this scheme a fan whose control is "+orUnknown(m.Control)+" leaves nothing to the BAS",
			"state its control if the BAS starts or watches it")
	}
}

func unknownKind(m *machine) string {
	if m.Kind == "" {
		return ", nor what it is"
	}
	return ""
}

func article(motor string) string {
	if motor == "ec" {
		return "an EC"
	}
	return "a " + motor
}

func (d *derivation) schemeIDs() []string {
	var out []string
	for _, s := range d.lib.Schemes() {
		out = append(out, s.ID)
	}
	return out
}

// link sets the feedback of outputs to the point that proves them, if it is
// there. A rule names the role; a role that stands once for the whole system
// is found at its lead.
func (d *derivation) link() {
	for i := range d.list {
		q := &d.list[i]
		if q.Feedback == "" {
			continue
		}
		if key, ok := d.find(q.Equipment, q.Feedback); ok {
			q.Feedback = key
		} else {
			q.Feedback = ""
		}
	}
}

// find returns the key of a role of a machine, or of its system.
func (d *derivation) find(tag, role string) (string, bool) {
	if _, ok := d.made[tag+"/"+role]; ok {
		return tag + "/" + role, true
	}
	if m := d.world.of(tag); m != nil {
		for _, o := range m.group {
			if key := o.Tag + "/" + role; d.world.shared[key] {
				return key, true
			}
		}
	}
	return "", false
}
