package pack

import "slices"

// Effort says how long to look.
type Effort int

// Quick gives a good plan at once, Fast proves small panels, Exact goes on
// until proven or far more work is done.
const (
	Quick Effort = iota
	Fast
	Exact
)

// Solve plans a panel. The error is a *Refusal.
func Solve(p *Problem, effort Effort) (*Solution, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	in := reduce(p)
	configs := in.configurations(1 << 60)
	standing := in.standingConfigs(1 << 60)
	var best *plan
	var first int64
	step := 1 + len(configs)/100
	for i := 0; i < len(configs); i += step {
		if pl := in.firstFit(&configs[i], configs, standing, false); pl != nil && (first == 0 || pl.cost < first) {
			first = pl.cost
		}
		if pl := in.firstFit(&configs[i], configs, standing, true); pl != nil && (best == nil || pl.cost < best.cost) {
			best = pl
		}
	}
	if best == nil && len(standing) > 0 && len(configs) == 0 {
		best = in.firstFit(&standing[0][0], slices.Concat(standing...), standing, false)
	}
	if best == nil {
		return nil, &Refusal{Code: "no-plan", Reason: "the panel's points fit no controllers of the catalogue"}
	}
	out, err := in.settle(best)
	if err != nil {
		return nil, err
	}
	out.FirstFit = first
	return out, nil
}
