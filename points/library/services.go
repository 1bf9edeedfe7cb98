package library

import "strconv"

// VoltageSystem is a nominal system of supply. Utilisation limits are the
// range A extremes at the load; 0 where the source gives none.
type VoltageSystem struct {
	Name        string // 480Y/277
	LineLine    float64
	LineNeutral float64 // 0: no neutral is brought out
	Phases      int
	Wires       int
	Kind        string // wye, delta, split, high-leg, two-wire
	Hertz       float64
	Source      string
}

// VoltageSystems lists the systems in order of their table.
func loadVoltageSystems() ([]VoltageSystem, error) {
	t, err := table("services/systems.tsv")
	if err != nil {
		return nil, err
	}
	var out []VoltageSystem
	for _, r := range t.Rows {
		f := make([]float64, len(r))
		for i := 1; i <= 4; i++ {
			if f[i], err = strconv.ParseFloat(r[i], 64); err != nil {
				return nil, err
			}
		}
		hertz, err := strconv.ParseFloat(r[6], 64)
		if err != nil {
			return nil, err
		}
		out = append(out, VoltageSystem{Name: r[0], LineLine: f[1], LineNeutral: f[2], Phases: int(f[3]), Wires: int(f[4]), Kind: r[5], Hertz: hertz, Source: r[7]})
	}
	return out, nil
}
