package mesh

import (
	"runtime"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Kinds of defects, as the findings name them. A corner that is no number is none of
// them: such a file is refused while it is read, with the place, for a shell with a hole
// nobody knows of is not to be judged. Nor are walls that run through one another, which
// are not looked for: girths are taken from the air inside, and are not harmed.
const (
	DefectOpen      = "open-edge"         // an edge with a facet on one side only
	DefectBranching = "non-manifold-edge" // an edge with more than two facets
	DefectFlipped   = "flipped"           // a facet that faces inward
	DefectSliver    = "sliver"            // a facet too thin to have a direction
	DefectDuplicate = "duplicate"         // a facet that is there already
)

// Condition says how sound a mesh is.
type Condition struct {
	// Closed says that the surface has no rim: every edge has two facets,
	// or another even number.
	Closed bool
	// Components is the number of shells: facets that hang together by edges.
	Components int
	// Defects holds the kinds that were found, in the order of the constants.
	Defects []Defect
	// Flipped are the facets that face inward, in rising order.
	Flipped []uint32
}

// Defect counts one kind of fault and shows one place of it.
type Defect struct {
	Kind  string
	Count int    // edges, or facets, as the kind says
	Where r3.Vec // mm; the middle of the first such edge or facet
}

// count counts one more at a place, and keeps the first place.
func (d *Defect) count(where r3.Vec) { d.add(Defect{Count: 1, Where: where}) }

// add adds what another of the same kind counted, whose places come later.
func (d *Defect) add(more Defect) {
	if d.Count == 0 {
		d.Where = more.Where
	}
	d.Count += more.Count
}

// Condition examines m, in time and memory proportional to its size.
//
// An edge is open where one facet has it, branching where more than two have
// it. The facets to be turned round so that all agree with their neighbours
// are flipped: in a shell without rim those that then face inward, all of
// them where the whole shell is inside out, unless it bounds a hollow in
// another; in a shell with a rim the fewer ones. A facet is a sliver where it
// is less high than m's tolerance, for then the rounding of its corners, not
// their place, gives its direction. A duplicate has the three corners of
// another facet, in whatever order, and each but the first is counted.
func (m *Mesh) Condition() Condition {
	defects := []Defect{{Kind: DefectOpen}, {Kind: DefectBranching},
		{Kind: DefectFlipped}, {Kind: DefectSliver}, {Kind: DefectDuplicate}}
	open, branching, flipped, sliver, duplicate := &defects[0], &defects[1], &defects[2], &defects[3], &defects[4]
	c := Condition{Closed: m.Triangles() > 0}
	s := newSheets(m)
	m.eachEdge(func(low, high uint32, uses []use) {
		switch {
		case len(uses) == 1:
			open.count(m.middle(low, high))
		case len(uses) > 2:
			branching.count(m.middle(low, high))
		}
		if len(uses)%2 == 1 {
			c.Closed = false
		}
		if !s.edge(uses) {
			flipped.count(m.middle(low, high))
		}
		m.duplicates(low, high, uses, duplicate)
	})
	s.number()
	c.Flipped = s.flipped(flipped)
	c.Components = s.shells()
	m.slivers(sliver)
	for _, d := range defects {
		if d.Count > 0 {
			c.Defects = append(c.Defects, d)
		}
	}
	return c
}

// with returns c with d added to the defects of its kind.
func (c Condition) with(d Defect) Condition {
	if d.Count == 0 {
		return c
	}
	c.Defects = slices.Clone(c.Defects)
	for i := range c.Defects {
		if c.Defects[i].Kind == d.Kind {
			c.Defects[i].add(d)
			return c
		}
	}
	at := slices.IndexFunc(c.Defects, func(o Defect) bool { return o.Kind == DefectDuplicate })
	if at < 0 {
		at = len(c.Defects)
	}
	c.Defects = slices.Insert(c.Defects, at, d)
	return c
}

// slivers counts the facets less high than the tolerance, block by block on all
// processors.
func (m *Mesh) slivers(d *Defect) {
	tolerance := m.tolerance()
	parts := make([]Defect, m.blocks())
	Share(len(parts), runtime.GOMAXPROCS(0), func(i, _ int) {
		corners := m.block(i)
		for t := 0; t+2 < len(corners); t += 3 {
			a, b, c := m.At(corners[t]), m.At(corners[t+1]), m.At(corners[t+2])
			ab, ac, bc := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(c, b)
			longest := max(r3.Norm2(ab), r3.Norm2(ac), r3.Norm2(bc))
			// height = |cross| / longest side
			if r3.Norm2(r3.Cross(ab, ac)) <= tolerance*tolerance*longest {
				parts[i].count(m.centre(i*blockFacets + t/3))
			}
		}
	})
	for _, part := range parts {
		d.add(part)
	}
}

// duplicates counts the facets at an edge that share their third corner, and
// so all three. Each is met at its three edges and counted at that of its two
// lowest corners.
func (m *Mesh) duplicates(low, high uint32, uses []use, d *Defect) {
	if len(uses) == 2 { // as nearly all
		a, b := uses[0].facet(), uses[1].facet()
		if third := m.third(a, low, high); third > high && third == m.third(b, low, high) {
			d.count(m.centre(int(b)))
		}
		return
	}
	var thirds []uint64 // third corner << 32 | facet
	for _, u := range uses[1:] {
		thirds = append(thirds, uint64(m.third(u.facet(), low, high))<<32|uint64(u.facet()))
	}
	if len(thirds) == 0 {
		return
	}
	thirds = append(thirds, uint64(m.third(uses[0].facet(), low, high))<<32|uint64(uses[0].facet()))
	slices.Sort(thirds)
	for i := 1; i < len(thirds); i++ {
		if third := uint32(thirds[i] >> 32); third > high && third == uint32(thirds[i-1]>>32) {
			d.count(m.centre(int(uint32(thirds[i]))))
		}
	}
}

// third returns the corner of facet t that is neither low nor high.
func (m *Mesh) third(t, low, high uint32) uint32 {
	// Exclusive or leaves what is there once.
	return m.T[3*t] ^ m.T[3*t+1] ^ m.T[3*t+2] ^ low ^ high
}

func (m *Mesh) middle(a, b uint32) r3.Vec { return r3.Scale(0.5, r3.Add(m.At(a), m.At(b))) }

func (m *Mesh) centre(t int) r3.Vec {
	a, b, c := m.Corners(t)
	return r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
}
