package tryon

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// decision is a choice between acts, before which tests can be made: the hours
// of the tests and the loss of the act together are to be least on average
// (Raiffa & Schlaifer 1961, Applied Statistical Decision Theory). What is by
// state is parallel to chance.
type decision struct {
	chance  []float64   // of each state
	probes  []probe     // tests that can be made, each once
	losses  [][]float64 // by act, then state; hours, not below 0
	again   [][]float64 // parallel to losses: the chance that it was in vain; nil where that is not asked
	longest int         // most tests one after another
	// chooses names the act to take in a state of mind though it need not be that of
	// least loss, −1 for that; nil where none is ever named.
	chooses func(k *knot) int
	// asks reports whether a test may still be made in a state of mind; nil where
	// every one may.
	asks func(k *knot, test int) bool

	knots map[string]*knot
	least []float64 // loss of the best act, by state
}

// probe is a test that can be made; a decision has up to 256, each with up to
// 256 answers.
type probe struct {
	hours  float64
	likely [][]float64 // by answer, then state
}

// knot is the state of mind after some answers, in whichever order they came.
// Its weights, losses and values are times how likely it is to get there.
type knot struct {
	seen    []mark
	weight  []float64
	mass    float64 // how likely it is to get there
	stop    float64 // loss of the act
	act     int     // the best one, or that which is chosen
	again   float64 // chance that it is in vain
	perfect float64 // loss if the state were then told

	solved bool
	value  float64 // least loss and hours from here on
	next   int     // test to make, -1 for none
}

// mark is a test made and its answer.
type mark struct{ probe, answer uint8 }

// a test must save more than this share of the hours at stake to be made:
// rounding is no reason.
const saves = 1e-9

// root is the state of mind before any test.
func (d *decision) root() *knot {
	if d.knots == nil {
		d.knots, d.least = map[string]*knot{}, slices.Clone(d.losses[0])
		for _, loss := range d.losses {
			for s, x := range loss {
				d.least[s] = min(d.least[s], x)
			}
		}
	}
	return d.knot(nil, func() []float64 { return d.chance })
}

// knot returns the state of mind after what was seen, worked out once.
func (d *decision) knot(seen []mark, weight func() []float64) *knot {
	key := make([]byte, 0, 2*len(seen))
	for _, m := range seen {
		key = append(key, m.probe, m.answer)
	}
	if k, ok := d.knots[string(key)]; ok {
		return k
	}
	k := &knot{seen: seen, weight: weight(), next: -1}
	k.stop, k.act = math.Inf(1), -1
	k.mass = floats.Sum(k.weight)
	for a, loss := range d.losses {
		if sum := floats.Dot(loss, k.weight); sum < k.stop {
			k.stop, k.act = sum, a
		}
	}
	if d.chooses != nil {
		if act := d.chooses(k); act >= 0 {
			k.stop, k.act = floats.Dot(d.losses[act], k.weight), act
		}
	}
	if d.again != nil {
		k.again = floats.Dot(d.again[k.act], k.weight)
	}
	if len(seen) < d.longest {
		k.perfect = floats.Dot(d.least, k.weight)
	} else {
		k.weight = nil // nothing comes after it
	}
	d.knots[string(key)] = k
	return k
}

// after are the states of mind after one more test, by its answer.
func (d *decision) after(k *knot, test int) []*knot {
	var out []*knot
	for answer, likely := range d.probes[test].likely {
		m := mark{uint8(test), uint8(answer)}
		at, _ := slices.BinarySearchFunc(k.seen, m, func(a, b mark) int {
			return cmp.Or(cmp.Compare(a.probe, b.probe), cmp.Compare(a.answer, b.answer))
		})
		out = append(out, d.knot(slices.Insert(slices.Clone(k.seen), at, m), func() []float64 {
			return floats.MulTo(make([]float64, len(likely)), k.weight, likely)
		}))
	}
	return out
}

// left are the tests that can still be made.
func (d *decision) left(k *knot) []int {
	var out []int
	if len(k.seen) == d.longest {
		return nil
	}
	for t := range d.probes {
		seen := slices.ContainsFunc(k.seen, func(m mark) bool { return int(m.probe) == t })
		if !seen && (d.asks == nil || d.asks(k, t)) {
			out = append(out, t)
		}
	}
	return out
}

// floor is a limit below which no state of mind can come: stop at once, or make
// at least the cheapest test and then know all.
func (d *decision) floor(k *knot) float64 {
	if len(k.seen) == d.longest {
		return k.stop
	}
	cheapest := math.Inf(1)
	for _, p := range d.probes {
		cheapest = min(cheapest, p.hours)
	}
	return min(k.stop, k.perfect+cheapest*k.mass)
}

// trial is a test that may be worth it, with the least that it can cost.
type trial struct {
	test  int
	least float64
	after []*knot
}

// solve finds the best test to make in a state of mind, and returns its least
// hours: dynamic programming backwards over the answers (Bellman 1957), the most
// promising test first, so that most others need no look ahead.
func (d *decision) solve(k *knot) float64 {
	if k.solved {
		return k.value
	}
	k.solved, k.value, k.next = true, k.stop, -1
	var trials []trial
	for _, t := range d.left(k) {
		hours := d.probes[t].hours * k.mass
		if hours+k.perfect >= k.stop {
			continue
		}
		tr := trial{test: t, least: hours, after: d.after(k, t)}
		for _, n := range tr.after {
			tr.least += d.floor(n)
		}
		trials = append(trials, tr)
	}
	slices.SortStableFunc(trials, func(a, b trial) int { return cmp.Compare(a.least, b.least) })
	for _, tr := range trials {
		limit := k.value - saves*k.stop
		sum := tr.least
		for _, n := range tr.after {
			if sum >= limit {
				break
			}
			sum += d.solve(n) - d.floor(n)
		}
		if sum < limit {
			k.value, k.next = sum, tr.test
		}
	}
	return k.value
}

// course is how a plan goes on average.
type course struct {
	hours float64 // of tests
	tests float64 // how many
	loss  float64 // of the act
	again float64 // chance that it was in vain
}

func (c course) plus(o course) course {
	return course{c.hours + o.hours, c.tests + o.tests, c.loss + o.loss, c.again + o.again}
}

// follow is the course of a rule that says the next test, -1 for none.
func (d *decision) follow(k *knot, next func(*knot) int) course {
	t := next(k)
	if t < 0 {
		return course{loss: k.stop, again: k.again}
	}
	c := course{hours: d.probes[t].hours * k.mass, tests: k.mass}
	for _, n := range d.after(k, t) {
		c = c.plus(d.follow(n, next))
	}
	return c
}

// best is the rule of the best plan.
func (d *decision) best(k *knot) int {
	d.solve(k)
	return k.next
}

// telling is, of some tests, the one after which hours and loss are least if
// none is made after it; -1 where none is left.
func (d *decision) telling(k *knot, among []int) int {
	best, least := -1, math.Inf(1)
	for _, t := range d.left(k) {
		if !slices.Contains(among, t) {
			continue
		}
		sum := d.probes[t].hours * k.mass
		for _, n := range d.after(k, t) {
			sum += n.stop
		}
		if sum < least {
			best, least = t, sum
		}
	}
	return best
}
