package analysis

import (
	"context"
	"math"

	"gambeson/analysis/band"
	"gambeson/analysis/cavity"
	"gambeson/analysis/mesh"
)

// stationStep is the distance between two stations in mm.
const stationStep = 5

// lookInside finds the cavities of the part at the scale wanted; along a
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
			line := Centreline{From: l.From, To: l.To, Length: l.Length}
			for _, s := range l.Stations {
				line.Stations = append(line.Stations, describeStation(s))
			}
			out.Centrelines = append(out.Centrelines, line)
		}
		f.Cavities = append(f.Cavities, out)
	}
	if len(f.Cavities) == 0 {
		f.note("no-cavity", "The part does not close round the body anywhere: there is no girth to measure.")
	}
}

func describeStation(s cavity.Station) Station {
	out := Station{
		Along: s.Along, Center: triple(s.Center), Normal: triple(s.Normal),
		InnerGirth: s.InnerGirth, Gap: s.Gap, Capacity: s.Capacity, Cover: s.Cover,
	}
	if s.Ellipse != nil {
		out.Ellipse = &[2]float64{s.Ellipse.Major, s.Ellipse.Minor}
	}
	return out
}

// bandPlace returns the station that a test band tells most about: where the
// body has the least room for what it needs, on its way or at rest; without a
// body the tightest station.
func (f *Findings) bandPlace() (Station, bool) {
	least := math.Inf(1)
	var best Station
	try := func(from, to string, along, ratio float64) {
		if s, ok := f.stationOn(from, to, along); ok && ratio < least {
			best, least = s, ratio
		}
	}
	if f.Fit != nil {
		for _, e := range f.Fit.Entries {
			try(e.Opening, e.To, e.ThroatAlong, e.Throat/e.Needed)
		}
		for _, s := range f.Fit.Sits {
			try(s.From, s.To, s.Along, s.Capacity/s.Needed)
		}
	}
	if math.IsInf(least, 1) {
		return f.Tightest()
	}
	return best, true
}

// stationOn returns the station nearest to a place on the way between two
// openings, counted from the first.
func (f *Findings) stationOn(from, to string, along float64) (best Station, ok bool) {
	least := math.Inf(1)
	for _, l := range f.lines() {
		at := along
		switch {
		case l.From == from && l.To == to:
		case l.From == to && l.To == from:
			at = l.Length - along
		default:
			continue
		}
		for _, s := range l.Stations {
			if off := math.Abs(s.Along - at); off < least {
				best, least, ok = s, off, true
			}
		}
	}
	return best, ok
}

// cutBands cuts the test bands: one at the place that tells most.
func (a *Answer) cutBands() {
	f := &a.Findings
	s, ok := f.bandPlace()
	if !ok {
		return
	}
	ring, err := band.Ring(a.Shown, vec(s.Center), vec(s.Normal), band.Height)
	if err != nil {
		f.note("no-band", "No test band was cut: "+err.Error()+".")
		return
	}
	if ring.Flaws.Any() {
		f.note("band-open", "The surface is open where the test band was cut, so the band's mesh is not closed; look at its preview before printing.")
	}
	a.Bands = append(a.Bands, ring.Mesh)
	f.Bands = append(f.Bands, Band{
		File: bandFile(s.Along, f.Percent), Station: s.Along, Percent: f.Percent, Height: ring.Height, Arcs: 1,
	})
}

// outline hands over the section where the band is cut for drawing.
func (a *Answer) outline(cavities []cavity.Cavity) {
	tightest, ok := a.Findings.bandPlace()
	if !ok {
		return
	}
	way := 0
	for _, c := range cavities {
		for _, l := range c.Lines {
			for _, s := range l.Stations {
				if triple(s.Center) == tightest.Center && s.InnerGirth == tightest.InnerGirth {
					a.Outlines = append(a.Outlines, outlineOf(way, s))
					return
				}
			}
			way++
		}
	}
}

func outlineOf(way int, s cavity.Station) Outline {
	o := Outline{Way: way, Along: s.Along, Void: s.Void}
	for _, c := range s.Section.Chains {
		o.Walls = append(o.Walls, Polyline{Points: c.Points, Closed: c.Closed})
	}
	for _, p := range s.Void {
		o.Ring = append(o.Ring, s.Section.Plane.Lift(p))
	}
	if s.Ellipse != nil {
		o.Room = &Ellipse{Center: s.Ellipse.Center, Major: s.Ellipse.Major, Minor: s.Ellipse.Minor, Turn: s.Ellipse.Turn}
	}
	return o
}
