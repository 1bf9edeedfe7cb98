package circuit

import (
	"cmp"
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/points/library"
)

// combo is a choice of at most two parts: devices in line in the order of the
// signal, a supply, a resistor across an accepting end.
type combo struct {
	line   []*library.Interposer
	supply *library.Interposer
	across *library.Interposer
	price  int64
	ids    []string
}

// combos lists every choice of at most two parts, cheapest first; of equal
// price the one with fewer parts, then by id. No part at all comes first: the
// same terminals on another supply.
func combos(parts []library.Interposer) []combo {
	var line, supply, across []*library.Interposer
	for i := range parts {
		switch p := &parts[i]; p.How {
		case "in-line":
			line = append(line, p)
		case "supply":
			supply = append(supply, p)
		case "across":
			across = append(across, p)
		}
	}
	one := func(p *library.Interposer) []*library.Interposer { return []*library.Interposer{p} }
	out := []combo{newCombo(nil, nil, nil)}
	for _, s := range supply {
		out = append(out, newCombo(nil, s, nil))
		for _, a := range across {
			out = append(out, newCombo(nil, s, a))
		}
	}
	for _, a := range across {
		out = append(out, newCombo(nil, nil, a))
	}
	for _, l := range line {
		out = append(out, newCombo(one(l), nil, nil))
		for _, s := range supply {
			out = append(out, newCombo(one(l), s, nil))
		}
		for _, a := range across {
			out = append(out, newCombo(one(l), nil, a))
		}
		for _, m := range line {
			out = append(out, newCombo([]*library.Interposer{l, m}, nil, nil))
		}
	}
	slices.SortStableFunc(out, func(a, b combo) int {
		return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(len(a.ids), len(b.ids)), slices.Compare(a.ids, b.ids))
	})
	return out
}

func newCombo(line []*library.Interposer, supply, across *library.Interposer) combo {
	c := combo{line: line, supply: supply, across: across}
	for _, p := range c.parts() {
		c.price += p.Price()
		c.ids = append(c.ids, p.ID)
	}
	return c
}

// parts lists the parts of a combo: in line, then the supply, then the resistor.
func (c combo) parts() []*library.Interposer {
	out := slices.Clone(c.line)
	if c.supply != nil {
		out = append(out, c.supply)
	}
	if c.across != nil {
		out = append(out, c.across)
	}
	return out
}

// proposal is one way to mend a circuit: the circuits that replace it, and the
// devices that are put in.
type proposal struct {
	parts    []string
	price    int64
	words    string
	circuits []model.Circuit
	devices  []model.Device
	replaced []string // circuits that go; the mended one unless said
}

// partID is the id of a device put into a circuit.
func partID(circuit string, ids []string, n int) string {
	id := circuit + "/" + ids[n]
	if slices.Contains(ids[:n], ids[n]) {
		id += "-2"
	}
	return id
}

// installed makes the devices of a combo for a circuit.
func installed(c *model.Circuit, parts []*library.Interposer, ids []string) []model.Device {
	var out []model.Device
	for n, p := range parts {
		out = append(out, model.Device{ID: partID(c.ID, ids, n), Type: p.ID, Equipment: c.Equipment, Role: "interposer",
			Why: "makes circuit " + c.ID + " work", Spec: &p.Device})
	}
	return out
}

// piece is a stretch of the new circuit, and the sources it may hang on.
type piece struct {
	circuit model.Circuit
	sources []source
}

// source is where a piece or a feed gets its voltage; none where it needs none.
type source struct {
	end     model.End
	none    bool
	drive   bool // stands in Drive, for what drives is a supply
	isExtra bool // the supply that the combo adds
}

// arrangements lists the ways to put a combo into a circuit: which supply each
// piece and each device that needs power hangs on. Only pieces that work by
// themselves are kept; rejected is the least bad of what was not.
func (x *index) arrangements(c *model.Circuit, k combo, locals []model.End) (list []proposal, rejected []answer) {
	devices, extra, done := x.trial(c, k)
	defer done()
	pieces := x.pieces(c, k, devices, locals, extra)
	acrossAt := []int{-1}
	if k.across != nil {
		acrossAt = nil
		for i := range pieces {
			if len(pieces[i].circuit.Accepts) == 1 && i <= len(k.line) {
				acrossAt = append(acrossAt, i)
			}
		}
	}
	for _, at := range acrossAt {
		good := make([][]model.Circuit, len(pieces))
		stuck := false
		for i := range pieces {
			p := pieces[i]
			if i == at {
				p.circuit.Across = append(slices.Clone(p.circuit.Across), model.Resistor{At: plain(p.circuit.Accepts[0]),
					Part: devices[len(devices)-1].ID, Ohm: *k.across.Ohm, Watts: k.across.Watts})
			}
			var worstRow []answer
			good[i], worstRow = x.working(p)
			if len(good[i]) == 0 {
				stuck = true
			}
			if worstAnswer(worstRow) != nil && (len(good[i]) == 0 || worst(worstRow) == model.Caution) {
				rejected = leastBad(rejected, worstRow)
			}
		}
		if !stuck {
			list = append(list, x.product(c, k, devices, good, extra)...)
		}
	}
	return list, rejected
}

// trial puts the devices of a combo at hand: the devices, the supply terminal
// among them, and how to take them away again.
func (x *index) trial(c *model.Circuit, k combo) (devices []model.Device, extra model.End, done func()) {
	devices = installed(c, k.parts(), k.ids)
	x.extra = make(map[string]*model.Device, len(devices))
	for i := range devices {
		x.extra[devices[i].ID] = &devices[i]
		x.learn(devices[i].Spec)
	}
	x.replacing = c.ID
	if k.supply != nil {
		extra = model.End{Device: devices[len(k.line)].ID, Terminal: k.supply.Out}
	}
	return devices, extra, func() { x.extra, x.replacing = nil, "" }
}

// onTrial shows the pieces of a combo to f.
func (x *index) onTrial(c *model.Circuit, k combo, f func([]piece), locals []model.End) {
	devices, extra, done := x.trial(c, k)
	defer done()
	f(x.pieces(c, k, devices, locals, extra))
}

// leastBad keeps the row that speaks first.
func leastBad(a, b []answer) []answer {
	if a == nil || b != nil && worst(b).Rank() < worst(a).Rank() {
		return b
	}
	return a
}

// working lists the variants of a piece, one for each source, that leave no
// fault and nothing unknown; and the row of the best one that does not, or of
// the best one that leaves a caution where all do.
func (x *index) working(p piece) (good []model.Circuit, bad []answer) {
	clean, mild := false, []answer(nil)
	defer func() {
		if len(good) > 0 && !clean {
			bad = mild
		}
	}()
	for _, s := range p.sources {
		c := p.circuit
		switch {
		case s.none:
			c.Supply = nil
		case s.drive:
			c.Drive, c.Supply = s.end, nil
		default:
			e := s.end
			c.Supply = &e
		}
		row := x.circuit(&c)
		if v := worst(row); v.Rank() <= model.Caution.Rank() {
			good = append(good, c)
			clean = clean || v == model.Pass
			mild = leastBad(mild, row)
			continue
		}
		bad = leastBad(bad, row)
	}
	return good, bad
}

// pieces cuts a circuit at the devices in line and adds the feeds they need.
func (x *index) pieces(c *model.Circuit, k combo, devices []model.Device, locals []model.End, extra model.End) []piece {
	var supplies []source
	if c.Supply != nil {
		supplies = append(supplies, source{end: *c.Supply})
	}
	for _, e := range locals {
		if c.Supply == nil || plain(*c.Supply) != e {
			supplies = append(supplies, source{end: e})
		}
	}
	if k.supply != nil {
		supplies = append(supplies, source{end: extra, isExtra: true})
	}
	drive := c.Drive
	var out []piece
	for i := 0; i <= len(k.line); i++ {
		p := piece{circuit: *c}
		p.circuit.Drive, p.circuit.Checks, p.circuit.Fix, p.circuit.Verdict = drive, nil, nil, ""
		if i > 0 {
			p.circuit.ID = fmt.Sprintf("%s/part-%d", c.ID, i+1)
			p.circuit.Point = ""
		}
		if i < len(k.line) {
			p.circuit.Accepts = []model.End{{Device: devices[i].ID, Terminal: k.line[i].In}}
			p.circuit.Across = nil
			drive = model.End{Device: devices[i].ID, Terminal: k.line[i].Out}
		}
		p.sources = x.sourcesOf(&p.circuit, supplies)
		out = append(out, p)
	}
	x.carryPoint(c, out)
	for i, l := range k.line {
		if l.Power == "" {
			continue
		}
		feed := model.Circuit{ID: fmt.Sprintf("%s/feed-%d", c.ID, i+1), Equipment: c.Equipment, Purpose: "supply", Conductor: nearby,
			Accepts: []model.End{{Device: devices[i].ID, Terminal: l.Power}}}
		p := piece{circuit: feed}
		for _, s := range supplies {
			s.drive = true
			p.sources = append(p.sources, s)
		}
		out = append(out, p)
	}
	return out
}

// nearby is the wire of a part that sits beside its supply in the panel.
var nearby = model.Conductor{Gauge: defaultGauge, LengthFt: ptr(10.0), Count: 2, Stranded: true, Assumed: true}

// carryPoint leaves the point and the id with the piece that ends at a
// controller's terminal, where it is read or commanded.
func (x *index) carryPoint(c *model.Circuit, pieces []piece) {
	last := len(pieces) - 1
	if last < 1 || c.Point == "" {
		return
	}
	for _, a := range c.Accepts {
		if t := x.terminal(plain(a)); t != nil && t.Class != "" {
			first, end := &pieces[0].circuit, &pieces[last].circuit
			first.ID, end.ID = end.ID, first.ID
			first.Point, end.Point = end.Point, first.Point
			return
		}
	}
}

// sourcesOf lists where a piece may get its voltage: nowhere where it needs
// none.
func (x *index) sourcesOf(c *model.Circuit, supplies []source) []source {
	d := x.terminal(plain(c.Drive))
	if d == nil {
		return nil
	}
	if d.Nature == model.SupplyOut {
		out := []source{{end: c.Drive, drive: true}}
		if !onlyFeeds(c) {
			return out
		}
		for _, s := range supplies {
			if plain(s.end) != plain(c.Drive) {
				s.drive = true
				out = append(out, s)
			}
		}
		return out
	}
	needs, powered := false, false
	for _, a := range c.Accepts {
		if t := x.terminal(plain(a)); t != nil {
			needs = needs || isSwitch(d.Nature) && isLoad(t.Nature)
			powered = powered || t.LoopPower == "source"
		}
	}
	if d.Nature == model.AnalogCurrent && d.LoopPower == "sink" && !powered {
		needs = true
	}
	if !needs {
		return []source{{none: true}}
	}
	return supplies
}

// onlyFeeds says that a circuit does no more than feed a load, so that another
// supply may stand in its drive. What drives a start or an override is its
// signal: a transformer in its place would hold it on for ever.
func onlyFeeds(c *model.Circuit) bool {
	switch c.Purpose {
	case "", "mains", "supply", "damper-power":
		return true
	}
	return false
}

// most is how many arrangements of one choice of parts are tried.
const most = 256

// product combines the working variants of all pieces; one that leaves the
// added supply unused is not what was asked for.
func (x *index) product(c *model.Circuit, k combo, devices []model.Device, good [][]model.Circuit, extra model.End) []proposal {
	all := [][]model.Circuit{nil}
	for _, variants := range good {
		var next [][]model.Circuit
		for _, head := range all {
			for _, v := range variants {
				if len(next) < most {
					next = append(next, append(slices.Clone(head), v))
				}
			}
		}
		all = next
	}
	var out []proposal
	for _, circuits := range all {
		if k.supply != nil && !slices.ContainsFunc(circuits, func(c model.Circuit) bool { return uses(&c, extra) }) {
			continue
		}
		out = append(out, proposal{parts: k.ids, price: k.price, circuits: circuits, devices: devices, replaced: []string{c.ID}})
	}
	return out
}

func uses(c *model.Circuit, e model.End) bool {
	return plain(c.Drive) == e || c.Supply != nil && plain(*c.Supply) == e
}
