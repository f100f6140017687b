package parting

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pin is a round pin that brings two pieces together.
type Pin struct {
	Diameter  float64 // mm
	Clearance float64 // by how much its hole is wider
	Depth     float64 // how far it goes into each piece at most
}

// Key is a pair of holes for one pin, square to the seam.
type Key struct {
	Pin          Pin
	At           r3.Vec // on the seam, the middle of both holes
	Depth        float64
	Above, Below int // the two pieces
}

func (p *Pieces) key(ctx context.Context, pins []Pin) error { return ctx.Err() }

func (p *Pieces) touch(seam int) {}
