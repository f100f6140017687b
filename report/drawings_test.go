package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/picture"
	"gambeson/report/sample"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// allKnown is a greave of which all is known that can be drawn.
func allKnown() Document {
	d := greave()
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
	d.Outlines = []analysis.Outline{ring(265, 60, 55, 4)}
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
	drawn := draw(allKnown())
	for what, c := range map[string]struct {
		drawing
		says []string
	}{
		"part":    {drawn.part, []string{"107 %", "2 openings", "tightest, inner girth 290.0 mm", "band at 265 mm: calf"}},
		"girths":  {drawn.girths[0], []string{"tightest 290.0 mm", "calf 23.1 mm too little", "heel 53.6 mm too little on its way in"}},
		"section": {drawn.sections[0], []string{"265 mm from opening A, at 107 %", "Calf: 23.1 mm too little, needs 413.1 mm with its ease, has 390.0 mm", "3.0 mm into the wall"}},
		"pieces":  {drawn.pieces, []string{"In 2 pieces at 107 %", "1 seam"}},
		"ladder":  {drawn.ladder, []string{"112.4 % ± 2.3 %", "printed at 115 %", "91 in 100"}},
	} {
		for _, say := range c.says {
			if !strings.Contains(c.alt, say) {
				t.Errorf("%s: %q does not say %q", what, c.alt, say)
			}
		}
		if len(c.png) < 1000 || c.err != nil || c.file == "" {
			t.Errorf("%s is not drawn", what)
		}
	}
}

// Every picture has a name that is known as ours, so that it is removed when it
// is not drawn any more, and its own.
func TestPicturesHaveNamesOfOurs(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range draw(allKnown()).all() {
		if !ourPicture(d.file) || seen[d.file] {
			t.Errorf("%s: ours %v, seen %v", d.file, ourPicture(d.file), seen[d.file])
		}
		seen[d.file] = true
	}
	for _, not := range []string{"photo.png", "part.jpg", "part-a.png", "ladder-2.stl", "pieces", "my-part.png"} {
		if ourPicture(not) {
			t.Errorf("%s is taken for ours", not)
		}
	}
}

// What is not known is not drawn: no wearer, no pieces, no testing.
func TestPicturesOfLittle(t *testing.T) {
	d := allKnown()
	d.Findings.Fit, d.Findings.Testing, d.Parted, d.Shown = nil, nil, nil, nil
	d.Outlines[0].Body = nil
	drawn := draw(d)
	for what, one := range map[string]drawing{"part": drawn.part, "pieces": drawn.pieces, "ladder": drawn.ladder, "bed": drawn.bed} {
		if one.file != "" {
			t.Errorf("%s is drawn", what)
		}
	}
	if alt := drawn.girths[0].alt; !strings.HasSuffix(alt, "tightest 290.0 mm at 0 mm") {
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
	if drawn := draw(d); drawn.girths[0].file == "" || drawn.girths[1].file != "" {
		t.Errorf("drawn: %q and %q", drawn.girths[0].file, drawn.girths[1].file)
	}
	d.Findings.Fit.Sits = append(d.Findings.Fit.Sits, analysis.Sit{Measure: "thigh_girth", Body: 600, Source: "measured", Needed: 640, Capacity: 650, From: "C", To: "B", Along: 30})
	if drawn := draw(d); !strings.Contains(drawn.girths[1].alt, "thigh 10.0 mm to spare") {
		t.Errorf("says %q", drawn.girths[1].alt)
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
	d := fittingGreave()
	plain := draw(d)
	d.Brief.Wearer.Inches = true
	both := draw(d)
	require.Equal(t, len(plain.all()), len(both.all()))
	same := 0
	for i, p := range plain.all() {
		if bytes.Equal(p.png, both.all()[i].png) {
			same++ // without a length
		} else if strings.HasPrefix(p.file, "ladder") {
			t.Errorf("%s has no length to say in inches", p.file)
		}
	}
	if same != 1 {
		t.Errorf("%d of %d pictures are the same in inches, want the ladder alone", same, len(plain.all()))
	}
	if got := words.Also(d.Brief)(391.1); got != "15 3/8 in" { // 15.398 in
		t.Errorf("391.1 mm is %q", got)
	}
}

// Pictures that are drawn at once are those that are drawn one after the other.
func TestPicturesAreTheSameOnAnyNumberOfProcessors(t *testing.T) {
	d := allKnown()
	want := draw(d).all()
	for _, workers := range []int{2, 3, 50} {
		d.Workers = workers
		got := draw(d).all()
		require.Len(t, got, len(want))
		for i, p := range got {
			require.NoError(t, p.err)
			if p.file != want[i].file || p.alt != want[i].alt || !bytes.Equal(p.png, want[i].png) {
				t.Errorf("on %d processors %s is not %s", workers, p.file, want[i].file)
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
	var all []picture.Opening
	for _, name := range []string{"A", "B", "C", "D", "E", "F"} {
		all = append(all, picture.Opening{Name: name})
	}
	lead := []analysis.Centreline{{From: "A", To: "end"}}
	require.Equal(t, all, labelled(all, lead))
	more := append(all, picture.Opening{Name: "G"})
	require.Equal(t, []picture.Opening{{Name: "A"}}, labelled(more, lead))
}
