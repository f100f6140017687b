package bed

import (
	"context"
	"slices"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/bed/parting"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Part parts m, at its size, into few pieces that each fit v: as it lies,
// turned or laid on a face.
func Part(ctx context.Context, m *mesh.Mesh, v Volume, want parting.Wish) (parting.Pieces, error) {
	r := newRule(v)
	return parting.Part(ctx, m, parting.Space{Fits: r.fits, Box: r.box}, want)
}

// rule answers quickly whether things fit a volume.
type rule struct {
	v      Volume
	fields []field
	reach  float64 // the longest line on the bed
}

func newRule(v Volume) *rule {
	r := &rule{v: v, fields: v.fields()}
	for _, f := range r.fields {
		if f.diameter > 0 {
			r.reach = max(r.reach, f.diameter)
		} else {
			r.reach = max(r.reach, r2.Norm(f.size))
		}
	}
	return r
}

// fits reports whether what has that hull, and its weight in the middle, fits
// as it lies, turned, or laid on a face: the answer of Search, without looking
// for the best.
func (r *rule) fits(h *hull.Hull, middle r3.Vec) bool {
	b := &body{box: boxOf(h), hull: h, mid: middle}
	if b.asIs(r.v).Fits(1) {
		return true
	}
	lines := diagonals(b.hull)
	if !r.hopeless(b.hull, lines, upright[2]) && b.stand(r.v, upright, Turned).Fits(1) {
		return true
	}
	for f := range b.faces() {
		if !r.hopeless(b.hull, lines, f[2]) && b.stand(r.v, f, Laid).Fits(1) {
			return true
		}
	}
	return false
}

// boxOf returns the box round h along the axes.
func boxOf(h *hull.Hull) r3.Box {
	var box r3.Box
	box.Min.X, box.Max.X = h.Along(r3.Vec{X: 1})
	box.Min.Y, box.Max.Y = h.Along(r3.Vec{Y: 1})
	box.Min.Z, box.Max.Z = h.Along(r3.Vec{Z: 1})
	return box
}

// hopeless reports whether a body cannot fit standing along up: too high, or
// with one of the lines in it too long seen along it.
func (r *rule) hopeless(h *hull.Hull, lines []r3.Vec, up r3.Vec) bool {
	low, high := h.Along(up)
	if !(Room{Scale: ratio(r.v.Height, high-low)}).Fits(1) {
		return true
	}
	for _, d := range lines {
		if length(r3.Sub(d, r3.Scale(r3.Dot(d, up), up))) > r.reach*(1+slack) {
			return true
		}
	}
	return false
}

// diagonals returns a few long lines between points of the hull.
func diagonals(h *hull.Hull) []r3.Vec {
	var out []r3.Vec
	for _, n := range [...]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: 1, Y: 1}, {X: 1, Y: -1}, {Y: 1, Z: 1}, {Y: 1, Z: -1}, {X: 1, Z: 1}, {X: 1, Z: -1}} {
		var lowest, highest r3.Vec
		for i, p := range h.Points {
			if i == 0 || r3.Dot(n, p) < r3.Dot(n, lowest) {
				lowest = p
			}
			if i == 0 || r3.Dot(n, p) > r3.Dot(n, highest) {
				highest = p
			}
		}
		out = append(out, r3.Sub(highest, lowest))
	}
	return out
}

// box reports whether a box with these sides fits with one of them upright.
func (r *rule) box(sides r3.Vec, up int) bool {
	s := [3]float64{sides.X, sides.Y, sides.Z}
	if !(Room{Scale: ratio(r.v.Height, s[up])}).Fits(1) {
		return false
	}
	return slices.ContainsFunc(r.fields, func(f field) bool { return f.holdsTurned(s[(up+1)%3], s[(up+2)%3]) })
}

// holdsTurned reports whether a rectangle fits the field turned as it likes.
func (f field) holdsTurned(a, b float64) bool {
	if f.diameter > 0 {
		return Room{Scale: ratio(f.diameter, r2.Norm(r2.Vec{X: a, Y: b}))}.Fits(1)
	}
	long, short := max(a, b), min(a, b)
	wide, deep := max(f.size.X, f.size.Y), min(f.size.X, f.size.Y)
	if short > deep*(1+slack) || long*long+short*short > (wide*wide+deep*deep)*(1+slack) {
		return false
	}
	if long <= wide && short <= deep {
		return true
	}
	scale, _, _, _ := turned(section.Hull([]r2.Vec{{}, {X: long}, {X: long, Y: short}, {Y: short}}), wide, deep)
	return Room{Scale: scale}.Fits(1)
}
