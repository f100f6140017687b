package likeness

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
			if r, ok := Related(&all[earlier], &all[later]); ok {
				found = append(found, Relative{Earlier: earlier, Later: later, Relation: r})
			}
		}
	}
	return found
}

// Related tells what of an earlier shape a later one is; ok is false where they
// are no relatives.
func Related(old, new *Signature) (r Relation, ok bool) {
	if old.Empty() || new.Empty() {
		return r, false
	}
	c := comparison{old: old, new: new}
	if old.Triangles != new.Triangles && !c.similar() {
		return r, false
	}
	r = c.compare()
	if r.Kind == Edited || r.Axes != [3]float64{} && (old.Triangles != new.Triangles || new.Triangles < fewest) {
		return r, false
	}
	return r, true
}

// compactness returns the area over its mean square distance from the middle,
// which no turn and no uniform scale changes.
func (s *Signature) compactness() float64 {
	return s.Surface.Weight * s.Surface.Weight / trace(&s.Surface)
}
