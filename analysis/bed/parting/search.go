package parting

import (
	"cmp"
	"context"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// search looks for the best way to part a mesh.
//
// It goes down a tree of cuts, at each step with a few of the best partings so
// far (a beam), and cuts of each the region that makes the most pieces. What
// remains to be cut is counted by straight grids, whose planes are among those
// tried, so that no step makes the count worse than the grid of the whole.
type search struct {
	space   Space
	want    Wish
	frames  []frame.Frame
	axes    []r3.Vec // of the frames, three by three
	normals []r3.Vec
	mirrors []section.Plane
	limbs   [][]section.Plane // the ways that a seam along the limb may take
	rings   [][][]r3.Vec      // for each of limbs, see ringsOf; nil until asked for
	scale   float64           // the part's diagonal
	part    *mesh.Mesh
	light   *mesh.Mesh // like the part, with few triangles
	exact   Space      // the space itself; for the light part it is a little smaller
	root    *region    // of the light part

	// For the look that is being taken.
	over    []float64
	scratch [3][]span
}

func newSearch(m *mesh.Mesh, space Space, want Wish) *search {
	var chords []r3.Vec
	for _, w := range want.Ways {
		if c, ok := chord(w); ok {
			chords = frame.WithAxis(chords, c)
		}
	}
	s := &search{
		space: space, exact: space, want: want, part: m, light: thinned(m),
		scale: max(1e-9, r3.Norm(m.Bounds().Size())),
	}
	s.limbs = want.Ways
	if len(want.Limbs) > 0 {
		s.limbs = nil
		for _, k := range want.Limbs {
			s.limbs = append(s.limbs, want.Ways[k])
		}
	}
	s.frames = frame.Of(m, chords)
	for _, f := range s.frames {
		s.axes = append(s.axes, f[:]...)
	}
	s.want.Clear = slices.Clone(want.Clear)
	for i := range s.want.Clear {
		s.want.Clear[i].Normal = r3.Unit(s.want.Clear[i].Normal)
	}
	s.normals = frame.Normals(s.frames)
	s.mirrors = frame.Mirrors(m, s.frames)
	for side := range s.scratch {
		s.scratch[side] = make([]span, 3*len(s.frames))
	}
	s.root = s.newRegion(s.light)
	if smaller := space.grown(margin); s.light != m && smaller.grid(s.root.spans, s.root.rests) == space.grid(s.root.spans, s.root.rests) {
		s.space = smaller
		s.root = s.newRegion(s.light)
	}
	return s
}

// state is a parting on its way.
type state struct {
	leaves []*region
	cuts   []*option
	count  int // of pieces, more where a wished seam along the limb is missing, one more where a cut shaves
	price  float64
	near   int
	halved bool
}

// made returns how r was divided.
func (s *state) made(r *region) (*option, bool) {
	for _, o := range s.cuts {
		if o.of == r {
			return o, true
		}
	}
	return nil, false
}

// done reports whether all regions fit.
func (s *state) done() bool {
	return !slices.ContainsFunc(s.leaves, func(r *region) bool { return r.pieces > 1 })
}

// largest returns the place of the region that makes the most pieces.
func (s *state) largest() int {
	best := 0
	for i, r := range s.leaves {
		if r.pieces > s.leaves[best].pieces {
			best = i
		}
	}
	return best
}

// breadth returns how many partings are followed, and how many options of each
// region: the fewer the more pieces there are. Found by timing.
func breadth(pieces int) (beam, options int) {
	switch {
	case pieces <= 4:
		return 4, 6
	case pieces <= 8:
		return 3, 5
	}
	return 2, 4
}

// margin is by how much larger than they are the pieces of a thinned mesh are
// taken to be, where that makes no more of them: what was thinned away may be
// what sticks out. Found by trying.
const margin = 1.004

// run parts the part in the best way found.
func (s *search) run(ctx context.Context) (Pieces, error) {
	if err := ctx.Err(); err != nil {
		return Pieces{}, err
	}
	if s.root.pieces > mostPieces {
		return Pieces{}, ErrTooMany
	}
	width, _ := breadth(s.root.pieces)
	best, err := s.descend(ctx, s.judge([]*region{s.root}, nil), width, found{})
	if err != nil {
		return Pieces{}, err
	}
	// What seemed to need few pieces may have ended in no fewer than a straight
	// grid makes, which is more even.
	for f := 0; f < len(s.frames) && (best.state == nil || best.count >= s.root.pieces); f++ {
		n := s.space.smallest(s.root.spans[3*f:][:3], s.root.rests[3*f:][:3])
		if best, err = s.descend(ctx, s.straightGrid(f, n), 1, best); err != nil {
			return Pieces{}, err
		}
	}
	if best.state == nil || best.count > s.root.pieces {
		if best, err = s.descend(ctx, s.judge([]*region{s.root}, nil), 3*width, best); err != nil {
			return Pieces{}, err
		}
	}
	// The pieces of that grid may have nothing to stand on. Those that lie as in
	// the file need nothing.
	if n := s.asItLies(); best.state == nil || len(best.leaves) > n[0]*n[1]*n[2] {
		if best, err = s.descend(ctx, s.straightGrid(0, n), 1, best); err != nil {
			return Pieces{}, err
		}
	}
	if best.state == nil {
		return Pieces{}, ErrTooMany
	}
	return best.pieces, nil
}

// found is a parting that was made, none where state is nil.
type found struct {
	*state
	pieces Pieces
}

// descend goes on from a parting to the best one found, with so many at a time.
// It returns best where there is no better one.
func (s *search) descend(ctx context.Context, from *state, width int, best found) (found, error) {
	beam := []*state{from}
	for range 2 * mostPieces {
		var next []*state
		for _, st := range beam {
			if !st.done() {
				more, err := s.further(ctx, st)
				if err != nil {
					return found{}, err
				}
				next = append(next, more...)
				continue
			}
			if best.state != nil && better(st, best.state) >= 0 {
				continue
			}
			if out, ok := s.verify(st); ok {
				best = found{st, out}
			} else {
				next = append(next, s.judge(st.leaves, st.cuts))
			}
		}
		if best.state != nil {
			next = slices.DeleteFunc(next, func(st *state) bool { return better(st, best.state) >= 0 })
		}
		if len(next) == 0 {
			break
		}
		slices.SortStableFunc(next, better)
		beam = next[:min(width, len(next))]
	}
	return best, nil
}

// asItLies returns how many cells each way the smallest grid along the file's
// axes has whose cells fit as they lie, turned at most.
func (s *search) asItLies() [3]int {
	still := Space{Box: func(sides r3.Vec, up int) bool { return up == 2 && s.space.Box(sides, up) }}
	return still.smallest(s.root.spans[:3], []bool{false, false, true})
}

// straightGrid returns the parting by the straight grid with so many cells each
// way in a frame. What fits is not cut further.
func (s *search) straightGrid(f int, n [3]int) *state {
	spans := s.root.spans[3*f:][:3]
	st := s.judge([]*region{s.root}, nil)
	for k := range n {
		for i := 1; i < n[k]; i++ {
			at := spans[k].low + float64(i)/float64(n[k])*spans[k].size()
			axis := s.axis(3*f + k)
			p := section.Plane{Point: r3.Scale(at, axis), Normal: axis}
			var leaves []*region
			cuts := st.cuts
			for _, r := range st.leaves {
				if o, ok := s.divide(r, p); ok && r.pieces > 1 {
					leaves, cuts = append(leaves, o.parts...), append(cuts, &o)
				} else {
					leaves = append(leaves, r)
				}
			}
			st = s.judge(leaves, cuts)
		}
	}
	return st
}

// better orders partings, the best first.
func better(a, b *state) int {
	return cmp.Or(cmp.Compare(a.count, b.count), cmp.Compare(a.price, b.price))
}

// judge returns the parting with these regions and cuts.
func (s *search) judge(leaves []*region, cuts []*option) *state {
	st := &state{leaves: leaves, cuts: cuts}
	for _, r := range leaves {
		st.count += r.pieces
		if r.pieces == 1 {
			st.price += priceBody * float64(r.bodies-1)
		}
		st.price += priceOver * (r.over - 1)
	}
	var planes []*option
	shaves := 0
	for _, c := range cuts {
		if c.shaves {
			shaves = 1
		}
		st.price += c.price
		st.near += c.near
		if !c.apart {
			planes = append(planes, c)
		}
		st.halved = st.halved || c.halves
	}
	st.count += shaves
	st.price += priceLone * s.uneven(planes)
	if s.want.Halves && !st.halved && s.root.pieces > 1 {
		st.count += s.root.pieces
		if s.want.Anyhow {
			st.count += 2 * mostPieces // whatever pieces it takes
		}
		st.price += priceWhole
	}
	return st
}

// further returns the partings that divide one more region of st.
func (s *search) further(ctx context.Context, st *state) ([]*state, error) {
	at := st.largest()
	r := st.leaves[at]
	if !r.looked {
		var err error
		if r.options, err = s.options(ctx, r); err != nil {
			return nil, err
		}
		r.looked = true
	}
	var out []*state
	take := func(o *option) {
		leaves := slices.Concat(st.leaves[:at], o.parts, st.leaves[at+1:])
		out = append(out, s.judge(leaves, append(slices.Clone(st.cuts), o)))
	}
	for i := range r.options {
		take(&r.options[i])
	}
	for _, p := range s.twins(st, r) {
		if o, ok := s.divide(r, p); ok {
			take(&o)
		}
	}
	return out, nil
}

// twins returns the mirror images that the cuts of st lack and r can have.
func (s *search) twins(st *state, r *region) []section.Plane {
	var out []section.Plane
	for _, m := range s.mirrors {
		for _, c := range st.cuts {
			if c.apart || s.astray(m, c, st.cuts) < inPlace {
				continue
			}
			if p := frame.MirroredPlane(m, c.plane); s.meets(r, frame.Mirrored(m, c.middle)) {
				out = append(out, p)
			}
		}
	}
	return out
}

// meets reports whether q lies in the boxes of r.
func (s *search) meets(r *region, q r3.Vec) bool {
	for k, of := range r.spans {
		if d := r3.Dot(s.axis(k), q); d < of.low || d > of.high {
			return false
		}
	}
	return true
}
