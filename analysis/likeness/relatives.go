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
			old, new := &all[earlier], &all[later]
			if old.Empty() || new.Empty() {
				continue
			}
			if c := (comparison{old: old, new: new}); old.Triangles != new.Triangles && !c.similar() {
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

// compactness returns the area over its mean square distance from the middle,
// which no turn and no uniform scale changes.
func (s *Signature) compactness() float64 {
	return s.Surface.Weight * s.Surface.Weight / trace(&s.Surface)
}
