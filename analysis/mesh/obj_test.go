package mesh

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// objOf writes a mesh as OBJ. %v keeps every bit of a float32.
func objOf(m *Mesh) string {
	var b strings.Builder
	for v := range m.Vertices() {
		fmt.Fprintf(&b, "v %v %v %v\n", m.X[v], m.Y[v], m.Z[v])
	}
	for t := range m.Triangles() {
		fmt.Fprintf(&b, "f %d %d %d\n", m.T[3*t]+1, m.T[3*t+1]+1, m.T[3*t+2]+1)
	}
	return b.String()
}

func readOBJ(t testing.TB, body string) (*Loaded, error) {
	t.Helper()
	return loadOBJ(t.Context(), textSource("shell.obj", body), DefaultLimits())
}

// What is read. Facts of the format without a published standard are common
// practice; the grammar is that of the Advanced Visualizer's appendix B1
// ("Object Files"), from memory.
func TestOBJIsRead(t *testing.T) {
	cube := cubeOBJ(2)
	tests := []struct {
		name         string
		body         string
		area, volume float64
		remarks      []string
	}{
		{"polygons", cube, 24, 8, nil},
		{"CR LF", strings.ReplaceAll(cube, "\n", "\r\n"), 24, 8, nil},
		{"CR", strings.ReplaceAll(cube, "\n", "\r"), 24, 8, nil},
		{"no line end at the end", strings.TrimSuffix(cube, "\n"), 24, 8, nil},
		{"tabs and blanks", "\ufeff#\n" + strings.ReplaceAll(cube, " ", " \t "), 24, 8, nil},
		{"blank lines and comments", "# a\n\n" + strings.ReplaceAll(cube, "\n", "\n \n# v 1 2 \\\n"), 24, 8, nil},
		{"negative indices", "v 9 9 9\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf -4 -2 -3\nf -4 -3 -1\nf -3 -2 -1\nf -2 -4 -1\n", 1.5 + math.Sqrt(3)/2, 1. / 6, nil},
		{"v/vt/vn, v//vn, v/vt, v//", "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nvt 0 0\nvn 0 0 1\nf 1/1/1 3/1/1 2/1/1\nf 1//1 2//1 4//1\nf 2/1 3/1 4/1\nf 3// 1// 4//\n", 1.5 + math.Sqrt(3)/2, 1. / 6, nil},
		{"weights and colours, also NaN", strings.NewReplacer("v 0 0 0\n", "v 0 0 0 1.0\n", "v 2 0 0\n", "v 2 0 0 0.1 nan nan\n").Replace(cube), 24, 8, nil},
		{"exponents and signs", strings.Replace(cube, "v 2 0 0", "v +2.0e+0 -0 .0", 1), 24, 8, nil},
		{"groups, materials, smoothing, lines, points", "mtllib a b.mtl\no An f Three 1 2 3\ng left\nusemtl\ns off\nl 1 2\np 1\n" + cube, 24, 8, nil},
		{"several objects", "o one\n" + cube + "o two\n" + second(cube), 48, 16, nil},
		{"continued lines", strings.NewReplacer("f 1 4 3 2", "f 1 4 \\\n 3 \\\n2", "v 2 2 0", "v 2 \\\r\n2 0").Replace(cube), 24, 8, nil},
		{"capitals", strings.ToUpper(cube), 24, 8, nil},
		{"corner twice in a row", strings.Replace(cube, "f 1 4 3 2", "f 1 4 4 3 2 1", 1), 24, 8, nil},
		{"faces with two corners", cube + "f 1 2\nf 1 1 1\n", 24, 8, []string{"short-faces"}},
		{"unknown statements", "ctech cspace\nvp 1 2\n\x80\x81 1\n" + cube, 24, 8, nil},
		{"vertices that no face uses", "v 1e6 1e6 1e6\n" + shifted(cube), 24, 8, nil},
	}
	for _, test := range tests {
		loaded, err := readOBJ(t, test.body)
		require.NoError(t, err, test.name)
		require.Equal(t, test.remarks, codes(loaded), test.name)
		require.Equal(t, Unit{Name: "millimetre", Factor: 1}, loaded.Unit)
		area, volume := loaded.Mesh.Area(), loaded.Mesh.Volume()
		if math.Abs(area-test.area) > 1e-6 || math.Abs(volume-test.volume) > 1e-6 {
			t.Errorf("%s: %g mm², %g mm³, want %g, %g", test.name, area, volume, test.area, test.volume)
		}
		if size := loaded.Mesh.Bounds().Size(); size.X > 10 {
			t.Errorf("%s: size %v: holds a vertex that no face uses", test.name, size)
		}
	}
}

// second is the cube moved by 3 along x, its corners counted from the end.
func second(cube string) string {
	var b strings.Builder
	for line := range strings.Lines(cube) {
		var p [3]int
		var q [4]int
		if n, _ := fmt.Sscanf(line, "v %d %d %d", &p[0], &p[1], &p[2]); n == 3 {
			fmt.Fprintf(&b, "v %d %d %d\n", p[0]+3, p[1], p[2])
		} else if n, _ := fmt.Sscanf(line, "f %d %d %d %d", &q[0], &q[1], &q[2], &q[3]); n == 4 {
			fmt.Fprintf(&b, "f %d %d %d %d\n", q[0]-9, q[1]-9, q[2]-9, q[3]-9)
		}
	}
	return b.String()
}

// shifted is the cube with one more vertex in front.
func shifted(cube string) string {
	var b strings.Builder
	for line := range strings.Lines(cube) {
		var q [4]int
		if n, _ := fmt.Sscanf(line, "f %d %d %d %d", &q[0], &q[1], &q[2], &q[3]); n == 4 {
			line = fmt.Sprintf("f %d %d %d %d\n", q[0]+1, q[1]+1, q[2]+1, q[3]+1)
		}
		b.WriteString(line)
	}
	return b.String()
}

func TestOBJRefusals(t *testing.T) {
	three := "v 0 0 0\nv 1 0 0\nv 0 1 0\n"
	tests := []struct {
		name, body, place, cause string
		unfinished               bool
	}{
		{"nothing", "# made by hand\n", "", "neither vertices nor faces", false},
		{"points only", three, "", "vertices (3) but no faces: points", false},
		{"wire only", three + "l 1 2\nl 2 3\n", "", "a wire", false},
		{"curved", three + "surf 0 1 0 1 1 2 3\n", "", "curved surfaces", false},
		{"short faces only", three + "f 1 2\nf 2 3\n", "", "none of its faces has three corners", false},
		{"NaN", three + "v 0 nan 0\nf 1 2 3\n", "line 4", `"nan"`, false},
		{"NaN that no face uses", three + "f 1 2 3\nv 0 0 NaN\n", "line 5", `"NaN"`, false},
		{"infinity", three + "v 0 -inf 0\nf 1 2 3\n", "line 4", `"-inf"`, false},
		{"hexadecimal", three + "v 0 0x10 0\nf 1 2 3\n", "line 4", `"0x10"`, false},
		{"comma", three + "v 0 1,5 0\nf 1 2 3\n", "line 4", `"1,5"`, false},
		{"out of range", three + "v 0 1e39 0\nf 1 2 3\n", "line 4", `"1e39"`, false},
		{"very long", three + "v 0 " + strings.Repeat("x", 5000) + " 0\nf 1 2 3\n", "line 4", `"xxxxxxxxxxxxxxxxxxxxxxxx…"`, false},
		{"two coordinates", three + "v 0 1\nf 1 2 3\n", "line 4", "2 coordinates", false},
		{"no coordinates", three + "v\nf 1 2 3\n", "line 4", "0 coordinates", false},
		{"corner too high", three + "f 1 2 4\n", "line 4", "corner 4, but the vertices before it are 3", false},
		{"corner too high, as a vertex follows", three + "f 1 2 4\nv 0 0 1\n", "line 4", "corner 4", false},
		{"corner too low", three + "f 1 2 -4\n", "line 4", "corner -4", false},
		{"corner 0", three + "f 0 1 2\n", "line 4", "corner 0, but vertices are counted from 1", false},
		{"corner no number", three + "f 1 2 x\n", "line 4", `"x"`, false},
		{"corner with a fraction", three + "f 1 2 3.0\n", "line 4", `"3.0"`, false},
		{"corner huge", three + "f 1 2 99999999999999999999\n", "line 4", "no index", false},
		{"corner 2³²+1", three + "f 1 2 4294967297\n", "line 4", "corner 4294967297", false},
		{"corner without vertex", three + "f 1 2 /3/3\n", "line 4", `"/3/3"`, false},
		{"line in CR LF", strings.ReplaceAll(three, "\n", "\r\n") + "\r\nf 1 2 4\r\n", "line 5", "corner 4", false},
		{"line in CR", strings.ReplaceAll(three, "\n", "\r") + "\rf 1 2 4\r", "line 5", "corner 4", false},
		{"line behind a continued one", "v 0 0 \\\n0\nv 1 0 0\nv 0 1 0\nf 1 2 \\\n4\n", "line 5", "corner 4", false},
		{"continued at the end", three + "f 1 2 \\", "line 4", "ends within a face", true},
		{"cut in a vertex", three + "v 1 2", "line 4", "there the file ends", true},
		{"cut in a number", three + "f 1 2 3\nv 1 2 -", "line 5", "there the file ends", true},
		{"cut in a face", three + "f 1 2", "line 4", "ends within a face", true},
		{"zeros behind", three + "f 1 2 3\n" + strings.Repeat("\x00", 100), "line 5", "zero bytes", true},
		{"zeros behind a number", three + "f 1 2 3\x00\x00", "line 4", "zero bytes", true},
		{"zeros in a line passed over", three + "f 1 2 3\nvn 0 0 \x00\x00", "line 5", "zero bytes", true},
		{"many zeros behind", three + "f 1 2 3\n" + strings.Repeat("\x00", 3<<20), "line 5", "longer than", true},
		{"endless line", three + "f 1 2 3 " + strings.Repeat(" ", 2<<20) + "\n", "line 4", "longer than", false},
		{"endless comment", three + "#" + strings.Repeat("x", 2<<20) + "\n", "line 4", "longer than", false},
		{"endlessly continued", three + "f " + strings.Repeat("1 2 3 "+strings.Repeat(" ", 1000)+"\\\n", 2000) + "\n", "", "continued over more than", false},
		{"collinear only", three + "v 2 0 0\nf 1 2 2\nf 1 1 4\n", "", "none of its faces", false},
	}
	for _, test := range tests {
		_, err := readOBJ(t, test.body)
		r := refusal(t, err)
		if !strings.Contains(r.Cause, test.cause) || test.place != "" && r.Place != test.place || r.Unfinished != test.unfinished {
			t.Errorf("%s: got %q: %q (unfinished %v), want %q: %q", test.name, r.Place, r.Cause, r.Unfinished, test.place, test.cause)
		}
		if r.Remedy == "" {
			t.Errorf("%s: no remedy", test.name)
		}
	}
}

// Numbers with a comma are no damage, which another export would mend.
func TestOBJWithCommas(t *testing.T) {
	_, err := readOBJ(t, "v 0 0 0\nv 1,5 0 0\nv 0 1 0\nf 1 2 3\n")
	r := refusal(t, err)
	require.Equal(t, "line 2", r.Place)
	require.Contains(t, r.Remedy, "with a point, not with a comma")
}

func TestOBJTriangleLimit(t *testing.T) {
	s := textSource("a.obj", cubeOBJ(1))
	_, err := loadOBJ(t.Context(), s, Limits{Triangles: 12}.orDefault())
	require.NoError(t, err)
	_, err = loadOBJ(t.Context(), s, Limits{Triangles: 11}.orDefault())
	if r := refusal(t, err); r.Place != "line 14" {
		t.Errorf("got %v, want it at the last face, line 14", r)
	}
	_, err = loadOBJ(t.Context(), s, Limits{Triangles: 2}.orDefault())
	if r := refusal(t, err); r.Place != "line 7" {
		t.Errorf("got %v, want it at the seventh vertex", r)
	}
}

// Readers may give as few bytes as they like, an error with the last of them,
// or fail in the middle.
func TestOBJFromSlowReaders(t *testing.T) {
	body := strings.ReplaceAll(cubeOBJ(2), "\n", "\r\n")
	slow := func(wrap func(io.Reader) io.Reader) *source {
		return &source{name: "a.obj", size: int64(len(body)), front: func() (io.ReadCloser, error) {
			return io.NopCloser(wrap(strings.NewReader(body))), nil
		}}
	}
	for _, wrap := range []func(io.Reader) io.Reader{iotest.OneByteReader, iotest.HalfReader, iotest.DataErrReader} {
		loaded, err := loadOBJ(t.Context(), slow(wrap), DefaultLimits())
		require.NoError(t, err)
		if got := loaded.Mesh.Volume(); got != 8 {
			t.Errorf("volume %g, want 8", got)
		}
	}
	broken := errors.New("the disk gave up")
	_, err := loadOBJ(t.Context(), slow(func(r io.Reader) io.Reader {
		return io.MultiReader(io.LimitReader(r, 50), iotest.ErrReader(broken))
	}), DefaultLimits())
	require.ErrorIs(t, err, broken)
	if r := refusal(t, err); r.Place != "byte 50" {
		t.Errorf("got %v, want it at byte 50", r)
	}
}

// Cut off while it is read, between two lines: nothing else would tell.
func TestOBJThatShrinks(t *testing.T) {
	s := textSource("a.obj", cubeOBJ(2))
	s.size += 100
	_, err := loadOBJ(t.Context(), s, DefaultLimits())
	require.ErrorIs(t, err, ErrChanging)
}

func TestOBJStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := loadOBJ(ctx, textSource("a.obj", strings.Repeat("v 0 0 0\n", 10_000)), DefaultLimits())
	require.ErrorIs(t, err, context.Canceled)
}

// Lines are counted right wherever the buffer ends.
func TestLinesAcrossTheBuffer(t *testing.T) {
	for _, end := range []string{"\n", "\r", "\r\n"} {
		for pad := 64<<10 - 4; pad <= 64<<10+4; pad++ {
			text := "#" + strings.Repeat("x", pad) + end + end + "v 1 2" + end
			_, err := readOBJ(t, text)
			if r := refusal(t, err); r.Place != "line 3" || r.Unfinished {
				t.Fatalf("%q after %d bytes: got %v", end, pad, r)
			}
		}
	}
}

// Polygons whose area and place are known, as a prism of height 2: volume is
// area times height only where no triangle sticks out or is turned over.
func TestPolygonsOfEveryKind(t *testing.T) {
	tests := []struct {
		name    string
		outline [][2]float64 // counter-clockwise
		crossed bool
	}{
		{"square", [][2]float64{{0, 0}, {4, 0}, {4, 4}, {0, 4}}, false},
		{"arrow", [][2]float64{{0, 0}, {4, 0}, {1, 1}, {0, 4}}, false},
		{"arrow from its notch", [][2]float64{{1, 1}, {0, 4}, {0, 0}, {4, 0}}, false},
		{"arrow from its tip", [][2]float64{{4, 0}, {1, 1}, {0, 4}, {0, 0}}, false},
		{"L", [][2]float64{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 4}, {0, 4}}, false},
		{"C", [][2]float64{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {4, 3}, {4, 4}, {0, 4}}, false},
		{"comb", [][2]float64{{0, 0}, {7, 0}, {7, 5}, {6, 5}, {6, 1}, {5, 1}, {5, 5}, {4, 5}, {4, 1}, {3, 1}, {3, 5}, {2, 5}, {2, 1}, {1, 1}, {1, 5}, {0, 5}}, false},
		{"corners on straight sides", [][2]float64{{0, 0}, {1, 0}, {2, 0}, {4, 0}, {4, 2}, {4, 4}, {2, 4}, {0, 4}, {0, 1}}, false},
		{"corners on straight sides of an L", [][2]float64{{0, 0}, {2, 0}, {4, 0}, {4, 1}, {2, 1}, {1, 1}, {1, 2}, {1, 4}, {0, 4}, {0, 2}}, false},
		{"hole by way of a bridge", [][2]float64{{0, 0}, {6, 0}, {6, 6}, {0, 6}, {0, 0}, {2, 2}, {2, 4}, {4, 4}, {4, 2}, {2, 2}}, false},
		{"spiral", [][2]float64{{0, 0}, {9, 0}, {9, 9}, {2, 9}, {2, 4}, {5, 4}, {5, 6}, {4, 6}, {4, 5}, {3, 5}, {3, 8}, {8, 8}, {8, 1}, {1, 1}, {1, 9}, {0, 9}}, false},
		{"bow tie", [][2]float64{{0, 0}, {4, 4}, {4, 0}, {0, 4}}, true},
		{"pentagram", [][2]float64{{0, 3}, {-2, -3}, {3, 1}, {-3, 1}, {2, -3}}, true},
	}
	for _, test := range tests {
		for name, place := range map[string]func(x, y, z float64) r3.Vec{
			"xy": func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} },
			"yz": func(x, y, z float64) r3.Vec { return r3.Vec{X: z, Y: x, Z: y} },
			"zx": func(x, y, z float64) r3.Vec { return r3.Vec{X: y, Y: z, Z: x} },
			"tilted": func(x, y, z float64) r3.Vec {
				return r3.NewRotation(2, r3.Vec{X: 1, Y: 2, Z: 3}).Rotate(r3.Vec{X: x, Y: y, Z: z})
			},
		} {
			if test.crossed && name == "tilted" {
				continue // without an area its normal is rounding: any plane may be looked at
			}
			loaded, err := readOBJ(t, prism(test.outline, place))
			require.NoError(t, err, test.name)
			if test.crossed {
				require.Equal(t, []string{"crossed-faces"}, codes(loaded), test.name)
				continue
			}
			require.Empty(t, loaded.Remarks, "%s in %s", test.name, name)
			area, round := 0.0, 0.0
			for i, p := range test.outline {
				q := test.outline[(i+1)%len(test.outline)]
				area += (p[0]*q[1] - p[1]*q[0]) / 2
				round += math.Hypot(q[0]-p[0], q[1]-p[1])
			}
			if got := loaded.Mesh.Volume(); math.Abs(got-2*area) > 1e-5 {
				t.Errorf("%s in %s: volume %g, want %g", test.name, name, got, 2*area)
			}
			if got := loaded.Mesh.Area(); math.Abs(got-2*area-2*round) > 1e-4 {
				t.Errorf("%s in %s: area %g, want %g: triangles overlap", test.name, name, got, 2*area+2*round)
			}
		}
	}
}

// prism writes an OBJ of height 2 whose ends are outlines of many corners.
func prism(outline [][2]float64, place func(x, y, z float64) r3.Vec) string {
	var b strings.Builder
	n := len(outline)
	for _, z := range []float64{0, 2} {
		for _, p := range outline {
			v := place(p[0], p[1], z)
			fmt.Fprintf(&b, "v %.9g %.9g %.9g\n", v.X, v.Y, v.Z)
		}
	}
	var top, bottom strings.Builder
	for i := range n {
		fmt.Fprintf(&bottom, " %d", n-i)
		fmt.Fprintf(&top, " %d", n+i+1)
		j := (i + 1) % n
		fmt.Fprintf(&b, "f %d %d %d %d\n", i+1, j+1, n+j+1, n+i+1)
	}
	return b.String() + "f" + bottom.String() + "\nf" + top.String() + "\n"
}

// Random outlines round a middle: the triangles add up to the outline (the
// shoelace formula), none is turned over, and every side is used once.
func TestRandomPolygons(t *testing.T) {
	const seed = 20251
	random := rand.New(rand.NewPCG(seed, 1))
	var p polygon
	for round := range 2000 {
		n := 4 + random.IntN(60)
		m := &Mesh{}
		var outline []uint32
		start := random.IntN(n)
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i+start) + 0.8*random.Float64()) / float64(n))
			r := 1 + 40*random.Float64()
			outline = append(outline, m.AddVertex(r3.Vec{X: r * cos, Y: r * sin, Z: 5 - r*cos}))
		}
		if !p.cut(m, outline) {
			t.Fatalf("seed %d, round %d: said to cross itself", seed, round)
		}
		var want float64
		for i, v := range outline {
			a, b := m.At(v), m.At(outline[(i+1)%n])
			want += (a.X*b.Y - a.Y*b.X) / 2
		}
		var got float64
		sides := map[[2]uint32]int{}
		for tri := range m.Triangles() {
			a, b, c := m.Corners(tri)
			area := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)).Z / 2
			if got += area; area < -1e-9 {
				t.Fatalf("seed %d, round %d: a triangle is turned over", seed, round)
			}
			for k := range 3 {
				sides[[2]uint32{m.T[3*tri+k], m.T[3*tri+(k+1)%3]}]++
			}
		}
		if m.Triangles() != n-2 || math.Abs(got/want-1) > 1e-9 {
			t.Fatalf("seed %d, round %d: %d triangles of %g, want %d of %g", seed, round, m.Triangles(), got, n-2, want)
		}
		for i, v := range outline {
			if sides[[2]uint32{v, outline[(i+1)%n]}] != 1 {
				t.Fatalf("seed %d, round %d: side %d is not used once", seed, round, i)
			}
		}
	}
}

// A face of 5000 corners that is not convex is too long to be cut ear by
// ear; it is read all the same, and said.
func TestPolygonOfManyCorners(t *testing.T) {
	var outline [][2]float64
	for i := range 5000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 5000)
		outline = append(outline, [2]float64{100 * cos, 100 * sin})
	}
	flat := func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }
	loaded, err := readOBJ(t, prism(outline, flat))
	require.NoError(t, err)
	if got, want := loaded.Mesh.Volume(), 2*math.Pi*100*100; math.Abs(got/want-1) > 1e-4 {
		t.Errorf("disc: volume %g, want about %g", got, want)
	}
	require.Empty(t, loaded.Remarks, "a convex outline may be as long as it likes")
	for i := range outline {
		if i%2 == 0 {
			outline[i][0], outline[i][1] = outline[i][0]/2, outline[i][1]/2
		}
	}
	loaded, err = readOBJ(t, prism(outline, flat))
	require.NoError(t, err)
	require.Equal(t, []string{"crossed-faces"}, codes(loaded))
}

func FuzzOBJ(f *testing.F) {
	f.Add([]byte(cubeOBJ(1)))
	f.Add([]byte("v 0 0 0\r\nv 4 0 0 1 0 0\rv 1 1 0\nv 0 4 \\\n0\nf -1// -4/1 2/1/1 3\nl 1 2\nf 1 2"))
	f.Add([]byte(prism([][2]float64{{0, 0}, {6, 0}, {6, 6}, {0, 6}, {0, 0}, {2, 2}, {2, 4}, {4, 4}, {4, 2}, {2, 2}}, func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} })))
	f.Add([]byte("v 1 2 3\nv nan\x00\x00"))
	limits := Limits{Triangles: 10_000}.orDefault()
	f.Fuzz(func(t *testing.T, body []byte) {
		loaded, err := loadOBJ(t.Context(), textSource("a.obj", string(body)), limits)
		if err != nil {
			refusal(t, err)
			return
		}
		soundMesh(t, loaded.Mesh, limits)
	})
}

func BenchmarkOBJ200k(b *testing.B) {
	body := objOf(wall(200_000))
	b.SetBytes(int64(len(body)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := loadOBJ(b.Context(), textSource("a.obj", body), DefaultLimits()); err != nil {
			b.Fatal(err)
		}
	}
}
