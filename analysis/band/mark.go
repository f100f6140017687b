package band

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Notches in the top rim tell bands from each other where there is no room for
// letters, and to the fingertips. They stop short of the inner wall, which the
// body touches. Common practice of tally marks, sizes by our own choice: wide
// and deep enough for a 0.4 mm nozzle in 0.2 mm layers. mm.
const (
	notchWide  = 1.2
	notchDeep  = 1.0
	notchEvery = 4.0 // from one to the next; twice that after each five
	innerLip   = 0.8 // of wall that stays on the inside, or half of it where it is thinner
	leastNotch = 0.4 // mm outward that a notch must take to be seen
	overlap    = 0.4 // of letters and wall
)

// Marks is what is wanted on a band to tell it from others.
type Marks struct {
	Notches int
	// Texts are tried from the first on until one has room. Spellable says what
	// can be raised.
	Texts []string
	// Nozzle is the printer's, mm. Marks are drawn for 0.4 mm and below, and
	// grow with a wider one.
	Nozzle float64
}

// marked is a band with its marks.
type marked struct {
	mesh    *mesh.Mesh
	notches int
	text    string
	taken   float64 // mm³ of the notches
}

// mark puts notches and letters on a flat band.
func mark(m *mesh.Mesh, height float64, center r2.Vec, want Marks) marked {
	out := marked{mesh: m}
	size := max(1, want.Nozzle/0.4)
	all := walls(m, height, size, center)
	at := 0.0 // where letters begin, from the first column of their stretch
	var w *wall
	first, columns := 0, 0
	for _, text := range want.Texts {
		if w, first, columns = place(all, size*longOf(text), isLetter); w != nil {
			out.text = text
			at = (float64(columns-1)*w.step - size*longOf(text)) / 2
			break
		}
	}
	out.notch(all, w, first, columns, height, want.Notches)
	if w == nil {
		return out
	}
	_, foot, _ := heightsOf(height, size)
	in := min(overlap, w.thinnest(first, columns)/2)
	letters := &mesh.Mesh{}
	strokes, _ := spelled(out.text)
	for i, s := range strokes {
		for _, p := range []*r2.Vec{&s.from, &s.to} {
			*p = r2.Add(r2.Scale(size, *p), r2.Vec{X: at, Y: foot})
		}
		raise(letters, s, apart(size*strokeWide, i), in, size*strokeHigh, func(x, y, d float64) r3.Vec { return w.at(first, x, y, d) })
	}
	out.mesh = mesh.Join(out.mesh, letters)
	return out
}

func isLetter(c *column) bool { return c.letter }
func isRim(c *column) bool    { return c.rim }

func longOf(text string) float64 {
	_, long := spelled(text)
	return long
}

// place finds the flattest stretch of all walls that has room for something so
// long, with a column to spare at both ends; nil where there is none.
func place(all []wall, long float64, room func(*column) bool) (w *wall, first, columns int) {
	least := math.Inf(1)
	for i := range all {
		n := int(math.Ceil(long/all[i].step)) + 3
		if at, bend, ok := all[i].window(n, room); ok && bend < least {
			w, first, columns, least = &all[i], at, n, bend
		}
	}
	return w, first, columns
}

// notch cuts notches: above the letters where the rim has room there, else
// where it has.
func (b *marked) notch(all []wall, letters *wall, first, columns int, height float64, count int) {
	if count <= 0 {
		return
	}
	long := notchAt(count-1) + notchWide
	w, n := letters, columns
	if w == nil || !w.roomFor(first, int(math.Ceil(long/w.step))+3, isRim) {
		w, first, n = place(all, long, isRim)
	}
	if w == nil {
		return
	}
	m, taken := b.mesh, 0.0
	start := w.step + notchWide/2
	if spare := float64(n-1)*w.step - long; w != letters {
		start = spare/2 + notchWide/2
	}
	for k := range count {
		sides, ok := w.notchSides(first, start+notchAt(k), height)
		if !ok {
			return
		}
		chip, rest, flaws := section.Carve(m, sides)
		if flaws.Any() || chip.Triangles() == 0 {
			return
		}
		m, taken = rest, taken+chip.Volume()
	}
	b.mesh, b.notches, b.taken = m, count, taken
}

// notchAt is how far notch k is from the first, mm.
func notchAt(k int) float64 { return notchEvery * float64(k+k/5) }

// roomFor reports whether so many columns from first on have room.
func (w *wall) roomFor(first, columns int, room func(*column) bool) bool {
	n := len(w.columns)
	if columns > n || !w.loop && first+columns > n {
		return false
	}
	for k := range columns {
		if !room(&w.columns[(first+k)%n]) {
			return false
		}
	}
	return true
}

// notchSides returns the sides of a notch s mm along the wall; false where it
// would be too shallow to be seen.
func (w *wall) notchSides(first int, s, height float64) ([]section.Plane, bool) {
	n := len(w.columns)
	k := int(s / w.step)
	a, b := &w.columns[(first+k)%n], &w.columns[(first+k+1)%n]
	t := s/w.step - float64(k)
	at := r2.Add(a.at, r2.Scale(t, r2.Sub(b.at, a.at)))
	out := unit(r2.Add(a.out, r2.Scale(t, r2.Sub(b.out, a.out))))
	inside, outside, farthest, thin := math.Inf(-1), math.Inf(1), 0.0, math.Inf(1)
	for j := k - 1; j <= k+2; j++ {
		c := &w.columns[(first+j+n)%n]
		for i := letterLevels; i < allLevels; i++ {
			// Where it is along the middle's own direction.
			off := r2.Dot(out, r2.Sub(c.at, at))
			inside, outside = max(inside, off+c.inner[i]), min(outside, off+c.outer[i])
			farthest = max(farthest, off+c.outer[i])
			thin = min(thin, c.outer[i]-c.inner[i])
		}
	}
	low := inside + min(innerLip, thin/2)
	if outside-low < leastNotch {
		return nil, false
	}
	place := func(along, outward, z float64) r3.Vec {
		p := r2.Add(at, r2.Add(r2.Scale(outward, out), r2.Vec{X: -along * out.Y, Y: along * out.X}))
		return r3.Vec{X: p.X, Y: p.Y, Z: z}
	}
	o, l := r3.Vec{X: out.X, Y: out.Y}, r3.Vec{X: -out.Y, Y: out.X}
	return []section.Plane{
		{Point: place(0, low, height), Normal: r3.Scale(-1, o)},
		{Point: place(0, farthest+1, height), Normal: o},
		{Point: place(notchWide/2, low, height), Normal: l},
		{Point: place(-notchWide/2, low, height), Normal: r3.Scale(-1, l)},
		{Point: place(0, low, height-notchDeep), Normal: r3.Vec{Z: -1}},
	}, true
}
