package pack

import "math"

// A small revised simplex with a dense inverse for linear programs of a few
// dozen rows whose columns arrive one by one: minimise cost·x, A·x = b, x ≥ 0.
// The caller brings a first basis that is feasible. Products that feed sums
// are rounded on their own, so that no machine fuses them and every machine
// takes the same path.

type entry struct {
	row int
	val float64
}

type lp struct {
	cost  []float64
	cols  [][]entry
	b     []float64
	basis []int // column of each row
	in    []bool
	inv   [][]float64
	x     []float64 // value of the basic column of each row
	y     []float64 // duals, after solve
	d     []float64 // the column that enters, in terms of the basis
	work  *int64
}

const (
	smallCost  = 1e-7
	smallPivot = 1e-9
)

func newLP(b []float64, work *int64) *lp {
	l := &lp{work: work}
	l.reset(b)
	return l
}

// reset empties a program for another use of its memory.
func (l *lp) reset(b []float64) {
	m := len(b)
	l.b = b
	l.cost, l.cols, l.in = l.cost[:0], l.cols[:0], l.in[:0]
	if cap(l.basis) < m {
		flat := make([]float64, m*(m+3))
		l.basis, l.inv = make([]int, m), make([][]float64, m)
		for r := range m {
			l.inv[r] = flat[r*m : (r+1)*m]
		}
		rest := flat[m*m:]
		l.x, l.y, l.d = rest[:m], rest[m:2*m], rest[2*m:]
	}
}

// add appends a column and returns its index.
func (l *lp) add(cost float64, col []entry) int {
	l.cost = append(l.cost, cost)
	l.cols = append(l.cols, col)
	l.in = append(l.in, false)
	return len(l.cols) - 1
}

// start takes a diagonal first basis: column basis[r] has its only entry in row r.
func (l *lp) start(basis []int) {
	for r, c := range basis {
		l.basis[r] = c
		l.in[c] = true
		clear(l.inv[r])
		l.inv[r][r] = 1 / l.cols[c][0].val
		l.x[r] = l.b[r] / l.cols[c][0].val
	}
}

// price is the reduced cost of a column.
func (l *lp) price(c int) float64 {
	d := l.cost[c]
	for _, e := range l.cols[c] {
		d -= float64(l.y[e.row] * e.val)
	}
	return d
}

func (l *lp) duals() {
	clear(l.y)
	for r, c := range l.basis {
		if k := l.cost[c]; k != 0 {
			for j, v := range l.inv[r] {
				l.y[j] += float64(k * v)
			}
		}
	}
}

// solve goes to the optimum of the columns there are; false if it is unbounded
// or does not end within the pivots allowed, which the duals then survive: the
// caller checks them.
func (l *lp) solve(pivots int) bool {
	still := 0 // pivots without progress; then the first column that helps is taken, which cannot cycle
	for range pivots {
		l.duals()
		enter, least := -1, -smallCost
		for c := range l.cols {
			if l.in[c] {
				continue
			}
			if d := l.price(c); d < least {
				enter, least = c, d
				if still > 50 {
					break
				}
			}
		}
		if enter < 0 {
			return true
		}
		step, ok := l.pivot(enter)
		if !ok {
			return false
		}
		if still++; step > smallPivot {
			still = 0
		}
	}
	l.duals()
	return false
}

// pivot brings a column into the basis and returns how far it went.
func (l *lp) pivot(enter int) (float64, bool) {
	*l.work++
	d := l.d
	for r := range d {
		d[r] = 0
		for _, e := range l.cols[enter] {
			d[r] += float64(l.inv[r][e.row] * e.val)
		}
	}
	leave, best := -1, math.Inf(1)
	for r := range d {
		if d[r] > smallPivot {
			t := max(0, l.x[r]) / d[r]
			if t < best-1e-12 || t <= best+1e-12 && (leave < 0 || l.basis[r] < l.basis[leave]) {
				leave, best = r, min(t, best)
			}
		}
	}
	if leave < 0 {
		return 0, false
	}
	for r := range l.x {
		if r != leave {
			l.x[r] -= float64(best * d[r])
		}
	}
	l.x[leave] = best
	k := 1 / d[leave]
	row := l.inv[leave]
	for j := range row {
		row[j] = float64(row[j] * k)
	}
	for r := range l.inv {
		if f := d[r]; r != leave && f != 0 {
			to := l.inv[r]
			for j, v := range row {
				to[j] -= float64(f * v)
			}
		}
	}
	l.in[l.basis[leave]], l.in[enter] = false, true
	l.basis[leave] = enter
	return best, true
}

// value is the objective.
func (l *lp) value() float64 {
	v := 0.0
	for r, c := range l.basis {
		v += float64(l.cost[c] * l.x[r])
	}
	return v
}
