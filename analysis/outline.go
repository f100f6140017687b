package analysis

import (
	"math"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/fit"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Outline is a section to draw: a plane's meeting with the part, in the
// plane's own coordinates (mm), where a band is cut at the scale of the band.
type Outline struct {
	Way     int     // which centreline, counted over all cavities
	Along   float64 // mm from that centreline's start, at the scale of the findings
	Percent float64 // scale that it is drawn at
	Walls   []Polyline
	Void    []r2.Vec // the loop of the air round the body, nil where it is open
	// Room is the greatest ellipse inside, of the shape of the body's section where
	// Body is there, else of any; nil where none was found.
	Room *Ellipse
	Ring []r3.Vec     // the void again, in the frame of the part, at the scale of the findings
	Body *BodyOutline // what of the body is there, nil where that is not known
}

// Polyline is a run of points; a closed one goes on from its last to its first.
type Polyline struct {
	Points []r2.Vec
	Closed bool
}

// Ellipse lies in the plane of an outline: full axes in mm, the turn of the
// major one in radians.
type Ellipse struct {
	Center       r2.Vec
	Major, Minor float64
	Turn         float64
}

// BodyOutline is a section of the body as it would lie in a section of the
// part. Its shape is not known: it is taken to be an ellipse of the girth that
// is, in the middle, the turn and the shape of the greatest one that the part
// has room for.
type BodyOutline struct {
	Measure string
	Passes  bool // it passes there on its way in; else it rests
	Skin    Ellipse
	Padding float64 // mm between skin and wall, liner and all
	Needed  float64 // girth with it, and with ease where it rests
	Has     float64 // girth of the greatest ellipse of that shape
	// Gaps are the least and the greatest gap between the padded body and the wall;
	// empty where the body faces no wall.
	Gaps []WallGap
}

// WallGap is the way from the padded body, square to it, to the wall: Gap mm
// long, negative where the body reaches into the wall.
type WallGap struct {
	From, To r2.Vec
	Gap      float64
}

// At returns the point of an ellipse at an angle, and the unit vector that shows
// out of it there.
func (e Ellipse) At(angle float64) (p, out r2.Vec) {
	sin, cos := math.Sincos(angle)
	a, b := e.Major/2, e.Minor/2
	p, out = r2.Vec{X: a * cos, Y: b * sin}, r2.Vec{X: b * cos, Y: a * sin}
	s, c := math.Sincos(e.Turn)
	turn := func(v r2.Vec) r2.Vec {
		return r2.Vec{X: float64(c*v.X) - float64(s*v.Y), Y: float64(s*v.X) + float64(c*v.Y)}
	}
	return r2.Add(e.Center, turn(p)), r2.Unit(turn(out))
}

// outline hands over the sections where bands are cut for drawing, in the order
// of the bands; where there are none, that of the tightest place.
func (a *Answer) outline(cavities []cavity.Cavity) {
	f := &a.Findings
	var drawn []Band
next:
	for _, b := range f.Bands {
		for _, d := range drawn {
			if d.Station == b.Station && d.From == b.From && d.To == b.To {
				continue next // another sheet of its arcs
			}
		}
		drawn = append(drawn, b)
		way, s := stationAt(cavities, func(l cavity.Line, s cavity.Station) bool {
			return l.From == b.From && l.To == b.To && s.Along == b.Station
		})
		if s != nil {
			o := outlineOf(way, s, b.Percent/f.Percent)
			o.Percent = b.Percent
			f.dress(&o, s, b)
			a.Outlines = append(a.Outlines, o)
		}
	}
	if len(a.Outlines) > 0 {
		return
	}
	tightest, ok := f.bandPlace()
	if !ok {
		return
	}
	way, s := stationAt(cavities, func(_ cavity.Line, s cavity.Station) bool {
		return triple(s.Center) == tightest.Center && s.InnerGirth == tightest.InnerGirth
	})
	if s != nil {
		o := outlineOf(way, s, 1)
		o.Percent = f.Percent
		a.Outlines = append(a.Outlines, o)
	}
}

// stationAt finds the first station that is meant, and the number of its way
// over all cavities; nil where none is.
func stationAt(cavities []cavity.Cavity, meant func(cavity.Line, cavity.Station) bool) (way int, s *cavity.Station) {
	for _, c := range cavities {
		for _, l := range c.Lines {
			for i := range l.Stations {
				if meant(l, l.Stations[i]) {
					return way, &l.Stations[i]
				}
			}
			way++
		}
	}
	return 0, nil
}

// outlineOf is the section at a station, larger by a factor.
func outlineOf(way int, s *cavity.Station, factor float64) Outline {
	o := Outline{Way: way, Along: s.Along, Void: scaled(s.Void, factor)}
	for _, c := range s.Section.Chains {
		o.Walls = append(o.Walls, Polyline{Points: scaled(c.Points, factor), Closed: c.Closed})
	}
	for _, p := range s.Void {
		o.Ring = append(o.Ring, s.Section.Plane.Lift(p))
	}
	if s.Ellipse != nil {
		o.Room = &Ellipse{Center: r2.Scale(factor, s.Ellipse.Center), Major: factor * s.Ellipse.Major, Minor: factor * s.Ellipse.Minor, Turn: s.Ellipse.Turn}
	}
	return o
}

// scaled returns points as many times as far from the middle of their plane.
func scaled(points []r2.Vec, factor float64) []r2.Vec {
	var out []r2.Vec
	for _, p := range points {
		out = append(out, r2.Scale(factor, p))
	}
	return out
}

// dress puts into an outline what of the body a band there answers for: the body
// is as it is, the part at the scale of the band.
func (f *Findings) dress(o *Outline, s *cavity.Station, b Band) {
	region, known := fit.Of(f.Region.Name)
	if f.Fit == nil || f.Fit.Shell == nil || !known {
		return
	}
	body := BodyOutline{Measure: b.Measure, Passes: b.Passes, Padding: f.Fit.Shell.Padding + f.Fit.Shell.Liner}
	if b.Passes {
		body.Padding = f.Fit.Shell.EntryPadding + f.Fit.Shell.Liner
	}
	girth, aspect := 0.0, [2]float64{}
	for _, e := range f.Fit.Entries {
		if b.Passes && e.Measure == b.Measure {
			girth, body.Needed = e.Body, e.Needed
		}
	}
	for _, p := range region.Enters {
		if b.Passes && p.Measure == b.Measure {
			aspect = p.Aspect
		}
	}
	for _, sit := range f.Fit.Sits {
		if !b.Passes && sit.Measure == b.Measure {
			girth, body.Needed = sit.Body, sit.Needed
		}
	}
	for _, p := range region.Sits {
		if !b.Passes && p.Measure == b.Measure {
			aspect = p.Aspect
		}
	}
	if girth <= 0 || aspect[0] <= 0 {
		return
	}
	r, held := s.Room(aspect)
	if !held {
		return
	}
	factor := b.Percent / f.Percent
	middle := r2.Scale(factor, r.Centre)
	wide := girth / room.Girth(1, r.Minor/r.Major)
	body.Skin = Ellipse{Center: middle, Major: wide, Minor: wide * r.Minor / r.Major, Turn: r.Turn}
	body.Has = factor * r.Girth
	var walls []room.Wall
	for _, w := range s.Walls {
		walls = append(walls, room.Wall{r2.Scale(factor, w[0]), r2.Scale(factor, w[1])})
	}
	body.Gaps = wallGaps(body, walls)
	o.Room = &Ellipse{Center: middle, Major: factor * r.Major, Minor: factor * r.Minor, Turn: r.Turn}
	o.Body = &body
}

// A gap is one to a wall that runs along the body: by less than 45° against it,
// or it goes into an armhole.
const alongBody = math.Sqrt2 / 2

// wallGaps returns the least and the greatest gap of a body to walls, looking
// out of it in so many directions.
func wallGaps(b BodyOutline, walls []room.Wall) []WallGap {
	const directions = 180
	var least, most WallGap
	any := false
	for k := range directions {
		skin, out := b.Skin.At(2 * math.Pi * float64(k) / directions)
		back := 0.45 * b.Skin.Minor // from well inside, where there is no wall
		far, ok := hit(r2.Sub(skin, r2.Scale(back, out)), out, walls)
		if !ok {
			continue
		}
		from := r2.Add(skin, r2.Scale(b.Padding, out))
		g := WallGap{From: from, Gap: far - back - b.Padding}
		g.To = r2.Add(from, r2.Scale(g.Gap, out))
		if !any || g.Gap < least.Gap {
			least = g
		}
		if !any || g.Gap > most.Gap {
			most = g
		}
		any = true
	}
	if !any {
		return nil
	}
	return []WallGap{least, most}
}

// hit returns how far from a point in a direction the first wall is; ok is false
// where there is none, or it runs away from the body.
func hit(from, way r2.Vec, walls []room.Wall) (far float64, ok bool) {
	far = math.Inf(1)
	for _, w := range walls {
		a, along := r2.Sub(w[0], from), r2.Sub(w[1], w[0])
		cross := r2.Cross(way, along)
		if cross == 0 {
			continue // along the wall
		}
		t, share := r2.Cross(a, along)/cross, r2.Cross(a, way)/cross
		if t >= 0 && t < far && share >= 0 && share <= 1 {
			far, ok = t, math.Abs(cross) >= alongBody*r2.Norm(along)
		}
	}
	return far, ok
}
