package fit

import (
	"math"
	"testing"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// find looks inside a coarse grid: the sections, which give the numbers, are
// exact all the same.
func find(t *testing.T, m *mesh.Mesh) []cavity.Cavity {
	t.Helper()
	c, err := cavity.Find(t.Context(), m, cavity.Options{Pitch: 3, Spacing: 5, Workers: 2})
	require.NoError(t, err)
	require.NotEmpty(t, c)
	return c
}

func region(t *testing.T, name string) Region {
	t.Helper()
	r, ok := Of(name)
	require.True(t, ok)
	return r
}

// wearer has measured these girths, mm.
func wearer(t *testing.T, girths map[string]float64) Wearer {
	t.Helper()
	w, err := Measure(girths, "", "", 0)
	require.NoError(t, err)
	return w
}

// pressed wants nothing but a padding on the way in.
func pressed(padding float64) Wants { return Wants{EntryPadding: padding} }

// A heel through a tube of radius 55: the throat is the polygon's inner circle,
// so it passes up to 2π·55·cos(π/128) less 2π·2 of pressed padding (Steiner).
func TestEntryFlipsAtTheRightGirth(t *testing.T) {
	c := find(t, shape.Tube{Radius: 55, Wall: 3, Height: 160}.Mesh())
	limit := 2*math.Pi*55*math.Cos(math.Pi/128) - 2*math.Pi*2
	for girth, passes := range map[float64]bool{limit * 0.997: true, limit * 1.003: false} {
		entries := Entries(Passings(c, region(t, "lower_leg"), ""), wearer(t, map[string]float64{"heel_girth": girth}), pressed(2))
		require.NotEmpty(t, entries)
		for _, e := range entries {
			if e.Passes() != passes || math.Abs(e.Factor()*limit/girth-1) > 0.06 {
				t.Errorf("heel %.1f mm: %+v, want passes %v", girth, e.Throat, passes)
			}
			if want := (girth + 4*math.Pi) / (limit + 4*math.Pi); math.Abs(e.Factor()/want-1) > 0.003 {
				t.Errorf("heel %.1f mm: passes from %.4f of the size, want %.4f", girth, e.Factor(), want)
			}
		}
	}
}

// The ring of a finger beside the cuff is a cavity of its own by which no hand goes in: a
// cuff of radius 36 has the room of its own circle, whatever stands on it.
func TestRingsOfFingersAreNoWayIn(t *testing.T) {
	cuff := shape.Tube{Radius: 36, Wall: 3, Height: 120}.Mesh()
	ring := shape.Offset(shape.Tube{Radius: 11, Wall: 2, Height: 40}.Mesh(), r3.Vec{X: 37, Z: 160})
	c := find(t, shape.Join(cuff, ring))
	require.Len(t, c, 2, "cavities")
	passings := Passings(c, region(t, "hand"), "")
	require.NotEmpty(t, passings)
	for _, p := range passings {
		require.InEpsilon(t, 2*math.Pi*36, p.Throat, 0.005, "%+v", p)
	}
}

// In a mitre boot of radius r the shaft has 2πr of room; the heel rests past the
// shaft, in the bend, whose own section is wider (7.6404 r). So the shaft is
// its throat, and the closed toe is none.
func TestHeelRestsInTheBend(t *testing.T) {
	boot := shape.MitreBoot{Radius: 50, Wall: 3, Shaft: 180, Foot: 170}
	c := find(t, boot.Mesh())
	entries := Entries(Passings(c, region(t, "foot"), ""), wearer(t, map[string]float64{"heel_girth": 300}), pressed(0))
	require.Len(t, entries, 1)
	if want := 2 * math.Pi * 50; math.Abs(entries[0].Throat/want-1) > 0.005 {
		t.Errorf("throat %.2f mm, want %.2f", entries[0].Throat, want)
	}
	if entries[0].End == len(entries[0].Way.Stations) {
		t.Error("the heel goes on to the toe")
	}
}

// A head is not round: in a round neck it has about a tenth less room than the
// circle. 2·a·E for the widest aspect allowed, 0.85, in a circle of radius a.
func TestHeadHasLessRoomInARoundNeck(t *testing.T) {
	c := find(t, shape.Tube{Radius: 95, Wall: 3, Height: 60}.Mesh())
	entries := Entries(Passings(c, region(t, "neck"), ""), wearer(t, map[string]float64{"head_over_face_girth": 600}), pressed(0))
	require.Len(t, entries, 2, "a collar is entered from either end")
	want := room.Girth(190, 190*0.85)
	for _, e := range entries {
		if math.Abs(e.Throat/want-1) > 0.005 {
			t.Errorf("throat %.2f mm, want %.2f", e.Throat, want)
		}
	}
}

func TestOnlyWhatIsGivenAndPinned(t *testing.T) {
	c := find(t, shape.Taper{Rows: 2, Bottom: shape.Circle(50), Top: shape.Circle(60), Wall: 3, Height: 150}.Mesh())
	leg := region(t, "lower_leg")
	if got := Entries(Passings(c, leg, ""), Wearer{}, pressed(2)); len(got) != 0 {
		t.Errorf("without measures: %+v", got)
	}
	given := wearer(t, map[string]float64{"heel_girth": 330})
	got := Entries(Passings(c, leg, ""), given, pressed(2))
	require.Len(t, got, 1, "a greave is entered by its wider end only")
	if got[0].Opening != "A" {
		t.Errorf("enters by %s, want A, the wider end", got[0].Opening)
	}
	pinned := Entries(Passings(c, leg, "B"), given, pressed(2))
	require.Len(t, pinned, 1)
	if pinned[0].Opening != "B" || math.Abs(pinned[0].Throat-got[0].Throat) > 0.5 || math.Abs(pinned[0].Along+got[0].Along-150) > 3 {
		t.Errorf("by B: %.1f at %.1f mm; by A: %.1f at %.1f mm", pinned[0].Throat, pinned[0].Along, got[0].Throat, got[0].Along)
	}
}

// A tube 5 % too tight needs a strip; with it off, measured again by the walls
// that are left, the heel passes. A tube 40 % too tight needs parting in halves.
func TestPanelOrHalves(t *testing.T) {
	tube := shape.Tube{Radius: 55, Wall: 3, Height: 160}
	c := find(t, tube.Mesh())
	has := 2 * math.Pi * 55.0
	leg := region(t, "lower_leg")
	back := r3.Vec{Y: 1}

	tight := Entries(Passings(c, leg, ""), wearer(t, map[string]float64{"heel_girth": has * 1.05}), pressed(0))
	p, ok := PanelFor(tight[:1], back)
	require.True(t, ok, "5 % too tight")
	if !p.Whole || math.Abs(r3.Norm(p.Facing)-1) > 1e-9 || p.Facing.Y < 0.99 {
		t.Errorf("panel %+v: want all of the length, facing back", p)
	}
	// 1.29 r is the width with which a circle takes in a 1:2 oval of 4.2 % more
	// girth, 1.41 r that of 11 % more (a sweep over the gap's half-angle).
	if w := p.Width / 55; w < 1.29 || w > 1.42 {
		t.Errorf("panel %.1f mm wide, %.2f r", p.Width, w)
	}
	for _, s := range tight[0].Way.Stations {
		var left []room.Wall
		for _, w := range s.Walls {
			left = append(left, strip(s, p.Facing, p.Width)(w)...)
		}
		r, held := room.Largest(left, []r2.Vec{s.Ellipse.Center}, foot)
		if !held || r.Girth < tight[0].Needed {
			t.Errorf("%.0f mm along, with the panel off: %.2f mm, needs %.2f", s.Along, r.Girth, tight[0].Needed)
		}
	}

	hopeless := Entries(Passings(c, leg, ""), wearer(t, map[string]float64{"heel_girth": has * 1.4}), pressed(0))
	if p, ok := PanelFor(hopeless[:1], back); ok {
		t.Errorf("40 %% too tight: panel %+v, want halves", p)
	}
}

func TestStripTakesOutWhatItCovers(t *testing.T) {
	wall := room.Wall{{X: -10, Y: 5}, {X: 10, Y: 5}}
	kept := outside(wall, r2.Vec{Y: 1}, r2.Vec{X: -1}, 3)
	require.Len(t, kept, 2)
	length := r2.Norm(r2.Sub(kept[0][1], kept[0][0])) + r2.Norm(r2.Sub(kept[1][1], kept[1][0]))
	if math.Abs(length-14) > 1e-9 {
		t.Errorf("%.3f mm of wall are left, want 14", length)
	}
	if other := outside(wall, r2.Vec{Y: -1}, r2.Vec{X: 1}, 3); len(other) == 0 || r2.Norm(r2.Sub(other[0][1], other[0][0]))+left(other) != 20 {
		t.Errorf("the far side lost wall: %v", other)
	}
}

func left(walls []room.Wall) (sum float64) {
	for _, w := range walls[1:] {
		sum += r2.Norm(r2.Sub(w[1], w[0]))
	}
	return sum
}

func TestEveryRegionIsThere(t *testing.T) {
	for _, name := range []string{"foot", "lower_leg", "thigh", "hips", "torso", "shoulder", "upper_arm", "forearm", "hand", "neck", "head"} {
		r := region(t, name)
		for _, p := range r.Enters {
			if !(p.Aspect[0] >= 0.5 && p.Aspect[0] <= p.Aspect[1] && p.Aspect[1] <= 1) {
				t.Errorf("%s: %s has the aspect %v", name, p.Measure, p.Aspect)
			}
		}
	}
	if _, ok := Of("tail"); ok {
		t.Error("there is no tail")
	}
}

// A helm's neck is as tight over its first 30 mm: whichever way the file lies and
// its facets are ordered, the throat is the middle of that.
func TestThroatOfAnEvenStretchStays(t *testing.T) {
	helm := shape.Helm{
		Neck: shape.EllipseOfGirth(632, 1.2), Skull: shape.EllipseOfGirth(690, 1.22), Wall: 3, NeckRise: 30, Widen: 50, Rise: 100, Dome: 95,
		SlotZ: 140, SlotDepth: 16, SlotSides: 42,
	}.Mesh()
	moved := shape.Offset(helm, r3.Vec{X: 17.3, Y: -230.1, Z: 61.7})
	for name, m := range map[string]*mesh.Mesh{
		"as drawn": helm, "reordered and mirrored": shape.Shuffle(shape.Mirror(helm), 3), "moved and turned": shape.Turn(moved, shape.Rotation(6)),
	} {
		p := Passings(find(t, m), region(t, "head"), "")
		require.NotEmpty(t, p, name)
		if math.Abs(p[0].Along-15) > 1 || math.Abs(p[0].Throat/p[0].roomPlain()-1) > level {
			t.Errorf("%s: throat %.3f at %.2f mm, want %.3f at 15 mm", name, p[0].Throat, p[0].Along, p[0].roomPlain())
		}
	}
}

// roomPlain is the least room up to where the girth rests, measured at every
// station to the end.
func (p Passing) roomPlain() float64 {
	least := math.Inf(1)
	for _, s := range p.Way.Stations[:p.End] {
		r, _ := s.Room(p.Aspect)
		least = min(least, r.Girth)
	}
	return least
}

// What goes to the widest place goes all the way through a ring that is as wide
// everywhere, and no further than the widest place of one that narrows.
func TestWidestOfAnEvenRing(t *testing.T) {
	ring := func(rooms ...float64) Way {
		w := Way{Length: 10 * float64(len(rooms)-1)}
		for i, room := range rooms {
			w.Stations = append(w.Stations, cavity.Station{Along: 10 * float64(i), Capacity: room})
		}
		return w
	}
	require.Equal(t, 4, ring(914.8, 914.6, 914.9, 914.7).widest(0.7))
	require.Equal(t, 2, ring(900, 915, 900, 850).widest(0.7))
	require.Equal(t, 3, ring(900, 905, 915).widest(0.7))

	// A helm with a neck guard: the head rests behind the neck; a horn is too narrow
	// for it. A torso's waist is no flare, nor is a hip ring's leg the place of hips.
	require.Equal(t, 6, ring(900, 700, 480, 560, 640, 690, 600, 300, 350, 100).widest(0.55))
	require.Equal(t, 1, ring(900, 700, 480, 300, 350, 340, 330, 300, 350, 100).widest(0.55))
	require.Equal(t, 6, ring(1250, 1000, 800, 850, 900, 1010, 900, 950, 400, 450).widest(0.7))
	require.Equal(t, 4, ring(800, 850, 900, 1010, 900, 980, 400, 450).widest(0.7))
	armholes := ring(1250, 900, 800, 850, 1010, 900, 1080, 500)
	armholes.Stations[6].Gap = 90 // the room out of the armholes is no chest's
	require.Equal(t, 5, armholes.widest(0.7))
	require.Equal(t, 1, ring(1045, 1000, 700, 620, 600, 590, 610, 640).widest(0.8))
}

// A gauntlet open at the fingers is entered by its cuff, which is round, though the end over
// the knuckles is a little wider; where both are as round, or one is much wider, by the wide one.
func TestGauntletIsEnteredByItsCuff(t *testing.T) {
	enters := func(cuff, fingers shape.Ellipse) float64 {
		m := shape.Taper{Rows: 20, Bottom: cuff, Top: fingers, Wall: 3, Height: 150}.Mesh()
		ways := ways(find(t, m), region(t, "hand"), "")
		require.NotEmpty(t, ways)
		return ways[0].Stations[0].Center.Z
	}
	for name, c := range map[string]struct {
		cuff, fingers shape.Ellipse
		byCuff        bool
	}{
		"a flat end that is wider":  {shape.EllipseOfGirth(228, 0.9), shape.EllipseOfGirth(235, 0.5), true},
		"both round":                {shape.EllipseOfGirth(228, 0.9), shape.EllipseOfGirth(235, 0.85), false},
		"a flat end much wider":     {shape.EllipseOfGirth(160, 0.9), shape.EllipseOfGirth(240, 0.5), false},
		"a wide cuff and flat end":  {shape.EllipseOfGirth(300, 0.9), shape.EllipseOfGirth(235, 0.5), true},
		"a cuff that is flat, too":  {shape.EllipseOfGirth(240, 0.55), shape.EllipseOfGirth(230, 0.5), true},
		"a flat cuff and its other": {shape.EllipseOfGirth(228, 0.55), shape.EllipseOfGirth(235, 0.5), false},
	} {
		require.Equal(t, c.byCuff, enters(c.cuff, c.fingers) < 75, name)
	}
}

// A skirt of hips is worn with its narrow end up, and the hip does not pass that; hips
// that taper down, and those with legs, are entered by the wide one.
func TestSkirtIsWornByItsWaist(t *testing.T) {
	hips := region(t, "hips")
	of := func(sizes ...float64) (c cavity.Cavity) {
		for i, s := range sizes {
			c.Openings = append(c.Openings, cavity.Opening{Name: string(rune('A' + i)), Capacity: s, Entry: true})
		}
		return c
	}
	enters := func(c cavity.Cavity, r Region, pinned string) (by string) {
		for _, o := range c.Openings {
			if allowed(c, o, r, pinned, windows(c, r)) {
				by += o.Name
			}
		}
		return by
	}
	require.Equal(t, "B", enters(of(1500, 980), hips, ""))
	require.Equal(t, "A", enters(of(1500, 980), hips, "A"), "unless suit.toml says so")
	require.Equal(t, "A", enters(of(1060, 900), hips, ""))
	require.Equal(t, "A", enters(of(1060, 640, 640), hips, ""))
	require.Equal(t, "A", enters(of(1500, 980), region(t, "torso"), ""))
}
