package bed

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func square(side float64) Footprint { return FootprintOf(shape.Bar{X: side, Y: side, Z: 12}.Mesh()) }

func copies(f Footprint, n int) []Footprint {
	out := make([]Footprint, n)
	for i := range out {
		out[i] = f
	}
	return out
}

func TestKnownNumbersOfLoads(t *testing.T) {
	bed := Volume{Width: 220, Depth: 220, Height: 250}
	bar := FootprintOf(shape.Bar{X: 300, Y: 20, Z: 10}.Mesh()) // 97 % at most, turned by 45°
	for _, c := range []struct {
		name        string
		items       []Footprint
		v           Volume
		loads, left int
	}{
		{"nine squares of 70 in three rows with gaps of 5", copies(square(70), 9), bed, 1, 0},
		{"ten", copies(square(70), 10), bed, 2, 0},
		{"nothing", nil, bed, 0, 0},
		{"too long", []Footprint{bar, square(50)}, bed, 1, 1},
		{"long, across", []Footprint{FootprintOf(shape.Bar{X: 290, Y: 20, Z: 10}.Mesh()), square(50)}, bed, 1, 0},
		{"too high", []Footprint{square(50)}, Volume{Width: 220, Depth: 220, Height: 11}, 0, 1},
		{"beside a strip", copies(square(100), 4), Volume{Width: 220, Depth: 220, Height: 20, Strips: []r2.Box{{Max: r2.Vec{X: 20, Y: 20}}}}, 2, 0},
		{"round, alone", []Footprint{FootprintOf(shape.Tube{Sides: 64, Radius: 96, Wall: 3, Height: 12}.Mesh()), square(140)}, Volume{Diameter: 200, Height: 20}, 2, 0},
		{"round, together", copies(square(60), 4), Volume{Diameter: 200, Height: 20}, 1, 0},
		{"round, in a row", copies(square(55), 3), Volume{Diameter: 190, Height: 20}, 1, 0},
	} {
		loads, left := Loads(c.items, c.v, 5)
		if len(loads) != c.loads || len(left) != c.left {
			t.Errorf("%s: %d loads and %d left, want %d and %d", c.name, len(loads), len(left), c.loads, c.left)
		}
	}
}

// Spots keep their distance, to the bed, and clear of strips, and every item
// has one; the number of loads is near what the areas ask for.
func TestSpotsKeepApart(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	random := rand.New(rand.NewPCG(seed, 8))
	nested := 0
	for i := range 9 {
		v := Volume{Width: 220, Depth: 200, Height: 250, Strips: []r2.Box{{Min: r2.Vec{X: 180, Y: 190}, Max: r2.Vec{X: 220, Y: 200}}}}
		if i%3 == 0 {
			v = Volume{Diameter: 240, Height: 250}
		}
		var items []Footprint
		var meshes []*mesh.Mesh
		var area float64
		for range 1 + random.IntN(25) {
			m := about(shape.Tube{Sides: 24, Radius: 10 + 60*random.Float64(), Wall: 3, Height: 12}.Mesh(), 0)
			if random.IntN(2) == 0 {
				m = about(shape.Bar{X: 10 + 90*random.Float64(), Y: 10 + 60*random.Float64(), Z: 12}.Mesh(), 3*random.Float64())
			}
			items, meshes = append(items, FootprintOf(m)), append(meshes, m)
			size := m.Bounds().Size()
			area += size.X * size.Y
		}
		const gap = 4
		loads, left := Loads(items, v, gap)
		if again, _ := Loads(items, v, gap); !reflect.DeepEqual(loads, again) {
			t.Errorf("try %d: two answers to one question", i)
		}
		seen := map[int]bool{}
		for _, l := range loads {
			for j, s := range l.Spots {
				seen[s.Item] = true
				if !lies(s.Put(meshes[s.Item]), v) {
					t.Errorf("try %d (seed %d): %v is not on the bed", i, seed, s.Box)
				}
				for _, o := range l.Spots[:j] {
					dx := max(o.Box.Min.X-s.Box.Max.X, s.Box.Min.X-o.Box.Max.X)
					dy := max(o.Box.Min.Y-s.Box.Max.Y, s.Box.Min.Y-o.Box.Max.Y)
					if max(dx, dy) >= gap-2*slack {
						continue
					}
					nested++
					if apart(s.Put(meshes[s.Item]), o.Put(meshes[o.Item])) < gap-1e-3 {
						t.Errorf("try %d (seed %d): %v and %v are nearer than %d mm", i, seed, s.Box, o.Box, gap)
					}
				}
			}
		}
		if len(seen) != len(items) || len(left) != 0 {
			t.Errorf("try %d (seed %d): %d of %d items laid out", i, seed, len(seen), len(items))
		}
		if most := int(area/(220*200*0.55)) + 2; len(loads) > most {
			t.Errorf("try %d (seed %d): %d loads, want %d at most", i, seed, len(loads), most)
		}
	}
	if nested == 0 {
		t.Error("nothing lies in what another leaves free")
	}
}

func ringOf(radius float64) Footprint {
	return FootprintOf(shape.Tube{Sides: 64, Radius: radius - 3, Wall: 3, Height: 12}.Mesh())
}

// A ring of inner radius r leaves room for one of the radius r less the gap, and
// for a square of the diagonal 2(r − gap); a plate as large leaves none.
func TestRingsLieInOneAnother(t *testing.T) {
	bed := Volume{Width: 220, Depth: 220, Height: 250}
	plate := FootprintOf(shape.Bar{X: 200, Y: 200, Z: 3}.Mesh())
	for _, c := range []struct {
		name  string
		items []Footprint
		v     Volume
		loads int
	}{
		{"one in another in a third", []Footprint{ringOf(100), ringOf(87), ringOf(74)}, bed, 1},
		{"nearly as large", []Footprint{ringOf(100), ringOf(93)}, bed, 2},
		{"the square in the ring but for two cells", []Footprint{ringOf(100), square(math.Sqrt2 * (97 - 5 - 3))}, bed, 1},
		{"more than it", []Footprint{ringOf(100), square(math.Sqrt2 * (97 - 5 + 1))}, bed, 2},
		{"in a tall part", []Footprint{ringOf(100).Filled(), ringOf(60)}, bed, 2},
		{"on a plate", []Footprint{plate, square(50)}, bed, 2},
		{"round bed, in the ring that fills it", []Footprint{ringOf(99), square(60)}, Volume{Diameter: 200, Height: 20}, 1},
	} {
		loads, left := Loads(c.items, c.v, 5)
		if len(loads) != c.loads || len(left) > 0 {
			t.Errorf("%s: %d loads, %d left, want %d", c.name, len(loads), len(left), c.loads)
		}
	}
}

// lies reports whether a part stands on the bed clear of strips.
func lies(m *mesh.Mesh, v Volume) bool {
	const hair = 1e-3
	for i := range m.Vertices() {
		p := m.At(uint32(i))
		if v.Diameter > 0 && math.Hypot(p.X-v.Diameter/2, p.Y-v.Diameter/2) > v.Diameter/2+hair {
			return false
		}
		if v.Diameter == 0 && (p.X < -hair || p.Y < -hair || p.X > v.Width+hair || p.Y > v.Depth+hair) {
			return false
		}
	}
	for _, s := range v.Strips {
		size := s.Size()
		strip := shape.Offset(shape.Bar{X: size.X - 2*hair, Y: size.Y - 2*hair, Z: 1}.Mesh(), r3.Vec{X: s.Min.X + hair, Y: s.Min.Y + hair})
		if apart(m, strip) == 0 {
			return false
		}
	}
	return true
}

// apart returns how far two parts are from one another as seen from above, 0
// where they cross.
func apart(m, n *mesh.Mesh) float64 {
	edges := func(m *mesh.Mesh) map[[2]r2.Vec]bool {
		out := map[[2]r2.Vec]bool{}
		for t := range m.Triangles() {
			a, b, c := m.Corners(t)
			p := [3]r2.Vec{{X: a.X, Y: a.Y}, {X: b.X, Y: b.Y}, {X: c.X, Y: c.Y}}
			for k := range p {
				q := [2]r2.Vec{p[k], p[(k+1)%3]}
				if q[0].X > q[1].X || q[0].X == q[1].X && q[0].Y > q[1].Y {
					q[0], q[1] = q[1], q[0]
				}
				out[q] = true
			}
		}
		return out
	}
	least := math.Inf(1)
	for a := range edges(m) {
		for b := range edges(n) {
			u, v := r2.Sub(a[1], a[0]), r2.Sub(b[1], b[0])
			if r2.Cross(u, r2.Sub(b[0], a[0]))*r2.Cross(u, r2.Sub(b[1], a[0])) < 0 && r2.Cross(v, r2.Sub(a[0], b[0]))*r2.Cross(v, r2.Sub(a[1], b[0])) < 0 {
				return 0
			}
			least = min(least, far(a[0], b), far(a[1], b), far(b[0], a), far(b[1], a))
		}
	}
	return least
}

func far(p r2.Vec, edge [2]r2.Vec) float64 {
	d := r2.Sub(edge[1], edge[0])
	share := 0.0
	if n := r2.Norm2(d); n > 0 {
		share = max(0, min(1, r2.Dot(r2.Sub(p, edge[0]), d)/n))
	}
	return r2.Norm(r2.Sub(p, r2.Add(edge[0], r2.Scale(share, d))))
}

func TestPutLaysThePartInItsSpot(t *testing.T) {
	m := about(shape.Bar{X: 80, Y: 30, Z: 12}.Mesh(), 0.4)
	loads, _ := Loads([]Footprint{FootprintOf(m), FootprintOf(m)}, common, 5)
	for _, s := range loads[0].Spots {
		box := s.Put(m).Bounds()
		got := []float64{box.Min.X, box.Min.Y, box.Min.Z, box.Max.X, box.Max.Y, box.Max.Z}
		for k, want := range []float64{s.Box.Min.X, s.Box.Min.Y, 0, s.Box.Max.X, s.Box.Max.Y, 12} {
			if math.Abs(got[k]-want) > 1e-3 {
				t.Errorf("put to %v, want %v", box, s.Box)
			}
		}
		if size := s.Box.Size(); math.Abs(size.X*size.Y-80*30) > 0.1 {
			t.Errorf("takes %v, want 80 × 30", size)
		}
	}
}

func BenchmarkLoads(b *testing.B) {
	random := rand.New(rand.NewPCG(seed, 9))
	var items []Footprint
	for range 24 {
		items = append(items, FootprintOf(shape.Tube{Sides: 256, Radius: 25 + 75*random.Float64(), Wall: 3, Height: 12}.Mesh()))
	}
	for b.Loop() {
		loads, _ := Loads(items, common, 5)
		b.ReportMetric(float64(len(loads)), "loads")
	}
}

// The outline from above is that of the hull in space, and what is no number is left out of it.
func TestFootprintIsThatOfTheHull(t *testing.T) {
	for n, m := range []*mesh.Mesh{
		shape.Relief{Triangles: 4000}.Mesh(),
		shape.Turn(shape.Tube{Sides: 48, Radius: 50, Wall: 3, Height: 120}.Mesh(), shape.Rotation(3)),
		shape.Bar{X: 20, Y: 30, Z: 40}.Mesh(),
		{},
	} {
		f := FootprintOf(m)
		want := newBody(m).footprint(upright)
		area := func(corners []r2.Vec) float64 { return section.Chain{Points: corners, Closed: true}.Area() }
		require.InDelta(t, area(want), area(f.Corners), 1e-4, "mesh %d", n)
		require.Equal(t, lowCorner(want), lowCorner(f.Corners))
		require.Equal(t, highCorner(want), highCorner(f.Corners))
		spoilt := m.Map(func(p r3.Vec) r3.Vec { return p })
		spoilt.AddVertex(r3.Vec{X: 1e4, Y: math.NaN()})
		require.Equal(t, f.Corners, FootprintOf(spoilt).Corners)
	}
}
