package logic

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// usualStagger is the time between two starts when power returns, in s, where
// the project states none (common practice: 5 to 15 s).
const usualStagger = 10

// stagger is the time between two starts, in s.
func (k *checker) stagger() float64 {
	if s := k.p.Settings.Restart.Stagger; s != nil {
		return *s
	}
	return usualStagger
}

// restartOrder numbers the fans that the BAS starts: as the project orders
// them, then those on emergency power, then those that others follow, and none
// before one whose status it waits for.
func (k *checker) restartOrder() map[*fan]int {
	var list []*fan
	for _, f := range k.fans {
		if f.hasBAS && f.logic != nil {
			list = append(list, f)
		}
	}
	stated := k.p.Settings.Restart.Order
	rank := func(f *fan) int {
		if i := slices.Index(stated, f.name); i >= 0 {
			return i - len(stated)
		}
		r := leads(f)
		if f.eq.Emergency == nil || !*f.eq.Emergency {
			r += 10
		}
		return r
	}
	slices.SortStableFunc(list, func(a, b *fan) int { return rank(a) - rank(b) })
	out, busy := map[*fan]int{}, map[*fan]bool{}
	var place func(*fan)
	place = func(f *fan) {
		if out[f] > 0 || busy[f] {
			return
		}
		busy[f] = true
		for _, u := range k.waitsFor(f) {
			if u.hasBAS && u.logic != nil {
				place(u)
			}
		}
		out[f] = len(out) + 1
	}
	for _, f := range list {
		place(f)
	}
	return out
}

// waitsFor lists the fans without which a fan does not start.
func (k *checker) waitsFor(f *fan) []*fan {
	out := k.startersOf(f)
	for _, e := range k.soft[f.name] {
		if e.action == "permit" && e.from != nil && e.from != f && !slices.Contains(out, e.from) {
			out = append(out, e.from)
		}
	}
	return out
}

// restartSteps is the restart order as the plan prints it: the fans that the
// BAS starts by their number, then those that come back by themselves.
func (k *checker) restartSteps() []model.RestartStep {
	var out []model.RestartStep
	for _, f := range k.fans {
		if f.waits() {
			continue
		}
		_, after, _ := strings.Cut(k.powerEffect(f), "; ")
		step := model.RestartStep{Number: k.restartOf[f], Equipment: f.name, StartedBy: k.starter(f), Emergency: f.eq.Emergency, OnReturn: after, LifeSafety: k.lifeSafety(f)}
		if step.Number > 0 && f.logic.PowerReturn != "off" {
			s := float64(step.Number-1) * k.stagger()
			step.AfterSeconds = &s
		}
		for _, u := range k.waitsFor(f) {
			step.WaitsFor = append(step.WaitsFor, u.name)
		}
		out = append(out, step)
	}
	slices.SortStableFunc(out, func(a, b model.RestartStep) int {
		if (a.Number == 0) != (b.Number == 0) {
			return b.Number - a.Number
		}
		return a.Number - b.Number
	})
	return out
}

// starter is who starts a fan, in words.
func (k *checker) starter(f *fan) string {
	switch {
	case f.hasBAS:
		return "BAS"
	case f.byFirePanel():
		return "fire panel"
	case f.eq.Control == "none" || f.logic == nil:
		return "not known"
	}
	return "its own controls"
}

// restartSettings tells what the restart order takes for granted, and tags of
// the project's order that it cannot use.
func (k *checker) restartSettings() {
	if n := len(k.restartOf); n > 1 && k.p.Settings.Restart.Stagger == nil {
		k.tell(finding.Finding{Code: "restart-stagger", Severity: finding.Note, Source: "common practice: 5 to 15 s",
			Message: fmt.Sprintf("the BAS starts its %d fans one after another when power returns, %d s apart, the last after %d s: nobody states the time", n, usualStagger, (n-1)*usualStagger),
			Numbers: []finding.Number{{Name: "stagger", Value: usualStagger, Unit: "s"}},
			Fix:     "state settings.restart.stagger_s, and settings.restart.order where the generator's load steps ask for one"})
	}
	for _, tag := range k.p.Settings.Restart.Order {
		if f := k.byName[tag]; f == nil || k.restartOf[f] == 0 {
			k.tell(finding.Finding{Code: "restart-stagger", Severity: finding.Caution, Subject: tag, Source: "project file",
				Message: fmt.Sprintf("settings.restart.order names %q, which is no fan that the BAS starts%s", tag, k.near(tag)),
				Fix:     "correct the tag, or take it out"})
		}
	}
}

// powerWords tell loss and return of power and the loss of the controller.
func (k *checker) powerWords(f *fan) []string {
	_, back, _ := strings.Cut(k.powerEffect(f), "; ")
	var out []string
	switch n := k.restartOf[f]; {
	case n > 0 && f.logic.PowerReturn != "off":
		at := "the first of " + fmt.Sprint(len(k.restartOf))
		if n > 1 {
			at = fmt.Sprintf("number %d of %d, %s s after the first", n, len(k.restartOf), model.Figure(float64(n-1)*k.stagger()))
		}
		if len(k.restartOf) == 1 {
			out = append(out, "The fan stops when power fails and "+back+" when it is back.")
			break
		}
		out = append(out, "The fan stops when power fails and "+back+" when it is back; the BAS holds its start off until its turn, "+at+".")
	case strings.HasSuffix(back, "not stated"):
		out = append(out, "The fan stops when power fails; what it does when power is back is not stated.")
	case f.byFirePanel():
		out = append(out, "The fan stops when power fails; "+back+".")
	default:
		out = append(out, "The fan stops when power fails and "+back+" when it is back.")
	}
	row := k.cells[f.name]
	if len(row) == 0 {
		return out
	}
	switch lost := row[len(row)-1]; lost {
	case "no effect":
	case "not stated":
		out = append(out, "What it does when the BAS controller is lost is not stated.")
	default:
		out = append(out, "When the BAS controller is lost, it "+lost+".")
	}
	return out
}
