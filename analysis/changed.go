package analysis

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shape is what is kept of a part, in mm at 100 percent, to tell what became of
// it.
type Shape = likeness.Signature

// notice keeps the shape of drawn, the part at 100 percent, and says what
// became of the file since its last report. Nothing is said where that report
// kept no shape.
func (f *Findings) notice(drawn *mesh.Mesh, before *Findings, workers int) {
	shape := likeness.Of(drawn, workers)
	f.Shape = &shape
	switch {
	case before == nil || before.Mesh == nil:
		f.Changed = &Changed{Kind: "new"}
	case before.Shape != nil:
		f.Changed = told(likeness.Became(*before.Shape, shape, drawn))
		f.Changed.Text = f.became(before)
	}
}

// asMuch is how near, in percent, a file may come to the scale that was wanted of it to
// have been rescaled for that: scales are set in halves.
const asMuch = 0.3

// noteTwice warns of a scale that counts twice: the file was rescaled by it, and it is
// still wanted.
func (f *Findings) noteTwice(before *Findings, brief Brief) {
	if before == nil || f.Changed == nil || !brief.PercentSet || before.Percent != brief.Percent || math.Abs(brief.Percent-100) <= asMuch {
		return
	}
	now := f.Changed.Kind == string(likeness.Rescaled) && math.Abs(f.Changed.Percent-brief.Percent) <= asMuch
	still := f.Changed.Kind == string(likeness.Same) && before.Says(codeTwice)
	if now || still {
		f.warn(codeTwice, fmt.Sprintf("The file was rescaled by the %s %% that suit.toml wants of it, which counts twice now: as %s %% of what it was drawn at first. Set percent = 100 for it, unless that is meant.",
			inPercent(brief.Percent), inPercent(brief.Percent*brief.Percent/100)))
	}
}

const codeTwice = "percent-twice"

// told writes a relation as plain data.
func told(r likeness.Relation) *Changed {
	c := &Changed{Kind: string(r.Kind), Percent: r.Percent, Mirror: r.Mirror, Turn: r.Turn, TurnedFirst: r.TurnedFirst}
	if r.Axes != [3]float64{} {
		c.Axes = &r.Axes
	}
	if r.Along != nil {
		c.Along = &[3][3]float64{triple(r.Along[0]), triple(r.Along[1]), triple(r.Along[2])}
	}
	if r.Turn != 0 {
		axis := triple(r.TurnAxis)
		c.TurnAxis = &axis
	}
	if r.Shift != (r3.Vec{}) {
		shift := triple(r.Shift)
		c.Moved = &shift
	}
	for _, p := range r.Planes {
		c.Planes = append(c.Planes, Plane{Point: triple(p.Point), Normal: triple(p.Normal)})
	}
	return c
}

// became says all that f.Changed holds, as it goes on after "the file was".
func (f *Findings) became(before *Findings) string {
	c := f.Changed
	var said []string
	switch c.Kind {
	case "cut":
		for _, p := range c.Planes {
			said = append(said, cutWords(p))
		}
		if c.Moved != nil {
			said = append(said, "moved by "+moveWords(*c.Moved))
		}
		return listed(said) + ": " + f.amounts(before)
	case "edited":
		return "edited: " + f.amounts(before)
	case "same":
		return "saved again in the same shape"
	}
	if by := c.Percent / 100 * before.factor() / f.factor(); before.factor() != f.factor() && math.Abs(by-1) < 1e-4 {
		return fmt.Sprintf("read in %s instead of %s, which makes it %s of what it was", f.Unit.Name, before.Unit.Name, scaleWords(c.Percent))
	}
	turned := ""
	if c.Turn != 0 {
		turned = "turned by " + angleWords(c.Turn) + " about " + axisWords(*c.TurnAxis)
	}
	if c.TurnedFirst && turned != "" {
		said, turned = append(said, turned), ""
	}
	if c.Kind == "rescaled" {
		said = append(said, "rescaled to "+c.scaleWords()+" of what it was")
	}
	if c.Mirror != "" {
		said = append(said, "mirrored along "+c.Mirror)
	}
	if turned != "" {
		said = append(said, turned)
	}
	if c.Moved != nil {
		said = append(said, "moved by "+moveWords(*c.Moved))
	}
	return listed(said)
}

// factor returns the mm of one unit of the file.
func (f *Findings) factor() float64 {
	if f.Unit == nil {
		return 1
	}
	return f.Unit.Factor
}

// amounts says how much there was before and is now.
func (f *Findings) amounts(before *Findings) string {
	old, now := before.Mesh, f.Mesh
	said := fmt.Sprintf("%s before, %s now; surface %s before, %s cm² now", size(old.Bounds), size(now.Bounds), tenths(old.Area/100), tenths(now.Area/100))
	if old.Closed && now.Closed {
		said += fmt.Sprintf("; volume %s before, %s cm³ now", tenths(old.Volume/1000), tenths(now.Volume/1000))
	}
	return said
}

// scaleWords says the scale, by directions where it differs.
func (c *Changed) scaleWords() string {
	if c.Axes == nil {
		return scaleWords(c.Percent)
	}
	var said []string
	for k, p := range c.Axes {
		along := "xyz"[k : k+1]
		if c.Along != nil {
			along = axisWords(c.Along[k])
		}
		said = append(said, scaleWords(p)+" along "+along)
	}
	return listed(said)
}

// scaleWords writes a scale to a tenth of a percent, or closer where a tenth
// would hide that it is not 100.
func scaleWords(percent float64) string {
	for digits := 1; digits < 4; digits++ {
		said := strconv.FormatFloat(percent, 'f', digits, 64)
		if x, _ := strconv.ParseFloat(said, 64); x != 100 || percent == 100 {
			return said + " %"
		}
	}
	return strconv.FormatFloat(percent, 'f', 4, 64) + " %"
}

// angleWords writes an angle to a tenth of a degree, whole ones without
// decimals, and small ones closer.
func angleWords(degrees float64) string {
	said := strings.TrimSuffix(tenths(degrees), ".0")
	if said == "0" {
		said = strconv.FormatFloat(degrees, 'g', 1, 64)
	}
	return strings.Replace(said, "-", "−", 1) + "°"
}

// axisWords names a direction: an axis of the file, or its three parts.
func axisWords(d [3]float64) string {
	for k := range d {
		if d[k] > 1-1e-6 {
			return "xyz"[k : k+1]
		}
	}
	var said [3]string
	for k, x := range d {
		said[k] = strings.Replace(strconv.FormatFloat(math.Round(1000*x)/1000+0, 'f', 3, 64), "-", "−", 1)
	}
	return "the direction (" + strings.Join(said[:], ", ") + ")"
}

// moveWords says a move by the axes along which there is any.
func moveWords(by [3]float64) string {
	var said []string
	for k, x := range by {
		if t := tenths(x); t != "0.0" {
			said = append(said, strings.Replace(t, "-", "−", 1)+" mm along "+"xyz"[k:k+1])
		}
	}
	if len(said) == 0 {
		return "less than 0.1 mm"
	}
	return listed(said)
}

// cutWords says where a part was cut and what of it is gone.
func cutWords(p Plane) string {
	for k, n := range p.Normal {
		at := "xyz"[k:k+1] + " = " + strings.Replace(tenths(p.Point[k]), "-", "−", 1) + " mm"
		switch {
		case n > 1-1e-6:
			return "cut at " + at + " (what was beyond is gone)"
		case n < 1e-6-1:
			return "cut at " + at + " (what was before it is gone)"
		}
	}
	return "cut by a plane through " + place(p.Point) + " (what was beyond it in " + axisWords(p.Normal) + " is gone)"
}

// listed joins what is said: "a, b and c".
func listed(said []string) string {
	if n := len(said) - 1; n > 0 {
		return strings.Join(said[:n], ", ") + " and " + said[n]
	}
	return strings.Join(said, "")
}
