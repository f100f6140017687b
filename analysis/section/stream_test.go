package section

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape/speed"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// streamed returns the sections of a file that is not kept.
func streamed(t testing.TB, file *mesh.File, normal r3.Vec, through func(low, high float64) []r3.Vec) []Section {
	t.Helper()
	st, ok, err := file.Stream(mesh.Limits{})
	require.NoError(t, err)
	require.True(t, ok)
	got, err := gatheredFrom(context.Background(), st, normal, through)
	require.NoError(t, err)
	return got
}

// gatheredFrom keeps all sections of a stream, each of which must come once.
func gatheredFrom(ctx context.Context, st *mesh.Stream, normal r3.Vec, through func(low, high float64) []r3.Vec) ([]Section, error) {
	var mutex sync.Mutex
	var out []Section
	var came []bool
	err := Stream(ctx, st, normal, func(low, high float64) []r3.Vec {
		points := through(low, high)
		out, came = make([]Section, len(points)), make([]bool, len(points))
		return points
	}, func(i int, s Section) error {
		mutex.Lock()
		defer mutex.Unlock()
		if came[i] {
			return fmt.Errorf("section %d came twice", i)
		}
		out[i], came[i] = kept(s), true
		return nil
	})
	if i := slices.Index(came, false); err == nil && i >= 0 {
		return nil, fmt.Errorf("section %d is missing", i)
	}
	return out, err
}

// kept returns a copy of a section, for which those that are only good for a while
// may have room that the chains of others come into.
func kept(s Section) Section {
	s.Chains = slices.Clone(s.Chains)
	for i := range s.Chains {
		s.Chains[i].Points = slices.Clone(s.Chains[i].Points)
	}
	return s
}

// layers returns points in the middle of n equal layers.
func layers(n int) func(low, high float64) []r3.Vec {
	return func(low, high float64) []r3.Vec {
		through := make([]r3.Vec, n)
		for i := range through {
			through[i] = r3.Vec{Z: low + (float64(i)+0.5)/float64(n)*(high-low)}
		}
		return through
	}
}

// A stream of a file gives the sections of its welded mesh, to the bit, on
// however many processors: heights on the planes, facets twice, fins, facets
// without area, −0, planes in any order, some of them no planes or in thin air.
func TestStreamIsSweep(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	random := rand.New(rand.NewPCG(51, 20261129))
	sound := shell(45_000)
	level := sound.Map(func(p r3.Vec) r3.Vec { p.Z = math.Round(p.Z) - 100; return p }) // 0 among its heights
	spoilt := sound.Clone()
	for range 2000 {
		i, v := 3*random.IntN(spoilt.Triangles()), uint32(random.IntN(spoilt.Vertices()))
		switch random.IntN(3) {
		case 0:
			spoilt.T = append(spoilt.T, spoilt.T[i:i+3]...)
		case 1:
			spoilt.T = append(spoilt.T, spoilt.T[i], spoilt.T[i+1], v)
		case 2:
			spoilt.T = append(spoilt.T, spoilt.T[i], spoilt.T[i+1], spoilt.T[i+1])
		}
	}
	signed := sound.Map(func(p r3.Vec) r3.Vec {
		if random.IntN(2) == 0 {
			p.Y = math.Copysign(p.Y, -1)
		}
		if math.Abs(p.X) < 5 {
			p.X = math.Copysign(0, random.Float64()-0.5)
		}
		return p
	})
	var through []r3.Vec
	for _, z := range random.Perm(80) {
		through = append(through, r3.Vec{X: random.Float64(), Z: 4 * float64(z)})
	}
	through = append(through, r3.Vec{Z: math.NaN()}, through[3])
	for _, z := range []float64{40, 41, 42, -40, -41} { // nearer to a height than float32 tells
		through = append(through, r3.Vec{Z: z + 3e-6}, r3.Vec{Z: z - 3e-6})
	}
	for name, m := range map[string]*mesh.Mesh{
		"small": shell(900), "sound": sound, "level": level, "shuffled a little": shuffled(shell(25_000), random),
		"spoilt": spoilt, "signed": signed,
	} {
		file := speed.Opened(t, m)
		loaded, err := file.Load(t.Context(), mesh.Limits{})
		require.NoError(t, err)
		for _, normal := range []r3.Vec{{Z: 1}, {X: 0.3, Y: -0.2, Z: 1}, {}} {
			want := Sweep(loaded.Mesh, normal, through)
			for _, processors := range []int{1, 5} {
				runtime.GOMAXPROCS(processors)
				got := streamed(t, file, normal, func(low, high float64) []r3.Vec { return through })
				if normal.X-normal.X == 0 && through[80].Z != through[80].Z {
					// NaN equals nothing, itself included.
					got[80].Plane, want[80].Plane = Plane{}, Plane{}
				}
				if !reflect.DeepEqual(got, want) {
					t.Errorf("%s along %v on %d processors differs", name, normal, processors)
				}
			}
		}
	}
}

// Places have names of their own, and so have edges, which know where they go up.
func TestCornersAreTold(t *testing.T) {
	c, seen := newCorners(), map[uint64]bool{}
	var names []uint64
	for i := range 20 * 20 * 20 {
		r := ranked{at: [9]float32{3: float32(i % 20), 4: float32(i / 20 % 20), 5: float32(i/400) - 10}}
		name := c.name(&r, 1)
		if seen[name] {
			t.Fatalf("%v has the name of another", r.at)
		}
		seen[name] = true
		names = append(names, name)
	}
	edges := map[uint64]bool{}
	for i := range 300 {
		for j := range 300 {
			edge := c.edge(names[i], names[j])
			if edges[edge] {
				t.Fatalf("%d to %d has the name of another", i, j)
			}
			edges[edge] = true
		}
	}
}

// What through is told is the least and the greatest height along the normal.
func TestStreamReach(t *testing.T) {
	m := tube(40, 30, 25, 90).Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 7, Y: -3, Z: 11}) })
	var low, high float64
	note := func(l, h float64) []r3.Vec { low, high = l, h; return nil }
	require.Empty(t, streamed(t, speed.Opened(t, m), r3.Vec{Z: 5}, note))
	require.Equal(t, [2]float64{11, 101}, [2]float64{low, high})
	streamed(t, speed.Opened(t, m), r3.Vec{X: -2}, note)
	require.InDelta(t, -37, low, 1e-5)
	require.InDelta(t, 23, high, 1e-5)
	streamed(t, speed.Opened(t, m), r3.Vec{}, note)
	require.Equal(t, [2]float64{}, [2]float64{low, high})
}

// The facets of all runs of a large file count, wherever the ends are, and those
// without an area do not.
func TestStreamReachOfRuns(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	runtime.GOMAXPROCS(4)
	m := shell(90_000)
	box := m.Bounds()
	last := uint32(m.Vertices() - 1)
	for _, end := range []r3.Vec{{X: 3, Z: box.Min.Z - 40}, {X: 3, Z: box.Max.Z + 70}} {
		v := m.AddVertex(end)
		m.AddTriangle(v, last, last-1) // in the last run; then in the first
		m.T = append(slices.Clone(m.T[len(m.T)-3:]), m.T[:len(m.T)-3]...)
		box.Min.Z, box.Max.Z = min(box.Min.Z, end.Z), max(box.Max.Z, end.Z)
		v = m.AddVertex(r3.Vec{Z: 10 * end.Z})
		m.AddTriangle(v, last, last)
		slices.Reverse(m.T)
		st, ok, err := speed.Opened(t, m).Stream(mesh.Limits{})
		require.NoError(t, err)
		require.True(t, ok)
		require.Greater(t, st.Runs(), 2)
		low, high, err := reach(t.Context(), st, r3.Vec{Z: 2})
		require.NoError(t, err)
		require.Equal(t, [2]float64{box.Min.Z, box.Max.Z}, [2]float64{low, high})
	}
}

// Where facets cross more planes than memory holds, what comes in several goes is
// what comes in one; where the caller has had enough it ends.
func TestSeveralGoes(t *testing.T) {
	defer func(most int) { mostCrossings = most }(mostCrossings)
	tall := tube(9, 30, 25, 900)
	m := mesh.Join(shell(45_000), tall)
	file := speed.Opened(t, m)
	loaded, err := file.Load(t.Context(), mesh.Limits{})
	require.NoError(t, err)
	box := loaded.Mesh.Bounds()
	through := layers(90)(box.Min.Z, box.Max.Z)
	want := Sweep(loaded.Mesh, r3.Vec{Z: 1}, through)
	for _, most := range []int{1, 5000, 20_000} {
		mostCrossings = most
		require.True(t, reflect.DeepEqual(want, Sweep(loaded.Mesh, r3.Vec{Z: 1}, through)), "%d at once", most)
		each := make([]Section, len(through))
		require.NoError(t, SweepEach(t.Context(), loaded.Mesh, r3.Vec{Z: 1}, through, func(i int, s Section) error { each[i] = kept(s); return nil }))
		require.True(t, reflect.DeepEqual(want, each), "%d at once, not kept", most)
		require.True(t, reflect.DeepEqual(want, streamed(t, file, r3.Vec{Z: 1}, func(low, high float64) []r3.Vec { return through })), "%d at once, streamed", most)
	}
	enough := errors.New("enough")
	var came atomic.Int32
	take := func(int, Section) error {
		if came.Add(1) >= 10 {
			return enough
		}
		return nil
	}
	require.Equal(t, enough, SweepEach(t.Context(), loaded.Mesh, r3.Vec{Z: 1}, through, take))
	require.Less(t, int(came.Load()), 100)
	over, cancel := context.WithCancel(t.Context())
	err = SweepEach(over, loaded.Mesh, r3.Vec{Z: 1}, through, func(int, Section) error { cancel(); return nil })
	require.ErrorIs(t, err, context.Canceled)
}

// Where a file breaks off, or holds what is no place, there are no sections but
// the error that Load has, whatever the number of the planes.
func TestStreamErrors(t *testing.T) {
	m := shell(60_000)
	m.X[20_000] = float32(math.NaN())
	file := speed.Opened(t, m)
	_, want := file.Load(t.Context(), mesh.Limits{})
	require.Error(t, want)
	st, ok, err := file.Stream(mesh.Limits{})
	require.NoError(t, err)
	require.True(t, ok)
	_, err = gatheredFrom(t.Context(), st, r3.Vec{Z: 1}, layers(9))
	require.Equal(t, want.Error(), err.Error())

	over, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = gatheredFrom(over, st, r3.Vec{Z: 1}, layers(9))
	require.ErrorIs(t, err, context.Canceled)
}

// BenchmarkStream500 takes the sections of BenchmarkSections500 from the file,
// reading included.
func BenchmarkStream500(b *testing.B) {
	for _, p := range speed.Parts() {
		b.Run(p.Name, func(b *testing.B) {
			file := speed.Opened(b, p.Make())
			speed.Run(b, func() {
				st, _, err := file.Stream(mesh.Limits{})
				require.NoError(b, err)
				require.NoError(b, Stream(context.Background(), st, r3.Vec{Z: 1}, layers(500), girths))
			})
		})
	}
}

// girths takes the length and the girth of each loop of a section.
func girths(_ int, s Section) error {
	for _, c := range s.Chains {
		c.Length()
		c.HullGirth()
	}
	return nil
}
