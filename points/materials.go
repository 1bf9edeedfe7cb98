package points

import (
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/landing"
)

// fieldMaterials lists what stands outside the panels and is for the controls
// trade to furnish: interface boxes, relays, switches, sensors, and the
// interposers that the landing or the fixes put in. What hangs on a machine
// that stays as it is hangs already. Order: as the plan has the devices.
func fieldMaterials(p *model.Project, plan *model.Plan) []model.Material {
	stays := map[string]bool{}
	for _, e := range plan.Equipment {
		stays[e.Tag] = e.Bid == model.Existing
	}
	listed := map[string]bool{} // what the landing counted
	for _, m := range plan.Materials {
		for _, of := range m.For {
			listed[of] = true
		}
	}
	var out []model.Material
	for i := range plan.Devices {
		d := &plan.Devices[i]
		if d.Spec == nil || listed[d.ID] || stays[d.Equipment] || d.FurnishedBy != controlsTrade && d.Role != "interposer" {
			continue
		}
		at := slices.IndexFunc(out, func(m model.Material) bool { return m.Item == d.Type })
		if at < 0 {
			at = len(out)
			cents, placeholder := landing.Price(p, d.Type, d.Spec.Price)
			out = append(out, model.Material{Item: d.Type, Description: d.Spec.Name, Unit: "each", PriceCents: cents, PlaceholderPrice: placeholder, FurnishedBy: controlsTrade})
		}
		out[at].Quantity++
		if of := needs(d); !slices.Contains(out[at].For, of) {
			out[at].For = append(out[at].For, of)
		}
	}
	return out
}

// controlsTrade is the trade whose materials are listed.
const controlsTrade = "controls"

// needs names what a device is for: the circuit of an interposer, the machine of
// anything else, the panel of what belongs to none.
func needs(d *model.Device) string {
	if d.Role == "interposer" {
		if at := strings.LastIndexByte(d.ID, '/'); at > 0 {
			return d.ID[:at]
		}
	}
	for _, name := range []string{d.Equipment, d.Panel} {
		if name != "" {
			return name
		}
	}
	return d.ID
}
