package analysis

import (
	"fmt"
	"math"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
)

// placeOnBed answers whether the part fits the printer at f.Percent, and how.
// drawn is the part at 100 percent.
func (f *Findings) placeOnBed(drawn *mesh.Mesh, brief Brief, before *Findings) {
	v := buildVolume(brief.Printer)
	fit := bed.Place(drawn, v)
	factor := f.Percent / 100
	room, kind := fit.AsIs, "as-is"
	if !room.Fits(factor) && fit.Turned.Scale > room.Scale {
		room, kind = fit.Turned, "turned"
	}
	sin, cos := math.Sincos(room.Turn)
	f.Bed = &Bed{
		Fits:    room.Fits(factor),
		Largest: Largest{AsIs: 100 * fit.AsIs.Scale, Turned: 100 * fit.Turned.Scale},
		Placement: Placement{
			Kind:     kind,
			Rotation: [3][3]float64{{cos, 0 - sin, 0}, {sin, cos, 0}, {0, 0, 1}},
			Size:     [3]float64{room.Size[0] * factor, room.Size[1] * factor, room.Size[2] * factor},
		},
		Over: room.Over(v, factor),
	}
	if !f.Bed.Fits {
		f.warn("bed-overflow", f.overflow(brief.Printer, v, before))
	}
}

// buildVolume takes the margin off the bed; the height has none.
func buildVolume(p Printer) bed.Volume {
	v := bed.Volume{Height: p.Height}
	if p.Diameter > 0 {
		v.Diameter = p.Diameter - 2*p.Margin
		return v
	}
	v.Width, v.Depth = p.Bed[0]-2*p.Margin, p.Bed[1]-2*p.Margin
	return v
}

// overflow says that the part is too large, by how much, and what would fit;
// a file that fitted before it was changed "no longer fits".
func (f *Findings) overflow(p Printer, v bed.Volume, before *Findings) string {
	says := "Does not fit the bed"
	if before != nil && before.Bed != nil && before.Bed.Fits {
		says = "No longer fits the bed"
		if f.Changed.Kind == "rescaled" {
			says += fmt.Sprintf(" since the file was rescaled to %s %% of what it was", tenths(f.Changed.Percent))
		}
		if before.Percent != f.Percent {
			says += fmt.Sprintf(" since the scale wanted went from %s %% to %s %%", tenths(before.Percent), tenths(f.Percent))
		}
		says += fmt.Sprintf(" (%s before, up to %s %% would have fitted)", size(before.Bed.Placement.Size), tenths(before.Bed.largest()))
	}
	printable := fmt.Sprintf("%s × %s mm", tenths(v.Width), tenths(v.Depth))
	if v.Diameter > 0 {
		printable = fmt.Sprintf("a disc of %s mm", tenths(v.Diameter))
	}
	return fmt.Sprintf("%s: %s against %s and %s mm of height, with %s mm kept free at the edge. Standing upright and turned as you like it fits up to %s %% of the file; %s %% is wanted.",
		says, size(f.Bed.Placement.Size), printable, tenths(v.Height), tenths(p.Margin),
		floorTenths(f.Bed.largest()), tenths(f.Percent))
}

// largest returns the largest scale at which the part fits without being
// tilted.
func (b *Bed) largest() float64 {
	return max(b.Largest.AsIs, b.Largest.Turned, b.Largest.Laid)
}

// floorTenths writes a limit so that the number written still fits.
func floorTenths(x float64) string { return tenths(math.Floor(10*x+1e-6) / 10) }
