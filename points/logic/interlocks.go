package logic

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// edge is one interlock as the plan understands it.
type edge struct {
	model.Interlock
	from   *fan           // the fan it comes from
	event  *library.Event // or the event
	zone   int            // of the event; 0 any
	to     *fan
	action string // start, stop, permit, follow, full
	hard   bool
}

// panel reports whether the firefighters' panel gives the edge.
func (e edge) panel() bool {
	return e.event != nil && strings.HasPrefix(e.event.ID, "firefighter-")
}

// actions are the words an interlock may use for what it makes its target do.
var actions = map[string]string{
	"": "start", "start": "start", "run": "start", "on": "start", "enable": "start",
	"stop": "stop", "off": "stop", "shutdown": "stop", "trip": "stop",
	"permit": "permit", "permissive": "permit", "proof": "permit", "allow": "permit",
	"follow": "follow", "follows": "follow", "interlock": "follow",
	"full": "full", "full-speed": "full", "high-speed": "full", "open": "open", "close": "close",
}

// readInterlocks takes the project's interlocks and those that the list names.
func (b *builder) readInterlocks() {
	for _, il := range b.p.Interlocks {
		b.addEdge(il)
	}
	stated := map[[2]string]bool{}
	for _, e := range b.edges {
		stated[[2]string{e.From, e.To}] = true
		stated[[2]string{e.To, e.From}] = true
	}
	for _, f := range b.fans {
		for _, other := range f.eq.Interlocks {
			if f.name != f.eq.Tag || other == f.eq.Tag || stated[[2]string{other, f.eq.Tag}] {
				continue
			}
			o := b.byTag[other]
			if o == nil { // whoever read the list has told of a name that no list has, at its cell
				continue
			}
			stated[[2]string{other, f.eq.Tag}], stated[[2]string{f.eq.Tag, other}] = true, true
			lead, follower := b.direction(f, o)
			soft := false
			b.addEdge(model.Interlock{From: lead.eq.Tag, To: follower.eq.Tag, Signal: "status", Action: "follow", Hard: &soft,
				Owner: "controls", Reason: "the equipment list says that the two are interlocked; direction and form are assumed", Where: f.eq.Where})
			b.tell(finding.Finding{Code: "interlock-direction", Severity: finding.Note, Subject: follower.eq.Tag, Where: f.eq.Where,
				Message: "the list says interlocked without saying which fan leads: make-up air follows exhaust, return and general exhaust follow supply, else the fan of that row follows the one it names; by sequence, on status",
				Fix:     "state it under interlocks in the project file: from, to, signal, action, hard", Source: "common practice"})
		}
	}
}

// direction says which of two interlocked fans leads: hood, garage and
// laboratory exhaust lead what makes up their air, an air handler's supply fan
// leads its return, relief and general exhaust, a make-up air unit follows; of
// equals the one that is named leads.
func (b *builder) direction(f, named *fan) (lead, follower *fan) {
	if leads(f) < leads(named) {
		return f, named
	}
	return named, f
}

func leads(f *fan) int {
	switch {
	case f.eq.Kind == "make-up-air-unit" || f.eq.Scheme == "make-up-air":
		return 3
	case slices.Contains([]string{"kitchen-exhaust", "garage-exhaust", "lab-exhaust", "isolation-exhaust"}, f.eq.Scheme):
		return 0
	case f.kind.Moves == "supply":
		return 1
	}
	return 2
}

func (b *builder) near(name string) string {
	var all []string
	for _, f := range b.fans {
		all = append(all, f.eq.Tag)
	}
	for _, e := range b.lib.Events() {
		all = append(all, e.ID)
	}
	if n := finding.Nearest(name, all); n != "" {
		return fmt.Sprintf("; did you mean %q?", n)
	}
	return ""
}

func (b *builder) addEdge(il model.Interlock) {
	if strings.EqualFold(il.Action, "standby") { // the usual word for starting on the other's failure
		il.Action, il.Signal = "start", cmp.Or(il.Signal, "failure")
	}
	e := edge{Interlock: il, action: actions[strings.ToLower(il.Action)], hard: il.Hard != nil && *il.Hard}
	if e.to = b.byTag[il.To]; e.to == nil {
		b.tellEdge(il, fmt.Sprintf("an interlock acts on %q, which is no tag of the list%s", il.To, b.near(il.To)))
		return
	}
	if e.from = b.byTag[il.From]; e.from == nil {
		ev, ok := b.lib.EventNamed(il.From)
		if !ok {
			b.tellEdge(il, fmt.Sprintf("an interlock comes from %q, which is neither a tag of the list nor an event%s", il.From, b.near(il.From)))
			return
		}
		e.event, e.zone = &ev, ev.Zone(il.From)
		if e.zone > 0 && !slices.Contains(b.zones[ev.ID], e.zone) {
			b.zones[ev.ID] = append(b.zones[ev.ID], e.zone)
			slices.Sort(b.zones[ev.ID])
		}
	}
	if e.action == "" {
		b.tellEdge(il, fmt.Sprintf("an interlock makes %s %q; allowed are start, stop, permit, follow, full-speed, open, close, standby", il.To, il.Action))
		return
	}
	b.edges = append(b.edges, e)
	b.soft[e.to.name] = append(b.soft[e.to.name], e)
}

func (b *builder) tellEdge(il model.Interlock, message string) {
	b.tell(finding.Finding{Code: "interlock-unknown", Severity: finding.Caution, Subject: cmp.Or(il.To, il.From), Where: il.Where, Message: message,
		Fix: "correct the name; tags stand in the list, `library events` names the events"})
}

func (b *builder) tell(f finding.Finding) { b.findings = append(b.findings, f) }

// signalOf is the value that an interlock carries.
func (b *builder) signalOf(e edge) ref {
	switch {
	case e.event != nil && e.zone > 0:
		return b.eventInput(e.event.InZone(e.zone), "")
	case e.event != nil:
		return b.event(*e.event, e.to.eq.Tag)
	}
	f := e.from
	switch strings.ToLower(e.Signal) {
	case "command":
		return f.command
	case "failed", "failure", "alarm", "fault":
		return b.and(f.command, b.not(b.follow(f, "motor-current")))
	case "off", "not-running":
		return b.not(f.told)
	case "damper-end-switch", "damper-open", "end-switch", "damper":
		return b.damperWire(f)
	case "status":
		if f.status.bound {
			return f.status.value
		}
	}
	return b.follow(f, "motor-current")
}

// damperWire is the damper of a fan, also before its circuits have been read.
func (b *builder) damperWire(f *fan) ref {
	b.readDamper(f)
	return f.damper
}

// readCommand defines the start output of the BAS: its own request, the
// interlocks that it carries out by sequence.
func (b *builder) readCommand(f *fan) {
	request := b.gates.input(input{name: f.name + "|request", fan: f.name, kind: kindStart, on: "BAS start of " + f.name + " on", off: "BAS start of " + f.name + " off", column: "BAS start", yes: "on", no: "off"})
	f.request = request
	f.command = b.gates.wire(f.name+" BAS start", "BAS start of "+f.name+" on")
	start, permit, follow, follows := request, always, never, false
	for _, e := range b.soft[f.name] {
		if e.hard {
			continue
		}
		switch v := b.signalOf(e); e.action {
		case "start", "full":
			start = b.or(start, v)
		case "stop":
			permit = b.and(permit, b.not(v))
		case "permit":
			permit = b.and(permit, v)
		case "follow":
			follow, follows = b.or(follow, v), true
		}
	}
	if follows {
		start = b.and(start, follow) // its own request is an enable
	}
	b.define(f.command, b.and(start, permit))
}

// hardStops are the wired stops and permissives of a fan that stand in the
// project's interlocks; in the common leg unless the project says otherwise.
func (b *builder) hardStops(f *fan) ref {
	permit := always
	for _, e := range b.soft[f.name] {
		if !e.hard || e.panel() {
			continue
		}
		v := b.signalOf(e)
		switch e.action {
		case "stop":
			v = b.not(v)
		case "permit", "follow":
		default:
			continue
		}
		switch e.Leg {
		case "auto":
			v = b.or(v, b.not(f.inAuto))
		case "drive":
			v = b.or(v, f.bypass)
		case "bypass":
			v = b.or(v, b.not(f.bypass))
		}
		permit = b.and(permit, v)
	}
	return permit
}
