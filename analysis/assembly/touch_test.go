package assembly

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// reread writes a mesh as binary STL and reads it again: float32, welded anew.
func reread(t testing.TB, m *mesh.Mesh) *mesh.Mesh {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, m, "piece"))
	path := filepath.Join(t.TempDir(), "piece.stl")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o666))
	file, err := mesh.Open(path)
	require.NoError(t, err)
	defer file.Close()
	l, err := file.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	return l.Mesh
}

// cut parts every mesh by a plane and keeps the pieces that there are.
func parted(p section.Plane, all ...*mesh.Mesh) []*mesh.Mesh {
	var out []*mesh.Mesh
	for _, m := range all {
		above, below, _ := section.Halves(m, p)
		for _, half := range []*mesh.Mesh{above, below} {
			if half.Triangles() > 0 {
				out = append(out, half)
			}
		}
	}
	return out
}

func boot() *mesh.Mesh {
	return shape.Boot{
		Rim: shape.Ellipse{A: 62, B: 58}, Ankle: shape.Ellipse{A: 56, B: 50},
		Instep: shape.Ellipse{A: 45, B: 48}, Ball: shape.Ellipse{A: 40, B: 51},
		Wall: 3, Shaft: 150, Bend: 66, Foot: 95, Toe: 55,
	}.Mesh()
}

func taper() *mesh.Mesh {
	return shape.Taper{Rows: 8, Bottom: shape.Ellipse{A: 52, B: 57}, Top: shape.Ellipse{A: 62, B: 66}, Wall: 3, Height: 300}.Mesh()
}

func plane(x, y, z, nx, ny, nz float64) section.Plane {
	return section.Plane{Point: r3.Vec{X: x, Y: y, Z: z}, Normal: r3.Vec{X: nx, Y: ny, Z: nz}}
}

// wavy parts a taper across by a surface that is no plane: z = at + 8·cos 2φ.
// Bent straight, cut, and bent back.
func wavy(m *mesh.Mesh, at float64) []*mesh.Mesh {
	bend := func(sign float64) func(r3.Vec) r3.Vec {
		return func(p r3.Vec) r3.Vec {
			p.Z += sign * 8 * math.Cos(2*math.Atan2(p.Y, p.X))
			return p
		}
	}
	var out []*mesh.Mesh
	for _, half := range parted(plane(0, 0, at, 0, 0, 1), m.Map(bend(-1))) {
		out = append(out, half.Map(bend(1)))
	}
	return out
}

// shells are parts in pieces. In links stand the pairs that share a cut.
func shells() map[string]struct {
	pieces []*mesh.Mesh
	links  int
} {
	type shell = struct {
		pieces []*mesh.Mesh
		links  int
	}
	across := parted(plane(0, 0, 200, 0, 0, 1), taper())
	return map[string]shell{
		"boot, shaft and foot":       {parted(plane(0, 0, 140, 0, 0, 1), boot()), 1},
		"boot, left and right half":  {parted(plane(0, 0, 0, 1, 0, 0), boot()), 1},
		"boot at a slant":            {parted(plane(0, 40, 60, 0, 1, 1), boot()), 1},
		"taper, top, middle, bottom": {append(across[:1:1], parted(plane(0, 0, 90, 0, 0, 1), across[1])...), 2},
		"taper, front and back":      {parted(plane(0, 0, 0, 0, 1, 0), taper()), 1},
		"taper in quarters":          {parted(plane(0, 0, 0, 1, 0.2, 0), parted(plane(0, 0, 120, 0, 0.1, 1), taper())...), 4},
		"taper, wavy":                {wavy(taper(), 150), 1},
		"sheet across":               {cutSheet(0, 0, 1), 1},
		"sheet along":                {cutSheet(0, 1, 0), 1},
	}
}

// cutSheet parts a tube without thickness, through the middle.
func cutSheet(nx, ny, nz float64) []*mesh.Mesh {
	const rows, cols = 16, 64
	m := &mesh.Mesh{}
	for i := range rows + 1 {
		for j := range cols {
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / cols)
			m.AddVertex(r3.Vec{X: 55 * cos, Y: 55 * sin, Z: 200 * (float64(i)/rows - 0.5)})
		}
	}
	for i := range uint32(rows) {
		for j := range uint32(cols) {
			a, b := i*cols+j, i*cols+(j+1)%cols
			m.AddTriangle(a, b, b+cols)
			m.AddTriangle(a, b+cols, a+cols)
		}
	}
	normal := r3.Vec{X: nx, Y: ny, Z: nz}
	halves := []*mesh.Mesh{{}, {}}
	for _, half := range halves {
		half.X, half.Y, half.Z = m.X, m.Y, m.Z
	}
	for t := range m.Triangles() { // the plane runs along edges
		a, b, c := m.Corners(t)
		side := 0
		if r3.Dot(normal, r3.Add(a, r3.Add(b, c))) > 1e-6 {
			side = 1
		}
		halves[side].T = append(halves[side].T, m.T[3*t:3*t+3]...)
	}
	return halves
}

func pieces(t testing.TB, all []*mesh.Mesh, move func(r3.Vec) r3.Vec) []Piece {
	var out []Piece
	for i, m := range all {
		out = append(out, Piece{fmt.Sprint(i), rimsOf(reread(t, m.Map(move)))})
	}
	return out
}

func TestPiecesOfOneShellTouch(t *testing.T) {
	for name, s := range shells() {
		for seed := range uint64(3) {
			by := shape.Rotation(seed)
			offset := r3.Vec{X: 400 * float64(seed), Y: -90}
			found := Touching(pieces(t, s.pieces, func(p r3.Vec) r3.Vec { return r3.Add(by.Rotate(p), offset) }))
			if len(found) != s.links {
				t.Errorf("%s, turn %d: %d contacts, want %d: %+v", name, seed, len(found), s.links, found)
				continue
			}
			groups := Groups(len(s.pieces), found)
			if len(groups) != 1 || len(groups[0]) != len(s.pieces) {
				t.Errorf("%s, turn %d: groups %v", name, seed, groups)
			}
		}
	}
}

// Files that were drawn in inches or metres touch as they do in mm.
func TestTouchingDoesNotDependOnTheUnit(t *testing.T) {
	for name, s := range shells() {
		for _, factor := range []float64{1 / 25.4, 1e-3, 10} {
			found := Touching(pieces(t, s.pieces, func(p r3.Vec) r3.Vec { return r3.Scale(factor, p) }))
			if len(found) != s.links {
				t.Errorf("%s times %g: %d contacts, want %d: %+v", name, factor, len(found), s.links, found)
			}
		}
	}
}

// The area of the contact is that of the cut: half of what the pieces have
// more surface than the whole.
func TestContactHasTheAreaOfTheCut(t *testing.T) {
	halves := parted(plane(0, 0, 100, 0, 0, 1), taper())
	want := (halves[0].Area() + halves[1].Area() - taper().Area()) / 2
	found := Touching(pieces(t, halves, func(p r3.Vec) r3.Vec { return p }))
	if len(found) != 1 || math.Abs(found[0].Area/want-1) > 0.01 {
		t.Errorf("contacts %+v, want one of %.1f mm²", found, want)
	}
}

// Halves that were drawn with room for glue between them still touch; further
// apart they do not.
func TestRoomForGlue(t *testing.T) {
	for name, s := range shells() {
		if len(s.pieces) != 2 || name == "taper, wavy" {
			continue
		}
		a, b := middle(s.pieces[0]), middle(s.pieces[1])
		way := r3.Unit(r3.Sub(b, a))
		for _, apart := range []float64{0.1, 0.2, 1.5, 5} {
			moved := []*mesh.Mesh{s.pieces[0], shape.Offset(s.pieces[1], r3.Scale(apart, way))}
			found := Touching(pieces(t, moved, func(p r3.Vec) r3.Vec { return p }))
			if (len(found) == 1) != (apart < 1) {
				t.Errorf("%s, %.1f mm apart: contacts %+v", name, apart, found)
			}
		}
	}
}

// middle returns the middle of the facets.
func middle(m *mesh.Mesh) (sum r3.Vec) {
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		sum = r3.Add(sum, r3.Scale(1/float64(3*m.Triangles()), r3.Add(a, r3.Add(b, c))))
	}
	return sum
}

// Parts that share a place and are no pieces of one shell: copies, mirrored
// twins, scaled ones that fit into each other, all drawn at the origin or
// standing on z = 0.
func TestUnrelatedPartsDoNotTouch(t *testing.T) {
	standing := func(m *mesh.Mesh) *mesh.Mesh { return shape.Offset(m, r3.Vec{Z: -m.Bounds().Min.Z}) }
	centred := func(m *mesh.Mesh) *mesh.Mesh { return shape.Offset(m, r3.Scale(-1, m.Bounds().Center())) }
	drawn := []*mesh.Mesh{
		boot(), boot(), shape.Mirror(boot()), boot().Scaled(1.05), taper(), shape.Mirror(taper()),
		shape.Tube{Radius: 50, Wall: 3, Height: 200}.Mesh(), shape.Tube{Radius: 53, Wall: 3, Height: 200}.Mesh(),
		shape.Tube{Radius: 50, Wall: 3, Height: 200}.Mesh().Scaled(1.06), shape.Tube{Radius: 52, Wall: 4, Height: 100}.Mesh(),
		shape.Gutter{Bottom: 80, Top: 97, Wall: 4, Height: 230, Arc: 240, Round: true}.Mesh(),
		shape.Mirror(shape.Gutter{Bottom: 80, Top: 97, Wall: 4, Height: 230, Arc: 240, Round: true}.Mesh()),
		shape.Plate{Sides: 96, Width: 260, Height: 270, Wall: 3, Bend: 175}.Mesh(),
		shape.Bar{X: 300, Y: 20, Z: 10}.Mesh(), shape.Bar{X: 300, Y: 20, Z: 10}.Mesh(),
	}
	for name, put := range map[string]func(*mesh.Mesh) *mesh.Mesh{
		"as drawn": func(m *mesh.Mesh) *mesh.Mesh { return m }, "standing": standing, "centred": centred,
	} {
		var all []Piece
		for i, m := range drawn {
			all = append(all, Piece{fmt.Sprint(i), rimsOf(put(m))})
		}
		for _, c := range Touching(all) {
			if !c.Rivals {
				t.Errorf("%s: %s and %s touch: %+v", name, all[c.A].Name, all[c.B].Name, c)
			}
		}
	}
}

// A hundred chance placements of halves that once were of two shells.
func TestChancePlacementsDoNotTouch(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	a, b := parted(plane(0, 0, 140, 0, 0, 1), boot()), parted(plane(0, 0, 0, 0, 1, 0), taper())
	other := []*Rims{rimsOf(b[0]), rimsOf(b[1])}
	for i := range 100 {
		by := shape.Rotation(uint64(i))
		shift := r3.Vec{X: rng.NormFloat64() * 20, Y: rng.NormFloat64() * 20, Z: rng.NormFloat64() * 20}
		if i%2 == 0 { // upright, so that cuts stay level
			by = r3.NewRotation(0, r3.Vec{Z: 1})
			shift.Z = math.Round(shift.Z)
		}
		moved := rimsOf(a[i%len(a)].Map(func(p r3.Vec) r3.Vec { return r3.Add(by.Rotate(p), shift) }))
		for _, o := range other {
			if c, ok := Touch(moved, o); ok && !c.Rivals {
				t.Errorf("placement %d: %+v", i, c)
			}
		}
	}
}

// Copies of a piece are rivals: the first stays with its mate.
func TestCopiesAreRivals(t *testing.T) {
	halves := parted(plane(0, 0, 140, 0, 0, 1), boot())
	all := pieces(t, []*mesh.Mesh{halves[0], halves[0], halves[1], boot()}, func(p r3.Vec) r3.Vec { return p })
	found := Touching(all)
	groups := Groups(len(all), found)
	if len(groups) != 1 || fmt.Sprint(groups[0]) != "[0 2]" {
		t.Errorf("groups %v of %+v", groups, found)
	}
}

// A surface so rough that every facet is a face of its own still shows its cut.
func TestRoughPiecesTouch(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	rough := shape.Taper{Sides: 120, Rows: 40, Bottom: shape.Ellipse{A: 52, B: 57}, Top: shape.Ellipse{A: 62, B: 66}, Wall: 5, Height: 300}.Mesh().Map(func(p r3.Vec) r3.Vec {
		return r3.Add(p, r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
	})
	halves := parted(plane(0, 0, 140, 0, 0, 1), rough)
	if c, ok := Touch(rimsOf(halves[0]), rimsOf(halves[1])); !ok || c.Rivals {
		t.Errorf("halves: %v, %+v", ok, c)
	}
	if c, ok := Touch(rimsOf(halves[0]), rimsOf(rough)); !ok || !c.Rivals {
		t.Errorf("a half and the whole: %v, %+v", ok, c)
	}
	if c, ok := Touch(rimsOf(rough), rimsOf(rough.Map(r3.NewRotation(math.Pi/3, r3.Vec{Z: 1}).Rotate))); ok && !c.Rivals {
		t.Errorf("turned against itself: %+v", c)
	}
}

// Pins in the one cut face and holes for them in the other are no hindrance.
func TestPinsAndHoles(t *testing.T) {
	halves := parted(plane(0, 0, 140, 0, 0, 1), taper())
	top, low := halves[0], halves[1]
	pins := []*mesh.Mesh{top}
	holes := &mesh.Mesh{X: low.X, Y: low.Y, Z: low.Z}
	at := func(k int) r3.Vec {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 8)
		return r3.Vec{X: 58 * cos, Y: 62.5 * sin, Z: 140}
	}
	for k := range 8 {
		pins = append(pins, shape.Offset(shape.Bar{X: 2.4, Y: 2.4, Z: 8}.Mesh(), r3.Add(at(k), r3.Vec{X: -1.2, Y: -1.2, Z: -4})))
	}
	for t := range low.Triangles() { // a hole takes the facets near it
		a, b, c := low.Corners(t)
		mid := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
		taken := false
		for k := range 8 {
			taken = taken || mid.Z > 139.9 && r3.Norm(r3.Sub(mid, at(k))) < 3
		}
		if !taken {
			holes.T = append(holes.T, low.T[3*t:3*t+3]...)
		}
	}
	if holes.Triangles() == low.Triangles() {
		t.Fatal("no hole was made")
	}
	if c, ok := Touch(rimsOf(shape.Join(pins...)), rimsOf(reread(t, holes))); !ok || c.Rivals {
		t.Errorf("%v, %+v", ok, c)
	}
}

// What this program cuts from a part: a band and a panel lie in the part and do
// not touch it; the panel and the rest do make the part.
func TestOwnPiecesAndThePart(t *testing.T) {
	part := taper()
	band, _ := section.Slab(part, r3.Vec{Z: 1}, 100, 112)
	panel, rest, _ := section.Carve(part, []section.Plane{plane(0, 40, 0, 0, 1, 0), plane(0, 0, 180, 0, 0, 1)})
	whole := rimsOf(part)
	for name, m := range map[string]*mesh.Mesh{"band": band, "panel": panel, "rest": rest} {
		if c, ok := Touch(whole, rimsOf(m)); ok && !c.Rivals {
			t.Errorf("the part and its %s: %+v", name, c)
		}
	}
	if c, ok := Touch(rimsOf(panel), rimsOf(rest)); !ok || c.Rivals {
		t.Errorf("panel and rest: %v, %+v", ok, c)
	}
}

// lathe turns a profile, closed and with the material on its left, about z.
func lathe(profile []r2.Vec, sides int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for j := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(sides))
		for _, p := range profile {
			m.AddVertex(r3.Vec{X: p.X * cos, Y: p.X * sin, Z: p.Y})
		}
	}
	n := uint32(len(profile))
	for j := range uint32(sides) {
		next := (j + 1) % uint32(sides)
		for i := range n {
			a, b := j*n+i, j*n+(i+1)%n
			c, d := next*n+i, next*n+(i+1)%n
			m.AddTriangle(a, c, d)
			m.AddTriangle(a, d, b)
		}
	}
	return m
}

// ringUp is a ring from z = 0 up whose lower edges are rounded or chamfered.
func ringUp(height, edge float64, steps int) *mesh.Mesh {
	const inner, outer = 50.0, 54.0
	profile := []r2.Vec{{X: inner, Y: height}, {X: inner, Y: edge}}
	round := func(x, from float64) {
		for k := 1; k <= steps; k++ {
			sin, cos := math.Sincos(from + math.Pi/2*float64(k)/float64(steps))
			profile = append(profile, r2.Vec{X: x + edge*cos, Y: edge + edge*sin})
		}
	}
	round(inner+edge, math.Pi)
	profile = append(profile, r2.Vec{X: outer - edge})
	round(outer-edge, 3*math.Pi/2)
	return lathe(append(profile, r2.Vec{X: outer, Y: height}), 96)
}

// The edges of a printed cut are often broken, against the first layer's bulge.
func TestBrokenEdges(t *testing.T) {
	for _, steps := range []int{1, 2, 5} {
		up := ringUp(80, 1, steps)
		if !up.Condition().Closed || up.Volume() < 0 {
			t.Fatalf("the ring is not sound: %+v, %.0f mm³", up.Condition(), up.Volume())
		}
		down := up.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: -p.Z} })
		down.Flip()
		// The flat of the rim, and of its edges what lies no deeper than a gap.
		flat := math.Pi * (53*53 - 51*51)
		if c, ok := Touch(rimsOf(up), rimsOf(down)); !ok || c.Rivals || c.Area < 0.98*flat || c.Area > 1.7*flat {
			t.Errorf("edges of %d facets: %v %+v", steps, ok, c)
		}
	}
}

// rimsOf is RimsOf by two workers.
func rimsOf(m *mesh.Mesh) *Rims { return RimsOf(m, 2) }
