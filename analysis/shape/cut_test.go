package shape

import (
	"fmt"
	"math"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// ring is a closed loop where a plane meets a mesh.
type ring []r3.Vec

// rings cuts a closed manifold mesh by a plane that meets no vertex. Each
// triangle is crossed from one edge to another, and each crossed edge belongs to
// two triangles, so the crossings chain up. This is a second route, of the tests'
// own, to what the methods promise.
func rings(m *mesh.Mesh, point, normal r3.Vec) []ring {
	side := make([]float64, m.Vertices())
	for v := range side {
		side[v] = r3.Dot(r3.Sub(m.At(uint32(v)), point), normal)
		if side[v] == 0 {
			side[v] = 1e-12
		}
	}
	type edge [2]uint32
	next, at := make(map[edge]edge), make(map[edge]r3.Vec)
	var order []edge
	for k := 0; k < len(m.T); k += 3 {
		var from, to edge
		for c := range 3 {
			a, b := m.T[k+c], m.T[k+(c+1)%3]
			if (side[a] > 0) == (side[b] > 0) {
				continue
			}
			e := edge{min(a, b), max(a, b)}
			t := side[e[0]] / (side[e[0]] - side[e[1]])
			at[e] = r3.Add(m.At(e[0]), r3.Scale(t, r3.Sub(m.At(e[1]), m.At(e[0]))))
			if side[a] > 0 {
				from = e
			} else {
				to = e
			}
		}
		if from != to {
			next[from] = to
			order = append(order, from)
		}
	}
	var out []ring
	for _, start := range order {
		var r ring
		for e, ok := start, true; ok; e = start {
			start, ok = next[e]
			if ok {
				delete(next, e)
				r = append(r, at[e])
			}
		}
		if r != nil {
			out = append(out, r)
		}
	}
	return out
}

func (r ring) length() float64 {
	sum := 0.0
	for k, p := range r {
		sum += r3.Norm(r3.Sub(r[(k+1)%len(r)], p))
	}
	return sum
}

// winds returns how often r goes round the point in the plane of a unit normal.
func (r ring) winds(point, normal r3.Vec) int {
	var turn float64
	for k, p := range r {
		u, v := r3.Sub(p, point), r3.Sub(r[(k+1)%len(r)], point)
		turn += math.Atan2(r3.Dot(normal, r3.Cross(u, v)), r3.Dot(u, v))
	}
	return int(math.Round(turn / (2 * math.Pi)))
}

// girthAt returns the length of the shortest loop round a station's center.
func girthAt(m *mesh.Mesh, s Station) (float64, bool) {
	best := math.Inf(1)
	for _, r := range rings(m, s.Center, s.Normal) {
		if r.winds(s.Center, s.Normal) != 0 {
			best = min(best, r.length())
		}
	}
	return best, !math.IsInf(best, 1)
}

// shell is what every shape with a way through offers.
type shell interface {
	Mesh() *mesh.Mesh
	Openings() []Opening
	Ways(step float64) []Way
}

func TestStationsHaveTheSectionTheySay(t *testing.T) {
	for _, s := range []shell{
		Tube{Radius: 50, Wall: 3, Height: 60},
		Taper{Sides: 256, Bottom: Ellipse{41, 52}, Top: Ellipse{66, 58}, Wall: 3, Height: 310},
		Flared(Circle(35), Ellipse{48, 42}, Circle(60), 240, 60, 3),
		boot, mitre, hips, torso, helm,
	} {
		t.Run(fmt.Sprintf("%T", s), func(t *testing.T) { checkWays(t, s) })
	}
}

// checkWays cuts s at every station but those in a plane of facets, and those
// of an eye slot, and holds the loop against the formula.
func checkWays(t *testing.T, s shell) {
	m := s.Mesh()
	openings := s.Openings()
	for _, w := range s.Ways(17.3) {
		if w.From < 0 || w.From >= len(openings) || w.To < -1 || w.To >= len(openings) {
			t.Errorf("way from %d to %d among %d openings", w.From, w.To, len(openings))
		}
		checked := 0
		for _, at := range w.Stations {
			if onRim(at, openings) || slotted(s, at) {
				continue
			}
			got, ok := girthAt(m, at)
			if !ok {
				t.Fatalf("no loop round the station at %v", at.Center)
			}
			near(t, fmt.Sprintf("girth at %v", at.Center), got, at.Loop.Girth(), 5e-4)
			checked++
		}
		if checked == 0 {
			t.Errorf("way from %d to %d has no station", w.From, w.To)
		}
	}
}

func onRim(at Station, openings []Opening) bool {
	for _, o := range openings {
		if d := math.Abs(r3.Dot(r3.Sub(at.Center, o.Center), o.Facing)); d < 0.1 && !o.Small {
			return true
		}
	}
	return false
}

func slotted(s shell, at Station) bool {
	h, ok := s.(Helm)
	return ok && math.Abs(at.Center.Z-h.SlotZ) <= h.SlotDepth/2
}

func TestRimsLieWhereTheOpeningsSay(t *testing.T) {
	for _, s := range []shell{
		Taper{Bottom: Ellipse{41, 52}, Top: Ellipse{66, 58}, Wall: 3, Height: 310},
		boot, mitre, hips, torso, helm,
	} {
		m := s.Mesh()
		for k, o := range s.Openings() {
			if o.Small {
				continue
			}
			// A hair inside the rim there is a loop of its girth, a hair outside none.
			at := Station{Center: r3.Sub(o.Center, r3.Scale(1e-3, o.Facing)), Normal: o.Facing}
			got, ok := girthAt(m, at)
			if !ok {
				t.Errorf("%T: no loop inside opening %d", s, k)
			}
			near(t, fmt.Sprintf("%T opening %d", s, k), got, o.Rim.Girth(), 5e-4)
			at.Center = r3.Add(o.Center, r3.Scale(1e-3, o.Facing))
			if _, ok := girthAt(m, at); ok {
				t.Errorf("%T: there is a loop outside opening %d", s, k)
			}
		}
	}
}

func TestMitreSection(t *testing.T) {
	// The ellipse with half-axes r√2 and r: 4√2·r·E(m = ½), E by the
	// parameter from Abramowitz & Stegun table 17.1.
	want := 4 * math.Sqrt2 * mitre.Radius * 1.350643881047676
	near(t, "mitre", mitre.Mitre().Girth(), want, 1e-12)
	near(t, "mitre in radii", want/mitre.Radius, 7.6404, 1e-5)
	near(t, "mitre", mitre.Mitre().Capacity(), want, 1e-12)
}

func TestBootWayIsAsLongAsItSays(t *testing.T) {
	w := boot.Ways(1)[0]
	var sum float64
	for k := 1; k < len(w.Stations); k++ {
		a, b := w.Stations[k-1], w.Stations[k]
		sum += r3.Norm(r3.Sub(b.Center, a.Center))
		// The way runs along the normals.
		if got := r3.Dot(r3.Unit(r3.Sub(b.Center, a.Center)), a.Normal); got < 0.9999 {
			t.Errorf("at %g the way turns off its normal: cos %g", a.Along, got)
		}
	}
	near(t, "length", sum, w.Stations[len(w.Stations)-1].Along, 1e-4)
}

func TestHipsAreTwoLegsBelowTheFork(t *testing.T) {
	m := hips.Mesh()
	down := r3.Vec{Z: 1}
	for z, want := range map[float64]int{20: 4, 60: 4, 99: 4, 110: 2, 160: 2, 290: 2} {
		// Two walls, so two loops for the trunk and four for the legs.
		if got := len(rings(m, r3.Vec{Z: z}, down)); got != want {
			t.Errorf("%d loops at height %g, want %d", got, z, want)
		}
	}
	for z := hips.SeatZ + 1; z < hips.Height; z += 9 {
		got, _ := girthAt(m, Station{Center: r3.Vec{Z: z}, Normal: down})
		near(t, fmt.Sprintf("trunk at %g", z), got, hips.Trunk(z).Girth(), 5e-4)
	}
}

func TestThickenedWallsAreAsThickAsTheySay(t *testing.T) {
	for name, c := range map[string]struct {
		m    *mesh.Mesh
		wall float64
	}{"hips": {hips.Mesh(), hips.Wall}, "torso": {torso.Mesh(), torso.Wall}} {
		// The inner skin comes first, then the outer one in the same order: a
		// corner's twin must be its nearest corner on the other skin, or the
		// skins cross or pinch.
		half := uint32(c.m.Vertices() / 2)
		for v := uint32(0); v < half; v += 31 {
			twin := r3.Norm(r3.Sub(c.m.At(v), c.m.At(half+v)))
			near(t, name+" wall", twin, c.wall, 1e-3)
			for q := half; q < 2*half; q++ {
				if d := r3.Norm(r3.Sub(c.m.At(v), c.m.At(q))); d < 0.9*c.wall {
					t.Errorf("%s: %v lies %.2f mm from the outer skin at %v, wall %g", name, c.m.At(v), d, c.m.At(q), c.wall)
				}
			}
		}
	}
}
