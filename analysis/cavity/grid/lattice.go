package grid

import "math/bits"

// lattice is the shape of a box of voxels. Voxel (x, y, z) is bit x of row
// (y, z); a row is padded to whole words and by two bits at least, and the bits
// behind its end are 0 in every set.
type lattice struct {
	nx, ny, nz int
	words      int // words of a row
}

// set is a set of voxels of a lattice, row after row.
type set []uint64

func newLattice(nx, ny, nz int) lattice {
	return lattice{nx: nx, ny: ny, nz: nz, words: (nx + reach + 63) / 64}
}

// size returns the number of words of a set.
func (l lattice) size() int { return l.ny * l.nz * l.words }

// has reports whether a voxel is in s.
func (l lattice) has(s set, x, y, z int) bool {
	return s[(z*l.ny+y)*l.words+x>>6]>>(x&63)&1 != 0
}

// add puts a voxel into s.
func (l lattice) add(s set, x, y, z int) {
	s[(z*l.ny+y)*l.words+x>>6] |= 1 << (x & 63)
}

// drop takes a voxel out of s.
func (l lattice) drop(s set, x, y, z int) {
	s[(z*l.ny+y)*l.words+x>>6] &^= 1 << (x & 63)
}

// used returns the mask of the bits that are voxels in word i of a set.
func (l lattice) used(i int) uint64 {
	return ^uint64(0) >> uint(max(0, 64*(i%l.words+1)-l.nx))
}

// row returns the words of row (y, z), nil outside the lattice.
func (l lattice) row(s set, y, z int) []uint64 {
	if y < 0 || z < 0 || y >= l.ny || z >= l.nz {
		return nil
	}
	i := (z*l.ny + y) * l.words
	return s[i : i+l.words]
}

// each calls f for every voxel of s in the order of the rows.
func (l lattice) each(s set, f func(x, y, z int)) {
	i := 0
	for z := range l.nz {
		for y := range l.ny {
			for x := 0; x < 64*l.words; x += 64 {
				for w := s[i]; w != 0; w &= w - 1 {
					f(x+bits.TrailingZeros64(w), y, z)
				}
				i++
			}
		}
	}
}

// count returns the number of voxels in s.
func (s set) count() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// beside adds to out the voxels that share a face with s and are not in it.
func (l lattice) beside(out, s set) {
	row := make([]uint64, l.words)
	for z := range l.nz {
		for y := range l.ny {
			own, beside := l.row(s, y, z), l.row(out, y, z)
			for _, dx := range [2]int{-1, 1} {
				shift(row, own, dx)
				merge(beside, row)
			}
			for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				merge(beside, l.row(s, y+d[0], z+d[1]))
			}
		}
	}
	for i := range out {
		out[i] &= l.used(i) &^ s[i]
	}
}

// merge adds the voxels of in to out, row to row; in may be nil.
func merge(out, in []uint64) {
	for i, w := range in {
		out[i] |= w
	}
}

// spread adds to s every voxel of open that is joined to s through faces,
// starting from the rows listed (z·ny + y), which must hold all of s. Every voxel of s
// must be open.
func (l lattice) spread(s, open set, rows ...int32) {
	waiting := make([]bool, l.ny*l.nz)
	for _, r := range rows {
		waiting[r] = true
	}
	for len(rows) > 0 {
		r := rows[len(rows)-1]
		rows = rows[:len(rows)-1]
		waiting[r] = false
		y, z := int(r)%l.ny, int(r)/l.ny
		own := l.row(s, y, z)
		along(own, l.row(open, y, z))
		for _, n := range [4][2]int{{y - 1, z}, {y + 1, z}, {y, z - 1}, {y, z + 1}} {
			next, free := l.row(s, n[0], n[1]), l.row(open, n[0], n[1])
			grown := false
			for i := range next {
				if more := own[i] & free[i] &^ next[i]; more != 0 {
					next[i] |= more
					grown = true
				}
			}
			if q := int32(n[1]*l.ny + n[0]); grown && !waiting[q] {
				waiting[q] = true
				rows = append(rows, q)
			}
		}
	}
}

// along spreads s along one row within open.
func along(s, open []uint64) {
	var carry uint64
	for i := range s {
		s[i] = up(s[i]|carry&open[i], open[i])
		carry = s[i] >> 63
	}
	carry = 0
	for i := len(s) - 1; i >= 0; i-- {
		s[i] = down(s[i]|carry<<63&open[i], open[i])
		carry = s[i] & 1
	}
}

// up spreads the bits of s to higher ones within open, by doubling.
func up(s, open uint64) uint64 {
	for k := 1; k < 64; k *= 2 {
		s |= open & (s << k)
		open &= open << k
	}
	return s
}

// down spreads the bits of s to lower ones within open.
func down(s, open uint64) uint64 {
	for k := 1; k < 64; k *= 2 {
		s |= open & (s >> k)
		open &= open >> k
	}
	return s
}

// shift writes to out the row in moved by dx, so that bit x of out is bit
// x + dx of in, and 0 where that lies outside. |dx| < 64; out is not in.
func shift(out, in []uint64, dx int) {
	switch {
	case len(in) == 0:
		clear(out)
	case dx == 0:
		copy(out, in)
	case dx > 0:
		for i := range out {
			out[i] = in[i] >> dx
			if i+1 < len(in) {
				out[i] |= in[i+1] << (64 - dx)
			}
		}
	default:
		for i := range out {
			out[i] = in[i] << -dx
			if i > 0 {
				out[i] |= in[i-1] >> (64 + dx)
			}
		}
	}
}

// Arena keeps the buffers of a search for the next one, because memory touched
// for the first time costs more than the work done in it. The zero Arena is
// empty and ready. One search at a time may use it.
type Arena struct {
	sets      []set
	distances distances
}

// set returns an empty set of n words, the smallest kept one that holds them.
func (a *Arena) set(n int) set {
	best := -1
	for i, s := range a.sets {
		if cap(s) >= n && (best < 0 || cap(s) < cap(a.sets[best])) {
			best = i
		}
	}
	if best < 0 {
		return make(set, n)
	}
	s := a.sets[best][:n]
	last := len(a.sets) - 1
	a.sets[best] = a.sets[last]
	a.sets = a.sets[:last]
	clear(s)
	return s
}

// giveBack takes sets for another use.
func (a *Arena) giveBack(sets ...set) {
	for _, s := range sets {
		if cap(s) > 0 {
			a.sets = append(a.sets, s)
		}
	}
}

// takeDistances returns room for n distances, of any content.
func (a *Arena) takeDistances(n int) distances {
	if cap(a.distances) < n {
		a.distances = make(distances, n)
	}
	return a.distances[:n]
}
