package intake

import (
	"cmp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// standby reads which machines a row names as those that stand in for it: in
// the column of duties, and in sentences that speak of duty and standby.
func (w *work) standby(known roster) {
	g := &gathering{work: w, known: known}
	if text := w.text("duty"); text != "" {
		g.take(text, w.placeOfField("duty"))
	}
	speaks := func(e model.Evidence) bool { return e.About == "duty" }
	if len(g.found) == 0 && !slices.ContainsFunc(w.e.Evidence, speaks) {
		return
	}
	var lines []model.Text
	for _, field := range []string{"remarks", "control", "notes", "service", "description", "interlock"} {
		if text := w.text(field); text != "" {
			lines = append(lines, model.Text{Text: text, Where: w.placeOfField(field)})
		}
	}
	for _, line := range append(lines, w.d.notes...) {
		for _, sentence := range sentenceEnd.Split(line.Text, -1) {
			if w.speaksOfStandby(sentence) {
				g.take(sentence, line.Where)
			}
		}
	}
	w.e.Standby = g.found
	if len(g.unlisted) > 0 {
		w.say.add(finding.Caution, "standby-partner", w.e.Tag, g.at, "add it to the list, or correct the tag", "stands by with %s, which no list has", strings.Join(g.unlisted, ", "))
	}
}

// speaksOfStandby reports whether a sentence holds one of the words that speak
// of standing in.
func (w *work) speaksOfStandby(sentence string) bool {
	text := phrase(sentence)
	return slices.ContainsFunc(w.about["duty"], func(i int) bool {
		rule := &w.rules[i]
		in := func(word string) bool { return strings.Contains(text, word) }
		return !slices.Equal(rule.Fields, directColumn["duty"]) && slices.ContainsFunc(rule.words, in) && !slices.ContainsFunc(rule.unless, in)
	})
}

// pairUp completes who stands in for whom: whoever is named names the other in
// turn, the project's interlocks on failure count, and machines that say so and
// name nobody stand in for those of the same kind and service that say so too.
func pairUp(p *model.Project, list []model.Equipment, say *says) {
	at := map[string]int{}
	for i := range list {
		at[NormalTag(list[i].Tag)] = i
	}
	mates := make([][]int, len(list)) // joined both ways
	join := func(a, b int) {
		if a != b && !slices.Contains(mates[a], b) {
			mates[a], mates[b] = append(mates[a], b), append(mates[b], a)
		}
	}
	for i := range list {
		for _, tag := range list[i].Standby {
			j, listed := at[NormalTag(tag)]
			if !listed || list[j].OutOfScope != "" {
				continue
			}
			// a sentence may name more than the standby: what another kind of
			// machine is to it is said elsewhere
			if _, stated := list[i].Fields["duty"]; stated || list[i].Kind == list[j].Kind {
				join(i, j)
			}
		}
	}
	for _, il := range p.Interlocks {
		a, from := at[NormalTag(il.From)]
		b, to := at[NormalTag(il.To)]
		if from && to && il.StandsIn() {
			join(a, b)
		}
	}
	joinUnnamed(list, mates, join, say)
	for i := range list {
		list[i].Standby = nil
		reached := reach(mates, i)
		for _, j := range reached {
			list[i].Standby = append(list[i].Standby, list[j].Tag)
		}
		slices.SortFunc(list[i].Standby, finding.CompareTags)
	}
}

// joinUnnamed joins machines that have a duty among fellows and name none: with
// those of the same kind in the same system or service, or whose tags differ in
// the last letter only. That there is none is told where the points of such a
// group are planned.
func joinUnnamed(list []model.Equipment, mates [][]int, join func(a, b int), say *says) {
	var open []int
	for i := range list {
		if list[i].OutOfScope == "" && list[i].Duty != "" && len(mates[i]) == 0 {
			open = append(open, i)
		}
	}
	for n, i := range open {
		for _, j := range open[n+1:] {
			a, b := &list[i], &list[j]
			task, other := cmp.Or(a.System, a.Service), cmp.Or(b.System, b.Service)
			if a.Kind == b.Kind && (task != "" && phrase(task) == phrase(other) || withoutLetter(a.Tag) == withoutLetter(b.Tag)) {
				join(i, j)
			}
		}
	}
	for _, i := range open {
		if len(mates[i]) == 0 {
			continue
		}
		var names []string
		for _, j := range reach(mates, i) {
			names = append(names, list[j].Tag)
		}
		slices.SortFunc(names, finding.CompareTags)
		say.add(finding.Note, "assumed", list[i].Tag, list[i].Where, "name the other machine in the remark if it is otherwise", "stands by with %s: same kind and task, and each has a duty (%s)", strings.Join(names, ", "), list[i].Duty)
	}
}

// withoutLetter is a tag without the letter behind its number: EF-1 of EF-1A.
func withoutLetter(tag string) string {
	t := NormalTag(tag)
	if n := len(t); n > 1 && t[n-1] >= 'A' && t[n-1] <= 'Z' && t[n-2] >= '0' && t[n-2] <= '9' {
		return t[:n-1]
	}
	return tag + " alone"
}

// reach lists what is joined to i, directly or through others, i itself left
// out.
func reach(mates [][]int, i int) []int {
	seen := []int{i}
	for k := 0; k < len(seen); k++ {
		for _, j := range mates[seen[k]] {
			if !slices.Contains(seen, j) {
				seen = append(seen, j)
			}
		}
	}
	return seen[1:]
}
