package cavity

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/cavity/grid"

	"gonum.org/v1/gonum/spatial/r3"
)

// hollow is a connected set of inside voxels.
type hollow struct {
	voxels  grid.Set
	volume  int     // voxels
	radius  float64 // of the greatest ball about a voxel of it, in voxels
	ringed  float64 // share of it that lies in a ring
	patches []patch // where it meets other air, largest first
}

// patch is a connected set of air voxels that touch a hollow from outside.
type patch struct {
	voxels []voxel
	center r3.Vec  // mean of the faces between hollow and patch, in voxels
	facing r3.Vec  // sum of the faces' normals, out of the hollow
	faces  int     // their number
	radius float64 // of the greatest ball about a voxel of it, in voxels
}

// voxel is a place in the grid.
type voxel struct{ x, y, z int32 }

// at returns the middle of the voxel in voxels.
func (v voxel) at() r3.Vec { return r3.Vec{X: float64(v.x), Y: float64(v.y), Z: float64(v.z)} }

func (v voxel) plus(d voxel) voxel { return voxel{v.x + d.x, v.y + d.y, v.z + d.z} }

// sides are the six ways out of a voxel.
func sides() [6]voxel {
	return [6]voxel{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}
}

// survey is a part drawn into a grid, with what was found out about its air.
type survey struct {
	*grid.Grid
	inside, rings grid.Set
	far           grid.Distances
}

func (s *survey) has(set grid.Set, v voxel) bool {
	return v.x >= 0 && v.y >= 0 && v.z >= 0 && int(v.x) < s.NX && int(v.y) < s.NY && int(v.z) < s.NZ &&
		s.Has(set, int(v.x), int(v.y), int(v.z))
}

// distance returns the squared distance from a voxel to the wall, in voxels².
func (s *survey) distance(v voxel) uint16 {
	return s.far[(int(v.z)*s.NY+int(v.y))*s.NX+int(v.x)]
}

// What tells a cavity from an outside hollow: the inner corner of an L, the
// space between two legs, the back of a plate. All guesses, set between the
// shapes of the tests.
const (
	// mostBacked is the share of a hollow's wall that may be the outside of a
	// larger cavity.
	mostBacked = 0.5
	// mostlyRinged is the share of a hollow in rings that makes it a cavity
	// however shallow it is.
	mostlyRinged = 0.5
	// leastDeep is how deep any other hollow must be, against its width: an arc
	// of 180° has 0.58, of 120° 0.35, of 90° 0.25.
	leastDeep = 0.25
	// leastPatch is the number of faces below which a patch is a freckle.
	leastPatch = 12
)

// hollows returns the cavities of the part, largest first. Each holds a ball of
// the given radius in voxels.
func (s *survey) hollows(radius float64, arena *grid.Arena) []hollow {
	done := arena.Set(s.Size())
	var all []hollow
	s.Each(s.inside, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		if float64(s.distance(v)) < radius*radius || s.Has(done, x, y, z) {
			return
		}
		h := s.hollowAt(v, arena)
		for i, w := range h.voxels {
			done[i] |= w
		}
		if float64(h.volume) >= 4./3*math.Pi*radius*radius*radius {
			all = append(all, h)
		} else {
			arena.GiveBack(h.voxels)
		}
	})
	arena.GiveBack(done)
	slices.SortStableFunc(all, func(a, b hollow) int { return cmp.Compare(b.volume, a.volume) })
	var out []hollow
	for _, h := range all {
		h.patches = s.patches(h.voxels, arena)
		if s.backed(h, out) <= mostBacked && (h.ringed >= mostlyRinged || s.depth(h) >= leastDeep) {
			out = append(out, h)
		} else {
			arena.GiveBack(h.voxels)
		}
	}
	return out
}

// hollowAt returns the hollow that a voxel lies in.
func (s *survey) hollowAt(v voxel, arena *grid.Arena) hollow {
	h := hollow{voxels: arena.Set(s.Size())}
	s.Add(h.voxels, int(v.x), int(v.y), int(v.z))
	s.Spread(h.voxels, s.inside, v.z*int32(s.NY)+v.y)
	ringed := 0
	s.Each(h.voxels, func(x, y, z int) {
		h.volume++
		h.radius = max(h.radius, float64(s.distance(voxel{int32(x), int32(y), int32(z)})))
		if s.Has(s.rings, x, y, z) {
			ringed++
		}
	})
	h.radius = math.Sqrt(h.radius)
	h.ringed = float64(ringed) / float64(h.volume)
	return h
}

// patches returns the connected patches of air that touch a hollow, largest
// first.
func (s *survey) patches(hollow grid.Set, arena *grid.Arena) []patch {
	touching := arena.Set(s.Size())
	s.Beside(touching, hollow)
	for i, air := range s.Air {
		touching[i] &= air
	}
	var out []patch
	s.Each(touching, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		if !s.has(touching, v) {
			return
		}
		if p := s.patchAt(v, touching, hollow); p.faces >= leastPatch {
			out = append(out, p)
		}
	})
	arena.GiveBack(touching)
	slices.SortStableFunc(out, func(a, b patch) int { return cmp.Compare(b.faces, a.faces) })
	return out
}

// patchAt returns the patch of touching voxels round v, and takes them out.
func (s *survey) patchAt(v voxel, touching, hollow grid.Set) patch {
	s.Drop(touching, int(v.x), int(v.y), int(v.z))
	p := patch{voxels: []voxel{v}}
	for i := 0; i < len(p.voxels); i++ {
		v := p.voxels[i]
		for n := range int32(27) {
			near := v.plus(voxel{n%3 - 1, n/3%3 - 1, n/9 - 1})
			if s.has(touching, near) {
				s.Drop(touching, int(near.x), int(near.y), int(near.z))
				p.voxels = append(p.voxels, near)
			}
		}
		for _, d := range sides() {
			if s.has(hollow, v.plus(d)) {
				p.faces++
				p.facing = r3.Sub(p.facing, d.at())
				p.center = r3.Add(p.center, r3.Add(v.at(), r3.Scale(0.5, d.at())))
			}
		}
		p.radius = max(p.radius, float64(s.distance(v)))
	}
	p.radius = math.Sqrt(p.radius)
	p.center = r3.Scale(1/float64(p.faces), p.center)
	return p
}

// backed returns the share of a hollow's wall that has one of the larger
// cavities on its other side, straight through.
func (s *survey) backed(h hollow, larger []hollow) float64 {
	walls, backed := 0, 0
	s.Each(h.voxels, func(x, y, z int) {
		for _, d := range sides() {
			v := voxel{int32(x), int32(y), int32(z)}.plus(d)
			if !s.has(s.Wall, v) {
				continue
			}
			walls++
			for s.has(s.Wall, v) {
				v = v.plus(d)
			}
			if slices.ContainsFunc(larger, func(l hollow) bool { return s.has(l.voxels, v) }) {
				backed++
			}
		}
	})
	return float64(backed) / float64(max(walls, 1))
}

// depth returns how far a hollow reaches back from where it is open, against
// its lesser width across.
func (s *survey) depth(h hollow) float64 {
	var facing r3.Vec
	for _, p := range h.patches {
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
	s.Each(h.voxels, func(x, y, z int) {
		p := r3.Vec{X: float64(x), Y: float64(y), Z: float64(z)}
		a, b, d := r3.Dot(p, u), r3.Dot(p, w), r3.Dot(p, n)
		near, far = min(near, d), max(far, d)
		count++
		su, sw, suu, suw, sww = su+a, sw+b, suu+a*a, suw+a*b, sww+b*b
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
