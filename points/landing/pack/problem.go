// Package pack chooses controllers and puts points on their terminals at least
// cost. It knows no equipment and no wires: terminal classes are bits, prices
// whole cents, a point is the set of classes that may take it. Everything is
// counted and ordered, nothing depends on a clock or on map order.
//
// The argument runs through the files in this order:
//
//	problem.go   what is asked
//	reduce.go    identical equipment becomes one type with a count; interposers become variants
//	prune.go     interposers that are never worth it
//	hall.go      when a set of points fits one controller, and when loose points fit several
//	catalogue.go base + expansions = configuration; dominated ones are dropped once
//	firstfit.go  a plan at once, and the yardstick
//	simplex.go   linear programs
//	cover.go     a lower bound and a price for every Hall set
//	knapsack.go  the most that one controller can hold
//	columns.go   a better bound: fillings of controllers, by column generation
//	trade.go     better plans by moving equipment between controllers
//	dive.go      good plans from the fractional ones, improved by re-solving a few controllers
//	fillings.go  what may stand in one controller of a better plan
//	search.go    the proof: every plan that could be cheaper, tried
//	few.go       the proof of a handful of items, interposers and all
//	solve.go     the order of all this, and how long each effort looks
//	flow.go      loose points shared out among controllers
//	assign.go    every point on a terminal class
//	conflict.go  why nothing fits
package pack

import (
	"fmt"
	"math/bits"
)

// Mask is a set of terminal classes: bit i stands for Problem.Classes[i].
type Mask uint16

// MaxClasses is how many terminal classes a problem may have.
const MaxClasses = 16

// Has reports whether class i is in the set.
func (m Mask) Has(i int) bool { return m>>i&1 == 1 }

// Len returns how many classes are in the set.
func (m Mask) Len() int { return bits.OnesCount16(uint16(m)) }

// Keep says how an item's points stay together.
type Keep int

// Loose points go anywhere; soft ones cost the item's penalty unless they
// share a controller; hard ones must share one.
const (
	Loose Keep = iota
	Soft
	Hard
)

// Model is a catalogue entry: a base that offers slots, or an expansion that
// takes slots. Fits are bits: an expansion goes on a base that shares a bit.
type Model struct {
	ID            string
	Base          bool
	Fits          uint64
	Slots         int
	MaxExpansions int   // base: modules at most; 0 as many as the slots take
	Price         int64 // cents, above 0
	Ports         []int // terminals by class
	Gone          bool  // hangs somewhere already but is not bought any more
}

// Spare is what must stay free on every controller: a share of the installed
// terminals of each class in ten-thousandths, rounded up, and at least one
// where AtLeastOne says so and any are installed.
type Spare struct {
	Share      []int // by class
	AtLeastOne bool
}

// Usable returns how many of n installed terminals of class i may be used.
func (s Spare) Usable(i, n int) int {
	keep := 0
	if i < len(s.Share) {
		keep = (n*s.Share[i] + 9999) / 10000
	}
	if s.AtLeastOne && n > 0 && keep < 1 {
		keep = 1
	}
	return n - keep
}

// Standing is a controller that hangs already. Its free terminals may all be
// used; expansions added to it follow the spare rule on their own terminals.
type Standing struct {
	ID         string
	Model      int      // its base
	Expansions []int    // modules it has
	Free       []int    // free terminals by class
	Points     int      // points it carries already
	Groups     []string // groups to be kept apart of which a member is there
	Fixed      bool     // takes no further expansions
}

// Choice is one class that may take a point, at what extra cost (interposer).
type Choice struct {
	Class int
	Extra int64
}

// Point is one wire to land.
type Point struct {
	ID      string
	Choices []Choice
}

// Item is a piece of equipment: the points that belong together. Two items of
// the same Apart group, other than "", must not share a controller; such items
// are hard.
type Item struct {
	ID      string
	Keep    Keep
	Penalty int64 // cents, when a soft item is split
	Apart   string
	Points  []Point
}

// Problem is one panel.
type Problem struct {
	Classes   []string
	Models    []Model
	Spare     Spare
	Standing  []Standing
	MaxPoints int // points a controller; 0 no limit
	Items     []Item
}

// Placed is a point of an item on a terminal class.
type Placed struct{ Item, Point, Class int }

// Bin is one controller of a plan.
type Bin struct {
	Standing   int   // index of the controller that hangs already; -1 a new one
	Base       int   // model
	Expansions []int // models bought with it, in order of index
	Price      int64
	Points     []Placed
}

// Solution is a plan with its proof.
type Solution struct {
	Bins                          []Bin
	Cost, Price, Penalties, Extra int64
	Bound                         int64
	Proven                        bool
	Work                          int64 // nodes and pivots counted
	FirstFit                      int64 // the yardstick: first fit on one house standard; 0 none fits
}

// Refusal is the error of a problem that makes no sense or has no plan.
type Refusal struct {
	Code   string // price, duplicate, spare, unservable, too-large, no-plan
	Reason string
	Items  []int // the items concerned
	Points []Placed
	Need   int
	Best   int
	Set    Mask
}

// Error tells the reason.
func (r *Refusal) Error() string { return r.Reason }

// check refuses what makes no sense.
func (p *Problem) check() error {
	if len(p.Classes) > MaxClasses {
		return &Refusal{Code: "classes", Reason: fmt.Sprintf("%d terminal classes; at most %d can be planned", len(p.Classes), MaxClasses)}
	}
	seen := map[string]bool{}
	for _, m := range p.Models {
		switch {
		case seen[m.ID]:
			return &Refusal{Code: "duplicate", Reason: fmt.Sprintf("the model %q stands twice in the catalogue", m.ID)}
		case m.Price <= 0 && !m.Gone:
			return &Refusal{Code: "price", Reason: fmt.Sprintf("the model %q has no price above 0", m.ID)}
		case !m.Base && m.Slots <= 0:
			return &Refusal{Code: "slots", Reason: fmt.Sprintf("the expansion %q takes no slot", m.ID)}
		}
		for _, n := range m.Ports {
			if n < 0 {
				return &Refusal{Code: "ports", Reason: fmt.Sprintf("the model %q has fewer than 0 terminals of a class", m.ID)}
			}
		}
		seen[m.ID] = true
	}
	for i, s := range p.Spare.Share {
		if s < 0 || s > 9000 {
			return &Refusal{Code: "spare", Reason: fmt.Sprintf("spare of %s is %g %%; 0 to 90 %% can be asked for", p.Classes[i], float64(s)/100)}
		}
	}
	items := map[string]bool{}
	for _, it := range p.Items {
		if items[it.ID] {
			return &Refusal{Code: "duplicate", Reason: fmt.Sprintf("%q stands twice among the equipment", it.ID)}
		}
		items[it.ID] = true
		if it.Penalty < 0 {
			return &Refusal{Code: "penalty", Reason: fmt.Sprintf("the penalty of %q is below 0", it.ID)}
		}
	}
	return nil
}
