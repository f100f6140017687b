package section

import (
	"cmp"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Sweeps and indices of meshes that are large enough to be shared out give the
// same as plain cuts, to the bit, on however many processors: of sound ones, in
// no order, of triangles that share no corner, with some twice, some without
// area, fins, and heights exactly on the planes.
func TestSharedWorkIsThePlainWork(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	random := rand.New(rand.NewPCG(31, 20261128))
	sound := shell(60_000)
	level := sound.Map(func(p r3.Vec) r3.Vec { p.Z = math.Round(p.Z); return p })
	apart := &mesh.Mesh{}
	for _, v := range sound.T {
		apart.T = append(apart.T, apart.AddVertex(sound.At(v)))
	}
	spoilt := shuffled(sound, random)
	for range 2000 {
		i, v := 3*random.IntN(spoilt.Triangles()), uint32(random.IntN(spoilt.Vertices()))
		switch random.IntN(3) {
		case 0:
			spoilt.T = append(spoilt.T, spoilt.T[i:i+3]...)
		case 1:
			spoilt.T[i] = spoilt.T[i+1]
		case 2:
			spoilt.T = append(spoilt.T, spoilt.T[i], spoilt.T[i+1], v)
		}
	}
	var through []r3.Vec
	for _, z := range random.Perm(60) {
		through = append(through, r3.Vec{Z: 5 * float64(z)})
	}
	for name, m := range map[string]*mesh.Mesh{
		"sound": sound, "level": level, "shuffled": shuffled(sound, random), "apart": apart, "spoilt": spoilt,
	} {
		for _, normal := range []r3.Vec{{Z: 1}, {X: 0.3, Y: -0.2, Z: 1}} {
			var want []Section
			for _, p := range through {
				want = append(want, Cut(m, Plane{Point: p, Normal: normal}))
			}
			var slab *mesh.Mesh // on one processor
			for _, processors := range []int{1, 2, 5} {
				runtime.GOMAXPROCS(processors)
				band, _ := Slab(m, normal, 97, 123)
				if slab == nil {
					slab = band
				}
				if band.Triangles() == 0 || !reflect.DeepEqual(band, slab) {
					t.Errorf("%s: slab along %v on %d processors differs", name, normal, processors)
				}
				if got := Sweep(m, normal, through); !reflect.DeepEqual(got, want) {
					t.Errorf("%s: sweep along %v on %d processors differs", name, normal, processors)
				}
				x := NewIndex(m)
				for i, p := range through {
					if got := x.Cut(Plane{Point: p, Normal: normal}); !reflect.DeepEqual(got, want[i]) {
						t.Errorf("%s: cut %v along %v by an index of %d processors differs", name, p, normal, processors)
					}
				}
			}
		}
	}
}

// Merged stretches are sorted points.
func TestSortedIsSorted(t *testing.T) {
	random := rand.New(rand.NewPCG(32, 20261128))
	for round := range 400 {
		points := make([]r2.Vec, random.IntN(200))
		lobes := float64(random.IntN(20))
		for i := range points {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(points)))
			r := 50 + 10*math.Sin(lobes*float64(i)/float64(len(points)))
			points[i] = r2.Vec{X: r * cos, Y: r * sin}
			switch round % 4 {
			case 1: // many of the same x, or the same
				points[i] = r2.Vec{X: math.Round(points[i].X / 10), Y: math.Round(points[i].Y / 30)}
			case 2: // no order at all
				points[i].X = random.Float64()
			}
		}
		want := slices.Clone(points)
		slices.SortFunc(want, compare)
		if got := sorted(points); !slices.Equal(got, want) {
			t.Fatalf("round %d: %v, want %v", round, got, want)
		}
	}
}

func TestByKeyIsStable(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	random := rand.New(rand.NewPCG(33, 20261128))
	for _, n := range []int{0, 1, 1000, 90_000} {
		for _, most := range []uint32{1, 5, 3000, 1<<30 - 1} {
			keys := make([]uint32, n)
			want := make([]uint32, n)
			for i := range keys {
				keys[i], want[i] = random.Uint32N(most+1), uint32(i)
			}
			slices.SortStableFunc(want, func(i, j uint32) int { return cmp.Compare(keys[i], keys[j]) })
			for _, processors := range []int{1, 3} {
				runtime.GOMAXPROCS(processors)
				if got := byKey(keys); !slices.Equal(got, want) {
					t.Errorf("%d keys up to %d on %d processors", n, most, processors)
				}
			}
		}
	}
}

// spread puts bit i of ten at 3i.
func TestSpread(t *testing.T) {
	for n := range 1024 {
		want := uint32(0)
		for i := range 10 {
			want |= uint32(n) >> i & 1 << (3 * i)
		}
		if got := spread(float64(n)); got != want {
			t.Fatalf("%d: %b, want %b", n, got, want)
		}
	}
}
