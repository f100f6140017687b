package fit

import (
	"fmt"
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// elbow is a tube with two straight arms and a right angle between them, with the given
// mean radius of the bend, and a cut-out on its inner side over so many degrees of the tube
// to each side: a cutaway shell, bent towards −x.
func elbow(radius, arm, bend, half float64) *mesh.Mesh { return bentBy(90, radius, arm, bend, half) }

// bentBy is the same with any angle between the arms.
func bentBy(degrees, radius, arm, bend, half float64) *mesh.Mesh {
	arc := bend * degrees * math.Pi / 180
	var cuts []shape.Cut
	if half > 0 {
		cuts = []shape.Cut{{From: arm + arc/6, To: arm + arc*5/6, At: 180, Degrees: half}}
	}
	circle := shape.Circle(radius)
	straight := shape.Cutaway{Bottom: circle, Top: circle, Wall: 3, Height: 2*arm + arc, Cuts: cuts}
	return straight.Mesh().Map(func(p r3.Vec) r3.Vec {
		turn := min(max(p.Z-arm, 0), arc) / bend
		beyond := p.Z - bend*turn // along the arms
		low := min(beyond, arm)
		sin, cos := math.Sincos(turn)
		out := bend + p.X
		return r3.Vec{X: out*cos - bend - (beyond-low)*sin, Y: p.Y, Z: low + out*sin + (beyond-low)*cos}
	})
}

// A cut-out at the inner bend of an elbow is no entrance: the arm goes in by an end, and the
// shell has the room of its tube, 2πR. It was the roomiest opening, and the shell was called
// too loose.
func TestCutoutOfAnElbowIsNoEntrance(t *testing.T) {
	const radius, arm, bend = 50.0, 110.0, 90.0
	r := region(t, "forearm")
	for i, half := range []float64{0, 24, 30, 48} {
		m := elbow(radius, arm, bend, half)
		if i > 0 {
			m = shape.Turn(m, shape.Rotation(uint64(i)))
		}
		if i == 3 {
			m = shape.Mirror(m)
		}
		cavities := find(t, m)
		passings := Passings(cavities, r, "")
		require.Len(t, passings, 1, "%g°", half)
		require.InEpsilon(t, 2*math.Pi*radius, passings[0].Throat, 0.01, "%g°", half)
		seats := Seats(cavities, r, "", nil)
		require.NotEmpty(t, seats, "%g°", half)
		for _, s := range seats {
			require.Greater(t, s.Main.Length, 2*arm+bend, "%g°", half)
			for _, at := range []float64{20, 60, 100} {
				lead := s.rests[s.lead]
				require.InEpsilon(t, 2*math.Pi*radius, lead.rooms.at(at), 0.01, "%g°, %g mm in", half, at)
				require.InEpsilon(t, 2*math.Pi*radius, lead.rooms.at(s.Main.Length-at), 0.01, "%g°, %g mm from the end", half, at)
			}
		}
	}
}

// A leg goes in by an end of a greave with a long window and out by the other: it has to
// pass the ring at each, and its calf has the room of the shell without the window.
func TestLongWindowIsNoEntrance(t *testing.T) {
	r := region(t, "lower_leg")
	for _, half := range []float64{30, 50, 60, 80} {
		shell := shape.Cutaway{Bottom: shape.Circle(54), Top: shape.Circle(66), Wall: 3, Height: 330, Cuts: []shape.Cut{{From: 20, To: 310, At: 70, Degrees: half}}}
		cavities := find(t, shell.Mesh())
		passings := Passings(cavities, r, "")
		require.Len(t, passings, 1, "%g°", half)
		require.InEpsilon(t, 2*math.Pi*54, passings[0].Throat, 0.01, "%g°", half)
		seats := Seats(cavities, r, "", nil)
		require.Len(t, seats, 1, "%g°", half)
		w, rooms := seats[0].Main, seats[0].rests[seats[0].lead].rooms
		within := 0.015
		if half > 70 {
			within = 0.02 // as far as a wall that goes little more than half of the way round tells
		}
		for i, s := range w.Stations {
			if z := s.Center.Z; z > 30 && z < 300 {
				require.InEpsilon(t, 2*math.Pi*(54+12*z/330), rooms.at(w.Along(i)), within, "%g°, %.0f mm up", half, z)
			}
		}
	}
}

// A shell that is open on part of its length, up to a rim or between two rings, has the room
// of the closed one all along it, 2πR, and its narrow ring has to be passed: however long
// that part is against its width, however wide it is open, and however the shell lies, is
// mirrored or how large it is. A tapering one had no more room at a rim that is open behind
// than at the first whole section, 11 percent less than it has; of one open by 150° no
// throat was found at all, or one of 0 mm.
func TestRoomOfAShellOpenForLessThanItIsWide(t *testing.T) {
	const low, wide, height = 48.0, 60.0, 330.0
	r := region(t, "lower_leg")
	cases := []struct {
		length, degrees float64
		place           string
		low             float64
		turn            uint64
		mirror          bool
		size            float64
	}{
		{35, 60, "top", low, 0, false, 1},
		{60, 120, "top", low, 3, false, 1},
		{90, 90, "top", low, 4, true, 1},
		{120, 150, "top", low, 0, false, 1},
		{120, 150, "top", low, 5, false, 1.3},
		{180, 90, "top", low, 0, false, 0.8},
		{60, 150, "bottom", low, 0, false, 1},
		{120, 120, "bottom", low, 0, false, 1},
		{120, 150, "middle", wide, 0, false, 1},
		{120, 150, "middle", wide, 6, true, 1},
		{280, 120, "middle", low, 7, false, 1},
	}
	for _, c := range cases {
		name := fmt.Sprintf("%+v", c)
		s := c.size
		cut := shape.Cut{To: s * c.length, At: -90, Degrees: c.degrees / 2}
		switch c.place {
		case "top":
			cut.From, cut.To = s*(height-c.length), s*height
		case "middle":
			cut.From, cut.To = s*(height-c.length)/2, s*(height+c.length)/2
		}
		shell := shape.Cutaway{Bottom: shape.Circle(s * c.low), Top: shape.Circle(s * wide), Wall: s * 4, Height: s * height, Cuts: []shape.Cut{cut}}
		m, back := shell.Mesh(), func(p r3.Vec) r3.Vec { return p }
		if c.mirror {
			m = shape.Mirror(m) // across x = 0: z stays
		}
		if c.turn > 0 {
			by := shape.Rotation(c.turn)
			m, back = shape.Turn(m, by), r3.Rotation(quat.Conj(quat.Number(by))).Rotate
		}
		cavities := find(t, m)
		radius := func(z float64) float64 { return s*c.low + (wide-c.low)*z/height }
		passings := Passings(cavities, r, "")
		require.Len(t, passings, 1, name)
		require.InEpsilon(t, 2*math.Pi*s*c.low, passings[0].Throat, 0.005, name)
		seats := Seats(cavities, r, "", nil)
		require.NotEmpty(t, seats, name)
		for _, seat := range seats {
			rooms := roomsOf(seat.Main, cavities[seat.Main.Cavity].Openings, limb)
			for i, end := range [2]int{0, len(rooms) - 1} {
				require.InEpsilon(t, 2*math.Pi*radius(back(seat.Main.Stations[end].Center).Z), seat.ends[i], 0.015, "%s: a rim", name)
			}
			for i, st := range seat.Main.Stations {
				z := back(st.Center).Z
				require.InEpsilon(t, 2*math.Pi*radius(z), rooms[i], 0.015, "%s, %.0f mm up", name, z)
			}
		}
	}
}

// A shell that turns by 60° or more goes round a joint, however it lies, is cut out or how
// large it is; a straight one does not, whatever its rims and its openings, nor one that
// turns by less than a forearm might. What goes round an elbow is compared in length with
// the whole arm, and is offered no scale of its own for the length: its sections would be
// squeezed. It was called too long for the forearm.
func TestShellRoundAJoint(t *testing.T) {
	const radius, arm, bend = 50.0, 110.0, 90.0
	r := region(t, "forearm")
	seatOf := func(m *mesh.Mesh) *Seat {
		seats := Seats(find(t, m), r, "", nil)
		require.NotEmpty(t, seats)
		return seats[0]
	}
	wants := Wants{Padding: 5, Ease: 6, Loosest: 40}
	for i, c := range []struct{ degrees, half float64 }{{60, 0}, {90, 0}, {90, 24}, {90, 48}, {110, 30}} {
		long := 2*arm + bend*c.degrees*math.Pi/180
		m := bentBy(c.degrees, radius, arm, bend, c.half)
		if i%2 == 1 {
			m = shape.Turn(shape.Mirror(m), shape.Rotation(uint64(i)))
		}
		s := seatOf(m)
		require.True(t, s.Joined(), "%+v", c)
		a := Question{Wearer: armed(t), Wants: wants, Seat: s}.Judge()
		require.Nil(t, a.TwoWay, "%+v", c)
		require.Len(t, a.Lengths, 1)
		// Upper arm, lower arm, and 30 mm past the wrist; the way cuts the corner a little.
		require.InEpsilon(t, (330.0+250+30)/long, a.Lengths[0].Largest, 0.05, "%+v", c)
		in, ok := Inside{Region: r, Seats: []*Seat{s}, Lengths: []float64{0}}.Pack().Unpack()
		require.True(t, ok)
		require.True(t, in.Seats[0].Joined(), "kept")
	}
	tube := shape.Tube{Sides: 128, Radius: radius, Wall: 3, Height: 260}.Mesh()
	slanted := func(low, high float64) *mesh.Mesh {
		at := func(degrees float64) r3.Vec {
			sin, cos := math.Sincos(degrees * math.Pi / 180)
			return r3.Vec{X: sin, Z: cos}
		}
		_, m, _ := section.Halves(tube, section.Plane{Point: r3.Vec{Z: 200}, Normal: at(high)})
		m, _, _ = section.Halves(m, section.Plane{Point: r3.Vec{Z: 60}, Normal: at(low)})
		return m
	}
	cuts := []shape.Cut{{To: 60, At: 90, Degrees: 75}, {From: 90, To: 150, At: -90, Degrees: 75}}
	for name, m := range map[string]*mesh.Mesh{
		"straight":                        tube,
		"slanted alike":                   slanted(40, 40),
		"slanted against each other":      slanted(-40, 40),
		"open in front, and then behind":  shape.Cutaway{Bottom: shape.Circle(50), Top: shape.Circle(55), Wall: 3, Height: 150, Cuts: cuts}.Mesh(),
		"turning by less than an elbow's": bentBy(30, radius, arm, bend, 0),
	} {
		require.False(t, seatOf(m).Joined(), name)
	}
}

// A tapering shell whose rims are cut at a slant has, at each height, the room of the whole
// one, 2πR of the middle of the section: it had 4 percent less where a rim was the wider one.
func TestSlantedRimsOfATaperingShell(t *testing.T) {
	whole := shape.Taper{Bottom: shape.Circle(40), Top: shape.Circle(52), Wall: 3, Height: 260}
	at := func(z, degrees float64) section.Plane {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		return section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{X: sin, Z: cos}}
	}
	for _, slants := range [][2]float64{{0, 38}, {30, 38}, {-30, 38}} {
		_, m, _ := section.Halves(whole.Mesh(), at(215, slants[1]))
		m, _, _ = section.Halves(m, at(35, slants[0]))
		cavities := find(t, m)
		seats := Seats(cavities, region(t, "forearm"), "", nil)
		require.NotEmpty(t, seats, "%v", slants)
		w := seats[0].Main
		for i, room := range roomsOf(w, cavities[w.Cavity].Openings, limb) {
			z := w.Stations[i].Center.Z
			require.InEpsilon(t, whole.At(z).Girth(), room, 0.025, "%v, %.0f mm up", slants, z)
		}
	}
}
