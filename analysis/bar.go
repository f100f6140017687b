package analysis

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A body part thickens and thins gradually; a bar or a rib inside a shell begins and ends
// from one place to the next. A rim of a wrist that flares by 30° changes the room by a
// fifth there, a quarter is taken for an edge (a guess).
const (
	edge  = 12.0  // mm along the way within which the room changes: some two stations
	dip   = 1.25  // times the room
	thick = 60.0  // mm along the way from its beginning to its end (a guess)
	limbs = 120.0 // mm of room that the thinnest limb needs: a child's wrist (a guess)
)

// warnBars warns of places inside where there is far less room from one place to the
// next and then as much again: nothing of a body is waisted so, so that no scale helps.
func (f *Findings) warnBars() {
	for _, c := range f.Cavities {
		for i, line := range c.Centrelines {
			if line.To == "end" {
				continue // a toe or a pocket
			}
			if at, around := narrowed(line); at != nil && !parts(c.Centrelines, i, *at) {
				f.warn("stands-in-way", fmt.Sprintf("Something stands in the way inside, a bar, a rib or a strip: %s mm from opening %s there is suddenly room for only %s mm, and for %s mm a little before and after. Take it out in a modelling program: no scale and no cut into halves makes room for it.",
					tenths(at.Along), line.From, tenths(at.Capacity), tenths(around)))
				return
			}
			if i := slices.IndexFunc(line.Stations, func(s Station) bool { return s.barred }); i >= 0 {
				at := line.Stations[i]
				f.warn("stands-in-way", fmt.Sprintf("Something stands in the way inside, a bar or a strip: %s mm from opening %s the way goes through it, and beside it there is room for only %s mm. Take it out in a modelling program: no scale and no cut into halves makes room for it.",
					tenths(at.Along), line.From, tenths(at.Capacity)))
				return
			}
		}
	}
}

// beside is how far from a station one of another way still is on the same way, mm.
const beside = 8.0

// parts reports whether way i of several parts from another about a station, as at a
// crotch, an armhole or a window: there the room jumps with nothing in the way.
func parts(all []Centreline, i int, at Station) bool {
	reach := max(thick, at.Capacity/math.Pi)
	for k, other := range all {
		if k == i {
			continue
		}
		shared, alone := false, false
		for _, s := range all[i].Stations {
			if math.Abs(s.Along-at.Along) > reach {
				continue
			}
			if slices.ContainsFunc(other.Stations, func(o Station) bool { return r3.Norm(r3.Sub(vec(o.Center), vec(s.Center))) < beside }) {
				shared = true
			} else {
				alone = true
			}
		}
		if shared && alone {
			return true
		}
	}
	return false
}

// narrowed returns the station of a way that has the least room between two edges, one
// where the room ends and one where it is there again, and the room beside them; nil
// where nothing stands in the way.
func narrowed(line Centreline) (at *Station, beside float64) {
	all := line.Stations
	// room is the most there is within an edge of station i, on one side.
	room := func(i, step int) float64 {
		most := 0.0
		for k := i + step; k >= 0 && k < len(all) && math.Abs(all[k].Along-all[i].Along) <= edge; k += step {
			most = max(most, all[k].Capacity)
		}
		return most
	}
	for i := range all {
		before := room(i, -1)
		if !(all[i].Capacity > 0) || before < limbs || before < dip*all[i].Capacity {
			continue
		}
		least := i
		for k := i; k < len(all) && all[k].Along-all[i].Along <= thick && all[k].Capacity > 0; k++ {
			if all[k].Capacity < all[least].Capacity {
				least = k
			}
			if after := room(k, 1); after >= limbs && after >= dip*all[k].Capacity {
				return &all[least], min(before, after)
			}
		}
	}
	return nil, 0
}
