package mesh

import (
	"math"
	"math/bits"
	"math/rand/v2"
)

// index gives every distinct corner one number, in the order of first
// appearance. Two corners are the same where their coordinates have the same
// bits, −0 counting as 0.
//
// It is a hash table made for memory that is slow: a corner's home is a line
// of eight slots (one cache line) chosen by the small cube of space it lies
// in, so that neighbours, which files list together, share a line; and a
// small front remembers the last corners seen, since each is asked for six
// times on average, mostly within a short time. Where a cube is crowded, as
// in a file made to be, the corner goes to a place chosen by its bits alone.
// No order of corners makes it slow: the hash is seeded anew each time, and
// the numbers do not depend on it.
type index struct {
	x, y, z []float32
	slots   []uint64 // hash in the upper half, number + 1 in the lower; 0 where free
	front   []recent // direct-mapped; the length is a power of two
	inverse float32  // 1 / edge of a cube
	seed    uint64
}

type recent struct {
	x, y, z float32
	number  uint32 // + 1
}

const (
	line   = 8 // slots; 64 bytes
	nearby = 8 // lines looked through before a crowded cube is given up

	// frontMost is the length of the largest front: its 128 KB leave half of
	// a usual second-level cache to what is being read.
	frontMost = 8192

	// cubeCorners is how many corners of a surface a cube should hold.
	// Found by trial: 2 to 6 differ little.
	cubeCorners = 3
)

// newIndex returns an index for about as many distinct corners as said, of
// facets of about the given area; both are guesses that only cost time where
// they are wrong.
func newIndex(corners int, facet float64) *index {
	size := 64
	for size < 2*corners {
		size *= 2
	}
	// A closed surface has half as many corners as facets.
	inverse := float32(1 / math.Sqrt(facet*2*cubeCorners))
	if !(inverse > 0 && inverse < math.MaxFloat32) {
		inverse = 1
	}
	room := corners + corners/8
	return &index{
		x: make([]float32, 0, room), y: make([]float32, 0, room), z: make([]float32, 0, room),
		slots:   make([]uint64, size),
		front:   make([]recent, min(size, frontMost)),
		inverse: inverse,
		seed:    rand.Uint64(),
	}
}

// corner returns the number of a corner, a new one where it was not seen yet.
func (ix *index) corner(x, y, z float32) uint32 {
	x, y, z = x+0, y+0, z+0 // −0 + 0 = 0 (IEEE 754, 6.3)
	h := ix.hash(x, y, z)
	r := &ix.front[h&uint64(len(ix.front)-1)]
	if r.x == x && r.y == y && r.z == z && r.number != 0 {
		return r.number - 1
	}
	slot, found := ix.slot(x, y, z, h)
	if !found {
		slot = ix.insert(x, y, z, h, slot)
	}
	number := uint32(ix.slots[slot])
	*r = recent{x, y, z, number}
	return number - 1
}

// find returns the number of a corner that was seen. It may be called by
// several goroutines while nobody calls corner.
func (ix *index) find(x, y, z float32) (uint32, bool) {
	slot, found := ix.slot(x, y, z, ix.hash(x, y, z))
	return uint32(ix.slots[slot]) - 1, found
}

// slot returns the slot of a corner, or the free one that is to be its own.
func (ix *index) slot(x, y, z float32, h uint64) (at uint64, found bool) {
	mask := uint64(len(ix.slots) - 1)
	at = ix.home(x, y, z) * line & mask
	for range nearby * line {
		s := ix.slots[at]
		if s == 0 {
			return at, false
		}
		if s>>32 == h>>32 && ix.is(uint32(s)-1, x, y, z) {
			return at, true
		}
		at = (at + 1) & mask
	}
	for at = h & mask; ; at = (at + 1) & mask {
		s := ix.slots[at]
		if s == 0 {
			return at, false
		}
		if s>>32 == h>>32 && ix.is(uint32(s)-1, x, y, z) {
			return at, true
		}
	}
}

// insert numbers a new corner, whose free slot is given, and returns its slot.
func (ix *index) insert(x, y, z float32, h, slot uint64) uint64 {
	if 8*len(ix.x) > 5*len(ix.slots) {
		ix.grow()
		slot, _ = ix.slot(x, y, z, h)
	}
	ix.x, ix.y, ix.z = append(ix.x, x), append(ix.y, y), append(ix.z, z)
	ix.slots[slot] = h>>32<<32 | uint64(len(ix.x))
	return slot
}

func (ix *index) grow() {
	ix.slots = make([]uint64, 2*len(ix.slots))
	for v := range ix.x {
		h := ix.hash(ix.x[v], ix.y[v], ix.z[v])
		slot, _ := ix.slot(ix.x[v], ix.y[v], ix.z[v], h)
		ix.slots[slot] = h>>32<<32 | uint64(v+1)
	}
}

func (ix *index) is(v uint32, x, y, z float32) bool {
	return ix.x[v] == x && ix.y[v] == y && ix.z[v] == z
}

// hash mixes the bits of a corner by one long multiplication, whose halves
// are folded; the seed keeps a file from being made to collide.
func (ix *index) hash(x, y, z float32) uint64 {
	xy := uint64(math.Float32bits(x))<<32 | uint64(math.Float32bits(y))
	high, low := bits.Mul64(xy^ix.seed, uint64(math.Float32bits(z))^0x9e3779b97f4a7c15^ix.seed>>7)
	return high ^ low
}

// home mixes the numbers of the cube that a corner lies in.
func (ix *index) home(x, y, z float32) uint64 {
	cx, cy, cz := int32(x*ix.inverse), int32(y*ix.inverse), int32(z*ix.inverse)
	h := uint64(uint32(cx))*0x9e3779b97f4a7c15 ^ uint64(uint32(cy))*0xbf58476d1ce4e5b9 ^ uint64(uint32(cz))*0x94d049bb133111eb
	return h ^ h>>29
}
