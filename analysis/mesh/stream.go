package mesh

import (
	"context"
	"encoding/binary"
	"math"
	"unsafe"
)

// Facet is a facet by itself, as a binary STL has it.
type Facet [stlFacet]byte

// At returns coordinate axis (0 for x, 1, 2) of a corner (0, 1, 2). It is never −0.
func (f *Facet) At(corner, axis int) float32 {
	bits := binary.LittleEndian.Uint32(f[12+12*corner+4*axis:])
	return math.Float32frombits(bits) + 0 // −0 + 0 = 0 (IEEE 754, 6.3)
}

// corner returns a corner (0, 1, 2) as it stands.
func (f *Facet) corner(k int) pointBits {
	b := f[12+12*k:][:12]
	return pointBits{binary.LittleEndian.Uint32(b), binary.LittleEndian.Uint32(b[4:]), binary.LittleEndian.Uint32(b[8:])}
}

// finite reports whether all coordinates are finite: none has all the bits of its
// exponent set (IEEE 754, 3.4), for which two are looked at at once, the last but
// one twice.
func (f *Facet) finite() bool {
	const exponents, lowest, carry = 0x7f8000007f800000, 0x0080000000800000, 0x8000000080000000
	over := binary.LittleEndian.Uint64(f[12:])&exponents + lowest
	over |= binary.LittleEndian.Uint64(f[20:])&exponents + lowest
	over |= binary.LittleEndian.Uint64(f[28:])&exponents + lowest
	over |= binary.LittleEndian.Uint64(f[36:])&exponents + lowest
	over |= binary.LittleEndian.Uint64(f[40:])&exponents + lowest
	return over&carry == 0
}

// Stream is the facets of a binary STL, for those who look at each of them and
// keep none: nothing is welded, and memory is taken for some thousand at a time.
type Stream struct {
	s *source
	n int
	l Limits
}

// Stream returns the facets of a file, and false where it is of another format
// than binary STL, whose facets are not to be had without Load. Its errors are
// those of Load.
func (f *File) Stream(l Limits) (*Stream, bool, error) {
	st, ok, err := newStream(f.source(), l.orDefault())
	return st, ok, located(err, f.path, "")
}

func newStream(s *source, l Limits) (*Stream, bool, error) {
	head, err := s.head(sniffed)
	if err != nil || sniff(head, s.size, s.name) != kindBinarySTL {
		return nil, false, err
	}
	n, err := countSTL(s, l)
	if err != nil {
		return nil, false, err
	}
	return &Stream{s: s, n: n, l: l}, true, nil
}

// Unit returns the unit of length of the file, which does not say it.
func (st *Stream) Unit() Unit { return assumedUnit() }

// Runs returns in how many runs Each gives the facets.
func (st *Stream) Runs() int { return max(1, min(st.l.Workers, st.n/worthAWorker)) }

// Each gives all facets to visit, some at a time: those of a run in the order of
// the file, and those of run 0 come before those of run 1 there, but all runs are
// read at once. The facets are good until visit returns. The error is that of the
// first facet of the file with a coordinate that is not finite, if any; those behind
// it may have been given or not.
func (st *Stream) Each(ctx context.Context, visit func(run int, facets []Facet)) error {
	runs := st.Runs()
	errs := make([]error, runs)
	spread(runs, runs, func(run, _ int) {
		errs[run] = st.s.chunksSTL(ctx, st.n*run/runs, st.n*(run+1)/runs, func(first int, chunk []byte) error {
			facets := unsafe.Slice((*Facet)(chunk), len(chunk)/stlFacet)
			for i := range facets {
				if !facets[i].finite() {
					return damagedSTL(chunk, first, i)
				}
			}
			visit(run, facets)
			return nil
		})
	})
	return located(firstOf(errs), st.s.name, "")
}
