package void

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// arc returns the walls of a circular arc about c in n straight pieces, its
// corners on the circle, from one angle to another in degrees.
func arc(c r2.Vec, radius, from, to float64, n int) []Wall {
	at := func(i int) r2.Vec {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		return r2.Add(c, r2.Vec{X: radius * cos, Y: radius * sin})
	}
	var out []Wall
	for i := range n {
		out = append(out, Wall{at(i), at(i + 1)})
	}
	return out
}

// ring returns the walls of a closed shell.
func ring(c r2.Vec, radius, thickness float64, n int) []Wall {
	return append(arc(c, radius, 0, 360, n), arc(c, radius+thickness, 0, 360, n)...)
}

// loop returns the walls round corners.
func loop(corners ...r2.Vec) []Wall {
	var out []Wall
	for i, p := range corners {
		out = append(out, Wall{p, corners[(i+1)%len(corners)]})
	}
	return out
}

// shellArc returns the outline of an open shell: two arcs and flat rims.
func shellArc(radius, thickness, from, to float64, n int) []Wall {
	in, out := arc(r2.Vec{}, radius, from, to, n), arc(r2.Vec{}, radius+thickness, from, to, n)
	all := append(in, out...)
	return append(all, Wall{in[0][0], out[0][0]}, Wall{in[n-1][1], out[n-1][1]})
}

// polygon returns the girth of a regular n-gon in a circle.
func polygon(radius float64, n int) float64 {
	return 2 * float64(n) * radius * math.Sin(math.Pi/float64(n))
}

// near fails the test unless got is within the relative tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// exact is what rounding to the whole-numbered plane may cost.
const exact = 1e-5

// around turns the walls by an angle first, so that nothing lies along an axis.
func around(t *testing.T, walls []Wall, at r2.Vec, bridge float64) Void {
	t.Helper()
	const turn = 0.3
	var turned []Wall
	for _, w := range walls {
		turned = append(turned, Wall{r2.Rotate(w[0], turn, r2.Vec{}), r2.Rotate(w[1], turn, r2.Vec{})})
	}
	var f Finder
	v, ok := f.Around(turned, r2.Rotate(at, turn, r2.Vec{}), bridge)
	if !ok {
		t.Fatal("no void found")
	}
	return v
}

func TestRing(t *testing.T) {
	for _, at := range []r2.Vec{{}, {X: 20, Y: 10}, {X: -39.5}} {
		v := around(t, ring(r2.Vec{}, 40, 3, 128), at, 2)
		near(t, "girth", v.Girth, polygon(40, 128), exact)
		near(t, "area", v.Area(), 64*1600*math.Sin(2*math.Pi/128), exact)
		if v.Gap != 0 || v.Bridged != 0 {
			t.Errorf("gap %g and bridged %g of a closed ring", v.Gap, v.Bridged)
		}
	}
}

func TestSingleSheetAndSecondSkin(t *testing.T) {
	sheet := arc(r2.Vec{}, 40, 0, 360, 128)
	near(t, "sheet", around(t, sheet, r2.Vec{X: 5}, 2).Girth, polygon(40, 128), exact)
	// A second skin that lies 0.01 mm off and crosses the first at every step.
	skin := arc(r2.Vec{X: 0.003}, 40.002, 1.4, 361.4, 128)
	near(t, "second skin", around(t, append(sheet, skin...), r2.Vec{X: 5}, 2).Girth, polygon(40, 128), 1e-3)
}

func TestOverlappingRings(t *testing.T) {
	// Two circles of radius 40 whose middles are 40 apart, as sheets: seen from
	// between, the lens of two arcs of 120°; seen from one side, a crescent of
	// 240° outside and 120° inside.
	walls := append(arc(r2.Vec{X: -20}, 40, 0, 360, 720), arc(r2.Vec{X: 20}, 40, 0, 360, 720)...)
	near(t, "lens", around(t, walls, r2.Vec{}, 2).Girth, 2*40*2*math.Pi/3, 1e-4)
	near(t, "crescent", around(t, walls, r2.Vec{X: 40}, 2).Girth, 40*2*math.Pi, 1e-4)
}

func TestNicksAndJunkAndFlaps(t *testing.T) {
	walls := ring(r2.Vec{}, 40, 3, 128)
	walls = append(walls, loop(r2.Vec{X: 10}, r2.Vec{X: 20}, r2.Vec{X: 15, Y: 8})...) // junk that floats in the void
	walls = append(walls, Wall{r2.Vec{X: 0, Y: 39.9881}, r2.Vec{X: 0, Y: 25}})        // a flap of sheet on the wall
	walls = append(walls, Wall{r2.Vec{X: -30, Y: -3}, r2.Vec{X: -30, Y: 3}})          // a loose sliver
	near(t, "girth", around(t, walls, r2.Vec{}, 2).Girth, polygon(40, 128), exact)
	// A block that stands into the void without being merged: the loop goes
	// round it, 4 in, 6 along and 4 out, instead of 6 along the wall.
	square := loop(r2.Vec{X: -30, Y: -30}, r2.Vec{X: 30, Y: -30}, r2.Vec{X: 30, Y: 30}, r2.Vec{X: -30, Y: 30})
	block := loop(r2.Vec{X: 26, Y: -3}, r2.Vec{X: 34, Y: -3}, r2.Vec{X: 34, Y: 3}, r2.Vec{X: 26, Y: 3})
	near(t, "block", around(t, append(square, block...), r2.Vec{}, 2).Girth, 240+8, exact)
}

func TestMissingPieces(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for range 20 {
		var walls []Wall
		for _, w := range ring(r2.Vec{}, 40, 3, 256) { // pieces of 1 mm
			if rng.IntN(50) > 0 {
				walls = append(walls, w)
			}
		}
		v := around(t, walls, r2.Vec{X: 3, Y: 4}, 2.5)
		near(t, "girth", v.Girth, polygon(40, 256), 1e-3)
		if v.Gap != 0 {
			t.Errorf("gap %g, want it bridged", v.Gap)
		}
	}
}

func TestMissingPieceBesideBlocks(t *testing.T) {
	// A piece of the inner skin is missing between two blocks in the wall that
	// have a side each in common with its neighbours: no end is free.
	in := arc(r2.Vec{}, 40, 0, 360, 128)
	walls := append(arc(r2.Vec{}, 43, 0, 360, 128), append(in[:60:60], in[61:]...)...)
	for _, side := range []Wall{in[59], in[61]} {
		out := func(p r2.Vec) r2.Vec { return r2.Scale(42./40, p) }
		walls = append(walls, loop(side[0], side[1], out(side[1]), out(side[0]))...)
	}
	near(t, "girth", around(t, walls, r2.Vec{X: 3}, 4).Girth, polygon(40, 128), exact)
	// Two skins over the same hole.
	walls = append(arc(r2.Vec{}, 43, 0, 360, 128), append(in[:60:60], in[61:]...)...)
	skin := arc(r2.Vec{}, 39.99, 0, 360, 128)
	walls = append(walls, append(skin[:60:60], skin[61:]...)...)
	near(t, "girth within two skins", around(t, walls, r2.Vec{X: 3}, 4).Girth, polygon(39.99, 128), 1e-4)
}

func TestSoupOfDirectedPiecesInAnyOrder(t *testing.T) {
	walls := ring(r2.Vec{}, 40, 3, 200)
	rng := rand.New(rand.NewPCG(1, 1))
	rng.Shuffle(len(walls), func(i, j int) { walls[i], walls[j] = walls[j], walls[i] })
	for i, w := range walls {
		if rng.IntN(2) == 0 {
			walls[i] = Wall{w[1], w[0]}
		}
	}
	near(t, "girth", around(t, walls, r2.Vec{}, 2).Girth, polygon(40, 200), exact)
}

func TestGutter(t *testing.T) {
	for _, arc := range []float64{340, 300, 240, 200, 180} {
		walls := shellArc(70, 3, -arc/2, arc/2, 240)
		beta := (360 - arc) / 2 * math.Pi / 180
		// The middle of the circle, and places nearer to the wall.
		for _, at := range []r2.Vec{{X: 1}, {X: 30}, {X: 20, Y: 15}} {
			v := around(t, walls, at, 3)
			near(t, "girth", v.Girth, 70*arc*math.Pi/180, 1e-4)
			near(t, "gap", v.Gap, 2*70*math.Sin(beta), 1e-4)
			if v.Sealed {
				t.Error("an open gutter needs no more than a straight view")
			}
		}
		l := around(t, walls, r2.Vec{X: 1}, 3)
		if arc > 180 {
			turned := r2.Rotate(r2.Vec{X: 1e-3}, 0.3, r2.Vec{})
			if got := l.From(turned).Cover; math.Abs(got-arc) > 0.6 {
				t.Errorf("cover %g, want %g", got, arc)
			}
		}
	}
}

func TestSingleSheetGutter(t *testing.T) {
	v := around(t, arc(r2.Vec{}, 70, -120, 120, 240), r2.Vec{X: 5}, 3)
	near(t, "girth", v.Girth, 70*4*math.Pi/3, 1e-4)
	near(t, "gap", v.Gap, 2*70*math.Sin(math.Pi/3), 1e-4)
}

func TestTwoHalves(t *testing.T) {
	// A front and a back half with gaps of 10° between them.
	walls := append(shellArc(70, 3, 5, 175, 170), shellArc(70, 3, 185, 355, 170)...)
	v := around(t, walls, r2.Vec{}, 3)
	near(t, "girth", v.Girth, 70*340*math.Pi/180, 1e-4)
	near(t, "gap", v.Gap, 2*2*70*math.Sin(5*math.Pi/180), 1e-4)
}

func TestOverlappingCuff(t *testing.T) {
	// A strip that goes round once and a sixth, spiralling from radius 50 out to
	// 57: no straight view leads out, the void leaks between the laps.
	var walls []Wall
	spiral := func(i int) r2.Vec {
		s := float64(i) / 420
		sin, cos := math.Sincos(s * 420 * math.Pi / 180)
		return r2.Vec{X: (50 + 7*s) * cos, Y: (50 + 7*s) * sin}
	}
	for i := range 420 {
		walls = append(walls, Wall{spiral(i), spiral(i + 1)})
	}
	v := around(t, walls, r2.Vec{}, 3)
	if !v.Sealed {
		t.Error("a leak round a corner must be said")
	}
	// One lap and the step of 6 mm from the inner end to the lap behind it.
	near(t, "girth", v.Girth, 2*math.Pi*53, 5e-3)
	near(t, "gap", v.Gap, 6, 5e-2)
}

func TestNothingAround(t *testing.T) {
	var f Finder
	for name, walls := range map[string][]Wall{
		"nothing":  nil,
		"a plate":  loop(r2.Vec{X: 50, Y: -20}, r2.Vec{X: 53, Y: -20}, r2.Vec{X: 53, Y: 20}, r2.Vec{X: 50, Y: 20}),
		"a point":  {{r2.Vec{X: 3}, r2.Vec{X: 3}}},
		"far away": ring(r2.Vec{X: 1000}, 40, 3, 64),
	} {
		if v, ok := f.Around(walls, r2.Vec{}, 2); ok {
			t.Errorf("%s: found a void of girth %g", name, v.Girth)
		}
	}
}

func TestLookFindsTheMiddle(t *testing.T) {
	at := r2.Vec{X: 20, Y: 10}
	v := around(t, ring(r2.Vec{}, 40, 3, 128), at, 2)
	p := r2.Rotate(at, 0.3, r2.Vec{})
	for range 12 {
		p = v.From(p).Center
	}
	if d := r2.Norm(p); d > 0.1 {
		t.Errorf("%.3g mm off the middle of a ring", d)
	}
}

// BenchmarkRing looks round in a ring: of two loops, or of walls that belong to
// none.
func BenchmarkRing(b *testing.B) {
	pieces := ring(r2.Vec{}, 40, 3, 800)
	loops := ring(r2.Vec{}, 40, 3, 800)
	loops[799][1], loops[1599][1] = loops[0][0], loops[800][0]
	for name, walls := range map[string][]Wall{"loops": loops, "pieces": pieces} {
		b.Run(name, func(b *testing.B) {
			var f Finder
			for b.Loop() {
				if _, ok := f.Around(walls, r2.Vec{X: 3}, 2); !ok {
					b.Fatal("no void")
				}
			}
		})
	}
}

// What the rows of a void tell of points is what the whole outline tells, for
// outlines of any kind and points on, beside and far from their corners.
func TestRowsHoldWhatTheOutlineHolds(t *testing.T) {
	random := rand.New(rand.NewPCG(20261128, 7))
	held, near := 0, 0
	for range 300 {
		v := Void{}
		for range random.IntN(60) {
			p := r2.Vec{X: 100 * random.NormFloat64(), Y: 100 * random.NormFloat64()}
			if random.IntN(3) == 0 { // level sides, and corners on each other
				p.Y = math.Round(p.Y / 50)
			}
			v.Outline = append(v.Outline, p)
		}
		quick := v.rows()
		for range 200 {
			p := r2.Vec{X: 120 * random.NormFloat64(), Y: 120 * random.NormFloat64()}
			if n := len(v.Outline); n > 0 && random.IntN(2) == 0 {
				p.Y = v.Outline[random.IntN(n)].Y
			}
			want := v.Holds(p)
			if got := quick.holds(p); got != want {
				t.Fatalf("%v in %v: got %v, want %v", p, v.Outline, got, want)
			}
			if want {
				held++
			}
			clearance := v.Clearance(p)
			for _, reach := range []float64{clearance, math.Nextafter(clearance, 0), 8 * unit, 0, 1, 50, 1000} {
				touches := clearance <= reach
				if got := quick.touches(p, reach); got != touches && len(v.Outline) > 0 {
					t.Fatalf("%v, %g mm from %v: touches within %g is %v", p, clearance, v.Outline, reach, got)
				}
				if touches {
					near++
				}
			}
		}
	}
	if held < 1000 || near < 1000 {
		t.Errorf("only %d points lay inside and %d near: the test shows nothing", held, near)
	}
}

// Sorted by digits is sorted: by the whole number, or stably by the upper half.
func TestByDigits(t *testing.T) {
	random := rand.New(rand.NewPCG(20261128, 8))
	var spare []uint64
	for range 300 {
		numbers := make([]uint64, random.IntN(2000))
		size := int32(1) << random.IntN(31)
		at := spot{int32(random.Uint32()) / 2, int32(random.Uint32()) / 2}
		for i := range numbers {
			numbers[i] = spot{at.x + random.Int32N(size)/2, at.y + random.Int32N(size)/2}.key()
		}
		whole, stable := slices.Clone(numbers), slices.Clone(numbers)
		slices.Sort(whole)
		slices.SortStableFunc(stable, func(a, b uint64) int { return cmp.Compare(a>>32, b>>32) })
		var got []uint64
		if got, spare = byDigits(slices.Clone(numbers), spare, 0); !slices.Equal(got, whole) {
			t.Fatalf("%d numbers from %v, %d wide: not sorted", len(numbers), at, size)
		}
		if got, spare = byDigits(slices.Clone(numbers), spare, 32); !slices.Equal(got, stable) {
			t.Fatalf("%d numbers from %v, %d wide: not sorted stably by their upper halves", len(numbers), at, size)
		}
	}
}

// Sides keep the outline within a tolerance, be it more or less than 1 mm, with fewer corners the
// more it is.
func TestSidesKeepTheOutlineWithin(t *testing.T) {
	var walls []Wall
	corners := 720
	at := func(k int) r2.Vec {
		sin, cos := math.Sincos(2 * math.Pi * float64(k%corners) / float64(corners))
		r := 60 + 3*math.Sin(14*math.Pi*float64(k%corners)/float64(corners))
		return r2.Vec{X: r * cos, Y: r * sin}
	}
	for k := range corners {
		walls = append(walls, Wall{at(k), at(k + 1)})
	}
	v, ok := (&Finder{}).Around(walls, r2.Vec{}, 0)
	require.True(t, ok)
	last := len(v.Outline)
	for _, tolerance := range []float64{0.003, 0.05, 0.4, 1.7} {
		sides := v.Sides(tolerance)
		far := 0.0
		for _, p := range v.Outline {
			least := math.Inf(1)
			for _, s := range sides {
				least = min(least, math.Sqrt(r2.Norm2(r2.Sub(p, onPiece(p, s[0], s[1])))))
			}
			far = max(far, least)
		}
		require.LessOrEqual(t, far, tolerance)
		require.Greater(t, far, tolerance/4)
		require.Less(t, len(sides), last)
		last = len(sides)
	}
}

// Of the zero Void, which is none, nothing is seen.
func TestNoVoidShowsNothing(t *testing.T) {
	require.Zero(t, (&Void{}).From(r2.Vec{X: 1}).Cover)
	require.Zero(t, (&Void{Gap: 1}).Cover(r2.Vec{X: 1}))
}
