package analysis

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/gob"
	"io"

	"gambeson/analysis/likeness"
)

// Kinship finds how the parts of a suit are alike, and remembers what it found
// of each pair of shapes, so that only those that it has not seen are compared.
// The zero Kinship remembers nothing.
type Kinship struct {
	known map[pairOfShapes]*Changed // nil where they are no kin
}

// pairOfShapes names two shapes, the older one first, by hashes of them.
type pairOfShapes [2][16]byte

// Among returns what Nearest(Kin(findings)) does, and whether any pair had to be
// compared for it. What it remembers of other pairs is forgotten.
func (k *Kinship) Among(findings []*Findings) (all []Relation, compared bool) {
	s := kinSearch{known: k.known, used: map[pairOfShapes]*Changed{}}
	for _, f := range findings {
		if f == nil || f.Shape == nil {
			continue
		}
		if r, found := s.nearest(f); found {
			all = append(all, r)
		}
	}
	forgotten := len(s.used) != len(k.known)
	k.known = s.used
	return all, s.compared || forgotten
}

// kinSearch is one finding of kin.
type kinSearch struct {
	known, used map[pairOfShapes]*Changed
	compared    bool

	index likeness.Index
	parts []*Findings // in the index
	names [][16]byte  // of their shapes
}

// nearest returns what a part is of one before it. Those that could say most are
// looked at first, and no more when none of the others can say more.
func (s *kinSearch) nearest(f *Findings) (best Relation, found bool) {
	name := nameOfShape(f.Shape)
	near := s.index.Near(f.Shape)
	s.index.Add(f.Shape)
	s.parts, s.names = append(s.parts, f), append(s.names, name)
	at := 0
	for _, list := range []struct {
		places []int
		least  int // rank of what is found there
	}{{near.Alike, 0}, {near.Rescaled, rankRescaled}, {near.Axes, rankAxes}} {
		for _, i := range list.places {
			if found && (best.rank() < list.least || best.rank() == list.least && at < i) {
				break
			}
			c := s.related(i, f, name)
			if c == nil {
				continue
			}
			r := kin(s.parts[i].Part, f.Part, c)
			if !found || r.rank() < best.rank() || r.rank() == best.rank() && i < at {
				best, at, found = r, i, true
			}
		}
	}
	return best, found
}

// related tells what a part is of the one at a place, nil where it is no kin.
func (s *kinSearch) related(place int, f *Findings, name [16]byte) *Changed {
	pair := pairOfShapes{s.names[place], name}
	c, ok := s.used[pair]
	if ok {
		return c
	}
	if c, ok = s.known[pair]; !ok {
		s.compared = true
		if r, related := likeness.Related(s.parts[place].Shape, f.Shape); related {
			c = told(r)
		}
	}
	s.used[pair] = c
	return c
}

// nameOfShape hashes all that a shape holds.
func nameOfShape(s *Shape) (name [16]byte) {
	h := sha256.New()
	_ = binary.Write(h, binary.LittleEndian, struct { // a hash takes all
		Triangles, Anchors, Sample    int64
		Low, High                     [3]float64
		Grain, AreaDoubt, VolumeDoubt float64
		Closed                        bool
		Surface, Solid, Corners       likeness.Moments
	}{
		int64(s.Triangles), int64(len(s.Anchors)), int64(len(s.Sample)),
		s.Low, s.High, s.Grain, s.AreaDoubt, s.VolumeDoubt, s.Closed, s.Surface, s.Solid, s.Corners,
	})
	_ = binary.Write(h, binary.LittleEndian, s.Anchors)
	_ = binary.Write(h, binary.LittleEndian, s.Sample)
	return [16]byte(h.Sum(nil))
}

// kinshipForm names the form in which a Kinship is written.
const kinshipForm = "gambeson kinship 1"

// Write writes what is remembered, for Read. It holds no names of parts.
func (k *Kinship) Write(w io.Writer, version string) error {
	flat := keptKinship{Form: kinshipForm + " " + version}
	for pair, c := range k.known {
		p := keptPair{Pair: pair}
		if c != nil {
			p.Kin, p.Is = true, *c
		}
		flat.Pairs = append(flat.Pairs, p)
	}
	return gob.NewEncoder(w).Encode(flat)
}

// Read takes up what Write wrote with the same version of the program, and
// nothing else.
func (k *Kinship) Read(r io.Reader, version string) {
	var flat keptKinship
	if gob.NewDecoder(r).Decode(&flat) != nil || flat.Form != kinshipForm+" "+version {
		return
	}
	k.known = map[pairOfShapes]*Changed{}
	for _, p := range flat.Pairs {
		var c *Changed
		if p.Kin {
			c = &p.Is
		}
		k.known[p.Pair] = c
	}
}

type keptKinship struct {
	Form  string
	Pairs []keptPair
}

type keptPair struct {
	Pair pairOfShapes
	Kin  bool
	Is   Changed
}
