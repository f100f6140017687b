package cavity

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// shell is a parametric shape that knows its answers.
type shell interface {
	Mesh() *mesh.Mesh
	Openings() []shape.Opening
	Ways(step float64) []shape.Way
}

// shells are the shapes of the tests by name, each with what is special about
// its answers.
func shells() map[string]shell {
	ellipse := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	boot := shape.Boot{
		Rim: ellipse(68, 62), Ankle: ellipse(58, 48), Instep: ellipse(50, 47), Ball: ellipse(36, 50),
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	open := boot
	open.OpenSole = true
	return map[string]shell{
		"tube":                  shape.Tube{Radius: 50, Wall: 3, Height: 120},
		"boot":                  boot,
		"boot without its sole": open,
		"mitre boot":            shape.MitreBoot{Radius: 45, Wall: 3, Shaft: 160, Foot: 180},
		"hips": shape.Hips{
			Waist: ellipse(160, 115), Seat: ellipse(195, 135), Leg: ellipse(86, 92), Wall: 3,
			Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
		},
		"torso": shape.Torso{
			Waist: ellipse(150, 110), Chest: ellipse(175, 125), Neck: ellipse(75, 75), Arm: ellipse(60, 72), Wall: 3,
			Band: 40, ChestZ: 270, NeckZ: 420, Height: 440, ArmX: 215, ArmZ: 290, Sleeve: 20,
		},
		"helm": shape.Helm{
			Neck: ellipse(72, 80), Skull: ellipse(95, 115), Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
			SlotZ: 150, SlotDepth: 18, SlotSides: 40,
		},
		"forearm":    shape.Flared(shape.Circle(35), ellipse(48, 42), shape.Circle(60), 240, 60, 3),
		"gutter":     shape.Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240},
		"half shell": shape.Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 250, Arc: 180},
		"belt":       shape.Tube{Radius: 150, Wall: 4, Height: 12},
		"collar":     shape.Taper{Bottom: ellipse(90, 80), Top: ellipse(65, 65), Wall: 3, Height: 50},
	}
}

// turned returns m turned and moved by a seed, and the way back of a point and
// of a direction.
func turned(m *mesh.Mesh, seed uint64) (out *mesh.Mesh, point, direction func(r3.Vec) r3.Vec) {
	if seed == 0 {
		same := func(p r3.Vec) r3.Vec { return p }
		return m, same, same
	}
	by := shape.Rotation(seed)
	move := by.Rotate(r3.Vec{X: 300, Y: -100, Z: 50})
	q := quat.Number(by)
	back := r3.Rotation(quat.Conj(q))
	return shape.Offset(shape.Turn(m, by), move),
		func(p r3.Vec) r3.Vec { return back.Rotate(r3.Sub(p, move)) }, back.Rotate
}

// finding is what was found of a shell, in the shell's own frame.
type finding struct {
	cavities []Cavity
	pitch    float64
}

func find(t *testing.T, m *mesh.Mesh, seed uint64, o Options) finding {
	t.Helper()
	m, point, direction := turned(m, seed)
	o.Workers = 2
	cavities, err := Find(context.Background(), m, o)
	require.NoError(t, err)
	for _, c := range cavities {
		for i := range c.Openings {
			c.Openings[i].Center, c.Openings[i].Facing = point(c.Openings[i].Center), direction(c.Openings[i].Facing)
		}
		for _, l := range c.Lines {
			for i := range l.Stations {
				l.Stations[i].Center, l.Stations[i].Normal = point(l.Stations[i].Center), direction(l.Stations[i].Normal)
			}
		}
	}
	pitch := o.Pitch
	if pitch == 0 {
		size := m.Bounds().Size()
		pitch = max(1, max(size.X, size.Y, size.Z)/160)
	}
	return finding{cavities, pitch}
}

// near reports whether got is within the relative tolerance of want.
func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

// checkOpenings fails the test unless the one cavity found has exactly the
// openings of the shell, and returns the number of each in the shell's order.
func checkOpenings(t *testing.T, s shell, f finding) map[string]int {
	t.Helper()
	require.Len(t, f.cavities, 1)
	c, want := f.cavities[0], s.Openings()
	require.Len(t, c.Openings, len(want))
	names := map[string]int{}
	for n, w := range want {
		i := 0
		for k, o := range c.Openings {
			if r3.Norm(r3.Sub(o.Center, w.Center)) < r3.Norm(r3.Sub(c.Openings[i].Center, w.Center)) {
				i = k
			}
		}
		o := c.Openings[i]
		names[o.Name] = n
		if o.Entry == w.Small {
			t.Errorf("opening %s: entry %v", o.Name, o.Entry)
		}
		if w.Rim == (shape.Ellipse{}) {
			continue // its middle and its girth are no formula
		}
		if d := r3.Norm(r3.Sub(o.Center, w.Center)); d > f.pitch {
			t.Errorf("opening %s lies %.2f mm off", o.Name, d)
		}
		if off := math.Acos(min(r3.Dot(o.Facing, w.Facing), 1)) * 180 / math.Pi; off > 1.5 {
			t.Errorf("opening %s faces %.1f° off", o.Name, off)
		}
		if want := w.Rim.Girth(); !near(o.Girth, want, 0.002) {
			t.Errorf("opening %s: girth %.2f, want %.2f", o.Name, o.Girth, want)
		}
		if want := w.Rim.Capacity(); !near(o.Capacity, want, 0.005) {
			t.Errorf("opening %s: capacity %.2f, want %.2f", o.Name, o.Capacity, want)
		}
	}
	require.Len(t, names, len(want), "two openings found in one place")
	return names
}

// checkLine fails the test unless the stations of a line that lie where the
// way's sections are known agree with them, and are there.
func checkLine(t *testing.T, l Line, w shape.Way, f finding) {
	t.Helper()
	for _, s := range l.Stations {
		k, least := 0, math.Inf(1)
		for i, known := range w.Stations {
			if d := r3.Norm(r3.Sub(s.Center, known.Center)); d < least {
				k, least = i, d
			}
		}
		known := w.Stations[k]
		if least > f.pitch {
			continue
		}
		if off := math.Abs(r3.Dot(s.Normal, known.Normal)); off < math.Cos(4*math.Pi/180) {
			t.Errorf("%s-%s at %.1f: normal %.1f° off", l.From, l.To, s.Along, math.Acos(off)*180/math.Pi)
		}
		if s.Gap > 0 {
			continue // a slot for the eyes
		}
		if want := known.Loop.Girth(); !near(s.InnerGirth, want, 0.002) {
			t.Errorf("%s-%s at %.1f: girth %.2f, want %.2f", l.From, l.To, s.Along, s.InnerGirth, want)
		}
		if want := known.Loop.Capacity(); !near(s.Capacity, want, 0.005) {
			t.Errorf("%s-%s at %.1f: capacity %.2f, want %.2f", l.From, l.To, s.Along, s.Capacity, want)
		}
	}
	for i, known := range w.Stations {
		if i%100 > 0 {
			continue
		}
		seen := slices.ContainsFunc(l.Stations, func(s Station) bool {
			return r3.Norm(r3.Sub(s.Center, known.Center)) < spacing
		})
		if !seen {
			t.Errorf("%s-%s: no station near number %d of the way, %.1f", l.From, l.To, i, known.Center)
		}
	}
}

func TestShells(t *testing.T) {
	for name, s := range shells() {
		m := s.Mesh()
		for _, seed := range seeds {
			t.Run(fmt.Sprintf("%s turned by seed %d", name, seed), func(t *testing.T) {
				f := find(t, m, seed, Options{Spacing: spacing})
				names := checkOpenings(t, s, f)
				if _, open := s.(shape.Gutter); open {
					return
				}
				for _, w := range s.Ways(0.05) {
					for _, l := range f.cavities[0].Lines {
						from, to := names[l.From], -1
						if l.To != End {
							to = names[l.To]
						}
						if from == w.From && to == w.To || from == w.To && to == w.From {
							checkLine(t, l, w, f)
						}
					}
				}
			})
		}
	}
}

var seeds = []uint64{0, 1}

const spacing = 15.0
