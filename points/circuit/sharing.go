package circuit

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// sharing answers what concerns terminals that stand in several circuits.
func (x *index) sharing() map[int][]answer {
	out := map[int][]answer{}
	for _, e := range sortedEnds(x.accepts, several) {
		x.reused(out, e, x.accepts[e], "input")
	}
	for _, e := range sortedEnds(x.drives, several) {
		list := x.drives[e]
		t := x.terminal(e)
		if t == nil {
			continue
		}
		switch {
		case t.Nature == model.Contact || t.Nature == model.SolidState || t.Nature == model.Transistor:
			x.sharedPole(out, e, t, list)
		case t.Class != "" && x.points(list) > 1:
			x.reused(out, e, list, "output")
		}
	}
	return out
}

func several(_ model.End, list []int) bool { return len(list) > 1 }

func always(model.End, []int) bool { return true }

// points counts the different points that circuits carry.
func (x *index) points(list []int) int {
	seen := map[string]bool{}
	for _, i := range list {
		seen[x.net.Circuits[i].Point] = true
	}
	return len(seen)
}

// reused tells that two circuits end at one terminal.
func (x *index) reused(out map[int][]answer, e model.End, list []int, what string) {
	t := x.terminal(e)
	if t == nil || t.Nature == model.Bus || t.Nature == model.SupplyOut || t.Nature == model.PowerIn && x.sameDrive(list) {
		return
	}
	list = slices.Compact(slices.Clone(list))
	if len(list) == 1 {
		i := list[0]
		out[i] = append(out[i], answer{place: 0, fix: "name it once", Check: model.Check{Code: "terminal-reuse", Verdict: model.Fault, At: e.String(),
			Text: fmt.Sprintf("the circuit names the %s terminal %s twice", what, e)}})
		return
	}
	names := x.names(list)
	for _, i := range list {
		out[i] = append(out[i], answer{place: 0, fix: "give each circuit a terminal of its own; where two signals must meet, show the selector or relay that joins them",
			Check: model.Check{Code: "terminal-reuse", Verdict: model.Fault, At: e.String(), Text: fmt.Sprintf("the %s terminal %s stands in %d circuits: %s", what, e, len(list), names)}})
	}
}

func (x *index) sameDrive(list []int) bool {
	for _, i := range list[1:] {
		if plain(x.net.Circuits[i].Drive) != plain(x.net.Circuits[list[0]].Drive) {
			return false
		}
	}
	return true
}

func (x *index) names(list []int) string {
	var names []string
	for _, i := range list {
		names = append(names, x.net.Circuits[i].ID)
	}
	return strings.Join(names, ", ")
}

// sharedPole tells that one pole is read by two circuits. A changeover contact
// serves two when one source wets both its throws.
func (x *index) sharedPole(out map[int][]answer, e model.End, t *model.Terminal, list []int) {
	if t.Form == "changeover" && len(list) == 2 && x.oneSource(list) {
		return
	}
	names := x.names(list)
	for _, i := range list {
		out[i] = append(out[i], answer{place: atDrive, fix: "use a second pole, or a multi-pole relay driven by this contact, one pole for each circuit",
			Check: model.Check{Code: "shared-contact", Verdict: model.Fault, At: e.String(),
				Text: fmt.Sprintf("one pole, %s, stands in %d circuits: %s; a pole is wetted by one source and read by one reader", e, len(list), names)}})
	}
}

func (x *index) oneSource(list []int) bool {
	first := x.net.Circuits[list[0]].Supply
	second := x.net.Circuits[list[1]].Supply
	return first != nil && second != nil && plain(*first) == plain(*second)
}
