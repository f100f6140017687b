package band

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Flats stand out of the outer wall at the ends of arcs, face to face where two
// arcs meet, so that a clip or tape holds them together. mm; sizes for a common
// spring clip (common practice, no source).
const (
	flatOut   = 10.0 // from the wall
	flatThick = 3.0
	flatIn    = 1.0 // into the wall, or half of it where it is thinner
)

// jointNames numbers joints on the flats; letters go on behind 9.
const jointNames = "123456789ABCDEFGHJKLMNPQR"

// pad adds a flat to pads at the end of an arc that is cut at an angle, on the
// side of the cut where the arc lies (+1 anticlockwise of it), with the number
// of the joint raised on the face that looks away from the joint. It returns
// false where the wall there is not one that a flat can stand on.
func pad(pads, m *mesh.Mesh, height float64, center r2.Vec, angle, side float64, number int) bool {
	out := heading(angle)
	along := r2.Scale(side, r2.Vec{X: -out.Y, Y: out.X}) // into the arc
	low, high, ok := footing(m, height, center, out, along)
	if !ok {
		return false
	}
	end := max(low.outer, high.outer) + flatOut
	at := func(r, thick, z float64) r3.Vec {
		p := r2.Add(center, r2.Add(r2.Scale(r, out), r2.Scale(thick, along)))
		return r3.Vec{X: p.X, Y: p.Y, Z: z}
	}
	block := &mesh.Mesh{}
	var bottom, top [4]uint32
	for k, c := range [4][2]float64{{0, 0}, {1, 0}, {1, flatThick}, {0, flatThick}} {
		bottom[k] = block.AddVertex(at(low.inside+c[0]*(end-low.inside), c[1], 0))
		top[k] = block.AddVertex(at(high.inside+c[0]*(end-high.inside), c[1], height))
	}
	tube(block, bottom, top)
	quad(block, bottom[3], bottom[2], bottom[1], bottom[0])
	quad(block, top[0], top[1], top[2], top[3])
	if block.Volume() < 0 {
		block.Flip()
	}
	raiseNumber(block, center, out, along, end, height, number)
	*pads = *mesh.Join(pads, block)
	return true
}

// raiseNumber raises the number of a joint on the face of a flat.
func raiseNumber(block *mesh.Mesh, center, out, along r2.Vec, end, height float64, number int) {
	strokes, long := spelled(string(jointNames[(number-1)%len(jointNames)]))
	if height < letterHigh+1 {
		return
	}
	// Seen from the side that along shows to, x runs to the right.
	right := r2.Vec{X: -along.Y, Y: along.X}
	middle := r2.Add(center, r2.Add(r2.Scale(end-flatOut/2, out), r2.Scale(flatThick, along)))
	for i, s := range strokes {
		raise(block, s, apart(strokeWide, i), overlap, strokeHigh, func(x, y, d float64) r3.Vec {
			p := r2.Add(middle, r2.Add(r2.Scale(x-long/2, right), r2.Scale(d, along)))
			return r3.Vec{X: p.X, Y: p.Y, Z: y + (height-letterHigh)/2}
		})
	}
}

// foot is where a flat begins, at the bottom or the top of a band: mm from the
// middle.
type foot struct {
	outer  float64 // the wall's outside
	inside float64 // where the flat begins, within the wall
}

// footing looks at the wall under a flat and says where it begins; false where
// it would come out of the inner wall or leave the outer.
func footing(m *mesh.Mesh, height float64, center, out, along r2.Vec) (low, high foot, ok bool) {
	const near = 0.25 // mm from cuts
	reach := beyond(m, center)
	var outer, inner, least [3]float64
	heights := [3]float64{near, height / 2, height - near}
	for k, z := range heights {
		l := newLevel(section.Cut(m, section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}}))
		outer[k], least[k], inner[k] = math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, thick := range []float64{near, flatThick / 2, flatThick - near} {
			start := r2.Add(center, r2.Add(r2.Scale(reach, out), r2.Scale(thick, along)))
			entered, left, found := l.far(start, r2.Scale(-1, out), reach)
			if !found {
				return low, high, false
			}
			outer[k], least[k], inner[k] = max(outer[k], reach-entered), min(least[k], reach-entered), max(inner[k], reach-left)
		}
	}
	begin := func(k int) float64 { return max(least[k]-flatIn, (least[k]+inner[k])/2) }
	low, high = foot{outer[0], begin(0)}, foot{outer[2], begin(2)}
	for k, z := range heights { // the flat begins on a straight line from low to high
		at := low.inside + (high.inside-low.inside)*z/height
		if at <= inner[k] || at >= least[k] {
			return low, high, false
		}
	}
	return low, high, true
}
