package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// What the person waits for, from a file at rest to its report with pictures and
// bands, and what each stage takes of it:
//
//	go test ./cmd/gambeson -run '^$' -bench 'Verdict|Sixty' -benchtime 1x -count 5 -timeout 0

// timer reads from the log how long stages took.
type timer struct {
	parts int
	took  map[string]float64 // ms of all parts
}

func (t *timer) Write(line []byte) (int, error) {
	var all map[string]any
	if json.Unmarshal(line, &all) == nil && all["event"] == "timed" {
		t.parts++
		for key, value := range all {
			if stage, ok := strings.CutSuffix(key, "_ms"); ok {
				t.took[stage] += value.(float64)
			}
		}
	}
	return len(line), nil
}

// report adds the stages to what a benchmark says: ms for each part.
func (t *timer) report(b *testing.B) {
	for stage, took := range t.took {
		b.ReportMetric(took/float64(t.parts), stage+"-ms")
	}
}

// reliefOf is a two-walled limb with ribs and rivets of so many triangles, as a
// binary STL file, and where its corners are.
func reliefOf(tb testing.TB, triangles int) (data []byte, m *mesh.Mesh) {
	tb.Helper()
	m = shape.Relief{Triangles: triangles}.Mesh()
	var out bytes.Buffer
	require.NoError(tb, mesh.WriteSTL(&out, m, "limb"))
	return out.Bytes(), m
}

// wornFolder is a suit folder with the demo's wearer and a printer of such a
// height, to be looked after by so many processors.
func wornFolder(tb testing.TB, height string, workers int) (*folder, *timer) {
	tb.Helper()
	root := tb.TempDir()
	require.NoError(tb, os.WriteFile(filepath.Join(root, "wearer.toml"), []byte(demoWearerTOML), 0o644))
	require.NoError(tb, os.WriteFile(filepath.Join(root, "suit.toml"), []byte("[printer]\nbed = [300, 300]\nheight = "+height+"\n[shell]\npadding = 5\n"), 0o644))
	t := &timer{took: map[string]float64{}}
	return newFolder(root, workers, zerolog.New(t)), t
}

// BenchmarkVerdict looks into one greave that was just saved again, with the
// machine's own limits beside it: reading the bytes, and one pass over the
// corners. A parted one is too high for the printer and is parted for it.
func BenchmarkVerdict(b *testing.B) {
	for _, size := range []struct {
		name      string
		triangles int
		height    string
	}{
		{"20k", 20_000, "400"}, {"200k", 200_000, "400"}, {"2M", 2_000_000, "400"}, {"5M", 5_000_000, "400"},
		{"200k/parted", 200_000, "180"}, {"2M/parted", 2_000_000, "180"},
	} {
		b.Run(size.name, func(b *testing.B) {
			ownFolders(b)
			f, t := wornFolder(b, size.height, runtime.GOMAXPROCS(0))
			data, m := reliefOf(b, size.triangles)
			name := filepath.Join(f.root, "greave-left.stl")
			save := func(n int) {
				data[0] = byte(n) // other bytes: it is looked into again
				require.NoError(b, os.WriteFile(name, data, 0o644))
			}
			save(-1)
			_, err := f.look(b.Context(), filepath.Base(name))
			require.NoError(b, err)
			*t = timer{took: map[string]float64{}}
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			var used time.Duration
			for n := 0; b.Loop(); n++ {
				b.StopTimer()
				save(n)
				before := speed.ProcessorTime()
				b.StartTimer()
				done, err := f.look(b.Context(), filepath.Base(name))
				require.NoError(b, err)
				require.False(b, done[0].kept)
				require.NotEmpty(b, done[0].row.Findings.Bands)
				used += speed.ProcessorTime() - before
			}
			b.ReportMetric(1e3*used.Seconds()/float64(b.N), "cpu-ms/op")
			t.report(b)
			b.ReportMetric(1e3*bytesLimit(b, name).Seconds(), "limit-read-ms")
			b.ReportMetric(1e3*passLimit(m).Seconds(), "limit-pass-ms")
		})
	}
}

// limitTries is how often a limit is measured: the best counts.
const limitTries = 5

// bytesLimit is how long the bytes of a file take to come from the page cache.
func bytesLimit(tb testing.TB, name string) time.Duration {
	tb.Helper()
	buffer := make([]byte, 256<<10)
	return best(func() {
		file, err := os.Open(name)
		require.NoError(tb, err)
		defer file.Close()
		_, err = io.CopyBuffer(struct{ io.Writer }{io.Discard}, struct{ io.Reader }{file}, buffer)
		require.NoError(tb, err)
	})
}

// passLimit is how long one pass over the corners of a mesh takes.
func passLimit(m *mesh.Mesh) time.Duration {
	return best(func() { m.Bounds() })
}

func best(work func()) time.Duration {
	least := time.Duration(0)
	for n := range limitTries {
		began := time.Now()
		work()
		if took := time.Since(began); n == 0 || took < least {
			least = took
		}
	}
	return least
}

// BenchmarkSixty is the first scan of a suit of 60 parts of 100 000 triangles,
// as the daemon does it: one processor is left free. PARTS=10 takes the first ten.
func BenchmarkSixty(b *testing.B) {
	const triangles = 100_000
	parts := 60
	if some, err := strconv.Atoi(os.Getenv("PARTS")); err == nil {
		parts = some
	}
	for b.Loop() {
		b.StopTimer()
		ownFolders(b)
		f, t := wornFolder(b, "400", sparing())
		var names []string
		random := rand.New(rand.NewPCG(19171205, 60))
		drawn := shape.Relief{Triangles: triangles}.Mesh()
		for n := range parts {
			kind := []string{"greave", "thigh", "forearm", "upper-arm"}[n%4]
			names = append(names, fmt.Sprintf("%s-%02d.stl", kind, n))
			stretched(b, filepath.Join(f.root, names[n]), drawn, 0.8+0.4*random.Float64(), 0.8+0.4*random.Float64(), 0.5+0.6*random.Float64())
		}
		before := speed.ProcessorTime()
		b.StartTimer()
		for _, name := range names {
			_, err := f.look(b.Context(), name)
			require.NoError(b, err)
		}
		_, err := f.sum()
		require.NoError(b, err)
		b.StopTimer()
		b.ReportMetric(1e3*(speed.ProcessorTime()-before).Seconds()/float64(parts), "cpu-ms/part")
		t.report(b)
		b.StartTimer()
	}
}

// stretched writes a mesh, stretched along the axes.
func stretched(tb testing.TB, name string, m *mesh.Mesh, x, y, z float64) {
	tb.Helper()
	out := m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: x * p.X, Y: y * p.Y, Z: z * p.Z} })
	file, err := os.Create(name)
	require.NoError(tb, err)
	require.NoError(tb, mesh.WriteSTL(file, out, "limb"))
	require.NoError(tb, file.Close())
}
