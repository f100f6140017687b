package mesh

import "math"

// index gives every distinct corner one number, in the order of first
// appearance. Two corners are the same where their coordinates have the same
// bits, −0 counting as 0.
type index struct {
	x, y, z []float32
	slots   []uint32 // number + 1, 0 where free; the length is a power of two
}

func newIndex(vertices int) *index {
	n := 1024
	for n < 2*vertices {
		n *= 2
	}
	return &index{slots: make([]uint32, n)}
}

// corner returns the number of a corner, a new one where it was not seen yet.
func (ix *index) corner(x, y, z float32) uint32 {
	x, y, z = x+0, y+0, z+0 // −0 + 0 = 0 (IEEE 754, 6.3)
	mask := uint64(len(ix.slots) - 1)
	for i := hash3(x, y, z) & mask; ; i = (i + 1) & mask {
		n := ix.slots[i]
		if n == 0 {
			ix.slots[i] = uint32(len(ix.x) + 1)
			ix.x, ix.y, ix.z = append(ix.x, x), append(ix.y, y), append(ix.z, z)
			if 2*len(ix.x) > len(ix.slots) {
				ix.grow()
			}
			return uint32(len(ix.x) - 1)
		}
		if v := n - 1; ix.x[v] == x && ix.y[v] == y && ix.z[v] == z {
			return v
		}
	}
}

func (ix *index) grow() {
	ix.slots = make([]uint32, 2*len(ix.slots))
	mask := uint64(len(ix.slots) - 1)
	for v := range ix.x {
		i := hash3(ix.x[v], ix.y[v], ix.z[v]) & mask
		for ix.slots[i] != 0 {
			i = (i + 1) & mask
		}
		ix.slots[i] = uint32(v + 1)
	}
}

func hash3(x, y, z float32) uint64 {
	h := uint64(math.Float32bits(x))<<32 | uint64(math.Float32bits(y))
	h = (h ^ uint64(math.Float32bits(z))*0x9e3779b97f4a7c15) * 0xbf58476d1ce4e5b9
	h ^= h >> 32
	h *= 0x94d049bb133111eb
	return h ^ h>>29
}
