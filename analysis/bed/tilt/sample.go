package tilt

import (
	"container/heap"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// rotations is how many rotations are looked at for a box; those that only
// differ by half turns about the box's axes count once, which leaves a quarter
// of them, 6° apart. A guess.
const rotations = 60_000

// tilts is how many directions of the drum's axis are looked at, 4° apart. A guess.
const tilts = 1500

// directions returns n unit vectors spread evenly over a half sphere, along a
// spiral whose turns keep the golden angle.
func directions(n int) []r3.Vec {
	out := make([]r3.Vec, n)
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range out {
		z := (float64(i) + 0.5) / float64(n)
		r := math.Sqrt(1 - z*z)
		sin, cos := math.Sincos(golden * float64(i))
		out[i] = r3.Vec{X: r * cos, Y: r * sin, Z: z}
	}
	return out
}

// evenly returns the rotations looked at for a box, made once.
var evenly = sync.OnceValue(func() []Frame {
	out := make([]Frame, 0, rotations/4+rotations/100)
	spread(rotations, func(f Frame) { out = append(out, f) })
	return out
})

// spread yields rotations spread evenly over all there are: the super-Fibonacci
// spiral of M. Alexa, "Super-Fibonacci Spirals: Fast, Low-Discrepancy Sampling
// of SO(3)", CVPR 2022; its two constants from memory, which the test checks
// by the gaps.
func spread(n int, yield func(Frame)) {
	const phi, psi = math.Sqrt2, 1.533751168755204288118041
	for i := range n {
		s := float64(i) + 0.5
		r, rest := math.Sqrt(s/float64(n)), math.Sqrt(1-s/float64(n))
		sinA, cosA := math.Sincos(2 * math.Pi * s / phi)
		sinB, cosB := math.Sincos(2 * math.Pi * s / psi)
		q := quat.Number{Real: r * sinA, Imag: r * cosA, Jmag: rest * sinB, Kmag: rest * cosB}
		// Half turns about x, y, z, done last, swap the parts of q in pairs.
		if most := math.Abs(q.Real); most < math.Abs(q.Imag) || most < math.Abs(q.Jmag) || most < math.Abs(q.Kmag) {
			continue
		}
		yield(frameOf(r3.Rotation(q)))
	}
}

func frameOf(r r3.Rotation) Frame {
	back := r3.Rotation(quat.Conj(quat.Number(r)))
	return Frame{back.Rotate(axes[0]), back.Rotate(axes[1]), back.Rotate(axes[2])}
}

// samples returns the most promising rotations, none near another. What each
// needs at least by a few corners decides which ones are looked at with all: the
// next is the one that needs least, once no other can need less.
func samples(c *climber) []try {
	frames := looks(c.walls)
	few := core(c.corners, fewLooks)
	next := make(queue, len(frames))
	for i, f := range frames {
		next[i] = seen{need: c.walls.atLeast(few, f), frame: int32(i)}
	}
	heap.Init(&next)
	var out []try
	for len(out) < firstTries && len(next) > 0 {
		s := &next[0]
		f := frames[s.frame]
		if !s.known {
			s.need, s.known = c.walls.atLeast(c.corners, f), true
			heap.Fix(&next, 0)
			continue
		}
		if !slices.ContainsFunc(out, func(o try) bool { return near(o.frame, f, c.walls) }) {
			out = append(out, try{frame: f, need: s.need})
		}
		heap.Pop(&next)
	}
	return out
}

// seen is a rotation with what it needs, or needs at least.
type seen struct {
	need  float64
	frame int32 // among all
	known bool  // need is by all corners
}

// queue has the least need first. Of equals, what is not known yet comes first,
// then the lower number.
type queue []seen

func (q queue) Len() int      { return len(q) }
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q queue) Less(i, j int) bool {
	a, b := &q[i], &q[j]
	if a.need == b.need {
		return a.known == b.known && a.frame < b.frame || !a.known && b.known
	}
	return a.need < b.need
}
func (q *queue) Push(any) { panic("tilt: no rotation is added") }
func (q *queue) Pop() any {
	last := len(*q) - 1
	*q = (*q)[:last]
	return nil
}

// looks returns the rotations looked at.
func looks(w walls) []Frame {
	if w.radius == 0 {
		return evenly()
	}
	var out []Frame
	for _, n := range directions(tilts) {
		out = append(out, upright(n))
	}
	return out
}

// upright returns a frame that puts n upright.
func upright(n r3.Vec) Frame {
	side := axes[0]
	if math.Abs(n.X) > 0.6 {
		side = axes[1]
	}
	x := r3.Unit(r3.Sub(side, r3.Scale(r3.Dot(side, n), n)))
	return Frame{x, r3.Cross(n, x), n}
}

// near reports whether the two frames put nearly the same lines along the
// axes; in a drum only the upright one counts. To first order the squares of
// the three small angles between the lines sum to twice that of the turn.
func near(f, g Frame, w walls) bool {
	var sum float64
	for i := range 3 {
		if w.radius == 0 || i == 2 {
			d := r3.Dot(f[i], g[i])
			sum += 1 - d*d
		}
	}
	return sum < 2*apart*apart
}
