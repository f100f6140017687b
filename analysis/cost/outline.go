package cost

import (
	"math"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
)

// outline is the rim of one section in short straight pieces. It is used for
// many sections one after the other, so that its memory is reused.
type outline struct {
	pieces []piece
	runs   []run // in the order of the chains
	sheets float64
	points []r2.Vec // of the runs, one after the other
	turned []r2.Vec // of one chain
	speeds []float64
	bands  bands
	near   near
}

// run is one closed chain.
type run struct {
	from, to   int // its pieces
	start, end int // its points
	area       float64
	kept       bool
}

// piece is a straight piece of the rim, the material on its left as drawn.
type piece struct {
	a, u, n r2.Vec // its beginning; unit vectors along it and into the material
	l       float64
	// narrows is by how much a line along the piece is shorter for each mm that
	// it lies further in: tan(θ/2) for a corner of the turn θ at either end, −θ/2
	// where the corner turns away from the material and the line goes round it.
	narrows    float64
	prev, next int32
	kept       bool // material on one side of it only
	turned     bool // and that on its right
}

// keep how far straight pieces may leave the outline they stand for, mm: far
// less than a printer shows.
const keep = 0.01

// bridged is how wide a gap in an outline is bridged, as a share of its length:
// a guess.
const bridged = 0.05

// mostWork bounds the pairs of pieces that are looked at in one layer. A limb of
// 5 M triangles takes a hundredth of it; heaps of crossing facets may take more,
// and nobody prints them.
const mostWork = 50e6

// layer measures a section that is printed at v mm/s; ok is false where that
// would take too much work.
func (o *outline) layer(sec section.Section, s Settings, v float64) (l layer, ok bool) {
	width := float64(s.Walls) * s.Nozzle
	reach := width + s.Nozzle // what is left between walls and narrower than two lines is filled whole
	if !o.draw(sec, s.Sheet, max(2*reach, 1)) {
		return layer{}, false
	}
	o.bands.lay(o.pieces)
	if o.bands.work() > mostWork {
		return layer{}, false
	}
	clean := o.sort()
	area := o.area(clean)
	l.area = area
	o.near.lay(o.pieces, max(2*reach, 1))
	if o.near.work() > mostWork {
		return layer{}, false
	}
	for i := range o.pieces {
		p := &o.pieces[i]
		if !p.kept {
			continue
		}
		r := o.near.ball(o.pieces, i, reach)
		l.walls += p.strip(r)
		if r >= reach {
			l.rim += max(0, p.l-width*p.narrows)
			l.walls -= p.strip(reach) - p.strip(width)
		}
	}
	l.inside = max(0, area-l.walls)
	if l.rim == 0 {
		l.inside = 0
	}
	l.walls = area - l.inside
	l.walls += o.sheets * width
	o.time(&l, s, v)
	return l, true
}

// strip returns the area within depth of the piece, between the lines that halve
// its corners.
func (p *piece) strip(depth float64) float64 {
	if p.narrows > 0 {
		depth = min(depth, p.l/p.narrows)
	}
	return depth * (p.l - p.narrows*depth/2)
}

// draw takes the chains of a section: closed ones, and those that are nearly
// so, in pieces no longer than twice longest; of others only the length. It
// returns false where there would be too many pieces.
func (o *outline) draw(sec section.Section, sheet bool, longest float64) bool {
	o.pieces, o.runs, o.points, o.sheets = o.pieces[:0], o.runs[:0], o.points[:0], 0
	for _, c := range sec.Chains {
		closed := c.Closed
		if n := len(c.Points); !closed && n > 2 {
			closed = r2.Norm(r2.Sub(c.Points[0], c.Points[n-1])) <= bridged*c.Length()
			c.Closed = closed
		}
		r := run{from: len(o.pieces), start: len(o.points), kept: true}
		o.points = thin(o.points, o.turn(c.Points, closed), closed)
		r.end = len(o.points)
		if sheet || !closed {
			o.sheets += c.Length()
			r.to = r.from
			o.runs = append(o.runs, r)
			continue
		}
		if r.end-r.start < 3 {
			o.points = o.points[:r.start]
			continue
		}
		r.area = section.Chain{Points: o.points[r.start:r.end], Closed: true}.Area()
		if c.Length()/longest > mostPieces || len(o.pieces)+len(c.Points) > mostPieces {
			return false
		}
		o.split(o.points[r.start:r.end], longest)
		r.to = len(o.pieces)
		o.runs = append(o.runs, r)
	}
	return true
}

// mostPieces bounds the pieces of one layer: 300 m of outline.
const mostPieces = 100_000

// turn returns the points of a closed chain from a corner on: the point that is
// furthest from the first.
func (o *outline) turn(points []r2.Vec, closed bool) []r2.Vec {
	if !closed {
		return points
	}
	corner, most := 0, 0.0
	for i, p := range points {
		d := r2.Sub(p, points[0])
		if far := d.X*d.X + d.Y*d.Y; far > most {
			corner, most = i, far
		}
	}
	o.turned = append(append(o.turned[:0], points[corner:]...), points[:corner]...)
	return o.turned
}

// thin appends points to out without those that hardly leave the straight.
func thin(out, points []r2.Vec, closed bool) []r2.Vec {
	const most = 16 // points left out in a row, so that the work stays in bounds
	at := 0
	out = append(out, points[0])
	for at < len(points)-1 {
		to := at + 1
		for to+1 < len(points) && to-at < most && straight(points[at:to+2]) {
			to++
		}
		if closed && to == len(points)-1 && len(out) > 2 && straight([]r2.Vec{points[at], points[to], points[0]}) {
			break
		}
		out = append(out, points[to])
		at = to
	}
	return out
}

// straight reports whether all points lie by the line from the first to the last.
func straight(points []r2.Vec) bool {
	a := points[0]
	d := r2.Sub(points[len(points)-1], a)
	l := d.X*d.X + d.Y*d.Y
	for _, p := range points[1 : len(points)-1] {
		q := r2.Sub(p, a)
		if off := r2.Cross(d, q); off*off > keep*keep*l || r2.Dot(q, d) < 0 || r2.Dot(q, d) > l {
			return false
		}
	}
	return l > 0
}

// split appends the pieces of a closed chain.
func (o *outline) split(points []r2.Vec, longest float64) {
	from := len(o.pieces)
	n := len(points)
	for i, a := range points {
		d := r2.Sub(points[(i+1)%n], a)
		l := math.Sqrt(d.X*d.X + d.Y*d.Y)
		if l == 0 {
			continue
		}
		u := r2.Scale(1/l, d)
		parts := max(1, math.Floor(l/longest))
		for k := range int(parts) {
			o.pieces = append(o.pieces, piece{
				a: r2.Add(a, r2.Scale(l*float64(k)/parts, u)), u: u, n: r2.Vec{X: -u.Y, Y: u.X}, l: l / parts,
				prev: int32(len(o.pieces) - 1), next: int32(len(o.pieces) + 1),
			})
		}
	}
	if len(o.pieces) == from {
		return
	}
	last := len(o.pieces) - 1
	o.pieces[from].prev, o.pieces[last].next = int32(last), int32(from)
}

// sort finds out which pieces part material from air: those with material, which
// is where the outlines wind round it, on one side only. It reports whether all
// do, with the material on their left.
func (o *outline) sort() (clean bool) {
	clean = true
	for r := range o.runs {
		run := &o.runs[r]
		run.kept = run.from == run.to
		for i := run.from; i < run.to; i++ {
			p := &o.pieces[i]
			left := o.bands.winding(o.pieces, i)
			right := left - 1
			p.kept = (left == 0) != (right == 0)
			p.turned = p.kept && left == 0
			clean = clean && p.kept && !p.turned
			run.kept = run.kept || p.kept
			if p.turned {
				p.n = r2.Scale(-1, p.n)
			}
		}
	}
	for i := range o.pieces {
		o.pieces[i].narrows = o.narrowing(i)
	}
	return clean
}

// narrowing returns narrows of a piece.
func (o *outline) narrowing(i int) float64 {
	p := &o.pieces[i]
	at := func(u, w r2.Vec) float64 {
		sin, cos := r2.Cross(u, w), r2.Dot(u, w)
		if p.turned {
			sin = -sin
		}
		if sin >= 0 {
			return sin / max(1+cos, 1e-6) // tan of half the turn
		}
		return math.Atan2(sin, cos) / 2
	}
	return at(o.pieces[p.prev].u, p.u) + at(p.u, o.pieces[p.next].u)
}

// area returns the area of material: that round which the outlines wind.
func (o *outline) area(clean bool) float64 {
	if !clean {
		return o.bands.area()
	}
	var sum float64
	for _, r := range o.runs {
		sum += r.area
	}
	return max(0, sum)
}

// time finds the seconds along walls, at the pace that the outlines allow, and
// between lines.
func (o *outline) time(l *layer, s Settings, v float64) {
	var length, along float64
	var last *r2.Vec
	for _, r := range o.runs {
		if !r.kept {
			continue
		}
		c := section.Chain{Points: o.points[r.start:r.end], Closed: r.to > r.from}
		var t float64
		t, o.speeds = runTime(c.Points, c.Closed, v, s.Acceleration, o.speeds)
		length += c.Length()
		along += t
		l.moves += pull
		if last != nil {
			l.moves += moveTime(nearest(*last, c.Points), travelSpeed, s.Acceleration, 0, 0)
		}
		last = &c.Points[0]
	}
	if length > 0 {
		l.wallTime = l.walls / s.Nozzle * along / length
	}
}

// nearest returns how far the nearest of points is from p.
func nearest(p r2.Vec, points []r2.Vec) float64 {
	best := math.Inf(1)
	for _, q := range points {
		d := r2.Sub(q, p)
		best = min(best, d.X*d.X+d.Y*d.Y)
	}
	return math.Sqrt(best)
}
