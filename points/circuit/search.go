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
	x      *index
	c      *model.Circuit
	near   *region             // what a change may touch
	close  *region             // what shares a terminal, a supply or a small device with it: tried first
	mend   map[troubleKey]bool // group trouble that is to go; empty: the circuit's own
	locals []model.End
	parts  []library.Interposer
}

// found is the answer of a search.
type found struct {
	proposal
	left     model.Verdict // worst that remains in the new circuits: pass or caution
	rejected []string      // why cheaper parts do not do, or why none does
	ok       bool
}

// mend searches for the cheapest change after which the circuit has nothing
// left to say and nothing else has more than before: another hook-up, then
// parts in order of price. Where only a caution can be left, the cheapest such.
func (x *index) mend(i int, near *region) found {
	c := &x.net.Circuits[i]
	m := &mending{x: x, c: c, near: near, parts: x.stock(), locals: x.locals(c), mend: map[troubleKey]bool{}}
	m.close = x.region(x.beside(i, m.locals))
	own := false
	for k := range near.before {
		own = own || k.where == c.ID
	}
	if !own {
		for _, a := range x.rows[i] {
			if a.group != "" && a.Verdict != model.Pass {
				m.mend[troubleKey{a.Code, "group " + a.group}] = true
			}
		}
	}
	return m.search()
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
	panels := map[string]bool{}
	for _, id := range devicesOf(c) {
		if d := x.device(id); d != nil && d.Panel != "" {
			panels[d.Panel] = true
		}
	}
	var out []model.End
	seen := map[*model.Terminal]bool{}
	for k := range x.net.Devices {
		d := &x.net.Devices[k]
		if d.Spec == nil || !panels[d.Panel] && (d.Equipment != c.Equipment || d.Equipment == "") {
			continue
		}
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

func (m *mending) search() found {
	for _, k := range combos(nil) { // the same terminals on another supply
		list, _ := m.x.arrangements(m.c, k, m.locals)
		for _, p := range list {
			if left, ok := m.try(p); ok && left == model.Pass {
				return found{proposal: p, left: left, ok: true}
			}
		}
	}
	var second found
	for _, p := range m.x.rehooks(m.c, m.locals) {
		left, ok := m.try(p)
		if ok && left == model.Pass {
			return found{proposal: p, left: left, ok: true}
		}
		if ok && left == model.Caution && m.isWorse() && !second.ok {
			second = found{proposal: p, left: left, ok: true}
		}
	}
	shared := found{}
	for _, p := range m.shared() {
		left, ok := m.try(p)
		if ok && left == model.Pass {
			shared = found{proposal: p, left: left, ok: true}
			break
		}
		if ok && left == model.Caution && m.isWorse() && !shared.ok {
			shared = found{proposal: p, left: left, ok: true}
		}
	}
	f := m.chains()
	switch {
	case shared.ok && (!f.ok || f.left.Rank() > shared.left.Rank() || f.left == shared.left && shared.price < f.price):
		return shared
	case second.ok && (!f.ok || f.left != model.Pass):
		second.rejected = f.rejected
		return second
	}
	return f
}

// chains tries parts in order of price.
func (m *mending) chains() found {
	var second found
	var rejected []string
	fits := m.fits()
	for _, k := range m.choices() {
		if !fits.may(k) {
			continue
		}
		list, bad := m.x.arrangements(m.c, k, m.locals)
		tried := model.Verdict("")
		for _, p := range list {
			left, ok := m.try(p)
			if ok && left == model.Pass {
				return found{proposal: p, left: left, ok: true, rejected: worthTelling(rejected)}
			}
			if ok && left == model.Caution && m.isWorse() && !second.ok {
				second = found{proposal: p, left: left, ok: true}
			}
			tried = left
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
	for k, v := range m.near.before {
		if (k.where == m.c.ID || m.mend[k]) && v.Rank() > model.Caution.Rank() {
			return true
		}
	}
	return false
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

// try checks a proposal in what surrounds the circuit.
func (m *mending) try(p proposal) (model.Verdict, bool) {
	if m.close != nil {
		if _, ok := m.within(m.close, p); !ok {
			return model.Fault, false
		}
	}
	return m.within(m.near, p)
}

// within checks a proposal inside a region.
func (m *mending) within(r *region, p proposal) (model.Verdict, bool) {
	n := Net{Points: r.Points, Alarms: r.Alarms, Equipment: r.Equipment, Cables: r.Cables}
	n.Devices = slices.Concat(r.Devices, p.devices)
	for i := range r.Circuits {
		if !slices.Contains(p.replaced, r.Circuits[i].ID) {
			n.Circuits = append(n.Circuits, r.Circuits[i])
		}
	}
	n.Circuits = append(n.Circuits, p.circuits...)
	changed := map[string]bool{}
	for i := range p.circuits {
		changed[p.circuits[i].ID] = true
	}
	return r.before.mended(m.x.judge(n), m.c.ID, changed, m.mend)
}

// shared are proposals for trouble that several circuits share: a relay of
// several poles behind a contact that two circuits read, a larger supply for
// all that hangs on one. They are tried in order of price.
func (m *mending) shared() []proposal {
	var out []proposal
	if m.near.before[troubleKey{"shared-contact", m.c.ID}] != "" {
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
	for i := range m.near.Circuits {
		if plain(m.near.Circuits[i].Drive) == at {
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
			c := m.near.Circuits[i]
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
		for i := range m.near.Circuits {
			c := m.near.Circuits[i]
			if !uses(&c, s) {
				continue
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
