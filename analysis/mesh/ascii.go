package mesh

import (
	"bytes"
	"context"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gambeson/analysis/pages"
)

// loadASCIISTL reads an ASCII STL (Burns, 1993, section 6.5): keywords in any
// case, any blanks and line ends, even none at all, and any number of solids,
// which become one mesh. Names and normals mean nothing and may be missing.
//
// A large file is read by several goroutines, each a run of facets. Where one
// of them stumbles, the file is read again from the front by one alone: what
// that finds is the answer.
func loadASCIISTL(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	out := &Loaded{Format: FormatSTLASCII, Unit: assumedUnit()}
	cuts, err := cutASCII(s, l.Workers)
	if err != nil {
		return nil, err
	}
	parts, err := gatherASCII(ctx, s, cuts, l)
	if err != nil && len(parts) > 1 {
		parts, err = gatherASCII(ctx, s, []int64{0, s.size}, l)
	}
	if err != nil {
		return nil, err
	}
	var shards []shard
	solids, skipped := 0, 0
	for _, p := range parts {
		shards = append(shards, p.shard)
		solids, skipped = solids+p.solids, max(skipped, p.skipped)
	}
	if solids > 1 {
		out.remark("several-solids", plural(int64(solids), "solid")+" read as one mesh")
	}
	if skipped > 0 {
		out.remark("trailing-bytes", "text outside of any solid not read (line "+strconv.Itoa(skipped)+")")
	}
	if err := out.complete(ctx, shards, l.Workers, "line 1"); err != nil {
		return nil, err
	}
	return out, nil
}

// cutASCII returns where runs of facets begin, one for each worker, and the
// size at the end. Each but the first begins behind an endfacet.
func cutASCII(s *source, workers int) ([]int64, error) {
	cuts := []int64{0}
	if s.at != nil {
		workers = max(1, min(workers, int(s.size/facetText/worthAWorker)))
		window := make([]byte, 8<<10) // thirty facets as they are usually printed
		for i := 1; i < workers; i++ {
			start := s.size / int64(workers) * int64(i)
			n, err := s.at.ReadAt(window, start)
			if err != nil && !ended(err) {
				return nil, s.failed(start+int64(n), err)
			}
			const end = "endfacet"
			if at := bytes.Index(bytes.ToLower(window[:n]), []byte(end)); at >= 0 {
				cuts = append(cuts, start+int64(at+len(end)))
			}
		}
	}
	return append(cuts, s.size), nil
}

// facetText is how many bytes a facet of an ASCII STL takes as most programs
// print it.
const facetText = 260

// gatherASCII reads the runs between cuts, one goroutine for each.
func gatherASCII(ctx context.Context, s *source, cuts []int64, l Limits) ([]*asciiPart, error) {
	facet, err := typicalASCII(ctx, s, l)
	if err != nil {
		return nil, err
	}
	parts := make([]*asciiPart, len(cuts)-1) // each for itself, like shards
	errs, seed := make([]error, len(parts)), rand.Uint64()
	facets := s.trusted(int(min(s.size/facetText, int64(l.Triangles)))) / len(parts)
	spread(len(parts), len(parts), func(i, _ int) {
		r, err := s.from(cuts[i])
		if err != nil {
			errs[i] = err
			return
		}
		defer r.Close()
		p := &asciiPart{shard: shard{ix: newIndex(facets/2, facet, seed), t: pages.Room[uint32](3 * (facets + facets/8))}}
		parts[i] = p
		p.words = newWords(io.LimitReader(r, cuts[i+1]-cuts[i]), cuts[i+1]-cuts[i])
		errs[i] = p.solidsAndFacets(ctx, i > 0, i == len(parts)-1, l)
		if p.words.read < cuts[i+1]-cuts[i] && p.words.err != nil { // whatever it looked like
			errs[i] = s.failed(cuts[i]+p.words.read, p.words.err)
		}
	})
	for _, err := range errs {
		if err != nil {
			return parts, err
		}
	}
	return parts, nil
}

// typicalASCII returns the median area of the first facets.
func typicalASCII(ctx context.Context, s *source, l Limits) (float64, error) {
	head, err := s.head(64 << 10)
	if err != nil {
		return 0, err
	}
	p := asciiPart{shard: shard{ix: newIndex(0, 0, rand.Uint64())}, words: newWords(bytes.NewReader(head), int64(len(head)))}
	// Its error, if only that of an early end, is not the answer.
	_ = p.solidsAndFacets(ctx, false, true, l)
	m, _ := merge([]shard{p.shard}, 1)
	return m.typicalFacet(), nil
}

// asciiPart reads a run of facets of an ASCII STL.
type asciiPart struct {
	shard
	words   *words
	layout  layout
	lessons int          // taken so far
	texts   [kept][]byte // as recall.last: how a corner is written, where that is still in the buffer
	solids  int
	skipped int // the last line with text outside of any solid, 0 where none
}

// solidsAndFacets reads the run, which begins inside a solid or not, to its
// end, which is the last of the file or not.
func (p *asciiPart) solidsAndFacets(ctx context.Context, inside, last bool, l Limits) error {
	w := p.words
	word := w.next()
	for n := 0; word != nil; n++ {
		if n%stlChunk == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		switch {
		case is(word, "facet"):
			inside = true
			if p.quick(min(stlChunk, l.Triangles-len(p.t)/3)) > 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			if err := p.facet(); err != nil {
				return err
			}
			if len(p.t) > 3*l.Triangles {
				return l.tooMany(p.place(), int64(len(p.t)/3))
			}
			word = w.next()
		case is(word, "solid"):
			p.solids++
			inside = true
			word = p.name()
		case is(word, "endsolid"):
			inside = false
			word = p.name()
		case inside:
			return p.unexpected(word, "facet or endsolid")
		default:
			p.skipped = w.line
			word = w.next()
		}
	}
	if inside && last {
		return p.cutShort("the end of the solid (endsolid)")
	}
	return nil
}

// name skips the name behind solid or endsolid and returns the first word
// that is not part of it: the first of the next line, or the word facet where
// normal follows it, in files that have all on one line.
func (p *asciiPart) name() []byte {
	word := p.words.next()
	for word != nil && !p.words.turn {
		if !is(word, "facet") {
			word = p.words.next()
			continue
		}
		word = p.words.next()
		if word != nil && !p.words.turn && is(word, "normal") {
			return []byte("facet") // normal is optional, its numbers are skipped
		}
	}
	return word
}

// quick reads up to so many facets, behind the word facet of the first to behind
// that of the next, as long as they keep to the layout of one before. It returns
// how many.
func (p *asciiPart) quick(most int) (read int) {
	w := p.words
	clear(p.texts[:])
	for range most {
		text := w.buf[w.pos:w.end]
		if len(text) < facetMost && w.err == nil {
			return read // there is more to come
		}
		c, length := p.layout.facet(text, &p.recall, &p.texts)
		if length == 0 {
			if p.lessons++; p.lessons > lessons {
				return read
			}
			other, ok := learn(text[:min(len(text), facetMost)])
			if !ok || other == p.layout {
				return read
			}
			p.layout = other
			continue
		}
		var v [3]uint32
		for k := range c {
			seen := p.n
			if v[k] = c[k].number; c[k].told {
				p.saw(v[k])
			} else {
				v[k] = p.corner(c[k].point)
			}
			if p.n != seen {
				p.texts[seen%kept] = c[k].text
			}
		}
		p.add(v[0], v[1], v[2])
		w.pos += length
		w.line += p.layout.lines
		read++
	}
	return read
}

// facet reads a facet behind the word itself.
func (p *asciiPart) facet() error {
	w := p.words
	word := w.next()
	for skipped := 0; word != nil && !is(word, "outer"); skipped++ {
		if skipped == 4 { // normal and three numbers
			return p.unexpected(word, "outer loop")
		}
		word = w.next()
	}
	if err := p.wanted(word, "outer"); err != nil {
		return err
	}
	if err := p.expect("loop"); err != nil {
		return err
	}
	var corner [3]uint32
	for k := range corner {
		if err := p.expect("vertex"); err != nil {
			return err
		}
		var c [3]float32
		for d := range c {
			var err error
			if c[d], err = p.coordinate(); err != nil {
				return err
			}
		}
		corner[k] = p.corner(point{c[0], c[1], c[2]})
	}
	if err := p.expect("endloop"); err != nil {
		return err
	}
	if err := p.expect("endfacet"); err != nil {
		return err
	}
	p.add(corner[0], corner[1], corner[2])
	return nil
}

// coordinate reads a number.
func (p *asciiPart) coordinate() (float32, error) {
	if v, ok := p.words.number(); ok {
		return v, nil
	}
	word := p.words.next()
	if word == nil {
		return 0, p.cutShort("a coordinate")
	}
	v, ok := number(word)
	if ok && !math.IsInf(float64(v), 0) {
		return v, nil
	}
	if bytes.IndexByte(word, 0) >= 0 {
		return 0, p.zeros()
	}
	if p.words.last() {
		return 0, p.cutShort("a coordinate")
	}
	text := quoted(word)
	e := &ReadError{Place: p.place(), Cause: "the coordinate " + text + " is not a number",
		Remedy: "the file is damaged or was exported wrongly: download or export it again"}
	switch {
	case ok:
		e.Cause = "the coordinate " + text + " is too large"
	case bytes.IndexByte(word, ',') > 0:
		e.Remedy = withAPoint
	case strings.Contains(strings.ToLower(text), "nan"), strings.Contains(strings.ToLower(text), "inf"):
		e.Cause = "the coordinate " + text + " is not a finite number"
	}
	return 0, e
}

// withAPoint is what to do about numbers with a comma.
const withAPoint = "numbers are written with a point, not with a comma: export it again, as binary STL if there is the choice"

// expect skips the keyword that has to come next.
func (p *asciiPart) expect(keyword string) error {
	if p.words.skip(keyword) {
		return nil
	}
	return p.wanted(p.words.next(), keyword)
}

// wanted returns nil where word is the keyword that has to stand there.
func (p *asciiPart) wanted(word []byte, keyword string) error {
	switch {
	case is(word, keyword):
		return nil
	case word == nil:
		return p.cutShort(keyword)
	case keyword == "endloop" && is(word, "vertex"):
		return &ReadError{Place: p.place(), Cause: "a facet has more than three corners, which STL does not have",
			Remedy: "export it again with triangles only"}
	}
	return p.unexpected(word, keyword)
}

// unexpected is the error of a word where another should be.
func (p *asciiPart) unexpected(word []byte, wanted string) error {
	if bytes.IndexByte(word, 0) >= 0 {
		return p.zeros()
	}
	if p.words.last() {
		return p.cutShort(wanted)
	}
	return &ReadError{Place: p.place(), Cause: "found " + quoted(word) + " where " + wanted + " should be",
		Remedy: "the file is damaged: download or export it again"}
}

// cutShort is the error of a text that ends too early.
func (p *asciiPart) cutShort(wanted string) error {
	return &ReadError{Place: p.place(), Unfinished: true,
		Cause:  "the file ends after " + plural(int64(len(p.t)/3), "triangle") + ", before " + wanted,
		Remedy: "the download or copy broke off: download it again"}
}

// zeros is the error of a text that goes over into zeros.
func (p *asciiPart) zeros() error {
	return &ReadError{Place: p.place(), Unfinished: true,
		Cause:  "goes over into zeros: the room for the file is there, but not all of its content",
		Remedy: "wait for the download to end, or download it again"}
}

func (p *asciiPart) place() string { return "line " + strconv.Itoa(p.words.line) }

// quoted returns the front of a word in quotes and in printable characters.
func quoted(word []byte) string {
	if len(word) > 24 {
		return strconv.Quote(string(word[:24])) + "…"
	}
	return strconv.Quote(string(word))
}
