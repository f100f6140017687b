package analysis

import (
	"fmt"
	"math"
	"strconv"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// A speck is a piece of surface that nobody means to print: of no more facets than
// speckFacets, no longer than speckSide mm and than speckShare of all else, and no nearer
// to the box of that than speckAway mm (guesses: a rivet or a gem lies on its part).
const (
	speckFacets = 100
	speckSide   = 3.0
	speckShare  = 0.02
	speckAway   = 5.0
)

// warnSpecks warns of specks that lie clear of the part, drawn as the file lies: they make
// it larger for the bed, and nothing of the picture shows them.
func (f *Findings) warnSpecks(drawn *mesh.Mesh) {
	if f.Mesh.Components < 2 {
		return
	}
	of, n := drawn.Bodies()
	if n < 2 || n == drawn.Triangles() {
		return
	}
	boxes, facets := make([]r3.Box, n), make([]int, n)
	for i := range boxes {
		inf := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		boxes[i] = r3.Box{Min: inf, Max: r3.Scale(-1, inf)}
	}
	for t, i := range of {
		facets[i]++
		a, b, c := drawn.Corners(t)
		for _, p := range [3]r3.Vec{a, b, c} {
			boxes[i] = around(boxes[i], r3.Box{Min: p, Max: p})
		}
	}
	var rest r3.Box
	var small []int
	for i, b := range boxes {
		switch {
		case facets[i] <= speckFacets && longest(b) <= speckSide:
			small = append(small, i)
		case len(small) == i:
			rest = b
		default:
			rest = around(rest, b)
		}
	}
	if len(small) == n {
		return
	}
	lies, triangles, away, side, at := 0, 0, 0.0, 0.0, r3.Vec{}
	for _, i := range small {
		far := apart(boxes[i], rest)
		if far < speckAway || longest(boxes[i]) > speckShare*longest(rest) {
			continue
		}
		lies++
		triangles += facets[i]
		side = max(side, longest(boxes[i]))
		if far > away {
			away, at = far, boxes[i].Center()
		}
	}
	if lies == 0 {
		return
	}
	what, it, counts := "A speck lies", "it", "It counts"
	if lies > 1 {
		what, it, counts = strconv.Itoa(lies)+" specks lie", "them", "They count"
	}
	f.warn("mesh-speck", fmt.Sprintf("%s far outside of the part: %s, no more than %s mm long, up to %s mm away, near %s. %s for the size: without %s the file is %s. Delete %s in a modelling program, and save the part over this file.",
		what, count(triangles, "facet"), tenths(side), tenths(away), place(triple(at)), counts, it, size(triple(rest.Size())), it))
}

// around is the box of both boxes.
func around(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}

// apart is how far two boxes lie from each other, mm; 0 where they meet.
func apart(a, b r3.Box) float64 {
	gap := func(low, high, from, to float64) float64 { return max(0, low-to, from-high) }
	return r3.Norm(r3.Vec{
		X: gap(a.Min.X, a.Max.X, b.Min.X, b.Max.X), Y: gap(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y), Z: gap(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z),
	})
}

// longest is the longest side of a box.
func longest(b r3.Box) float64 {
	s := b.Size()
	return max(s.X, s.Y, s.Z)
}
