// Package machine asks the machine that the program runs on: for memory, the disk
// and time, to let others go first, and what the person wants by signals. What a
// system does not tell is 0 or false, and then bounds nothing.
package machine

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"

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

// Limits are those of the readers on a machine with so much memory, 0 where
// that is not known: what would take more than half of it is refused before
// anything is allocated. They do not depend on what is free at the moment, so
// that the same file always has the same answer.
func Limits(memory int64) mesh.Limits {
	l := mesh.DefaultLimits()
	if memory <= 0 {
		return l
	}
	l.Triangles = int(min(int64(l.Triangles), max(fewestTriangles, (memory/2-base)/perTriangle)))
	l.Unpacked = min(l.Unpacked, max(64<<20, memory/8))
	return l
}

// Room is what the daemon may take of the memory. The collector works harder
// before it takes more than three quarters of the machine's, and much earlier
// while a large part is at work: left alone it lets garbage grow as large as
// what is in use. The person's own GOMEMLIMIT stands above both. A nil Room
// bounds nothing.
type Room struct {
	standing int64 // in bytes, as long as no large part is at work
	large    int   // triangles from which on a part counts as large
	taken    bool  // one is at work
}

// NewRoom bounds the memory, nil where the person does. memory is the
// machine's in bytes, 0 where that is not known; a part of large triangles or
// more counts as large, LargePart where nothing else is known.
func NewRoom(memory int64, large int) *Room {
	if os.Getenv("GOMEMLIMIT") != "" {
		return nil
	}
	r := &Room{standing: math.MaxInt64, large: large}
	if memory > 0 {
		r.standing = memory / 4 * 3
	}
	debug.SetMemoryLimit(r.standing)
	return r
}

const (
	// LargePart is a guess: below it the heap is small enough to be left alone.
	LargePart = 500_000
	// atWorkBase and atWorkEach, in bytes for each triangle, are what the work
	// on a part may take beside what is in use when it has been read: with the
	// part and the program itself that stays below 200 MB and four times the 50
	// bytes that a triangle takes in a binary STL. Greaves of 2 and 5 million
	// triangles have 130 bytes for each in use at their peak beside themselves,
	// measured. Were that more than is allowed, the collector would take half of
	// the time at most: that is its own bound.
	atWorkBase = 100 << 20
	atWorkEach = 165
)

// Take bounds the memory for the work on so many triangles that were just read,
// until GiveBack.
func (r *Room) Take(triangles int) {
	if r == nil || triangles < r.large {
		return
	}
	r.taken = true
	runtime.GC() // what reading took is no longer in use
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	debug.SetMemoryLimit(min(r.standing, int64(live[0].Value.Uint64())+atWorkBase+atWorkEach*int64(triangles)))
}

// GiveBack ends what Take began.
func (r *Room) GiveBack() {
	if r != nil && r.taken {
		r.taken = false
		debug.SetMemoryLimit(r.standing)
	}
}
