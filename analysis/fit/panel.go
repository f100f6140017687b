package fit

import (
	"math"
	"slices"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Panel is a strip of wall that comes off so that the body gets in: all that
// lies within Sides. The strip runs from the rim of the opening down to To and
// is Width wide, on the side that Facing shows to.
type Panel struct {
	To     float64 // mm from the opening
	Width  float64 // mm
	Facing r3.Vec  // unit vector square to the way
	Sides  []section.Plane
	// Whole says that the strip runs through to the other end of the part.
	Whole bool
}

const (
	// A strip is tried in steps of a share of the room's radius, and the first
	// that does is narrowed down to panelStep.
	panelShare = 1.0 / 8
	panelStep  = 1.0 // mm
	// panelSpare is the width on top of the least that passes: a strip is sawn
	// and sanded to about half a millimetre on each side (a guess).
	panelSpare = 1.0
	// panelBeyond is how far past the last tight place the strip runs: the
	// distance of two stations, between which nothing was measured.
	panelBeyond = 5.0
)

// PanelFor returns the narrowest strip on the side that toward shows to, with
// which every entry along its way has the room it needs; ok is false where no
// strip does it and the part must be parted in halves: a wall that goes less
// than half of the way round holds nothing.
//
// All entries go the same way. With the strip off, the gap is no obstacle to
// an oval that leans out of it, so a strip helps little until it is about as
// wide as the room's radius (for a circle of radius r and a 1:2 oval: 1.25 r
// for 4 % more girth, 1.65 r for 22 %, which is the most).
func PanelFor(entries []Entry, toward r3.Vec) (p Panel, ok bool) {
	tight := tightPlaces(entries)
	if len(tight) == 0 {
		return Panel{}, false
	}
	w := entries[0].Way
	last := 0
	for _, t := range tight {
		last = max(last, t.at)
	}
	p.Facing = square(toward, w.Stations[0].Normal)
	width := panelStep
	for _, t := range tight { // the width that serves one place serves as a start for the next
		if width, ok = widthAt(w.Stations[t.at], p.Facing, t.aspect, t.needed, width); !ok {
			return Panel{}, false
		}
	}
	p.Width = width + panelSpare
	p.To = w.Along(last) + panelBeyond
	if p.To >= w.Length-panelBeyond {
		p.To, p.Whole = w.Length, true
	}
	p.Sides = p.planes(w, last)
	return p, true
}

// tightPlace is a station of the way where an entry lacks room.
type tightPlace struct {
	at     int
	aspect [2]float64
	needed float64
}

// tightPlaces lists the stations at which an entry lacks room, each entry's
// throat first.
func tightPlaces(entries []Entry) []tightPlace {
	var first, rest []tightPlace
	for _, e := range entries {
		if e.Passes() {
			continue
		}
		first = append(first, tightPlace{e.At, e.Aspect, e.Needed})
		for i, s := range e.Way.Stations[:e.End] {
			if i == e.At || lower(s, e.Aspect) >= e.Needed {
				continue
			}
			if upper(s, e.Aspect) < e.Needed || !s.Holds(e.Aspect, e.Needed) {
				rest = append(rest, tightPlace{i, e.Aspect, e.Needed})
			}
		}
	}
	return append(first, rest...)
}

// square returns toward laid into the plane square to along; where it runs
// along it, z or x serves instead.
func square(toward, along r3.Vec) r3.Vec {
	for _, v := range []r3.Vec{toward, {Z: -1}, {X: 1}, {Y: 1}} {
		v = r3.Sub(v, r3.Scale(r3.Dot(v, along), along))
		if n := r3.Norm(v); n > 0.2 {
			return r3.Scale(1/n, v)
		}
	}
	return toward
}

// widthAt returns the least width, from least on, of a strip facing that way
// with which station s has the room needed; ok is false where none has.
func widthAt(s cavity.Station, facing r3.Vec, aspect [2]float64, needed, least float64) (width float64, ok bool) {
	does := func(width float64) bool {
		return s.HoldsWithout(strip(s, facing, width), aspect, needed)
	}
	radius := s.InnerGirth / (2 * math.Pi)
	if does(least) {
		return least, true
	}
	low := least
	for width = low + panelShare*radius; width <= 2*radius; width += panelShare * radius { // at 2·radius half is gone
		if !does(width) {
			low = width
			continue
		}
		for high := width; ; {
			if high-low <= panelStep {
				return high, true
			}
			if middle := (low + high) / 2; does(middle) {
				high = middle
			} else {
				low = middle
			}
		}
	}
	return 0, false
}

// strip returns what a strip takes out of a section: in the plane's own
// coordinates, the place at, the direction it faces, and half of its width.
func strip(s cavity.Station, facing r3.Vec, width float64) func(room.Wall) []room.Wall {
	u, v := s.Section.Plane.Axes()
	out := r2.Unit(r2.Vec{X: r3.Dot(facing, u), Y: r3.Dot(facing, v)})
	across := r2.Vec{X: -out.Y, Y: out.X}
	return func(w room.Wall) []room.Wall { return outside(w, out, across, width/2) }
}

// outside returns the pieces of a wall that do not lie in the strip of points
// with |p·across| < half and p·out > 0.
func outside(w room.Wall, out, across r2.Vec, half float64) []room.Wall {
	cuts := []float64{0, 1}
	along := r2.Sub(w[1], w[0])
	for _, c := range []struct {
		n r2.Vec
		d float64
	}{{across, half}, {across, -half}, {out, 0}} {
		if slope := r2.Dot(along, c.n); slope != 0 {
			if t := (c.d - r2.Dot(w[0], c.n)) / slope; t > 0 && t < 1 {
				cuts = append(cuts, t)
			}
		}
	}
	slices.Sort(cuts)
	var kept []room.Wall
	for i := 1; i < len(cuts); i++ {
		mid := r2.Add(w[0], r2.Scale((cuts[i-1]+cuts[i])/2, along))
		if math.Abs(r2.Dot(mid, across)) < half && r2.Dot(mid, out) > 0 {
			continue
		}
		kept = append(kept, room.Wall{r2.Add(w[0], r2.Scale(cuts[i-1], along)), r2.Add(w[0], r2.Scale(cuts[i], along))})
	}
	return kept
}

// planes returns the sides of the strip for section.Carve: both edges and the
// middle of the way as it begins at the rim, and where the strip ends.
func (p Panel) planes(w Way, last int) []section.Plane {
	s := w.Stations[last]
	inward := s.Normal
	if w.Back {
		inward = r3.Scale(-1, inward)
	}
	rim := w.Stations[0]
	across := r3.Unit(r3.Cross(rim.Normal, p.Facing))
	edge := r3.Scale(p.Width/2, across)
	sides := []section.Plane{
		{Point: r3.Add(rim.Center, edge), Normal: across},
		{Point: r3.Sub(rim.Center, edge), Normal: r3.Scale(-1, across)},
		{Point: rim.Center, Normal: r3.Scale(-1, p.Facing)},
	}
	if !p.Whole {
		end := r3.Add(s.Center, r3.Scale(p.To-w.Along(last), inward))
		sides = append(sides, section.Plane{Point: end, Normal: inward})
	}
	return sides
}

// ThroatOf measures the way of e anew in what is left of the part when the
// panel is off: at its tight places by fresh sections of the mesh, elsewhere
// as before.
func ThroatOf(rest *mesh.Mesh, e Entry) float64 {
	least := math.Inf(1)
	tight := map[int]bool{}
	for _, t := range tightPlaces([]Entry{e}) {
		tight[t.at] = true
		s := e.Way.Stations[t.at]
		s.Walls = nil
		for _, c := range section.Cut(rest, s.Section.Plane).Chains {
			for i := 1; i < len(c.Points); i++ {
				s.Walls = append(s.Walls, room.Wall{c.Points[i-1], c.Points[i]})
			}
			if c.Closed && len(c.Points) > 1 {
				s.Walls = append(s.Walls, room.Wall{c.Points[len(c.Points)-1], c.Points[0]})
			}
		}
		r, _ := s.RoomUpto(e.Aspect, least)
		least = min(least, r.Girth)
	}
	var others []cavity.Station
	var open []bool
	for i, s := range e.Way.Stations[:e.End] {
		if !tight[i] {
			others, open = append(others, s), append(open, e.open[i])
		}
	}
	if _, room, ok := throat(others, open, e.Aspect); ok {
		least = min(least, room)
	}
	return least
}
