package crosscheck

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// collective recognises rows of a document that stand for several of our
// machines at once: AHU-1 for its supply and its return fan, EF-1-4 for EF-1 to
// EF-4. What such a row says is of no machine alone, so that nothing of it is
// compared; it is told, in place of machines missing on both sides.
func (c *comparison) collective(v *view, taken map[*model.Equipment]bool) {
	for i := range v.doc.Equipment {
		t := &v.doc.Equipment[i]
		if taken[t] {
			continue
		}
		members := c.members(t, taken)
		if len(members) < 2 {
			continue
		}
		if v.whole == nil {
			v.whole = map[*model.Equipment]bool{}
		}
		v.whole[t], taken[t] = true, true
		var names []string
		for _, o := range members {
			v.whole[o], taken[o] = true, true
			names = append(names, o.Tag)
		}
		list := strings.Join(names, ", ")
		c.tell(model.Difference{Code: "tag-alike", Severity: finding.Caution, Subject: names[0], Field: "tag", Ours: list, Theirs: t.Tag, Where: cell(members[0], "tag"), Other: cell(t, "tag"),
			Message: fmt.Sprintf("%s has one row %s where the equipment list has %s; what it says is of no machine alone and was not compared", v.doc.Name(), t.Tag, list),
			Ask:     fmt.Sprintf("Does the row %s of %s stand for %s, and for which of them are its figures?", t.Tag, v.doc.Name(), list)})
	}
}

var spanKey = regexp.MustCompile(`^(.*[A-Z]-)(\d+)-(\d+)$`)

// members are our machines, not yet joined to another row, that a row of a
// document stands for.
func (c *comparison) members(t *model.Equipment, taken map[*model.Equipment]bool) []*model.Equipment {
	var out []*model.Equipment
	take := func(key string) bool {
		o := c.byKey[key]
		if o == nil || taken[o] {
			return false
		}
		out = append(out, o)
		return true
	}
	key := c.key(t)
	for _, fan := range []string{"SF", "RF", "EF", "RLF"} {
		take(key + "-" + fan)
	}
	m := spanKey.FindStringSubmatch(key)
	if len(out) > 0 || m == nil {
		return out
	}
	from, _ := strconv.Atoi(m[2])
	to, _ := strconv.Atoi(m[3])
	for n := from; n <= to && to-from < 50; n++ {
		if !take(m[1] + strconv.Itoa(n)) {
			return nil
		}
	}
	return out
}
