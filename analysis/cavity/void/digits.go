package void

import "slices"

// byDigits returns numbers sorted by their bits from the first on, equal ones in
// their order, and a slice to be used as spare next time; it uses up spare.
//
// They are sorted digit after digit from the lowest, each by counting (Knuth,
// The Art of Computer Programming 3, 5.2.5). The upper and the lower half of a
// number are coordinates of something small that may lie anywhere: counted from
// the least of each half only two of its three digits differ.
func byDigits(numbers, spare []uint64, first int) (sorted, other []uint64) {
	const half, width = 32, 11
	if first == 0 && len(numbers) < few {
		slices.Sort(numbers)
		return numbers, spare
	}
	least, most := ^uint64(0), uint64(0) // upper half
	leastLow, mostLow := least, most
	const lower = 1<<half - 1
	for _, n := range numbers {
		least, most = min(least, n>>half), max(most, n>>half)
		leastLow, mostLow = min(leastLow, n&lower), max(mostLow, n&lower)
	}
	spare = slices.Grow(spare[:0], len(numbers))[:len(numbers)]
	for _, part := range [2]struct {
		shift       int
		least, span uint64
	}{{0, leastLow, mostLow - leastLow}, {half, least, most - least}} {
		for low := 0; part.shift >= first && low < half && part.span>>low > 0; low += width {
			digit := func(n uint64) uint64 { return (n>>part.shift&lower - part.least) >> low % (1 << width) }
			var next [1 << width]uint32 // how many have each digit; then where the next of them goes
			for _, n := range numbers {
				next[digit(n)]++
			}
			sum := uint32(0)
			for d, count := range next {
				next[d] = sum
				sum += count
			}
			for _, n := range numbers {
				d := digit(n)
				spare[next[d]] = n
				next[d]++
			}
			numbers, spare = spare, numbers
		}
	}
	return numbers, spare
}

// few is how many numbers are faster sorted by comparing them.
const few = 200
