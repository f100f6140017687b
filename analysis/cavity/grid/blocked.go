package grid

import (
	"context"
	"slices"

	"golang.org/x/sync/errgroup"
)

// step is a direction of the grid.
type step struct{ x, y, z int }

// share returns the weight of a direction by the square of its length: the
// part of the sphere that is nearer to it than to any other, in thousandths
// (found by counting 2·10⁷ points of a spiral on the sphere). It is 0 for what
// is none of the 98 directions with coordinates in −2…2.
func (d step) share() uint {
	return [13]uint{1: 17, 2: 9, 3: 6, 5: 13, 6: 10, 9: 8}[d.x*d.x+d.y*d.y+d.z*d.z]
}

const (
	// allShares is the sum of the weights: 6, 12, 8, 24, 24 and 24 directions.
	allShares = 6*17 + 12*9 + 8*6 + 24*(13+10+8)
	// shareBits is the number of bits of a count up to allShares.
	shareBits = 10
	// fewBits is the number of bits of a count of up to 24 directions, those of
	// one weight.
	fewBits = 5
	// ringed is how many of the 16 directions in a plane of the frame must be
	// blocked where a low ring closes round a voxel.
	ringed = 13
)

// directions returns the 98 directions, or the 16 of them that are square to
// the axis 0, 1 or 2.
func directions(square int) []step {
	var out []step
	for z := -2; z <= 2; z++ {
		for y := -2; y <= 2; y++ {
			for x := -2; x <= 2; x++ {
				d := step{x, y, z}
				if d.share() > 0 && (square < 0 || [3]int{x, y, z}[square] == 0) {
					out = append(out, d)
				}
			}
		}
	}
	return out
}

// bundle is directions of one weight.
type bundle struct {
	ways   []step
	weight uint // 0 where they have been counted before
}

// bundles returns the 16 directions square to an axis, or the others for −1, by
// weight. Those along an axis are square to two others, and are counted with the
// first.
func bundles(square int) []bundle {
	var out []bundle
	for _, d := range directions(square) {
		flat := d.x == 0 || d.y == 0 || d.z == 0
		if square < 0 && flat {
			continue
		}
		weight := d.share()
		if along := d.x*d.x+d.y*d.y+d.z*d.z == 1; along && square > 0 && (square == 2 || d.x == 0) {
			weight = 0
		}
		i := slices.IndexFunc(out, func(b bundle) bool { return b.weight == weight })
		if i < 0 {
			i = len(out)
			out = append(out, bundle{weight: weight})
		}
		out[i].ways = append(out[i].ways, d)
	}
	return out
}

// enclosed returns the air that the part closes round: where more than half of
// all directions are blocked, and where a ring is. At a flat rim exactly half
// are blocked, so that the inside ends there. The second set is the ringed
// part of the first.
func (g *grid) enclosed(ctx context.Context, workers int, arena *Arena) (inside, rings set, err error) {
	inside, rings = arena.set(g.size()), arena.set(g.size())
	tallies := make([]tally, max(workers, 1))
	for k := range tallies {
		t := g.newTally(arena)
		tallies[k] = t
		defer arena.giveBack(append(t.blocked[:], t.few.planes, t.ring.planes, t.all.planes)...)
	}
	first := tallies[0]
	for _, square := range [4]int{0, 1, 2, -1} {
		if err := g.count(ctx, bundles(square), square >= 0, tallies); err != nil {
			return nil, nil, err
		}
		if square < 0 {
			continue
		}
		for _, t := range tallies[1:] {
			first.ring.join(t.ring)
		}
		first.ring.above(rings, ringed-1)
		for _, t := range tallies {
			clear(t.ring.planes)
		}
	}
	for _, t := range tallies[1:] {
		first.all.join(t.all)
	}
	first.all.above(inside, allShares/2)
	for i, air := range g.air {
		rings[i] &= air
		inside[i] = inside[i]&air | rings[i]
	}
	for range 2 {
		g.smooth(inside, arena)
	}
	for i, in := range inside {
		rings[i] &= in
	}
	return inside, rings, nil
}

// smooth takes away the freckles that so few directions leave along the rim of
// a wide opening: air goes with the greater number of the air among itself and
// its six neighbours.
func (g *grid) smooth(s set, arena *Arena) {
	c := counter{bits: 4, planes: arena.set(4 * g.size())}
	row := make([]uint64, g.words)
	for _, d := range [7]step{{}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
		for z := range g.nz {
			for y := range g.ny {
				at := (z*g.ny + y) * g.words
				// 2 for inside and 1 for wall: above 7 where inside is more than
				// the other air.
				shift(row, g.row(s, y+d.y, z+d.z), d.x)
				c.addAt(at, row, 2)
				shift(row, g.row(g.wall, y+d.y, z+d.z), d.x)
				c.addAt(at, row, 1)
			}
		}
	}
	clear(s)
	c.above(s, 7)
	for i, air := range g.air {
		s[i] &= air
	}
	arena.giveBack(c.planes)
}

// counter holds a number for every voxel, its bits side by side: bit b of the
// voxels of word i is planes[i*bits+b].
type counter struct {
	bits   int
	planes set
}

// tally is what a worker counts.
type tally struct {
	blocked [3]set  // in one direction each
	few     counter // of a bundle
	ring    counter // of those square to an axis
	all     counter // by weight
}

func (g *grid) newTally(arena *Arena) tally {
	return tally{
		blocked: [3]set{arena.set(g.size()), arena.set(g.size()), arena.set(g.size())},
		few:     counter{bits: fewBits, planes: arena.set(g.size() * fewBits)},
		ring:    counter{bits: fewBits, planes: arena.set(g.size() * fewBits)},
		all:     counter{bits: shareBits, planes: arena.set(g.size() * shareBits)},
	}
}

// count adds to the tallies of every voxel the directions in which it is
// blocked, and to those of the ring where it is one. The directions are dealt to
// the workers, one for each tally; sums of whole numbers do not depend on how.
func (g *grid) count(ctx context.Context, of []bundle, ring bool, tallies []tally) error {
	group, ctx := errgroup.WithContext(ctx)
	for k, t := range tallies {
		group.Go(func() error {
			dealt := 0
			for _, b := range of {
				clear(t.few.planes)
				swept := 0
				for _, d := range b.ways {
					if ctx.Err() != nil {
						return context.Cause(ctx)
					}
					if dealt++; dealt%len(tallies) != k {
						continue
					}
					g.sweep(t.blocked[swept], d)
					if swept++; swept == len(t.blocked) {
						t.few.addThree(t.blocked)
						swept = 0
					}
				}
				for _, s := range t.blocked[:swept] {
					t.few.addOne(s)
				}
				t.all.addTimes(t.few, b.weight)
				if ring {
					t.ring.addTimes(t.few, 1)
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// sweep writes to out the voxels from which a ray in direction d meets wall.
// It goes over the rows against d, so that a voxel is blocked where the next
// one along the ray is wall or blocked. A ray with a step of 2 passes two more
// voxels on its way, at half a step rounded down and up.
func (g *grid) sweep(out set, d step) {
	if d.y == 0 && d.z == 0 {
		g.sweepRows(out, d.x)
		return
	}
	half := step{d.x / 2, d.y / 2, d.z / 2}
	rest := step{d.x - half.x, d.y - half.y, d.z - half.z}
	first, by := 0, 1 // rows that others look ahead to come first
	if d.z > 0 || d.z == 0 && d.y > 0 {
		first, by = g.ny*g.nz-1, -1
	}
	ahead := make([]uint64, g.words)
	between := half != step{}
	for r, n := first, 0; n < g.ny*g.nz; r, n = r+by, n+1 {
		y, z := r%g.ny, r/g.ny
		own := g.row(out, y, z)
		wall, blocked := g.row(g.wall, y+d.y, z+d.z), g.row(out, y+d.y, z+d.z)
		if wall == nil {
			clear(own)
		} else {
			for i := range ahead {
				ahead[i] = wall[i] | blocked[i]
			}
			shift(own, ahead, d.x)
		}
		if between {
			shift(ahead, g.row(g.wall, y+half.y, z+half.z), half.x)
			for i := range own {
				own[i] |= ahead[i]
			}
			shift(ahead, g.row(g.wall, y+rest.y, z+rest.z), rest.x)
			for i := range own {
				own[i] |= ahead[i]
			}
		}
	}
}

// sweepRows is sweep along the rows, d.x = ±1.
func (g *grid) sweepRows(out set, by int) {
	all := ^uint64(0)
	for r := range g.ny * g.nz {
		wall, own := g.wall[r*g.words:(r+1)*g.words], out[r*g.words:(r+1)*g.words]
		met := uint64(0)
		for n := range wall {
			i := n
			if by > 0 {
				i = len(wall) - 1 - n
				own[i] = met | down(wall[i], all)>>1
			} else {
				own[i] = met | up(wall[i], all)<<1
			}
			if wall[i] != 0 {
				met = all
			}
		}
	}
}

// addOne adds one to the count of every voxel of s. The count has fewBits.
func (c counter) addOne(s set) {
	for i, carry := range s {
		if carry == 0 {
			continue
		}
		p := (*[fewBits]uint64)(c.planes[fewBits*i:])
		p[0], carry = p[0]^carry, p[0]&carry
		p[1], carry = p[1]^carry, p[1]&carry
		p[2], carry = p[2]^carry, p[2]&carry
		p[3], carry = p[3]^carry, p[3]&carry
		p[4] ^= carry
	}
}

// addThree is addOne for three sets, at half of the cost.
func (c counter) addThree(of [3]set) {
	second, third := of[1][:len(of[0])], of[2][:len(of[0])]
	for i, one := range of[0] {
		two, three := second[i], third[i]
		either := one ^ two
		odd, most := either^three, one&two|either&three
		if odd|most == 0 {
			continue
		}
		p := (*[fewBits]uint64)(c.planes[fewBits*i:])
		carry := p[0] & odd
		p[0] ^= odd
		either = p[1] ^ most
		p[1], carry = either^carry, p[1]&most|either&carry
		p[2], carry = p[2]^carry, p[2]&carry
		p[3], carry = p[3]^carry, p[3]&carry
		p[4] ^= carry
	}
}

// addTimes adds the counts of o, each times a weight.
func (c counter) addTimes(o counter, weight uint) {
	if weight == 0 {
		return
	}
	for i := range len(o.planes) / o.bits {
		p := c.planes[i*c.bits:][:c.bits]
		for b, voxels := range o.planes[i*o.bits:][:o.bits] {
			if voxels != 0 {
				addTo(p, voxels, weight<<b)
			}
		}
	}
}

// addAt adds weight to the count of the voxels of words, which begin at word
// first of a set.
func (c counter) addAt(first int, words []uint64, weight uint) {
	for i, voxels := range words {
		if voxels != 0 {
			addTo(c.planes[(first+i)*c.bits:][:c.bits], voxels, weight)
		}
	}
}

// addTo adds weight to the counts of some voxels of a word, whose bits are in p.
func addTo(p []uint64, voxels uint64, weight uint) {
	var carry uint64
	for b := range p {
		more := voxels & -uint64(weight>>b&1)
		sum := p[b] ^ more
		p[b], carry = sum^carry, p[b]&more|sum&carry
	}
}

// join adds the counts of o.
func (c counter) join(o counter) {
	for i := 0; i < len(c.planes); i += c.bits {
		var carry uint64
		for b := i; b < i+c.bits; b++ {
			sum := c.planes[b] ^ o.planes[b]
			c.planes[b], carry = sum^carry, c.planes[b]&o.planes[b]|sum&carry
		}
	}
}

// above adds to s the voxels whose count is greater than limit.
func (c counter) above(s set, limit uint) {
	for i := range s {
		p := c.planes[i*c.bits : (i+1)*c.bits]
		more, same := uint64(0), ^uint64(0)
		for b := len(p) - 1; b >= 0; b-- {
			if limit>>b&1 == 0 {
				more |= same & p[b]
				same &^= p[b]
			} else {
				same &= p[b]
			}
		}
		s[i] |= more
	}
}
