package analysis

import (
	"context"
	"fmt"
	"math"

	"gambeson/analysis/cavity"
	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"
)

// stationStep is the distance between two stations in mm.
const stationStep = 5

// lookInside finds the cavities of the part as the file lies; along a
// straight axis where suit.toml forces one.
func lookInside(ctx context.Context, m *mesh.Mesh, brief Brief, workers int) ([]cavity.Cavity, error) {
	if brief.Axis != nil {
		return cavity.Straight(ctx, m, *brief.Axis, stationStep)
	}
	o := cavity.Options{Spacing: stationStep, Workers: max(1, workers)}
	if brief.Region.Name == "hand" {
		o.Ball = 8 // a finger's room; a body part is thicker
	}
	return cavity.Find(ctx, m, o)
}

// solidWall is how thick, mm, material is in the mean where it is no wall any
// more: twice the volume by the surface, which is the thickness of a sheet and
// the radius of a solid limb. Printed shells are 2 to 6 mm thick, a buckle 10
// (common practice, no source).
const solidWall = 20

// describeCavities puts the cavities into the findings.
func (f *Findings) describeCavities(cavities []cavity.Cavity) {
	for _, c := range cavities {
		out := Cavity{Volume: c.Volume}
		for _, o := range c.Openings {
			out.Openings = append(out.Openings, Opening{
				Name: o.Name, Center: triple(o.Center), Facing: triple(o.Facing), Girth: o.Girth, Capacity: o.Capacity,
			})
		}
		for _, l := range c.Lines {
			line := Centreline{From: l.From, To: l.To, Length: l.Length, Cup: fit.Cup(l), Aside: fit.Aside(l)}
			for _, s := range withinRims(l.Stations) {
				line.Stations = append(line.Stations, describeStation(s))
			}
			out.Centrelines = append(out.Centrelines, line)
		}
		f.Cavities = append(f.Cavities, out)
	}
	if thick := 2 * f.Mesh.Volume / f.Mesh.Area * f.Percent / 100; len(f.Cavities) == 0 && f.Mesh.Closed && thick > solidWall {
		f.warn("solid-block", fmt.Sprintf("The part is solid where the body should go: its material is about %s mm thick all over, and no shell is. Hollow it out before anything else.", tenths(thick)))
		return
	}
	if len(f.Cavities) == 0 {
		f.note("no-cavity", "The part does not close round the body anywhere: there is no girth to measure.")
	}
	f.warnBars()
}

// steepest is how many mm a girth may change in a mm of the way at an end: that of
// a cone that opens by a right angle. Where it changes more, the plane runs out
// over the rim on one side.
const steepest = 2 * math.Pi

// withinRims leaves out the stations at the ends of an open way whose planes run
// out over a rim: the wall seems much shorter there than it is.
func withinRims(all []cavity.Station) []cavity.Station {
	out := func(end, next cavity.Station) bool {
		return end.Gap > 0 && next.InnerGirth-end.InnerGirth > steepest*math.Abs(next.Along-end.Along)
	}
	for len(all) > 1 && out(all[0], all[1]) {
		all = all[1:]
	}
	for n := len(all); n > 1 && out(all[n-1], all[n-2]); n-- {
		all = all[:n-1]
	}
	return all
}

func describeStation(s cavity.Station) Station {
	out := Station{
		Along: s.Along, Center: triple(s.Center), Normal: triple(s.Normal),
		InnerGirth: s.InnerGirth, Gap: s.Gap, Capacity: s.Capacity, Cover: s.Cover, barred: s.Barred,
	}
	if closed := s.Closed(); !math.IsInf(closed, 1) {
		out.Closed, out.Doubt = closed, s.Doubt()
	}
	if s.Ellipse != nil {
		out.Ellipse = &[2]float64{s.Ellipse.Major, s.Ellipse.Minor}
	}
	return out
}

// OnlyCovers reports whether the part lies on the body and holds nothing of it: no way
// leads into it, or it is a lid, such as one for the shoulder or the knee, that none
// leads through.
func (f *Findings) OnlyCovers() bool {
	var region fit.Region
	if f.Region != nil {
		region, _ = fit.Of(f.Region.Name)
	}
	for _, c := range f.Cavities {
		for _, w := range c.Centrelines {
			if w.From != cavity.End && w.To != cavity.End || !region.Lid(w.Cup) {
				return false
			}
		}
		if len(c.Centrelines) == 0 && !region.Cap {
			return false
		}
	}
	return true
}
