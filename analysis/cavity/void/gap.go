package void

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// bridge adds lines between loose ends no further apart than reach mm, nearest
// pairs first; then from loose ends that found no partner to the nearest piece
// within reach. A loose end is not joined to what hangs on it, the pieces that
// lie within three times the distance along the wall, nor to one that ends the
// same way: the next of two skins over the same hole.
func (f *Finder) bridge(reach float64) {
	loose := f.plan.loose()
	if len(loose) == 0 || reach <= 0 {
		return
	}
	near := f.plan.neighbours()
	type pair struct {
		i, j int
		d    float64
	}
	var pairs []pair
	own := make([]map[int32]float64, len(loose))
	ways := make([]r2.Vec, len(loose))
	for i, s := range loose {
		own[i] = f.plan.along(near, s, 3*reach)
		ways[i] = f.plan.ending(near, s)
		for j, t := range loose[:i] {
			d := distance(f.plan.spots[s], f.plan.spots[t])
			if meet := -r2.Dot(ways[i], ways[j]); d > reach || meet < -facing || d < skins && meet < facing {
				continue
			}
			if way, hangs := own[i][t]; !hangs || way > 3*d {
				pairs = append(pairs, pair{i, j, d})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.d, b.d) })
	joined := make([]bool, len(loose))
	for _, p := range pairs {
		if !joined[p.i] && !joined[p.j] {
			joined[p.i], joined[p.j] = true, true
			f.add(f.plan.spots[loose[p.i]], f.plan.spots[loose[p.j]], bridge)
		}
	}
	for i, s := range loose {
		if joined[i] || f.plan.degree[s] > 1 {
			continue
		}
		if q, ok := f.plan.nearest(s, reach, own[i]); ok {
			f.add(f.plan.spots[s], q, bridge)
		}
	}
}

const (
	// facing is the cosine of the angle within which two walls that end face each
	// other, or else end the same way.
	facing = 0.5
	// skins is the distance in mm below which two ends are those of two skins
	// unless they face each other.
	skins = 0.1
)

// ending returns the unit direction in which the wall ends at a free end, over
// its last half millimetre or so; zero where another wall goes by.
func (p *plan) ending(near [][]int32, s int32) r2.Vec {
	const length = 0.5
	if len(near[s]) != 1 {
		return r2.Vec{}
	}
	last, at := s, near[s][0]
	for len(near[at]) == 2 && at != s && distance(p.spots[at], p.spots[s]) < length {
		last, at = at, near[at][0]+near[at][1]-last
	}
	d := r2.Sub(p.spots[s].at(), p.spots[at].at())
	if n := r2.Norm(d); n > 0 {
		return r2.Scale(1/n, d)
	}
	return r2.Vec{}
}

// nearest returns the point nearest to a loose end on the pieces that do not
// hang on it, within reach mm.
func (p *plan) nearest(s int32, reach float64, own map[int32]float64) (spot, bool) {
	at := p.spots[s].at()
	best, least := r2.Vec{}, reach
	found := false
	for _, e := range p.edges {
		if _, hangs := own[e.u()]; hangs {
			continue
		}
		if _, hangs := own[e.v()]; hangs {
			continue
		}
		q := onPiece(at, p.spots[e.u()].at(), p.spots[e.v()].at())
		if d := r2.Norm(r2.Sub(q, at)); d <= least {
			best, least, found = q, d, true
		}
	}
	return spotOf(best), found
}

// neighbours returns for every spot those that a piece joins it to.
func (p *plan) neighbours() [][]int32 {
	out := make([][]int32, len(p.spots))
	for _, e := range p.edges {
		out[e.u()] = append(out[e.u()], e.v())
		out[e.v()] = append(out[e.v()], e.u())
	}
	return out
}

// along returns the spots that can be reached from s along the walls within
// reach mm, with the length of a way there.
func (p *plan) along(near [][]int32, s int32, reach float64) map[int32]float64 {
	found := map[int32]float64{s: 0}
	queue := []int32{s}
	for len(queue) > 0 {
		u := queue[0]
		queue = queue[1:]
		for _, v := range near[u] {
			d := found[u] + distance(p.spots[u], p.spots[v])
			if old, ok := found[v]; d <= reach && (!ok || d < old-unit) {
				found[v] = d
				queue = append(queue, v)
			}
		}
	}
	return found
}

// looks is the number of directions in which a point looks round: half a degree
// each.
const looks = 720

// view is what a point sees: for each direction the distance to the nearest
// wall in mm, infinite where there is none, and the number of the edge.
type view struct {
	far  [looks]float64
	edge [looks]int32
}

// newView returns a view of nothing.
func newView() *view {
	v := &view{}
	v.clear()
	return v
}

func (v *view) clear() {
	for k := range v.far {
		v.far[k], v.edge[k] = math.Inf(1), -1
	}
}

// degrees returns how much of the way round something is seen.
func (v *view) degrees() float64 {
	seen := 0
	for _, e := range v.edge {
		if e >= 0 {
			seen++
		}
	}
	return float64(seen) * 360 / looks
}

// look fills the view from the origin.
func (v *view) look(p *plan) {
	v.clear()
	for i, e := range p.edges {
		v.cover(bearingOf(p.spots[e.u()].at()), bearingOf(p.spots[e.v()].at()), int32(i))
	}
}

// bearing is a place as a point sees it.
type bearing struct {
	at    r2.Vec  // from the point
	angle float64 // in steps from one direction to the next, from x on
}

func bearingOf(p r2.Vec) bearing { return bearing{p, math.Atan2(p.Y, p.X) * looks / (2 * math.Pi)} }

// cover enters a piece where it is the nearest.
func (v *view) cover(a, b bearing, number int32) {
	side := r2.Cross(a.at, b.at)
	if side < 0 {
		a, b, side = b, a, -side
	}
	if side == 0 {
		return
	}
	to := b.angle
	if to < a.angle {
		to += looks
	}
	along := r2.Sub(b.at, a.at)
	for k := math.Ceil(a.angle - 0.5); k+0.5 <= to; k++ {
		n := (int(k)%looks + looks) % looks
		if far := side / r2.Cross(directions[n], along); far > 0 && far < v.far[n] {
			v.far[n], v.edge[n] = far, number
		}
	}
}

// coverOutline enters the sides of the outline of a void that are wall, or all of them.
func (v *view) coverOutline(of *Void, from r2.Vec, wallOnly bool) {
	n := len(of.Outline)
	if n == 0 {
		return
	}
	last := bearingOf(r2.Sub(of.Outline[n-1], from))
	for i, p := range of.Outline {
		side := (i + n - 1) % n
		next := bearingOf(r2.Sub(p, from))
		if !wallOnly || !of.Gaps[side] {
			v.cover(last, next, int32(side))
		}
		last = next
	}
}

// directions are those in which a point looks round. They lie half a step off, so
// that those of drawn corners are rare.
var directions = func() (all [looks]r2.Vec) {
	for k := range all {
		all[k].Y, all[k].X = math.Sincos((float64(k) + 0.5) * 2 * math.Pi / looks)
	}
	return all
}()

// window is a way past the end of a wall, from one direction to a later one.
type window struct {
	from, to int // the last direction before it and the first behind it
	a, b     spot
	width    float64
}

const (
	leastSeen = 120 // degrees of the way round that wall must be seen
	reopened  = 6   // windows that are opened again at most
)

// seal closes the ways out of the origin and returns its face then; false
// where too little wall is seen. First only what is seen of the open sky is
// closed. Where the origin still leaks, round a corner, every window past the
// end of a wall is closed, and then the widest ones are opened again where the
// origin stays enclosed without them.
func (f *Finder) seal() (found face, sealed, ok bool) {
	f.view.look(&f.plan)
	if f.view.degrees() < leastSeen {
		return face{}, false, false
	}
	sky, rest := f.windows()
	walls := len(f.lines)
	if found, ok = f.closed(walls, sky); ok {
		return found, false, true
	}
	needed := append(slices.Clone(sky), rest...)
	if _, ok = f.closed(walls, needed); !ok {
		return face{}, true, false
	}
	for range min(reopened, len(rest)) {
		// The rest follow the sky, widest first; one that is needed goes last.
		at := len(sky)
		w := needed[at]
		fewer := slices.Delete(slices.Clone(needed), at, at+1)
		if _, ok := f.closed(walls, fewer); ok {
			needed = fewer
		} else {
			needed = append(fewer, w)
		}
	}
	// The plan is that of the last look: it must be that of the face.
	found, ok = f.closed(walls, needed)
	return found, true, ok
}

// closed returns the face of the origin with the windows closed; the first
// lines are the walls.
func (f *Finder) closed(walls int, windows []window) (face, bool) {
	f.lines = f.lines[:walls]
	for _, w := range windows {
		f.add(w.a, w.b, gap)
	}
	f.plan.arrange(f.lines)
	return f.face()
}

// windows returns the ways to the open sky and, widest first, those between a
// near wall and a far one behind its end.
func (f *Finder) windows() (sky, rest []window) {
	v := &f.view
	for k := range looks {
		next := (k + 1) % looks
		if v.edge[k] < 0 {
			continue
		}
		if v.edge[next] < 0 {
			end := next
			for v.edge[end] < 0 {
				end = (end + 1) % looks
			}
			sky = append(sky, f.window(k, end))
			continue
		}
		if v.edge[k] == v.edge[next] {
			continue
		}
		e, g := f.plan.edges[v.edge[k]], f.plan.edges[v.edge[next]]
		if e.u() == g.u() || e.u() == g.v() || e.v() == g.u() || e.v() == g.v() {
			continue
		}
		if w := f.window(k, next); w.width > 0 {
			rest = append(rest, w)
		}
	}
	slices.SortStableFunc(rest, func(a, b window) int { return cmp.Compare(b.width, a.width) })
	return sky, rest
}

// window returns the window between two directions: from rim to rim.
func (f *Finder) window(from, to int) window {
	w := window{from: from, to: to}
	w.a, w.b = f.rim(from, +1), f.rim(to, -1)
	w.a, w.b = f.draw(from, -1, w.a, w.b), f.draw(to, +1, w.b, w.a)
	w.width = distance(w.a, w.b)
	return w
}

// rim returns the end of the wall seen in direction k, on the side to which
// the directions go by step.
func (f *Finder) rim(k, step int) spot {
	e := f.plan.edges[f.view.edge[k]]
	u, v := f.plan.spots[e.u()], f.plan.spots[e.v()]
	if (r2.Cross(u.at(), v.at()) > 0) == (step > 0) {
		return v
	}
	return u
}

// draw moves the end of a chord from the rim that is seen back along the wall
// in view, to where a sharp corner or most of the way moved shortens it: from
// the outer edge of a flat rim to the inner one. It looks no further back than
// a sixth of the distance.
func (f *Finder) draw(k, step int, rim, other spot) spot {
	const steep, reach = 0.7, 1.0 / 6
	best, at := rim, rim
	limit := reach * r2.Norm(rim.at())
	for way := 0.0; f.view.edge[k] >= 0; k = (k + step + looks) % looks {
		next := f.rim(k, step)
		if next == at {
			continue
		}
		if way += distance(at, next); way > limit {
			break
		}
		won := distance(best, other) - distance(next, other)
		beyond := k
		for f.view.edge[beyond] == f.view.edge[k] {
			beyond = (beyond + step + looks) % looks
		}
		corner := f.view.edge[beyond] >= 0 && bent(at, next, f.rim(beyond, step))
		if won > steep*distance(best, next) || corner && won > 0 {
			best = next
		}
		at = next
	}
	return best
}

// sharp is the cosine of the angle by which a way turns at a sharp corner, 36°.
const sharp = 0.8090169943749475

// bent reports whether the way from a over b to c has a sharp corner at b.
func bent(a, b, c spot) bool {
	if a == b || b == c {
		return false
	}
	u, v := r2.Sub(b.at(), a.at()), r2.Sub(c.at(), b.at())
	dot := r2.Dot(u, v) // |u|·|v|·cosine: compared by its square, which needs no root
	return dot < 0 || dot*dot < sharp*sharp*r2.Norm2(u)*r2.Norm2(v)
}

// Look is the void seen from a point.
type Look struct {
	Cover  float64 // degrees of the way round that wall is seen
	Center r2.Vec  // centroid of what is seen, no further off than twice the clearance
	Clear  float64 // distance to the nearest side of the outline
}

// From returns how the void looks from a point inside it.
func (v *Void) From(at r2.Vec) Look {
	var l Look
	seen := newView()
	seen.coverOutline(v, at, false)
	l.Clear = v.Clearance(at)
	var sum r2.Vec
	var area float64
	for k, far := range seen.far {
		if e := seen.edge[k]; e >= 0 && !v.Gaps[e] {
			l.Cover += 360.0 / looks
		}
		far = min(far, 2*l.Clear)
		// A thin sector has the area ½·r²·dφ and its centroid at ⅔·r.
		area += far * far / 2
		sum = r2.Add(sum, r2.Scale(far*far*far/3, directions[k]))
	}
	if area > 0 {
		l.Center = r2.Scale(1/area, sum)
	}
	l.Center = r2.Add(at, l.Center)
	return l
}
