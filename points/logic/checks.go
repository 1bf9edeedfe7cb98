package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// checker asks the net the questions that must hold in every state.
type checker struct {
	*builder
	engine     *engine
	alarms     map[string][]*model.Alarm
	circuits   []model.Circuit
	cause      model.CauseEffect
	shown      []library.Event     // the events of the matrix
	cells      map[string][]string // the matrix by fan
	safetyTags map[string]bool     // machines with a life-safety point
	isFan      map[ref]*fan        // wires that are a fan's own: told, command
	statusOf   map[ref]*fan        // formulas that are a fan's status
	driven     map[model.End]bool
	working    snapshot            // everyday work: every fan asked for, nothing else set
	restartOf  map[*fan]int        // order of starts after an outage, from 1
	keysOf     map[string][]string // point keys by machine, in order
}

func (k *checker) checkFan(f *fan) {
	k.fireRow(f)
	k.checkFire(f)
	k.checkAir(f)
	if f.logic == nil {
		if f.scheme.Family == library.FamilyFan && f.eq.Control != "none" {
			k.fan(f, "logic-unknown", finding.Caution, "no device with a declared command logic stands between the BAS and this fan: nothing is proved about it",
				"state the control (fan-interface-box, variable-frequency-drive, starter ...), or add `logic` to the device's record")
		}
		return
	}
	k.startLogic(f)
	if f.hasBAS && f.scheme.Family == library.FamilyFan {
		k.stopAuthority(f)
		k.startAuthority(f)
	}
	k.overrideFirst(f)
	k.overrideReach(f)
	k.overrideUnseen(f)
	k.handHidden(f)
	k.statusIsCommand(f)
	k.falseAlarm(f)
	k.damperLag(f)
	k.safetyBypass(f)
	k.checkStatus(f)
}

// fan adds a finding about a fan. The text must not name the fan, so that the
// same thing said of many gathers into one line.
func (k *checker) fan(f *fan, code string, s finding.Severity, message, fix string) {
	source := "common practice"
	message = f.whose() + message
	k.tell(finding.Finding{Code: code, Severity: s, Subject: f.eq.Tag, Where: f.eq.Where, Message: message, Fix: fix, Source: source})
}

// whose begins what is said of a second fan of a machine.
func (f *fan) whose() string {
	if f.name == f.eq.Tag {
		return ""
	}
	return strings.TrimPrefix(f.name, f.eq.Tag+" ") + ": "
}

// calm holds every event of the formula's cone at rest.
func (k *checker) calm(f ref, kinds ...inputKind) ref {
	inputs, _ := k.engine.cone(f)
	out := always
	for _, i := range inputs {
		in := k.inputs[i]
		if !slices.Contains(kinds, in.kind) {
			continue
		}
		r := k.byName2(in.name)
		if !in.rest {
			r = k.not(r)
		}
		out = k.and(out, r)
	}
	return out
}

func (k *checker) byName2(name string) ref { return k.gates.byName[name] }

// bare is a formula's text with the fan's own tag taken out, for gathering.
func bare(text string, f *fan) string {
	text = strings.ReplaceAll(text, " of "+f.name+" ", " ")
	text = strings.ReplaceAll(text, f.name+"/", "")
	text = strings.TrimSuffix(text, " of "+f.name)
	return strings.ReplaceAll(text, " of "+f.name+",", ",")
}

// story tells a state in words: what is not at rest, and the loops that are held.
func (k *checker) story(s state, f *fan, skip ...ref) string {
	var parts []string
	auto, autoSeen := true, false
	keys := make([]int, 0, len(s.inputs))
	for i := range s.inputs {
		keys = append(keys, i)
	}
	slices.Sort(keys)
	for _, i := range keys {
		in, v := k.inputs[i], s.inputs[i]
		switch {
		case slices.Contains(skip, k.byName2(in.name)):
		case f != nil && in.fan != f.name && v == in.rest:
		case in.kind == kindAuto:
			auto, autoSeen = v, true
			if v {
				parts = append(parts, in.on)
			}
		case in.kind == kindHand:
			if autoSeen && !auto {
				parts = append(parts, "selector of "+in.fan+" "+map[bool]string{true: in.on, false: in.off}[v])
			}
		case v != in.rest || in.kind == kindStart || in.kind == kindSpeed:
			parts = append(parts, map[bool]string{true: in.on, false: in.off}[v])
		}
	}
	wires := make([]ref, 0, len(s.wires))
	for w, up := range s.wires {
		if up {
			wires = append(wires, w)
		}
	}
	slices.Sort(wires)
	for _, w := range wires {
		parts = append(parts, k.wires[k.list[w].a].words+" (held by the loop)")
	}
	text := strings.Join(parts, ", ")
	if f != nil {
		text = bare(text, f)
	}
	return text
}

// stopAuthority: with AUTO, the BAS start off, its speed at the lowest and no
// override or event, the fan stops.
func (k *checker) stopAuthority(f *fan) {
	q := k.and(f.told, f.inAuto, k.not(f.command), k.not(f.speed), k.not(f.bypass))
	s, bad := k.engine.possible(k.and(q, k.calm(q, kindEvent)))
	if !bad {
		return
	}
	also := ""
	for _, c := range f.starts {
		also += "; it is started as well by " + bare(c.words, f)
	}
	k.fan(f, "stop-authority", finding.Fault, "the BAS cannot always stop it: "+k.story(s, f)+": it runs"+also,
		"put the other contact in series with the BAS start, or declare it under exceptions and give the BAS a point that tells it")
}

// startAuthority: the BAS can start the fan, and needs no further contact.
func (k *checker) startAuthority(f *fan) {
	if k.working.value[f.told] && k.working.value[f.command] && k.working.value[f.inAuto] {
		return // it runs in everyday work, nothing else being set
	}
	on := k.and(f.told, f.command, f.inAuto)
	if f.speed != never {
		on = k.and(on, f.speed)
	}
	calm := k.calm(on, kindEvent, kindPower, kindMotor)
	s, can := k.engine.possible(k.and(on, calm))
	if !can {
		k.fan(f, "start-authority", finding.Fault, "the BAS can never start it: with its start on, its reference at full and no event active it stays off in every state",
			"look for a permissive that needs the fan itself, a stop that is always made, or a start input that is not wired")
		return
	}
	for w, up := range s.wires {
		if up && (w == f.told || w == f.command || k.sameLoop(w, f)) {
			k.fan(f, "start-authority", finding.Fault, "the BAS cannot start it from standstill: it starts only if it runs already: what it waits for is made by the fan itself",
				"start on the command and prove by the status: let nothing that the fan itself makes stand in its start")
			return
		}
	}
	var needed []string
	for i, v := range s.inputs {
		if in := k.inputs[i]; in.kind == kindOther && v != in.rest {
			needed = append(needed, bare(in.on, f))
		}
	}
	if len(needed) > 0 {
		slices.Sort(needed)
		k.fan(f, "start-authority", finding.Caution, "the BAS starts it only together with: "+strings.Join(needed, ", "), "see that the sequence says so and that the BAS has a point for it")
	}
}

// sameLoop reports whether a wire lies on a loop with the fan.
func (k *checker) sameLoop(w ref, f *fan) bool {
	a, on := k.engine.loops.of[w]
	b, too := k.engine.loops.of[f.told]
	return on && too && a == b
}

// startLogic: start and reference, gated or either.
func (k *checker) startLogic(f *fan) {
	if f.speed == never || !f.hasBAS {
		return
	}
	switch f.gated {
	case "gates-speed":
	case "or":
		k.fan(f, "start-logic", finding.Caution, fmt.Sprintf("its start and its speed reference each run it: BAS start off, reference at %s or above: it runs on",
			threshold(f)), "write into the sequence: reference to 0 % on stop")
	default:
		k.fan(f, "start-logic", finding.Caution, "how start and speed reference combine is not declared: whether the reference alone runs it is not known",
			"ask for the data sheet and state start_logic: gates-speed or or")
	}
}

// threshold is the run threshold in words.
func threshold(f *fan) string {
	unit := "V"
	if t, ok := f.dev.Spec.Terminal(f.logic.SpeedInput); ok && t.Nature == model.AnalogCurrent {
		unit = "mA"
	}
	return model.Figure(f.runAt()) + " " + unit
}

// handHidden: the BAS can see that the selector is not in AUTO.
func (k *checker) handHidden(f *fan) {
	if f.inAuto == always || k.points[f.eq.Tag+"/"+model.RoleNotInAuto] != nil || !f.hasBAS {
		return
	}
	if protects(f) {
		k.fan(f, "hand-hidden", finding.Caution, "it protects a room and its selector can be left in OFF without anybody being told: no point not-in-auto", "a lockable selector, or its auxiliary contact landed as not-in-auto with an alarm")
		return
	}
	state, where := "", "OFF"
	if f.inHand != never {
		if s, runs := k.runsUnasked(f, k.not(f.inAuto)); runs {
			state, where = k.story(s, f, f.speed)+": it runs; ", "HAND or OFF"
		}
	}
	k.fan(f, "hand-hidden", finding.Caution, state+"its selector can stand in "+where+" and no point tells the BAS: it believes it is in charge",
		"land an auxiliary contact of the selector as not-in-auto, or compare command with status and say so in the sequence")
}

// runsUnasked looks for a state in which a fan runs with its BAS start off, no
// event active and what is given. A state in which everything else is at rest is
// looked at first.
func (k *checker) runsUnasked(f *fan, given ref) (state, bool) {
	s := state{inputs: map[int]bool{}}
	var places []ref
	for _, name := range []string{"|request", "|auto", "|hand"} {
		if r := k.byName2(f.name + name); r != never {
			places = append(places, r)
		}
	}
	t := k.engine.tableOver(places, f.told)
	q := k.and(f.told, k.not(f.command), given)
	for a := range 1 << len(places) {
		if !t.at(q, a) {
			continue
		}
		for i, r := range places {
			s.inputs[int(k.list[r].a)] = a>>i&1 == 1
		}
		return s, true
	}
	return k.engine.possible(k.and(q, k.calm(q, kindEvent, kindPower, kindMotor)))
}

// statusIsCommand: the status tells that the fan runs, not that it is told to.
func (k *checker) statusIsCommand(f *fan) {
	if !f.status.bound {
		return
	}
	switch f.status.follows {
	case "command":
	case "":
		k.fan(f, "status-is-command", finding.Caution, "what its status contact follows is not declared: whether it proves running is not known", "state `follows` of the terminal: command, motor-current or airflow")
		return
	default:
		return
	}
	if !k.working.value[f.told] {
		if _, bad := k.engine.possible(k.and(f.status.value, k.not(k.motor(f)))); !bad {
			return
		}
	}
	severity := finding.Caution
	if f.scheme.Proof || f.scheme.LifeSafety || slices.Contains([]string{"lab-exhaust", "make-up-air", "smoke-exhaust", "stair-pressurization", "hoistway-pressurization"}, f.scheme.ID) {
		severity = finding.Fault
	}
	k.fan(f, "status-is-command", severity, "its status follows the command: motor or belt failed, told to run: the status reads running and no air moves",
		"prove with a current switch, a pressure switch or a drive relay set to motor current")
}
