// Package assembly finds files that are pieces of one shell, by the faces at
// which they meet, and joins them. Lengths are mm.
//
// Parts that are downloaded in pieces keep the coordinates of the whole: the
// cut face of the one lies on that of the other, facing it. Two parts that
// only share a place, copies, twins, or all that was drawn standing on z = 0,
// have no such faces.
package assembly

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// The limits below are guesses that keep what is no cut through a shell out.
var (
	// crease is the cosine of the angle between two facets at which one face
	// ends and another begins: a cut meets the wall at more, even by way of a
	// rounded edge of a few facets, while those of a smooth face meet at less.
	crease = math.Cos(12 * math.Pi / 180)
	// corner is the cosine of the turn at which one border ends and another
	// begins.
	corner = math.Cos(40 * math.Pi / 180)
)

const (
	// Of the surface: a skin of the shell is more than mostShare (a ring as low
	// as its wall is thick has a quarter on each rim), and a face smaller than
	// leastShare does not hold a shell together.
	mostShare, leastShare = 0.35, 1e-5
	// leastBorder is the least length of a border, as a share of the diagonal.
	leastBorder = 0.05
	// mostFaces and mostFacets bound the time that comparing takes, and the
	// memory of one part to about 1 MB. The largest faces are kept: on a part so
	// rough or so plain that each of its facets is a face, a cut is larger.
	mostFaces, mostFacets = 300, 60_000
	// mostBorders bounds it likewise: the longest are kept.
	mostBorders = 100
)

// Rims are the faces and borders by which a mesh may meet another: all that
// Touch needs of it, small enough to be kept where the mesh is not. The zero
// Rims meet nothing. They are not for use by several goroutines at once.
type Rims struct {
	Box     r3.Box
	Area    float64   // of the whole surface, mm²
	Facets  mesh.Mesh // of the faces alone, face by face
	Starts  []int     // facets of face i are Starts[i] up to Starts[i+1]
	Borders []Border  // where the surface ends

	tree  *tree    // of Facets, made when it is first asked
	boxes []r3.Box // of Borders, likewise
}

// Border is a stretch without corners of the edge of an open surface.
type Border struct {
	Line []r3.Vec // one point more than sides
	Out  []r3.Vec // of each side: the unit vector in the surface, away from it
}

// Sound reports whether rims that were read back are such as RimsOf makes: every face has
// its facets, every facet its corners and every side of a border its ends, all of them
// numbers.
func (r *Rims) Sound() bool {
	m := &r.Facets
	if len(m.X) != len(m.Y) || len(m.Y) != len(m.Z) || len(m.T)%3 != 0 || !m.Finite() || !number(r.Area) || !finite(r.Box.Min) || !finite(r.Box.Max) {
		return false
	}
	if slices.ContainsFunc(m.T, func(v uint32) bool { return int64(v) >= int64(len(m.X)) }) {
		return false
	}
	if n := len(r.Starts); n == 0 && m.Triangles() > 0 || n > 0 && (r.Starts[0] != 0 || r.Starts[n-1] != m.Triangles()) || !slices.IsSorted(r.Starts) {
		return false
	}
	for _, b := range r.Borders {
		if len(b.Out) == 0 || len(b.Line) != len(b.Out)+1 {
			return false
		}
		if other := func(p r3.Vec) bool { return !finite(p) }; slices.ContainsFunc(b.Line, other) || slices.ContainsFunc(b.Out, other) {
			return false
		}
	}
	return true
}

func finite(p r3.Vec) bool { return number(p.X) && number(p.Y) && number(p.Z) }

func number(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// RimsOf returns the rims of m, found by so many workers: the same by any number. What is
// inside out is turned round: copies would else seem to lie against each other, and halves
// not to.
func RimsOf(m *mesh.Mesh, workers int) *Rims {
	r, _ := newSurface(m.Outward(), workers).rims()
	return r
}

// rims also returns, for each of the rims' facets, its number in the mesh.
func (s *surface) rims() (*Rims, []uint32) {
	r := &Rims{Box: s.m.Bounds(), Area: s.m.Area()}
	from := r.take(s.m, s.faces())
	r.Borders = s.borders(leastBorder * r.diagonal())
	slices.SortStableFunc(r.Borders, func(a, b Border) int { return cmp.Compare(b.length(), a.length()) })
	r.Borders = slices.Clip(r.Borders[:min(len(r.Borders), mostBorders)])
	return r, from
}

// take fills in the faces that may be cuts, the largest first, and returns which facets of m they have.
func (r *Rims) take(m *mesh.Mesh, faces []face) (from []uint32) {
	faces = slices.DeleteFunc(faces, func(f face) bool {
		return f.area > mostShare*r.Area || f.area < leastShare*r.Area
	})
	slices.SortStableFunc(faces, func(a, b face) int { return cmp.Compare(b.area, a.area) })
	faces = faces[:min(len(faces), mostFaces)]
	taken := make([]uint32, m.Vertices()) // 1 + the number of each among those of the rims, 0 where it is not taken
	take := func(v uint32) uint32 {
		if taken[v] == 0 {
			taken[v] = r.Facets.AddVertex(m.At(v)) + 1
		}
		return taken[v] - 1
	}
	r.Starts = []int{0}
	for _, f := range faces {
		if len(from)+len(f.facets) > mostFacets {
			continue
		}
		for _, t := range f.facets {
			r.Facets.AddTriangle(take(m.T[3*t]), take(m.T[3*t+1]), take(m.T[3*t+2]))
		}
		from = append(from, f.facets...)
		r.Starts = append(r.Starts, len(from))
	}
	return from
}

// Size returns how many facets and points of borders the rims hold.
func (r *Rims) Size() int {
	n := r.Facets.Triangles()
	for _, b := range r.Borders {
		n += len(b.Line)
	}
	return n
}

// faces returns the number of faces.
func (r *Rims) faces() int { return max(0, len(r.Starts)-1) }

// Closed reports whether the surface ends nowhere, but for holes where single
// facets are missing.
func (r *Rims) Closed() bool { return len(r.Borders) == 0 }

func (r *Rims) diagonal() float64 { return r3.Norm(r3.Sub(r.Box.Max, r.Box.Min)) }

// Scaled returns the rims of the same mesh scaled about the origin.
func (r *Rims) Scaled(factor float64) *Rims {
	out := *r
	out.Box = r3.Box{Min: r3.Scale(factor, r.Box.Min), Max: r3.Scale(factor, r.Box.Max)}
	out.Area *= factor * factor
	out.Facets = *r.Facets.Scaled(factor)
	out.Borders = nil
	for _, b := range r.Borders {
		line := make([]r3.Vec, len(b.Line))
		for i, p := range b.Line {
			line[i] = r3.Scale(factor, p)
		}
		out.Borders = append(out.Borders, Border{Line: line, Out: b.Out})
	}
	out.tree, out.boxes = nil, nil
	return &out
}
