package cavity

import (
	"math"
	"slices"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const columns = 180 // of a cutaway shell

// around are so many cuts of an angle evenly round a shell between two heights.
func around(n int, from, to, half float64) (cuts []shape.Cut) {
	for i := range n {
		cuts = append(cuts, shape.Cut{From: from, To: to, At: float64(i) * 360 / float64(n), Degrees: half})
	}
	return cuts
}

// A shell full of windows has the openings that its mesh has, at the windows and at the
// rims, and one way, from rim to rim, as the same shell without windows; at the rims its
// girth is 2nr·sin(π/n), and its way is as long as the shell, however it lies and however
// large it is. Before windows were closed to tell what is inside, openings lay in the
// middle of the shell, with ways from each.
func TestWindowsOfAShell(t *testing.T) {
	var lattice []shape.Cut
	for z := 10.0; z < 310; z += 20 {
		lattice = append(lattice, around(15, z, z+15, 9)...)
	}
	var wide []shape.Cut
	for _, z := range []float64{30, 130, 230} {
		wide = append(wide, around(4, z, z+70, 28)...)
	}
	cases := []struct {
		name  string
		cuts  []shape.Cut
		least int // of the windows are told apart: of a lattice some run into each other
		seed  uint64
		size  float64
	}{
		{"none", nil, 0, 0, 1},
		{"slits", around(8, 20, 310, 8), 8, 0, 1},
		{"slits, turned", around(8, 20, 310, 8), 8, 7, 1},
		{"narrow slits", around(18, 30, 300, 5), 18, 0, 1},
		{"wide windows", wide, 12, 0, 1},
		{"wide windows, turned and larger", wide, 12, 3, 1.3},
		{"lattice", lattice, 60, 0, 1},
		{"lattice, turned and smaller", lattice, 60, 5, 0.8},
	}
	if underRace {
		cases = cases[1:3]
	}
	for _, c := range cases {
		s := c.size
		cuts := slices.Clone(c.cuts)
		for i := range cuts {
			cuts[i].From, cuts[i].To = s*cuts[i].From, s*cuts[i].To
		}
		low, high := 54*s, 66*s
		shell := shape.Cutaway{Bottom: shape.Circle(low), Top: shape.Circle(high), Wall: 3 * s, Height: 330 * s, Cuts: cuts}
		f := find(t, shell.Mesh(), c.seed, Options{Spacing: 5 * s, Ball: usualBall * s})
		require.Len(t, f.cavities, 1, c.name)
		found := f.cavities[0]
		require.LessOrEqual(t, len(found.Openings), 2+len(c.cuts), c.name)
		require.GreaterOrEqual(t, len(found.Openings), 2+c.least, c.name)
		measured := 0
		for i, o := range found.Openings {
			if o.Girth > 0 {
				measured++
			}
			require.Equal(t, i < 2, o.Entry, "%s: opening %s", c.name, o.Name)
			if i < 2 {
				radius, z := []float64{high, low}[i], []float64{330 * s, 0}[i]
				require.InEpsilon(t, 2*columns*radius*math.Sin(math.Pi/columns), o.Girth, 0.003, "%s: rim %s", c.name, o.Name)
				require.InDelta(t, z, o.Center.Z, 3*s, "%s: rim %s", c.name, o.Name)
				require.Zero(t, o.Gap, c.name)
			} else if off := math.Hypot(o.Center.X, o.Center.Y); off < 0.8*low {
				t.Errorf("%s: opening %s lies in free air, %.1f mm from the middle", c.name, o.Name, off)
			}
		}
		require.LessOrEqual(t, measured, 2+mostVents, c.name)
		require.Len(t, found.Lines, 1, c.name)
		require.InEpsilon(t, 330*s, found.Lines[0].Length, 0.01, c.name)
		for _, st := range found.Lines[0].Stations {
			if radius := low + (high-low)*st.Center.Z/(330*s); st.Gap == 0 {
				require.InEpsilon(t, 2*columns*radius*math.Sin(math.Pi/columns), st.InnerGirth, 0.005, "%s, %.1f mm up", c.name, st.Center.Z)
			}
		}
	}
}

// At its ends a shell with a long window closes all round, and its rims have the girth of
// the whole ring, 2nr·sin(π/n), though along the window half of it is seen.
func TestRimsOfAShellWithALongWindow(t *testing.T) {
	for _, half := range []float64{50, 60, 85} {
		shell := shape.Cutaway{Bottom: shape.Circle(54), Top: shape.Circle(66), Wall: 3, Height: 330, Cuts: []shape.Cut{{From: 20, To: 310, At: 50, Degrees: half}}}
		found := find(t, shell.Mesh(), uint64(half), Options{}).cavities
		require.Len(t, found, 1)
		require.Len(t, found[0].Openings, 3, "%g°", half)
		rims, beside := 0, 0
		for _, o := range found[0].Openings {
			radius := 54.0
			switch {
			case o.Center.Z > 325:
				radius = 66
			case o.Center.Z > 5:
				continue
			}
			rims++
			require.InEpsilon(t, 2*columns*radius*math.Sin(math.Pi/columns), o.Girth, 0.003, "%g°: rim %s", half, o.Name)
			require.Zero(t, o.Gap, "%g°: rim %s", half, o.Name)
		}
		require.Equal(t, 2, rims, "%g°", half)
		for _, l := range found[0].Lines {
			if l.Length < 300 {
				continue
			}
			for _, o := range found[0].Openings {
				if l.Passes(&o) {
					require.InDelta(t, 165, o.Center.Z, 60)
					beside++
				}
			}
		}
		require.Positive(t, beside, "%g°: the window lies beside the way", half)
	}
}

// Where a shell begins to be open behind, and all along it, sections are square to the
// limb: so much of them is wall as is not cut out. They lay aslant by up to 50°, for fronts
// that spread from all of the opening, which goes along the side, do.
func TestSectionsOfAnOpenBackAreSquare(t *testing.T) {
	const height, cut = 350.0, 150.0
	for i, half := range []float64{30, 60, 70, 80} {
		shell := shape.Cutaway{Bottom: shape.Circle(46), Top: shape.Circle(66), Wall: 4, Height: height, Cuts: []shape.Cut{{From: cut, To: height, At: -90, Degrees: half}}}
		found := find(t, shell.Mesh(), uint64(i), Options{}).cavities
		require.Len(t, found, 1)
		require.Len(t, found[0].Lines, 1)
		seen := 0
		for _, s := range found[0].Lines[0].Stations {
			z := s.Center.Z
			if math.Abs(z-cut) < 10 {
				continue
			}
			seen++
			require.Greater(t, math.Abs(s.Normal.Z), math.Cos(8*math.Pi/180), "open by %g°, %.0f mm up", 2*half, z)
			share := 1.0
			if z > cut {
				share -= half / 180
			}
			require.InEpsilon(t, share*2*math.Pi*(46+20*z/height), s.InnerGirth, 0.015, "open by %g°, %.0f mm up", 2*half, z)
		}
		require.Greater(t, seen, 55)
	}
}

// So they are across an oval shell, wherever it is open and at whichever end: once closed they
// are as long as the ellipse that it was cut from, and the way goes on to the end of the wall.
// They lay aslant by up to 50°, and were up to a third too long, for a plane that is drawn out
// towards the gap or away from it shows more wall.
func TestSectionsOfAnOpenOvalAreSquare(t *testing.T) {
	const height = 330.0
	for _, c := range []struct {
		low, from, to, at, half float64 // the lower half axis; the cut
		seed                    uint64
	}{
		{64.6, 60, height, -90, 75, 0},
		{64.6, 60, height, -45, 60, 1},
		{64.6, 150, height, -45, 75, 21},
		{64.6, 0, 200, -45, 75, 23},
		{64.6, 0, 200, 0, 75, 0},
		{51.7, 0, 200, -90, 60, 0},
		{51.7, 60, height, -90, 75, 0},
		{51.7, 60, height, -45, 75, 2},
		{51.7, 60, height, 0, 75, 70},
	} {
		shell := shape.Cutaway{
			Bottom: shape.Ellipse{A: c.low, B: 0.85 * c.low}, Top: shape.Ellipse{A: 64.6, B: 0.85 * 64.6}, Wall: 4, Height: height,
			Cuts: []shape.Cut{{From: c.from, To: c.to, At: c.at, Degrees: c.half}},
		}
		found := find(t, shell.Mesh(), c.seed, Options{}).cavities
		require.Len(t, found, 1, "%+v", c)
		require.Len(t, found[0].Lines, 1, "%+v", c)
		require.InEpsilon(t, height, found[0].Lines[0].Length, 0.01, "%+v", c)
		seen := 0
		for _, s := range found[0].Lines[0].Stations {
			z := s.Center.Z
			if s.Gap == 0 || math.Abs(z-c.from) < 10 || math.Abs(z-c.to) < 1 {
				continue
			}
			seen++
			require.Greater(t, math.Abs(s.Normal.Z), math.Cos(5*math.Pi/180), "%+v, %.0f mm up", c, z)
			require.InEpsilon(t, shell.Bottom.Toward(shell.Top, z/height).Girth(), s.Closed(), 0.005, "%+v, %.0f mm up", c, z)
		}
		require.Greater(t, seen, int((c.to-c.from)/5)-4, "%+v", c)
	}
}

// What lies beside a line is what lies in the wall by it, not what lies at its ends, ahead
// or far off.
func TestPasses(t *testing.T) {
	l := Line{From: "A", To: "B", Length: 200}
	for s := 0.0; s <= 200; s += 5 {
		l.Stations = append(l.Stations, Station{Along: s, Center: r3.Vec{Z: s}, Normal: r3.Vec{Z: 1}, InnerGirth: 2 * math.Pi * 50})
	}
	window := Opening{Name: "C", Center: r3.Vec{X: 50, Z: 100}, Facing: r3.Vec{X: 1}}
	require.True(t, l.Passes(&window))
	for name, change := range map[string]func(o *Opening){
		"an end of the line":   func(o *Opening) { o.Name = "A" },
		"beyond the end":       func(o *Opening) { o.Center.Z = 205 },
		"before the start":     func(o *Opening) { o.Center.Z = 10 },
		"far off":              func(o *Opening) { o.Center.X = 90 },
		"facing along the way": func(o *Opening) { o.Facing = r3.Vec{Z: 1} },
	} {
		o := window
		change(&o)
		require.False(t, l.Passes(&o), name)
	}
}
