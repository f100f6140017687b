package section

import (
	"math"
	"math/rand/v2"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// tube returns a closed two-walled tube of n sides about z from 0 to height.
func tube(n int, outer, inner, height float64) *mesh.Mesh {
	return shape.Revolve(n, [][2]float64{{inner, 0}, {outer, 0}, {outer, height}, {inner, height}})
}

// rings returns a tube with its walls parted into many rows, so that triangles are small.
func rings(n, rows int, outer, inner, height float64) *mesh.Mesh {
	var profile [][2]float64
	for k := range rows {
		profile = append(profile, [2]float64{outer, height * float64(k) / float64(rows)})
	}
	for k := range rows {
		profile = append(profile, [2]float64{inner, height * (1 - float64(k)/float64(rows))})
	}
	profile = append(profile, [2]float64{inner, 0})
	profile[rows] = [2]float64{outer, height}
	profile = append(profile[:rows+1], append([][2]float64{{inner, height}}, profile[rows+1:]...)...)
	return shape.Revolve(n, profile)
}

// taper returns a two-walled elliptical taper, half-axes a, b below and a·k,
// b·k above, with a wall.
func taper(n int, a, b, k, wall, height float64) *mesh.Mesh {
	m := rings(n, 8, 1, 0.5, height)
	return m.Map(func(p r3.Vec) r3.Vec {
		s := 1 + (k-1)*p.Z/height
		r := math.Hypot(p.X, p.Y)
		if r > 0.75 {
			return r3.Vec{X: a * s * p.X / r, Y: b * s * p.Y / r, Z: p.Z}
		}
		return r3.Vec{X: (a*s - wall) * p.X / r, Y: (b*s - wall) * p.Y / r, Z: p.Z}
	})
}

// torus returns a torus of radii large and small, around × across steps.
func torus(around, across int, large, small float64) *mesh.Mesh {
	var profile [][2]float64
	for i := range across {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(across))
		profile = append(profile, [2]float64{large + small*cos, small * sin})
	}
	return shape.Revolve(around, profile)
}

// sphere returns a sphere with its poles on z.
func sphere(n int, r float64) *mesh.Mesh {
	var profile [][2]float64
	for i := range n/2 + 1 {
		sin, cos := math.Sincos(math.Pi * float64(i) / float64(n/2))
		if i == 0 || i == n/2 {
			sin = 0
		}
		profile = append(profile, [2]float64{r * sin, -r * cos})
	}
	return shape.Revolve(n, profile)
}

// cone returns a frustum of radius r0 below and r1 above.
func cone(n int, r0, r1, height float64) *mesh.Mesh {
	return shape.Revolve(n, [][2]float64{{0, 0}, {r0, 0}, {r1, height}, {0, height}})
}

// box returns an axis-aligned box.
func boxMesh(low, high r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := low
		if i&1 != 0 {
			p.X = high.X
		}
		if i&2 != 0 {
			p.Y = high.Y
		}
		if i&4 != 0 {
			p.Z = high.Z
		}
		m.AddVertex(p)
	}
	for _, q := range [6][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.AddTriangle(q[0], q[1], q[2])
		m.AddTriangle(q[0], q[2], q[3])
	}
	return m
}

// knot returns a tube of radius r along a (2, 3) torus knot.
func knot(steps, sides int, size, r float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	along := func(t float64) r3.Vec {
		w := size * (2 + math.Cos(3*t))
		return r3.Vec{X: w * math.Cos(2*t), Y: w * math.Sin(2*t), Z: size * math.Sin(3*t)}
	}
	for i := range steps {
		t := 2 * math.Pi * float64(i) / float64(steps)
		at, tangent := along(t), r3.Unit(r3.Sub(along(t+1e-3), along(t-1e-3)))
		// The sides start from the direction away from the axis, which is never along the knot.
		u := r3.Unit(r3.Cross(tangent, r3.Cross(r3.Vec{X: at.X, Y: at.Y}, tangent)))
		v := r3.Cross(tangent, u)
		for k := range sides {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(sides))
			m.AddVertex(r3.Add(at, r3.Add(r3.Scale(r*cos, u), r3.Scale(r*sin, v))))
		}
	}
	for i := range steps {
		j := (i + 1) % steps
		for k := range sides {
			l := (k + 1) % sides
			a, b := uint32(i*sides+k), uint32(i*sides+l)
			c, d := uint32(j*sides+l), uint32(j*sides+k)
			m.AddTriangle(a, b, c)
			m.AddTriangle(a, c, d)
		}
	}
	return m
}

// join returns all the meshes as one, welding nothing.
func join(meshes ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range meshes {
		base := uint32(out.Vertices())
		for v := range m.Vertices() {
			out.AddVertex(m.At(uint32(v)))
		}
		for _, v := range m.T {
			out.T = append(out.T, base+v)
		}
	}
	return out
}

// weld returns m with vertices of the same place made one and the triangles
// that collapse dropped, as reading it back from STL does.
func weld(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	known := map[[3]float32]uint32{}
	id := make([]uint32, m.Vertices())
	for v := range id {
		key := [3]float32{m.X[v], m.Y[v], m.Z[v]}
		if _, ok := known[key]; !ok {
			known[key] = out.AddVertex(m.At(uint32(v)))
		}
		id[v] = known[key]
	}
	for i := 0; i < len(m.T); i += 3 {
		shape.AddFace(out, id[m.T[i]], id[m.T[i+1]], id[m.T[i+2]])
	}
	return out
}

// flipped returns a copy of m turned inside out.
func flipped(m *mesh.Mesh) *mesh.Mesh {
	m = m.Clone()
	m.Flip()
	return m
}

func moved(m *mesh.Mesh, by r3.Vec) *mesh.Mesh {
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, by) })
}

func rotated(m *mesh.Mesh, r r3.Rotation) *mesh.Mesh { return m.Map(r.Rotate) }

// without returns m with every nth triangle left out.
func withoutEvery(m *mesh.Mesh, nth int) *mesh.Mesh {
	out := m.Clone()
	out.T = out.T[:0]
	for t := range m.Triangles() {
		if t%nth != 0 {
			out.T = append(out.T, m.T[3*t:3*t+3]...)
		}
	}
	return out
}

// shuffled returns m with its triangles in another order and turned to begin
// at another corner.
func shuffled(m *mesh.Mesh, rng *rand.Rand) *mesh.Mesh {
	out := m.Clone()
	for i, t := range rng.Perm(m.Triangles()) {
		k := rng.IntN(3)
		for j := range 3 {
			out.T[3*i+j] = m.T[3*t+(k+j)%3]
		}
	}
	return out
}

func randomDirection(rng *rand.Rand) r3.Vec {
	for {
		p := r3.Vec{X: 2*rng.Float64() - 1, Y: 2*rng.Float64() - 1, Z: 2*rng.Float64() - 1}
		if n := r3.Norm(p); n > 0.1 && n < 1 {
			return r3.Unit(p)
		}
	}
}

func randomRotation(rng *rand.Rand) r3.Rotation {
	return r3.NewRotation(2*math.Pi*rng.Float64(), randomDirection(rng))
}

// openEdges returns how many directed edges of m have no partner in the other
// direction: 0 on a closed mesh, whatever else is wrong with it.
func openEdges(m *mesh.Mesh) int {
	open := 0
	for edges := range groups(directedEdges(m), func(a, b uint64) bool { return a>>1 == b>>1 }) {
		balance := 0
		for _, e := range edges {
			balance += 1 - 2*int(e&1)
		}
		open += max(balance, -balance)
	}
	return open
}

// crowdedEdges returns how many edges of m have more than two triangles.
func crowdedEdges(m *mesh.Mesh) int {
	crowded := 0
	for edges := range groups(directedEdges(m), func(a, b uint64) bool { return a>>1 == b>>1 }) {
		if len(edges) > 2 {
			crowded++
		}
	}
	return crowded
}

// directedEdges returns the edges of the triangles of m, sorted: the lower
// vertex, the higher, and a last bit that is set where it is the first.
func directedEdges(m *mesh.Mesh) []uint64 {
	edges := make([]uint64, 0, len(m.T))
	for i := 0; i < len(m.T); i += 3 {
		for k := range 3 {
			a, b := uint64(m.T[i+k]), uint64(m.T[i+(k+1)%3])
			if a < b {
				edges = append(edges, a<<32|b<<1)
			} else {
				edges = append(edges, b<<32|a<<1|1)
			}
		}
	}
	slices.Sort(edges)
	return edges
}
