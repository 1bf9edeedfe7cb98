package points

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/circuit"
	"tallywire/points/derive"
	"tallywire/points/library"
)

// Explain says what a finding's code proves or asks, with an example that
// fails and one that passes where the check has them. False: there is no such
// code.
func Explain(id string) (string, bool) {
	c, ok := finding.Lookup(id)
	if !ok {
		return "", false
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n%s\n", c.ID, c.Title, strings.TrimSpace(c.Help))
	for _, e := range circuit.Examples() {
		if e.Code == id {
			fmt.Fprintf(&b, "\nFails: %s\nPasses: %s\n", e.Fails, e.Passes)
		}
	}
	return b.String(), true
}

// WhatElse says what would remove a point of the plan.
func WhatElse(lib *library.Library, plan *model.Plan, key string) string {
	for _, q := range plan.Points {
		if q.Key == key {
			return derive.Removal(lib, plan.Settings, plan.Equipment, q)
		}
	}
	return ""
}
