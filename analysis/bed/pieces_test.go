package bed

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"gambeson/analysis/bed/parting"
	"gambeson/analysis/bed/pin"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// desktop is a common printer's volume, 220 × 220 × 250 less a margin of 5.
var desktop = Volume{Width: 210, Depth: 210, Height: 250}

// parted parts m and says what is wrong with the pieces: each must be closed
// and fit, and their volumes sum to that of m.
func parted(t *testing.T, name string, m *mesh.Mesh, v Volume, want parting.Wish) parting.Pieces {
	t.Helper()
	p, err := Part(context.Background(), m, v, want)
	require.NoError(t, err, name)
	var sum float64
	for _, q := range p.Pieces {
		if c := q.Mesh.Condition(); !c.Closed {
			t.Errorf("%s: %s is open: %+v", name, q.Name, c.Defects)
		}
		b := newBody(q.Mesh)
		best := b.turned(v).Scale
		for _, l := range b.laid(v) {
			best = max(best, l.Scale)
		}
		if best < 1-slack {
			t.Errorf("%s: %s fits up to %g only", name, q.Name, best)
		}
		sum += q.Mesh.Volume() + q.Holes
	}
	if whole := m.Volume(); math.Abs(sum/whole-1) > 1e-4 {
		t.Errorf("%s: the pieces have %g mm³ in sum, the part %g", name, sum, whole)
	}
	if p.Flaws.Any() {
		t.Errorf("%s: flaws %+v", name, p.Flaws)
	}
	return p
}

// A box as large as a number of beds falls into as many pieces, and needs them:
// by its volume. However it is turned.
func TestBoxOfBeds(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x, y, z float64
		want    int
	}{{1, 1, 1, 1}, {3, 1, 1, 3}, {1, 2, 2, 4}, {2, 2, 2, 8}, {3, 3, 3, 27}} {
		m := shape.Bar{X: c.x * desktop.Width, Y: c.y * desktop.Depth, Z: c.z * desktop.Height}.Mesh()
		name := fmt.Sprintf("box of %g × %g × %g beds", c.x, c.y, c.z)
		if got := len(parted(t, name, m, desktop, parting.Wish{}).Pieces); got != c.want {
			t.Errorf("%s: %d pieces, want %d", name, got, c.want)
		}
		turned := shape.Turn(m.Scaled(1-1e-5), shape.Rotation(uint64(c.want))) // float32 moves corners
		if got := len(parted(t, name+" turned", turned, desktop, parting.Wish{}).Pieces); got != c.want {
			t.Errorf("%s turned: %d pieces, want %d", name, got, c.want)
		}
	}
}

// formula draws a part from a formula, with few facets. It stands on z = 0.
func formula(kind int, random *rand.Rand) *mesh.Mesh {
	r := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	wall := r(3, 8)
	switch kind {
	case 0:
		return shape.Taper{Sides: 32, Bottom: shape.Ellipse{A: r(30, 60), B: r(30, 60)}, Top: shape.Ellipse{A: r(50, 90), B: r(50, 90)}, Wall: wall, Height: r(200, 500)}.Mesh()
	case 1:
		return shape.Boot{Sides: 12, Rim: shape.Ellipse{A: r(60, 75), B: r(55, 80)}, Ankle: shape.Circle(r(50, 65)), Instep: shape.Circle(r(50, 64)), Ball: shape.Ellipse{A: r(35, 50), B: r(50, 65)}, Wall: wall, Shaft: r(100, 300), Bend: r(85, 100), Foot: r(100, 200), Toe: r(20, 40)}.Mesh()
	case 2:
		return shape.Hips{Sides: 24, Waist: shape.Ellipse{A: r(140, 160), B: r(100, 115)}, Seat: shape.Ellipse{A: 190, B: r(120, 140)}, Leg: shape.Ellipse{A: 80, B: r(75, 90)}, Wall: r(3, 5), Height: r(280, 350), Band: 20, SeatZ: 150, Drop: 40, Legs: 60, Apart: 100}.Mesh()
	case 3:
		return shape.Helm{Sides: 24, Neck: shape.Ellipse{A: r(70, 80), B: r(80, 90)}, Skull: shape.Ellipse{A: r(90, 100), B: r(105, 120)}, Wall: wall, NeckRise: 20, Widen: 50, Rise: r(90, 130), Dome: r(80, 110), SlotZ: 100, SlotDepth: 20, SlotSides: 6}.Mesh()
	case 4:
		return shape.Torso{Sides: 64, Waist: shape.Ellipse{A: r(140, 160), B: r(100, 115)}, Chest: shape.Ellipse{A: 180, B: r(120, 140)}, Neck: shape.Ellipse{A: 70, B: 70}, Arm: shape.Ellipse{A: 65, B: 75}, Wall: 4, Band: 20, ChestZ: 250, NeckZ: 420, Height: 450, ArmX: 230, ArmZ: 300, Sleeve: 30}.Mesh()
	}
	return shape.Plate{Sides: 16, Width: r(150, 300), Height: r(200, 500), Wall: wall, Bend: r(100, 300)}.Mesh()
}

// stretches is how many stretches of room a length needs.
func stretches(long, room float64) int { return int(math.Ceil(long/room - 1e-9)) }

// cellsOnBed is how many cells of a straight grid a rectangle needs on the bed.
func cellsOnBed(a, b float64, v Volume) int {
	return min(stretches(a, v.Width)*stretches(b, v.Depth), stretches(a, v.Depth)*stretches(b, v.Width))
}

// straightGrid is how many cells a straight grid along the axes has that parts a
// box into boxes that fit the volume as they lie.
func straightGrid(size r3.Vec, v Volume) int {
	return cellsOnBed(size.X, size.Y, v) * stretches(size.Z, v.Height)
}

// stoodGrid is the same where cells may be stood on a side that was cut as well.
func stoodGrid(size r3.Vec, v Volume) int {
	best := straightGrid(size, v)
	if high := stretches(size.X, v.Height); high > 1 {
		best = min(best, high*cellsOnBed(size.Y, size.Z, v))
	}
	if high := stretches(size.Y, v.Height); high > 1 {
		best = min(best, high*cellsOnBed(size.X, size.Z, v))
	}
	return best
}

// Sixty parts up to three times as large as the volume, half of them turned
// anyhow. None makes more than one piece above the straight grid with the fewest
// cells: along the axes of its file or, where it was turned, along those that it
// had before, which the grid of a person would follow; its cells lying as in the
// file or stood on their cuts, whichever are fewer.
func TestSixtyParts(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(20261128, 60))
	var fewer, pieces atomic.Int32
	t.Run("all", func(t *testing.T) {
		for i := range 60 {
			m := formula(i%6, random)
			if i%every != 0 {
				continue
			}
			size := m.Bounds().Size()
			longest := max(size.X/desktop.Width, size.Y/desktop.Depth, size.Z/desktop.Height)
			beds := 1 + 2*math.Pow(float64(i/6)/9, 2) // one to three, of each kind
			m = m.Scaled(beds / longest)
			grid := stoodGrid(m.Bounds().Size(), desktop)
			if i/6%2 == 1 {
				m = shape.Turn(m, shape.Rotation(uint64(i)))
				grid = min(grid, stoodGrid(m.Bounds().Size(), desktop))
			}
			t.Run(fmt.Sprintf("seed 20261128 part %d", i), func(t *testing.T) {
				t.Parallel()
				got := len(parted(t, "part", m, desktop, parting.Wish{}).Pieces)
				if got > grid+1 {
					t.Errorf("%d pieces, want at most one above the %d of a straight grid", got, grid)
				}
				if got < grid {
					fewer.Add(1)
				}
				pieces.Add(int32(got))
			})
		}
	})
	parts := 1 + 59/every
	t.Logf("%d of %d parts in fewer pieces than the grid, %d pieces in all", fewer.Load(), parts, pieces.Load())
	if !underRace && int(fewer.Load()) < parts/3 {
		t.Errorf("only %d of %d parts fall into fewer pieces than a grid makes", fewer.Load(), parts)
	}
}

// Hips make fewer cells if those are stood on their cuts, but such cuts through
// thin walls are nothing to stand on. They make no more pieces than the grid
// whose cells lie as in the file.
func TestNoMoreThanTheGridOfTheFile(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	random := rand.New(rand.NewPCG(102, 61))
	for i := range 2 {
		m := formula(2, random)
		m = m.Scaled(desktop.Width * 2.3 / m.Bounds().Size().X)
		got, grid := len(parted(t, fmt.Sprint(i), m, desktop, parting.Wish{}).Pieces), straightGrid(m.Bounds().Size(), desktop)
		if got > grid {
			t.Errorf("hips %d: %d pieces, a straight grid makes %d", i, got, grid)
		}
		if stood := stoodGrid(m.Bounds().Size(), desktop); stood >= grid {
			t.Errorf("hips %d: stood cells are %d, no fewer than %d: nothing is shown", i, stood, grid)
		}
	}
}

// How a part lies in its file changes nothing about how many pieces it makes;
// but one that has no faces to be laid on may stand in its file as it could not
// otherwise.
func TestPiecesOfTurnedParts(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	for name, m := range map[string]*mesh.Mesh{
		"tube":  shape.Tube{Sides: 48, Radius: 60, Wall: 4, Height: 700}.Mesh(),
		"plate": shape.Plate{Width: 300, Height: 500, Wall: 4, Bend: 250}.Mesh(),
		"hips":  formula(2, rand.New(rand.NewPCG(1, 1))),
	} {
		want := len(parted(t, name, m, desktop, parting.Wish{}).Pieces)
		for seed := range uint64(2) {
			turned := shape.Offset(shape.Turn(m, shape.Rotation(seed)), r3.Vec{X: 100, Y: -300, Z: 50})
			got := len(parted(t, name, turned, desktop, parting.Wish{}).Pieces)
			if got != want && !(name == "hips" && got == want+1) {
				t.Errorf("%s: %d pieces as it lies, %d turned (seed %d)", name, want, got, seed)
			}
		}
	}
}

// A part that is its own mirror image in x = 0 is cut so that the pieces are
// each other's, or their own.
func TestSymmetricPartsAreCutSo(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 3))
	for name, m := range map[string]*mesh.Mesh{
		"hips":  formula(2, random),
		"torso": formula(4, random),
		"plate": shape.Plate{Width: 400, Height: 240, Wall: 5, Bend: 300}.Mesh(),
		"three": shape.Bar{X: 600, Y: 60, Z: 100}.Mesh(),
	} {
		m = shape.Offset(m, r3.Vec{X: -m.Bounds().Center().X})
		if name == "torso" {
			m = m.Scaled(0.6) // at full size fewer pieces are found than can be even
		}
		p := parted(t, name, m, desktop, parting.Wish{})
		for _, q := range p.Pieces {
			twin := false
			for _, o := range p.Pieces {
				box, mirror := q.Mesh.Bounds(), o.Mesh.Bounds()
				mirror.Min.X, mirror.Max.X = -mirror.Max.X, -mirror.Min.X
				off := max(r3.Norm(r3.Sub(box.Min, mirror.Min)), r3.Norm(r3.Sub(box.Max, mirror.Max)))
				twin = twin || off < 0.5 && math.Abs(q.Mesh.Volume()/o.Mesh.Volume()-1) < 0.01
			}
			if !twin {
				t.Errorf("%s: %s of %d has no mirror image", name, q.Name, len(p.Pieces))
			}
		}
	}
}

// rings returns the places of a tube along z at these heights.
func rings(radius float64, heights ...float64) []parting.Place {
	var out []parting.Place
	for _, z := range heights {
		out = append(out, parting.Place{At: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}, Radius: radius})
	}
	return out
}

func TestSeamsKeepClear(t *testing.T) {
	t.Parallel()
	m := shape.Tube{Sides: 48, Radius: 60, Wall: 4, Height: 400}.Mesh()
	for _, c := range []struct {
		name    string
		heights []float64
		near    int
	}{
		{"nothing", nil, 0},
		{"the middle", []float64{200}, 0},
		{"all but a gap", []float64{160, 180, 200, 215, 236, 250}, 0}, // 225.0–226 is free, and below 150 no half fits
		{"all there is", []float64{145, 160, 175, 190, 205, 220, 235, 250}, 1},
	} {
		clear := append(rings(60, c.heights...),
			parting.Place{At: r3.Vec{}, Normal: r3.Vec{Z: 1}, Radius: 60, Rim: true},
			parting.Place{At: r3.Vec{Z: 400}, Normal: r3.Vec{Z: 1}, Radius: 60, Rim: true})
		p := parted(t, c.name, m, desktop, parting.Wish{Clear: clear})
		if len(p.Pieces) != 2 || p.Near != c.near {
			t.Errorf("clear of %s: %d pieces and near %d places, want 2 and %d", c.name, len(p.Pieces), p.Near, c.near)
			continue
		}
		near := 0
		for _, z := range c.heights {
			if math.Abs(z-p.Seams[0].Plane.Point.Z) < 10 {
				near++
			}
		}
		if near != c.near || math.Abs(p.Seams[0].Plane.Normal.Z) < 0.999 {
			t.Errorf("clear of %s: cut at %+v, near %d", c.name, p.Seams[0].Plane, near)
		}
	}
}

// A limb is not cut through its rims where the bed does not ask for that. If it
// must open along its length it is, unless that makes more than one piece above
// a straight grid; at any number of pieces where it was said to.
func TestHalvesAreWished(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	for _, c := range []struct {
		name                   string
		bottom, top, height    float64
		plain, halved, bounded int
		off                    float64 // mm from the axis
	}{
		{"a slim limb", 50, 70, 280, 2, 4, 2, 2},
		{"a wide one", 118, 122, 190, 3, 3, 3, 20}, // one half in two pieces
	} {
		tube := shape.Taper{Sides: 48, Bottom: shape.Circle(c.bottom), Top: shape.Circle(c.top), Wall: 4, Height: c.height}
		m := shape.Turn(tube.Mesh(), shape.Rotation(7))
		to := func(p r3.Vec) r3.Vec { return shape.Rotation(7).Rotate(p) }
		var way []section.Plane
		for _, s := range tube.Ways(20)[0].Stations {
			way = append(way, section.Plane{Point: to(s.Center), Normal: to(s.Normal)})
		}
		want := parting.Wish{Ways: [][]section.Plane{way}}
		for _, o := range tube.Openings() {
			want.Clear = append(want.Clear, parting.Place{At: to(o.Center), Normal: to(o.Facing), Radius: o.Rim.A, Rim: true})
		}
		if p := parted(t, c.name, m, desktop, want); p.Halved || len(p.Pieces) != c.plain || p.Otherwise != 0 {
			t.Errorf("%s not to be opened: %d pieces, near %d, %+v", c.name, len(p.Pieces), p.Near, p.Seams)
		}
		want.Halves = true
		p := parted(t, c.name, m, desktop, want)
		if len(p.Pieces) != c.bounded || p.Halved != (c.halved == c.bounded) || len(p.Pieces)+p.Otherwise != c.plain+c.halved {
			t.Errorf("%s to be opened: %d pieces or %d, halved: %v", c.name, len(p.Pieces), p.Otherwise, p.Halved)
		}
		want.Anyhow = true
		p = parted(t, c.name, m, desktop, want)
		if !p.Halved || len(p.Pieces) != c.halved || p.Otherwise != c.plain || p.Near != 0 {
			t.Errorf("%s to be opened anyhow: %d pieces or %d, halved: %v, near %d", c.name, len(p.Pieces), p.Otherwise, p.Halved, p.Near)
			continue
		}
		first := p.Seams[0].Plane
		off := math.Abs(r3.Dot(r3.Unit(first.Normal), r3.Sub(to(r3.Vec{Z: c.height / 2}), first.Point)))
		if math.Abs(r3.Dot(first.Normal, to(r3.Vec{Z: 1}))) > 0.02 || off > c.off {
			t.Errorf("%s is not halved along its middle: %+v", c.name, first)
		}
	}
}

// A boot has stations all along its bent way; no seam comes within 10 mm of
// those that matter, where it goes round the limb there.
func TestSeamsOfABootKeepClear(t *testing.T) {
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
	t.Parallel()
	boot := shape.Boot{Sides: 24, Rim: shape.Ellipse{A: 70, B: 80}, Ankle: shape.Circle(65), Instep: shape.Circle(64), Ball: shape.Ellipse{A: 50, B: 65}, Wall: 4, Shaft: 250, Bend: 80, Foot: 150, Toe: 30}
	rotation := shape.Rotation(11)
	var want parting.Wish
	var way []section.Plane
	stations := boot.Ways(10)[0].Stations
	for i, s := range stations {
		way = append(way, section.Plane{Point: rotation.Rotate(s.Center), Normal: rotation.Rotate(s.Normal)})
		if i%4 == 2 {
			want.Clear = append(want.Clear, parting.Place{At: way[i].Point, Normal: way[i].Normal, Radius: max(s.Loop.A, s.Loop.B)})
		}
	}
	want.Ways = [][]section.Plane{way}
	m := shape.Turn(boot.Mesh(), rotation)
	p := parted(t, "boot", m, desktop, want)
	if len(p.Pieces) > 4 || p.Near != 0 {
		t.Errorf("%d pieces, near %d places", len(p.Pieces), p.Near)
	}
	for i, s := range p.Seams {
		for k, c := range want.Clear {
			if math.Abs(r3.Dot(s.Plane.Normal, c.Normal)) < 0.71 {
				continue
			}
			// Round the loop of the station, the way a tape lies.
			u, v := section.Plane{Normal: c.Normal}.Axes()
			for turn := range 72 {
				sin, cos := math.Sincos(float64(turn) * math.Pi / 36)
				at := r3.Add(c.At, r3.Scale(c.Radius, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
				if d := math.Abs(r3.Dot(s.Plane.Normal, r3.Sub(at, s.Plane.Point))); d < 9.99 {
					t.Errorf("seam %d is %.2f mm from station %d", i, d, k)
					break
				}
			}
		}
	}
}

// On a round bed the rule for boxes is that the diagonal counts.
func TestPiecesOnRoundBed(t *testing.T) {
	round := Volume{Diameter: 200, Height: 300}
	m := shape.Bar{X: 390, Y: 20, Z: 290}.Mesh()
	if p := parted(t, "sheet", m, round, parting.Wish{}); len(p.Pieces) != 2 {
		t.Errorf("a sheet of nearly two diameters makes %d pieces, want 2", len(p.Pieces))
	}
	if p := parted(t, "block", shape.Bar{X: 190, Y: 190, Z: 100}.Mesh(), round, parting.Wish{}); len(p.Pieces) != 2 {
		t.Errorf("a square of nearly a diameter makes %d pieces, want 2", len(p.Pieces))
	}
}

func TestBoxRuleAgreesWithSearch(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	for _, v := range []Volume{desktop, {Diameter: 200, Height: 300}, {Width: 300, Depth: 120, Height: 80}} {
		r := newRule(v)
		for range 100 {
			sides := r3.Vec{X: 20 + 300*random.Float64(), Y: 20 + 200*random.Float64(), Z: 20 + 250*random.Float64()}
			m := shape.Bar(sides).Mesh()
			any := r.box(sides, 0) || r.box(sides, 1) || r.box(sides, 2)
			b := newBody(m)
			want := b.turned(v).Fits(1)
			for _, l := range b.laid(v) {
				want = want || l.Fits(1)
			}
			if any != want || r.fits(b.hull, b.mid) != want {
				t.Errorf("box %v in %+v: by its sides %v, by its hull %v, searched %v", sides, v, any, r.fits(b.hull, b.mid), want)
			}
		}
	}
}

func BenchmarkPart(b *testing.B) {
	for _, n := range []int{20_000, 200_000} {
		m := shape.Relief{Triangles: n}.Mesh().Scaled(2)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Part(context.Background(), m, desktop, parting.Wish{Pins: pin.Common()}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
