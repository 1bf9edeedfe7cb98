package hookup

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// interlockInputs are the inputs by which one machine may act on another, by
// action, the fittest first. Those that a circuit already uses are passed over.
var interlockInputs = map[string][]string{
	"start":      {"start-wet", "start-dry-2", "start-dry", "interlock", "enable"},
	"permit":     {"interlock", "interlock-2", "interlock-3", "interlock-4"},
	"stop":       {"interlock", "interlock-2", "interlock-3", "interlock-4", "shutdown"},
	"full-speed": {"override"},
}

// interlockActions are the words for them.
var interlockActions = map[string]string{
	"": "start", "start": "start", "run": "start", "on": "start", "follow": "start", "follows": "start", "interlock": "start",
	"permit": "permit", "permissive": "permit", "proof": "permit", "allow": "permit",
	"stop": "stop", "off": "stop", "trip": "stop", "shutdown": "stop",
	"full": "full-speed", "full-speed": "full-speed", "high-speed": "full-speed",
}

func tellsDamper(signal string) bool {
	return strings.Contains(signal, "end-switch") || strings.Contains(signal, "damper")
}

// interlockHolders are the devices of a machine that take commands, in order.
var interlockHolders = []string{"box", "drive", "unit", "starter", "motor", "fan-relay"}

// hardInterlocks makes the circuits of interlocks that the project states as
// hard. A status contact that the automation system reads already is given a
// slave relay, for a contact has one reader.
func (n *net) hardInterlocks(tags map[string]*machine) {
	for i := range n.p.Interlocks {
		il := &n.p.Interlocks[i]
		if il.Hard == nil || !*il.Hard || tags[il.From] == nil || tags[il.To] == nil {
			continue
		}
		if reason := n.hardInterlock(tags[il.From], tags[il.To], il); reason != "" {
			n.tell(finding.Finding{Code: "interlock-without-wire", Severity: finding.Caution, Subject: il.From + "/interlock-" + il.To, Where: il.Where,
				Message: fmt.Sprintf("the project wants %s to act on %s by wire, and no circuit was made: %s", il.From, il.To, reason),
				Fix:     "state the circuit in the project file, choose a device with a free input, or let the program do it (hard: false)"})
		}
	}
}

// hardInterlock makes one; it returns why it cannot.
func (n *net) hardInterlock(from, to *machine, il *model.Interlock) string {
	action, ok := interlockActions[il.Action]
	if !ok {
		return fmt.Sprintf("what a circuit for %q would join is not known", il.Action)
	}
	if !slices.Contains([]string{"", "status", "running", "proof"}, il.Signal) && !tellsDamper(il.Signal) {
		return fmt.Sprintf("no contact tells %q", il.Signal)
	}
	functions := interlockInputs[action]
	source, read := n.signalOf(from, il.Signal)
	if source.Device == "" {
		return from.Tag + " has no contact that tells " + signalName(il.Signal)
	}
	target, term := n.freeInput(to, functions)
	if term == nil {
		return fmt.Sprintf("%s has no free input for %s (%s)", to.Tag, action, strings.Join(functions, ", "))
	}
	if read != nil {
		source = n.slave(from, source, read)
	}
	c := &wired{Circuit: model.Circuit{ID: from.Tag + "/interlock-" + to.Tag, Equipment: from.Tag, Purpose: "interlock", Rule: "hard-interlock", Where: il.Where, Drive: source, Accepts: []model.End{target}}}
	if own := terminalOf(n.byID[target.Device].Spec, "control-supply"); own != nil && term.Nature == model.Coil {
		c.Supply = &model.End{Device: target.Device, Terminal: own.ID}
	} else if term.Nature == model.VoltageSense || term.Nature == model.Coil {
		n.pending = append(n.pending, pendingLoad{circuit: c, panel: to.panel, kind: "24vac"})
	}
	c.run, _ = n.lib.Run("output-24v")
	c.Conductor = n.conductor(c.run)
	n.join(c)
	return ""
}

func signalName(signal string) string {
	if signal == "" {
		return "its status"
	}
	return signal
}

// signalOf is the contact that tells a machine's status or its open damper,
// and the circuit that reads it already.
func (n *net) signalOf(m *machine, signal string) (model.End, *wired) {
	keys, functions := []string{"status", "unit-status", "run"}, []string{"status"}
	if tellsDamper(signal) {
		keys, functions = []string{"damper-open"}, []string{"end-switch", "damper-open"}
	}
	for _, role := range keys {
		if c := n.made[m.Tag+"/"+role]; c != nil && !c.Drive.Open() {
			return c.Drive, c
		}
	}
	for _, d := range n.ofTag[m.Tag] {
		for _, t := range d.Spec.Terminals {
			if slices.Contains(functions, t.Function) && t.Nature == model.Contact {
				return model.End{Device: d.ID, Terminal: t.ID}, nil
			}
		}
	}
	return model.End{}, nil
}

// freeInput is the first input of the machine that serves and that no circuit
// uses.
func (n *net) freeInput(m *machine, functions []string) (model.End, *model.Terminal) {
	for _, role := range interlockHolders {
		d := n.byID[m.Tag+"/"+role]
		if d == nil {
			continue
		}
		for _, fn := range functions {
			for i := range d.Spec.Terminals {
				t := &d.Spec.Terminals[i]
				if t.Function == fn && !t.Drives && !n.fed(d.ID, t.ID) {
					return model.End{Device: d.ID, Terminal: t.ID}, t
				}
			}
		}
	}
	return model.End{}, nil
}

// slave puts a relay behind a contact that is read already: its second pole
// takes the reading over, its first is the new contact. A further interlock of
// the same machine gets a relay of its own, its coil beside the first.
func (n *net) slave(m *machine, source model.End, read *wired) model.End {
	t, _ := n.deviceType("interlock-relay-24vac")
	number := 1
	id := m.Tag + "/interlock-relay"
	for n.byID[id] != nil {
		number++
		id = fmt.Sprintf("%s/interlock-relay-%d", m.Tag, number)
	}
	if o := n.changes[id]; o != nil && o.Type != "" {
		if own, ok := n.deviceType(o.Type); ok {
			t = own
		}
	}
	task, _ := n.lib.Task("pilot-relay")
	d := &model.Device{ID: id, Type: t.ID, Equipment: m.Tag, Role: strings.TrimPrefix(id, m.Tag+"/"), Location: m.Location, Spec: n.spec(m, id, t), Where: m.Where,
		FurnishedBy: task.Furnish, InstalledBy: task.Install, WiredBy: task.Wire, Why: "repeats a contact for a second reader"}
	n.stand(d)
	coil := n.made[m.Tag+"/interlock-coil"]
	end := model.End{Device: id, Terminal: terminalOf(d.Spec, "coil").ID}
	if coil != nil && coil.Drive == source || coil != nil && read.Drive.Device == m.Tag+"/interlock-relay" {
		coil.Accepts = append(coil.Accepts, end)
	} else {
		name := m.Tag + "/interlock-coil"
		if coil != nil {
			name = fmt.Sprintf("%s-%d", name, number)
		}
		coil = &wired{Circuit: model.Circuit{ID: name, Equipment: m.Tag, Purpose: "interlock", Rule: "hard-interlock", Where: m.Where, Drive: source, Accepts: []model.End{end}}}
		coil.run, _ = n.lib.Run("local")
		coil.Conductor = n.conductor(coil.run)
		n.join(coil)
		n.pending = append(n.pending, pendingLoad{circuit: coil, panel: m.panel, kind: "24vac"})
		read.Drive = model.End{Device: id, Terminal: terminalOf(d.Spec, "contact-2").ID}
	}
	return model.End{Device: id, Terminal: terminalOf(d.Spec, "contact").ID}
}
