package mesh

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A file read in runs by several workers gives the mesh that one alone makes,
// number by number: sound, in no order, with all triangles apart, with zeros of
// both signs.
func TestWorkersMakeTheMeshThatOneMakes(t *testing.T) {
	random := rand.New(rand.NewPCG(12, 20261128))
	sound := limb(120, 300)
	zeros := sound.Clone()
	negative := float32(math.Copysign(0, -1))
	for v := range zeros.X {
		if random.IntN(3) == 0 {
			zeros.X[v] = []float32{0, negative}[random.IntN(2)]
		}
	}
	for name, m := range map[string]*Mesh{"sound": sound, "mixed": mixed(sound, 12), "apart": soup(sound), "zeros": zeros} {
		data := binarySTL(m, "")
		load := func(workers int) *Mesh {
			l, err := loadSource(t.Context(), sourceOf("a.stl", data), Limits{Workers: workers}.orDefault())
			if err != nil {
				t.Fatal(err)
			}
			return l.Mesh
		}
		want := load(1)
		for _, workers := range []int{2, 3, 7} {
			got := load(workers)
			if !slices.Equal(got.T, want.T) || !slices.Equal(got.X, want.X) || !slices.Equal(got.Y, want.Y) || !slices.Equal(got.Z, want.Z) {
				t.Errorf("%s: %d workers make another mesh than one", name, workers)
			}
		}
	}
}

// A filter overlooks nothing that it was given, and takes few for known that
// are not.
func TestFilter(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 20261128))
	place := func() point { return point{random.Float32(), random.Float32(), random.Float32()} }
	for _, n := range []int{0, 1, 63, 10_000} {
		ix := newIndex(n, 0.001, 5)
		for range n {
			ix.corner(place())
		}
		f := newFilter(ix, 3)
		for i := range ix.at {
			if !f.may(&ix.at[i]) {
				t.Fatalf("of %d: %v is overlooked", n, ix.at[i])
			}
		}
		taken := 0
		for range 10_000 {
			p := place()
			if f.may(&corner{point: p, drawn: uint32(ix.hash(p))}) {
				taken++
			}
		}
		if taken > 2000 { // one in eight on average
			t.Errorf("of %d: %d of 10,000 others are taken for known", n, taken)
		}
	}
}

// Files in no order are told from those in the order of a surface, also where no
// two triangles name the same corner.
func TestScatteredFilesAreTold(t *testing.T) {
	sound := limb(120, 300)
	for _, c := range []struct {
		name string
		m    *Mesh
		want bool
	}{{"sound", sound, false}, {"mixed", mixed(sound, 14), true}, {"apart", soup(sound), false}} {
		_, _, scattered, err := typicalSTL(sourceOf("a.stl", binarySTL(c.m, "")), c.m.Triangles())
		if err != nil || scattered != c.want {
			t.Errorf("%s: scattered %v, %v", c.name, scattered, err)
		}
	}
}
