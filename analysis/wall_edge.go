package analysis

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// wallPlaces are the places at which the wall was measured, station by station. At
// a rim the wall ends in an edge, where its thickness goes to nothing by itself;
// which places lie beside one is told by the section they lie in and by those
// before and after it.
type wallPlaces struct {
	line   int // of the station that is taken in
	planes []stationPlane
	all    []wallPlace
}

// stationPlane is the plane of a station; first is where its places begin.
type stationPlane struct {
	section.Plane
	line, first int
}

// off is how far a place lies from the plane, mm, with its sign.
func (p stationPlane) off(at r3.Vec) float64 { return r3.Dot(r3.Unit(p.Normal), r3.Sub(at, p.Point)) }

type wallPlace struct {
	Wall
	at         r3.Vec
	span       float64
	rim        float64 // mm to the edge in its own section, +Inf where that shows none
	station    int
	atRim      bool // of an opening: it does not count
	edge, seen bool // edge: it lies beside one; seen: that was asked
}

// plane begins the next station.
func (w *wallPlaces) plane(p section.Plane) {
	w.planes = append(w.planes, stationPlane{p, w.line, len(w.all)})
}

// add takes in a place of the station that was begun last.
func (w *wallPlaces) add(t section.Thickness, at r3.Vec, wall Wall, atRim bool) {
	wall.Center = triple(at)
	p := wallPlace{Wall: wall, at: at, span: t.Span, rim: t.Rim, station: len(w.planes) - 1, atRim: atRim}
	// Of a narrow wall the middle stays, whatever is near.
	if wide := edgeShare * t.Wide; wide < pastRim {
		p.seen, p.edge = true, t.Rim < wide
	}
	w.all = append(w.all, p)
}

// thinnest returns the thinnest wall but for thinShare of it and for the edges, nil
// where there is none.
func (w *wallPlaces) thinnest() (found *Wall) {
	var order []int
	left := 0.0
	for i, p := range w.all {
		if !p.atRim {
			order = append(order, i)
			left += thinShare * p.span
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(w.all[i].Thinnest, w.all[j].Thinnest) })
	for _, i := range order {
		if w.leftOut(i) {
			continue
		}
		found = &w.all[i].Wall
		if left -= w.all[i].span; left <= 0 {
			break
		}
	}
	return found
}

// leftOut reports whether a place lies beside an edge, and wall that does not is near
// enough to speak for it.
func (w *wallPlaces) leftOut(i int) bool {
	return w.beside(i) && w.any(w.all[i], besideEdge, func(k int, _ float64) bool { return !w.beside(k) })
}

// any reports whether a place of the same way is that near to one and is so.
func (w *wallPlaces) any(p wallPlace, near float64, so func(k int, away float64) bool) bool {
	for s, plane := range w.planes {
		if plane.line != w.planes[p.station].line || math.Abs(plane.off(p.at)) > near {
			continue
		}
		for k := plane.first; k < w.end(s); k++ {
			if away := r3.Norm(r3.Sub(w.all[k].at, p.at)); away <= near && so(k, away) {
				return true
			}
		}
	}
	return false
}

// end is where the places of a station end.
func (w *wallPlaces) end(station int) int {
	if station+1 < len(w.planes) {
		return w.planes[station+1].first
	}
	return len(w.all)
}

// beside reports whether a place lies within pastRim of an edge: its own section or
// one near it shows the edge, or the next section has no wall where it would go on.
func (w *wallPlaces) beside(i int) bool {
	p := &w.all[i]
	if p.seen {
		return p.edge
	}
	p.seen = true
	p.edge = p.rim < pastRim || w.ends(*p, -1) || w.ends(*p, 1) ||
		w.any(*p, pastRim, func(k int, away float64) bool { return away+w.all[k].rim < pastRim })
	return p.edge
}

// wallStep is by how much, in mm, the place that is nearest may lie off, as places are
// at most half as much apart.
const wallStep = 4

// ends reports whether the wall ends between a place and the station before or after
// it: nothing of it is found there as near as a wall that rises at 45° would be.
func (w *wallPlaces) ends(p wallPlace, step int) bool {
	s := p.station + step
	if s < 0 || s >= len(w.planes) || w.planes[s].line != w.planes[p.station].line || w.planes[s].first == w.end(s) {
		return false
	}
	nearest := math.Inf(1)
	for k := w.planes[s].first; k < w.end(s); k++ {
		nearest = min(nearest, r3.Norm2(r3.Sub(w.all[k].at, p.at)))
	}
	return math.Sqrt(nearest) > math.Sqrt2*math.Abs(w.planes[s].off(p.at))+wallStep
}
