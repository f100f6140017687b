package room

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

const seed = 20261125

// ring joins points to a closed wall.
func ring(points []r2.Vec) []Wall {
	walls := make([]Wall, len(points))
	for i, p := range points {
		walls[i] = Wall{p, points[(i+1)%len(points)]}
	}
	return walls
}

func ellipse(a, b float64, n int) []r2.Vec {
	points := make([]r2.Vec, n)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		points[i] = r2.Vec{X: a * cos, Y: b * sin}
	}
	return points
}

func regular(n int, apothem float64) []r2.Vec {
	return ellipse(apothem/math.Cos(math.Pi/float64(n)), apothem/math.Cos(math.Pi/float64(n)), n)
}

func rectangle(w, h float64) []r2.Vec {
	return []r2.Vec{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
}

func stadium(straight, radius float64, n int) []r2.Vec {
	var points []r2.Vec
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(-math.Pi/2 + math.Pi*float64(i)/float64(n))
		points = append(points, r2.Vec{X: straight/2 + radius*cos, Y: radius * sin})
	}
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(math.Pi/2 + math.Pi*float64(i)/float64(n))
		points = append(points, r2.Vec{X: -straight/2 + radius*cos, Y: radius * sin})
	}
	return points
}

func turned(points []r2.Vec, angle float64, shift r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(points))
	for i, p := range points {
		out[i] = r2.Add(shift, r2.Rotate(p, angle, r2.Vec{}))
	}
	return out
}

// perimeters of ellipses with a = 1: 4·E(1 − b²), computed with 30 digits
// (DLMF 19.30.5).
func TestGirthOfEllipse(t *testing.T) {
	for _, c := range []struct{ b, want float64 }{
		{1, 2 * math.Pi}, {0.9, 5.973160432524829}, {0.75, 5.525873040177376}, {0.5, 4.844224110273838}, {0.1, 4.063974180100896},
	} {
		if got := Girth(2*c.b, 2); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("b %g: girth %.15f, want %.15f", c.b, got, c.want)
		}
	}
}

// Known answers, each turned and moved, and climbed to from off the middle.
//   - an ellipse within the aspect range is its own capacity; a slimmer one
//     holds the 1:2 ellipse of its width;
//   - rectangle: an ellipse that touches all four sides has a² + b² =
//     (w² + h²)/4, and of these the one along the sides is the roundest; a
//     rectangle longer than 1:2 holds the 1:2 ellipse of its height;
//   - regular polygon of four or more sides: its inner circle;
//   - stadium of half-length s + r: the ellipse of half-axes s + r and r, while
//     that is not slimmer than 1:2.
func TestLargestOnKnownVoids(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []r2.Vec
		want   float64
	}{
		{"circle", ellipse(50, 50, 512), Girth(100, 100)},
		{"ellipse 1:0.98", ellipse(50, 49, 512), Girth(100, 98)},
		{"ellipse 1:0.94", ellipse(50, 47, 512), Girth(100, 94)},
		{"ellipse 1:0.8", ellipse(60, 48, 512), Girth(120, 96)},
		{"ellipse 1:0.52", ellipse(60, 31.2, 512), Girth(120, 62.4)},
		{"ellipse 1:0.3", ellipse(100, 30, 512), Girth(120, 60)},
		{"square", rectangle(80, 80), Girth(80, 80)},
		{"rectangle 1:0.7", rectangle(100, 70), Girth(100, 70)},
		{"rectangle 1:0.4", rectangle(200, 80), Girth(160, 80)},
		{"pentagon", regular(5, 40), Girth(80, 80)},
		{"hexagon", regular(6, 40), Girth(80, 80)},
		{"octagon", regular(8, 40), Girth(80, 80)},
		{"stadium", stadium(30, 50, 256), Girth(130, 100)},
		{"long stadium", stadium(300, 50, 256), Girth(200, 100)},
	} {
		for _, turn := range []float64{0, 0.37, 1.1, 2.9} {
			shift := r2.Vec{X: 130, Y: -45}
			start := r2.Add(shift, r2.Vec{X: 9, Y: -7})
			got, ok := Largest(ring(turned(c.points, turn, shift)), []r2.Vec{start}, Any)
			if !ok || math.Abs(got.Girth/c.want-1) > 0.002 {
				t.Errorf("%s turned %g: girth %.3f (%.2f × %.2f), want %.3f", c.name, turn, got.Girth, got.Major, got.Minor, c.want)
			}
		}
	}
}

// Second route: a dense search over centre, aspect and turn.
func TestLargestAgreesWithBruteForce(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 1))
	worst := 0.0
	for i := range 12 {
		points := star(random, 24+random.IntN(40))
		walls := ring(points)
		got, _ := Largest(walls, inside(points, 3), Any)
		want := brute(points, walls)
		worst = max(worst, 1-got.Girth/want)
		if got.Girth < want*(1-0.005) {
			t.Errorf("star %d (seed %d): girth %.3f, brute force %.3f", i, seed, got.Girth, want)
		}
		if clear := clearance(got, walls); clear < 1-1e-6 {
			t.Errorf("star %d (seed %d): the ellipse meets a wall: %.6f", i, seed, clear)
		}
	}
	t.Logf("worst shortfall against brute force %.4f %%", 100*worst)
}

// A gutter of more than half a turn holds its own circle: a gap is no
// obstacle, but nor does it help a circle that the wall holds. The ellipse may
// lean out of the gap, so the capacity is at least the circle's. A gutter of
// less than half a turn holds nothing.
func TestGutters(t *testing.T) {
	circle := [2]float64{1, 1}
	for _, degrees := range []float64{359, 300, 240, 190} {
		got, ok := Largest(arc(degrees, 180), []r2.Vec{{X: 5, Y: -10}}, circle)
		if !ok || math.Abs(got.Girth/Girth(100, 100)-1) > 1e-3 {
			t.Errorf("%g°: circle of girth %.3f, want %.3f", degrees, got.Girth, Girth(100, 100))
		}
		any, ok := Largest(arc(degrees, 180), []r2.Vec{{X: 5, Y: -10}}, Any)
		if !ok || any.Girth < got.Girth*(1-1e-6) {
			t.Errorf("%g°: ellipse of girth %.3f is less than the circle's %.3f", degrees, any.Girth, got.Girth)
		}
	}
	for _, degrees := range []float64{170, 120, 40} {
		if got, ok := Largest(arc(degrees, 180), []r2.Vec{{X: 0, Y: -10}}, Any); ok {
			t.Errorf("%g° holds %+v, want nothing", degrees, got)
		}
	}
}

// arc returns walls of a radius of 50 mm that go round by so many degrees, open
// above.
func arc(degrees float64, pieces int) []Wall {
	var walls []Wall
	at := func(k int) r2.Vec {
		sin, cos := math.Sincos((degrees*float64(k)/float64(pieces) - degrees/2 - 90) * math.Pi / 180)
		return r2.Vec{X: 50 * cos, Y: 50 * sin}
	}
	for k := range pieces {
		walls = append(walls, Wall{at(k), at(k + 1)})
	}
	return walls
}

func TestAnswersFollowScaleTurnMirror(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 2))
	for i := range 10 {
		points := star(random, 40)
		want, _ := Largest(ring(points), []r2.Vec{{}}, Any)
		mirrored := make([]r2.Vec, len(points))
		for k, p := range points {
			mirrored[k] = r2.Vec{X: -p.X, Y: p.Y}
		}
		scaled := make([]r2.Vec, len(points))
		for k, p := range points {
			scaled[k] = r2.Scale(2.5, p)
		}
		for name, c := range map[string]struct {
			points []r2.Vec
			factor float64
		}{"mirrored": {mirrored, 1}, "scaled": {scaled, 2.5}, "turned": {turned(points, 0.7, r2.Vec{}), 1}} {
			got, _ := Largest(ring(c.points), []r2.Vec{{}}, Any)
			if math.Abs(got.Girth/want.Girth/c.factor-1) > 0.003 {
				t.Errorf("star %d (seed %d) %s: %.4f, want %.4f", i, seed, name, got.Girth/c.factor, want.Girth)
			}
		}
	}
}

// Where only a limit matters the answer is that of the whole search, and below
// the limit the room itself is the same.
func TestALimitAnswersAsTheWholeSearch(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 4))
	above, below := 0, 0
	for i := range 30 {
		points := star(random, 24+random.IntN(40))
		walls, starts := ring(points), inside(points, i%3)
		if i%4 == 0 {
			walls = walls[len(walls)/5:] // a gutter
		}
		aspects := [][2]float64{Any, {0.8, 0.95}, {1, 1}}[i%3]
		want, ok := Largest(walls, starts, aspects)
		for _, share := range []float64{0.5, 0.9, 0.99, 0.9999, 1, 1.0001, 1.01, 1.2} {
			limit := share * want.Girth
			if got := Holds(walls, starts, aspects, limit); got != (ok && want.Girth >= limit) {
				t.Errorf("star %d (seed %d): holds %.4f is %v, has %.4f", i, seed, limit, got, want.Girth)
			}
			got, held := Upto(walls, starts, aspects, limit)
			switch {
			case held != ok:
				t.Errorf("star %d (seed %d): held %v, want %v", i, seed, held, ok)
			case limit > want.Girth:
				below++
				if got != want {
					t.Errorf("star %d (seed %d): %+v below the limit %.4f, want %+v", i, seed, got, limit, want)
				}
			case ok:
				above++
				if got.Girth < limit {
					t.Errorf("star %d (seed %d): %.4f, the limit is %.4f", i, seed, got.Girth, limit)
				}
			}
		}
	}
	if above < 50 || below < 50 {
		t.Errorf("%d limits below and %d above what there is: too few", above, below)
	}
}

func TestOddWalls(t *testing.T) {
	for name, walls := range map[string][]Wall{
		"none":          nil,
		"a point":       {{{X: 1}, {X: 1}}},
		"through start": {{{X: -1}, {X: 1}}},
		"two parallel":  {{{X: -9, Y: 1}, {X: 9, Y: 1}}, {{X: -9, Y: -1}, {X: 9, Y: -1}}},
	} {
		r, ok := Largest(walls, []r2.Vec{{}}, Any)
		if ok != (name == "two parallel") || math.IsNaN(r.Girth) {
			t.Errorf("%s: %+v, %v", name, r, ok)
		}
	}
}

// star returns a loop seen whole from the origin, with dents.
func star(random *rand.Rand, n int) []r2.Vec {
	points := make([]r2.Vec, n)
	phase, deep := random.Float64()*7, 0.1+0.2*random.Float64()
	lobes := float64(2 + random.IntN(4))
	for i := range points {
		angle := 2 * math.Pi * float64(i) / float64(n)
		r := 50 * (1 + deep*math.Sin(lobes*angle+phase) + 0.08*random.Float64())
		sin, cos := math.Sincos(angle)
		points[i] = r2.Vec{X: r * cos, Y: 0.8 * r * sin}
	}
	return points
}

func inside(points []r2.Vec, n int) []r2.Vec {
	starts := []r2.Vec{{}}
	for i := range n {
		starts = append(starts, r2.Scale(0.5, points[i*len(points)/n]))
	}
	return starts
}

// clearance returns the least value of the ellipse's quadratic form on the
// walls: 1 where it touches.
func clearance(r Room, walls []Wall) float64 {
	sin, cos := math.Sincos(r.Turn)
	unit := func(p r2.Vec) r2.Vec {
		p = r2.Sub(p, r.Centre)
		return r2.Vec{X: (p.X*cos + p.Y*sin) * 2 / r.Major, Y: (p.Y*cos - p.X*sin) * 2 / r.Minor}
	}
	least := math.Inf(1)
	for _, w := range walls {
		wall := sideOf(unit(w[0]), unit(w[1]))
		least = min(least, r2.Norm(wall.nearest(r2.Vec{})))
	}
	return least
}

func brute(points []r2.Vec, walls []Wall) float64 {
	best := 0.0
	for x := -27.0; x <= 27; x += 3 {
		for y := -27.0; y <= 27; y += 3 {
			for aspect := 0.5; aspect <= 1; aspect += 0.05 {
				for k := range 18 {
					r := Room{Centre: r2.Vec{X: x, Y: y}, Major: 2, Minor: 2 * aspect, Turn: float64(k) * math.Pi / 18}
					size := clearance(r, walls)
					best = max(best, size*Girth(2, 2*aspect))
				}
			}
		}
	}
	return best
}

func BenchmarkLargest(b *testing.B) {
	walls := ring(turned(ellipse(60, 48, 256), 0.3, r2.Vec{}))
	for b.Loop() {
		Largest(walls, []r2.Vec{{X: 5}}, Any)
	}
}

// A wall made ready has the same nearest point as the plain projection on it.
func TestNearestIsThePlainProjection(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 3))
	for i := range 20_000 {
		from, to, p := somewhere(random), somewhere(random), somewhere(random)
		if i%10 == 0 {
			to = from
		}
		along := r2.Sub(to, from)
		share := 0.0
		if length2 := r2.Norm2(along); length2 > 0 {
			share = min(1, max(0, r2.Dot(r2.Sub(p, from), along)/length2))
		}
		want := r2.Add(from, r2.Scale(share, along))
		wall := sideOf(from, to)
		if got := wall.nearest(p); got != want {
			t.Fatalf("from %v on %v–%v: got %v, want %v (seed %d)", p, from, to, got, want, seed)
		}
	}
}

func somewhere(random *rand.Rand) r2.Vec {
	return r2.Vec{X: 100 * random.NormFloat64(), Y: 100 * random.NormFloat64()}
}
