package grid

import (
	"context"

	"golang.org/x/sync/errgroup"
)

// distances holds for every voxel, x fastest and z slowest, the squared distance to the nearest wall
// voxel, from middle to middle, in voxels²; 0 in the wall, at most farthest.
type distances []uint16

// farthest is the cap on squared distances: 255 voxels are more than half of
// any grid's width that a part can close round.
const farthest = 255 * 255

// measure returns the distances to the wall, in the room of arena: the next
// ones take their place. It makes one pass along each axis: along the rows by
// counting, along the others by the lower envelope of parabolas (Felzenszwalb
// & Huttenlocher, Theory of Computing 8, 2012, 415–428).
func (g *grid) measure(ctx context.Context, workers int, arena *Arena) (distances, error) {
	out := arena.takeDistances(g.nx * g.ny * g.nz)
	err := deal(ctx, g.nz, workers, func(z int, e *envelope) {
		for y := range g.ny {
			g.measureRow(out[(z*g.ny+y)*g.nx:][:g.nx], g.row(g.wall, y, z))
		}
		for x := range g.nx {
			e.pass(out[z*g.ny*g.nx+x:], g.nx, g.ny)
		}
	})
	if err != nil {
		return nil, err
	}
	return out, deal(ctx, g.ny, workers, func(y int, e *envelope) {
		for x := range g.nx {
			e.pass(out[y*g.nx+x:], g.nx*g.ny, g.nz)
		}
	})
}

// measureRow writes the squared distances along one row.
func (g *grid) measureRow(out []uint16, wall []uint64) {
	d := 255
	for x := range out {
		d = min(d+1, 255)
		if wall[x>>6]>>(x&63)&1 != 0 {
			d = 0
		}
		out[x] = uint16(d)
	}
	d = 255
	for x := len(out) - 1; x >= 0; x-- {
		d = min(d+1, int(out[x]))
		out[x] = uint16(d * d)
	}
}

// envelope is the room that one worker needs for a pass.
type envelope struct {
	value []int32 // the column
	at    []int32 // places of the parabolas of the envelope
	from  []int32 // where each begins to be the lowest
}

// pass replaces the n values at the given stride by the lower envelope of the
// parabolas that stand on them.
func (e *envelope) pass(column []uint16, stride, n int) {
	e.value, e.at, e.from = e.value[:0], e.at[:0], e.from[:0]
	worst := int32(0)
	for q := range n {
		v := int32(column[q*stride])
		e.value = append(e.value, v)
		worst = max(worst, v)
	}
	if worst == 0 {
		return
	}
	for q := range int32(n) {
		if e.value[q] >= farthest {
			continue
		}
		start := int32(0)
		for k := len(e.at) - 1; k >= 0; k-- {
			p := e.at[k]
			// The first place where q is lower than p is the next one after
			// ahead/(2·(q − p)).
			ahead := e.value[q] + q*q - e.value[p] - p*p
			if apart := 2 * (q - p); ahead >= e.from[k]*apart {
				start = ahead/apart + 1
				break
			}
			e.at, e.from = e.at[:k], e.from[:k]
		}
		if start < int32(n) {
			e.at, e.from = append(e.at, q), append(e.from, start)
		}
	}
	if len(e.at) == 0 {
		return
	}
	k := 0
	for q := range int32(n) {
		for k+1 < len(e.from) && e.from[k+1] <= q {
			k++
		}
		d := q - e.at[k]
		column[int(q)*stride] = uint16(min(d*d+e.value[e.at[k]], farthest))
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
