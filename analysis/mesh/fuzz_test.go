package mesh

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// sound fails where what was loaded breaks a promise of Loaded.
func sound(t *testing.T, l *Loaded, err error) {
	t.Helper()
	if err != nil {
		if l != nil || err.Error() == "" {
			t.Fatalf("%v with %v", l, err)
		}
		return
	}
	m := l.Mesh
	if m.Triangles() == 0 || len(m.T)%3 != 0 || len(m.X) != len(m.Y) || len(m.Y) != len(m.Z) || !m.Finite() {
		t.Fatalf("%d triangles, %d, %d, %d coordinates", m.Triangles(), len(m.X), len(m.Y), len(m.Z))
	}
	used := make([]bool, m.Vertices())
	for _, v := range m.T {
		used[v] = true // in range, or it panics
	}
	for v := range used {
		if !used[v] {
			t.Fatalf("vertex %d is nobody's", v)
		}
	}
	c := l.Condition()
	if c.Components < 1 || c.Components > m.Triangles() {
		t.Fatalf("%+v", c)
	}
	if math.IsNaN(m.Area()) || math.IsNaN(m.Volume()) {
		t.Fatalf("area %v, volume %v", m.Area(), m.Volume())
	}
}

// fuzzed loads data in all ways; they must agree.
func fuzzed(t *testing.T, name string, data []byte) {
	limits := Limits{Triangles: 100_000}.orDefault()
	l, err := loadSource(t.Context(), sourceOf(name, data), limits)
	sound(t, l, err)
	streamed, streamErr := loadSource(t.Context(), streamOf(name, data), limits)
	sound(t, streamed, streamErr)
	if (err == nil) != (streamErr == nil) && !strings.Contains(err.Error(), "zeros") {
		t.Fatalf("as a file %v, as a stream %v", err, streamErr)
	}
	_ = sourceOf(name, data).cutShort()
}

func FuzzBinarySTL(f *testing.F) {
	whole := binarySTL(cube(20, r3.Vec{}), "solid")
	f.Add(whole)
	f.Add(whole[:333])
	f.Add(append(bytes.Clone(whole), 1, 2, 3))
	f.Add(withCount(whole, 0))
	f.Add(withCount(whole, math.MaxUint32))
	f.Add(withFloat(whole, 96, math.NaN()))
	f.Add(withFloat(whole, 96, -math.MaxFloat32))
	f.Add(binarySTL(cubesAtAnEdge(), "COLOR="))
	f.Add(make([]byte, 84))
	f.Add([]byte("\x00\x05\x16\x07"))
	f.Fuzz(func(t *testing.T, data []byte) {
		fuzzed(t, "a.stl", data)
		givesFacets(t, data)
	})
}

// givesFacets fails where the facets of a file, one by one, are not those of the
// mesh that is loaded of it.
func givesFacets(t *testing.T, data []byte) {
	t.Helper()
	limits := Limits{Triangles: 100_000}.orDefault()
	st, ok, err := newStream(sourceOf("a.stl", data), limits)
	l, loadErr := loadSource(t.Context(), sourceOf("a.stl", data), limits)
	loadErr = located(loadErr, "a.stl", "")
	err = located(err, "a.stl", "")
	if err != nil {
		if loadErr == nil || loadErr.Error() != err.Error() {
			t.Fatalf("%v, loaded: %v", err, loadErr)
		}
		return
	}
	if !ok {
		return
	}
	next := make([][]Facet, st.Runs())
	err = st.Each(t.Context(), func(run int, facets []Facet) { next[run] = append(next[run], facets...) })
	var facets [][3]point
	for _, f := range slices.Concat(next...) {
		var c [3]point
		for k := range c {
			c[k] = point{f.At(k, 0), f.At(k, 1), f.At(k, 2)}
		}
		if c[0] != c[1] && c[1] != c[2] && c[2] != c[0] {
			facets = append(facets, c)
		}
	}
	switch {
	case err != nil:
		if loadErr == nil || loadErr.Error() != err.Error() {
			t.Fatalf("%v, loaded: %v", err, loadErr)
		}
	case loadErr != nil:
		if len(facets) > 0 && !strings.Contains(loadErr.Error(), "has an area") { // facets may come to nothing when cracks are joined
			t.Fatalf("%d facets, loaded: %v", len(facets), loadErr)
		}
	case slices.ContainsFunc(l.Remarks, func(r Remark) bool { return r.Code == "welded" }):
	default:
		var want [][3]point
		for i := 0; i < len(l.Mesh.T); i += 3 {
			var c [3]point
			for k := range c {
				v := l.Mesh.T[i+k]
				c[k] = point{l.Mesh.X[v], l.Mesh.Y[v], l.Mesh.Z[v]}
			}
			want = append(want, c)
		}
		if !slices.Equal(facets, want) {
			t.Fatalf("facets %v, loaded %v", facets, want)
		}
	}
}

func FuzzASCIISTL(f *testing.F) {
	plain := asciiSTL(tetra(20), "a")
	f.Add(plain)
	f.Add(strings.ToUpper(plain))
	f.Add(strings.ReplaceAll(plain, "\n", "\r"))
	f.Add(strings.Join(strings.Fields(plain), " "))
	f.Add(plain + plain)
	f.Add(plain[:300])
	f.Add("\xef\xbb\xbf \n" + plain)
	f.Add("solid facet normal endsolid")
	f.Add("facet outer loop vertex 1 2 3 vertex 1e9 2e-9 .5 vertex -0 nan 1e39 endloop endfacet")
	f.Add(plain[:200] + "\x00\x00")
	f.Fuzz(func(t *testing.T, data string) {
		fuzzed(t, "a.stl", []byte("solid"+data))
		readsByLayout(t, data)
	})
}

// FuzzSoup welds and judges meshes of any shape: corners on a coarse grid, so
// that everything meets everything.
func FuzzSoup(f *testing.F) {
	f.Add([]byte("\x00\x01\x02\x10\x11\x12\x20\x21\x22abcdefghi"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m := &Mesh{}
		for i := 0; i+3 <= len(data) && i < 3000; i += 3 {
			p := r3.Vec{X: float64(data[i] & 3), Y: float64(data[i+1] & 3), Z: float64(data[i+2]&3) + float64(data[i+2]>>4)*1e-5}
			m.AddVertex(p)
		}
		for v := 0; v+3 <= m.Vertices(); v += 3 {
			m.AddTriangle(uint32(v), uint32(v+1), uint32(v+2))
		}
		m.Condition()
		l, err := finish(t.Context(), m, FormatOBJ)
		sound(t, l, err)
	})
}

// FuzzUnfinished asks of any bytes by their ends whether they are all there, as is done of
// every file that comes, under each of the names that are read. What is cut off is not
// complete, and what is either is found to be so when it is read.
func FuzzUnfinished(f *testing.F) {
	names := []string{"a.stl", "a.obj", "a.3mf", "a.zip", "._a.stl"}
	binary, text := binarySTL(cube(20, r3.Vec{}), "lantern"), []byte(asciiSTL(cube(20, r3.Vec{}), "lantern"))
	for i, data := range [][]byte{
		binary, binary[:400], append(bytes.Clone(binary[:400]), make([]byte, 284)...), withCount(binary, 1<<31), binary[:40],
		text, text[:1500], append(bytes.Clone(text[:1500]), make([]byte, 9000)...), []byte("solid"), {}, make([]byte, 700),
		[]byte(cubeOBJ(1)), []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 \x00\x00\x00"),
		[]byte("PK\x05\x06" + strings.Repeat("\x00", 18)), []byte("PK\x03\x04\x14\x00"), []byte("PK\x05\x06" + strings.Repeat("\xff", 18)),
	} {
		f.Add(uint8(i), data)
		f.Add(uint8(0), data)
	}
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		path := filepath.Join(dir, names[int(which)%len(names)])
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		why, cut := Unfinished(path)
		if cut != (why != "") {
			t.Fatalf("unfinished %v, since %q", cut, why)
		}
		complete := Complete(path)
		if cut && complete {
			t.Fatalf("complete, and not: %s", why)
		}
		opened, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer opened.Close()
		if opened.Archive() {
			_, err = opened.Members(t.Context())
		} else {
			_, err = opened.Load(t.Context(), Limits{Triangles: 100_000})
		}
		var r *ReadError
		switch short := errors.As(err, &r) && r.Unfinished; {
		case cut && err == nil:
			t.Fatalf("unfinished, since %s, and read", why)
		case complete && short:
			t.Fatalf("complete, and read: %v", err)
		}
	})
}
