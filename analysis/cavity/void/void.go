// Package void finds the air round a point of a section: the area that the
// point reaches among walls that may overlap, be single sheets, lie doubled,
// hold junk, or be open.
//
// Everything lies in one plane, in mm. The walls are arranged into pieces that
// meet in their ends only (arrange.go), loose ends across a small gap are
// joined, dangling pieces dropped, and the boundary of the face that holds the
// point is walked (face.go). Where the point can leave, the way out is closed
// by a chord from rim to rim (gap.go).
package void

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Wall is a straight piece of wall from its first to its second end.
type Wall = [2]r2.Vec

// Void is the air round a point. The zero Void is none.
type Void struct {
	// Outline is its outer boundary, anticlockwise; the last point joins the
	// first. Of chords over gaps, Gaps[i] says that the side from Outline[i] on
	// is one.
	Outline []r2.Vec
	Gaps    []bool
	Girth   float64 // length of wall along the outline, small gaps joined
	Gap     float64 // length of the chords, 0 where the wall closes round
	Bridged float64 // length of the small gaps, part of Girth
	Sealed  bool    // the way out had to be closed by more than straight views
}

// Finder keeps its buffers from one section to the next. The zero Finder is
// ready. It serves one goroutine.
type Finder struct {
	stars stars
	plan  plan
	lines []line
	view  view
}

// Around returns the void round the point at among walls. Loose ends no
// further apart than bridge mm are joined by wall, as a missing facet leaves
// them. It returns false where no wall stands round at: less than a third of
// the way round is seen.
func (f *Finder) Around(walls []Wall, at r2.Vec, bridge float64) (Void, bool) {
	if face, ok := f.stars.face(walls, at); ok {
		return voidOf(face, at, false), true
	}
	return f.arranged(walls, at, bridge)
}

// arranged is Around for walls of any kind.
func (f *Finder) arranged(walls []Wall, at r2.Vec, bridge float64) (Void, bool) {
	f.lines = f.lines[:0]
	for _, w := range walls {
		f.add(spotOf(r2.Sub(w[0], at)), spotOf(r2.Sub(w[1], at)), wall)
	}
	f.plan.arrange(f.lines)
	if n := len(f.lines); n > 0 {
		f.bridge(bridge)
		if len(f.lines) > n {
			f.plan.arrange(f.lines)
		}
	}
	face, ok := f.face()
	sealed := false
	if !ok {
		f.plan.arrange(f.lines) // with what dangles: a sheet is a wall too
		if face, sealed, ok = f.seal(); !ok {
			return Void{}, false
		}
	}
	return voidOf(face, at, sealed), true
}

// add adds a line unless its ends are one.
func (f *Finder) add(a, b spot, k kind) {
	if a != b {
		f.lines = append(f.lines, lineOf(a, b, k))
	}
}

// face drops what dangles and returns the face of the origin.
func (f *Finder) face() (face, bool) {
	f.plan.prune()
	return f.plan.around()
}

// voidOf returns the face as a Void in the plane's own coordinates.
func voidOf(face face, at r2.Vec, sealed bool) Void {
	v := Void{Outline: make([]r2.Vec, 0, len(face.corners)), Gaps: make([]bool, 0, len(face.corners)), Sealed: sealed}
	for i, a := range face.corners {
		b := face.corners[(i+1)%len(face.corners)]
		d := distance(a, b)
		switch face.kinds[i] {
		case gap:
			v.Gap += d
		case bridge:
			v.Bridged += d
			v.Girth += d
		default:
			v.Girth += d
		}
		v.Outline = append(v.Outline, r2.Add(at, a.at()))
		v.Gaps = append(v.Gaps, face.kinds[i] == gap)
	}
	return v
}

// Area returns the area of the void in mm².
func (v *Void) Area() float64 {
	var sum float64
	for i, p := range v.Outline {
		q := v.Outline[(i+1)%len(v.Outline)]
		sum += r2.Cross(r2.Sub(p, v.Outline[0]), r2.Sub(q, v.Outline[0]))
	}
	return sum / 2
}

// Holds reports whether p lies in the void. For a point on the outline the
// answer may be either.
func (v *Void) Holds(p r2.Vec) bool {
	inside := false
	for i := range v.Outline {
		inside = inside != v.passes(i, p)
	}
	return inside
}

// passes reports whether side i of the outline comes by to the right of p, at
// its height.
func (v *Void) passes(i int, p r2.Vec) bool {
	a, b := v.Outline[i], v.Outline[(i+1)%len(v.Outline)]
	return (a.Y > p.Y) != (b.Y > p.Y) && (r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) > 0) == (b.Y > a.Y)
}

// Others returns the walls of the section that are no part of the outline and
// that something in the void may meet: they float inside, or stand outside a
// gap no further off than the gap is wide.
func (v *Void) Others(walls []Wall) []Wall {
	corners := make(map[spot]bool, len(v.Outline))
	near := func(p r2.Vec) spot { return spotOf(r2.Scale(0.125, p)) }
	for _, p := range v.Outline {
		corners[near(p)] = true
	}
	quick := v.rows()
	var out []Wall
	for _, w := range walls {
		if corners[near(w[0])] || corners[near(w[1])] {
			continue
		}
		mid := r2.Scale(0.5, r2.Add(w[0], w[1]))
		if quick.holds(mid) && !quick.touches(mid, 8*unit) || v.outside(mid) {
			out = append(out, w)
		}
	}
	return out
}

// outside reports whether p lies beyond a gap, no further off than that is wide.
func (v *Void) outside(p r2.Vec) bool {
	if v.Gap == 0 {
		return false
	}
	for i, open := range v.Gaps {
		if !open {
			continue
		}
		a, b := v.Outline[i], v.Outline[(i+1)%len(v.Outline)]
		// The void is on the left of its outline.
		if chord := r2.Sub(b, a); r2.Cross(chord, r2.Sub(p, a)) < 0 && toPiece(p, a, b) < r2.Norm(chord) {
			return true
		}
	}
	return false
}

// Widths returns how wide each gap is.
func (v *Void) Widths() []float64 {
	var out []float64
	for i, open := range v.Gaps {
		if open {
			out = append(out, r2.Norm(r2.Sub(v.Outline[(i+1)%len(v.Outline)], v.Outline[i])))
		}
	}
	return out
}

// Cover returns the degrees of the way round in which wall of the outline is
// met from a point, in the void or in one of its gaps.
func (v *Void) Cover(from r2.Vec) float64 {
	if v.Gap == 0 {
		return 360
	}
	seen := newView()
	seen.coverOutline(v, from, true)
	return seen.degrees()
}

// Middle returns the middle of the wall round the void, by length: where the
// wall is open it lies away from the gap.
func (v *Void) Middle() r2.Vec {
	var sum r2.Vec
	var length float64
	for i, p := range v.Outline {
		if v.Gaps[i] {
			continue
		}
		q := v.Outline[(i+1)%len(v.Outline)]
		d := r2.Norm(r2.Sub(q, p))
		sum = r2.Add(sum, r2.Scale(d/2, r2.Add(p, q)))
		length += d
	}
	if length == 0 {
		return r2.Vec{}
	}
	return r2.Scale(1/length, sum)
}

// Clearance returns the distance from p to the nearest side of the outline.
func (v *Void) Clearance(p r2.Vec) float64 {
	least := math.Inf(1) // squared
	for i, a := range v.Outline {
		b := v.Outline[(i+1)%len(v.Outline)]
		least = min(least, toPiece2(p, a, b))
	}
	return math.Sqrt(least)
}

// Sides returns the walls of the outline with as few corners as keep it within
// tolerance mm (Douglas & Peucker, Cartographica 10, 1973, 112–122).
func (v *Void) Sides(tolerance float64) []Wall {
	n := len(v.Outline)
	// From a gap, or else a corner, once round: the chains between gaps.
	first := max(slices.Index(v.Gaps, true), 0)
	var out []Wall
	chain := []r2.Vec{v.Outline[first]}
	for k := range n {
		i := (first + k) % n
		next := v.Outline[(i+1)%n]
		if v.Gaps[i] {
			out = simplified(out, chain, tolerance)
			chain = chain[:0]
		}
		chain = append(chain, next)
	}
	if v.Gap == 0 {
		// In two halves, neither of which is flat.
		far := 0
		for i, p := range chain {
			if r2.Norm2(r2.Sub(p, chain[0])) > r2.Norm2(r2.Sub(chain[far], chain[0])) {
				far = i
			}
		}
		return simplified(simplified(out, chain[:far+1], tolerance), chain[far:], tolerance)
	}
	return simplified(out, chain, tolerance)
}

// simplified appends to out the walls that keep a chain within tolerance.
func simplified(out []Wall, chain []r2.Vec, tolerance float64) []Wall {
	last := len(chain) - 1
	if last < 1 {
		return out
	}
	worst, at := tolerance*tolerance, 0
	for i := 1; i < last; i++ {
		if d2 := toPiece2(chain[i], chain[0], chain[last]); d2 > worst {
			worst, at = d2, i
		}
	}
	if at == 0 {
		return append(out, Wall{chain[0], chain[last]})
	}
	out = simplified(out, chain[:at+1], tolerance)
	return simplified(out, chain[at:], tolerance)
}

// toPiece returns the distance from p to the piece from a to b, and toPiece2 its square.
func toPiece(p, a, b r2.Vec) float64 { return math.Sqrt(toPiece2(p, a, b)) }

func toPiece2(p, a, b r2.Vec) float64 { return r2.Norm2(r2.Sub(p, onPiece(p, a, b))) }

// onPiece returns the point of the piece from a to b that is nearest to p.
func onPiece(p, a, b r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	n := r2.Norm2(d)
	if n == 0 {
		return a
	}
	t := r2.Dot(r2.Sub(p, a), d) / n
	return r2.Add(a, r2.Scale(min(max(t, 0), 1), d))
}
