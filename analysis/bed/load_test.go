package bed

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r2"
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
		{"long, across", []Footprint{FootprintOf(shape.Bar{X: 290, Y: 20, Z: 10}.Mesh()), square(50)}, bed, 2, 0},
		{"too high", []Footprint{square(50)}, Volume{Width: 220, Depth: 220, Height: 11}, 0, 1},
		{"beside a strip", copies(square(100), 4), Volume{Width: 220, Depth: 220, Height: 20, Strips: []r2.Box{{Max: r2.Vec{X: 20, Y: 20}}}}, 2, 0},
		{"round, alone", []Footprint{FootprintOf(shape.Tube{Radius: 96, Wall: 3, Height: 12}.Mesh()), square(20)}, Volume{Diameter: 200, Height: 20}, 2, 0},
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
	random := rand.New(rand.NewPCG(seed, 8))
	for i := range 30 {
		v := Volume{Width: 220, Depth: 200, Height: 250, Strips: []r2.Box{{Min: r2.Vec{X: 180, Y: 190}, Max: r2.Vec{X: 220, Y: 200}}}}
		if i%3 == 0 {
			v = Volume{Diameter: 240, Height: 250}
		}
		var items []Footprint
		var area float64
		for range 1 + random.IntN(25) {
			m := about(shape.Tube{Sides: 64, Radius: 10 + 40*random.Float64(), Wall: 3, Height: 12}.Mesh(), 0)
			if random.IntN(2) == 0 {
				m = about(shape.Bar{X: 10 + 90*random.Float64(), Y: 10 + 60*random.Float64(), Z: 12}.Mesh(), 3*random.Float64())
			}
			items = append(items, FootprintOf(m))
			size := m.Bounds().Size()
			area += size.X * size.Y
		}
		const gap = 4
		loads, left := Loads(items, v, gap)
		again, _ := Loads(items, v, gap)
		if !reflect.DeepEqual(loads, again) {
			t.Errorf("try %d: two answers to one question", i)
		}
		seen := map[int]bool{}
		for _, l := range loads {
			for j, s := range l.Spots {
				seen[s.Item] = true
				if !v.holds(s.Box) {
					t.Errorf("try %d (seed %d): %v is not on the bed", i, seed, s.Box)
				}
				for _, o := range l.Spots[:j] {
					dx := max(o.Box.Min.X-s.Box.Max.X, s.Box.Min.X-o.Box.Max.X)
					dy := max(o.Box.Min.Y-s.Box.Max.Y, s.Box.Min.Y-o.Box.Max.Y)
					if max(dx, dy) < gap-2*slack {
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
