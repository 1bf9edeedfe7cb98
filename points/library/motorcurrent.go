package library

import (
	"math"
	"slices"
)

// MotorCurrent is a cell of the NEC full-load current tables.
type MotorCurrent struct {
	Kind  string // "1" or "3" phases, "dc"
	HP    float64
	Volts float64 // motor nameplate voltage
	Amps  float64
}

// FullLoad is the table current in A of a motor: kind "1", "3" or "dc",
// horsepower and nameplate volts exactly as the table lists them; false if it
// has no such row: it is never interpolated. Source: NEC tables 430.247, 430.248, 430.250.
func (r *Ratings) FullLoad(kind string, hp, volts float64) (float64, bool) {
	for _, m := range r.Motors {
		if m.Kind == kind && math.Abs(m.HP-hp) < 1e-3 && m.Volts == volts {
			return m.Amps, true
		}
	}
	return 0, false
}

// PhaseOf tells which motor kind a nameplate current belongs to: the kind whose
// table current is nearer to amps, and how far off it is as a share; "" if
// neither table has the row.
func (r *Ratings) PhaseOf(hp, volts, amps float64) (kind string, off float64) {
	off = math.Inf(1)
	for _, k := range []string{"1", "3"} {
		if fla, ok := r.FullLoad(k, hp, volts); ok && math.Abs(amps-fla)/fla < off {
			kind, off = k, math.Abs(amps-fla)/fla
		}
	}
	return kind, off
}

// SupplySize is the smallest standard control transformer of at least that many
// VA; false if none is large enough.
func (r *Ratings) SupplySize(va float64) (float64, bool) {
	for _, s := range r.SupplySizes {
		if s >= va-1e-9 {
			return s, true
		}
	}
	return 0, false
}

// SecondaryByPrimary is the largest primary protection, as A on the secondary
// side, that protects a two-wire secondary of a gauge: its ampacity times the
// ratio of volts. False for a gauge that is not stored. Source: NEC 725.45(D).
func (r *Ratings) SecondaryByPrimary(awg int, secondary, primary float64) (float64, bool) {
	a, ok := r.SmallAmpacity[awg]
	return a * secondary / primary, ok
}

func (r *Ratings) motor(c cells) error {
	r.Motors = append(r.Motors, MotorCurrent{c.text("kind"), c.number("hp"), c.number("volts"), c.number("amps")})
	return nil
}

func (r *Ratings) supplySize(c cells) error {
	r.SupplySizes = append(r.SupplySizes, c.number("va"))
	slices.Sort(r.SupplySizes)
	return nil
}

func (r *Ratings) ampacity(c cells) error {
	r.SmallAmpacity[int(c.number("awg"))] = c.number("amps")
	return nil
}
