package grid

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Air is a part drawn into a grid, with what was found out about the air round
// it.
type Air struct {
	*grid
	inside, rings set       // what the part closes round, and what of it lies in a ring
	far           distances // to the wall
	arena         *Arena
	kept          []set // to be given back at the end
}

// Survey draws m into a grid and looks at its air. The pitch is in mm, 0 for
// one that suits the size of the part. The result is nil where m has no
// surface; the only error is that of ctx. Release ends its use of the arena.
func Survey(ctx context.Context, m *mesh.Mesh, pitch float64, workers int, arena *Arena) (*Air, error) {
	g, err := newGrid(ctx, m, pitch, workers, arena)
	if err != nil || g == nil {
		return nil, err
	}
	a := &Air{grid: g, arena: arena}
	if a.inside, a.rings, err = g.enclosed(ctx, workers, arena); err != nil {
		return nil, err
	}
	a.kept = []set{g.wall, g.air, a.inside, a.rings}
	a.fillBubbles()
	a.far, err = g.measure(ctx, workers, arena)
	return a, err
}

// Release gives the buffers of a back to its arena. Neither a nor its pockets
// can be used after that.
func (a *Air) Release() {
	a.arena.giveBack(a.kept...)
	*a = Air{}
}

// Free reports whether a place in space lies in air, as far as voxels can tell;
// beyond the grid all is air.
func (a *Air) Free(p r3.Vec) bool {
	q := r3.Scale(1/a.Pitch, a.Frame.To(p))
	return !a.at(a.wall, voxel{int32(math.Floor(q.X)), int32(math.Floor(q.Y)), int32(math.Floor(q.Z))})
}

// Pocket is a connected room of air that the part closes round: a cavity.
type Pocket struct {
	Volume  float64 // mm³
	Width   float64 // mm, diameter of the greatest ball about a voxel of it
	Patches []Patch // where it meets other air, largest first

	voxels set
	count  int     // of its voxels
	radius float64 // of the greatest ball about a voxel of it, in voxels
	ringed float64 // share of it that lies in a ring
}

// Patch is a connected place where a pocket meets the air outside.
type Patch struct {
	Center r3.Vec  // middle of the faces between inside and outside
	Facing r3.Vec  // unit vector of their mean, out of the pocket; zero where they have none
	Width  float64 // mm, diameter of the greatest ball about a voxel of it

	voxels []voxel
	center r3.Vec // in voxels
	facing r3.Vec // sum of the normals, in the frame
	faces  int
	radius float64 // voxels
}

// voxel is a place in the grid.
type voxel struct{ x, y, z int32 }

// place returns the middle of the voxel in voxels.
func (v voxel) place() r3.Vec { return r3.Vec{X: float64(v.x), Y: float64(v.y), Z: float64(v.z)} }

func (v voxel) plus(d voxel) voxel { return voxel{v.x + d.x, v.y + d.y, v.z + d.z} }

// sides are the six ways out of a voxel.
func sides() [6]voxel {
	return [6]voxel{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}
}

// at reports whether a voxel, which may lie outside the grid, is in s.
func (a *Air) at(s set, v voxel) bool {
	return v.x >= 0 && v.y >= 0 && v.z >= 0 && int(v.x) < a.nx && int(v.y) < a.ny && int(v.z) < a.nz &&
		a.has(s, int(v.x), int(v.y), int(v.z))
}

// distance returns the squared distance from a voxel to the wall, in voxels².
func (a *Air) distance(v voxel) uint16 {
	return a.far[(int(v.z)*a.ny+int(v.y))*a.nx+int(v.x)]
}

// What tells a cavity from a pocket outside the part: the inner corner of an L,
// the space between two legs, the back of a plate. All guesses, set between the
// shapes of the tests.
const (
	// mostBacked is the share of a pocket's wall that may be the outside of a
	// larger cavity.
	mostBacked = 0.5
	// mostlyRinged is the share of a pocket in rings that makes it a cavity
	// however shallow it is.
	mostlyRinged = 0.5
	// leastDeep is how deep any other pocket must be, against its width: an arc
	// of 180° has 0.58, of 120° 0.35, of 90° 0.25.
	leastDeep = 0.25
	// leastRadius is the radius in voxels of the least ball that a pocket holds:
	// below that all is freckles.
	leastRadius = 2
	// leastPatch is the number of faces below which a patch is a freckle.
	leastPatch = 12
)

// Pockets returns the cavities of the part that hold a ball of the given
// diameter in mm, largest first. They hold until a is released.
func (a *Air) Pockets(ball float64) []Pocket {
	// A voxel of wall may hold its surface at either side.
	radius := max(ball/2/a.Pitch-1, leastRadius)
	left := a.arena.set(a.size()) // of what is inside, without the pockets found
	copy(left, a.inside)
	var all []Pocket
	a.each(left, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		if float64(a.distance(v)) < radius*radius || !a.has(left, x, y, z) {
			return
		}
		p := a.pocketAt(v)
		for i, w := range p.voxels {
			left[i] &^= w
		}
		if float64(p.count) >= 4./3*math.Pi*radius*radius*radius {
			all = append(all, p)
		} else {
			a.arena.giveBack(p.voxels)
		}
	})
	a.arena.giveBack(left)
	slices.SortStableFunc(all, func(p, q Pocket) int { return cmp.Compare(q.count, p.count) })
	var out []Pocket
	for _, p := range all {
		p.Patches = a.patches(p.voxels)
		if a.backed(&p, out) <= mostBacked && (p.ringed >= mostlyRinged || a.depth(&p) >= leastDeep) {
			a.kept = append(a.kept, p.voxels)
			out = append(out, p)
		} else {
			a.arena.giveBack(p.voxels)
		}
	}
	return out
}

// pocketAt returns the pocket that a voxel lies in, without its patches.
func (a *Air) pocketAt(v voxel) Pocket {
	p := Pocket{voxels: a.arena.set(a.size())}
	a.add(p.voxels, int(v.x), int(v.y), int(v.z))
	a.spread(p.voxels, a.inside, v.z*int32(a.ny)+v.y)
	far := uint16(0)
	a.each(p.voxels, func(x, y, z int) {
		far = max(far, a.distance(voxel{int32(x), int32(y), int32(z)}))
	})
	p.radius = math.Sqrt(float64(far))
	ringed := 0
	for i, w := range p.voxels {
		p.count += bits.OnesCount64(w)
		ringed += bits.OnesCount64(w & a.rings[i])
	}
	p.Width = 2 * p.radius * a.Pitch
	p.ringed = float64(ringed) / float64(p.count)
	p.Volume = float64(p.count) * a.Pitch * a.Pitch * a.Pitch
	return p
}

// patches returns the connected patches of air that touch a pocket, largest
// first.
func (a *Air) patches(pocket set) []Patch {
	touching := a.arena.set(a.size())
	a.beside(touching, pocket)
	for i, air := range a.air {
		touching[i] &= air
	}
	var out []Patch
	a.each(touching, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		if !a.at(touching, v) {
			return
		}
		if p := a.patchAt(v, touching, pocket); p.faces >= leastPatch {
			out = append(out, p)
		}
	})
	a.arena.giveBack(touching)
	slices.SortStableFunc(out, func(p, q Patch) int { return cmp.Compare(q.faces, p.faces) })
	return out
}

// patchAt returns the patch of touching voxels round v, and takes them out.
func (a *Air) patchAt(v voxel, touching, pocket set) Patch {
	a.drop(touching, int(v.x), int(v.y), int(v.z))
	p := Patch{voxels: []voxel{v}}
	for i := 0; i < len(p.voxels); i++ {
		v := p.voxels[i]
		for n := range int32(27) {
			near := v.plus(voxel{n%3 - 1, n/3%3 - 1, n/9 - 1})
			if a.at(touching, near) {
				a.drop(touching, int(near.x), int(near.y), int(near.z))
				p.voxels = append(p.voxels, near)
			}
		}
		for _, d := range sides() {
			if a.at(pocket, v.plus(d)) {
				p.faces++
				p.facing = r3.Sub(p.facing, d.place())
				p.center = r3.Add(p.center, r3.Add(v.place(), r3.Scale(0.5, d.place())))
			}
		}
		p.radius = max(p.radius, float64(a.distance(v)))
	}
	p.radius = math.Sqrt(p.radius)
	p.center = r3.Scale(1/float64(p.faces), p.center)
	p.Center = a.space(p.center)
	p.Facing = unit(a.Frame.Turn(p.facing))
	p.Width = 2 * p.radius * a.Pitch
	return p
}

// backed returns the share of a pocket's wall that has one of the larger
// cavities on its other side, straight through.
func (a *Air) backed(p *Pocket, larger []Pocket) float64 {
	if len(larger) == 0 {
		return 0
	}
	walls, backed := 0, 0
	a.each(p.voxels, func(x, y, z int) {
		for _, d := range sides() {
			v := voxel{int32(x), int32(y), int32(z)}.plus(d)
			if !a.at(a.wall, v) {
				continue
			}
			walls++
			for a.at(a.wall, v) {
				v = v.plus(d)
			}
			if slices.ContainsFunc(larger, func(l Pocket) bool { return a.at(l.voxels, v) }) {
				backed++
			}
		}
	})
	return float64(backed) / float64(max(walls, 1))
}

// depth returns how far a pocket reaches back from where it is open, against
// its lesser width across.
func (a *Air) depth(pocket *Pocket) float64 {
	var facing r3.Vec
	for _, p := range pocket.Patches {
		facing = r3.Add(facing, p.facing)
	}
	if r3.Norm(facing) == 0 {
		return 0
	}
	n := r3.Unit(facing)
	u := r3.Unit(r3.Cross(n, leastAxis(n)))
	w := r3.Cross(n, u)
	near, far := math.Inf(1), math.Inf(-1)
	var count, su, sw, suu, suw, sww float64
	a.each(pocket.voxels, func(x, y, z int) {
		p := r3.Vec{X: float64(x), Y: float64(y), Z: float64(z)}
		b, c, d := r3.Dot(p, u), r3.Dot(p, w), r3.Dot(p, n)
		near, far = min(near, d), max(far, d)
		count++
		su, sw, suu, suw, sww = su+b, sw+c, suu+b*b, suw+b*c, sww+c*c
	})
	su, sw = su/count, sw/count
	uu, uw, ww := suu/count-su*su, suw/count-su*sw, sww/count-sw*sw
	// The lesser principal moment; a strip of width w has w²/12.
	least := (uu+ww)/2 - math.Hypot((uu-ww)/2, uw)
	return (far - near + 1) / math.Sqrt(12*max(least, 1./12))
}

// leastAxis returns the coordinate axis that n leans to least.
func leastAxis(n r3.Vec) r3.Vec {
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case x <= y && x <= z:
		return r3.Vec{X: 1}
	case y <= z:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{Z: 1}
}

// unit returns v at length 1, or zero where it has none.
func unit(v r3.Vec) r3.Vec {
	if n2 := r3.Norm2(v); n2 > 0 {
		return r3.Scale(1/math.Sqrt(n2), v)
	}
	return r3.Vec{}
}
