package parting

import (
	"math"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// family is a row of planes, each with more of the part below it than the one
// before, or single planes where it is not in order.
type family struct {
	planes  []section.Plane
	inOrder bool
	halves  bool // along the limb
}

const (
	// evenSteps is how many planes of a family stand at even distances.
	evenSteps = 24
	// mostShares is up to how many even shares a region is cut.
	mostShares = 5
	// halfTurns is how many planes along the limb are tried, turned about it.
	halfTurns = 12
)

// families returns the planes by which r may be cut.
func (s *search) families(r *region) []family {
	var out []family
	for _, n := range s.normals {
		out = append(out, s.straight(r, n))
	}
	for _, w := range s.want.Ways {
		if len(w) > 1 {
			out = append(out, family{planes: fanned(w), inOrder: true})
		}
	}
	if s.want.Halves {
		for _, w := range s.limbs {
			out = append(out, s.lengthwise(w))
		}
	}
	return out
}

// straight returns the planes square to n that cut r: at even distances, at
// even shares, as far as boxes fit, in the middles of symmetry, and just clear
// of the places to keep clear of.
func (s *search) straight(r *region, n r3.Vec) family {
	at := nothing
	for v := range r.m.Vertices() {
		at.take(r3.Dot(n, r.m.At(uint32(v))))
	}
	var stops []float64
	add := func(h float64) {
		if h > at.low+thin && h < at.high-thin {
			stops = append(stops, h)
		}
	}
	for k := range evenSteps {
		add(at.low + (float64(k)+0.5)/evenSteps*at.size())
	}
	for k := 2; k <= mostShares; k++ {
		for i := 1; i < k; i++ {
			add(at.low + float64(i)/float64(k)*at.size())
		}
	}
	for _, m := range s.mirrors {
		if frame.Same(m.Normal, n) {
			add(r3.Dot(n, m.Point))
		}
	}
	for _, p := range s.want.Clear {
		reach, ok := p.reach(n)
		if ok && s.holds(r, p) {
			add(r3.Dot(n, p.At) - reach - hair)
			add(r3.Dot(n, p.At) + reach + hair)
		}
	}
	if r.pieces <= hopeful {
		add(s.bite(r, n, at, 0))
		add(s.bite(r, n, at, 1))
	}
	slices.Sort(stops)
	f := family{inOrder: true}
	for i, h := range stops {
		if i == 0 || h-stops[i-1] > hair/10 {
			f.planes = append(f.planes, section.Plane{Point: r3.Scale(h, n), Normal: n})
		}
	}
	return f
}

// hair is how much farther than needed a plane keeps clear.
const hair = 0.01

// bite returns how far along n a cut may be so that what is below (side 0) or
// above (side 1) it fits as a box.
func (s *search) bite(r *region, n r3.Vec, at span, side int) float64 {
	good, bad := at.low, at.high
	if side == 1 {
		good, bad = bad, good
	}
	for range 9 {
		mid := (good + bad) / 2
		l, ok := s.look(r, section.Plane{Point: r3.Scale(mid, n), Normal: n})
		if ok && l.pieces[side] > 1 {
			bad = mid
		} else {
			good = mid
		}
	}
	return good
}

// fanned returns planes square to a way, between its stations too.
func fanned(w []section.Plane) []section.Plane {
	along := make([]float64, len(w))
	for i := 1; i < len(w); i++ {
		along[i] = along[i-1] + r3.Norm(r3.Sub(w[i].Point, w[i-1].Point))
	}
	var out []section.Plane
	const steps = 2 * evenSteps
	i := 0
	for k := 1; k < steps; k++ {
		at := along[len(w)-1] * float64(k) / steps
		for i+2 < len(w) && along[i+1] < at {
			i++
		}
		share := (at - along[i]) / math.Max(along[i+1]-along[i], 1e-9)
		out = append(out, section.Plane{
			Point:  r3.Add(w[i].Point, r3.Scale(share, r3.Sub(w[i+1].Point, w[i].Point))),
			Normal: r3.Unit(r3.Add(r3.Scale(1-share, w[i].Normal), r3.Scale(share, w[i+1].Normal))),
		})
	}
	return out
}

// chord returns the direction from one end of a way to the other, false where
// they are in one place.
func chord(w []section.Plane) (r3.Vec, bool) {
	if len(w) < 2 {
		return r3.Vec{}, false
	}
	d := r3.Sub(w[len(w)-1].Point, w[0].Point)
	if r3.Norm(d) < 1 {
		return r3.Vec{}, false
	}
	return r3.Unit(d), true
}

// lengthwise returns planes that hold the chord of a way, through the middle of
// its points.
func (s *search) lengthwise(w []section.Plane) family {
	c, ok := chord(w)
	if !ok {
		return family{}
	}
	var mid r3.Vec
	for _, p := range w {
		mid = r3.Add(mid, r3.Scale(1/float64(len(w)), p.Point))
	}
	f := family{halves: true}
	if n, ok := bentIn(w, c); ok {
		f.planes = append(f.planes, section.Plane{Point: mid, Normal: n})
	}
	// A plane of symmetry that goes along the way comes first, and the turns
	// are counted from it, or from one through the file's up.
	from := r3.Vec{Z: 1}
	for _, m := range s.mirrors {
		if math.Abs(r3.Dot(m.Normal, c)) < 0.1 && math.Abs(r3.Dot(m.Normal, r3.Sub(mid, m.Point))) < s.scale/10 {
			f.planes = append(f.planes, m)
			from = m.Normal
		}
	}
	u := r3.Sub(from, r3.Scale(r3.Dot(from, c), c))
	if r3.Norm(u) < 0.1 {
		u, _ = section.Plane{Normal: c}.Axes()
	}
	u = r3.Unit(u)
	v := r3.Cross(c, u)
	for k := range halfTurns {
		sin, cos := math.Sincos(float64(k) * math.Pi / halfTurns)
		f.planes = append(f.planes, section.Plane{Point: mid, Normal: r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))})
	}
	return f
}

// straightWay is the share of its chord that a way may stray from it and still be
// taken for straight. A guess.
const straightWay = 0.1

// bentIn returns the normal of the plane in which a way with that chord bends, false
// where it is straight: only planes near that one go through all of a boot.
func bentIn(w []section.Plane, c r3.Vec) (n r3.Vec, ok bool) {
	var far r3.Vec
	for _, p := range w {
		off := r3.Sub(p.Point, w[0].Point)
		if off = r3.Sub(off, r3.Scale(r3.Dot(off, c), c)); r3.Norm(off) > r3.Norm(far) {
			far = off
		}
	}
	if r3.Norm(far) < straightWay*r3.Norm(r3.Sub(w[len(w)-1].Point, w[0].Point)) {
		return n, false
	}
	return r3.Unit(r3.Cross(c, far)), true
}

// isHalving reports whether a plane goes along the limb, on one of its ways and
// through most of the stations, and opens the part there.
func (s *search) isHalving(p section.Plane) bool {
	n := p.Normal
	for i, w := range s.limbs {
		c, ok := chord(w)
		if !ok || math.Abs(r3.Dot(n, c)) > sin15 {
			continue
		}
		near := 0
		for _, q := range w {
			if math.Abs(r3.Dot(n, r3.Sub(q.Point, p.Point))) < s.scale/12 {
				near++
			}
		}
		if 2*near >= len(w) && s.opens(i, p) {
			return true
		}
	}
	return false
}

const sin15 = 0.2588
