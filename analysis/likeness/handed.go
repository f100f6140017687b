package likeness

// asymmetric is how exactly a shape has to be its own mirror image, mm: as if its
// places were written in steps of so much. A guess: far above the rounding of files
// with two decimals, far below what anybody would see of a toe that points inward.
const asymmetric = 0.02

// Handed reports whether a shape is not its own mirror image, as a shoe or a glove
// is not. One of which nothing is known is not.
func (s *Signature) Handed() bool {
	if s.Empty() || !(s.Surface.Weight > 0) {
		return false
	}
	old := *s
	old.Grain = max(old.Grain, asymmetric)
	new := old.mirrored()
	c := comparison{old: &old, new: &new}
	for by := range c.candidates {
		if !by.alike {
			break // those that follow change angles
		}
		if determinant(by.Linear) > 0 && c.proof(by) != refuted {
			return false
		}
	}
	return true
}

// mirrored returns the signature of the mirror image along x.
func (s *Signature) mirrored() Signature {
	out := *s
	by := Map{Linear: diagonal([3]float64{-1, 1, 1})}
	out.Low[0], out.High[0] = -s.High[0], -s.Low[0]
	out.Surface, out.Solid, out.Corners = s.Surface.mapped(by, 1), s.Solid.mapped(by, 1), s.Corners.mapped(by, 1)
	out.Anchors, out.Sample = turnedRound(s.Anchors), turnedRound(s.Sample)
	return out
}

// turnedRound returns places with x turned round.
func turnedRound(places [][3]float32) [][3]float32 {
	out := make([][3]float32, len(places))
	for i, p := range places {
		out[i] = [3]float32{-p[0], p[1], p[2]}
	}
	return out
}
