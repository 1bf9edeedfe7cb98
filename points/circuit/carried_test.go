package circuit

import (
	"testing"

	"tallywire/model"
)

// The edges of what depends on the machine that a circuit serves.
func TestCarriedEdges(t *testing.T) {
	b := onBench(t)
	for name, c := range map[string]struct {
		net  Net
		code string
		want model.Verdict
	}{
		"20 % = 2 V turns it":            {speedNet(change{lost: 100, least: 20}), "min-command", model.Pass},
		"19 % = 1.9 V does not":          {speedNet(change{lost: 100, least: 19}), "min-command", model.Caution},
		"1 % of 2-10 V is 2.08 V":        {live(speedNet(change{lost: 100, least: 1})), "min-command", model.Pass},
		"130 s are enough":               {delayNet(130), "alarm-delay", model.Pass},
		"129 s are not":                  {delayNet(129), "alarm-delay", model.Fault},
		"72 Hz reach 2100 of 1750 rpm":   {speedNet(change{lost: 100, least: 30, most: "72"}), "speed-limit", model.Pass},
		"71 Hz do not":                   {speedNet(change{lost: 100, least: 30, most: "71"}), "speed-limit", model.Fault},
		"no speed of a belt drive":       {belt(speedNet(change{lost: 100, least: 30, most: "60"})), "speed-limit", ""},
		"full where off is asked":        {asks(speedNet(change{lost: 100}), "Off"), "fail-value", model.Fault},
		"off where off is asked":         {asks(speedNet(change{lost: 0}), "0"), "fail-value", model.Pass},
		"last value asks for nothing":    {asks(speedNet(change{lost: 0}), "last value"), "fail-value", ""},
		"what happens is not stated":     {forgets(speedNet(change{lost: 0})), "fail-value", model.Unknown},
		"a minimum in one place only":    {speedNet(change{lost: 100, least: 30}), "two-minima", ""},
		"closed while well, event opens": {senseNet("normally-closed", "", "reverse"), "sense", model.Pass},
		"the same with normal polarity":  {senseNet("normally-closed", "", "normal"), "sense", model.Fault},
		"open while well, event closes":  {senseNet("normally-open", "", "normal"), "sense", model.Pass},
		"turned round twice":             {senseNet("normally-closed", "energised", "normal"), "sense", model.Pass},
	} {
		if got := one1(Check(b.lib, &b.p, c.net), c.code).Verdict; got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// live makes both ends of the signal 2-10 V.
func live(n Net) Net {
	for i := range n.Devices {
		n.Devices[i].Spec.Terminals[0].Range = model.Span(2, 10)
	}
	return n
}

func belt(n Net) Net { n.Equipment[0].Ratings.Drive = "belt"; return n }

func asks(n Net, state string) Net { n.Points[0].FailState = state; return n }

func forgets(n Net) Net { n.Devices[1].Spec.Terminals[0].FailValue = nil; return n }

func senseNet(form, healthy, polarity string) Net {
	c := with(gold(), func(t *model.Terminal) { t.Form, t.Healthy = form, healthy })
	n := sketch().at("switch", c).at("input", dryInput(18, 3000)).wire("switch", "", "input").last(func(c *model.Circuit) { c.Point = "EF-1/alarm" }).Net
	n.Points = []model.Point{{Key: "EF-1/alarm", ObjectType: model.BinaryInput, ContactSense: form, Polarity: polarity}}
	return n
}

// What keeps circuits of different classes apart, and what does not.
func TestSeparation(t *testing.T) {
	b := onBench(t)
	relay := func(barrier *bool) Net {
		line := with(acSupply(120, 1000), func(t *model.Terminal) { t.ClassTwo, t.Capacity = nil, nil })
		n := sketch().at("relay", with(coil("ac", 24, 1.2, 2.4), func(t *model.Terminal) { t.ID = "coil" }), with(silver(), func(t *model.Terminal) { t.ID = "contact" })).
			at("output", gold()).at("panel", acSupply(24, 40)).at("line", line).at("starter", coil("ac", 120, 25, 218)).
			wire("output", "panel", "relay:coil").wire("relay:contact", "line", "starter").Net
		n.Devices[0].Spec.Category, n.Devices[0].Spec.Barrier = "relay", barrier
		return n
	}
	reclassified := twoCables(true)
	reclassified.Cables[0].Class = "class-1"
	unlisted := twoCables(false)
	unlisted.Cables = []model.Cable{{ID: "C-1", Class: "class-2", Circuits: []string{"status to input", "second status to input"}}}
	for name, c := range map[string]struct {
		net  Net
		want model.Verdict
	}{
		"nobody knows of a barrier": {relay(nil), model.Unknown}, "no barrier": {relay(ptr(false)), model.Fault}, "a barrier": {relay(ptr(true)), model.Pass},
		"mixed in one cable": {twoCables(true), model.Fault}, "all wired as Class 1": {reclassified, ""}, "power-limited only": {unlisted, model.Pass},
		"one raceway": {raceway("R", "R"), model.Fault}, "two raceways": {raceway("R", "S"), ""},
	} {
		if got := one1(Check(b.lib, &b.p, c.net), "mixed-class").Verdict; got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// Trouble that several circuits share is told once, of what they share.
func TestGroupsAreToldOnce(t *testing.T) {
	b := onBench(t)
	n := sketch().at("panel", acSupply(24, 40)).at("a", load24(20)).at("b", load24(20)).at("c", load24(20)).wire("panel", "", "a").wire("panel", "", "b").wire("panel", "", "c").Net
	count := 0
	for _, f := range Check(b.lib, &b.p, n).Findings {
		if f.Code == "supply-overload" {
			count++
			if f.Subject != "panel:t1" || len(f.Numbers) != 3 {
				t.Errorf("%+v", f)
			}
		}
	}
	if count != 1 {
		t.Errorf("told %d times", count)
	}
}
