package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Hips is a hip ring with two legs: an upright trunk from the waist (top) to
// the seat, and from there two legs down to z = 0. Sections are ellipses with A
// across and B front to back: at every height from the seat up, and over the
// straight ends of the legs. Apart must exceed Leg.A by three times Wall, or the
// outer skin pinches in the groove between the legs.
type Hips struct {
	Sides            int // of a leg; an even number
	Waist, Seat, Leg Ellipse
	Wall             float64
	Height           float64 // of the waist's rim
	Band             float64 // straight height below the waist's rim
	SeatZ            float64 // height of the seat, where the crotch's seam starts
	Drop             float64 // how far the crotch hangs below the seat
	Legs             float64 // straight height of the legs
	Apart            float64 // distance of a leg's axis from the middle plane
}

// Rounds of relaxing that round the fork of the legs and the seam of a sleeve,
// found by looking.
const (
	forkRounds = 25
	seamRounds = 20
)

// Rows of facets of each stretch of a trunk.
const (
	trunkRows = 20
	legRows   = 24
)

// Mesh draws the hips with the legs at ±x.
func (h Hips) Mesh() *mesh.Mesh {
	s := newSoup()
	s.patch(h.trunk())
	s.patch(h.leg())
	skin := s.mesh()
	relax(skin, forkRounds, func(p r3.Vec) float64 {
		return within(p.Z-h.Legs, h.Drop) * within(h.SeatZ-p.Z, h.Drop/4) * within(h.Apart-math.Abs(p.X), h.Apart/2)
	})
	return thickened(skin, h.Wall)
}

// trunk returns the half x ≥ 0 of the trunk's inner skin, from the seat up.
func (h Hips) trunk() patch {
	k := sides(h.Sides) / 2
	return patch{rows: trunkRows + 2, cols: k + 1, at: func(i, j int) r3.Vec {
		share := float64(min(i, trunkRows)) / trunkRows
		z := h.SeatZ + share*(h.Height-h.Band-h.SeatZ)
		if i > trunkRows {
			z = h.Height
		}
		return arc(h.Trunk(z), j, k, z)
	}}
}

// arc returns point j of k steps on the half x ≥ 0 of an ellipse, from −y to +y.
// Its ends lie on x = 0 to the bit.
func arc(e Ellipse, j, k int, z float64) r3.Vec {
	x, y := e.At(math.Pi * (float64(j)/float64(k) - 0.5))
	if j == 0 || j == k {
		x = 0
	}
	return r3.Vec{X: x, Y: y, Z: z}
}

// leg returns the inner skin of the leg at +x, from its end up to the seam. There
// the outer half of the loop is the seat's, the other half is the crotch, half an
// ellipse in the plane x = 0. Between seam and leg every column is a cubic
// that leaves the seat straight down and the crotch sideways.
func (h Hips) leg() patch {
	k := sides(h.Sides) / 2
	return patch{rows: legRows + 2, cols: 2 * k, wrap: true, at: func(i, j int) r3.Vec {
		x, y := h.Leg.At(math.Pi * (float64(j)/float64(k) - 0.5))
		end := r3.Vec{X: h.Apart + x, Y: y, Z: h.Legs}
		if i == 0 {
			return r3.Vec{X: end.X, Y: end.Y}
		}
		seam := arc(h.Seat, j, k, h.SeatZ)
		var side float64 // 0 where the leg hangs straight down, 1 in the crotch's middle
		if j > k {
			sin, cos := math.Sincos(math.Pi * float64(j-k) / float64(k))
			seam, side = r3.Vec{Y: h.Seat.B * cos, Z: h.SeatZ - h.Drop*sin}, sin
		}
		drop := seam.Z - h.Legs
		leave := r3.Vec{X: side * (1.5*end.X + 0.6*drop), Z: -(1 - side) * drop}
		return cubic(end, r3.Vec{Z: drop}, seam, r3.Scale(-1, leave), float64(i-1)/legRows)
	}}
}

// cubic returns the Hermite curve from p with slope u to q with slope v at t.
func cubic(p, u, q, v r3.Vec, t float64) r3.Vec {
	s := smooth(t)
	out := r3.Add(r3.Scale(1-s, p), r3.Scale(s, q))
	out = r3.Add(out, r3.Scale(t*(1-t)*(1-t), u))
	return r3.Add(out, r3.Scale(t*t*(t-1), v))
}

// Trunk returns the inner section at a height from SeatZ up.
func (h Hips) Trunk(z float64) Ellipse {
	top := h.Height - h.Band
	return h.Seat.Toward(h.Waist, smooth(min((z-h.SeatZ)/(top-h.SeatZ), 1)))
}

// Openings returns the waist, the leg at +x and the leg at −x.
func (h Hips) Openings() []Opening {
	return []Opening{
		{Center: r3.Vec{Z: h.Height}, Facing: r3.Vec{Z: 1}, Rim: h.Waist},
		{Center: r3.Vec{X: h.Apart}, Facing: r3.Vec{Z: -1}, Rim: h.Leg},
		{Center: r3.Vec{X: -h.Apart}, Facing: r3.Vec{Z: -1}, Rim: h.Leg},
	}
}

// Ways returns the way from the waist to each leg, with stations every step mm
// of height over the straight stretches. Along is absent (0): the length of the
// way through the fork has no closed form.
func (h Hips) Ways(step float64) []Way {
	var out []Way
	for to, x := range []float64{0, h.Apart, -h.Apart} {
		if to == 0 {
			continue
		}
		w := Way{From: 0, To: to}
		down := r3.Vec{Z: -1}
		for z := h.Height; z >= h.Height-h.Band; z -= step {
			w.Stations = append(w.Stations, Station{Center: r3.Vec{Z: z}, Normal: down, Loop: h.Waist})
		}
		for z := h.Legs; z >= 0; z -= step {
			w.Stations = append(w.Stations, Station{Center: r3.Vec{X: x, Z: z}, Normal: down, Loop: h.Leg})
		}
		out = append(out, w)
	}
	return out
}

// Torso is a body shell with four openings: the waist at z = 0, the neck on
// top, and two short sleeves along ±x. Level sections are ellipses with A across
// and B front to back below and above the sleeves.
type Torso struct {
	Sides              int // of the trunk; a multiple of 4
	Waist, Chest, Neck Ellipse
	Arm                Ellipse // of a sleeve: A front to back, B upright
	Wall               float64
	Band               float64 // straight height above the waist's rim
	ChestZ             float64 // height of the widest section
	NeckZ              float64 // where the neck starts
	Height             float64 // of the neck's rim
	ArmX, ArmZ         float64 // middle of the end of a sleeve
	Sleeve             float64 // straight length of a sleeve
}

// The hole for a sleeve is a square of cells in the trunk's side, so that its
// seam has 4·armSides corners.
const (
	torsoRows = 24 // of each stretch, waist to chest and chest to neck
	armSides  = 24
	sleeveRow = 12
	seamRows  = 4 // rows beyond the hole over which the seam is rounded
)

// Mesh draws the torso.
func (t Torso) Mesh() *mesh.Mesh {
	s := newSoup()
	s.patch(t.trunk())
	s.patch(t.sleeve())
	skin := s.mesh()
	low, high := t.row(t.armRow()-seamRows), t.row(t.armRow()+armSides+seamRows)
	relax(skin, seamRounds, func(p r3.Vec) float64 {
		side := math.Abs(p.X)
		return within(p.Z-low, 20) * within(high-p.Z, 20) * within(side-t.Chest.A/4, 40) * within(t.ArmX-t.Sleeve-side, 10)
	})
	return thickened(skin, t.Wall)
}

// trunk returns the half x ≥ 0 of the trunk's inner skin from the waist up.
func (t Torso) trunk() patch {
	k, armRow := sides(t.Sides)/2, t.armRow()
	return patch{
		rows: 2*torsoRows + 3, cols: k + 1,
		at: func(i, j int) r3.Vec {
			z := t.row(i)
			return arc(t.At(z), j, k, z)
		},
		gone: func(i, j int) bool {
			return i >= armRow && i < armRow+armSides && j >= k/2-armSides/2 && j < k/2+armSides/2
		},
	}
}

// row returns the height of row i of the inner skin.
func (t Torso) row(i int) float64 {
	switch {
	case i == 0:
		return 0
	case i <= torsoRows+1:
		return t.Band + float64(i-1)/torsoRows*(t.ChestZ-t.Band)
	case i <= 2*torsoRows+1:
		return t.ChestZ + float64(i-1-torsoRows)/torsoRows*(t.NeckZ-t.ChestZ)
	}
	return t.Height
}

// armRow returns the lowest row of the sleeve's hole: the one that puts its
// middle nearest to the sleeve's.
func (t Torso) armRow() int {
	best, off := seamRows, math.Inf(1)
	for i := seamRows; i+armSides+seamRows <= 2*torsoRows+2; i++ {
		if d := math.Abs((t.row(i)+t.row(i+armSides))/2 - t.ArmZ); d < off {
			best, off = i, d
		}
	}
	return best
}

// At returns the inner section of the trunk at the height z, as if it had no
// sleeves.
func (t Torso) At(z float64) Ellipse {
	if z <= t.ChestZ {
		return t.Waist.Toward(t.Chest, smooth(max(0, (z-t.Band)/(t.ChestZ-t.Band))))
	}
	return t.Chest.Toward(t.Neck, smooth(min(1, (z-t.ChestZ)/(t.NeckZ-t.ChestZ))))
}

// sleeve returns the inner skin of the sleeve at +x, from the seam on the trunk to
// its end.
func (t Torso) sleeve() patch {
	trunk, k, armRow := t.trunk(), sides(t.Sides)/2, t.armRow()
	return patch{rows: sleeveRow + 2, cols: 4 * armSides, wrap: true, at: func(i, j int) r3.Vec {
		row, col := seam(j)
		from := trunk.at(armRow+row, k/2-armSides/2+col)
		y, z := t.Arm.At(2*math.Pi*float64(j)/(4*armSides) - 3*math.Pi/4)
		end := r3.Vec{X: t.ArmX - t.Sleeve, Y: y, Z: t.ArmZ + z}
		if i > sleeveRow {
			return r3.Vec{X: t.ArmX, Y: end.Y, Z: end.Z}
		}
		inward := r3.Vec{Y: -from.Y, Z: t.ArmZ - from.Z}
		return cubic(from, inward, end, r3.Vec{X: end.X - from.X}, float64(i)/sleeveRow)
	}}
}

// seam returns the cell corner of point j of the square hole, from the lower
// back corner on, counter-clockwise seen from outside.
func seam(j int) (row, col int) {
	side, step := j/armSides, j%armSides
	switch side {
	case 0:
		return 0, step
	case 1:
		return step, armSides
	case 2:
		return armSides, armSides - step
	}
	return armSides - step, 0
}

// Openings returns the waist, the neck, the sleeve at +x and the one at −x.
func (t Torso) Openings() []Opening {
	return []Opening{
		{Facing: r3.Vec{Z: -1}, Rim: t.Waist},
		{Center: r3.Vec{Z: t.Height}, Facing: r3.Vec{Z: 1}, Rim: t.Neck},
		{Center: r3.Vec{X: t.ArmX, Z: t.ArmZ}, Facing: r3.Vec{X: 1}, Rim: t.Arm},
		{Center: r3.Vec{X: -t.ArmX, Z: t.ArmZ}, Facing: r3.Vec{X: -1}, Rim: t.Arm},
	}
}

// Ways returns the way from the waist to the neck and to each sleeve, with
// stations every step mm where the section is known: level from the waist up
// to the sleeves' seam and along the neck, upright along the sleeves. Along is
// given on the way to the neck only.
func (t Torso) Ways(step float64) []Way {
	up := Way{From: 0, To: 1}
	for z := 0.0; z <= t.Height; z += step {
		if z < t.row(t.armRow()-seamRows) || z >= t.NeckZ {
			up.Stations = append(up.Stations, Station{Along: z, Center: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}, Loop: t.At(z)})
		}
	}
	out := []Way{up}
	for to, side := range []float64{1, -1} {
		w := Way{From: 0, To: to + 2}
		for z := 0.0; z <= t.Band; z += step {
			w.Stations = append(w.Stations, Station{Center: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}, Loop: t.Waist})
		}
		for x := t.ArmX - t.Sleeve; x <= t.ArmX; x += step {
			w.Stations = append(w.Stations, Station{Center: r3.Vec{X: side * x, Z: t.ArmZ}, Normal: r3.Vec{X: side}, Loop: t.Arm})
		}
		out = append(out, w)
	}
	return out
}
