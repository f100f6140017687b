package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sides is what tells cheaply whether rims may meet others: how each face and
// each border lies. The zero Sides meet nothing.
type Sides struct {
	box     box
	faces   []lying // the lowest first, as their boxes begin
	borders []box
}

// lying is a face: where it lies, its mean direction, and the widest angle
// between that and a facet of it.
type lying struct {
	box  box
	mean [3]float32
	lean float32 // radians
}

// box holds low and high corner, rounded outwards where float32 does not have them.
type box struct{ low, high [3]float32 }

// nowhere is the box of nothing.
var nowhere = func() box {
	far := float32(math.Inf(1))
	return box{[3]float32{far, far, far}, [3]float32{-far, -far, -far}}
}()

// take widens a box by another.
func (a *box) take(b *box) {
	for k := range 3 {
		if b.low[k] < a.low[k] {
			a.low[k] = b.low[k]
		}
		if b.high[k] > a.high[k] {
			a.high[k] = b.high[k]
		}
	}
}

// wide returns the same box with numbers that are wider.
func (a *box) wide() r3.Box {
	at := func(p [3]float32) r3.Vec { return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])} }
	return r3.Box{Min: at(a.low), Max: at(a.high)}
}

// Sides returns the sides of the rims, in mm times scale.
func (r *Rims) Sides(scale float64) Sides {
	s := Sides{box: boxOf(r.Box, scale)}
	for i := range r.faces() {
		s.faces = append(s.faces, r.lying(i, scale))
	}
	slices.SortStableFunc(s.faces, func(a, b lying) int { return cmp.Compare(a.box.low[2], b.box.low[2]) })
	for _, b := range r.borderBoxes() {
		s.borders = append(s.borders, boxOf(b, scale))
	}
	return s
}

// lying describes one face.
func (r *Rims) lying(i int, scale float64) lying {
	around := r3.Box{Min: vec(math.Inf(1)), Max: vec(math.Inf(-1))}
	var sum r3.Vec
	var normals []r3.Vec
	for t := r.Starts[i]; t < r.Starts[i+1]; t++ {
		a, b, c := r.Facets.Corners(t)
		around = grown(grown(grown(around, a), b), c)
		if n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)); r3.Norm2(n) > 0 {
			sum, normals = r3.Add(sum, n), append(normals, r3.Unit(n))
		}
	}
	s := lying{box: boxOf(around, scale), lean: math.Pi}
	if r3.Norm2(sum) == 0 {
		return s // it goes all the way round
	}
	mean, lean := r3.Unit(sum), 1.0
	for _, n := range normals {
		lean = min(lean, r3.Dot(mean, n))
	}
	s.mean, s.lean = [3]float32{float32(mean.X), float32(mean.Y), float32(mean.Z)}, float32(math.Acos(max(-1, lean)))
	return s
}

func boxOf(b r3.Box, scale float64) box {
	down := func(x float64) float32 { return math.Nextafter32(float32(scale*x), float32(math.Inf(-1))) }
	up := func(x float64) float32 { return math.Nextafter32(float32(scale*x), float32(math.Inf(1))) }
	return box{
		[3]float32{down(b.Min.X), down(b.Min.Y), down(b.Min.Z)},
		[3]float32{up(b.Max.X), up(b.Max.Y), up(b.Max.Z)},
	}
}

// near reports whether two boxes come within the widest gap.
func (a *box) near(b *box) bool {
	for k := range 3 {
		if a.low[k] > b.high[k]+gap || b.low[k] > a.high[k]+gap {
			return false
		}
	}
	return true
}

// MayMeet reports whether two parts may meet as the pieces of a shell do: where
// it is false, Touch finds no contact of theirs but that of rivals.
func MayMeet(a, b *Sides) bool {
	if !a.box.near(&b.box) {
		return false
	}
	if mayFace(a.faces, b.faces) {
		return true
	}
	for i := range a.borders {
		for j := range b.borders {
			if a.borders[i].near(&b.borders[j]) {
				return true
			}
		}
	}
	return false
}

// mayFace reports whether a face of the one part may lie on one of the other. It goes
// up both at once: each face is held against those of the other part that began before
// it and have not ended.
func mayFace(a, b []lying) bool {
	var open, against []*lying // of a, of b
	for len(a) > 0 {
		if len(b) > 0 && b[0].box.low[2] < a[0].box.low[2] {
			a, b, open, against = b, a, against, open
		}
		next := &a[0]
		a = a[1:]
		against = slices.DeleteFunc(against, func(o *lying) bool { return next.box.low[2] > o.box.high[2]+gap })
		for _, o := range against {
			if next.box.near(&o.box) && next.faces(o) {
				return true
			}
		}
		open = append(open, next)
		if len(a) == 0 {
			a, b, open, against = b, a, against, open
		}
	}
	return false
}

// faces reports whether a facet of one face may face one of the other, leaning
// no more than those that meet do.
func (s *lying) faces(o *lying) bool {
	cosine := -(s.mean[0]*o.mean[0] + s.mean[1]*o.mean[1] + s.mean[2]*o.mean[2])
	if cosine >= facing {
		return true
	}
	const slack = 1e-3 // of rounding
	return math.Acos(max(-1, float64(cosine))) <= mostLean+float64(s.lean+o.lean)+slack
}

// mostLean is the angle of facing.
var mostLean = math.Acos(facing)
