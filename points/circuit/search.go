package circuit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// mending is the search for what makes one circuit work.
type mending struct {
	x       *index
	i       int // of the circuit
	c       *model.Circuit
	mend    map[troubleKey]bool // group trouble that is to go; empty: the circuit's own
	locals  []model.End
	parts   []library.Interposer
	regions map[string]*region // what a change may touch, by what it replaces
	nearby  []model.Circuit    // circuits around this one
	reached bool               // the network of commons had a say in the choice
	stopped bool               // at its limit
}

// found is the answer of a search.
type found struct {
	proposal
	left     model.Verdict // worst that remains in the new circuits: pass or caution
	rejected []string      // why cheaper parts do not do, or why none does
	ok       bool
	pick     pick
	stopped  bool // there was more to try
}

// pick is where in a search a proposal came from: the stage, the choice of
// parts, the number in the list of its arrangements.
type pick struct {
	stage     stage
	choice, n int
}

type stage int

// Stages of a search, in order.
const (
	unsupplied  stage = iota // an input that needs no voltage instead of one that does
	otherSupply              // the same terminals on another supply
	otherHookup
	sharedPart // for trouble that several circuits share
	chainOfParts
)

// mending prepares the search for a circuit.
func (x *index) mending(i int) *mending {
	c := &x.net.Circuits[i]
	m := &mending{x: x, i: i, c: c, parts: x.stock(), locals: x.locals(c), mend: map[troubleKey]bool{}, regions: map[string]*region{}}
	if !x.ownTrouble(i) {
		for k := range x.rows[i] {
			if a := &x.rows[i][k]; a.group != "" && a.Verdict != model.Pass {
				m.mend[keyOf(a, c.ID)] = true
			}
		}
	}
	return m
}

// mend searches for the cheapest change after which the circuit has nothing
// left to say and nothing else has more than before: another hook-up, then
// parts in order of price. Where only a caution can be left, the cheapest such.
// Of circuits that stand alike in surroundings alike one is searched.
func (x *index) mend(i int) found {
	m := x.mending(i)
	if f, ok := m.asBefore(); ok {
		return f
	}
	x.work.used = 0
	f := m.search()
	m.remember(f)
	return f
}

// shelf is the library's interposers at the user's prices, cheapest first; nil
// where the user gave none of them.
func shelf(lib *library.Library, prices []model.Price) (list []library.Interposer, priced map[string]bool) {
	if lib == nil {
		return nil, nil
	}
	for _, p := range prices {
		if _, ok := lib.Interposer(p.Item); !ok {
			continue
		}
		if list == nil {
			list, priced = slices.Clone(lib.Interposers()), map[string]bool{}
		}
		i := slices.IndexFunc(list, func(one library.Interposer) bool { return one.ID == p.Item })
		cents := p.Cents
		list[i].Device.Price, priced[p.Item] = &cents, true
	}
	slices.SortStableFunc(list, func(a, b library.Interposer) int {
		return cmp.Or(cmp.Compare(a.Price(), b.Price()), cmp.Compare(a.ID, b.ID))
	})
	return list, priced
}

// stock is what may be put in.
func (x *index) stock() []library.Interposer {
	if x.shelf != nil {
		return x.shelf
	}
	return x.lib.Interposers()
}

// locals are the small supplies that a change to a circuit may use: those of
// the net that belong to the same machine or hang in the panel of a device of
// the circuit.
func (x *index) locals(c *model.Circuit) []model.End {
	at := x.places()
	var list []int
	for _, id := range devicesOf(c) {
		if d := x.device(id); d != nil && d.Panel != "" {
			list = append(list, at.supplies["panel "+d.Panel]...)
		}
	}
	if c.Equipment != "" {
		list = append(list, at.supplies["machine "+c.Equipment]...)
	}
	slices.Sort(list)
	var out []model.End
	seen := map[*model.Terminal]bool{}
	for _, k := range slices.Compact(list) {
		d := &x.net.Devices[k]
		for t := range d.Spec.Terminals {
			s := &d.Spec.Terminals[t]
			if s.Nature == model.SupplyOut && (d.Spec.Category == "supply" || d.Spec.Category == "") && s.Volts != nil && s.Volts.Hi <= 60 && len(out) < 6 && !seen[s] {
				seen[s] = true
				out = append(out, model.End{Device: d.ID, Terminal: s.ID})
			}
		}
	}
	return out
}

// first tries a list of proposals in order: the first after which all is well,
// else the first that leaves a caution where there was more. tried is what the
// last one left.
func (m *mending) first(list []proposal, at pick) (f found, tried model.Verdict) {
	for n, p := range list {
		if m.x.work.over() {
			m.stopped = true
			return f, tried
		}
		left, ok := m.try(p)
		tried = left
		if !ok || left == model.Caution && (f.ok || !m.isWorse()) || left.Rank() > model.Caution.Rank() {
			continue
		}
		at.n = n
		f = found{proposal: p, left: left, ok: true, pick: at}
		if left == model.Pass {
			return f, tried
		}
	}
	return f, tried
}

// list is what a stage proposes; of the chains, one choice of parts.
func (m *mending) list(at pick) (list []proposal, rejected []answer) {
	switch at.stage {
	case unsupplied:
		return slices.DeleteFunc(m.x.rehooks(m.c, m.locals), func(p proposal) bool {
			return p.circuits[0].Supply != nil || slices.Equal(p.circuits[0].Accepts, m.c.Accepts)
		}), nil
	case otherSupply:
		return m.x.arrangements(m.c, newCombo(nil, nil, nil), m.locals)
	case otherHookup:
		return m.x.rehooks(m.c, m.locals), nil
	case sharedPart:
		return m.shared(), nil
	}
	return m.x.arrangements(m.c, m.choices()[at.choice], m.locals)
}

func (m *mending) search() found {
	var second, shared found
	for s := unsupplied; s <= sharedPart; s++ {
		list, _ := m.list(pick{stage: s})
		f, _ := m.first(list, pick{stage: s})
		switch {
		case s == sharedPart:
			shared = f
		case f.ok && f.left == model.Pass:
			return f
		case f.ok && s == otherHookup:
			second = f
		}
	}
	f := m.chains()
	f.stopped = m.stopped && (!f.ok || f.left != model.Pass)
	switch {
	case shared.ok && (!f.ok || f.left.Rank() > shared.left.Rank() || f.left == shared.left && shared.price < f.price):
		return shared
	case second.ok && (!f.ok || f.left != model.Pass):
		second.rejected, second.stopped = f.rejected, f.stopped
		return second
	}
	return f
}

// chains tries parts in order of price.
func (m *mending) chains() found {
	var second found
	var rejected []string
	fits := m.fits()
	for n, k := range m.choices() {
		if !fits.may(k) {
			continue
		}
		list, bad := m.list(pick{chainOfParts, n, 0})
		f, tried := m.first(list, pick{chainOfParts, n, 0})
		if f.ok && f.left == model.Pass {
			f.rejected = worthTelling(rejected)
			return f
		}
		if f.ok && !second.ok {
			second = f
		}
		if m.stopped {
			break
		}
		if len(k.ids) == 1 {
			rejected = append(rejected, m.why(k, bad, tried))
		}
	}
	second.rejected = rejected
	if second.ok {
		second.rejected = worthTelling(rejected)
	}
	return second
}

// choices are the choices of parts; those over the whole library are listed once.
func (m *mending) choices() []combo {
	if m.x.shelf != nil {
		return combos(m.parts)
	}
	m.x.memo.once.Do(func() { m.x.memo.choices = combos(m.parts) })
	return m.x.memo.choices
}

// isWorse says that the circuit has more than a caution now, so that one may be
// left.
func (m *mending) isWorse() bool {
	return slices.ContainsFunc(m.x.rows[m.i], func(a answer) bool {
		return (a.group == "" || m.mend[keyOf(&a, "")]) && a.Verdict.Rank() > model.Caution.Rank()
	})
}

// worthTelling keeps the reasons of parts that could have been thought of: a
// part of another nature only where nothing serves at all.
func worthTelling(rejected []string) []string {
	return slices.DeleteFunc(rejected, func(s string) bool { return strings.Contains(s, ": nature: ") || strings.HasSuffix(s, noPlace) })
}

const noPlace = "it does not fit between these terminals"

// why says what stops a part.
func (m *mending) why(k combo, bad []answer, tried model.Verdict) string {
	text := "it puts trouble on what hangs together with the circuit, or leaves the trouble there"
	if tried == "" {
		text = noPlace
	} else if tried == model.Caution {
		text = "it leaves a caution"
	}
	if a := worstAnswer(bad); a != nil {
		text = a.Code + ": " + a.Text
	}
	return fmt.Sprintf("%s: %s", strings.Join(k.ids, " + "), text)
}

func worstAnswer(row []answer) *answer {
	var best *answer
	for i := range row {
		if a := &row[i]; a.Verdict != model.Pass && (best == nil || a.Verdict.Rank() > best.Verdict.Rank()) {
			best = a
		}
	}
	return best
}

// try checks a proposal in what surrounds the circuits that it replaces, and in
// the network of commons where it has a part in that.
func (m *mending) try(p proposal) (left model.Verdict, ok bool) {
	if m.repeats(p) {
		return model.Fault, false
	}
	left, ok = m.within(m.region(p.replaced, false), p)
	if !ok {
		return model.Fault, false
	}
	if !m.touchesCommons(p) {
		for k := range m.mend {
			if k.code == "common-short" {
				return model.Fault, false
			}
		}
		return left, true
	}
	there, ok := m.within(m.region(p.replaced, true), p)
	m.reached = m.reached || !ok || there != model.Pass
	if !ok {
		return model.Fault, false
	}
	return model.Worst(left, there), true
}

// repeats says that a proposal wires what another circuit wires already: two
// feeds of one load are no mended one.
func (m *mending) repeats(p proposal) bool {
	for i := range p.circuits {
		c := &p.circuits[i]
		for _, k := range m.x.drives[plain(c.Drive)] {
			o := &m.x.net.Circuits[k]
			if slices.Equal(o.Accepts, c.Accepts) && !slices.Contains(p.replaced, o.ID) {
				return true
			}
		}
	}
	return false
}

// region is what a change to some circuits may touch.
func (m *mending) region(replaced []string, commons bool) *region {
	key := fmt.Sprint(commons, replaced)
	if m.regions[key] == nil {
		n := Net{}
		if targets := m.x.numbers(replaced); commons {
			n = m.x.network(targets, m.locals)
		} else {
			n = m.x.around(targets, m.locals)
		}
		m.regions[key] = m.x.region(n, commons)
	}
	return m.regions[key]
}

// numbers are the places of circuits in the net.
func (x *index) numbers(ids []string) []int {
	out := make([]int, 0, len(ids))
	for _, id := range ids {
		if i, ok := x.places().byID[id]; ok {
			out = append(out, i)
		}
	}
	return out
}

// touchesCommons says that what a proposal takes away or puts in may have a part
// in the network of commons.
func (m *mending) touchesCommons(p proposal) bool {
	x := m.x
	for _, i := range x.numbers(p.replaced) {
		if x.contributes(&x.net.Circuits[i]) {
			return true
		}
	}
	x.extra = make(map[string]*model.Device, len(p.devices))
	defer func() { x.extra = nil }()
	for i := range p.devices {
		x.extra[p.devices[i].ID] = &p.devices[i]
		x.learn(p.devices[i].Spec)
	}
	return slices.ContainsFunc(p.circuits, func(c model.Circuit) bool { return x.contributes(&c) })
}

// near are the circuits around the one to be mended.
func (m *mending) near() []model.Circuit {
	if m.nearby == nil {
		m.nearby = m.x.around([]int{m.i}, m.locals).Circuits
	}
	return m.nearby
}

// has says that the circuit has that trouble of its own.
func (m *mending) has(code string) bool {
	return slices.ContainsFunc(m.x.rows[m.i], func(a answer) bool { return a.Code == code && a.group == "" && a.Verdict != model.Pass })
}

// shared are proposals for trouble that several circuits share: a relay of
// several poles behind a contact that two circuits read, a larger supply for
// all that hangs on one. They are tried in order of price.
func (m *mending) shared() []proposal {
	var out []proposal
	if m.has("shared-contact") {
		out = append(out, m.poles()...)
	}
	s, t := m.x.feeding(m.c)
	for _, code := range []string{"supply-overload", "class-2"} {
		if t != nil && m.mend[troubleKey{code, "group " + s.String()}] {
			out = append(out, m.larger()...)
			break
		}
	}
	slices.SortStableFunc(out, func(a, b proposal) int {
		return cmp.Or(cmp.Compare(a.price, b.price), slices.Compare(a.parts, b.parts))
	})
	return out
}

// poles puts a relay of several poles behind a contact, one pole for each
// circuit that read it.
func (m *mending) poles() []proposal {
	at := plain(m.c.Drive)
	var readers []int
	for i := range m.near() {
		if plain(m.near()[i].Drive) == at {
			readers = append(readers, i)
		}
	}
	var out []proposal
	for n := range m.parts {
		p := &m.parts[n]
		if p.How != "poles" || len(p.Outs) < len(readers) {
			continue
		}
		ids := []string{p.ID}
		devices := installed(m.c, []*library.Interposer{p}, ids)
		circuits := []model.Circuit{}
		var replaced []string
		for k, i := range readers {
			c := m.near()[i]
			replaced = append(replaced, c.ID)
			c.Drive, c.Checks, c.Fix, c.Verdict = model.End{Device: devices[0].ID, Terminal: p.Outs[k]}, nil, nil, ""
			circuits = append(circuits, c)
		}
		for _, s := range m.locals {
			e := s
			drive := model.Circuit{ID: m.c.ID + "/part-2", Equipment: m.c.Equipment, Purpose: m.c.Purpose, Drive: m.c.Drive, Conductor: m.c.Conductor,
				Accepts: []model.End{{Device: devices[0].ID, Terminal: p.In}}, Supply: &e}
			out = append(out, proposal{parts: ids, price: p.Price(), circuits: append(slices.Clone(circuits), drive), devices: devices, replaced: replaced})
		}
	}
	return out
}

// larger puts a larger supply in the place of one, for all its circuits.
func (m *mending) larger() []proposal {
	s, _ := m.x.feeding(m.c)
	if s.Device == "" {
		return nil
	}
	var out []proposal
	for n := range m.parts {
		p := &m.parts[n]
		if p.How != "supply" {
			continue
		}
		ids := []string{p.ID}
		devices := installed(m.c, []*library.Interposer{p}, ids)
		e := model.End{Device: devices[0].ID, Terminal: p.Out}
		one := proposal{parts: ids, price: p.Price(), devices: devices}
		for i := range m.near() {
			c := m.near()[i]
			if !uses(&c, s) {
				continue
			}
			if plain(c.Drive) == s && !onlyFeeds(&c) {
				return nil
			}
			one.replaced = append(one.replaced, c.ID)
			c.Checks, c.Fix, c.Verdict = nil, nil, ""
			if plain(c.Drive) == s {
				c.Drive = e
			}
			if c.Supply != nil && plain(*c.Supply) == s {
				to := e
				c.Supply = &to
			}
			one.circuits = append(one.circuits, c)
		}
		out = append(out, one)
	}
	return out
}
