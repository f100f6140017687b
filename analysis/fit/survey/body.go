package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Body is what is known of one body from the readings that were given. Values
// are mm (weight: kg). It comes from Estimate; the zero Body knows no measure.
type Body struct {
	measures []Measure
	readings []reading
	parts    []part
	mean     []float64     // mm, parallel to measures
	cov      *mat.SymDense // mm²
}

// Value is what is known of one measure.
type Value struct {
	Mean float64
	SD   float64
	// Given: Mean is the wearer's own reading and SD what remains of the error
	// of reading it. Otherwise both are estimates.
	Given bool
}

// weigh gives each part its chance.
func (b *Body) weigh() {
	likely := make([]float64, len(b.parts))
	for k, p := range b.parts {
		likely[k] = p.likely
	}
	for k, c := range chances(likely) {
		b.parts[k].chance = c
	}
}

// combine reckons mean and covariance in mm: a log-normal with means m and
// covariances s of the logarithms has the means e = exp(m + s/2) and the
// covariances eᵢ·eⱼ·(exp(sᵢⱼ) − 1) (Johnson, Kotz and Balakrishnan, Continuous
// Univariate Distributions 1, chapter 14, from memory); those of a mixture are
// the mean of the parts' and the spread of their means.
func (b *Body) combine() {
	n := len(b.measures)
	b.mean, b.cov = make([]float64, n), mat.NewSymDense(n, nil)
	own := make([][]float64, len(b.parts))
	for k, p := range b.parts {
		own[k] = make([]float64, n)
		for i := range n {
			own[k][i] = math.Exp(p.mean[i] + p.cov.At(i, i)/2)
			b.mean[i] += p.chance * own[k][i]
		}
	}
	for k, p := range b.parts {
		for i := range n {
			for j := i; j < n; j++ {
				within := own[k][i] * own[k][j] * math.Expm1(p.cov.At(i, j))
				between := (own[k][i] - b.mean[i]) * (own[k][j] - b.mean[j])
				b.cov.SetSym(i, j, b.cov.At(i, j)+p.chance*(within+between))
			}
		}
	}
}

// Of returns what is known of a measure (plain name, without a side); ok is
// false where the survey has none of that name.
func (b Body) Of(measure string) (v Value, ok bool) {
	i := index(b.measures, measure)
	if i < 0 {
		return Value{}, false
	}
	v = Value{Mean: b.mean[i], SD: b.sd(i)}
	if r, given := b.reading(i); given {
		v.Mean, v.Given = r.value, true
	}
	return v, true
}

func (b Body) sd(i int) float64 { return math.Sqrt(max(0, b.cov.At(i, i))) }

// reading returns the wearer's own reading of measure i.
func (b Body) reading(i int) (reading, bool) {
	at := slices.IndexFunc(b.readings, func(r reading) bool { return r.measure == i && !r.side })
	if at < 0 {
		return reading{}, false
	}
	return b.readings[at], true
}

// Cov returns the covariance of two measures, mm² (kg·mm with weight), and 0
// for a name that the survey has not.
func (b Body) Cov(one, other string) float64 {
	i, j := index(b.measures, one), index(b.measures, other)
	if i < 0 || j < 0 {
		return 0
	}
	return b.cov.At(i, j)
}

// Sexes returns how likely the body is a woman's and a man's, by the readings
// (1 and 0 where the sex was given).
func (b Body) Sexes() (female, male float64) {
	for _, p := range b.parts {
		switch p.sex {
		case Female:
			female = p.chance
		case Male:
			male = p.chance
		}
	}
	return female, male
}

// belief returns what is known of measure i: normal about a reading, else a
// mixture of normals in the logarithms.
func (b Body) belief(i int) mixture {
	if r, given := b.reading(i); given {
		return mixture{hump{1, distuv.Normal{Mu: r.value, Sigma: b.sd(i)}}}
	}
	m := make(mixture, len(b.parts))
	for k, part := range b.parts {
		m[k] = hump{part.chance, distuv.Normal{Mu: part.mean[i], Sigma: math.Sqrt(max(0, part.cov.At(i, i)))}}
	}
	return m
}

// Quantile returns the value that the measure lies below with chance p, in
// (0, 1); NaN for a name that the survey has not. It is a quantile of the
// mixture of both sexes, which may have two humps, not of one normal.
func (b Body) Quantile(measure string, p float64) float64 {
	i := index(b.measures, measure)
	if i < 0 || !(p > 0 && p < 1) {
		return math.NaN()
	}
	q := b.belief(i).quantile(p)
	if _, given := b.reading(i); given {
		return q
	}
	return math.Exp(q)
}

// Below returns the chance that the measure is less than v (mm, kg); NaN for a
// name that the survey has not. It is what Quantile turns round.
func (b Body) Below(measure string, v float64) float64 {
	i := index(b.measures, measure)
	if i < 0 {
		return math.NaN()
	}
	if _, given := b.reading(i); !given {
		v = math.Log(max(0, v))
	}
	return b.belief(i).below(v)
}

// Within returns the ends of the interval that holds the measure with that
// chance, as likely below as above it; NaN as Quantile.
func (b Body) Within(measure string, chance float64) (low, high float64) {
	return b.Quantile(measure, (1-chance)/2), b.Quantile(measure, (1+chance)/2)
}

// mixture is a sum of normals whose chances sum to 1.
type mixture []hump

type hump struct {
	chance float64
	distuv.Normal
}

func (m mixture) below(x float64) (p float64) {
	for _, h := range m {
		p += h.chance * h.CDF(x)
	}
	return p
}

// quantile halves the interval between the least and the greatest quantile of
// the humps: the mixture's lies between. 50 halvings leave 1e-15 of it.
func (m mixture) quantile(p float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, h := range m {
		q := h.Quantile(p)
		low, high = min(low, q), max(high, q)
	}
	for range 50 {
		mid := (low + high) / 2
		if m.below(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// Odd is a reading that does not go with the others.
type Odd struct {
	Key       string  // as given: "calf_girth.left"
	Read      float64 // mm, kg
	Low, High float64 // where it was to be expected, 99 in 100
	Chance    float64 // of a reading at least as far out, among the survey's people
	// Wrong: no body of the survey has it, nor one near it.
	Wrong bool
	// Swapped is the reading with which this one would go together, and with all
	// others, if the two were exchanged; "" where there is none.
	Swapped string
}

const (
	// odd is the chance below which a reading is reported: one in a thousand, so
	// that a wearer who gave ten sees a false doubt in one case of a hundred.
	odd = 0.001
	// wrong is the chance below which a reading is taken for a slip, and slip how far, as
	// a share, it then lies outside of what was to be expected: shoulder breadths of 1988
	// lie up to 12 % below what the other measures of those people let expect. Of the 700
	// people that the summary knows nothing of, none has such a reading
	// (TestHonestBodiesAreNotWrong); measures in each other's line are off by a fifth and more.
	wrong, slip = 1e-5, 0.15
)

// Odds lists readings that hardly any body of the survey has that goes with the
// other readings, a slip of the tape or the pen more likely than not: first those that
// are wrong, each by what the others say without those before it, the worst first, then
// what is odd beside the rest, in the order of Measures. With one reading it says whether
// the survey has such people at all.
func (b Body) Odds() []Odd {
	var out []Odd
	for len(b.readings) > 0 {
		all := b.odds()
		worst := -1
		for i, o := range all {
			if o.Wrong && (worst < 0 || b.misfit(o.Key) > b.misfit(all[worst].Key)) {
				worst = i
			}
		}
		if worst < 0 {
			return append(out, all...)
		}
		all[worst].Swapped = b.swapped(all[worst].Key)
		out = append(out, all[worst])
		at := b.given(all[worst].Key)
		rest, err := estimate(b.measures, slices.Delete(slices.Clone(b.readings), at, at+1), b.sex())
		if err != nil { // what is left can be told apart as it could before
			return out
		}
		b = rest
	}
	return out
}

// odds is Odds of all readings at once, none of them Swapped.
func (b Body) odds() []Odd {
	var out []Odd
	for a, r := range b.readings {
		m := b.without(a)
		below := m.below(r.log)
		chance := 2 * min(below, 1-below)
		if chance >= odd {
			continue
		}
		o := Odd{Key: r.key, Read: r.value, Low: math.Exp(m.quantile(0.005)), High: math.Exp(m.quantile(0.995)), Chance: chance}
		o.Wrong = chance < wrong && (r.value < o.Low*(1-slip) || r.value > o.High*(1+slip))
		out = append(out, o)
	}
	return out
}

// given is the place of a reading, as it was given.
func (b Body) given(key string) int {
	return slices.IndexFunc(b.readings, func(r reading) bool { return r.key == key })
}

// misfit is how many standard deviations a reading lies from what the others say, by the
// sex that it fits best.
func (b Body) misfit(key string) float64 {
	a, least := b.given(key), math.Inf(1)
	for _, h := range b.without(a) {
		if h.chance > odd {
			least = min(least, math.Abs(b.readings[a].log-h.Mu)/h.Sigma)
		}
	}
	return least
}

// sex is the sex that was given.
func (b Body) sex() string {
	if len(b.parts) == 1 {
		return b.parts[0].sex
	}
	return ""
}

// isGirth says whether a reading goes round the body.
func isGirth(key string) bool {
	name, _ := parted(key)
	return strings.HasSuffix(name, "_girth")
}

// swapped is the reading that a wrong one was exchanged with: of all girths, or
// all lengths, with which none is odd any more once the two are, the one that then goes best with the others.
func (b Body) swapped(key string) string {
	at, found, best := b.given(key), "", math.Inf(-1)
	for i, r := range b.readings {
		if i == at || r.key == Weight || key == Weight || isGirth(r.key) != isGirth(key) {
			continue
		}
		given := map[string]float64{}
		for _, o := range b.readings {
			given[o.key] = o.value
		}
		given[key], given[r.key] = r.value, given[key]
		other, err := Estimate(given, b.sex())
		if err != nil || len(other.odds()) > 0 {
			continue
		}
		for _, p := range other.parts {
			if p.likely > best {
				found, best = r.key, p.likely
			}
		}
	}
	return found
}

// without returns what all readings but one say of that one.
func (b Body) without(a int) mixture {
	likely := make([]float64, len(b.parts))
	for k, p := range b.parts {
		likely[k] = p.likely - p.left[a].likely
	}
	m := make(mixture, len(b.parts))
	for k, c := range chances(likely) {
		l := b.parts[k].left[a]
		m[k] = hump{c, distuv.Normal{Mu: l.mean, Sigma: l.sd}}
	}
	return m
}

// Help is a measure that the wearer has not given, and what giving it would do.
type Help struct {
	Measure string
	Cut     float64 // share of the target's variance that it would take away, 0–1
	SD      float64 // of the target, left after it
}

// Helps ranks the measures that were not given by how much reading each would
// cut the uncertainty of a target, the greatest cut first. The target is a sum
// of measures, each times its factor: how much the answer changes a mm (or kg)
// of it, such as the slope of a scale in each girth. The cut is that of the
// best linear guess from the new reading, error of reading included; the
// mixture of sexes can only make it greater. An error names a measure that the
// survey has not.
func (b Body) Helps(target map[string]float64) ([]Help, error) {
	n := len(b.measures)
	slope := mat.NewVecDense(n, nil)
	for name, s := range target {
		i := index(b.measures, name)
		if i < 0 {
			return nil, fmt.Errorf("%q is no measure of the survey", name)
		}
		slope.SetVec(i, s)
	}
	var with mat.VecDense
	with.MulVec(b.cov, slope)
	all := mat.Dot(slope, &with)
	var out []Help
	for i, m := range b.measures {
		if _, given := b.reading(i); given || all <= 0 {
			continue
		}
		cut := with.AtVec(i) * with.AtVec(i) / (b.cov.At(i, i) + m.Tape*m.Tape)
		out = append(out, Help{m.Name, cut / all, math.Sqrt(max(0, all-cut))})
	}
	slices.SortStableFunc(out, func(a, b Help) int {
		switch {
		case a.Cut > b.Cut:
			return -1
		case a.Cut < b.Cut:
			return 1
		}
		return 0
	})
	return out, nil
}
