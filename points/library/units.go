package library

import (
	"fmt"
	"strconv"
	"strings"

	"tallywire/model"
)

// Units are the engineering units of BACnet. Numbers decide; names changed
// between editions. Source: ASHRAE 135, clause 21 (BACnetEngineeringUnits).
type Units struct {
	list     []Unit
	byNumber map[int]int
	byName   map[string]int // current names and aliases
	bySymbol map[string]int // common units only: cfm, Pa, %
}

// Unit is one engineering unit.
type Unit struct {
	Number   int
	ID       string // the standard's current name: cubic-feet-per-minute
	Quantity string
	Common   bool   // met in fan and air work
	Haystack string // id in the units of Project Haystack; "" none known
	Symbol   string // cfm; "" none
	QUDT     string // name in the QUDT vocabulary; "" none held
	// COV is the change that is worth a message: the usual COV increment of an
	// object in this unit (common practice); 0 none held.
	COV     float64
	Aliases []string
}

// Named returns the unit of that name, current or former.
func (u *Units) Named(name string) (Unit, bool) { return u.at(u.byName, name) }

// Numbered returns the unit of that number.
func (u *Units) Numbered(n int) (Unit, bool) {
	i, ok := u.byNumber[n]
	if !ok {
		return Unit{}, false
	}
	return u.list[i], true
}

// Written returns the unit that a file means by its number, a name of it, its
// Haystack id or its symbol, in that order; blanks and case of names do not
// count.
func (u *Units) Written(text string) (Unit, bool) {
	text = strings.TrimSpace(text)
	if n, err := strconv.Atoi(text); err == nil {
		return u.Numbered(n)
	}
	name := strings.NewReplacer(" ", "-", "_", "-").Replace(strings.ToLower(text))
	if one, ok := u.at(u.byName, name); ok {
		return one, true
	}
	if one, ok := pick(u.list, func(o Unit) bool { return o.Haystack != "" && o.Haystack == text }); ok {
		return one, true
	}
	if one, ok := u.at(u.bySymbol, text); ok {
		return one, true
	}
	return u.at(u.bySymbol, strings.ToLower(text))
}

// Symbol returns what to print behind a number of the unit of that name: its
// symbol, the name itself where it has none, nothing for no-units.
func (u *Units) Symbol(name string) string {
	one, ok := u.Named(name)
	switch {
	case !ok:
		return name
	case one.Symbol != "":
		return one.Symbol
	case one.ID == "no-units":
		return ""
	}
	return one.ID
}

// All lists the units by number.
func (u *Units) All() []Unit { return u.list }

func (u *Units) at(index map[string]int, name string) (Unit, bool) {
	i, ok := index[name]
	if !ok {
		return Unit{}, false
	}
	return u.list[i], true
}

func (l *Library) readUnits([]model.LibraryFile) error {
	u := &Units{byNumber: map[int]int{}, byName: map[string]int{}, bySymbol: map[string]int{}}
	err := eachRow("units/units.tsv", func(c cells) error {
		one := Unit{Number: c.integer("number"), ID: c.text("id"), Quantity: c.text("quantity"), Common: c.text("common") == "yes",
			Haystack: c.optional("haystack"), Symbol: c.optional("symbol"), QUDT: c.optional("qudt"), Aliases: strings.Fields(c.optional("aliases"))}
		i := len(u.list)
		u.list = append(u.list, one)
		u.byNumber[one.Number], u.byName[one.ID] = i, i
		for _, a := range one.Aliases {
			if _, taken := u.byName[a]; !taken {
				u.byName[a] = i
			}
		}
		if one.Symbol != "" {
			for _, s := range []string{one.Symbol, strings.ToLower(one.Symbol)} {
				if _, taken := u.bySymbol[s]; !taken {
					u.bySymbol[s] = i
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	l.Units = u
	return eachRow("units/cov.tsv", func(c cells) error {
		i, known := u.byName[c.text("unit")]
		if !known {
			return fmt.Errorf("%s: there is no unit %s", c.table.File, c.text("unit"))
		}
		u.list[i].COV = c.number("increment")
		return nil
	})
}
