package bed

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
)

// Laying out by shape: the bed is a grid of cells, a part the cells that its
// facets lie over or under, and a part may lie where its cells and those within
// the gap round them meet none that are taken. Parts lie with their low corner
// on a cell's, so that this wastes up to a cell between two of them.

// cellsAcross is how many cells the longer side of a bed has at most. A guess.
const cellsAcross = 120

// cells is a grid of bits, row by row in whole words.
type cells struct {
	cols, rows, words int
	bits              []uint64
}

func newCells(cols, rows int) *cells {
	words := (cols + 63) / 64
	return &cells{cols: cols, rows: rows, words: words, bits: make([]uint64, rows*words)}
}

func (c *cells) set(col, row int) { c.bits[row*c.words+col/64] |= 1 << (col % 64) }

// row returns the words of one row.
func (c *cells) row(r int) []uint64 { return c.bits[r*c.words : (r+1)*c.words] }

// each calls f for every cell that is set.
func (c *cells) each(f func(col, row int)) {
	for i, w := range c.bits {
		for ; w != 0; w &= w - 1 {
			f(i%c.words*64+bits.TrailingZeros64(w), i/c.words)
		}
	}
}

// draw sets the cells that the triangle meets; its corners are in cells.
func (c *cells) draw(corner [3]r2.Vec) {
	const hair = 1e-6
	bottom := min(corner[0].Y, corner[1].Y, corner[2].Y) - hair
	top := max(corner[0].Y, corner[1].Y, corner[2].Y) + hair
	for row := max(0, int(math.Floor(bottom))); row <= min(c.rows-1, int(math.Floor(top))); row++ {
		from, to := math.Inf(1), math.Inf(-1)
		for k, a := range corner {
			b := corner[(k+1)%3]
			lo, hi := 0.0, 1.0 // what of the edge lies in the row
			if d := b.Y - a.Y; d != 0 {
				at, end := (float64(row)-hair-a.Y)/d, (float64(row+1)+hair-a.Y)/d
				lo, hi = max(lo, min(at, end)), min(hi, max(at, end))
			} else if a.Y < float64(row)-hair || a.Y > float64(row+1)+hair {
				continue
			}
			for _, share := range [2]float64{lo, hi} {
				if x := a.X + share*(b.X-a.X); lo <= hi {
					from, to = min(from, x), max(to, x)
				}
			}
		}
		for col := max(0, int(math.Floor(from-hair))); col <= min(c.cols-1, int(math.Floor(to+hair))); col++ {
			c.set(col, row)
		}
	}
}

// drawn sets the cells of a footprint turned by turn, moved so that its low
// corner lies at low.
func (c *cells) drawn(f Footprint, turn float64, low r2.Vec, pitch float64) {
	sin, cos := math.Sincos(turn)
	at := func(p r2.Vec) r2.Vec { return r2.Vec{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos} }
	turned := make([]r2.Vec, len(f.Corners))
	for i, p := range f.Corners {
		turned[i] = at(p)
	}
	shift := r2.Sub(low, lowCorner(turned))
	cell := func(p r2.Vec) r2.Vec { return r2.Scale(1/pitch, r2.Add(at(p), shift)) }
	if f.part == nil {
		for i := 2; i < len(f.Corners); i++ {
			c.draw([3]r2.Vec{cell(f.Corners[0]), cell(f.Corners[i-1]), cell(f.Corners[i])})
		}
		return
	}
	flat := make([]r2.Vec, f.part.Vertices())
	for v := range flat {
		p := f.part.At(uint32(v))
		flat[v] = cell(r2.Vec{X: p.X, Y: p.Y})
	}
	for t := range f.part.Triangles() {
		c.draw(corners(f.part, t, flat))
	}
}

func corners(m *mesh.Mesh, t int, flat []r2.Vec) [3]r2.Vec {
	return [3]r2.Vec{flat[m.T[3*t]], flat[m.T[3*t+1]], flat[m.T[3*t+2]]}
}

// grown returns the cells with all that are nearer than gap to them, with a
// border of so many cells more on each side.
func (c *cells) grown(gap float64, border int) *cells {
	out := newCells(c.cols+2*border, c.rows+2*border)
	c.each(func(col, row int) {
		for dy := -border; dy <= border; dy++ {
			for dx := -border; dx <= border; dx++ {
				if dx == 0 && dy == 0 || math.Hypot(max(0, math.Abs(float64(dx))-1), max(0, math.Abs(float64(dy))-1)) < gap {
					out.set(col+dx+border, row+dy+border)
				}
			}
		}
	})
	return out
}

// shifted returns the cells moved right by so many columns, in a grid with so
// many words a row.
func (c *cells) shifted(cols, words int) *cells {
	out := &cells{cols: 64 * words, rows: c.rows, words: words, bits: make([]uint64, c.rows*words)}
	for r := range c.rows {
		from, to := c.row(r), out.row(r)
		for w, b := range from {
			at := w + cols/64
			if at < words {
				to[at] |= b << (cols % 64)
			}
			if at+1 < words && cols%64 > 0 {
				to[at+1] |= b >> (64 - cols%64)
			}
		}
	}
	return out
}

// meets reports whether c, moved up by so many rows, has a cell in common with o.
func (c *cells) meets(o *cells, rows int) bool {
	for i, b := range c.bits {
		if b != 0 && b&o.bits[rows*o.words+i] != 0 {
			return true
		}
	}
	return false
}

// add sets the cells of c, moved up by so many rows, in o.
func (c *cells) addTo(o *cells, rows int) {
	for i, b := range c.bits {
		o.bits[rows*o.words+i] |= b
	}
}

// ground is the bed as cells, with a border round it as wide as the gap.
type ground struct {
	v      Volume
	wide   r2.Vec // of the bed
	pitch  float64
	gap    float64
	border int
	strips *cells // of the bed alone
}

func groundOf(v Volume, gap float64) *ground {
	g := &ground{v: v, wide: r2.Vec{X: v.Width, Y: v.Depth}, gap: gap}
	if v.Diameter > 0 {
		g.wide = r2.Vec{X: v.Diameter, Y: v.Diameter}
	}
	g.pitch = max(g.wide.X, g.wide.Y) / cellsAcross
	g.border = int(math.Ceil(gap / g.pitch))
	g.strips = g.empty()
	for _, s := range v.Strips {
		low, high := r2.Scale(1/g.pitch, s.Min), r2.Scale(1/g.pitch, s.Max)
		for _, half := range [2]r2.Vec{{X: low.X, Y: high.Y}, {X: high.X, Y: low.Y}} {
			g.strips.draw([3]r2.Vec{r2.Add(low, g.rim()), r2.Add(high, g.rim()), r2.Add(half, g.rim())})
		}
	}
	return g
}

func (g *ground) rim() r2.Vec { return r2.Vec{X: float64(g.border), Y: float64(g.border)} }

func (g *ground) empty() *cells {
	const spare = 2 // for rounding
	return newCells(int(math.Ceil(g.wide.X/g.pitch))+2*g.border+spare, int(math.Ceil(g.wide.Y/g.pitch))+2*g.border+spare)
}

// stamp is an item turned in one way, as cells.
type stamp struct {
	tile
	hull      []r2.Vec // from its low corner
	own, wide *cells   // wide is larger by the gap, and by the border on all sides
}

// stamps returns the ways in which a tile may lie: as it is and by eighths.
func (g *ground) stamps(f Footprint, t tile) []stamp {
	var out []stamp
	for eighth := range 4 {
		s := stamp{tile: t}
		s.turn += float64(eighth) * math.Pi / 4
		sin, cos := math.Sincos(s.turn)
		for _, p := range f.Corners {
			s.hull = append(s.hull, r2.Vec{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos})
		}
		low := lowCorner(s.hull)
		s.size = r2.Sub(highCorner(s.hull), low)
		for i := range s.hull {
			s.hull[i] = r2.Sub(s.hull[i], low)
		}
		if s.size.X > g.wide.X+slack || s.size.Y > g.wide.Y+slack {
			continue
		}
		s.own = newCells(int(s.size.X/g.pitch)+1, int(s.size.Y/g.pitch)+1)
		s.own.drawn(f, s.turn, r2.Vec{}, g.pitch)
		s.wide = s.own.grown(g.gap/g.pitch, g.border)
		out = append(out, s)
	}
	return out
}

// find returns the first place for one of the stamps where it meets nothing that
// is taken, and takes it.
func (g *ground) find(stamps []stamp, taken *cells) (Spot, bool) {
	for _, s := range stamps {
		for col := 0; float64(col)*g.pitch+s.size.X <= g.wide.X+slack; col++ {
			wide, own := s.wide.shifted(col, taken.words), s.own.shifted(col+g.border, taken.words)
			for row := 0; float64(row)*g.pitch+s.size.Y <= g.wide.Y+slack; row++ {
				low := r2.Scale(g.pitch, r2.Vec{X: float64(col), Y: float64(row)})
				if wide.meets(taken, row) || own.meets(g.strips, row+g.border) || !g.round(s.hull, low) {
					continue
				}
				own.addTo(taken, row+g.border)
				return s.spot(low), true
			}
		}
	}
	return Spot{}, false
}

// round reports whether an outline from low on lies on the bed, where that is
// round.
func (g *ground) round(hull []r2.Vec, low r2.Vec) bool {
	if g.v.Diameter <= 0 {
		return true
	}
	middle := r2.Vec{X: g.v.Diameter / 2, Y: g.v.Diameter / 2}
	for _, p := range hull {
		if r2.Norm(r2.Sub(r2.Add(low, p), middle)) > g.v.Diameter/2+slack {
			return false
		}
	}
	return true
}

// interlock lays the tiles out by their shape, each on the first bed that takes
// it, those with the longest side first.
func interlock(items []Footprint, tiles, alone []tile, v Volume, beds []field, gap float64) []Load {
	g := groundOf(v, gap)
	var loads []Load
	var taken []*cells
	begin := func(s Spot) {
		c := g.empty()
		c.drawn(items[s.Item], s.Turn, r2.Add(s.Box.Min, r2.Scale(g.pitch, g.rim())), g.pitch)
		loads, taken = append(loads, Load{Spots: []Spot{s}}), append(taken, c)
	}
	for _, t := range alone {
		begin(t.spot(t.low))
	}
	tiles = slices.Clone(tiles)
	slices.SortStableFunc(tiles, func(a, b tile) int { return cmp.Compare(orders[0](a), orders[0](b)) })
	for _, t := range tiles {
		stamps := g.stamps(items[t.item], t)
		placed := false
		for i := range loads {
			var s Spot
			if s, placed = g.find(stamps, taken[i]); placed {
				loads[i].Spots = append(loads[i].Spots, s)
				break
			}
		}
		if !placed { // in the corner of the bed, exactly
			s, _, _ := place(t, fresh(beds, gap), gap)
			begin(s)
		}
	}
	return loads
}
