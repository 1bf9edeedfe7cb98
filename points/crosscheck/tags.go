package crosscheck

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/model/finding"
)

// tagKey is the form in which two spellings of one tag are equal: capitals,
// letters and figures only, no leading zeros: EF-01 = EF 1 = ef1.
func tagKey(tag string) string {
	var parts []string
	runes := []rune(strings.ToUpper(tag))
	for i := 0; i < len(runes); {
		j := i
		switch {
		case unicode.IsDigit(runes[i]):
			for j < len(runes) && unicode.IsDigit(runes[j]) {
				j++
			}
			parts = append(parts, cmp.Or(strings.TrimLeft(string(runes[i:j]), "0"), "0"))
		case unicode.IsLetter(runes[i]):
			for j < len(runes) && unicode.IsLetter(runes[j]) {
				j++
			}
			parts = append(parts, string(runes[i:j]))
		default:
			j++
		}
		i = j
	}
	return strings.Join(parts, "-")
}

// leastScore is the similarity from which two machines are held for the same.
const leastScore = 0.75

// pairUp joins the machines of a document to ours: equal keys first, then the
// most alike, each once and never a tie.
func (c *comparison) pairUp(doc *Document) {
	v := view{doc: doc, of: map[*model.Equipment]pair{}, edges: map[string]bool{}}
	taken := map[*model.Equipment]bool{}
	ours := map[string][]*model.Equipment{}
	for _, o := range c.ours {
		ours[c.key(o)] = append(ours[c.key(o)], o)
	}
	for i := range doc.Equipment {
		t := &doc.Equipment[i]
		v.speaks(t)
		for _, o := range ours[c.key(t)] {
			if !taken[o] && !taken[t] {
				v.pairs = append(v.pairs, pair{o, t, 1})
				taken[o], taken[t] = true, true
			}
		}
	}
	if doc.Role == Dampers {
		v.pairs = append(v.pairs, c.serving(doc, taken)...)
	}
	c.collective(&v, taken)
	for _, q := range c.likely(doc, taken) {
		v.pairs = append(v.pairs, q)
		taken[q.ours], taken[q.theirs] = true, true
		c.tell(model.Difference{Code: "tag-alike", Severity: finding.Caution, Subject: q.ours.Tag, Field: "tag", Ours: q.ours.Tag, Theirs: q.theirs.Tag,
			Where: cell(q.ours, "tag"), Other: cell(q.theirs, "tag"),
			Message: fmt.Sprintf("%s stands in %s as %s, it seems (likeness %.2f of 1)", q.ours.Tag, doc.Name(), q.theirs.Tag, q.score),
			Ask:     fmt.Sprintf("Is %s of the mechanical schedule the machine that %s calls %s? Which tag holds?", q.ours.Tag, doc.Name(), q.theirs.Tag)})
	}
	slices.SortStableFunc(v.pairs, func(a, b pair) int { return finding.CompareTags(a.ours.Tag, b.ours.Tag) })
	for _, q := range v.pairs {
		v.of[q.ours] = q
	}
	c.views = append(c.views, v)
}

// serving joins the rows of a damper schedule, which have tags of their own,
// to the machine that their service, description or remarks name.
func (c *comparison) serving(doc *Document, taken map[*model.Equipment]bool) []pair {
	var out []pair
	for i := range doc.Equipment {
		t := &doc.Equipment[i]
		if taken[t] {
			continue
		}
		for _, text := range []string{t.Service, t.System, t.Description, t.Remarks, t.Location, strings.Join(t.Interlocks, " ")} {
			o := c.namedIn(text)
			if o == nil || taken[o] {
				continue
			}
			out = append(out, pair{o, t, 1})
			taken[o], taken[t] = true, true
			break
		}
	}
	return out
}

// namedIn is our machine that a text names, alone.
func (c *comparison) namedIn(text string) *model.Equipment {
	var found *model.Equipment
	for _, m := range tagsInText.FindAllString(strings.ToUpper(text), -1) {
		if o := c.byKey[tagKey(m)]; o != nil {
			if found != nil && found != o {
				return nil // a damper that serves several is no machine's own
			}
			found = o
		}
	}
	return found
}

var tagsInText = regexp.MustCompile(`\b[A-Z]{1,6}[- ]?\d{1,4}[A-Z]?\b`)

// spansInText finds tags with the lists and ranges that they begin: EF-1 THRU 4.
var spansInText = regexp.MustCompile(`\b[A-Z]{1,6}[- ]?\d{1,4}[A-Z]?\b(?:\s*(?:,|&|AND|THRU|THROUGH|TO)\s*(?:[A-Z]{1,6}[- ]?)?\d{1,4}[A-Z]?\b)*`)

// speaks notes what the document speaks of.
func (v *view) speaks(t *model.Equipment) {
	v.interlocks = v.interlocks || len(t.Interlocks) > 0
	v.detectors = v.detectors || namesDetector(t)
	v.suppression = v.suppression || namesSuppression(t)
	addEdges(v.edges, t)
}

// likely returns the pairs of unmatched machines that are more alike than
// either is to any other.
func (c *comparison) likely(doc *Document, taken map[*model.Equipment]bool) []pair {
	var all []pair
	near := map[string][]*model.Equipment{}
	for i := range doc.Equipment {
		if t := &doc.Equipment[i]; !taken[t] && t.OutOfScope == "" {
			for _, k := range nearKeys(c.key(t)) {
				near[k] = append(near[k], t)
			}
		}
	}
	for _, o := range c.ours {
		if taken[o] {
			continue
		}
		seen := map[*model.Equipment]bool{}
		for _, k := range nearKeys(c.key(o)) {
			for _, t := range near[k] {
				if seen[t] {
					continue
				}
				seen[t] = true
				if s := alike(o, t); s >= leastScore {
					all = append(all, pair{o, t, s})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b pair) int { return cmp.Compare(b.score, a.score) })
	var out []pair
	used := map[*model.Equipment]bool{}
	for _, q := range all {
		if used[q.ours] || used[q.theirs] {
			continue
		}
		if slices.ContainsFunc(all, func(r pair) bool {
			return r != q && r.score == q.score && (r.ours == q.ours || r.theirs == q.theirs)
		}) {
			continue // a tie decides nothing
		}
		used[q.ours], used[q.theirs] = true, true
		out = append(out, q)
	}
	return out
}

// alike scores two machines from 0 to 1: the tags' likeness, and how many of
// the values that both state agree. Tags alone are not enough where values
// contradict; equal values do not join tags that have nothing in common.
func alike(a, b *model.Equipment) float64 {
	tag := tagLikeness(tagKey(a.Tag), tagKey(b.Tag))
	same, both := 0.0, 0.0
	count := func(x, y *model.Quantity) {
		if x == nil || y == nil {
			return
		}
		both++
		if off, ok := apart(x, y); ok && off <= 0.02 {
			same++
		}
	}
	count(a.Ratings.Airflow, b.Ratings.Airflow)
	count(a.Ratings.Power, b.Ratings.Power)
	count(a.Ratings.Pressure, b.Ratings.Pressure)
	count(a.Ratings.Current, b.Ratings.Current)
	if va, vb := voltsOf(a), voltsOf(b); va != nil && vb != nil {
		both++
		if sameVolts(*va, *vb) {
			same++
		}
	}
	if a.Service != "" && b.Service != "" {
		both += 2
		same += 2 * likeness(fold(a.Service), fold(b.Service))
	}
	if both < 2 {
		return 0.9 * tag
	}
	return 0.5*tag + 0.5*same/both
}

// tagLikeness compares two keys. The same letters with another number are
// another machine, unless two figures changed places; O and I beside figures
// are taken for 0 and 1.
func tagLikeness(a, b string) float64 {
	x, y := slip.Replace(strings.ReplaceAll(a, "-", "")), slip.Replace(strings.ReplaceAll(b, "-", ""))
	if x == y {
		return 1
	}
	la, na, _ := strings.Cut(a, "-")
	lb, nb, _ := strings.Cut(b, "-")
	if la == lb && na != "" && nb != "" {
		if swapped(na, nb) {
			return 0.8
		}
		return 0.4
	}
	return likeness(x, y)
}

// nearKeys are the buckets in which a tag's likes are looked for: the same
// number, the same letters with the same figures in another order, the same
// text once O and I are read as 0 and 1.
func nearKeys(key string) []string {
	letters, number, _ := strings.Cut(key, "-")
	figures := []byte(number)
	slices.Sort(figures)
	return []string{"n" + number, "f" + letters + string(figures), "s" + slip.Replace(strings.ReplaceAll(key, "-", ""))}
}

var slip = strings.NewReplacer("O", "0", "I", "1", "L", "1")

// swapped: one text is the other with two neighbours changed.
func swapped(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := 0; i+1 < len(a); i++ {
		if a[i] != b[i] {
			return a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
		}
	}
	return false
}

func fold(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }

// likeness is 1 less the share of letters that must change.
func likeness(a, b string) float64 {
	x, y := []rune(a), []rune(b)
	n := max(len(x), len(y))
	if n == 0 {
		return 0
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(x); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			diagonal, row[j] = row[j], min(row[j]+1, row[j-1]+1, diagonal+cost)
		}
	}
	return 1 - float64(row[len(y)])/float64(n)
}
