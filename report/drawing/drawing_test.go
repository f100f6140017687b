package drawing

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture/solid"
	"gambeson/report/sample"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// allKnown is a greave of which all is known that can be drawn.
func allKnown() Part {
	var d Part
	d.Findings, d.Brief = sample.Greave()
	f := &d.Findings
	way := &f.Cavities[0].Centrelines[0]
	way.From, way.To = "A", "B"
	f.Cavities[0].Openings = []analysis.Opening{{Name: "A", Facing: [3]float64{0, 0, -1}}, {Name: "B", Center: [3]float64{0, 0, 380}, Facing: [3]float64{0, 0, 1}}}
	f.Fit.Sits[0].From, f.Fit.Sits[0].To = "A", "B"
	f.Fit.Entries = []analysis.Entry{{Opening: "A", To: "B", Measure: "heel_girth", Body: 331, Source: "estimated", SD: 9.5, Needed: 343.6, Throat: 290, ThroatAlong: 15}}
	f.Testing = &analysis.Testing{
		Smallest: 112.4, SD: 2.31, Odds: [][2]float64{{108, 0.03}, {112.4, 0.5}, {115, 0.91}, {122, 0.3}}, Print: 115, Chance: 0.91, Next: &analysis.NextBand{Band: f.Bands[1].File, Percent: 113},
		Then:  []analysis.After{{Verdict: "tight", Likely: 0.4, Band: 117}, {Verdict: "fits", Likely: 0.5, Print: 114}},
		Tried: []analysis.Tried{{Station: "calf_girth", Percent: 107, Verdict: "tight", Counts: true}, {Station: "calf_girth", Percent: 120, Verdict: "tight", Counts: true, Odd: true}},
	}
	d.Shown = sample.Wedge(0)
	d.Outlines = []analysis.Outline{sample.Ring(265, 60, 55, 4)}
	d.Outlines[0].Body = &analysis.BodyOutline{
		Measure: "calf_girth", Skin: analysis.Ellipse{Major: 118, Minor: 108}, Padding: 4, Needed: 413.1, Has: 390,
		Gaps: []analysis.WallGap{{From: r2.Vec{X: 63}, To: r2.Vec{X: 60}, Gap: -3}, {From: r2.Vec{Y: 58}, To: r2.Vec{Y: 55}, Gap: -2.9}},
	}
	f.Bed.Pieces = []analysis.Piece{{File: "pieces/1.stl", Bounds: [3]float64{100, 90, 80}, Hours: 5.5}, {File: "pieces/2.stl", Bounds: [3]float64{100, 90, 70}}}
	f.Bed.Seams = []analysis.Seam{{Plane: analysis.Plane{Normal: [3]float64{0, 0, 1}}, Above: []int{2}, Below: []int{1}}}
	d.Parted = []*mesh.Mesh{sample.Wedge(0), sample.Wedge(30)}
	return d
}

// Somebody who does not see a picture is told the numbers that matter.
func TestPicturesSayInWordsWhatTheyShow(t *testing.T) {
	drawn := Draw(allKnown())
	for what, c := range map[string]struct {
		Picture
		says []string
	}{
		"part":    {drawn.Part, []string{"107 %", "2 openings", "tightest, inner girth 290.0 mm", "band at 265 mm: calf"}},
		"girths":  {drawn.Girths[0], []string{"tightest 290.0 mm", "calf 23.1 mm too little", "heel 53.6 mm too little on its way in"}},
		"section": {drawn.Sections[0], []string{"265 mm from opening A, at 107 %", "Calf: 23.1 mm too little, needs 413.1 mm with its ease, has 390.0 mm", "3.0 mm into the wall"}},
		"pieces":  {drawn.Pieces, []string{"In 2 pieces at 107 %", "1 seam"}},
		"ladder":  {drawn.Ladder, []string{"112.4 % ± 2.3 %", "Printed at 115 %", "91 in 100"}},
	} {
		for _, say := range c.says {
			if !strings.Contains(c.Alt, say) {
				t.Errorf("%s: %q does not say %q", what, c.Alt, say)
			}
		}
		if len(c.PNG) < 1000 || c.Err != nil || c.File == "" {
			t.Errorf("%s is not drawn", what)
		}
	}
}

// Every picture has a name that is known as ours, so that it is removed when it
// is not drawn any more, and its own.
func TestPicturesHaveNamesOfOurs(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range Draw(allKnown()).All() {
		if !Ours(d.File) || seen[d.File] {
			t.Errorf("%s: ours %v, seen %v", d.File, Ours(d.File), seen[d.File])
		}
		seen[d.File] = true
	}
	for _, not := range []string{"photo.png", "part.jpg", "part-a.png", "ladder-2.stl", "pieces", "my-part.png"} {
		if Ours(not) {
			t.Errorf("%s is taken for ours", not)
		}
	}
}

// What is not known is not drawn: no wearer, no pieces, no testing.
func TestPicturesOfLittle(t *testing.T) {
	d := allKnown()
	d.Findings.Fit, d.Findings.Testing, d.Parted, d.Shown = nil, nil, nil, nil
	d.Outlines[0].Body = nil
	drawn := Draw(d)
	for what, one := range map[string]Picture{"part": drawn.Part, "pieces": drawn.Pieces, "ladder": drawn.Ladder, "bed": drawn.Bed} {
		if one.File != "" {
			t.Errorf("%s is drawn", what)
		}
	}
	if alt := drawn.Girths[0].Alt; !strings.HasSuffix(alt, "tightest 290.0 mm at 0 mm") {
		t.Errorf("girths without a body: %q", alt)
	}
}

// From leg to leg nobody goes: such a way has no picture, unless something of
// the body is there.
func TestWaysThatNobodyGoesAreNotDrawn(t *testing.T) {
	d := allKnown()
	way := d.Findings.Cavities[0].Centrelines[0]
	side := way
	side.From, side.To = "B", "C"
	d.Findings.Cavities[0].Centrelines = append(d.Findings.Cavities[0].Centrelines, side)
	if drawn := Draw(d); drawn.Girths[0].File == "" || drawn.Girths[1].File != "" {
		t.Errorf("drawn: %q and %q", drawn.Girths[0].File, drawn.Girths[1].File)
	}
	d.Findings.Fit.Sits = append(d.Findings.Fit.Sits, analysis.Sit{Measure: "thigh_girth", Body: 600, Source: "measured", Needed: 640, Capacity: 650, From: "C", To: "B", Along: 30})
	if drawn := Draw(d); !strings.Contains(drawn.Girths[1].Alt, "thigh 10.0 mm to spare") {
		t.Errorf("says %q", drawn.Girths[1].Alt)
	}
}

// A way is drawn without the jumps of a section that opens into another way: the
// ends stay, a straight way stays as it is, and a jump is spread.
func TestSmoothWays(t *testing.T) {
	var straight, jumped []r3.Vec
	for i := range 40 {
		p := r3.Vec{X: 3 * float64(i), Z: 5}
		straight = append(straight, p)
		if i >= 20 {
			p.Z += 40
		}
		jumped = append(jumped, p)
	}
	for i, p := range smooth(straight) {
		if r3.Norm(r3.Sub(p, straight[i])) > 1e-9 {
			t.Errorf("point %d of a straight way moved to %v", i, p)
		}
	}
	got, most := smooth(jumped), 0.0
	for i := range got[1:] {
		most = max(most, math.Abs(got[i+1].Z-got[i].Z))
	}
	if most > 40.0/17+1e-9 || got[0] != jumped[0] || r3.Norm(r3.Sub(got[39], jumped[39])) > 1e-9 {
		t.Errorf("steps of up to %.1f mm, ends %v and %v", most, got[0], got[39])
	}
	require.Empty(t, smooth(nil))
}

// Where the wearer measures in inches the pictures say them too, and only there.
func TestPicturesSayInches(t *testing.T) {
	var d Part
	d.Findings, d.Brief = sample.Fitting()
	d.Outlines = []analysis.Outline{sample.Ring(0, 46, 40, 5)}
	plain := Draw(d)
	d.Brief.Wearer.Inches = true
	both := Draw(d)
	require.Equal(t, len(plain.All()), len(both.All()))
	same := 0
	for i, p := range plain.All() {
		if bytes.Equal(p.PNG, both.All()[i].PNG) {
			same++ // without a length
		} else if strings.HasPrefix(p.File, "ladder") {
			t.Errorf("%s has no length to say in inches", p.File)
		}
	}
	if same != 1 {
		t.Errorf("%d of %d pictures are the same in inches, want the ladder alone", same, len(plain.All()))
	}
	if got := words.Also(d.Brief)(391.1); got != "15 3/8 in" { // 15.398 in
		t.Errorf("391.1 mm is %q", got)
	}
}

// Pictures that are drawn at once are those that are drawn one after the other.
func TestPicturesAreTheSameOnAnyNumberOfProcessors(t *testing.T) {
	d := allKnown()
	want := Draw(d).All()
	for _, workers := range []int{2, 3, 50} {
		d.Workers = workers
		got := Draw(d).All()
		require.Len(t, got, len(want))
		for i, p := range got {
			require.NoError(t, p.Err)
			if p.File != want[i].File || p.Alt != want[i].Alt || !bytes.Equal(p.PNG, want[i].PNG) {
				t.Errorf("on %d processors %s is not %s", workers, p.File, want[i].File)
			}
		}
	}
}

// All work is done and waited for, and what goes wrong is not lost.
func TestWorkAtOnceIsWaitedFor(t *testing.T) {
	for _, workers := range []int{0, 1, 2, 9} {
		done := make([]bool, 5)
		var work []func()
		for i := range done {
			work = append(work, func() { done[i] = true })
		}
		atOnce(workers, work)
		require.NotContains(t, done, false, "on %d processors", workers)
		require.Panics(t, func() { atOnce(workers, append(work, func() { panic("lost") })) })
		atOnce(workers, nil)
	}
}

// Of many openings only those that a way leads to have their letters in the picture.
func TestBreathsHaveNoLetters(t *testing.T) {
	var all []solid.Opening
	for _, name := range []string{"A", "B", "C", "D", "E", "F"} {
		all = append(all, solid.Opening{Name: name})
	}
	lead := []analysis.Centreline{{From: "A", To: "end"}}
	require.Equal(t, all, labelled(all, lead))
	more := append(all, solid.Opening{Name: "G"})
	require.Equal(t, []solid.Opening{{Name: "A"}}, labelled(more, lead))
}

// The part stands where the placement says, with its panel beside it.
func TestOnSpot(t *testing.T) {
	shown := shape.Tube{Sides: 32, Radius: 40, Wall: 3, Height: 200}.Mesh()
	l := analysis.Placement{Kind: "laid", Rotation: [3][3]float64{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}},
		Size: [3]float64{86, 200, 86}, Spot: [2]float64{67, 10}, Overhang: 4210, FirstLayer: 155}
	panel := shown.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Z: -20}) })
	for _, apart := range []*mesh.Mesh{nil, panel} {
		low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		all := onSpot(shown, apart, l)
		for _, m := range all {
			box := m.Bounds()
			low = r3.Vec{X: min(low.X, box.Min.X), Y: min(low.Y, box.Min.Y), Z: min(low.Z, box.Min.Z)}
		}
		if r3.Norm(r3.Sub(low, r3.Vec{X: 67, Y: 10})) > 1e-4 {
			t.Errorf("low corner %v, want the spot, on the bed", low)
		}
		if size := r3.Sub(all[0].Bounds().Max, all[0].Bounds().Min); math.Abs(size.Y-200) > 1e-3 || math.Abs(size.Z-86) > 1 {
			t.Errorf("laid on its back it measures %v", size)
		}
	}
}
