package circuit

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Repair searches for every circuit that is not plain good the cheapest change
// that makes it so, and writes it into the circuit's Fix and into the fix of
// its findings. Trouble that several circuits share is mended once, where it
// costs least.
//
// The work is bounded by a count of circuits judged, the same on every machine;
// what could not be searched to the end is told.
func Repair(lib *library.Library, p *model.Project, net Net, r Result) Result {
	out, _ := repair(lib, p, net, r, work{budget: searchWork, most: repairWork})
	return out
}

// Limits of the work, in circuits judged: of the search for one circuit, and of
// a whole repair. A search of the whole library in a panel of a thousand
// circuits is within the first; a repair at the second takes about a minute.
const (
	searchWork = 3_000_000
	repairWork = 40_000_000
)

// repair is Repair with its limits; it returns the work that was done.
func repair(lib *library.Library, p *model.Project, net Net, r Result, limits work) (Result, work) {
	x := newIndex(lib, p, net)
	x.memo = newMemo()
	x.work = &limits
	x.rows = x.all()
	out := Result{Circuits: slices.Clone(r.Circuits), Supplies: r.Supplies, Findings: slices.Clone(r.Findings)}
	at := map[string]int{}
	for i := range out.Circuits {
		at[out.Circuits[i].ID] = i
	}
	answersFor := map[int]found{}
	var order []int
	for i := range net.Circuits {
		if slices.ContainsFunc(x.rows[i], func(a answer) bool { return a.Verdict != model.Pass && !settled[a.Code] }) {
			order = append(order, i)
		}
	}
	for _, i := range order {
		answersFor[i] = x.mend(i)
	}
	x.onceForAGroup(order, answersFor)
	for _, i := range order {
		if k, ok := at[net.Circuits[i].ID]; ok {
			out.Circuits[k].Fix = fixOf(x, &net.Circuits[i], answersFor[i])
		}
	}
	tellFixes(out)
	out.Findings = append(out.Findings, x.unfinished(order, answersFor)...)
	return out, *x.work
}

// unfinished tells the circuits that were not searched to the end.
func (x *index) unfinished(order []int, answersFor map[int]found) []finding.Finding {
	var out []finding.Finding
	for _, i := range order {
		if !answersFor[i].stopped {
			continue
		}
		c := &x.net.Circuits[i]
		out = append(out, finding.Finding{Code: "repair-unfinished", Severity: finding.Caution, Subject: c.ID, Where: x.where(c),
			Message: "the search for a repair was ended at its limit of work: a cheaper or better one than is shown may exist",
			Fix:     "answer the open questions and mend what is plainly wrong first: the search then has less to do; or look for the part by hand"})
	}
	return out
}

// settled are the codes that a setting mends and no part: their findings say
// which.
var settled = map[string]bool{"sense": true, "action": true, "fail-value": true, "min-command": true, "two-minima": true,
	"speed-limit": true, "alarm-delay": true, "bus-load": true, "phase": true}

// onceForAGroup leaves the fix of shared trouble with the circuit where it
// costs least, or that there is none with the first circuit, and takes it from
// the others.
func (x *index) onceForAGroup(order []int, answersFor map[int]found) {
	best := map[troubleKey]int{}
	for _, i := range order {
		if x.ownTrouble(i) {
			continue
		}
		f := answersFor[i]
		for _, a := range x.rows[i] {
			if a.group == "" || a.Verdict == model.Pass {
				continue
			}
			k := troubleKey{a.Code, a.group}
			if j, seen := best[k]; !seen || f.ok && (!answersFor[j].ok || f.price < answersFor[j].price) {
				best[k] = i
			}
		}
	}
	for _, i := range order {
		if x.ownTrouble(i) {
			continue
		}
		keep := false
		for _, a := range x.rows[i] {
			if j, seen := best[troubleKey{a.Code, a.group}]; seen && a.Verdict != model.Pass {
				keep = j == i
				if keep {
					break
				}
			}
		}
		if !keep {
			delete(answersFor, i)
		}
	}
}

func (x *index) ownTrouble(i int) bool {
	return slices.ContainsFunc(x.rows[i], func(a answer) bool { return a.group == "" && a.Verdict != model.Pass })
}

// fixOf words what a search found.
func fixOf(x *index, c *model.Circuit, f found) *model.Fix {
	if !f.ok {
		if f.rejected == nil && !f.stopped {
			return nil
		}
		what := "nothing in the library makes it work; change the devices or their settings"
		if f.stopped {
			what = "nothing was found before the search was ended at its limit of work"
		}
		return &model.Fix{Summary: what, Rejected: f.rejected}
	}
	fix := &model.Fix{Summary: f.words, Parts: f.parts, Circuits: f.circuits, Rejected: f.rejected}
	price := f.price
	fix.PriceCents = &price
	fix.PlaceholderPrice = slices.ContainsFunc(f.parts, func(id string) bool { return !x.priced[id] })
	if fix.Summary == "" {
		fix.Summary = summary(x.lib, c, f)
	}
	if set := x.settingsOf(f); len(set) > 0 {
		fix.Summary += "; set " + strings.Join(set, ", ")
	}
	return fix
}

// summary says in words what is put in and how.
func summary(lib *library.Library, c *model.Circuit, f found) string {
	var names []string
	for _, id := range f.parts {
		if p, ok := lib.Interposer(id); ok {
			names = append(names, p.Device.Name)
		}
	}
	what := "put in: " + strings.Join(names, " and ")
	if len(names) == 0 {
		what = "keep the terminals"
	}
	var ways []string
	for _, n := range f.circuits {
		way := n.Drive.String() + " to "
		var to []string
		for _, a := range n.Accepts {
			to = append(to, a.String())
		}
		way += strings.Join(to, ", ")
		if n.Supply != nil {
			way += " on " + n.Supply.Device
		}
		ways = append(ways, way)
	}
	return what + "; " + strings.Join(ways, "; ")
}

// settingsOf says to which range each added converter that has several is set.
func (x *index) settingsOf(f found) []string {
	x.extra = make(map[string]*model.Device, len(f.devices))
	defer func() { x.extra = nil }()
	for i := range f.devices {
		x.extra[f.devices[i].ID] = &f.devices[i]
		x.learn(f.devices[i].Spec)
	}
	var out []string
	for i := range f.circuits {
		c := &f.circuits[i]
		d := x.terminal(plain(c.Drive))
		for _, a := range c.Accepts {
			t := x.terminal(plain(a))
			if d == nil || t == nil || d.Nature != t.Nature || d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent {
				continue
			}
			r, ok := commonRange(settings(d), settings(t))
			for _, e := range []model.End{c.Drive, a} {
				if new := x.extra[e.Device]; ok && new != nil && len(x.terminal(plain(e)).Ranges) > 1 {
					out = append(out, fmt.Sprintf("%s of %s to %s %s", e.Terminal, new.Type, span(r), unitOf(d)))
				}
			}
		}
	}
	return out
}

// tellFixes writes the fix of a circuit into its findings, and the price.
func tellFixes(r Result) {
	fixes := make(map[string]*model.Fix, len(r.Circuits))
	for i := range r.Circuits {
		if f := r.Circuits[i].Fix; f != nil && f.PriceCents != nil {
			fixes[r.Circuits[i].ID] = f
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if fix := fixes[f.Subject]; fix != nil && !strings.HasPrefix(f.Message, "cannot tell: ") { // a question wants an answer, not a part
			f.Fix = strings.TrimPrefix(f.Fix+". Cheapest here: ", ". ") + fix.Summary
		}
	}
}
