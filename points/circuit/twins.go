package circuit

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// twin is what a search found for a circuit, told so that it can be found again
// for one that stands alike: in a building the same trouble stands a hundred
// times. commons is how the network of commons looked where it had a say.
type twin struct {
	f       found
	reached bool
	commons string
}

// asBefore is the answer of an earlier search for a circuit that stands alike
// in surroundings alike.
func (m *mending) asBefore() (found, bool) {
	key := m.looks(false)
	if key == "" {
		return found{}, false
	}
	for _, t := range m.x.twins[key] {
		if t.reached && t.commons != m.looks(true) {
			continue
		}
		f := t.f
		if !f.ok {
			return f, true
		}
		list, _ := m.list(f.pick)
		if f.pick.n >= len(list) {
			return found{}, false
		}
		f.proposal = list[f.pick.n]
		return f, true
	}
	return found{}, false
}

// remember keeps the answer of a search for its twins.
func (m *mending) remember(f found) {
	key := m.looks(false)
	if key == "" || f.stopped {
		return
	}
	t := twin{f: f, reached: m.reached}
	if t.reached {
		t.commons = m.looks(true)
	}
	if m.x.twins == nil {
		m.x.twins = map[string][]twin{}
	}
	m.x.twins[key] = append(m.x.twins[key], t)
}

// looks is how the surroundings of the circuit look without names: equal looks
// mean that a search goes the same way. "" where that is not worth finding out.
// Devices, cables and raceways are numbered as they are met, the circuit itself
// first, so that what is one in the net is one here.
func (m *mending) looks(commons bool) string {
	x := m.x
	if slices.ContainsFunc(x.rows[m.i], func(a answer) bool { return a.Code == "bus-load" }) {
		return "" // a trunk is mended by settings
	}
	at := x.faces()
	list := x.reach([]int{m.i}, m.locals, commons)
	slices.SortFunc(list, func(a, b int) int {
		if a == m.i || b == m.i {
			return boolRank(a != m.i) - boolRank(b != m.i)
		}
		if at.face[a] != at.face[b] {
			return at.face[a] - at.face[b]
		}
		return a - b
	})
	out := make([]byte, 0, 16*len(list))
	put := func(n int) { out = binary.AppendUvarint(out, uint64(n)) }
	met := map[int]int{}
	number := func(thing int) {
		if _, known := met[thing]; !known {
			met[thing] = len(met)
		}
		put(met[thing])
	}
	for _, i := range list {
		put(at.face[i])
		for _, thing := range at.things[i] {
			number(thing)
		}
	}
	for _, e := range m.locals {
		number(at.intern("device " + e.Device))
		put(at.intern(x.deviceFace(at, e.Device) + e.Terminal))
	}
	var own strings.Builder
	for k := range x.rows[m.i] {
		a := &x.rows[m.i][k]
		fmt.Fprint(&own, a.Code, a.Verdict, a.place, a.group != "", ";")
	}
	for n, e := range append([]model.End{m.c.Drive}, m.c.Accepts...) {
		for _, t := range x.others(e, n == 0) {
			own.WriteString(t.ID + ";")
		}
	}
	return string(out) + own.String()
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

// faces are the circuits of a net without names. face is a number for all that
// a circuit is but for which devices, cables and raceways it shares with
// others; things are those.
type faces struct {
	face    []int
	things  [][]int
	numbers map[string]int
	specs   map[*model.DeviceType]int
}

func (f *faces) intern(s string) int {
	n, known := f.numbers[s]
	if !known {
		n = len(f.numbers)
		f.numbers[s] = n
	}
	return n
}

func (x *index) faces() *faces {
	if x.known != nil {
		return x.known
	}
	f := &faces{face: make([]int, len(x.net.Circuits)), things: make([][]int, len(x.net.Circuits)), numbers: map[string]int{}, specs: map[*model.DeviceType]int{}}
	x.known = f
	p := x.places()
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		var b strings.Builder
		ends := append([]model.End{c.Drive}, c.Accepts...)
		if c.Supply != nil {
			ends = append(ends, *c.Supply)
		}
		fmt.Fprint(&b, c.Purpose, len(c.Accepts), c.Supply != nil, ";")
		for _, e := range ends {
			f.things[i] = append(f.things[i], f.intern("device "+e.Device), f.intern("end "+plain(e).String()))
			fmt.Fprint(&b, x.deviceFace(f, e.Device), "/", x.terminalFace(e), e.Reversed, ";")
		}
		for _, r := range c.Across {
			fmt.Fprint(&b, slices.IndexFunc(c.Accepts, func(e model.End) bool { return plain(e) == plain(r.At) }), r.Ohm, content(r.Watts), ";")
		}
		for _, k := range p.cables[i] {
			w := &x.net.Cables[k]
			b.WriteString(w.Class + ";")
			f.things[i] = append(f.things[i], f.intern("cable "+w.ID))
			if w.Raceway != "" {
				f.things[i] = append(f.things[i], f.intern("raceway "+w.Raceway))
			}
		}
		b.WriteString(content(c.Conductor) + content(c.Trunk) + x.carriedFace(c))
		f.face[i] = f.intern(b.String())
	}
	return f
}

func content(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	return string(b)
}

// deviceFace is what a device is: its type, and what is set on it.
func (x *index) deviceFace(f *faces, id string) string {
	d := x.devices[id]
	if d == nil {
		return "none " + id
	}
	n, known := 0, false
	if d.Spec != nil {
		if n, known = f.specs[d.Spec]; !known {
			whole := *d.Spec
			whole.Where = nil
			if slices.ContainsFunc(whole.Terminals, func(t model.Terminal) bool { return t.Class != "" }) {
				whole.Terminals = nil // those of a controller are told one by one
			}
			n = f.intern("spec " + content(whole))
			f.specs[d.Spec] = n
		}
	}
	if len(d.Settings) == 0 {
		return fmt.Sprint("spec ", n)
	}
	return fmt.Sprint("spec ", n, content(d.Settings))
}

// terminalFace is what stands at an end; terminals of a controller are alike
// whatever their number.
func (x *index) terminalFace(e model.End) string {
	t := x.terminal(plain(e))
	if t == nil || t.Class == "" {
		return e.Terminal
	}
	plain := *t
	plain.ID, plain.Labels = "", nil
	return content(plain)
}

// carriedFace is what the questions about a circuit's use depend on.
func (x *index) carriedFace(c *model.Circuit) string {
	p := x.places()
	var b strings.Builder
	if i, ok := p.carried[c.Point]; ok {
		q := &x.net.Points[i]
		fmt.Fprintf(&b, "%q", []string{q.ObjectType, q.Role, q.ContactSense, q.Polarity, q.FailState, q.Carried})
	}
	if i, ok := p.machines[c.Equipment]; ok {
		e := &x.net.Equipment[i]
		b.WriteString(content([]any{e.Ratings.MinSpeed, e.Ratings.Speed, e.Ratings.Drive, e.Damper.Stroke}))
	}
	for _, i := range p.alarms[c.Equipment] {
		a := &x.net.Alarms[i]
		fmt.Fprint(&b, a.Algorithm, strings.Contains(a.ID, "fail"), a.DelaySeconds, ";")
	}
	return b.String()
}
