package tilt

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const seed = 20261125

func box(x, y, z float64) []r3.Vec {
	var out []r3.Vec
	for k := range 8 {
		out = append(out, r3.Vec{X: x * float64(k&1), Y: y * float64(k>>1&1), Z: z * float64(k>>2)})
	}
	return out
}

// rod returns the corners of a flat-ended rod; its n-gon goes round the circle.
func rod(length, diameter float64, n int) []r3.Vec {
	var out []r3.Vec
	r := diameter / 2 / math.Cos(math.Pi/float64(n))
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		out = append(out, r3.Vec{X: r * cos, Y: r * sin}, r3.Vec{X: r * cos, Y: r * sin, Z: length})
	}
	return out
}

func cube(a float64) Room { return Room{Width: a, Depth: a, Height: a} }

// holds checks a result by its rotation alone: what the corners span there.
func holds(t *testing.T, name string, points []r3.Vec, room Room, f Frame, scale float64) {
	t.Helper()
	for i := range 3 {
		for j := range 3 {
			want := 0.0
			if i == j {
				want = 1
			}
			if math.Abs(r3.Dot(f[i], f[j])-want) > 1e-9 {
				t.Errorf("%s: %v is no rotation", name, f)
			}
		}
	}
	if r3.Dot(r3.Cross(f[0], f[1]), f[2]) < 0 {
		t.Errorf("%s: %v mirrors", name, f)
	}
	c := newClimber(points, room.walls())
	if need, _ := c.need(f); math.Abs(need*c.size*scale-1) > 1e-9 {
		t.Errorf("%s: scale %.9f, but %.9f at its rotation", name, scale, 1/(need*c.size))
	}
}

func TestKnownAnswers(t *testing.T) {
	tetrahedron := []r3.Vec{{}, {Y: 1, Z: 1}, {X: 1, Z: 1}, {X: 1, Y: 1}}
	ball := []r3.Vec{}
	for _, n := range directions(2000) {
		ball = append(ball, n, r3.Scale(-1, n))
	}
	for _, c := range []struct {
		name   string
		points []r3.Vec
		room   Room
		want   float64
		within float64
	}{
		// A square of 3√2/4 lies in the unit cube, and no larger one (Prince
		// Rupert; OEIS A093577).
		{"Prince Rupert's square", box(1, 1, 0), cube(1), 1.060660171779821, 1e-7},
		// Longest flat-ended rods in a box: √3a − √2d in a cube; the others are
		// numeric greatest values of an independent search.
		{"line in a box", []r3.Vec{{}, {X: 399.1240}}, Room{Width: 220, Depth: 220, Height: 250}, 1, 1e-6},
		{"line in a cube", []r3.Vec{{}, {X: 1}}, cube(1), math.Sqrt(3), 1e-7},
		{"line in a long box", []r3.Vec{{}, {X: 583.0952}}, Room{Width: 300, Depth: 300, Height: 400}, 1, 1e-6},
		{"rod of 20 in a cube", rod(math.Sqrt(3)*220-math.Sqrt2*20, 20, 360), cube(220), 1, 1e-4},
		{"rod of 30 in a cube", rod(400.9786, 30, 360), cube(256), 1, 1e-4},
		{"rod of 20", rod(370.9829, 20, 360), Room{Width: 220, Depth: 220, Height: 250}, 1, 1e-4},
		{"rod of 40", rod(342.8984, 40, 360), Room{Width: 220, Depth: 220, Height: 250}, 1, 1e-4},
		{"rod of 50", rod(514.5685, 50, 360), Room{Width: 300, Depth: 300, Height: 400}, 1, 1e-4},
		// O'Rourke 1985: the smallest box of a regular tetrahedron of edge √2 is the unit cube.
		{"tetrahedron", tetrahedron, cube(1), 1, 1e-7},
		{"box in its box", box(30, 70, 20), Room{Width: 70, Depth: 20, Height: 30}, 1, 1e-7},
		{"ball", ball, cube(2), 1, 5e-3},
		// A drum: the diagonal of its section through the axis.
		{"line in a drum", []r3.Vec{{}, {Y: 5}}, Room{Diameter: 3, Height: 4}, 1, 1e-7},
		{"plank in a drum", box(4, 3, 1e-6), Room{Diameter: 5, Height: 1e-3}, 1, 1e-6},
		{"cube in a drum", box(1, 1, 1), Room{Diameter: math.Sqrt2, Height: 1}, 1, 1e-7},
	} {
		for _, turn := range []Frame{Frame(axes), Frame(axes).turned(r3.Vec{X: 0.3, Y: 1, Z: -2})} {
			points := make([]r3.Vec, len(c.points))
			for i, p := range c.points {
				points[i] = r3.Add(turn.Of(p), r3.Vec{X: 100, Y: -30, Z: 7})
			}
			f, scale := Best(points, c.room, nil)
			if math.Abs(scale/c.want-1) > c.within {
				t.Errorf("%s: scale %.8f, want %.8f", c.name, scale, c.want)
			}
			holds(t, c.name, points, c.room, f, scale)
		}
	}
}

func TestNothingAndNoRoom(t *testing.T) {
	if _, scale := Best([]r3.Vec{{X: 1}}, cube(1), nil); !math.IsInf(scale, 1) {
		t.Errorf("a point: scale %g", scale)
	}
	if _, scale := Best(nil, cube(1), nil); !math.IsInf(scale, 1) {
		t.Errorf("nothing: scale %g", scale)
	}
	if _, scale := Best(box(1, 1, 1), Room{Width: -3, Depth: 4, Height: 5}, nil); scale != 0 {
		t.Errorf("no room: scale %g", scale)
	}
}

// body returns a random convex body of one of six kinds.
func body(random *rand.Rand, kind int) []r3.Vec {
	gauss := func() r3.Vec {
		return r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
	}
	stretch := r3.Vec{X: 1, Y: math.Exp(-2 * random.Float64()), Z: math.Exp(-3 * random.Float64())}
	var out []r3.Vec
	switch kind % 6 {
	case 0: // few corners
		for range 4 + random.IntN(5) {
			out = append(out, gauss())
		}
	case 1: // an ellipsoid of points
		for range 10 + random.IntN(60) {
			out = append(out, r3.Unit(gauss()))
		}
	case 2: // a cloud in a box
		for range 8 + random.IntN(60) {
			out = append(out, r3.Vec{X: random.Float64(), Y: random.Float64(), Z: random.Float64()})
		}
	case 3: // a prism
		n := 3 + random.IntN(9)
		lean := r3.Scale(0.5, gauss())
		for range n {
			p := r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64()}
			out = append(out, p, r3.Add(p, r3.Vec{X: lean.X, Y: lean.Y, Z: 1 + math.Abs(lean.Z)}))
		}
	case 4: // a frustum, like a limb
		top := 0.4 + random.Float64()
		for k := range 24 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
			out = append(out, r3.Vec{X: cos, Y: sin}, r3.Vec{X: 0.3 + top*cos, Y: top * sin, Z: 3})
		}
	case 5: // a bent plank
		for k := range 12 {
			sin, cos := math.Sincos(float64(k) / 11 * 2)
			for _, r := range []float64{1, 1.1} {
				out = append(out, r3.Vec{X: r * cos, Y: r * sin}, r3.Vec{X: r * cos, Y: r * sin, Z: 0.3 + stretch.Z})
			}
		}
	}
	turn := Frame(axes).turned(r3.Scale(3, r3.Unit(gauss())))
	for i, p := range out {
		out[i] = r3.Scale(100, turn.Of(r3.Vec{X: p.X * stretch.X, Y: p.Y * stretch.Y, Z: p.Z * stretch.Z}))
	}
	return out
}

// rotated returns n rotations spread evenly, less those that are others' half
// turns.
func rotated(n int) []Frame {
	var out []Frame
	spread(n, func(f Frame) { out = append(out, f) })
	return out
}

// bruteForce looks at rotations spread evenly, and then round the best of them
// by chance in ever smaller steps: slow, and without anything of Best but the
// spread.
func bruteForce(random *rand.Rand, points []r3.Vec, room Room, evenly []Frame) float64 {
	need := func(f Frame) float64 {
		return max(width(points, f[0])/room.Width, width(points, f[1])/room.Depth, width(points, f[2])/room.Height)
	}
	var best []try
	for _, f := range evenly {
		n := need(f)
		if len(best) == 12 && n >= best[11].need {
			continue
		}
		i, _ := slices.BinarySearchFunc(best, n, func(t try, n float64) int { return cmp.Compare(t.need, n) })
		best = slices.Insert(best, i, try{frame: f, need: n})
		best = best[:min(12, len(best))]
	}
	least := math.Inf(1)
	for _, t := range best {
		step := 0.06
		for range 300 {
			turn := r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
			f := t.frame.turned(r3.Scale(step, turn))
			if got := need(f); got < t.need {
				t = try{frame: f, need: got}
			} else {
				step *= 0.98
			}
		}
		least = min(least, t.need)
	}
	return 1 / least
}

// Never worse by more than 0.2 % than a dense look at all rotations.
func TestNeverWorseThanBruteForce(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 1))
	evenly := rotated(40_000)
	worst, gap := 0.0, 0.0
	for i := range bodies {
		points := body(random, i)
		room := Room{Width: 220, Depth: 220, Height: 250}
		if i%3 == 1 {
			room = Room{Width: 100 + 200*random.Float64(), Depth: 100 + 200*random.Float64(), Height: 100 + 200*random.Float64()}
		}
		f, scale := Best(points, room, nil)
		best := bruteForce(random, points, room, evenly)
		if scale < best*(1-0.002) {
			t.Errorf("body %d (seed %d): scale %.6f, brute force %.6f", i, seed, scale, best)
		}
		worst, gap = max(worst, best/scale-1), gap+scale/best-1
		holds(t, "body", points, room, f, scale)
	}
	// Brute force must come near, or it would hold nothing.
	if mean := 100 * gap / bodies; mean > 0.1 {
		t.Errorf("brute force is %.3f %% short in the mean", mean)
	} else {
		t.Logf("worse by %.4f %% at most; brute force %.4f %% short in the mean", 100*worst, mean)
	}
}

// round returns a random body like a bulging box, of many corners.
func round(random *rand.Rand, n int) []r3.Vec {
	size := r3.Vec{X: 60 + 60*random.Float64(), Y: 60 + 60*random.Float64(), Z: 120 + 100*random.Float64()}
	power := 2 + 4*random.Float64()
	var out []r3.Vec
	for range n {
		v := r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
		far := math.Pow(math.Pow(math.Abs(v.X), power)+math.Pow(math.Abs(v.Y), power)+math.Pow(math.Abs(v.Z), power), -1/power)
		out = append(out, r3.Vec{X: far * size.X * (v.X + 0.2*v.Z), Y: far * size.Y * v.Y, Z: far * size.Z * v.Z})
	}
	return out
}

// The same for bodies that have a greatest place at each of many corners.
func TestNeverWorseOnRoundBodies(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 4))
	evenly := rotated(20_000)
	for i := range max(1, bodies/25) {
		points := round(random, 1000)
		room := Room{Width: 100 + 200*random.Float64(), Depth: 100 + 200*random.Float64(), Height: 100 + 200*random.Float64()}
		_, scale := Best(points, room, nil)
		if best := bruteForce(random, points, room, evenly); scale < best*(1-0.001) {
			t.Errorf("body %d (seed %d): scale %.6f, brute force %.6f", i, seed, scale, best)
		}
	}
}

// The gaps between the samples: no rotation is far from all. Of 60,000 that are
// spread evenly each has 8π²/60,000 of the whole, a ball of radius
// ∛(3·8π²/(4π·60,000)) = 0.068 radians in turns.
func TestSpreadLeavesNoGaps(t *testing.T) {
	var all []Frame
	spread(rotations, func(f Frame) { all = append(all, f) })
	if got := float64(len(all)) / rotations; math.Abs(got-0.25) > 0.01 {
		t.Errorf("%.3f of the rotations are left, want a quarter", got)
	}
	random := rand.New(rand.NewPCG(seed, 2))
	for range 100 {
		f := Frame(axes).turned(r3.Vec{X: 6 * random.Float64(), Y: 6 * random.Float64(), Z: 6 * random.Float64()})
		nearest := math.Inf(1)
		for _, g := range all {
			// The turn from g to f has the trace 1 + 2cos; half turns about
			// the axes change the signs of two rows.
			x, y, z := r3.Dot(f[0], g[0]), r3.Dot(f[1], g[1]), r3.Dot(f[2], g[2])
			trace := max(x+y+z, x-y-z, y-x-z, z-x-y)
			nearest = min(nearest, math.Acos(min(1, (trace-1)/2)))
		}
		if nearest > 3*0.068 {
			t.Errorf("%v is %.3f radians from the nearest sample", f, nearest)
		}
	}
}

// Second route for a drum: a search over its axis with the circle round what
// is seen along it, by trial of many middles.
func TestDrumAgreesWithSearch(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 3))
	room := Room{Diameter: 200, Height: 180}
	for i := range 6 {
		points := body(random, i)
		_, scale := Best(points, room, nil)
		best := math.Inf(1)
		for _, n := range directions(1500) {
			need := width(points, n) / room.Height
			if need < best {
				best = min(best, max(need, 2*enclosing(points, upright(n))/room.Diameter))
			}
		}
		if scale < (1-0.002)/best || scale > 1.05/best {
			t.Errorf("body %d (seed %d): scale %.6f, search %.6f", i, seed, scale, 1/best)
		}
	}
}

// enclosing returns the radius of the circle round the points seen along f's
// upright line, to half a percent: a middle drawn ever less strongly to the
// farthest point (M. Bădoiu, K. Clarkson, SODA 2003).
func enclosing(points []r3.Vec, f Frame) float64 {
	var x, y float64
	best := math.Inf(1)
	for k := range 200 {
		most := 0.0
		var far r3.Vec
		for _, p := range points {
			q := f.Of(p)
			if d := math.Hypot(q.X-x, q.Y-y); d > most {
				most, far = d, q
			}
		}
		best = min(best, most)
		x += (far.X - x) / float64(k+2)
		y += (far.Y - y) / float64(k+2)
	}
	return best
}

func BenchmarkBest(b *testing.B) {
	var points []r3.Vec
	for _, n := range directions(2000) {
		points = append(points, r3.Vec{X: 70 * n.X, Y: 90 * n.Y, Z: 200 * n.Z}, r3.Vec{X: -60 * n.X, Y: -90 * n.Y, Z: -200 * n.Z})
	}
	b.Run("box", func(b *testing.B) {
		for b.Loop() {
			Best(points, Room{Width: 220, Depth: 220, Height: 250}, nil)
		}
	})
	b.Run("drum", func(b *testing.B) {
		for b.Loop() {
			Best(points, Room{Diameter: 220, Height: 250}, nil)
		}
	})
}

// The samples are those that looking at every rotation with all corners and
// sorting them gives.
func TestSamplesAreThoseOfTheWholeList(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 8))
	for k, room := range []Room{cube(100), {Width: 200, Depth: 150, Height: 300}, {Diameter: 180, Height: 250}, {Width: 100, Depth: 100, Height: 400}} {
		for _, points := range [][]r3.Vec{round(random, 300), body(random, k), box(30, 40, 50), rod(100, 20, 64)} {
			c := newClimber(points, room.walls())
			var all []try
			for _, f := range looks(c.walls) {
				all = append(all, try{frame: f, need: c.walls.atLeast(c.corners, f)})
			}
			slices.SortStableFunc(all, func(a, b try) int { return cmp.Compare(a.need, b.need) })
			var want []try
			for _, a := range all {
				if len(want) < firstTries && !slices.ContainsFunc(want, func(o try) bool { return near(o.frame, a.frame, c.walls) }) {
					want = append(want, a)
				}
			}
			if got := samples(c); !slices.Equal(got, want) {
				t.Errorf("room %d, %d corners (seed %d): other samples", k, len(points), seed)
			}
		}
	}
}

// Shaking with some corners looked at first ends where shaking with all does.
func TestShakingByOuterCornersIsShaking(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 9))
	for i, room := range []Room{cube(100), {Width: 200, Depth: 150, Height: 300}, {Width: 90, Depth: 100, Height: 400}} {
		for range 2 {
			c := newClimber(round(random, 1500), room.walls())
			f := Frame(axes).turned(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
			need, _ := c.need(f)
			c.outer = c.corners
			want := c.shake(try{frame: f, need: need})
			if c.outer = core(c.corners, coreLooks); len(c.outer) == len(c.corners) {
				t.Fatal("all corners are outer ones: nothing is compared")
			}
			if got := c.shake(try{frame: f, need: need}); got != want {
				t.Errorf("room %d (seed %d): needs %.12f, want %.12f", i, seed, got.need, want.need)
			}
		}
	}
}

// Ends and widths along three axes at once are those along each.
func TestOutermostAlongTheAxes(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 77))
	frames := evenly()
	for n := 1; n < 200; n++ {
		points := make([]r3.Vec, n)
		for i := range points { // few places, so that some are equal
			points[i] = r3.Vec{X: float64(random.IntN(9)), Y: float64(random.IntN(9)) - 4, Z: -float64(random.IntN(9))}
		}
		first, last := outermost(points)
		for k, axis := range axes {
			low, high := ends(points, axis)
			require.Equal(t, [2]int{low, high}, [2]int{first[k], last[k]})
		}
		f := frames[random.IntN(len(frames))]
		require.Equal(t, r3.Vec{X: width(points, f[0]), Y: width(points, f[1]), Z: width(points, f[2])}, extent(points, f))
	}
}
