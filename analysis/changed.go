package analysis

import "math"

// sameTolerance is the relative difference below which two lengths of a file
// count as equal: float32 coordinates of a rescaled file are rounded anew,
// 2⁻²⁴ each, and a bound is the difference of two of them.
const sameTolerance = 2e-6

// compare says what became of a file since its last report, as far as its
// extent, area, volume and number of facets tell.
func compare(before *Findings, now *Mesh) *Changed {
	if before == nil || before.Mesh == nil {
		return &Changed{Kind: "new"}
	}
	old := before.Mesh
	if old.Triangles != now.Triangles || old.Area <= 0 || now.Area <= 0 {
		return &Changed{Kind: "edited"}
	}
	factor := math.Sqrt(now.Area / old.Area)
	like := near(now.Volume, old.Volume*factor*factor*factor, math.Pow(now.Area, 1.5))
	for k := range now.Bounds {
		like = like && near(now.Bounds[k], old.Bounds[k]*factor, math.Sqrt(now.Area))
	}
	switch {
	case !like:
		return &Changed{Kind: "edited"}
	case near(factor, 1, 1):
		return &Changed{Kind: "same", Percent: 100}
	}
	return &Changed{Kind: "rescaled", Percent: 100 * factor}
}

// near reports whether a and b are equal to sameTolerance of size.
func near(a, b, size float64) bool { return math.Abs(a-b) <= sameTolerance*10*size }
