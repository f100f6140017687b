package analysis

import "gambeson/analysis/tryon"

// outgrown is by how much, as a share of a limit of a part's length, a part may be beyond
// it before it is worth nothing: the nearer to it the better where its girths ask for more
// (a guess: 14 mm of a boot of 280 mm, as much as toes are left at most).
const outgrown = 0.05

// HeededLengths are the lengths with a limit that is heeded in choosing a scale, their
// other limits 0: not those by which no scale would be left that the girths by the tape
// allow, since there these decide.
func (f *Fit) HeededLengths() (out []Length) {
	least := f.Smallest
	if f.Opened() {
		least = f.Rests
	}
	for _, l := range f.Lengths {
		if f.Loosest > 0 && l.Smallest > f.Loosest {
			l.Smallest = 0
		}
		if l.Largest < least {
			l.Largest = 0
		}
		if l.Smallest > 0 || l.Largest > 0 {
			out = append(out, l)
		}
	}
	return out
}

// worth is what a part at a scale is worth by its length, 0–1.
func (l *Length) worth(percent float64) float64 {
	off := 0.0
	if l.Smallest > 0 {
		off = max(off, (l.Smallest-percent)/(outgrown*l.Smallest))
	}
	if l.Largest > 0 {
		off = max(off, (percent-l.Largest)/(outgrown*l.Largest))
	}
	return max(0, 1-off)
}

// atLength adds to a question that the part has to suit the lengths of the body.
func (f *Findings) atLength(q *tryon.Question) {
	lengths := f.Fit.HeededLengths()
	if len(lengths) == 0 {
		return
	}
	q.Suits = func(percent float64) float64 {
		left := 1.0
		for i := range lengths {
			left = min(left, lengths[i].worth(percent))
		}
		return left
	}
}
