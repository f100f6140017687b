package mesh

import (
	"context"
	"io"
	"math/rand/v2"
	"strconv"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// Binary STL: 80 bytes of header that mean nothing, the count of triangles,
// then for each a normal and three corners of three little-endian float32,
// and two bytes of attributes (Marshall Burns, Automated Fabrication, 1993,
// section 6.5).
const (
	stlHeader = 84 // bytes in front of the first triangle, the count included
	stlFacet  = 50 // bytes of a triangle

	// stlChunk is how many triangles are read at once: 100 KB, which stay
	// in the second-level cache while they are decoded.
	stlChunk = 2048
)

// loadBinarySTL reads a binary STL. The declared count is believed only as far
// as there are bytes for it. Normals and attributes are not looked at: many
// programs write zeros, some write wrong ones. The facets keep the order of the
// file, but for those of a large file in no order at all (sortSTL).
func loadBinarySTL(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	n, err := countSTL(s, l)
	if err != nil {
		return nil, err
	}
	out := &Loaded{Format: FormatSTLBinary, Unit: assumedUnit()}
	if extra := s.size - stlHeader - stlFacet*int64(n); extra > 0 {
		out.remark("trailing-bytes", plural(extra, "byte")+" after the last of the "+
			plural(int64(n), "declared triangle")+" not read")
	}
	shards, err := gatherSTL(ctx, s, n, l.Workers)
	if err != nil {
		return nil, err
	}
	if err := out.complete(ctx, shards, l.Workers, "byte 84"); err != nil {
		return nil, err
	}
	return out, nil
}

// countSTL returns the number of triangles of a binary STL that is whole.
func countSTL(s *source, l Limits) (int, error) {
	if s.size < stlHeader {
		return 0, &ReadError{Place: "byte " + strconv.FormatInt(s.size, 10), Unfinished: true,
			Cause:  "neither text nor long enough for a binary STL (" + plural(s.size, "byte") + ", the header alone has 84)",
			Remedy: "download or export it again"}
	}
	head, err := s.head(stlHeader)
	if err != nil {
		return 0, err
	}
	claim, hold := declared(head), (s.size-stlHeader)/stlFacet
	switch {
	case claim == 0 && hold == 0:
		return 0, &ReadError{Place: "byte 80", Cause: "holds no triangles", Remedy: "export it again with the part selected"}
	case claim == 0:
		return 0, &ReadError{Place: "byte 80", Unfinished: true,
			Cause:  "declares 0 triangles, but " + plural(s.size-stlHeader, "byte") + " follow",
			Remedy: "the program that wrote it did not end well: export it again"}
	case claim > int64(l.Triangles):
		return 0, l.tooMany("byte 80", claim)
	case claim > hold:
		return 0, &ReadError{Place: "byte " + strconv.FormatInt(s.size, 10), Unfinished: true,
			Cause: "declares " + plural(claim, "triangle") + ", holds " + thousands(hold) + ": " +
				plural(stlHeader+stlFacet*claim-s.size, "byte") + " missing",
			Remedy: "the download or copy broke off: download it again"}
	}
	return int(claim), zeroTail(s, claim)
}

// zeroTail refuses a file whose last two triangles are nothing but zeros:
// room was made for the whole file, but its content did not all come.
// (One such triangle alone may be a slip of the program that wrote it.)
func zeroTail(s *source, n int64) error {
	if s.at == nil || n < 2 {
		return nil
	}
	var tail [2 * stlFacet]byte
	start := stlHeader + stlFacet*(n-2)
	if got, err := s.at.ReadAt(tail[:], start); got < len(tail) {
		return s.failed(start+int64(got), err)
	}
	if tail == [len(tail)]byte{} {
		return &ReadError{Place: "byte " + strconv.FormatInt(start, 10), Unfinished: true,
			Cause:  "ends in zeros: the room for the file is there, but not all of its content",
			Remedy: "wait for the download to end, or download it again"}
	}
	return nil
}

// gatherSTL reads n triangles, in runs of equal length, one for each worker.
// The error, like the mesh, is the same whoever comes first: that of the
// first triangle in the file that has one.
func gatherSTL(ctx context.Context, s *source, n, workers int) ([]shard, error) {
	if s.at == nil {
		workers = 1
	}
	workers = max(1, min(workers, n/worthAWorker))
	some, facet, scattered, err := typicalSTL(s, n)
	if err != nil {
		return nil, err
	}
	var sorted []point // where it pays
	if scattered && n >= worthSorting {
		if sorted, err = sortSTL(ctx, s, n, workers, regionsOf(some, n, facet)); err != nil {
			return nil, err
		}
	}
	all := pages.Room[uint32](3 * s.trusted(n))
	shards, seed := make([]shard, workers), rand.Uint64()
	errs := make([]error, workers)
	spread(workers, workers, func(part, _ int) {
		from, to := n*part/workers, n*(part+1)/workers
		// Its own, not beside those of others: what two processors write to in turn
		// must not lie in one line of the cache.
		sh := &shard{ix: newIndex(s.trusted(to-from)/2, facet, seed), t: all[3*from : 3*from]}
		defer func() { shards[part] = *sh }()
		if sorted != nil {
			errs[part] = sh.addAll(ctx, sorted[3*from:3*to])
			return
		}
		errs[part] = s.chunksSTL(ctx, from, to, func(first int, chunk []byte) error {
			if bad := sh.facetsSTL(chunk); bad >= 0 {
				return damagedSTL(chunk, first, bad)
			}
			return nil
		})
	})
	return shards, firstOf(errs)
}

// firstOf returns the first error of some, if any.
func firstOf(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// worthSorting is how many triangles of a file in no order are worth being
// sorted: below it their corners fit the caches as they are.
const worthSorting = 50_000

// worthAWorker is how many triangles are worth the start of a goroutine: a
// millisecond of work.
const worthAWorker = 20_000

// typicalSTL returns corners of some of the triangles, of the first ones only
// where the bytes come in order, their median area, and whether they are
// scattered: those that follow each other share hardly a corner.
func typicalSTL(s *source, n int) (some []point, facet float64, scattered bool, err error) {
	const block, blocks = 16, 64
	var areas []float64
	if s.at == nil {
		head, err := s.head(stlHeader + stlFacet*min(n, block*blocks))
		if err != nil || len(head) < stlHeader {
			return nil, 0, false, err
		}
		return nil, median(areasSTL(areas, head[stlHeader:])), false, nil
	}
	var buf [block * stlFacet]byte
	distinct := 0 // distinct corners, block by block
	for i := range min(blocks, n) {
		got, err := s.at.ReadAt(buf[:], stlHeader+stlFacet*(int64(n)*int64(i)/blocks))
		if err != nil && !ended(err) {
			return nil, 0, false, s.failed(0, err)
		}
		areas = areasSTL(areas, buf[:got])
		seen := distinctCorners(buf[:got])
		distinct += len(seen)
		for p := range seen {
			if p.finite() {
				some = append(some, p)
			}
		}
	}
	return some, median(areas), len(some) > 0 && 10*distinct > 9*3*len(areas), nil
}

// distinctCorners returns the distinct corners of the triangles of a chunk.
func distinctCorners(chunk []byte) map[point]bool {
	seen := map[point]bool{}
	for ; len(chunk) >= stlFacet; chunk = chunk[stlFacet:] {
		for k := range 3 {
			seen[cornerSTL(chunk, k)] = true
		}
	}
	return seen
}

// areasSTL appends the areas of the triangles of a chunk.
func areasSTL(areas []float64, chunk []byte) []float64 {
	for ; len(chunk) >= stlFacet; chunk = chunk[stlFacet:] {
		a, b, c := cornerSTL(chunk, 0).vec(), cornerSTL(chunk, 1).vec(), cornerSTL(chunk, 2).vec()
		areas = append(areas, r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))/2)
	}
	return areas
}

// chunksSTL reads the triangles from … to (not included) of a file, and gives
// them to f some at a time, with the number of the first in the file. The bytes
// are good until f returns. It ends with the first error of f.
func (s *source) chunksSTL(ctx context.Context, from, to int, f func(first int, chunk []byte) error) error {
	r, err := s.from(stlHeader + stlFacet*int64(from))
	if err != nil {
		return err
	}
	defer r.Close()
	buf := make([]byte, stlFacet*min(stlChunk, to-from))
	for first := from; first < to; first += stlChunk {
		if err := ctx.Err(); err != nil {
			return err
		}
		chunk := buf[:stlFacet*min(stlChunk, to-first)]
		if got, err := io.ReadFull(r, chunk); err != nil {
			return s.failed(stlHeader+stlFacet*int64(first)+int64(got), err)
		}
		if err := f(first, chunk); err != nil {
			return err
		}
	}
	return nil
}

// damagedSTL is the error of triangle number bad of a chunk that begins with the
// given one of the file.
func damagedSTL(chunk []byte, first, bad int) error {
	facet := chunk[stlFacet*bad:]
	return notFinite("triangle "+strconv.Itoa(first+bad+1)+
		" (byte "+strconv.FormatInt(stlHeader+stlFacet*int64(first+bad), 10)+")",
		cornerSTL(facet, 0), cornerSTL(facet, 1), cornerSTL(facet, 2))
}

// notFiniteSTL returns the number in the chunk of the first triangle whose
// coordinates are not all finite, −1 where there is none.
func notFiniteSTL(chunk []byte) int {
	for i := 0; len(chunk) >= stlFacet; i, chunk = i+1, chunk[stlFacet:] {
		if !(*Facet)(chunk).finite() {
			return i
		}
	}
	return -1
}

// facetsSTL adds the triangles of a chunk, and returns the number in the chunk
// of the first whose coordinates are not all finite, −1 where there is none.
func (sh *shard) facetsSTL(chunk []byte) int {
	for i := 0; len(chunk) >= stlFacet; i++ {
		f := (*Facet)(chunk)
		if !f.finite() {
			return i
		}
		sh.add(sh.cornerOf(f.corner(0)), sh.cornerOf(f.corner(1)), sh.cornerOf(f.corner(2)))
		chunk = chunk[stlFacet:]
	}
	return -1
}

// cornerSTL returns corner k of the triangle at the front of a chunk.
func cornerSTL(facet []byte, k int) point { return (*Facet)(facet).corner(k).point() }
