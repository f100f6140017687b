package band

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// columnStep is how far columns of the outer wall are apart, mm.
	columnStep = 1.0
	// Rays look for the outer wall this far outside of where it is at mid height,
	// and for the inner wall this far inside, mm.
	lookOut, lookIn = 6.0, 12.0
	// Levels at which the wall is looked at: some where letters come, two at the
	// top rim where notches come.
	letterLevels = 4
	allLevels    = letterLevels + 2
	rimTop       = 0.15 // mm below the top
)

// Where the outer wall has room for marks. All are guesses, of shapes that a
// 0.4 mm nozzle prints legibly: the wall's least thickness (two lines), slope
// from level to level, step from column to column, and the turn of the wall by
// mm where it is round and where it is hollow.
const (
	leastWall  = 0.8
	mostSlope  = 0.58 // tan 30°
	mostStep   = 0.4
	mostRound  = 1.0 / 6
	mostHollow = 1.0 / 12
)

// column is a place on the outer wall, seen from the bed up.
type column struct {
	at, out     r2.Vec             // at the middle of the letters; outward
	outer       [allLevels]float64 // the wall's outside at each level, mm outward of at
	inner       [allLevels]float64 // its inside there, likewise (below outer)
	letter, rim bool               // there is room for letters, for notches
	turn        float64            // rad by which the wall turns from the column before, left positive
}

// wall is a run of columns, left to right as seen from outside.
type wall struct {
	columns []column
	step    float64 // mm from one to the next
	loop    bool    // the last is followed by the first
	z       [allLevels]float64
}

// heightsOf returns the levels for a band of a height, and where letters
// begin; letters is false where the band is too low for them.
func heightsOf(height, size float64) (z [allLevels]float64, foot float64, letters bool) {
	foot = (height - notchDeep - size*letterHigh) / 2
	letters = foot >= 0.9
	low, high := foot, foot+size*letterHigh
	if !letters {
		low, high = 0.2*height, 0.8*height
	}
	for i := range letterLevels {
		z[i] = low + (high-low)*float64(i)/(letterLevels-1)
	}
	z[letterLevels] = height - notchDeep
	z[letterLevels+1] = height - rimTop
	return z, foot, letters
}

// walls finds the outer walls of a flat band round center.
func walls(m *mesh.Mesh, height, size float64, center r2.Vec) []wall {
	z, _, letters := heightsOf(height, size)
	var through []r3.Vec
	for _, h := range append(z[:], height/2) {
		through = append(through, r3.Vec{Z: h})
	}
	cuts := section.Sweep(m, r3.Vec{Z: 1}, through)
	var levels [allLevels]level
	for i := range levels {
		levels[i] = newLevel(cuts[i])
	}
	mid := newLevel(cuts[allLevels])
	var out []wall
	for _, c := range cuts[allLevels].Chains {
		for _, w := range outside(c, center) {
			w.z = z
			w.look(&mid, &levels, center, letters)
			out = append(out, w)
		}
	}
	return out
}

// outside returns the runs of a chain that face away from center, as columns
// a step apart.
func outside(c section.Chain, center r2.Vec) []wall {
	all, step := columnsOf(c)
	n := len(all)
	faces := func(i int) bool {
		from := r2.Sub(all[i].at, center)
		return r2.Dot(all[i].out, from) > 0.64*r2.Norm(from) // within 50° of straight out
	}
	start := 0
	if c.Closed {
		for start < n && faces(start) {
			start++
		}
		if start == n && n > 0 {
			return []wall{{columns: all, step: step, loop: true}}
		}
	}
	var out []wall
	var run []column
	flush := func() {
		if len(run) > 2 {
			out = append(out, wall{columns: run, step: step})
		}
		run = nil
	}
	for k := range n {
		if i := (start + k) % n; faces(i) {
			run = append(run, all[i])
		} else {
			flush()
		}
	}
	flush()
	return out
}

// columnsOf walks a chain in equal steps of about columnStep. The direction
// outward is the mean over the three millimetres round a column, so that
// facets do not show.
func columnsOf(c section.Chain) (out []column, step float64) {
	long := c.Length()
	n := int(long / columnStep)
	if n < 8 || len(c.Points) < 2 {
		return nil, 0
	}
	step = long / float64(n)
	pieces := len(c.Points)
	if !c.Closed {
		pieces--
	}
	walked, due := 0.0, step/2
	for i := range pieces {
		p, q := c.Points[i], c.Points[(i+1)%len(c.Points)]
		d := r2.Norm(r2.Sub(q, p))
		for ; due < walked+d && len(out) < n; due += step {
			out = append(out, column{at: r2.Add(p, r2.Scale((due-walked)/d, r2.Sub(q, p)))})
		}
		walked += d
	}
	const reach = 2
	n = len(out)
	if n < 8 {
		return nil, 0
	}
	for i := range out {
		before, after := i-reach, i+reach
		if !c.Closed {
			before, after = max(0, before), min(n-1, after)
		}
		along := r2.Sub(out[(after+n)%n].at, out[(before+n)%n].at)
		out[i].out = unit(r2.Vec{X: along.Y, Y: -along.X})
	}
	return out, step
}

func unit(v r2.Vec) r2.Vec {
	if n := r2.Norm(v); n > 0 {
		return r2.Scale(1/n, v)
	}
	return r2.Vec{}
}

// look measures the wall at every column and level and says where there is
// room for marks.
func (w *wall) look(mid *level, levels *[allLevels]level, center r2.Vec, letters bool) {
	free := false
	for i := range w.columns {
		c := &w.columns[i]
		if i%3 == 0 {
			_, _, hidden := mid.far(r2.Add(c.at, r2.Scale(0.05, c.out)), c.out, 1e4)
			free = !hidden
		}
		c.letter, c.rim = free && letters, free
		for k := range levels {
			start := r2.Add(c.at, r2.Scale(lookOut, c.out))
			entered, left, ok := levels[k].near(start, r2.Scale(-1, c.out), lookOut+lookIn)
			c.outer[k], c.inner[k] = lookOut-entered, lookOut-left
			fits := ok && entered > 0 && left-entered >= leastWall
			if k > 0 {
				fits = fits && math.Abs(c.outer[k]-c.outer[k-1]) <= mostSlope*max(0.3, w.z[k]-w.z[k-1])
			}
			if k < letterLevels {
				c.letter = c.letter && fits
			} else {
				c.rim = c.rim && fits
			}
		}
	}
	for i := range w.columns {
		w.compare(i)
	}
}

// compare takes the room away where the wall jumps or turns sharply between
// column i and the one before.
func (w *wall) compare(i int) {
	n := len(w.columns)
	if i == 0 && !w.loop {
		return
	}
	a, b := &w.columns[(i+n-1)%n], &w.columns[i]
	b.turn = math.Asin(max(-1, min(1, r2.Cross(a.out, b.out))))
	step := r2.Norm(r2.Sub(a.at, b.at))
	smooth := b.turn <= mostRound*step && b.turn >= -mostHollow*step
	b.letter, b.rim = b.letter && smooth, b.rim && smooth
	for k := range b.outer {
		if math.Abs(a.outer[k]-b.outer[k]) > mostStep*step {
			if k < letterLevels {
				b.letter = false
			} else {
				b.rim = false
			}
		}
	}
}

// window finds where a stretch of so many columns has room, the flattest of
// all such, and returns its first column; from is where to begin looking.
func (w *wall) window(columns int, room func(*column) bool) (first int, bend float64, ok bool) {
	n := len(w.columns)
	if columns > n {
		return 0, 0, false
	}
	starts := n - columns + 1
	if w.loop {
		starts = n
	}
	for s := range starts {
		sum, fits := 0.0, true
		for k := 0; k < columns && fits; k++ {
			c := &w.columns[(s+k)%n]
			fits = room(c)
			sum += c.turn * c.turn
		}
		if fits && (!ok || sum < bend*(1-1e-6)-1e-9) {
			first, bend, ok = s, sum, true
		}
	}
	return first, bend, ok
}

// at returns the place s mm along the wall from its column first, at height z,
// d mm outside of the wall.
func (w *wall) at(first int, s, z, d float64) r3.Vec {
	n := len(w.columns)
	k := math.Floor(s / w.step)
	a, b := &w.columns[(first+int(k))%n], &w.columns[(first+int(k)+1)%n]
	t := s/w.step - k
	p := r2.Add(a.at, r2.Scale(t, r2.Sub(b.at, a.at)))
	out := unit(r2.Add(a.out, r2.Scale(t, r2.Sub(b.out, a.out))))
	off := a.outerAt(&w.z, z) + t*(b.outerAt(&w.z, z)-a.outerAt(&w.z, z))
	p = r2.Add(p, r2.Scale(off+d, out))
	return r3.Vec{X: p.X, Y: p.Y, Z: z}
}

// outerAt is the wall's outside at a height among the letters.
func (c *column) outerAt(levels *[allLevels]float64, z float64) float64 {
	k := 0
	for k+2 < letterLevels && z > levels[k+1] {
		k++
	}
	t := (z - levels[k]) / (levels[k+1] - levels[k])
	return c.outer[k] + t*(c.outer[k+1]-c.outer[k])
}

// thinnest is the wall's least thickness at the letters of a stretch.
func (w *wall) thinnest(first, columns int) float64 {
	least := math.Inf(1)
	for k := range columns {
		c := &w.columns[(first+k)%len(w.columns)]
		for i := range letterLevels {
			least = min(least, c.outer[i]-c.inner[i])
		}
	}
	return least
}
