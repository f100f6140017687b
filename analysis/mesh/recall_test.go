package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Guessed or not, a corner has the number that the index gives it: in rows, in rows
// of two walls, in no order, with both zeros, and where the order changes on the way.
func TestGuessedCornersAreThoseOfTheIndex(t *testing.T) {
	random := rand.New(rand.NewPCG(20, 20261129))
	const sides = 40
	at := func(row, side, wall int) point {
		s, c := math.Sincos(2 * math.Pi * float64(side%sides) / sides)
		r := 50 + 3*float64(wall)
		return point{float32(r * c), float32(r * s), float32(row)}
	}
	quad := func(row, side, wall int) []point {
		a, b, c, d := at(row, side, wall), at(row, side+1, wall), at(row+1, side, wall), at(row+1, side+1, wall)
		return []point{a, b, d, a, d, c}
	}
	ways := []func(row, side int) []point{
		func(row, side int) []point { return quad(row, side, 0) },
		func(row, side int) []point { return append(quad(row, side, 0), quad(row, side, 1)...) },
		func(row, side int) []point { return quad(random.IntN(row+1), random.IntN(sides), random.IntN(2)) },
		func(row, side int) []point {
			corners := quad(row, side, 0)
			random.Shuffle(len(corners), func(i, j int) { corners[i], corners[j] = corners[j], corners[i] })
			return corners
		},
		func(row, side int) []point {
			zero := []float32{0, float32(math.Copysign(0, -1))}
			return []point{{zero[random.IntN(2)], 1, zero[random.IntN(2)]}, {zero[random.IntN(2)], 2, 3}, {4, 5, zero[random.IntN(2)]}}
		},
	}
	guessed, rested := 0, 0
	for range 20 {
		sh, plain := shard{ix: newIndex(10, 1, random.Uint64())}, newIndex(10, 1, random.Uint64())
		row := 0
		for range 4 {
			way := ways[random.IntN(len(ways))]
			for range 5 + random.IntN(50) {
				for side := range sides {
					for _, p := range way(row, side) {
						if sh.rest > 0 {
							rested++
						} else {
							guessed++
						}
						require.Equal(t, plain.corner(p), sh.corner(p))
					}
				}
				row++
			}
		}
	}
	require.Greater(t, guessed, 50_000)
	require.Greater(t, rested, 50_000)
}

// Of rows nearly all corners that were seen are guessed right; of files without rows
// hardly one is guessed.
func TestGuesses(t *testing.T) {
	wrong := func(m *Mesh) (wrong, rested int) {
		sh := shard{ix: newIndex(m.Vertices(), m.typicalFacet(), 1)}
		for _, v := range m.T {
			before := sh.wrong
			if sh.rest > 0 {
				rested++
			}
			sh.corner(point{m.X[v], m.Y[v], m.Z[v]})
			if sh.wrong > before {
				wrong++
			}
		}
		return wrong, rested
	}
	sound := limb(120, 300)
	missed, rested := wrong(sound)
	require.Less(t, missed, len(sound.T)/50)
	require.Zero(t, rested)
	missed, rested = wrong(mixed(sound, 3))
	require.Less(t, missed, len(sound.T)/50)
	require.Greater(t, rested, len(sound.T)*9/10)
	// Where rows begin behind no order, they are guessed again.
	both := mixed(sound.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + 1000, Y: p.Y, Z: p.Z} }), 3)
	both.T = both.T[:3*10_000]
	before := uint32(both.Vertices())
	for v := range sound.Vertices() {
		both.AddVertex(sound.At(uint32(v)))
	}
	for _, v := range sound.T {
		both.T = append(both.T, before+v)
	}
	missed, rested = wrong(both)
	require.Less(t, missed, len(sound.T)/20)
	require.Less(t, rested, len(sound.T)/2)
}

// What is left at the corners while a file is read shows the same vertices as the
// finished mesh: none of a sound one, the rims of a torn one, those along facets that
// are turned over, however many read it.
func TestLooseWhileReading(t *testing.T) {
	sound := limb(120, 300)
	torn, turned := sound.Clone(), sound.Clone()
	torn.T = append(torn.T[:3*20_000], torn.T[3*20_100:]...)
	for f := 50_000; f < 50_100; f++ {
		turned.T[3*f], turned.T[3*f+1] = turned.T[3*f+1], turned.T[3*f]
	}
	for name, m := range map[string]*Mesh{"sound": sound, "torn": torn, "turned": turned, "apart": soup(sound), "no order": mixed(torn, 8)} {
		for _, workers := range []int{1, 2, 3, 7} {
			s := sourceOf("limb.stl", binarySTL(m, ""))
			shards, err := gatherSTL(t.Context(), s, m.Triangles(), workers)
			require.NoError(t, err)
			read, loose := merge(shards, workers)
			require.Equal(t, read.loose(), loose, "%s, %d workers", name, workers)
			require.Equal(t, name == "torn" || name == "turned" || name == "no order", len(loose) > 0, "%s, %d workers", name, workers)
		}
	}
}
