package mesh

import (
	"bufio"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"github.com/hschendel/stl"
	"gonum.org/v1/gonum/spatial/r3"
)

// stlNote is the length of the header of a binary STL without its count.
const stlNote = stlHeader - 4

// WriteSTL writes m as binary STL. The header is a note for people: its first
// 80 bytes are kept, and where it begins like an ASCII STL ("solid"), which
// misleads many programs, a blank goes in front. The same mesh and header give the
// same bytes. Normals are those of the corners, of length 1; a facet without
// area has the normal 0, as readers expect it (they work it out themselves). One with
// two corners in one place is left out: its edges are one, there and back.
func WriteSTL(w io.Writer, m *Mesh, header string) error {
	solid := stl.Solid{BinaryHeader: note(header), Triangles: make([]stl.Triangle, 0, m.Triangles())}
	for t := range m.Triangles() {
		if f := m.facet(t); f.Vertices[0] != f.Vertices[1] && f.Vertices[1] != f.Vertices[2] && f.Vertices[2] != f.Vertices[0] {
			solid.Triangles = append(solid.Triangles, f)
		}
	}
	buffered := bufio.NewWriterSize(w, stlChunk*stlFacet)
	if err := solid.WriteAll(buffered); err != nil {
		return err
	}
	return buffered.Flush()
}

// note returns the 80 bytes of a header. (stl writes its header over the count
// where it is longer, and the name in its place where it is nil.)
func note(header string) []byte {
	if len(header) >= 5 && strings.EqualFold(header[:5], "solid") {
		header = " " + header
	}
	note := make([]byte, stlNote)
	n := copy(note, header)
	for n < len(header) && n > 0 && !utf8.RuneStart(header[n]) { // half a character
		n--
		note[n] = 0
	}
	return note
}

// facet returns triangle t with its normal.
func (m *Mesh) facet(t int) stl.Triangle {
	var f stl.Triangle
	for k := range f.Vertices {
		v := m.T[3*t+k]
		f.Vertices[k] = stl.Vec3{m.X[v], m.Y[v], m.Z[v]}
	}
	a, b, c := m.Corners(t)
	cross := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if length := math.Sqrt(r3.Norm2(cross)); length > 0 { // of singles neither overflows
		n := r3.Scale(1/length, cross)
		f.Normal = stl.Vec3{float32(n.X), float32(n.Y), float32(n.Z)}
	}
	return f
}
