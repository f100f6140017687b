package main

import (
	"math"
	"os"
	"runtime/debug"

	"gambeson/analysis/mesh"
)

// perTriangle is how much memory an examination takes at its peak for each
// triangle, in bytes: four times the 50 of a binary STL, and as much again for
// what the collector has not come round to (a guess).
const perTriangle = 400

// base is what the program takes beside the triangles, in bytes.
const base = 200 << 20

// fewestTriangles are read on any machine.
const fewestTriangles = 500_000

// limits are those of the readers on a machine with so much memory, 0 where
// that is not known: what would take more than half of it is refused before
// anything is allocated. They do not depend on what is free at the moment, so
// that the same file always has the same answer.
func limits(memory int64) mesh.Limits {
	l := mesh.DefaultLimits()
	if memory <= 0 {
		return l
	}
	l.Triangles = int(min(int64(l.Triangles), max(fewestTriangles, (memory/2-base)/perTriangle)))
	l.Unpacked = min(l.Unpacked, max(64<<20, memory/8))
	return l
}

// boundMemory makes the collector work harder before the program takes more
// than three quarters of the memory, unless the person's own GOMEMLIMIT says
// where.
func boundMemory(memory int64) {
	if memory <= 0 || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	if now := debug.SetMemoryLimit(-1); now == math.MaxInt64 {
		debug.SetMemoryLimit(memory / 4 * 3)
	}
}
