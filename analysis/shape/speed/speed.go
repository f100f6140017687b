// Package speed has the parts on which speed is measured, and measures it:
// for benchmarks and tests only.
package speed

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// Part is a part to measure with.
type Part struct {
	Name string // size and order, as the benchmarks are named: 2M/inorder
	Make func() *mesh.Mesh
}

// Parts are two-walled limbs with a relief of 20 k to 5 M triangles, and a bent
// boot of 500 k, as they are drawn and with their triangles shuffled.
func Parts() []Part {
	var parts []Part
	for _, p := range []Part{
		{"20k", limb(20_000)},
		{"200k", limb(200_000)},
		{"boot500k", boot},
		{"2M", limb(2_000_000)},
		{"5M", limb(5_000_000)},
	} {
		parts = append(parts, Part{p.Name + "/inorder", p.Make},
			Part{p.Name + "/shuffled", func() *mesh.Mesh { return shape.Shuffle(p.Make(), 7) }})
	}
	return parts
}

func limb(triangles int) func() *mesh.Mesh {
	return func() *mesh.Mesh { return shape.Relief{Triangles: triangles}.Mesh() }
}

// boot has about half a million triangles: two for each of 68 rows and 1838
// columns on either wall.
func boot() *mesh.Mesh {
	return shape.Boot{
		Sides: 1838,
		Rim:   shape.Ellipse{A: 62, B: 55}, Ankle: shape.Ellipse{A: 50, B: 45},
		Instep: shape.Ellipse{A: 48, B: 47}, Ball: shape.Ellipse{A: 35, B: 50},
		Wall: 3, Shaft: 200, Bend: 75, Foot: 100, Toe: 45,
	}.Mesh()
}

// Each runs f as a benchmark on each of the parts, as they come from a file.
func Each(b *testing.B, f func(b *testing.B, m *mesh.Mesh)) {
	for _, p := range Parts() {
		b.Run(p.Name, func(b *testing.B) { f(b, read(b, p.Make())) })
	}
}

// read returns what is read of the binary STL file of a mesh.
func read(b *testing.B, m *mesh.Mesh) *mesh.Mesh {
	b.Helper()
	loaded, err := Opened(b, m).Load(b.Context(), mesh.Limits{})
	if err != nil {
		b.Fatal(err)
	}
	return loaded.Mesh
}

// Opened writes a mesh into a binary STL file of its own and opens it, for as long
// as the test lasts.
func Opened(tb testing.TB, m *mesh.Mesh) *mesh.File {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "part.stl")
	out, err := os.Create(path)
	if err == nil {
		err = mesh.WriteSTL(out, m, "")
	}
	if err == nil {
		err = out.Close()
	}
	if err != nil {
		tb.Fatal(err)
	}
	file, err := mesh.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { file.Close() })
	return file
}

// WriteText writes m as a text STL with its numbers as C prints them by default.
func WriteText(w io.Writer, m *mesh.Mesh, name string) error {
	out := bufio.NewWriter(w)
	fmt.Fprintln(out, "solid", name)
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		fmt.Fprintln(out, "  facet normal 0.000000e+00 0.000000e+00 0.000000e+00\n    outer loop")
		for _, p := range []r3.Vec{a, b, c} {
			fmt.Fprintf(out, "      vertex %e %e %e\n", p.X, p.Y, p.Z)
		}
		fmt.Fprintln(out, "    endloop\n  endfacet")
	}
	fmt.Fprintln(out, "endsolid", name)
	return out.Flush()
}

// Run runs f b.N times, once before that to warm up. Besides the time it
// reports what of the processors was used, which on a busy machine is steadier,
// and the most memory that the process had while it warmed up, where the system
// tells: with what f was given, and without what later runs leave to be collected.
func Run(b *testing.B, f func()) {
	debug.FreeOSMemory()
	forgetPeak()
	f()
	peak := peakMemory()
	b.ReportAllocs()
	before, runs := ProcessorTime(), 0
	for b.Loop() {
		f()
		runs++
	}
	if used := ProcessorTime() - before; used > 0 {
		b.ReportMetric(1e3*used.Seconds()/float64(runs), "cpu-ms/op")
	}
	if peak > 0 {
		b.ReportMetric(float64(peak)/(1<<20), "peak-MiB")
	}
}
