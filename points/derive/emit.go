package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// points makes the points of one machine, in the order of the roles.
func (d *derivation) points(m *machine) {
	if !m.inScope() {
		return
	}
	var own []model.Point
	taken := map[string]bool{}
	for _, dependent := range []bool{false, true} { // what stands with another role comes after all others
		for _, r := range d.lib.Rules() {
			if (len(r.Emits.With) > 0) != dependent || taken[r.Emits.Role] || !d.world.matches(&r.When, m) || !stands(r.Emits.With, taken) {
				continue
			}
			role, known := d.lib.Role(r.Emits.Role)
			if !known {
				continue // the library's own test forbids it; a user's rule is told by checkSettings
			}
			if made := d.emit(m, &r, &role); made != nil {
				taken[r.Emits.Role] = true
				own = append(own, made...)
			}
		}
	}
	order := map[string]int{}
	for i, r := range d.lib.Roles() {
		order[r.ID] = i
	}
	slices.SortStableFunc(own, func(a, b model.Point) int {
		return cmp.Compare(order[Base(a.Role)], order[Base(b.Role)])
	})
	m.from = len(d.list)
	defer func() { m.to = len(d.list) }()
	for _, q := range own {
		if _, twice := d.made[q.Key]; twice {
			continue // a tag that stands twice in the list is a finding of intake
		}
		d.made[q.Key] = len(d.list)
		d.list = append(d.list, q)
	}
}

// stands reports whether one of the roles is made already, or none is asked for.
func stands(with []string, made map[string]bool) bool {
	return len(with) == 0 || slices.ContainsFunc(with, func(r string) bool { return made[r] })
}

// emit makes the point of a rule, or as many as the system has sensors; nil
// where the rule makes none here.
func (d *derivation) emit(m *machine, r *library.Rule, role *library.Role) []model.Point {
	count := max(1, r.Emits.Count)
	switch r.Emits.Per {
	case "system", "sensor":
		if d.world.carrier(&r.When, m) != m {
			return nil
		}
		if r.Emits.Per == "sensor" {
			n, stated := m.sensors()
			if count = n; !stated && !slices.Contains(d.assumed.sensors, m.Tag) {
				d.assumed.sensors = append(d.assumed.sensors, m.Tag)
			}
		}
	}
	var out []model.Point
	for i := 1; i <= count; i++ {
		name := role.ID
		if r.Emits.Per == "sensor" || r.Emits.Count > 0 {
			name = fmt.Sprintf("%s-%d", role.ID, i)
		}
		ok, entry := wanted(d.settings.Derive, m.Tag, name, role.ID, r.Emits.Need)
		d.used[entry] = true
		if !ok {
			continue
		}
		q := d.point(m, r, role, name)
		if r.Emits.Need == "optional" {
			q.Why += " (settings.derive.optional lists " + entry + ")"
		}
		if r.Emits.Per == "system" || r.Emits.Per == "sensor" {
			d.world.shared[q.Key] = true
			q.System = cmp.Or(m.System, m.system)
			if served := d.serves(m, &q); len(served) > 1 {
				q.Why += "; counted once for " + tags(served)
			}
		}
		out = append(out, q)
	}
	return out
}

// point fills in one point from its role, with what its rule says otherwise.
func (d *derivation) point(m *machine, r *library.Rule, role *library.Role, name string) model.Point {
	a := merge(role.Attributes, r.Emits.Attributes)
	if d.settings.Units == "si" {
		a.Units, a.Range = cmp.Or(a.UnitsSI, a.Units), cmp.Or(a.RangeSI, a.Range)
		a.RelinquishDefault = cmp.Or(a.RelinquishDefaultSI, a.RelinquishDefault)
	}
	switch a.Carried {
	case model.Software:
		a.Signal, a.ContactSense = "", ""
	case model.Network:
		a.Signal, a.ContactSense = "bus", ""
	}
	if a.Object == model.BinaryValue {
		a.Polarity = "" // ASHRAE 135, clause 12.8: a binary value has none
	}
	q := model.Point{
		Key: m.Tag + "/" + name, Equipment: m.Tag, Role: name, ObjectType: a.Object, Carried: a.Carried, Signal: a.Signal,
		Units: a.Units, Range: a.Range, States: slices.Clone(a.States), Polarity: a.Polarity, ContactSense: a.ContactSense,
		FailState: a.FailState, RelinquishDefault: a.RelinquishDefault, Priority: a.Priority, Trend: a.Trend,
		Need: r.Emits.Need, Feedback: r.Emits.Feedback, LifeSafety: r.Emits.LifeSafety || m.scheme.LifeSafety,
		Bid: cmp.Or(m.Bid, model.Base), Existing: m.Bid == model.Existing, System: cmp.Or(m.System, m.Service), Panel: m.Panel,
		Rule: r.ID, Why: r.Why, Where: m.Where, ByOthers: r.Emits.ByOthers,
	}
	q.States = append(q.States, statesFrom(r.Emits.StatesFrom, &q, m)...)
	if texts, ok := d.settings.Derive.StateTexts[role.ID]; ok {
		d.ownStates(&q, role, texts)
	}
	if trend, ok := d.settings.Derive.Trends[role.ID]; ok {
		if q.Trend = trend; trend == "none" {
			q.Trend = ""
		}
	}
	d.scale(&q, m)
	atLoss(&q, m, role)
	q.COVIncrement = d.covIncrement(&q, m, role.ID)
	q.Description = describe(m, role, name, r.Emits.Per)
	d.hand(&q, m, a.Item)
	return q
}

// ownStates takes the project's texts where they are as many as the states,
// and tells once for a role where they are not.
func (d *derivation) ownStates(q *model.Point, role *library.Role, texts []string) {
	if len(q.States) == len(texts) {
		q.States = slices.Clone(texts)
		return
	}
	if slices.ContainsFunc(d.findings, func(f finding.Finding) bool { return f.Code == "state-texts" && f.Subject == role.ID }) {
		return
	}
	d.findings = append(d.findings, finding.Finding{Code: "state-texts", Severity: finding.Caution, Subject: role.ID,
		Message: fmt.Sprintf("%d state texts are given where %s, a %s, has %d (%s); the library's are kept there", len(texts), q.Key, q.ObjectType, len(q.States), strings.Join(q.States, ", ")),
		Fix:     "give one text for every state, the inactive one first"})
}

// statesFrom are the states that the machines of a system add to a point: each
// one's tag instead of the role's words, or how many of them are asked for.
func statesFrom(what string, q *model.Point, m *machine) []string {
	var out []string
	switch what {
	case "machines":
		q.States = nil
		for _, o := range m.fellows {
			out = append(out, o.Tag)
		}
	case "stages":
		for i := range m.fellows {
			if out = append(out, fmt.Sprintf("%d fans", i+1)); i == 0 {
				out[0] = "1 fan"
			}
		}
	}
	return out
}

// merge lays what the rule says over what the role says.
func merge(role, rule library.Attributes) library.Attributes {
	role.Object, role.Carried = cmp.Or(rule.Object, role.Object), cmp.Or(rule.Carried, role.Carried)
	role.Signal = cmp.Or(rule.Signal, role.Signal)
	role.Units, role.UnitsSI = cmp.Or(rule.Units, role.Units), cmp.Or(rule.UnitsSI, role.UnitsSI)
	role.Range, role.RangeSI = cmp.Or(rule.Range, role.Range), cmp.Or(rule.RangeSI, role.RangeSI)
	if rule.States != nil {
		role.States = rule.States
	}
	role.Polarity, role.ContactSense = cmp.Or(rule.Polarity, role.Polarity), cmp.Or(rule.ContactSense, role.ContactSense)
	role.FailState = cmp.Or(rule.FailState, role.FailState)
	role.RelinquishDefault = cmp.Or(rule.RelinquishDefault, role.RelinquishDefault)
	role.RelinquishDefaultSI = cmp.Or(rule.RelinquishDefaultSI, role.RelinquishDefaultSI)
	role.Priority, role.Trend, role.Item = cmp.Or(rule.Priority, role.Priority), cmp.Or(rule.Trend, role.Trend), cmp.Or(rule.Item, role.Item)
	return role
}

// hand says who furnishes, installs and wires the point's device. The
// equipment list's own word for the machine counts for what is part of it.
func (d *derivation) hand(q *model.Point, m *machine, item string) {
	switch q.Carried {
	case model.Software:
		return
	case model.Network:
		item = "network-trunk"
	}
	t, ok := d.lib.Task(item)
	if !ok {
		return
	}
	q.FurnishedBy, q.InstalledBy, q.WiredBy = t.Furnish, t.Install, t.Wire
	if m.FurnishedBy != "" && len(t.Controls) > 0 {
		q.FurnishedBy = m.FurnishedBy
	}
}

// describe words a point: "EF-1 Workshop: run status".
func describe(m *machine, role *library.Role, name, per string) string {
	head := m.Tag
	about := m.Service
	if per == "system" || per == "sensor" {
		about = m.system
	}
	if about != "" {
		head += " " + about
	}
	text := head + ": " + role.Name
	if n, ok := strings.CutPrefix(name, role.ID+"-"); ok {
		text += " " + n
	}
	return text
}

// Base returns the role without the number of a sensor: gas-co-2 is gas-co.
func Base(role string) string {
	i := len(role)
	for i > 0 && role[i-1] >= '0' && role[i-1] <= '9' {
		i--
	}
	if i < len(role) && i > 1 && role[i-1] == '-' {
		return role[:i-1]
	}
	return role
}

func tags(list []*machine) string {
	var out []string
	for _, m := range list {
		out = append(out, m.Tag)
	}
	return strings.Join(out, ", ")
}
