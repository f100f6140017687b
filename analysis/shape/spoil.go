package shape

import (
	"math"
	"math/rand/v2"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// The functions of this file move a mesh or spoil it on purpose, in the ways
// downloaded parts are spoilt. Each returns a new mesh, leaves its argument
// alone, and does the same for the same arguments.

// random returns the source of a seed.
func random(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x6a09e667f3bcc908)) }

// Rotation returns a rotation drawn evenly from all of them: a quaternion of
// four normal deviates, made a unit.
func Rotation(seed uint64) r3.Rotation {
	rng := random(seed)
	q := quat.Number{Real: rng.NormFloat64(), Imag: rng.NormFloat64(), Jmag: rng.NormFloat64(), Kmag: rng.NormFloat64()}
	return r3.Rotation(quat.Scale(1/quat.Abs(q), q))
}

// Turn returns m turned about the origin.
func Turn(m *mesh.Mesh, by r3.Rotation) *mesh.Mesh { return m.Map(by.Rotate) }

// Offset returns m moved by a vector.
func Offset(m *mesh.Mesh, by r3.Vec) *mesh.Mesh {
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, by) })
}

// Mirror returns the mirror image of m in the plane x = 0, facing outward.
func Mirror(m *mesh.Mesh) *mesh.Mesh {
	out := m.Map(func(p r3.Vec) r3.Vec { return mirror(p, true) })
	out.Flip()
	return out
}

// Join returns all the meshes as one, merging nothing.
func Join(all ...*mesh.Mesh) *mesh.Mesh {
	return mesh.Join(all...)
}

// Shuffle returns m with its triangles and its vertices in random order.
func Shuffle(m *mesh.Mesh, seed uint64) *mesh.Mesh {
	rng := random(seed)
	to := rng.Perm(m.Vertices())
	out := m.Clone()
	for from, v := range to {
		out.X[v], out.Y[v], out.Z[v] = m.X[from], m.Y[from], m.Z[from]
	}
	for k, t := range rng.Perm(m.Triangles()) {
		for c := range 3 {
			out.T[3*k+c] = uint32(to[m.T[3*t+c]])
		}
	}
	return out
}

// SplitWalls returns m with three vertices of its own for every triangle, as
// an STL file holds it: no two triangles hang together.
func SplitWalls(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for t := range m.Triangles() {
		addCopy(out, m, t)
	}
	return out
}

// addCopy appends triangle t of m with vertices of its own.
func addCopy(out, m *mesh.Mesh, t int) {
	a, b, c := m.Corners(t)
	out.AddTriangle(out.AddVertex(a), out.AddVertex(b), out.AddVertex(c))
}

// DropFacets returns m without one triangle of every n, each drawn at random
// from its n.
func DropFacets(m *mesh.Mesh, every int, seed uint64) *mesh.Mesh {
	return without(m, drawn(m, every, seed))
}

// drawn marks one triangle of every n.
func drawn(m *mesh.Mesh, every int, seed uint64) []bool {
	rng, marked := random(seed), make([]bool, m.Triangles())
	for from := 0; from+every <= len(marked); from += every {
		marked[from+rng.IntN(every)] = true
	}
	return marked
}

func without(m *mesh.Mesh, marked []bool) *mesh.Mesh {
	out := m.Clone()
	out.T = out.T[:0]
	for t := range m.Triangles() {
		if !marked[t] {
			out.T = append(out.T, m.T[3*t:3*t+3]...)
		}
	}
	return out
}

// FlipFacets returns m with one triangle of every n turned round.
func FlipFacets(m *mesh.Mesh, every int, seed uint64) *mesh.Mesh {
	out, marked := m.Clone(), drawn(m, every, seed)
	for t, turned := range marked {
		if turned {
			out.T[3*t+1], out.T[3*t+2] = out.T[3*t+2], out.T[3*t+1]
		}
	}
	return out
}

// FlipShells returns m turned inside out.
func FlipShells(m *mesh.Mesh) *mesh.Mesh {
	out := m.Clone()
	out.Flip()
	return out
}

// SecondSkin returns m with a second copy of itself whose every vertex lies
// offset mm further out along the mean of its facets' normals.
func SecondSkin(m *mesh.Mesh, offset float64) *mesh.Mesh {
	second := m.Clone()
	for v, n := range vertexNormals(m) {
		p := r3.Add(m.At(uint32(v)), r3.Scale(offset, n))
		second.X[v], second.Y[v], second.Z[v] = float32(p.X), float32(p.Y), float32(p.Z)
	}
	return Join(m, second)
}

// Overlap returns m with a block under one triangle of every n: closed, with
// that facet in common with m, and narrowing to half its width depth mm deep in
// the wall. Depth must be less than the wall, so that no air is filled.
func Overlap(m *mesh.Mesh, every int, depth float64, seed uint64) *mesh.Mesh {
	out := m.Clone()
	for t, marked := range drawn(m, every, seed) {
		n := normal(m, t)
		if length := r3.Norm(n); marked && length > 0 {
			block(out, m, t, r3.Scale(-depth/length, n))
		}
	}
	return out
}

// block adds the block from triangle t of m along a vector that points against
// its normal.
func block(out, m *mesh.Mesh, t int, along r3.Vec) {
	a, b, c := m.Corners(t)
	middle := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
	var v [6]uint32
	for k, p := range [3]r3.Vec{a, b, c} {
		deep := r3.Add(r3.Scale(0.5, r3.Add(p, middle)), along)
		v[k], v[k+3] = out.AddVertex(p), out.AddVertex(deep)
	}
	out.AddTriangle(v[0], v[1], v[2])
	out.AddTriangle(v[3], v[5], v[4])
	for k := range 3 {
		next := (k + 1) % 3
		quad(out, v[k], v[k+3], v[next+3], v[next])
	}
}

// Slivers returns m with one triangle of every n split at a point beside the
// middle of its first edge, so close (a ten-thousandth of the way to the far
// corner) that one of the three new triangles is a needle. The surface stays.
func Slivers(m *mesh.Mesh, every int, seed uint64) *mesh.Mesh {
	out := m.Clone()
	for t, marked := range drawn(m, every, seed) {
		if !marked {
			continue
		}
		a, b, c := m.Corners(t)
		mid := r3.Scale(0.5, r3.Add(a, b))
		p := out.AddVertex(r3.Add(mid, r3.Scale(1e-4, r3.Sub(c, mid))))
		v := [3]uint32{m.T[3*t], m.T[3*t+1], m.T[3*t+2]}
		out.T[3*t+2] = p // a b p
		out.AddTriangle(v[1], v[2], p)
		out.AddTriangle(v[2], v[0], p)
	}
	return out
}

// Junk returns m with a small closed tetrahedron depth mm under one triangle
// of every n, inside the wall. Its edges are a quarter of depth long.
func Junk(m *mesh.Mesh, every int, depth float64, seed uint64) *mesh.Mesh {
	out := m.Clone()
	for t, marked := range drawn(m, every, seed) {
		n := normal(m, t)
		length := r3.Norm(n)
		if !marked || length == 0 {
			continue
		}
		a, b, c := m.Corners(t)
		p := r3.Add(r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))), r3.Scale(-depth/length, n))
		tetrahedron(out, p, depth/4)
	}
	return out
}

// tetrahedron adds the regular tetrahedron of an edge length round a point.
func tetrahedron(out *mesh.Mesh, center r3.Vec, edge float64) {
	h := edge / (2 * math.Sqrt2)
	var v [4]uint32
	for k, p := range [4]r3.Vec{{X: 1, Y: 1, Z: 1}, {X: 1, Y: -1, Z: -1}, {X: -1, Y: 1, Z: -1}, {X: -1, Y: -1, Z: 1}} {
		v[k] = out.AddVertex(r3.Add(center, r3.Scale(h, p)))
	}
	for _, f := range [4][3]int{{0, 1, 2}, {0, 3, 1}, {0, 2, 3}, {1, 3, 2}} {
		out.AddTriangle(v[f[0]], v[f[1]], v[f[2]])
	}
}
