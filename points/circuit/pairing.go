package circuit

import (
	"fmt"
	"strings"

	"tallywire/model"
)

// pair is a driving and an accepting nature.
type pair struct{ drive, accept model.Nature }

// works lists the natures that can work together at all. What else a circuit
// needs (a supply, the right kind of current) is asked by the other checks.
var works = map[pair]bool{
	{model.Contact, model.ContactSense}: true, {model.Contact, model.VoltageSense}: true,
	{model.Contact, model.Coil}: true, {model.Contact, model.PowerIn}: true, {model.Contact, model.Pulse}: true,
	{model.SolidState, model.ContactSense}: true, {model.SolidState, model.VoltageSense}: true,
	{model.SolidState, model.Coil}: true, {model.SolidState, model.PowerIn}: true,
	{model.Transistor, model.ContactSense}: true, {model.Transistor, model.VoltageSense}: true,
	{model.Transistor, model.Coil}: true, {model.Transistor, model.PowerIn}: true, {model.Transistor, model.Pulse}: true,
	{model.VoltageOut, model.ContactSense}: true, {model.VoltageOut, model.VoltageSense}: true,
	{model.VoltageOut, model.Coil}: true, {model.VoltageOut, model.PowerIn}: true, {model.VoltageOut, model.Pulse}: true,
	{model.SupplyOut, model.ContactSense}: true, {model.SupplyOut, model.VoltageSense}: true,
	{model.SupplyOut, model.Coil}: true, {model.SupplyOut, model.PowerIn}: true,
	{model.AnalogVoltage, model.AnalogVoltage}: true, {model.AnalogCurrent, model.AnalogCurrent}: true,
	{model.Resistance, model.Resistance}: true, {model.Pulse, model.Pulse}: true, {model.Pulse, model.ContactSense}: true,
	{model.Pulse, model.VoltageSense}: true, {model.Bus, model.Bus}: true,
}

// advice says what is wrong with a pair of natures that is often tried.
var advice = map[pair][2]string{
	{model.AnalogVoltage, model.AnalogCurrent}: {"a voltage output on a current input: the low resistance of the input overloads the output", "set the input to voltage, or use a current output; a resistor converts current to voltage, not the reverse"},
	{model.AnalogCurrent, model.AnalogVoltage}: {"a current output on a voltage input: the input has no path for the current", "set the input to current, or put 500 ohm across it (4-20 mA arrives as 2-10 V)"},
	{model.Contact, model.AnalogVoltage}:       {"a contact gives no signal between 0 and 100 %", "drive the input with an analog output"},
	{model.SolidState, model.Pulse}:            {"a solid-state AC output on a DC pulse input", "use a relay or a transistor output"},
}

// askNature: the natures of the two ends can work together.
func (j *joint) askNature() {
	if !j.drive.t.Drives && !isSwitch(j.drive.t.Nature) && j.drive.t.Nature != model.SupplyOut && j.drive.t.Nature != model.VoltageOut {
		j.tell("nature", model.Fault, atDrive, fmt.Sprintf("%s is an input and drives nothing", j.drive.name()), "", "name the output that drives this circuit")
		return
	}
	for i := range j.accepts {
		a := j.accepts[i]
		if a.t.Nature == model.SupplyOut && j.drive.t.Nature == model.SupplyOut && a.t.Current == j.drive.t.Current {
			j.tell("nature", model.Pass, i, "two supplies in parallel; common-short says whether they may", "", "")
			continue
		}
		if a.t.Drives || a.t.Nature == model.SupplyOut || a.t.Nature == model.VoltageOut || isSwitch(a.t.Nature) {
			j.tell("nature", model.Fault, i, fmt.Sprintf("%s is an output: two outputs are joined and fight each other", a.name()),
				"", "give each output an input of its own, or put a high selector or a changeover relay between them")
			continue
		}
		p := pair{j.drive.t.Nature, a.t.Nature}
		if !works[p] {
			why, fix := fmt.Sprintf("%s output cannot work into %s input", a1(p.drive), a1(p.accept)), "use another terminal, or put a device between that converts the signal"
			if s, ok := advice[p]; ok {
				why, fix = s[0], s[1]
			}
			j.tell("nature", model.Fault, i, fmt.Sprintf("%s into %s: %s", j.drive.name(), a.name(), why), "", fix)
			continue
		}
		if p.drive == model.Bus && j.drive.t.Protocol != "" && a.t.Protocol != "" && j.drive.t.Protocol != a.t.Protocol {
			j.tell("nature", model.Fault, i, fmt.Sprintf("%s speaks %s, %s speaks %s", j.drive.name(), j.drive.t.Protocol, a.name(), a.t.Protocol),
				"", "use a gateway or order the right communication card")
			continue
		}
		if !j.sinksOnce(i) {
			continue
		}
		j.tell("nature", model.Pass, i, fmt.Sprintf("%s output into %s input", a1(p.drive), a1(p.accept)), "", "")
	}
}

// sinksOnce says that of a transistor output and an input one sinks the current
// and the other sources it, and tells where that is not so or not known. Coils
// and other loads with two free leads work with either; so does an output of
// two wires, of which neither is said.
func (j *joint) sinksOnce(i int) bool {
	d, a := j.drive.t, j.accepts[i].t
	if d.Nature != model.Transistor || d.Sinking == nil || a.Nature != model.VoltageSense && a.Nature != model.ContactSense && a.Nature != model.Pulse {
		return true
	}
	sinks := a.Sinking
	if sinks == nil && strings.HasPrefix(a.InputClass, "iec61131-2/") {
		sinks = ptr(true) // the types of the standard are current-sinking inputs
	}
	does := map[bool]string{true: "sinks", false: "sources"}
	switch {
	case sinks == nil:
		j.unknown("nature", i, "whether "+j.accepts[i].name()+" sinks or sources its current", "one that "+does[!*d.Sinking])
	case *sinks == *d.Sinking:
		j.tell("nature", model.Fault, i, fmt.Sprintf("%s %s the current and %s %s it too: none flows, the input never comes on", j.drive.name(), does[*d.Sinking], j.accepts[i].name(), does[*sinks]), "IEC 61131-2, current-sinking inputs",
			"use an output that "+does[!*d.Sinking]+", set the input to the other sort, or put a relay between")
	default:
		return true
	}
	return false
}

// a1 puts the article before a nature.
func a1(n model.Nature) string {
	if strings.HasPrefix(string(n), "a") {
		return "an " + string(n)
	}
	return "a " + string(n)
}

// natureFails says that the natures do not fit at an accepting end, so that
// checks of its figures would be noise.
func (j *joint) natureFails(place int) bool {
	for _, a := range j.answers {
		if a.Code == "nature" && a.place == place && a.Verdict == model.Fault {
			return true
		}
	}
	return false
}

// askWetOnDry: no voltage is put on an input that wets the contact itself.
func (j *joint) askWetOnDry() {
	for i, a := range j.accepts {
		if a.t.Nature != model.ContactSense && a.t.Nature != model.Pulse || j.natureFails(i) || j.drive.t.Nature == model.Pulse {
			continue
		}
		s := j.source()
		if s == nil {
			j.tell("wet-on-dry", model.Pass, i, "the contact is dry: nothing but the input's own voltage is on it", "", "")
			continue
		}
		volts := "a voltage"
		if v, ok := delivered(s.t); ok {
			volts = span(v) + " V"
		}
		own := ""
		if w := a.t.Wetting; w != nil {
			own = fmt.Sprintf(" of %s V %s", span(w.Volts), kindOr(w.Current, "dc"))
		}
		j.tell("wet-on-dry", model.Fault, i, fmt.Sprintf("%s gives %s %s; %s wets its contact itself%s and is damaged by outside voltage",
			s.name(), volts, s.t.Current, a.name(), own), "",
			"use a dry relay output or the device's wet input, or put a relay between: the voltage on its coil, its dry contact to the input")
	}
}

// askSupply: a circuit that needs a voltage from outside names exactly one
// source of it.
func (j *joint) askSupply() {
	drives := j.drive.t.Nature
	j.askPulled()
	for i, a := range j.accepts {
		if j.natureFails(i) || !isLoad(a.t.Nature) || drives == model.Pulse {
			continue
		}
		switch {
		case isSwitch(drives) && j.supply == nil:
			j.tell("needs-supply", model.Fault, i, fmt.Sprintf("%s only switches, and %s needs a voltage: the circuit names no supply, so nothing pulls in", j.drive.name(), a.name()),
				"", "name the supply, its VA and its fuse; or use the device's dry input if it has one")
		case isSwitch(drives) && !isSource(j.supply.t):
			j.tell("needs-supply", model.Fault, atSupply, fmt.Sprintf("%s is named as the supply of this circuit but gives no voltage", j.supply.name()), "", "name a supply terminal")
		case isSwitch(drives):
			j.tell("needs-supply", model.Pass, i, fmt.Sprintf("one source: %s", j.supply.name()), "", "")
		case j.supply != nil:
			j.tell("needs-supply", model.Fault, i, fmt.Sprintf("two sources: %s gives a voltage itself, and %s is named as the supply as well", j.drive.name(), j.supply.name()),
				"", "leave the supply out, or drive the circuit with a dry contact")
		default:
			j.tell("needs-supply", model.Pass, i, fmt.Sprintf("one source: %s", j.drive.name()), "", "")
		}
	}
}

// askPulled: an analog input that a signal drives has no source of its own.
func (j *joint) askPulled() {
	for i, a := range j.accepts {
		if j.drive.t.Nature != model.AnalogVoltage || a.t.Nature != model.AnalogVoltage || a.t.Pulled == nil {
			continue
		}
		if *a.t.Pulled {
			j.tell("needs-supply", model.Caution, i, fmt.Sprintf("two sources: %s, and what is still connected at %s, its 10 V terminal or a potentiometer: the fan runs with the signal at 0", j.drive.name(), a.name()), "common practice",
				"leave the 10 V terminal of the input open")
			continue
		}
		j.tell("needs-supply", model.Pass, i, "one source: "+j.drive.name(), "", "")
	}
}

func isSource(t *model.Terminal) bool {
	return t.Nature == model.SupplyOut || t.Nature == model.VoltageOut
}

func kindOr(kind, fallback string) string {
	if kind == "" {
		return fallback
	}
	return kind
}

// askCurrent: AC and DC agree from the source through the switch to the load.
func (j *joint) askCurrent() {
	for i, a := range j.accepts {
		if j.natureFails(i) {
			continue
		}
		if a.t.Nature == model.ContactSense {
			j.askDryCurrent(i)
			continue
		}
		if a.t.Nature == model.AnalogCurrent && j.supply != nil && j.supply.t.Current != "dc" {
			j.tell("ac-dc", model.Fault, atSupply, fmt.Sprintf("%s gives %s; a current loop works on DC only", j.supply.name(), kindOr(j.supply.t.Current, "an unknown current")), "", "use a 24 V DC loop supply")
			continue
		}
		if !isLoad(a.t.Nature) {
			continue
		}
		s := j.source()
		if s == nil || !isSource(s.t) {
			continue
		}
		given := s.t.Current
		if given == "" {
			j.unknown("ac-dc", j.sourcePlace(), "whether "+s.name()+" gives AC or DC", kindOr(a.t.Current, "what the load takes"))
			continue
		}
		if isSwitch(j.drive.t.Nature) && !j.switches(given, i) {
			continue
		}
		switch {
		case a.t.Current == "":
			j.unknown("ac-dc", i, "whether "+a.name()+" takes AC or DC", given)
		case !takes(a.t.Current, given):
			j.tell("ac-dc", model.Fault, i, fmt.Sprintf("%s gives %s, %s takes %s only", s.name(), given, a.name(), a.t.Current),
				"", fmt.Sprintf("use a%s supply of the right voltage, or a relay with a %s coil between", article(a.t.Current), given))
		case given == "dc" && a.end.Reversed && a.t.Nature == model.PowerIn && a.t.Rectifier == "half-wave":
			j.tell("ac-dc", model.Fault, i, fmt.Sprintf("the two wires of the DC feed of %s are swapped: it rectifies one half-wave only and gets no current", a.name()), "circuit analysis of half-wave rectifiers", "swap the two supply wires")
		case given == "dc" && a.end.Reversed && a.t.Nature == model.PowerIn && a.t.Rectifier == "":
			j.unknown("ac-dc", i, "whether "+a.name()+" is half-wave or full-wave: the two wires of its DC feed are swapped", "full-wave")
		default:
			j.tell("ac-dc", model.Pass, i, fmt.Sprintf("%s is given, %s is taken", given, a.t.Current), "", "")
		}
	}
}

func article(current string) string {
	if current == "ac" {
		return "n AC"
	}
	return " DC"
}

// switches says whether the driving switch can handle the current of the
// source, and tells when it cannot.
func (j *joint) switches(given string, place int) bool {
	d := j.drive
	can := d.t.Current
	switch d.t.Nature {
	case model.SolidState:
		can = kindOr(can, "ac")
	case model.Transistor:
		can = "dc"
	case model.Contact:
		can = kindOr(can, "ac/dc") // its ratings are asked apart
	}
	if takes(can, given) {
		return true
	}
	why := "a solid-state output turns off only where the current passes zero: on DC it latches on or never conducts"
	if d.t.Nature != model.SolidState {
		why = "it switches " + can + " only"
	}
	j.tell("ac-dc", model.Fault, place, fmt.Sprintf("%s would switch %s: %s", d.name(), given, why), "",
		"use a relay output, or a pilot relay with its contact in this circuit")
	return false
}

// askDryCurrent: what an input wets its contact with suits the switch.
func (j *joint) askDryCurrent(i int) {
	a := j.accepts[i]
	kind := "dc"
	if a.t.Wetting != nil {
		kind = kindOr(a.t.Wetting.Current, "dc")
	}
	if isSwitch(j.drive.t.Nature) && j.switches(kind, i) {
		j.tell("ac-dc", model.Pass, i, fmt.Sprintf("the input wets the contact with %s, which %s can switch", kind, j.drive.name()), "", "")
	}
}

// takes says that a terminal good for "ac/dc" takes either.
func takes(good, given string) bool { return good == "ac/dc" || good == given }
