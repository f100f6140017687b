package grid

import (
	"context"
	"math"
)

// A shell full of windows closes round its air in places only: from the middle of a row
// of windows more than half of all directions lead out. What a body can leave by no window
// is inside all the same, so the windows are closed and the directions counted again.

// CloseWindows adds to what the part closes round all that it would close round if no ball
// of a radius in mm could pass its windows. Pockets found before do not hold any more. The
// error is that of ctx.
func (a *Air) CloseWindows(ctx context.Context, radius float64, workers int) error {
	closed := &grid{lattice: a.lattice, Frame: a.Frame, Pitch: a.Pitch}
	var err error
	if closed.wall, closed.air, err = a.windowless(ctx, radius/a.Pitch, workers); err != nil {
		return err
	}
	inside, rings, err := closed.enclosed(ctx, workers, a.arena)
	if err != nil {
		return err
	}
	merge(a.inside, inside)
	merge(a.rings, rings)
	a.fillBubbles()
	a.arena.giveBack(inside, rings, closed.wall, closed.air)
	return nil
}

// windowless returns the air that a ball of a radius in voxels reaches, and all else.
func (a *Air) windowless(ctx context.Context, radius float64, workers int) (wall, air set, err error) {
	// The ball may lie beyond the grid.
	more := int(math.Ceil(radius))
	wide := &grid{lattice: newLattice(a.nx+2*more, a.ny+2*more, a.nz+2*more)}
	wide.wall = make(set, wide.size())
	a.each(a.wall, func(x, y, z int) { wide.add(wide.wall, x+more, y+more, z+more) })
	room := &Arena{} // a's own holds the distances to its wall
	far, err := wide.measure(ctx, workers, room)
	if err != nil {
		return nil, nil, err
	}
	enough := uint16(min(math.Ceil(radius*radius), farthest))
	clear(wide.wall)
	wide.where(wide.wall, far, func(d uint16) bool { return d >= enough })
	room.distances = far
	if far, err = wide.measure(ctx, workers, room); err != nil {
		return nil, nil, err
	}
	clear(wide.wall)
	wide.where(wide.wall, far, func(d uint16) bool { return d < enough })
	wall, air = a.arena.set(a.size()), a.arena.set(a.size())
	wide.each(wide.wall, func(x, y, z int) {
		if x, y, z = x-more, y-more, z-more; x >= 0 && y >= 0 && z >= 0 && x < a.nx && y < a.ny && z < a.nz {
			a.add(air, x, y, z)
		}
	})
	for i := range wall {
		wall[i] = ^air[i] & a.used(i)
	}
	return wall, air, nil
}

// fillBubbles adds to what the part closes round all air that it shuts off from the border
// of the grid: nothing can be outside there.
func (a *Air) fillBubbles() {
	outside, open := a.arena.set(a.size()), a.arena.set(a.size())
	for i, air := range a.air {
		open[i] = air &^ a.inside[i]
	}
	a.add(outside, 0, 0, 0)
	a.spread(outside, open, 0)
	for i := range open {
		a.inside[i] |= open[i] &^ outside[i]
	}
	a.arena.giveBack(outside, open)
}

// where adds to s the voxels whose distance is one of those asked for.
func (l lattice) where(s set, far distances, is func(d uint16) bool) {
	for r := range l.ny * l.nz {
		row := s[r*l.words : (r+1)*l.words]
		for x, d := range far[r*l.nx : (r+1)*l.nx] {
			if is(d) {
				row[x>>6] |= 1 << (x & 63)
			}
		}
	}
}
