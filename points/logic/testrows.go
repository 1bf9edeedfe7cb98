package logic

import "slices"

// testRows are the rows of a truth table as a test exercises them: narrowed to
// states in which one of its inputs makes the difference. A stop is
// tried on a fan that runs without it, a start on one that stands: what does not
// matter to the row would otherwise let the test pass whatever the wire does.
func (k *checker) testRows(t truthTable) []pattern3 {
	on, off := k.panelPlaces(t)
	out := make([]pattern3, 0, len(t.rows))
	for _, row := range t.rows {
		out = append(out, narrowed(row, t.rows, on, off))
	}
	return out
}

// panelPlaces are the places of the firefighters' switch at ON and at OFF; -1
// none. One switch cannot stand at both.
func (k *checker) panelPlaces(t truthTable) (on, off int) {
	on, off = -1, -1
	for i, r := range t.places {
		switch k.events[r].ID {
		case "firefighter-on":
			on = i
		case "firefighter-off":
			off = i
		}
	}
	return on, off
}

// both reports whether a state asks ON and OFF of the firefighters' switch.
func both(value uint, on, off int) bool {
	return on >= 0 && off >= 0 && value>>on&1 == 1 && value>>off&1 == 1
}

// narrowed is a row within the states that differ from a row of other outputs
// by one place alone: best one that turns the fan on or off, then the one that
// fixes the fewest places.
func narrowed(row pattern3, rows []pattern3, on, off int) pattern3 {
	best, rank := row, 0
	for place := 0; row.care>>place != 0; place++ {
		bit := uint(1) << place
		if row.care&bit == 0 {
			continue
		}
		for _, other := range rows {
			if (other.value^row.value^bit)&other.care&row.care != 0 || slices.Equal(other.outputs, row.outputs) {
				continue
			}
			try := pattern3{care: row.care | other.care, value: row.value | other.value&^row.care, outputs: row.outputs}
			if both(try.value, on, off) || both(try.value^bit, on, off) {
				continue
			}
			r := 100 - switchings(try.care, 0)
			if (other.outputs[0] == "off") != (row.outputs[0] == "off") {
				r += 100
			}
			if r > rank {
				best, rank = try, r
			}
		}
	}
	if off >= 0 && on >= 0 && best.value>>off&1 == 1 {
		best.care |= 1 << on
	}
	return best
}
