package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// roleOf is the role of a point key, or the word itself.
func roleOf(by string) string {
	if _, role, ok := model.Split(by); ok {
		return role
	}
	return by
}

// inhibit is what a point tells: what an inhibiting role means for a fan.
func (k *checker) inhibit(f *fan, role string) ref {
	switch role {
	case model.RoleOverrideActive:
		return k.follow(f, "override")
	case model.RoleNotInAuto:
		return k.not(f.inAuto)
	case "bypass-active":
		return f.bypass
	case "fire-stop", "smoke", "water-flow", "agent-release", "freeze", "high-static", "suppression":
		v := never
		for _, r := range k.eventsOf(f) {
			if e := k.events[r]; pointRole(e) == role || role == "water-flow" && isFire(e) {
				v = k.or(v, r)
			}
		}
		return v
	}
	return never
}

// falseAlarm: failed-to-run is held back whenever the fan is right not to run;
// running-while-off is never held back by hand.
func (k *checker) falseAlarm(f *fan) {
	if !f.status.bound || !f.hasBAS {
		return
	}
	for _, a := range k.alarms[f.eq.Tag] {
		name := a.ID[strings.LastIndex(a.ID, "/")+1:]
		switch name {
		case "failed":
			k.falseFailure(f, a)
		case "running-while-off":
			if slices.ContainsFunc(a.InhibitedBy, func(by string) bool { return roleOf(by) == model.RoleNotInAuto }) {
				k.fan(f, "false-alarm", finding.Caution, "running-while-off is held back by not-in-auto: a fan left in HAND is never told", "take not-in-auto out of what inhibits it")
			}
		}
	}
}

func (k *checker) falseFailure(f *fan, a *model.Alarm) {
	masked := never
	for _, by := range a.InhibitedBy {
		role := roleOf(by)
		if k.points[f.eq.Tag+"/"+role] != nil || k.points[by] != nil {
			masked = k.or(masked, k.inhibit(f, role))
		}
	}
	forced := never
	for _, r := range k.eventsOf(f) {
		if k.events[r].LifeSafety {
			forced = k.or(forced, r)
		}
	}
	if k.points[f.eq.Tag+"/"+model.RoleNotInAuto] != nil { // without the point it is hand-hidden that tells
		forced = k.or(forced, k.not(f.inAuto))
	}
	q := k.and(f.command, k.not(f.status.value), forced, k.not(masked))
	q = k.and(q, k.calm(q, kindPower, kindMotor))
	s, bad := k.engine.possible(q)
	if !bad {
		return
	}
	k.fan(f, "false-alarm", finding.Caution, "failed-to-run comes although nothing has failed: "+k.story(s, f)+": told by the BAS, rightly not running, and no point holds the alarm back",
		"give the BAS a point that tells this state and let it inhibit the alarm")
}

// Actuator and soft-start times where nothing is stated, seconds: spring-return
// dampers take 60 to 90 s, 150 s is the usual allowance (common practice).
const usualStroke = 150

// damperLag: the damper is open before the fan blows against it.
func (k *checker) damperLag(f *fan) {
	if !f.hasDamper {
		return
	}
	if k.points[f.eq.Tag+"/damper-open"] != nil && k.points[f.eq.Tag+"/damper"] != nil {
		return // the sequence opens, proves, then starts
	}
	stroke, known := strokeOf(f)
	ramp := f.logic.RampSeconds
	switch {
	case !known || ramp == nil:
		k.fan(f, "damper-lag", finding.Note, fmt.Sprintf("fan and damper start together: the soft start must allow for the damper's stroke, and one of the two is not stated (an actuator takes up to %d s)", usualStroke),
			"state the actuator's stroke and the motor's soft start, or prove the damper open before the start")
	case stroke > *ramp:
		f1 := finding.Finding{Code: "damper-lag", Severity: finding.Caution, Subject: f.eq.Tag, Where: f.eq.Where,
			Message: fmt.Sprintf("fan and damper start together: the damper takes %s s to open, the fan is at speed in %s s", model.Figure(stroke), model.Figure(*ramp)),
			Fix:     "a slower soft start, a faster actuator, or a start that waits for the end switch", Source: "common practice",
			Numbers: []finding.Number{{Name: "stroke", Value: stroke, Unit: "s"}, {Name: "ramp", Value: *ramp, Unit: "s"}}}
		k.tell(f1)
	}
}

func strokeOf(f *fan) (float64, bool) {
	if f.eq.Damper.Stroke == nil {
		return 0, false
	}
	v, ok := f.eq.Damper.Stroke.In("s")
	return v.Hi, ok
}

// safetyBypass: a tripped safety stops the fan in every mode, by wire.
func (k *checker) safetyBypass(f *fan) {
	for _, s := range f.safeties {
		q := k.and(k.not(s.permit), f.told)
		for _, o := range f.overrides {
			q = k.and(q, k.not(o.value))
		}
		if st, bad := k.engine.possible(q); bad {
			k.fan(f, "safety-bypass", finding.Fault, "a safety does not stop it in every mode: "+k.story(st, f)+": it runs through the trip",
				"put the safety into the common leg, so that it acts in hand, auto and bypass")
		}
	}
	if f.name != f.eq.Tag {
		return // the safeties of a machine stop its first fan, the other follows
	}
	for _, role := range []string{"freeze", "high-static", "smoke"} {
		if k.points[f.eq.Tag+"/"+role] == nil || !f.hasBAS {
			continue
		}
		if k.inhibit(f, role) == never {
			k.fan(f, "safety-bypass", finding.Caution, "the safety "+role+" acts through the program alone: controller down or selector in HAND, safety tripped: it runs on",
				"wire a contact of the safety into the device's interlock input; the program repeats the trip")
		}
	}
}

// fireRow: every fan has exactly one row of the fire matrix.
func (k *checker) fireRow(f *fan) {
	if f.name != f.eq.Tag {
		return
	}
	want := k.fireResponse(f)
	asks := map[string]bool{}
	for _, e := range k.soft[f.name] {
		if e.event != nil && e.event.ID == "fire-alarm" {
			switch e.action {
			case "stop":
				asks["stop"] = true
			case "start", "full":
				asks["run"] = true
			}
		}
	}
	if want != "" {
		asks[want] = true
	}
	switch {
	case len(asks) == 0:
		k.fan(f, "fire-row", finding.Caution, "what a fire alarm does to it is not stated: stop, run, continue or none", "fill the fire response of every fan, or state settings.fire.default_response; one question to the fire trade answers all")
	case len(asks) > 1:
		k.fan(f, "fire-row", finding.Fault, "a fire alarm is to do more than one thing to it: "+strings.Join(sorted(asks), " and "), "keep one row: fire response of the list or an interlock, not both")
	case asks["stop"] && keepsRunning(f):
		k.fan(f, "fire-row", finding.Fault, "a fire alarm stops it with the rest, and a fan of this kind is kept out of the global stop",
			"give it a row of its own: stair, hoistway and smoke fans run, hood and laboratory exhaust continues")
	}
}

// keepsRunning are the fans that a global fire stop must leave alone.
func keepsRunning(f *fan) bool {
	return slices.Contains([]string{"stair-pressurization", "hoistway-pressurization", "smoke-exhaust", "kitchen-exhaust", "lab-exhaust"}, f.scheme.ID)
}

func sorted(set map[string]bool) []string {
	var out []string
	for s := range set {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// checkLoops tells interlock loops that hold themselves on, and those that can
// never start.
func (k *checker) checkLoops() {
	for _, set := range k.engine.loops.sets {
		var names []string
		for _, w := range set {
			if f := k.fanOfWire(w); f != "" && !slices.Contains(names, f) {
				names = append(names, f)
			}
		}
		slices.SortFunc(names, finding.CompareTags)
		if len(names) > 0 {
			k.hunting(set, names)
		}
		for _, w := range set {
			if k.engine.loops.cut[w] {
				k.loop(w, set, names)
			}
		}
	}
}

// hunting tells a loop that starts and stops itself without end.
func (k *checker) hunting(set []ref, names []string) {
	var cuts []ref
	for _, w := range set {
		if k.engine.loops.cut[w] {
			cuts = append(cuts, w)
		}
	}
	if s, bad := k.engine.hunts(cuts); bad {
		k.tell(finding.Finding{Code: "hunting-loop", Severity: finding.Fault, Subject: names[0], Source: "common practice",
			Message: "a loop of interlocks through " + strings.Join(names, ", ") + " starts and stops itself without end: " + k.story(s, nil) + ": no state is stable",
			Fix:     "let one fan lead, or hold the decision until it is reset"})
	}
}

func (k *checker) fanOfWire(w ref) string {
	if f := k.isFan[w]; f != nil {
		return f.name
	}
	return ""
}

func (k *checker) loop(w ref, set []ref, names []string) {
	if f := k.byName[k.fanOfWire(w)]; f != nil && f.told == w && f.logic != nil && f.logic.SealsIn && len(names) == 1 {
		return // a three-wire start is a latch by intent
	}
	wire := k.wires[k.list[w].a]
	what := strings.Join(names, ", ")
	if what == "" { // a relay that holds itself
		what, _, _ = strings.Cut(wire.name, "|")
	}
	subject := what
	if len(names) > 0 {
		subject = names[0]
	}
	if !k.engine.loops.settable[w] {
		k.tell(finding.Finding{Code: "deadlock-loop", Severity: finding.Fault, Subject: subject,
			Source:  "common practice",
			Message: "each of " + what + " waits for the other: in no state that begins with all off does it start: " + wire.words + " needs itself",
			Fix:     "start on the command and prove by the status: open the damper on command, not on the status of the fan"})
		return
	}
	held, ok := k.engine.held(w)
	if !ok {
		return
	}
	set0, _ := k.engine.ask(wire.def, false)
	k.tell(finding.Finding{Code: "latch-loop", Severity: finding.Fault, Subject: subject, Source: "common practice",
		Message: fmt.Sprintf("a loop of interlocks through %s holds itself on. Set by: %s. Held with every start withdrawn: %s", what, k.story(set0, nil), k.story(held, nil)),
		Fix:     "let one fan lead: start the other from the command, or break the loop with a permissive of the BAS"})
}

// held finds a state in which the loop stands on though all requests of the BAS
// and other starts are withdrawn, and would stand off as well.
func (e *engine) held(w ref) (state, bool) {
	def := e.wires[e.list[w].a].def
	inputs, _ := e.cone(def)
	calm := always
	for _, i := range inputs {
		in := e.inputs[i]
		r := e.byName[in.name]
		switch in.kind {
		case kindStart, kindSpeed, kindEvent, kindOther, kindOwn:
			calm = e.and(calm, e.not(r))
		case kindHand:
			calm = e.and(calm, e.not(r))
		}
	}
	up, ok := e.possible(e.and(w, calm))
	if !ok {
		return up, false
	}
	same := e.not(w)
	for i, v := range up.inputs {
		r := e.byName[e.inputs[i].name]
		if !v {
			r = e.not(r)
		}
		same = e.and(same, r)
	}
	_, both := e.possible(same)
	return up, both
}
