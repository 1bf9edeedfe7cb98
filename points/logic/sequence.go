package logic

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// Deferral stands on every life-safety page.
const Deferral = "Life safety: this page is planning information. The codes in force locally, the fire trade and licensed practice decide. " +
	"No controller here is taken to be suitable for smoke control without a listing that the user states."

// sequence is the sequence of operation of one fan, from its evaluated logic.
func (k *checker) sequence(f *fan) model.Sequence {
	s := model.Sequence{Equipment: f.name, LifeSafety: k.lifeSafety(f)}
	add := func(heading string, sentences ...string) {
		text := strings.Join(sentences, " ")
		if text != "" {
			s.Paragraphs = append(s.Paragraphs, model.SequencePart{Heading: heading, Text: text})
		}
	}
	if s.LifeSafety {
		add("Caution", k.deferral(f))
	}
	if len(f.scheme.Sequence) > 0 {
		add("Purpose", f.scheme.Sequence...)
	}
	if f.logic == nil {
		add("Control", k.noControl(f))
		if f.waits() {
			return s
		}
		add("Start", k.edgeStarts(f)...)
		add("Stop", k.edgeStops(f)...)
		add("Override", k.overrideWords(f)...)
		add("Power", k.powerWords(f)...)
		return s
	}
	add("Start", k.startWords(f)...)
	add("Run", k.runWords(f)...)
	add("Stop", k.stopWords(f)...)
	add("Override", k.overrideWords(f)...)
	add("Failure", k.failureWords(f)...)
	add("Power", k.powerWords(f)...)
	add("Accepted", k.accepted(f)...)
	return s
}

// accepted are the departures that the project declares for a fan, as far as
// they are found: they belong to what is signed.
func (k *checker) accepted(f *fan) []string {
	var out []string
	for _, x := range k.p.Exceptions {
		if x.Subject != f.eq.Tag && x.Subject != "all" {
			continue
		}
		for _, y := range k.findings {
			if y.Code == x.Code && y.Subject == f.eq.Tag {
				out = append(out, "The project accepts that "+strings.TrimSuffix(y.Message, ".")+" ("+x.Code+"): "+strings.TrimSuffix(x.Reason, ".")+".")
				break
			}
		}
	}
	return out
}

func (k *checker) noControl(f *fan) string {
	switch {
	case f.waits():
		return "Neither its kind nor what runs it is known yet; its sequence is written once the list says them."
	case f.byFirePanel():
		var watched []string
		for _, key := range k.keysOf[f.eq.Tag] {
			if p := k.points[key]; p.Carried != model.Software && strings.HasSuffix(p.ObjectType, "-input") {
				watched = append(watched, strings.ReplaceAll(p.Role, "-", " "))
			}
		}
		text := "The fire panel runs this fan; the BAS neither starts nor stops it"
		if len(watched) > 0 {
			text += " and watches it by " + listed(watched, "and")
		}
		return text + "."
	case f.eq.Control == "none":
		return "The BAS does not run this fan; it watches it where points are listed."
	}
	return "The device that runs this fan is not known: nothing is said about it here."
}

// listed joins words with commas and a last and / or.
func listed(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

func (k *checker) startWords(f *fan) []string {
	var out []string
	auto := ""
	if f.inAuto != always {
		auto = "In AUTO "
	}
	begin := func(text string) string {
		if auto == "" {
			return strings.ToUpper(text[:1]) + text[1:]
		}
		return auto + text
	}
	switch {
	case f.hasBAS && f.gated == "or" && f.speed != never:
		out = append(out, begin("the fan starts when the BAS closes its start or raises its reference to "+threshold(f)+" or more."))
	case f.hasBAS && f.speed != never:
		out = append(out, begin("the fan starts when the BAS closes its start and its reference stands at "+threshold(f)+" or more."))
	case f.hasBAS:
		out = append(out, begin("the fan starts when the BAS closes its start."))
	case f.speed != never:
		out = append(out, begin("the fan starts when its reference stands at "+threshold(f)+" or more."))
	default:
		out = append(out, "The fan is started by its own controls, not by the BAS.")
	}
	for _, c := range f.starts {
		out = append(out, "It is started as well by "+c.words+".")
	}
	if f.logic.SealsIn {
		out = append(out, "Once started it holds itself in: a moment's start is enough, opening the start does not stop it, and after a dip of the power it stays off unless its start is still made.")
	}
	out = append(out, k.edgeStarts(f)...)
	if f.hasDamper {
		shuts := ""
		if when := k.damperShuts(f); len(when) > 0 {
			shuts = ", which shuts it when " + listed(when, "or")
		}
		out = append(out, "Its damper is opened by "+f.damperBy+shuts+".")
	}
	return out
}

// damperShuts are the trips on which the BAS shuts the damper of a fan, as
// clauses of a sentence.
func (k *checker) damperShuts(f *fan) []string {
	var out []string
	for _, r := range k.tripsSeen(f) {
		e := k.events[r] // the event of any zone stands for its zones
		if k.reads(k.wires[k.list[f.damper].a].def, r) && !strings.Contains(e.ID, "-zone-") {
			out = append(out, happening(e))
		}
	}
	return out
}

// edgeSentences are the sentences of the interlocks of some actions: wired is
// how a sentence about a wire begins, soft one about the BAS. Events whose effect
// stands in the matrix are told there, once.
func (k *checker) edgeSentences(f *fan, wired, soft, last string, actions ...string) []string {
	var out []string
	for _, hard := range []bool{true, false} {
		var fans, events []string
		for _, e := range k.soft[f.name] {
			switch {
			case e.hard != hard || !slices.Contains(actions, e.action):
			case e.event == nil:
				fans = append(fans, "the "+e.source())
			case !k.inMatrix(f, e):
				events = append(events, happening(e.inZone()))
			}
		}
		begin, how := wired, ", by wire."
		if !hard {
			begin, how = soft, "."
		}
		if len(fans) > 0 {
			out = append(out, begin+" with "+listed(fans, last)+how)
		}
		if len(events) > 0 {
			out = append(out, begin+" when "+listed(events, last)+how)
		}
	}
	return out
}

// inMatrix reports whether the matrix tells what the event of an interlock does.
func (k *checker) inMatrix(f *fan, e edge) bool {
	i := slices.IndexFunc(k.shown, func(x library.Event) bool { return x.ID == e.inZone().ID })
	return i >= 0 && i < len(k.cells[f.name]) && acts(k.cells[f.name][i])
}

// acts reports whether a cell of the matrix is the effect of an event.
func acts(effect string) bool {
	return strings.HasPrefix(effect, "stops") || strings.HasPrefix(effect, "runs") || effect == "full speed"
}

// happening is an event as the clause of a sentence: "the fire alarm is active".
func happening(e library.Event) string { return cmp.Or(e.When, e.On) }

// edgeStarts are the interlocks that start a fan or let it run, in words.
func (k *checker) edgeStarts(f *fan) []string {
	out := k.edgeSentences(f, "It starts", "The BAS starts it as well", "or", "start")
	out = append(out, k.edgeSentences(f, "It goes to full speed", "The BAS takes it to full speed", "or", "full")...)
	out = append(out, k.edgeSentences(f, "It runs only", "The BAS lets it run only", "and", "permit")...)
	out = append(out, k.edgeSentences(f, "It runs only", "The BAS lets it run only", "or", "follow")...)
	out = append(out, k.edgeSentences(f, "Its damper opens", "The BAS opens its damper", "or", "open")...)
	return append(out, k.edgeSentences(f, "Its damper shuts", "The BAS shuts its damper", "or", "close")...)
}

// edgeStops are the interlocks that stop a fan.
func (k *checker) edgeStops(f *fan) []string {
	return k.edgeSentences(f, "It stops", "The BAS stops it", "or", "stop")
}

func (k *checker) runWords(f *fan) []string {
	var out []string
	switch {
	case f.speedBy != "":
		out = append(out, "It runs at the speed of its reference.")
	default:
		out = append(out, "It runs at its set speed.")
	}
	switch f.status.follows {
	case "command":
		out = append(out, "The status says that it is told to run, not that air moves.")
	case "motor-current":
		out = append(out, "The status proves motor current.")
	case "airflow":
		out = append(out, "The status proves moving air.")
	}
	if f.inHand != never {
		out = append(out, "In HAND it runs whatever the BAS commands.")
	}
	return out
}

func (k *checker) stopWords(f *fan) []string {
	var out []string
	if f.hasBAS {
		if f.gated == "or" && f.speed != never {
			out = append(out, "The BAS stops it by opening the start and taking the reference to 0 %; either alone leaves it running.")
		} else if !f.logic.SealsIn {
			out = append(out, "The BAS stops it by opening the start.")
		}
		if len(f.starts) > 0 {
			made := " is made"
			if strings.Contains(f.starts[0].words, " supply of ") {
				made = " is on"
			}
			out = append(out, "That does not stop it while "+f.starts[0].words+made+".")
		}
	}
	out = append(out, k.edgeStops(f)...)
	if f.inOff != never {
		out = append(out, "OFF at the selector is no isolation: lock out the power before work.")
	}
	return out
}

// overrideWords come from the same evaluation as the matrix: what each event
// does, by wire or by program, and whether it does so in every mode.
func (k *checker) overrideWords(f *fan) []string {
	var order []string
	events := map[string][]string{}
	row := k.cells[f.name]
	for i, e := range k.shown {
		if i >= len(row) || !acts(row[i]) {
			continue
		}
		key := row[i] + "|" + k.manner(f, e, row[i])
		if events[key] == nil {
			order = append(order, key)
		}
		events[key] = append(events[key], happening(e))
	}
	var out []string
	for _, key := range order {
		verb, manner, _ := strings.Cut(key, "|")
		if verb == "full speed" {
			verb = "goes to full speed"
		}
		verb, with, through := strings.Cut(verb, " with ") // another fan brings it about
		if through {
			verb += " together with " + with
		}
		out = append(out, "It "+verb+" when "+listed(events[key], "or")+manner+".")
	}
	if want := k.fireResponse(f); len(out) == 0 && want != "" {
		out = append(out, map[string]string{"to stop (no circuit here)": "A fire alarm is to stop it; no circuit of this plan does so.", "to run (no circuit here)": "A fire alarm is to run it; no circuit of this plan does so.",
			"run by the fire trade": "The fire trade runs it on a fire alarm; how is not stated here.", "continues": "A fire alarm leaves it running.", "none": "A fire alarm does nothing to it."}[k.statedFire(f)])
	}
	for _, o := range f.overrides {
		switch o.spec.Release {
		case "returns":
			out = append(out, "When the override lets go, the fan returns to what selector and BAS ask.")
		case "restarts":
			out = append(out, "When the override lets go, the fan restarts.")
		case "stays-off":
			out = append(out, "When the override lets go, the fan stays off until it is reset.")
		default:
			out = append(out, "What the fan does when the override lets go is not declared.")
		}
	}
	return out
}

// alarmTime is when an alarm comes, in words.
func alarmTime(a *model.Alarm) string {
	m := a.Mismatch
	if m == nil || max(m.HoldOn, m.HoldOff) == 0 {
		return "after " + model.Figure(a.DelaySeconds) + " s"
	}
	told := map[string]string{"on": "told to run", "off": "told to stop", "either": "told so"}[m.Commanded]
	hold := model.Figure(max(m.HoldOn, m.HoldOff))
	if m.Serial {
		return "after " + model.Figure(m.Seconds) + " s, counted once the fan has been " + told + " for " + hold + " s"
	}
	return "after " + model.Figure(m.Seconds) + " s, once the fan has been " + told + " for " + hold + " s"
}

// manner is how an event acts on a fan: by wire or by sequence, in every mode
// or in AUTO alone.
func (k *checker) manner(f *fan, e library.Event, effect string) string {
	if strings.Contains(effect, " with ") {
		return ""
	}
	how := ", by wire"
	stated, wired := false, false
	for _, x := range k.soft[f.name] {
		if x.event != nil && x.inZone().ID == e.ID {
			stated, wired = true, wired || x.hard
		}
	}
	if stated && !wired {
		how = ", by sequence"
	}
	if f.inAuto == always {
		return how
	}
	does := k.not(f.told)
	if strings.HasPrefix(effect, "stops") {
		does = f.told
	}
	q := k.and(does, k.not(f.inAuto))
	for _, r := range k.ownEvents(f) {
		if k.events[r].ID == e.ID {
			q = k.and(q, r)
		} else {
			q = k.and(q, k.not(r))
		}
	}
	if _, not := k.engine.possible(k.and(q, k.calm(q, kindPower, kindMotor))); not {
		return how + ", in AUTO alone"
	}
	return how + ", in every mode"
}

// alarmWords begin the sentence of an alarm by its name.
var alarmWords = map[string]string{"failed": "Failed-to-run", "running-while-off": "Running-while-off"}

func (k *checker) failureWords(f *fan) []string {
	var out []string
	for _, a := range k.alarms[f.eq.Tag] {
		name := a.ID[strings.LastIndex(a.ID, "/")+1:]
		if alarmWords[name] == "" {
			continue
		}
		line := alarmWords[name] + " (" + a.Condition + ") is alarmed " + alarmTime(a)
		if len(a.InhibitedBy) > 0 {
			var by []string
			for _, x := range a.InhibitedBy {
				if waits := x == "start-delay" || x == "coast-down"; !waits || a.Mismatch == nil {
					by = append(by, strings.ReplaceAll(roleOf(x), "-", " "))
				}
			}
			if len(by) > 0 {
				line += ", held back by " + listed(by, "and")
			}
		}
		out = append(out, line+".")
	}
	return out
}
