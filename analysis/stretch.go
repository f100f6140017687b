package analysis

import (
	"context"
	"math"

	"gambeson/analysis/bed"
	"gambeson/analysis/fit"
	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// nearAxis is how far a part's length may lie off an axis of the file, radians,
	// for a scale along that axis to serve: at 15° the length takes cos² 15° = 93 % of
	// the difference of both scales.
	nearAxis = 15 * math.Pi / 180
	// mostStretches is how often scales are tried before it is given up (a guess).
	mostStretches = 6
)

// stretch offers a scale of its own for the length where no one scale fits girth and
// length. That of the girth does not widen every section alike: the shaft of a boot lies
// across its length. So the part is looked into as it would then be, and the scales are
// mended by what is found there; where they do not come to fit, none are offered. inside
// is what the body goes into at 100 percent, drawn the part itself. The only error is
// that of ctx.
func (a *Answer) stretch(ctx context.Context, inside, drawn *mesh.Mesh, brief Brief, workers int) error {
	f := &a.Findings
	if a.twoWay == nil || a.asked == nil || a.asked.Seat == nil {
		return nil
	}
	opened := f.Fit.Opened()
	by := stretching{along: a.asked.Seat.Along(), girth: a.twoWay.Girth * f.Percent / 100}
	by.length = suiting(a.twoWay.Length*f.Percent, f.Fit.Lengths) / 100
	for range mostStretches {
		worn, err := a.wornAs(ctx, by.of(inside), brief, workers)
		if err != nil {
			return err
		}
		if worn == nil {
			return nil
		}
		if least, most := worn.Fit.bearable(opened); least > most {
			opened = true
		}
		if worn.Fit.bearableAt(worn.Percent, opened) && worn.suitsLengths(worn.Percent) {
			f.Fit.TwoWay = by.offer(drawn, brief)
			f.Fit.TwoWay.Opened, f.Fit.TwoWay.Chance = opened, worn.Fit.Chance
			return nil
		}
		by.mend(worn, opened)
	}
	return nil
}

// wornAs returns what the wearer would find in a part of that shape, nil where nothing
// is known then.
func (a *Answer) wornAs(ctx context.Context, m *mesh.Mesh, brief Brief, workers int) (*Findings, error) {
	brief.Region = *a.Findings.Region
	brief.Percent = 100
	region, _ := fit.Of(brief.Region.Name)
	cavities, err := lookInside(ctx, m, brief, workers)
	if err != nil || len(cavities) == 0 {
		return nil, err
	}
	worn := &Findings{Percent: 100, Region: &brief.Region}
	if _, ok := worn.judge(insideOf(cavities, m, region, brief), brief, nil); !ok || worn.Fit.Rests == 0 {
		return nil, nil
	}
	return worn, nil
}

// padded is how much larger, as a share, than it must be a part may be of which no
// scale is wide enough and not too loose, and which padding then fills: half of what
// makes a part of usual size loose (a guess).
const padded = 0.03

// bearable returns the scales at which the body gets in, where the part is not opened,
// has room, and that is not too loose; none where least is 0 or more than most.
func (f *Fit) bearable(opened bool) (least, most float64) {
	least = f.Smallest
	if opened {
		least = f.Rests
	}
	switch {
	case f.Loosest == 0 && f.Roomiest > 0:
		return least, f.Roomiest
	case f.Loosest == 0:
		return least, math.Inf(1)
	case f.Rests > f.Loosest:
		return least, least * (1 + padded)
	}
	return least, f.Loosest
}

// bearableAt reports whether a scale is one of these.
func (f *Fit) bearableAt(percent float64, opened bool) bool {
	least, most := f.bearable(opened)
	return least > 0 && percent >= least && percent <= most
}

// Stretch returns the scales that the part's file is to be rescaled by along its axes,
// nil where one scale serves, is set and fits, or was tried on.
func (f *Findings) Stretch() *TwoWay {
	if f.Fit == nil || f.Fit.TwoWay == nil || f.Fit.TwoWay.Axes[0] == 0 || f.Fit.Verdict == "fits" {
		return nil
	}
	if _, tried := f.TriedScale(); tried {
		return nil
	}
	return f.Fit.TwoWay
}

// noteStretched notes that the file was rescaled along its axes, and remembers it as long
// as its shape is the same.
func (f *Findings) noteStretched(before *Findings) {
	c := f.Changed
	if before == nil || c == nil {
		return
	}
	switch likeness.Kind(c.Kind) {
	case likeness.Rescaled:
		f.Stretched = c.Axes != nil || before.Stretched
	case likeness.Same, likeness.Moved, likeness.Turned:
		f.Stretched = before.Stretched
	}
}

// stretching scales a part otherwise along a direction than across it.
type stretching struct {
	along         r3.Vec
	girth, length float64 // factors of the file
}

func (s *stretching) of(m *mesh.Mesh) *mesh.Mesh {
	return m.Map(func(p r3.Vec) r3.Vec {
		return r3.Add(r3.Scale(s.girth, p), r3.Scale((s.length-s.girth)*r3.Dot(p, s.along), s.along))
	})
}

// mend takes over what one found in the part so scaled.
func (s *stretching) mend(worn *Findings, opened bool) {
	if least, most := worn.Fit.bearable(opened); least > 0 && !worn.Fit.bearableAt(worn.Percent, opened) {
		if math.IsInf(most, 1) {
			most = least * (1 + padded)
		}
		s.girth *= (least + most) / 2 / worn.Percent
	}
	s.length *= suiting(worn.Percent, worn.Fit.Lengths) / worn.Percent
}

// inset is how far within what suits a part its scales are taken, as a share of what there
// is between the limits (a guess): at the very limit of a foot's 20 mm a boot that is printed,
// measured or worn a millimetre otherwise would be too long. overLeast is the same of a length
// without a greatest, as a share of the least.
const (
	inset     = 0.2
	overLeast = 0.002
)

// suiting returns a scale that the lengths do not ask to be moved, or the nearest that is
// well within what suits them.
func suiting(percent float64, lengths []Length) float64 {
	least, most := 0.0, math.Inf(1)
	for _, l := range lengths {
		least = max(least, l.Smallest)
		if l.Largest > 0 {
			most = min(most, l.Largest)
		}
	}
	switch {
	case percent >= least && percent <= most:
		return percent
	case math.IsInf(most, 1):
		return least * (1 + overLeast)
	case least > most:
		return (least + most) / 2
	}
	between := (most - least) * inset
	return min(max(percent, least+between), most-between)
}

// offer says the scales, and what they do on the bed.
func (s *stretching) offer(drawn *mesh.Mesh, brief Brief) *TwoWay {
	lies := bed.SearchResting(s.of(drawn), brief.Printer.Volume()) // At asks for no tilted way
	_, fits := lies.At(1)
	out := &TwoWay{
		Girth: 100 * s.girth, Length: 100 * s.length, Axis: triple(s.along),
		Fits: fits, Size: lies.AsIs.Size,
	}
	for k, x := range out.Axis {
		if math.Abs(x) > math.Cos(nearAxis) {
			out.Axes = [3]float64{out.Girth, out.Girth, out.Girth}
			out.Axes[k] = out.Length
		}
	}
	return out
}
