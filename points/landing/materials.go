package landing

import (
	"slices"

	"tallywire/model"
)

// materials lists what the panels need: controllers and expansions that do not
// hang already, their supplies, the interposers of the landings.
func (l *lander) materials() []model.Material {
	var out []model.Material
	add := func(item, description, unit string, cents *int64, placeholder bool, of string) {
		i := slices.IndexFunc(out, func(m model.Material) bool { return m.Item == item })
		if i < 0 {
			i = len(out)
			out = append(out, model.Material{Item: item, Description: description, Unit: unit, PriceCents: cents, PlaceholderPrice: placeholder})
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
			cents, placeholder := l.priced(d.Type, d.Spec.Price)
			add(d.Type, d.Spec.Name, "each", cents, placeholder, d.ID)
		}
	}
	for _, one := range l.out.Landings {
		for _, part := range one.Parts {
			name, listed := part, (*int64)(nil)
			if i, ok := l.lib.Interposer(part); ok {
				name, listed = i.Device.Name, i.Device.Price
			}
			cents, placeholder := l.priced(part, listed)
			add(part, name, "each", cents, placeholder, one.Point)
		}
	}
	return out
}

// priced is the project's own price of an item, else the library's placeholder.
func (l *lander) priced(item string, listed *int64) (*int64, bool) {
	for _, p := range l.p.Prices {
		if p.Item == item {
			return &p.Cents, false
		}
	}
	return listed, listed != nil
}
