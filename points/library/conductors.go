package library

import (
	"math"
	"slices"

	"tallywire/model"
)

// Conductors is the resistance of copper wire by gauge.
type Conductors struct {
	rows map[int]conductorRow
}

type conductorRow struct{ mm2, cmil, solid, stranded float64 }

// Copper, 100 % IACS: ASTM B3; temperature coefficients NEC chapter 9 table 8
// note 2 (from 75 °C) and ASTM B193 (from 20 °C).
const (
	copperOhmMm2PerM = 0.017241
	alphaFrom75      = 0.00323
	alphaFrom20      = 0.00393
	strandingFactor  = 1.02 // common practice for fine and 7-strand conductors
	metresPerKft     = 304.8
)

// Gauges lists the gauges in order, thinnest first: the wires that control work
// uses (AWG).
func (c *Conductors) Gauges() []int { return []int{24, 22, 20, 18, 16, 14, 12, 10, 8} }

// OhmPerKft is the resistance of one conductor per 1000 ft at its own
// temperature (°C); false for a gauge not in the table and not computed. Table
// 8 of NEC chapter 9 where it has the gauge, else computed from the diameter.
func (c *Conductors) OhmPerKft(awg int, stranded bool, tempC float64) (float64, bool) {
	if row, ok := c.rows[awg]; ok {
		r := row.solid
		if stranded {
			r = row.stranded
		}
		return r * (1 + alphaFrom75*(tempC-75)), true
	}
	if !slices.Contains(c.Gauges(), awg) {
		return 0, false
	}
	return SmallConductor(awg, stranded, tempC), true
}

// CircularMils is the area of a gauge of table 8; false if the table lacks it.
func (c *Conductors) CircularMils(awg int) (float64, bool) {
	row, ok := c.rows[awg]
	return row.cmil, ok
}

// Diameter is the diameter in mm of a solid conductor of that gauge (ASTM B258).
func Diameter(awg int) float64 {
	return 0.005 * 25.4 * math.Pow(92, float64(36-awg)/39)
}

// SmallConductor computes ohm per 1000 ft from the diameter: ASTM B258, B3,
// 2 % more for stranding.
func SmallConductor(awg int, stranded bool, tempC float64) float64 {
	d := Diameter(awg)
	ohmPerM := copperOhmMm2PerM / (math.Pi * d * d / 4) * (1 + alphaFrom20*(tempC-20))
	if stranded {
		ohmPerM *= strandingFactor
	}
	return ohmPerM * metresPerKft
}

func loadConductors() (*Conductors, error) {
	c := &Conductors{rows: map[int]conductorRow{}}
	err := eachRow("conductors/table-8.tsv", func(r cells) error {
		c.rows[int(r.number("awg"))] = conductorRow{r.number("mm2"), r.number("cmil"), r.number("solid"), r.number("stranded")}
		return nil
	})
	return c, err
}

func (l *Library) readConductors([]model.LibraryFile) (err error) {
	l.Conductors, err = loadConductors()
	return err
}
