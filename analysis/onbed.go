package analysis

import (
	"fmt"
	"math"
	"strings"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
)

// placing is how a part may lie on the printers: what Examine finds of it ahead,
// while it looks for other things.
type placing struct {
	bed     *Bed          // the second printer's in it
	outline bed.Footprint // of the part as it was placed, at the scale wanted
}

// onBeds looks at the printers. drawn is the part at 100 percent.
func onBeds(drawn *mesh.Mesh, brief Brief, percent float64) (p placing) {
	p.bed, p.outline = onBed(drawn, brief.Printer, percent)
	if brief.Second != nil {
		p.bed.Second, _ = onBed(drawn, *brief.Second, percent)
	}
	return p
}

// placeOnBed says whether the part fits the printer at f.Percent, and how.
func (f *Findings) placeOnBed(p placing, brief Brief, before *Findings) {
	f.Bed = p.bed
	switch {
	case f.Bed.Fits:
	case f.Bed.Second != nil && f.Bed.Second.Fits:
		f.note("bed-second", f.overflow(brief, before))
	default:
		f.warn("bed-overflow", f.overflow(brief, before))
	}
}

// onBed looks at one printer, and returns also the outline of the part there.
func onBed(drawn *mesh.Mesh, p Printer, percent float64) (*Bed, bed.Footprint) {
	v, factor := p.Volume(), percent/100
	lies := bed.Search(drawn, v)
	best, fits := lies.At(factor)
	out := &Bed{
		Fits: fits,
		Largest: Largest{
			AsIs: limited(lies.AsIs), Turned: limited(lies.Turned), Laid: limited(lies.Laid), Tilted: limited(lies.Tilted),
		},
		Placement: placed(best, p, factor),
		Over:      best.Over(v, factor),
	}
	if easy, ok := lies.Easiest(factor); ok && out.Placement.Overhang-easy.Overhang*factor*factor > max(worth, out.Placement.Overhang*worthShare) {
		easier := placed(easy, p, factor)
		out.Easier = &easier
	}
	if !fits && lies.Tilted.Fits(factor) {
		offer := placed(lies.Tilted, p, factor)
		out.Offer = &offer
	}
	return out, lies.Outline(best, factor)
}

// A placement is worth being told beside a simpler one where it saves so much
// overhang: 10 cm² and a third of it. Guesses.
const (
	worth      = 1000 // mm²
	worthShare = 1.0 / 3
)

// limited returns the largest scale of a lie in percent; a part without size has
// no limit, which JSON has no number for.
func limited(l bed.Lie) float64 { return 100 * min(l.Scale, mostScale) }

// mostScale is a scale that nobody asks for.
const mostScale = 1e6

// placed describes a lie at factor.
func placed(l bed.Lie, p Printer, factor float64) Placement {
	spot := l.Spot(factor)
	return Placement{
		Kind:       string(l.Kind),
		Rotation:   l.Rotation,
		Size:       [3]float64{l.Size[0] * factor, l.Size[1] * factor, l.Size[2] * factor},
		Spot:       [2]float64{spot.X + p.Margin, spot.Y + p.Margin},
		Overhang:   l.Overhang * factor * factor,
		FirstLayer: l.Ground * factor * factor,
	}
}

// Gap returns how far apart parts on one bed lie, mm: what is kept free at the
// edge, so that each has its brim, and no less than leastGap.
func (p Printer) Gap() float64 { return max(p.Margin, leastGap) }

// leastGap keeps the nozzle of one part from touching the next (common practice,
// no source).
const leastGap = 3

// Volume returns the printable volume: the bed without its margin, the margin
// round its strips too; the height has none. Its places count from the low
// corner of what is left of the bed.
func (p Printer) Volume() bed.Volume {
	v := bed.Volume{Height: p.Height}
	for _, s := range p.Strips { // counted from what is left of the bed
		low := r2.Vec{X: s[0] - p.Margin, Y: s[1] - p.Margin}
		grow := r2.Vec{X: p.Margin, Y: p.Margin}
		v.Strips = append(v.Strips, r2.Box{Min: r2.Sub(low, grow), Max: r2.Add(r2.Add(low, r2.Vec{X: s[2], Y: s[3]}), grow)})
	}
	if p.Diameter > 0 {
		v.Diameter = p.Diameter - 2*p.Margin
		return v
	}
	v.Width, v.Depth = p.Bed[0]-2*p.Margin, p.Bed[1]-2*p.Margin
	return v
}

// overflow says that the part is too large, by how much, and what would fit;
// a file that fitted before it was changed "no longer fits".
func (f *Findings) overflow(brief Brief, before *Findings) string {
	bed, second := f.Bed, f.Bed.Second
	says := "Does not fit the bed"
	if second != nil {
		says = "Does not fit the first printer"
	}
	if before != nil && before.Bed != nil && before.Bed.Fits {
		says = strings.Replace(says, "Does not fit", "No longer fits", 1)
		if c := f.Changed; c != nil && c.Kind != "same" && c.Text != "" {
			says += " since the file was " + c.Text
		}
		if before.Percent != f.Percent {
			says += fmt.Sprintf(" since the scale wanted went from %s %% to %s %%", inPercent(before.Percent), inPercent(f.Percent))
		}
		says += fmt.Sprintf(" (%s before, up to %s %% would have fitted)", size(before.Bed.Placement.Size), floorTenths(before.Bed.UpTo()))
	}
	says += fmt.Sprintf(": %s, %s. The printer has %s. Turned and laid as you like it fits up to %s %%, and here it is at %s %%.",
		size(bed.Placement.Size), bed.Placement.Words(), brief.Printer.room(), floorTenths(bed.UpTo()), inPercent(f.Percent))
	switch {
	case second == nil:
	case second.Fits:
		return says + fmt.Sprintf(" It fits the second printer, %s.", second.Placement.Words())
	default:
		says += fmt.Sprintf(" On the second printer it fits up to %s %%.", floorTenths(second.UpTo()))
	}
	if o := bed.Offer; o != nil {
		says += fmt.Sprintf(" Up to %s %% it fits %s, standing on supports.", floorTenths(bed.Largest.Tilted), o.Words())
	}
	return says
}

// room says what can be printed on.
func (p Printer) room() string {
	bed := fmt.Sprintf("%s × %s mm", tenths(p.Bed[0]-2*p.Margin), tenths(p.Bed[1]-2*p.Margin))
	if p.Diameter > 0 {
		bed = fmt.Sprintf("a disc of %s mm", tenths(p.Diameter-2*p.Margin))
	}
	bed += fmt.Sprintf(" and %s mm of height, with %s mm kept free at the edge", tenths(p.Height), tenths(p.Margin))
	if n := len(p.Strips); n > 0 {
		bed += " and round " + count(n, "strip") + " that cannot be printed on"
	}
	return bed
}

// UpTo returns the largest scale at which the part fits without being tilted, so that it
// needs no supports.
func (b *Bed) UpTo() float64 {
	return max(b.Largest.AsIs, b.Largest.Turned, b.Largest.Laid)
}

// floorTenths writes the percent of a limit so that the number written still fits.
func floorTenths(x float64) string { return inPercent(math.Floor(10*x+1e-6) / 10) }
