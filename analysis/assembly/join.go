package assembly

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// bite is how far joined pieces reach into each other where they cannot be
// welded, so that no section finds a slit between them: as a share of the gap
// that is closed at most, which makes about 0.02 mm.
const bite = 1.0 / 16

// Joined is several pieces as one.
type Joined struct {
	Mesh  *mesh.Mesh
	Alone []bool   // by piece: no face or border of it lies on another's
	Apart []bool   // by piece: it lies clear of all others
	Seams []r3.Vec // points spread over the faces that lie on each other
}

// Join returns the shell that pieces make together, as they lie. Where every
// cut has the same corners on both its sides, as cutting a mesh leaves it, the
// cut faces are taken out and the pieces welded: closed pieces give one closed
// shell. Else they are put together as they are, each cut face moved over
// half of the gap and a little into the other piece.
func Join(pieces ...*mesh.Mesh) Joined {
	j := newJoint(pieces)
	out := Joined{Alone: j.alone, Apart: j.apart, Seams: j.seams}
	welded, ok := j.weld()
	if out.Mesh = welded; !ok {
		out.Mesh = j.overlap()
	}
	return out
}

// joint is pieces that are put together.
type joint struct {
	pieces   []*mesh.Mesh
	surfaces []*surface
	rims     []*Rims
	from     [][]uint32 // by piece: of each facet of its rims the number in the piece
	first    []uint32   // by piece: what is added to the numbers of its vertices in the whole
	cuts     []cut

	alone, apart []bool   // as in Joined
	seams        []r3.Vec // likewise
}

// cut is the facets of one piece that lie on another, facing it.
type cut struct {
	piece, other int
	facets       []uint32 // of the piece
	reach        float64
}

func newJoint(pieces []*mesh.Mesh) *joint {
	pieces = slices.Clone(pieces)
	for i, m := range pieces {
		pieces[i] = m.Outward()
	}
	j := &joint{pieces: pieces}
	var count uint32
	for _, m := range pieces {
		s := newSurface(m, 1)
		r, from := s.rims()
		j.surfaces, j.rims, j.from = append(j.surfaces, s), append(j.rims, r), append(j.from, from)
		j.first = append(j.first, count)
		count += uint32(m.Vertices())
		j.alone, j.apart = append(j.alone, true), append(j.apart, true)
	}
	for a := range pieces {
		for b := range pieces {
			if a != b {
				j.find(a, b)
			}
		}
	}
	return j
}

// find looks for piece b at piece a.
func (j *joint) find(a, b int) {
	p := pair{j.rims[a], j.rims[b], reachOf(j.rims[a], j.rims[b])}
	if p.apart() {
		return
	}
	j.apart[a] = false
	c := p.contact(against)
	if c == (Contact{}) {
		return
	}
	j.alone[a] = false
	if c.Area > 0 {
		j.note(a, b, p)
	}
}

// note notes the faces of piece a that lie on piece b.
func (j *joint) note(a, b int, p pair) {
	onB, coverA := p.a.hits(p.b, against, p.reach)
	onA, coverB := p.b.hits(p.a, against, p.reach)
	met := make([]bool, p.a.faces())
	for _, h := range onB {
		if coverA[h.face] >= covered || coverB[h.other] >= covered {
			met[h.face] = true
			j.seams = append(j.seams, h.at)
		}
	}
	for _, h := range onA { // small faces of b on a large one of a
		met[h.other] = met[h.other] || coverB[h.face] >= covered
	}
	c := cut{piece: a, other: b, reach: p.reach}
	for i, yes := range met {
		if yes {
			c.facets = append(c.facets, j.from[a][p.a.Starts[i]:p.a.Starts[i+1]]...)
		}
	}
	j.cuts = append(j.cuts, c)
}

// whole returns all pieces as one mesh, merging nothing.
func (j *joint) whole() *mesh.Mesh {
	out := &mesh.Mesh{}
	for i, m := range j.pieces {
		out.X, out.Y, out.Z = append(out.X, m.X...), append(out.Y, m.Y...), append(out.Z, m.Z...)
		for _, v := range m.T {
			out.T = append(out.T, j.first[i]+v)
		}
	}
	return out
}

// overlap returns the whole with every cut face moved against the other one. A
// corner of several cuts goes as far as each wants it to.
func (j *joint) overlap() *mesh.Mesh {
	out := j.whole()
	for _, c := range j.cuts {
		corners, moves := j.moves(c)
		for i, v := range corners {
			at := j.first[c.piece] + v
			p := r3.Add(out.At(at), moves[i])
			out.X[at], out.Y[at], out.Z[at] = float32(p.X), float32(p.Y), float32(p.Z)
		}
	}
	return out
}

// moves returns the corners of a cut face and how each is to move: over half of
// the gap found there (the mean one where nothing is opposite) and a bite.
func (j *joint) moves(c cut) (corners []uint32, moves []r3.Vec) {
	m, other := j.pieces[c.piece], j.rims[c.other].index()
	number := map[uint32]int{}
	for _, t := range c.facets {
		a, b, d := m.Corners(int(t))
		cross := r3.Cross(r3.Sub(b, a), r3.Sub(d, a))
		for _, v := range m.T[3*t : 3*t+3] {
			i, known := number[v]
			if !known {
				i = len(corners)
				number[v] = i
				corners, moves = append(corners, v), append(moves, r3.Vec{})
			}
			moves[i] = r3.Add(moves[i], cross)
		}
	}
	gaps := make([]float64, len(corners))
	var sum, found float64
	for i, v := range corners {
		gaps[i] = math.NaN()
		if n := r3.Norm(moves[i]); n > 0 {
			moves[i] = r3.Scale(1/n, moves[i])
		}
		if _, foot, ok := other.near(m.At(v), moves[i], against, c.reach); ok {
			gaps[i] = r3.Dot(moves[i], r3.Sub(foot, m.At(v)))
			sum, found = sum+gaps[i], found+1
		}
	}
	for i, g := range gaps {
		if math.IsNaN(g) {
			g = sum / max(1, found)
		}
		moves[i] = r3.Scale(max(0, g/2+bite*c.reach), moves[i])
	}
	return corners, moves
}
