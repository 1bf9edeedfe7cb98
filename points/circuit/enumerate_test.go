package circuit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// answerOf is what a search says: whether, at what verdict and price.
type answerOf struct {
	ok    bool
	left  model.Verdict
	price int64
	parts int
}

// enumeration tries every choice of at most two parts in every arrangement. It
// shares nothing with the search but the checks: it writes down whole nets and
// asks Check of them.
type enumeration struct {
	b     *bench
	net   Net
	c     model.Circuit
	had   model.Verdict
	local []model.End
	best  map[model.Verdict]*answerOf
	cache map[string]bool
}

func enumerate(b *bench, net Net, parts []library.Interposer) answerOf {
	e := &enumeration{b: b, net: net, c: net.Circuits[0], best: map[model.Verdict]*answerOf{}, cache: map[string]bool{}}
	e.had = Check(b.lib, &b.p, net).Circuits[0].Verdict
	for _, d := range net.Devices {
		for _, t := range d.Spec.Terminals {
			if t.Nature == model.SupplyOut && t.Volts.Hi <= 60 {
				e.local = append(e.local, model.End{Device: d.ID, Terminal: t.ID})
			}
		}
	}
	for _, gauge := range []int{16, 14, 12} {
		c := e.c
		c.Conductor.Gauge = gauge
		e.whole(nil, []model.Circuit{c})
	}
	for _, a := range e.c.Accepts[:1] {
		c := e.c
		c.Accepts = []model.End{{Device: a.Device, Terminal: a.Terminal, Reversed: true}}
		e.whole(nil, []model.Circuit{c})
	}
	e.choose(nil, parts)
	if a := e.best[model.Pass]; a != nil {
		return *a
	}
	if a := e.best[model.Caution]; a != nil && e.had.Rank() > model.Caution.Rank() {
		return *a
	}
	return answerOf{}
}

// choose grows the list of parts to two.
func (e *enumeration) choose(have []library.Interposer, parts []library.Interposer) {
	e.arrange(have)
	if len(have) == 2 {
		return
	}
	for _, p := range parts {
		e.choose(append(append([]library.Interposer{}, have...), p), parts)
	}
}

// arrange writes down the pieces of a list of parts and tries every source for
// each of them.
func (e *enumeration) arrange(parts []library.Interposer) {
	var price int64
	var line, supplies, resistors []library.Interposer
	for _, p := range parts {
		price += p.Price()
		switch p.How {
		case "in-line":
			line = append(line, p)
		case "supply":
			supplies = append(supplies, p)
		case "across":
			resistors = append(resistors, p)
		}
	}
	if len(supplies) > 1 || len(resistors) > 1 || len(line)+len(supplies)+len(resistors) != len(parts) || e.best[model.Pass] != nil && e.best[model.Pass].price <= price {
		return
	}
	var devices []model.Device
	put := func(p library.Interposer) string {
		spec := p.Device
		id := fmt.Sprintf("part %d", len(devices))
		devices = append(devices, model.Device{ID: id, Type: p.ID, Equipment: "EF-1", Spec: &spec})
		return id
	}
	from := e.c.Drive
	var pieces []model.Circuit
	for i := range line {
		id := put(line[i])
		pieces = append(pieces, model.Circuit{ID: fmt.Sprintf("piece %d", i), Drive: from, Accepts: []model.End{{Device: id, Terminal: line[i].In}}, Conductor: e.c.Conductor})
		from = model.End{Device: id, Terminal: line[i].Out}
		if line[i].Power != "" {
			pieces = append(pieces, model.Circuit{ID: fmt.Sprintf("feed %d", i), Purpose: "supply", Accepts: []model.End{{Device: id, Terminal: line[i].Power}}, Conductor: nearby})
		}
	}
	last := e.c
	last.Drive, last.ID = from, "last piece"
	pieces = append(pieces, last)
	choices := append([]model.End{}, e.local...)
	if len(supplies) == 1 {
		choices = append(choices, model.End{Device: put(supplies[0]), Terminal: supplies[0].Out})
	}
	if len(resistors) == 0 {
		e.source(devices, pieces, choices, nil)
		return
	}
	id := put(resistors[0])
	for i := range pieces {
		if len(pieces[i].Accepts) == 1 && pieces[i].Purpose != "supply" {
			with := append([]model.Circuit{}, pieces...)
			with[i].Across = []model.Resistor{{At: pieces[i].Accepts[0], Part: id, Ohm: *resistors[0].Ohm, Watts: resistors[0].Watts}}
			e.source(devices, with, choices, nil)
		}
	}
}

// source tries every supply, and none, for the first piece that has not got
// one, and goes on with those that have nothing wrong by themselves.
func (e *enumeration) source(devices []model.Device, todo []model.Circuit, choices []model.End, done []model.Circuit) {
	if len(todo) == 0 {
		e.whole(devices, done)
		return
	}
	c := todo[0]
	var variants []model.Circuit
	if c.Drive.Device != "" {
		own := c
		own.Supply = nil
		variants = append(variants, own)
	}
	for _, s := range choices {
		v := c
		if c.Drive.Device == "" {
			v.Drive = s
		} else {
			to := s
			v.Supply = &to
		}
		variants = append(variants, v)
		if at := e.terminal(devices, c.Drive); at != nil && at.Nature == model.SupplyOut {
			moved := c
			moved.Drive, moved.Supply = s, nil
			variants = append(variants, moved)
		}
	}
	for _, v := range variants {
		if e.alone(devices, v) {
			e.source(devices, todo[1:], choices, append(append([]model.Circuit{}, done...), v))
		}
	}
}

func (e *enumeration) terminal(devices []model.Device, at model.End) *model.Terminal {
	for _, d := range append(append([]model.Device{}, e.net.Devices...), devices...) {
		if d.ID == at.Device {
			if t, ok := d.Spec.Terminal(at.Terminal); ok {
				return t
			}
		}
	}
	return nil
}

// alone says that a piece has neither fault nor unknown by itself.
func (e *enumeration) alone(devices []model.Device, c model.Circuit) bool {
	key := fmt.Sprint(c.Drive, c.Accepts, c.Across, c.Conductor)
	if c.Supply != nil {
		key += c.Supply.String()
	}
	for _, d := range devices {
		key += d.ID + d.Type
	}
	if got, ok := e.cache[key]; ok {
		return got
	}
	r := Check(e.b.lib, &e.b.p, Net{Devices: append(append([]model.Device{}, e.net.Devices...), devices...), Circuits: []model.Circuit{c}})
	e.cache[key] = r.Circuits[0].Verdict.Rank() <= model.Caution.Rank()
	return e.cache[key]
}

// whole asks of a whole net and keeps the cheapest that works.
func (e *enumeration) whole(devices []model.Device, circuits []model.Circuit) {
	net := Net{Devices: append(append([]model.Device{}, e.net.Devices...), devices...), Circuits: append(append([]model.Circuit{}, circuits...), e.net.Circuits[1:]...)}
	v := model.Pass
	for _, c := range Check(e.b.lib, &e.b.p, net).Circuits {
		v = model.Worst(v, c.Verdict)
	}
	var price int64
	for _, d := range devices {
		for _, p := range e.b.lib.Interposers() {
			if p.ID == d.Type {
				price += p.Price()
			}
		}
	}
	if v.Rank() > model.Caution.Rank() {
		return
	}
	if a := e.best[v]; a == nil || price < a.price {
		e.best[v] = &answerOf{true, v, price, len(devices)}
	}
}

// randomCircuit draws a circuit of which much may be wrong.
func randomCircuit(r *rand.Rand) Net {
	pick := func(list ...func() model.Terminal) model.Terminal { return list[r.IntN(len(list))]() }
	of := func(list ...float64) float64 { return list[r.IntN(len(list))] }
	class2 := func(t model.Terminal) model.Terminal {
		if t.Volts.Hi > 60 {
			t.ClassTwo, t.Capacity = nil, nil
		}
		t.PhaseDeg = ptr(0.0)
		return t
	}
	supply := func() model.Terminal {
		if r.IntN(3) == 0 {
			return class2(dcSupply(23.5, 24.5))
		}
		return class2(acSupply(of(24, 24, 24, 120), of(20, 40, 75)))
	}
	drive := pick(
		func() model.Terminal { return contact(of(0.0005, 0.001, 0.010), "B300", "R300") },
		func() model.Terminal {
			return with(contact(0.001), func(t *model.Terminal) {
				t.Ratings = []model.LoadRating{{Current: "ac", Volts: of(30, 120), Amps: of(0.1, 0.5, 2), Duty: "pilot"}}
			})
		},
		func() model.Terminal {
			return with(triac(), func(t *model.Terminal) {
				t.Holding = ptr(of(0.01, 0.03, 0.05))
				t.Snubber = ptr(of(10e-9, 47e-9, 100e-9))
			})
		},
		func() model.Terminal { return powered(of(12, 24, 24, 120)) },
		analogDriver,
		func() model.Terminal { return analogOut(of(0.002, 0.01)) },
		func() model.Terminal {
			return with(transmitter("source"), func(t *model.Terminal) { t.MaxLoop = model.Span(0, of(200, 500, 600)) })
		},
		func() model.Terminal { return transmitter("sink") },
		func() model.Terminal { return class2(acSupply(of(24, 120), 40)) },
	)
	var accept model.Terminal
	switch drive.Nature {
	case model.AnalogVoltage, model.AnalogCurrent:
		accept = pick(
			func() model.Terminal {
				return with(analogIn(of(600, 1e4, 1e5)), func(t *model.Terminal) {
					t.Range = model.Span(of(0, 0, 2), 10)
					t.Isolated = ptr(r.IntN(2) == 0)
				})
			},
			func() model.Terminal {
				return currentIn(of(100, 250, 500), []string{"source", "none", "none"}[r.IntN(3)])
			},
			func() model.Terminal {
				return with(analogIn(1e5), func(t *model.Terminal) { t.Range = model.Span(of(0, 1), 5) })
			},
			func() model.Terminal { return dryInput(24, 4000) },
		)
	default:
		accept = pick(
			func() model.Terminal { return dryInput(of(12, 18, 24), of(2400, 4000, 15000)) },
			func() model.Terminal {
				return with(coil([]string{"ac", "dc"}[r.IntN(2)], of(24, 24, 120), of(0.3, 2, 6, 25), of(6, 60, 218)), func(t *model.Terminal) {
					v := t.Volts.Hi / 1.1
					t.Volts = model.Span(v*0.8, v*1.2)
				})
			},
			func() model.Terminal { return acInput(of(1e4, 5e4)) },
			func() model.Terminal { return classInput("iec61131-2/24vdc/1", "dc") },
			func() model.Terminal {
				return with(load24(of(2, 10, 30)), func(t *model.Terminal) { t.Current = []string{"ac", "ac/dc"}[r.IntN(2)] })
			},
		)
	}
	d := sketch().at("drive", drive).at("accept", accept)
	name := ""
	for i := range r.IntN(3) {
		id := fmt.Sprintf("supply %d", i+1)
		d.at(id, supply())
		if i == 0 && isSwitch(drive.Nature) && r.IntN(2) == 0 {
			name = id
		}
	}
	d.wire("drive", name, "accept").last(func(c *model.Circuit) { c.Conductor.LengthFt = ptr(of(10, 100, 400)) })
	return d.Net.machine()
}

// fewParts is a part of the library that an enumeration gets through.
func fewParts(b *bench) []library.Interposer {
	var parts []library.Interposer
	for _, id := range []string{"resistor-500", "bleeder-1500", "interposing-relay-24vac", "gold-relay-24vac", "gold-relay-24vdc", "interposing-relay-120vac", "relay-12vdc", "transformer-40va", "supply-24vdc-60w", "isolator-loop-powered", "converter-voltage-to-current", "repeater-voltage", "divider-half"} {
		p, ok := b.lib.Interposer(id)
		if !ok {
			b.t.Fatal(id)
		}
		parts = append(parts, *p)
	}
	return parts
}

// The search agrees with the enumeration on hundreds of failing circuits: the
// same verdict at the same cost.
func TestSearchAgainstEnumeration(t *testing.T) {
	b := onBench(t)
	parts := fewParts(b)
	r := rand.New(rand.NewPCG(7, 11))
	failing, two, none, caution := 0, 0, 0, 0
	for failing < 320 || two < 55 || none < 35 {
		net := randomCircuit(r)
		x := newIndex(b.lib, &b.p, net)
		x.memo, x.shelf = newMemo(), parts
		x.rows = x.all()
		if v := worst(x.rows[0]); v.Rank() < model.Unknown.Rank() || !x.ownTrouble(0) || groupTrouble(x.rows[0]) {
			continue
		}
		failing++
		f := x.mend(0)
		got := answerOf{f.ok, f.left, f.price, len(f.parts)}
		if !f.ok {
			got = answerOf{}
		}
		want := enumerate(b, net, parts)
		if want.ok != got.ok || want.left != got.left || want.price != got.price {
			t.Errorf("circuit %d: search %+v %v, enumeration %+v", failing, got, f.parts, want)
			for _, a := range x.rows[0] {
				if a.Verdict != model.Pass {
					t.Logf("  %s: %s", a.Code, a.Text)
				}
			}
			if failing > 600 {
				break
			}
		}
		switch {
		case !got.ok:
			none++
		case got.parts == 2:
			two++
		}
		if got.left == model.Caution {
			caution++
		}
	}
	if failing < 300 || two < 50 || none < 30 {
		t.Errorf("too few to prove anything")
	}
	t.Logf("%d failing circuits, %d need two parts, %d have no answer, %d keep a caution", failing, two, none, caution)
}

func groupTrouble(row []answer) bool {
	for _, a := range row {
		if a.group != "" && a.Verdict != model.Pass {
			return true
		}
	}
	return false
}
