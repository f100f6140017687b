package bed

import (
	"cmp"
	"iter"
	"slices"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/bed/tilt"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// broad is the share of the hull's surface from which on a face can be
	// laid on the bed though the weight does not rest on it: the first layer
	// sticks. A guess.
	broad = 0.02
	// mostFaces is how many faces are tried, the largest first, so that a body
	// as good as round costs no more than any. A guess.
	mostFaces = 300
	// mostRests is how many lies on faces are kept.
	mostRests = 12
)

// faces yields the frames in which the part lies on a face of its hull, from
// the largest face on: those on which its weight rests, and broad ones.
func (b *body) faces() iter.Seq[tilt.Frame] {
	return func(yield func(tilt.Frame) bool) {
		enough := broad * b.hull.Area()
		tried := 0
		for _, f := range b.hull.Flats {
			if f.Area < enough && !b.rests(f) {
				continue
			}
			up := r3.Scale(-1, f.Normal)
			u, v := section.Plane{Normal: up}.Axes()
			if tried++; tried > mostFaces || !yield(tilt.Frame{u, v, up}) {
				return
			}
		}
	}
}

// rests reports whether the part rests on f: its weight is above the face.
func (b *body) rests(f hull.Flat) bool {
	u, v := section.Plane{Normal: f.Normal}.Axes()
	corners := make([]r2.Vec, len(f.Points))
	for i, k := range f.Points {
		p := r3.Sub(b.hull.Points[k], b.mid)
		corners[i] = r2.Vec{X: r3.Dot(u, p), Y: r3.Dot(v, p)}
	}
	if low, high := lowCorner(corners), highCorner(corners); low.X > 0 || low.Y > 0 || high.X < 0 || high.Y < 0 {
		return false // as most faces: no outline is needed to tell
	}
	outline := section.Hull(corners)
	for i, p := range outline {
		if r2.Cross(r2.Sub(outline[(i+1)%len(outline)], p), r2.Scale(-1, p)) < 0 {
			return false
		}
	}
	return len(outline) > 2
}

// laid returns the lies on faces of the hull with the greatest scales, the
// greatest first.
func (b *body) laid(v Volume) []Lie {
	var best []Lie
	for f := range b.faces() {
		low, high := b.hull.Along(f[2])
		if len(best) == mostRests && ratio(v.Height, high-low) <= best[mostRests-1].Scale {
			continue
		}
		best = append(best, b.stand(v, f, Laid))
		slices.SortStableFunc(best, func(a, b Lie) int { return cmp.Compare(b.Scale, a.Scale) })
		best = best[:min(len(best), mostRests)]
	}
	return best
}
