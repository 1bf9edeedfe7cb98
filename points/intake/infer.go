package intake

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// directColumn names the column that states a thing outright, so that reading
// it is no assumption.
var directColumn = map[string][]string{"kind": {"kind"}, "control": {"control", "vfd"}, "drive": {"drive"}, "motor_type": {"motor_type"}, "damper": {"damper"}, "damper_end_switch": {"damper_end_switch"},
	"damper_fail": {"damper_fail"}, "damper_current": {"damper_voltage"}, "status_device": {"status_device"}, "fire": {"fire"}, "emergency": {"emergency"}, "bid": {"bid", "tag"}, "duty": {"duty"}, "speed": {"scheme"}, "scope": {}}

// airHandler is what a row is that has fans, of which it says nothing.
const airHandler = "an air handling unit"

// removedMachine is what a row is that somebody takes out.
const removedMachine = "a machine to be removed"

// fromRemarks reports whether nothing but words in remarks or notes speaks for
// an answer.
func fromRemarks(v verdict) bool {
	return len(v.won) > 0 && !slices.ContainsFunc(v.won, func(e model.Evidence) bool {
		return !strings.HasPrefix(e.Words, "remarks says") && !strings.HasPrefix(e.Words, "notes says")
	})
}

// infer decides what the list does not say outright, in the order in which one
// answer bears on the next.
func (w *work) infer() {
	w.gatherTexts()
	e := w.e
	if v := w.weigh("scope"); v.answer != "" && v.answer != "fan" {
		e.OutOfScope = v.answer
		severity, fix, motor := finding.Note, "if it is a fan after all, write its kind in a column Kind", ""
		if _, driven := w.has("control"); v.answer == airHandler && (e.Ratings.Power != nil || driven) {
			severity, fix = finding.Caution, "give each of its fans a tag and a row, or write its kind in a column Kind, if the BAS is to run them"
			motor = ", though the row gives a motor: its fans get no points"
		}
		if v.answer == removedMachine && fromRemarks(v) { // DELETED may be said of a part only
			severity, fix = finding.Caution, "write REMOVED into a column New/existing if it goes; else say in the remark what is deleted"
		}
		w.say.add(severity, "out-of-scope", e.Tag, e.Where, fix, "listed but not planned: %s (%s)%s", v.answer, wordsOf(v), motor)
		return
	}
	w.kind()
	if v := w.weigh("motor_type"); v.answer != "" {
		e.Ratings.MotorType = v.answer
		w.assume(v, "motor type "+v.answer)
	}
	if v := w.weigh("drive"); v.answer != "" {
		e.Ratings.Drive = v.answer
		w.assume(v, v.answer+" drive")
	}
	speed := w.speed()
	w.control(speed)
	w.scheme(speed)
	w.damper()
	if v := w.weigh("status_device"); v.answer != "" {
		w.statusDevice(v)
	}
	if v := w.weigh("fire"); v.answer != "" {
		e.FireResponse = v.answer
		w.assume(v, "fire response: "+v.answer)
	} else if d := w.p.Settings.Fire.DefaultResponse; d != "" {
		e.FireResponse = d
		w.say.add(finding.Note, "assumed", e.Tag, e.Where, "write the fire response into the list", "fire response: %s, the project's default", d)
	}
	if v := w.weigh("emergency"); v.answer != "" {
		yes := v.answer == "yes"
		e.Emergency = &yes
		w.assume(v, "emergency power: "+v.answer)
	}
	if v := w.weigh("duty"); v.answer != "" {
		e.Duty = v.answer
		w.assume(v, "its place among its fellows: "+v.answer)
	}
	w.bid()
	w.answers()
	w.unreadWords()
}

// statusDevice takes what the row names as proof of running. A contact that the
// drive or the box brings along is no device of its own: the usual hook-up of
// that control wires it.
func (w *work) statusDevice(v verdict) {
	if t, known := w.lib.Device(v.answer); known {
		w.e.StatusDevice = v.answer
		w.assume(v, "running is proved by a "+strings.ToLower(t.Name[:1])+t.Name[1:])
		return
	}
	w.assume(v, "running is proved by the "+strings.ReplaceAll(v.answer, "-", " "))
}

// answers reports the yes-or-no columns whose words are neither and were of no
// use as words.
func (w *work) answers() {
	for _, field := range []string{"vfd", "emergency", "damper_end_switch"} {
		c, ok := w.has(field)
		if !ok {
			continue
		}
		_, v := answer(c.text)
		used := slices.ContainsFunc(w.e.Evidence, func(one model.Evidence) bool { return one.Where != nil && *one.Where == c.where })
		if v.pending || v.problem != "" && !used {
			w.unreadable(field, c, v, "write yes or no")
		}
	}
}

// unreadWords tells of a cell whose words no rule understands, in a column that
// states the thing outright: what is planned instead is an assumption against
// what somebody wrote.
func (w *work) unreadWords() {
	for _, one := range []struct{ field, planned string }{{"control", w.e.Control}, {"damper", w.e.Damper.Kind}, {"status_device", w.e.StatusDevice}, {"fire", w.e.FireResponse}, {"drive", w.e.Ratings.Drive}, {"motor_type", w.e.Ratings.MotorType}} {
		c, ok := w.has(one.field)
		if !ok || isPending(c.text) || strings.Trim(w.text(one.field), "0123456789 ,.&()-") == "" || w.understood(one.field) || one.field == "control" && withTag.MatchString(w.text("control")) || one.field == "status_device" && ownStatus.MatchString(c.text) {
			continue
		}
		instead := "nothing is taken from it"
		if one.planned != "" {
			instead = strings.ReplaceAll(one.planned, "-", " ") + " is planned, from the rest of the row"
		}
		w.say.add(finding.Caution, "unread-words", w.e.Tag, placeOf(c), "write it in other words, or state it under equipment in the project file", "%s %q is in no words that are understood; %s", fieldName(w.lib, one.field), c.text, instead)
	}
}

// ownStatus are words for a contact that the drive, the box or the unit brings
// along: the usual hook-up of that control wires it.
var ownStatus = regexp.MustCompile(`(?i)\b(?:vfd|vsd|drive|box|fib|unit|bacnet|integral|by mfr)\b`)

// kind decides what the machine is.
func (w *work) kind() {
	e := w.e
	stated := w.text("kind")
	if stated != "" {
		if id := w.kindNamed(stated); id != "" {
			e.Kind = id
			c := w.d.fields["kind"]
			e.Evidence = append(e.Evidence, model.Evidence{About: "kind", For: id, Weight: 20, Words: stated, Won: true, Where: placeOf(c)})
			return
		}
	}
	v := w.weigh("kind")
	defer w.unknownWords(v)
	switch {
	case v.answer != "":
		e.Kind = v.answer
		k, _ := w.lib.Kind(v.answer)
		w.assume(v, "taken as "+article(k.Name))
		w.lettersAlone(v, k)
	case w.p.Settings.Defaults.Kind != "":
		e.Kind = w.p.Settings.Defaults.Kind
		w.say.add(finding.Note, "assumed", e.Tag, e.Where, "write the kind into a column Kind", "taken as %s, the project's default", e.Kind)
	case len(v.tie) > 0:
		e.Unresolved = true
		w.say.add(finding.Caution, "unknown-kind", e.Tag, e.Where, "write the kind in a column Kind or in the project file", "what it is stays open: %s are equally likely (weight %s)", strings.Join(v.tie, " and "), model.Figure(v.score))
	default:
		e.Unresolved = true
		w.say.add(finding.Caution, "unknown-kind", e.Tag, e.Where, "write the kind in a column Kind or in the project file", "nothing on the row says what it is")
	}
}

// lettersAlone asks where nothing but the letters of its tag makes a machine one
// of life safety, though the row says what it serves: SEF may be a smoke exhaust
// fan, or one of a soiled utility room.
func (w *work) lettersAlone(v verdict, k library.Kind) {
	words := strings.TrimSpace(w.texts["service"] + w.texts["type"] + w.texts["description"])
	if !k.LifeSafety || words == "" || slices.ContainsFunc(v.won, func(one model.Evidence) bool { return !strings.HasPrefix(one.Words, "tag begins") }) {
		return
	}
	w.say.add(finding.Caution, "unknown-kind", w.e.Tag, w.e.Where, "write the kind in a column Kind or in the project file", "taken as %s for the letters of its tag alone; what it serves (%s) says nothing of it", article(k.Name), cmp.Or(w.e.Service, w.e.Description))
}

// unknownWords tells of a kind that is none, and of a type that says nothing to
// us: no word of it is known to any rule. What was taken instead comes from
// elsewhere on the row.
func (w *work) unknownWords(v verdict) {
	for _, field := range []string{"kind", "type"} {
		text := w.text(field)
		if text == "" || field == "type" && (strings.ContainsAny(text, "0123456789") || w.understood(field)) {
			continue // how it is built, or a model's designation
		}
		c := w.d.fields[field]
		var ids []string
		for _, k := range w.lib.Kinds {
			ids = append(ids, k.ID, k.Name)
		}
		fix := "write one of the kinds of the library (tallywire library kinds)"
		if near := finding.Nearest(text, ids); near != "" {
			fix = fmt.Sprintf("write %q", near)
		}
		from := ""
		if k, known := w.lib.Kind(w.e.Kind); known && v.answer != "" {
			from = fmt.Sprintf("; taken as %s (%s)", article(k.Name), wordsOf(v))
		}
		w.say.add(finding.Caution, "unknown-kind", w.e.Tag, placeOf(c), fix, "%q is no kind of machine that the library knows%s", text, from)
	}
}

// understood reports whether some rule knows a word of the field, whatever the
// rule is about.
func (w *work) understood(field string) bool {
	text := w.texts[field]
	for i := range w.rules {
		rule := &w.rules[i]
		if len(rule.Fields) > 0 && !slices.Contains(rule.Fields, field) {
			continue
		}
		if slices.ContainsFunc(rule.words, func(word string) bool { return strings.Contains(text, word) }) {
			return true
		}
	}
	return false
}

func article(name string) string {
	if name != "" && strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

// kindNamed returns the id of a kind written by id or by name.
func (w *work) kindNamed(text string) string {
	for _, k := range w.lib.Kinds {
		if phrase(text) == phrase(k.ID) || phrase(text) == phrase(k.Name) {
			return k.ID
		}
	}
	return ""
}

// speed decides between one speed and any speed.
func (w *work) speed() string {
	v := w.weigh("speed")
	if v.answer != "" {
		if w.text("scheme") == "" {
			w.assume(v, v.answer+" speed")
		}
		return v.answer
	}
	k, known := w.lib.Kind(w.e.Kind)
	if !known {
		return ""
	}
	if len(v.tie) > 0 {
		w.say.add(finding.Caution, "unknown-speed", w.e.Tag, w.e.Where, "write constant or variable into a column Scheme or Control", "the row speaks as much for constant as for variable speed; %s speed, usual for such a machine, is planned", k.Usual)
	} else if k.Constant != k.Variable || k.Usual == "variable" {
		w.say.add(finding.Note, "assumed", w.e.Tag, w.e.Where, "write the speed control into the list if it differs", "%s speed: nothing says otherwise", k.Usual)
	}
	return k.Usual
}

// scheme follows from kind and speed unless the list names it.
func (w *work) scheme(speed string) {
	k, known := w.lib.Kind(w.e.Kind)
	if stated := w.text("scheme"); stated != "" {
		id := strings.ReplaceAll(strings.TrimSpace(phrase(stated)), " ", "-")
		if _, ok := w.lib.Scheme(id); ok {
			w.e.Scheme = id
			return
		}
		c := w.d.fields["scheme"]
		fix := "name a scheme of the library (tallywire library schemes)"
		var ids []string
		for _, one := range w.lib.Schemes() {
			ids = append(ids, one.ID)
		}
		if near := finding.Nearest(stated, ids); near != "" {
			fix = fmt.Sprintf("write %q", near)
		}
		w.say.add(finding.Note, "unknown-scheme", w.e.Tag, placeOf(c), fix, "%q is no scheme that the library knows; the scheme follows from kind and speed", stated)
	}
	switch {
	case known:
		w.e.Scheme = k.Scheme(speed)
	case w.p.Settings.Defaults.Scheme != "":
		w.e.Scheme = w.p.Settings.Defaults.Scheme
		w.say.add(finding.Note, "assumed", w.e.Tag, w.e.Where, "write the scheme into the list", "scheme %s, the project's default", w.e.Scheme)
	}
}

// control decides what stands between the BAS and the motor.
func (w *work) control(speed string) {
	w.texts["speed"] = speed
	v := w.weigh("control")
	switch {
	case v.answer != "" && (v.stated || w.p.Settings.Defaults.Control == ""):
		w.e.Control = v.answer
		w.assume(v, "controlled "+controlWords(v.answer))
	case w.p.Settings.Defaults.Control != "":
		w.e.Control = w.p.Settings.Defaults.Control
		w.say.add(finding.Note, "assumed", w.e.Tag, w.e.Where, "write the control into the list", "controlled through %s, the project's default", w.e.Control)
	case len(v.tie) > 0:
		w.say.add(finding.Caution, "unknown-control", w.e.Tag, w.e.Where, "write into a column Control what the motor is controlled by", "what controls the motor stays open: %s are equally likely", strings.Join(v.tie, " and "))
	}
}

// controlWords words a control for a sentence.
func controlWords(id string) string {
	switch id {
	case "packaged":
		return "by packaged controls of its own"
	case "fire-panel":
		return "by the fire panel; the BAS only watches"
	case "none":
		return "locally, not by the BAS"
	case "ec-direct":
		return "through the EC motor's own terminals"
	}
	return "through " + article(strings.ReplaceAll(id, "-", " "))
}

// damper decides kind, end switch, fail position and current of the damper.
func (w *work) damper() {
	d := &w.e.Damper
	if v := w.weigh("damper"); v.answer != "" {
		d.Kind = v.answer
		w.assume(v, "damper: "+v.answer)
		if c, ok := w.has("damper"); ok && d.Where == nil {
			d.Where = placeOf(c)
		}
	} else if d.Volts != nil || d.EndSwitch != nil {
		d.Kind = "motorised"
	}
	if v := w.weigh("damper_end_switch"); v.answer != "" && d.EndSwitch == nil {
		yes := v.answer == "yes"
		d.EndSwitch = &yes
		w.assume(v, "damper end switch: "+v.answer)
	}
	if v := w.weigh("damper_fail"); v.answer != "" {
		d.Fail = v.answer
		w.assume(v, "damper fails "+v.answer)
	}
	if v := w.weigh("damper_current"); v.answer != "" {
		d.AC = v.answer
	}
	if d.Kind != "motorised" || d.Volts != nil {
		return
	}
	for _, field := range []string{"damper", "remarks"} {
		if m := damperVolts.FindStringSubmatch(strings.ToLower(w.text(field))); m != nil {
			v := model.Exactly(float64(atoi(m[1])))
			d.Volts, d.Where = &v, placeOf(w.d.fields[field])
			if m[2] != "" && d.AC == "" {
				d.AC = m[2]
			}
			return
		}
	}
	for _, n := range w.d.notes {
		if m := damperVolts.FindStringSubmatch(strings.ToLower(n.Text)); m != nil && strings.Contains(strings.ToLower(n.Text), "damper") {
			v := model.Exactly(float64(atoi(m[1])))
			d.Volts, d.Where = &v, n.Where
			return
		}
	}
	if v := w.p.Settings.Defaults.DamperVolts; v != nil {
		d.Volts = v
		w.say.add(finding.Note, "assumed", w.e.Tag, w.e.Where, "write the actuator's voltage into the list", "damper actuator %s V, the project's default", v.String())
	}
}

var damperVolts = regexp.MustCompile(`\b(24|120|115|208|230|240|277)\s*-?\s*v(?:olts?)?\s*-?(ac|dc)?\b`)

// bid sorts the machine into base, alternate or existing.
func (w *work) bid() {
	if w.d.existing {
		w.e.Bid = model.Existing
		c := model.Evidence{About: "bid", For: model.Existing, Weight: 20, Words: "(E)", Won: true, Where: w.e.Where}
		w.e.Evidence = append(w.e.Evidence, c)
		return
	}
	if v := w.weigh("bid"); v.answer != "" {
		w.e.Bid = v.answer
		w.assume(v, "bid: "+v.answer)
	}
}

// assume tells what was inferred and from which words, unless a column states it.
func (w *work) assume(v verdict, what string) {
	if v.stated {
		return
	}
	w.say.add(finding.Note, "assumed", w.e.Tag, w.e.Where, "write it into the list if it is otherwise", "%s (%s)", what, wordsOf(v))
}

// wordsOf lists the reasons of a verdict.
func wordsOf(v verdict) string {
	var out []string
	for _, e := range v.won {
		if !slices.Contains(out, e.Words) {
			out = append(out, e.Words)
		}
	}
	return strings.Join(out, "; ")
}
