package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// sheets is the cosine of the directions in which two sheets end at a border
// above which they are one and the same sheet, and up to which they are two
// that meet: at an edge of the shell they meet at an angle.
const sheets = 0.5

// borders returns the length of the borders of which the shorter one is
// covered.
func (p pair) borders(side float64) meeting {
	met, back := p.a.bordersOn(p.b, side, p.reach), p.b.bordersOn(p.a, side, p.reach)
	if back.size > met.size {
		return back
	}
	return met
}

// bordersOn returns the length of the borders of r that are covered by those
// of o.
func (r *Rims) bordersOn(o *Rims, side, reach float64) meeting {
	var m meeting
	for _, b := range r.Borders {
		try := func(n int) (met []r3.Vec) {
			b.points(n, func(p, out r3.Vec) {
				if o.borderNear(p, out, side, reach) {
					met = append(met, p)
				}
			})
			return met
		}
		if len(try(few)) == 0 {
			continue
		}
		met := try(many)
		if float64(len(met)) < covered*many {
			continue
		}
		for _, p := range met {
			m.add(b.length()/many, p)
		}
	}
	return m
}

// borderNear reports whether a border of r passes within reach of p, its
// surface ending there against the direction out or along it.
func (r *Rims) borderNear(p, out r3.Vec, side, reach float64) bool {
	for k, b := range r.Borders {
		if outside(r.borderBoxes()[k], p) > reach*reach {
			continue
		}
		for i, o := range b.Out {
			if d := r3.Dot(out, o); (d > sheets) != (side == along) {
				continue
			}
			if r3.Norm2(r3.Sub(p, nearestOnLine(b.Line[i], b.Line[i+1], p))) <= reach*reach {
				return true
			}
		}
	}
	return false
}

func (r *Rims) borderBoxes() []r3.Box {
	if r.boxes == nil {
		for _, b := range r.Borders {
			box := r3.Box{Min: b.Line[0], Max: b.Line[0]}
			for _, p := range b.Line {
				box = grown(box, p)
			}
			r.boxes = append(r.boxes, box)
		}
	}
	return r.boxes
}

func nearestOnLine(a, b, p r3.Vec) r3.Vec {
	ab := r3.Sub(b, a)
	square := r3.Norm2(ab)
	if square == 0 {
		return a
	}
	return r3.Add(a, r3.Scale(min(max(r3.Dot(r3.Sub(p, a), ab)/square, 0), 1), ab))
}

func (b Border) length() float64 {
	var sum float64
	for i := range b.Out {
		sum += r3.Norm(r3.Sub(b.Line[i+1], b.Line[i]))
	}
	return sum
}

// points calls f for n points spread evenly along the border.
func (b Border) points(n int, f func(p, out r3.Vec)) {
	whole := b.length()
	i, before := 0, 0.0
	for k := range n {
		at := (float64(k) + 0.5) / float64(n) * whole
		length := r3.Norm(r3.Sub(b.Line[i+1], b.Line[i]))
		for i < len(b.Out)-1 && before+length < at {
			before += length
			i++
			length = r3.Norm(r3.Sub(b.Line[i+1], b.Line[i]))
		}
		share := 0.0
		if length > 0 {
			share = math.Min(1, (at-before)/length)
		}
		f(r3.Add(b.Line[i], r3.Scale(share, r3.Sub(b.Line[i+1], b.Line[i]))), b.Out[i])
	}
}
