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
	plan  plan
	lines []line
	view  view
}

// Around returns the void round the point at among walls. Loose ends no
// further apart than bridge mm are joined by wall, as a missing facet leaves
// them. It returns false where no wall stands round at: less than a third of
// the way round is seen.
func (f *Finder) Around(walls []Wall, at r2.Vec, bridge float64) (Void, bool) {
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
	return f.void(face, at, sealed), true
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

// void returns the face as a Void in the plane's own coordinates.
func (f *Finder) void(face face, at r2.Vec, sealed bool) Void {
	v := Void{Sealed: sealed}
	for i, s := range face.spots {
		a := f.plan.spots[s]
		b := f.plan.spots[face.spots[(i+1)%len(face.spots)]]
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
	for i, a := range v.Outline {
		b := v.Outline[(i+1)%len(v.Outline)]
		if (a.Y > p.Y) != (b.Y > p.Y) && (r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) > 0) == (b.Y > a.Y) {
			inside = !inside
		}
	}
	return inside
}

// Floats reports whether a wall of the section lies inside the outline and is
// no part of it.
func (v *Void) Floats(w Wall) bool {
	mid := r2.Scale(0.5, r2.Add(w[0], w[1]))
	return v.Holds(mid) && v.Clearance(mid) > 4*unit
}

// Cover returns the degrees of the way round in which wall of the outline is
// met from a point, in the void or in one of its gaps.
func (v *Void) Cover(from r2.Vec) float64 {
	if v.Gap == 0 {
		return 360
	}
	seen := newView()
	for i, p := range v.Outline {
		if q := v.Outline[(i+1)%len(v.Outline)]; !v.Gaps[i] {
			seen.cover(r2.Sub(p, from), r2.Sub(q, from), int32(i))
		}
	}
	return seen.degrees()
}

// Clearance returns the distance from p to the nearest side of the outline.
func (v *Void) Clearance(p r2.Vec) float64 {
	least := math.Inf(1)
	for i, a := range v.Outline {
		b := v.Outline[(i+1)%len(v.Outline)]
		least = min(least, toPiece(p, a, b))
	}
	return least
}

// toPiece returns the distance from p to the piece from a to b.
func toPiece(p, a, b r2.Vec) float64 {
	return r2.Norm(r2.Sub(p, onPiece(p, a, b)))
}

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
