package drawing

import (
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/picture/solid"
	"gambeson/report/words"

	"gonum.org/v1/gonum/spatial/r3"
)

// drawPart draws the part from two sides.
func (d Part) drawPart() Picture {
	if d.Shown == nil {
		return Picture{}
	}
	h := shell(d)
	alt := partAlt(h)
	h.Openings = labelled(h.Openings, d.Findings.Ways())
	h.TightestText = words.InUnits(h.TightestText, d.Brief)
	return Picture{File: pictureName("part", 0), Alt: alt, image: solid.Part(h)}
}

// mostLabelled is how many openings get their letters in a picture: the breaths of a helm
// would lie on each other.
const mostLabelled = 6

// labelled are the openings that get their letters: where there are many only those that
// a way leads to.
func labelled(all []solid.Opening, lead []analysis.Centreline) []solid.Opening {
	if len(all) <= mostLabelled {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(o solid.Opening) bool {
		return !answer.LedTo(o.Name, lead)
	})
}

// shell is the drawing of the part: its openings and the ways from the largest,
// the rings where bands are cut, the tightest place, and the panel, seen from
// its side.
func shell(d Part) solid.Shell {
	what := "The part at "
	if d.Own != nil {
		what = "The whole shell at "
	}
	h := solid.Shell{Title: what + words.Percent(d.Findings.Percent), Part: d.Shown, Panel: d.Panel}
	for _, w := range d.Findings.Ways() {
		if w.From != "A" && w.To != "A" {
			continue // from leg to leg nobody goes
		}
		var points []r3.Vec
		for _, s := range w.Stations {
			points = append(points, vec(s.Center))
		}
		h.Ways = append(h.Ways, smooth(points))
	}
	for _, c := range d.Findings.Cavities {
		for _, o := range c.Openings {
			h.Openings = append(h.Openings, solid.Opening{Name: o.Name, At: vec(o.Center), Facing: vec(o.Facing)})
		}
	}
	for _, o := range d.Outlines {
		text := "band at " + words.Along(o.Along)
		if o.Body != nil {
			text += ": " + words.BodyLabel(o.Body.Measure)
			if o.Body.Passes {
				text += " on its way in"
			}
		} else if len(d.Findings.Bands) == 0 {
			text = "section at " + words.Along(o.Along)
		}
		h.Rings = append(h.Rings, solid.Ring{Loop: o.Ring, Text: text})
	}
	if s, ok := d.Findings.Tightest(); ok {
		at := vec(s.Center)
		h.Tightest, h.TightestText = &at, "tightest, inner girth "+words.Girth(s.InnerGirth)
		if s.Open() {
			h.TightestText = "least length of wall, " + words.Girth(s.InnerGirth)
		}
	}
	if d.Findings.Fit != nil {
		for _, e := range d.Findings.Fit.Entries {
			if e.Panel != nil {
				h.From = vec(e.Panel.Facing)
				break
			}
		}
	}
	return h
}

// smooth draws a way without the jumps that the middle of a section makes where
// it opens into another way: each point is the mean of its neighbours, fewer near
// the ends, which stay.
func smooth(points []r3.Vec) []r3.Vec {
	const neighbours = 8
	out := make([]r3.Vec, len(points))
	for i := range points {
		n := min(neighbours, i, len(points)-1-i)
		for _, p := range points[i-n : i+n+1] {
			out[i] = r3.Add(out[i], r3.Scale(1/float64(2*n+1), p))
		}
	}
	return out
}

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// partAlt says in words what the picture of the part shows.
func partAlt(h solid.Shell) string {
	said := []string{words.Things(len(h.Openings), "opening")}
	if h.Tightest != nil {
		said = append(said, h.TightestText)
	}
	for _, r := range h.Rings {
		said = append(said, r.Text)
	}
	if h.Panel != nil {
		said = append(said, "a panel to take off")
	}
	return h.Title + " from two sides: " + strings.Join(said, ", ")
}
