package circuit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// side is one end of a circuit with the terminal that stands there.
type side struct {
	end    model.End
	device *model.Device
	t      *model.Terminal
}

// name says which terminal without naming the device's tag, so that the same
// trouble at ten fans is told once.
func (s side) name() string {
	what := s.t.ID
	if len(s.t.Labels) > 0 {
		what += " (" + strings.Join(s.t.Labels, "/") + ")"
	}
	if s.t.Class != "" {
		what = s.t.Class + " terminal"
		if s.t.Nature != "" {
			what += " as " + string(s.t.Nature)
		}
	}
	if s.device == nil || s.device.Spec == nil {
		return "the " + what
	}
	return shortName(s.device.Spec) + " " + what
}

// joint is one circuit with its ends resolved, and what the checks have said
// of it so far.
type joint struct {
	lib     *library.Library
	wiring  model.WiringSettings
	c       *model.Circuit
	drive   side
	accepts []side
	supply  *side
	// parallel are the accepting ends of other circuits on the same driving terminal.
	parallel []side
	started  bool // the driven device has a start circuit of its own
	logic    *model.CommandLogic
	answers  []answer
}

// answer is a check with what to do about it and which end it concerns. Group
// is the supply, cable, housing or trunk that it concerns as a whole, "" the
// circuit alone: a finding about a group is told once.
type answer struct {
	model.Check
	fix   string
	place int
	group string
}

// Places of a check: the driving end, the supply, or accepting end n as n.
const (
	atDrive  = -1
	atSupply = -2
)

// source is the end that gives the circuit its voltage; nil if none does.
func (j *joint) source() *side {
	if isSwitch(j.drive.t.Nature) {
		return j.supply
	}
	if j.drive.t.Nature == model.VoltageOut || j.drive.t.Nature == model.SupplyOut {
		return &j.drive
	}
	return nil
}

func (j *joint) sourcePlace() int {
	if isSwitch(j.drive.t.Nature) {
		return atSupply
	}
	return atDrive
}

func isSwitch(n model.Nature) bool {
	return n == model.Contact || n == model.SolidState || n == model.Transistor
}

// isLoad says that an accepting nature works on a voltage that others give.
func isLoad(n model.Nature) bool {
	return n == model.VoltageSense || n == model.Coil || n == model.PowerIn
}

// circuit answers every question about one circuit by itself.
func (x *index) circuit(c *model.Circuit) []answer {
	j, trouble := x.join(c)
	if trouble != nil {
		return []answer{*trouble}
	}
	if modes := x.modes(j); len(modes) > 0 {
		return modes
	}
	return x.memo.run(j)
}

// modes answers for a circuit that ends at a universal terminal which may be
// set to one of several modes: the best one counts. Nil if there is none such.
func (x *index) modes(j *joint) []answer {
	for _, s := range j.sides() {
		if s.t.Nature != "" || s.t.Class == "" {
			continue
		}
		class, ok := x.lib.Class(s.t.Class)
		if !ok {
			return []answer{j.missing("terminal class "+s.t.Class, s.end)}
		}
		var best []answer
		for i := range class.Modes {
			s.t = &class.Modes[i]
			j.answers = nil
			if got := x.memo.run(j); best == nil || worst(got).Rank() < worst(best).Rank() {
				best = got
			}
		}
		return best
	}
	return nil
}

// sides lists the ends so that they can be changed in place.
func (j *joint) sides() []*side {
	out := []*side{&j.drive}
	for i := range j.accepts {
		out = append(out, &j.accepts[i])
	}
	if j.supply != nil {
		out = append(out, j.supply)
	}
	return out
}

// join resolves the ends of a circuit. An end that is not there, or not landed
// yet, is the whole answer.
func (x *index) join(c *model.Circuit) (*joint, *answer) {
	return x.joinWith(c, model.End{}, nil)
}

// joinWith is join with one end that stands on a terminal of no device yet.
func (x *index) joinWith(c *model.Circuit, stands model.End, on *model.Terminal) (*joint, *answer) {
	j := &joint{lib: x.lib, wiring: x.wiring, c: c}
	var trouble *answer
	find := func(e model.End) side {
		s := side{end: e}
		if on != nil && e == stands {
			s.t = on
			return s
		}
		if e.Open() {
			if trouble == nil {
				a := answer{Check: model.Check{Code: "nature", Verdict: model.Unknown,
					Text: "one end is not landed on a controller terminal yet, so nothing can be proved"}, place: atDrive}
				trouble = &a
			}
			return s
		}
		s.device = x.device(e.Device)
		if s.t = x.terminal(e); s.t == nil && trouble == nil {
			a := x.notThere(j, e)
			trouble = &a
		}
		return s
	}
	j.drive = find(c.Drive)
	j.accepts = make([]side, 0, len(c.Accepts))
	for _, e := range c.Accepts {
		j.accepts = append(j.accepts, find(e))
	}
	if c.Supply != nil {
		s := find(*c.Supply)
		j.supply = &s
	}
	if trouble == nil && len(j.accepts) == 0 {
		a := answer{Check: model.Check{Code: "nature", Verdict: model.Unknown, At: c.Drive.String(),
			Text: "cannot tell: the circuit names no accepting terminal; name the input or load it ends at"}, fix: "name the accepting terminal", place: atDrive}
		trouble = &a
	}
	if trouble != nil {
		return j, trouble
	}
	for i := range j.accepts {
		j.accepts[i].t = x.accepting(c, j.accepts[i].end, j.accepts[i].t, j.drive.t.Nature)
	}
	x.surroundings(j)
	return j, nil
}

// accepting is the terminal of an accepting end with the resistors that the
// circuit lays across it. The same terminal and resistor give the same pointer,
// so that the memo knows them again.
func (x *index) accepting(c *model.Circuit, e model.End, t *model.Terminal, driver model.Nature) *model.Terminal {
	for k := range c.Across {
		if plain(c.Across[k].At) != plain(e) || t == nil {
			continue
		}
		key := laid{t, c.Across[k].Ohm, driver}
		x.laying.Lock()
		with := x.across[key]
		if with == nil {
			made := Across(*t, key.ohm, driver)
			with = &made
			x.across[key] = with
		}
		x.laying.Unlock()
		t = with
	}
	return t
}

// surroundings adds what other circuits mean for this one.
func (x *index) surroundings(j *joint) {
	for _, s := range j.accepts {
		if s.device == nil {
			continue
		}
		j.started = j.started || x.started[s.device.ID]
		if s.device.Spec != nil && s.device.Spec.Logic != nil {
			j.logic = s.device.Spec.Logic
		}
	}
	if j.drive.t.Nature != model.AnalogVoltage && j.drive.t.Nature != model.VoltageOut {
		return
	}
	for _, i := range x.drives[plain(j.c.Drive)] {
		other := &x.net.Circuits[i]
		if other == j.c || other.ID == j.c.ID || other.ID == x.replacing {
			continue
		}
		for _, e := range other.Accepts {
			if t := x.terminal(plain(e)); t != nil {
				j.parallel = append(j.parallel, side{e, x.devices[e.Device], t})
			}
		}
	}
}

// missing is the answer for a circuit whose end cannot be found.
func (j *joint) missing(what string, e model.End) answer {
	return answer{Check: model.Check{Code: "nature", Verdict: model.Unknown, At: e.String(),
		Text: "cannot tell: " + what + " is not known"}, fix: "correct the name, or describe it in a library file of your own", place: atDrive}
}

func (x *index) notThere(j *joint, e model.End) answer {
	d := x.device(e.Device)
	if d == nil {
		ids := make([]string, 0, len(x.devices))
		for id := range x.devices {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		return j.missing(fmt.Sprintf("device %q%s", e.Device, near(e.Device, ids)), e)
	}
	if d.Spec == nil {
		return j.missing(fmt.Sprintf("device type %q of %s", d.Type, d.ID), e)
	}
	var ids []string
	for _, t := range d.Spec.Terminals {
		ids = append(ids, t.ID)
	}
	return j.missing(fmt.Sprintf("terminal %q of %s%s (it has %s)", e.Terminal, d.ID, near(e.Terminal, ids), strings.Join(ids, ", ")), e)
}

func near(word string, candidates []string) string {
	if n := finding.Nearest(word, candidates); n != "" {
		return fmt.Sprintf(" (did you mean %q?)", n)
	}
	return ""
}

// worst is the verdict of a row of answers.
func worst(row []answer) model.Verdict {
	v := model.Pass
	for _, a := range row {
		v = model.Worst(v, a.Verdict)
	}
	return v
}

// shortName is what a device type is called in a sentence: its name up to the
// first comma, behind which the library puts the particulars.
func shortName(t *model.DeviceType) string {
	name, _, _ := strings.Cut(cmp.Or(t.Name, t.ID), ",")
	return name
}
