package pack

import (
	"math"
	"slices"
)

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
	some  []int     // where the row of the pivot is not 0
	hand  []int     // columns that may enter next
	worth []float64 // their reduced costs when they were taken in hand
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
	l.cost, l.cols, l.in, l.hand = l.cost[:0], l.cols[:0], l.in[:0], l.hand[:0]
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

// duals works the duals out from the basis. A pivot only moves them along one
// row of the inverse (move); they are worked out anew now and then, so that
// roundings do not add up.
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

// move brings the duals up to date after a pivot in a row by a column of such
// reduced cost.
func (l *lp) move(row int, reduced float64) {
	for j, v := range l.inv[row] {
		if v != 0 {
			l.y[j] += float64(reduced * v)
		}
	}
}

// anew is how many pivots the duals are moved before they are worked out anew.
const anew = 40

// solve goes to the optimum of the columns there are; false if it is unbounded
// or does not end within the pivots allowed, which the duals then survive: the
// caller checks them.
func (l *lp) solve(pivots int) bool {
	still := 0 // pivots without progress; then the first column that helps is taken, which cannot cycle
	l.duals()
	moved := 0
	for range pivots {
		if moved >= anew {
			l.duals()
			moved = 0
		}
		enter, least := l.enter(still > 50)
		if enter < 0 {
			if moved == 0 {
				return true
			}
			moved = anew // once more with duals worked out anew
			continue
		}
		step, row := l.pivot(enter)
		if row < 0 {
			return false
		}
		l.move(row, least)
		moved++
		if still++; step > smallPivot {
			still = 0
		}
	}
	l.duals()
	return false
}

// likely is how many columns a look at all of them keeps in hand.
const likely = 24

// enter picks the column that enters and its reduced cost; -1 if none helps. A
// look at all columns keeps those that help most; until none of these helps any
// longer only they are priced, since a pivot leaves most of the others as they
// were. With first, the first of all columns that helps is taken.
func (l *lp) enter(first bool) (int, float64) {
	if !first {
		enter, least := -1, -smallCost
		for _, c := range l.hand {
			if l.in[c] {
				continue
			}
			if d := l.price(c); d < least {
				enter, least = c, d
			}
		}
		if enter >= 0 {
			return enter, least
		}
	}
	l.hand, l.worth = l.hand[:0], l.worth[:0]
	for c := range l.cols {
		if l.in[c] {
			continue
		}
		d := l.price(c)
		if d >= -smallCost {
			continue
		}
		if first {
			return c, d
		}
		l.keep(c, d)
	}
	if len(l.hand) == 0 {
		return -1, 0
	}
	return l.hand[0], l.worth[0]
}

// keep puts a column in hand if it is among the best, best first.
func (l *lp) keep(c int, d float64) {
	if len(l.hand) == likely && d >= l.worth[likely-1] {
		return
	}
	at := len(l.hand)
	for at > 0 && l.worth[at-1] > d {
		at--
	}
	l.hand, l.worth = slices.Insert(l.hand, at, c), slices.Insert(l.worth, at, d)
	if len(l.hand) > likely {
		l.hand, l.worth = l.hand[:likely], l.worth[:likely]
	}
}

// pivot brings a column into the basis and returns how far it went and in which
// row; -1 if nothing stops it.
func (l *lp) pivot(enter int) (float64, int) {
	*l.work += 1 + int64(len(l.b)*len(l.b)/1024)
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
		return 0, -1
	}
	for r := range l.x {
		if r != leave {
			l.x[r] -= float64(best * d[r])
		}
	}
	l.x[leave] = best
	k := 1 / d[leave]
	row := l.inv[leave]
	l.some = l.some[:0]
	for j, v := range row {
		if v != 0 {
			row[j] = float64(v * k)
			l.some = append(l.some, j)
		}
	}
	if 3*len(l.some) > len(row) {
		l.some = nil
	}
	for r := range l.inv {
		f := d[r]
		if r == leave || f == 0 {
			continue
		}
		to := l.inv[r][:len(row)]
		if l.some == nil {
			for j, v := range row {
				to[j] -= float64(f * v)
			}
			continue
		}
		for _, j := range l.some {
			to[j] -= float64(f * row[j])
		}
	}
	l.in[l.basis[leave]], l.in[enter] = false, true
	l.basis[leave] = enter
	return best, leave
}

// value is the objective.
func (l *lp) value() float64 {
	v := 0.0
	for r, c := range l.basis {
		v += float64(l.cost[c] * l.x[r])
	}
	return v
}
