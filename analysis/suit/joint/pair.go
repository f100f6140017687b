package joint

import (
	"math"
	"slices"

	"gambeson/analysis"
)

// covering reports whether a part says which stretch of a region it covers, in
// the places that the kind reckons in.
func (k kind) covering(f *analysis.Findings, region string) bool {
	if f == nil || f.Region == nil || f.Region.Name != region || f.Fit == nil || f.Fit.Covers == nil {
		return false
	}
	c := f.Fit.Covers
	return (c.Limb == "arm") == k.arm && finite(c.Span[0]) && finite(c.Span[1]) && c.Span[0] != c.Span[1]
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// sides lists the sides on which parts of both regions may meet: left and
// right, or "" where no part has a side.
func sides(parts []*analysis.Findings, k kind) []string {
	var out []string
	for _, f := range parts {
		if (k.covering(f, k.upper) || k.covering(f, k.lower)) && f.Region.Side != "" && !slices.Contains(out, f.Region.Side) {
			out = append(out, f.Region.Side)
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
func (k kind) rims(parts []*analysis.Findings, side string) (upper, lower Rim, ok bool) {
	var hasUpper, hasLower bool
	for _, f := range parts {
		switch {
		case k.unless != "" && k.covering(f, k.unless):
			return Rim{}, Rim{}, false
		case k.covering(f, k.upper) && on(f, side):
			if r := k.rim(f, false); !hasUpper || k.up(r.At) < k.up(upper.At) {
				upper, hasUpper = r, true
			}
		case k.covering(f, k.lower) && on(f, side):
			if r := k.rim(f, true); !hasLower || k.up(r.At) > k.up(lower.At) {
				lower, hasLower = r, true
			}
		}
	}
	return upper, lower, hasUpper && hasLower
}

func on(f *analysis.Findings, side string) bool {
	return f.Region.Side == "" || f.Region.Side == side
}

// rim returns the highest or the lowest end of a part. On the arm the one
// nearer to the shoulder is the highest.
func (k kind) rim(f *analysis.Findings, highest bool) Rim {
	c := f.Fit.Covers
	i := 0
	if (k.up(c.Span[1]) > k.up(c.Span[0])) == highest {
		i = 1
	}
	return Rim{
		Part: f.Part, Region: f.Region.Name, Percent: f.Percent,
		At: c.Span[i], Girth: c.Rims[i], SD: c.SD, Length: math.Abs(c.Span[1] - c.Span[0]),
	}
}
