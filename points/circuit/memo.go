package circuit

import (
	"sync"

	"tallywire/model"
)

// memo remembers the answers by what they depend on, which is everything but
// the names of the devices: in a building the same circuit stands a hundred
// times. Terminals are told apart by address, which devices of one type share.
type memo struct {
	mu   sync.RWMutex
	seen map[shape][]answer

	once    sync.Once
	choices []combo // of parts, for searches over the whole library
}

// shape is what the answers of a circuit depend on.
type shape struct {
	drive, supply   *model.Terminal
	accept, accept2 *model.Terminal
	driveOf, of     *model.DeviceType
	gauge, count    int
	length, temp    float64
	hasLength       bool
	stranded        bool
	started, mains  bool
	turned, turned2 bool    // the leads of the accepting ends
	watts           float64 // of a resistor across
}

func newMemo() *memo { return &memo{seen: map[shape][]answer{}} }

// shapeOf returns false for the rare circuit that has more to it.
func shapeOf(j *joint) (shape, bool) {
	if len(j.parallel) > 0 || len(j.accepts) > 2 || len(j.c.Across) > 1 {
		return shape{}, false
	}
	s := shape{drive: j.drive.t, accept: j.accepts[0].t, turned: j.accepts[0].end.Reversed, started: j.started, mains: j.c.Purpose == "mains",
		gauge: j.c.Conductor.Gauge, count: j.c.Conductor.Count, temp: j.c.Conductor.TempC, stranded: j.c.Conductor.Stranded}
	if len(j.c.Across) == 1 && j.c.Across[0].Watts != nil {
		s.watts = *j.c.Across[0].Watts
	}
	if len(j.accepts) == 2 {
		s.accept2, s.turned2 = j.accepts[1].t, j.accepts[1].end.Reversed
	}
	if j.supply != nil {
		s.supply = j.supply.t
	}
	if l := j.c.Conductor.LengthFt; l != nil {
		s.length, s.hasLength = *l, true
	}
	if d := j.drive.device; d != nil {
		s.driveOf = d.Spec
	}
	if d := j.accepts[0].device; d != nil {
		s.of = d.Spec
	}
	return s, true
}

// run answers a circuit, from memory where it can. A nil memo computes. The row
// is shared: read only.
func (m *memo) run(j *joint) []answer {
	key, ok := shapeOf(j)
	if m == nil || !ok {
		return j.run()
	}
	m.mu.RLock()
	got, hit := m.seen[key]
	m.mu.RUnlock()
	if !hit {
		got = j.run()
		m.mu.Lock()
		m.seen[key] = got
		m.mu.Unlock()
	}
	return got
}

// checksOf are the answers of a circuit as checks of its very ends, and the
// worst verdict of them.
func checksOf(c *model.Circuit, row []answer) ([]model.Check, model.Verdict) {
	out, v := make([]model.Check, len(row)), model.Pass
	drive, supply, first := "", "", ""
	for k := range row {
		out[k] = row[k].Check
		v = model.Worst(v, row[k].Verdict)
		if out[k].At != "" {
			continue
		}
		switch place := row[k].place; {
		case place == atDrive:
			drive = once(drive, &c.Drive)
			out[k].At = drive
		case place == atSupply:
			supply = once(supply, c.Supply)
			out[k].At = supply
		case place == 0 && len(c.Accepts) > 0:
			first = once(first, &c.Accepts[0])
			out[k].At = first
		case place > 0 && place < len(c.Accepts):
			out[k].At = c.Accepts[place].String()
		}
	}
	return out, v
}

func once(have string, e *model.End) string {
	if have != "" || e == nil {
		return have
	}
	return e.String()
}
