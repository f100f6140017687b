package guess

import (
	"math"
	"slices"
	"sync"

	"gambeson/analysis/fit/survey"
)

// form is the plan of a part: where it is open, straight or bent.
type form int

const (
	tube   form = iota // open at both ends
	gutter             // open along its length
	pocket             // closed at its far end
	bent               // bent by about a right angle, closed at its far end or not
	hipped             // from one opening to two beside each other
	armed              // from one opening to two or more, apart from each other
)

// model is a kind of part that covers a region: what of the body lies at its tightest and
// at its widest place, and how long it is. Which measures meet a part where, and
// the shares and lengths, are common practice, no source.
type model struct {
	region string
	forms  []form // none: its region is never guessed by shape
	tight  girth
	wide   girth
	length stretch
}

// girth is a share of the mean of one or two measures of the body.
type girth struct {
	share float64
	of    []string
}

func round(measures ...string) girth { return girth{1, measures} }

// stretch is a share of one measure of the body, less another where one is
// named.
type stretch struct {
	share      float64
	from, less string
	spread     float64 // SD of the logarithm from part to part
}

// models lists the kinds of parts. The first one of a region is its plainest.
var models = []model{
	{"foot", []form{bent}, round("ball_girth"), round("heel_girth"), stretch{1.4, "foot_length", "", 0.25}},
	// Without a sole: out of the ankle over the edge of the sole, which is twice the
	// foot's length round and something of its breadth.
	{"foot", []form{tube}, round("ankle_girth", "heel_girth"), girth{2.15, []string{"foot_length"}}, stretch{1, "foot_length", "", 0.25}},
	// A greave of one piece lets the heel through, one that opens may hug the ankle.
	{"lower_leg", []form{tube, gutter}, round("ankle_girth", "heel_girth"), round("calf_girth"), stretch{0.85, "knee_height", "ankle_height", 0.2}},
	// By its shape alone nothing is taken for a shell of a knee or an elbow: a ring, a
	// piece of a greave or of a sleeve looks the same, and is met more often (a guess).
	{"knee", nil, round("knee_girth"), round("lower_thigh_girth"), stretch{0.35, "knee_height", "", 0.3}},
	{"thigh", []form{tube, gutter}, round("lower_thigh_girth"), round("thigh_girth"), stretch{0.8, "crotch_height", "knee_height", 0.25}},
	{"hips", []form{hipped}, round("thigh_girth"), round("waist_girth", "hip_girth"), stretch{1.5, "waist_height", "crotch_height", 0.3}},
	{"hips", []form{tube}, round("waist_girth"), round("hip_girth"), stretch{0.4, "waist_height", "crotch_height", 0.4}}, // a belt
	{"torso", []form{armed}, round("armscye_girth"), round("waist_girth", "chest_girth"), stretch{0.95, "back_waist_length", "", 0.2}},
	{"torso", []form{tube, gutter}, round("waist_girth"), round("chest_girth"), stretch{0.7, "back_waist_length", "", 0.3}},
	{"shoulder", []form{gutter}, round("upper_arm_girth"), round("armscye_girth"), stretch{0.4, "upper_arm_length", "", 0.25}},
	{"upper_arm", []form{tube, gutter}, round("elbow_girth", "upper_arm_girth"), round("upper_arm_girth"), stretch{0.55, "upper_arm_length", "", 0.2}},
	{"elbow", nil, round("elbow_girth"), round("elbow_girth", "upper_arm_girth"), stretch{0.4, "upper_arm_length", "", 0.3}},
	{"forearm", []form{tube, gutter}, round("wrist_girth", "hand_over_thumb_girth"), round("forearm_girth"), stretch{0.9, "lower_arm_length", "", 0.2}},
	{"forearm", []form{tube, gutter}, round("wrist_girth"), round("wrist_girth", "hand_girth"), stretch{0.15, "lower_arm_length", "", 0.5}}, // a bracelet
	{"hand", []form{pocket}, round("hand_girth"), round("hand_over_thumb_girth"), stretch{1.1, "hand_length", "", 0.2}},
	{"neck", []form{tube}, round("neck_girth"), round("neck_base_girth"), stretch{0.15, "neck_base_girth", "", 0.4}},
	{"head", []form{pocket, bent}, round("head_girth"), round("head_over_face_girth"), stretch{1.3, "head_length", "", 0.25}},
	{"head", []form{tube, gutter}, round("head_girth"), round("head_girth"), stretch{0.3, "head_length", "", 0.4}}, // a circlet
}

const (
	// between is what lies between skin and shell of a plain costume: 5 mm of
	// foam and undersuit all round, and 6 mm of ease (common practice, no source).
	between = 2*math.Pi*5 + 6
	// drawn is the SD of the logarithm of a girth from one drawing for a body to
	// another: a tenth (a guess). What a part that is open along its length goes
	// round is known less well.
	drawn, loosely = 0.1, 0.2
	// scaled is the SD of the logarithm of a part's scale against the body that it
	// is drawn for (a guess): girths and length of a part are all too large or all
	// too small.
	scaled = 0.15
)

// size is what a model has for all people of the survey: mean and SD of the
// logarithm of tightest girth, widest girth and length.
type size struct {
	mean, sd [3]float64
}

// sizes are parallel to models.
var sizes = sync.OnceValue(func() []size {
	people := survey.Anyone()
	out := make([]size, len(models))
	for i, m := range models {
		for k, girths := range [2]girth{m.tight, m.wide} {
			mean, sd := girths.among(people)
			out[i].mean[k] = math.Log(mean + between)
			out[i].sd[k] = sd / (mean + between)
		}
		mean, sd := m.length.among(people)
		out[i].mean[2] = math.Log(mean)
		out[i].sd[2] = math.Hypot(sd/mean, m.length.spread)
	}
	return out
})

// among returns the girth's mean in all people, and how it scatters.
func (g girth) among(people survey.Body) (mean, sd float64) {
	each := g.share / float64(len(g.of))
	var variance float64
	for _, one := range g.of {
		v, _ := people.Of(one)
		mean += each * v.Mean
		for _, other := range g.of {
			variance += each * each * people.Cov(one, other)
		}
	}
	return mean, math.Sqrt(variance)
}

// among returns the stretch's mean in all people, and how it scatters.
func (s stretch) among(people survey.Body) (mean, sd float64) {
	v, _ := people.Of(s.from)
	variance := people.Cov(s.from, s.from)
	if s.less != "" {
		less, _ := people.Of(s.less)
		v.Mean -= less.Mean
		variance += people.Cov(s.less, s.less) - 2*people.Cov(s.from, s.less)
	}
	return s.share * v.Mean, s.share * math.Sqrt(max(0, variance))
}

// distance says how far a part of the tightest and widest girth and the length
// is from what model i has: the sum of squares of how many standard deviations
// each is off, at the common scale that brings them nearest, which counts too.
// With a scale of variance v and spreads s of the logarithms the part is off by a
// normal of the covariance diag(s²) + v·11ᵀ, of which that sum is the exponent
// (times −2); doubt is the logarithm of its determinant, the product of all s²
// times 1 + v·Σ1/s². The likeliest model is that of the least sum of both.
func distance(i int, has [3]float64, f form) (d, doubt float64) {
	spread := drawn
	if f == gutter {
		spread = loosely
	}
	var off, weight [3]float64
	pull, all := 0.0, 1/(scaled*scaled)
	for k := range has {
		sd := sizes()[i].sd[k]
		if k < 2 {
			sd = math.Hypot(sd, spread)
		}
		off[k], weight[k] = math.Log(has[k])-sizes()[i].mean[k], 1/(sd*sd)
		pull += off[k] * weight[k]
		all += weight[k]
		doubt += 2 * math.Log(sd)
	}
	scale := pull / all
	d = scale * scale / (scaled * scaled)
	for k := range has {
		d += (off[k] - scale) * (off[k] - scale) * weight[k]
	}
	return d, doubt + math.Log(scaled*scaled*all)
}

// usual returns the girths that parts of model i usually have, in mm.
func usual(i int) (tight, wide float64) {
	return math.Exp(sizes()[i].mean[0]), math.Exp(sizes()[i].mean[1])
}

// plainest returns the number of the first model of a region, -1 where there is
// none.
func plainest(region string) int {
	return slices.IndexFunc(models, func(m model) bool { return m.region == region })
}
