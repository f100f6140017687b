package cavity

import (
	"slices"

	"gambeson/analysis/cavity/room"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Scaled returns the cavities of the part made f times as large. What is found
// at one size so holds at all others: a search anew would begin on another grid.
func Scaled(all []Cavity, f float64) []Cavity {
	if f == 1 {
		return all
	}
	out := make([]Cavity, len(all))
	for i, c := range all {
		out[i] = Cavity{Volume: f * f * f * c.Volume, Warnings: c.Warnings}
		for _, o := range c.Openings {
			o.Center = r3.Scale(f, o.Center)
			o.Girth, o.Capacity, o.Width, o.Gap = f*o.Girth, f*o.Capacity, f*o.Width, f*o.Gap
			out[i].Openings = append(out[i].Openings, o)
		}
		for _, l := range c.Lines {
			stations := make([]Station, len(l.Stations))
			for k := range l.Stations {
				stations[k] = l.Stations[k].scaled(f)
			}
			l.Length, l.Stations = f*l.Length, stations
			out[i].Lines = append(out[i].Lines, l)
		}
	}
	return out
}

func (s Station) scaled(f float64) Station {
	s.Along, s.Center = f*s.Along, r3.Scale(f, s.Center)
	s.InnerGirth, s.Gap, s.Capacity, s.bridged = f*s.InnerGirth, f*s.Gap, f*s.Capacity, f*s.bridged
	s.closed, s.doubt = f*s.closed, f*s.doubt
	s.Gaps = slices.Clone(s.Gaps)
	for i := range s.Gaps {
		s.Gaps[i] *= f
	}
	if s.Ellipse != nil {
		e := *s.Ellipse
		e.Center, e.Major, e.Minor = r2.Scale(f, e.Center), f*e.Major, f*e.Minor
		s.Ellipse = &e
	}
	s.Section = section.Section{
		Plane:  section.Plane{Point: r3.Scale(f, s.Section.Plane.Point), Normal: s.Section.Plane.Normal},
		Chains: append([]section.Chain(nil), s.Section.Chains...),
	}
	for i, c := range s.Section.Chains {
		s.Section.Chains[i].Points = scaled(c.Points, f)
	}
	s.Void = scaled(s.Void, f)
	walls := make([]room.Wall, len(s.Walls))
	for i, w := range s.Walls {
		walls[i] = room.Wall{r2.Scale(f, w[0]), r2.Scale(f, w[1])}
	}
	s.Walls = walls
	return s
}

func scaled(points []r2.Vec, f float64) []r2.Vec {
	if points == nil {
		return nil
	}
	out := make([]r2.Vec, len(points))
	for i, p := range points {
		out[i] = r2.Scale(f, p)
	}
	return out
}
