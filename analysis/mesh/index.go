package mesh

import (
	"math"
	"math/bits"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// index gives every distinct corner one number, in the order of first
// appearance. Two corners are the same where their coordinates have the same
// bits, −0 counting as 0.
//
// It is a hash table made for memory that is slow: a corner's home is a line
// of sixteen slots (one cache line) chosen by the small cube of space it lies
// in, so that neighbours, which files list together, share a line. Where in the
// line the corner is looked for first, its bits say: from the start of the line
// several others would be passed, a number of them that no processor guesses. A
// small front remembers the last corners seen, since each is asked for six
// times on average, mostly within a short time. Where a cube is crowded, as
// in a file made to be, the corner goes to a place chosen by its bits alone.
// No order of corners makes it slow: the hash is seeded anew each time, and
// the numbers do not depend on it.
type index struct {
	at      []corner // by number
	slots   []uint32 // number + 1, above it as much of the hash as there is room for; 0 where free
	digits  uint     // bits of a slot that are the number's: the length of slots is 2 to that
	front   []recent // direct-mapped; the length is a power of two
	inverse float32  // 1 / edge of a cube
	seed    uint64
}

// corner is a corner that was seen. (What is asked of one lies together, not in
// columns, since each look is a walk to memory.)
type corner struct {
	point
	drawn uint32 // a number as if drawn at random, the same in every index of a file
	left  uint32 // what its facets leave of the numbers of its neighbours: see shard.add
}

// point is a corner's place.
type point struct{ x, y, z float32 }

func (p point) vec() r3.Vec { return r3.Vec{X: float64(p.x), Y: float64(p.y), Z: float64(p.z)} }

// finite reports whether all three coordinates are finite numbers.
func (p point) finite() bool {
	return p.x-p.x+(p.y-p.y)+(p.z-p.z) == 0 // ∞ − ∞ is NaN, which equals nothing
}

// pointBits is a point as a file has it: the bits of float32.
type pointBits struct{ x, y, z uint32 }

func (p point) bits() pointBits {
	return pointBits{math.Float32bits(p.x), math.Float32bits(p.y), math.Float32bits(p.z)}
}

func (b pointBits) point() point {
	return point{math.Float32frombits(b.x), math.Float32frombits(b.y), math.Float32frombits(b.z)}
}

// differs reports whether a point has other bits.
func (p point) differs(b pointBits) bool {
	return (math.Float32bits(p.x)^b.x)|(math.Float32bits(p.y)^b.y)|(math.Float32bits(p.z)^b.z) != 0
}

type recent struct {
	point
	number uint32 // + 1
}

const (
	line   = 16 // slots; 64 bytes
	nearby = 3  // lines looked through before a crowded cube is given up

	// frontMost is the length of the largest front: its 128 KB leave half of
	// a usual second-level cache to what is being read.
	frontMost = 8192

	// cubeCorners is how many corners of a surface a cube should hold.
	// Found by trial: with 3 reading takes a tenth longer, 5 to 8 differ little.
	cubeCorners = 8
)

// newIndex returns an index for about as many distinct corners as said, of
// facets of about the given area; both are guesses that only cost time where
// they are wrong. The seed is drawn anew for each file, so that none can be made to
// collide.
func newIndex(corners int, facet float64, seed uint64) *index {
	digits := uint(6)
	for 1<<digits < 2*corners {
		digits++
	}
	// A closed surface has half as many corners as facets.
	inverse := float32(1 / math.Sqrt(facet*2*cubeCorners))
	if !(inverse > 0 && inverse < math.MaxFloat32) {
		inverse = 1
	}
	room := corners + corners/8
	return &index{
		at:      pages.Room[corner](room),
		slots:   pages.Make[uint32](1 << digits),
		digits:  digits,
		front:   make([]recent, min(1<<digits, frontMost)),
		inverse: inverse,
		seed:    seed,
	}
}

// corner returns the number of a corner, a new one where it was not seen yet.
func (ix *index) corner(p point) uint32 {
	p = point{p.x + 0, p.y + 0, p.z + 0} // −0 + 0 = 0 (IEEE 754, 6.3)
	h := ix.hash(p)
	r := &ix.front[h&uint64(len(ix.front)-1)]
	if r.point == p && r.number != 0 {
		return r.number - 1
	}
	slot, found := ix.slot(p, h)
	if !found {
		slot = ix.insert(p, h, slot)
	}
	number := ix.slots[slot] & (1<<ix.digits - 1)
	*r = recent{p, number}
	return number - 1
}

// touch brings the slot where a corner is looked for first into the cache.
func (ix *index) touch(p point) uint32 { return ix.slots[ix.home(p)*line&uint64(len(ix.slots)-1)] }

// find returns the number of a corner that was seen. It may be called by
// several goroutines while nobody calls corner.
func (ix *index) find(p point) (uint32, bool) {
	slot, found := ix.slot(p, ix.hash(p))
	return ix.slots[slot]&(1<<ix.digits-1) - 1, found
}

// slot returns the slot of a corner, or the free one that is to be its own.
func (ix *index) slot(p point, h uint64) (at uint64, found bool) {
	mask, numbers, tag := uint64(len(ix.slots)-1), uint32(1)<<ix.digits-1, ix.tag(h)
	at = (ix.home(p)*line + h>>24%line) & mask
	for range nearby * line {
		s := ix.slots[at]
		if s == 0 {
			return at, false
		}
		if s&^numbers == tag && ix.at[s&numbers-1].point == p {
			return at, true
		}
		at = (at + 1) & mask
	}
	for at = h & mask; ; at = (at + 1) & mask {
		s := ix.slots[at]
		if s == 0 {
			return at, false
		}
		if s&^numbers == tag && ix.at[s&numbers-1].point == p {
			return at, true
		}
	}
}

// insert numbers a new corner, whose free slot is given, and returns its slot.
func (ix *index) insert(p point, h, slot uint64) uint64 {
	if 8*len(ix.at) > 5*len(ix.slots) {
		ix.grow()
		slot, _ = ix.slot(p, h)
	}
	ix.at = append(ix.at, corner{point: p, drawn: uint32(h)})
	ix.slots[slot] = ix.tag(h) | uint32(len(ix.at))
	return slot
}

// grow doubles the room. There are more corners than was thought, so the
// cubes were chosen too large as well.
func (ix *index) grow() {
	if finer := ix.inverse * math.Sqrt2; finer < math.MaxFloat32 {
		ix.inverse = finer
	}
	ix.digits++
	ix.slots = pages.Make[uint32](1 << ix.digits)
	for v, c := range ix.at {
		h := ix.hash(c.point)
		slot, _ := ix.slot(c.point, h)
		ix.slots[slot] = ix.tag(h) | uint32(v+1)
	}
}

// tag is the part of a hash that a slot has room for, in its place there.
func (ix *index) tag(h uint64) uint32 { return uint32(h>>32) &^ (1<<ix.digits - 1) }

// hash mixes the bits of a corner by one long multiplication, whose halves
// are folded; the seed keeps a file from being made to collide.
func (ix *index) hash(p point) uint64 {
	xy := uint64(math.Float32bits(p.x))<<32 | uint64(math.Float32bits(p.y))
	high, low := bits.Mul64(xy^ix.seed, uint64(math.Float32bits(p.z))^0x9e3779b97f4a7c15^ix.seed>>7)
	return high ^ low
}

// home mixes the numbers of the cube that a corner lies in.
func (ix *index) home(p point) uint64 {
	cx, cy, cz := int32(p.x*ix.inverse), int32(p.y*ix.inverse), int32(p.z*ix.inverse)
	h := uint64(uint32(cx))*0x9e3779b97f4a7c15 ^ uint64(uint32(cy))*0xbf58476d1ce4e5b9 ^ uint64(uint32(cz))*0x94d049bb133111eb
	return h ^ h>>29
}
