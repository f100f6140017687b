package section

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// meshOf reads any bytes as a mesh with few vertices on a small grid, so that
// they fall together and onto planes, and some wild ones. The first byte says
// how many vertices, three for each follow, then three for each triangle.
// With the lowest bit of the second byte every triangle comes with its turned
// twin, which makes a closed mesh, if a strange one.
func meshOf(data []byte) (m *mesh.Mesh, rest []byte) {
	m = &mesh.Mesh{}
	if len(data) < 2 {
		return m, nil
	}
	count, twins, data := 3+int(data[0]%13), data[1]&1 != 0, data[2:]
	special := []float32{float32(math.NaN()), float32(math.Inf(1)), math.MaxFloat32, -math.MaxFloat32, 1e-45, 1e30}
	number := func(b byte) float32 {
		if k := int(b) - 250; k >= 0 {
			return special[k]
		}
		return float32(int(b)-125) / 8
	}
	for range count {
		if len(data) < 3 {
			return m, nil
		}
		m.X, m.Y, m.Z = append(m.X, number(data[0])), append(m.Y, number(data[1])), append(m.Z, number(data[2]))
		data = data[3:]
	}
	for len(data) >= 3+8 {
		var t [3]uint32
		for k := range t {
			t[k] = uint32(int(data[k]) % count)
		}
		m.AddTriangle(t[0], t[1], t[2])
		if twins {
			m.AddTriangle(t[1], t[0], t[2])
		}
		data = data[3:]
	}
	return m, data
}

// planeOf reads a plane from what meshOf left: through a vertex or near one.
func planeOf(m *mesh.Mesh, rest []byte) Plane {
	var b [8]byte
	copy(b[:], rest)
	p := Plane{Normal: r3.Vec{X: float64(int8(b[0])), Y: float64(int8(b[1])), Z: float64(int8(b[2]))}}
	if v := uint32(b[3]); int(v) < m.Vertices() && finite(m.At(v)) {
		p.Point = m.At(v)
	}
	p.Point = r3.Add(p.Point, r3.Scale(1e-3, r3.Vec{X: float64(int16(binary.LittleEndian.Uint16(b[4:])))}))
	return p
}

func addSeeds(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("\x01\x01abcdefghijklmnopqrstuvwxyz0123456789"))
	for _, m := range []*mesh.Mesh{boxMesh(r3.Vec{}, r3.Vec{X: 4, Y: 4, Z: 4}), cone(4, 5, 0, 6), join(boxMesh(r3.Vec{}, r3.Vec{X: 2, Y: 2, Z: 2}))} {
		data := []byte{byte(m.Vertices() - 3), 0}
		for v := range m.Vertices() {
			for _, x := range []float32{m.X[v], m.Y[v], m.Z[v]} {
				data = append(data, byte(x*8)+125)
			}
		}
		for _, v := range m.T {
			data = append(data, byte(v))
		}
		f.Add(append(data, 0, 0, 1, 0, 0, 8, 0, 0))
		f.Add(append(data, 1, 2, 3, 5, 1, 0, 0, 0))
	}
}

// Whatever the mesh, a cut does not panic, its points are numbers, and a
// closed mesh gives closed chains.
func FuzzCut(f *testing.F) {
	addSeeds(f)
	f.Fuzz(checkAnyCut)
}

func checkAnyCut(t *testing.T, data []byte) {
	m, rest := meshOf(data)
	p := planeOf(m, rest)
	s := Cut(m, p)
	closed := m.Finite() && openEdges(m) == 0
	for _, c := range s.Chains {
		for _, q := range c.Points {
			if math.IsNaN(q.X+q.Y) || math.IsInf(q.X+q.Y, 0) {
				t.Fatalf("point %v", q)
			}
		}
		if closed && !c.Closed {
			t.Fatalf("an open chain of a closed mesh")
		}
		if sum := c.Length() + c.Area() + c.HullGirth(); math.IsNaN(sum) {
			t.Fatalf("length %g, area %g, hull girth %g", c.Length(), c.Area(), c.HullGirth())
		}
	}
	s.Nesting()
	s.Around(p.Flat(p.Point))
	if got := Sweep(m, p.Normal, [](r3.Vec){p.Point})[0]; !sameChains(got.Chains, s.Chains) {
		t.Fatal("Sweep differs from Cut")
	}
	if got := NewIndex(m).Cut(p); !sameChains(got.Chains, s.Chains) {
		t.Fatal("Index differs from Cut")
	}
}

// Whatever the mesh, parting it does not panic and gives numbers; a closed
// mesh gives closed halves without flaws.
func FuzzHalves(f *testing.F) {
	addSeeds(f)
	f.Fuzz(checkAnyHalves)
}

func checkAnyHalves(t *testing.T, data []byte) {
	m, rest := meshOf(data)
	p := planeOf(m, rest)
	above, below, flaws := Halves(m, p)
	slab, more := Slab(m, p.Normal, -1, 2.5)
	if !above.Finite() || !below.Finite() || !slab.Finite() {
		t.Fatal("a vertex is no number")
	}
	if !m.Finite() || openEdges(m) != 0 {
		return
	}
	if flaws.Any() || more.Any() {
		t.Fatalf("flaws of a closed mesh: %+v, slab %+v", flaws, more)
	}
	if a, b, s := openEdges(above), openEdges(below), openEdges(slab); a+b+s > 0 {
		t.Fatalf("%d, %d and %d open edges of a closed mesh", a, b, s)
	}
	if a, b, s := openEdges(weld(above)), openEdges(weld(below)), openEdges(weld(slab)); a+b+s > 0 {
		t.Fatalf("%d, %d and %d open edges after welding", a, b, s)
	}
}

// What the fuzzers check, on meshes too dense for them to find: up to 200
// triangles on at most 15 vertices.
func TestHopelessMeshes(t *testing.T) {
	const seed = 30
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		data := make([]byte, 20+rng.IntN(1+i))
		wild := rng.IntN(4) / 3 // one in four has infinite corners and the like
		for k := range data {
			data[k] = byte(rng.IntN(250 + 6*wild))
		}
		checkAnyCut(t, data)
		checkAnyHalves(t, data)
		if t.Failed() {
			t.Fatalf("case %d of seed %d", i, seed)
		}
	}
}

// Whatever the loops, their triangles have them as border.
func FuzzTriangulate(f *testing.F) {
	f.Add([]byte{0, 0, 9, 0, 9, 9, 0, 9, 255, 3, 3, 3, 6, 6, 6, 6, 3})
	f.Fuzz(func(t *testing.T, data []byte) {
		var p plan
		loop := []uint32{}
		for len(data) >= 2 {
			if data[0] == 255 {
				p.loops = append(p.loops, loop)
				loop, data = nil, data[1:]
				continue
			}
			loop = append(loop, uint32(len(p.points)))
			p.points = append(p.points, circle(float64(data[0]%64), float64(data[1]%64), 0)(0))
			data = data[2:]
		}
		p.loops = append(p.loops, loop)
		checkCover(t, p, Triangulate(p.points, p.loops))
	})
}
