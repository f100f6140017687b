package cavity

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// Closed returns the girth of the section once its gaps are closed as its wall goes round
// elsewhere: of an oval exactly, of another form the least that its wall leaves likely,
// and never less than wall and gaps. A body has no more room there, though an ellipse may
// hang out of a gap. It is infinite where the section is closed, and where no circle has
// such gaps.
func (s *Station) Closed() float64 {
	if s.closed > 0 {
		return s.closed
	}
	return s.closedRound()
}

// Doubt is by how many mm the girth once closed may well be more than Closed, 0 where the
// wall tells it.
func (s *Station) Doubt() float64 { return s.doubt }

// closedRound is Closed by the lengths of wall and gaps alone: that of the circle that has
// them. An oval's is found too long where it is open on its flat side: by 5 percent for one
// 0.85 as deep as wide that is open over 150°; and too short on its narrow side.
func (s *Station) closedRound() float64 {
	if len(s.Gaps) < 2 {
		return closedOnce(s.InnerGirth, s.Gap)
	}
	// The circle whose gaps are less than half of it each: its wall grows with it.
	wall := func(radius float64) float64 {
		sum := 2 * math.Pi * radius
		for _, gap := range s.Gaps {
			sum -= 2 * radius * math.Asin(min(gap/(2*radius), 1))
		}
		return sum
	}
	low, high := slices.Max(s.Gaps)/2, (s.InnerGirth+math.Pi/2*s.Gap)/(2*math.Pi)
	if wall(low) > s.InnerGirth {
		return closedOnce(s.InnerGirth, s.Gap) // more than theirs
	}
	for range halvings {
		if mid := (low + high) / 2; wall(mid) < s.InnerGirth {
			low = mid
		} else {
			high = mid
		}
	}
	return 2 * math.Pi * high
}

// halvings of an interval leave a millionth of a millionth of it.
const halvings = 40

// closedOnce is closedRound for one gap: over an angle θ of wall it is 2·sin(θ/2)/θ of that.
func closedOnce(wall, gap float64) float64 {
	if gap == 0 {
		return math.Inf(1)
	}
	share := gap / wall
	if !(share < 1) {
		return math.Inf(1)
	}
	low, high := 0.0, math.Pi // of θ/2: sin(x)/x falls
	for range halvings {
		if mid := (low + high) / 2; math.Sin(mid) > share*mid {
			low = mid
		} else {
			high = mid
		}
	}
	return wall * math.Pi / high
}

// How the outline of an open section goes on across its gaps is told by a curve through its
// wall: an ellipse whose radius, where the ellipse is drawn as the circle, has waves in it.
// The ellipse and waves of up to two to a turn, which are another ellipse as long as they
// are low, are free; a wave of k to a turn, egg-shaped for 3, boxy for 4, is as high as the
// wall shows but for what it leaves open: there it is likely to be k⁻² as high as a common
// height, which the wall tells, as that of a curve whose direction jumps. So the ellipse
// remains one, and what departs from it departs across the gap by what is likely, and as
// far as that is in doubt. (Regression with a normal prior, its two variances by the
// fixed point of MacKay, Neural Computation 4, 1992, 415–447.)
const (
	waves    = 8    // the most to a turn (a guess: more are the wall's roughness)
	spots    = 240  // places of the wall that are looked at
	telling  = 40   // of them that tell something of their own: neighbours are rough alike (a guess)
	refits   = 6    // of the fixed point, which moves by little after
	firstTry = 1e-3 // of the roughness' variance by that of the common height (a guess, as good as any)
	// deviations is how many standard deviations less is taken than is likely. Of ellipses,
	// eggs and rounded boxes from 0.6 to 1.2 as deep as wide, smooth, of 24 sides and with
	// random waves of 0.5 percent, open by up to 155° anywhere, and of those of 12 sides, open
	// by up to 120°, none was then taken for more than 1 percent longer than it is; by two
	// some were for 3 percent. In the mean they are taken for 2 percent less than they are,
	// ellipses for none.
	deviations = 3
	// knownTo is how far round a gap goes, as such a circle, up to which waves are known: of
	// a wall that leaves more open, the circle as long is an upper bound as well.
	knownTo = 155 * math.Pi / 180
	// mostDoubt is the most that a girth once closed is taken to be more, as a share of it
	// (a guess: an oval 0.6 as deep as wide, open over 200° on its narrow side, is a fourth
	// longer than the circle). Where the waves are not known they may lead anywhere.
	mostDoubt = 0.25
)

// closing returns what Closed and Doubt are for the outline of a section, of which some
// sides are gaps.
func (s *Station) closing() (closed, doubt float64) {
	least, round := s.InnerGirth+s.Gap, s.closedRound()
	if s.Gap == 0 || math.IsInf(round, 1) || len(s.gaps) != len(s.Void) {
		return 0, 0
	}
	places := s.along()
	o, ok := ovalOf(places)
	if !ok {
		return least, max(0, round-least)
	}
	w := o.waved(places)
	likely, sd, widest := s.InnerGirth, 0.0, 0.0
	slope := mat.NewVecDense(terms, nil)
	for i, is := range s.gaps {
		if is {
			arc := o.arc(s.Void[i], s.Void[(i+1)%len(s.Void)])
			likely += arc.chord * arc.long(w.height)
			if w.spread != nil {
				slope.AddScaledVec(slope, arc.chord, arc.slope(w.height))
			}
			widest = max(widest, arc.turned)
		}
	}
	if w.spread != nil {
		sd = math.Sqrt(max(0, mat.Inner(slope, w.spread, slope)))
	}
	most := min(max(likely, least)+deviations*sd, max(likely, least, round))
	if widest > knownTo {
		likely = min(likely, round)
	}
	if math.IsNaN(likely) || math.IsNaN(sd) {
		return least, max(0, round-least)
	}
	closed = max(least, likely-deviations*sd)
	return closed, min(max(0, most-closed), mostDoubt*closed)
}

// place is a place on the wall that stands for a share of its length.
type place struct {
	at    r2.Vec
	share float64
}

// along returns places along the wall of the section, as good as evenly, the same from
// either end of each stretch between two gaps.
func (s *Station) along() (out []place) {
	n, first := len(s.Void), slices.Index(s.gaps, true)
	var stretch []r2.Vec
	for k := 1; k <= n; k++ {
		i := (first + k) % n
		if stretch = append(stretch, s.Void[i]); s.gaps[i] {
			out = append(out, placesOn(stretch, s.InnerGirth)...)
			stretch = stretch[:0]
		}
	}
	return out
}

// placesOn returns places on a stretch of a wall of some length.
func placesOn(stretch []r2.Vec, wall float64) (out []place) {
	var long float64
	for i := 1; i < len(stretch); i++ {
		long += r2.Norm(r2.Sub(stretch[i], stretch[i-1]))
	}
	if long == 0 {
		return nil
	}
	count := max(1, math.Round(spots*long/wall))
	var past float64
	for i := 1; i < len(stretch); i++ {
		side := r2.Sub(stretch[i], stretch[i-1])
		far := r2.Norm(side)
		for at := (float64(len(out)) + 0.5) / count * long; float64(len(out)) < count && at < past+far; {
			out = append(out, place{r2.Add(stretch[i-1], r2.Scale((at-past)/far, side)), long / wall / count})
			at = (float64(len(out)) + 0.5) / count * long
		}
		past += far
	}
	return out
}

// oval is an ellipse with the map that makes it the circle of radius 1 about the origin,
// without a mirror.
type oval struct {
	center   r2.Vec
	long     [2]float64 // half axes
	sin, cos float64    // of the first axis' direction
}

// ovalOf returns the ellipse that is nearest to places by the squares of its equation
// (Halíř & Flusser, Numerically stable direct least squares fitting of ellipses, 1998);
// false where there is none, as on a straight wall.
func ovalOf(places []place) (o oval, ok bool) {
	var mid r2.Vec
	for _, p := range places {
		mid = r2.Add(mid, r2.Scale(p.share, p.at))
	}
	var size float64
	for _, p := range places {
		size += p.share * r2.Norm2(r2.Sub(p.at, mid))
	}
	if size = math.Sqrt(size); !(size > 0) {
		return o, false
	}
	var s1, s2, s3 mat.Dense // sums of the squares' products, with the lines', and the lines'
	s1.ReuseAs(3, 3)
	s2.ReuseAs(3, 3)
	s3.ReuseAs(3, 3)
	for _, p := range places {
		q := r2.Scale(1/size, r2.Sub(p.at, mid))
		square, line := [3]float64{q.X * q.X, q.X * q.Y, q.Y * q.Y}, [3]float64{q.X, q.Y, 1}
		for i := range 3 {
			for k := range 3 {
				s1.Set(i, k, s1.At(i, k)+p.share*square[i]*square[k])
				s2.Set(i, k, s2.At(i, k)+p.share*square[i]*line[k])
				s3.Set(i, k, s3.At(i, k)+p.share*line[i]*line[k])
			}
		}
	}
	var t, m mat.Dense
	if err := t.Solve(&s3, s2.T()); err != nil {
		return o, false
	}
	m.Mul(&s2, &t)
	m.Sub(&s1, &m)
	reduced := mat.NewDense(3, 3, nil)
	for k := range 3 {
		reduced.Set(0, k, m.At(2, k)/2)
		reduced.Set(1, k, -m.At(1, k))
		reduced.Set(2, k, m.At(0, k)/2)
	}
	var eigen mat.Eigen
	if !eigen.Factorize(reduced, mat.EigenRight) {
		return o, false
	}
	var vectors mat.CDense
	eigen.VectorsTo(&vectors)
	for k := range 3 {
		a, b, c := real(vectors.At(0, k)), real(vectors.At(1, k)), real(vectors.At(2, k))
		if 4*a*c-b*b <= 0 {
			continue
		}
		var line [3]float64
		for i := range 3 {
			line[i] = -(t.At(i, 0)*a + t.At(i, 1)*b + t.At(i, 2)*c)
		}
		if o, ok = ovalIn([3]float64{a, b, c}, line); ok {
			o.center = r2.Add(mid, r2.Scale(size, o.center))
			o.long[0], o.long[1] = size*o.long[0], size*o.long[1]
			return o, true
		}
	}
	return o, false
}

// ovalIn returns the ellipse of the equation a·x² + b·xy + c·y² + d·x + e·y + f = 0.
func ovalIn(square, line [3]float64) (o oval, ok bool) {
	a, b, c, d, e := square[0], square[1], square[2], line[0], line[1]
	det := 4*a*c - b*b
	o.center = r2.Vec{X: (b*e - 2*c*d) / det, Y: (b*d - 2*a*e) / det}
	f := -(line[2] + (d*o.center.X+e*o.center.Y)/2)
	a, b, c = a/f, b/f, c/f
	mean, off := (a+c)/2, math.Hypot((a-c)/2, b/2)
	if !(mean > off) {
		return o, false
	}
	o.long = [2]float64{1 / math.Sqrt(mean+off), 1 / math.Sqrt(mean-off)}
	o.sin, o.cos = math.Sincos(math.Atan2(b, a-c) / 2)
	return o, true
}

// polar returns where a place lies as the ellipse is the circle: its direction, and how far
// out as a share of the radius.
func (o *oval) polar(at r2.Vec) (angle, radius float64) {
	d := r2.Sub(at, o.center)
	x, y := (o.cos*d.X+o.sin*d.Y)/o.long[0], (o.cos*d.Y-o.sin*d.X)/o.long[1]
	return math.Atan2(y, x), math.Hypot(x, y)
}

// terms is how many heights of waves there are: of none to a turn, and a cosine and a sine
// of each number.
const terms = 2*waves + 1

// wavesAt returns the waves at an angle, each of the height 1.
func wavesAt(angle float64) (out [terms]float64) {
	out[0] = 1
	for k := 1; k <= waves; k++ {
		out[2*k], out[2*k-1] = math.Sincos(float64(k) * angle)
	}
	return out
}

// stiff is by how much a wave is lower than a common height, as the square of the share: 0
// where it is free.
func stiff(term int) float64 {
	if k := (term + 1) / 2; k >= 3 {
		return math.Pow(float64(k), 4)
	}
	return 0
}

// waved is how high the waves are, and how far in doubt: nil where there are none.
type waved struct {
	height *mat.VecDense
	spread *mat.SymDense
}

// smooth is the mean square of the heights up to which an outline is the ellipse itself: the
// rounding of a file's numbers.
const smooth = 1e-14

// waved returns the waves of an outline's places.
func (o *oval) waved(places []place) waved {
	normal := mat.NewSymDense(terms, nil)
	right := mat.NewVecDense(terms, nil)
	var square float64
	for _, p := range places {
		angle, radius := o.polar(p.at)
		wave, out, weight := wavesAt(angle), radius-1, telling*p.share
		for i := range terms {
			right.SetVec(i, right.AtVec(i)+weight*wave[i]*out)
			for k := i; k < terms; k++ {
				normal.SetSym(i, k, normal.At(i, k)+weight*wave[i]*wave[k])
			}
		}
		square += weight * out * out
	}
	none := waved{height: mat.NewVecDense(terms, nil)}
	if square < telling*smooth {
		return none
	}
	ratio := firstTry // of the roughness' variance by that of the common height
	var w waved
	for range refits {
		full := mat.NewSymDense(terms, nil)
		full.CopySym(normal)
		for i := range terms {
			full.SetSym(i, i, full.At(i, i)+ratio*stiff(i))
		}
		var root mat.Cholesky
		if !root.Factorize(full) {
			return none
		}
		w = waved{mat.NewVecDense(terms, nil), mat.NewSymDense(terms, nil)}
		if root.SolveVecTo(w.height, right) != nil || root.InverseTo(w.spread) != nil {
			return none
		}
		left := max(0, square-2*mat.Dot(w.height, right)+mat.Inner(w.height, normal, w.height))
		var known, high float64 // heights that the wall tells; the sum of their squares
		for i := range terms {
			if s := stiff(i); s > 0 {
				known += 1 - ratio*s*w.spread.At(i, i)
				high += s * w.height.AtVec(i) * w.height.AtVec(i)
			}
		}
		common := high / known
		rough := max(left/max(telling-5-known, 1), leastRatio*common)
		w.spread.ScaleSym(rough, w.spread)
		if !(common > 0) {
			break
		}
		ratio = min(rough/common, mostRatio)
	}
	return w
}

// leastRatio and mostRatio keep the fixed point from where sums lose their digits.
const leastRatio, mostRatio = 1e-5, 1e3

// gapArc is how the curve goes on across a gap.
type gapArc struct {
	chord float64 // the gap itself, mm
	steps [arcSteps + 1]struct {
		at    r2.Vec // of the ellipse about its center
		waves [terms]float64
	}
	turned float64 // the angle that it goes round, as the ellipse is the circle
}

// arcSteps is how many straight pieces stand for an arc: of a half circle they are 1/10000
// too short.
const arcSteps = 64

// arc returns how the ellipse goes on from one end of a gap anticlockwise to the other.
func (o *oval) arc(from, to r2.Vec) *gapArc {
	a, _ := o.polar(from)
	b, _ := o.polar(to)
	if b < a {
		b += 2 * math.Pi
	}
	out := &gapArc{chord: r2.Norm(r2.Sub(to, from)), turned: b - a}
	for i := range out.steps {
		angle := a + (b-a)*float64(i)/arcSteps
		sin, cos := math.Sincos(angle)
		out.steps[i].at = r2.Vec{X: o.long[0] * cos, Y: o.long[1] * sin}
		out.steps[i].waves = wavesAt(angle)
	}
	return out
}

// long returns how many times as long as its own chord the arc is with waves of such heights.
func (a *gapArc) long(height *mat.VecDense) float64 {
	at := func(i int) r2.Vec {
		radius := 1.0
		for k, w := range a.steps[i].waves {
			radius += float64(w * height.AtVec(k))
		}
		return r2.Scale(radius, a.steps[i].at)
	}
	first := at(0)
	last, sum := first, 0.0
	for i := 1; i <= arcSteps; i++ {
		next := at(i)
		sum += r2.Norm(r2.Sub(next, last))
		last = next
	}
	chord := r2.Norm(r2.Sub(last, first))
	if chord == 0 {
		return 1
	}
	return sum / chord
}

// slope returns by how much long grows with each height.
func (a *gapArc) slope(height *mat.VecDense) *mat.VecDense {
	const step = 1e-6
	out := mat.NewVecDense(terms, nil)
	here := mat.VecDenseCopyOf(height)
	base := a.long(here)
	for k := range terms {
		was := here.AtVec(k)
		here.SetVec(k, was+step)
		out.SetVec(k, (a.long(here)-base)/step)
		here.SetVec(k, was)
	}
	return out
}
