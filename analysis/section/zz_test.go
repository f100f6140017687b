package section

import (
	"fmt"
	"gonum.org/v1/gonum/spatial/r3"
	"math"
	"math/rand/v2"
	"testing"
)

func TestZZ(t *testing.T) {
	for name, m := range closedShapes() {
		fmt.Printf("%-26s open %d crowded %d vol %.1f tri %d\n", name, openEdges(m), crowdedEdges(m), m.Volume(), m.Triangles())
		rng := rand.New(rand.NewPCG(1, 0))
		worst, crowd, wcrowd, neg, overl, ntri := 0.0, 0, 0, 0, 0.0, 0
		for range 24 {
			m := rotated(m, randomRotation(rng))
			box := m.Bounds()
			size := r3.Norm(box.Size())
			p := Plane{
				Point:  r3.Add(box.Center(), r3.Scale(size*0.4*(rng.Float64()-0.5), randomDirection(rng))),
				Normal: randomDirection(rng),
			}
			a, b, _ := Halves(m, p)
			worst = max(worst, math.Abs((a.Volume()+b.Volume()-m.Volume())/m.Volume()))
			crowd += crowdedEdges(a) + crowdedEdges(b)
			wcrowd += crowdedEdges(weld(a)) + crowdedEdges(weld(b))
			// cap triangles: negative orientation or overlap
			f, _ := p.frame()
			s := Cut(m, p)
			want := 0.0
			for _, c := range s.Chains {
				want += c.Area()
			}
			got := 0.0
			for t := range a.Triangles() {
				x, y, z := a.Corners(t)
				on := true
				for _, q := range []r3.Vec{x, y, z} {
					if math.Abs(r3.Dot(f.n, q)-f.d) > 2e-5 {
						on = false
					}
				}
				if !on {
					continue
				}
				ar := -r3.Dot(f.n, r3.Cross(r3.Sub(y, x), r3.Sub(z, x))) / 2
				ntri++
				if ar < -1e-9 {
					neg++
				}
				got += math.Abs(ar)
			}
			overl = max(overl, (got-math.Abs(want))/math.Abs(want))
		}
		fmt.Printf("    worst %.2e crowded %d welded %d; cap tris %d negative %d, overlap %.2e\n", worst, crowd, wcrowd, ntri, neg, overl)
	}
}
