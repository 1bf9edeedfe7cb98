package bid

import (
	"slices"
	"strings"

	"tallywire/model"
)

// controls is the trade whose materials are listed.
const controls = "controls"

// Materials lists what stands outside the panels and is for the controls trade
// to furnish: interface boxes, relays, switches, sensors, and the interposers
// that the landing or the fixes put in. Panels is what the landing listed.
// Base bid and alternates have lines of their own, and so has what hangs
// already on a machine that stays as it is; an interposer is new wherever it
// goes. Order: as the plan has the devices.
func Materials(p *model.Project, panels []model.Material, equipment []model.Equipment, devices []model.Device) []model.Material {
	bids := map[string]string{}
	for _, e := range equipment {
		bids[e.Tag] = e.Bid
	}
	listed := map[string]bool{}
	for _, m := range panels {
		for _, of := range m.For {
			listed[of] = true
		}
	}
	var out []model.Material
	for i := range devices {
		d := &devices[i]
		part := d.Role == interposer
		if d.Spec == nil || listed[d.ID] || d.FurnishedBy != controls && !part {
			continue
		}
		class := bids[d.Equipment]
		if class == "" || class == model.Existing && part {
			class = model.Base
		}
		at := slices.IndexFunc(out, func(m model.Material) bool { return m.Item == d.Type && m.Bid == class })
		if at < 0 {
			at = len(out)
			cents, placeholder := p.PriceOf(d.Type, d.Spec.Price)
			out = append(out, model.Material{Item: d.Type, Description: d.Spec.Name, Unit: "each", PriceCents: cents, PlaceholderPrice: placeholder, FurnishedBy: controls, Bid: class})
		}
		out[at].Quantity++
		if of := needs(d); !slices.Contains(out[at].For, of) {
			out[at].For = append(out[at].For, of)
		}
	}
	return out
}

// interposer is the role of a device that was put between two ends.
const interposer = "interposer"

// needs names what a device is for: the circuit of an interposer, the machine of
// anything else, the panel of what belongs to none.
func needs(d *model.Device) string {
	if d.Role == interposer {
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
