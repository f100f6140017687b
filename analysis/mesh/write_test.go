package mesh

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/hschendel/stl"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func written(t *testing.T, m *Mesh, header string) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteSTL(&b, m, header))
	return b.Bytes()
}

// What is written is read back bit for bit, and again written alike.
func TestWriteSTLRoundTrip(t *testing.T) {
	for _, m := range []*Mesh{cube(20, r3.Vec{X: 0.1}), limb(20, 40), tetra(1e-3)} {
		data := written(t, m, "lantern street, greave")
		require.Len(t, data, stlHeader+stlFacet*m.Triangles())
		l, err := loadBytes(t, "a.stl", data)
		require.NoError(t, err)
		require.Equal(t, FormatSTLBinary, l.Format)
		sameFacets(t, m, l.Mesh)
		require.Equal(t, data, written(t, l.Mesh, "lantern street, greave"))
	}
}

// Second route: another reader finds the corners, and normals of length 1
// that look outward.
func TestWriteSTLSecondRoute(t *testing.T) {
	m := limb(10, 20)
	other, err := stl.ReadAll(bytes.NewReader(written(t, m, "limb")))
	require.NoError(t, err)
	require.Equal(t, "limb", other.Name)
	require.Len(t, other.Triangles, m.Triangles())
	for i, tri := range other.Triangles {
		a, b, c := m.Corners(i)
		for k, p := range []r3.Vec{a, b, c} {
			require.Equal(t, stl.Vec3{float32(p.X), float32(p.Y), float32(p.Z)}, tri.Vertices[k])
		}
		normal := r3.Vec{X: float64(tri.Normal[0]), Y: float64(tri.Normal[1]), Z: float64(tri.Normal[2])}
		want := r3.Unit(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		if r3.Norm(r3.Sub(normal, want)) > 1e-6 {
			t.Fatalf("triangle %d: normal %v, want %v", i, normal, want)
		}
	}
}

func TestWriteSTLHeader(t *testing.T) {
	m := tetra(1)
	for header, want := range map[string]string{
		"":                             "",
		"band 3 of 5":                  "band 3 of 5",
		"solid block":                  " solid block",
		"SOLID":                        " SOLID",
		strings.Repeat("x", 200):       strings.Repeat("x", 80),
		strings.Repeat("ä", 60):        strings.Repeat("ä", 40),
		"a" + strings.Repeat("ä", 60):  "a" + strings.Repeat("ä", 39),
		"ab" + strings.Repeat("€", 60): "ab" + strings.Repeat("€", 26),
	} {
		data := written(t, m, header)
		got := strings.TrimRight(string(data[:80]), "\x00")
		if got != want || !utf8.ValidString(got) {
			t.Errorf("%q: got %q, want %q", header, got, want)
		}
		require.EqualValues(t, 4, declared(data))
	}
}

func TestWriteSTLFlatFacets(t *testing.T) {
	m := tetra(1)
	m.AddTriangle(0, 0, 1)                     // a corner twice: left out
	m.AddTriangle(0, 1, m.AddVertex(r3.Vec{})) // two corners in one place: likewise
	m.AddTriangle(0, 1, 1)
	m.AddTriangle(0, m.AddVertex(r3.Vec{X: 0.5}), 1)            // on a line
	m.AddTriangle(0, 1, m.AddVertex(r3.Vec{X: 1e-3, Y: 1e-30})) // cross product 1e-30
	solid, err := stl.ReadAll(bytes.NewReader(written(t, m, "")))
	require.NoError(t, err)
	require.Len(t, solid.Triangles, 6)
	for i, want := range map[int]stl.Vec3{4: {}, 5: {0, 0, 1}} {
		require.Equal(t, want, solid.Triangles[i].Normal)
	}
	for _, tri := range solid.Triangles {
		for _, x := range tri.Normal {
			require.False(t, math.IsNaN(float64(x)))
		}
	}
	data := written(t, &Mesh{}, "nothing")
	require.Len(t, data, stlHeader)
}

var errFull = errors.New("no space left")

type full struct{ left int }

func (f *full) Write(p []byte) (int, error) {
	if f.left -= len(p); f.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestWriteSTLFails(t *testing.T) {
	m := limb(30, 60)
	for _, room := range []int{0, 100, 150_000, stlHeader + stlFacet*m.Triangles() - 1} {
		require.ErrorIs(t, WriteSTL(&full{room}, m, ""), errFull)
	}
	require.NoError(t, WriteSTL(&full{stlHeader + stlFacet*m.Triangles()}, m, ""))
}
