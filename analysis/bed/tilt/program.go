package tilt

import "math"

// unknowns of a program: a turn, a middle and the scale t.
const unknowns = 7

// row demands a·y ≤ h.
type row struct {
	a [unknowns]float64
	h float64
}

// program finds the y with the least t, its last part, that all rows allow: a
// linear program by the dual simplex method. The rows of the basis hold with
// equality; their shares λ ≥ 0 sum them to −t, so that y is the best for those
// rows alone. The row that is hurt most enters, and the one whose share runs
// out first leaves. Rows may be added when it is solved. The last entry of
// every row but those of the sides must be below 0.
type program struct {
	rows  []row
	basis [unknowns]int
	// columns of the inverse of the basis' rows: y = Σ h·column.
	inverse [unknowns][unknowns]float64
	y       [unknowns]float64
}

const (
	pivots = 200   // at most, against rounding that goes round in circles
	hurts  = 1e-11 // by which a row must be hurt to enter; bodies have size 1
)

// start sets the program up with the sides −side ≤ y ≤ side of all unknowns but
// t and the first row, and the solution for these.
func (p *program) start(first row, side [unknowns - 1]float64) {
	const t = unknowns - 1
	p.rows = p.rows[:0]
	p.inverse = [unknowns][unknowns]float64{}
	for k, s := range side {
		up, down := row{h: s}, row{h: s}
		up.a[k], down.a[k] = 1, -1
		p.rows = append(p.rows, up, down)
		p.basis[k] = 2 * k
		sign := 1.0
		if first.a[k] > 0 { // y as low as it goes
			p.basis[k]++
			sign = -1
		}
		p.inverse[k][k] = sign
		p.inverse[k][t] = -sign * first.a[k] / first.a[t]
	}
	p.basis[t] = len(p.rows)
	p.inverse[t][t] = 1 / first.a[t]
	p.add(first)
	p.settle()
}

func (p *program) add(r row) { p.rows = append(p.rows, r) }

// settle computes y from the basis.
func (p *program) settle() {
	p.y = [unknowns]float64{}
	for i, k := range p.basis {
		for j, x := range p.inverse[i] {
			p.y[j] += p.rows[k].h * x
		}
	}
}

// solve goes on to the solution for all rows; false where rounding keeps it
// from it.
func (p *program) solve() bool {
	for range pivots {
		enter := p.mostHurt()
		if enter < 0 {
			return true
		}
		if !p.exchange(enter) {
			return false
		}
		p.settle()
	}
	return false
}

func (p *program) mostHurt() int {
	worst, at := hurts, -1
	for i := range p.rows {
		if over := dot(&p.rows[i].a, &p.y) - p.rows[i].h; over > worst {
			worst, at = over, i
		}
	}
	return at
}

// exchange brings row enter into the basis.
func (p *program) exchange(enter int) bool {
	var change [unknowns]float64
	leave, least := -1, math.Inf(1)
	for i := range p.basis {
		change[i] = dot(&p.rows[enter].a, &p.inverse[i])
		if change[i] <= 1e-12 {
			continue
		}
		share := max(0, -p.inverse[i][unknowns-1])
		if ratio := share / change[i]; ratio < least {
			leave, least = i, ratio
		}
	}
	if leave < 0 {
		return false
	}
	p.basis[leave] = enter
	for j := range p.inverse[leave] {
		p.inverse[leave][j] /= change[leave]
	}
	for i := range p.inverse {
		if i != leave {
			for j := range p.inverse[i] {
				p.inverse[i][j] -= change[i] * p.inverse[leave][j]
			}
		}
	}
	return true
}

func dot(a, b *[unknowns]float64) float64 {
	var sum float64
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}
