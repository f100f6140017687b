package cavity

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Wider returns how many times as wide the shell is at a section that is open as at a whole
// one of the same way, by the wall that the open one has: the girths of both once closed as
// circles, after the whole one has been cut open in the same directions. Of sections alike
// it is the ratio of their sizes, whatever their form and wherever they are cut, as closing
// errs by the same share in both. It is 0 where that cannot be told.
func (s *Station) Wider(whole *Station) float64 {
	if s.Gap == 0 || whole.Gap > 0 || len(s.gaps) != len(s.Void) || len(whole.Void) < 3 {
		return 0
	}
	from := r2.Vec{}
	if whole.Ellipse != nil {
		from = whole.Ellipse.Center
	}
	beside := func(i int) r2.Vec { // in the plane of the whole one, carried square to it
		return r2.Sub(whole.Section.Plane.Flat(s.Section.Plane.Lift(s.Void[i%len(s.Void)])), from)
	}
	var cuts [][2]r2.Vec
	for i, is := range s.gaps {
		if !is {
			continue
		}
		cut := [2]r2.Vec{beside(i), beside(i + 1)}
		if r2.Cross(cut[0], cut[1]) <= 0 {
			return 0 // more than half of the way round
		}
		cuts = append(cuts, cut)
	}
	cut := whole.without(from, cuts)
	if closed := cut.closedRound(); cut.Gap > 0 && closed > 0 {
		if wider := s.closedRound() / closed; wider < mostWider {
			return wider
		}
	}
	return 0
}

// mostWider is how much wider a shell may be along one way (a guess: beyond it, and where
// nothing closes, the comparison has failed).
const mostWider = 2

// without is what girths tell of a closed section cut open between two directions from a
// point, anticlockwise, or several such pairs.
func (s *Station) without(from r2.Vec, cuts [][2]r2.Vec) (out Station) {
	ends := make([][2]r2.Vec, len(cuts)) // where the outline is cut, from the point
	for i := range s.Void {
		a, b := r2.Sub(s.Void[i], from), r2.Sub(s.Void[(i+1)%len(s.Void)], from)
		at := []float64{0, 1} // along the side, where it is cut
		for k, cut := range cuts {
			for end, d := range cut {
				x, y := r2.Cross(d, a), r2.Cross(d, b)
				if (x > 0) == (y > 0) {
					continue
				}
				t := x / (x - y)
				p := r2.Add(a, r2.Scale(t, r2.Sub(b, a)))
				if r2.Dot(d, p) > 0 {
					at = append(at, t)
					if r2.Norm2(p) > r2.Norm2(ends[k][end]) {
						ends[k][end] = p
					}
				}
			}
		}
		out.InnerGirth += r2.Norm(r2.Sub(b, a)) * kept(a, b, at, cuts)
	}
	for _, e := range ends {
		chord := r2.Norm(r2.Sub(e[0], e[1]))
		out.Gaps = append(out.Gaps, chord)
		out.Gap += chord
	}
	return out
}

// kept is the share of the side from a to b, parted at some places, that no cut takes.
func kept(a, b r2.Vec, at []float64, cuts [][2]r2.Vec) (share float64) {
	slices.Sort(at)
	for i := 1; i < len(at); i++ {
		mid := r2.Add(a, r2.Scale((at[i-1]+at[i])/2, r2.Sub(b, a)))
		taken := slices.ContainsFunc(cuts, func(c [2]r2.Vec) bool {
			return r2.Cross(c[0], mid) > 0 && r2.Cross(mid, c[1]) > 0
		})
		if !taken {
			share += at[i] - at[i-1]
		}
	}
	return share
}
