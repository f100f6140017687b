package joint

import (
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/fit/survey"
)

// worn is a part with the stretch of the body that it covers.
type worn struct {
	*analysis.Findings
	covers analysis.Covers
}

// dress lists the parts of which it is known what they cover, and whose measures hold.
func dress(parts []*analysis.Findings, bodies bodies) []worn {
	var out []worn
	for _, f := range parts {
		if f == nil || f.Region == nil || f.Fit == nil || f.InDoubt() {
			continue
		}
		c := f.Fit.Covers
		if c == nil {
			c = reach(f, bodies.of(f.Region.Side))
		}
		if c != nil && finite(c.Span[0]) && finite(c.Span[1]) && c.Span[0] != c.Span[1] {
			out = append(out, worn{f, *c})
		}
	}
	return out
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// reach is what a boot or a helm covers, whose findings count places along the
// way in and not along the limb. The boot stands on the floor; where the way
// bends, the heel's girth rests, about 0.7 of the outer ankle's height up (from
// memory; it may lie 10 mm off either way, a guess). The largest way round the
// head lies 90 mm below the crown (from memory), and 10 mm is a guess again. It
// is nil where nothing rests there or the body is not known.
func reach(f *analysis.Findings, body *survey.Body) *analysis.Covers {
	if body == nil {
		return nil
	}
	of := func(measure string, share float64) (mm, sd float64) {
		v, _ := body.Of(measure)
		return share * v.Mean, share * v.SD
	}
	for _, s := range f.Fit.Sits {
		switch {
		case f.Region.Name == "foot" && s.Measure == "heel_girth":
			up, sd := of("ankle_height", 0.7)
			return &analysis.Covers{
				Limb: "leg", Span: [2]float64{up + s.Along, 0}, Rims: [2]float64{openingGirth(f, s.From), 0}, SD: math.Hypot(sd, 10),
			}
		case f.Region.Name == "head" && s.Measure == "head_girth":
			up, sd := of("stature", 1)
			return &analysis.Covers{
				Limb: "trunk", Span: [2]float64{up - 90 - s.Along, up}, Rims: [2]float64{openingGirth(f, s.From), 0}, SD: math.Hypot(sd, 10),
			}
		}
	}
	return nil
}

// openingGirth is the girth of an opening, 0 where there is none of that name.
func openingGirth(f *analysis.Findings, name string) float64 {
	for _, c := range f.Cavities {
		for _, o := range c.Openings {
			if o.Name == name {
				return o.Girth
			}
		}
	}
	return 0
}

// covers reports whether a part covers a region in the places that the kind
// reckons in.
func (k kind) covers(w worn, region string) bool {
	return w.Region.Name == region && (w.covers.Limb == "arm") == k.arm
}

// sides lists the sides on which parts of both regions may meet: left and
// right, or "" where no part has a side.
func (k kind) sides(all []worn) []string {
	var out []string
	for _, w := range all {
		if (k.covers(w, k.upper) || k.covers(w, k.lower)) && w.Region.Side != "" && !slices.Contains(out, w.Region.Side) {
			out = append(out, w.Region.Side)
		}
	}
	if len(out) == 0 {
		return []string{""}
	}
	slices.Sort(out)
	return out
}

// rims returns the two rims that face a joint on a side; ok is false where a
// part is missing or another one lies between.
func (k kind) rims(all []worn, side string) (upper, lower Rim, ok bool) {
	var hasUpper, hasLower bool
	for _, w := range all {
		on := w.Region.Side == "" || w.Region.Side == side
		switch {
		case k.unless != "" && on && k.covers(w, k.unless):
			return Rim{}, Rim{}, false
		case on && k.covers(w, k.upper):
			if r := k.rim(w, false); !hasUpper || k.up(r.At) < k.up(upper.At) {
				upper, hasUpper = r, true
			}
		case on && k.covers(w, k.lower):
			if r := k.rim(w, true); !hasLower || k.up(r.At) > k.up(lower.At) {
				lower, hasLower = r, true
			}
		}
	}
	return upper, lower, hasUpper && hasLower
}

// rim returns the highest or the lowest end of a part. On the arm the one
// nearer to the shoulder is the highest.
func (k kind) rim(w worn, highest bool) Rim {
	c, i := w.covers, 0
	if (k.up(c.Span[1]) > k.up(c.Span[0])) == highest {
		i = 1
	}
	return Rim{
		Part: w.Part, Region: w.Region.Name, Percent: w.Percent,
		At: c.Span[i], Girth: c.Rims[i], SD: c.SD, Length: math.Abs(c.Span[1] - c.Span[0]),
	}
}
