package mesh

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// facetsOf returns the corners of all facets by place, sorted, each facet from its
// least corner on.
func facetsOf(m *Mesh) [][3]point {
	var all [][3]point
	for t := range m.Triangles() {
		var f [3]point
		for k := range f {
			v := m.T[3*t+k]
			f[k] = point{m.X[v], m.Y[v], m.Z[v]}
		}
		for range 2 {
			if comparePlaces(f[1], f[0]) < 0 || comparePlaces(f[2], f[0]) < 0 {
				f = [3]point{f[1], f[2], f[0]}
			}
		}
		all = append(all, f)
	}
	slices.SortFunc(all, func(a, b [3]point) int {
		for k := range a {
			if c := comparePlaces(a[k], b[k]); c != 0 {
				return c
			}
		}
		return 0
	})
	return all
}

func comparePlaces(a, b point) int {
	return slices.Compare([]float32{a.x, a.y, a.z}, []float32{b.x, b.y, b.z})
}

// A large file in no order gives the facets that it holds, each once and turned
// as it was, on the corners of the part, in an order in which neighbours are
// close; and it is the same mesh however many goroutines read it.
func TestLargeFileInNoOrder(t *testing.T) {
	sound := limb(120, 300)
	require.Greater(t, sound.Triangles(), worthSorting)
	data := binarySTL(mixed(sound, 1), "")
	var first *Loaded
	for _, workers := range []int{1, 2, 3} {
		l, err := loadSource(t.Context(), sourceOf("limb.stl", data), Limits{Workers: workers}.orDefault())
		require.NoError(t, err)
		if first == nil {
			first = l
		}
		require.Equal(t, first, l, "%d workers", workers)
	}
	require.Equal(t, sound.Vertices(), first.Mesh.Vertices())
	require.Equal(t, facetsOf(sound), facetsOf(first.Mesh))
	require.Equal(t, Condition{Closed: true, Components: 1}, first.Condition())

	apart := func(m *Mesh) (sum float64) { // from one facet to the next
		for i := 3; i < len(m.T); i += 3 {
			a, b := m.At(m.T[i-3]), m.At(m.T[i])
			sum += math.Sqrt((a.X-b.X)*(a.X-b.X) + (a.Y-b.Y)*(a.Y-b.Y) + (a.Z-b.Z)*(a.Z-b.Z))
		}
		return sum / float64(m.Triangles())
	}
	require.Less(t, 3*apart(first.Mesh), apart(mixed(sound, 1))) // 24 regions: a cube root of 3
}

// The first bad triangle of a file in no order is named by its place there.
func TestFirstErrorInNoOrder(t *testing.T) {
	sound := limb(120, 300)
	data := binarySTL(mixed(sound, 2), "")
	for _, at := range []int{70_000, 36_001, 36_000, 12} {
		data = withFloat(data, stlHeader+stlFacet*at+24, math.Inf(1))
		_, err := loadSource(t.Context(), sourceOf("limb.stl", data), Limits{Workers: 3}.orDefault())
		var r *ReadError
		require.ErrorAs(t, err, &r)
		require.Contains(t, r.Place, "triangle "+plain(at+1)+" ")
		require.Contains(t, r.Cause, "infinite")
	}
}

// Whatever the corners are, each has a region, and there are not too many.
func TestEachPlaceHasARegion(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 20261129))
	size := func() float64 { return math.Pow(10, 76*random.Float64()-38) }
	for round := range 3000 {
		sx, sy, sz := size(), size(), size()
		switch round % 5 {
		case 0:
			sx, sy = 0, 0
		case 1:
			sx, sy, sz = 300, 200, 100
		case 2:
			sx, sy, sz = 0, 0, 0
		}
		place := func() point {
			return point{float32(sx * (2*random.Float64() - 1)), float32(sy * (2*random.Float64() - 1)), float32(sz * (2*random.Float64() - 1))}
		}
		some := make([]point, 1+random.IntN(50))
		for i := range some {
			some[i] = place()
		}
		facet := []float64{0, size(), math.Inf(1), math.NaN(), 0.1, 1e-4}[random.IntN(6)]
		r := regionsOf(some, worthSorting+random.IntN(5_000_000), facet)
		if r.len() < 1 || r.len() > mostRegions {
			t.Fatalf("round %d: %d regions", round, r.len())
		}
		for range 100 {
			p := place()
			if random.IntN(4) == 0 {
				p = point{math.MaxFloat32, -math.MaxFloat32, p.z}
			}
			if at := r.of(p); int(at) >= r.len() {
				t.Fatalf("round %d: region %d of %d (%+v) for %v", round, at, r.len(), r, p)
			}
		}
	}
}

// Neighbouring places are in the same region or in neighbouring ones: the edge of
// a cube holds what it should.
func TestRegionsAreCubes(t *testing.T) {
	corners := []point{{0, 0, 0}, {100, 200, 300}}
	r := regionsOf(corners, 1_000_000, 1.0/3000*50*50) // cubes of 50 mm: 3,000 facets to a face
	require.Equal(t, [3]int32{3, 5, 7}, r.count)
	for _, c := range []struct {
		p    point
		want uint16
	}{
		{point{1, 1, 1}, 0}, {point{49, 49, 49}, 0}, {point{51, 1, 1}, 1}, {point{1, 51, 1}, 3},
		{point{1, 1, 51}, 15}, {point{-7, -7, -7}, 0}, {point{1000, 1000, 1000}, 3*5*7 - 1},
	} {
		require.Equal(t, c.want, r.of(c.p), "%v", c.p)
	}
}

// A file that changes between the two readings gives an error or a mesh, never
// what was not in either.
func TestFileInNoOrderThatChanges(t *testing.T) {
	sound := limb(120, 300)
	before, after := binarySTL(mixed(sound, 4), ""), binarySTL(mixed(sound, 5), "")
	s := sourceOf("limb.stl", before)
	some, facet, scattered, err := typicalSTL(s, sound.Triangles())
	require.NoError(t, err)
	require.True(t, scattered)
	turn := &turning{before: before, after: after, change: len(before)}
	s.at = turn
	sorted, err := sortSTL(t.Context(), s, sound.Triangles(), 1, regionsOf(some, sound.Triangles(), facet))
	require.NoError(t, err)
	sh := shard{ix: newIndex(sound.Vertices(), facet, 6)}
	require.NoError(t, sh.addAll(t.Context(), sorted))
	m, _ := merge([]shard{sh}, 1)
	require.Equal(t, facetsOf(sound), facetsOf(m))

	turn.read, turn.after = 0, before[:len(before)/2]
	_, err = sortSTL(t.Context(), s, sound.Triangles(), 1, regionsOf(some, sound.Triangles(), facet))
	require.True(t, errors.Is(err, ErrChanging), "%v", err)

	ended, end := context.WithCancel(t.Context())
	end()
	require.ErrorIs(t, sh.addAll(ended, sorted), context.Canceled)
}

// turning is a file whose content changes once so many bytes were read.
type turning struct {
	before, after []byte
	read, change  int
}

func (f *turning) ReadAt(b []byte, offset int64) (int, error) {
	from := f.before
	if f.read >= f.change-stlHeader {
		from = f.after
	}
	s := sourceOf("", from)
	n, err := s.at.ReadAt(b, offset)
	f.read += n
	return n, err
}
