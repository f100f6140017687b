package tryon

import (
	"math"
	"math/rand/v2"
)

// Doubt says how well the answers of a station go with each other and with what
// was believed before them.
type Doubt struct {
	// Chance of just these answers, 0–1; 1 where there are none.
	Chance float64
	// Rare is the chance that try-ons at these capacities give answers that are
	// as unlikely as these or more so, 0–1.
	Rare float64
	// Odd are the answers that measures and other answers together give less than
	// 1 in 20, by their place in Station.Answers; Against, parallel to it, how
	// likely each was.
	Odd     []int
	Against []float64
	// Pairs are answers that exclude each other: no need would give both, by more
	// than the slack explains.
	Pairs [][2]int
}

const (
	rare = 0.05 // chance below which answers are doubted, as is usual in tests of significance
	// Two limits felt by the same person differ by √2 of the slack; twice that is
	// no slack any more.
	apart = 2 * math.Sqrt2
	// most answers of which all sets are looked through; of more, some are drawn.
	mostSets = 7
	drawn    = 2000
)

// Contradicts says that the answers should not be believed as they stand.
func (d Doubt) Contradicts() bool { return d.Rare < rare || len(d.Pairs) > 0 }

// Doubts weighs the answers of a station.
func Doubts(s Station) (Doubt, error) {
	if err := s.check(); err != nil {
		return Doubt{}, err
	}
	prior := normal(s.Mean, s.SD, s.Judge.Slack)
	likely := make([][3][]float64, len(s.Answers)) // answer, verdict, step
	for i, a := range s.Answers {
		for k := range verdicts {
			likely[i][k] = make([]float64, len(prior.weight))
		}
		for n := range prior.weight {
			for k, p := range s.likely(a.Capacity, prior.at(n)) {
				likely[i][k][n] = p
			}
		}
	}
	d := Doubt{Chance: 1, Rare: 1, Pairs: s.pairs()}
	if len(s.Answers) == 0 {
		return d, nil
	}
	given := make([]int, len(s.Answers))
	for i, a := range s.Answers {
		given[i] = a.Verdict.index()
	}
	d.Chance = chanceOf(prior.weight, likely, given, -1)
	for i := range given {
		others := chanceOf(prior.weight, likely, given, i)
		if p := d.Chance / others; others > 0 && p < rare {
			d.Odd, d.Against = append(d.Odd, i), append(d.Against, p)
		}
	}
	limit := d.Chance * (1 + 1e-9)
	if len(given) <= mostSets {
		d.Rare = min(1, noLikelier(prior.weight, likely, limit))
	} else {
		d.Rare = noLikelierDrawn(prior, likely, limit)
	}
	return d, nil
}

// likely is how likely each verdict is at a capacity for a need, whatever the window.
func (s Station) likely(capacity, need float64) [3]float64 {
	if s.Wide == 0 || math.IsInf(s.Window, 1) {
		return s.Judge.chances(capacity, need, s.Window)
	}
	var sum [3]float64
	all := 0.0
	eachWindow(s.Window, s.Wide, func(window, p float64) {
		all += p
		for i, q := range s.Judge.chances(capacity, need, window) {
			sum[i] += p * q
		}
	})
	for i := range sum {
		sum[i] /= all
	}
	return sum
}

// chanceOf is the chance of a set of verdicts, one of them left out.
func chanceOf(prior []float64, likely [][3][]float64, given []int, without int) float64 {
	sum := 0.0
	for n, w := range prior {
		for i, k := range given {
			if i != without {
				w *= likely[i][k][n]
			}
		}
		sum += w
	}
	return sum
}

// noLikelier adds up the sets of verdicts that are no likelier than limit.
func noLikelier(weight []float64, likely [][3][]float64, limit float64) float64 {
	if len(likely) == 0 {
		sum := 0.0
		for _, w := range weight {
			sum += w
		}
		if sum > limit {
			return 0
		}
		return sum
	}
	total, next := 0.0, make([]float64, len(weight))
	for k := range verdicts {
		for n, w := range weight {
			next[n] = w * likely[0][k][n]
		}
		total += noLikelier(next, likely[1:], limit)
	}
	return total
}

// noLikelierDrawn is the same from sets drawn at random, to about one in a
// hundred.
func noLikelierDrawn(prior density, likely [][3][]float64, limit float64) float64 {
	r := rand.New(rand.NewPCG(1, uint64(len(likely))))
	hits, given := 0, make([]int, len(likely))
	for range drawn {
		n := prior.pick(r.Float64())
		for i := range likely {
			u := r.Float64()
			for given[i] = 0; given[i] < 2 && u >= likely[i][given[i]][n]; given[i]++ {
				u -= likely[i][given[i]][n]
			}
		}
		if chanceOf(prior.weight, likely, given, -1) <= limit {
			hits++
		}
	}
	return float64(hits) / drawn
}

// pick is the step that a share lies in.
func (d density) pick(share float64) int {
	for i, w := range d.weight {
		if share -= w; share < 0 {
			return i
		}
	}
	return len(d.weight) - 1
}

// pairs are the answers that no need would give both. Ranges of a line that
// have no point in common have two among them that have none (Helly 1923): pairs
// are enough.
func (s Station) pairs() [][2]int {
	var out [][2]int
	for i, a := range s.Answers {
		for j := i + 1; j < len(s.Answers); j++ {
			lowA, highA := s.asks(a)
			lowB, highB := s.asks(s.Answers[j])
			if max(lowA, lowB)-min(highA, highB) > apart*s.Judge.Slack || upsideDown(a, s.Answers[j]) {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out
}

// upsideDown reports whether what was found tight is no smaller than what was found loose,
// which no window explains.
func upsideDown(a, b Answer) bool {
	if a.Verdict == Loose {
		a, b = b, a
	}
	return a.Verdict == Tight && b.Verdict == Loose && a.Capacity >= b.Capacity
}

// asks is the range of needs that would give an answer, without slack, with the window
// as large or small as it may be.
func (s Station) asks(a Answer) (low, high float64) {
	switch a.Verdict {
	case Tight:
		return a.Capacity, math.Inf(1)
	case Loose:
		return math.Inf(-1), a.Capacity - max(0, s.Window-mayBe*s.Wide)
	}
	return a.Capacity - s.Window - mayBe*s.Wide, a.Capacity
}

// mayBe is how many standard deviations off a window may be and still not be odd.
const mayBe = 2
