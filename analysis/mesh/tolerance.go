package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A corner that two programs, or one program twice, worked out or printed may
// come out in two places a hair apart. Within the tolerance, two places are
// taken for one, where nothing speaks against it.
const (
	// toleranceShare, of the diagonal of the part's box: six significant
	// digits, which is what most writers of ASCII STL and OBJ print, leave a
	// coordinate open by up to 1e-5 of its size. On a part of 300 mm that is
	// 3 µm, about a sixtieth of the thinnest layer that is printed, so no
	// wall of a part is lost.
	toleranceShare = 1e-5

	// toleranceUnits: a part far from the origin has fewer digits left. A few
	// roundings to float32, each half a unit in the last place of the largest
	// coordinate, are forgiven there.
	toleranceUnits = 4

	// toleranceSide, of the typical side of a facet, is the most that is ever
	// forgiven, so that no facet is lost that others are like.
	toleranceSide = 0.01

	// outermost is the share of the vertices that may lie anywhere, at each
	// end of each axis, without making the part larger: some files have a
	// stray facet kilometres away.
	outermost = 0.01
)

// tolerance returns the distance in mm within which places on m cannot be
// told apart for good: its file, not its shape, says where they are.
func (m *Mesh) tolerance() float64 {
	box := m.bulk()
	diagonal := r3.Norm(box.Size())
	largest := 0.0
	for _, x := range []float64{box.Min.X, box.Min.Y, box.Min.Z, box.Max.X, box.Max.Y, box.Max.Z} {
		largest = max(largest, math.Abs(x))
	}
	unit := float64(math.Nextafter32(float32(largest), math.MaxFloat32)) - float64(float32(largest))
	return min(max(toleranceShare*diagonal, toleranceUnits*unit), toleranceSide*m.typicalSide())
}

// bulk returns the box of all but the outermost vertices, judged by some
// thousands of them.
func (m *Mesh) bulk() r3.Box {
	lowX, highX := bulk(m.X)
	lowY, highY := bulk(m.Y)
	lowZ, highZ := bulk(m.Z)
	return r3.Box{Min: r3.Vec{X: lowX, Y: lowY, Z: lowZ}, Max: r3.Vec{X: highX, Y: highY, Z: highZ}}
}

func bulk(column []float32) (low, high float64) {
	if len(column) == 0 {
		return 0, 0
	}
	step := (len(column) + 4095) / 4096
	some := make([]float32, 0, len(column)/step+1)
	for i := 0; i < len(column); i += step {
		some = append(some, column[i])
	}
	slices.Sort(some)
	out := int(outermost * float64(len(some)))
	return float64(some[out]), float64(some[len(some)-1-out])
}

// typicalSide returns the median length of the sides of up to a thousand
// facets.
func (m *Mesh) typicalSide() float64 {
	step := (m.Triangles() + 999) / 1000
	var sides []float64
	for t := 0; t < m.Triangles(); t += step {
		a, b, c := m.Corners(t)
		sides = append(sides, r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c)))
	}
	return median(sides)
}
