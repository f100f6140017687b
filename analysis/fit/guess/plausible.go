package guess

import (
	"math"
	"slices"
	"sync"

	"gambeson/analysis/fit/survey"
)

const (
	// small and great are the scales, against all people of the survey but one in
	// a thousand at either end, between which a girth is plausible: children,
	// giants, and parts made for one to be rescaled for another (a guess).
	small, great = 0.6, 1.7
	// thickest is the padding in mm, each side, up to which a girth is plausible
	// (a guess).
	thickest = 30.0
	// A part is built round its hollow where its longest side is at most lengthy
	// times as long as the way through, or broad times the widest girth; else the
	// hollow is a hole for a bolt. The long axis of an ellipse half as deep as wide
	// is 0.41 of its girth; the rest is for walls and ornaments (a guess).
	lengthy, broad = 1.3, 0.75
	// certain is the distance, and nearSide the factor of the longest side, up to
	// which a part in another unit is near enough to what is usual to be meant: five
	// standard deviations in all, and a plate of a quarter of the shell
	// (guesses).
	certain, nearSide = 25.0, 4.0
	// A part without a hollow may be a fitting on a shell, or a shell with plumes:
	// fitting and plumed are the shares of the region's usual longest side between
	// which it is plausible (guesses; a shell drawn in cm, a tenth, must lie
	// outside).
	fitting, plumed = 0.15, 4.0
	// Armour for a finger is small: ring is the girth of the smallest in mm (from
	// memory: ISO 8653 has rings from 41 on), joint its longest side (a guess).
	ring, joint = 41.0, 15.0
	// Of a part without a hollow for no known region, any longest side from
	// leastSide to mostSide mm is plausible, and usualSide is usual (guesses).
	leastSide, mostSide, usualSide = 20.0, 2000.0, 300.0
	// One that is no longer than handful mm is a fitting, which has a wall that can be
	// printed: two lines of a usual nozzle, of thinnest mm. A shell drawn in cm has a tenth of
	// its own (a guess and common practice, no source).
	handful, thinnest = 100.0, 0.8
)

// ends names for each region the measures of the least and of the greatest
// girth that its parts go round (common practice, no source). Of the hand it is
// a finger's, which the survey has not.
var ends = map[string][2]string{
	"foot":      {"ball_girth", "heel_girth"},
	"lower_leg": {"ankle_girth", "calf_girth"},
	"knee":      {"knee_girth", "lower_thigh_girth"},
	"thigh":     {"lower_thigh_girth", "thigh_girth"},
	"hips":      {"thigh_girth", "hip_girth"},
	"torso":     {"waist_girth", "chest_girth"},
	"shoulder":  {"upper_arm_girth", "shoulder_girth"},
	"upper_arm": {"elbow_girth", "armscye_girth"},
	"elbow":     {"elbow_girth", "upper_arm_girth"},
	"forearm":   {"wrist_girth", "forearm_girth"},
	"hand":      {"", "hand_over_thumb_girth"},
	"neck":      {"neck_girth", "neck_base_girth"},
	"head":      {"head_girth", "head_over_face_girth"},
}

// limits are between what the parts of a region are plausible, in mm.
type limits struct {
	girth [2]float64
	side  [2]float64 // of the longest side, where there is no hollow
	usual float64    // longest side
}

// limitsOf holds the limits of each region.
var limitsOf = sync.OnceValue(func() map[string]limits {
	people := survey.Anyone()
	out := map[string]limits{}
	for region, girths := range ends {
		i := plainest(region)
		_, wide := usual(i)
		side := max(math.Exp(sizes()[i].mean[2]), wide/math.Pi)
		l := limits{
			girth: [2]float64{ring, people.Quantile(girths[1], 0.999) + 2*math.Pi*thickest},
			side:  [2]float64{fitting * side, plumed * side},
			usual: side,
		}
		if girths[0] != "" {
			l.girth[0] = people.Quantile(girths[0], 0.001)
		} else {
			l.side[0] = joint
		}
		l.girth[0] *= small
		l.girth[1] *= great
		out[region] = l
	}
	return out
})

// plausible says whether there are parts of that size for a region, or for any
// where region is "".
func plausible(region string, p Part) bool {
	if region != "" {
		l, known := limitsOf()[region]
		return !known || l.hold(p)
	}
	if !p.built() {
		return p.longest() >= leastSide && p.longest() <= mostSide && !p.sheer()
	}
	for _, l := range limitsOf() {
		if l.hold(p) {
			return true
		}
	}
	return false
}

func (l limits) hold(p Part) bool {
	if p.built() {
		g := p.girths()
		return g[1] >= l.girth[0] && g[0] <= l.girth[1]
	}
	return p.longest() >= l.side[0] && p.longest() <= l.side[1]
}

// off says how far the size of a part is from what is usual for a region, or for
// any where region is "", to be compared with others of the same part; infinite
// where it is not near.
func off(region string, p Part) float64 {
	if !p.built() || p.caps(region) {
		usual := usualSide
		if region != "" {
			usual = limitsOf()[region].usual
		}
		d := math.Abs(math.Log(p.longest() / usual))
		return within(d, math.Log(nearSide))
	}
	least := math.Inf(1)
	for _, s := range seen(p) {
		for i, m := range models {
			if m.region == region || region == "" && slices.Contains(m.forms, s.form) {
				d, _ := distance(i, s.has, s.form)
				least = min(least, d)
			}
		}
	}
	return within(least, certain)
}

// caps says whether the part is a cap for a joint: how tight it gets towards its top tells
// nothing.
func (p Part) caps(region string) bool {
	return joins[region] != "" && len(p.Ways) > 0 && p.Ways[0].Closed
}

// within returns d, or infinity where it is more than most.
func within(d, most float64) float64 {
	if d > most {
		return math.Inf(1)
	}
	return d
}

// longest returns the longest side of the part.
func (p Part) longest() float64 { return slices.Max(p.Bounds[:]) }

// sheer says whether a small part has a wall too thin for any.
func (p Part) sheer() bool { return p.longest() <= handful && p.Thick > 0 && p.Thick < thinnest }

// girths returns the tightest and the widest girth of all ways, 0 where there is
// none.
func (p Part) girths() [2]float64 { return girthsOf(p.Ways) }

func girthsOf(ways []Way) (g [2]float64) {
	for _, w := range ways {
		if w.Tightest > 0 && (g[0] == 0 || w.Tightest < g[0]) {
			g[0] = w.Tightest
		}
		g[1] = max(g[1], w.Widest)
	}
	return g
}

// built says whether the part is built round a hollow whose girths are known.
func (p Part) built() bool { return p.builtRound(p.Ways) }

// builtRound says whether the part is built round these ways of it.
func (p Part) builtRound(ways []Way) bool {
	g, length := girthsOf(ways), 0.0
	for _, w := range ways {
		length = max(length, w.Length)
	}
	return g[0] > 0 && p.longest() <= max(lengthy*length, broad*g[1])
}

// times returns the part s times as large.
func (p Part) times(s float64) Part {
	out := Part{Openings: slices.Clone(p.Openings), Ways: slices.Clone(p.Ways), Thick: s * p.Thick}
	for i := range out.Openings {
		out.Openings[i].Girth *= s
		out.Openings[i].Capacity *= s
	}
	for i := range out.Ways {
		w := &out.Ways[i]
		w.Length, w.Tightest, w.Widest = s*w.Length, s*w.Tightest, s*w.Widest
	}
	for i, b := range p.Bounds {
		out.Bounds[i] = s * b
	}
	return out
}
