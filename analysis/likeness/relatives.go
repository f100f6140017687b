package likeness

import "math"

// Relative is a pair of shapes of which the later is the earlier, moved,
// turned, mirrored or rescaled.
type Relative struct {
	Earlier, Later int // places in the list
	Relation
}

// fewest is the least number of facets by which parts rescaled by axes count as
// relatives: any box is any other rescaled so.
const fewest = 50

// Relatives returns all pairs of relatives in a list, by their places. Parts of
// which one is cut from the other are none, nor are those rescaled by axes
// unless they have the same facets.
func Relatives(all []Signature) []Relative {
	var found []Relative
	for later := range all {
		for earlier := range later {
			old, new := &all[earlier], &all[later]
			if !related(old, new) {
				continue
			}
			r := Compare(*old, *new)
			if r.Kind == Edited || r.Axes != [3]float64{} && (old.Triangles != new.Triangles || new.Triangles < fewest) {
				continue
			}
			found = append(found, Relative{Earlier: earlier, Later: later, Relation: r})
		}
	}
	return found
}

// related is the cheap question first: similar shapes have as much area for
// their spread, and others only the same facets.
func related(a, b *Signature) bool {
	if a.Empty() || b.Empty() {
		return false
	}
	if a.Triangles == b.Triangles {
		return true
	}
	p, q := a.compactness(), b.compactness()
	return math.Abs(p-q) <= 1e-3*math.Abs(p)
}

// compactness returns the area over its mean square distance from the middle,
// which no turn and no uniform scale changes.
func (s *Signature) compactness() float64 {
	return s.Surface.Weight * s.Surface.Weight / trace(&s.Surface)
}
