package derive

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// Explain says of a point why it is there in the terms of its rule, and what
// else would remove it: each thing on a line. It works on the equipment and
// settings the point was derived from. "" means that there is no such point.
func Explain(lib *library.Library, s model.Settings, equipment []model.Equipment, q model.Point) []string {
	rule, ok := lib.Rule(q.Rule)
	if !ok {
		return nil
	}
	w := survey(lib, s, equipment)
	m := w.of(q.Equipment)
	if m == nil {
		return nil
	}
	var out []string
	_, held := w.reasons(&rule.When, m)
	if len(held) > 0 {
		out = append(out, "any of these being otherwise: "+strings.Join(held, ", "))
	}
	if len(rule.Emits.With) > 0 {
		out = append(out, "taking out "+strings.Join(rule.Emits.With, " or ")+", which it stands with")
	}
	role := Base(q.Role)
	out = append(out, fmt.Sprintf("settings.derive.without: [%s], or [%s] for this machine alone", role, q.Key))
	if q.Need == "optional" {
		out = append(out, "taking it out of settings.derive.optional")
	}
	if q.Carried == model.Software {
		out = append(out, "settings.derive.software_points: false")
	}
	for _, other := range lib.Rules() {
		if other.ID == rule.ID || other.Emits.Role != rule.Emits.Role {
			continue
		}
		if !w.matches(&other.When, m) {
			continue
		}
		if keep, _ := wanted(s.Derive, m.Tag, q.Role, role, other.Emits.Need); keep {
			out = append(out, fmt.Sprintf("but the rule %s would then make it: %s", other.ID, other.Why))
		}
	}
	if served := w.served(&rule.When, m); len(served) > 1 && rule.Emits.Per != "" && rule.Emits.Per != "equipment" {
		out = append(out, "taking all of "+tags(served)+" out; it serves them together")
	}
	return out
}

// Removal is Explain on one line.
func Removal(lib *library.Library, s model.Settings, equipment []model.Equipment, q model.Point) string {
	return strings.Join(Explain(lib, s, equipment, q), "; ")
}
