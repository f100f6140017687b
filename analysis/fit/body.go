package fit

import (
	"maps"
	"math"
	"strings"

	"gambeson/analysis/fit/survey"
)

// Wants is what must lie between skin and shell. Lengths are mm.
type Wants struct {
	Padding      float64 // on each side
	EntryPadding float64 // what of the padding remains when it is pressed on the way in
	Liner        float64 // reinforcement added to the inside of the shell
	Ease         float64 // girth wanted on top
	// LimbEase is the girth wanted on top where a limb passes the rim of a shell
	// of the trunk; 0 where that is Ease as well.
	LimbEase float64
	Loosest  float64 // ease above which the leading measure counts as loose
}

// Layer returns by how much padding and liner make a girth longer: by Steiner's
// formula a parallel curve at distance t of a convex curve is longer by 2π·t.
func (w Wants) Layer() float64 { return 2 * math.Pi * (w.Padding + w.Liner) }

// ease is the girth wanted on top at a sit.
func (w Wants) ease(s Sit) float64 {
	if s.Rim == SideRims && w.LimbEase > 0 {
		return w.LimbEase
	}
	return w.Ease
}

// entryLayer is Layer with the padding pressed.
func (w Wants) entryLayer() float64 { return 2 * math.Pi * (w.EntryPadding + w.Liner) }

// Wearer is what is known of the body that goes into the part: readings of the
// tape, and estimates of all else. The zero Wearer is nobody.
type Wearer struct {
	body  survey.Body
	known bool
}

// Measure turns the readings of a wearer (mm by name, with ".left" or ".right"
// where a side was given; weight in kg) into what is known of one side of the
// body. Girths that were taken over an undersuit are brought back to the skin by
// its thickness, mm. Where no side is asked and both were read, the larger counts:
// the part must fit both, as hips do the legs, or either. An error names a
// reading that cannot be used; without any reading there is nobody, and no error.
func Measure(readings map[string]float64, sex, side string, undersuit float64) (Wearer, error) {
	skin := map[string]float64{}
	if side == "" {
		readings = largerSides(readings)
	}
	for key, v := range survey.Side(readings, side) {
		if undersuit > 0 && worn(key) {
			v -= 2 * math.Pi * undersuit
		}
		skin[key] = v
	}
	if len(skin) == 0 {
		return Wearer{}, nil
	}
	body, err := survey.Estimate(skin, sex)
	return Wearer{body: body, known: err == nil}, err
}

// largerSides gives measures that were read on both sides, and have no plain
// reading, the larger one.
func largerSides(readings map[string]float64) map[string]float64 {
	out := maps.Clone(readings)
	for key, left := range readings {
		name, side, _ := strings.Cut(key, ".")
		right, both := readings[name+".right"]
		if _, plain := readings[name]; side == "left" && both && !plain {
			out[name] = max(left, right)
			delete(out, key)
			delete(out, name+".right")
		}
	}
	return out
}

// worn says whether an undersuit lies under the tape at a measure: at girths,
// but not of head, hand and foot, which it leaves free (common practice, no
// source).
func worn(key string) bool {
	name, _, _ := strings.Cut(key, ".")
	if !strings.HasSuffix(name, "_girth") {
		return false
	}
	for _, bare := range []string{"head", "hand", "heel", "ball", "instep"} {
		if strings.HasPrefix(name, bare) {
			return false
		}
	}
	return true
}

// Known says whether there is a body at all.
func (w Wearer) Known() bool { return w.known }

// Of returns what is known of a measure; ok is false where that is nothing.
func (w Wearer) Of(measure string) (v survey.Value, ok bool) {
	if !w.known {
		return survey.Value{}, false
	}
	return w.body.Of(measure)
}

// Cov returns the covariance of two measures, mm²; 0 where nothing is known of
// them.
func (w Wearer) Cov(one, other string) float64 {
	if !w.known {
		return 0
	}
	return w.body.Cov(one, other)
}

// Odds lists readings that hardly go with the others.
func (w Wearer) Odds() []survey.Odd {
	if !w.known {
		return nil
	}
	return w.body.Odds()
}

// mean returns the reading, or the mean of the estimate, of a measure.
func (w Wearer) mean(measure string) float64 {
	v, _ := w.body.Of(measure)
	return v.Mean
}
