// Package pin makes holes for pins that bring two pieces of a part together
// again: where both have material round and below a hole, square to the seam.
// Lengths are mm.
package pin

import (
	"fmt"
	"math"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Pin is a round pin that brings two pieces together.
type Pin struct {
	Diameter  float64 // mm
	Clearance float64 // by how much its hole is wider
	Depth     float64 // how far it goes into each piece at most
}

// Common are a pin of 4 mm and, where walls are thin, a piece of filament of
// 1.75 mm, each 20 mm long, in holes 0.2 mm wider (common practice, no source).
func Common() []Pin {
	return []Pin{{Diameter: 4, Clearance: 0.2, Depth: 10}, {Diameter: 1.75, Clearance: 0.2, Depth: 10}}
}

// Key is a pair of holes for one pin, square to the seam.
type Key struct {
	Pin   Pin
	At    r3.Vec  // on the seam, the middle of both holes
	Depth float64 // of each hole, mm
}

const (
	// around is how much material there is round a hole and below it at least:
	// three walls of a 0.4 mm nozzle (common practice, no source).
	around = 1.2
	// mostKeys is how many pins two pieces have on a seam at most. A guess.
	mostKeys = 4
	// pinsApart is how far from each other more than two pins are at least.
	pinsApart = 60.0
	// mostSpots is how many places for pins are tried on a seam.
	mostSpots = 400
)

// shallower are the shares of a pin's depth that are tried in turn.
var shallower = []float64{1, 0.75, 0.5}

// Joint is where two pieces meet.
type Joint struct {
	Met    bool // they do
	Keys   []Key
	Widest float64 // of the wall where they meet, as far as was seen, mm

	holes []hole
	faces [2]*Face
}

// Above returns the piece on the side that the seam's normal shows to, with its
// holes, and their volume in mm³.
func (j Joint) Above() (*mesh.Mesh, float64) { return j.drilled(0) }

// Below returns the other piece, with its holes, and their volume in mm³.
func (j Joint) Below() (*mesh.Mesh, float64) { return j.drilled(1) }

func (j Joint) drilled(side int) (*mesh.Mesh, float64) {
	if len(j.holes) == 0 {
		return j.faces[side].m, 0
	}
	volume := 0.0
	for _, h := range j.holes {
		volume += h.volume()
	}
	return j.faces[side].drilled(j.holes), volume
}

// Why says in words why there are no keys in a seam, or in some of it. The pins
// must be those that were tried, at least one.
func (j Joint) Why(pins []Pin, some bool) string {
	least := math.Inf(1)
	thinnest := pins[0]
	for _, p := range pins {
		if need := 2 * p.reach(); need < least {
			least, thinnest = need, p
		}
	}
	where := "No pin holes"
	if some {
		where = "No pin holes in some of this seam"
	}
	if j.Widest < least {
		return fmt.Sprintf("%s: the wall is at most %.1f mm thick there, and a pin of %g mm needs %.1f mm.", where, j.Widest, thinnest.Diameter, least)
	}
	return where + ": there are no two places where the material goes straight on deep enough."
}

// reach returns how far from the middle of a hole for the pin there must be
// material.
func (p Pin) reach() float64 { return p.hole(0, r3.Vec{}).outer() + around }

func (p Pin) hole(depth float64, at r3.Vec) hole {
	return hole{at: at, radius: (p.Diameter + p.Clearance) / 2, depth: depth}
}

// Join finds where two pieces that meet in a plane can have holes: for the first
// of the pins of which at least two have room. Above lies on the side that the
// plane's normal shows to.
func Join(plane section.Plane, above, below *mesh.Mesh, pins []Pin) Joint {
	j := Joint{faces: [2]*Face{FaceOf(above, plane), FaceOf(below, plane)}}
	edgesA, edgesB := j.faces[0].edges(plane), j.faces[1].edges(plane)
	edges := slices.Concat(edgesA, edgesB)
	var spots []spot
	for _, q := range middles(edges) {
		if winding(edgesA, q) != -1 || winding(edgesB, q) != 1 {
			continue
		}
		wide := room(edges, q)
		j.Met, j.Widest = true, max(j.Widest, 2*wide)
		spots = append(spots, spot{at: q, wide: wide})
	}
	deepest := 0.0
	for _, pin := range pins {
		deepest = max(deepest, pin.Depth+around)
	}
	skins := [2]skin{skinOf(j.faces[0], plane, deepest), skinOf(j.faces[1], plane, deepest)}
	for _, pin := range pins {
		chosen := spread(sound(spots, skins, pin), pin)
		if len(chosen) < 2 {
			continue
		}
		for _, c := range chosen {
			at := plane.Lift(c.at)
			j.holes = append(j.holes, pin.hole(c.depth, at))
			j.Keys = append(j.Keys, Key{Pin: pin, At: at, Depth: c.depth})
		}
		break
	}
	return j
}

// spot is a place for a pin in the coordinates of the plane.
type spot struct {
	at    r2.Vec
	wide  float64 // how far from it the nearest edge is
	depth float64 // of the hole there
}

// middles returns places amid the material: halfway from an edge, straight off
// it, to the next.
func middles(edges []edge) []r2.Vec {
	total := 0.0
	for _, e := range edges {
		total += r2.Norm(r2.Sub(e.to, e.from))
	}
	step := total / mostSpots
	var out []r2.Vec
	left := step / 2
	for _, e := range edges {
		along := r2.Sub(e.to, e.from)
		length := r2.Norm(along)
		if !(length > 0) {
			continue
		}
		along = r2.Scale(1/length, along)
		off := r2.Vec{X: -along.Y, Y: along.X}
		for ; left < length; left += step {
			from := r2.Add(e.from, r2.Scale(left, along))
			for _, d := range [2]r2.Vec{off, r2.Scale(-1, off)} {
				if far := across(edges, from, d); !math.IsInf(far, 1) {
					out = append(out, r2.Add(from, r2.Scale(far/2, d)))
				}
			}
		}
		left -= length
	}
	return out
}

// across returns how far from a place along d the next edge is, leaving out
// what is no farther than a hundredth of a millimetre.
func across(edges []edge, from, d r2.Vec) float64 {
	least := math.Inf(1)
	for _, e := range edges {
		a, b := r2.Sub(e.from, from), r2.Sub(e.to, from)
		sa, sb := r2.Cross(d, a), r2.Cross(d, b)
		if (sa > 0) == (sb > 0) {
			continue
		}
		share := sa / (sa - sb)
		if far := r2.Dot(d, a) + share*(r2.Dot(d, b)-r2.Dot(d, a)); far > 0.01 {
			least = min(least, far)
		}
	}
	return least
}

// sound returns the spots with material round a hole for the pin in both
// pieces, and the depth it may have.
func sound(spots []spot, skins [2]skin, pin Pin) []spot {
	var out []spot
	reach := pin.reach()
	for _, s := range spots {
		if s.wide < reach {
			continue
		}
		for _, share := range shallower {
			s.depth = share * pin.Depth
			if skins[0].clear(s.at, reach, s.depth+around) && skins[1].clear(s.at, reach, s.depth+around) {
				out = append(out, s)
				break
			}
		}
	}
	return out
}

// spread returns the two spots that are farthest from each other, and others
// far from those.
func spread(spots []spot, pin Pin) []spot {
	var out []spot
	most := 2 * pin.reach()
	for i, s := range spots {
		for _, o := range spots[:i] {
			if d := r2.Norm(r2.Sub(s.at, o.at)); d > most {
				out, most = []spot{o, s}, d
			}
		}
	}
	for len(out) >= 2 && len(out) < mostKeys {
		best, far := spot{}, pinsApart
		for _, s := range spots {
			least := math.Inf(1)
			for _, o := range out {
				least = min(least, r2.Norm(r2.Sub(s.at, o.at)))
			}
			if least > far {
				best, far = s, least
			}
		}
		if far == pinsApart {
			break
		}
		out = append(out, best)
	}
	return out
}
