package mesh

import (
	"encoding/binary"
	"io"
	"math"
	"math/bits"
	"strconv"
)

// blank marks the characters that separate words.
var blank = [256]bool{' ': true, '\t': true, '\r': true, '\n': true, '\v': true, '\f': true}

// words reads a text word by word in bounded memory, however long its lines
// or words are.
type words struct {
	r    io.Reader
	buf  []byte // buf[pos:end] is read but not yet used
	pos  int
	end  int
	read int64 // bytes read so far
	line int   // of the word last returned, from 1; line ends are LF, CR LF or CR
	cr   bool  // the character before pos was a CR
	turn bool  // the word last returned is the first of its line
	used bool  // a word was returned
	err  error // why there is no more to read, io.EOF at the end
}

// A words' buffer and the front of an index fit a usual second-level cache
// together. A word may be half as long as the buffer, the rest of a longer one
// is dropped.
const wordsLeast, wordsMost = 4 << 10, 128 << 10

// newWords returns the words of r, which has the given length. It need not
// begin with a byte order mark, but may.
func newWords(r io.Reader, length int64) *words {
	w := &words{r: r, buf: make([]byte, max(wordsLeast, min(length, wordsMost))), line: 1}
	w.fill()
	if w.end >= 3 && string(w.buf[:3]) == "\xef\xbb\xbf" {
		w.pos = 3
	}
	return w
}

// fill moves what is not yet used to the front and reads more behind it.
func (w *words) fill() {
	w.end = copy(w.buf, w.buf[w.pos:w.end])
	w.pos = 0
	for empty := 0; w.err == nil && w.end < len(w.buf); {
		n, err := w.r.Read(w.buf[w.end:])
		w.end, w.read, w.err = w.end+n, w.read+int64(n), err
		if n > 0 {
			return
		}
		if empty++; empty == 100 && err == nil {
			w.err = io.ErrNoProgress
		}
	}
}

// next returns the next word, nil where there is none; it holds until next is
// called again.
func (w *words) next() []byte {
	if !w.blanks() {
		return nil
	}
	return w.word()
}

// skip skips the next word where it is the keyword, written in lower case as
// nearly all are, and quickly read. Where it is not, false, and the next word
// is still to come.
func (w *words) skip(keyword string) bool {
	if !w.blanks() {
		return false
	}
	rest := w.buf[w.pos:w.end]
	n := len(keyword)
	if len(rest) <= n || string(rest[:n]) != keyword || !blank[rest[n]] {
		return false
	}
	w.pos += n
	return true
}

// blanks skips what is before the next word, and reports whether there is one.
func (w *words) blanks() bool {
	w.turn, w.used = !w.used, true
	for {
		buf, pos := w.buf[:w.end], w.pos
		for pos < len(buf) && blank[buf[pos]] {
			if n := spaces(buf[pos:]); n > 0 {
				pos, w.cr = pos+n, false
				continue
			}
			switch c := buf[pos]; {
			case c == '\n' && w.cr:
				w.cr = false
			case c == '\n', c == '\r':
				w.line++
				w.turn, w.cr = true, c == '\r'
			default:
				w.cr = false
			}
			pos++
		}
		w.pos = pos
		if pos < len(buf) {
			w.cr = false
			return true
		}
		if w.err != nil {
			return false
		}
		w.fill()
	}
}

// spaces returns how many spaces text begins with, of the first eight: lines are
// mostly indented.
func spaces(text []byte) int {
	if len(text) < 8 {
		return 0
	}
	const eight = 0x2020202020202020
	return bits.TrailingZeros64(eightBytes(text)^eight) / 8 // 64 where all are
}

// eightBytes returns the first eight bytes of text, the first one lowest.
func eightBytes(text []byte) uint64 { return binary.LittleEndian.Uint64(text) }

// last reports whether the word last returned reaches to the very end.
func (w *words) last() bool { return w.pos == w.end && w.err != nil }

// word returns the word that begins at pos.
func (w *words) word() []byte {
	start, stop := w.pos, w.pos
	for {
		for stop < w.end && !blank[w.buf[stop]] {
			stop++
		}
		if stop < w.end || w.err != nil {
			w.pos = stop
			return w.buf[start:stop]
		}
		if stop-start >= len(w.buf)/2 {
			return w.overlong()
		}
		length := stop - start
		w.fill()
		start, stop = 0, length
	}
}

// overlong returns the front of a word that is longer than half the buffer and
// three dots, so that nothing is mistaken for it, and drops the rest.
func (w *words) overlong() []byte {
	front := append([]byte(nil), w.buf[w.pos:w.pos+64]...)
	front = append(front, "..."...)
	for w.pos < w.end || w.err == nil {
		for w.pos < w.end && !blank[w.buf[w.pos]] {
			w.pos++
		}
		if w.pos < w.end {
			break
		}
		w.fill()
	}
	return front
}

// is reports whether word is keyword, which is in lower case, in any case.
func is(word []byte, keyword string) bool {
	if len(word) != len(keyword) {
		return false
	}
	for i := range word {
		if word[i]|0x20 != keyword[i] {
			return false
		}
	}
	return true
}

// number returns the float32 nearest to a decimal number, as
// strconv.ParseFloat does, but takes no names, hexadecimals or underscores.
// It is infinite where the number is too large.
func number(word []byte) (float32, bool) {
	digits, exponent, negative, ok := split(word)
	if !ok {
		return 0, false
	}
	if v, ok := nearest(digits, exponent, negative); ok {
		return v, true
	}
	v, err := strconv.ParseFloat(string(word), 32)
	return float32(v), err == nil || math.IsInf(v, 0)
}

// number returns the next word as a number, where it is one that is quickly
// read. Where it is not, false, and the next word is still to come.
func (w *words) number() (float32, bool) {
	text := w.buf[w.pos:w.end]
	for len(text) > 0 && text[0] == ' ' {
		text = text[1:]
	}
	v, n := numberAt(text)
	if n == 0 {
		return 0, false
	}
	w.pos = w.end - len(text) + n
	w.turn, w.cr = false, false
	return v, true
}

// numberAt returns the number that text begins with and its length, 0 where it is
// none that is quickly read, or where no blank follows it.
func numberAt(text []byte) (v float32, length int) {
	if v, length = scientificAt(text); length == 0 {
		v, length = plainAt(text)
	}
	return v, length
}

// plainAt is numberAt for numbers in any form.
func plainAt(text []byte) (v float32, length int) {
	digits, exponent, negative, end := decimalAt(text)
	if end == 0 || end >= len(text) || !blank[text[end]] {
		return 0, 0
	}
	v, ok := nearest(digits, exponent, negative)
	if !ok {
		return 0, 0
	}
	return v, end
}

// scientificAt is numberAt for numbers in the form that most programs print into
// text STL files, "%e" of C: a digit, a point, six digits and an exponent of two
// (ISO/IEC 9899, 7.23.6.1). The digits and small powers of ten are exact in float32,
// so that one rounding gives the nearest.
func scientificAt(text []byte) (v float32, length int) {
	if len(text) < 14 {
		return 0, 0
	}
	first := int(signs[text[0]]) // without a branch: nobody can guess it
	x, e := eightBytes(text[first:]), binary.LittleEndian.Uint32(text[first+8:])
	point, sign := x>>8&0xff, e>>8&0xff
	x = (x&^0xffff | x&0xff<<8 | '0') ^ zeroDigits // a zero in front instead of the point
	tens, ones := e>>16&0xff-'0', e>>24-'0'
	if noDigits(x) != 0 || point != '.' || e&0xdf != 'E' || sign != '+' && sign != '-' || tens > 9 || ones > 9 || !blank[text[first+12]] {
		return 0, 0
	}
	exponent := int(10*tens + ones)
	if sign == '-' {
		exponent = -exponent
	}
	v = float32(int32(valued(x)))
	switch exponent -= 6; {
	case exponent < -10 || exponent > 10:
		return 0, 0
	case exponent < 0:
		v /= tensIn32[-exponent]
	default:
		v *= tensIn32[exponent]
	}
	return math.Float32frombits(math.Float32bits(v) | minus[text[0]]), first + 12
}

// minus has the bit of a sign that is negative.
var minus = [256]uint32{'-': 1 << 31}

// tensIn32 are the powers of ten that float32 holds exactly.
var tensIn32 = [...]float32{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10}

// nearest returns the float32 nearest to digits · 10^exponent, where that can
// be told quickly: both the digits and the power of ten are exact in float64,
// so one rounding gives the nearest float64 (Clinger 1990), and rounding that
// again is right unless it lies just between two float32. (None of them is so
// small that float32 has fewer digits for it.)
func nearest(digits uint64, exponent int, negative bool) (float32, bool) {
	if digits >= 1<<53 || exponent < -22 || exponent > 22 {
		return 0, false
	}
	v := float64(digits)
	if exponent < 0 {
		v /= tens[-exponent]
	} else {
		v *= tens[exponent]
	}
	const lost, between = 1<<29 - 1, 1 << 28 // of the 52 bits float32 keeps 23
	if math.Float64bits(v)&lost == between {
		return 0, false
	}
	sign := uint32(0)
	if negative {
		sign = 1 << 31
	}
	return math.Float32frombits(math.Float32bits(float32(v)) | sign), true
}

// tens are the powers of ten that float64 holds exactly.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// split takes a decimal number apart, as decimalAt does, where word is one.
func split(word []byte) (digits uint64, exponent int, negative, ok bool) {
	digits, exponent, negative, end := decimalAt(word)
	return digits, exponent, negative, end > 0 && end == len(word)
}

// decimalAt takes apart the decimal number that text begins with, which is
// digits · 10^exponent, and returns where it ends, 0 where there is none.
// Where there are more digits than fit, digits is the largest number.
func decimalAt(text []byte) (digits uint64, exponent int, negative bool, end int) {
	i := 0
	if len(text) > 0 {
		negative = text[0] == '-'
		i = int(signs[text[0]]) // without a branch: nobody can guess it
	}
	first := i
	if len(text)-i >= 2 && text[i+1] == '.' && text[i]-'0' <= 9 { // as nearly all with an exponent
		digits = uint64(text[i] - '0')
		i++
	} else {
		digits, i = digitsAt(text, i, 0)
	}
	n := i - first
	if i < len(text) && text[i] == '.' {
		i++
		first = i
		digits, i = digitsAt(text, i, digits)
		exponent = first - i
		n += i - first
	}
	if n == 0 {
		return 0, 0, false, 0
	}
	if n > 19 {
		digits = math.MaxUint64
	}
	if i < len(text) && text[i]|0x20 == 'e' {
		ten, length := power(text[i+1:])
		if length == 0 {
			return 0, 0, false, 0
		}
		exponent, i = exponent+ten, i+1+length
	}
	return digits, exponent, negative, i
}

// signs has the length of a sign.
var signs = [256]uint8{'-': 1, '+': 1}

// digitsAt appends the digits of text from i on to those before, and returns where
// they end.
func digitsAt(text []byte, i int, before uint64) (digits uint64, end int) {
	digits = before
	for len(text)-i >= 8 {
		v, n := eightDigits(eightBytes(text[i:]))
		digits, i = digits*whole[n]+v, i+n
		if n < 8 {
			return digits, i
		}
	}
	for ; i < len(text) && text[i]-'0' <= 9; i++ {
		digits = 10*digits + uint64(text[i]-'0')
	}
	return digits, i
}

// eightDigits returns the number whose digits eight bytes begin with, the first
// byte lowest, and how many digits it has. All are taken at once: which byte is
// the first that is none cannot be guessed, and a wrong guess costs more.
func eightDigits(x uint64) (v uint64, n int) {
	x ^= zeroDigits
	n = bits.TrailingZeros64(noDigits(x)) / 8
	return valued(x << (64 - 8*n)), n // zeros in front
}

const zeroDigits = 0x3030303030303030 // eight characters 0

// noDigits shows by the highest bits where eight bytes hold more than 9; beyond the
// first of them it may be wrong.
func noDigits(x uint64) uint64 { return (x + 0x7676767676767676 | x) & 0x8080808080808080 }

// valued returns the number of eight digits, of which the first is in the lowest byte.
func valued(x uint64) uint64 {
	x = (10*x + x>>8) & 0x00ff00ff00ff00ff
	x = (100*x + x>>16) & 0x0000ffff0000ffff
	return (10_000*x + x>>32) & 0xffffffff
}

// whole are the powers of ten up to that of eight digits.
var whole = [...]uint64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8}

// power returns the power of ten behind an e, and how long it is, 0 where it
// is none.
func power(text []byte) (ten, length int) {
	i := 0
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		i++
	}
	first := i
	for ; i < len(text) && text[i]-'0' <= 9; i++ {
		ten = min(10*ten+int(text[i]-'0'), 1<<20) // far beyond any float
	}
	if i == first {
		return 0, 0
	}
	if text[0] == '-' {
		ten = -ten
	}
	return ten, i
}
