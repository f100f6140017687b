package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// seat is a straight round part by hand: its length and its radius at each place
// from the entry's rim.
func seat(t *testing.T, name string, length float64, radius func(along float64) float64) *Seat {
	t.Helper()
	w := Way{From: "A", To: "B", Length: length}
	n := max(1, int(length/5))
	for i := 0; i <= n; i++ {
		x := length * float64(i) / float64(n)
		w.Stations = append(w.Stations, cavity.Station{
			Along: x, Center: r3.Vec{Z: x}, Normal: r3.Vec{Z: 1}, Capacity: 2 * math.Pi * radius(x), Ellipse: &cavity.Ellipse{Major: 2 * radius(x), Minor: 2 * radius(x)},
		})
	}
	return seatOn(region(t, name), w)
}

func seatOn(r Region, w Way) *Seat {
	s := &Seat{Region: r, Main: w}
	s.bend, _ = w.bend()
	for _, sit := range r.Sits {
		if sit.Rim == NoRim {
			s.rests = append(s.rests, rest{Sit: sit, way: w, rooms: roomsAlong(w, nil, sit.Aspect)})
		}
	}
	s.lead = s.leading()
	s.neck = s.behind()
	return s
}

// A neck that is too tight says nothing about where the chest rests: that stays
// at the widest place, and so does the scale from which on it is loose.
func TestRimsDoNotMoveTheBody(t *testing.T) {
	w := wearer(t, map[string]float64{"stature": 1710, "chest_girth": 950, "waist_girth": 800, "waist_height": 1030, "back_waist_length": 450, "neck_base_girth": 380})
	wants := Wants{Padding: 5, Ease: 6, Loosest: 140}
	barrel := seat(t, "torso", 480, func(x float64) float64 { return 150 + 30*math.Sin(math.Pi*x/480) })
	free := Question{Wearer: w, Wants: wants, Seat: barrel}.Judge()
	const neck = 410.0
	barrel.rests = append(barrel.rests, rest{Sit: Sit{Measure: "neck_base_girth", Aspect: limb, Rim: FarRim}, way: barrel.Main, rim: neck})
	tight := Question{Wearer: w, Wants: wants, Seat: barrel}.Judge()
	if want := (380 + wants.Layer() + wants.Ease) / neck; math.Abs(tight.Rests-want) > 1e-4 {
		t.Errorf("fits from %.4f, the neck asks for %.4f", tight.Rests, want)
	}
	if math.Abs(tight.Loosest/free.Loosest-1) > 1e-4 {
		t.Errorf("loose from %.4f on, without the neck from %.4f on", tight.Loosest, free.Loosest)
	}
	require.Equal(t, free.Seated[0].Along, tight.Seated[0].Along, "the chest rests where it did")
}

// An arm hole that is too small is cut wider: no scale is chosen for it, as for the neck,
// and it is told all the same.
func TestArmHolesChooseNoScale(t *testing.T) {
	w := wearer(t, map[string]float64{"stature": 1710, "chest_girth": 950, "waist_girth": 800, "waist_height": 1030, "back_waist_length": 450, "armscye_girth": 420})
	wants := Wants{Padding: 5, Ease: 6, Loosest: 140}
	barrel := seat(t, "torso", 480, func(x float64) float64 { return 150 + 30*math.Sin(math.Pi*x/480) })
	free := Question{Wearer: w, Wants: wants, Seat: barrel}.Judge()
	at := slices.IndexFunc(barrel.Region.Sits, func(s Sit) bool { return s.Measure == "armscye_girth" })
	barrel.rests = append(barrel.rests, rest{Sit: barrel.Region.Sits[at], way: barrel.Main, rim: 300})
	tight := Question{Wearer: w, Wants: wants, Seat: barrel}.Judge()
	require.Equal(t, free.Range, tight.Range)
	require.InDelta(t, free.Chance, tight.Chance, 0.05, "of other bodies drawn")
	last := tight.Seated[len(tight.Seated)-1]
	require.True(t, last.Hole)
	require.InDelta(t, 300-420-wants.Layer()-wants.Ease, last.Spare, 1e-6)
}

// A part in another unit than taken, here ten times too small, fits some bodies
// only beyond the scales that are sought: there is no upper end then.
func TestFarTooSmall(t *testing.T) {
	tiny := seat(t, "lower_leg", 33, func(float64) float64 { return 6.76 })
	a := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 40}, Seat: tiny}.Judge()
	want := (382 + 2*math.Pi*5 + 6) / (2 * math.Pi * 6.76)
	if math.Abs(a.Smallest/want-1) > 1e-4 || !(a.SmallestInterval[0] < want) || !math.IsInf(a.SmallestInterval[1], 1) || !math.IsInf(a.Interval[1], 1) {
		t.Errorf("fits from %.4f, want %.4f; %v, %v", a.Smallest, want, a.SmallestInterval, a.Interval)
	}
}

// A way of one station has a direction all the same.
func TestOneStation(t *testing.T) {
	boot := region(t, "foot")
	one := cavity.Station{Normal: r3.Vec{Z: 1}, Capacity: 300, Ellipse: &cavity.Ellipse{Major: 95, Minor: 95}}
	s := seatOn(boot, Way{From: "A", To: cavity.End, Length: 4, Stations: []cavity.Station{one}})
	require.Equal(t, r3.Vec{Z: 1}, s.Along())
	if a := (Question{Wearer: mira(t), Seat: s}).Judge(); !(a.Smallest > 0) || math.IsInf(a.Smallest, 0) {
		t.Errorf("fits from %v", a.Smallest)
	}
}

// Pinned beyond the part's end, the calf is inside from the scale on at which the
// part is long enough; below that the part is short, not loose.
func TestPinnedBeyondTheEnd(t *testing.T) {
	pin := 300.0
	s := seat(t, "lower_leg", 250, func(x float64) float64 { return 75 - 15*x/250 })
	s.rest = &pin
	a := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 40}, Seat: s}.Judge()
	if want := (pin - overTheRim) / 250; math.Abs(a.Rests/want-1) > 1e-4 {
		t.Errorf("fits from %.4f, long enough from %.4f", a.Rests, want)
	}
	// f·2π·(75 − 15·(pin/f)/250) = girth + layer + loosest
	want := ((382+2*math.Pi*5+40)/(2*math.Pi) + 15*pin/250) / 75
	if math.Abs(a.Loosest/want-1) > 1e-4 {
		t.Errorf("loose from %.4f on, want %.4f", a.Loosest, want)
	}
	for _, s := range a.Seated {
		if s.Lead {
			t.Errorf("the calf rests inside: %+v", s)
		}
	}
}

// The way round does not hang on where the leading measure is pinned.
func TestPinKeepsTheWayRound(t *testing.T) {
	right := seat(t, "lower_leg", 300, func(x float64) float64 { return 73 - 20*x/300 })
	round := seatOn(right.Region, right.Main.turned())
	q := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 40}}
	require.Same(t, right, q.Choose([]*Seat{right, round}))
	pin := 260.0 // in the narrow end; the other way round that is the wide one
	right.rest, round.rest = &pin, &pin
	require.Same(t, right, q.Choose([]*Seat{round, right}))
	require.Nil(t, q.Choose(nil), "a half shell has no seat")
}

// A cuirass without shoulders is nearly as wide at the arms as below, and fits upside down
// at about the same scale, with the chest in its waist: its shape tells which way it goes.
func TestShapeTellsTheWayRoundWhereScaleDoesNot(t *testing.T) {
	const tall, drawn = 420.0, 900.0
	// The girth at heights: the lower rim, the waist, the chest and the rim at the arms.
	heights, girths := []float64{0, 120, 300, tall}, []float64{830, 770, 965, 915}
	e := shape.EllipseOfGirth(drawn, 0.75)
	m := shape.Taper{Rows: 84, Bottom: e, Top: e, Wall: 3, Height: tall}.Mesh().Map(func(p r3.Vec) r3.Vec {
		i := 1
		for i < 3 && p.Z > heights[i] {
			i++
		}
		f := (girths[i-1] + (girths[i]-girths[i-1])*(p.Z-heights[i-1])/(heights[i]-heights[i-1])) / drawn
		return r3.Vec{X: f * p.X, Y: f * p.Y, Z: p.Z}
	})
	q := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 40, Loosest: 150}}
	seats := Seats(find(t, m), region(t, "torso"), "", nil)
	require.Len(t, seats, 2)
	upright := slices.IndexFunc(seats, func(s *Seat) bool { return s.Main.Stations[0].Center.Z < tall/2 })
	scales := make([]float64, 2)
	for i, s := range seats {
		q.Seat = s
		scales[i] = q.Judge().Rests
	}
	require.Less(t, scales[1-upright], scales[upright])
	require.Less(t, scales[upright], asGood*scales[1-upright])
	for range 2 {
		require.True(t, q.Choose(seats) == seats[upright], "%v, upright %d", scales, upright)
		slices.Reverse(seats)
		upright = 1 - upright
	}
}

// A part that never counts as loose, and is far too long, still gets two scales
// that can be set.
func TestNeverLoose(t *testing.T) {
	long := seat(t, "lower_leg", 700, func(float64) float64 { return 60 })
	a := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 1e5}, Seat: long}.Judge()
	require.True(t, math.IsInf(a.Loosest, 1))
	require.NotNil(t, a.TwoWay)
	want := (382 + 2*math.Pi*5 + 6) / (2 * math.Pi * 60)
	if math.Abs(a.TwoWay.Girth/want-1) > 1e-4 || math.Abs(a.TwoWay.Length-a.Lengths[0].Largest) > 1e-9 {
		t.Errorf("%+v, want a girth of %.4f and the length of %+v", a.TwoWay, want, a.Lengths)
	}
}

// Where nothing can pass at any scale the part is opened, and its scale is that
// of what rests inside, as sure as the calf's.
func TestNoWayIn(t *testing.T) {
	tube := seat(t, "lower_leg", 300, func(float64) float64 { return 62 })
	q := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 40}, Seat: tube}
	through := q.Judge()
	q.Entries = []Entry{{Passing: Passing{Measure: "heel_girth"}}}
	a := q.Judge()
	if !a.Opened() || !math.IsInf(a.Smallest, 1) || a.Recommended != through.Recommended || math.IsNaN(a.SmallestInterval[0]) ||
		math.Abs(a.Interval[0]-through.Interval[0]) > 0.003 || math.Abs(a.Interval[1]-through.Interval[1]) > 0.003 { // other draws
		t.Errorf("%+v, want to be opened as wide as %+v", a, through)
	}
}

func TestNobodyIsNotJudged(t *testing.T) {
	require.Zero(t, Question{Seat: seat(t, "lower_leg", 300, func(float64) float64 { return 62 })}.Judge())
}

// A short greave that grows comes to reach the ankle, and has no room for its padding
// there until it has grown further. Where it ends just short of the ankle it has less
// room yet, and does not fit there either. By hand: with the calf as far past one rim as
// may be, the ankle lies so far in, where the shell is as wide as its formula says.
func TestReachingTheAnkle(t *testing.T) {
	greave := seat(t, "lower_leg", 200, func(x float64) float64 { return 76 - 35.3*x/200 })
	for _, loosest := range []float64{60, 100} {
		q := Question{Wearer: mira(t), Wants: Wants{Padding: 8, Ease: 6, Loosest: loosest}, Seat: greave}
		a, p := q.Judge(), q.problem(q.Wearer.mean)
		require.False(t, p.roomy(1, 0), "the ankle is inside, and too tight")
		in := 330 - 137.17/1773.43*1710 - overTheRim
		if want := ((222+2*math.Pi*8+6)/(2*math.Pi) + 35.3*in/200) / 76; math.Abs(a.Smallest/want-1) > 1e-4 {
			t.Errorf("fits from %.4f, want %.4f", a.Smallest, want)
		}
		if want := (a.Smallest + max(a.Smallest, a.Loosest)) / 2; math.Abs(a.Recommended/want-1) > 0.02 {
			t.Errorf("loosest %g: recommends %.4f, want %.4f", loosest, a.Recommended, want)
		}
		for f := 0.9; f < 1; f += 0.01 {
			require.False(t, p.roomy(f, 0), "the lower rim has no room at %g", f)
		}
		if a.Chance > 0.1 {
			t.Errorf("fits as it is in %.2f", a.Chance)
		}
	}
}

// A long greave that grows comes to reach a very thick knee, and has no room for it until it
// has grown further. It fits up to where it reaches the knee, and is recommended below that.
func TestReachingTheKnee(t *testing.T) {
	w := wearer(t, map[string]float64{
		"stature": 1710, "calf_girth": 382, "calf_height": 330, "ankle_girth": 222, "ankle_height": 66, "knee_height": 470, "knee_girth": 600, "heel_girth": 331,
	})
	greave := seat(t, "lower_leg", 300, func(float64) float64 { return 71 })
	q := Question{Wearer: w, Wants: Wants{Padding: 5, Ease: 6, Loosest: 400}, Seat: greave}
	a, p := q.Judge(), q.problem(q.Wearer.mean)
	if want := (382 + 2*math.Pi*5 + 6) / (2 * math.Pi * 71); math.Abs(a.Smallest/want-1) > 1e-3 {
		t.Errorf("fits from %.4f, want %.4f", a.Smallest, want)
	}
	require.False(t, p.roomy(1.37, 0), "at the knee")
	require.True(t, p.roomy(1.5, 0), "past it")
	lacks := func(f float64) bool { // with the lower rim as low as may be
		below := 470 - 66 - 300*f
		line := 600 - 218*below/140
		if below <= overTheRim {
			line = 600 + 2*math.Pi*5 + 6
		}
		return 2*math.Pi*71*f < line
	}
	reach := a.Smallest
	for !lacks(reach) {
		reach += 1e-4
	}
	if want := (a.Smallest + reach) / 2; math.Abs(a.Recommended/want-1) > 1e-3 {
		t.Errorf("recommends %.4f, want %.4f, up to %.4f", a.Recommended, want, reach)
	}
}

// A thigh shell that ends a little above the lower thigh needs as much there as one that
// just reaches it: what it lacks does not jump as it shrinks past that, and it never fits
// where its rim has no room for the padding. By hand: the need at the rim is that of the
// lower thigh up to 20 mm above it, and from there on the line 20 mm below, with padding.
func TestEndingShortOfAMeasure(t *testing.T) {
	w := wearer(t, map[string]float64{"stature": 1710, "crotch_height": 790, "knee_height": 480, "thigh_girth": 575, "lower_thigh_girth": 425, "knee_girth": 410})
	wants := Wants{Padding: 5, Ease: 12, Loosest: 60}
	const top, low, apart = 765.0, 502.0, 263.0
	shell := seat(t, "thigh", 260, func(x float64) float64 { return (640 - 200*x/260) / (2 * math.Pi) })
	p := Question{Wearer: w, Wants: wants, Seat: shell}.problem(w.mean)
	last := math.NaN()
	for f := 1.02; f > 0.9; f -= 0.001 {
		got := p.spare(f, 0)
		require.Negative(t, got, "at %g", f)
		require.False(t, math.Abs(got-last) > 0.003, "from %g to %g at %g", last, got, f)
		last = got
		if rim := top - overTheRim - 260*f; rim > low+overTheRim { // the thigh at the upper rim
			past := max(0, rim-low-20)
			need := 425 + 150*past/apart + wants.Layer() + wants.Ease*(1-past/40)
			require.InDelta(t, 440*f/need-1, got, 2e-3, "at %g", f)
		}
	}

	// As far below the thigh as no measure is near, there is room for the padding.
	cuff := func(end float64) float64 {
		s := seat(t, "thigh", 130, func(x float64) float64 { return (640 - (640-end)*x/130) / (2 * math.Pi) })
		return Question{Wearer: w, Wants: wants, Seat: s}.problem(w.mean).spare(1, 0)
	}
	line := 575 - 150*(130+20+overTheRim)/apart
	require.Negative(t, cuff(line+wants.Layer()-4))
	require.Positive(t, cuff(line+wants.Layer()+4))
}

// Towards a joint a leg is slimmer than the line, and a greave may follow it.
func TestFollowsTheLegBelowTheKnee(t *testing.T) {
	s := seat(t, "lower_leg", 320, func(float64) float64 { return 80 })
	f := s.figure(mira(t).mean, Wants{Padding: 5, Ease: 6, Loosest: 40})
	for x := 340.0; x < 470; x++ {
		line := 382 - 2*(x-330)/140
		girth, need := f.skin.at(x)
		require.InDelta(t, line, girth, 1e-9)
		require.Equal(t, girth, need, "%g", x)
	}
	_, need := f.skin.at(150)
	require.InDelta(t, 222+10*math.Pi+6, need, 0.1, "but near to the ankle it needs all that the ankle does")
}

// Where the body gets in only at scales at which the short greave has reached the
// ankle, it fits from where the ankle has room.
func TestGettingInPastTheGap(t *testing.T) {
	greave := seat(t, "lower_leg", 200, func(x float64) float64 { return 72 - 36*x/200 })
	q := Question{Wearer: mira(t), Wants: Wants{Padding: 5, Ease: 6, Loosest: 100}, Seat: greave}
	q.Entries = []Entry{{Passing: Passing{Measure: "heel_girth", Throat: 331}}}
	a, p := q.Judge(), q.problem(q.Wearer.mean)
	if a.Smallest <= 1.01 || a.Smallest > a.Loosest {
		t.Errorf("fits from %.4f to %.4f, and gets in from 1 on", a.Smallest, a.Loosest)
	}
	for f := a.Smallest * 1.0001; f < a.Loosest; f += 0.002 {
		if !p.roomy(f, 0) {
			t.Errorf("some girth has no room at %.4f", f)
		}
	}
}

// A round shell holds a limb where it goes so far round that none hangs out of its gap, and
// not where only straps would keep it on.
func TestHeldByFarMoreThanHalf(t *testing.T) {
	for arc, holds := range map[float64]bool{175: false, 180: false, 190: false, 200: false, 230: false, 250: false, 256: true, 270: true} {
		gutter := shape.Gutter{Bottom: 60, Top: 72, Wall: 3, Height: 130, Arc: arc, Round: true}.Mesh()
		if got := len(Seats(find(t, gutter), region(t, "lower_leg"), "", nil)) > 0; got != holds {
			t.Errorf("an arc of %g°: held %v, want %v", arc, got, holds)
		}
	}
}

// What comes in by the side passes nothing, not even where a few sections close further:
// of a tapering shell of 235° whose gap is some 0.43 of the wall no throat is named.
func TestNothingPassesAnOpenPlate(t *testing.T) {
	for _, arc := range []float64{200, 235, 240} {
		for _, turn := range []float64{0, 90} {
			m := shape.Gutter{Bottom: 56, Top: 70, Wall: 3, Height: 240, Arc: arc, Round: true}.Mesh().Map(func(p r3.Vec) r3.Vec {
				if turn == 0 {
					return r3.Vec{X: p.X, Y: 0.93 * p.Y, Z: p.Z}
				}
				return r3.Vec{X: 0.93 * p.X, Y: p.Y, Z: p.Z}
			})
			in := Look(find(t, m), region(t, "lower_leg"), "", nil, false)
			if len(in.Passings) > 0 || len(in.Seats) > 0 {
				t.Errorf("%g°, squeezed at %g°: %d throats, %d seats", arc, turn, len(in.Passings), len(in.Seats))
			}
		}
	}
}

// Cutting a shell open makes it no wider: what still holds a limb or a trunk has the room
// of the closed one, though a greater ellipse would hang out of the gap.
func TestCutOpenShellIsNoWider(t *testing.T) {
	for _, arc := range []float64{256, 260, 270, 290, 320} {
		for name, radius := range map[string]float64{"lower_leg": 68, "torso": 170} {
			tube := shape.Gutter{Bottom: radius, Top: radius, Wall: 3, Height: 200, Arc: arc, Round: true}.Mesh()
			seats := Seats(find(t, tube), region(t, name), "", nil)
			require.NotEmpty(t, seats, "%g° on the %s", arc, name)
			room := seats[0].rests[seats[0].lead].rooms.at(100)
			require.InEpsilon(t, 2*math.Pi*radius, room, 0.02, "%g° on the %s", arc, name)
		}
	}
}

// From a gap of a third of the wall or so on straps hold a limb or a trunk, and of a helm
// what goes no more than half of the way round.
func TestGapes(t *testing.T) {
	for name, from := range map[string]float64{"lower_leg": 37, "torso": 37, "head": 61} {
		r := region(t, name)
		require.False(t, r.Gapes(&cavity.Station{InnerGirth: 100, Gap: from - 1}), name)
		require.True(t, r.Gapes(&cavity.Station{InnerGirth: 100, Gap: from}), name)
	}
}

// What a shell leaves open on some of its length lets nobody in by the side as long as it
// closes round the body elsewhere: the ring has to be passed, however short it is, and the
// shell has the room of the closed one.
func TestOpenStretchOfAClosedShell(t *testing.T) {
	e := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	for _, closed := range []float64{0.1, 0.5, 0.72, 1} {
		for _, degrees := range []float64{40, 65} {
			greave := shape.Cutaway{Bottom: e(44, 44), Top: e(66, 66), Wall: 4, Height: 350, Cuts: []shape.Cut{{From: closed * 350, To: 350, At: -90, Degrees: degrees}}}
			name := fmt.Sprintf("greave closed over %g, open by %g°", closed, 2*degrees)
			cavities, r := find(t, greave.Mesh()), region(t, "lower_leg")
			passings := Passings(cavities, r, "")
			require.Len(t, passings, 1, name)
			require.InEpsilon(t, 2*math.Pi*44, passings[0].Throat, 0.02, name)
			seats := Seats(cavities, r, "", nil)
			require.NotEmpty(t, seats, name)
			rooms, way := seats[0].rests[seats[0].lead].rooms, seats[0].Main
			for i, s := range way.Stations {
				if z := s.Center.Z; z > 10 && z < 320 {
					require.InEpsilon(t, 2*math.Pi*(44+22*z/350), rooms.at(way.Along(i)), 0.03, "%s, %g mm up", name, z)
				}
			}
		}
	}
	for _, half := range []float64{20, 40, 48} { // armholes of some 100 to 200 mm each
		vest := shape.Cutaway{Bottom: e(160, 115), Top: e(160, 115), Wall: 4, Height: 400, Cuts: []shape.Cut{
			{From: 230, To: 395, At: 0, Degrees: half}, {From: 230, To: 395, At: 180, Degrees: half},
		}}
		cavities, r := find(t, vest.Mesh()), region(t, "torso")
		name := fmt.Sprintf("vest with armholes of %g°", 2*half)
		require.NotEmpty(t, Passings(cavities, r, ""), name)
		seats := Seats(cavities, r, "", nil)
		require.NotEmpty(t, seats, name)
		if half < 30 { // the armholes are openings of their own: nobody comes in by one
			for _, o := range cavities[0].Openings {
				if o.Name == seats[0].Main.From {
					require.Less(t, math.Hypot(o.Center.X, o.Center.Y), 20.0, name)
				}
			}
		}
		// Ramanujan's second approximation, which is far closer than what is asked for.
		h := math.Pow(45.0/275, 2)
		round := math.Pi * 275 * (1 + 3*h/(10+math.Sqrt(4-3*h)))
		require.InEpsilon(t, round, seats[0].rests[seats[0].lead].rooms.at(300), 0.06, name)
	}
	// Be it open by more than half of the way round above: the ring has to be passed.
	half := shape.Cutaway{Bottom: e(44, 44), Top: e(66, 66), Wall: 4, Height: 350, Cuts: []shape.Cut{{From: 175, To: 350, At: -90, Degrees: 100}}}
	least := math.Inf(1)
	for _, p := range Passings(find(t, half.Mesh()), region(t, "lower_leg"), "") {
		least = min(least, p.Throat)
	}
	require.InEpsilon(t, 2*math.Pi*44, least, 0.02)
	// What passes has no more room than the closed shell either.
	gutter := shape.Gutter{Bottom: 68, Top: 68, Wall: 3, Height: 200, Arc: 255, Round: true}
	passings := Passings(find(t, gutter.Mesh()), region(t, "lower_leg"), "")
	require.NotEmpty(t, passings)
	require.LessOrEqual(t, passings[0].Throat, 2*math.Pi*68*1.005)
	// Open all along, only straps hold it.
	plate := shape.Cutaway{Bottom: e(44, 44), Top: e(66, 66), Wall: 4, Height: 350, Cuts: []shape.Cut{{To: 350, At: -90, Degrees: 65}}}
	require.Empty(t, Passings(find(t, plate.Mesh()), region(t, "lower_leg"), ""))
	require.Empty(t, Seats(find(t, plate.Mesh()), region(t, "lower_leg"), "", nil))
}

// A slit lets nobody bulge out, and many small holes hold as much as the wall they leave: a
// shell has the room that it would have without, closed form 2πr of the aspect asked for.
func TestSlitsGiveNoRoom(t *testing.T) {
	ring := func(n int, from, to, half float64) (cuts []shape.Cut) {
		for i := range n {
			cuts = append(cuts, shape.Cut{From: from, To: to, At: float64(i) * 360 / float64(n), Degrees: half})
		}
		return cuts
	}
	for _, c := range []struct {
		name, region string
		cuts         []shape.Cut
	}{
		{"none", "head", nil},
		{"eye slit", "head", ring(1, 100, 115, 75)},
		{"high visor", "head", ring(1, 90, 130, 60)},
		{"two eyes", "head", []shape.Cut{{From: 100, To: 115, At: 40, Degrees: 30}, {From: 100, To: 115, At: -40, Degrees: 30}}},
		{"pattern of holes", "forearm", slices.Concat(ring(18, 40, 55, 5), ring(18, 70, 85, 5), ring(18, 100, 115, 5), ring(18, 130, 145, 5), ring(18, 160, 175, 5))},
		{"window", "forearm", ring(1, 130, 170, 75)},
	} {
		circle := shape.Ellipse{A: 105, B: 105}
		tube := shape.Cutaway{Bottom: circle, Top: circle, Wall: 3, Height: 210, Cuts: c.cuts}
		cavities, r := find(t, tube.Mesh()), region(t, c.region)
		seats := Seats(cavities, r, "", nil)
		require.NotEmpty(t, seats, c.name)
		// The ellipse of the roundest aspect asked for whose long axis is the width.
		want := room.Girth(210, 210*min(1, r.lead().Aspect[1]))
		rooms := seats[0].rests[seats[0].lead].rooms
		for _, at := range []float64{40, 90, 102, 107, 112, 120, 150} {
			require.InEpsilon(t, want, rooms.at(at), 0.015, "%s, %g mm", c.name, at)
		}
	}
}

// A face that is open high enough is none: the head has the room that it leaves.
func TestOpenFaceLeavesItsRoom(t *testing.T) {
	circle := shape.Ellipse{A: 105, B: 105}
	rooms := map[float64]float64{}
	for _, high := range []float64{80, 130} {
		tube := shape.Cutaway{Bottom: circle, Top: circle, Wall: 3, Height: 230, Cuts: []shape.Cut{{From: 50, To: 50 + high, Degrees: 60}}}
		cavities, r := find(t, tube.Mesh()), region(t, "head")
		seats := Seats(cavities, r, "", nil)
		require.NotEmpty(t, seats)
		for i, s := range seats[0].Main.Stations {
			if math.Abs(s.Center.Z-90) < 3 {
				rooms[high] = seats[0].rests[seats[0].lead].rooms.at(seats[0].Main.Along(i))
			}
		}
	}
	require.InEpsilon(t, room.Girth(210, 210*0.85), rooms[80], 0.015)
	require.Greater(t, rooms[130], 1.03*rooms[80])
}

// A section that runs out over the rim of a closed part is open there, and its ellipse
// bulges out: the body has the room of the rim, or of the first whole section. Where
// the part is open further in as well, it has what it is open for.
func TestRimGivesNoRoomBeyondIt(t *testing.T) {
	station := func(along, room, gap float64) cavity.Station {
		return cavity.Station{Along: along, Capacity: room, Gap: gap, InnerGirth: room - gap, Ellipse: &cavity.Ellipse{Major: room / math.Pi, Minor: room / math.Pi}}
	}
	w := Way{From: "A", To: "B", Length: 40, Stations: []cavity.Station{
		station(0, 416, 150), station(5, 404, 25), station(10, 400, 0), station(30, 390, 0), station(35, 388, 0), station(40, 470, 90),
	}}
	rims := []cavity.Opening{{Name: "A", Capacity: 405}, {Name: "B", Capacity: 380}}
	got := roomsOf(w, rims, limb)
	require.InDeltaSlice(t, []float64{405, 404, 400, 390, 388, 388}, got, 1e-9)
	room, held := roomAtEnd(w, rims, limb)
	require.True(t, held)
	require.InDelta(t, 388, room, 1e-9)
	require.InDelta(t, 405, roomsAlong(w, rims, limb)[0], 1e-9)
	require.InDeltaSlice(t, []float64{400, 400, 400, 390, 388, 388}, roomsOf(w, nil, limb), 1e-9)

	// A rim at a slant is open for as deep as it slants, and no further.
	deep := Way{From: "A", To: "B", Length: 95}
	for k := range 20 {
		st := station(5*float64(k), 300, 0)
		st.Center, st.Normal = r3.Vec{Z: 5 * float64(k)}, r3.Vec{Z: 1}
		if k < 6 { // 30 mm
			st = station(5*float64(k), 340, 100)
			st.Center, st.Normal = r3.Vec{Z: 5 * float64(k)}, r3.Vec{Z: 1}
		}
		deep.Stations = append(deep.Stations, st)
	}
	leaning := func(degrees float64) float64 {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		return roomsOf(deep, []cavity.Opening{{Name: "A", Capacity: 360, Facing: r3.Vec{X: sin, Z: -cos}}}, limb)[0]
	}
	require.InDelta(t, 300, leaning(40), 1e-9)
	require.InDelta(t, 340, leaning(5), 1e-9, "open along its side")

	for i := range w.Stations {
		w.Stations[i].Gap, w.Stations[i].InnerGirth = 60, w.Stations[i].Capacity-60
	}
	require.InDeltaSlice(t, []float64{416, 404, 400, 390, 388, 470}, roomsOf(w, rims, limb), 1e-9)
}

// A part is not taken to fit where its leading measure lies at a flared rim, and what
// follows of the shell is narrower than the bare body: a gorget on the neck, a short
// greave between calf and ankle. By hand: of a greave that covers what lies up to 30 mm
// below the calf the bare leg is 382 − 160·30/198 mm there.
func TestRoomForTheBareBodyInBetween(t *testing.T) {
	wants := Wants{Padding: 5, Ease: 6, Loosest: 40}
	greave := seat(t, "lower_leg", 140, func(x float64) float64 { return 83 - 36*x/140 })
	a := Question{Wearer: mira(t), Wants: wants, Seat: greave}.Judge()
	f := greave.figure(mira(t).mean, wants)
	pose := greave.best(f, even(a.Rests))
	for x := 0.0; x <= 140*a.Rests; x += 10 {
		at := greave.Region.Stay.Sense*x + pose.rim
		line := 222 + 160*(at-132)/198
		if at < 132 || at > 330 {
			continue
		}
		require.GreaterOrEqual(t, 2*math.Pi*(83*a.Rests-36*x/140)*(1+1e-3), line, "%g mm in", x)
	}
	alone := 2 * math.Pi * 83
	require.Greater(t, a.Rests, 1.05*(382+wants.Layer()+wants.Ease)/alone, "by the calf at its rim alone")

	narrow := seat(t, "lower_leg", 140, func(x float64) float64 { return 70 - 36*x/140 })
	a = Question{Wearer: mira(t), Wants: wants, Seat: narrow}.Judge()
	require.NotNil(t, a.Narrow)
	require.Less(t, a.Narrow.Room, a.Narrow.Skin)
	require.Greater(t, a.Rests, 1.0)

	gorget := seat(t, "neck", 70, func(x float64) float64 { return 66 + max(0, 53-4*x) })
	a = Question{Wearer: wearer(t, map[string]float64{"stature": 1710, "neck_girth": 340, "neck_base_girth": 380}), Wants: wants, Seat: gorget}.Judge()
	require.Greater(t, 2*math.Pi*66*a.Rests, 339.0)
}

// The knuckles rest in the hand of a gauntlet, not in its cuff, however wide that is: by
// hand, what is past the wrist holds 250 mm at its rim, and that is the most that they
// have. A cuff alone, which only narrows, or one that is far wider than its hand's end,
// is worn as before.
func TestKnucklesRestPastTheWrist(t *testing.T) {
	w := wearer(t, map[string]float64{"stature": 1750, "hand_girth": 210, "hand_length": 190, "hand_over_thumb_girth": 245})
	wants := Wants{Padding: 2, Ease: 6, Loosest: 40}
	gauntlet := func(cuff, wrist, end float64) *Seat {
		return seat(t, "hand", 200, func(x float64) float64 {
			if x < 100 {
				return (cuff + (wrist-cuff)*x/100) / (2 * math.Pi)
			}
			return (wrist + (end-wrist)*(x-100)/100) / (2 * math.Pi)
		})
	}
	need := 210 + wants.Layer() + wants.Ease
	a := Question{Wearer: w, Wants: wants, Seat: gauntlet(340, 220, 250)}.Judge()
	require.InEpsilon(t, need/250, a.Rests, 0.01)
	require.GreaterOrEqual(t, a.Seated[0].Along, 100.0)
	wider := Question{Wearer: w, Wants: wants, Seat: gauntlet(440, 220, 250)}.Judge()
	require.InEpsilon(t, a.Rests, wider.Rests, 1e-3, "a wider cuff gives the hand no room")

	for name, s := range map[string]*Seat{"narrows": gauntlet(340, 220, 219), "far wider": gauntlet(600, 220, 250)} {
		require.Zero(t, s.neck, name)
	}
	far := Question{Wearer: w, Wants: wants, Seat: gauntlet(600, 220, 250)}.Judge()
	require.Less(t, far.Rests, 0.95*need/250, "where there is room")
}

// A prism holds no more because its end is cut at a slant: what the sections at the rim
// are longer is taken off, whatever the slant and whichever the end. A bend that goes on
// up to the rim is one of the limb, and takes nothing off.
func TestSlantedRimHoldsNoMore(t *testing.T) {
	tube := shape.Tube{Sides: 128, Radius: 95, Wall: 3, Height: 300}.Mesh()
	plain := judged(t, tube, "thigh", leggy(t), Wants{Padding: 5, Ease: 12, Loosest: 60}, nil)
	for _, degrees := range []float64{17, 31, 42} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		for _, up := range []float64{1, -1} {
			above, below, _ := section.Halves(tube, section.Plane{Point: r3.Vec{Z: 150 + up*50}, Normal: r3.Vec{X: sin, Z: cos}})
			cut := below
			if up < 0 {
				cut = above
			}
			a := judged(t, cut, "thigh", leggy(t), Wants{Padding: 5, Ease: 12, Loosest: 60}, nil)
			require.InEpsilon(t, plain.Rests, a.Rests, 0.02, "%g°, %g", degrees, up)
		}
	}

	// Both ends at a slant, so that hardly a section is whole.
	short := shape.Tube{Sides: 128, Radius: 48.5, Wall: 3, Height: 160}.Mesh()
	straight := judged(t, short, "forearm", armed(t), Wants{Padding: 5, Ease: 6, Loosest: 60}, nil)
	sin, cos := math.Sincos(40 * math.Pi / 180)
	_, short, _ = section.Halves(short, section.Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{X: sin, Z: cos}})
	short, _, _ = section.Halves(short, section.Plane{Point: r3.Vec{Z: 40}, Normal: r3.Vec{X: sin, Z: cos}})
	a := judged(t, short, "forearm", armed(t), Wants{Padding: 5, Ease: 6, Loosest: 60}, nil)
	require.InEpsilon(t, straight.Rests, a.Rests, 0.03)

	bent := make([]cavity.Station, 20)
	for i := range bent {
		sin, cos := math.Sincos(float64(i) * 5 / 110) // on an arc of 110 mm
		bent[i] = cavity.Station{Center: r3.Vec{X: 110 * (1 - cos), Z: 110 * sin}, Normal: r3.Vec{X: sin, Z: cos}}
	}
	for i, long := range slanted(bent) {
		require.Equal(t, 1.0, long, "%d", i)
	}
	askew := slices.Clone(bent)
	for i := 8; i < 12; i++ { // a window in the middle is no rim
		askew[i].Normal = r3.Unit(r3.Vec{X: 1, Z: 1})
	}
	for i, long := range slanted(askew) {
		require.Equal(t, 1.0, long, "%d", i)
	}
}

func armed(t *testing.T) Wearer {
	return wearer(t, map[string]float64{"stature": 1710, "forearm_girth": 260, "wrist_girth": 165, "elbow_girth": 265, "upper_arm_length": 330, "lower_arm_length": 250})
}

func leggy(t *testing.T) Wearer {
	return wearer(t, map[string]float64{"stature": 1710, "thigh_girth": 540, "lower_thigh_girth": 400, "knee_girth": 370, "knee_height": 470, "crotch_height": 780})
}

// Where nothing is held, as across a window, nothing is said of the bare body.
func TestWindowIsNoNarrowPlace(t *testing.T) {
	greave := seat(t, "lower_leg", 140, func(x float64) float64 { return 75 - 20*x/140 })
	f := greave.figure(mira(t).mean, Wants{})
	whole, found := greave.narrowest(f, even(1), greave.best(f, even(1)).rim)
	require.True(t, found)
	for k := 60; k < 80; k++ {
		greave.rests[greave.lead].rooms[k] = 0
	}
	open, found := greave.narrowest(f, even(1), greave.best(f, even(1)).rim)
	require.True(t, found)
	require.Positive(t, open.Room)
	require.InDelta(t, whole.Room/whole.Skin, open.Room/open.Skin, 0.1)
}

// The best place is as good as it is said to be, the body between its measures counted,
// and no place of an even row is better by more than a step of it may be.
func TestBestPlaceIsTheBest(t *testing.T) {
	r := rand.New(rand.NewPCG(1816, 7))
	f := func(s *Seat) figure { return s.figure(mira(t).mean, Wants{Padding: 5, Ease: 6, Loosest: 40}) }
	bare := 0
	for range 60 {
		wide, narrow, long, waist := 60+30*r.Float64(), 35+35*r.Float64(), 80+260*r.Float64(), 20*r.Float64()
		s := seat(t, "lower_leg", long, func(x float64) float64 { return wide + (narrow-wide)*x/long - waist*math.Sin(math.Pi*x/long) })
		for _, factor := range []float64{0.8, 1, 1.3} {
			sc := even(factor)
			best := s.best(f(s), sc)
			require.Equal(t, s.pose(f(s), sc, best.rim, worst), best)
			if best.bare {
				bare++
			}
			low, high := s.span(f(s), sc)
			for k := range 101 {
				at := s.pose(f(s), sc, low+(high-low)*float64(k)/100, worst)
				require.False(t, at.score > best.score || at.score == best.score && at.ratio > best.ratio*1.01, "%+v against %+v", at, best)
			}
		}
	}
	require.Greater(t, bare, 5)
}

// A shell for the trunk that tapers to the waist goes with its narrower rim down, whichever
// is the wider, and the body comes in by that rim; where it tapers upward it is as before.
func TestTrunkEitherWayRound(t *testing.T) {
	wants := Wants{Padding: 8, Ease: 40, Loosest: 140}
	down := func(waist, chest, top float64) Inside { // from the waist, z up
		m := shape.Limb{Sides: 96, Wall: 4, Rings: []shape.Ring{
			{Inner: shape.EllipseOfGirth(waist, 0.72)}, {Center: r3.Vec{Z: 300}, Inner: shape.EllipseOfGirth(chest, 0.72)}, {Center: r3.Vec{Z: 380}, Inner: shape.EllipseOfGirth(top, 0.72)},
		}}.Mesh()
		return Look(find(t, m), region(t, "torso"), "", nil, false)
	}
	chestAt := func(in Inside) (along float64, seat *Seat) {
		q := Question{Wearer: mira(t), Wants: wants}
		q.Seat = q.Choose(in.Seats)
		for _, s := range q.SeatedAt(1) {
			if s.Lead {
				return s.Along, q.Seat
			}
		}
		return -1, q.Seat
	}
	tapered := down(1000, 1120, 1086)
	require.Len(t, tapered.Seats, 2)
	along, s := chestAt(tapered)
	require.Greater(t, along, 200.0, "the chest is far from the waist")
	require.Equal(t, "B", s.Main.From)
	for _, p := range tapered.By(s) {
		require.Equal(t, "B", p.Opening, p.Measure)
	}
	require.NotEmpty(t, tapered.By(s))
	upward := down(1120, 1120, 1060)
	along, s = chestAt(upward)
	require.Equal(t, "A", s.Main.From)
	require.Greater(t, along, 150.0)
	require.Len(t, down(1250, 1200, 1000).Seats, 1, "rims that are not alike")
}
