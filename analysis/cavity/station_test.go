package cavity

import (
	"fmt"
	"math"
	"testing"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Behind a rim that is cut aslant the first whole section is found to the step, by any
// number of workers: by plain geometry the section z is whole from where the rim's
// sine leaves it, with an eighth of a pitch to spare, and not two steps before.
func TestFirstWholeSectionIsFoundToTheStep(t *testing.T) {
	const radius, height, pitch = 60.0, 120.0, 1.0
	round := shape.Tube{Sides: 96, Radius: radius, Wall: 3, Height: height}.Mesh()
	for _, slope := range []float64{0, 0.02, 0.035, 0.05, 0.07} {
		m := round.Map(func(p r3.Vec) r3.Vec {
			if p.Z > 10 {
				p.Z += slope * p.X
			}
			return p
		})
		// Of the way round, 1 − acos(d)/π is below a rim that leaves by d of its height.
		whole := height + slope*radius*math.Cos(math.Pi*sound)
		for _, workers := range []int{1, 2, 3} {
			t.Run(fmt.Sprintf("%g by %d", slope, workers), func(t *testing.T) {
				air, err := grid.Survey(t.Context(), m, pitch, workers, &grid.Arena{})
				require.NoError(t, err)
				defer air.Release()
				k := &seek{air: air, mesh: m}
				index := section.NewIndex(m)
				for range workers {
					k.probes = append(k.probes, &probe{index: index})
				}
				var points []point
				for z := height + 10; z > 10; z -= 5 {
					points = append(points, point{at: r3.Vec{Z: z}, cover: 360})
				}
				l := line{curve: newCurve(points, radius)}
				got, err := k.whole(t.Context(), &l, 1, 50)
				require.NoError(t, err)
				z := height + 10 - got
				require.LessOrEqual(t, z, whole+pitch/16)
				require.GreaterOrEqual(t, z, whole-2*pitch/8, "steps of an eighth")

				none, err := k.whole(t.Context(), &l, 1, 3)
				require.NoError(t, err)
				require.Equal(t, 1.0, none, "none there: from where it began")
			})
		}
	}
}
