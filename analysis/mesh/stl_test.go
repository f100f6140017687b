package mesh

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/hschendel/stl"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// withCount returns data with another declared count of triangles.
func withCount(data []byte, n uint32) []byte {
	out := bytes.Clone(data)
	binary.LittleEndian.PutUint32(out[80:], n)
	return out
}

// withFloat returns data with x in place of the 4 bytes at an offset.
func withFloat(data []byte, offset int, x float64) []byte {
	out := bytes.Clone(data)
	binary.LittleEndian.PutUint32(out[offset:], math.Float32bits(float32(x)))
	return out
}

func TestBinarySTLOddities(t *testing.T) {
	box := cube(20, r3.Vec{X: -10, Y: -10})
	plain := binarySTL(box, "lantern street")
	coloured := bytes.Clone(plain)
	for i := range 12 {
		copy(coloured[stlHeader+stlFacet*i+48:], "\xff\x83")
	}
	wrongNormals := bytes.Clone(plain)
	for i := range 12 {
		copy(wrongNormals[stlHeader+stlFacet*i:], withFloat(make([]byte, 12), 4, math.NaN()))
	}
	for name, c := range map[string]struct {
		data   []byte
		remark string
	}{
		"plain":                         {plain, ""},
		"header says solid":             {binarySTL(box, "solid lantern"), ""},
		"header like a whole ASCII STL": {binarySTL(box, "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nendsolid a\n"), ""},
		"header full of text":           {binarySTL(box, strings.Repeat("solid ", 14)), ""},
		"header like a zip":             {binarySTL(box, "PK\x03\x04"), ""},
		"header like a resource fork":   {binarySTL(box, "\x00\x05\x16\x07"), ""},
		"COLOR header":                  {binarySTL(box, "COLOR=\x10\x20\x30\xff,MATERIAL=\x00\x00\x00\x00"), ""},
		"attribute bytes":               {coloured, ""},
		"NaN normals":                   {wrongNormals, ""},
		"trailing bytes":                {append(bytes.Clone(plain), "signed by the wardrobe"...), "trailing-bytes"},
		"one trailing byte":             {append(bytes.Clone(plain), 0), "trailing-bytes"},
		"whole facets behind the last":  {append(bytes.Clone(plain), plain[stlHeader:]...), "trailing-bytes"},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := loadBytes(t, "a.STL", c.data)
			require.NoError(t, err)
			require.Equal(t, FormatSTLBinary, l.Format)
			require.Equal(t, Unit{Name: "millimetre", Factor: 1}, l.Unit)
			require.Equal(t, 12, l.Mesh.Triangles())
			require.Equal(t, 8, l.Mesh.Vertices())
			near(t, "volume", l.Mesh.Volume(), 8000, 1e-15)
			near(t, "area", l.Mesh.Area(), 2400, 1e-15)
			got := ""
			if len(l.Remarks) > 0 {
				got = l.Remarks[0].Code
			}
			if got != c.remark {
				t.Errorf("remark %q, want %q", got, c.remark)
			}
		})
	}
}

func TestBinarySTLRefused(t *testing.T) {
	whole := binarySTL(cube(20, r3.Vec{}), "")
	zeroTail := bytes.Clone(whole)
	clear(zeroTail[len(zeroTail)-3*stlFacet:])
	flat := &Mesh{X: []float32{1, 1, 2}, Y: []float32{0, 0, 0}, Z: []float32{0, 0, 0}, T: []uint32{0, 1, 2, 0, 0, 0}}
	for name, c := range map[string]struct {
		data       []byte
		place      string
		says       string
		unfinished bool
	}{
		"empty":                       {nil, "", "empty (0 bytes)", true},
		"one byte":                    {[]byte{1}, "byte 1", "the header alone has 84", true},
		"header cut":                  {whole[:83], "byte 83", "the header alone has 84", true},
		"no triangles":                {withCount(whole[:84], 0), "byte 80", "holds no triangles", false},
		"header only":                 {whole[:84], "byte 84", "declares 12 triangles, holds 0: 600 bytes missing", true},
		"cut in a facet":              {whole[:84+11*50+49], "byte 683", "declares 12 triangles, holds 11: 1 byte missing", true},
		"cut between facets":          {whole[:84+11*50], "byte 634", "declares 12 triangles, holds 11: 50 bytes missing", true},
		"solid in the header and cut": {binarySTL(cube(1, r3.Vec{}), "solid a")[:500], "byte 500", "declares 12 triangles, holds 8", true},
		"declares one too many":       {withCount(whole, 13), "byte 684", "declares 13 triangles, holds 12: 50 bytes missing", true},
		"declares 4 milliards":        {withCount(whole, math.MaxUint32), "byte 80", "4 294 967 295 triangles, more than", false},
		"declares none":               {withCount(whole, 0), "byte 80", "declares 0 triangles, but 600 bytes follow", true},
		"NaN":                         {withFloat(whole, 84+50*6+12, math.NaN()), "triangle 7 (byte 384)", "not a number (NaN)", false},
		"infinite":                    {withFloat(whole, 84+50*11+44, math.Inf(-1)), "triangle 12 (byte 634)", "infinite", false},
		"nothing but zeros":           {make([]byte, 684), "byte 0", "only zeros", true},
		"no facet has an area":        {binarySTL(flat, "flat"), "byte 84", "no triangle that has an area (2 triangles without)", false},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := loadBytes(t, "a.stl", c.data)
			require.Nil(t, l)
			var r *ReadError
			require.ErrorAs(t, err, &r)
			if r.Place != c.place || !strings.Contains(r.Cause, c.says) || r.Unfinished != c.unfinished || r.Remedy == "" {
				t.Errorf("got %#v\nwant %q, …%s…, unfinished %v", r, c.place, c.says, c.unfinished)
			}
		})
	}
	t.Run("zero tail", func(t *testing.T) { // a stream has a check sum instead
		_, err := loadSource(t.Context(), sourceOf("a.stl", zeroTail), Limits{}.orDefault())
		var r *ReadError
		require.ErrorAs(t, err, &r)
		if r.Place != "byte 584" || !r.Unfinished {
			t.Errorf("got %#v", r)
		}
	})
}

func TestNotAMesh(t *testing.T) {
	for name, c := range map[string]struct{ file, data, says string }{
		"resource fork":     {"._a.stl", "\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X        " + strings.Repeat("\x00", 80), "resource-fork"},
		"web page":          {"a.stl", "\n <!DOCTYPE html><html>", "web page"},
		"XML":               {"a.3mf", "<?xml version=\"1.0\"?><model/>", "bare XML"},
		"gzip":              {"a.stl", "\x1f\x8b\x08\x00\x00\x00\x00\x00", "compressed"},
		"UTF-16":            {"a.stl", "\xff\xfes\x00o\x00l\x00i\x00d\x00", "UTF-16"},
		"prose":             {"a.stl", "a fitting is on Tuesday", "neither STL nor 3MF nor OBJ"},
		"binary with .obj":  {"a.obj", "\x01\x02\x03", "neither STL nor 3MF nor OBJ"},
		"an archive":        {"a.zip", "PK\x05\x06", "archive"},
		"zeros after blank": {"a.stl", " \n\n", "holds no triangles"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := loadBytes(t, c.file, []byte(c.data))
			var r *ReadError
			require.ErrorAs(t, err, &r)
			if !strings.Contains(r.Cause, c.says) {
				t.Errorf("got %q, want …%s…", r.Cause, c.says)
			}
		})
	}
}

// The extension is only a hint: content decides.
func TestContentOverExtension(t *testing.T) {
	box := cube(1, r3.Vec{})
	for name, c := range map[string]struct {
		data   []byte
		format string
	}{
		"a.obj": {binarySTL(box, ""), FormatSTLBinary},
		"b.3mf": {binarySTL(box, ""), FormatSTLBinary},
		"c.obj": {[]byte(asciiSTL(box, "")), FormatSTLASCII},
		"d.stl": {[]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"), FormatOBJ},
	} {
		l, err := loadBytes(t, name, c.data)
		require.NoError(t, err, name)
		require.Equal(t, c.format, l.Format, name)
	}
}

// Second route: what github.com/hschendel/stl reads of a binary file, in
// order, is what we read.
func TestBinarySTLSecondRoute(t *testing.T) {
	want := limb(40, 60)
	data := binarySTL(want, "limb")
	other, err := stl.ReadAll(bytes.NewReader(data))
	require.NoError(t, err)
	l, err := loadBytes(t, "limb.stl", data)
	require.NoError(t, err)
	require.Equal(t, len(other.Triangles), l.Mesh.Triangles())
	for i, tri := range other.Triangles {
		for k, p := range tri.Vertices {
			v := l.Mesh.T[3*i+k]
			if got := (stl.Vec3{l.Mesh.X[v], l.Mesh.Y[v], l.Mesh.Z[v]}); got != p {
				t.Fatalf("triangle %d corner %d: got %v, want %v", i, k, got, p)
			}
		}
	}
	require.Equal(t, want.Vertices(), l.Mesh.Vertices(), "each corner once")
}

// However many goroutines read a file, the mesh is the same, bit for bit.
func TestWorkersDoNotShow(t *testing.T) {
	m := limb(100, 150) // 60 600 triangles, enough for three
	for name, data := range map[string][]byte{"binary": binarySTL(m, ""), "ascii": []byte(asciiSTL(m, "limb"))} {
		var first *Loaded
		for _, workers := range []int{1, 2, 3} {
			l, err := loadSource(t.Context(), sourceOf("limb.stl", data), Limits{Workers: workers}.orDefault())
			require.NoError(t, err)
			if first == nil {
				first = l
				require.Equal(t, m.Vertices(), l.Mesh.Vertices(), name)
			}
			require.Equal(t, first, l, "%s, %d workers", name, workers)
		}
	}
}

// The first bad triangle is named, whoever finds it.
func TestFirstErrorWins(t *testing.T) {
	m := limb(140, 150)
	data := binarySTL(m, "")
	for _, at := range []int{75_000, 30_001, 30_000} { // bad ones join from the back
		data = withFloat(data, stlHeader+stlFacet*at+12, math.NaN())
		_, err := loadSource(t.Context(), sourceOf("limb.stl", data), Limits{Workers: 4}.orDefault())
		var r *ReadError
		require.ErrorAs(t, err, &r)
		if want := "triangle " + plain(at+1) + " "; !strings.HasPrefix(r.Place, want) {
			t.Errorf("got %s, want %s", r.Place, want)
		}
	}
}

func TestTooManyTriangles(t *testing.T) {
	m := cube(1, r3.Vec{})
	for _, data := range [][]byte{binarySTL(m, ""), []byte(asciiSTL(m, ""))} {
		_, err := loadSource(t.Context(), sourceOf("a.stl", data), Limits{Triangles: 11}.orDefault())
		var r *ReadError
		require.ErrorAs(t, err, &r)
		if !strings.Contains(r.Cause, "12 triangles, more than the 11") || r.Unfinished {
			t.Errorf("got %#v", r)
		}
	}
}

// A file that shrinks while it is read is said to change.
func TestShrinkingFile(t *testing.T) {
	data := binarySTL(limb(30, 60), "")
	for name, data := range map[string][]byte{"binary": data, "ascii": []byte(asciiSTL(limb(30, 60), ""))} {
		s := sourceOf("a.stl", data)
		for _, left := range []int{len(data) / 2, 60, 6, 0} { // 60: less than a binary header
			s.at = bytes.NewReader(data[:left])
			_, err := loadSource(t.Context(), s, Limits{}.orDefault())
			if !errors.Is(err, ErrChanging) {
				t.Errorf("%s cut to %d bytes: got %v, want ErrChanging", name, left, err)
			}
		}
	}
}

func plain(n int) string { return strings.ReplaceAll(thousands(int64(n)), " ", "") }
