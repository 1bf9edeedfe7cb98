package circuit

import (
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/points/library"
)

// Legality is whether a circuit with one open end may land on a terminal of a
// class. Mode is the mode of the terminal that serves best. Reasons say what is
// against it. When it works only with interposers, Verdict is that of the
// circuit with them in, and Parts (device type ids) and PriceCents say what
// they are; without Parts the circuit lands as it is.
type Legality struct {
	Verdict    model.Verdict
	Mode       string
	Reasons    []string
	Parts      []string
	PriceCents int64
	// OwnSupply says that the terminal gives the voltage itself: the circuit's
	// supply is left out when it lands here.
	OwnSupply bool
	// Hopeless says that the two ends cannot work together at all.
	Hopeless bool
}

// OK says that the circuit may land, with its parts if it has any.
func (l Legality) OK() bool { return l.Verdict == model.Pass || l.Verdict == model.Caution }

// Judge answers Legal for many circuits of one net. It remembers answers by the
// shape of the circuit, so ask one Judge for all. It is not for several
// goroutines at once.
type Judge struct {
	x       *index
	byShape map[landingShape]Legality
	stands  map[*model.Terminal]*model.DeviceType // a controller of one terminal, by mode
}

type landingShape struct {
	shape
	class string
	open  int
}

// NewJudge makes a Judge of a net.
func NewJudge(lib *library.Library, p *model.Project, net Net) *Judge {
	x := newIndex(lib, p, net)
	x.memo = newMemo()
	return &Judge{x: x, byShape: map[landingShape]Legality{}, stands: map[*model.Terminal]*model.DeviceType{}}
}

// Legal is one question to a Judge made for it; use a Judge for many.
func Legal(lib *library.Library, p *model.Project, net Net, c model.Circuit, class library.TerminalClass) Legality {
	return NewJudge(lib, p, net).Legal(c, class)
}

// openAt is where the open end of a circuit stands: atDrive, atSupply, the
// number of the accepting end, or -3 if none is open.
func openAt(c *model.Circuit) int {
	if c.Drive.Open() {
		return atDrive
	}
	if i := slices.IndexFunc(c.Accepts, model.End.Open); i >= 0 {
		return i
	}
	if c.Supply != nil && c.Supply.Open() {
		return atSupply
	}
	return -3
}

// Legal answers whether the circuit may land on a terminal of the class.
func (w *Judge) Legal(c model.Circuit, class library.TerminalClass) Legality {
	open := openAt(&c)
	if open == -3 || open == atSupply {
		return Legality{Verdict: model.Unknown, Reasons: []string{"the circuit has no open end that a controller terminal could take"}}
	}
	var best Legality
	for i := range class.Modes {
		mode := &class.Modes[i]
		if mode.Drives != (open == atDrive) {
			continue
		}
		l := w.mode(&c, open, mode)
		if best.Verdict == "" || better(l, best) {
			best = l
		}
		if best.Verdict == model.Pass && len(best.Parts) == 0 {
			break
		}
	}
	if best.Verdict == "" {
		what := "an output"
		if open != atDrive {
			what = "an input"
		}
		return Legality{Verdict: model.Fault, Reasons: []string{fmt.Sprintf("the circuit needs %s, and %s has none", what, class.ID)}}
	}
	return best
}

// better prefers a circuit that works as it is, then one with cheaper parts,
// then the better verdict.
func better(a, b Legality) bool {
	if a.OK() != b.OK() {
		return a.OK()
	}
	if a.OK() && a.PriceCents != b.PriceCents {
		return a.PriceCents < b.PriceCents
	}
	return a.Verdict.Rank() < b.Verdict.Rank()
}

// mode judges one mode of a terminal class.
func (w *Judge) mode(c *model.Circuit, open int, mode *model.Terminal) Legality {
	landed := *c
	landed.Accepts = slices.Clone(c.Accepts)
	own := open == atDrive && mode.Nature == model.VoltageOut && landed.Supply != nil
	if own {
		landed.Supply = nil
	}
	j, missing := w.landed(&landed, open, mode)
	if missing != nil {
		return Legality{Verdict: missing.Verdict, Mode: mode.ID, Reasons: []string{missing.Text}}
	}
	s, short := shapeOf(j)
	key := landingShape{s, mode.Class + "/" + mode.ID, open}
	if short {
		if got, hit := w.byShape[key]; hit {
			return got
		}
	}
	row := j.run()
	l := Legality{Verdict: worst(row), Mode: mode.ID, Reasons: reasons(row), OwnSupply: own, Hopeless: natureHopeless(row)}
	if !l.OK() && !l.Hopeless && j.oneFamily() {
		if f := w.parts(&landed, j); f.ok {
			l.Verdict, l.Parts, l.PriceCents = f.left, f.parts, f.price
		}
	}
	if len(l.Parts) == 0 && natureFault(row) {
		l.Hopeless = true
	}
	if short {
		w.byShape[key] = l
	}
	return l
}

// parts searches for the cheapest parts that let the circuit land on the mode,
// with the supplies of its surroundings at hand.
func (w *Judge) parts(c *model.Circuit, j *joint) found {
	n := Net{Circuits: []model.Circuit{*c}}
	have := map[string]bool{}
	for _, s := range j.sides() {
		if s.device != nil && !have[s.device.ID] {
			have[s.device.ID] = true
			n.Devices = append(n.Devices, *s.device)
		} else if s.device == nil {
			if w.stands[s.t] == nil {
				w.stands[s.t] = &model.DeviceType{ID: "controller", Terminals: []model.Terminal{*s.t}}
			}
			n.Devices = append(n.Devices, model.Device{ID: s.end.Device, Role: "controller", Equipment: c.Equipment, Spec: w.stands[s.t]})
		}
	}
	for _, e := range w.x.locals(c) {
		if d := w.x.device(e.Device); !have[e.Device] {
			have[e.Device] = true
			n.Devices = append(n.Devices, *d)
		}
	}
	x := newIndex(w.x.lib, nil, n)
	x.wiring, x.memo, x.across, x.shelf, x.priced = w.x.wiring, w.x.memo, w.x.across, w.x.shelf, w.x.priced
	x.rows = x.all()
	m := x.mending(0)
	m.mend = map[troubleKey]bool{}
	return m.chains()
}

// families are the natures between which devices in line exist at all.
var families = map[model.Nature]string{
	model.Contact: "binary", model.SolidState: "binary", model.Transistor: "binary", model.VoltageOut: "binary", model.SupplyOut: "binary",
	model.ContactSense: "binary", model.VoltageSense: "binary", model.Coil: "binary", model.PowerIn: "binary", model.Pulse: "binary",
	model.AnalogVoltage: "analog", model.AnalogCurrent: "analog", model.Resistance: "resistance", model.Bus: "bus",
}

// oneFamily says that the ends carry the same kind of signal, so that a device
// between them may help: no device makes a start contact of a 0-10 V output.
func (j *joint) oneFamily() bool {
	for _, a := range j.accepts {
		if families[a.t.Nature] != families[j.drive.t.Nature] {
			return false
		}
	}
	return true
}

// natureFault says that the two ends cannot work together as they are.
func natureFault(row []answer) bool {
	return slices.ContainsFunc(row, func(a answer) bool { return a.Code == "nature" && a.Verdict == model.Fault })
}

// natureHopeless says that no device between could help because the circuit is
// not described well enough.
func natureHopeless(row []answer) bool {
	return len(row) == 1 && row[0].Code == "nature" && row[0].Verdict == model.Unknown
}

func reasons(row []answer) []string {
	var out []string
	for _, a := range row {
		if a.Verdict != model.Pass {
			out = append(out, a.Code+": "+a.Text)
		}
	}
	return out
}

// landed joins a circuit as if its open end stood on the mode.
func (w *Judge) landed(c *model.Circuit, open int, mode *model.Terminal) (*joint, *answer) {
	stand := model.End{Device: "(controller)", Terminal: mode.ID}
	if open == atDrive {
		c.Drive = stand
	} else {
		c.Accepts[open] = stand
	}
	return w.x.joinWith(c, stand, mode)
}
