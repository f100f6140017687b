package grid

const (
	// shareBits is the number of bits of a count up to allShares.
	shareBits = 10
	// fewBits is the number of bits of a count of up to 31 directions: those of
	// one weight, or those in a plane of the frame.
	fewBits = 5
)

// few holds a number up to 31 for every voxel of some words, its bits side by
// side: bit b of the voxels of word i is few[i*fewBits+b].
type few []uint64

// sums holds a number up to allShares for every voxel of some words, its bits side
// by side.
type sums []uint64

// of returns the bits of the counts of word i.
func (c few) of(i int) *[fewBits]uint64 { return (*[fewBits]uint64)(c[i*fewBits:]) }

// of returns the bits of the counts of word i.
func (c sums) of(i int) *[shareBits]uint64 { return (*[shareBits]uint64)(c[i*shareBits:]) }

// addOne adds one to the count of every voxel of s, word by word.
func (c few) addOne(s []uint64) {
	for i, carry := range s {
		if carry == 0 {
			continue
		}
		p := c.of(i)
		p[0], carry = p[0]^carry, p[0]&carry
		p[1], carry = p[1]^carry, p[1]&carry
		p[2], carry = p[2]^carry, p[2]&carry
		p[3], carry = p[3]^carry, p[3]&carry
		p[4] ^= carry
	}
}

// addThree is addOne for three sets, at half of the cost.
func (c few) addThree(first, second, third []uint64) {
	second, third = second[:len(first)], third[:len(first)]
	for i, one := range first {
		two, three := second[i], third[i]
		either := one ^ two
		odd, most := either^three, one&two|either&three
		if odd|most == 0 {
			continue
		}
		p := c.of(i)
		carry := p[0] & odd
		p[0] ^= odd
		either = p[1] ^ most
		p[1], carry = either^carry, p[1]&most|either&carry
		p[2], carry = p[2]^carry, p[2]&carry
		p[3], carry = p[3]^carry, p[3]&carry
		p[4] ^= carry
	}
}

// addAll adds one for each of the sets.
func (c few) addAll(sets [][]uint64) {
	for ; len(sets) >= 3; sets = sets[3:] {
		c.addThree(sets[0], sets[1], sets[2])
	}
	for _, s := range sets {
		c.addOne(s)
	}
}

// add adds the counts of o.
func (c few) add(o few) { addCounts(c, o, fewBits) }

// addTimes adds the counts of o, each times a weight of at most fewBits bits.
func (c sums) addTimes(o few, weight uint) {
	for i := range len(o) / fewBits {
		q := o.of(i)
		if q[0]|q[1]|q[2]|q[3]|q[4] == 0 {
			continue
		}
		p := c.of(i)
		for first := range fewBits {
			if weight>>first&1 == 0 {
				continue
			}
			to := (*[fewBits]uint64)(p[first:])
			carry := to[0] & q[0]
			to[0] ^= q[0]
			sum := to[1] ^ q[1]
			to[1], carry = sum^carry, to[1]&q[1]|sum&carry
			sum = to[2] ^ q[2]
			to[2], carry = sum^carry, to[2]&q[2]|sum&carry
			sum = to[3] ^ q[3]
			to[3], carry = sum^carry, to[3]&q[3]|sum&carry
			sum = to[4] ^ q[4]
			to[4], carry = sum^carry, to[4]&q[4]|sum&carry
			for b := first + fewBits; carry != 0; b++ {
				p[b], carry = p[b]^carry, p[b]&carry
			}
		}
	}
}

// add adds the counts of o.
func (c sums) add(o sums) { addCounts(c, o, shareBits) }

// addCounts adds counts of so many bits to others.
func addCounts(c, o []uint64, bits int) {
	for i := 0; i < len(o); i += bits {
		carry := uint64(0)
		for b := i; b < i+bits; b++ {
			sum := c[b] ^ o[b]
			c[b], carry = sum^carry, c[b]&o[b]|sum&carry
		}
	}
}

// above returns the voxels of a word whose count, its bits in p, is greater than
// limit.
func above(p []uint64, limit uint) uint64 {
	more, same := uint64(0), ^uint64(0)
	for b := len(p) - 1; b >= 0; b-- {
		if limit>>b&1 == 0 {
			more |= same & p[b]
			same &^= p[b]
		} else {
			same &= p[b]
		}
	}
	return more
}
