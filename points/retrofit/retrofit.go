// Package retrofit compares the points of a plan with those that a building
// has: what can be kept, what must change, what is to be added, what the plan
// leaves alone.
package retrofit

import (
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/points/library"
)

// Compare lists every point of the plan and every existing point once: pairs
// in the order of the plan with what is to be added between them, then what is
// left, in the order of the files. Two points are one if they have the one
// object name, or if the existing one names the machine and its class, its
// markers or its words tell the role.
//
// A point that differs in object type, units or states is to change; one that
// only has another name is kept, and the difference told. Objects that only
// serve points (schedules, trend logs, notification classes) are not compared.
func Compare(lib *library.Library, points []model.Point, existing []model.ExistingPoint) []model.RetrofitPoint {
	existing = slices.DeleteFunc(slices.Clone(existing), func(e model.ExistingPoint) bool { return serves(lib, e) })
	if len(existing) == 0 {
		return nil
	}
	m := &matching{lib: lib, points: points, existing: existing, pair: make([]int, len(points)), why: make([]string, len(points)), taken: make([]bool, len(existing))}
	for i := range m.pair {
		m.pair[i] = -1
	}
	m.byName()
	m.byMachine()
	return m.list()
}

// serves reports whether an object is of a type that has no value of its own.
func serves(lib *library.Library, e model.ExistingPoint) bool {
	t, known := lib.Objects.Type(e.ObjectType)
	return known && !slices.Contains([]string{"real", "double", "binary", "unsigned", "integer", "text"}, t.Value)
}

// matching is the work of one Compare.
type matching struct {
	lib      *library.Library
	points   []model.Point
	existing []model.ExistingPoint
	pair     []int // of each point, the index of the existing one; -1 none
	why      []string
	taken    []bool
}

func (m *matching) join(i, j int, why string) {
	m.pair[i], m.why[i], m.taken[j] = j, why, true
}

// byName pairs points whose object names are the one, in any case. A name that
// several existing points have tells nothing.
func (m *matching) byName() {
	named := map[string][]int{}
	for j := range m.existing {
		if n := strings.ToLower(m.existing[j].ObjectName); n != "" {
			named[n] = append(named[n], j)
		}
	}
	for i := range m.points {
		n := strings.ToLower(m.points[i].ObjectName)
		if list := named[n]; n != "" && len(list) == 1 && !m.taken[list[0]] {
			m.join(i, list[0], "by object name")
		}
	}
}

// byMachine pairs the rest machine by machine: the surest pairs first.
func (m *matching) byMachine() {
	of := map[string][]int{} // machine as compared → its points
	for i := range m.points {
		key := plain(m.points[i].Equipment)
		of[key] = append(of[key], i)
	}
	type candidate struct {
		i, j, score int
		why         string
	}
	var list []candidate
	for j := range m.existing {
		if m.taken[j] {
			continue
		}
		for _, i := range of[m.machine(j, of)] {
			if m.pair[i] >= 0 || !m.alike(i, j) {
				continue
			}
			if score, why := m.role(i, j); score > 0 {
				list = append(list, candidate{i, j, score, why})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return b.score - a.score })
	for _, c := range list {
		if m.pair[c.i] < 0 && !m.taken[c.j] {
			m.join(c.i, c.j, c.why)
		}
	}
}

// machine finds which machine of the plan an existing point speaks of: the one
// its file names, or the longest tag in its names; "" none.
func (m *matching) machine(j int, of map[string][]int) string {
	e := &m.existing[j]
	if key := plain(e.Equipment); key != "" && of[key] != nil {
		return key
	}
	best := ""
	for _, text := range []string{e.Equipment, e.ObjectName, e.Description, e.DeviceName} {
		list := tokens(text)
		for from := range list {
			key := ""
			for _, t := range list[from:min(len(list), from+5)] {
				key += t
				if of[key] != nil && len(key) > len(best) {
					best = key
				}
			}
		}
		if best != "" {
			return best
		}
	}
	return best
}

// alike reports whether an existing object can play the part of a point: a
// number for a number, states for states, an input for what is read and
// anything that takes commands for what is commanded.
func (m *matching) alike(i, j int) bool {
	ours, known := m.lib.Objects.Type(m.points[i].ObjectType)
	theirs, told := m.lib.Objects.Type(m.existing[j].ObjectType)
	if !known || !told {
		return true
	}
	states := func(t library.ObjectType) bool { return t.Binary() || t.MultiState() }
	if ours.Analog() != theirs.Analog() && !(states(ours) && states(theirs)) || states(ours) != states(theirs) {
		return false
	}
	return !(ours.Input() && theirs.Output()) && !(ours.Output() && theirs.Input())
}

// role says how surely an existing point plays the role of one of ours, 0 not
// at all: by class, by markers, by words.
func (m *matching) role(i, j int) (score int, why string) {
	q, e := &m.points[i], &m.existing[j]
	tag, known := m.lib.Tags.Point(q.Role)
	if !known {
		return 0, ""
	}
	const byClass, byMarkers = 1000, 500
	if e.Class != "" {
		if at := slices.Index(m.lib.Tags.Roles(e.Class), tag.ID); at >= 0 {
			return byClass - at, "by machine and class " + e.Class
		}
	}
	if n := len(tag.Haystack) + len(tag.Custom); len(e.Tags) > 0 && n > 1 && all(e.Tags, tag.Haystack) && all(e.Tags, tag.Custom) {
		return byMarkers + n, "by machine and markers"
	}
	text := " " + strings.Join(tokens(e.ObjectName+" "+e.Description), " ") + " "
	for _, w := range tag.Words {
		if word := strings.Join(tokens(w), " "); strings.Contains(text, " "+word+" ") && len(word) > score {
			score, why = len(word), "by machine and the words "+w
		}
	}
	return score, why
}

func all(have, want []string) bool {
	return !slices.ContainsFunc(want, func(w string) bool { return !slices.Contains(have, w) })
}

// tokens splits a name into words: at everything but letters and digits, and
// where a small letter meets a capital.
func tokens(s string) []string {
	var out []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			out = append(out, strings.ToLower(b.String()))
			b.Reset()
		}
	}
	var last rune
	for _, r := range s {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			flush()
		case unicode.IsUpper(r) && unicode.IsLower(last):
			flush()
			b.WriteRune(r)
		default:
			b.WriteRune(r)
		}
		last = r
	}
	flush()
	return out
}

// plain is a tag as it is compared: EF-1, EF1 and ef 1 are one.
func plain(s string) string { return strings.Join(tokens(s), "") }

func (m *matching) list() []model.RetrofitPoint {
	var out []model.RetrofitPoint
	for i := range m.points {
		q := &m.points[i]
		if m.pair[i] < 0 {
			out = append(out, model.RetrofitPoint{Action: model.RetrofitAdd, Point: q.Key, Why: "nothing that exists plays this part"})
			continue
		}
		e := m.existing[m.pair[i]]
		changes, real := m.differences(q, &e)
		action := model.RetrofitKeep
		if real {
			action = model.RetrofitChange
		}
		out = append(out, model.RetrofitPoint{Action: action, Point: q.Key, Existing: &e, Changes: changes, Why: m.why[i]})
	}
	for j := range m.existing {
		if !m.taken[j] {
			e := m.existing[j]
			out = append(out, model.RetrofitPoint{Action: model.RetrofitLeave, Existing: &e, Why: "the plan asks for nothing of the kind"})
		}
	}
	return out
}

// differences lists what differs of what both sides state; real is set where
// more than a name or a number does.
func (m *matching) differences(q *model.Point, e *model.ExistingPoint) (list []model.PropertyChange, real bool) {
	add := func(field, from, to string, counts bool) {
		list = append(list, model.PropertyChange{Field: field, From: from, To: to})
		real = real || counts
	}
	if e.ObjectType != "" && e.ObjectType != q.ObjectType {
		add("object_type", e.ObjectType, q.ObjectType, true)
	}
	if e.Units != "" && q.Units != "" && e.Units != q.Units {
		add("units", e.Units, q.Units, true)
	}
	if len(e.States) > 0 && len(q.States) > 0 && !slices.EqualFunc(e.States, q.States, strings.EqualFold) {
		add("states", strings.Join(e.States, " | "), strings.Join(q.States, " | "), true)
	}
	if e.ObjectName != "" && q.ObjectName != "" && e.ObjectName != q.ObjectName {
		add("object_name", e.ObjectName, q.ObjectName, false)
	}
	return list, real
}
