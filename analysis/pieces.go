package analysis

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gambeson/analysis/bed"
	"gambeson/analysis/bed/parting"
	"gambeson/analysis/bed/pin"
	"gambeson/analysis/section"
)

// parted parts the part for the printer where it fits none at the scale wanted, and
// along its length where suit.toml wants halves.
// The only error is that of ctx.
func (a *Answer) parted(ctx context.Context, brief Brief) error {
	f := &a.Findings
	second := !f.Bed.Fits && f.Bed.Second != nil && f.Bed.Second.Fits
	wish := f.wish(brief)
	if (f.Bed.Fits || second) && !wish.Anyhow || len(f.Singles) > 0 {
		return nil
	}
	v := brief.Printer.Volume()
	if second {
		v = brief.Second.Volume()
	}
	pieces, err := bed.Part(ctx, a.Own, v, wish)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, parting.ErrTooMany):
		f.note("pieces-none", fmt.Sprintf("It was not parted for the bed: %v. Look at its unit and at the scale.", err))
		return nil
	case err != nil:
		f.note("pieces-none", fmt.Sprintf("It was not parted for the bed: %v.", err))
		return nil
	case !pieces.Wanted():
		if wish.Anyhow && !f.OnlyCovers() {
			f.warn(uncut, uncutText)
		}
		return nil
	}
	if wish.Anyhow && !pieces.Halved && !f.OnlyCovers() {
		f.warn(uncut, uncutText)
	}
	a.describePieces(pieces, v)
	f.notePieces(pieces, wish)
	return nil
}

// uncut is the code of the warning that halves are wanted and none are made.
const (
	uncut     = "halves-uncut"
	uncutText = "suit.toml has it in halves, but no straight cut along its length was found that opens it all the way: closed rings are left in its mesh. Cut it open along its length in a modelling program before you print it."
)

// opened reports whether the halves that suit.toml wants open the part along the limb,
// as do those it is in already and what does not close round the body.
func (a *Answer) opened(brief Brief) bool {
	f := &a.Findings
	wish := f.wish(brief)
	return !wish.Anyhow || len(f.Singles) > 0 || len(wish.Ways) == 0 || f.OnlyCovers() || parting.Opens(a.Own, wish)
}

// wish says how the part would best be parted: clear of where the body rests and
// passes and of the rims of openings, along the limb where it must be opened.
func (f *Findings) wish(brief Brief) parting.Wish {
	along := f.PartsAlong() || f.inPieces() // it is open along the limb already
	w := parting.Wish{Halves: brief.Halves && !along, Anyhow: brief.Halves && !along, Pins: pin.Common()}
	most := 0 // of what speaks for a way to be the limb's
	for _, c := range f.Cavities {
		for _, o := range c.Openings {
			w.Clear = append(w.Clear, parting.Place{At: vec(o.Center), Normal: vec(o.Facing), Radius: o.Girth / (2 * math.Pi), Rim: true})
		}
		for _, line := range c.Centrelines {
			var way []section.Plane
			for _, s := range line.Stations {
				way = append(way, section.Plane{Point: vec(s.Center), Normal: vec(s.Normal)})
			}
			if n := f.limbLike(line); n > most {
				w.Limbs, most = []int{len(w.Ways)}, n
			} else if n == most {
				w.Limbs = append(w.Limbs, len(w.Ways))
			}
			w.Ways = append(w.Ways, way)
			w.Clear = append(w.Clear, f.kept(line)...)
		}
	}
	if f.Fit != nil && !along {
		for _, e := range f.Fit.Entries {
			w.Halves = w.Halves || e.Halves
		}
	}
	return w
}

// inPieces reports whether the file holds several pieces with a gap between them along
// every way through it, as halves have that are cut already.
func (f *Findings) inPieces() bool {
	if f.Mesh == nil || f.Mesh.Components < 2 {
		return false
	}
	ways := 0
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			if !line.open() {
				return false
			}
			ways++
		}
	}
	return ways > 0
}

// limbLike returns how much speaks for a way to be the one that the limb goes, which
// a seam has to follow to open the part: that something does not pass there, or else
// how many measures rest there. Of a trunk it is the way from the waist to the neck,
// not that out of an armhole.
func (f *Findings) limbLike(line Centreline) int {
	if f.Fit == nil {
		return 0
	}
	n := 0
	for _, s := range f.Fit.Sits {
		if s.From == line.From && s.To == line.To {
			n++
		}
	}
	for _, e := range f.Fit.Entries {
		if e.Halves && e.Opening == line.From && e.To == line.To {
			n += len(f.Fit.Sits) + 1
		}
	}
	return n
}

// kept lists the stations of a way that matter: where a measure rests, and where
// it is tightest on the way in.
func (f *Findings) kept(line Centreline) []parting.Place {
	var out []parting.Place
	add := func(along float64) {
		best := -1
		for i, s := range line.Stations {
			if best < 0 || math.Abs(s.Along-along) < math.Abs(line.Stations[best].Along-along) {
				best = i
			}
		}
		if best >= 0 {
			s := line.Stations[best]
			out = append(out, parting.Place{At: vec(s.Center), Normal: vec(s.Normal), Radius: s.InnerGirth / (2 * math.Pi)})
		}
	}
	if f.Fit == nil {
		if tightest, widest := line.Ends(); tightest >= 0 && widest >= 0 {
			add(line.Stations[tightest].Along)
			add(line.Stations[widest].Along)
		}
		return out
	}
	for _, s := range f.Fit.Sits {
		if s.From == line.From && s.To == line.To {
			add(s.Along)
		}
	}
	for _, e := range f.Fit.Entries {
		if e.Opening == line.From && e.To == line.To {
			add(e.ThroatAlong)
		}
	}
	return out
}

// describePieces lays each piece as it is printed best.
func (a *Answer) describePieces(pieces parting.Pieces, v bed.Volume) {
	b := a.Findings.Bed
	for _, p := range pieces.Pieces {
		lie, _ := bed.SearchResting(p.Mesh, v).Easiest(1)
		m := lie.Put(p.Mesh)
		box := m.Bounds()
		out := Piece{
			File: "pieces/" + p.Name + ".stl", Bounds: triple(box.Size()),
			Volume: m.Volume(), Holes: p.Holes, Overhang: lie.Overhang,
		}
		if p.Bodies > 1 {
			out.Bodies = p.Bodies
		}
		if len(p.Seams) > 0 {
			plane := planeOf(pieces.Seams[p.Seams[0]].Plane)
			out.Plane = &plane
		}
		b.Pieces, a.Pieces, a.Parted = append(b.Pieces, out), append(a.Pieces, m), append(a.Parted, p.Mesh)
	}
	for _, s := range pieces.Seams {
		b.Seams = append(b.Seams, Seam{
			Plane: planeOf(s.Plane), Length: s.Length, Above: fromOne(s.Above), Below: fromOne(s.Below),
			Pins: pinsOf(s.Keys), Unkeyed: s.Unkeyed,
		})
	}
}

func planeOf(p section.Plane) Plane {
	return Plane{Point: triple(p.Point), Normal: triple(p.Normal)}
}

func fromOne(from []int) []int {
	out := make([]int, len(from))
	for i, k := range from {
		out[i] = k + 1
	}
	return out
}

// pinsOf counts the pins of each diameter.
func pinsOf(keys []parting.Key) []Pin {
	var out []Pin
next:
	for _, k := range keys {
		for i := range out {
			if out[i].Diameter == k.Pin.Diameter {
				out[i].Count++
				out[i].Depth = min(out[i].Depth, k.Depth)
				continue next
			}
		}
		out = append(out, Pin{Diameter: k.Pin.Diameter, Count: 1, Depth: k.Depth})
	}
	return out
}

// notePieces says what is not as one would wish it.
func (f *Findings) notePieces(p parting.Pieces, wish parting.Wish) {
	n := len(p.Pieces)
	switch {
	case p.Halved && p.Otherwise > 1 && n > p.Otherwise:
		f.note("pieces-halved", fmt.Sprintf("Parted along the limb, so that it can be put on, it makes %s; to fit the bed alone it would make %d.", count(n, "piece"), p.Otherwise))
	case wish.Halves && !p.Halved && p.Otherwise > 0:
		f.note("pieces-not-halved", fmt.Sprintf("It has to be opened along the limb to be put on. Parted that way it would make %s instead of %d: to have it so, write halves = true for it in suit.toml; else cut the pieces open along the limb as well.", count(p.Otherwise, "piece"), n))
	case wish.Halves && !p.Halved:
		f.note("pieces-not-halved", "It has to be opened along the limb to be put on, but no seam between the pieces goes that way: part it along its length as well.")
	}
	if p.Flaws.Any() {
		f.note("pieces-flawed", "The surface has faults where it was parted for the bed, so that some pieces are not quite closed there: look at their preview.")
	}
	if p.Near > 0 {
		f.note("pieces-near", "A seam between pieces comes near a place that was measured, or a rim: there was no other way.")
	}
}

// countLoads counts the prints that the part, or its pieces, and its bands make.
func (a *Answer) countLoads(brief Brief) {
	b := a.Findings.Bed
	var bands, all []bed.Footprint
	for _, m := range a.Bands {
		bands = append(bands, bed.FootprintOf(m))
	}
	for _, m := range a.Pieces {
		all = append(all, bed.FootprintOf(m).Filled())
	}
	v, gap := brief.Printer.Volume(), brief.Printer.Gap()
	if b.Fits && len(a.Pieces) == 0 {
		all = append(all, a.lies)
	}
	count := func(items []bed.Footprint) int {
		if loads, left := bed.Loads(items, v, gap); len(left) == 0 {
			return len(loads)
		}
		return 0
	}
	b.BandLoads = count(bands)
	if len(all) > 0 {
		b.Loads = count(append(all, bands...))
	}
}
