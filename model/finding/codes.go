package finding

import "slices"

// Code is an entry of the catalogue. A code has one meaning and is never
// reused. Passes keep their entries in a file of their own in this package.
type Code struct {
	ID    string // kebab case, for ever
	Title string // what it says, in a few words
	Help  string // what it proves or asks, what to do about it; several lines
	Pass  string // who makes it: intake, derive, hookup, circuit, logic, landing, crosscheck
}

// registry is filled by the code tables of this package at init.
var registry = map[string]Code{}

// register adds a table of codes; an id that exists already is our own bug.
func register(table []Code) {
	for _, c := range table {
		if _, dup := registry[c.ID]; dup {
			panic("finding: code registered twice: " + c.ID)
		}
		registry[c.ID] = c
	}
}

// Lookup returns the catalogue entry of a code.
func Lookup(id string) (Code, bool) {
	c, ok := registry[id]
	return c, ok
}

// Codes lists the catalogue in order of id.
func Codes() []Code {
	out := make([]Code, 0, len(registry))
	for _, id := range sortedIDs() {
		out = append(out, registry[id])
	}
	return out
}

func sortedIDs() []string {
	ids := make([]string, 0, len(registry))
	for id := range registry {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}
