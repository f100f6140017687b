package suit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Regions to draw from: a chain, the fork at the torso, and one not known.
var some = []string{"foot", "lower_leg", "thigh", "hips", "torso", "neck", "shoulder", ""}

// randomUnits draws n units whose spans begin and end on a coarse grid, so that
// ends often coincide. Some have no end, some are points.
func randomUnits(r *rand.Rand, n int) []worn {
	var out []worn
	for range n {
		lo := 90 + float64(r.IntN(16))
		s := span{lo: lo, hi: lo + float64(r.IntN(9)), weight: 1 + float64(r.IntN(2))}
		if r.IntN(8) == 0 {
			s.hi = math.Inf(1)
		}
		s.want = s.clamp(lo + float64(r.IntN(8)))
		out = append(out, worn{s, some[r.IntN(len(some))]})
	}
	return out
}

// subsets calls do with every subset of k values.
func subsets(values []float64, k int, do func([]float64)) {
	var pick func(from int, got []float64)
	pick = func(from int, got []float64) {
		if len(got) == k {
			do(got)
			return
		}
		for i := from; i < len(values); i++ {
			pick(i+1, append(got, values[i]))
		}
	}
	pick(0, nil)
}

// bruteFewest returns the least number of scales that serve all: some such set
// lies on ends of spans.
func bruteFewest(units []worn) int {
	var ends []float64
	for _, u := range units {
		ends = append(ends, u.lo)
		if !math.IsInf(u.hi, 1) {
			ends = append(ends, u.hi)
		}
	}
	slices.Sort(ends)
	ends = slices.Compact(ends)
	for k := 1; ; k++ {
		found := false
		subsets(ends, k, func(scales []float64) {
			found = found || !slices.ContainsFunc(units, func(u worn) bool { return !slices.ContainsFunc(scales, u.holds) })
		})
		if found {
			return k
		}
	}
}

func TestFewestScalesAreTheFewest(t *testing.T) {
	const seed = 11
	r := rand.New(rand.NewPCG(seed, 0))
	counts := map[int]int{}
	for round := range 1500 {
		units := randomUnits(r, 1+r.IntN(8))
		got, want := fewest(units), bruteFewest(units)
		counts[want]++
		if len(got.scales) != want {
			t.Fatalf("seed %d round %d: %d scales where %d serve %v", seed, round, len(got.scales), want, units)
		}
		for i, u := range units {
			if scale := got.scales[got.of[i]]; !u.holds(scale) {
				t.Fatalf("seed %d round %d: %v does not serve %v", seed, round, scale, u)
			}
		}
	}
	t.Log("rounds by number of scales:", counts)
	for k := 1; k <= 3; k++ {
		if counts[k] < 100 {
			t.Errorf("only %d rounds need %d scales", counts[k], k)
		}
	}
}

// The spans that lie apart prove the number by themselves: no two of them can
// be served by one scale.
func TestSpansApartProveTheNumber(t *testing.T) {
	const seed = 12
	r := rand.New(rand.NewPCG(seed, 0))
	for round := range 200 {
		units := ended(randomUnits(r, 40))
		spans := spansOf(units)
		proof := apart(spans)
		for i, a := range proof {
			for _, b := range proof[:i] {
				if spans[a].lo <= spans[b].hi && spans[b].lo <= spans[a].hi {
					t.Fatalf("seed %d round %d: %v and %v meet", seed, round, spans[a], spans[b])
				}
			}
		}
		if got := fewest(units); len(got.scales) != len(proof) {
			t.Fatalf("seed %d round %d: %d scales, %d spans lie apart", seed, round, len(got.scales), len(proof))
		}
	}
}

// regretOf reckons a regret from its definition, trying every scale that each
// region might mostly wear.
func regretOf(units []worn, scales []float64, of []int) regret {
	var regions []string
	distance := 0.0
	for i, u := range units {
		distance += u.weight * math.Abs(scales[of[i]]-u.want)
		if u.region != "" && !slices.Contains(regions, u.region) {
			regions = append(regions, u.region)
		}
	}
	best := regret{math.Inf(1)}
	main := map[string]int{}
	var try func(k int)
	try = func(k int) {
		if k < len(regions) {
			for m := range scales {
				main[regions[k]] = m
				try(k + 1)
			}
			return
		}
		r := regret{2: distance}
		for i, u := range units {
			if u.region != "" && of[i] != main[u.region] {
				r[0] += u.weight
			}
		}
		for i, a := range regions {
			for _, b := range regions[:i] {
				if slices.Contains(neighbours(a), b) && main[a] != main[b] {
					r[1]++
				}
			}
		}
		if r.less(best) {
			best = r
		}
	}
	try(0)
	return best
}

// bruteRegret returns the least regret of all sets of k scales and all ways to
// give them to the units.
func bruteRegret(units []worn, k int) regret {
	var values []float64
	for _, u := range ended(units) {
		values = append(values, u.lo, u.hi, u.want)
	}
	slices.Sort(values)
	values = slices.Compact(values)
	best := regret{math.Inf(1)}
	subsets(values, k, func(scales []float64) {
		of := make([]int, len(units))
		var give func(i int)
		give = func(i int) {
			if i == len(units) {
				if r := regretOf(units, scales, of); r.less(best) {
					best = r
				}
				return
			}
			for m, scale := range scales {
				if units[i].holds(scale) {
					of[i] = m
					give(i + 1)
				}
			}
		}
		give(0)
	})
	return best
}

func TestScalesAreTheOnesOfLeastRegret(t *testing.T) {
	const seed = 13
	r := rand.New(rand.NewPCG(seed, 0))
	split := 0
	for round := range 400 {
		units := randomUnits(r, 2+r.IntN(4))
		got := fewest(units)
		if len(got.scales) > 3 {
			continue
		}
		want := bruteRegret(units, len(got.scales))
		if got.regret.less(want) || want.less(got.regret) {
			t.Fatalf("seed %d round %d: regret %v, least %v, of %v", seed, round, got.regret, want, units)
		}
		if said := regretOf(units, got.scales, got.of); said.less(want) || want.less(said) {
			t.Fatalf("seed %d round %d: %v as given out, %v as said", seed, round, said, want)
		}
		settled := got
		settled.scales = slices.Clone(got.scales)
		settled.settle(units, spansOf(units))
		after := regretOf(units, settled.scales, settled.of)
		if most := 0.5 * weights(units); after[0] != want[0] || after[1] != want[1] || after[2] > want[2]+most {
			t.Fatalf("seed %d round %d: %v once rounded, %v before", seed, round, after, want)
		}
		if want[1] > 0 {
			split++
		}
	}
	if split < 20 {
		t.Errorf("only %d rounds had to part neighbours", split)
	}
}

func spansOf(units []worn) []span {
	var out []span
	for _, u := range units {
		out = append(out, u.span)
	}
	return out
}

func weights(units []worn) float64 {
	sum := 0.0
	for _, u := range units {
		sum += u.weight
	}
	return sum
}

// A suit with more choices than are tried keeps the least number of scales.
func TestManyPartsStayQuick(t *testing.T) {
	const seed = 14
	r := rand.New(rand.NewPCG(seed, 0))
	var units []worn
	for i := range 300 {
		lo := 60 + float64(i%12)*10 + 3*r.Float64()
		s := span{lo: lo, hi: lo + 2 + 3*r.Float64(), weight: 1}
		s.want = (s.lo + s.hi) / 2
		units = append(units, worn{s, some[r.IntN(len(some))]})
	}
	got := fewest(units)
	if want := bruteGreedy(units); len(got.scales) != want {
		t.Errorf("%d scales, want %d", len(got.scales), want)
	}
	for i, u := range units {
		if scale := got.scales[got.of[i]]; !u.holds(scale) {
			t.Errorf("%v does not serve %v", scale, u)
		}
	}
}

// bruteGreedy counts scales another way: from above, always the lowest scale
// that serves the span beginning last.
func bruteGreedy(units []worn) int {
	left := slices.Clone(units)
	n := 0
	for len(left) > 0 {
		last := slices.MaxFunc(left, func(a, b worn) int {
			if a.lo < b.lo {
				return -1
			}
			return 1
		})
		left = slices.DeleteFunc(left, func(u worn) bool { return u.holds(last.lo) })
		n++
	}
	return n
}

func TestScalesAreRoundNumbers(t *testing.T) {
	for _, c := range []struct {
		lo, hi, x, shared, own float64
	}{
		{104.2, 108.9, 106.4, 106, 106.5},
		{104.2, 105.1, 104.3, 105, 104.5},      // 104 is too small
		{104.21, 104.9, 104.55, 104.5, 104.5},  // no whole one
		{104.21, 104.49, 104.38, 104.4, 104.4}, // nor a half
		{104.31, 104.36, 104.33, 104.4, 104.4}, // nor a tenth: the smallest is kept
		{107.34, 107.34, 107.34, 107.4, 107.4},
		{110, 110, 110, 110, 110},
		{99.5, math.Inf(1), 99.5, 100, 99.5},
	} {
		t.Run(fmt.Sprint(c.lo, c.hi), func(t *testing.T) {
			s := span{lo: c.lo, hi: c.hi, want: c.x, weight: 1}
			alone := share{scales: []float64{c.x}, of: []int{0}}
			alone.settle([]worn{{span: s}}, []span{s})
			require.InDelta(t, c.own, alone.scales[0], 1e-12)
			several := share{scales: []float64{c.x}, of: []int{0, 0}}
			several.settle([]worn{{span: s}, {span: s}}, []span{s, s})
			require.InDelta(t, c.shared, several.scales[0], 1e-12)
		})
	}
}

// The eleven activities of T. Cormen, C. Leiserson, R. Rivest, C. Stein,
// "Introduction to Algorithms", 3rd edition, section 16.1 (from memory): four
// are compatible and no more. An activity ends before the next begins, so its
// span is closed half a unit earlier.
func TestActivitiesOfTheTextbook(t *testing.T) {
	starts := []float64{1, 3, 0, 5, 3, 5, 6, 8, 8, 2, 12}
	ends := []float64{4, 5, 6, 7, 9, 9, 10, 11, 12, 14, 16}
	var spans []span
	for i := range starts {
		spans = append(spans, span{lo: starts[i], hi: ends[i] - 0.5})
	}
	if got, want := apart(spans), []int{0, 3, 7, 10}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func BenchmarkFewest(b *testing.B) {
	for _, n := range []int{15, 40, 300} {
		r := rand.New(rand.NewPCG(17, 0))
		var units []worn
		for range n {
			lo := 95 + 15*r.Float64()
			s := span{lo: lo, hi: lo + 8*r.Float64(), weight: 1}
			s.want = (s.lo + s.hi) / 2
			units = append(units, worn{s, some[r.IntN(len(some))]})
		}
		b.Run(fmt.Sprint(n, " units"), func(b *testing.B) {
			for b.Loop() {
				fewest(units)
			}
		})
	}
}
