package drawing

import (
	"math"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/picture/solid"
	"gambeson/report/words"

	"gonum.org/v1/gonum/spatial/r3"
)

// drawBed draws the part on the bed.
func (d Part) drawBed() Picture {
	if b := d.Findings.Bed; b != nil && d.Shown != nil && d.Brief.Printer.Height > 0 {
		return d.drawOnBed(b)
	}
	return Picture{}
}

// drawOnBed draws the part on the bed that takes it, in the simplest placement
// that fits; on the first one, over its edges, where none does.
func (d Part) drawOnBed(bed *analysis.Bed) Picture {
	printer, l := d.Brief.Printer, bed.Placement
	at := " at " + words.Percent(d.Findings.Percent) + ", "
	heading := "On the bed" + at + l.Words()
	switch second := bed.Second; {
	case bed.Fits:
	case second != nil && second.Fits && d.Brief.Second != nil:
		printer, l = *d.Brief.Second, second.Placement
		heading = "On the second printer" + at + l.Words()
	case bed.Offer != nil:
		l = *bed.Offer
		heading = "On the bed" + at + l.Words() + ", on supports"
	default:
		heading = "Too large for the bed" + at + l.Words()
	}
	part, panel := d.Shown, d.Panel
	if d.Own != nil { // the bed takes one file at a time
		part, panel = d.Own, nil
	}
	b := solid.Bed{
		Title: words.Visible(heading), Width: printer.Bed[0], Depth: printer.Bed[1], Height: printer.Height,
		Margin: printer.Margin, Strips: printer.Strips, Part: onSpot(part, panel, l), Also: words.Also(d.Brief),
	}
	if printer.Diameter > 0 {
		b.Width, b.Depth, b.Round = printer.Diameter, printer.Diameter, true
	}
	return Picture{File: pictureName("bed", 0), Alt: b.Title + ": " + words.Size(l.Size), image: solid.OnBed(b)}
}

// onSpot puts the part, and the panel where it is apart, as they lie on the bed.
func onSpot(part, panel *mesh.Mesh, l analysis.Placement) []*mesh.Mesh {
	rows := [3]r3.Vec{vec(l.Rotation[0]), vec(l.Rotation[1]), vec(l.Rotation[2])}
	turn := func(p r3.Vec) r3.Vec {
		return r3.Vec{X: r3.Dot(rows[0], p), Y: r3.Dot(rows[1], p), Z: r3.Dot(rows[2], p)}
	}
	low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	var out []*mesh.Mesh
	for _, m := range []*mesh.Mesh{part, panel} {
		if m == nil {
			continue
		}
		m = m.Map(turn)
		at := m.Bounds().Min
		low = r3.Vec{X: min(low.X, at.X), Y: min(low.Y, at.Y), Z: min(low.Z, at.Z)}
		out = append(out, m)
	}
	shift := r3.Sub(r3.Vec{X: l.Spot[0], Y: l.Spot[1]}, low)
	for i, m := range out {
		out[i] = m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, shift) })
	}
	return out
}
