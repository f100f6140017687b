package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// turned returns m with some of its triangles turned round.
func turned(m *Mesh, facets ...int) *Mesh {
	out := m.Clone()
	for _, t := range facets {
		out.T[3*t+1], out.T[3*t+2] = out.T[3*t+2], out.T[3*t+1]
	}
	return out
}

// without returns m without some of its triangles.
func without(m *Mesh, facets ...int) *Mesh {
	out := m.Clone()
	out.T = nil
	for t := range m.Triangles() {
		drop := false
		for _, d := range facets {
			drop = drop || t == d
		}
		if !drop {
			out.T = append(out.T, m.T[3*t:3*t+3]...)
		}
	}
	return out
}

// more returns m with triangles added.
func more(m *Mesh, corners ...uint32) *Mesh {
	out := m.Clone()
	out.T = append(out.T, corners...)
	return out
}

func insideOut(m *Mesh) *Mesh {
	out := m.Clone()
	out.Flip()
	return out
}

func moebius(n int) *Mesh {
	m := &Mesh{}
	for i := range n {
		turn := 2 * math.Pi * float64(i) / float64(n)
		for _, side := range []float64{-5, 5} {
			r := 30 + side*math.Cos(turn/2)
			m.AddVertex(r3.Vec{X: r * math.Cos(turn), Y: r * math.Sin(turn), Z: side * math.Sin(turn/2)})
		}
	}
	for i := range uint32(n) {
		a, b, c, d := 2*i, 2*i+1, 2*i+2, 2*i+3
		if i == uint32(n-1) {
			c, d = 1, 0
		}
		m.AddTriangle(a, c, b)
		m.AddTriangle(b, c, d)
	}
	return m
}

// Two cubes, the second on the first's corner edge, with the edge's two
// corners shared: the edge has four facets.
func cubesAtAnEdge() *Mesh {
	m := together(cube(1, r3.Vec{}), cube(1, r3.Vec{X: 1, Y: 1}))
	for i, v := range m.T {
		switch v {
		case 8:
			m.T[i] = 3
		case 12:
			m.T[i] = 7
		}
	}
	return m
}

func TestCondition(t *testing.T) {
	box := cube(10, r3.Vec{})
	inner := cube(4, r3.Vec{X: 3, Y: 3, Z: 3})
	type counts map[string]int
	for name, c := range map[string]struct {
		m          *Mesh
		closed     bool
		components int
		defects    counts
	}{
		"empty":                         {&Mesh{}, false, 0, counts{}},
		"cube":                          {box, true, 1, counts{}},
		"limb":                          {limb(20, 40), true, 1, counts{}},
		"two cubes":                     {together(box, cube(1, r3.Vec{X: 20})), true, 2, counts{}},
		"one facet missing":             {without(box, 5), false, 1, counts{DefectOpen: 3}},
		"one side missing":              {without(box, 4, 5), false, 1, counts{DefectOpen: 4}},
		"one facet flipped":             {turned(box, 7), true, 1, counts{DefectFlipped: 1}},
		"the first facet flipped":       {turned(box, 0), true, 1, counts{DefectFlipped: 1}},
		"three facets flipped":          {turned(box, 0, 4, 11), true, 1, counts{DefectFlipped: 3}},
		"inside out":                    {insideOut(box), true, 1, counts{DefectFlipped: 12}},
		"inside out but for two":        {turned(insideOut(box), 3, 4), true, 1, counts{DefectFlipped: 10}},
		"hollow":                        {together(box, insideOut(inner)), true, 2, counts{}},
		"hollow, one facet flipped":     {turned(together(box, insideOut(inner)), 12), true, 2, counts{DefectFlipped: 1}},
		"one of two inside out":         {together(box, insideOut(cube(4, r3.Vec{X: 20}))), true, 2, counts{DefectFlipped: 12}},
		"turned one in the box of an L": {together(ell(), insideOut(cube(2, r3.Vec{X: 6, Y: 6, Z: 1}))), true, 2, counts{DefectFlipped: 12}},
		"hollow in an L":                {together(ell(), insideOut(cube(2, r3.Vec{X: 1, Y: 1, Z: 1}))), true, 2, counts{}},
		"a flipped facet and a rim":     {turned(without(box, 5), 0), false, 1, counts{DefectOpen: 3, DefectFlipped: 1}},
		"inside out with a rim":         {insideOut(without(box, 5)), false, 1, counts{DefectOpen: 3}},
		"a duplicate":                   {more(box, box.T[3:6]...), false, 1, counts{DefectBranching: 3, DefectDuplicate: 1}},
		"a duplicate turned round":      {more(box, box.T[5], box.T[4], box.T[3]), false, 1, counts{DefectBranching: 3, DefectDuplicate: 1}},
		"every facet twice":             {more(box, box.T...), true, 1, counts{DefectBranching: 18, DefectDuplicate: 12}},
		"a sheet with a back":           {&Mesh{X: []float32{0, 1, 0}, Y: []float32{0, 0, 1}, Z: make([]float32, 3), T: []uint32{0, 1, 2, 2, 1, 0}}, true, 1, counts{DefectDuplicate: 1}},
		"a fin on an edge":              {more(withVertex(box, r3.Vec{X: -5, Y: -5, Z: 5}), 0, 4, 8), false, 1, counts{DefectOpen: 2, DefectBranching: 1}},
		"cubes that share an edge":      {cubesAtAnEdge(), true, 1, counts{DefectBranching: 1}},
		"a facet without area":          {more(withVertex(box, r3.Vec{X: 5, Y: 0, Z: 0}), 0, 8, 1), false, 1, counts{DefectOpen: 2, DefectBranching: 1, DefectSliver: 1}},
		"a facet with a corner twice":   {more(box, 0, 0, 1), true, 2, counts{DefectSliver: 1}},
	} {
		t.Run(name, func(t *testing.T) {
			got := c.m.Condition()
			defects := counts{}
			for _, d := range got.Defects {
				defects[d.Kind] = d.Count
				if box := c.m.Bounds(); !box.Contains(d.Where) && box.Size() != (r3.Vec{}) && box.Size().Z != 0 {
					t.Errorf("%s at %v is off the mesh", d.Kind, d.Where)
				}
			}
			if got.Closed != c.closed || got.Components != c.components {
				t.Errorf("closed %v, components %d; want %v, %d", got.Closed, got.Components, c.closed, c.components)
			}
			require.Equal(t, c.defects, defects)
		})
	}
}

// A strip with a half turn has no two sides: some facet disagrees whatever is
// turned, and that is said.
func TestMoebius(t *testing.T) {
	got := moebius(30).Condition()
	if got.Closed || got.Components != 1 || len(got.Defects) != 2 || got.Defects[0].Count != 60 || got.Defects[1].Kind != DefectFlipped {
		t.Errorf("got %+v", got)
	}
}

func withVertex(m *Mesh, p r3.Vec) *Mesh {
	out := m.Clone()
	out.AddVertex(p)
	return out
}

// ell is an L of three cubes of side 5, 15 high: its box holds room outside.
func ell() *Mesh {
	m := &Mesh{}
	outline := []r3.Vec{{}, {X: 10}, {X: 10, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 10}, {Y: 10}}
	for _, p := range outline {
		m.AddVertex(p)
		m.AddVertex(r3.Add(p, r3.Vec{Z: 5}))
	}
	for i := range uint32(6) {
		j := (i + 1) % 6
		m.AddTriangle(2*i, 2*j, 2*j+1)
		m.AddTriangle(2*i, 2*j+1, 2*i+1)
	}
	for _, t := range [][3]uint32{{0, 1, 2}, {0, 2, 3}, {0, 3, 4}, {0, 4, 5}} {
		m.AddTriangle(2*t[0], 2*t[2], 2*t[1])
		m.AddTriangle(2*t[0]+1, 2*t[1]+1, 2*t[2]+1)
	}
	return m
}

// The place of a defect is the place of the defect.
func TestDefectPlaces(t *testing.T) {
	box := cube(30, r3.Vec{})
	a, b, c := box.Corners(7)
	middle := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
	got := turned(box, 7).Condition().Defects[0]
	if r3.Norm(r3.Sub(got.Where, middle)) > 1e-9 {
		t.Errorf("flipped at %v, want %v", got.Where, middle)
	}
	got = without(box, 7).Condition().Defects[0]
	onASide := false
	for _, p := range []r3.Vec{r3.Add(a, b), r3.Add(b, c), r3.Add(c, a)} {
		onASide = onASide || r3.Norm(r3.Sub(got.Where, r3.Scale(0.5, p))) < 1e-9
	}
	if !onASide {
		t.Errorf("open edge at %v, not in the middle of a side of %v %v %v", got.Where, a, b, c)
	}
}

// Numbers of defects do not hang on the order of the facets, nor on their
// first corners.
func TestConditionInAnyOrder(t *testing.T) {
	base := turned(without(together(limb(8, 20), cubesAtAnEdge(), insideOut(cube(3, r3.Vec{X: 500}))), 30, 200), 5, 77)
	base = more(base, base.T[0], base.T[2], base.T[1])
	want := base.Condition()
	require.Len(t, want.Defects, 4)
	random := rand.New(rand.NewPCG(7, 7))
	for range 50 {
		m := &Mesh{X: base.X, Y: base.Y, Z: base.Z}
		for _, f := range random.Perm(base.Triangles()) {
			k := random.IntN(3)
			m.AddTriangle(base.T[3*f+k], base.T[3*f+(k+1)%3], base.T[3*f+(k+2)%3])
		}
		got := m.Condition()
		require.Equal(t, want.Closed, got.Closed)
		require.Equal(t, want.Components, got.Components)
		for i := range want.Defects {
			require.Equal(t, want.Defects[i].Kind, got.Defects[i].Kind)
			require.Equal(t, want.Defects[i].Count, got.Defects[i].Count, want.Defects[i].Kind)
		}
	}
}

// Second route: edges counted with a map.
func TestEdgesSecondRoute(t *testing.T) {
	m := without(together(limb(12, 30), cubesAtAnEdge()), 3, 50, 51)
	random := rand.New(rand.NewPCG(3, 9))
	for range 40 { // and some junk
		m.AddTriangle(random.Uint32N(100), random.Uint32N(100), random.Uint32N(100))
	}
	want := map[[2]uint32]int{}
	for i := 0; i < len(m.T); i += 3 {
		a, b, c := m.T[i], m.T[i+1], m.T[i+2]
		if a == b || b == c || c == a {
			continue
		}
		for _, e := range [][2]uint32{{a, b}, {b, c}, {c, a}} {
			want[[2]uint32{min(e[0], e[1]), max(e[0], e[1])}]++
		}
	}
	got := map[[2]uint32]int{}
	last := [2]uint32{}
	m.eachEdge(func(low, high uint32, uses []use) {
		edge := [2]uint32{low, high}
		if got[edge] != 0 || edge[0] < last[0] || edge[0] == last[0] && edge[1] < last[1] {
			t.Fatalf("edge %v after %v", edge, last)
		}
		for _, u := range uses {
			f := m.T[3*u.facet():][:3]
			forward := f[0] == low && f[1] == high || f[1] == low && f[2] == high || f[2] == low && f[0] == high
			if u.back() == forward {
				t.Fatalf("edge %v: direction of facet %v", edge, f)
			}
		}
		got[edge], last = len(uses), edge
	})
	require.Equal(t, want, got)
}
