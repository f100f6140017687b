package grid

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// looseCells are cells at random places of a box, as wide as it comes.
func looseCells(rng *rand.Rand) *cells {
	const n = 9
	c := &cells{workers: 1, size: 1, nx: n + 2, ny: n + 2}
	c.number = make([]int32, (n+2)*(n+2)*(n+2))
	for i := range c.number {
		c.number[i] = -1
	}
	share := 0.2 + 0.6*rng.Float64()
	for i := range n * n * n {
		if rng.Float64() < share {
			v := voxel{int32(i % n), int32(i / n % n), int32(i / n / n)}
			place := c.index(v)
			c.number[place] = int32(len(c.at))
			c.at, c.place = append(c.at, v), append(c.place, place)
			c.wide = append(c.wide, 1+rng.Float64())
			c.greatest = max(c.greatest, c.wide[len(c.wide)-1])
		}
	}
	c.around = c.neighbours()
	return c
}

// relaxed returns how far the cells are from the starts, by going over all of
// them until nothing changes.
func relaxed(c *cells, starts []int32, length func(k, to int32, step float64) float64) []float64 {
	far := make([]float64, len(c.at))
	for i := range far {
		far[i] = math.Inf(1)
	}
	for _, k := range starts {
		far[k] = 0
	}
	for changed := true; changed; {
		changed = false
		for k, v := range c.at {
			for to, w := range c.at {
				d := voxel{w.x - v.x, w.y - v.y, w.z - v.z}
				steps := d.x*d.x + d.y*d.y + d.z*d.z
				if max(d.x, -d.x, d.y, -d.y, d.z, -d.z) != 1 {
					continue
				}
				if sum := far[k] + length(int32(k), int32(to), math.Sqrt(float64(steps))); sum < far[to] {
					far[to], changed = sum, true
				}
			}
		}
	}
	return far
}

// Distances and best ways are those that going over all cells again and again
// comes to, and a way is found however early its search ends.
func TestWaysAreShortest(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 62))
	met := 0
	for range 25 {
		c := looseCells(rng)
		n := len(c.at)
		starts := []int32{int32(rng.IntN(n)), int32(rng.IntN(n)), 0, 0}
		require.Equal(t, relaxed(c, starts, func(_, _ int32, step float64) float64 { return step }), c.spread(starts))

		price := func(k, to int32, step float64) float64 {
			narrow := 2 * c.greatest / (c.wide[k] + c.wide[to])
			return step * (narrow * narrow)
		}
		start, goals := starts[0], []int32{starts[1], int32(rng.IntN(n)), starts[1]}
		want := relaxed(c, []int32{start}, price)
		before := c.centred(start, goals)
		for _, goal := range goals {
			way := c.way(before, goal)
			if math.IsInf(want[goal], 1) {
				require.Equal(t, []int32{goal}, way)
				continue
			}
			require.Equal(t, start, way[0])
			sum := 0.0
			for i := 1; i < len(way); i++ {
				v, w := c.at[way[i-1]], c.at[way[i]]
				d := voxel{w.x - v.x, w.y - v.y, w.z - v.z}
				require.LessOrEqual(t, max(d.x, -d.x, d.y, -d.y, d.z, -d.z), int32(1))
				sum += price(way[i-1], way[i], math.Sqrt(float64(d.x*d.x+d.y*d.y+d.z*d.z)))
			}
			require.Equal(t, want[goal], sum)
			met++
		}
	}
	require.Greater(t, met, 30)
}

// What a door knows of how far the cells are is so of its own cells, though a door has moved
// to the end of the way.
func TestDoorsKnowHowFar(t *testing.T) {
	boot := shape.Boot{
		Sides: 48, Rim: shape.Ellipse{A: 68, B: 62}, Ankle: shape.Ellipse{A: 58, B: 48}, Instep: shape.Ellipse{A: 50, B: 47}, Ball: shape.Ellipse{A: 36, B: 50},
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55, OpenSole: true,
	}
	greave := shape.Cutaway{
		Bottom: shape.Circle(44), Top: shape.Circle(66), Wall: 4, Height: 350,
		Cuts: []shape.Cut{{From: 120, To: 350, At: -90, Degrees: 40}},
	}
	known, moved := 0, 0
	for _, m := range []*mesh.Mesh{shape.Tube{Sides: 48, Radius: 50, Wall: 3, Height: 120}.Mesh(), boot.Mesh(), greave.Mesh()} {
		for _, first := range []int{0, 1} {
			a, err := Survey(context.Background(), m, 4, 1, &Arena{})
			require.NoError(t, err)
			p := &a.Pockets(15)[0]
			c := a.newCells(p, 1)
			patches := []int{first, 1 - first}
			doors := []door{c.door(&p.Patches[first]), c.door(&p.Patches[1-first])}
			side := c.toEnds(doors, patches, p)
			for i, d := range doors {
				if side[i] {
					moved++
				}
				if d.far != nil {
					known++
					require.Equal(t, c.spread(d.cells), d.far)
				}
			}
			c.look(doors, 1)
			for _, d := range doors {
				require.Equal(t, c.spread(d.cells), d.far)
			}
		}
	}
	require.Greater(t, known, moved)
	require.Positive(t, moved)
}
