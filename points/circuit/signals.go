package circuit

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// NamurReading is what a NAMUR amplifier makes of a current in A: "break",
// "open", "closed", "short", or "" between the thresholds. Source: IEC 60947-5-6.
func NamurReading(r *library.Ratings, amps float64) string {
	mA := amps * 1000
	limit := func(id string) float64 { return r.Signals["namur/"+id].Value }
	switch {
	case mA <= limit("break_ma"):
		return "break"
	case mA < limit("open_max_ma"):
		return "open"
	case mA <= limit("closed_min_ma"):
		return ""
	case mA < limit("short_ma"):
		return "closed"
	}
	return "short"
}

// NamurAmps is the current of a NAMUR amplifier (8.2 V behind 1 kohm) into a
// loop resistance in ohm.
func NamurAmps(r *library.Ratings, ohm float64) float64 {
	return r.Signals["namur/supply_v"].Value / (r.Signals["namur/source_ohm"].Value + ohm)
}

// S0Rate is the highest pulse rate in Hz that an S0 output can give: each ON
// and OFF time at least 30 ms. Source: IEC 62053-31.
func S0Rate(r *library.Ratings) float64 {
	return 1000 / (r.Signals["s0/on_ms"].Value + r.Signals["s0/off_ms"].Value)
}

// S0Good says whether a current in A reads as ON for an S0 output of that
// class ("a", "b").
func S0Good(r *library.Ratings, class string, amps float64) bool {
	mA := amps * 1000
	return mA >= r.Signals["s0/"+class+"/on_min_ma"].Value && mA <= r.Signals["s0/"+class+"/on_max_ma"].Value
}

// askPulse: a standard pulse output is excited as its class asks, and a NAMUR
// input sees more than a plain contact.
func (j *joint) askPulse() {
	d := j.drive.t
	for i, a := range j.accepts {
		if j.natureFails(i) {
			continue
		}
		if a.t.InputClass == "namur" && d.Nature == model.Contact && len(j.c.Across) == 0 {
			j.tell("nature", model.Fault, i, j.drive.name()+" is a plain contact: a NAMUR input takes its open state for a broken wire and its closed one for a short", "IEC 60947-5-6",
				"use a NAMUR sensor, or a contact with 1 kohm in series and 10 kohm across it")
		}
		class, ok := strings.CutPrefix(d.InputClass, "s0/")
		if d.Nature != model.Pulse || !ok || a.t.Wetting == nil {
			continue
		}
		limits := j.lib.Ratings.Signals
		least, most, volts := limits["s0/"+class+"/on_min_ma"], limits["s0/"+class+"/on_max_ma"], limits["s0/"+class+"/max_v"]
		w := a.t.Wetting
		j.hold(limit{code: "contact-underload", place: i, value: model.Exactly(w.Amps.Lo * 1000), relation: ">=", limit: least.Value, unit: "mA", source: least.Source,
			text: fmt.Sprintf("%s puts %s through the pulse output; class %s needs %s mA to count as on", a.name(), milli(w.Amps.Lo), strings.ToUpper(class), show(least.Value)),
			fix:  "use an input made for S0 pulses, or a pulse amplifier"})
		j.hold(limit{code: "contact-overload", place: i, value: model.Exactly(w.Amps.Hi * 1000), relation: "<=", limit: most.Value, unit: "mA", source: most.Source,
			text: fmt.Sprintf("%s puts up to %s through the pulse output, which stands %s mA", a.name(), milli(w.Amps.Hi), show(most.Value)), fix: "use an input of higher resistance"})
		j.hold(limit{code: "over-voltage", place: i, value: model.Exactly(w.Volts.Hi), relation: "<=", limit: volts.Value, unit: "V", source: volts.Source,
			text: fmt.Sprintf("%s puts %s V on the pulse output, which stands %s V", a.name(), show(w.Volts.Hi), show(volts.Value)), fix: "use an input of lower voltage"})
	}
}
