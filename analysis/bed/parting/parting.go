// Package parting parts a mesh that is too large for the printer into few
// closed pieces that each fit it, by plane cuts, with holes for pins in the cuts
// (package pin). Lengths are mm.
//
// The least number of pieces is a hard problem and not always found. What is
// found needs no more than the straight grid along the axes of the file whose
// pieces are printed as they lie there, and hardly ever more than such a grid
// along one of the part's own frames, whose pieces may be stood on their cuts;
// most often it needs fewer.
package parting

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/bed/hull"
	"gambeson/analysis/bed/pin"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// Space is the build volume.
type Space struct {
	// Fits reports whether a piece fits in its own best placement, by its hull
	// and the middle of its surface, where its weight is.
	Fits func(h *hull.Hull, middle r3.Vec) bool
	// Box reports whether a box with these sides does, standing so that the
	// side of that number (0 for X) is upright. It must agree with Fits and is
	// asked often.
	Box func(sides r3.Vec, up int) bool
}

// Wish says how the part would best be parted. The zero Wish asks for few
// pieces and short seams only.
type Wish struct {
	// Ways are the ways through the part, as planes square to them in order.
	Ways [][]section.Plane
	// Clear are the places to keep clear of.
	Clear []Place
	// Halves asks for a seam along the limb, because the part must be opened to
	// put it on. It goes through the rims of openings, and is left out where it
	// takes more than one piece above a straight grid, unless Anyhow is set; it is
	// cut first then, where one opens the part. A
	// part that fits whole is left whole, unless Anyhow is set.
	Halves, Anyhow bool
	// Limbs are the numbers of those of Ways that the limb goes, and so a seam along
	// it; each where there are none.
	Limbs []int
	// Pins are the pins that may be used, the one liked best first; none where
	// no holes are wanted.
	Pins []pin.Pin
}

// Place is a loop of the part that a seam should not come near: a station
// where the body was measured, or the rim of an opening. It lies round At,
// square to Normal, and goes Radius mm out.
type Place struct {
	At, Normal r3.Vec
	Radius     float64
	Rim        bool
}

// Pieces is a part in pieces.
type Pieces struct {
	Pieces []Piece
	Seams  []Seam
	// Near is how many times a seam comes near a place to keep clear of, as
	// there was no other way.
	Near int
	// Halved says that a seam goes along the limb, as was wished.
	Halved bool
	// Otherwise is how many pieces the other choice makes where a seam along the
	// limb was wished and could be had: without it where Halved, else with it. It
	// is 0 where there was no choice.
	Otherwise int
	// Flaws says what could not be closed; a closed part has none.
	Flaws section.Flaws
}

// Piece is one piece, in the place it has in the part.
type Piece struct {
	Name  string // "1-of-3-lower": what its file is called, without an extension
	Mesh  *mesh.Mesh
	Seams []int // into Seams, in the order in which they were cut
	// Bodies is how many separate bodies it holds, which lie clear of each
	// other and are printed in one go.
	Bodies int
	// Holes is the volume of its pin holes in mm³, which Mesh has not got any more.
	Holes float64
}

// Seam is one cut. Its plane may go on where other seams end it.
type Seam struct {
	Plane section.Plane // Above are pieces on the side that its Normal shows to
	// Length is that of the outlines of the cut: what shows of the seam from
	// outside and inside.
	Length float64
	Middle r3.Vec // of those outlines
	Above  []int  // into Pieces: those that have a face in the seam
	Below  []int
	Keys   []Key
	// Unkeyed says in words why the seam, or some of it, has no keys; "" where
	// all of it has, or none were wanted.
	Unkeyed string
}

// Wanted reports whether the pieces are those of a part that had to be parted.
func (p Pieces) Wanted() bool { return len(p.Pieces) > 1 }

// mostPieces is the number of pieces from which on a part is not parted: its
// unit must be wrong. A guess: three beds each way are 27.
const mostPieces = 125

// ErrTooMany says that a part is too large to be parted with sense.
var ErrTooMany = fmt.Errorf("the part would fall into more than %d pieces", mostPieces)

// errEmpty says that there is nothing to part.
var errEmpty = errors.New("there is no part: the mesh has no triangles")

// Part parts m into pieces that fit the space. A part that fits as it is stays
// one piece. Equal questions have equal answers.
//
// It returns ErrTooMany where the part is far too large or the space has no
// room, and the error of ctx when that is done.
func Part(ctx context.Context, m *mesh.Mesh, space Space, want Wish) (Pieces, error) {
	if m.Triangles() == 0 {
		return Pieces{}, errEmpty
	}
	out, err := chosen(ctx, m, space, want)
	if err != nil {
		return Pieces{}, err
	}
	if err := out.key(ctx, want.Pins); err != nil {
		return Pieces{}, err
	}
	out.name(m.Bounds())
	return out, nil
}

// chosen parts m, along the limb where that is wished and worth its pieces.
func chosen(ctx context.Context, m *mesh.Mesh, space Space, want Wish) (Pieces, error) {
	s := newSearch(m, space, want)
	grid := s.root.pieces
	opened := want.Halves && want.Anyhow && grid == 1
	if opened {
		s.root.pieces = 2
	}
	halved, err := s.run(ctx)
	if err != nil || !halved.Halved && !opened {
		return halved, err
	}
	want.Halves = false
	plain, err := newSearch(m, space, want).run(ctx)
	if err != nil {
		return Pieces{}, err
	}
	if opened && !halved.Halved {
		return plain, nil // it fits, and there is no way along which to part it
	}
	if !want.Anyhow && len(halved.Pieces) > grid+1 {
		plain.Otherwise = len(halved.Pieces)
		return plain, nil
	}
	halved.Otherwise = len(plain.Pieces)
	return halved, nil
}

// grown returns the space as one sees it who takes everything to be larger by
// a factor than it is.
func (s Space) grown(factor float64) Space {
	if factor == 1 {
		return s
	}
	return Space{
		Fits: func(h *hull.Hull, middle r3.Vec) bool { return s.Fits(scaled(h, factor), r3.Scale(factor, middle)) },
		Box:  func(sides r3.Vec, up int) bool { return s.Box(r3.Scale(factor, sides), up) },
	}
}

// scaled returns h scaled about the origin.
func scaled(h *hull.Hull, factor float64) *hull.Hull {
	out := &hull.Hull{Points: slices.Clone(h.Points), Faces: h.Faces, Flats: slices.Clone(h.Flats)}
	for i := range out.Points {
		out.Points[i] = r3.Scale(factor, out.Points[i])
	}
	for i := range out.Flats {
		out.Flats[i].Area *= factor * factor
	}
	return out
}

// takes reports whether m fits.
func (s Space) takes(m *mesh.Mesh) bool { return s.Fits(hull.Of(m), frame.Middle(m)) }

// cutAll cuts the part as st says. of holds, for each piece, the region that
// stands for it.
func (s *search) cutAll(st *state) (out Pieces, of []*region) {
	out = Pieces{Near: st.near, Halved: st.halved}
	var cut func(m *mesh.Mesh, r *region, seams []int)
	cut = func(m *mesh.Mesh, r *region, seams []int) {
		o, ok := st.made(r)
		switch {
		case !ok:
			of = append(of, r)
			out.Pieces = append(out.Pieces, Piece{Mesh: m, Seams: seams, Bodies: len(bodies(m, s.frames))})
		case o.apart:
			for i, part := range divide(m, o.parts, s.frames) {
				cut(part, o.parts[i], seams)
			}
		default:
			above, below, f := section.Halves(m, o.plane)
			out.Flaws = out.Flaws.And(f)
			out.Seams = append(out.Seams, Seam{Plane: o.plane, Length: o.seam, Middle: o.middle})
			seams = append(slices.Clone(seams), len(out.Seams)-1)
			cut(below, o.parts[0], seams)
			cut(above, o.parts[1], seams)
		}
	}
	cut(s.part, s.root, nil)
	for i := range out.Seams {
		out.touch(i)
	}
	return out, of
}

// verify cuts the part as st says and reports whether all pieces fit. Of a
// region whose piece does not it takes note.
func (s *search) verify(st *state) (Pieces, bool) {
	out, of := s.cutAll(st)
	fit := true
	for i, r := range of {
		if s.light != s.part && !s.exact.takes(out.Pieces[i].Mesh) {
			r.pieces = max(2, r.pieces)
			fit = false
		}
	}
	return out, fit
}
