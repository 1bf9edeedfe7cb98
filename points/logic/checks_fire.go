package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

func (k *checker) checkFire(f *fan) {
	if f.name != f.eq.Tag {
		return
	}
	k.energiseToAct(f)
	if !f.tabled() {
		return
	}
	k.overrideConflict(f)
	k.overrideRelease(f)
	k.seriesSafety(f)
	k.smokeResponse(f)
	k.intakeSmoke(f)
	k.waterFlow(f)
}

// energiseToAct: a wire that has to be energised to act is supervised. Not
// stated is not known, with one question for all.
func (k *checker) energiseToAct(f *fan) {
	acts, energise, supervised := k.fireIn(f) != never, k.p.Settings.Fire.EnergiseToAct, k.p.Settings.Fire.Supervised
	for _, e := range k.soft[f.name] {
		if e.event != nil && e.event.LifeSafety && e.hard {
			acts = true
			if e.Energise != nil {
				energise = e.Energise
			}
			if e.Supervised != nil {
				supervised = e.Supervised
			}
		}
	}
	if !acts {
		return
	}
	does := "shutdown"
	if k.fireResponse(f) == "run" {
		does = "start"
	}
	switch {
	case energise != nil && !*energise:
	case supervised != nil && *supervised:
	case energise != nil && supervised != nil:
		k.say(f, finding.Finding{Code: "energise-to-act", Severity: finding.Fault,
			Message: "the fire circuit has to be energised to act and nobody supervises it: wire cut, fire alarm: no " + does + ", and nobody knew",
			Fix:     "let it drop out to act, or supervise it with a module at the fan", Source: "NFPA 72 (2013), 21.2.6 and practice"})
	default:
		k.fan(f, "energise-to-act", finding.Caution, "whether the fire circuits act by being energised, and whether they are supervised, is not stated",
			"one question to the fire trade for all: state settings.fire.energise_to_act and settings.fire.supervised")
	}
	k.say(f, finding.Finding{Code: "fire-relay", Severity: finding.Note,
		Message: "the contact rating of the fire relay and its distance from what it controls are to be confirmed: within 3 ft of the fan's controls, rated for the coil or input it switches",
		Fix:     "ask the fire trade once for all; a heavier load gets a relay between", Source: "NFPA 72 (2013), 21.2.4 and 21.2.5"})
}

// overrideConflict: two events that ask opposite things of one fan, and who wins.
func (k *checker) overrideConflict(f *fan) {
	row := k.cells[f.name]
	var runs, stops []ref
	for i, e := range k.shown {
		for _, r := range k.ownEvents(f) {
			if k.events[r].ID != e.ID || i >= len(row) {
				continue
			}
			switch effect := row[i]; {
			case strings.HasPrefix(effect, "stops"):
				stops = append(stops, r)
			case strings.HasPrefix(effect, "runs"), effect == "full speed":
				runs = append(runs, r)
			}
		}
	}
	for _, a := range runs {
		for _, b := range stops {
			ea, eb := k.events[a], k.events[b]
			if !ea.LifeSafety || !eb.LifeSafety || panelEvent(ea) && panelEvent(eb) {
				continue // the panel's switch stands at one of its positions
			}
			winner, does := eb, "it stops"
			if k.runsUnder(f, a, b) {
				winner, does = ea, "it runs"
			}
			if panelEvent(winner) {
				continue // as it has to be
			}
			k.fan(f, "override-conflict", finding.Caution, fmt.Sprintf("%s runs it and %s stops it; both at once: %s wins, %s", inSentence(ea), inSentence(eb), inSentence(winner), does),
				"have the authority confirm which one is to win; the firefighters' panel outranks both")
		}
	}
}

// panelEvent reports whether the firefighters' panel gives an event.
func panelEvent(e library.Event) bool { return strings.HasPrefix(e.ID, "firefighter-") }

// inSentence is an event's name within a sentence.
func inSentence(e library.Event) string {
	if panelEvent(e) {
		return "the " + lower(e.Name)
	}
	return lower(e.Name)
}

// runsUnder reports whether a fan can run with the given events alone.
func (k *checker) runsUnder(f *fan, events ...ref) bool {
	q := k.and(append(slices.Clone(events), f.told)...)
	for _, r := range k.eventsOf(f) {
		if !slices.Contains(events, r) {
			q = k.and(q, k.not(r))
		}
	}
	_, can := k.engine.possible(q)
	return can
}

// lower begins a word small, unless it is a tag or an abbreviation.
func lower(s string) string {
	if len(s) < 2 || s[1] < 'a' || s[1] > 'z' {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}

// overrideRelease: what the fan does when an override lets go.
func (k *checker) overrideRelease(f *fan) {
	for _, o := range f.overrides {
		switch o.spec.Release {
		case "returns", "stays-off":
		case "restarts":
			k.fan(f, "override-release", finding.Caution, "when its override lets go it restarts at once, whatever the BAS asks: all such fans start together at the reset of the fire panel",
				"let the BAS hold them off at the reset and start them one after another")
		default:
			k.fan(f, "override-release", finding.Caution, "what it does when its override lets go is not declared: returns to its mode, restarts or stays off", "state `release` of the override: returns, restarts or stays-off")
		}
		if o.spec.Latching != nil && *o.spec.Latching {
			k.fan(f, "override-release", finding.Note, "its override latches: it holds after the alarm has gone until somebody resets it at the device", "name the reset in the sequence")
		}
	}
}

// smokeFans are the fans of a smoke-control system.
func smokeFan(f *fan) bool {
	return slices.Contains([]string{"smoke-exhaust", "stair-pressurization", "hoistway-pressurization"}, f.scheme.ID)
}

// seriesSafety: no safety stands in the way of the firefighters' panel.
func (k *checker) seriesSafety(f *fan) {
	demand, panel := never, false
	for _, r := range k.ownEvents(f) {
		switch id := k.events[r].ID; {
		case id == "firefighter-on":
			demand, panel = k.or(demand, r), true
		case isFire(k.events[r]) && k.fireResponse(f) == "run" && smokeFan(f):
			demand = k.or(demand, r)
		}
	}
	if demand == never {
		return
	}
	q := k.and(demand, k.not(f.told))
	rest := k.calm(q, kindPower, kindMotor)
	for _, r := range k.ownEvents(f) {
		if id := k.events[r].ID; id == "firefighter-off" || panel && isFire(k.events[r]) {
			rest = k.and(rest, k.not(r))
		}
	}
	if f.inAuto != always {
		rest = k.and(rest, f.inAuto)
	}
	if s, bad := k.engine.possible(k.and(q, rest)); bad {
		k.say(f, finding.Finding{Code: "series-safety", Severity: finding.Fault,
			Message: "a safety in series keeps the smoke-control demand from starting it: " + k.story(s, f) + ": it stays off",
			Fix:     "an override relay around the named safeties alone, so that the firefighters' panel can run the fan", Source: "IBC 909.16; NFPA 92 (from memory)"})
	}
}

// Relays and signals on the way of a fire start, seconds (common practice).
const relaySeconds = 1

// smokeResponse: relay, damper and ramp together, those of the fans that it
// waits for included, are within the limit that the project sets.
func (k *checker) smokeResponse(f *fan) {
	limit := k.p.Settings.Fire.ResponseSeconds
	if limit == nil || k.fireResponse(f) != "run" {
		return
	}
	sum, parts, known := k.timeToWork(f, nil)
	switch {
	case !known && sum <= *limit:
		k.fan(f, "smoke-response", finding.Caution, fmt.Sprintf("whether it is at work within %s s is not known: a damper's stroke or a fan's ramp on its way is not stated", model.Figure(*limit)), "state the stroke in the list and ramp_s of the device")
	case sum > *limit:
		k.say(f, finding.Finding{Code: "smoke-response", Severity: finding.Fault,
			Message: fmt.Sprintf("it is not at work in time: %s = %s s, the limit of the project is %s s", strings.Join(parts, " + "), model.Figure(sum), model.Figure(*limit)),
			Numbers: []finding.Number{{Name: "sum", Value: sum, Unit: "s"}, {Name: "limit", Value: *limit, Unit: "s"}},
			Fix:     "a faster actuator, a shorter ramp, or a damper that is open before", Source: "project settings"})
	}
}

// timeToWork is the longest time from the fire signal to a fan at work: its
// relay, damper and ramp one after another, behind the slowest of the fans whose
// wired status it waits for. False: a figure on the way is not stated and
// stands as nothing in the sum.
func (k *checker) timeToWork(f *fan, path []*fan) (sum float64, parts []string, known bool) {
	known = true
	path = append(slices.Clone(path), f)
	for _, e := range k.soft[f.name] {
		if !e.hard || e.from == nil || slices.Contains(path, e.from) || e.action == "stop" {
			continue
		}
		up, words, all := k.timeToWork(e.from, path)
		known = known && all
		if up > sum {
			sum, parts = up, append([]string{e.from.name + ":"}, words...)
			parts = []string{strings.Replace(strings.Join(parts, " + "), ": + ", ": ", 1)}
		}
	}
	sum += relaySeconds
	parts = append(parts, fmt.Sprintf("relay %d s", relaySeconds))
	if f.eq.Damper.Kind == "motorised" || f.hasDamper {
		stroke, stated := strokeOf(f)
		known = known && stated
		if stated {
			sum += stroke
			parts = append(parts, "damper "+model.Figure(stroke)+" s")
		}
	}
	if f.logic == nil || f.logic.RampSeconds == nil {
		return sum, parts, false
	}
	return sum + *f.logic.RampSeconds, append(parts, "ramp "+model.Figure(*f.logic.RampSeconds)+" s"), known
}

// intakeSmoke: a stair or hoistway fan stops on smoke at its intake and the
// panel can restart it.
func (k *checker) intakeSmoke(f *fan) {
	if f.scheme.ID != "stair-pressurization" && f.scheme.ID != "hoistway-pressurization" {
		return
	}
	has := map[string]bool{}
	for _, r := range k.ownEvents(f) {
		has[k.events[r].ID] = true
	}
	if has["duct-smoke"] && has["firefighter-on"] {
		return
	}
	if f.byFirePanel() && len(has) == 0 {
		k.say(f, finding.Finding{Code: "intake-smoke", Severity: finding.Note,
			Message: "what the fire panel does with it is not stated here: that smoke at its intake stops it and that the firefighters' switch starts it again stands on the fire trade's drawings or nowhere",
			Fix:     "state the interlocks fire-alarm: start, duct-smoke: stop, firefighter-on: start, firefighter-off: stop", Source: "common practice"})
		return
	}
	missing := "no smoke detector at its intake stops it: smoke outside, fan running: it blows smoke into the shaft"
	if has["duct-smoke"] {
		missing = "a smoke detector at its intake stops it and no firefighters' switch can start it again"
	}
	k.say(f, finding.Finding{Code: "intake-smoke", Severity: finding.Caution, Message: missing,
		Fix: "state the interlocks duct-smoke: stop and firefighter-on: start, or see the fire trade's drawings", Source: "common practice"})
}

// waterFlow: large ceiling fans stop on sprinkler water flow, by wire.
func (k *checker) waterFlow(f *fan) {
	if f.scheme.ID != "high-volume" {
		return
	}
	for _, r := range k.ownEvents(f) {
		if id := k.events[r].ID; id == "water-flow" || isFire(k.events[r]) {
			return
		}
	}
	k.say(f, finding.Finding{Code: "water-flow", Severity: finding.Caution,
		Message: "no wire stops it on sprinkler water flow: water flows, BAS or controller down: it runs on and shears the spray",
		Fix:     "a fail-safe water-flow relay into its stop input, one for each group", Source: "NFPA 13 (from memory)"})
}
