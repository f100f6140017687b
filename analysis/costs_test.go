package analysis

import (
	"math"
	"strings"
	"testing"

	"gambeson/analysis/cost"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// A tube of walls alone weighs its volume, and so do its bands.
func TestCostOfPartAndBands(t *testing.T) {
	numbers(t)
	a := examine(t, tube(), nil, nil)
	p := a.Findings.Print
	if p == nil {
		t.Fatal("what printing takes is missing")
	}
	if want := tube().Volume() * 1.24 / 1000; !within(p.Grams, want, 2e-3*want) || !within(p.Metres, p.Grams/2.9825, 1e-3*p.Metres) {
		t.Errorf("%.2f g, %.2f m, want %.2f g", p.Grams, p.Metres, want)
	}
	if p.HoursSD/p.Hours < 0.25 || p.GramsSD/p.Grams < 0.08 || p.Prints != 0 {
		t.Errorf("the doubt of the first print: %+v", p)
	}
	if len(a.Bands) == 0 {
		t.Fatal("there is no band")
	}
	for i, b := range a.Findings.Bands {
		// Where strokes are raised on it, it is too thick to come out quite solid.
		if want := a.Bands[i].Volume() * 1.24 / 1000; b.Grams < 0.95*want || b.Grams > 1.002*want || !(b.Hours > 0 && b.Hours < p.Hours) {
			t.Errorf("band %s: %.2f g in %.2f h, want %.2f g in less than %.2f h", b.File, b.Grams, b.Hours, want, p.Hours)
		}
	}
	thin := shape.Tube{Sides: 64, Radius: 40, Wall: 2, Height: 60}.Mesh()
	small, large := examine(t, thin, nil, nil).Findings.Print, examine(t, thin, func(b *Brief) { b.Percent = 130 }, nil).Findings.Print
	if grown := large.Grams / small.Grams; !within(grown, 1.3*1.3*1.3, 0.01) {
		t.Errorf("at 130 %% it weighs %.3f times as much, want 2.197", grown)
	}
}

// A part in pieces takes what its pieces take, and their doubts go together.
func TestCostOfPieces(t *testing.T) {
	a := examine(t, shape.Tube{Sides: 48, Radius: 60, Wall: 3, Height: 300}.Mesh(), func(b *Brief) {
		b.Printer.Bed, b.Printer.Height = [2]float64{150, 150}, 180
	}, nil)
	f := a.Findings
	if len(f.Bed.Pieces) < 2 {
		t.Fatalf("%d pieces", len(f.Bed.Pieces))
	}
	var hours, grams float64
	for i, p := range f.Bed.Pieces {
		if want := a.Pieces[i].Volume() * 1.24 / 1000; p.Hours <= 0 || !within(p.Grams, want, 0.02*want) {
			t.Errorf("%s: %.2f h, %.2f g, want %.2f g", p.File, p.Hours, p.Grams, want)
		}
		hours, grams = hours+p.Hours, grams+p.Grams
	}
	if !within(f.Print.Hours, hours, 1e-9) || !within(f.Print.Grams, grams, 1e-9) || f.Print.HoursSD < 0.25*hours {
		t.Errorf("%+v, pieces %.3f h, %.2f g", f.Print, hours, grams)
	}
}

// A part takes what it takes as it lies on the bed, not as its file lies; and as
// much where it is counted ahead, on another processor, as where it is not.
func TestCostIsThatOfThePartAsItIsPlaced(t *testing.T) {
	numbers(t)
	upright := shape.Bar{X: 60, Y: 14, Z: 280}.Mesh()
	placed := func(m *mesh.Mesh, height float64, workers int) Findings {
		brief := DefaultBrief()
		brief.Printer.Bed, brief.Printer.Height = [2]float64{300, 300}, height
		a, err := Examine(t.Context(), loaded(m), brief, nil, workers)
		if err != nil || !a.Findings.Bed.Fits {
			t.Fatalf("%v, fits %v", err, a.Findings.Bed.Fits)
		}
		return a.Findings
	}
	stands := placed(upright, 400, 2).Print
	for workers := 1; workers <= 2; workers++ {
		f := placed(upright, 150, workers)
		r := f.Bed.Placement.Rotation
		lying := placed(upright.Map(func(p r3.Vec) r3.Vec {
			return r3.Vec{X: r3.Dot(vec(r[0]), p), Y: r3.Dot(vec(r[1]), p), Z: r3.Dot(vec(r[2]), p)}
		}), 150, workers).Print
		if got := f.Print; !within(got.Hours, lying.Hours, 1e-3*lying.Hours) || within(got.Hours, stands.Hours, 0.03*stands.Hours) {
			t.Errorf("%d workers: laid down it takes %.3f h; drawn so %.3f h, standing %.3f h", workers, got.Hours, lying.Hours, stands.Hours)
		}
	}
}

// What is printed on the second printer takes what that one takes.
func TestCostOnSecondPrinter(t *testing.T) {
	m := shape.Bar{X: 280, Y: 30, Z: 30}.Mesh()
	change := func(speed float64) func(*Brief) {
		return func(b *Brief) {
			second := b.Printer
			second.Bed, second.Speed = [2]float64{400, 400}, speed
			b.Second = &second
		}
	}
	slow, fast := examine(t, m, change(30), nil).Findings.Print, examine(t, m, change(90), nil).Findings.Print
	if !(slow.Hours > 1.5*fast.Hours) || !within(slow.Grams, fast.Grams, 1e-9) {
		t.Errorf("slow %+v, fast %+v", slow, fast)
	}
}

// What prints took corrects hours, grams, metres and their doubts.
func TestCalibratedCost(t *testing.T) {
	numbers(t)
	plain := examine(t, tube(), nil, nil).Findings
	learnt := cost.Calibrate([]cost.Pair{{
		Forecast: cost.Taken{Hours: 10, Grams: 100}, Took: cost.Taken{Hours: 15, Grams: 90}, Scale: 1,
	}})
	got := examine(t, tube(), func(b *Brief) { b.Calibration = learnt }, nil).Findings
	p, q := plain.Print, got.Print
	for what, v := range map[string][2]float64{
		"hours": {q.Hours, p.Hours * learnt.Hours}, "doubt of hours": {q.HoursSD, q.Hours * learnt.HoursSD},
		"grams": {q.Grams, p.Grams * learnt.Grams}, "metres": {q.Metres, p.Metres * learnt.Grams},
		"model's hours": {q.ModelHours, p.ModelHours}, "model's grams": {q.ModelGrams, p.ModelGrams},
		"hours of a band": {got.Bands[0].Hours, plain.Bands[0].Hours * learnt.Hours},
	} {
		if !within(v[0], v[1], 1e-9*math.Abs(v[1])) {
			t.Errorf("%s: %.6f, want %.6f", what, v[0], v[1])
		}
	}
	if q.Prints != 1 || q.HoursSD/q.Hours >= p.HoursSD/p.Hours {
		t.Errorf("a print was made and tells nothing: %+v", q)
	}
}

// A surface with rims is printed as lines along it, a solid with a small hole as
// a solid.
func TestCostOfOpenMeshes(t *testing.T) {
	numbers(t)
	whole := shape.Bar{X: 40, Y: 40, Z: 40}.Mesh()
	open := &mesh.Mesh{X: whole.X, Y: whole.Y, Z: whole.Z}
	for i := range whole.Triangles() {
		if a, b, c := whole.Corners(i); math.Min(a.Z, math.Min(b.Z, c.Z)) < math.Max(a.Z, math.Max(b.Z, c.Z)) {
			open.T = append(open.T, whole.T[3*i:3*i+3]...)
		}
	}
	got := examine(t, open, nil, nil).Findings
	if want := 160.0 * 1.2 * 40 * 1.24 / 1000; !within(got.Print.Grams, want, 1e-3*want) {
		t.Errorf("a box without top and bottom: %.2f g, want %.2f", got.Print.Grams, want)
	}
	fine := shape.Tube{Sides: 512, Radius: 40, Wall: 6, Height: 60}.Mesh()
	before := examine(t, fine, nil, nil).Findings
	fine.T = fine.T[3:]
	after := examine(t, fine, nil, nil).Findings
	if after.Mesh.Closed || !within(after.Print.Grams, before.Print.Grams, 0.02*before.Print.Grams) {
		t.Errorf("with a hole %.2f g, without %.2f g", after.Print.Grams, before.Print.Grams)
	}
}

// Bad numbers in the brief leave the question open and no NaN in the findings.
func TestNoCostWithoutPrinter(t *testing.T) {
	f := examine(t, tube(), func(b *Brief) { b.Printer.Nozzle = 0 }, nil).Findings
	if f.Print != nil || strings.Contains(text(f, "bed-overflow"), "NaN") {
		t.Errorf("%+v", f.Print)
	}
}

// What the print takes at the scale advised, against counting the part at that
// scale, whole and in pieces.
func TestCostAtTheScaleAdvised(t *testing.T) {
	m := shape.Tube{Sides: 64, Radius: 55, Wall: 3, Height: 150}.Mesh()
	for name, bed := range map[string]float64{"whole": 250, "in pieces": 100} {
		at := func(percent float64) *Answer {
			return examine(t, m, func(b *Brief) {
				b.Region = Region{Name: "lower_leg", Side: "left", Source: "config"}
				b.Wearer = Wearer{Measures: map[string]float64{"stature": 1710, "calf_girth": 382, "heel_girth": 331, "ankle_girth": 222}}
				b.Printer.Bed = [2]float64{bed, 250}
				b.Percent = percent
			}, nil)
		}
		p := at(100).Findings.Print
		if p == nil || p.Advised == nil || p.Advised.Percent < 105 {
			t.Fatalf("%s: %+v", name, p)
		}
		there := at(p.Advised.Percent).Findings.Print
		if a := p.Advised; !within(a.Hours, there.Hours, 0.03*there.Hours) || !within(a.Grams, there.Grams, 0.03*there.Grams) {
			t.Errorf("%s at %v %%: %.2f h and %.1f g, counted there %.2f h and %.1f g", name, a.Percent, a.Hours, a.Grams, there.Hours, there.Grams)
		}
		if there.Advised != nil {
			t.Errorf("%s: at the scale advised, %v %% is advised", name, there.Advised.Percent)
		}
	}
}

// Between and beyond what was counted a print grows as a power of its scale; by
// hand, a third of the way from 8 h to 27 h in logarithms.
func TestCostAtAnyScale(t *testing.T) {
	p := Print{Hours: 8, Grams: 100, Percent: 100, Advised: &PrintAt{150, 27, 100 * 1.5 * 1.5}}
	for _, c := range []PrintAt{{100, 8, 100}, {150, 27, 225}, {125, 8 * 1.25 * 1.25 * 1.25, 156.25}, {50, 1, 25}, {200, 64, 400}} {
		got := p.At(c.Percent)
		if got.Percent != c.Percent || !within(got.Hours, c.Hours, 1e-9) || !within(got.Grams, c.Grams, 1e-9) {
			t.Errorf("got %+v, want %+v", got, c)
		}
	}
	p.Advised = nil
	if got := p.At(110); !within(got.Hours, 8*math.Pow(1.1, 2.5), 1e-9) {
		t.Errorf("counted once: %+v", got)
	}
	step := Print{Hours: 10, Grams: 100, Percent: 100, Advised: &PrintAt{101, 14, 90}} // a step of the wall
	if got := step.At(120); got.Hours > 14*math.Pow(1.2/1.01, mostGrowth)+1e-9 || got.Grams < 90 {
		t.Errorf("over a step: %+v", got)
	}
}
