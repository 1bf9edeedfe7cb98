package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Validate holds points and alarms against the object model of ASHRAE 135 and
// against the owner's limits: identity, units, ranges, states, polarity,
// feedback, commands, algorithms, priorities. It works on any points, freshly
// derived or taken back from a vendor; an empty instance is left to the vendor.
// Points with a controller are unique in that controller, network points in
// the device of their equipment, all others in one device together.
func Validate(lib *library.Library, s model.Settings, points []model.Point, alarms []model.Alarm) []finding.Finding {
	v := &validation{lib: lib, settings: s, points: points, alarms: alarms, at: make(map[string]*model.Point, len(points))}
	for i := range points {
		v.at[points[i].Key] = &points[i]
	}
	v.identity()
	v.names()
	for i := range points {
		v.object(&points[i])
	}
	v.increments()
	v.checkAlarms()
	return v.findings
}

type validation struct {
	lib      *library.Library
	settings model.Settings
	points   []model.Point
	alarms   []model.Alarm
	at       map[string]*model.Point
	findings []finding.Finding
}

// clause is where the standard says it.
const (
	identityClause = "ASHRAE 135, clause 12.1"
	alarmClause    = "ASHRAE 135, clause 13"
	commandClause  = "ASHRAE 135, clause 19.2"
)

func (v *validation) fault(code string, q *model.Point, source, fix, message string, args ...any) {
	v.findings = append(v.findings, finding.Finding{Code: code, Severity: finding.Fault, Subject: q.Key, Where: q.Where,
		Message: fmt.Sprintf(message, args...), Fix: fix, Source: source})
}

// device is where the object of a point stands, as far as it is known.
func device(q *model.Point) string {
	if q.Carried == model.Network {
		return "the device of " + q.Equipment
	}
	return q.Controller
}

// identity: key, object name and object identifier are unique, instances in range.
func (v *validation) identity() {
	type id struct {
		device, kind string
		instance     int
	}
	keys, ids := map[string]bool{}, map[id]string{}
	names, folded := map[[2]string]string{}, map[[2]string]string{}
	for i := range v.points {
		q := &v.points[i]
		if keys[q.Key] {
			v.fault("key-repeated", q, "", "correct the tag that stands twice", "two points have the key %s", q.Key)
		}
		keys[q.Key] = true
		if q.ObjectName != "" {
			v.oneName(q, names, folded)
		}
		if q.Instance == nil {
			continue
		}
		if *q.Instance < 0 || *q.Instance > library.LastInstance {
			v.fault("instance-out-of-range", q, identityClause, "lower settings.naming.first_instance, or correct the number",
				"its %s instance would be %d; instances run from 0 to %d", q.ObjectType, *q.Instance, library.LastInstance)
		}
		one := id{device(q), q.ObjectType, *q.Instance}
		if other, twice := ids[one]; twice {
			v.fault("instance-repeated", q, identityClause, "give it a free number", "%s %d is %s as well", q.ObjectType, *q.Instance, other)
		} else {
			ids[one] = q.Key
		}
	}
}

// oneName holds a name against those before it in the same device. Names that
// differ only in upper and lower case are two names to the standard and one to
// many programs.
func (v *validation) oneName(q *model.Point, names, folded map[[2]string]string) {
	name := [2]string{device(q), q.ObjectName}
	low := [2]string{name[0], strings.ToLower(q.ObjectName)}
	fix := "put {equipment} and {role} into settings.naming.pattern, and allow the characters that tell the tags apart"
	if other, twice := names[name]; twice {
		v.fault("name-repeated", q, identityClause, fix, "the object name %q is that of %s as well", q.ObjectName, other)
		return
	}
	names[name] = q.Key
	if other, twice := folded[low]; twice {
		v.findings = append(v.findings, finding.Finding{Code: "name-repeated", Severity: finding.Caution, Subject: q.Key, Where: q.Where, Source: "common practice",
			Message: fmt.Sprintf("the object name %q differs from that of %s only in upper and lower case", q.ObjectName, other), Fix: fix})
		return
	}
	folded[low] = q.Key
}

// names: not empty, printable, of the allowed characters, within the length.
// Many names that break one rule are one finding.
func (v *validation) names() {
	n := v.settings.Naming
	limit, allowed := cmp.Or(n.MaxLength, defaultLength), cmp.Or(n.Allowed, defaultAllowed)
	var long, odd []*model.Point
	for i := range v.points {
		q := &v.points[i]
		switch {
		case q.ObjectName == "":
			v.fault("name-empty", q, identityClause, "correct settings.naming.pattern", "it has no object name")
		case len([]rune(q.ObjectName)) > limit:
			long = append(long, q)
		}
		if strings.ContainsFunc(q.ObjectName, func(r rune) bool { return !mayStand(r, allowed) }) {
			odd = append(odd, q)
		}
	}
	if len(long) > 0 {
		longest := slices.MaxFunc(long, func(a, b *model.Point) int {
			return cmp.Compare(len([]rune(a.ObjectName)), len([]rune(b.ObjectName)))
		})
		length := len([]rune(longest.ObjectName))
		v.findings = append(v.findings, finding.Finding{Code: "name-too-long", Severity: finding.Caution, Subject: longest.Key, Subjects: several(keysOf(long)), Where: longest.Where,
			Message: fmt.Sprintf("object names are longer than %d characters; the longest is %q with %d", limit, longest.ObjectName, length),
			Numbers: []finding.Number{{Name: "longest", Value: float64(length), Unit: "characters"}, {Name: "limit", Value: float64(limit), Unit: "characters"}},
			Fix:     "shorten settings.naming.pattern, give roles abbreviations, or raise settings.naming.max_length"})
	}
	if len(odd) > 0 {
		v.findings = append(v.findings, finding.Finding{Code: "name-not-allowed", Severity: finding.Caution, Subject: odd[0].Key, Subjects: several(keysOf(odd)), Where: odd[0].Where,
			Message: fmt.Sprintf("object names hold characters besides letters, digits and %s, such as %q", allowed, odd[0].ObjectName),
			Fix:     "rename them, or list the characters in settings.naming.allowed"})
	}
}

// mayStand reports whether a character may stand in an object name.
func mayStand(r rune, allowed string) bool {
	return r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) || strings.ContainsRune(allowed, r) && unicode.IsPrint(r)
}

func keysOf(list []*model.Point) []string {
	out := make([]string, len(list))
	for i, q := range list {
		out[i] = q.Key
	}
	return out
}
