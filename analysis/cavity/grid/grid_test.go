package grid

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const seed = 20261125

// blank returns a grid without part.
func blank(nx, ny, nz int) *grid {
	g := &grid{lattice: newLattice(nx, ny, nz), Pitch: 1}
	g.wall, g.air = make(set, g.size()), make(set, g.size())
	return g
}

// random fills the wall of a grid with a share of its voxels; air is the rest.
func random(rng *rand.Rand, nx, ny, nz int, share float64) *grid {
	g := blank(nx, ny, nz)
	for z := range nz {
		for y := range ny {
			for x := range nx {
				if rng.Float64() < share {
					g.add(g.wall, x, y, z)
				} else {
					g.add(g.air, x, y, z)
				}
			}
		}
	}
	return g
}

// holds is has, and false outside.
func (l lattice) holds(s set, x, y, z int) bool {
	return x >= 0 && y >= 0 && z >= 0 && x < l.nx && y < l.ny && z < l.nz && l.has(s, x, y, z)
}

func TestSharesAreThoseOfTheSphere(t *testing.T) {
	// Every point of a spiral on the sphere goes to its nearest direction.
	all := directions(-1)
	require.Len(t, all, 98)
	const points = 50_000
	counts := map[int]float64{}
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range points {
		z := 1 - (2*float64(i)+1)/points
		sin, cos := math.Sincos(golden * float64(i))
		p := r3.Vec{X: math.Sqrt(1-z*z) * cos, Y: math.Sqrt(1-z*z) * sin, Z: z}
		best, most := 0, -1.0
		for _, d := range all {
			v := r3.Vec{X: float64(d.x), Y: float64(d.y), Z: float64(d.z)}
			if c := r3.Dot(p, r3.Unit(v)); c > most {
				best, most = d.x*d.x+d.y*d.y+d.z*d.z, c
			}
		}
		counts[best]++
	}
	kinds := map[int]float64{}
	sum := uint(0)
	for _, d := range all {
		kinds[d.x*d.x+d.y*d.y+d.z*d.z]++
		sum += d.share()
	}
	require.EqualValues(t, allShares, sum)
	for _, d := range all {
		kind := d.x*d.x + d.y*d.y + d.z*d.z
		want := 1000 * counts[kind] / points / kinds[kind]
		if got := float64(d.share()); math.Abs(got-want) > 0.6 {
			t.Errorf("share of a direction of length √%d: %g, want %.2f", kind, got, want)
		}
	}
	for axis := range 3 {
		require.Len(t, directions(axis), 16)
	}
}

func TestBeamsAgreeWithWalkingEachRay(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for _, share := range []float64{0.002, 0.02, 0.2} {
		for _, nx := range []int{62, 63, 64, 70} { // with room behind the rows, and without
			g := random(rng, nx, 13, 11, share)
			for _, d := range directions(-1) {
				c := g.newCaster([]step{d}, 1, &Arena{})
				for k := range g.nz {
					z := k
					if d.z > 0 {
						z = g.nz - 1 - k
					}
					c.count(k, z, g.wall, 0)
					for range 40 {
						x, y := rng.IntN(g.nx), rng.IntN(g.ny)
						one := c.class.of(y*g.words + x/64)
						if got, want := one[0]>>(x%64)&1 == 1, g.walks(x, y, z, d); got != want {
							t.Fatalf("direction %v from (%d, %d, %d): blocked %v, want %v", d, x, y, z, got, want)
						}
					}
					for i := range g.ny * g.words {
						require.Zero(t, c.class.of(i)[0]&^g.used(i), "behind the end of a row")
					}
				}
			}
		}
	}
}

// What is enclosed is what a plain count of all rays says, one voxel at a time.
func TestEnclosedIsThePlainCount(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 8))
	holding := 0
	for range 12 {
		g := random(rng, 20+rng.IntN(60), 12, 14, 0.01+0.08*rng.Float64())
		want, ringedWant := g.plainlyEnclosed()
		for _, workers := range []int{1, 2, 3, 7} {
			inside, rings, err := g.enclosed(context.Background(), workers, &Arena{})
			require.NoError(t, err)
			require.Equal(t, want, inside)
			require.Equal(t, ringedWant, rings)
		}
		holding += min(want.count(), ringedWant.count())
	}
	require.Positive(t, holding)
}

// plainlyEnclosed is enclosed, voxel by voxel.
func (g *grid) plainlyEnclosed() (inside, rings set) {
	inside, rings = make(set, g.size()), make(set, g.size())
	g.each(g.air, func(x, y, z int) {
		shares, square := uint(0), [3]int{}
		for _, d := range directions(-1) {
			if !g.walks(x, y, z, d) {
				continue
			}
			shares += d.share()
			for axis, along := range []int{d.x, d.y, d.z} {
				if along == 0 {
					square[axis]++
				}
			}
		}
		ring := max(square[0], square[1], square[2]) >= ringed
		if ring {
			g.add(rings, x, y, z)
		}
		if ring || shares > allShares/2 {
			g.add(inside, x, y, z)
		}
	})
	for range 2 {
		was := append(set(nil), inside...)
		g.each(g.air, func(x, y, z int) {
			in, out := 0, 0
			for _, d := range []step{{}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
				switch at := [3]int{x + d.x, y + d.y, z + d.z}; {
				case g.holds(was, at[0], at[1], at[2]):
					in++
				case !g.holds(g.wall, at[0], at[1], at[2]):
					out++
				}
			}
			g.drop(inside, x, y, z)
			if in > out {
				g.add(inside, x, y, z)
			}
		})
	}
	for i := range rings {
		rings[i] &= inside[i]
	}
	return inside, rings
}

// walks follows one ray, step by step.
func (g *grid) walks(x, y, z int, d step) bool {
	for n := 0; n < g.nx+g.ny+g.nz; n++ {
		half := step{d.x / 2, d.y / 2, d.z / 2}
		for _, s := range []step{half, {d.x - half.x, d.y - half.y, d.z - half.z}, d} {
			if s != (step{}) && g.holds(g.wall, x+s.x, y+s.y, z+s.z) {
				return true
			}
		}
		x, y, z = x+d.x, y+d.y, z+d.z
	}
	return false
}

func TestCountersAddAndCompare(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	const words = 3
	all, others := make(sums, words*shareBits), make(sums, words*shareBits)
	var want [64 * words]uint
	for _, weight := range []uint{17, 9, 6, 13, 10} { // 31·17 is above any sum of shares, what follows is less
		class, more := make(few, words*fewBits), make(few, words*fewBits)
		for range 3 {
			sets := make([][]uint64, rng.IntN(4))
			for k := range sets {
				sets[k] = []uint64{rng.Uint64(), rng.Uint64() & rng.Uint64(), 0}
				for v := range want {
					want[v] += weight * uint(sets[k][v/64]>>(v%64)&1)
				}
			}
			if len(sets) > 1 {
				more.addAll(sets)
			} else {
				class.addAll(sets)
			}
		}
		class.add(more)
		if weight%2 == 0 {
			all.addTimes(class, weight)
		} else {
			others.addTimes(class, weight)
		}
	}
	all.add(others)
	for _, limit := range []uint{0, 1, 100, 255, 256, 400, 1022} {
		for v, sum := range want {
			if got := above(all.of(v / 64)[:], limit)>>(v%64)&1 == 1; got != (sum > limit) {
				t.Fatalf("%d above %d: %v", sum, limit, got)
			}
		}
	}
}

// A count of few goes as far as its bits do.
func TestFewCountsToThirtyOne(t *testing.T) {
	c := make(few, fewBits)
	for n := range 31 {
		c.addOne([]uint64{^uint64(0) << n})
	}
	for v := range 64 {
		got := uint64(0)
		for b, bits := range c.of(0) {
			got |= bits >> v & 1 << b
		}
		require.EqualValues(t, min(v+1, 31), got)
	}
}

func TestDistancesAgreeWithBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 3))
	for _, share := range []float64{0.0005, 0.01, 0.3} {
		g := random(rng, 67, 14, 9, share)
		var arena Arena
		arena.takeDistances(g.nx * g.ny * g.nz)[5] = 999 // left over
		got, err := g.measure(context.Background(), 2, &arena)
		require.NoError(t, err)
		for range 500 {
			x, y, z := rng.IntN(g.nx), rng.IntN(g.ny), rng.IntN(g.nz)
			want := farthest
			g.each(g.wall, func(a, b, c int) {
				want = min(want, (a-x)*(a-x)+(b-y)*(b-y)+(c-z)*(c-z))
			})
			if d := int(got[(z*g.ny+y)*g.nx+x]); d != want {
				t.Fatalf("distance² from (%d, %d, %d): %d, want %d", x, y, z, d, want)
			}
		}
	}
	empty := blank(9, 4, 3)
	got, err := empty.measure(context.Background(), 1, &Arena{})
	require.NoError(t, err)
	require.EqualValues(t, farthest, got[0])
}

func TestSpreadReachesWhatFacesJoin(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 4))
	for range 20 {
		g := random(rng, 70, 7, 6, 0.6)
		var start [3]int
		g.each(g.air, func(x, y, z int) { start = [3]int{x, y, z} })
		got, want := make(set, g.size()), make(set, g.size())
		g.add(got, start[0], start[1], start[2])
		g.spread(got, g.air, int32(start[2]*g.ny+start[1]))
		queue := [][3]int{start}
		g.add(want, start[0], start[1], start[2])
		for len(queue) > 0 {
			v := queue[0]
			queue = queue[1:]
			for _, d := range [6]step{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
				x, y, z := v[0]+d.x, v[1]+d.y, v[2]+d.z
				if g.holds(g.air, x, y, z) && !g.has(want, x, y, z) {
					g.add(want, x, y, z)
					queue = append(queue, [3]int{x, y, z})
				}
			}
		}
		require.Equal(t, want, got)
		require.Equal(t, want.count(), got.count())
	}
}

func TestBesideAndGrow(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 5))
	g := random(rng, 66, 6, 5, 0.05)
	beside, grown := make(set, g.size()), make(set, g.size())
	g.beside(beside, g.wall)
	g.grow(grown, g.wall)
	for z := range g.nz {
		for y := range g.ny {
			for x := range g.nx {
				faces, touches := false, false
				for n := range 27 {
					dx, dy, dz := n%3-1, n/3%3-1, n/9-1
					if g.holds(g.wall, x+dx, y+dy, z+dz) {
						touches = true
						faces = faces || dx*dx+dy*dy+dz*dz == 1
					}
				}
				if got, want := g.has(beside, x, y, z), faces && !g.has(g.wall, x, y, z); got != want {
					t.Fatalf("beside at (%d, %d, %d): %v, want %v", x, y, z, got, want)
				}
				if got := g.has(grown, x, y, z); got != touches {
					t.Fatalf("grown at (%d, %d, %d): %v, want %v", x, y, z, got, touches)
				}
			}
		}
	}
}

func TestDrawMissesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 6))
	point := func() r3.Vec {
		return r3.Vec{X: 2 + 36*rng.Float64(), Y: 2 + 26*rng.Float64(), Z: 2 + 16*rng.Float64()}
	}
	for range 200 {
		g := blank(40, 30, 20)
		p := [3]r3.Vec{point(), point(), point()}
		if rng.IntN(3) == 0 { // a sliver
			p[2] = r3.Add(p[0], r3.Scale(0.5, r3.Sub(p[1], p[0])))
		}
		g.drawTriangle(g.wall, p)
		for range 2000 {
			u, v := rng.Float64(), rng.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			q := r3.Add(p[0], r3.Add(r3.Scale(u, r3.Sub(p[1], p[0])), r3.Scale(v, r3.Sub(p[2], p[0]))))
			if !g.has(g.wall, int(q.X), int(q.Y), int(q.Z)) {
				t.Fatalf("%v of the triangle %v lies in no wall", q, p)
			}
		}
		// And adds nothing that is further off than half a voxel's diagonal.
		n := r3.Cross(r3.Sub(p[1], p[0]), r3.Sub(p[2], p[0]))
		if r3.Norm(n) < 1 {
			continue
		}
		n = r3.Unit(n)
		g.each(g.wall, func(x, y, z int) {
			q := r3.Vec{X: float64(x) + 0.5, Y: float64(y) + 0.5, Z: float64(z) + 0.5}
			if d := math.Abs(r3.Dot(n, r3.Sub(q, p[0]))); d > math.Sqrt(3)/2+1e-9 {
				t.Fatalf("voxel (%d, %d, %d) is wall %.2f voxels off the triangle", x, y, z, d)
			}
		})
	}
}

func TestGapsOfTwoVoxelsClose(t *testing.T) {
	for width := 1; width <= 4; width++ {
		g := blank(20, 20, 20)
		for y := 3; y < 17; y++ {
			for x := 3; x < 17; x++ {
				if x < 8 || x >= 8+width || y < 8 || y >= 8+width {
					g.add(g.wall, x, y, 10)
				}
			}
		}
		g.closeGaps(&Arena{})
		if got, want := g.has(g.wall, 8, 8, 10), width <= 2; got != want {
			t.Errorf("a hole of %d voxels is wall: %v, want %v", width, got, want)
		}
	}
}

// lopsided is a part without symmetry: three different bars at right angles.
func lopsided() *mesh.Mesh {
	bar := shape.Bar{X: 90, Y: 12, Z: 7}.Mesh()
	leg := shape.Offset(shape.Bar{X: 9, Y: 50, Z: 7}.Mesh(), r3.Vec{X: 30, Y: 20})
	post := shape.Offset(shape.Bar{X: 7, Y: 7, Z: 31}.Mesh(), r3.Vec{X: -20, Y: 3, Z: 12})
	return shape.Join(bar, leg, post)
}

func TestFrameTurnsWithThePart(t *testing.T) {
	tube := shape.Tube{Sides: 4, Radius: 40, Wall: 3, Height: 150}.Mesh()
	for name, m := range map[string]*mesh.Mesh{"lopsided": lopsided(), "square tube with a foot": shape.Join(tube, shape.Offset(shape.Bar{X: 30, Y: 4, Z: 4}.Mesh(), r3.Vec{X: 60}))} {
		f, ok := principal(m, 2)
		require.True(t, ok)
		for s := range uint64(20) {
			by := shape.Rotation(s)
			move := r3.Vec{X: 700, Y: -300, Z: 90}
			turned, ok := principal(shape.Offset(shape.Turn(m, by), move), 2)
			require.True(t, ok)
			for k := range 3 {
				if off := r3.Norm(r3.Sub(by.Rotate(f.Axes[k]), turned.Axes[k])); off > 1e-3 {
					t.Errorf("%s, seed %d: axis %d is %.2g off", name, s, k, off)
				}
			}
			if off := r3.Norm(r3.Sub(r3.Add(by.Rotate(f.Origin), move), turned.Origin)); off > 1e-3 {
				t.Errorf("%s, seed %d: origin %.2g mm off", name, s, off)
			}
		}
	}
}

// Of a symmetric part rounding alone tells one way along an axis from the other.
func TestFrameOfASymmetricPartIsNoChance(t *testing.T) {
	at := r3.Vec{X: 13.7, Y: -5.1, Z: 8.3}
	bar := shape.Offset(shape.Bar{X: 90, Y: 31, Z: 17}.Mesh(), at)
	f, ok := principal(bar, 2)
	require.True(t, ok)
	for s := range uint64(50) {
		jitter := rand.New(rand.NewPCG(s, 4))
		m := bar.Map(func(p r3.Vec) r3.Vec {
			return r3.Add(p, r3.Scale(1e-5, r3.Vec{X: jitter.NormFloat64(), Y: jitter.NormFloat64(), Z: jitter.NormFloat64()}))
		})
		moved, ok := principal(m, 2)
		require.True(t, ok)
		for k := range 3 {
			if off := r3.Norm(r3.Sub(f.Axes[k], moved.Axes[k])); off > 1e-3 {
				t.Errorf("seed %d: axis %d is %.2g off", s, k, off)
			}
		}
	}
}

func TestFrameIsRightHandedAndThereAndBack(t *testing.T) {
	f, ok := principal(lopsided(), 2)
	require.True(t, ok)
	if hand := r3.Dot(r3.Cross(f.Axes[0], f.Axes[1]), f.Axes[2]); math.Abs(hand-1) > 1e-12 {
		t.Errorf("the axes span %g, want 1", hand)
	}
	p := r3.Vec{X: 3, Y: -7, Z: 11}
	if off := r3.Norm(r3.Sub(f.From(f.To(p)), p)); off > 1e-12 {
		t.Errorf("there and back is %g off", off)
	}
}

func TestNothingToDraw(t *testing.T) {
	line := &mesh.Mesh{X: []float32{0, 1, 2}, Y: []float32{0, 1, 2}, Z: []float32{0, 1, 2}, T: []uint32{0, 1, 2}}
	for name, m := range map[string]*mesh.Mesh{"empty": {}, "a line": line, "one vertex": {X: []float32{1}, Y: []float32{1}, Z: []float32{1}, T: []uint32{0, 0, 0}}} {
		g, err := newGrid(context.Background(), m, 0, 2, &Arena{})
		require.NoError(t, err, name)
		require.Nil(t, g, name)
	}
}

func TestGridIsBounded(t *testing.T) {
	for _, size := range []float64{0.01, 20, 300, 5000, 1e6} {
		m := shape.Tube{Sides: 12, Radius: size, Wall: size / 10, Height: 2 * size}.Mesh()
		g, err := newGrid(context.Background(), m, 0, 2, &Arena{})
		require.NoError(t, err)
		if n := g.nx * g.ny * g.nz; n > mostVoxels {
			t.Errorf("size %g: %d voxels", size, n)
		}
		if g.Pitch > coarsest && size < 500 {
			t.Errorf("size %g: pitch %g", size, g.Pitch)
		}
	}
	g, err := newGrid(context.Background(), lopsided(), 1e-6, 2, &Arena{})
	require.NoError(t, err)
	if n := g.nx * g.ny * g.nz; n > mostVoxels {
		t.Errorf("%d voxels for a pitch of a nanometre", n)
	}
}

func TestInsideEndsAtTheRim(t *testing.T) {
	// A tube as long as wide is inside by the first rule, a belt by the second; a
	// plate has no inside.
	for name, c := range map[string]struct {
		m    *mesh.Mesh
		want float64 // mm³
	}{
		"tube":  {shape.Tube{Radius: 50, Wall: 3, Height: 100}.Mesh(), math.Pi * 50 * 50 * 100},
		"belt":  {shape.Tube{Radius: 100, Wall: 4, Height: 20}.Mesh(), math.Pi * 100 * 100 * 20},
		"plate": {shape.Plate{Width: 100, Height: 120, Wall: 3}.Mesh(), 0},
	} {
		g, err := newGrid(context.Background(), c.m, 0, 2, &Arena{})
		require.NoError(t, err)
		inside, rings, err := g.enclosed(context.Background(), 2, &Arena{})
		require.NoError(t, err)
		voxel := g.Pitch * g.Pitch * g.Pitch
		got := float64(inside.count()) * voxel
		if math.Abs(got-c.want) > 0.06*c.want {
			t.Errorf("%s: %.0f mm³ inside, want %.0f", name, got, c.want)
		}
		if name == "belt" && float64(rings.count()) < 0.99*float64(inside.count()) {
			t.Errorf("belt: %d of %d voxels lie in a ring", rings.count(), inside.count())
		}
		for i, w := range rings {
			if w&^inside[i] != 0 || inside[i]&g.wall[i] != 0 {
				t.Fatal("a ring outside the inside, or inside in the wall")
			}
		}
	}
}

// TestPockets looks for the pockets of every kind of part, each turned, and for
// where they are open.
func TestPockets(t *testing.T) {
	ellipse := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	boot := shape.Boot{
		Sides: 48, Rim: ellipse(68, 62), Ankle: ellipse(58, 48), Instep: ellipse(50, 47), Ball: ellipse(36, 50),
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	open := boot
	open.OpenSole = true
	arm := shape.Flared(shape.Circle(35), ellipse(48, 42), shape.Circle(60), 240, 60, 3)
	for name, c := range map[string]struct {
		m       *mesh.Mesh
		patches int
		ends    bool // the way leads from end to end of a gutter
	}{
		"tube":                  {shape.Tube{Sides: 48, Radius: 50, Wall: 3, Height: 120}.Mesh(), 2, false},
		"boot":                  {boot.Mesh(), 1, false},
		"boot without its sole": {open.Mesh(), 2, false},
		"mitre boot":            {shape.MitreBoot{Sides: 48, Radius: 45, Wall: 3, Shaft: 160, Foot: 180}.Mesh(), 1, false},
		"hips": {shape.Hips{
			Sides: 32, Waist: ellipse(160, 115), Seat: ellipse(195, 135), Leg: ellipse(86, 92), Wall: 3,
			Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
		}.Mesh(), 3, false},
		"torso": {shape.Torso{
			Sides: 48, Waist: ellipse(150, 110), Chest: ellipse(175, 125), Neck: ellipse(75, 75), Arm: ellipse(60, 72), Wall: 3,
			Band: 40, ChestZ: 270, NeckZ: 420, Height: 440, ArmX: 215, ArmZ: 290, Sleeve: 20,
		}.Mesh(), 4, false},
		"helm": {shape.Helm{
			Sides: 64, Neck: ellipse(72, 80), Skull: ellipse(95, 115), Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
			SlotZ: 150, SlotDepth: 18, SlotSides: 20,
		}.Mesh(), 2, false},
		"forearm":          {arm.Mesh(), 2, false},
		"gutter":           {shape.Gutter{Sides: 48, Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240}.Mesh(), 1, true},
		"narrow gutter":    {shape.Gutter{Sides: 48, Bottom: 40, Top: 60, Wall: 3, Height: 350, Arc: 300}.Mesh(), 1, true},
		"low gutter":       {shape.Gutter{Sides: 48, Bottom: 70, Top: 70, Wall: 3, Height: 20, Arc: 240}.Mesh(), 1, true},
		"half shell":       {shape.Gutter{Sides: 48, Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 180}.Mesh(), 1, true},
		"short half shell": {shape.Gutter{Sides: 48, Bottom: 70, Top: 70, Wall: 3, Height: 120, Arc: 180}.Mesh(), 1, true},
		"belt":             {shape.Tube{Sides: 64, Radius: 150, Wall: 4, Height: 12}.Mesh(), 2, false},
		"collar":           {shape.Taper{Sides: 48, Bottom: ellipse(90, 80), Top: ellipse(65, 65), Wall: 3, Height: 50}.Mesh(), 2, false},
		"plate":            {shape.Plate{Width: 160, Height: 200, Wall: 3}.Mesh(), 0, false},
		"bent plate":       {shape.Plate{Width: 160, Height: 200, Wall: 3, Bend: 150}.Mesh(), 0, false},
		"block":            {arm.Solid(), 0, false},
	} {
		if underRace && name != "helm" && name != "gutter" {
			continue
		}
		var arena Arena
		for turn := range uint64(2) {
			m := shape.Offset(shape.Turn(c.m, shape.Rotation(turn)), r3.Vec{X: 40, Y: -900, Z: 7})
			size := c.m.Bounds().Size()
			a, err := Survey(context.Background(), m, max(size.X, size.Y, size.Z)/80, 2, &arena)
			require.NoError(t, err)
			pockets := a.Pockets(15)
			if got, want := len(pockets), min(c.patches, 1); got != want {
				t.Errorf("%s turned by seed %d: %d pockets, want %d", name, turn, got, want)
			} else if want == 1 {
				p := &pockets[0]
				if got := len(p.Patches); got != c.patches {
					t.Errorf("%s turned by seed %d: open in %d places, want %d", name, turn, got, c.patches)
				}
				if _, ends := a.newCells(p, 2).gutter(p); ends != c.ends && c.patches == 1 {
					t.Errorf("%s turned by seed %d: open from end to end %v", name, turn, ends)
				}
			}
			a.Release()
		}
	}
}

func TestWorkersAndKeptBuffersDoNotMatter(t *testing.T) {
	m := shape.Tube{Radius: 30, Wall: 3, Height: 80}.Mesh()
	var arena Arena
	var first set
	for _, workers := range []int{1, 2, 5} {
		for range 2 {
			g, err := newGrid(context.Background(), m, 0, 2, &arena)
			require.NoError(t, err)
			inside, rings, err := g.enclosed(context.Background(), workers, &arena)
			require.NoError(t, err)
			if first == nil {
				first = append(set(nil), inside...)
			}
			require.Equal(t, first, inside)
			arena.giveBack(g.wall, g.air, inside, rings)
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	m := shape.Tube{Radius: 30, Wall: 3, Height: 80}.Mesh()
	g, err := newGrid(ctx, m, 0, 2, &Arena{})
	require.NoError(t, err)
	cancel()
	_, err = newGrid(ctx, m, 0, 2, &Arena{})
	require.ErrorIs(t, err, context.Canceled)
	_, _, err = g.enclosed(ctx, 2, &Arena{})
	require.ErrorIs(t, err, context.Canceled)
	_, err = g.measure(ctx, 2, &Arena{})
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkInside(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	var arena Arena
	b.ReportAllocs()
	for b.Loop() {
		g, err := newGrid(context.Background(), m, 0, 2, &arena)
		if err != nil {
			b.Fatal(err)
		}
		inside, rings, err := g.enclosed(context.Background(), 1, &arena)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := g.measure(context.Background(), 1, &arena); err != nil {
			b.Fatal(err)
		}
		arena.giveBack(g.wall, g.air, inside, rings)
	}
}

// Small facets drawn one on another give the voxels that each is told to meet,
// one by one.
func TestDrawingIsThePlainTest(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 61))
	for range 50 {
		got, want := blank(12, 12, 12), blank(12, 12, 12)
		size := 4 * rng.Float64() * rng.Float64()
		for range 400 {
			at := r3.Vec{X: 2 + 4*rng.Float64(), Y: 2 + 4*rng.Float64(), Z: 2 + 4*rng.Float64()}
			var p [3]r3.Vec
			for k := range p {
				p[k] = r3.Add(at, r3.Scale(size, r3.Vec{X: rng.Float64(), Y: rng.Float64(), Z: rng.Float64()}))
			}
			got.drawTriangle(got.wall, p)
			s := newSeparator(p)
			low := func(f func(r3.Vec) float64) int { return int(min(f(p[0]), f(p[1]), f(p[2]))) }
			high := func(f func(r3.Vec) float64) int { return int(max(f(p[0]), f(p[1]), f(p[2]))) }
			x, y, z := func(v r3.Vec) float64 { return v.X }, func(v r3.Vec) float64 { return v.Y }, func(v r3.Vec) float64 { return v.Z }
			for i := low(x); i <= high(x); i++ {
				for j := low(y); j <= high(y); j++ {
					for k := low(z); k <= high(z); k++ {
						if s.meets(r3.Vec{X: float64(i) + 0.5, Y: float64(j) + 0.5, Z: float64(k) + 0.5}) {
							want.add(want.wall, i, j, k)
						}
					}
				}
			}
		}
		if !slices.Equal(got.wall, want.wall) {
			t.Fatalf("facets of %.2f voxels: %d voxels drawn, want %d", size, got.wall.count(), want.wall.count())
		}
	}
}
