package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
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
		add("Caution", Deferral)
	}
	if len(f.scheme.Sequence) > 0 {
		add("Purpose", f.scheme.Sequence...)
	}
	if f.logic == nil {
		add("Control", k.noControl(f))
		add("Start", k.edgeStarts(f)...)
		add("Stop", k.edgeStops(f)...)
		add("Override", k.overrideWords(f)...)
		return s
	}
	add("Start", k.startWords(f)...)
	add("Run", k.runWords(f)...)
	add("Stop", k.stopWords(f)...)
	add("Override", k.overrideWords(f)...)
	add("Failure", k.failureWords(f)...)
	add("Power", k.powerWords(f)...)
	return s
}

func (k *checker) noControl(f *fan) string {
	if f.eq.Control == "none" || f.eq.Control == "fire-panel" {
		return "The BAS does not run this fan; it watches it where points are listed."
	}
	return "The device that runs this fan is not known: nothing is said about it here."
}

func (k *checker) startWords(f *fan) []string {
	var out []string
	switch {
	case f.hasBAS && f.gated == "or" && f.speed != never:
		out = append(out, "In AUTO the fan starts when the BAS closes its start or raises its reference to "+threshold(f)+" or more.")
	case f.hasBAS && f.speed != never:
		out = append(out, "In AUTO the fan starts when the BAS closes its start and its reference stands at "+threshold(f)+" or more.")
	case f.hasBAS:
		out = append(out, "In AUTO the fan starts when the BAS closes its start.")
	case f.speed != never:
		out = append(out, "In AUTO the fan starts when its reference stands at "+threshold(f)+" or more.")
	default:
		out = append(out, "The fan is started by its own controls, not by the BAS.")
	}
	for _, c := range f.starts {
		out = append(out, "It is started as well by "+c.words+".")
	}
	out = append(out, k.edgeStarts(f)...)
	if f.hasDamper {
		out = append(out, "Its damper is opened by "+f.damperBy+".")
	}
	return out
}

// edgeStarts are the interlocks that start a fan or let it run, in words.
func (k *checker) edgeStarts(f *fan) []string {
	var out []string
	for _, e := range k.soft[f.name] {
		switch e.action {
		case "start":
			out = append(out, "It starts on the "+e.words()+".")
		case "full":
			out = append(out, "It runs at full speed on the "+e.words()+".")
		case "permit", "follow":
			out = append(out, "It runs only with the "+e.words()+".")
		}
	}
	return out
}

// edgeStops are the interlocks that stop a fan.
func (k *checker) edgeStops(f *fan) []string {
	var out []string
	for _, e := range k.soft[f.name] {
		if e.action == "stop" {
			out = append(out, "It stops on the "+e.words()+".")
		}
	}
	return out
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
		out = append(out, "The status tells that it is told to run, not that air moves.")
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
		} else {
			out = append(out, "The BAS stops it by opening the start.")
		}
	}
	out = append(out, k.edgeStops(f)...)
	if f.inOff != never {
		out = append(out, "OFF at the selector is no isolation: lock out the power before work.")
	}
	return out
}

// overrideWords come from the same evaluation as the matrix.
func (k *checker) overrideWords(f *fan) []string {
	var out []string
	row := k.cells[f.name]
	for i, e := range k.cause.Events {
		if i >= len(row) {
			break
		}
		switch row[i] {
		case "stops", "runs", "full speed", "runs at full speed":
			out = append(out, e+": "+row[i]+".")
		}
	}
	if want := k.fireResponse(f); len(out) == 0 && want != "" {
		out = append(out, "Fire alarm: "+k.statedFire(f)+".")
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

func (k *checker) failureWords(f *fan) []string {
	var out []string
	for _, a := range k.alarms[f.eq.Tag] {
		if strings.HasSuffix(a.ID, "/failed") || strings.HasSuffix(a.ID, "/running-while-off") {
			line := "Alarm after " + model.Figure(a.DelaySeconds) + " s: " + a.Condition
			if len(a.InhibitedBy) > 0 {
				var by []string
				for _, x := range a.InhibitedBy {
					by = append(by, strings.ReplaceAll(roleOf(x), "-", " "))
				}
				line += "; held back by " + strings.Join(by, ", ")
			}
			out = append(out, line+".")
		}
	}
	if t, stated := Timings[k.p.Settings.Alarms.Edition]; stated && k.p.Settings.Alarms.Edition != "" && len(out) > 0 {
		out = append(out, "A difference of command and status counts once it has lasted "+model.Figure(t.Mismatch)+" s; the test waits until the fan has been commanded on for "+
			model.Figure(t.HoldOn)+" s, off for "+model.Figure(t.HoldOff)+" s ("+k.p.Settings.Alarms.Edition+").")
	}
	return out
}

// stagger is the time between two starts after an outage, s (common practice).
const stagger = 10

// powerWords tell loss and return of power; the BAS starts what it runs one
// after another, fans that lead others first.
func (k *checker) powerWords(f *fan) []string {
	out := []string{"On loss of power the fan " + k.powerEffect(f) + "."}
	if n := k.restartOf[f]; n > 0 && f.logic.PowerReturn != "off" {
		out = append(out, fmt.Sprintf("The BAS holds it off when power returns and lets it start as number %d of %d, %d s after the first.", n, len(k.restartOf), (n-1)*stagger))
	}
	return out
}

// restartOrder numbers the fans that the BAS starts: on emergency power first,
// then those that others follow.
func (k *checker) restartOrder() map[*fan]int {
	var list []*fan
	for _, f := range k.fans {
		if f.hasBAS && f.logic != nil {
			list = append(list, f)
		}
	}
	rank := func(f *fan) int {
		r := leads(f)
		if f.eq.Emergency == nil || !*f.eq.Emergency {
			r += 10
		}
		return r
	}
	slices.SortStableFunc(list, func(a, b *fan) int { return rank(a) - rank(b) })
	out := map[*fan]int{}
	for i, f := range list {
		out[f] = i + 1
	}
	return out
}
