package grid

import (
	"context"

	"golang.org/x/sync/errgroup"
)

// enclosed returns the air that the part closes round: where more than half of
// all directions are blocked, and where a ring is. At a flat rim exactly half
// are blocked, so that the inside ends there. The second set is the ringed
// part of the first.
func (g *grid) enclosed(ctx context.Context, workers int, arena *Arena) (inside, rings set, err error) {
	workers = max(workers, 1)
	casters, err := g.castAll(ctx, workers, arena)
	for _, c := range casters {
		defer arena.giveBack(c.room...)
	}
	if err != nil {
		return nil, nil, err
	}
	inside, rings = arena.set(g.size()), arena.set(g.size())
	if err := g.join(ctx, casters, inside, rings, workers, arena); err != nil {
		return nil, nil, err
	}
	for range 2 {
		g.smooth(inside, arena)
	}
	for i, in := range inside {
		rings[i] &= in
	}
	return inside, rings, nil
}

// castAll casts the rays that leave their layer, those of each sense along z by
// themselves, and returns who counted them. Sums of whole numbers do not depend on
// who counts what.
func (g *grid) castAll(ctx context.Context, workers int, arena *Arena) ([]*caster, error) {
	var casters []*caster
	for _, sense := range [2]int{-1, 1} {
		dealt := make([][]step, max(1, workers/2))
		n := 0
		for _, d := range directions(-1) {
			if d.z*sense > 0 {
				dealt[n%len(dealt)] = append(dealt[n%len(dealt)], d)
				n++
			}
		}
		for _, ways := range dealt {
			if len(ways) > 0 {
				casters = append(casters, g.newCaster(ways, g.nz, arena))
			}
		}
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(workers)
	for _, c := range casters {
		group.Go(func() error {
			for k := range g.nz {
				if ctx.Err() != nil {
					return context.Cause(ctx)
				}
				z := k
				if c.bundles[0].beams[0].z > 0 {
					z = g.nz - 1 - k
				}
				c.count(k, z, g.wall, z)
			}
			return nil
		})
	}
	return casters, group.Wait()
}

// join casts the rays within the layers, and puts together what all rays met.
func (g *grid) join(ctx context.Context, casters []*caster, inside, rings set, workers int, arena *Arena) error {
	flat := make([]*caster, workers)
	for w := range flat {
		flat[w] = g.newCaster(directions(2), 1, arena)
		defer arena.giveBack(flat[w].room...)
	}
	rows := g.ny * g.words
	group, ctx := errgroup.WithContext(ctx)
	for w, own := range flat {
		group.Go(func() error {
			for z := w; z < g.nz; z += workers {
				if ctx.Err() != nil {
					return context.Cause(ctx)
				}
				own.clear()
				own.count(0, z, g.wall, 0)
				for _, c := range casters {
					own.all.add(c.all[z*rows*shareBits:][:rows*shareBits])
					for axis, ring := range c.ring {
						if ring != nil {
							own.ring[axis].add(ring[z*rows*fewBits:][:rows*fewBits])
						}
					}
				}
				for i := range rows {
					at := z*rows + i
					air, ring := g.air[at], uint64(0)
					for axis := range own.ring {
						ring |= above(own.ring[axis].of(i)[:], ringed-1)
					}
					rings[at] = ring & air
					inside[at] = (above(own.all.of(i)[:], allShares/2) | ring) & air
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// smooth takes away the freckles that so few directions leave along the rim of
// a wide opening: air goes with the greater number of the air among itself and
// its six neighbours.
func (g *grid) smooth(s set, arena *Arena) {
	was := arena.set(g.size())
	copy(was, s)
	for z := range g.nz {
		for y := range g.ny {
			in, wall := g.around(was, y, z), g.around(g.wall, y, z)
			at := (z*g.ny + y) * g.words
			for i := range g.words {
				if air := g.air[at+i]; air != 0 {
					s[at+i] = air & more(in.sum(i), wall.sum(i))
				}
			}
		}
	}
	arena.giveBack(was)
}

// around is a row and the four beside it.
type around struct {
	own    []uint64
	beside [4][]uint64
}

func (l lattice) around(s set, y, z int) around {
	return around{l.row(s, y, z), [4][]uint64{l.row(s, y-1, z), l.row(s, y+1, z), l.row(s, y, z-1), l.row(s, y, z+1)}}
}

// sum returns how many of the voxels of word i and of their six neighbours are in
// the set, as the three bits of a number.
func (a *around) sum(i int) (bits [3]uint64) {
	own := a.own[i]
	left, right := own<<1, own>>1
	if i > 0 {
		left |= a.own[i-1] >> 63
	}
	if i+1 < len(a.own) {
		right |= a.own[i+1] << 63
	}
	var beside [4]uint64
	for k, row := range a.beside {
		if row != nil {
			beside[k] = row[i]
		}
	}
	one, two := addBits(own, left, right)
	lone, pair := addBits(beside[0], beside[1], beside[2])
	ones, carry := addBits(one, lone, beside[3])
	twos, fours := addBits(two, pair, carry)
	return [3]uint64{ones, twos, fours}
}

// addBits adds three bits of every voxel: the sum is low + 2·high.
func addBits(a, b, c uint64) (low, high uint64) {
	either := a ^ b
	return either ^ c, a&b | either&c
}

// more reports where twice the one number and the other are more than 7: of seven
// voxels more are in a set than are neither in it nor wall.
func more(in, wall [3]uint64) uint64 {
	twos := in[0] & wall[1]
	return in[2] | in[1]&wall[2] | (in[1]|wall[2])&twos
}
