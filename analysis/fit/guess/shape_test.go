package guess

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gambeson/analysis/fit/survey"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

var up, down, right, left = r3.Vec{Z: 1}, r3.Vec{Z: -1}, r3.Vec{X: 1}, r3.Vec{X: -1}

// straight is a part of one way.
func straight(length, tight, wide float64) Part {
	return Part{
		Openings: []Opening{{"A", wide, wide, up}, {"B", tight, tight, down}},
		Ways:     []Way{{From: "A", To: "B", Length: length, Tightest: tight, Widest: wide}},
		Bounds:   [3]float64{wide / math.Pi, wide / math.Pi, length},
	}
}

func closed(p Part) Part {
	p.Ways[0].Closed, p.Ways[0].To, p.Openings = true, "end", p.Openings[:1]
	return p
}

func open(p Part) Part {
	p.Ways[0].Open, p.Ways[0].To, p.Openings = true, "end", p.Openings[:1]
	return p
}

func turned(p Part, degrees float64) Part {
	p.Ways[0].Bend = degrees
	return p
}

// trunkOf is a part with a way from the first opening to each other.
func trunkOf(length float64, openings ...Opening) Part {
	p := Part{Openings: openings, Bounds: [3]float64{length, openings[0].Girth / math.Pi, openings[0].Girth / math.Pi}}
	for i := range p.Openings {
		p.Openings[i].Name = string(rune('A' + i))
		if i > 0 {
			tight, wide := min(openings[0].Girth, openings[i].Girth), max(openings[0].Girth, openings[i].Girth)
			p.Ways = append(p.Ways, Way{From: "A", To: p.Openings[i].Name, Length: length, Tightest: tight, Widest: 1.1 * wide})
		}
	}
	return p
}

// wearer is the size of body that shells are drawn round here: every girth and
// length of the survey at the same quantile, a small, a middling and a large
// person.
type wearer struct {
	survey.Body
	quantile float64
}

func (w wearer) of(measure string) float64 { return w.Quantile(measure, w.quantile) }

// padded is a girth with so much round it on each side: Steiner's formula.
func padded(girth, padding float64) float64 { return girth + 2*math.Pi*padding }

// shells are the parts as they would be drawn for a person, padding mm away
// from the skin on each side.
func shells(w wearer, padding float64) map[string][]Part {
	g := func(measure string) float64 { return padded(w.of(measure), padding) }
	shin := w.of("knee_height") - w.of("ankle_height")
	return map[string][]Part{
		"foot": {
			turned(closed(straight(1.5*w.of("foot_length"), g("ball_girth"), g("heel_girth"))), 90),
			turned(straight(1.4*w.of("foot_length"), g("ball_girth"), g("heel_girth")), 72),    // without a toe
			straight(260, g("ankle_girth")+40, 2*w.of("foot_length")+0.5*w.of("foot_breadth")), // without a sole
		},
		"lower_leg": {
			straight(0.85*shin, g("heel_girth"), g("calf_girth")),
			straight(0.7*shin, g("ankle_girth")+30, g("calf_girth")),
			open(straight(0.8*shin, g("ankle_girth"), g("calf_girth"))),
		},
		"thigh": {
			straight(0.7*(w.of("crotch_height")-w.of("knee_height")), g("lower_thigh_girth"), g("thigh_girth")),
		},
		"hips": {
			trunkOf(300, Opening{"", g("waist_girth"), 0, up}, Opening{"", g("thigh_girth"), 0, down}, Opening{"", g("thigh_girth"), 0, down}),
			straight(80, g("waist_girth"), g("hip_girth")),
		},
		"torso": {
			trunkOf(w.of("back_waist_length"), Opening{"", g("chest_girth"), 0, down}, Opening{"", g("neck_base_girth"), 0, up}, Opening{"", g("armscye_girth"), 0, right}, Opening{"", g("armscye_girth"), 0, left}),
			trunkOf(w.of("back_waist_length"), Opening{"", g("waist_girth"), 0, down}, Opening{"", g("armscye_girth"), 0, right}, Opening{"", g("armscye_girth"), 0, left}),
			straight(300, g("waist_girth"), g("chest_girth")),
		},
		"upper_arm": {straight(0.55*w.of("upper_arm_length"), g("upper_arm_girth")-10, g("upper_arm_girth")+10)},
		"forearm": {
			straight(0.9*w.of("lower_arm_length"), g("hand_over_thumb_girth"), g("forearm_girth")),
			straight(0.8*w.of("lower_arm_length"), g("wrist_girth")+20, g("forearm_girth")),
			straight(30, g("wrist_girth"), g("wrist_girth")),
		},
		"hand": {closed(straight(1.1*w.of("hand_length"), g("hand_girth"), g("hand_over_thumb_girth")))},
		"neck": {straight(55, g("neck_girth"), g("neck_base_girth"))},
		"head": {
			closed(straight(270, g("head_girth"), g("head_over_face_girth"))),
			closed(straight(1.1*w.of("head_length"), g("head_over_face_girth"), g("head_over_face_girth")+20)),
			straight(50, g("head_girth"), g("head_girth")),
			turned(straight(220, g("head_girth")-40, g("head_over_face_girth")), 85), // with the face open
		},
		"shoulder": {open(straight(130, g("upper_arm_girth"), g("armscye_girth")+20))},
	}
}

// Shells drawn round small, middling and large people of the survey, thinly and
// thickly padded, are taken for what they are; a limb shell of the smallest may
// go for that of a larger limb, and of the largest for a smaller one, but mostly
// it is right.
func TestShells(t *testing.T) {
	all, right := 0, 0
	for _, quantile := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
		for _, padding := range []float64{3, 6, 10} {
			for _, scale := range []float64{0.9, 1, 1.1} {
				for region, parts := range shells(wearer{survey.Anyone(), quantile}, padding) {
					for i, p := range parts {
						got, reason, ok := FromShape(p.times(scale))
						all++
						if got == region {
							right++
						}
						middling := quantile >= 0.25 && quantile <= 0.75 && scale == 1 && padding == 6
						if ok != (reason != "") || middling && got != region {
							t.Errorf("quantile %g, padding %g, %g times as large: %s %d is %q: %s", quantile, padding, scale, region, i, got, reason)
						}
					}
				}
			}
		}
	}
	t.Logf("%d of %d parts taken for what they are", right, all)
	if right < all*93/100 {
		t.Errorf("only %d of %d parts are right", right, all)
	}
}

// What is no part for a body is none.
func TestNothingNear(t *testing.T) {
	for name, p := range map[string]Part{
		"empty":           {},
		"plate":           {Bounds: [3]float64{260, 50, 270}},
		"no girths":       {Ways: []Way{{From: "A", To: "B", Length: 300}}, Bounds: [3]float64{100, 100, 300}},
		"finger ring":     straight(8, 60, 60),
		"drainpipe":       straight(2000, 330, 330),
		"barrel":          straight(800, 2200, 2600),
		"in inches":       straight(335, 326, 407).times(1 / 25.4),
		"in metres":       straight(335, 326, 407).times(1 / 1000.0),
		"in mm as inches": straight(335, 326, 407).times(25.4),
		"cup":             closed(straight(95, 220, 260)),
		"elbow of a pipe": turned(straight(120, 150, 150), 90),
		"hairpin":         turned(straight(400, 300, 380), 170),
		"pipe fitting":    trunkOf(90, Opening{"", 140, 140, up}, Opening{"", 110, 110, down}, Opening{"", 110, 110, right}),
		"not a number":    straight(math.NaN(), 326, 407),
	} {
		if region, reason, ok := FromShape(p); ok || region != "" || reason != "" {
			t.Errorf("%s is %q: %s", name, region, reason)
		}
	}
}

// A greave with a window has three openings and is a greave.
func TestWindowIsNoArm(t *testing.T) {
	p := straight(335, 326, 407)
	p.Openings = append(p.Openings, Opening{"C", 200, 190, right})
	p.Ways = append(p.Ways, Way{From: "A", To: "C", Length: 190, Tightest: 200, Widest: 407, Bend: 80})
	region, reason, ok := FromShape(p)
	if !ok || region != "lower_leg" {
		t.Errorf("taken for %q: %s", region, reason)
	}
}

// The answer does not depend on how the part lies, nor on the order in which
// its openings come.
func TestShapeHoldsHoweverItLies(t *testing.T) {
	source := rand.New(rand.NewPCG(7, 9))
	for region, parts := range shells(wearer{survey.Anyone(), 0.5}, 6) {
		for _, p := range parts {
			_, want, _ := FromShape(p)
			for range 20 {
				q := p.times(1)
				spin := r3.NewRotation(2*math.Pi*source.Float64(), r3.Vec{X: source.NormFloat64(), Y: source.NormFloat64(), Z: source.NormFloat64()})
				for i := range q.Openings {
					q.Openings[i].Facing = spin.Rotate(q.Openings[i].Facing)
				}
				source.Shuffle(len(q.Openings), func(i, j int) { q.Openings[i], q.Openings[j] = q.Openings[j], q.Openings[i] })
				source.Shuffle(3, func(i, j int) { q.Bounds[i], q.Bounds[j] = q.Bounds[j], q.Bounds[i] })
				if _, got, _ := FromShape(q); got != want {
					t.Errorf("%s turned: %q, else %q", region, got, want)
				}
			}
		}
	}
}

func TestShapeReasons(t *testing.T) {
	for _, c := range []struct {
		p    Part
		want []string
	}{
		{straight(335, 326, 407), []string{"it is a straight tube, 335 mm long and 326 to 407 mm round inside, and what covers a lower leg is usually 312 to 420 mm round inside"}},
		{turned(closed(straight(400, 284, 377)), 90), []string{"its way turns by 90 degrees and ends closed", "284 to 377 mm", "a foot"}},
		{closed(straight(274, 632, 690)), []string{"closed at its end, 274 mm deep", "a head"}},
		{open(straight(229, 611, 736)), []string{"open along its length", "a thigh"}},
		{trunkOf(353, Opening{"", 1006, 0, up}, Opening{"", 628, 0, down}, Opening{"", 628, 0, down}), []string{"two openings of 628 mm and 628 mm lie beside each other", "the third, 1006 mm round", "hips"}},
		{trunkOf(430, Opening{"", 860, 0, down}, Opening{"", 470, 0, up}, Opening{"", 450, 0, right}, Opening{"", 450, 0, left}), []string{"4 openings that a body goes through, the largest 860 mm", "a torso"}},
		{open(straight(140, 308, 400)), []string{"though it may be", "as well"}},
	} {
		_, reason, ok := FromShape(c.p)
		require.True(t, ok)
		for _, want := range c.want {
			if !strings.Contains(reason, want) {
				t.Errorf("%q does not say %q", reason, want)
			}
		}
	}
}

// Distance and doubt are the exponent and the determinant of a normal of the
// covariance diag(s²) + v·11ᵀ: a decomposition of that matrix finds the same.
func TestDistanceIsThatOfANormal(t *testing.T) {
	has := [3]float64{300, 380, 250}
	for i, m := range models {
		for _, f := range m.forms {
			covariance, off := mat.NewSymDense(3, nil), mat.NewVecDense(3, nil)
			for k := range has {
				sd := sizes()[i].sd[k]
				if spread := map[bool]float64{true: loosely, false: drawn}[f == gutter]; k < 2 {
					sd = math.Hypot(sd, spread)
				}
				off.SetVec(k, math.Log(has[k])-sizes()[i].mean[k])
				for j := range has {
					covariance.SetSym(k, j, scaled*scaled)
				}
				covariance.SetSym(k, k, scaled*scaled+sd*sd)
			}
			var chol mat.Cholesky
			require.True(t, chol.Factorize(covariance))
			var solved mat.VecDense
			require.NoError(t, chol.SolveVecTo(&solved, off))
			d, doubt := distance(i, has, f)
			require.InEpsilon(t, mat.Dot(off, &solved), d, 1e-9, m.region)
			require.InEpsilon(t, chol.LogDet(), doubt, 1e-9, m.region)
		}
	}
}

// Every region that suit.toml knows has limits, and a model but where it can
// only be told by name.
func TestModelsKnowTheirMeasures(t *testing.T) {
	for i, m := range models {
		for k, v := range sizes()[i].mean {
			if math.IsNaN(v) || !(sizes()[i].sd[k] > 0) || sizes()[i].sd[k] > 0.7 {
				t.Errorf("%s: %d is %g ± %g", m.region, k, v, sizes()[i].sd[k])
			}
		}
		tight, wide := usual(i)
		if l, ok := limitsOf()[m.region]; !ok || tight > wide*(1+1e-9) || l.girth[0] > tight || l.girth[1] < wide {
			t.Errorf("%s: %g to %g mm, limits %+v", m.region, tight, wide, l)
		}
	}
	require.Len(t, limitsOf(), 13)
}

// No shape is taken for a shell of a knee or an elbow, not even the plainest one: what is as
// wide and long may be a ring of another limb.
func TestNoJointByShapeAlone(t *testing.T) {
	for i, m := range models {
		if m.forms != nil {
			continue
		}
		tight, wide := usual(i)
		for _, p := range []Part{straight(math.Exp(sizes()[i].mean[2]), tight, wide), closed(straight(wide/7, tight/3, wide))} {
			if region, reason, ok := FromShape(p); ok && (region == "knee" || region == "elbow") {
				t.Errorf("a %s, because %s", region, reason)
			}
		}
		if m.region != "knee" && m.region != "elbow" {
			t.Errorf("%s is never guessed by shape", m.region)
		}
	}
}
