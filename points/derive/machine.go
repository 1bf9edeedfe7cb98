package derive

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// machine is an equipment with what the rules ask about it.
type machine struct {
	*model.Equipment
	scheme   *library.Scheme
	duty     string     // stated; taking turns where the list only says who stands in for whom
	fire     string     // response to fire: stated, or the project's default; "" neither
	override bool       // an override input is in use
	variable bool       // the scheme asks for speed and the device can give it
	network  bool       // its own bus map is wanted
	group    []*machine // those that share its system's points, by tag; itself where it is alone
	fellows  []*machine // those of the group under the same scheme
	system   string     // name of what it shares points with
	index    int
	from, to int // its points in the list: [from, to)
}

// inScope reports whether points are planned for it.
func (m *machine) inScope() bool { return m.OutOfScope == "" && m.scheme != nil }

// world is all machines and how they belong together.
type world struct {
	machines []machine
	at       map[string]*machine
	shared   map[string]bool // keys of points that serve a system
	software bool
	failure  string // value, feedback
	// How the BAS learns of hand and of an override: input, flag, priority-slot.
	handBy, overrideBy string
}

func (w *world) of(tag string) *machine { return w.at[tag] }

// survey reads the equipment once.
func survey(lib *library.Library, s model.Settings, equipment []model.Equipment) *world {
	w := &world{at: map[string]*machine{}, shared: map[string]bool{}, machines: make([]machine, len(equipment)), failure: cmp.Or(s.Alarms.FanFailure, "value"),
		handBy: cmp.Or(s.Derive.HandBy, "input"), overrideBy: cmp.Or(s.Derive.OverrideBy, "input")}
	w.software = s.Derive.Software == nil || *s.Derive.Software
	if !w.software {
		w.failure = "feedback" // without value objects the output itself has to carry the alarm
	}
	for i := range equipment {
		m := &w.machines[i]
		*m = newMachine(lib, s, &equipment[i], i)
		if _, twice := w.at[m.Tag]; !twice {
			w.at[m.Tag] = m
		}
	}
	w.group()
	return w
}

func newMachine(lib *library.Library, s model.Settings, e *model.Equipment, index int) machine {
	m := machine{Equipment: e, index: index, duty: e.Duty, fire: cmp.Or(e.FireResponse, s.Fire.DefaultResponse)}
	if m.duty == "" && len(e.Standby) > 0 {
		m.duty = model.DutyAlternating
	}
	if scheme, ok := lib.Scheme(e.Scheme); ok {
		m.scheme = &scheme
		m.variable = varies(scheme.Speed, e.Control, saidVariable(e))
	}
	for _, n := range s.Derive.Network {
		m.network = m.network || n == "all" || n == e.Tag || n == e.Kind || n == e.Scheme
	}
	// A box's override input is taken to be used by the fire system unless
	// the list says that the fire system leaves this fan alone.
	m.override = e.Control == "fan-interface-box" && m.fire != "none" && m.fire != "continue"
	return m
}

// saidVariable reports whether the list asks for variable speed in words. That
// the motor is an EC motor says what it can do, not what is asked of it.
func saidVariable(e *model.Equipment) bool {
	return slices.ContainsFunc(e.Evidence, func(v model.Evidence) bool {
		return v.About == "speed" && v.For == "variable" && v.Won && !strings.HasPrefix(v.Words, "motor type")
	})
}

// varies reports whether a device of that control carries a speed reference
// under a scheme's way with speed (library.Scheme.Speed); said: the list asks
// for it in words.
func varies(speed, control string, said bool) bool {
	switch control {
	case "variable-frequency-drive", "variable-frequency-drive-bypass", "ec-direct":
		return speed != "constant"
	case "fan-interface-box":
		return speed == "variable" || speed == "usually-variable" || speed == "by-control" && said
	case "packaged":
		return speed == "variable"
	default:
		return false
	}
}

// task is what machines share that stand for one another: a way to be
// controlled, and a system or what they serve.
type task struct{ scheme, system string }

func taskOf(m *machine) task { return task{m.Scheme, cmp.Or(m.System, m.Service)} }

// joined finds the machines that share a task although their scheme lets each
// stand alone: those with a duty, those that a machine with a duty names, and
// those of the same stated system. Often one row alone speaks for both.
func (w *world) joined() map[*machine]task {
	out, stated := map[*machine]task{}, map[task]bool{}
	for i := range w.machines {
		m := &w.machines[i]
		if m.duty == "" || !m.inScope() {
			continue
		}
		k := taskOf(m)
		if len(m.Standby) > 0 { // what each says of the others is the same
			k.system = "standby " + slices.MinFunc(append([]string{m.Tag}, m.Standby...), finding.CompareTags)
		} else if k.system == "" {
			k.system = m.Tag // those that it names join it
		}
		out[m] = k
		stated[k] = stated[k] || m.System != ""
		for _, tag := range m.Interlocks {
			if o := w.at[tag]; o != nil && o.inScope() && o.Scheme == m.Scheme && o.duty == "" {
				out[o] = k
			}
		}
	}
	for i := range w.machines {
		m := &w.machines[i]
		if k := taskOf(m); m.duty == "" && m.System != "" && stated[k] && m.inScope() {
			out[m] = k
		}
	}
	return out
}

// group finds the machines that share a system's points: same scheme, or
// return and relief of one building, in one system. Machines with a duty among
// fellows form a system even where the scheme lets each stand alone.
func (w *world) group() {
	groups, joined := map[task][]*machine{}, w.joined()
	for i := range w.machines {
		m := &w.machines[i]
		m.group, m.fellows = []*machine{m}, []*machine{m}
		k := taskOf(m)
		if !m.inScope() {
			m.system = m.System
			continue
		}
		if m.scheme.Together == "equipment" {
			if k = joined[m]; k.system == "" {
				m.system = m.System
				continue
			}
		}
		if m.scheme.Together == "building" {
			k = task{"building pressure", ""}
		}
		m.system = cmp.Or(m.System, m.Service, m.scheme.Name)
		groups[k] = append(groups[k], m)
	}
	for _, list := range groups { // each group is changed on its own; order does not matter
		slices.SortStableFunc(list, func(a, b *machine) int { return finding.CompareTags(a.Tag, b.Tag) })
		of := map[string][]*machine{}
		for _, m := range list {
			of[m.Scheme] = append(of[m.Scheme], m)
		}
		for _, m := range list {
			m.group, m.fellows = list, of[m.Scheme]
		}
	}
}

// carrier is the machine of a system that a rule's system point stands at: the
// first by tag that the rule matches.
func (w *world) carrier(c *library.Condition, m *machine) *machine {
	for _, o := range m.group {
		if o == m || w.matches(c, o) {
			return o
		}
	}
	return m
}

// sensors is how many sensor pairs the system of the machine has: as listed,
// else by the floor area, else one. False: it had to be assumed.
//
// A pair of gas sensors is taken to watch 7,500 ft2, a circle of 50 ft radius
// (common practice; the sensor's data sheet and the local code decide).
func (m *machine) sensors() (n int, stated bool) {
	const watched = 7500 // ft2
	area := 0.0
	for _, o := range m.group {
		n = max(n, o.Sensors)
		if o.Ratings.Area != nil {
			if a, ok := o.Ratings.Area.In("ft2"); ok {
				area = max(area, a.Hi)
			}
		}
	}
	if n > 0 {
		return n, true
	}
	return max(1, int(math.Ceil(area/watched))), false
}
