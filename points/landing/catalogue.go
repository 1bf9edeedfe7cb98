package landing

import (
	"fmt"
	"slices"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// catalogue is the models in force with the project's own prices: the
// project's list if it has one, else the library's. What makes no sense is
// left out and told.
func catalogue(lib *library.Library, p *model.Project) ([]model.ControllerModel, []finding.Finding) {
	models := slices.Clone(lib.Controllers())
	if len(p.Controllers) > 0 {
		models = slices.Clone(p.Controllers)
	}
	var found []finding.Finding
	refuse := func(m model.ControllerModel, what, fix string) {
		f := finding.Finding{Code: "controller-model", Severity: finding.Fault, Subject: m.ID, Message: what, Fix: fix}
		if m.Where != nil {
			f = f.At(*m.Where)
		}
		found = append(found, f)
	}
	var out []model.ControllerModel
	for _, m := range models {
		if cents, _ := p.PriceOf(m.ID, nil); cents != nil {
			m.PriceCents, m.Placeholder = *cents, false
		}
		switch {
		case slices.ContainsFunc(out, func(o model.ControllerModel) bool { return o.ID == m.ID }):
			refuse(m, fmt.Sprintf("the model %q stands twice in the catalogue", m.ID), "take one out, or give it another id")
		case m.PriceCents <= 0:
			refuse(m, fmt.Sprintf("the model %q has the price %d; it must be above 0", m.ID, m.PriceCents), "state its price in whole cents")
		case !m.Base && m.Slots <= 0:
			refuse(m, fmt.Sprintf("the expansion %q takes %d slots; it must take at least one", m.ID, m.Slots), "state how many slots it takes")
		default:
			out = append(out, m)
		}
	}
	return out, found
}

// familyBits numbers the families of a catalogue; an expansion fits the bases
// that share a bit.
func familyBits(models []model.ControllerModel) func(m model.ControllerModel) uint64 {
	var names []string
	for _, m := range models {
		for _, f := range append([]string{m.Family}, m.Fits...) {
			if !slices.Contains(names, f) {
				names = append(names, f)
			}
		}
	}
	return func(m model.ControllerModel) uint64 {
		families := []string{m.Family}
		if !m.Base && len(m.Fits) > 0 {
			families = m.Fits
		}
		var out uint64
		for _, f := range families {
			out |= 1 << min(63, slices.Index(names, f))
		}
		return out
	}
}
