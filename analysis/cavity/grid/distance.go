package grid

import (
	"context"
	"math/bits"

	"golang.org/x/sync/errgroup"
)

// distances holds for every voxel, x fastest and z slowest, the squared distance to the nearest wall
// voxel, from middle to middle, in voxels²; 0 in the wall, at most farthest.
type distances []uint16

// farthestAlong is the cap on distances: 255 voxels are more than half of any
// grid's width that a part can close round. farthest is that of their squares.
const (
	farthestAlong = 255
	farthest      = farthestAlong * farthestAlong
)

// measure returns the distances to the wall, in the room of arena: the next
// ones take their place. It makes one pass along each axis: along the rows by
// counting, along the others by the lower envelope of parabolas (Felzenszwalb
// & Huttenlocher, Theory of Computing 8, 2012, 415–428).
func (g *grid) measure(ctx context.Context, workers int, arena *Arena) (distances, error) {
	out := arena.takeDistances(g.nx * g.ny * g.nz)
	err := deal(ctx, g.nz, workers, func(z int, e *envelope) {
		for y := range g.ny {
			measureRow(out[(z*g.ny+y)*g.nx:][:g.nx], g.row(g.wall, y, z))
		}
		e.passes(out[z*g.ny*g.nx:], g.nx, g.nx, g.ny)
	})
	if err != nil {
		return nil, err
	}
	return out, deal(ctx, g.ny, workers, func(y int, e *envelope) {
		e.passes(out[y*g.nx:], g.nx, g.nx*g.ny, g.nz)
	})
}

// measureRow writes the squared distances along one row.
func measureRow(out []uint16, wall []uint64) {
	last := -farthestAlong // the wall voxel before, as good as none at first
	for i, word := range wall {
		for ; word != 0; word &= word - 1 {
			x := 64*i + bits.TrailingZeros64(word)
			between(out, last, x)
			out[x] = 0
			last = x
		}
	}
	between(out, last, len(out)+farthestAlong)
}

// between writes the squared distances to the nearer of two wall voxels with none
// between them.
func between(out []uint16, a, b int) {
	for x := max(a+1, 0); x < min(b, len(out)); x++ {
		d := min(x-a, b-x, farthestAlong)
		out[x] = uint16(d * d)
	}
}

// envelope is the room that one worker needs for a pass.
type envelope struct {
	block  []uint16   // of some columns, as far as a line of the cache reaches: their values, row by row
	lowest []parabola // the envelope of a column
}

// parabola is one that stands on a place of a column: (q − at)² + value.
type parabola struct {
	at     int32
	from   int32 // the first place where it is the lowest
	height int32 // at² + value, its height at 0
}

// abreast is how many columns are taken together: their values share a line of the
// cache, 64 bytes.
const abreast = 32

// passes makes a pass along each of some columns side by side, of n values each,
// stride values apart.
func (e *envelope) passes(values []uint16, columns, stride, n int) {
	if cap(e.block) < abreast*n {
		e.block, e.lowest = make([]uint16, abreast*n), make([]parabola, n)
	}
	for x := 0; x < columns; x += abreast {
		wide := min(abreast, columns-x)
		for q := range n {
			copy(e.block[abreast*q:][:wide], values[q*stride+x:])
		}
		for k := range wide {
			e.pass(e.block[k:], n)
		}
		for q := range n {
			copy(values[q*stride+x:][:wide], e.block[abreast*q:])
		}
	}
}

// pass replaces the n values of a column of the block by the lower envelope of the
// parabolas that stand on them.
func (e *envelope) pass(column []uint16, n int) {
	lowest, top := e.lowest[:n], 0
	for q := range int32(n) {
		value := int32(column[abreast*int(q)])
		if value >= farthest {
			continue
		}
		height, start := value+q*q, int32(0)
		for ; top > 0; top-- {
			p := &lowest[top-1]
			// The first place where q is lower than p is the next one after
			// ahead/(2·(q − p)).
			ahead := height - p.height
			if apart := 2 * (q - p.at); ahead >= p.from*apart {
				start = ahead/apart + 1
				break
			}
		}
		if start < int32(n) {
			lowest[top] = parabola{at: q, from: start, height: height}
			top++
		}
	}
	end := int32(n)
	for top > 0 {
		top--
		p := lowest[top]
		value := p.height - p.at*p.at
		for q := p.from; q < end; q++ {
			column[abreast*int(q)] = uint16(min((q-p.at)*(q-p.at)+value, farthest))
		}
		end = p.from
	}
}

// deal gives the numbers 0 … n−1 to the workers and waits for them.
func deal(ctx context.Context, n, workers int, work func(i int, e *envelope)) error {
	group, ctx := errgroup.WithContext(ctx)
	workers = max(workers, 1)
	for k := range workers {
		group.Go(func() error {
			var e envelope
			for i := k; i < n; i += workers {
				if ctx.Err() != nil {
					return context.Cause(ctx)
				}
				work(i, &e)
			}
			return nil
		})
	}
	return group.Wait()
}
