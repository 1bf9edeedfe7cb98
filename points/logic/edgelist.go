package logic

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// interlocks is the list as the plan prints it, one edge a row: what the
// project and the list state, and what the circuits make.
func (k *checker) interlocks() []model.Interlock {
	var out []model.Interlock
	for _, e := range k.edges {
		il := e.Interlock
		il.Signal, il.Action, il.Fail = cmp.Or(il.Signal, "status"), cmp.Or(map[string]string{"full": "full-speed"}[e.action], e.action), cmp.Or(il.Fail, k.failWords(il, e.action))
		if e.event != nil {
			il.Signal = cmp.Or(e.Interlock.Signal, "active")
		}
		for _, s := range k.alsoWired(e) {
			il.Reason = strings.TrimPrefix(il.Reason+"; "+s, "; ")
		}
		out = append(out, il)
	}
	for _, f := range k.fans {
		if f.logic == nil || f.dev == nil {
			continue
		}
		for _, id := range f.logic.StartInputs {
			out = append(out, k.wired(f, id, "start", false)...)
		}
		for _, o := range f.overrides {
			out = append(out, k.wired(f, o.input, map[string]string{"full": "full-speed", "off": "stop", "second-speed": "second-speed", "unknown": "not stated"}[o.action], false)...)
		}
		for _, s := range f.safeties {
			out = append(out, k.wired(f, s.input, "stop", true)...)
		}
	}
	slices.SortStableFunc(out, func(x, y model.Interlock) int {
		return cmp.Or(finding.CompareTags(x.To, y.To), finding.CompareTags(x.From, y.From))
	})
	return out
}

// wired lists what stands on one input of a fan's device besides the BAS.
func (k *checker) wired(f *fan, terminal, action string, permit bool) []model.Interlock {
	var out []model.Interlock
	for _, c := range k.into[model.End{Device: f.dev.ID, Terminal: terminal}] {
		v := k.driver(c, permit)
		if k.reads(v, f.command) || c.Purpose == "interlock" && k.stated(c) {
			continue
		}
		hard := true
		base := model.Interlock{To: f.eq.Tag, Action: action, Hard: &hard, Reason: "circuit " + c.ID + " on " + terminal, Where: c.Where}
		if permit {
			opens := false
			base.Energise = &opens // a contact that is closed while all is well
		}
		if d := k.devices[c.Drive.Device]; d != nil {
			base.Owner = cmp.Or(d.WiredBy, d.FurnishedBy)
		}
		out = append(out, k.sources(v, base, permit)...)
	}
	return out
}

// rowOf reports whether an interlock of the project says that an event does
// something to a fan by wire.
func (k *checker) rowOf(tag, event, action string) bool {
	return slices.ContainsFunc(k.edges, func(e edge) bool {
		return e.hard && e.event != nil && e.To == tag && e.inZone().ID == event && (e.action == action || e.action == "full" && action == "full-speed")
	})
}

// alsoWired names the circuits of the hook-up that carry an interlock of the
// project out.
func (k *checker) alsoWired(e edge) []string {
	if e.event == nil || !e.hard || e.to.dev == nil {
		return nil
	}
	var out []string
	add := func(terminal string, value ref) {
		if !slices.ContainsFunc(k.eventsIn(value), func(x library.Event) bool { return x.ID == e.inZone().ID }) {
			return
		}
		for _, c := range k.into[model.End{Device: e.to.dev.ID, Terminal: terminal}] {
			if !k.stated(c) {
				out = append(out, "circuit "+c.ID+" on "+terminal)
			}
		}
	}
	for _, s := range e.to.safeties {
		if e.action == "stop" {
			add(s.input, s.permit)
		}
	}
	for _, o := range e.to.overrides {
		if e.action == "stop" && o.action == "off" || e.action == "full" && o.action == "full" {
			add(o.input, o.value)
		}
	}
	return out
}

// stated reports whether the circuit carries out an interlock of the project,
// which has its own row.
func (k *checker) stated(c *model.Circuit) bool {
	return slices.ContainsFunc(k.edges, func(e edge) bool { return e.hard && c.ID == e.From+"/interlock-"+e.To })
}

// sources makes one edge of each event and fan that a formula reads.
func (k *checker) sources(v ref, base model.Interlock, permit bool) []model.Interlock {
	var out []model.Interlock
	add := func(il model.Interlock, from, signal string, relay bool) {
		il.From, il.Signal = from, signal
		il.Fail = wireBroken(il, permit, relay)
		out = append(out, il)
	}
	k.visit(v, func(r ref) bool {
		x := k.list[r]
		switch {
		case x.op == opInput && k.inputs[x.a].kind == kindEvent && k.rowOf(base.To, k.events[r].ID, base.Action):
			return false // the project's interlock has the row
		case x.op == opWire && k.isFan[r] != nil:
			add(base, k.isFan[r].eq.Tag, "status", false)
			return false
		case x.op == opInput && k.inputs[x.a].kind == kindEvent:
			e := k.events[r]
			if strings.Contains(e.ID, "-zone-") {
				return false // the event of any zone has its row
			}
			fire := base
			if e.LifeSafety {
				fire.Supervised, fire.Energise = k.p.Settings.Fire.Supervised, k.p.Settings.Fire.EnergiseToAct
			}
			add(fire, e.ID, "active", e.LifeSafety)
		case x.op == opInput && k.inputs[x.a].kind == kindOther:
			add(base, k.inputs[x.a].column, "closed", false)
		}
		return true // an input reads nothing
	})
	return out
}

// wireBroken says what a broken wire does on an input of a device: a permissive
// opens and so acts, a start or an override gets nothing. The fire trade's relay
// has a wire of its own, which acts as its coil does.
func wireBroken(il model.Interlock, permit, relay bool) string {
	words := map[bool]string{true: "acts", false: "does not act"}
	switch {
	case !relay:
		return "wire broken: " + words[permit]
	case il.Energise == nil:
		return "wire to the fan broken: " + words[permit] + "; wire to its relay: not stated"
	case permit != *il.Energise:
		return "wire broken: " + words[permit]
	}
	return "wire to the fan broken: " + words[permit] + "; wire to its relay broken: " + words[!*il.Energise]
}

// failWords says what a lost wire or program does.
func (k *checker) failWords(il model.Interlock, action string) string {
	switch {
	case il.Hard == nil:
		return "not stated: by wire or by sequence"
	case !*il.Hard:
		return "controller lost: does not act"
	case il.Energise == nil && (action == "permit" || action == "follow"):
		return "wire broken: acts, the fan stays off"
	case il.Energise == nil:
		return "not stated: energise or drop out to act"
	case *il.Energise:
		return "wire broken: does not act"
	}
	return "wire broken: acts"
}
