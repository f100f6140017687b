package tryon

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Question asks for one part whether a band is to be printed before it, and
// which. Scales are percent of the file as it lies.
type Question struct {
	// Capacity is the room in mm at the band's station at 100 %.
	Capacity float64
	// Smallest is the least scale that fits by what is known before any try-on,
	// and SD its standard deviation by what is not known of the body.
	Smallest, SD float64
	// Prefers is the standard deviation, in percent of the file, of the ease that
	// the wearer prefers (see PreferredEase). It moves what is answered, but is no
	// reason to print a part again until the wearer has said so: from a first answer
	// of tight or loose on, the need that is felt counts, and Give no more.
	Prefers float64
	// Strays is the standard deviation, in percent of the file, of what a band does
	// not tell of: that the part rests a little elsewhere on the body. No test takes
	// it away.
	Strays float64
	// Window is how far above the least scale the part is loose, in percent of the
	// file: loosest − smallest. +Inf where it is never loose. Where Others need a
	// part so large that it is loose here at any scale that suits them, it gets
	// padding, and is no looser than another up to Window above what they need.
	Window float64
	// Give is how far below it the part is still worn, in percent of the file.
	Give float64
	// Recommended is the scale that is taken without a test, as long as hardly any
	// other is likelier to fit; 0 takes the likeliest.
	Recommended float64
	// BandHours are those of the band, or of all that are tried on together, at a
	// scale.
	BandHours func(percent float64) float64
	// PartHours are those of the real print, lost where it does not fit.
	PartHours float64
	// Others is the chance, 0–1, that all other places of the part where something
	// rests have room at a scale; nil where there are none. It is taken to hold
	// whatever is found at the station.
	Others func(percent float64) float64
	// Suits is what is left of a part's worth at a scale, 0–1, whatever its girths: less
	// than all of it where it is too short or too long. Nil stands for 1.
	Suits func(percent float64) float64
	// Lead is how loose the part is elsewhere, where one of Others is the leading
	// measure; nil where none is.
	Lead *Lead
	// Upto is a scale up to which parts are looked at, though this station needs
	// less; 0 adds none.
	Upto float64
	// Told is a scale up to which Plan.Fits tells chances, though no part is
	// looked at there.
	Told float64
	// Gate says that the body only has to pass the station, and Passes is the
	// chance, 0–1, that it passes all others at a scale; nil where there are none.
	// A part that the body does not get into is not printed again but opened,
	// which costs the share Opening of PartHours.
	Gate    bool
	Passes  func(percent float64) float64
	Opening float64
	Tryons  []Answer
	// Complained says that the wearer found the like of it tight or loose for the other
	// side: what is felt counts as after an answer of its own.
	Complained bool
	Judge      Judge // the zero Judge stands for UsualJudge
	// Longest is the most bands one after another that are looked ahead; 0 stands for
	// three.
	Longest int
}

// Lead is what is believed of the leading measure of a part when another is asked
// about. Scales are percent of the file.
type Lead struct {
	Loosest []float64 // scales above which it is loose, of bodies equally likely
	Window  float64   // see Question.Window
	// Besides is the chance, 0–1, that all others of Question.Others have room at a
	// scale.
	Besides func(percent float64) float64
}

// PreferredEase is the standard deviation, in mm of girth, of the ease that one
// wearer wants and another does not, about the ease that is asked for (assumed,
// no source).
const PreferredEase = 8

// Sure is the chance of fitting from which on no more is asked: one print in
// twenty done again (assumed, no source).
const Sure = 0.95

// Plan says what to print next. Scales are percent of the file.
type Plan struct {
	// Next is the scale of the band to print first; 0 where the part itself is to
	// be printed.
	Next      float64
	BandHours float64 // of that band
	// Print is the scale to print the part at by what is known now, and Chance
	// that it fits then. Settled: Chance is at least Sure.
	Print   float64
	Chance  float64
	Settled bool
	// Fits is the chance that the part fits at each of many scales by what is known
	// now, the smallest scale first.
	Fits []Odds
	// Saved are the hours that the plan saves on average against printing the part
	// at once at Print. 0 where no test is worth it.
	Saved float64
	Bands float64 // printed on average
	// Then says what each answer to the next band leads to; nil without one.
	Then []Branch
	// Options are the ways to go on, with the hours of each: the part at once at
	// the recommended scale, at the likeliest, the best ladder of each number of
	// rungs, and the plan, the last.
	Options []Option
	// Smallest and SD are the least scale that fits, with all try-ons learnt.
	Smallest, SD float64
	// Lost is the expected hours of doing the part again, or opening it, without
	// more tests.
	Lost float64
}

// Odds is the chance that the part fits at a scale.
type Odds struct{ Percent, Chance float64 }

// Branch is what follows one answer.
type Branch struct {
	Verdict Verdict
	Likely  float64 // 0–1
	// Band is the scale of the next band, 0 where the part is printed then, at
	// Print with Chance to fit.
	Band   float64
	Print  float64
	Chance float64
}

// Kind tells options from each other.
type Kind string

// The ways to go on.
const (
	AsRecommended Kind = "as recommended" // the part at once, at Question.Recommended
	AtOnce        Kind = "at once"        // the part at once, at the likeliest scale
	Ladder        Kind = "ladder"         // bands at these percents till the part is settled
	Best          Kind = "best"           // the plan
)

// Option is one way to go on. All hours are averages.
type Option struct {
	Kind      Kind
	Percents  []float64 // of the part for those at once, of the rungs for a ladder
	TestHours float64
	Bands     float64
	Reprint   float64 // chance that the part must be printed again
	Hours     float64 // TestHours, Reprint × PartHours and what opening takes
}

// AsGood is how much less likely to fit a scale may be to be nearly as good as
// another: a recommended scale stays as long as no other is likelier by more, for two
// numbers for one thing help nobody. One part in fifty (a guess).
const AsGood = 0.02

const (
	usualLongest = 3
	mostBands    = 12  // scales of bands looked at
	mostScales   = 60  // scales of the part looked at
	mostNeeds    = 150 // needs told apart when planning
	setsScale    = 0.5 // percent: no scale is set finer
	// nearBand is how far from a band's scale the part may be printed where that band
	// fits, as a share of it: one that fits at 105 % is no reason to print at 101 % (a
	// guess; BenchmarkSuit counts with it 1.7 h of bands less for a suit and 0.4 h of
	// prints in vain more).
	nearBand = 0.02
	// Hours that a plan must save for a person to print a band, dress, undress and
	// write down the answer (a guess).
	worthTrouble = 0.25
	// A scale at which a band fits stays for less, and no band is asked for after it
	// from that chance of fitting on (guesses: of 0.01 and 0.97, 0.03 and 0.97, 0.02 and
	// 0.9 the first lost least in BenchmarkSuit).
	asGoodFits, fitsSure = 0.01, 0.97
)

// Station is what the question knows of its station, in mm.
func (q Question) Station() Station {
	j := q.Judge
	if j == (Judge{}) {
		j = UsualJudge()
	}
	return Station{Mean: q.mm(q.Smallest), SD: q.mm(math.Hypot(q.SD, q.Prefers)), Window: q.mm(q.Window), Judge: j, Answers: q.Tryons}
}

// mm is the capacity at a scale.
func (q Question) mm(percent float64) float64 { return q.Capacity * percent / 100 }

// percent is the scale with a capacity.
func (q Question) percent(mm float64) float64 { return 100 * mm / q.Capacity }

// check names what of a question cannot be reckoned with.
func (q Question) check() error {
	switch {
	case !(q.Capacity > 0) || math.IsInf(q.Capacity, 0):
		return fmt.Errorf("a capacity of %v mm; it must be above 0", q.Capacity)
	case !(q.Give >= 0):
		return fmt.Errorf("%v %% of give; it must be 0 or more", q.Give)
	case !(q.SD >= 0):
		return fmt.Errorf("a scale known to ± %v %%; it must be 0 or more", q.SD)
	case !(q.Strays >= 0):
		return fmt.Errorf("%v %% by which it strays; it must be 0 or more", q.Strays)
	case !(q.Prefers >= 0):
		return fmt.Errorf("a preferred ease of ± %v %%; it must be 0 or more", q.Prefers)
	case !(q.Opening >= 0 && q.Opening <= 1):
		return fmt.Errorf("a share of %v of the part to open it; it must be from 0 to 1", q.Opening)
	case !(q.Recommended >= 0) || math.IsInf(q.Recommended, 0):
		return fmt.Errorf("a recommended scale of %v %%; it must be 0 or more", q.Recommended)
	case !(q.PartHours > 0) || math.IsInf(q.PartHours, 0):
		return fmt.Errorf("%v hours for the part; they must be above 0", q.PartHours)
	case q.BandHours == nil:
		return fmt.Errorf("no hours of the band")
	case q.Longest < 0:
		return fmt.Errorf("at most %d bands; it must be 0 or more", q.Longest)
	}
	return q.Station().check()
}

// Plan answers the question from the try-ons of its own station.
func (q Question) Plan() (Plan, error) {
	if err := q.check(); err != nil {
		return Plan{}, err
	}
	b, err := Believe(q.Station())
	if err != nil {
		return Plan{}, err
	}
	return q.PlanBy(b)
}

// PlanBy answers the question by a belief that has learnt from other stations
// too (see Share). Its own try-ons are in it already; Question.Tryons only says
// which bands there are.
func (q Question) PlanBy(b *Belief) (Plan, error) {
	if err := q.check(); err != nil {
		return Plan{}, err
	}
	l, err := q.layout(b)
	if err != nil {
		return Plan{}, err
	}
	root := l.root()
	hours := l.solve(root)
	if root.stop-hours < worthTrouble {
		root.next, root.value, hours = -1, root.stop, root.stop
	}
	p := Plan{
		Print: l.scales[root.act], Chance: 1 - root.again, Lost: root.stop,
		Smallest: q.percent(b.Mean()), SD: q.percent(b.SD()),
		Saved: max(0, root.stop-hours),
	}
	if act := l.stays(root); act >= 0 {
		p.Print, p.Chance, p.Lost = l.scales[act], 1-floats.Dot(l.again[act], root.weight), floats.Dot(l.losses[act], root.weight)
	}
	for i, scale := range l.scales {
		if i != l.asked {
			p.Fits = append(p.Fits, Odds{scale, 1 - floats.Dot(l.again[i], root.weight)})
		}
	}
	p.Fits = append(p.Fits, l.beyond(b, root.weight)...)
	p.Settled = p.Chance >= Sure
	p.Options = l.options(root)
	p.Bands = p.Options[len(p.Options)-1].Bands
	if root.next >= 0 {
		p.Next, p.BandHours = l.bands[root.next], l.probes[root.next].hours
		p.Then = l.branches(root)
	}
	return p, nil
}

// layout is the question as a decision over needs.
type layout struct {
	decision
	q          Question
	bands      []float64 // parallel to probes, percent
	scales     []float64 // parallel to losses, percent
	asked      int       // of scales, the recommended one; -1 where none is
	complained bool      // the wearer has said tight or loose: what is felt counts from the start
	felt       outcome   // by the need as it is felt
	tight      map[float64][]float64
}

// outcome is what becomes of the part, by scale and then by need felt.
type outcome struct {
	losses [][]float64 // hours
	again  [][]float64 // chance that it is printed again
}

// layout lays out what can be tested and what can be printed.
func (q Question) layout(b *Belief) (*layout, error) {
	l := &layout{q: q, asked: -1, decision: decision{longest: q.Longest}}
	if l.longest == 0 {
		l.longest = usualLongest
	}
	wide := b.window
	if math.IsInf(wide, 1) {
		wide = 0
	}
	needs := b.merged()
	l.chance = needs.chance
	for _, p := range steps(q.percent(b.Quantile(0.02)), q.percent(b.Quantile(0.98)+wide), mostBands) {
		if q.tried(p) {
			continue // putting it on again costs nothing
		}
		hours := q.BandHours(p)
		if !(hours >= 0) || math.IsInf(hours, 0) {
			return nil, fmt.Errorf("%v hours for the band at %v %%; they must be 0 or more", hours, p)
		}
		l.bands = append(l.bands, p)
		l.probes = append(l.probes, probe{hours, b.answers(q.mm(p), needs)})
	}
	l.scales = steps(q.percent(b.Quantile(0.001))-q.Give, max(q.Upto, q.percent(b.Quantile(0.999)+wide)), mostScales)
	if len(l.scales) == 0 {
		return nil, fmt.Errorf("a need known to ± %.0f mm is too uncertain to plan by", b.SD())
	}
	if q.Recommended > 0 {
		l.asked = len(l.scales)
		l.scales = append(l.scales, q.Recommended)
	}
	l.asks, l.chooses = l.sensible, l.chosen
	l.tabulate()
	l.felt = l.outcome(b, needs, true)
	l.complained = q.Complained || slices.ContainsFunc(q.Tryons, func(a Answer) bool { return a.Verdict != Fits })
	worn := l.felt
	if !l.complained {
		worn = l.outcome(b, needs, false)
	}
	l.losses, l.again = worn.losses, worn.again
	return l, nil
}

// outcome reckons what becomes of the part at all scales, by the need that is felt or
// else by that of the body.
func (l *layout) outcome(b *Belief, n needs, felt bool) (out outcome) {
	l.tight = map[float64][]float64{}
	for _, p := range l.scales {
		loss, again := l.loss(b, n, p, felt)
		out.losses, out.again = append(out.losses, loss), append(out.again, again)
	}
	return out
}

// outcomes are those that count in a state of mind: what is felt where the wearer has
// complained.
func (l *layout) outcomes(k *knot) outcome {
	if l.complains(k) {
		return l.felt
	}
	return outcome{l.losses, l.again}
}

// complains reports whether one of the answers is that a band is tight or loose.
func (l *layout) complains(k *knot) bool {
	return l.complained || slices.ContainsFunc(k.seen, func(m mark) bool { return verdicts[m.answer] != Fits })
}

// chosen is the scale to print the part at after answers: that of a band that fits, and
// after a complaint the one that is likeliest to be felt to fit. Who finds a band tight
// is not told to print the part as tight, though it could be worn.
func (l *layout) chosen(k *knot) int {
	if len(k.seen) == 0 && len(l.q.Tryons) == 0 {
		return -1
	}
	if act := l.found(k); act >= 0 {
		return act
	}
	if l.complains(k) {
		return l.likeliest(k)
	}
	return -1
}

// stays returns the scale given where it is nearly as good as the best in a state of
// mind in which none was found to fit; −1 where it is not.
func (l *layout) stays(k *knot) int {
	if l.asked < 0 || l.found(k) >= 0 {
		return -1
	}
	losses := l.outcomes(k).losses
	if floats.Dot(losses[l.asked], k.weight) > floats.Dot(losses[k.act], k.weight)+AsGood*l.q.PartHours*k.mass {
		return -1
	}
	return l.asked
}

// found returns the best scale at which a band was found to fit, where it is nearly as
// good as the best of all; −1 where none is.
func (l *layout) found(k *knot) int {
	losses := l.outcomes(k).losses
	best, least := -1, math.Inf(1)
	fits := func(percent float64) {
		for act, scale := range l.scales {
			if math.Abs(scale-percent) < setsScale/2 {
				if sum := floats.Dot(losses[act], k.weight); sum < least {
					best, least = act, sum
				}
			}
		}
	}
	for _, a := range l.q.Tryons {
		if a.Verdict == Fits {
			fits(l.q.percent(a.Capacity))
		}
	}
	for _, m := range k.seen {
		if verdicts[m.answer] == Fits {
			fits(l.bands[m.probe])
		}
	}
	if best >= 0 && least > floats.Dot(losses[l.likeliest(k)], k.weight)+asGoodFits*l.q.PartHours*k.mass {
		return -1
	}
	return best
}

// likeliest returns the scale of the least loss by what counts in a state of mind.
func (l *layout) likeliest(k *knot) int {
	best, least := -1, math.Inf(1)
	for act, loss := range l.outcomes(k).losses {
		if sum := floats.Dot(loss, k.weight); sum < least {
			best, least = act, sum
		}
	}
	return best
}

// sensible reports whether a person would try a band after some answers: a larger one
// than what was tight, a smaller one than what was loose, and none once something
// fits and the part is sure enough to. An answer may be wrong, but then it shows when
// the same band is put on again, which costs no print.
func (l *layout) sensible(k *knot, test int) bool {
	fits := false
	after := func(v Verdict, percent float64) bool {
		fits = fits || v == Fits
		return v == Tight && l.bands[test] <= percent || v == Loose && l.bands[test] >= percent
	}
	for _, a := range l.q.Tryons {
		if after(a.Verdict, l.q.percent(a.Capacity)) {
			return false
		}
	}
	for _, m := range k.seen {
		if after(verdicts[m.answer], l.bands[m.probe]) {
			return false
		}
	}
	if fits && (k.mass == 0 || 1-k.again/k.mass >= fitsSure) {
		return false
	}
	then := l.after(k, test)[Fits.index()]
	return math.Abs(l.scales[then.act]-l.bands[test]) <= nearBand*l.bands[test]
}

// beyond is the chance that the part fits at scales above those that are looked
// at, up to Told, in steps as wide as theirs.
func (l *layout) beyond(b *Belief, weight []float64) (out []Odds) {
	n := len(l.scales)
	if l.asked >= 0 {
		n = l.asked
	}
	if n < 2 || l.q.Told <= l.scales[n-1] {
		return nil
	}
	needs, step := b.merged(), l.scales[n-1]-l.scales[n-2]
	for k := 1.0; k <= mostScales && l.scales[n-1]+(k-1)*step < l.q.Told; k++ {
		scale := l.scales[n-1] + k*step
		_, again := l.loss(b, needs, scale, l.complained)
		out = append(out, Odds{scale, 1 - floats.Dot(again, weight)})
	}
	return out
}

// tabulate makes what is asked again and again of the others quick to answer.
func (l *layout) tabulate() {
	low, high := slices.Min(l.scales), slices.Max(l.scales)
	if !math.IsInf(l.q.Window, 1) {
		low -= l.q.Window
	}
	if l.q.Lead != nil {
		lead := *l.q.Lead
		lead.Besides = tabled(lead.Besides, low-lead.Window, high)
		l.q.Lead = &lead
	}
	if l.q.Others != nil {
		l.q.Others = tabled(l.q.Others, low, high)
	}
}

// tabled is a chance by scale, read from a table between two scales. The spread
// of a need is never so small that its chance bends between two entries.
func tabled(f func(float64) float64, low, high float64) func(float64) float64 {
	const entries = 400
	at := make([]float64, entries+1)
	for i := range at {
		at[i] = f(low + (high-low)*float64(i)/entries)
	}
	return func(percent float64) float64 {
		x := entries * (percent - low) / (high - low)
		if !(x > 0 && x < entries) {
			return f(percent)
		}
		i := int(x)
		return at[i] + (x-float64(i))*(at[i+1]-at[i])
	}
}

// tried says whether there is a band of this scale already.
func (q Question) tried(percent float64) bool {
	for _, a := range q.Tryons {
		if math.Abs(q.percent(a.Capacity)-percent) < setsScale/2 {
			return true
		}
	}
	return false
}

// steps are up to so many scales between two, in plain numbers.
func steps(low, high float64, most int) []float64 {
	for _, step := range []float64{setsScale, 1, 2, 3, 4, 5, 10, 20, 50, 100, 200, 500, 1000} {
		first, last := math.Floor(low/step), math.Ceil(high/step)
		if last-first >= float64(most) {
			continue
		}
		var out []float64
		for i := max(1, first); i <= last; i++ {
			out = append(out, i*step)
		}
		return out
	}
	return nil
}

// needs are the needs told apart when planning: runs of steps of a belief.
type needs struct {
	chance []float64
	at     []float64 // mean of the run, mm
	window []float64 // in the middle of the run, mm
	run    [][2]int  // of steps
}

// merged joins the steps of a belief into runs.
func (b *Belief) merged() needs {
	var n needs
	const little = 1e-9 // at either end, what is left out
	first, last, sum := 0, len(b.weight), 0.0
	for ; sum+b.weight[first] < little; first++ {
		sum += b.weight[first]
	}
	for sum = 0; sum+b.weight[last-1] < little; last-- {
		sum += b.weight[last-1]
	}
	long := (last-first)/mostNeeds + 1
	total := 0.0
	for i := first; i < last; i += long {
		end := min(i+long, last)
		w, at := 0.0, 0.0
		for k := i; k < end; k++ {
			w += b.weight[k]
			at += b.weight[k] * b.at(k)
		}
		if w > 0 {
			n.chance, n.at, n.run = append(n.chance, w), append(n.at, at/w), append(n.run, [2]int{i, end})
			n.window = append(n.window, b.windowAt((i+end)/2))
			total += w
		}
	}
	for i := range n.chance {
		n.chance[i] /= total
	}
	return n
}

// answers are the chances of each verdict at a capacity, by need.
func (b *Belief) answers(capacity float64, n needs) [][]float64 {
	out := make([][]float64, len(verdicts))
	for i, need := range n.at {
		for k, p := range b.judge.chances(capacity, need, n.window[i]) {
			out[k] = append(out[k], p)
		}
	}
	return out
}

// loss is, by need felt, the hours lost on a part at a scale, and again the chance
// that it is printed again: where a place has too little room, or where the part
// is loose for nothing.
func (l *layout) loss(b *Belief, n needs, percent float64, felt bool) (loss, again []float64) {
	rests, passes, suits := 1.0, 1.0, 1.0
	if l.q.Suits != nil {
		suits = l.q.Suits(percent)
	}
	if l.q.Others != nil {
		rests = l.q.Others(percent)
	}
	if l.q.Passes != nil {
		passes = l.q.Passes(percent)
	}
	tight, slack := l.misfits(b, n, percent, felt)
	loose := l.looseElsewhere(b, n, percent, felt)
	for i, need := range n.at {
		holds, enters := rests-loose[i], passes
		if l.q.Gate { // a part that must be larger for it is opened instead
			enters *= 1 - tight[i]
		} else {
			holds -= rests * tight[i]
			if slack[i] > 0 {
				holds -= slack[i] * l.suited(l.q.percent(need+n.window[i]), percent)
			}
		}
		holds = suits * max(0, holds)
		again = append(again, 1-holds)
		loss = append(loss, l.q.PartHours*(1-holds*(1-l.q.Opening*(1-enters))))
	}
	return loss, again
}

// suited is the chance that a scale at which the part is loose here, as it is
// from loosest on, is larger than Others ask for.
func (l *layout) suited(loosest, percent float64) float64 {
	if l.q.Others == nil {
		return 1
	}
	return l.q.Others(max(loosest, percent-l.q.Window))
}

// looseElsewhere is, by need felt, the chance that a scale is loose at the leading
// measure for nothing, where that is not the one asked about.
func (l *layout) looseElsewhere(b *Belief, n needs, percent float64, felt bool) []float64 {
	out := make([]float64, len(n.at))
	if l.q.Lead == nil {
		return out
	}
	each := 1 / float64(len(l.q.Lead.Loosest))
	for _, loosest := range l.q.Lead.Loosest {
		if percent <= loosest {
			continue
		}
		at := max(loosest, percent-l.q.Lead.Window)
		tight := l.tightAt(b, n, at, felt)
		besides := each * l.q.Lead.Besides(at)
		for i := range out {
			if l.q.Gate {
				out[i] += besides
			} else {
				out[i] += besides * (1 - tight[i])
			}
		}
	}
	return out
}

// tightAt remembers what misfits says of being tight at a scale, in one outcome.
func (l *layout) tightAt(b *Belief, n needs, percent float64, felt bool) []float64 {
	if known, ok := l.tight[percent]; ok {
		return known
	}
	tight, _ := l.misfits(b, n, percent, felt)
	l.tight[percent] = tight
	return tight
}

// misfits is, by need felt, the chance that a scale is too tight at the station,
// and that it is loose there: as that is felt, or else by the need without what is
// only preferred. Of a need felt as so much, that other is normal about its regression
// (closed form of two normal variables of which the sum is known).
func (l *layout) misfits(b *Belief, n needs, percent float64, felt bool) (tight, loose []float64) {
	room, high := l.q.mm(percent), l.q.mm(percent)+l.q.mm(l.q.Give)
	mean, body, prefers, strays := l.q.mm(l.q.Smallest), l.q.mm(l.q.SD), l.q.mm(l.q.Prefers), l.q.mm(l.q.Strays)
	if felt {
		high, prefers = room, 0
	}
	switch {
	case prefers == 0 && strays == 0:
		for _, run := range n.run {
			w, above, below := 0.0, 0.0, 0.0
			for i := run[0]; i < run[1]; i++ {
				w += b.weight[i]
				above += b.weight[i] * (1 - b.share(i, math.Inf(-1), high))
				below += b.weight[i] * (1 - b.share(i, room-b.windowAt(i), math.Inf(1)))
			}
			tight, loose = append(tight, min(1, above/w)), append(loose, min(1, below/w))
		}
	default:
		share := 1.0
		if prefers > 0 {
			share = body * body / (body*body + prefers*prefers)
		}
		sd := math.Hypot(math.Sqrt(share)*prefers, strays)
		for i, feels := range n.at {
			need := mean + share*(feels-mean)
			tight, loose = append(tight, beyond(need-high, sd)), append(loose, beyond(room-n.window[i]-need, sd))
		}
	}
	return tight, loose
}

// branches are what follows the next band.
func (l *layout) branches(root *knot) []Branch {
	var out []Branch
	for i, k := range l.after(root, root.next) {
		if k.mass == 0 {
			continue
		}
		l.solve(k)
		b := Branch{Verdict: verdicts[i], Likely: k.mass, Print: l.scales[k.act], Chance: 1 - k.again/k.mass}
		if k.weight != nil {
			b.Chance = 1 - floats.Dot(l.outcomes(k).again[k.act], k.weight)/k.mass
		}
		if k.next >= 0 {
			b.Band = l.bands[k.next]
		}
		out = append(out, b)
	}
	return out
}
