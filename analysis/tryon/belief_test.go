package tryon

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// never is a window that nothing is loose beyond: tight or not is then all.
var never = math.Inf(1)

// sure trusts every verdict within the slack.
func sure(slack float64) Judge { return Judge{Slack: slack} }

// scaled is a station about which a closed form speaks in other units: all
// times 1000 and about 5000, so that needs are above 0.
func scaled(mean, sd, slack, c float64, v Verdict) (Station, func(mm float64) float64) {
	mm := func(x float64) float64 { return 5000 + 1000*x }
	s := Station{Mean: mm(mean), SD: 1000 * sd, Window: never, Judge: sure(1000 * slack), Answers: []Answer{{mm(c), v}}}
	return s, func(x float64) float64 { return (x - 5000) / 1000 }
}

// Closed form of a normal belief after one probit answer (Rasmussen & Williams
// 2006, Gaussian Processes for Machine Learning, section 3.9; values confirmed by
// quadrature).
func TestOneAnswerIsTheClosedForm(t *testing.T) {
	for _, c := range []struct {
		mean, sd, slack, at   float64
		chance, after, spread float64
	}{
		{1.00, .03, .01, 1.01, .375914817, 1.028730846, .018251469},
		{1.00, .03, .01, .99, .624085183, 1.017305892, .021089170},
		{0, 1, 1, 0, .5, .564189584, .825645271},
	} {
		s, back := scaled(c.mean, c.sd, c.slack, c.at, Tight)
		before := s
		before.Answers = nil
		prior, err := Believe(before)
		require.NoError(t, err)
		require.InDelta(t, c.chance, prior.Chance(s.Answers[0]), 1e-8)
		b, err := Believe(s)
		require.NoError(t, err)
		require.InDelta(t, c.after, back(b.Mean()), 1e-8)
		require.InDelta(t, c.spread, b.SD()/1000, 1e-8)
	}
}

// Without slack the answer cuts the normal at the capacity: a half normal has
// mean √(2/π) and standard deviation √(1−2/π). A cut between steps is known to
// half a step.
func TestAnswerWithoutSlackCuts(t *testing.T) {
	s, back := scaled(0, 1, 0, 0, Tight)
	b, err := Believe(s)
	require.NoError(t, err)
	require.InDelta(t, .797884561, back(b.Mean()), 2e-4)
	require.InDelta(t, .602810275, b.SD()/1000, 2e-4)
}

// A cut on the other side mirrors the first: tight at the low limit and loose at
// the high one are the same question asked from two sides.
func TestLooseMirrorsTight(t *testing.T) {
	const window = 34.0
	judge := UsualJudge()
	tight, err := Believe(Station{Mean: 400, SD: 12, Window: window, Judge: judge, Answers: []Answer{{404, Tight}}})
	require.NoError(t, err)
	loose, err := Believe(Station{Mean: 400, SD: 12, Window: window, Judge: judge, Answers: []Answer{{396 + window, Loose}}})
	require.NoError(t, err)
	require.InDelta(t, tight.Mean()-400, 400-loose.Mean(), 1e-9)
	require.InDelta(t, tight.SD(), loose.SD(), 1e-9)
}

func TestChancesAddUp(t *testing.T) {
	for _, window := range []float64{0, 5, 34, never} {
		for _, judge := range []Judge{sure(0), sure(3), UsualJudge()} {
			for c := 300.0; c < 500; c += 12.5 {
				p := judge.chances(c, 400, window)
				require.InDelta(t, 1, p[0]+p[1]+p[2], 1e-12)
				for _, x := range p {
					require.GreaterOrEqual(t, x, judge.Wrong/2-1e-15)
				}
			}
		}
	}
}

// Order of answers does not matter, and an answer never widens what is believed
// on average: the expected variance after is the variance before less that of
// the means (law of total variance).
func TestLawOfTotalVariance(t *testing.T) {
	s := Station{Mean: 410, SD: 15, Window: 30, Judge: UsualJudge()}
	prior, err := Believe(s)
	require.NoError(t, err)
	mean, square := 0.0, 0.0
	for _, v := range verdicts {
		a := Answer{420, v}
		s.Answers = []Answer{a}
		b, err := Believe(s)
		require.NoError(t, err)
		p := prior.Chance(a)
		mean += p * b.Mean()
		square += p * (b.SD()*b.SD() + b.Mean()*b.Mean())
	}
	require.InDelta(t, 410, mean, 1e-9)
	require.InDelta(t, 15*15, square-mean*mean, 1e-6)

	s.Answers = []Answer{{420, Fits}, {395, Tight}, {460, Loose}}
	one, err := Believe(s)
	require.NoError(t, err)
	s.Answers = []Answer{{460, Loose}, {420, Fits}, {395, Tight}}
	other, err := Believe(s)
	require.NoError(t, err)
	require.InDelta(t, one.Mean(), other.Mean(), 1e-9)
}

// The chance of fitting against the normal's own, before and after.
func TestFits(t *testing.T) {
	s := Station{Mean: 400, SD: 10, Window: 34, Judge: UsualJudge()}
	b, err := Believe(s)
	require.NoError(t, err)
	n := distuv.UnitNormal
	require.InDelta(t, n.CDF(1.7)-n.CDF(-1.7), b.Fits(417, 0), 1e-3)
	require.InDelta(t, n.CDF(2.6)-n.CDF(-1.7), b.Fits(417, 9), 1e-3)
	require.InDelta(t, 400+10*1.2815515655446004, b.Quantile(0.9), 0.01)
	s.Answers = []Answer{{417, Fits}}
	after, err := Believe(s)
	require.NoError(t, err)
	if got, was := after.Fits(417, 0), b.Fits(417, 0); got <= was {
		t.Errorf("after a band that fits the part fits with %v, before with %v", got, was)
	}
}

// QUEST (Watson & Pelli 1983, Perception & Psychophysics 33:113–120) on the same
// grid: prior N(−1, 2²) on 501 cells of 0.01, Weibull answers. The threshold
// offset is the one of the public implementation's table.
func TestGridIsThatOfQUEST(t *testing.T) {
	const beta, delta, gamma, offset = 3.5, 0.01, 0.5, 0.00484354
	d := spread(-1, 0.01, 250, distuv.Normal{Mu: -1, Sigma: 2}.Prob)
	require.InDelta(t, -1, d.Mean(), 1e-9)
	require.InDelta(t, 1.29979290, d.SD(), 1e-8)
	for _, c := range []struct {
		x        float64
		seen     bool
		mean, sd float64
	}{
		{-1, true, -1.35663170, 1.24162920},
		{-1.5, false, -.33326099, .86405646},
		{-1.2, true, -.50648384, .88156043},
		{-1.3, false, -.23051297, .80780317},
	} {
		d.times(func(i int) float64 {
			p := delta*gamma + (1-delta)*(1-(1-gamma)*math.Exp(-math.Pow(10, beta*(c.x-d.at(i)+offset))))
			if c.seen {
				return p
			}
			return 1 - p
		})
		require.InDelta(t, c.mean, d.Mean(), 2e-7)
		require.InDelta(t, c.sd, d.SD(), 2e-7)
	}
}

// The up-and-down method (Dixon & Mood 1948, JASA 43:109–126): of twenty answers
// about one limit our probit is likeliest at the limit and spread that maximum
// likelihood gives, and their closed form lies beside it. A wide belief ends at
// the same limit. Scales times 1000.
func TestUpAndDownMethod(t *testing.T) {
	levels := []float64{1030, 1020, 1010, 1000, 1010, 1020, 1010, 1020, 1010, 1000, 1010, 1020, 1030, 1020, 1010, 1020, 1010, 1020, 1010, 1020}
	const loose = "11100101100011010100"
	log := func(limit, slack float64) float64 {
		sum := 0.0
		for i, c := range levels {
			p := sure(slack).chances(c, limit, never)[0] // not loose
			if loose[i] == '1' {
				p = 1 - p
			}
			sum += math.Log(p)
		}
		return sum
	}
	best, limit, slack := math.Inf(-1), 0.0, 0.0
	for m := 1010.0; m <= 1020; m += 0.05 {
		for s := 5.0; s <= 9; s += 0.004 {
			if l := log(m, s); l > best {
				best, limit, slack = l, m, s
			}
		}
	}
	require.InDelta(t, 1015, limit, 0.06)
	require.InDelta(t, 6.876, slack, 0.005)

	s := Station{Mean: 1000, SD: 100, Window: never, Judge: sure(6.876)}
	for i, c := range levels {
		v := Tight
		if loose[i] == '1' {
			v = Fits
		}
		s.Answers = append(s.Answers, Answer{c, v})
	}
	b, err := Believe(s)
	require.NoError(t, err)
	require.InDelta(t, 1015, b.Mean(), 0.1)
}

// Beetles of Bliss (1935, Annals of Applied Biology 22:134–167): the deviance of
// our probit at the fit of Dobson's textbook is the one given there.
func TestProbitOfBliss(t *testing.T) {
	dose := []float64{1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839}
	n := []float64{59, 60, 62, 56, 63, 59, 62, 60}
	killed := []float64{6, 13, 18, 28, 52, 53, 61, 60}
	deviance := func(b0, b1 float64) float64 {
		sum := 0.0
		for i, x := range dose {
			p := 1 - sure(1000/b1).chances(1000*x, -1000*b0/b1, never)[0]
			term := func(y, mu float64) float64 {
				if y == 0 {
					return 0
				}
				return y * math.Log(y/mu)
			}
			sum += 2 * (term(killed[i], n[i]*p) + term(n[i]-killed[i], n[i]*(1-p)))
		}
		return sum
	}
	require.InDelta(t, 10.120, deviance(-34.9353, 19.7279), 0.001)
	for _, off := range []float64{-0.01, 0.01} {
		if deviance(-34.9353+off, 19.7279) <= deviance(-34.9353, 19.7279) {
			t.Errorf("moving the fit by %v betters it", off)
		}
	}
}

func TestBadStations(t *testing.T) {
	good := Station{Mean: 400, SD: 10, Window: 30, Judge: UsualJudge()}
	for want, spoil := range map[string]func(*Station){
		"a need of 0 mm; it must be above 0":                                func(s *Station) { s.Mean = 0 },
		"a need known to ± -1 mm; it must be 0 or more":                     func(s *Station) { s.SD = -1 },
		"a window known to ± -1 mm; it must be 0 or more":                   func(s *Station) { s.Wide = -1 },
		"a window of NaN mm between tight and loose; it must be 0 or more":  func(s *Station) { s.Window = math.NaN() },
		"a slack of -3 mm; it must be 0 or more":                            func(s *Station) { s.Judge.Slack = -3 },
		"a chance of 0.5 of a wrong answer; it must be from 0 to below 0.5": func(s *Station) { s.Judge.Wrong = 0.5 },
		`try-on 1: the verdict "tite" is none of tight, fits, loose`:        func(s *Station) { s.Answers = []Answer{{400, "tite"}} },
		"try-on 2: a capacity of 0 mm; it must be above 0":                  func(s *Station) { s.Answers = []Answer{{400, Fits}, {0, Fits}} },
	} {
		s := good
		spoil(&s)
		_, err := Believe(s)
		require.EqualError(t, err, want)
		_, err = Doubts(s)
		require.EqualError(t, err, want)
		_, err = Share([]Station{good, s}, func(i, j int) float64 { return 0 })
		require.EqualError(t, err, "station 2: "+want)
	}
}

// A need that is known keeps its value whatever is answered.
func TestKnownNeed(t *testing.T) {
	b, err := Believe(Station{Mean: 400, Window: 30, Judge: UsualJudge(), Answers: []Answer{{390, Fits}}})
	require.NoError(t, err)
	require.Equal(t, 400.0, b.Mean())
	require.Zero(t, b.SD())
	require.Equal(t, 1.0, b.Fits(410, 0))
	require.Zero(t, b.Fits(390, 0))
}

// What lies up to a value is what lies between −Inf and it.
func TestUpToIsWithin(t *testing.T) {
	for _, sd := range []float64{0, 4, 20} {
		b, err := Believe(Station{Mean: 400, SD: sd, Window: 30, Judge: UsualJudge(), Answers: []Answer{{390, Tight}, {425, Fits}}})
		require.NoError(t, err)
		for x := 200.0; x < 600; x += 3.7 {
			require.InDelta(t, within(b, x), b.upTo(x), 1e-12, "± %v mm up to %v mm", sd, x)
		}
		require.InDelta(t, within(b, 400), b.upTo(400), 1e-12)
	}
}

// within adds up, step by step, the chance of a need up to a value.
func within(b *Belief, high float64) float64 {
	sum := 0.0
	for i, w := range b.weight {
		sum += w * b.share(i, math.Inf(-1), high)
	}
	return min(1, sum)
}

// Where the window is not sure, need and window are two normal variables: what the
// answers leave of both is summed here over a plane of points.
func TestWindowThatIsNotSure(t *testing.T) {
	judge := Judge{Slack: 3, Wrong: 0.05}
	s := Station{Mean: 400, SD: 20, Window: 34, Wide: 8, Judge: judge}
	for _, answers := range [][]Answer{
		{{420, Loose}},
		{{372, Tight}, {395, Loose}},
		{{372, Tight}, {385, Fits}, {399, Loose}},
	} {
		s.Answers = answers
		b, err := Believe(s)
		require.NoError(t, err)
		const n = 400
		var all, mean, window float64
		for i := range n {
			need := 400 + 20*6*(2*(float64(i)+0.5)/n-1)
			for k := range n {
				w := 34 + 8*4*(2*(float64(k)+0.5)/n-1)
				p := math.Exp(-math.Pow((need-400)/20, 2)/2 - math.Pow((w-34)/8, 2)/2)
				for _, a := range answers {
					p *= judge.chances(a.Capacity, need, w)[a.Verdict.index()]
				}
				all, mean, window = all+p, mean+p*need, window+p*w
			}
		}
		require.InDelta(t, mean/all, b.Mean(), 0.1, "%v", answers)
		sum := 0.0
		for i, w := range b.weight {
			sum += w * b.windowAt(i)
		}
		require.InDelta(t, window/all, sum, 0.1, "%v", answers)
	}

	// Who finds a band tight, and one that is little larger loose, is between them.
	s.Answers = []Answer{{388, Tight}, {412, Loose}}
	b, err := Believe(s)
	require.NoError(t, err)
	sure := s
	sure.Wide = 0
	c, err := Believe(sure)
	require.NoError(t, err)
	require.Less(t, b.Mean(), c.Mean())
	require.Greater(t, b.Fits(400, 0), c.Fits(400, 0))
	require.Greater(t, b.Fits(400, 0), b.Fits(414, 0))

	// Who finds nothing loose gives no reason to doubt the window.
	s.Answers = []Answer{{388, Tight}, {412, Fits}}
	sure.Answers = s.Answers
	b, err = Believe(s)
	require.NoError(t, err)
	c, err = Believe(sure)
	require.NoError(t, err)
	require.Equal(t, c.Mean(), b.Mean())
	require.Equal(t, c.Fits(410, 3), b.Fits(410, 3))
}
