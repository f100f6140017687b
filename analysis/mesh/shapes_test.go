package mesh

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// cube is the cube of side a with one corner at the given place: volume a³,
// area 6a².
func cube(a float64, at r3.Vec) *Mesh {
	m := &Mesh{}
	for i := range 8 {
		m.AddVertex(r3.Add(at, r3.Vec{X: a * float64(i&1), Y: a * float64(i>>1&1), Z: a * float64(i>>2)}))
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.AddTriangle(q[0], q[1], q[2])
		m.AddTriangle(q[0], q[2], q[3])
	}
	return m
}

// tetra is the tetrahedron of the origin and the points at a on the axes:
// volume a³/6, area (3+√3)/2·a².
func tetra(a float64) *Mesh {
	m := &Mesh{}
	for _, p := range []r3.Vec{{}, {X: a}, {Y: a}, {Z: a}} {
		m.AddVertex(p)
	}
	for _, t := range [][3]uint32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}} {
		m.AddTriangle(t[0], t[1], t[2])
	}
	return m
}

// prismatoid stands between two n-gons of the given radii, height apart, with
// closed ends.
func prismatoid(n int, low, high, height float64) *Mesh {
	m := &Mesh{}
	bottom, top := m.AddVertex(r3.Vec{}), m.AddVertex(r3.Vec{Z: height})
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.AddVertex(r3.Vec{X: low * c, Y: low * s})
		m.AddVertex(r3.Vec{X: high * c, Y: high * s, Z: height})
	}
	for i := range uint32(n) {
		j := (i + 1) % uint32(n)
		a, b, c, d := 2+2*i, 2+2*j, 3+2*i, 3+2*j
		m.AddTriangle(a, b, d)
		m.AddTriangle(a, d, c)
		m.AddTriangle(bottom, b, a)
		m.AddTriangle(top, c, d)
	}
	return m
}

// limb is a bent, tapered tube of two walls with rims, closed: a part like
// those that people print. It has 4·rings·sides + 4·sides triangles, and its
// rows lie in the order in which programs write them.
func limb(rings, sides int) *Mesh {
	m := &Mesh{}
	for wall := range 2 {
		for r := range rings + 1 {
			for s := range sides {
				turn, along := 2*math.Pi*float64(s)/float64(sides), float64(r)/float64(rings)
				radius := 50 + 30*along - 3*float64(wall) + 0.3*math.Sin(17*turn)
				sin, cos := math.Sincos(turn)
				m.AddVertex(r3.Vec{X: radius*cos + 40*along*along, Y: 0.8 * radius * sin, Z: 300 * along})
			}
		}
	}
	at := func(wall, r, s int) uint32 { return uint32((wall*(rings+1)+r)*sides + s%sides) }
	quad := func(a, b, c, d uint32) {
		m.AddTriangle(a, b, c)
		m.AddTriangle(a, c, d)
	}
	for r := range rings {
		for s := range sides {
			quad(at(0, r, s), at(0, r, s+1), at(0, r+1, s+1), at(0, r+1, s))
		}
	}
	for r := range rings {
		for s := range sides {
			quad(at(1, r, s), at(1, r+1, s), at(1, r+1, s+1), at(1, r, s+1))
		}
	}
	for s := range sides {
		quad(at(0, 0, s), at(1, 0, s), at(1, 0, s+1), at(0, 0, s+1))
		quad(at(0, rings, s), at(0, rings, s+1), at(1, rings, s+1), at(1, rings, s))
	}
	return m
}

// together puts meshes into one without joining them.
func together(meshes ...*Mesh) *Mesh {
	out := &Mesh{}
	for _, m := range meshes {
		base := uint32(out.Vertices())
		out.X, out.Y, out.Z = append(out.X, m.X...), append(out.Y, m.Y...), append(out.Z, m.Z...)
		for _, v := range m.T {
			out.T = append(out.T, base+v)
		}
	}
	return out
}

// binarySTL writes m by the definition of the format, without WriteSTL.
func binarySTL(m *Mesh, header string) []byte {
	out := make([]byte, stlHeader, stlHeader+stlFacet*m.Triangles())
	copy(out[:80], header)
	binary.LittleEndian.PutUint32(out[80:], uint32(m.Triangles()))
	for t := range m.Triangles() {
		var facet [stlFacet]byte
		for k := range 3 {
			v := m.T[3*t+k]
			for d, x := range [3]float32{m.X[v], m.Y[v], m.Z[v]} {
				binary.LittleEndian.PutUint32(facet[12+12*k+4*d:], math.Float32bits(x))
			}
		}
		out = append(out, facet[:]...)
	}
	return out
}

// asciiSTL writes m as most programs do, but with all digits.
func asciiSTL(m *Mesh, name string) string {
	b := []byte("solid " + name + "\n")
	for t := range m.Triangles() {
		b = append(b, "  facet normal 0.000000e+00 0.000000e+00 1.000000e+00\n    outer loop\n"...)
		for k := range 3 {
			b = append(b, "      vertex"...)
			v := m.T[3*t+k]
			for _, x := range [3]float32{m.X[v], m.Y[v], m.Z[v]} {
				b = strconv.AppendFloat(append(b, ' '), float64(x), 'e', 8, 32)
			}
			b = append(b, '\n')
		}
		b = append(b, "    endloop\n  endfacet\n"...)
	}
	return string(append(b, "endsolid "+name+"\n"...))
}

// sourceOf holds bytes as a file does, streamOf as an archive does.
func sourceOf(name string, data []byte) *source {
	return &source{name: name, size: int64(len(data)), at: bytes.NewReader(data)}
}

func streamOf(name string, data []byte) *source {
	return &source{name: name, size: int64(len(data)), front: func() (io.ReadCloser, error) {
		return io.NopCloser(dribble{bytes.NewReader(data)}), nil
	}}
}

// dribble gives a few bytes at a time, as a reader may.
type dribble struct{ *bytes.Reader }

func (d dribble) Read(p []byte) (int, error) {
	return d.Reader.Read(p[:min(len(p), 7+int(d.Size()/100))])
}

// loadBytes loads data as a file and as a stream and wants the same of both.
func loadBytes(t *testing.T, name string, data []byte) (*Loaded, error) {
	t.Helper()
	l, err := loadSource(t.Context(), sourceOf(name, data), Limits{}.orDefault())
	streamed, streamErr := loadSource(t.Context(), streamOf(name, data), Limits{}.orDefault())
	require.Equal(t, err, streamErr, "read in order")
	require.Equal(t, l, streamed, "read in order")
	return l, err
}

// near fails where got is not want within a relative error.
func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// sameFacets fails where two meshes do not have the same facets in the same
// order, corner by corner.
func sameFacets(t *testing.T, want, got *Mesh) {
	t.Helper()
	require.Equal(t, want.Triangles(), got.Triangles())
	for i := range want.T {
		if a, b := want.At(want.T[i]), got.At(got.T[i]); a != b {
			t.Fatalf("facet %d corner %d: got %v, want %v", i/3, i%3, b, a)
		}
	}
}

// mixed returns the triangles of m in random order.
func mixed(m *Mesh, seed uint64) *Mesh {
	random := rand.New(rand.NewPCG(seed, 20261129))
	m = m.Clone()
	random.Shuffle(m.Triangles(), func(i, j int) {
		for k := range 3 {
			m.T[3*i+k], m.T[3*j+k] = m.T[3*j+k], m.T[3*i+k]
		}
	})
	return m
}

// renumbered returns a copy with its vertices in another order.
func renumbered(m *Mesh, seed uint64) *Mesh {
	n := m.Vertices()
	out := &Mesh{X: make([]float32, n), Y: make([]float32, n), Z: make([]float32, n)}
	to := rand.New(rand.NewPCG(seed, 20261201)).Perm(n)
	for v, number := range to {
		out.X[number], out.Y[number], out.Z[number] = m.X[v], m.Y[v], m.Z[v]
	}
	for _, v := range m.T {
		out.T = append(out.T, uint32(to[v]))
	}
	return out
}
