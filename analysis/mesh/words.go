package mesh

import (
	"io"
	"math"
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
	w.turn, w.used = !w.used, true
	for {
		buf, pos := w.buf[:w.end], w.pos
		for pos < len(buf) && blank[buf[pos]] {
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
			return w.word()
		}
		if w.err != nil {
			return nil
		}
		w.fill()
	}
}

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
	// Both the digits and the power of ten are exact in float64, so one
	// rounding gives the nearest float64 (Clinger 1990); rounding that again
	// is right unless it lies just between two float32.
	if digits < 1<<53 && exponent >= -22 && exponent <= 22 {
		v := float64(digits)
		if exponent < 0 {
			v /= tens[-exponent]
		} else {
			v *= tens[exponent]
		}
		const between, lost = 1 << 28, 1<<29 - 1
		tiny := v < 0x1p-126 && v != 0
		if math.Float64bits(v)&lost != between && !tiny {
			if negative {
				v = -v
			}
			return float32(v), true
		}
	}
	v, err := strconv.ParseFloat(string(word), 32)
	return float32(v), err == nil || math.IsInf(v, 0)
}

// tens are the powers of ten that float64 holds exactly.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// split takes a decimal number apart: digits · 10^exponent. Where there are
// too many digits, digits is 1<<63 and only ok is to be trusted.
func split(word []byte) (digits uint64, exponent int, negative, ok bool) {
	i := 0
	if i < len(word) && (word[i] == '-' || word[i] == '+') {
		negative = word[i] == '-'
		i++
	}
	const many = 1 << 59 // ten times this and a digit still fit
	seen, point := 0, -1
	for ; i < len(word); i++ {
		c := word[i]
		if c == '.' && point < 0 {
			point = seen
			continue
		}
		if c-'0' > 9 {
			break
		}
		seen++
		if digits < many {
			digits = 10*digits + uint64(c-'0')
		} else {
			digits = 1 << 63
		}
	}
	if seen == 0 {
		return 0, 0, false, false
	}
	if point >= 0 {
		exponent = point - seen
	}
	if i < len(word) {
		power, ok := power(word[i:])
		return digits, exponent + power, negative, ok
	}
	return digits, exponent, negative, true
}

// power returns the exponent behind the digits: e, sign and digits.
func power(word []byte) (int, bool) {
	if word[0]|0x20 != 'e' {
		return 0, false
	}
	word = word[1:]
	sign := 1
	if len(word) > 0 && (word[0] == '-' || word[0] == '+') {
		if word[0] == '-' {
			sign = -1
		}
		word = word[1:]
	}
	n := 0
	for _, c := range word {
		if c-'0' > 9 {
			return 0, false
		}
		n = min(10*n+int(c-'0'), 1<<20)
	}
	return sign * n, len(word) > 0
}
