package cavity

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

func turned(m *mesh.Mesh, rng *rand.Rand) *mesh.Mesh {
	q := [4]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
	n := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
	rot := r3.Rotation{Real: q[0] / n, Imag: q[1] / n, Jmag: q[2] / n, Kmag: q[3] / n}
	off := r3.Vec{X: rng.Float64() * 300, Y: rng.Float64() * 300, Z: rng.Float64() * 300}
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(rot.Rotate(p), off) })
}

func viewShapes() map[string]*mesh.Mesh {
	ell := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	boot := shape.Boot{
		Rim: ell(68, 62), Ankle: ell(58, 48), Instep: ell(50, 47), Ball: ell(36, 50),
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	open := boot
	open.OpenSole = true
	hips := shape.Hips{
		Waist: ell(160, 115), Seat: ell(195, 135), Leg: ell(86, 92), Wall: 3,
		Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
	}
	torso := shape.Torso{
		Waist: ell(150, 110), Chest: ell(175, 125), Neck: ell(75, 75), Arm: ell(60, 72), Wall: 3,
		Band: 40, ChestZ: 270, NeckZ: 420, Height: 440, ArmX: 215, ArmZ: 290, Sleeve: 20,
	}
	helm := shape.Helm{
		Neck: ell(72, 80), Skull: ell(95, 115), Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
		SlotZ: 150, SlotDepth: 18, SlotSides: 40,
	}
	return map[string]*mesh.Mesh{
		"tube":       shape.Tube{Sides: 128, Radius: 50, Wall: 3, Height: 120}.Mesh(),
		"boot":       boot.Mesh(),
		"bootopen":   open.Mesh(),
		"mitre":      shape.MitreBoot{Radius: 45, Wall: 3, Shaft: 160, Foot: 180}.Mesh(),
		"belt":       shape.Tube{Sides: 128, Radius: 150, Wall: 4, Height: 12}.Mesh(),
		"plate":      shape.Plate{Width: 160, Height: 200, Wall: 3}.Mesh(),
		"platebent":  shape.Plate{Width: 160, Height: 200, Wall: 3, Bend: 150}.Mesh(),
		"platemore":  shape.Plate{Width: 160, Height: 200, Wall: 3, Bend: 75}.Mesh(),
		"collar":     shape.Taper{Sides: 128, Bottom: ell(90, 80), Top: ell(65, 65), Wall: 3, Height: 50}.Mesh(),
		"gutter":     shape.Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240}.Mesh(),
		"guttersht":  shape.Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 100, Arc: 240}.Mesh(),
		"gutterlow":  shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 20, Arc: 240}.Mesh(),
		"gutterlong": shape.Gutter{Bottom: 40, Top: 60, Wall: 3, Height: 350, Arc: 300}.Mesh(),
		"half":       shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 180}.Mesh(),
		"halfshort":  shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 120, Arc: 180}.Mesh(),
		"arc150":     shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 150}.Mesh(),
		"arc120":     shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 120}.Mesh(),
		"hips":       hips.Mesh(),
		"torso":      torso.Mesh(),
		"helm":       helm.Mesh(),
		"forearm":    shape.Flared(shape.Circle(35), ell(48, 42), shape.Circle(60), 240, 60, 3).Mesh(),
		"solid":      shape.Flared(shape.Circle(35), ell(48, 42), shape.Circle(60), 240, 60, 3).Solid(),
		"bar":        shape.Bar{X: 100, Y: 30, Z: 20}.Mesh(),
		"relief":     shape.Relief{Triangles: 50000}.Mesh(),
	}
}

func TestView(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	sh := viewShapes()
	for _, name := range slices.Sorted(maps.Keys(sh)) {
		m := sh[name]
		for k := 0; k < 2; k++ {
			mm := m
			if k > 0 {
				mm = turned(m, rng)
			}
			var arena grid.Arena
			ctx := context.Background()
			t0 := time.Now()
			g, err := grid.New(ctx, mm, 0, &arena)
			if err != nil {
				t.Fatal(err)
			}
			t1 := time.Now()
			inside, rings, _ := g.Inside(ctx, 2, &arena)
			t2 := time.Now()
			dist, _ := g.Distances(ctx, 2, &arena)
			t3 := time.Now()
			s := &survey{g, inside, rings, dist}
			hs := s.hollows(7.5/g.Pitch-1, &arena)
			t4 := time.Now()
			fmt.Println(name, k, g.NX, g.NY, g.NZ, g.Pitch, "grid", t1.Sub(t0), "in", t2.Sub(t1), "edt", t3.Sub(t2), "hol", t4.Sub(t3))
			for _, h := range hs {
				area := 0
				for _, p := range h.patches {
					area += p.faces
				}
				fmt.Printf("  vol %.0f mm3 radius %.1f ringed %.2f depth %.3f open %.2f\n", float64(h.volume)*math.Pow(g.Pitch, 3), h.radius*g.Pitch, h.ringed, s.depth(h), float64(area)/math.Pow(float64(h.volume), 2./3))
				for _, p := range h.patches {
					fmt.Printf("     patch %d faces, %d vox flat %.2f radius %.1f at %.1f\n", p.faces, len(p.voxels), r3.Norm(p.facing)/float64(p.faces), p.radius*g.Pitch, g.Center(p.center.X, p.center.Y, p.center.Z))
				}
			}
			if k == 0 {
				view(g, inside, rings, "/tmp/cav/"+name)
			}
		}
	}
}

func view(g *grid.Grid, inside, rings grid.Set, name string) {
	for ax := 0; ax < 3; ax++ {
		n := [3]int{g.NX, g.NY, g.NZ}
		w, h := n[(ax+1)%3], n[(ax+2)%3]
		im := image.NewRGBA(image.Rect(0, 0, 3*w, 3*h))
		for i := 0; i < 3*w; i++ {
			for j := 0; j < 3*h; j++ {
				var c [3]int
				c[ax] = n[ax] / 2
				c[(ax+1)%3] = i / 3
				c[(ax+2)%3] = j / 3
				col := color.RGBA{255, 255, 255, 255}
				switch {
				case g.Has(g.Wall, c[0], c[1], c[2]):
					col = color.RGBA{0, 0, 0, 255}
				case g.Has(rings, c[0], c[1], c[2]):
					col = color.RGBA{90, 160, 255, 255}
				case g.Has(inside, c[0], c[1], c[2]):
					col = color.RGBA{255, 160, 90, 255}
				}
				im.Set(i, 3*h-1-j, col)
			}
		}
		f, _ := os.Create(fmt.Sprintf("%s-%d.png", name, ax))
		png.Encode(f, im)
		f.Close()
	}
}
