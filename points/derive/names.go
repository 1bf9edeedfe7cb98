package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
)

// Defaults of naming, stated as assumptions where the project gives none.
const (
	defaultPattern = "{building}_{equipment}_{role}"
	defaultAllowed = "_-."
	defaultLength  = 32  // from memory: old field controllers take 32 characters or fewer
	blockSize      = 100 // instances a machine gets under per-equipment
)

// name gives every point its object name and its instance.
func (d *derivation) name() {
	replaced := map[string]bool{}
	var tags []string
	for i := range d.list {
		q := &d.list[i]
		var lost []rune
		q.ObjectName, lost = d.objectName(q)
		for _, r := range lost {
			replaced[string(r)] = true
		}
		if len(lost) > 0 {
			tags = appendOnce(tags, q.Equipment)
		}
	}
	if len(replaced) > 0 {
		var chars []string
		for c := range replaced {
			chars = append(chars, fmt.Sprintf("%q", c))
		}
		slices.Sort(chars)
		d.findings = append(d.findings, finding.Finding{Code: "name-characters", Severity: finding.Note, Subject: tags[0], Subjects: several(tags),
			Message: "object names may not hold " + strings.Join(chars, ", ") + ": replaced", Fix: "list them in settings.naming.allowed if the controllers take them"})
	}
	d.number()
}

// objectName fills the pattern for one point, and returns the characters that
// had to be replaced. An empty part goes away with the separator behind it.
func (d *derivation) objectName(q *model.Point) (string, []rune) {
	n := d.settings.Naming
	pattern := cmp.Or(n.Pattern, defaultPattern)
	role, _ := d.lib.Role(Base(q.Role))
	short := cmp.Or(n.Abbreviations[q.Role], n.Abbreviations[role.ID], role.Abbreviation, q.Role)
	if number, ok := strings.CutPrefix(q.Role, role.ID+"-"); ok && n.Abbreviations[q.Role] == "" {
		short += "-" + number
	}
	parts := map[string]string{"building": d.project.Building, "system": d.world.of(q.Equipment).System, "equipment": q.Equipment, "role": short}
	var b strings.Builder
	for rest := pattern; rest != ""; {
		open := strings.IndexByte(rest, '{')
		shut := strings.IndexByte(rest, '}')
		if open < 0 || shut < open {
			b.WriteString(rest)
			break
		}
		b.WriteString(rest[:open])
		value, known := parts[rest[open+1:shut]]
		if !known {
			value = rest[open : shut+1]
		}
		b.WriteString(value)
		rest = rest[shut+1:]
		if value == "" {
			next := strings.IndexByte(rest, '{')
			if next >= 0 {
				rest = rest[next:]
			}
		}
	}
	return clean(b.String(), cmp.Or(n.Allowed, defaultAllowed))
}

// clean replaces characters that are not allowed by the first allowed
// separator, runs of them by one.
func clean(name, allowed string) (string, []rune) {
	separator := ""
	for _, r := range allowed {
		separator = string(r)
		break
	}
	var b strings.Builder
	var lost []rune
	gap := false
	for _, r := range name {
		ok := r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) || strings.ContainsRune(allowed, r)
		if !ok {
			lost = append(lost, r)
			gap = true
			continue
		}
		if gap && b.Len() > 0 && !strings.HasSuffix(b.String(), separator) && string(r) != separator {
			b.WriteString(separator)
		}
		gap = false
		b.WriteRune(r)
	}
	return b.String(), lost
}

// number gives instances in the order of the points: one row of numbers for
// each object type, or a block of a hundred for each machine, or none where
// the vendor assigns them.
func (d *derivation) number() {
	n := d.settings.Naming
	if n.Instances == "vendor" {
		return
	}
	start := n.FirstInstance
	if start == 0 {
		start = 1
	}
	next := map[string]int{}
	for i := range d.list {
		q := &d.list[i]
		key, base := q.ObjectType, start
		if n.Instances == "per-equipment" {
			key = q.ObjectType + " " + q.Equipment
			base = start + blockSize*d.world.of(q.Equipment).index
		}
		number := base + next[key]
		next[key]++
		q.Instance = &number // Validate tells one that is out of range
	}
}
