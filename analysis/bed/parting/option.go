package parting

import (
	"cmp"
	"context"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// option is one way to divide a region: by a plane (with a Normal of unit
// length, as all in a search) into what is below and above it, or into the
// separate bodies it has.
type option struct {
	of     *region
	parts  []*region
	apart  bool
	plane  section.Plane
	seam   float64
	middle r3.Vec // of the seam
	price  float64
	near   int
	halves bool
	shaves bool
}

func (o *option) pieces() int {
	sum := 0
	for _, p := range o.parts {
		sum += p.pieces
	}
	return sum
}

// tried is a cut looked at.
type tried struct {
	look
	family, step int
	price        float64
}

// options returns the best ways to divide r, the best first.
func (s *search) options(ctx context.Context, r *region) ([]option, error) {
	_, most := breadth(r.pieces)
	rows, err := s.rows(ctx, r)
	if err != nil {
		return nil, err
	}
	var all []tried
	for _, row := range rows {
		for k := range row {
			row[k].price, _ = s.price(r, row[k].look)
			row[k].price += priceAskew * float64(s.askew(row[k].plane))
		}
		all = append(all, row...)
	}
	order := func(a, b tried) int { return cmp.Or(cmp.Compare(a.total(), b.total()), cmp.Compare(a.price, b.price)) }
	slices.SortStableFunc(all, order)
	var out []option
	if r.bodies > 1 {
		out = append(out, s.takeApart(r))
	}
	out = append(out, s.pick(r, all, most)...)
	if r == s.root && s.want.Halves {
		along := slices.DeleteFunc(slices.Clone(all), func(t tried) bool { return !s.isHalving(t.plane) })
		out = append(out, s.pick(r, along, most/2)...)
		for _, m := range s.mirrors { // worth a closer look, whatever boxes tell
			if o, ok := s.divide(r, m); ok && o.halves {
				out = append(out, o)
			}
		}
	}
	if r == s.root && s.want.Halves && s.want.Anyhow {
		// The seam along the limb comes first, so that each piece is part of a half.
		if along := slices.DeleteFunc(slices.Clone(out), func(o option) bool { return !o.halves }); len(along) > 0 {
			out = along
		}
	}
	slices.SortStableFunc(out, func(a, b option) int {
		return cmp.Or(cmp.Compare(a.pieces(), b.pieces()), cmp.Compare(a.price, b.price))
	})
	return out, nil
}

// pick makes the best cuts of those looked at, the best first, that are not
// much like each other.
func (s *search) pick(r *region, all []tried, most int) []option {
	var out []option
	var taken []tried
	for _, t := range all {
		if len(taken) == most {
			break
		}
		if s.crowded(t, taken) {
			continue
		}
		if o, ok := s.divide(r, t.plane); ok {
			out = append(out, o)
			taken = append(taken, t)
		}
	}
	return out
}

// mostProbed is how many families are probed for cuts that fit though boxes do
// not, those first that come nearest to it. Found by timing.
const mostProbed = 5

// rows looks at the cuts of r by all families, a row each.
func (s *search) rows(ctx context.Context, r *region) ([][]tried, error) {
	var out, ordered [][]tried
	for i, f := range s.families(r) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var row []tried
		for k, p := range f.planes {
			if l, ok := s.look(r, p); ok {
				row = append(row, tried{look: l, family: i, step: k})
			}
		}
		out = append(out, row)
		if f.inOrder && len(row) > 0 {
			ordered = append(ordered, row)
		}
	}
	if r.pieces > hopeful {
		return out, nil
	}
	fewest := func(row []tried) int {
		least := row[0].total()
		for i := range row {
			least = min(least, row[i].total())
		}
		return least
	}
	slices.SortStableFunc(ordered, func(a, b []tried) int { return cmp.Compare(fewest(a), fewest(b)) })
	for _, row := range ordered[:min(mostProbed, len(ordered))] {
		if fewest(row) > 2 {
			s.probe(r, row)
		}
		if fewest(row) == 2 {
			break
		}
	}
	return out, nil
}

// crowded reports whether options like t have been taken: next to it in its
// family, or three of that.
func (s *search) crowded(t tried, taken []tried) bool {
	same := 0
	for _, o := range taken {
		if o.family != t.family {
			continue
		}
		if same++; same == 3 || o.step-t.step < 2 && t.step-o.step < 2 {
			return true
		}
	}
	return false
}

// probe finds, in a row of cuts with ever more below, up to which the lower
// piece fits though its boxes do not, and from which on the upper one does.
func (s *search) probe(r *region, row []tried) {
	fits := func(i, side int) bool {
		above, below, _ := section.Halves(r.m, row[i].plane)
		return s.space.takes([]*mesh.Mesh{below, above}[side])
	}
	upTo := firstBad(len(row), func(i int) int { return row[i].pieces[0] }, func(i int) bool { return fits(i, 0) })
	for i := range row[:upTo] {
		row[i].pieces[0] = 1
	}
	back := func(i int) int { return len(row) - 1 - i }
	from := len(row) - firstBad(len(row), func(i int) int { return row[back(i)].pieces[1] }, func(i int) bool { return fits(back(i), 1) })
	for i := range row[from:] {
		row[from+i].pieces[1] = 1
	}
}

// firstBad returns how many of n pieces that grow from one to the next fit: as
// far as boxes tell, which count how many each makes, and between by trial.
func firstBad(n int, pieces func(i int) int, fits func(i int) bool) int {
	good, bad := -1, n // known or taken to fit, and not to
	for i := range n {
		if pieces(i) == 1 {
			good = i
		} else if pieces(i) > hopeful {
			bad = min(bad, i)
		}
	}
	for good+1 < bad {
		if mid := (good + bad) / 2; fits(mid) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good + 1
}

// divide cuts r. ok is false where one side would be empty or a flake.
func (s *search) divide(r *region, p section.Plane) (option, bool) {
	l, ok := s.look(r, p)
	if !ok {
		return option{}, false
	}
	above, below, _ := section.Halves(r.m, p)
	if above.Triangles() == 0 || below.Triangles() == 0 {
		return option{}, false
	}
	o := option{of: r, plane: p, seam: l.seam, middle: l.middle}
	o.parts = []*region{s.newRegion(below), s.newRegion(above)}
	o.halves = r == s.root && s.want.Halves && s.isHalving(p)
	for _, part := range o.parts {
		if o.halves && part.pieces > 2 && part.pieces <= hopeful && s.inTwo(part) {
			part.pieces = 2
		}
	}
	o.price, o.near = s.price(r, l)
	o.shaves = l.shaves()
	return o, true
}

// inTwo reports whether a region parted in its middle, square to one of the axes,
// makes two pieces that fit: boxes take a half shell for more than it is.
func (s *search) inTwo(r *region) bool {
	for _, n := range s.normals {
		at := nothing
		for v := range r.m.Vertices() {
			at.take(r3.Dot(n, r.m.At(uint32(v))))
		}
		above, below, _ := section.Halves(r.m, section.Plane{Point: r3.Scale((at.low+at.high)/2, n), Normal: n})
		if s.space.takes(above) && s.space.takes(below) {
			return true
		}
	}
	return false
}

// takeApart divides r into its bodies.
func (s *search) takeApart(r *region) option {
	o := option{of: r, apart: true}
	for _, b := range bodies(r.m, s.frames) {
		o.parts = append(o.parts, s.newRegion(pick(r.m, b)))
	}
	return o
}
