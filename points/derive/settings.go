package derive

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// checkSettings looks at what the settings and the user's rules name: a
// misspelt role would silently do nothing.
func checkSettings(lib *library.Library, s model.Settings, equipment []model.Equipment) []finding.Finding {
	var out []finding.Finding
	var roles, tags []string
	for _, r := range lib.Roles() {
		roles = append(roles, r.ID)
	}
	for _, e := range equipment {
		tags = append(tags, e.Tag)
	}
	place := (*model.Where)(nil) // of a record; settings have none
	unknown := func(where, name string) {
		word, of, choices := name, "role", roles
		if tag, role, ok := model.Split(name); ok {
			if word = role; !slices.Contains(tags, tag) {
				word, of, choices = tag, "tag", tags
			}
		}
		if of == "role" && (slices.Contains(roles, word) || slices.Contains(roles, Base(word))) {
			return
		}
		f := finding.Finding{Code: "unknown-role", Severity: finding.Caution, Subject: name, Where: place,
			Message: fmt.Sprintf("%s names the %s %q, which does not exist", where, of, word), Fix: "correct it; `tallywire library` lists the roles"}
		if near := finding.Nearest(word, choices); near != "" {
			f.Message += fmt.Sprintf("; did you mean %q?", near)
		}
		out = append(out, f)
	}
	for _, n := range s.Derive.Optional {
		unknown("settings.derive.optional", n)
	}
	for _, n := range s.Derive.Without {
		unknown("settings.derive.without", n)
	}
	for _, n := range slices.Sorted(maps.Keys(s.Naming.Abbreviations)) {
		unknown("settings.naming.abbreviations", n)
	}
	for _, n := range slices.Sorted(maps.Keys(s.Derive.Trends)) {
		unknown("settings.derive.trends", n)
	}
	for _, n := range slices.Sorted(maps.Keys(s.Derive.COVIncrements)) {
		if _, unit := lib.Units.Named(n); !unit {
			unknown("settings.derive.cov_increments", n)
		}
	}
	for _, n := range slices.Sorted(maps.Keys(s.Derive.StateTexts)) {
		unknown("settings.derive.state_texts", n)
	}
	for _, r := range lib.Rules() {
		if place = r.Where; !slices.Contains(roles, r.Emits.Role) {
			unknown("the rule "+r.ID, r.Emits.Role)
		}
	}
	for _, r := range lib.AlarmRules() {
		if place = r.Where; !slices.Contains(roles, r.On) {
			unknown("the alarm rule "+r.ID, r.On)
		}
	}
	for _, h := range lib.HookUps() {
		place = h.Where
		for _, r := range h.Match.Roles {
			if !strings.HasSuffix(r, "*") { // exhaust-s* is any role that begins so
				unknown("the hook-up "+h.ID, r)
			}
		}
	}
	return slices.Concat(out, badPattern(s.Naming.Pattern), unknownAlarms(lib, s), unknownItems(lib), ownRules(lib))
}

// unknownItems looks at the rows of the responsibility table that roles and
// rules name: with a misspelt one nobody furnishes the device.
func unknownItems(lib *library.Library) []finding.Finding {
	var items []string
	for _, t := range lib.Tasks() {
		items = append(items, t.ID)
	}
	var out []finding.Finding
	look := func(what, id, item string, where *model.Where) {
		if item == "" || slices.Contains(items, item) {
			return
		}
		f := finding.Finding{Code: "unknown-role", Severity: finding.Caution, Subject: id, Where: where,
			Message: fmt.Sprintf("the %s %s names the item %q, which the responsibility table does not have", what, id, item), Fix: "correct it; `tallywire library responsibility` lists the items"}
		if near := finding.Nearest(item, items); near != "" {
			f.Message += fmt.Sprintf("; did you mean %q?", near)
		}
		out = append(out, f)
	}
	for _, r := range lib.Roles() {
		look("role", r.ID, r.Item, r.Where)
	}
	for _, r := range lib.Rules() {
		look("rule", r.ID, r.Emits.Item, r.Where)
	}
	return out
}

// badPattern looks for parts of the name pattern that do not exist: they would
// stand in every name as they are.
func badPattern(pattern string) []finding.Finding {
	parts := []string{"building", "system", "equipment", "role"}
	var out []finding.Finding
	for rest := pattern; ; {
		_, after, open := strings.Cut(rest, "{")
		name, behind, shut := strings.Cut(after, "}")
		if !open || !shut {
			return out
		}
		if rest = behind; slices.Contains(parts, name) {
			continue
		}
		f := finding.Finding{Code: "name-pattern", Severity: finding.Caution, Subject: "settings.naming.pattern",
			Message: fmt.Sprintf("the pattern has the part {%s}; there are {building}, {system}, {equipment} and {role}", name), Fix: "correct it"}
		if near := finding.Nearest(name, parts); near != "" {
			f.Message += fmt.Sprintf("; did you mean {%s}?", near)
		}
		out = append(out, f)
	}
}

// unknownAlarms looks at the alarm names that the settings give levels.
func unknownAlarms(lib *library.Library, s model.Settings) []finding.Finding {
	var names []string
	for _, r := range lib.AlarmRules() {
		names = appendOnce(names, r.Name)
	}
	var out []finding.Finding
	for _, n := range slices.Sorted(maps.Keys(s.Alarms.Levels)) {
		if slices.Contains(names, n) {
			continue
		}
		f := finding.Finding{Code: "unknown-role", Severity: finding.Caution, Subject: n,
			Message: fmt.Sprintf("settings.alarms.levels names the alarm %q, which does not exist", n), Fix: "correct it; `tallywire library` lists the alarms"}
		if near := finding.Nearest(n, names); near != "" {
			f.Message += fmt.Sprintf("; did you mean %q?", near)
		}
		out = append(out, f)
	}
	return out
}

// assumptions says what was taken for granted, once for all the machines it
// concerns.
func (d *derivation) assumptions() {
	if len(d.list) == 0 {
		return
	}
	note := func(subjects []string, message, fix, source string) {
		f := finding.Finding{Code: "planning-assumption", Severity: finding.Note, Message: message, Fix: fix, Source: source}
		if len(subjects) > 0 {
			f.Subject, f.Subjects = subjects[0], several(subjects)
		}
		d.findings = append(d.findings, f)
	}
	s := d.settings
	if s.Naming.Pattern == "" {
		note(nil, fmt.Sprintf("object names are made as %s, of letters, digits and %s, %d characters or fewer", defaultPattern, cmp.Or(s.Naming.Allowed, defaultAllowed), cmp.Or(s.Naming.MaxLength, defaultLength)),
			"state settings.naming with the owner's own pattern", "common practice")
	}
	if s.Naming.Instances == "" {
		note(nil, "object instances are numbered for each object type, from "+fmt.Sprint(cmp.Or(s.Naming.FirstInstance, 1)), "state settings.naming.instances with the owner's plan", "common practice")
	}
	if s.Alarms.Edition == "" {
		e := editions[defaultEdition]
		note(nil, fmt.Sprintf("fan alarms follow ASHRAE Guideline 36-2021: %s s on failed-to-run, %s s on running-while-off; longer where damper and ramp take longer; the 2024 addendum waits 60 s on running-while-off", model.Figure(e[0]), model.Figure(e[1])),
			"state settings.alarms.edition, or the delays themselves", "ASHRAE Guideline 36")
	}
	if s.Alarms.FanFailure == "" {
		note(nil, "fan failure is an object of its own, so that failed-to-run and running-while-off keep levels and delays of their own", "set settings.alarms.fan_failure to feedback for one alarm on the output", "ASHRAE Guideline 36; ASHRAE 135, clause 13.3.4")
	}
	if slices.ContainsFunc(d.list, func(q model.Point) bool { return q.COVIncrement != nil }) && len(s.Derive.COVIncrements) == 0 {
		note(nil, "COV increments of analog objects are the usual ones of their units, at most 1 % of the object's range, or of the machine's airflow", "state settings.derive.cov_increments by role or by unit", "common practice: about the accuracy of the sensor")
	}
	if len(s.Alarms.Classes) == 0 {
		note(nil, "one notification class for each alarm level: 1 life safety, 2 critical equipment, 3 urgent, 4 normal", "state settings.alarms.classes", "common practice")
	}
	if len(d.assumed.sensors) > 0 {
		note(d.assumed.sensors, "the number of gas sensors is not given: one pair for every 7,500 ft2 of floor, at least one", "give the number of sensors for one fan of the system", "common practice")
	}
	if len(d.assumed.stroke) > 0 {
		note(d.assumed.stroke, fmt.Sprintf("the damper's stroke time is not given: %d s was taken for alarm delays", usualStroke), "give the stroke time of the actuator", "common practice: 60 to 90 s")
	}
	if len(d.assumed.scaled) > 0 {
		note(d.assumed.scaled, "the range of its sensor follows the machine's rating with a quarter of headroom", "take the range of the sensor that is bought", "common practice")
	}
	if len(d.assumed.unscaled) > 0 {
		d.findings = append(d.findings, finding.Finding{Code: "range-open", Severity: finding.Note, Subject: d.assumed.unscaled[0], Subjects: several(d.assumed.unscaled), Source: "common practice",
			Message: "its range is not known: nobody can scale the input", Fix: "give the machine's airflow, current or power in the list, or the range of the sensor"})
	}
	d.assumedOfMachines(note)
	d.unusedOptions()
}

// unusedOptions tells entries of the settings that exist and change nothing.
func (d *derivation) unusedOptions() {
	tell := func(setting, entry, message string) {
		if role := entry[strings.LastIndexByte(entry, '/')+1:]; !d.used[entry] {
			if _, known := d.lib.Role(Base(role)); known {
				d.findings = append(d.findings, finding.Finding{Code: "option-unused", Severity: finding.Caution, Subject: entry,
					Message: setting + " lists " + entry + ", " + message, Fix: "take it out, or see which scheme and control carry it: `tallywire library` lists the rules"})
			}
		}
	}
	for _, n := range d.settings.Derive.Optional {
		there := slices.ContainsFunc(d.list, func(q model.Point) bool { return q.Key == n || q.Role == n || Base(q.Role) == n })
		if !there {
			tell("settings.derive.optional", n, "but no machine of the list can carry it")
		}
	}
	for _, n := range d.settings.Derive.Without {
		tell("settings.derive.without", n, "but no machine of the list carries it")
	}
}

// assumedOfMachines gathers what single machines leave open.
func (d *derivation) assumedOfMachines(note func([]string, string, string, string)) {
	var override, airflow, damper, together, boxes, packaged []string
	for i := range d.world.machines {
		m := &d.world.machines[i]
		if !m.inScope() {
			continue
		}
		if m.scheme.Family == library.FamilyPackaged && !m.network && (m.Control == "packaged" || m.Control == "") {
			packaged = append(packaged, m.Tag)
		}
		if m.override {
			boxes = append(boxes, m.Tag)
		}
		if m.override && m.fire == "" {
			override = append(override, m.Tag)
		}
		if m.Ratings.Airflow == nil && (m.Scheme == "return" || strings.HasPrefix(m.Scheme, "supply-")) {
			airflow = append(airflow, m.Tag)
		}
		if m.Damper.Kind == "" && m.scheme.Family == library.FamilyFan && !d.world.moves(m) {
			damper = append(damper, m.Tag)
		}
		if m.group[0] == m && len(m.group) > 1 && m.System == "" && m.scheme.Together == "system" {
			for _, o := range m.group {
				together = append(together, o.Tag)
			}
		}
	}
	if d.world.overrideBy != "input" && len(boxes) > 0 {
		d.findings = append(d.findings, finding.Finding{Code: "override-by-flag", Severity: finding.Caution, Subject: boxes[0], Subjects: several(boxes),
			Message: "the settings take overrides from the " + d.world.overrideBy + " of the output, but a fan interface box tells nothing back: an override by the fire system is not seen",
			Fix:     "set settings.derive.override_by to input: a spare pole of the override relay on an input"})
	}
	if len(override) > 0 && d.world.overrideBy == "input" {
		note(override, "the response to fire is not given: the override input of the fan interface box is taken to be in use by the fire system", "state stop, run, continue or none for the fan; continue and none leave the override input free", "common practice")
	}
	if len(airflow) > 0 {
		note(airflow, "the airflow is not given, so no duct smoke detector contact is planned; it is asked for above 2,000 cfm", "give the airflow", "IMC 606.2.1; NFPA 90A")
	}
	if len(damper) > 0 {
		note(damper, "no damper is given: none is planned", "state the damper if there is one; energy codes ask for a motorised one above 300 cfm", "ASHRAE 90.1, clause 6.4.3.4.2")
	}
	if len(packaged) > 0 {
		note(packaged, "the bus map of the unit's own controls is not planned: hard points only", "list the machine under settings.derive.network if its protocol card is ordered", "common practice")
	}
	if len(together) > 0 {
		note(together, "these fans name no system and serve the same area: taken as one system that shares its sensors", "name the system of each fan", "common practice")
	}
}

// several returns the subjects of a finding that concerns more than one.
func several(list []string) []string {
	if len(list) < 2 {
		return nil
	}
	return list
}

// moves reports whether the machine only stirs the air of one room, so that it
// has no damper.
func (w *world) moves(m *machine) bool {
	return slices.Contains([]string{"transfer", "destratification", "high-volume"}, m.Scheme)
}
