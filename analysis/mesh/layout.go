package mesh

import "math/bits"

// layout is how the program that wrote an ASCII STL prints a facet: what stands
// between its numbers is the same in every one. A facet that keeps to it is read
// without looking at each word.
type layout struct {
	gaps  [13]string // before each of the twelve numbers, and up to the word facet of the next
	lines int        // line ends in a facet
}

// facetWords are the words of a facet behind the word facet itself and up to that
// of the next; a number where empty.
var facetWords = [...]string{"normal", "", "", "", "outer", "loop", "vertex", "", "", "",
	"vertex", "", "", "", "vertex", "", "", "", "endloop", "endfacet", "facet"}

const (
	// lessons is how often a run of facets is looked at for its layout at most: a
	// file in which facets differ more often has none.
	lessons = 64
	// facetMost is how much of the text in front of it a facet may take to be read
	// by its layout.
	facetMost = 1024
)

// learn returns the layout of the facet that text begins with, behind the word
// facet, where it is one.
func learn(text []byte) (layout, bool) {
	var l layout
	from, at, numbers := 0, 0, 0
	for _, want := range facetWords {
		for at < len(text) && blank[text[at]] {
			if text[at] == '\n' || text[at] == '\r' && (at+1 == len(text) || text[at+1] != '\n') {
				l.lines++
			}
			at++
		}
		start := at
		for at < len(text) && !blank[text[at]] {
			at++
		}
		switch {
		case at == len(text) || start == 0: // perhaps cut short; not even begun
			return layout{}, false
		case want != "":
			if !is(text[start:at], want) {
				return layout{}, false
			}
			continue
		}
		// Numbers may be set flush right: one space is always there.
		end := start
		for end-2 >= from && text[end-1] == ' ' && text[end-2] == ' ' {
			end--
		}
		l.gaps[numbers] = string(text[from:end])
		from = at
		numbers++
	}
	l.gaps[numbers] = string(text[from:at])
	return l, true
}

// corners are what a facet's text gives of its three corners.
type corners [3]struct {
	point
	text   []byte // from its first number to its last
	number uint32 // where it is told by its text alone
	told   bool
}

// facet reads the facet that text begins with, behind the word facet, and returns
// its corners and its length up to behind the word facet of the next. A corner that
// is written like the one seen that r guesses is told by that, and its numbers are
// not read again; texts has how those in r.last are written, as far as that is at
// hand. The length is 0 where the facet does not keep to the layout, or
// holds anything that must be looked at more closely.
func (l *layout) facet(text []byte, r *recall, texts *[kept][]byte) (c corners, length int) {
	if l.gaps[0] == "" {
		return c, 0 // none was learnt
	}
	at := 0
	for k := 0; k < 12; k++ {
		gap := l.gaps[k]
		switch {
		case len(text)-at <= len(gap):
			return c, 0
		case len(gap) == 1: // as most are
			if text[at] != gap[0] {
				return c, 0
			}
		case string(text[at:at+len(gap)]) != gap:
			return c, 0
		}
		at += len(gap)
		for at < len(text) && text[at] == ' ' {
			at++
		}
		if k < 3 {
			at += wordLength(text[at:])
			continue
		}
		corner := &c[k/3-1]
		if k%3 == 0 {
			corner.text = text[at:]
			if i, ok := r.again(uint(k/3 - 1)); ok {
				if n := len(texts[i]); n > 0 && n < len(corner.text) && string(corner.text[:n]) == string(texts[i]) {
					corner.text, corner.number, corner.told = corner.text[:n], r.last[i], true
					at += n
					k += 2
					continue
				}
			}
		}
		v, n := numberAt(text[at:])
		if n == 0 {
			return c, 0
		}
		at += n
		switch k % 3 {
		case 0:
			corner.x = v
		case 1:
			corner.y = v
		default:
			corner.z = v
			corner.text = corner.text[:len(corner.text)-(len(text)-at)]
		}
	}
	gap := l.gaps[12]
	if len(text)-at <= len(gap) || string(text[at:at+len(gap)]) != gap || !blank[text[at+len(gap)]] {
		return c, 0
	}
	return c, at + len(gap)
}

// wordLength returns how many bytes text begins with that are no blanks, nor
// other characters that cannot be seen.
func wordLength(text []byte) int {
	n := 0
	for ; len(text)-n >= 8; n += 8 {
		const ones, tops = 0x0101010101010101, 0x8080808080808080
		x := eightBytes(text[n:])
		if low := (x - 0x21*ones) &^ x & tops; low != 0 { // bytes below 0x21, the first of which is exact
			return n + bits.TrailingZeros64(low)/8
		}
	}
	for n < len(text) && text[n] > ' ' {
		n++
	}
	return n
}
