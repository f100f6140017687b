package cavity

import (
	"context"
	"math"
	"slices"

	"gambeson/analysis/cavity/void"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
)

// A line may go through a bar, which is too thin for the grid to part the air. What stands
// round a place within it is the bar's own surface: the room is that beside it.

// besideBars measures the stations that lie in material again, beside it. In a surface
// without a wall all lie within it, and none is.
func (k *seek) besideBars(ctx context.Context, stations []Station) error {
	free := func(s Station) bool { return !s.solid && s.Ellipse != nil }
	var bars []int
	for i, s := range stations {
		if s.solid && s.Gap == 0 {
			bars = append(bars, i)
		}
	}
	if len(bars) == 0 || 2*len(bars) > len(stations) {
		return nil
	}
	found := make([]Station, len(bars))
	err := k.each(ctx, len(bars), func(n int, p *probe) {
		i := bars[n]
		after := slices.IndexFunc(stations[i:], free)
		before := i
		for before >= 0 && !free(stations[before]) {
			before--
		}
		if before < 0 || after < 0 {
			return
		}
		a, b := &stations[before], &stations[i+after]
		found[n] = k.between(p, a, b, (stations[i].Along-a.Along)/(b.Along-a.Along), math.Inf(1))
	})
	for n, i := range bars {
		if s := found[n]; s.InnerGirth > 0 && !s.solid {
			s.Along, s.Barred = stations[i].Along, true
			stations[i] = s
		}
	}
	return err
}

// inMaterial reports whether the point of a plane lies in material, or within a single skin.
func (p *probe) inMaterial(plane section.Plane) bool {
	p.cut(plane)
	return winds(p.last.Chains) != 0
}

// winds returns how many times the chains go round the origin, anticlockwise less
// clockwise: once for each shell in whose material it lies. It is 0 where one is open.
func winds(chains []section.Chain) (n int) {
	for _, c := range chains {
		if !c.Closed {
			return 0
		}
		for i, p := range c.Points {
			n += winding(p, c.Points[(i+1)%len(c.Points)])
		}
	}
	return n
}

// wound is how many times closed walls go round a place, anticlockwise less clockwise.
func wound(walls []void.Wall, at r2.Vec) (n int) {
	for _, w := range walls {
		n += winding(r2.Sub(w[0], at), r2.Sub(w[1], at))
	}
	return n
}

// winding is 1 where the piece from a to b passes the ray from the origin along x
// anticlockwise, −1 clockwise, else 0.
func winding(a, b r2.Vec) int {
	switch side := r2.Cross(a, b); {
	case a.Y <= 0 && b.Y > 0 && side > 0:
		return 1
	case a.Y > 0 && b.Y <= 0 && side < 0:
		return -1
	}
	return 0
}

// outOf returns places round one that lies within what floats in a void, halfway to its
// outline and clear of that.
func outOf(others []void.Wall, v *void.Void, at r2.Vec) (out []r2.Vec) {
	const ways = 8
	for k := range ways {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / ways)
		dir := r2.Vec{X: cos, Y: sin}
		far := math.Inf(1)
		for i, p := range v.Outline {
			a, along := r2.Sub(p, at), r2.Sub(v.Outline[(i+1)%len(v.Outline)], p)
			t, s := r2.Cross(a, along)/r2.Cross(dir, along), r2.Cross(a, dir)/r2.Cross(dir, along)
			if t > 0 && s >= 0 && s <= 1 {
				far = min(far, t)
			}
		}
		if p := r2.Add(at, r2.Scale(far/2, dir)); !math.IsInf(far, 1) && wound(others, p) == 0 {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return []r2.Vec{at}
	}
	return out
}
