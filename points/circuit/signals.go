package circuit

import "tallywire/points/library"

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
