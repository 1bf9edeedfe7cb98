package intake

import (
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// serviceVoltage: services that no system has, and a motor's nameplate against
// the system that feeds it.
func (d doubt) serviceVoltage() {
	s := d.e.Ratings.Service
	if s == nil {
		return
	}
	for _, v := range s.Volts {
		volts := v.Mid()
		switch {
		case s.Phases == 3 && v.Point() && (volts >= 110 && volts <= 127 || volts == 277 || volts == 347):
			d.ask(finding.Caution, "suspect-service", s.Where, "ANSI C84.1", "check voltage and phases", nil, "%s V is a line-to-neutral voltage: three-phase machines take the line-to-line one", model.Figure(volts))
		case s.Hertz == 50 && (volts == 120 || volts == 208 || volts == 277 || volts == 460 || volts == 480):
			d.ask(finding.Caution, "suspect-service", s.Where, "ANSI C84.1", "check voltage and frequency", nil, "%s V is a 60 Hz voltage and the list says 50 Hz", model.Figure(volts))
		case s.Hertz == 60 && (volts == 400 || volts == 415):
			d.ask(finding.Caution, "suspect-service", s.Where, "IEC 60038", "check voltage and frequency", nil, "%s V is a 50 Hz voltage and the list says 60 Hz", model.Figure(volts))
		}
	}
	d.nameplate()
	d.panelSystem()
}

var (
	feedColumn = regexp.MustCompile(`(?i)\b(?:panel|panelboard|fed|feed|source|switchboard|mcc|supply)\b`)
	systemText = regexp.MustCompile(`\b(\d{3})\s*[Yy]?\s*/\s*(\d{3})\s*[Vv]?`)
)

// panelSystem: where the row names the panel that feeds the machine with its
// system, that system must have the machine's voltage.
func (d doubt) panelSystem() {
	s := d.e.Ratings.Service
	for _, name := range slices.Sorted(maps.Keys(d.e.Fields)) {
		m := systemText.FindStringSubmatch(d.e.Fields[name].Text)
		if m == nil || !feedColumn.MatchString(name) || len(s.Volts) == 0 {
			continue
		}
		a, b := float64(atoi(m[1])), float64(atoi(m[2]))
		i := slices.IndexFunc(d.lib.Systems, func(one library.VoltageSystem) bool {
			return one.LineLine == math.Max(a, b) && one.LineNeutral == math.Min(a, b)
		})
		if i < 0 {
			continue
		}
		system := d.lib.Systems[i]
		if slices.ContainsFunc(s.Volts, func(v model.Interval) bool { return d.feeds(system, v, s.Phases) }) {
			continue
		}
		d.ask(finding.Caution, "nameplate-voltage", d.e.Fields[name].Where, "ANSI C84.1; NEMA MG 1, 12.44", "correct the panel or the machine's voltage",
			[]finding.Number{{Name: "machine", Value: s.Volts[len(s.Volts)-1].Hi, Unit: "V"}, {Name: "system", Value: system.LineLine, Unit: "V"}},
			"the machine is for %s and %s %q is a %s system", s.Text, strings.ToLower(name), d.e.Fields[name].Text, system.Name)
	}
}

// feeds reports whether a system has a voltage within a nameplate's tolerance.
func (d doubt) feeds(system library.VoltageSystem, plate model.Interval, phases int) bool {
	tolerance := d.limit("nameplate-tolerance")
	has := func(nominal float64) bool {
		return nominal > 0 && nominal >= plate.Lo*(1-tolerance)-1e-9 && nominal <= plate.Hi*(1+tolerance)+1e-9
	}
	return has(system.LineLine) || phases != 3 && has(system.LineNeutral)
}

// nameplate: where the list gives a motor voltage beside the service, the
// supply's range A must stay within the nameplate's tolerance (NEMA MG 1, 12.44).
func (d doubt) nameplate() {
	s := d.e.Ratings.Service
	text, ok := d.e.Fields["voltage"]
	if _, both := d.e.Fields["electrical"]; !ok || !both || len(s.Volts) == 0 {
		return
	}
	lone, done := lone(strings.ToLower(strings.TrimSuffix(strings.ToUpper(tidy(text.Text)), "V")), "voltage", text.Text)
	if !done || lone.service == nil {
		return
	}
	plate := lone.service.Volts[0].Lo
	for _, v := range s.Volts {
		if plate == v.Mid() {
			return
		}
	}
	nominal := s.Volts[len(s.Volts)-1].Mid()
	low, high := nominal*0.9, nominal*1.05
	if one, ok := d.lib.Ratings.Service(nominal); ok {
		low, high = one.AUse, one.AMax
	}
	tolerance := d.limit("nameplate-tolerance")
	if low >= plate*(1-tolerance)-1e-9 && high <= plate*(1+tolerance)+1e-9 {
		return
	}
	d.ask(finding.Caution, "nameplate-voltage", text.Where, "NEMA MG 1, 12.44; ANSI C84.1, range A", "order the motor for the system, or correct the service",
		[]finding.Number{{Name: "nameplate", Value: plate, Unit: "V"}, {Name: "system", Value: nominal, Unit: "V"}},
		"a %s V motor runs from %s to %s V; a %s V system gives %s to %s V at the motor", model.Figure(plate), model.Figure(round(plate*(1-tolerance))), model.Figure(round(plate*(1+tolerance))), model.Figure(nominal), model.Figure(round(low)), model.Figure(round(high)))
}

// contradictions: things that the row says at once and that cannot be.
func (d doubt) contradictions() {
	e, g := d.e, d.e.Ratings
	drive := e.Control == "variable-frequency-drive" || e.Control == "variable-frequency-drive-bypass"
	if drive && g.MotorType == "ec" {
		d.ask(finding.Caution, "ec-with-drive", d.evidenceAt("control", e.Control), "common practice", "keep one: an EC motor carries its own drive and takes a speed signal or a contact", nil, "an EC motor and a variable-frequency drive on one fan (%s; %s)", d.words("motor_type", "ec"), d.words("control", e.Control))
	}
	if drive && g.MotorType != "ec" && g.Service != nil && g.Service.Phases == 1 {
		d.ask(finding.Caution, "drive-on-single-phase", d.evidenceAt("control", e.Control), "common practice", "order a three-phase or an EC motor, or take the drive away", nil, "a variable-frequency drive on a single-phase motor (%s)", g.Service.Text)
	}
	if g.MotorType == "two-speed" && d.hasWords("speed", "0 10", "2 10", "4 20", "speed signal", "speed reference", "modulat") {
		d.ask(finding.Caution, "two-speed-with-signal", d.evidenceAt("motor_type", "two-speed"), "common practice", "say whether the fan has two speeds by contact or any speed by signal", nil, "a two-speed motor has no input for a speed signal (%s)", d.words("speed", "variable"))
	}
	if d.e.Damper.Kind == "gravity" && (e.Damper.Volts != nil || e.Damper.EndSwitch != nil && *e.Damper.EndSwitch) {
		d.ask(finding.Caution, "damper-contradiction", e.Damper.Where, "common practice", "say whether the damper is motorised", nil, "a gravity damper with an actuator voltage or an end switch")
	}
	d.boxService()
}

// boxService: a 100-277 V box on more than it takes, or on 277 V where no
// neutral is brought out.
func (d doubt) boxService() {
	s := d.e.Ratings.Service
	if d.e.Control != "fan-interface-box" || s == nil || len(s.Volts) == 0 {
		return
	}
	fits := slices.ContainsFunc(s.Volts, func(v model.Interval) bool {
		return v.Hi <= d.limit("box-high")/1.1+1e-9 && v.Lo >= d.limit("box-low")/0.9-1e-9
	})
	top := s.Volts[len(s.Volts)-1].Hi
	numbers := []finding.Number{{Name: "service", Value: top, Unit: "V"}}
	const source = "a 100-277 V box, -10 / +10 %; common practice"
	switch {
	case !fits && (strings.HasSuffix(s.System, "delta") || s.Wires == 3 && s.Phases == 3):
		d.ask(finding.Caution, "box-service", s.Where, source, "feed it from a transformer, or order a three-phase starter or drive", numbers, "the fan interface box takes 100 to 277 V; %s V has no neutral here (%s) that would give 277 V", model.Figure(top), s.Text)
	case !fits && math.Abs(top-480) <= 20:
		d.ask(finding.Caution, "box-service", s.Where, source, "take the box's supply from line to neutral (277 V), if the neutral is brought along", numbers, "the fan interface box takes 100 to 277 V and the service is %s V line to line", model.Figure(top))
	case !fits:
		d.ask(finding.Caution, "box-service", s.Where, source, "order a box or another control for that voltage", numbers, "the fan interface box takes 100 to 277 V and the service is %s V", model.Figure(top))
	}
}

// words are the reasons for a reading, for the message of a contradiction.
func (d doubt) words(about, reading string) string {
	for _, one := range d.e.Evidence {
		if one.About == about && one.For == reading {
			return one.Words
		}
	}
	return strings.ReplaceAll(about, "_", " ")
}

// evidenceAt is where the reason for a reading stands.
func (d doubt) evidenceAt(about, reading string) *model.Where {
	for _, one := range d.e.Evidence {
		if one.About == about && one.For == reading {
			return one.Where
		}
	}
	return nil
}

// hasWords reports whether evidence about something rests on one of the words.
func (d doubt) hasWords(about string, words ...string) bool {
	return slices.ContainsFunc(d.e.Evidence, func(one model.Evidence) bool {
		return one.About == about && slices.ContainsFunc(words, func(w string) bool { return strings.Contains(one.Words, w) })
	})
}
