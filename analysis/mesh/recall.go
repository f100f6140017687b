package mesh

// recall guesses the corners of a facet from those of the facets before: many files
// list facets in strips and rows, where a corner was seen some corners ago, or
// follows the one that stood at its place four facets ago, if what was so the last
// time is so again. A guess is looked at, so no answer depends on it; one that is
// right saves a walk through the index. Where too many are wrong it rests for a
// while: a wrong one costs more than none.
type recall struct {
	last  [kept]uint32  // the numbers of the corners last seen, by their place modulo kept
	n     uint          // corners seen
	guess [period]guess // for each place in so many corners
	place uint          // of the next corner
	wrong int           // guesses, among the last few corners
	rest  int           // so many corners are not guessed
}

const (
	// period is after how many corners a row is expected to go on alike: four
	// facets, as many as a step along it has where two walls are listed at once.
	period = 12

	// kept is a power of two, and more than is looked back.
	kept = 32

	// Found by trial: with more than one in eight wrong guesses cost more than they
	// save.
	watched   = 1024 // corners
	mostWrong = watched / 8
	pause     = 16 * watched
)

// guess is that a corner is the one so far back, or the one numbered so much
// higher; none where back is 0.
type guess struct{ back, step uint8 }

// corner returns the number of a corner, as the index of the shard gives it.
func (sh *shard) corner(p point) uint32 { return sh.cornerOf(p.bits()) }

// cornerOf is corner for a place by its bits.
func (sh *shard) cornerOf(b pointBits) uint32 {
	r, at := &sh.recall, sh.ix.at
	if r.rest > 0 {
		r.rest--
		return sh.ix.corner(b.point())
	}
	g := &r.guess[r.place]
	v := r.last[(r.n-uint(g.back))%kept] + uint32(g.step)
	if g.back == 0 || uint(v) >= uint(len(at)) || at[v].differs(b) {
		if v = sh.ix.corner(b.point()); int(v) < len(at) {
			*g = r.learn(v)
			if r.wrong++; r.wrong > mostWrong {
				r.wrong, r.rest = 0, pause
			}
		}
	}
	r.saw(v)
	return v
}

// saw takes note of the next corner.
func (r *recall) saw(v uint32) {
	r.last[r.n%kept] = v
	if r.n++; r.n%watched == 0 {
		r.wrong = 0
	}
	if r.place++; r.place == period {
		r.place = 0
	}
}

// again returns where in last the corner is that the one behind so many others should
// be, false where none is guessed to be it.
func (r *recall) again(ahead uint) (at uint, ok bool) {
	g := r.guess[(r.place+ahead)%period]
	return (r.n + ahead - uint(g.back)) % kept, r.rest == 0 && g.back != 0 && g.step == 0
}

// learn returns what would have been the right guess for corner v.
func (r *recall) learn(v uint32) guess {
	for back := uint(1); back <= period+3; back++ {
		if r.last[(r.n-back)%kept] == v {
			return guess{uint8(back), 0}
		}
	}
	if step := v - r.last[(r.n-period)%kept]; step < 8 {
		return guess{period, uint8(step)}
	}
	return guess{}
}
