package outline

import (
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r2"
)

// Joint is what Bent draws: two shells at a joint, from the side. Lengths are
// mm, angles degrees. The side on which their rims meet is on the right.
type Joint struct {
	Title, Note  string
	Upper, Lower string  // what the shells are called
	Meet         string  // where the rims meet: "back"
	Above, Below float64 // from the axis up to the upper rim, down to the lower; negative past it
	UpperRadius  float64 // of the rims
	LowerRadius  float64
	Axis         float64 // from the middle of the limb towards where the rims meet
	Gap          float64 // of the rims along the limb; negative where they overlap
	Touch        float64 // by how much the joint bends until the rims touch
	Normal       float64 // by how much it bends without shells
	UpperTurns   bool    // the upper part is the one that moves
	Also         picture.Also
}

var (
	upperWall = picture.Stroke{Colour: picture.Ink, Width: 6}
	lowerWall = picture.Stroke{Colour: picture.Blue, Width: 6}
	rimLine   = picture.Stroke{Colour: picture.Soft, Width: 2.5, Dashes: []float64{9, 6}}
	limbLine  = picture.Stroke{Colour: picture.Soft, Width: 1.8, Dashes: []float64{16, 5, 3, 5}}
)

// Bent draws a joint twice, straight and bent until the rims touch, with the
// gap between them and the angle; where they do not touch it is bent as far as
// the body does.
func Bent(j Joint) *image.RGBA { return j.sheet().Pixels }

// angle is how far the bent view is bent.
func (j Joint) angle() float64 { return min(j.Touch, j.Normal) }

// tube is one shell from its rim outward, in mm from the joint's axis, y upward.
type tube struct {
	rim, far [2]r2.Vec // left and right end of the rim, and of the end away from it
	middle   [2]r2.Vec // the limb's middle at the joint and at the far end
	wall     picture.Stroke
}

// tubes returns the two shells as they stand when the joint is bent by an
// angle. Their walls run straight on from the rims, for as long as the wider
// rim is wide: how a part goes on does not matter here.
func (j Joint) tubes(bent float64) [2]tube {
	long := 1.7 * max(j.UpperRadius, j.LowerRadius)
	make := func(radius, rim, up float64, wall picture.Stroke) tube {
		far := rim + up*long
		return tube{
			rim:    [2]r2.Vec{{X: -radius - j.Axis, Y: rim}, {X: radius - j.Axis, Y: rim}},
			far:    [2]r2.Vec{{X: -radius - j.Axis, Y: far}, {X: radius - j.Axis, Y: far}},
			middle: [2]r2.Vec{{X: -j.Axis}, {X: -j.Axis, Y: far}},
			wall:   wall,
		}
	}
	upper, lower := make(j.UpperRadius, j.Above, 1, upperWall), make(j.LowerRadius, -j.Below, -1, lowerWall)
	if j.UpperTurns {
		return [2]tube{upper.turned(-bent), lower}
	}
	return [2]tube{upper, lower.turned(bent)}
}

// turned turns a tube about the axis, counterclockwise.
func (t tube) turned(degrees float64) tube {
	turn := r2.NewRotation(degrees*math.Pi/180, r2.Vec{})
	for _, pair := range []*[2]r2.Vec{&t.rim, &t.far, &t.middle} {
		for i := range pair {
			pair[i] = turn.Rotate(pair[i])
		}
	}
	return t
}

// contact is where the shells touch in the bent view: up to a right angle the
// edge that is nearer to the axis comes to the other rim, beyond it the other
// edge comes to the wall behind the first.
func (j Joint) contact() r2.Vec {
	tubes := j.tubes(j.angle())
	upper, lower := tubes[0].rim[1], tubes[1].rim[1]
	if (r2.Norm(upper) < r2.Norm(lower)) == (j.angle() <= 90) {
		return upper
	}
	return lower
}

// stance is one of the two views: its tubes and where they lie on the sheet.
type stance struct {
	tubes [2]tube
	x, y  picture.Axis // mm from the joint's axis
}

func (f stance) at(p r2.Vec) (x, y float64) { return f.x.Px(p.X), f.y.Px(p.Y) }

// scale is in px per mm.
func (f stance) scale() float64 { return (f.x.End - f.x.Start) / (f.x.High - f.x.Low) }

// stances lays both views out side by side, to one scale and with their axes
// level, and returns the height of the sheet.
func (j Joint) stances() (straight, bent stance, height int) {
	const top, tall, left, wide, between, below = 210, 540, 310, 280, 100, 190
	straight.tubes, bent.tubes = j.tubes(0), j.tubes(j.angle())
	lowS, highS := extent(straight.tubes)
	lowB, highB := extent(bent.tubes)
	low, high := min(lowS.Y, lowB.Y), max(highS.Y, highB.Y)
	room := float64(picture.Width - left - between - 2*picture.Edge)
	scale := min(tall/(high-low), room/(highS.X-lowS.X+highB.X-lowB.X), wide/(highS.X-lowS.X))
	bottom := top + (high-low)*scale
	y := picture.Axis{Low: low, High: high, Start: bottom, End: top}
	straight.y, bent.y = y, y
	straight.x = picture.Axis{Low: lowS.X, High: highS.X, Start: left, End: left + (highS.X-lowS.X)*scale}
	// The rest of the sheet is the bent view's, which stands in its middle.
	start := straight.x.End + between
	start += (picture.Width - picture.Edge - start - (highB.X-lowB.X)*scale) / 2
	bent.x = picture.Axis{Low: lowB.X, High: highB.X, Start: start, End: start + (highB.X-lowB.X)*scale}
	return straight, bent, int(bottom) + below
}

// extent is the box round both tubes and the axis.
func extent(tubes [2]tube) (low, high r2.Vec) {
	for _, t := range tubes {
		for _, p := range append(t.rim[:], t.far[:]...) {
			low = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
			high = r2.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
		}
	}
	return low, high
}

func (j Joint) sheet() *picture.Sheet {
	straight, bent, height := j.stances()
	s := picture.NewSheet(height)
	s.Heading(j.Title)
	if j.Note != "" {
		s.Write(picture.Shorten(picture.Note(j.Note), picture.Width-2*picture.Edge), picture.Edge, picture.Edge+picture.TitleSize+12, 0, 0)
	}
	foot := float64(height) - picture.Edge - 12
	straight.draw(s)
	j.drawNames(s, straight)
	j.drawGap(s, straight)
	named := s.Write(picture.Plain("straight"), (straight.x.Start+straight.x.End)/2, foot, 0.5, 1)
	if j.Gap <= 0 {
		left := straight.x.End + 60
		for _, l := range s.Labels[1:] {
			if l.Text != j.Note {
				left = max(left, l.Right+24)
			}
		}
		for i, l := range picture.Wrapped("The shells overlap: here it cannot bend.", picture.Plain, picture.Width-picture.Edge-left) {
			s.Write(l, left, (bent.y.Start+bent.y.End)/2+float64(i)*picture.RowStep, 0, 0.5)
		}
		return s.Trim()
	}
	bent.draw(s)
	j.drawAngle(s, bent)
	bent.pivot(s)
	lines := picture.Wrapped(j.bentWords(), picture.Plain, min(picture.Width-picture.Edge-named.Right-48, 380))
	for i, words := range lines {
		w, _, _ := words.Size()
		s.Write(words, min(max((bent.x.Start+bent.x.End)/2, named.Right+20+w/2), picture.Width-picture.Edge-w/2), foot-float64(len(lines)-1-i)*picture.RowStep, 0.5, 1)
	}
	return s.Trim()
}

func (j Joint) bentWords() string {
	if j.Touch < j.Normal {
		return "bent by " + degrees(j.angle()) + "° of " + degrees(j.Normal) + "°: the rims touch"
	}
	return "bent as far as it goes, " + degrees(j.Normal) + "°: no rim touches"
}

// draw draws the limb, the shells on it and the axis.
func (f stance) draw(s *picture.Sheet) {
	f.drawLimb(s)
	f.drawShells(s)
	f.pivot(s)
}

func degrees(v float64) string { return strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64) }

// drawLimb shades the body inside the shells: a little narrower than they are,
// at the joint as narrow as the narrower one asks, and round where it bends.
func (f stance) drawLimb(s *picture.Sheet) {
	const slim = 0.8
	s.SetDash()
	s.SetColor(picture.Faint)
	least := slim / 2 * min(r2.Norm(r2.Sub(f.tubes[0].rim[1], f.tubes[0].rim[0])), r2.Norm(r2.Sub(f.tubes[1].rim[1], f.tubes[1].rim[0])))
	for _, t := range f.tubes {
		far := r2.Scale(slim/2, r2.Sub(t.rim[1], t.rim[0]))
		near := r2.Scale(least, r2.Unit(far))
		for i, p := range []r2.Vec{
			r2.Add(t.middle[0], near), r2.Add(t.middle[1], far), r2.Sub(t.middle[1], far), r2.Sub(t.middle[0], near),
		} {
			x, y := f.at(p)
			if i == 0 {
				s.MoveTo(x, y)
				continue
			}
			s.LineTo(x, y)
		}
		s.ClosePath()
		s.Fill()
		x, y := f.at(t.middle[0])
		s.DrawCircle(x, y, least*f.scale())
		s.Fill()
	}
	for _, t := range f.tubes {
		x0, y0 := f.at(t.middle[0])
		x1, y1 := f.at(t.middle[1])
		s.Line(limbLine, x0, y0, x1, y1)
	}
}

// drawShells draws the walls as they are cut from front to back, and the rims
// between them.
func (f stance) drawShells(s *picture.Sheet) {
	for _, t := range f.tubes {
		x0, y0 := f.at(t.rim[0])
		x1, y1 := f.at(t.rim[1])
		s.Line(rimLine, x0, y0, x1, y1)
		for i := range t.rim {
			x0, y0 := f.at(t.rim[i])
			x1, y1 := f.at(t.far[i])
			s.Line(t.wall, x0, y0, x1, y1)
			s.Take(6, x0, y0, x1, y1)
		}
	}
}

// drawNames writes what the shells are above and under the straight view, and
// on which side of the limb the rims meet.
func (j Joint) drawNames(s *picture.Sheet, f stance) {
	x := (f.x.Start + f.x.End) / 2
	_, top := f.at(f.tubes[0].far[0])
	_, bottom := f.at(f.tubes[1].far[0])
	s.Write(picture.Strong(j.Upper), x, top-12, 0.5, 1)
	s.Write(picture.Strong(j.Lower), x, bottom+12, 0.5, 0)
	if j.Meet != "" {
		_, y := f.at(r2.Vec{})
		words := strings.Fields(j.Meet) // one below the other: the bent view is near
		y -= float64(len(words)-1) / 2 * picture.NoteSize * 1.2
		for _, word := range words {
			s.Write(picture.Note(word), f.x.End+14, y, 0, 0.5)
			y += picture.NoteSize * 1.2
		}
	}
}

// drawGap measures from rim to rim, on the side where they do not meet.
func (j Joint) drawGap(s *picture.Sheet, f stance) {
	out := f.x.Start - 34
	guide := picture.Stroke{Colour: picture.Soft, Width: 1.5, Dashes: []float64{5, 5}}
	var ys [2]float64
	for i, t := range f.tubes {
		x, y := f.at(t.rim[0])
		s.Line(guide, x-8, y, out-10, y)
		ys[i] = y
	}
	if math.Abs(ys[1]-ys[0]) >= 34 {
		s.Arrow(out, ys[0], out, ys[1])
	} else { // too narrow for two heads within: point at it from without
		top, bottom := min(ys[0], ys[1]), max(ys[0], ys[1])
		arrowhead(s, out, top-40, out, top)
		arrowhead(s, out, bottom+40, out, bottom)
	}
	text := "gap " + picture.MM0(j.Gap)
	if j.Gap < 0 {
		text = "overlap " + picture.MM0(-j.Gap)
	}
	y := (ys[0] + ys[1]) / 2
	if j.Also == nil {
		s.Write(picture.Strong(text), out-14, y, 1, 0.5)
		return
	}
	s.Write(picture.Strong(text), out-14, y, 1, 1)
	s.Write(picture.Note("("+j.Also(math.Abs(j.Gap))+")"), out-14, y, 1, 0)
}

// arrowhead draws a line with a head at its end.
func arrowhead(s *picture.Sheet, x0, y0, x1, y1 float64) {
	s.Line(picture.Stroke{Colour: picture.Ink, Width: 2}, x0, y0, x1, y1)
	far := math.Hypot(x1-x0, y1-y0)
	ux, uy := (x1-x0)/far, (y1-y0)/far
	s.MoveTo(x1, y1)
	s.LineTo(x1-14*ux-5*uy, y1-14*uy+5*ux)
	s.LineTo(x1-14*ux+5*uy, y1-14*uy-5*ux)
	s.ClosePath()
	s.SetColor(picture.Ink)
	s.Fill()
}

// drawAngle draws the angle from the straight limb to the bent one and marks
// where the rims touch.
func (j Joint) drawAngle(s *picture.Sheet, f stance) {
	x, y := f.at(r2.Vec{})
	long := 1.7 * max(j.UpperRadius, j.LowerRadius)
	start, away := -90.0, j.Below+0.55*long // on the sheet counted from x upward
	turn := 1.0
	if j.UpperTurns {
		start, away, turn = 90, j.Above+0.55*long, -1
	}
	radius := away * f.scale()
	if j.angle() < 0.5 { // nothing to be seen
		return
	}
	sin, cos := math.Sincos(start * math.Pi / 180)
	s.Line(limbLine, x, y, x+(radius+40)*cos, y-(radius+40)*sin)
	var arc []float64
	const steps = 60
	for i := range steps + 1 {
		sin, cos := math.Sincos((start + turn*j.angle()*float64(i)/steps) * math.Pi / 180)
		arc = append(arc, x+radius*cos, y-radius*sin)
	}
	s.Line(picture.Stroke{Colour: picture.Ink, Width: 2}, arc...)
	if n := len(arc); radius*j.angle()*math.Pi/180 > 30 { // longer than the head
		arrowhead(s, arc[n-6], arc[n-5], arc[n-2], arc[n-1])
	}
	s.Take(5, arc...)
	if j.Touch < j.Normal {
		px, py := f.at(j.contact())
		s.SetDash()
		s.DrawCircle(px, py, 13)
		s.Use(picture.Stroke{Colour: picture.Vermilion, Width: 5})
		s.Stroke()
		s.Take(16, px, py, px, py)
	}
	mid := steps / 2
	frame := picture.Box{Left: f.x.Start, Top: f.y.End - 30, Right: picture.Width - picture.Edge, Bottom: f.y.Start + 40}
	s.Label(picture.Strong(degrees(j.angle())+"°"), arc[2*mid], arc[2*mid+1], 16, frame)
}

// pivot marks the joint's axis.
func (f stance) pivot(s *picture.Sheet) {
	x, y := f.at(r2.Vec{})
	s.SetDash()
	s.DrawCircle(x, y, 10)
	s.SetColor(picture.Paper)
	s.FillPreserve()
	s.Use(picture.Stroke{Colour: picture.Ink, Width: 3})
	s.Stroke()
	s.DrawCircle(x, y, 3)
	s.SetColor(color.Black)
	s.Fill()
}
