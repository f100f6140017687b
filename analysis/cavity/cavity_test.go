package cavity

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// shell is a parametric shape that knows its answers.
type shell interface {
	Mesh() *mesh.Mesh
	Openings() []shape.Opening
	Ways(step float64) []shape.Way
}

// shells are the shapes of the tests by name, each with what is special about
// its answers.
func shells() map[string]shell {
	ellipse := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	boot := shape.Boot{
		Rim: ellipse(68, 62), Ankle: ellipse(58, 48), Instep: ellipse(50, 47), Ball: ellipse(36, 50),
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	open := boot
	open.OpenSole = true
	return map[string]shell{
		"tube":                  shape.Tube{Radius: 50, Wall: 3, Height: 120},
		"boot":                  boot,
		"boot without its sole": open,
		"hips": shape.Hips{
			Sides: 96, Waist: ellipse(160, 115), Seat: ellipse(195, 135), Leg: ellipse(86, 92), Wall: 3,
			Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
		},
		"helm": shape.Helm{
			Neck: ellipse(72, 80), Skull: ellipse(95, 115), Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
			SlotZ: 150, SlotDepth: 18, SlotSides: 40,
		},
		"forearm": shape.Flared(shape.Circle(35), ellipse(48, 42), shape.Circle(60), 240, 60, 3),
		"belt":    shape.Tube{Radius: 150, Wall: 4, Height: 12},
		"collar":  shape.Taper{Bottom: ellipse(90, 80), Top: ellipse(65, 65), Wall: 3, Height: 50},
	}
}

// turned returns m turned and moved by a seed, and the way back of a point and
// of a direction.
func turned(m *mesh.Mesh, seed uint64) (out *mesh.Mesh, point, direction func(r3.Vec) r3.Vec) {
	if seed == 0 {
		same := func(p r3.Vec) r3.Vec { return p }
		return m, same, same
	}
	by := shape.Rotation(seed)
	move := by.Rotate(r3.Vec{X: 300, Y: -100, Z: 50})
	q := quat.Number(by)
	back := r3.Rotation(quat.Conj(q))
	return shape.Offset(shape.Turn(m, by), move),
		func(p r3.Vec) r3.Vec { return back.Rotate(r3.Sub(p, move)) }, back.Rotate
}

// finding is what was found of a shell, in the shell's own frame.
type finding struct {
	cavities       []Cavity
	pitch, spacing float64
}

func find(t *testing.T, m *mesh.Mesh, seed uint64, o Options) finding {
	t.Helper()
	m, point, direction := turned(m, seed)
	o.Workers = 2
	cavities, err := Find(context.Background(), m, o)
	require.NoError(t, err)
	for _, c := range cavities {
		for i := range c.Openings {
			c.Openings[i].Center, c.Openings[i].Facing = point(c.Openings[i].Center), direction(c.Openings[i].Facing)
		}
		for _, l := range c.Lines {
			for i := range l.Stations {
				l.Stations[i].Center, l.Stations[i].Normal = point(l.Stations[i].Center), direction(l.Stations[i].Normal)
			}
		}
	}
	return finding{cavities, o.Pitch, o.Spacing}
}

// near reports whether got is within the relative tolerance of want.
func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

// checkOpenings fails the test unless the one cavity found has exactly the
// openings of the shell, and returns the number of each in the shell's order.
func checkOpenings(t *testing.T, s shell, f finding) map[string]int {
	t.Helper()
	if got := len(f.cavities); got != 1 {
		t.Fatalf("%d cavities, want 1", got)
	}
	c, want := f.cavities[0], s.Openings()
	if got := len(c.Openings); got != len(want) {
		t.Fatalf("%d openings, want %d", got, len(want))
	}
	names := map[string]int{}
	for n, w := range want {
		i := 0
		for k, o := range c.Openings {
			if r3.Norm(r3.Sub(o.Center, w.Center)) < r3.Norm(r3.Sub(c.Openings[i].Center, w.Center)) {
				i = k
			}
		}
		o := c.Openings[i]
		names[o.Name] = n
		if o.Entry == w.Small {
			t.Errorf("opening %s: entry %v", o.Name, o.Entry)
		}
		if w.Rim == (shape.Ellipse{}) {
			continue // its middle and its girth are no formula
		}
		if d := r3.Norm(r3.Sub(o.Center, w.Center)); d > f.pitch {
			t.Errorf("opening %s lies %.2f mm off", o.Name, d)
		}
		if off := math.Acos(min(r3.Dot(o.Facing, w.Facing), 1)) * 180 / math.Pi; off > 1.5 {
			t.Errorf("opening %s faces %.1f° off", o.Name, off)
		}
		if want := w.Rim.Girth(); !near(o.Girth, want, 0.002) {
			t.Errorf("opening %s: girth %.2f, want %.2f", o.Name, o.Girth, want)
		}
		if want := w.Rim.Capacity(); !near(o.Capacity, want, 0.005) {
			t.Errorf("opening %s: capacity %.2f, want %.2f", o.Name, o.Capacity, want)
		}
	}
	if len(names) != len(want) {
		t.Errorf("of %d openings two lie in one place", len(want))
	}
	return names
}

// checkLine fails the test unless the stations of a line that lie where the
// way's sections are known agree with them, and are there.
func checkLine(t *testing.T, l Line, w shape.Way, f finding) {
	t.Helper()
	for _, s := range l.Stations {
		k, least := 0, math.Inf(1)
		for i, known := range w.Stations {
			if d := r3.Norm(r3.Sub(s.Center, known.Center)); d < least {
				k, least = i, d
			}
		}
		known := w.Stations[k]
		if least > f.pitch {
			continue
		}
		if off := math.Abs(r3.Dot(s.Normal, known.Normal)); off < math.Cos(4*math.Pi/180) {
			t.Errorf("%s-%s at %.1f: normal %.1f° off", l.From, l.To, s.Along, math.Acos(off)*180/math.Pi)
		}
		if s.Gap > 0 {
			continue // a slot for the eyes
		}
		if want := known.Loop.Girth(); !near(s.InnerGirth, want, 0.002) {
			t.Errorf("%s-%s at %.1f: girth %.2f, want %.2f", l.From, l.To, s.Along, s.InnerGirth, want)
		}
		if want := known.Loop.Capacity(); !near(s.Capacity, want, 0.005) {
			t.Errorf("%s-%s at %.1f: capacity %.2f, want %.2f", l.From, l.To, s.Along, s.Capacity, want)
		}
	}
	for i, known := range w.Stations {
		if i%100 > 0 {
			continue
		}
		seen := slices.ContainsFunc(l.Stations, func(s Station) bool {
			return r3.Norm(r3.Sub(s.Center, known.Center)) < f.spacing
		})
		if !seen {
			t.Errorf("%s-%s: no station near number %d of the way, %.1f", l.From, l.To, i, known.Center)
		}
	}
}

func TestMitreIsFound(t *testing.T) {
	// 4·√2·r·E(m = ½) = 7.6404 r: the ellipse of half-axes r√2 and r that two round
	// tubes meet in (E(½) = 1.350643881047676, Abramowitz & Stegun table 17.1).
	boot := shape.MitreBoot{Radius: 45, Wall: 3, Shaft: 160, Foot: 180}
	want := 4 * math.Sqrt2 * 45 * 1.350643881047676
	for _, seed := range []uint64{7} {
		f := find(t, boot.Mesh(), seed, Options{Pitch: 4})
		var widest Station
		for _, s := range f.cavities[0].Lines[0].Stations {
			if s.InnerGirth > widest.InnerGirth {
				widest = s
			}
		}
		if !near(widest.InnerGirth, want, 0.01) {
			t.Errorf("seed %d: girth %.2f at %.1f, want %.2f", seed, widest.InnerGirth, widest.Along, want)
		}
		mitre := r3.Unit(r3.Vec{Y: 1, Z: -1})
		if off := r3.Dot(widest.Normal, mitre); off < math.Cos(3*math.Pi/180) {
			t.Errorf("seed %d: normal %.3f, want %.3f", seed, widest.Normal, mitre)
		}
		if d := r3.Norm(widest.Center); d > f.pitch {
			t.Errorf("seed %d: %.2f mm from where the axes meet", seed, d)
		}
	}
}

func TestGutterIsMeasuredRimToRim(t *testing.T) {
	for _, g := range []shape.Gutter{
		{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240},
		{Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 180},
		{Bottom: 90, Top: 90, Wall: 4, Height: 25, Arc: 300},
	} {
		if underRace && g.Height > 200 {
			continue
		}
		f := find(t, g.Mesh(), 3, coarse(g.Mesh()))
		checkOpenings(t, g, f)
		l := f.cavities[0].Lines[0]
		if !near(l.Length, g.Height, 0.01) {
			t.Errorf("%g°: length %.2f, want %.2f", g.Arc, l.Length, g.Height)
		}
		for _, s := range l.Stations {
			z := s.Center.Z
			if want := g.Girth(z); !near(s.InnerGirth, want, 0.002) {
				t.Errorf("%g° at %.1f: girth %.2f, want %.2f", g.Arc, z, s.InnerGirth, want)
			}
			if want := g.Gap(z); !near(s.Gap, want, 0.005) {
				t.Errorf("%g° at %.1f: gap %.2f, want %.2f", g.Arc, z, s.Gap, want)
			}
			if g.Arc == 180 {
				continue // held or not, by a hair
			}
			// The ellipse through both edges, or the circle of the wall itself.
			through, _ := g.Ellipse(z)
			want := max(through.Girth(), shape.Circle(g.Radius(z)).Girth())
			if !near(s.Capacity, want, 0.005) {
				t.Errorf("%g° at %.1f: capacity %.2f, want %.2f", g.Arc, z, s.Capacity, want)
			}
		}
	}
}

func TestNoCavity(t *testing.T) {
	arm := shape.Flared(shape.Circle(35), shape.Ellipse{A: 48, B: 42}, shape.Circle(60), 240, 60, 3)
	for name, m := range map[string]*mesh.Mesh{
		"plate":      shape.Plate{Width: 160, Height: 200, Wall: 3}.Mesh(),
		"bent plate": shape.Plate{Width: 160, Height: 200, Wall: 3, Bend: 150}.Mesh(),
		"bar":        shape.Bar{X: 100, Y: 30, Z: 20}.Mesh(),
		"block":      arm.Solid(),
		"nothing":    {},
		"a line":     {X: []float32{0, 1, 2}, Y: []float32{0, 1, 2}, Z: []float32{0, 1, 2}, T: []uint32{0, 1, 2}},
	} {
		if f := find(t, m, 5, Options{}); len(f.cavities) != 0 {
			t.Errorf("%s: %d cavities", name, len(f.cavities))
		}
	}
}

// TestSpoiltMeshesGiveTheSameAnswers breaks a shell whose facets are no longer
// than two pitches in the ways that downloaded parts are broken.
func TestSpoiltMeshesGiveTheSameAnswers(t *testing.T) {
	whole := shape.Taper{Sides: 128, Rows: 30, Bottom: shape.Ellipse{A: 24, B: 30}, Top: shape.Ellipse{A: 34, B: 32}, Wall: 3, Height: 60}.Mesh()
	o := Options{Pitch: 1.2, Spacing: 20}
	want := find(t, whole, 0, o).cavities[0].Lines[0]
	holed := shape.DropFacets(whole, 50, 9)
	for name, m := range map[string]*mesh.Mesh{
		"walls not merged, shells flipped": shape.SplitWalls(shape.FlipShells(whole)),
		"a facet in fifty missing":         holed,
		"facets flipped, junk in the wall": shape.Junk(shape.FlipFacets(whole, 3, 1), 100, 2, 7),
		"all at once":                      shape.Slivers(shape.Overlap(shape.SecondSkin(holed, 0.01), 40, 2, 5), 20, 6),
	} {
		if underRace && name != "all at once" {
			continue
		}
		f := find(t, m, 5, o)
		if len(f.cavities) != 1 || len(f.cavities[0].Openings) != 2 || len(f.cavities[0].Lines) != 1 {
			t.Errorf("%s: %d cavities", name, len(f.cavities))
			continue
		}
		got := f.cavities[0].Lines[0]
		met := 0
		for _, s := range got.Stations {
			for _, w := range want.Stations {
				if math.Abs(s.Along-w.Along) > 0.2 {
					continue
				}
				met++
				if !near(s.InnerGirth, w.InnerGirth, 0.01) || !near(s.Capacity, w.Capacity, 0.01) || s.Gap > 0 {
					t.Errorf("%s at %.1f: girth %.2f, capacity %.2f, gap %.2f; whole %.2f, %.2f",
						name, s.Along, s.InnerGirth, s.Capacity, s.Gap, w.InnerGirth, w.Capacity)
				}
			}
		}
		if met < len(want.Stations)-1 {
			t.Errorf("%s: %d of %d stations", name, met, len(want.Stations))
		}
	}
}

func TestAnswersFollowScaleAndPlace(t *testing.T) {
	m := shape.Flared(shape.Circle(35), shape.Ellipse{A: 48, B: 42}, shape.Circle(60), 240, 60, 3).Mesh()
	first := find(t, m, 0, coarse(m)).cavities[0]
	for _, scale := range []float64{0.5} {
		scaled := m.Scaled(scale)
		o := coarse(scaled)
		o.Ball = usualBall * scale
		c := find(t, scaled, 11, o).cavities[0]
		if !near(c.Volume, first.Volume*scale*scale*scale, 0.01) {
			t.Errorf("scale %g: volume %.0f of %.0f", scale, c.Volume, first.Volume)
		}
		l, k := c.Lines[0], first.Lines[0]
		if l.From != k.From || l.To != k.To || !near(l.Length, k.Length*scale, 0.003) || len(l.Stations) != len(k.Stations) {
			t.Fatalf("scale %g: %s-%s of %.2f with %d stations, want %s-%s of %.2f with %d",
				scale, l.From, l.To, l.Length, len(l.Stations), k.From, k.To, k.Length*scale, len(k.Stations))
		}
		for i, s := range l.Stations {
			if w := k.Stations[i]; !near(s.InnerGirth, w.InnerGirth*scale, 0.002) {
				t.Errorf("scale %g, station %d: girth %.2f, want %.2f", scale, i, s.InnerGirth, w.InnerGirth*scale)
			}
		}
	}
}

func TestWorkersDoNotMatter(t *testing.T) {
	m := shells()["belt"].Mesh()
	var arena grid.Arena
	var want []Cavity
	for _, workers := range []int{1, 3} {
		o := coarse(m)
		o.Workers, o.Arena = workers, &arena
		got, err := Find(context.Background(), m, o)
		require.NoError(t, err)
		if want == nil {
			want = got
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%d workers find something else", workers)
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Find(ctx, shells()["tube"].Mesh(), Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestNames(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 52: "BA"} {
		if got := name(n); got != want {
			t.Errorf("opening %d is named %s, want %s", n, got, want)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	// 200,000 triangles, a grid of 160 along the longest side, 100 stations.
	m := shape.Relief{Triangles: 200_000}.Mesh()
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("%d workers", workers), func(b *testing.B) {
			var arena grid.Arena
			b.ReportAllocs()
			for b.Loop() {
				c, err := Find(context.Background(), m, Options{Spacing: 3, Workers: workers, Arena: &arena})
				if err != nil || len(c) != 1 || len(c[0].Lines[0].Stations) < 100 {
					b.Fatal(len(c), err)
				}
			}
		})
	}
}

// coarse are options that make the tests quick: a grid of 100 voxels along the
// longest side, few stations.
func coarse(m *mesh.Mesh) Options {
	size := m.Bounds().Size()
	longest := max(size.X, size.Y, size.Z)
	return Options{Pitch: longest / 100, Spacing: longest / 8}
}

// TestShells turns each shell once. With the usual grid, stations every 15 mm
// and twenty rotations of every shell it takes some minutes, and has passed.
func TestShells(t *testing.T) {
	names := []string{"collar", "helm", "tube", "boot", "boot without its sole", "hips", "belt", "forearm"}
	if underRace {
		names = names[:2]
	}
	for n, name := range names {
		t.Run(name, func(t *testing.T) {
			s := shells()[name]
			m := s.Mesh()
			f := find(t, m, uint64(n), coarse(m))
			names := checkOpenings(t, s, f)
			for _, w := range s.Ways(0.05) {
				for _, l := range f.cavities[0].Lines {
					from, to := names[l.From], -1
					if l.To != End {
						to = names[l.To]
					}
					if from == w.From && to == w.To || from == w.To && to == w.From {
						checkLine(t, l, w, f)
					}
				}
			}
		})
	}
}

// By hand: of a round wall of 270° with radius r the gap is r·√2, and closed it is 2πr
// long; a slit adds what it is wide, and a gap longer than the wall is no circle's. Two
// gaps of a circle, alike or not, are closed by their own arcs.
func TestClosed(t *testing.T) {
	chord := func(degrees float64) float64 { return 2 * 70 * math.Sin(degrees/2*math.Pi/180) }
	of := func(degrees ...float64) Station {
		s := Station{InnerGirth: 2 * math.Pi * 70}
		for _, d := range degrees {
			s.InnerGirth -= d * math.Pi / 180 * 70
			s.Gap += chord(d)
			s.Gaps = append(s.Gaps, chord(d))
		}
		return s
	}
	for _, gaps := range [][]float64{{90}, {180}, {230}, {60, 60}, {20, 110}, {5, 5, 5, 160}, {100, 100, 100}} {
		s := of(gaps...)
		require.InEpsilon(t, 2*math.Pi*70, s.Closed(), 1e-6, "%v", gaps)
	}
	slit := Station{InnerGirth: 400, Gap: 5, Gaps: []float64{5}}
	require.InDelta(t, 405, slit.Closed(), 1e-2)
	long := Station{InnerGirth: 100, Gap: 101, Gaps: []float64{101}}
	require.True(t, math.IsInf(long.Closed(), 1))
	whole := Station{InnerGirth: 100}
	require.True(t, math.IsInf(whole.Closed(), 1))
	// Two plates of less wall than a half circle has between such gaps: as for one gap as wide
	// as both, and none where that is wider than the wall.
	narrow := Station{InnerGirth: 60, Gap: 57, Gaps: []float64{55, 2}}
	require.Equal(t, closedOnce(60, 57), narrow.Closed())
	apart := Station{InnerGirth: 100, Gap: 170, Gaps: []float64{160, 10}}
	require.True(t, math.IsInf(apart.Closed(), 1))
}

// What is scaled keeps its gaps in proportion, each of them, and itself as it was.
func TestGapsAreScaled(t *testing.T) {
	s := Station{InnerGirth: 300, Gap: 30, Gaps: []float64{10, 20}}
	twice := s.scaled(2)
	require.Equal(t, []float64{20, 40}, twice.Gaps)
	require.Equal(t, []float64{10, 20}, s.Gaps)
	require.InEpsilon(t, 2*s.Closed(), twice.Closed(), 1e-9)
}
