package derive

import (
	"math"

	"tallywire/model"
	"tallywire/points/library"
)

// headroom is what a sensor reads above the machine's rating (common practice:
// the duty stands at 70 to 80 % of the range).
const headroom = 1.25

// scale gives an analog point without a range that of its machine's rating:
// airflow, current, power. Without it nobody can scale the input. What has to
// stay open is told.
func (d *derivation) scale(q *model.Point, m *machine) {
	t, known := d.lib.Objects.Type(q.ObjectType)
	if q.Range != nil || !known || !t.Analog() {
		return
	}
	rated, in := rating(m, q)
	if rated == nil {
		if q.Carried == model.Hardwired {
			d.assumed.unscaled = append(d.assumed.unscaled, q.Key)
		}
		return
	}
	v, ok := rated.In(in)
	if !ok || v.Hi <= 0 {
		return
	}
	q.Range = model.Span(0, roundUp(v.Hi*headroom))
	if q.Carried == model.Hardwired {
		d.assumed.scaled = append(d.assumed.scaled, q.Key)
	}
}

// rating is what a machine gives or draws of what a point measures, with the
// unit of quantities that the point's BACnet unit is; nil if it is not known.
// A stack carries the air of all fans of its system.
func rating(m *machine, q *model.Point) (*model.Quantity, string) {
	switch q.Units {
	case "cubic-feet-per-minute", "liters-per-second":
		in := map[string]string{"cubic-feet-per-minute": "cfm", "liters-per-second": "L/s"}[q.Units]
		if q.Role != "stack-airflow" {
			return m.Ratings.Airflow, in
		}
		sum := model.Quantity{Unit: in}
		for _, o := range m.fellows {
			if o.Ratings.Airflow == nil {
				return nil, ""
			}
			v, ok := o.Ratings.Airflow.In(in)
			if !ok {
				return nil, "" // the stack carries more than the others give
			}
			sum.Value = sum.Value.Add(v)
		}
		return &sum, in
	case "amperes":
		return m.Ratings.Current, "A"
	case "kilowatts":
		return m.Ratings.Power, "kW"
	}
	return nil, ""
}

// roundUp takes a figure up to what ranges are sold in: 1, 1.5, 2, 2.5, 3, 4,
// 5, 6, 8 of a power of ten.
func roundUp(v float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(v)+1e-9))
	for _, digit := range []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6, 8} {
		if one := digit * power; one >= v*(1-1e-9) {
			return tidy(one)
		}
	}
	return tidy(10 * power)
}

// atLoss: a fan that protects people runs, at full speed, while nothing
// commands its outputs (the scheme says which). What the wire does with a dead
// controller is the fail state; that stays what the contact does.
func atLoss(q *model.Point, m *machine, role *library.Role) {
	if m.scheme.AtLoss != "run" || q.Priority == nil {
		return
	}
	switch role.ID {
	case model.RoleStart:
		q.RelinquishDefault = "active"
	case model.RoleSpeed:
		q.RelinquishDefault = "100"
	default:
		return
	}
	q.Why += "; it runs at full speed while nothing commands it, because the fan protects people"
}
