package assembly

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// What cutting parted is welded to what it was: closed, with the area and the
// volume of the whole. Where slivers on the cut leave an edge open, the pieces
// are put together as they are.
func TestCutPiecesAreWelded(t *testing.T) {
	tooThin := map[string]bool{"boot, left and right half": true, "boot at a slant": true, "taper, wavy": true}
	for name, s := range shells() {
		var read []*mesh.Mesh
		var area, volume float64
		for _, m := range s.pieces {
			read = append(read, reread(t, m))
			area, volume = area+m.Area(), volume+m.Volume()
		}
		j := newJoint(read)
		joined, ok := j.weld()
		switch {
		case tooThin[name]:
			if whole := Join(read...).Mesh; !whole.Condition().Closed || math.Abs(whole.Volume()/volume-1) > 1e-3 {
				t.Errorf("%s: closed %v, volume %.1f, want about %.1f", name, whole.Condition().Closed, whole.Volume(), volume)
			}
			continue
		case !ok:
			t.Errorf("%s was not welded: %+v", name, joined.Condition())
		case strings.HasPrefix(name, "sheet"):
			if got := len(newSurface(joined, 1).open); got != 128 {
				t.Errorf("%s: %d open edges, want the two rims' 128", name, got)
			}
			continue
		}
		whole := boot()
		if strings.HasPrefix(name, "taper") {
			whole = taper()
		}
		if !joined.Condition().Closed || math.Abs(joined.Area()/whole.Area()-1) > 1e-5 || math.Abs(joined.Volume()/whole.Volume()-1) > 1e-5 {
			t.Errorf("%s: %+v, area %.2f, want %.2f; volume %.1f, want %.1f", name, joined.Condition(), joined.Area(), whole.Area(), joined.Volume(), whole.Volume())
		}
		if joined.Area() > area {
			t.Errorf("%s: the cut faces are still there", name)
		}
	}
}

// With room for glue between them pieces reach a little into each other.
func TestGlueGapIsClosed(t *testing.T) {
	halves := cut2(0.25)
	j := newJoint(halves)
	if _, ok := j.weld(); ok {
		t.Error("pieces that lie apart were welded")
	}
	joined := Join(halves...).Mesh
	lower, upper := joined.Clone(), joined.Clone()
	n := halves[0].Vertices()
	upper.X, upper.Y, upper.Z = upper.X[:n], upper.Y[:n], upper.Z[:n]
	lower.X, lower.Y, lower.Z = lower.X[n:], lower.Y[n:], lower.Z[n:]
	if over := lower.Bounds().Max.Z - upper.Bounds().Min.Z; math.Abs(over-2*bite*gap) > 1e-3 {
		t.Errorf("the halves overlap by %.4f mm, want %.4f", over, 2*bite*gap)
	}
	if grown := joined.Volume() - halves[0].Volume() - halves[1].Volume(); grown < 0 {
		t.Errorf("joining took %.1f mm³ away", -grown)
	}
}

// Whatever a file holds, it can be compared and joined: nothing, one facet,
// facets without area, facets at random, a flat sheet, two that share a side.
func TestOddMeshes(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	soup := &mesh.Mesh{}
	for range 300 {
		soup.AddVertex(r3.Vec{X: rng.NormFloat64() * 20, Y: rng.NormFloat64() * 20, Z: math.Round(rng.NormFloat64())})
	}
	for range 90 {
		soup.AddTriangle(rng.Uint32N(300), rng.Uint32N(300), rng.Uint32N(300))
	}
	one := &mesh.Mesh{X: []float32{0, 10, 0}, Y: []float32{0, 0, 10}, Z: []float32{0, 0, 0}, T: []uint32{0, 1, 2}}
	line := &mesh.Mesh{X: []float32{0, 10, 20}, Y: []float32{0, 0, 0}, Z: []float32{0, 0, 0}, T: []uint32{0, 1, 2, 0, 0, 1}}
	back := one.Clone()
	back.Flip()
	all := []*mesh.Mesh{{}, one, back, line, soup, soup.Scaled(-1), shape.Bar{X: 10, Y: 10, Z: 10}.Mesh(), shape.Offset(shape.Bar{X: 10, Y: 10, Z: 10}.Mesh(), r3.Vec{X: 10})}
	for i, a := range all {
		for j, b := range all {
			Touch(rimsOf(a), rimsOf(b))
			if joined := Join(a, b); !joined.Mesh.Finite() || len(joined.Alone) != 2 {
				t.Errorf("%d and %d: not sound", i, j)
			}
		}
	}
	if whole := Join(all...); !whole.Mesh.Finite() {
		t.Error("all together are not sound")
	}
	if whole := Join(all[6], all[7]).Mesh; !whole.Condition().Closed || whole.Bounds().Max.X != 20 || math.Abs(whole.Volume()-2000) > 1e-3 {
		t.Errorf("two bars side by side: %+v, %v", whole.Condition(), whole.Volume())
	}
}

// cut2 parts a taper across and moves the halves apart, the upper one first.
func cut2(apart float64) []*mesh.Mesh {
	halves := parted(plane(0, 0, 100, 0, 0, 1), taper())
	halves[0] = shape.Offset(halves[0], r3.Vec{Z: apart})
	return halves
}
