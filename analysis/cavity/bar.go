package cavity

import (
	"context"
	"math"
	"slices"

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
			s.Along = stations[i].Along
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
		for i, a := range c.Points {
			b := c.Points[(i+1)%len(c.Points)]
			switch side := r2.Cross(r2.Sub(b, a), r2.Scale(-1, a)); {
			case a.Y <= 0 && b.Y > 0 && side > 0:
				n++
			case a.Y > 0 && b.Y <= 0 && side < 0:
				n--
			}
		}
	}
	return n
}
