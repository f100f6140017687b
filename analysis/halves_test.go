package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// bentBoot is too large for the common bed, its leg too narrow for a heel of 330 mm.
func bentBoot() shape.Boot {
	return shape.Boot{
		Sides: 64, Rim: shape.Circle(50), Ankle: shape.Circle(50), Instep: shape.Ellipse{A: 46, B: 50}, Ball: shape.Ellipse{A: 40, B: 48},
		Wall: 3, Shaft: 200, Bend: 70, Foot: 110, Toe: 50,
	}
}

// bootWorn asks for the boot's own foot in a shell of that region.
func bootWorn(b *Brief, region string) {
	b.Region = Region{Name: region, Side: "left", Source: "config"}
	b.Wearer.Measures = map[string]float64{"stature": 1710, "foot_length": 240, "heel_girth": 330, "ankle_girth": 222, "calf_girth": 300}
}

// euler returns vertices − edges + facets of a closed mesh: 2 for each body without a
// hole through it, 0 for a ring (Euler and Poincaré). A hole for a pin ends blind and
// changes nothing.
func euler(m *mesh.Mesh) int {
	used := map[uint32]bool{}
	for _, v := range m.T {
		used[v] = true
	}
	return len(used) - m.Triangles()/2
}

// A boot that the bed does not take is parted along the leg and the foot first, where
// halves are wanted, so that no piece goes round the limb: a straight one, one that
// stands turned, and one whose toe turns inward, which no plane mirrors.
func TestNoPieceOfHalvesGoesRound(t *testing.T) {
	numbers(t)
	straight := bentBoot().Mesh()
	require.Equal(t, 0, euler(shape.Tube{Sides: 64, Radius: 40, Wall: 3, Height: 60}.Mesh()), "a ring")
	for name, m := range map[string]*mesh.Mesh{
		"straight": straight,
		"turned":   straight.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: 0.8*p.X - 0.6*p.Y, Y: 0.6*p.X + 0.8*p.Y, Z: p.Z} }),
		"inward":   straight.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + 14*math.Pow(max(p.Y, 0)/230, 2), Y: p.Y, Z: p.Z} }),
	} {
		a := examine(t, m, func(b *Brief) { bootWorn(b, "foot"); b.Halves = true }, nil)
		f := &a.Findings
		require.False(t, f.Bed.Fits, name)
		require.False(t, f.has(uncut), name)
		require.Empty(t, f.Fit.Entries, name)
		require.GreaterOrEqual(t, len(a.Parted), 4, name)
		for i, p := range a.Parted {
			require.Equal(t, 2*max(1, f.Bed.Pieces[i].Bodies), euler(p), "%s: %s", name, f.Bed.Pieces[i].File)
		}
	}
}

// A tube wound like a screw is opened by no plane: what is wanted in halves is judged as
// without them then, and nobody is told to part it so.
func TestHalvesThatWouldNotOpenAreNotBelieved(t *testing.T) {
	numbers(t)
	var rings []shape.Ring
	const rows = 64
	for i := range rows + 1 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / rows)
		rings = append(rings, shape.Ring{Center: r3.Vec{X: 70 * cos, Y: 70 * sin, Z: 600 * float64(i) / rows}, Inner: shape.Circle(48)})
	}
	screw := shape.Limb{Sides: 64, Rings: rings, Wall: 3}.Mesh()
	closed := examine(t, screw, func(b *Brief) { bootWorn(b, "lower_leg") }, nil).Findings
	a := examine(t, screw, func(b *Brief) { bootWorn(b, "lower_leg"); b.Halves = true }, nil)
	f := a.Findings
	require.Equal(t, "blocked", closed.Fit.Verdict)
	require.False(t, closed.has(uncut))
	require.True(t, f.has(uncut))
	require.Equal(t, closed.Fit, f.Fit)
	for _, e := range closed.Fit.Entries {
		require.False(t, e.Halves)
	}
	other, ok := a.Kept.Judge(&f, halved())
	require.True(t, ok)
	require.Equal(t, "blocked", other.Fit.Verdict)
	require.True(t, other.has(uncut))
}

// halved is the question about the screw, asked again.
func halved() Brief {
	b := DefaultBrief()
	bootWorn(&b, "lower_leg")
	b.Halves = true
	return b
}
