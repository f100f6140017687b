package bed

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Footprint is what a part that already lies as it will be printed takes of a
// bed.
type Footprint struct {
	Corners []r2.Vec // its convex outline from above, counter-clockwise
	Height  float64
	part    *mesh.Mesh // for its shape within the outline; nil where it fills it
}

// FootprintOf returns the footprint of m as it lies, without vertices that are no finite
// numbers.
func FootprintOf(m *mesh.Mesh) Footprint {
	points := make([]r2.Vec, 0, m.Vertices())
	for v := range m.Vertices() {
		if p := m.At(uint32(v)); p.X-p.X == 0 && p.Y-p.Y == 0 && p.Z-p.Z == 0 {
			points = append(points, r2.Vec{X: p.X, Y: p.Y})
		}
	}
	return Footprint{Corners: section.Hull(outer(points)), Height: m.Bounds().Size().Z, part: m}
}

// Outline returns the outline of the part lying so at factor, as Filled has it:
// of what lies inside nothing is known.
func (l Lies) Outline(lie Lie, factor float64) Footprint {
	f := frameOf(lie.Rotation)
	low, high := l.body.hull.Along(f[2])
	out := Footprint{Corners: l.body.footprint(f), Height: max(0, factor*(high-low))}
	for i, p := range out.Corners {
		out.Corners[i] = r2.Scale(factor, p)
	}
	return out
}

// Filled returns the footprint of a part that takes nothing inside its outline: a
// tall part that another is printed in is hard to clean, and fails with it.
func (f Footprint) Filled() Footprint {
	f.part = nil
	return f
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
// the beds and the items that fit none. Parts are laid out as rectangles, side
// by side, and by their shape as seen from above, so that a ring takes smaller
// ones inside; what needs fewer beds counts. Equal questions have equal answers.
// The number of loads is not always the least there is: laying out is a hard
// problem, and this takes the best of a few quick ways.
func Loads(items []Footprint, v Volume, gap float64) (loads []Load, left []int) {
	for _, beds := range v.beds() {
		tiles, alone, rest := tilesOf(items, v, beds)
		best := func(l []Load) {
			if loads == nil && left == nil || len(rest) < len(left) || len(rest) == len(left) && len(l) < len(loads) {
				loads, left = l, rest
			}
		}
		for _, order := range orders {
			best(layOut(tiles, alone, beds, gap, order))
		}
		if len(loads) > 1 {
			best(interlock(items, tiles, alone, v, beds, gap))
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
	low  r2.Vec // its low corner on the bed, where it lies by itself
	size r2.Vec
}

func (t tile) spot(low r2.Vec) Spot {
	return Spot{Item: t.item, Turn: t.turn, Box: r2.Box{Min: low, Max: r2.Add(low, t.size)}}
}

// orders are the orders in which tiles are laid out.
var orders = []func(tile) float64{
	func(t tile) float64 { return -max(t.size.X, t.size.Y) },
	func(t tile) float64 { return -t.size.X * t.size.Y },
	func(t tile) float64 { return -t.size.X - t.size.Y },
	func(t tile) float64 { return -min(t.size.X, t.size.Y) },
}

// layOut lays the tiles out in one order, each on the first bed that takes it;
// those that fit a bed by themselves only have one each.
func layOut(tiles, alone []tile, beds []field, gap float64, order func(tile) float64) []Load {
	var loads []Load
	var free [][]r2.Box
	tiles = slices.Clone(tiles)
	slices.SortStableFunc(tiles, func(a, b tile) int { return cmp.Compare(order(a), order(b)) })
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
			s, rest, _ := place(t, fresh(beds, gap), gap)
			loads, free = append(loads, Load{Spots: []Spot{s}}), append(free, rest)
		}
	}
	for _, t := range alone {
		loads = append(loads, Load{Spots: []Spot{t.spot(t.low)}})
	}
	return loads
}

// fresh returns what is free of an empty bed, in the form that place asks for:
// larger by gap on the high sides.
func fresh(beds []field, gap float64) []r2.Box {
	var out []r2.Box
	for _, f := range beds {
		out = append(out, r2.Box{Min: f.low, Max: r2.Add(f.low, r2.Add(f.size, r2.Vec{X: gap, Y: gap}))})
	}
	return out
}

// tilesOf returns the items as rectangles, those that fit a round bed only by
// themselves apart, and those that do not fit.
func tilesOf(items []Footprint, v Volume, beds []field) (tiles, alone []tile, left []int) {
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

// amid returns item i as a tile in the middle of a round bed.
func (f Footprint) amid(v Volume, i int) tile {
	at := v.fields()[0]
	low, high := lowCorner(f.Corners), highCorner(f.Corners)
	middle := r2.Add(at.low, r2.Scale(0.5, at.size))
	shift := r2.Sub(middle, centreOf(f.Corners))
	return tile{item: i, low: r2.Add(low, shift), size: r2.Sub(high, low)}
}

// place puts a tile into the free rectangle that it fills best along one side
// (the others are the largest that remain: J. Jylänki, "A Thousand Ways to Pack
// the Bin", 2010), its low corner in the rectangle's, and returns the
// rectangles that are free then. A tile takes the gap on its high sides along.
func place(t tile, free []r2.Box, gap float64) (Spot, []r2.Box, bool) {
	var best tile
	var low r2.Vec
	least := math.Inf(1)
	for _, f := range free {
		room := f.Size()
		for quarter := range 2 {
			way := t
			if quarter == 1 {
				way.turn, way.size = t.turn+math.Pi/2, r2.Vec{X: t.size.Y, Y: t.size.X}
			}
			spare := r2.Sub(room, r2.Add(way.size, r2.Vec{X: gap, Y: gap}))
			if edge := min(spare.X, spare.Y); edge >= -slack && edge < least {
				best, low, least = way, f.Min, edge
			}
		}
	}
	if math.IsInf(least, 1) {
		return Spot{}, free, false
	}
	s := best.spot(low)
	return s, without(free, r2.Box{Min: low, Max: r2.Add(s.Box.Max, r2.Vec{X: gap, Y: gap})}), true
}
