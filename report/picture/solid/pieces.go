package solid

import (
	"image"
	"math"
	"strconv"

	"gambeson/analysis/mesh"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r3"
)

// Parting is a part in pieces, to be drawn pulled apart. Lengths are mm in the
// frame of the part, which stands along z.
type Parting struct {
	Title  string
	Pieces []Piece
	Seams  []Seam
	From   r3.Vec // the side to be seen first, from the part to the viewer
}

// Piece is one piece, where it sits in the part.
type Piece struct {
	Mesh *mesh.Mesh
	Text string // what is to be said of it, such as its size
}

// Seam is a cut; Above and Below name the pieces on the side of its normal and
// on the other, from 1.
type Seam struct {
	Point, Normal r3.Vec
	Above, Below  []int
}

// Pieces draws a part in pieces from two sides, pulled apart square to its
// seams, the cut faces hatched and each piece with its number.
func Pieces(p Parting) *image.RGBA { return p.sheet().Pixels }

// pulled is how far pieces are pulled apart, as a share of the part's diagonal:
// enough to see into the seam.
const pulled = 0.05

func (p Parting) sheet() *picture.Sheet {
	moved := p.moved()
	cameras, scale, high := twoSides(p.From, moved)
	const top = picture.Edge + picture.TitleSize + 24
	s := picture.NewSheet(int(top+high) + 260 + picture.RowStep*len(p.Pieces))
	s.Heading(p.Title)
	for i := range cameras {
		c := &cameras[i]
		s.Write(picture.Note("seen from the "+sideWords(c.toward)), c.left+viewWidth/2, top, 0.5, 0)
		var of []surface
		for k, m := range moved {
			of = append(of, surface{m, p.cut(p.Pieces[k].Mesh)})
		}
		r := c.shade(s.Pixels, of)
		for k, m := range moved {
			if x, y, ok := r.spot(c, m); ok {
				s.DiscNear(strconv.Itoa(k+1), x, y, picture.Box{Left: c.left, Top: c.top, Right: c.left + viewWidth, Bottom: c.top + c.view})
			}
		}
		r.free()
	}
	l := s.Explain(cameras[0].top + high + 30)
	l.Stripes("cut face", picture.Vermilion)
	for k, piece := range p.Pieces {
		l.Add(piece.Text, func(x, y float64) { s.Disc(strconv.Itoa(k+1), x+picture.SampleWide/2, y) })
	}
	l.Bar(scale)
	return s.Trim()
}

// moved returns the pieces pulled apart: each by the normal of every seam that it
// lies at.
func (p Parting) moved() []*mesh.Mesh {
	var whole []*mesh.Mesh
	for _, piece := range p.Pieces {
		whole = append(whole, piece.Mesh)
	}
	far := pulled * r3.Norm(boundsOf(whole).Size())
	var out []*mesh.Mesh
	for k, piece := range p.Pieces {
		by := r3.Vec{}
		for _, seam := range p.Seams {
			for _, n := range seam.Above {
				if n == k+1 {
					by = r3.Add(by, r3.Scale(far/2, r3.Unit(seam.Normal)))
				}
			}
			for _, n := range seam.Below {
				if n == k+1 {
					by = r3.Sub(by, r3.Scale(far/2, r3.Unit(seam.Normal)))
				}
			}
		}
		out = append(out, piece.Mesh.Map(func(v r3.Vec) r3.Vec { return r3.Add(v, by) }))
	}
	return out
}

// cut tells the triangles of a piece that lie in a seam: within a tenth of a
// millimetre, which float32 keeps.
func (p Parting) cut(m *mesh.Mesh) func(t int) bool {
	const near = 0.1
	return func(t int) bool {
		a, b, c := m.Corners(t)
		for _, seam := range p.Seams {
			n := r3.Unit(seam.Normal)
			off := func(v r3.Vec) float64 { return math.Abs(r3.Dot(r3.Sub(v, seam.Point), n)) }
			if off(a) < near && off(b) < near && off(c) < near {
				return true
			}
		}
		return false
	}
}

// spot is where a mesh that is seen can be named: a vertex of it that nothing
// hides, the nearest to its middle; ok is false where all of it is hidden.
func (r *raster) spot(c *camera, m *mesh.Mesh) (x, y float64, ok bool) {
	b := m.Bounds()
	midX, midY, _ := c.at(r3.Scale(0.5, r3.Add(b.Min, b.Max)))
	least := math.Inf(1)
	for v := range m.Vertices() {
		p := m.At(uint32(v))
		if px, py, _ := c.at(p); !r.hides(c, p) && math.Hypot(px-midX, py-midY) < least {
			x, y, least, ok = px, py, math.Hypot(px-midX, py-midY), true
		}
	}
	return x, y, ok
}
