package crosscheck

import (
	"fmt"
	"math"

	"tallywire/model"
	"tallywire/model/finding"
)

// nameplate compares the motor's nameplate with the system that another list
// feeds it from: the supply's range A at the motor must stay within the
// nameplate's tolerance (ANSI C84.1; NEMA MG 1, 12.44). It returns the
// arithmetic where they do not fit, "" where they do or where it cannot be told
// which list states which. The electrical list states systems; of a mechanical
// list and a submittal, the submittal states the nameplate.
func (c *comparison) nameplate(v *view, a, b *model.Service) string {
	plate, system := a, b
	switch v.doc.Role {
	case Electrical:
	case Submittal:
		plate, system = b, a
	default:
		return ""
	}
	if len(system.Volts) == 0 || len(plate.Volts) == 0 {
		return ""
	}
	nominal := nominalOf(system.Volts[len(system.Volts)-1].Mid())
	low, high := 0.9*nominal, 1.05*nominal // range A of voltages that the table does not hold: the percentages it is made of
	if one, ok := c.lib.Ratings.Service(nominal); ok {
		low, high = one.AUse, one.AMax
	}
	tolerance := c.lib.Plausible.Limits["nameplate-tolerance"]
	near := plate.Volts[0]
	for _, p := range plate.Volts {
		if low >= p.Lo*(1-tolerance)-0.5 && high <= p.Hi*(1+tolerance)+0.5 || p.Contains(model.Exactly(nominal)) {
			return ""
		}
		if math.Abs(p.Mid()-nominal) < math.Abs(near.Mid()-nominal) {
			near = p
		}
	}
	if math.Abs(near.Mid()-nominal) > 0.2*nominal {
		return "" // not a nameplate for another nominal voltage, but another voltage
	}
	round := func(x float64) string { return model.Figure(math.Round(x)) }
	return fmt.Sprintf("a %s V motor runs from %s to %s V; a %s V system gives %s to %s V at the motor (ANSI C84.1, range A; NEMA MG 1, 12.44)",
		near.String(), round(near.Lo*(1-tolerance)), round(near.Hi*(1+tolerance)), model.Figure(nominal), round(low), round(high))
}

// nominalOf is the nominal voltage of the system that a motor voltage stands
// for: 480 of 460; itself where several systems are meant by like figures.
func nominalOf(volts float64) float64 {
	if i := systemOf(volts); i >= 0 && systems[i][0] != 380 {
		return systems[i][0]
	}
	return volts
}

// plateDiffers tells a nameplate that does not fit the system, where the two
// lists otherwise mean one voltage.
func (c *comparison) plateDiffers(v *view, p pair, a, b *model.Service) {
	why := c.nameplate(v, a, b)
	if why == "" {
		return
	}
	c.tell(model.Difference{Code: "nameplate-voltage", Severity: finding.Caution, Subject: p.ours.Tag, Field: "voltage", Ours: voltsText(a), Theirs: voltsText(b),
		Where: cell(p.ours, "voltage", "electrical"), Other: cell(p.theirs, "voltage", "electrical"),
		Message: fmt.Sprintf("%s: %s here and %s in %s: %s", p.ours.Tag, voltsText(a), voltsText(b), v.doc.Name(), why),
		Ask:     fmt.Sprintf("For which voltage is the motor of %s ordered, and which system feeds it? %s on the equipment list, %s in %s.", p.ours.Tag, voltsText(a), voltsText(b), v.doc.Name())})
}
