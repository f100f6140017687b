package band

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// mostArcs is how many arcs a band is parted into at most.
const mostArcs = 24

// arc is a piece of a ring between two angles round its middle.
type arc struct {
	from, to   float64 // rad, anticlockwise from above
	mesh       *mesh.Mesh
	start, end int // number of the joint at either end, 0 where the ring itself ends
}

// spareArcs is how many arcs more than need be are taken so that all lie on one
// bed: a second print costs more than a clip (a guess).
const spareArcs = 2

// part parts the band into the fewest arcs that fit the bed with their marks
// and flats, or a few more where those lie on fewer beds; false where none do.
func (b *Band) part(w Wish) bool {
	ring := *b
	o := outlineOf(b.Mesh, b.Height, b.center)
	beds := 0
	for n := 2; n <= mostArcs && (beds == 0 || beds > 1 && n <= b.Arcs+spareArcs); n++ {
		try := ring
		if !try.partIn(n, o, w) {
			continue
		}
		if beds == 0 || 1+len(try.More) < beds {
			*b, beds = try, 1+len(try.More)
		}
	}
	return beds > 0
}

// partIn parts the band into n arcs; false where they do not fit.
func (b *Band) partIn(n int, o outline, w Wish) bool {
	arcs, flaws := o.parted(b.Mesh, b.center, n)
	large := func(a arc) bool { return a.mesh.Triangles() == 0 || !w.Fits(a.mesh) }
	if len(arcs) < n || slices.ContainsFunc(arcs, large) {
		return false
	}
	b.Flaws, b.Flats, b.Arcs = flaws, true, n
	for i := range arcs {
		b.Flats = arcs[i].finish(b, w.Marks, flaws.Any(), i == 0) && b.Flats
		if !w.Fits(arcs[i].mesh) {
			return false
		}
	}
	b.layOut(arcs, o, w.Fits)
	return true
}

// outline is the outer wall of a ring as seen from its middle, by angle.
type outline struct {
	radius []float64 // mm, of equal steps of angle; 0 where there is no wall
}

// outlineSteps is how many angles an outline is looked at.
const outlineSteps = 720

func outlineOf(m *mesh.Mesh, height float64, center r2.Vec) outline {
	l := newLevel(section.Cut(m, section.Plane{Point: r3.Vec{Z: height / 2}, Normal: r3.Vec{Z: 1}}))
	reach := beyond(m, center)
	o := outline{radius: make([]float64, outlineSteps)}
	for i := range o.radius {
		dir := heading(o.angle(i))
		if entered, _, ok := l.far(r2.Add(center, r2.Scale(reach, dir)), r2.Scale(-1, dir), reach); ok {
			o.radius[i] = reach - entered
		}
	}
	return o
}

// beyond is how far from the middle nothing of m is any more, mm.
func beyond(m *mesh.Mesh, center r2.Vec) float64 {
	far := 0.0
	for v := range m.Vertices() {
		p := m.At(uint32(v))
		far = max(far, r2.Norm(r2.Sub(r2.Vec{X: p.X, Y: p.Y}, center)))
	}
	return far + 1
}

func (o outline) angle(i int) float64 { return 2 * math.Pi * float64(i) / outlineSteps }

// at returns the outermost place of the wall at an angle, or at the next angle
// that way (+1 anticlockwise) that has a wall, from the middle.
func (o outline) at(angle float64, way int) r2.Vec {
	n := len(o.radius)
	i := int(math.Round(angle / (2 * math.Pi) * outlineSteps))
	for k := range n {
		if at := ((i+way*k)%n + n) % n; o.radius[at] > 0 {
			return r2.Scale(o.radius[at], heading(o.angle(at)))
		}
	}
	return r2.Vec{}
}

func heading(angle float64) r2.Vec {
	sin, cos := math.Sincos(angle)
	return r2.Vec{X: cos, Y: sin}
}

// covered returns the steps of the longest run with wall, as its first and how
// many; all where the ring is closed.
func (o outline) covered() (first, count int) {
	n := len(o.radius)
	gap := slices.Index(o.radius, 0)
	if gap < 0 {
		return 0, n
	}
	run := 0
	for k := 1; k <= n; k++ {
		if o.radius[(gap+k)%n] > 0 {
			run++
			if run > count {
				first, count = (gap+k-run+1)%n, run
			}
			continue
		}
		run = 0
	}
	return first, count
}

// parted cuts the ring at angles that part its outer wall into n equal
// lengths. An open ring begins and ends in the middle of its gap.
func (o outline) parted(m *mesh.Mesh, center r2.Vec, n int) ([]arc, section.Flaws) {
	first, count := o.covered()
	steps := len(o.radius)
	if count < 2*n {
		return nil, section.Flaws{}
	}
	walked := make([]float64, count+1)
	for k := range count {
		i, next := (first+k)%steps, (first+k+1)%steps
		if o.radius[next] == 0 {
			next = i
		}
		p, q := r2.Scale(o.radius[i], heading(o.angle(first+k))), r2.Scale(o.radius[next], heading(o.angle(first+k+1)))
		walked[k+1] = walked[k] + r2.Norm(r2.Sub(q, p))
	}
	arcs := make([]arc, n)
	begin, end := o.angle(first), o.angle(first+count)
	if closed := count == steps; !closed {
		spare := (2*math.Pi - (end - begin)) / 2
		begin, end = begin-spare, end+spare
	}
	for i := range arcs {
		arcs[i].from, arcs[i].to = begin, end
		if i > 0 {
			arcs[i].from, arcs[i].start = arcs[i-1].to, i
		}
		if i+1 < n {
			k, _ := slices.BinarySearch(walked, walked[count]*float64(i+1)/float64(n))
			arcs[i].to, arcs[i].end = o.angle(first+k), i+1
		}
	}
	if count == steps {
		arcs[0].start, arcs[n-1].end = n, n
	}
	return arcs, carve(m, center, arcs)
}

// carve gives each arc its mesh: the widest, which need not be convex seen from
// the middle, is what the others leave.
func carve(m *mesh.Mesh, center r2.Vec, arcs []arc) (f section.Flaws) {
	wide := func(a arc) float64 { return a.to - a.from }
	widest := 0
	for i := range arcs {
		if wide(arcs[i]) > wide(arcs[widest])+1e-9 {
			widest = i
		}
	}
	at := r3.Vec{X: center.X, Y: center.Y}
	for i := range arcs {
		if i == widest {
			continue
		}
		from, to := heading(arcs[i].from), heading(arcs[i].to)
		sides := []section.Plane{
			{Point: at, Normal: r3.Vec{X: from.Y, Y: -from.X}},
			{Point: at, Normal: r3.Vec{X: -to.Y, Y: to.X}},
		}
		if wide(arcs[i]) > math.Pi-1e-6 {
			sides = sides[:1]
		}
		inside, rest, flaws := section.Carve(m, sides)
		arcs[i].mesh, m = inside, rest
		f = worse(f, flaws)
	}
	arcs[widest].mesh = m
	return f
}

func worse(f, g section.Flaws) section.Flaws {
	if g.Any() {
		return g
	}
	return f
}

// finish marks an arc and gives its joints flats. Only the first arc sets what
// the band is said to bear. It returns false where a flat had no room.
func (a *arc) finish(b *Band, marks Marks, flawed, sets bool) bool {
	pads, flats := &mesh.Mesh{}, true
	for _, j := range []struct {
		number int
		angle  float64
		side   float64 // +1: the arc lies anticlockwise of the joint
	}{{a.start, a.from, 1}, {a.end, a.to, -1}} {
		if j.number > 0 && !pad(pads, a.mesh, b.Height, b.center, j.angle, j.side, j.number) {
			flats = false
		}
	}
	if !flawed {
		got := mark(a.mesh, b.Height, b.center, marks)
		a.mesh = got.mesh
		if sets {
			b.Notches, b.Text = got.notches, got.text
		}
		b.Notches = min(b.Notches, got.notches)
	}
	a.mesh = mesh.Join(a.mesh, pads)
	return flats
}

// layOut turns the arcs the same way and stacks them, one behind the other, on
// as few beds as hold them.
func (b *Band) layOut(arcs []arc, o outline, fits func(*mesh.Mesh) bool) {
	var beds []*mesh.Mesh
	for _, a := range arcs {
		chord := r2.Sub(o.at(a.from, 1), o.at(a.to, -1))
		sin, cos := math.Sincos(-math.Atan2(chord.Y, chord.X))
		m := settle(a.mesh.Map(func(p r3.Vec) r3.Vec {
			return r3.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y, Z: p.Z}
		}))
		if n := len(beds); n > 0 {
			if more := behind(beds[n-1], m); fits(more) {
				beds[n-1] = more
				continue
			}
		}
		beds = append(beds, m)
	}
	if b.Mesh = beds[0]; len(beds) > 1 {
		b.More = beds[1:]
	}
}

// arcGap is kept between arcs on the bed, mm (common practice, no source).
const arcGap = 5.0

// behind lays m as near behind what lies there as the gap lets it.
func behind(there, m *mesh.Mesh) *mesh.Mesh {
	back, front := profileOf(there).back, profileOf(m).front
	shift := math.Inf(-1)
	for x, y := range front {
		for near := max(0, x-int(arcGap)); near <= min(len(back)-1, x+int(arcGap)); near++ {
			shift = max(shift, back[near]-y+arcGap)
		}
	}
	return mesh.Join(there, m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Y: shift}) }))
}

// profile is the least and the greatest y of a mesh, by whole mm of x from 0;
// +Inf and −Inf where there is none.
type profile struct{ front, back []float64 }

// profileOf looks at a mesh that begins at x = 0.
func profileOf(m *mesh.Mesh) profile {
	n := int(math.Ceil(m.Bounds().Max.X)) + 1
	p := profile{front: make([]float64, n), back: make([]float64, n)}
	for x := range n {
		p.front[x], p.back[x] = math.Inf(1), math.Inf(-1)
	}
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		p.add(a, b)
		p.add(b, c)
		p.add(c, a)
	}
	return p
}

// add takes in the edge from a to b.
func (p *profile) add(a, b r3.Vec) {
	if a.X > b.X {
		a, b = b, a
	}
	for x := max(0, int(a.X)); x <= min(len(p.front)-1, int(math.Ceil(b.X))); x++ {
		share := 0.0
		if b.X > a.X {
			share = max(0, min(1, (float64(x)-a.X)/(b.X-a.X)))
		}
		y := a.Y + share*(b.Y-a.Y)
		p.front[x], p.back[x] = min(p.front[x], y), max(p.back[x], y)
	}
}
