package landing

import (
	"slices"

	"tallywire/model"
)

// controls is the trade that furnishes panels.
const controls = "controls"

// materials lists what the panels need: controllers and expansions that do not
// hang already, and their supplies. Interposers are devices of their circuits
// and are listed with these.
func (l *lander) materials() []model.Material {
	var out []model.Material
	add := func(item, description, unit string, cents *int64, placeholder bool, of string) {
		i := slices.IndexFunc(out, func(m model.Material) bool { return m.Item == item })
		if i < 0 {
			i = len(out)
			out = append(out, model.Material{Item: item, Description: description, Unit: unit, PriceCents: cents, PlaceholderPrice: placeholder, FurnishedBy: controls, Bid: model.Base})
		}
		out[i].Quantity++
		if !slices.Contains(out[i].For, of) {
			out[i].For = append(out[i].For, of)
		}
	}
	for _, c := range l.out.Controllers {
		for _, m := range c.Modules {
			if one, ok := l.model(m.Model); ok && !m.Existing {
				add(one.ID, one.Name, "each", &one.PriceCents, one.Placeholder, c.ID)
			}
		}
	}
	for _, d := range l.out.Devices {
		if d.Role == "supply" {
			cents, placeholder := l.p.PriceOf(d.Type, d.Spec.Price)
			add(d.Type, d.Spec.Name, "each", cents, placeholder, d.ID)
		}
	}
	return out
}
