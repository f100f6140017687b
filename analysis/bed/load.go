package bed

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Footprint is what a part that already lies as it will be printed takes of a
// bed.
type Footprint struct {
	Corners []r2.Vec // its convex outline from above, counter-clockwise
	Height  float64
}

// FootprintOf returns the footprint of m as it lies.
func FootprintOf(m *mesh.Mesh) Footprint {
	b := newBody(m)
	return Footprint{Corners: b.footprint(upright), Height: b.box.Size().Z}
}

// Load is one print: the parts that lie on the bed together.
type Load struct {
	Spots []Spot
}

// Spot is the place of one part on the bed.
type Spot struct {
	Item int     // its index among the footprints
	Turn float64 // about the vertical, counter-clockwise from above
	// Box is the rectangle on the bed that it takes, turned.
	Box r2.Box
}

// Put returns the part m turned and moved to its spot, standing on the bed.
func (s Spot) Put(m *mesh.Mesh) *mesh.Mesh {
	sin, cos := math.Sincos(s.Turn)
	turned := m.Map(func(p r3.Vec) r3.Vec {
		return r3.Vec{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos, Z: p.Z}
	})
	low := r3.Sub(r3.Vec{X: s.Box.Min.X, Y: s.Box.Min.Y}, turned.Bounds().Min)
	return turned.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, low) })
}

// Loads lays parts out on as few beds as it finds, gap mm apart, and returns
// the beds and the items that fit none. Each part takes the smallest rectangle
// round it, or, where that is too long, the one in which it fits the bed; on a
// round bed several parts keep to a rectangle in it. Equal questions have equal
// answers. The number of loads is not always the least there is: laying out
// rectangles is a hard problem, and this takes the best of a few quick ways.
func Loads(items []Footprint, v Volume, gap float64) (loads []Load, left []int) {
	for _, beds := range v.beds() {
		for _, order := range orders {
			l, rest := layOut(items, v, beds, gap, order)
			if loads == nil && left == nil || len(rest) < len(left) || len(rest) == len(left) && len(l) < len(loads) {
				loads, left = l, rest
			}
		}
	}
	return loads, left
}

// beds returns the sets of free rectangles to lay out on. A round bed has one
// for each of a few shapes of the rectangle in it.
func (v Volume) beds() [][]field {
	fields := v.fields()
	if v.Diameter <= 0 {
		return [][]field{fields}
	}
	var out [][]field
	d := fields[0].diameter
	middle := r2.Add(fields[0].low, r2.Vec{X: d / 2, Y: d / 2})
	for _, aspect := range []float64{1, 1.3, 1.7, 2.5} {
		size := r2.Scale(d/math.Hypot(1, aspect), r2.Vec{X: aspect, Y: 1})
		out = append(out, []field{{low: r2.Sub(middle, r2.Scale(0.5, size)), size: size}})
	}
	return out
}

// tile is an item as a rectangle.
type tile struct {
	item int
	turn float64
	size r2.Vec
}

// orders are the orders in which tiles are laid out.
var orders = []func(tile) float64{
	func(t tile) float64 { return -max(t.size.X, t.size.Y) },
	func(t tile) float64 { return -t.size.X * t.size.Y },
	func(t tile) float64 { return -t.size.X - t.size.Y },
	func(t tile) float64 { return -min(t.size.X, t.size.Y) },
}

// layOut lays the items out in one order, each on the first bed that takes it.
func layOut(items []Footprint, v Volume, beds []field, gap float64, order func(tile) float64) (loads []Load, left []int) {
	tiles, alone, left := tilesOf(items, v, beds)
	slices.SortStableFunc(tiles, func(a, b tile) int { return cmp.Compare(order(a), order(b)) })
	var free [][]r2.Box
	for _, t := range tiles {
		placed := false
		for i := range loads {
			var s Spot
			if s, free[i], placed = place(t, free[i], gap); placed {
				loads[i].Spots = append(loads[i].Spots, s)
				break
			}
		}
		if !placed {
			var fresh []r2.Box
			for _, f := range beds {
				fresh = append(fresh, r2.Box{Min: f.low, Max: r2.Add(f.low, r2.Add(f.size, r2.Vec{X: gap, Y: gap}))})
			}
			s, rest, _ := place(t, fresh, gap)
			loads, free = append(loads, Load{Spots: []Spot{s}}), append(free, rest)
		}
	}
	for _, s := range alone {
		loads = append(loads, Load{Spots: []Spot{s}})
	}
	return loads, left
}

// tilesOf returns the items as rectangles; those that fit a round bed only by
// themselves as spots; and those that do not fit.
func tilesOf(items []Footprint, v Volume, beds []field) (tiles []tile, alone []Spot, left []int) {
	for i, it := range items {
		t, ok := it.tile(beds)
		t.item = i
		switch tall := (Room{Scale: ratio(v.Height, it.Height)}); {
		case !tall.Fits(1):
			left = append(left, i)
		case ok:
			tiles = append(tiles, t)
		case v.Diameter > 0 && Room{Scale: ratio(v.fields()[0].diameter, 2*circle(it.Corners))}.Fits(1):
			alone = append(alone, it.amid(v, i))
		default:
			left = append(left, i)
		}
	}
	return tiles, alone, left
}

// tile returns the smallest rectangle round the footprint that lies on one of
// the beds.
func (f Footprint) tile(beds []field) (tile, bool) {
	hull := newOutline(f.Corners)
	var best tile
	area := math.Inf(1)
	try := func(turn float64) {
		wide, deep := extents(hull, turn)
		size := r2.Vec{X: wide, Y: deep}
		fits := slices.ContainsFunc(beds, func(b field) bool { return b.takes(size) || b.takes(r2.Vec{X: deep, Y: wide}) })
		if fits && wide*deep < area*(1-1e-9) {
			best, area = tile{turn: turn, size: size}, wide*deep
		}
	}
	for _, turn := range flush(f.Corners) {
		try(turn)
	}
	for _, b := range beds {
		_, turn, _, _ := turned(f.Corners, b.size.X, b.size.Y)
		try(turn)
	}
	return best, !math.IsInf(area, 1)
}

func (f field) takes(size r2.Vec) bool {
	return Room{Scale: min(ratio(f.size.X, size.X), ratio(f.size.Y, size.Y))}.Fits(1)
}

// amid returns the spot of item i in the middle of a round bed.
func (f Footprint) amid(v Volume, i int) Spot {
	at := v.fields()[0]
	low, high := f.Corners[0], f.Corners[0]
	for _, p := range f.Corners {
		low = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
		high = r2.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	middle := r2.Add(at.low, r2.Scale(0.5, at.size))
	shift := r2.Sub(middle, centreOf(f.Corners))
	return Spot{Item: i, Box: r2.Box{Min: r2.Add(low, shift), Max: r2.Add(high, shift)}}
}

// place puts a tile into the free rectangle that it fills best along one side
// (the others are the largest that remain: J. Jylänki, "A Thousand Ways to Pack
// the Bin", 2010), its low corner in the rectangle's, and returns the
// rectangles that are free then. A tile takes the gap on its high sides along;
// the beds were drawn so much larger.
func place(t tile, free []r2.Box, gap float64) (Spot, []r2.Box, bool) {
	best, least := Spot{}, math.Inf(1)
	var taken r2.Box
	for _, f := range free {
		room := f.Size()
		for quarter := range 2 {
			size := t.size
			if quarter == 1 {
				size = r2.Vec{X: t.size.Y, Y: t.size.X}
			}
			spare := r2.Sub(room, r2.Add(size, r2.Vec{X: gap, Y: gap}))
			if min(spare.X, spare.Y) < -slack || min(spare.X, spare.Y) >= least {
				continue
			}
			least = min(spare.X, spare.Y)
			best = Spot{Item: t.item, Turn: t.turn + float64(quarter)*math.Pi/2, Box: r2.Box{Min: f.Min, Max: r2.Add(f.Min, size)}}
			taken = r2.Box{Min: f.Min, Max: r2.Add(best.Box.Max, r2.Vec{X: gap, Y: gap})}
		}
	}
	if math.IsInf(least, 1) {
		return Spot{}, free, false
	}
	return best, without(free, taken), true
}
