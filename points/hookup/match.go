package hookup

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// matching returns the hook-ups whose conditions hold, the most particular
// first, among equals the later one.
func (n *net) matching(m *machine) []*library.HookUp {
	ups := n.lib.HookUps()
	var at []int
	for i := range ups {
		if n.holds(m, &ups[i].Match) {
			at = append(at, i)
		}
	}
	slices.SortFunc(at, func(a, b int) int {
		return cmp.Or(cmp.Compare(ups[b].Match.Conditions(), ups[a].Match.Conditions()), cmp.Compare(b, a))
	})
	out := make([]*library.HookUp, len(at))
	for i, j := range at {
		out[i] = &ups[j]
	}
	return out
}

func (n *net) holds(m *machine, c *library.HookUpMatch) bool {
	among := func(list []string, v string) bool { return len(list) == 0 || slices.Contains(list, v) }
	switch {
	case !among(c.Kinds, m.Kind), !among(c.Schemes, m.Scheme), !among(c.Controls, m.Control),
		!among(c.MotorTypes, m.Ratings.MotorType), !among(c.Dampers, m.Damper.Kind), !among(c.FireResponses, n.fireResponse(m)):
		return false
	case c.DamperVolts != nil && !within(n.damperVolts(m), c.DamperVolts):
		return false
	case c.StatusDevice != nil && *c.StatusDevice != (m.StatusDevice != ""):
		return false
	}
	for _, r := range c.Roles {
		if !m.has(r) {
			return false
		}
	}
	for _, r := range c.Without {
		if m.has(r) {
			return false
		}
	}
	return true
}

// has reports whether a hardwired point's role fits the pattern.
func (m *machine) has(pattern string) bool {
	for _, pt := range m.points {
		if _, ok := tail(pattern, pt.Role); ok {
			return true
		}
	}
	return false
}

// tail matches a role against a pattern that may end in "*" and returns what
// the star stands for.
func tail(pattern, role string) (string, bool) {
	if head, star := strings.CutSuffix(pattern, "*"); star {
		return strings.CutPrefix(role, head)
	}
	return "", pattern == role
}

func (n *net) fireResponse(m *machine) string {
	return cmp.Or(m.FireResponse, n.p.Settings.Fire.DefaultResponse)
}

// damperVolts is what the list says of the damper's volts, else the project's default.
func (n *net) damperVolts(m *machine) *model.Interval {
	if m.Damper.Volts != nil {
		return m.Damper.Volts
	}
	return n.p.Settings.Defaults.DamperVolts
}

func within(v, limit *model.Interval) bool { return v != nil && limit.Contains(*v) }

// choose returns the first choice that holds; nil if none does.
func (n *net) choose(m *machine, rule *library.DeviceRule) *library.DeviceChoice {
	for i := range rule.Choices {
		if n.suits(m, &rule.Choices[i]) {
			return &rule.Choices[i]
		}
	}
	return nil
}

func (n *net) suits(m *machine, c *library.DeviceChoice) bool {
	s := m.Ratings.Service
	if c.Phases != 0 && (s == nil || s.Phases != c.Phases) {
		return false
	}
	if c.Volts != nil && !servedWithin(s, *c.Volts) {
		return false
	}
	if len(c.Controls) > 0 && !slices.Contains(c.Controls, m.Control) {
		return false
	}
	if len(c.MotorTypes) > 0 && !slices.Contains(c.MotorTypes, m.Ratings.MotorType) {
		return false
	}
	if c.DamperVolts != nil && !within(n.damperVolts(m), c.DamperVolts) {
		return false
	}
	if c.EndSwitch != nil && *c.EndSwitch != m.wantsEndSwitch() {
		return false
	}
	if c.FireCurrent != "" && c.FireCurrent != n.p.Settings.Fire.Current {
		return false
	}
	return c.FireVolts == nil || within(n.p.Settings.Fire.Volts, c.FireVolts)
}

// servedWithin reports whether every nominal voltage of a service lies inside
// the limit; a service that is not known does not.
func servedWithin(s *model.Service, limit model.Interval) bool {
	if s == nil || len(s.Volts) == 0 {
		return false
	}
	for _, v := range s.Volts {
		if !limit.Contains(v) {
			return false
		}
	}
	return true
}

// wantsEndSwitch: the list says so, or says nothing and a point asks for one.
func (m *machine) wantsEndSwitch() bool {
	if m.Damper.EndSwitch != nil {
		return *m.Damper.EndSwitch
	}
	return m.has("damper-open") || m.has("damper-closed")
}
