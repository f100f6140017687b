package mesh

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// readsByLayout fails where a text read by layouts is not what is read word by
// word: the facets, the solids, the line at which reading ended, and the error.
func readsByLayout(t *testing.T, text string) {
	t.Helper()
	read := func(taken int) (*asciiPart, error) {
		p := &asciiPart{lessons: taken, shard: shard{ix: newIndex(8, 1, 3)}, words: newWords(strings.NewReader(text), int64(len(text)))}
		return p, p.solidsAndFacets(t.Context(), false, true, Limits{Triangles: 300})
	}
	quick, err := read(0)
	plain, plainErr := read(lessons)
	require.Equal(t, plainErr, err)
	require.Equal(t, plain.t, quick.t)
	require.Equal(t, plain.ix.at, quick.ix.at)
	require.Equal(t, [3]int{plain.solids, plain.skipped, plain.words.line}, [3]int{quick.solids, quick.skipped, quick.words.line})
}

// oneLayout returns how many facets of a text in a row keep to the layout of the
// first.
func oneLayout(text string) int {
	at := strings.Index(strings.ToLower(text), "facet") + len("facet")
	l, ok := learn([]byte(text[at:]))
	for n := 0; ok; n++ {
		_, length := l.facet([]byte(text[at:]), &recall{}, new([kept][]byte))
		if at += length; length == 0 {
			return n
		}
	}
	return 0
}

// However a program prints facets, and whatever is wrong with one of them, it is
// read as it would be word by word; where nothing is wrong, by their layout.
func TestLayoutsReadAsWords(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 1))
	prints := map[string]struct {
		facet, vertex, end string
		slow               bool // has no layout
	}{
		"usual":       {" facet normal %g %g %g\n  outer loop\n", "   vertex %g %g %g\n", "  endloop\n endfacet\n", false},
		"exponents":   {"facet normal %e %e %e\nouter loop\n", "vertex %e %e %e\n", "endloop\nendfacet\n", false},
		"tabs, CR LF": {"\tFACET NORMAL %g %g %g\r\n\tOUTER LOOP\r\n", "\t\tVERTEX %.4f %.4f %.4f\r\n", "\tENDLOOP\r\nENDFACET\r\n", false},
		"CR":          {"facet normal %g %g %g\router loop\r", "vertex %g %g %g\r", "endloop\rendfacet\r", false},
		"flush right": {"facet normal %9.4f %9.4f %9.4f\n outer loop\n", " vertex %14.6e %14.6e %14.6e\n", " endloop\nendfacet\n", false},
		"one line":    {"facet normal %g %g %g outer loop ", "vertex %g %g %g ", "endloop endfacet ", false},
		"empty lines": {"facet normal %g %g %g\n\n outer loop\n\r\n", " vertex %g %g %g\n\n", " endloop\n\nendfacet\n\n", false},
		"no normals":  {"facet%.0s%.0s%.0s outer loop\n", " vertex %g %g %g\n", " endloop\nendfacet\n", true},
		"17 digits":   {"facet normal %g %g %g\n outer loop\n", " vertex %.17f %.17f %.17f\n", " endloop\nendfacet\n", true},
	}
	faults := []string{"", "1e", "nan", "x", "1,5", "1e39", "1e-50", "facet", "endfacet", "\x00", "-", ".", "+.5", "0x1p3", "1.e1", "123456789012345678901", "\v7", "7\f", ""}
	for name, print := range prints {
		for _, fault := range faults {
			number := func() float64 { return float64(random.IntN(2000))/16 - 60 }
			var b strings.Builder
			facets := 60 + random.IntN(40)
			at := 3*random.IntN(facets) + random.IntN(3)
			b.WriteString("solid one\n")
			for n := range facets {
				fmt.Fprintf(&b, print.facet, number(), number(), number())
				for k := range 3 {
					line := fmt.Sprintf(print.vertex, number(), number()/64, number()*7e3)
					if fault != "" && 3*n+k == at {
						words := strings.SplitAfterN(line, " ", -1)
						i := random.IntN(len(words))
						words[i] = fault + " "
						line = strings.Join(words, "")
					}
					b.WriteString(line)
				}
				b.WriteString(print.end)
				if n == facets/2 {
					b.WriteString("endsolid one\nsolid two\n")
				}
			}
			b.WriteString("endsolid two\n")
			readsByLayout(t, b.String())
			// But for the last of the first solid, which no facet follows.
			want := facets / 2
			if print.slow {
				want = 0
			}
			if n := oneLayout(b.String()); fault == "" && n != want {
				t.Errorf("%s: %d facets keep to the layout of the first, want %d", name, n, want)
			}
		}
	}
}

// What is cut short anywhere is as short word by word.
func TestLayoutsOfCutText(t *testing.T) {
	whole := strings.Repeat("facet normal 0 0 1\n outer loop\n vertex 1 2 3\n vertex 4 5 6.5\n vertex 7 -8 9e1\n endloop\nendfacet\n", 3)
	for n := range whole {
		readsByLayout(t, "solid\n"+whole[:n])
	}
}

// A file may hold no more than the limit of facets, by layout as word by word.
func TestLayoutsKeepTheLimit(t *testing.T) {
	for _, facets := range []int{299, 300, 301, 302, 330} {
		var b strings.Builder
		b.WriteString("solid\n")
		for n := range facets {
			fmt.Fprintf(&b, "facet normal 0 0 1\n outer loop\n vertex %d 0 0\n vertex %d 1 0\n vertex 0 0 1\n endloop\nendfacet\n", n, n)
		}
		b.WriteString("endsolid\n")
		readsByLayout(t, b.String())
	}
}

// Corners told by how they are written are those that their numbers give: in rows, as
// the texts repeat, also where a character is changed, a facet is taken out or a solid
// ends on the way.
func TestRepeatedTextsReadAsNumbers(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 2))
	m := limb(4, 16)
	facets := func() []string {
		var all []string
		for f := range 280 {
			a, b, c := m.Corners(f)
			text := "facet normal 0 0 1\n outer loop\n"
			for _, p := range []r3.Vec{a, b, c} {
				text += fmt.Sprintf("  vertex %e %e %e\n", p.X, p.Y, p.Z)
			}
			all = append(all, text+" endloop\nendfacet\n")
		}
		return all
	}()
	told := 0
	for range 300 {
		all := slices.Clone(facets)
		for range random.IntN(4) {
			f := random.IntN(len(all))
			text := []byte(all[f])
			switch at := random.IntN(len(text)); random.IntN(4) {
			case 0:
				text[at] = "0123456789.-+ex\n "[random.IntN(17)]
			case 1:
				text = slices.Insert(text, at, "0123456789 \n"[random.IntN(12)])
			case 2:
				text = nil
			default:
				text = append(text, "endsolid\nsolid\n"...)
			}
			all[f] = string(text)
		}
		readsByLayout(t, "solid\n"+strings.Join(all, "")+"endsolid\n")
	}
	p := &asciiPart{shard: shard{ix: newIndex(8, 1, 3)}}
	text := []byte(strings.Join(facets, ""))[len("facet"):]
	l, ok := learn(text)
	require.True(t, ok)
	p.layout = l
	p.words = newWords(bytes.NewReader(text), int64(len(text)))
	p.quick(200)
	for range 50 {
		c, length := p.layout.facet(p.words.buf[p.words.pos:p.words.end], &p.recall, &p.texts)
		require.Positive(t, length)
		for k := range c {
			if c[k].told {
				told++
			}
		}
		require.Equal(t, 1, p.quick(1))
	}
	require.Greater(t, told, 0)
}

// A text that comes again is told by the corner that it was, also where facets between
// were read word by word.
func TestRepeatedTextsBetweenWords(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 3))
	corners := []string{"0 0 0", "10 0 0", "0 10 0", "0 0 10", "10 10 0", "0 10 10"}
	const long = "10.00000000000000000000000" // which no layout takes
	for range 500 {
		order := random.Perm(len(corners))
		var b strings.Builder
		b.WriteString("solid\n")
		for range 60 {
			if random.IntN(4) == 0 {
				order = random.Perm(len(corners))
			}
			text := "facet normal 0 0 1\n outer loop\n"
			for _, k := range order[:3] {
				text += "vertex " + corners[k] + "\n"
			}
			if random.IntN(5) == 0 {
				text = strings.Replace(text, "10", long, 1)
			}
			b.WriteString(text + "endloop\nendfacet\n")
		}
		readsByLayout(t, b.String()+"endsolid\n")
	}
}
