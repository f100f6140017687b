package picture

import (
	"encoding/binary"
	"math/bits"
	"slices"

	"gambeson/analysis/pages"
)

// Pictures are packed in a way of their own, since most of one is a run of a single
// ink or what stands in the row above: only those two places are looked at for what
// comes next, where a packer of any data seeks it in all that came before. All of a
// picture is one block of RFC 1951, "DEFLATE Compressed Data Format Specification"
// (1996), whose numbers stand here too, with codes made for it.

// A repetition of fewer bytes or of more has no code.
const (
	leastRepeated = 3
	mostRepeated  = 258
)

// item is a byte, or else how many bytes are a repetition, added to what it repeats.
type item uint16

const (
	ofBefore item = 256 << (iota + 1) // of the byte before
	ofAbove                           // of the row above
)

var itemsAgain = pages.NewAgain[item]()

// itemsOf takes rows of so many bytes apart.
func itemsOf(rows []byte, wide int) []item {
	out := itemsAgain.Take(len(rows))[:0]
	for at := 0; at < len(rows); {
		run, same := 0, 0
		if at >= 1 {
			run = repeated(rows, at, 1)
		}
		if at >= wide && run < mostRepeated {
			same = repeated(rows, at, wide)
		}
		switch {
		case run >= leastRepeated && run >= same:
			out = append(out, ofBefore+item(run))
			at += run
		case same >= leastRepeated:
			out = append(out, ofAbove+item(same))
			at += same
		default:
			out = append(out, item(rows[at]))
			at++
		}
	}
	return out
}

// deflated appends rows of so many bytes to a file: two bytes at least, of one row.
func deflated(to, rows []byte, wide int) []byte {
	items := itemsOf(rows, wide)
	defer itemsAgain.Give(items)
	counts := [symbols]int{blockEnd: 1}
	for _, i := range items {
		counts[i.symbol()]++
	}
	lengths := codeLengths(counts[:])
	codes := codesOf(lengths)
	w := bitWriter{to: to}
	w.begin(lengths, rowSymbol(wide))
	before, above := code{0, 1}, code{1, 1}.then(spareOf(wide-1, 2)) // where they repeat from
	for _, i := range items {
		switch {
		case i < ofBefore:
			w.put(codes[i])
		case i < ofAbove:
			w.put(codes[i.symbol()].then(i.spare()))
			w.put(before)
		default:
			w.put(codes[i.symbol()].then(i.spare()))
			w.put(above)
		}
	}
	w.put(codes[blockEnd])
	return w.end()
}

// repeated is how many bytes from a place on are those that lie so far before them,
// at most as many as have a code.
func repeated(rows []byte, at, before int) int {
	here := rows[at:min(len(rows), at+mostRepeated)]
	there := rows[at-before:][:len(here)]
	n := 0
	for ; n+8 <= len(here); n += 8 {
		if differ := binary.LittleEndian.Uint64(here[n:]) ^ binary.LittleEndian.Uint64(there[n:]); differ != 0 {
			return n + bits.TrailingZeros64(differ)/8
		}
	}
	for n < len(here) && here[n] == there[n] {
		n++
	}
	return n
}

// Symbols are the bytes, the end of the block, and lengths from firstLength on, of
// which the last is that of the longest alone.
const (
	blockEnd    = 256
	firstLength = 257
	symbols     = 286
)

// symbol is that of a byte or of the length of a repetition.
func (i item) symbol() int {
	if i < ofBefore {
		return int(i)
	}
	return int(lengthSymbols[i&(ofBefore-1)])
}

// spare is what of the length of a repetition its symbol does not say.
func (i item) spare() code {
	n := int(i & (ofBefore - 1))
	if n == mostRepeated {
		return code{}
	}
	return spareOf(n-leastRepeated, 4)
}

// lengthSymbols are the symbols of repetitions by their length.
var lengthSymbols = func() (all [mostRepeated + 1]uint16) {
	for n := leastRepeated; n < mostRepeated; n++ {
		all[n] = uint16(firstLength + symbolOf(n-leastRepeated, 4))
	}
	all[mostRepeated] = symbols - 1
	return all
}()

// rowSymbol is the symbol of the distance to the row above. That to the byte before
// is 0.
func rowSymbol(wide int) int { return symbolOf(wide-1, 2) }

// symbolOf is the symbol of a length or of a distance, each counted from 0: there are so
// many for each doubling. What it does not say of its value follows in spare bits.
func symbolOf(value, each int) int {
	spare := spareBits(value, each)
	return spare*each + value>>spare
}

func spareOf(value, each int) code {
	spare := spareBits(value, each)
	return code{uint64(value & (1<<spare - 1)), uint(spare)}
}

func spareBits(value, each int) int { return max(0, bits.Len(uint(value))-bits.Len(uint(each))) }

// longest is how many bits the code of a symbol may have.
const longest = 15

// codeLengths are the lengths of codes for symbols that occur so often, two of them at
// least; 0 for those that do not. Each is the logarithm of its share, rounded up. Then
// the rarest get longer ones where that is too much for the room that codes share, and
// the most frequent shorter ones until nothing of it is left, as readers ask.
func codeLengths(counts []int) []int {
	lengths, total := make([]int, len(counts)), 0
	var used []int
	for s, n := range counts {
		total += n
		if n > 0 {
			used = append(used, s)
		}
	}
	slices.SortStableFunc(used, func(a, b int) int { return counts[b] - counts[a] })
	takes := func(s int) int { return 1 << (longest - lengths[s]) }
	room := 1 << longest
	for _, s := range used {
		for lengths[s] = 1; lengths[s] < longest && counts[s]<<lengths[s] < total; lengths[s]++ {
		}
		room -= takes(s)
	}
	for i := len(used) - 1; room < 0; i-- {
		for s := used[i]; room < 0 && lengths[s] < longest; lengths[s]++ {
			room += takes(s) / 2
		}
	}
	for room > 0 {
		for _, s := range used {
			if takes(s) <= room {
				room -= takes(s)
				lengths[s]--
			}
		}
	}
	return lengths
}

// code is what is written for something: so many bits, the lowest first.
type code struct {
	bits uint64
	n    uint
}

// then is a code and another after it.
func (c code) then(next code) code { return code{c.bits | next.bits<<c.n, c.n + next.n} }

// codesOf are the codes of such lengths: those of one length count upward, from what
// the shorter ones leave, and have their highest bit first.
func codesOf(lengths []int) []code {
	codes, next := make([]code, len(lengths)), uint64(0)
	for n := 1; n <= longest; n++ {
		for s, is := range lengths {
			if is == n {
				codes[s] = code{bits.Reverse64(next) >> (64 - n), uint(n)}
				next++
			}
		}
		next <<= 1
	}
	return codes
}

// bitWriter appends bits to bytes, the lowest first.
type bitWriter struct {
	to   []byte
	bits uint64 // not yet written
	n    uint   // how many, fewer than 32 between calls
}

// put writes a code of up to 32 bits.
func (w *bitWriter) put(c code) {
	w.bits |= c.bits << w.n
	w.n += c.n
	if w.n >= 32 {
		w.to = binary.LittleEndian.AppendUint32(w.to, uint32(w.bits))
		w.bits >>= 32
		w.n -= 32
	}
}

// end writes what is left, up to a whole byte.
func (w *bitWriter) end() []byte {
	for ; w.n > 0; w.n -= min(w.n, 8) {
		w.to = append(w.to, uint8(w.bits))
		w.bits >>= 8
	}
	return w.to
}

// begin begins the only block: it says how long the code of each symbol is, and
// that the two distances, to the byte before and to the row above, have one bit each.
// All lengths are written with four bits: a header of 170 bytes is short enough.
func (w *bitWriter) begin(lengths []int, row int) {
	w.put(code{1, 1}) // the last block
	w.put(code{2, 2}) // with codes of its own
	w.put(code{uint64(len(lengths) - firstLength), 5})
	w.put(code{uint64(row), 5}) // distances but one
	const kinds = 19
	w.put(code{kinds - 4, 4})
	for k := range kinds {
		bits := uint64(4)
		if k < 3 {
			bits = 0 // these repeat lengths
		}
		w.put(code{bits, 3})
	}
	length := func(n int) { w.put(code{bits.Reverse64(uint64(n)) >> 60, 4}) }
	for _, n := range lengths {
		length(n)
	}
	for distance := range row + 1 {
		n := 0
		if distance == 0 || distance == row {
			n = 1
		}
		length(n)
	}
}
