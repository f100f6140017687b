package grid

import "slices"

// caster casts the rays of some directions, all of one sense along z, through the
// layers of a grid, and counts for every voxel in how many it is blocked.
type caster struct {
	walls
	bundles []bundle
	blocked [][]uint64 // of the layer at hand, in some directions
	class   few        // of the layer at hand, of one bundle
	all     sums       // by weight
	ring    [3]few     // of the directions square to each axis, where there are any
	room    []set      // where all of this lies
}

// bundle is the beams of one weight.
type bundle struct {
	weight uint
	beams  []beam
}

// newCaster returns a caster with counts for so many layers, in room from the arena.
func (g *grid) newCaster(ways []step, layers int, arena *Arena) *caster {
	whole, rows := g.layerWords()
	c := &caster{walls: walls{lattice: g.lattice}}
	take := func(n int) set {
		s := arena.set(n)
		c.room = append(c.room, s)
		return s
	}
	c.class, c.all = few(take(rows*fewBits)), sums(take(layers*rows*shareBits))
	for axis := range c.ring {
		if slices.ContainsFunc(ways, func(d step) bool { return d.square(axis) }) {
			c.ring[axis] = few(take(layers * rows * fewBits))
		}
	}
	c.mask = take(rows)
	for i := range c.mask {
		c.mask[i] = g.used(i)
	}
	needed := len(c.moved) * len(c.moved[0])
	for _, d := range ways {
		needed += d.layers()
	}
	left := take(needed * whole)
	layerOf := func() (l layer) {
		l, left = layer(left[:whole]), left[whole:]
		return l
	}
	for k := range c.moved {
		for i := range c.moved[k] {
			c.moved[k][i] = layerOf()
		}
	}
	place := map[uint]int{}
	for _, d := range ways {
		weight := d.share()
		if _, is := place[weight]; !is {
			place[weight] = len(c.bundles)
			c.bundles = append(c.bundles, bundle{weight: weight})
		}
		one := beam{step: d}
		for range d.layers() {
			one.layers = append(one.layers, layerOf())
		}
		b := &c.bundles[place[weight]]
		b.beams = append(b.beams, one)
	}
	return c
}

// count casts the rays through the k-th layer on their way, which is that of z, and
// adds to the counts of layer at.
func (c *caster) count(k, z int, wall set, at int) {
	rows := c.ny * c.words
	c.take(k, z, wall)
	for _, b := range c.bundles {
		c.blocked = c.blocked[:0]
		for i := range b.beams {
			c.blocked = append(c.blocked, b.beams[i].cast(k, &c.walls))
		}
		clear(c.class)
		c.class.addAll(c.blocked)
		c.all[at*rows*shareBits:][:rows*shareBits].addTimes(c.class, b.weight)
		for axis, ring := range c.ring {
			c.blocked = c.blocked[:0]
			for _, one := range b.beams {
				if one.square(axis) {
					c.blocked = append(c.blocked, c.rows(one.layers[k%len(one.layers)], 0))
				}
			}
			if len(c.blocked) > 0 {
				ring[at*rows*fewBits:][:rows*fewBits].addAll(c.blocked)
			}
		}
	}
}

// clear sets the counts to nothing.
func (c *caster) clear() {
	clear(c.all)
	for _, r := range c.ring {
		clear(r)
	}
}
