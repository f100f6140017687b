package frame

import (
	"math"
	"math/rand/v2"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// surfaceSpots is how many places on a surface stand for it, and mirrorSpots
	// how many of them are mirrored to see whether there is surface too.
	surfaceSpots = 20000
	mirrorSpots  = 400
	// twinned is the share of them that must have a twin. A guess.
	twinned = 0.98
)

// TwinWithin is how far off a twin may be, as a share of the part's diagonal: a
// part counts as symmetric that looks so. A guess.
const TwinWithin = 0.02

// sameMirror is the cosine above which two planes that mirror a part are taken for
// one, of which the other is a little off: 30°. No part but one that is all but round
// looks the same in both, and of such a one left and right are to be cut alike.
const sameMirror = 0.866

// Mirrors returns the planes in which m is its own mirror image, among those
// through the middle of its surface that are square to an axis of the frames. Of those
// near each other it returns the truest.
func Mirrors(m *mesh.Mesh, frames []Frame) []section.Plane {
	middle, spread, _ := principal(m)
	spots := scatter(m, surfaceSpots)
	if len(spots) == 0 {
		return nil
	}
	c := newCrowd(spots, TwinWithin*r3.Norm(m.Bounds().Size()))
	var out []section.Plane
	for _, n := range Normals(frames) {
		p := section.Plane{Point: middle, Normal: n}
		twins := 0
		for i := range mirrorSpots {
			if c.near(Mirrored(p, spots[i*len(spots)/mirrorSpots])) {
				twins++
			}
		}
		if float64(twins) < twinned*mirrorSpots {
			continue
		}
		like := slices.IndexFunc(out, func(q section.Plane) bool { return math.Abs(r3.Dot(q.Normal, n)) > sameMirror })
		if like < 0 {
			out = append(out, p)
		} else if leans(spread, n) < leans(spread, out[like].Normal)-1e-6*mat.Trace(spread) {
			out[like] = p
		}
	}
	return out
}

// leans returns how far the surface with such products leans away from the
// direction n, mm²: 0 where n is a principal axis, as is the normal of each plane of
// symmetry.
func leans(spread *mat.SymDense, n r3.Vec) float64 {
	v := mat.NewVecDense(3, []float64{n.X, n.Y, n.Z})
	var to mat.VecDense
	to.MulVec(spread, v)
	to.AddScaledVec(&to, -mat.Dot(&to, v), v)
	return to.Norm(2)
}

// Normals returns the axes of the frames, each direction once.
func Normals(frames []Frame) []r3.Vec {
	var out []r3.Vec
	for _, f := range frames {
		for _, a := range f {
			out = WithAxis(out, a)
		}
	}
	return out
}

// WithAxis returns out with n, unless it has n or −n.
func WithAxis(out []r3.Vec, n r3.Vec) []r3.Vec {
	for _, o := range out {
		if Same(o, n) {
			return out
		}
	}
	return append(out, n)
}

// Mirrored returns the mirror image of q in p, whose Normal is of unit length.
func Mirrored(p section.Plane, q r3.Vec) r3.Vec {
	return r3.Sub(q, r3.Scale(2*r3.Dot(p.Normal, r3.Sub(q, p.Point)), p.Normal))
}

// MirroredPlane returns the mirror image of q in p.
func MirroredPlane(p, q section.Plane) section.Plane {
	n := r3.Sub(q.Normal, r3.Scale(2*r3.Dot(p.Normal, q.Normal), p.Normal))
	return section.Plane{Point: Mirrored(p, q.Point), Normal: n}
}

// scatter returns n places spread evenly over the surface of m, the same ones
// whenever asked.
func scatter(m *mesh.Mesh, n int) []r3.Vec {
	step := m.Area() / float64(n)
	if !(step > 0) {
		return nil
	}
	random := rand.New(rand.NewPCG(1, 2))
	out := make([]r3.Vec, 0, n)
	left := step / 2
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		area := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))) / 2
		for left -= area; left < 0; left += step {
			u, v := random.Float64(), random.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			out = append(out, r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a)))))
		}
	}
	return out
}

// crowd finds places near others.
type crowd struct {
	within float64
	cells  map[[3]int32][]r3.Vec
}

func newCrowd(spots []r3.Vec, within float64) *crowd {
	c := &crowd{within: within, cells: make(map[[3]int32][]r3.Vec)}
	for _, p := range spots {
		k := c.cell(p)
		c.cells[k] = append(c.cells[k], p)
	}
	return c
}

func (c *crowd) cell(p r3.Vec) [3]int32 {
	f := func(x float64) int32 { return int32(math.Floor(x / c.within)) }
	return [3]int32{f(p.X), f(p.Y), f(p.Z)}
}

// near reports whether a spot lies within reach of p.
func (c *crowd) near(p r3.Vec) bool {
	k := c.cell(p)
	for i := k[0] - 1; i <= k[0]+1; i++ {
		for j := k[1] - 1; j <= k[1]+1; j++ {
			for l := k[2] - 1; l <= k[2]+1; l++ {
				for _, q := range c.cells[[3]int32{i, j, l}] {
					if r3.Norm2(r3.Sub(p, q)) <= c.within*c.within {
						return true
					}
				}
			}
		}
	}
	return false
}
