package parting

import (
	"context"
	"slices"

	"gambeson/analysis/bed/pin"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Key is a pair of holes for one pin in two pieces.
type Key struct {
	pin.Key
	Above, Below int // the two pieces, into Pieces
}

// touch finds which pieces have a face in a seam.
func (p *Pieces) touch(seam int) {
	s := &p.Seams[seam]
	s.Above, s.Below = nil, nil
	for i, piece := range p.Pieces {
		if !slices.Contains(piece.Seams, seam) {
			continue
		}
		f := pin.FaceOf(piece.Mesh, s.Plane)
		switch {
		case f.Area() < leastFace:
		case r3.Dot(f.Out(), s.Plane.Normal) < 0:
			s.Above = append(s.Above, i)
		default:
			s.Below = append(s.Below, i)
		}
	}
}

// leastFace is the area in mm² below which a face is none.
const leastFace = 1e-2

// key makes holes for pins in all seams.
func (p *Pieces) key(ctx context.Context, pins []pin.Pin) error {
	if len(pins) == 0 {
		return ctx.Err()
	}
	for i := range p.Seams {
		s := &p.Seams[i]
		var none pin.Joint
		for _, a := range s.Above {
			for _, b := range s.Below {
				if err := ctx.Err(); err != nil {
					return err
				}
				above, below := &p.Pieces[a], &p.Pieces[b]
				j := pin.Join(s.Plane, above.Mesh, below.Mesh, pins)
				if len(j.Keys) == 0 {
					none.Met = none.Met || j.Met
					none.Widest = max(none.Widest, j.Widest)
					continue
				}
				above.drill(j.Above())
				below.drill(j.Below())
				for _, k := range j.Keys {
					s.Keys = append(s.Keys, Key{Key: k, Above: a, Below: b})
				}
			}
		}
		if none.Met {
			s.Unkeyed = none.Why(pins, len(s.Keys) > 0)
		}
	}
	return nil
}

// drill takes the piece with holes of that volume for what it was.
func (p *Piece) drill(m *mesh.Mesh, holes float64) {
	p.Mesh = m
	p.Holes += holes
}
