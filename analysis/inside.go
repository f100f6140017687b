package analysis

import (
	"context"

	"gambeson/analysis/band"
	"gambeson/analysis/cavity"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// stationStep is the distance between two stations in mm.
const stationStep = 5

// lookInside finds the cavities of the part at the scale wanted.
func lookInside(ctx context.Context, m *mesh.Mesh, brief Brief) ([]cavity.Cavity, error) {
	var axis r3.Vec
	if brief.Axis != nil {
		axis = *brief.Axis
	}
	return cavity.Straight(ctx, m, axis, stationStep)
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

// cutBands cuts the test bands: one at the tightest station.
func (a *Answer) cutBands() {
	f := &a.Findings
	s, ok := f.Tightest()
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

// outline hands over the section at the tightest station for drawing.
func (a *Answer) outline(cavities []cavity.Cavity) {
	tightest, ok := a.Findings.Tightest()
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
	if s.Ellipse != nil {
		o.Room = &Ellipse{Center: s.Ellipse.Center, Major: s.Ellipse.Major, Minor: s.Ellipse.Minor, Turn: s.Ellipse.Turn}
	}
	return o
}
