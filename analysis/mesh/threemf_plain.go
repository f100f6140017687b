package mesh

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// Nearly all of a model part is elements like <vertex x="1" y="2" z="3"/>,
// one after the other. Read by encoding/xml each costs about 2 µs and fourteen
// allocations; the readers below take a tenth of that and allocate nothing. They know these elements in
// their plainest form only. Whatever else comes is left, untouched, to the
// decoder, which also says what is wrong with it: they never give an error
// about what the file says, and what they take the decoder would take alike.

// rows reads the children of the open vertices or triangles element: those in
// plain form by plain, the others by visit.
func (m *modelReader) rows(ctx context.Context, visit func(xml.StartElement) error, plain func([]byte) bool) error {
	return m.children(ctx, func(e xml.StartElement) error {
		if err := visit(e); err != nil {
			return err
		}
		if !m.plain {
			return nil
		}
		// The decoder has just read the end of an element: it holds nothing
		// back, and what follows is in m.in.
		for {
			lines, starved := m.in.elements(plain)
			m.skipped += lines
			if !starved {
				return nil
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			m.in.mark()
			if err := m.in.more(); err == io.EOF || err == errNoRoom {
				return nil // the decoder will meet it too, and knows what it means
			} else if err != nil {
				return m.broken(err)
			}
		}
	})
}

// elements takes the elements at the front of the buffer as long as plain
// does. It returns the number of lines passed, and whether it stopped because
// an element is not in the buffer to its end.
func (m *meter) elements(plain func([]byte) bool) (lines int, starved bool) {
	for {
		rest := m.buf[m.from:m.to]
		open := 0
		for open < len(rest) && isSpace(rest[open]) {
			open++
		}
		end := bytes.IndexByte(rest[open:], '>')
		if end < 0 {
			return lines, true
		}
		if !plain(rest[open : open+end+1]) {
			return lines, false
		}
		taken := rest[:open+end+1]
		lines += bytes.Count(taken, []byte{'\n'})
		m.from += len(taken)
	}
}

// plainVertex adds a vertex from an element in plain form.
func (m *modelReader) plainVertex(element []byte) bool {
	var p [3]float64
	ok := plainRow(element, "<vertex", func(name, value []byte) int {
		if len(name) != 1 || name[0] < 'x' || name[0] > 'z' {
			return -1
		}
		k := int(name[0] - 'x')
		x, ok := decimal(value)
		if !ok {
			return 3
		}
		p[k] = x * m.out.unit.Factor
		return k
	})
	if !ok || len(m.object.points) >= 3*m.limits.Triangles {
		return false
	}
	m.object.points = append(m.object.points, r3.Vec{X: p[0], Y: p[1], Z: p[2]})
	return true
}

// plainTriangle adds a triangle from an element in plain form.
func (m *modelReader) plainTriangle(element []byte) bool {
	o := m.object
	var v [3]uint32
	ok := plainRow(element, "<triangle", func(name, value []byte) int {
		if len(name) != 2 || name[0] != 'v' || name[1] < '1' || name[1] > '3' {
			return -1
		}
		n, err := strconv.ParseUint(string(value), 10, 32)
		if err != nil || n >= uint64(len(o.points)) {
			return 3
		}
		v[name[1]-'1'] = uint32(n)
		return int(name[1] - '1')
	})
	if !ok || v[0] == v[1] || v[1] == v[2] || v[2] == v[0] || len(o.faces)/3 >= m.limits.Triangles {
		return false
	}
	o.faces = append(o.faces, v[0], v[1], v[2])
	return true
}

// plainRow reads an empty element that begins with open. column takes an
// attribute and returns which of three columns it was, -1 for one that does
// not matter and anything else for one that is not plain. Each column must
// come once.
func plainRow(element []byte, open string, column func(name, value []byte) int) bool {
	rest, ok := bytes.CutPrefix(element, []byte(open))
	if !ok || !bytes.HasSuffix(rest, []byte("/>")) {
		return false
	}
	rest = rest[:len(rest)-2]
	seen := 0
	for {
		blanks := 0
		for blanks < len(rest) && isSpace(rest[blanks]) {
			blanks++
		}
		if rest = rest[blanks:]; len(rest) == 0 {
			return seen == 7
		}
		n := 0
		for n < len(rest) && (rest[n]-'a' < 26 || rest[n]-'0' < 10 && n > 0) {
			n++
		}
		if blanks == 0 || n == 0 || n+2 > len(rest) || rest[n] != '=' || rest[n+1] != '"' || string(rest[:n]) == "xmlns" {
			return false
		}
		end := n + 2
		for end < len(rest) && rest[end] != '"' {
			if c := rest[end]; c < ' ' || c > '~' || c == '&' || c == '<' {
				return false
			}
			end++
		}
		if end == len(rest) {
			return false
		}
		switch k := column(rest[:n], rest[n+2:end]); {
		case k > 2, k >= 0 && seen&(1<<k) != 0:
			return false
		case k >= 0:
			seen |= 1 << k
		}
		rest = rest[end+1:]
	}
}

// isSpace reports whether c is a blank of XML.
func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }
