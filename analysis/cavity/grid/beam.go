package grid

// Rays go through a grid layer by layer, those of all directions of one sense
// together, so that what they need of the layers behind them stays in the cache:
// a voxel is blocked in a direction where the next one along the ray is wall or
// blocked. A ray with a step of 2 passes two more voxels on its way, at half a
// step rounded down and up.
//
// The rows of a layer are taken as one long row. Moved along x by a bit or two,
// what runs out at the end of one runs into the bits that pad it or the next, where
// no voxel is.

// layer holds the voxels of all rows of one z, with rows of nothing before and
// after them, as far as a step goes, and a word more.
type layer []uint64

// reach is the longest step of a direction along an axis.
const reach = 2

// layerWords returns the number of words of a layer, and of the rows in it.
func (l lattice) layerWords() (all, rows int) {
	rows = l.ny * l.words
	return rows + 2*l.before(), rows
}

// before returns the number of words before the rows of a layer.
func (l lattice) before() int { return reach*l.words + 1 }

// rows returns the rows of y moved by dy in a layer.
func (l lattice) rows(s layer, dy int) []uint64 {
	return s[l.before()+dy*l.words:][:l.ny*l.words]
}

// walls holds the walls of the layer at hand and of the two ahead of it, and
// each moved along x: moved[k%3][2+dx] is that of the k-th layer moved by dx.
type walls struct {
	lattice
	moved [reach + 1][2*reach + 1]layer
	mask  []uint64 // the bits that are voxels, of all rows of a layer
}

// take adds the k-th layer on the way of the rays, which is that of z.
func (w *walls) take(k, z int, wall set) {
	n := w.ny * w.words
	plain := w.moved[k%3][reach]
	copy(w.rows(plain, 0), wall[z*n:][:n])
	for dx := -reach; dx <= reach; dx++ {
		if dx != 0 {
			w.move(w.rows(w.moved[k%3][reach+dx], 0), plain, dx)
		}
	}
}

// at returns the walls of the layer that lies dz ahead of the k-th, moved by
// dx, and by dy.
func (w *walls) at(k int, d step) []uint64 {
	if d.z < 0 {
		d.z = -d.z
	}
	return w.rows(w.moved[(k+2*d.z)%3][reach+d.x], d.y)
}

// move writes to out the rows of a layer moved by dx: bit x of out is bit x + dx
// of the same row.
func (w *walls) move(out []uint64, in layer, dx int) {
	low, shift := w.ahead(in, 0, dx)
	mask := w.mask[:len(out)]
	for i := range out {
		out[i] = word(low, i, shift) & mask[i]
	}
}

// word returns word i of what ahead returns, moved.
func word(low []uint64, i int, shift uint) uint64 {
	return low[i]>>(shift&63) | low[i+1]<<1<<(63-shift&63)
}

// ahead returns the words of a layer that a move by (dx, dy) begins with, and by
// how many bits it goes on: bit x of row y of the moved one is bit x + dx of row
// y + dy, word i of it low[i]>>shift, filled up from low[i+1].
func (w *walls) ahead(in layer, dy, dx int) (low []uint64, shift uint) {
	at := w.before() + dy*w.words
	if dx < 0 {
		at--
	}
	return in[at:][:w.ny*w.words+1], uint(dx) & 63
}

// beam is all rays of one direction.
type beam struct {
	step
	layers []layer // what is blocked in the layer at hand and those it is reckoned from, one after the other
}

// cast writes what is blocked in the k-th layer, and returns it.
func (b *beam) cast(k int, w *walls) []uint64 {
	to := b.layers[k%len(b.layers)]
	if b.z == 0 {
		b.castFlat(to, k, w)
		return w.rows(to, 0)
	}
	out := w.rows(to, 0)
	low, shift := w.ahead(b.layers[(k+1)%len(b.layers)], b.y, b.x)
	wall := w.at(k, b.step)[:len(out)]
	mask := w.mask[:len(out)]
	half, rest, between := b.passes()
	if !between {
		for i := range out {
			out[i] = (word(low, i, shift) | wall[i]) & mask[i]
		}
		return out
	}
	first, second := w.at(k, half)[:len(out)], w.at(k, rest)[:len(out)]
	for i := range out {
		out[i] = (word(low, i, shift) | wall[i] | first[i] | second[i]) & mask[i]
	}
	return out
}

// passes returns the two voxels that a ray passes on a step of 2.
func (d step) passes() (half, rest step, between bool) {
	half = step{d.x / 2, d.y / 2, d.z / 2}
	return half, step{d.x - half.x, d.y - half.y, d.z - half.z}, half != step{}
}

// castFlat is cast for a direction within the layer. There a row is reckoned
// from others of the same layer, which come before it.
func (b *beam) castFlat(to layer, k int, w *walls) {
	out := w.rows(to, 0)
	if b.y == 0 {
		w.castRows(out, w.at(k, step{}), b.x)
		return
	}
	half, rest, between := b.passes()
	copy(out, w.at(k, b.step))
	if between {
		merge(out, w.at(k, half))
		merge(out, w.at(k, rest))
	}
	first, by := 0, 1 // rows that others look ahead to come first
	if b.y > 0 {
		first, by = w.ny-1, -1
	}
	low, shift := w.ahead(to, b.y, b.x)
	for n, y := 0, first; n < w.ny; n, y = n+1, y+by {
		for i := y * w.words; i < (y+1)*w.words; i++ {
			out[i] = (out[i] | word(low, i, shift)) & w.mask[i]
		}
	}
}

// castRows is cast along the rows, dx = ±1.
func (w *walls) castRows(out, wall []uint64, dx int) {
	all := ^uint64(0)
	for r := 0; r < len(out); r += w.words {
		met := uint64(0)
		for n := range w.words {
			i := r + n
			if dx > 0 {
				i = r + w.words - 1 - n
				out[i] = met | down(wall[i], all)>>1
			} else {
				out[i] = met | up(wall[i], all)<<1
			}
			out[i] &= w.mask[i]
			if wall[i] != 0 {
				met = all
			}
		}
	}
}

// layers returns how many layers the rays of a direction need at once: the one at
// hand, and those ahead that it is reckoned from.
func (d step) layers() int { return max(d.z, -d.z) + 1 }
