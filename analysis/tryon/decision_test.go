package tryon

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// wildcatter is the oil wildcatter of Raiffa (1968, Decision Analysis, chapter
// 2): dry, wet or soaking; drill or not; a sounding that costs something. Pay is
// turned into loss against the 200 of a soaking hole.
func wildcatter(sounding float64) *decision {
	return &decision{
		chance:  []float64{.5, .3, .2},
		losses:  [][]float64{{270, 150, 0}, {200, 200, 200}},
		probes:  []probe{{sounding, [][]float64{{.6, .3, .1}, {.3, .4, .4}, {.1, .3, .5}}}},
		longest: 1,
	}
}

func TestWildcatter(t *testing.T) {
	d := wildcatter(10)
	root := d.root()
	require.InDelta(t, 200-20, root.stop, 1e-12) // EMV 20
	require.Zero(t, root.act)
	require.InDelta(t, 35, root.stop-root.perfect, 1e-12) // EVPI
	require.InDelta(t, 200-22.5, d.solve(root), 1e-12)    // net with the test
	require.Zero(t, root.next)
	for i, want := range []struct{ likely, drill float64 }{{.41, -30.487805}, {.35, 32.857143}, {.24, 87.5}} {
		k := d.after(root, 0)[i]
		require.InDelta(t, want.likely, k.mass, 1e-12)
		if want.drill < 0 {
			require.Equal(t, 1, k.act) // do not drill
		} else {
			require.InDelta(t, 200-want.drill, k.stop/k.mass, 1e-6)
		}
	}
	c := d.follow(root, d.best)
	require.InDelta(t, 10, c.hours, 1e-12)
	require.InDelta(t, 200-32.5, c.loss, 1e-12)

	free := wildcatter(0)
	require.InDelta(t, 12.5, free.root().stop-free.solve(free.root()), 1e-12) // EVSI
	dear := wildcatter(12.6)
	require.InDelta(t, 180, dear.solve(dear.root()), 1e-12)
	require.Equal(t, -1, dear.root().next)
}

// Unit normal loss L(d) = φ(d) − d·Φ(−d) from our own grid (table of Raiffa &
// Schlaifer 1961): the loss of an act that pays 1 for each unit beyond d.
func TestUnitNormalLoss(t *testing.T) {
	d := spread(0, 0.002, 4000, distuv.UnitNormal.Prob)
	for at, want := range map[float64]float64{
		0: .39894228, .25: .28634470, .5: .19779656, .75: .13116692, 1: .08331547,
		1.5: .02930679, 2: .00849070, 2.5: .00200414, 3: .00038215,
	} {
		sum := 0.0
		for i, w := range d.weight {
			sum += w * max(0, d.at(i)-at)
		}
		require.InDelta(t, want, sum, 5e-7)
	}
}

// Expected value of sample information of a normal belief and two acts with a
// linear payoff: slope·s*·L(|m0−θb|/s*) (Raiffa & Schlaifer 1961, chapter 5).
// The sample is told in 250 cells.
func TestSampleInformationOfANormal(t *testing.T) {
	for _, c := range []struct{ mean, even, sd, noise, slope, want, perfect float64 }{
		{0, .5, 1, 1, 100, 9.98206142, 19.77965574},
		{1, 1.02, .03, .01, 1000, 4.04766275, 4.53358941},
		{1, 1, .03, .01, 1000, 11.35409635, 11.96826841},
	} {
		belief := spread(c.mean, c.sd/100, 700, distuv.Normal{Mu: c.mean, Sigma: c.sd}.Prob)
		d := &decision{chance: belief.weight, longest: 1, losses: make([][]float64, 2), probes: []probe{{0, nil}}}
		for i := range belief.weight {
			gain := c.slope * (belief.at(i) - c.even) // of the first act against the second
			d.losses[0] = append(d.losses[0], max(0, -gain))
			d.losses[1] = append(d.losses[1], max(0, gain))
		}
		wide := math.Hypot(c.sd, c.noise)
		const cells = 250
		for k := range cells {
			low, high := c.mean+wide*(16*float64(k)/cells-8), c.mean+wide*(16*float64(k+1)/cells-8)
			var likely []float64
			for i := range belief.weight {
				likely = append(likely, beyond(high-belief.at(i), c.noise)-beyond(low-belief.at(i), c.noise))
			}
			d.probes[0].likely = append(d.probes[0].likely, likely)
		}
		root := d.root()
		require.InEpsilon(t, c.perfect, root.stop-root.perfect, 1e-4)
		require.InEpsilon(t, c.want, root.stop-d.solve(root), 3e-4)
	}
}

// enumerated is the least of all plans, by trying every one: no memory, no
// bounds, answers in the order in which they come.
func enumerated(d *decision, weight []float64, used uint, left int) float64 {
	best, mass := math.Inf(1), 0.0
	for _, w := range weight {
		mass += w
	}
	for _, loss := range d.losses {
		best = min(best, floats.Dot(loss, weight))
	}
	if left == 0 {
		return best
	}
	for t, p := range d.probes {
		if used>>t&1 == 1 {
			continue
		}
		sum := p.hours * mass
		for _, likely := range p.likely {
			next := make([]float64, len(weight))
			for s := range next {
				next[s] = weight[s] * likely[s]
			}
			sum += enumerated(d, next, used|1<<t, left-1)
		}
		best = min(best, sum)
	}
	return best
}

func random(r *rand.Rand, states, tests, answers, acts, longest int) *decision {
	d := &decision{longest: longest}
	shares := func(n int) []float64 {
		out, sum := make([]float64, n), 0.0
		for i := range out {
			out[i] = r.ExpFloat64()
			sum += out[i]
		}
		for i := range out {
			out[i] /= sum
		}
		return out
	}
	d.chance = shares(states)
	for range acts {
		loss := make([]float64, states)
		for s := range loss {
			loss[s] = 10 * r.Float64()
		}
		d.losses = append(d.losses, loss)
	}
	for range tests {
		p := probe{hours: 0.5 * r.Float64(), likely: make([][]float64, answers)}
		for range states {
			for a, x := range shares(answers) {
				p.likely[a] = append(p.likely[a], x)
			}
		}
		d.probes = append(d.probes, p)
	}
	return d
}

func TestProgrammingEqualsTryingEveryPlan(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	tested := 0
	for range 150 {
		d := random(r, 2+r.IntN(5), 1+r.IntN(4), 2+r.IntN(2), 2+r.IntN(4), 1+r.IntN(3))
		root := d.root()
		got, want := d.solve(root), enumerated(d, d.chance, 0, d.longest)
		require.InDelta(t, want, got, 1e-8)
		c := d.follow(root, d.best)
		require.InDelta(t, got, c.hours+c.loss, 1e-9) // the plan costs what it says
		if c.tests > 0 {
			tested++
		}
	}
	if tested < 30 {
		t.Errorf("only %d of 150 decisions had a test worth making", tested)
	}
}
