package grid

// Arena keeps the buffers of a search for the next one, because memory touched
// for the first time costs more than the work done in it. The zero Arena is
// empty and ready. One search at a time may use it.
type Arena struct {
	sets      []Set
	distances Distances
}

// Set returns an empty set of n words, the smallest kept one that holds them.
func (a *Arena) Set(n int) Set {
	best := -1
	for i, s := range a.sets {
		if cap(s) >= n && (best < 0 || cap(s) < cap(a.sets[best])) {
			best = i
		}
	}
	if best < 0 {
		return make(Set, n)
	}
	s := a.sets[best][:n]
	last := len(a.sets) - 1
	a.sets[best] = a.sets[last]
	a.sets = a.sets[:last]
	clear(s)
	return s
}

// GiveBack takes sets for another use.
func (a *Arena) GiveBack(sets ...Set) {
	for _, s := range sets {
		if cap(s) > 0 {
			a.sets = append(a.sets, s)
		}
	}
}

// takeDistances returns room for n distances, of any content.
func (a *Arena) takeDistances(n int) Distances {
	if cap(a.distances) < n {
		a.distances = make(Distances, n)
	}
	return a.distances[:n]
}
