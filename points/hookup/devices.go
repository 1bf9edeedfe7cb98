package hookup

import (
	"cmp"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// fresh finds the type of a device that does not stand yet: what the project
// says of that device, else the device rule of the most particular hook-up;
// among equals the one being followed.
func (a *attempt) fresh(id, role, pattern string) *joint {
	rule, up, choice := a.rule(role, pattern)
	if o := a.net.changes[id]; o != nil && o.Type != "" {
		t, ok := a.net.deviceType(o.Type)
		if !ok {
			return a.fail("the project makes %s a %q, which the library does not know", id, o.Type)
		}
		return a.joint(id, role, t, rule, up, "")
	}
	switch {
	case rule == nil:
		return a.fail("no hook-up says what %s is", id)
	case choice == nil:
		return a.fail("no device type of %s suits %s", up.ID, a.m.serviceText())
	case choice.Panel != "":
		a.net.assume(a.m, role, choice.Assumed)
		return &joint{shared: choice.Panel}
	}
	typeID := choice.Type
	if typeID == "$status-device" {
		typeID = a.m.StatusDevice
	}
	t, ok := a.net.deviceType(typeID)
	if !ok {
		near := finding.Nearest(typeID, a.net.lib.DeviceIDs())
		if near != "" {
			near = fmt.Sprintf("; did you mean %q?", near)
		}
		return a.fail("%s is to be a %q, which the library does not know%s", id, typeID, near)
	}
	return a.joint(id, role, t, rule, up, choice.Assumed)
}

func (a *attempt) rule(role, pattern string) (*library.DeviceRule, *library.HookUp, *library.DeviceChoice) {
	var first *library.DeviceRule
	var from *library.HookUp
	look := func(up *library.HookUp) (*library.DeviceRule, *library.DeviceChoice) {
		for i := range up.Devices {
			r := &up.Devices[i]
			if r.Role != role && r.Role != pattern {
				continue
			}
			if c := a.net.choose(a.m, r); c != nil {
				return r, c
			}
			if first == nil {
				first, from = r, up
			}
		}
		return nil, nil
	}
	looked := false
	for _, up := range a.m.ups {
		if !looked && up.Match.Conditions() <= a.up.Match.Conditions() { // its equals come next
			looked = true
			if r, c := look(a.up); c != nil {
				return r, a.up, c
			}
		}
		if up == a.up {
			continue
		}
		if r, c := look(up); c != nil {
			return r, up, c
		}
	}
	return first, from, nil
}

func (a *attempt) joint(id, role string, t *model.DeviceType, rule *library.DeviceRule, up *library.HookUp, assumed string) *joint {
	n, m, pt := a.net, a.m, a.pt
	spec := n.spec(m, id, t)
	return &joint{id: id, spec: spec, fresh: func() *model.Device {
		d := &model.Device{ID: id, Type: t.ID, Equipment: m.Tag, Role: role, Location: m.Location, Spec: spec, Where: m.Where}
		if up != nil {
			d.Why = cmp.Or(rule.Why, up.Why)
			task, _ := n.lib.Task(rule.Item)
			d.FurnishedBy = cmp.Or(rule.FurnishedBy, task.Furnish)
			d.InstalledBy = cmp.Or(rule.InstalledBy, task.Install)
			d.WiredBy = cmp.Or(rule.WiredBy, task.Wire)
		}
		if pt != nil && (t.Category == "sensor" || t.Category == "switch") {
			d.FurnishedBy = cmp.Or(pt.FurnishedBy, d.FurnishedBy)
			d.InstalledBy = cmp.Or(pt.InstalledBy, d.InstalledBy)
			d.WiredBy = cmp.Or(pt.WiredBy, d.WiredBy)
		}
		if role == "motor" || role == "unit" {
			d.FurnishedBy = cmp.Or(m.FurnishedBy, d.FurnishedBy)
		}
		if o := n.changes[id]; o != nil {
			d.Why, d.Where = "the project file says so", o.Where
		}
		n.assume(m, role, assumed)
		return d
	}}
}

// spec is the type as this machine has it: the service's and the fire trade's
// volts, the motor's current, the project's own limits. Types that take
// nothing from the machine are shared.
func (n *net) spec(m *machine, id string, t *model.DeviceType) *model.DeviceType {
	var out *model.DeviceType
	edit := func() *model.DeviceType {
		if out == nil {
			c := *t
			c.Terminals = slices.Clone(t.Terminals)
			out = &c
		}
		return out
	}
	switch {
	case t.ID == "electrical-service":
		serve(&edit().Terminals[0], m.Ratings.Service)
	case t.ID == "fire-source":
		term := &edit().Terminals[0]
		if v := n.p.Settings.Fire.Volts; v != nil {
			term.Volts, term.Current = v, n.p.Settings.Fire.Current
			term.Absolute = !v.Point()
		}
	case t.Category == "drive" && m.Ratings.Service != nil:
		for i := range t.Terminals { // a drive gives the volts that it is given
			if t.Terminals[i].Function == "motor-out" {
				serve(&edit().Terminals[i], &model.Service{Volts: m.Ratings.Service.Volts, Phases: 3})
			}
		}
	case t.Category == "motor":
		if amps, cite, ok := n.motorAmps(m, t); ok {
			for i := range t.Terminals {
				if t.Terminals[i].Function == "mains" {
					term := &edit().Terminals[i]
					term.Running = &model.Load{Amps: &amps}
					term.Source += "; " + cite
				}
			}
		}
	}
	if o := n.changes[id]; o != nil {
		for _, term := range o.Terminals {
			overlay(edit(), term)
		}
	}
	if out == nil {
		return t
	}
	return n.alike(out)
}

// alike is the type that another machine has with the same values, so that
// machines which do not differ share one: what is worked out for a type is then
// worked out once.
func (n *net) alike(t *model.DeviceType) *model.DeviceType {
	said, err := json.Marshal(t)
	if err != nil {
		return t
	}
	if n.variants[string(said)] == nil {
		n.variants[string(said)] = t
	}
	return n.variants[string(said)]
}

// serve fills a service terminal from the list's electrical service: one
// nominal voltage, whose range the checks know; a nameplate with several says
// nothing about the one that is there.
func serve(term *model.Terminal, s *model.Service) {
	if s == nil {
		return
	}
	if s.Phases > 0 {
		term.Phases = []int{s.Phases}
	}
	if s.Wires > 0 {
		neutral := s.Phases == 3 && s.Wires >= 4 || s.Phases == 1 && s.Wires >= 3
		term.Neutral = &neutral
	}
	if len(s.Volts) == 1 {
		v := s.Volts[0]
		term.Volts = &v
		term.Source = "the equipment list"
		if s.Text != "" {
			term.Source += ": " + s.Text
		}
	}
}

// motorAmps is the motor's full-load current: as listed, else the table value
// of an induction motor of that power, volts and phases.
func (n *net) motorAmps(m *machine, t *model.DeviceType) (amps float64, cite string, ok bool) {
	if q := m.Ratings.Current; q != nil {
		if a, ok := amperes(q); ok {
			return a, "current as listed", true
		}
	}
	mains := terminalOf(t, "mains")
	if m.Ratings.Power == nil || mains == nil || mains.Volts == nil || len(mains.Phases) != 1 || mains.Rectifier != "none" {
		return 0, "", false
	}
	hp, ok := m.Ratings.Power.In("hp")
	if !ok {
		return 0, "", false
	}
	kind, table := fmt.Sprint(mains.Phases[0]), "430.248"
	if kind == "3" {
		table = "430.250"
	}
	for _, volts := range []float64{mains.Volts.Lo, 230, mains.Volts.Hi} {
		if a, ok := n.lib.Ratings.FullLoad(kind, hp.Mid(), volts); ok && mains.Volts.Contains(model.Exactly(volts)) {
			return a, fmt.Sprintf("current by NEC table %s, %s hp", table, model.Figure(hp.Mid())), true
		}
	}
	if a, ok := n.lib.Ratings.FullLoad("1", hp.Mid(), 230); ok && kind == "1" && mains.Volts.Contains(model.Exactly(277)) {
		return a * 230 / 277, fmt.Sprintf("current by NEC table 430.248, %s hp at 230 V, as power over volts at 277 V (common practice)", model.Figure(hp.Mid())), true
	}
	return 0, "", false
}

// amperes reads a full-load current, the higher end of a range.
func amperes(q *model.Quantity) (float64, bool) {
	switch strings.ToLower(q.Unit) {
	case "", "a", "amp", "amps":
		return q.Value.Hi, true
	case "ma":
		return q.Value.Hi / 1000, true
	}
	return 0, false
}

// overlay lays what the project says of a terminal over the type's: fields
// that are set replace, a terminal of a new id is added.
func overlay(t *model.DeviceType, said model.Terminal) {
	for i := range t.Terminals {
		if t.Terminals[i].ID != said.ID {
			continue
		}
		to, from := reflect.ValueOf(&t.Terminals[i]).Elem(), reflect.ValueOf(said)
		for f := range from.NumField() {
			if !from.Field(f).IsZero() {
				to.Field(f).Set(from.Field(f))
			}
		}
		if said.Source == "" {
			t.Terminals[i].Source = "the project file"
		}
		return
	}
	said.Function = cmp.Or(said.Function, said.ID)
	said.Source = cmp.Or(said.Source, "the project file")
	t.Terminals = append(t.Terminals, said)
}

func (m *machine) serviceText() string {
	if s := m.Ratings.Service; s != nil && s.Text != "" {
		return s.Text
	}
	return "a machine whose service is not stated"
}
